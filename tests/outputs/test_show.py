"""The previewer gets names, nesting, colours and opacity; ours listens on this computer only.

No browser is needed: a page is played by a client that speaks to the viewer as its page does.
"""

from __future__ import annotations

import contextlib
import json
import socket
import threading
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import connect

from jigs.errors import ExportError
from jigs.model.pose import Pose
from jigs.outputs.cad.show import ShowResult, assembly, show, tend
from jigs.outputs.cad.tree import Group, Leaf

BIRCH, GLASS = (0.8, 0.6, 0.4, 1.0), (0.2, 0.4, 0.6, 0.5)
LOGO = {"/Group/OCP": [1, 1], "/Group/Eye": [1, 1]}


def step_stool() -> Group:
    top = cq.Workplane().box(30, 20, 2).val()
    leg = cq.Workplane().box(2, 20, 20).val()
    legs = Group(
        "legs",
        (
            Leaf("left", "leg", leg, Pose.to(-12, 0, 0), BIRCH),
            Leaf("right", "leg", leg, Pose.to(12, 0, 0) @ Pose.turned("z", 180), GLASS),
        ),
        Pose.to(0, 0, -11),
    )
    return Group("stool", (Leaf("top", "top", top, Pose.to(0, 0, 5), BIRCH), legs))


def converted(root: Group) -> dict[str, Any]:
    from ocp_viewer_core.offline import _convert  # type: ignore[import-untyped]

    data, _ = _convert(assembly(root), progress=None)
    shapes: dict[str, Any] = data["data"]["shapes"]
    return shapes


def solids(node: dict[str, Any]) -> Iterator[dict[str, Any]]:
    if "color" in node:
        yield node
    for part in node.get("parts", ()):
        yield from solids(part)


@pytest.fixture
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("OCP_VIEWER_PYTEST", "0")
    monkeypatch.delenv("OCP_PORT", raising=False)
    return tmp_path


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.mark.usefixtures("own_home")
def test_names_nesting_colours_and_opacity_reach_the_previewer() -> None:
    found = {node["id"]: (node["color"], node["alpha"]) for node in solids(converted(step_stool()))}
    # 0.8, 0.6, 0.4 and 0.2, 0.4, 0.6 of 255 in hexadecimal
    assert found == {
        "/stool/top/top": ("#cc9966", 1.0),
        "/stool/legs/left/left": ("#cc9966", 1.0),
        "/stool/legs/right/right": ("#336699", 0.5),
    }


@pytest.mark.usefixtures("own_home")
def test_places_reach_the_previewer() -> None:
    top, legs = converted(step_stool())["parts"]
    assert top["loc"][0] == pytest.approx((0, 0, 5))
    assert legs["loc"][0] == pytest.approx((0, 0, -11))
    left, right = legs["parts"]
    assert left["loc"][0] == pytest.approx((-12, 0, 0))
    assert right["loc"][0] == pytest.approx((12, 0, 0))
    assert [abs(value) for value in right["loc"][1]] == pytest.approx((0, 0, 1, 0), abs=1e-12)


def test_the_previewer_gets_copies_so_that_no_mesh_stays_on_ours() -> None:
    root = step_stool()
    ours = root.members[0]
    assert isinstance(ours, Leaf)
    sent = assembly(root).children[0].obj
    assert isinstance(sent, cq.Shape)
    assert not sent.isSame(ours.shape)
    assert sent.Volume() == pytest.approx(30 * 20 * 2)


def test_two_members_of_one_name_are_an_error() -> None:
    one = step_stool().members[0]
    with pytest.raises(ExportError, match="group 'stool' has two members named 'top'"):
        assembly(Group("stool", (one, one)))


