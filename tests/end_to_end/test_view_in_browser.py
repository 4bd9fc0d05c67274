"""`jigs view` as a user has it: opened in a browser, reloaded, other states, edited, Ctrl-C.

Chromium draws in software, so no screen and no graphics card are needed.
"""

from __future__ import annotations

import io
import os
import queue
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import ocp_vscode
import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Page, sync_playwright

from jigs.model.state import SHOWN, Limit, Phase, State

ROOT = Path(__file__).parent.parent.parent
JOB = "configs/allotment.yaml"
SOFTWARE_DRAWING = [
    "--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
WAIT = 60.0  # s: a busy computer draws slowly

pytestmark = pytest.mark.slow


class View:
    """`jigs view` in a process group of its own, as a shell starts it."""

    def __init__(self, home: Path, *options: str, job: str = JOB) -> None:
        env = {**os.environ, "HOME": str(home), "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
        env.pop("OCP_PORT", None)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "jigs", "view", job, *options],
            cwd=ROOT, env=env, text=True, start_new_session=True,
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        )  # fmt: skip
        self._lines: queue.Queue[str] = queue.Queue()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        with self.process.stdout as lines:
            for line in lines:
                self._lines.put(line)

    def line(self) -> str:
        return self._lines.get(timeout=WAIT)

    def says(self, *words: str) -> str:
        """The next line that has all these words; lines before it are skipped."""
        while True:
            line = self.line()
            if all(word in line for word in words):
                return line

    def viewer(self) -> int:
        """Process id of the viewer that it started (proc(5), task/children)."""
        pid = self.process.pid
        (child,) = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
        return int(child)

    def address(self) -> str:
        line = self.line()
        assert line.startswith("open http://127.0.0.1:"), line
        return line.split()[1]

    def interrupt(self) -> None:
        """What a terminal does at Ctrl-C: it signals the whole group, the viewer too."""
        os.killpg(self.process.pid, signal.SIGINT)

    def end(self) -> tuple[int, str]:
        code = self.process.wait(WAIT)
        self._reader.join(WAIT)
        return code, "".join(self._lines.queue).strip()

    def close(self) -> None:
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()


@pytest.fixture
def view(tmp_path: Path) -> Iterator[View]:
    started = View(tmp_path)
    yield started
    started.close()


@pytest.fixture
def page() -> Iterator[Page]:
    browser = shutil.which("chromium") or shutil.which("google-chrome")
    assert browser, "this test opens a browser; remedy: apt-get install chromium"
    with sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=browser, args=SOFTWARE_DRAWING)
        yield chromium.new_page(viewport={"width": 1200, "height": 800})
        chromium.close()


def port_of(address: str) -> int:
    return int(address.split(":")[2].partition("/")[0])


def expected_paths(scene, state: State = SHOWN) -> set[str]:
    """Each part under the names of all it belongs to, by the design's own list."""
    job, machine = scene.design.job.model.job, "machine"
    paths = {
        f"/{job}/{machine}/{name}/{name}" for name, *_ in scene.machine_for(scene.design.setups[0])
    }
    for body in ("cutter", "shank", "collet nut"):
        paths.add(f"/{job}/cutter's way/cut mark/{body}/{body}")
    setup = scene.design.setups[0]
    paths.add(f"/{job}/{setup.name}/piece/piece")
    for jig in setup.jigs:
        for part in jig.poses(state):
            group = f"{jig.name} {part.group}/" if part.group else ""
            paths.add(f"/{job}/{setup.name}/{jig.name}/{group}{part.name}/{part.name}")
    return paths


def reported(port: int) -> set[str]:
    return set(ocp_vscode.status(port=port).get("states") or ())


def await_paths(page: Page, port: int, wanted: set[str]) -> None:
    end = time.monotonic() + WAIT
    while reported(port) != wanted and time.monotonic() < end:
        page.wait_for_timeout(200)
    assert reported(port) == wanted


def await_tree(page: Page, job: str) -> None:
    """The page's own tree names the job: what the viewer has on record may be an older page's."""
    page.get_by_text(job, exact=True).first.wait_for(timeout=WAIT * 1000)


def colours(page: Page) -> int:
    """How many different colours cover a noticeable part of the picture."""
    page.wait_for_timeout(500)
    picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB").crop((300, 60, 1200, 800))
    least = picture.width * picture.height // 2000
    counted = picture.getcolors(picture.width * picture.height) or []
    return sum(count >= least for count, _ in counted)


def test_a_page_shows_every_part_also_after_a_reload(view: View, page: Page, scene) -> None:
    address, job = view.address(), scene.design.job.model.job
    page.goto(address)
    await_paths(page, port_of(address), expected_paths(scene))
    await_tree(page, job)
    assert colours(page) > 8
    page.reload()
    await_tree(page, job)
    assert colours(page) > 8
    view.interrupt()
    assert view.end() == (0, "")
    assert not ocp_vscode.port_check(port_of(address))