class Page:
    """Behaves towards the viewer as its page does: registers, reports its tree, takes models."""

    def __init__(self, port: int) -> None:
        self.models: list[dict[str, Any]] = []
        self._open = contextlib.ExitStack()
        address = f"ws://127.0.0.1:{port}"
        self._socket = self._open.enter_context(connect(address, max_size=None))
        self._socket.send("L:{}")
        self._report(LOGO)
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    def _report(self, states: dict[str, Any]) -> None:
        self._socket.send("U:" + json.dumps({"command": "status", "text": {"states": states}}))

    def _listen(self) -> None:
        with contextlib.suppress(ConnectionClosed):
            for raw in self._socket:
                message = json.loads(raw)
                if message.get("type") == "data":
                    self.models.append(message["data"]["shapes"])
                    self._report({node["id"]: [1, 1] for node in solids(self.models[-1])})

    def close(self) -> None:
        self._open.close()
        self._thread.join(5)


def listeners(port: int) -> set[str]:
    """The addresses that the kernel of Linux lists as listening at a port (proc(5), net/tcp)."""
    found = set()
    for table in ("tcp", "tcp6"):
        for line in Path(f"/proc/net/{table}").read_text().splitlines()[1:]:
            local, state = line.split()[1], line.split()[3]
            address, number = local.split(":")
            if state == "0A" and int(number, 16) == port:
                found.add(address)
    return found


@pytest.mark.usefixtures("own_home")
def test_the_viewer_that_we_start(capfd: pytest.CaptureFixture[str]) -> None:
    told: list[str] = []
    result = show(step_stool(), port=free_port(), wait=0.0, ready=told.append)
    pages: list[Page] = []
    try:
        assert told == [result.url] == [f"http://127.0.0.1:{result.port}/viewer"]
        assert not result.shown
        assert listeners(result.port) == {"0100007F"}, "127.0.0.1, least byte first"
        with urllib.request.urlopen(result.url, timeout=5) as answer:
            assert b"cad_viewer" in answer.read()
        first_page_gets_the_model_when_it_opens(result, pages)
        a_page_that_opens_later_gets_it_too(result, pages)
        a_second_show_finds_the_running_viewer(result, pages)
    finally:
        for page in pages:
            page.close()
        result.close()
    assert result.process is not None
    assert result.process.poll() is not None
    assert listeners(result.port) == set()
    assert capfd.readouterr() == ("", "")


def first_page_gets_the_model_when_it_opens(result: ShowResult, pages: list[Page]) -> None:
    pages.append(Page(result.port))
    tend(step_stool(), result, seconds=1.5)
    assert [sorted(node["id"] for node in solids(model)) for model in pages[0].models] == [
        ["/stool/legs/left/left", "/stool/legs/right/right", "/stool/top/top"]
    ]


def a_page_that_opens_later_gets_it_too(result: ShowResult, pages: list[Page]) -> None:
    pages.append(Page(result.port))
    tend(step_stool(), result, seconds=1.5)
    assert len(pages[1].models) == 1


def a_second_show_finds_the_running_viewer(result: ShowResult, pages: list[Page]) -> None:
    again = show(step_stool(), port=result.port, wait=5.0)
    assert again.process is None
    assert again.shown
    assert len(pages[1].models) == 2
    again.close()
    assert listeners(result.port) == {"0100007F"}, "not ours to close"


@pytest.mark.usefixtures("own_home")
def test_another_program_at_the_port_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        monkeypatch.setenv("OCP_PORT", str(other.getsockname()[1]))
        stop = threading.Event()
        threading.Thread(target=refuse_all, args=(other, stop), daemon=True).start()
        started = time.monotonic()
        with pytest.raises(ExportError, match="does not answer as a previewer does"):
            show(step_stool())
        stop.set()
    assert time.monotonic() - started < 5


def refuse_all(server: socket.socket, stop: threading.Event) -> None:
    with contextlib.suppress(OSError):
        while not stop.is_set():
            server.accept()[0].close()


@pytest.mark.parametrize("text", ["front", "0", "70000"])
def test_a_port_variable_that_is_no_port(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OCP_PORT", text)
    with pytest.raises(ExportError, match=f"OCP_PORT is '{text}'"):
        show(step_stool())