def test_a_second_view_sends_to_the_viewer_that_runs(
    view: View, page: Page, tmp_path: Path
) -> None:
    address = view.address()
    page.goto(address)
    second = View(tmp_path, "--port", str(port_of(address)))
    try:
        assert second.address() == address
        assert second.end() == (0, "shown")
    finally:
        second.close()
    assert ocp_vscode.port_check(port_of(address)), "not the second one's to end"


def test_another_state_takes_the_place_of_the_first(
    view: View, page: Page, scene, tmp_path: Path
) -> None:
    """The gauge is away when the ring is closed; the picture is another one."""
    address = view.address()
    page.goto(address)
    await_paths(page, port_of(address), expected_paths(scene))
    before = page.screenshot()
    closed = State(Phase.CLOSED, Limit.MOST)
    wanted = expected_paths(scene, closed)
    assert not any("/gauge/" in path for path in wanted)
    port = str(port_of(address))
    second = View(tmp_path, "--port", port, "--state", "closed", "--piece", "most")
    try:
        await_paths(page, port_of(address), wanted)
        assert second.address() == address
        assert second.end() == (0, "shown")
    finally:
        second.close()
    page.wait_for_timeout(500)
    assert page.screenshot() != before
    assert colours(page) > 8


def test_watched_files_are_shown_again_on_saving(page: Page, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "configs", tmp_path / "configs")
    job = tmp_path / "configs/allotment.yaml"
    good = job.read_text(encoding="utf-8")
    watching = View(tmp_path, "--watch", job=str(job))
    try:
        address = watching.address()
        page.goto(address)
        watching.says("shown after")
        await_tree(page, "allotment dibbers and marker posts")
        an_edit_is_shown_and_the_eye_stays(watching, page, job, good)
        a_broken_file_is_told_and_the_model_stays(watching, page, job, good)
        a_deleted_file_may_come_back(watching, job, good)
        a_viewer_that_is_killed_comes_back(watching, page, address)
        watching.interrupt()
        assert watching.end()[0] == 0
    finally:
        watching.close()


def an_edit_is_shown_and_the_eye_stays(watching: View, page: Page, job: Path, good: str) -> None:
    page.wait_for_timeout(1000)
    far = page.screenshot()
    page.mouse.move(700, 500)
    page.mouse.wheel(0, -600)  # nearer: a camera that is put back would undo it
    page.wait_for_timeout(1500)
    before = page.screenshot()
    job.write_text(good + "\n# a comment changes no solid\n", encoding="utf-8")
    assert " 0 solids made" in watching.says("shown after")
    page.wait_for_timeout(1500)
    after = page.screenshot()
    # Not all: what lies under the mouse lights up, and is another thing's colour afterwards.
    assert alike(after, before) > 0.97 > alike(after, far)
    job.write_text(good.replace("length: 230 ± 1", "length: 240 ± 1"), encoding="utf-8")
    made = int(watching.says("shown after").split(" s, ")[1].split()[0])
    assert 0 < made < 25, "the parts of the clamp and most of the ring's are not made anew"
    page.wait_for_timeout(1500)
    longer = alike(page.screenshot(), after)
    assert 0.6 < longer < 0.999


def alike(one: bytes, other: bytes) -> float:
    """Share of the pixels that are the same in two pictures."""
    a, b = (Image.open(io.BytesIO(data)).convert("L") for data in (one, other))
    same = ImageChops.difference(a, b).histogram()[:8]
    return sum(same) / (a.width * a.height)


def a_broken_file_is_told_and_the_model_stays(
    watching: View, page: Page, job: Path, good: str
) -> None:
    before = page.screenshot()
    job.write_text(good.replace("kind: split_ring", "kind: split_rink"), encoding="utf-8")
    assert "allotment.yaml:" in watching.says("allotment.yaml:")
    watching.says("the last good model stays")
    assert alike(page.screenshot(), before) > 0.995
    job.write_text(good, encoding="utf-8")
    watching.says("shown after")


def a_deleted_file_may_come_back(watching: View, job: Path, good: str) -> None:
    job.unlink()
    watching.says("the last good model stays")
    job.write_text(good, encoding="utf-8")
    watching.says("shown after")


def a_viewer_that_is_killed_comes_back(watching: View, page: Page, address: str) -> None:
    os.kill(watching.viewer(), signal.SIGKILL)
    watching.says("ended; starting another")
    watching.says(f"open {address} again")
    page.goto(address)
    await_tree(page, "allotment dibbers and marker posts")
    assert colours(page) > 8


def test_ctrl_c_before_any_page_opens(view: View) -> None:
    address = view.address()
    view.interrupt()
    assert view.end() == (0, "")
    assert not ocp_vscode.port_check(port_of(address))


def test_a_port_where_something_else_answers(tmp_path: Path) -> None:
    command = [sys.executable, "-u", "-m", "http.server", "--bind", "127.0.0.1", "0"]
    with subprocess.Popen(
        command, cwd=tmp_path, text=True, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    ) as other:
        assert other.stdout is not None
        port = other.stdout.readline().partition(" port ")[2].split()[0]
        blocked = View(tmp_path, "--port", port)
        try:
            code, said = blocked.end()
        finally:
            blocked.close()
            other.terminate()
    assert code == 2
    assert said.startswith(f"port {port} does not answer as a previewer does\n  remedy: ")
