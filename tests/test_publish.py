"""A folder is published whole or not at all, whatever happens and wherever it happens.

Faults are put under the os functions that publish.py ends in, one call at a time and all of them:
nothing in the product knows of the tests. What a folder holds is judged here with hashlib and
plain reading, never with the product's own comparison alone.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from jigs import journal, publish
from jigs.errors import ExportError
from jigs.publish import Recovery, Stamp

ROOT = Path(__file__).resolve().parent.parent

# Between them: a file replaced, one the same, one gone with its folder, one new in a new folder,
# a file that becomes a folder and a folder that becomes a file.
OLD = {
    "parts/ring/fixed_half.step": "fixed half, 38 mm",
    "parts/ring/loose_half.step": "loose half",
    "drawings/sheet.dxf": "one sheet",
    "setup": "one page",
    "renders/ring.png": "picture",
}
NEW = {
    "parts/ring/fixed_half.step": "fixed half, 41 mm",
    "parts/ring/loose_half.step": "loose half",
    "parts/gauge/gauge.step": "gauge",
    "setup/first_side.txt": "page one",
    "renders": "pictures are elsewhere",
}
MINE = {"parts/ring/my notes.txt": "bought the bolts on Tuesday"}
VERSIONS = {"jigs": "0.1.0", "kernel": "7.8"}

Contents = dict[str, bytes | None]


def build(folder: Path, files: Mapping[str, str], key: str = "k", wait: float = 2) -> Any:
    with publish.into(folder, Stamp(key, VERSIONS), wait=wait) as out:
        for name, text in files.items():
            out.write_text(name, text)
        out.describe("transforms", {"ring": [0.0, 0.0, 12.5]})
    return out.outcome


def put(folder: Path, files: Mapping[str, str]) -> None:
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)


def contents(folder: Path) -> Contents:
    """Everything in a folder but the staging: bytes of files, None for folders, {} if absent."""
    if not folder.exists():
        return {}
    return {
        path.relative_to(folder).as_posix(): None if path.is_dir() else path.read_bytes()
        for path in [folder, *sorted(folder.rglob("*"))]
        if journal.STAGING not in path.parts
    }


def stamps(folder: Path) -> dict[str, int]:
    return {str(path): path.stat().st_mtime_ns for path in folder.rglob("*") if path.is_file()}


def truthful(folder: Path) -> bool:
    """No file that a manifest describes differs from what it says."""
    manifest = folder / "manifest.json"
    if not manifest.exists():
        return True
    files = json.loads(manifest.read_bytes())["files"]
    return all(
        hashlib.sha256((folder / name).read_bytes()).hexdigest() == entry["sha256"]
        for name, entry in files.items()
    )


class Frozen(BaseException):
    """The process is dead: no handler of its may change the disk any more."""


@contextmanager
def faults(strike: Callable[[int, str, tuple[Any, ...]], None]) -> Iterator[list[str]]:
    """Call strike(number, function, arguments) before every call that changes the disk.

    An fsync changes nothing that a living system shows, so it is struck but not done. The lock is
    another library's and left out.
    """
    calls: list[str] = []
    real = {n: getattr(os, n) for n in ("mkdir", "open", "write", "replace", "unlink", "rmdir")}
    real["fsync"] = os.fsync
    handles: set[int] = set()

    def struck(name: str) -> Callable[..., Any]:
        def call(*args: Any, **options: Any) -> Any:
            if str(args[0]).endswith(".lock") or (name == "write" and args[0] not in handles):
                return real[name](*args, **options)
            if name == "open" and not args[1] & (os.O_WRONLY | os.O_RDWR):
                return real[name](*args, **options)
            calls.append(name)
            try:
                strike(len(calls), name, args)
            except BaseException:
                if name == "write":
                    real["write"](args[0], bytes(args[1])[: len(args[1]) // 2])
                raise
            result = None if name == "fsync" else real[name](*args, **options)
            if name == "open" and result is not None:
                handles.add(result)
            return result

        return call

    try:
        for name in real:
            setattr(os, name, struck(name))
        yield calls
    finally:
        for name, function in real.items():
            setattr(os, name, function)


def die_in_fork(at: int, work: Callable[[], object]) -> bool:
    """Run work in a forked process that dies before its at-th change. Returns: whether it died."""
    child = os.fork()
    if child == 0:
        code = 1

        def strike(number: int, name: str, args: tuple[Any, ...]) -> None:
            if number == at:
                if name == "write":
                    os.pwrite(args[0], bytes(args[1])[: len(args[1]) // 2], 0)
                os._exit(9)

        try:
            with faults(strike):
                work()
            code = 0
        finally:
            os._exit(code)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert code in (0, 9), code
    return code == 9


def dies(at: int, work: Callable[[], object]) -> bool:
    """Run work until before its at-th change, and let nothing that follows reach the disk."""

    def strike(number: int, name: str, args: tuple[Any, ...]) -> None:
        if number >= at:
            raise Frozen

    try:
        with faults(strike):
            work()
    except Frozen:
        return True
    return False


class Judge:
    """Counts what becomes of interrupted builds of one folder."""

    def __init__(self, target: Path, before: Contents, after: Contents) -> None:
        self.target, self.tally = target, dict[str, int]()
        # A first build that dies as it begins may leave the folder, empty.
        self.states = {"old": [before] if before else [before, {".": None}], "new": [after]}

    def count(self, what: str) -> None:
        self.tally[what] = self.tally.get(what, 0) + 1

    def recover(self, stage: str) -> None:
        """Count how the folder stands, recover it and count what came of that."""
        self.count("true" if truthful(self.target) else "lie")
        self.count(publish.recover(self.target).name)
        now = contents(self.target)
        state = next((name for name, good in self.states.items() if now in good), "torn")
        if "manifest.json" in now and publish.verify(self.target):
            state = "not verified"
        self.count(f"{stage}: {state}")


def copy(source: Path, target: Path) -> None:
    shutil.rmtree(target, ignore_errors=True)
    if source.exists():
        shutil.copytree(source, target)


def main_kill(base: Path, first: bool) -> None:
    """Die at every change of a build, and after that at every change of ending the exchange.

    Prints a line of JSON: how often what came of it. Run in a process of its own, because a fork
    of pytest's process would copy whatever other tests have loaded there.
    """
    started, ended, killed = base / "started", base / "ended", base / "killed"
    if not first:
        build(started, OLD)
        put(started, MINE)
    copy(started, ended)
    build(ended, NEW)
    judge = Judge(base / "job", contents(started), contents(ended))
    target = judge.target
    seen: list[object] = []
    at = 1
    copy(started, target)
    while die_in_fork(at, lambda: build(target, NEW)):
        copy(target, killed)
        judge.recover("build")
        # Many calls, like those that flush, leave the folder as the call before did.
        state = [(p, p.read_bytes() if p.is_file() else b"") for p in sorted(killed.rglob("*"))]
        again, ending = 1, journal.journal_of(killed).exists() and state not in seen
        seen.append(state)
        while ending:
            copy(killed, target)
            died = dies(again, lambda: publish.recover(target))
            # Once the journal has gone only cleaning is left, where builds have died already.
            ending = died and journal.journal_of(target).exists()
            judge.recover("recovery")
            again += 1
        at += 1
        copy(started, target)
    sys.stdout.write(json.dumps({"points": at - 1, "tally": judge.tally}))


def main_build(folder: Path, names: str) -> None:
    """Publish with everything in the order that this process's hash seed gives."""
    files = {name: f"bytes of {name}" for name in set(names.split(","))}
    versions = dict.fromkeys({"jigs", "kernel", "meshes", "pictures"}, "1")
    with publish.into(folder, Stamp("key", versions)) as out:
        for name, text in files.items():
            out.write_text(name, text)
        out.describe("order", dict.fromkeys(files, 1.5))
    sys.stdout.write(",".join(files))


def main_hold(folder: Path) -> None:
    """Keep a publication open until told to go on."""
    with publish.into(folder, Stamp("held")) as out:
        out.write_text("held.txt", "held")
        sys.stdout.write("held\n")
        sys.stdout.flush()
        sys.stdin.readline()


def main_repeat(folder: Path, text: str) -> None:
    """Publish the same again and again, against somebody else who does too."""
    for turn in range(12):
        build(folder, {"a.txt": text, f"{text}.txt": str(turn)}, key=text, wait=20)


def child(*args: object, seed: int = 0) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(Path(__file__).resolve()), *map(str, args)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": str(seed)},
    )


def finished(process: subprocess.Popen[str], say: str = "") -> str:
    output, errors = process.communicate(say, timeout=60)
    assert process.returncode == 0, errors
    return output


# --- Interruption


@pytest.fixture
def quick_path(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory where the system has one: these tests make some ten thousand files."""
    memory = Path("/dev/shm")
    if not os.access(memory, os.W_OK):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        yield Path(folder)


@pytest.mark.parametrize("first", [True, False], ids=["first build", "rebuild"])
def test_killed_anywhere_the_next_command_ends_it(quick_path: Path, first: bool) -> None:
    result = json.loads(finished(child("kill", quick_path, int(first))))
    points, tally = result["points"], result["tally"]
    ends = {"build: old", "build: new", "recovery: new"}
    assert set(tally) == ends | {"true", "CLEANED", "COMPLETED", "NOTHING"}
    assert tally["build: old"] + tally["build: new"] == points
    # Both ends have to be reached often, else the points would not lie across the whole exchange.
    assert min(tally["build: old"], tally["build: new"]) > 15
    assert tally["recovery: new"] > 2 * points


@pytest.mark.parametrize("lasting", ["", "every call", "replace"])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES])
def test_error_of_the_system_anywhere(quick_path: Path, lasting: str, number: int) -> None:
    base = quick_path / "base"
    build(base, OLD)
    put(base, MINE)
    (base / "parts/gauge").mkdir()
    shutil.copytree(base, quick_path / "ended")
    build(quick_path / "ended", NEW)
    before, after = contents(base), contents(quick_path / "ended")
    refused = succeeded = 0
    at, done = 1, False
    while not done:
        folder = quick_path / f"job{at}"
        shutil.copytree(base, folder)
        mtimes = stamps(folder)

        def strike(count: int, name: str, args: tuple[Any, ...], at: int = at) -> None:
            if count == at or (count > at and lasting in ("every call", name)):
                raise OSError(number, os.strerror(number), str(args[0]))

        said = ""
        with faults(strike) as calls:
            try:
                build(folder, NEW)
            except ExportError as error:
                said = str(error)
        done = len(calls) < at
        refused, succeeded = refused + bool(said), succeeded + (not said)
        assert not said or ("remedy" in said and os.strerror(number) in said)
        if said and not lasting:
            assert contents(folder) == before
            assert stamps(folder) == mtimes
            assert not (folder / journal.STAGING).exists()
        assert truthful(folder)
        publish.recover(folder)
        assert contents(folder) in (before, after)
        assert publish.verify(folder) == []
        shutil.rmtree(folder)
        at += 1
    assert refused > 40
    assert succeeded >= 2


def fail(folder: Path, error: BaseException) -> None:
    with publish.into(folder, Stamp("k")) as out:
        out.write_text("parts/ring/fixed_half.step", "half of it")
        raise error


@pytest.mark.parametrize("error", [ValueError("no solid"), KeyboardInterrupt()])
def test_error_in_the_block_leaves_everything_as_it_was(
    tmp_path: Path, error: BaseException
) -> None:
    folder = tmp_path / "exports" / "dibber"
    build(folder, OLD)
    before, mtimes = contents(folder), stamps(folder)
    with pytest.raises(type(error)):
        fail(folder, error)
    assert contents(folder) == before
    assert stamps(folder) == mtimes
    assert not (folder / journal.STAGING).exists()


def test_error_in_a_first_build_leaves_no_folder(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for name in ("job", "empty"):
        with pytest.raises(ValueError, match="no solid"):
            fail(tmp_path / name, ValueError("no solid"))
    assert contents(tmp_path / "job") == {}
    assert contents(tmp_path / "empty") == {".": None}


def test_writer_that_fills_the_disk_is_told_but_other_files_errors_pass(tmp_path: Path) -> None:
    with (
        pytest.raises(ExportError, match="make room on the disk"),
        publish.into(tmp_path / "job", Stamp("k")) as out,
    ):
        raise OSError(errno.ENOSPC, "No space left on device", str(out.path("a.stl")))
    with pytest.raises(FileNotFoundError), publish.into(tmp_path / "job", Stamp("k")):
        (tmp_path / "config.yaml").read_text()


def interrupted(folder: Path, name: str) -> None:
    """Leave a rebuild from OLD to NEW interrupted just before `name` comes into place."""
    build(folder, OLD)
    put(folder, MINE)
    dead = False

    def strike(count: int, call: str, args: tuple[Any, ...]) -> None:
        nonlocal dead
        dead = dead or (call == "replace" and args[1] == folder / name)
        if dead:
            raise Frozen

    with faults(strike), pytest.raises(Frozen):
        build(folder, NEW)
    assert journal.journal_of(folder).exists()


def test_lost_staged_files_roll_back(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    build(folder, OLD)
    before = {
        **contents(folder),
        "parts/ring/my notes.txt": MINE["parts/ring/my notes.txt"].encode(),
    }
    interrupted(folder, "setup/first_side.txt")
    (journal.staged(folder) / "setup/first_side.txt").unlink()
    assert publish.recover(folder) is Recovery.ROLLED_BACK
    assert contents(folder) == before
    assert publish.verify(folder) == []


def test_forward_that_fails_goes_back(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    interrupted(folder, "setup/first_side.txt")
    struck = False

    def strike(count: int, call: str, args: tuple[Any, ...]) -> None:
        nonlocal struck
        if call == "replace" and not struck:
            struck = True
            raise OSError(errno.EACCES, "Permission denied", str(args[1]))

    with faults(strike):
        assert publish.recover(folder) is Recovery.ROLLED_BACK
    assert (folder / "parts/ring/fixed_half.step").read_text() == "fixed half, 38 mm"
    assert publish.verify(folder) == []


def test_lost_both_ways_is_said_and_changes_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    interrupted(folder, "manifest.json")
    (journal.staged(folder) / "manifest.json").unlink()
    (folder / journal.STAGING / "old" / "setup").unlink()
    before = contents(folder)
    with pytest.raises(ExportError, match="build again"):
        publish.recover(folder)
    assert contents(folder) == before


def test_edited_after_the_interruption_is_never_touched(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    interrupted(folder, "manifest.json")
    mine = folder / "parts/ring/fixed_half.step"
    mine.write_text("filed by hand")
    before = contents(folder)
    for command in (publish.recover, lambda target: build(target, NEW)):
        with pytest.raises(ExportError, match="fixed_half"):
            command(folder)
        assert contents(folder) == before
    mine.rename(folder / "kept.step")
    assert publish.recover(folder) is Recovery.ROLLED_BACK
    assert publish.verify(folder) == []
    assert (folder / "kept.step").read_text() == "filed by hand"


@pytest.mark.parametrize("name", ["parts/gauge/gauge.step", "parts/ring/fixed_half.step"])
def test_written_by_the_user_while_files_are_put_in_place(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "job"
    build(folder, OLD)

    def strike(count: int, call: str, args: tuple[Any, ...]) -> None:
        if call == "replace" and args[1] == journal.journal_of(folder):
            put(folder, {name: "by hand"})

    with faults(strike), pytest.raises(ExportError, match="somebody else"):
        build(folder, NEW)
    assert (folder / name).read_text() == "by hand"
    # Where the old build had no such file the old one stands again; else the user has to decide.
    if name not in OLD:
        assert not (folder / journal.STAGING).exists()
        assert publish.verify(folder) == []
    else:
        with pytest.raises(ExportError, match="move or rename"):
            publish.recover(folder)
        (folder / name).unlink()
        assert publish.recover(folder) is Recovery.COMPLETED
    assert truthful(folder)


def test_everything_is_on_the_disk_before_the_journal_is(tmp_path: Path) -> None:
    flushed = 0

    def strike(count: int, call: str, args: tuple[Any, ...]) -> None:
        nonlocal flushed
        if call == "replace" and args[1] == journal.journal_of(tmp_path / "job"):
            flushed = list(pairwise(calls)).count(("open", "fsync"))

    with faults(strike) as calls:
        build(tmp_path / "job", NEW)
    # Each file, the manifest and the journal. Folders are opened for reading: not counted.
    assert flushed == len(NEW) + 2


def test_next_build_ends_the_last_one_first(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    interrupted(folder, "renders")
    assert publish.verify(folder) == ["an interrupted build was left behind"]
    assert not publish.unchanged(folder, "k")
    outcome = build(folder, OLD)
    assert outcome.recovered is Recovery.COMPLETED
    assert publish.verify(folder) == []
    assert (folder / "renders/ring.png").read_text() == "picture"


def test_unreadable_journal_is_said(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    interrupted(folder, "renders")
    journal.journal_of(folder).write_text("{}")
    with pytest.raises(ExportError, match="not a journal"):
        publish.recover(folder)


def test_recover_with_nothing_to_do_makes_nothing(tmp_path: Path) -> None:
    assert publish.recover(tmp_path / "exports" / "none") is Recovery.NOTHING
    assert list(tmp_path.iterdir()) == []


# --- The user's own files


def test_own_files_survive_and_stale_ones_go(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    build(folder, OLD)
    put(folder, MINE)
    outcome = build(folder, NEW)
    assert outcome.written == (
        "parts/gauge/gauge.step",
        "parts/ring/fixed_half.step",
        "renders",
        "setup/first_side.txt",
    )
    assert outcome.unchanged == ("parts/ring/loose_half.step",)
    assert outcome.removed == ("drawings/sheet.dxf", "renders/ring.png", "setup")
    assert outcome.kept == ()
    manifest = (folder / "manifest.json").read_bytes()
    expected = {name: text.encode() for name, text in {**NEW, **MINE}.items()}
    assert {k: v for k, v in contents(folder).items() if v is not None} == {
        **expected,
        "manifest.json": manifest,
    }
    assert not (folder / "drawings").exists()


@pytest.mark.parametrize(
    ("mine", "named"),
    [
        ({"parts/gauge/gauge.step": "a gauge of mine"}, "parts/gauge/gauge.step"),
        ({"parts/ring/fixed_half.step": "edited"}, "parts/ring/fixed_half.step"),
        ({"renders/holiday.png": "beach"}, "renders/holiday.png"),
        ({"parts/gauge": "not a folder"}, "parts/gauge"),
    ],
    ids=["not listed", "edited", "inside a folder that would go", "file where a folder would be"],
)
def test_foreign_file_in_the_way_is_refused(
    tmp_path: Path, mine: dict[str, str], named: str
) -> None:
    folder = tmp_path / "job"
    build(folder, OLD)
    put(folder, mine)
    before = contents(folder)
    with pytest.raises(ExportError, match="move or rename") as caught:
        build(folder, NEW)
    assert f"\n    {named}\n" in str(caught.value)
    assert contents(folder) == before
    assert not (folder / journal.STAGING).exists()


def test_empty_folder_of_the_user_in_the_way_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    (folder / "renders").mkdir(parents=True)
    with pytest.raises(ExportError, match="\n    renders\n"):
        build(folder, NEW)
    assert contents(folder) == {".": None, "renders": None}


def test_same_bytes_in_the_way_are_taken_over(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    put(folder, {"setup/first_side.txt": "page one"})
    mtimes = stamps(folder)
    assert build(folder, NEW).unchanged == ("setup/first_side.txt",)
    assert mtimes.items() <= stamps(folder).items()


def test_stale_file_that_was_edited_is_kept_and_told(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    build(folder, OLD)
    put(folder, {"drawings/sheet.dxf": "my arrangement"})
    outcome = build(folder, NEW)
    assert outcome.kept == ("drawings/sheet.dxf",)
    assert (folder / "drawings/sheet.dxf").read_text() == "my arrangement"
    assert publish.verify(folder) == []
    assert build(folder, NEW).kept == ()


def test_same_again_touches_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    build(folder, NEW)
    mtimes = stamps(folder)
    outcome = build(folder, NEW)
    assert outcome.written == outcome.removed == ()
    assert stamps(folder) == mtimes


def test_deleted_file_comes_back(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    build(folder, NEW)
    (folder / "renders").unlink()
    assert publish.verify(folder) == ["renders: missing"]
    assert build(folder, NEW).written == ("renders",)
    assert publish.verify(folder) == []


def test_manifest_of_somebody_else_is_refused(tmp_path: Path) -> None:
    good = {"format": 1, "key": "", "versions": {}, "extra": {}}
    for text in (
        "not JSON",
        "[]",
        '{"files": {}}',
        json.dumps({**good, "files": {"../up.txt": {"sha256": "0" * 64, "size": 1}}}),
        json.dumps({**good, "files": {"up.txt": {"sha256": "0", "size": 1}}}),
    ):
        put(tmp_path, {"manifest.json": text})
        with pytest.raises(ExportError, match="not a manifest"):
            build(tmp_path, NEW)
        assert contents(tmp_path).keys() == {".", "manifest.json"}
        assert not publish.unchanged(tmp_path, "")


# --- Links


@pytest.mark.parametrize("link", ["job", "job/parts", "job/parts/ring", "job/renders"])
@pytest.mark.parametrize("dangling", [False, True])
def test_nothing_is_written_through_a_link(tmp_path: Path, link: str, dangling: bool) -> None:
    elsewhere = tmp_path / "elsewhere"
    if not dangling:
        put(elsewhere, {"ring/fixed_half.step": "somebody else's"})
    before = contents(elsewhere)
    (tmp_path / link).parent.mkdir(parents=True, exist_ok=True)
    (tmp_path / link).symlink_to(elsewhere, target_is_directory=True)
    with pytest.raises(ExportError, match="link"):
        build(tmp_path / "job", NEW)
    assert contents(elsewhere) == before
    assert (tmp_path / link).is_symlink()


def test_stale_files_behind_a_link_stay(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    build(folder, OLD)
    (folder / "drawings").rename(tmp_path / "drawings")
    (folder / "drawings").symlink_to(tmp_path / "drawings")
    assert publish.verify(folder) == ["drawings/sheet.dxf: is a link"]
    assert build(folder, NEW).kept == ("drawings/sheet.dxf",)
    assert (tmp_path / "drawings/sheet.dxf").read_text() == "one sheet"


@pytest.mark.parametrize(
    ("name", "said"),
    [("manifest.json", "is a link"), (journal.STAGING, "nothing is written through a link")],
)
def test_link_as_manifest_or_staging_is_refused(tmp_path: Path, name: str, said: str) -> None:
    build(tmp_path / "other", OLD)
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / name).symlink_to(tmp_path / "other")
    with pytest.raises(ExportError, match=said):
        build(tmp_path / "job", NEW)
    assert publish.verify(tmp_path / "other") == []


def test_writer_that_leaves_a_link_is_refused(tmp_path: Path) -> None:
    put(tmp_path, {"secret": "s"})
    with (
        pytest.raises(ExportError, match="announced, but a link was written"),
        publish.into(tmp_path / "job", Stamp("k")) as out,
    ):
        out.path("a.txt").symlink_to(tmp_path / "secret")


# --- Names


@pytest.mark.parametrize(
    "name",
    """|/abs.txt|../up.txt|a/../../b|a//b|./a|a/|C:/a|C:a|a\\b|\\\\host\\a|CON|con.txt|a/Nul.step
    |aux .txt|COM1.dxf|lpt9|COM¹|conout$|dot.|space |a\tb|a\nb|a\x7fb|a\x85b|a\u2028b|a\ud800b|a?b
    |a*b|a<b|a"b|manifest.json|Manifest.JSON|.jigs-staging/new/a|.JIGS-staging""".replace(
        "\n    ", ""
    ).split("|"),
)
def test_unsafe_name_is_refused(tmp_path: Path, name: str) -> None:
    with (
        pytest.raises(ExportError, match="file name"),
        publish.into(tmp_path / "job", Stamp("k")) as out,
    ):
        out.path(name)
    assert not (tmp_path / "job").exists()


def test_names_of_every_plain_kind_are_taken(tmp_path: Path) -> None:
    names = ["a b.txt", "Größe/½ in.dxf", "console.txt", "com10", ".hidden", "parts/manifest.json"]
    build(tmp_path / "job", dict.fromkeys(names, "x"))
    assert publish.verify(tmp_path / "job") == []
    assert (tmp_path / "job" / "Größe" / "½ in.dxf").read_text() == "x"


@pytest.mark.parametrize(
    ("one", "two"),
    [("ring.step", "Ring.step"), ("h\u00f6he", "ho\u0308he"), ("a", "a/b"), ("a/b", "a")],
)
def test_two_files_cannot_have_one_place(tmp_path: Path, one: str, two: str) -> None:
    with pytest.raises(ExportError):
        build(tmp_path / "job", {one: "1", two: "2"})
    assert not (tmp_path / "job").exists()


def test_name_cannot_be_given_twice(tmp_path: Path) -> None:
    with publish.into(tmp_path / "job", Stamp("k")) as out:
        out.write_text("a.txt", "1")
        with pytest.raises(ExportError, match="already written"):
            out.write_text("a.txt", "2")
    assert (tmp_path / "job" / "a.txt").read_text() == "1"


def test_announced_and_written_have_to_agree(tmp_path: Path) -> None:
    def announce(name: str, *written: str) -> None:
        with publish.into(tmp_path / "job", Stamp("k")) as out:
            place = out.path(name)
            for file in written:
                place.with_name(file).write_text("faces")

    with pytest.raises(ExportError, match="'a/ring' was announced, but nothing was written"):
        announce("a/ring")
    with pytest.raises(ExportError, match=r"without being announced:\n    a/ring mtl$"):
        announce("a/ring", "ring", "ring mtl")
    assert not (tmp_path / "job").exists()


# --- The manifest


def test_manifest_to_the_byte(tmp_path: Path) -> None:
    build(tmp_path / "job", {"b/ø.txt": "two\n", "a.txt": ""}, key="abc")
    # SHA-256 of the empty message: NIST, CAVP test vectors, SHA256ShortMsg.rsp, Len = 0.
    empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    two = hashlib.sha256(b"two\n").hexdigest()
    expected = f"""{{
 "extra": {{
  "transforms": {{
   "ring": [
    0.0,
    0.0,
    12.5
   ]
  }}
 }},
 "files": {{
  "a.txt": {{
   "sha256": "{empty}",
   "size": 0
  }},
  "b/ø.txt": {{
   "sha256": "{two}",
   "size": 4
  }}
 }},
 "format": 1,
 "key": "abc",
 "versions": {{
  "jigs": "0.1.0",
  "kernel": "7.8"
 }}
}}
"""
    assert (tmp_path / "job" / "manifest.json").read_bytes() == expected.encode()


def test_manifest_is_the_same_in_every_process_and_folder(tmp_path: Path) -> None:
    names = "sheet.dxf,parts/ring.step,parts/gauge.step,setup.html,bolts.csv,ring.stl,cuts.csv"
    runs = [child("build", tmp_path / f"job{s}" / f"n{s}", names, seed=s) for s in (1, 2, 3)]
    orders = {finished(run) for run in runs}
    assert len(orders) > 1
    found = {(tmp_path / f"job{s}" / f"n{s}" / "manifest.json").read_bytes() for s in (1, 2, 3)}
    assert len(found) == 1


def test_manifest_reads_back(tmp_path: Path) -> None:
    build(tmp_path / "job", {"a.txt": "abc"}, key="key")
    manifest = publish.read_manifest(tmp_path / "job")
    assert manifest is not None
    assert manifest.stamp == Stamp("key", VERSIONS)
    assert manifest.extra == {"transforms": {"ring": [0.0, 0.0, 12.5]}}
    # SHA-256 of "abc": FIPS 180-4's example, as NIST prints it in "SHA256.pdf" of its examples.
    assert manifest.files["a.txt"] == publish.Entry(
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", 3
    )
    assert publish.read_manifest(tmp_path) is None


@pytest.mark.parametrize("value", [float("nan"), {1, 2}, Path("a"), "\ud800"])
def test_manifest_refuses_what_is_no_json(tmp_path: Path, value: object) -> None:
    with (
        pytest.raises(ExportError, match="JSON"),
        publish.into(tmp_path / "job", Stamp("k")) as out,
    ):
        out.describe("value", value)


def test_manifest_refuses_this_machines_folder(tmp_path: Path) -> None:
    with (
        pytest.raises(ExportError, match="folder of this machine"),
        publish.into(tmp_path / "job", Stamp("k")) as out,
    ):
        out.describe("source", [{"step": str(tmp_path / "job" / "a.step")}])


def test_verify_names_each_difference(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    assert publish.verify(folder) == ["manifest.json: missing"]
    build(folder, dict.fromkeys("abcde", "text"))
    put(folder, {"a": "tex", "b": "tExt", "own": "mine"})
    (folder / "c").unlink()
    (folder / "d").unlink()
    (folder / "d").mkdir()
    assert publish.verify(folder) == [
        "a: has 3 bytes, not 4",
        "b: has other bytes",
        "c: missing",
        "d: is a folder",
    ]


def test_unchanged_needs_key_and_every_file(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    assert not publish.unchanged(folder, "k")
    build(folder, NEW, key="k")
    assert publish.unchanged(folder, "k")
    assert not publish.unchanged(folder, "other")
    put(folder, MINE)
    assert publish.unchanged(folder, "k")
    put(folder, {"renders": NEW["renders"].upper()})
    assert not publish.unchanged(folder, "k")


# --- Two at once, and folders that cannot be


def test_second_build_is_told_of_the_first(tmp_path: Path) -> None:
    folder = tmp_path / "exports" / "job"
    other = child("hold", folder)
    assert other.stdout is not None
    assert other.stdout.readline() == "held\n"
    for command in (lambda: build(folder, NEW, wait=0.1), lambda: publish.recover(folder, 0.1)):
        begun = time.monotonic()
        with pytest.raises(ExportError, match="another build is writing"):
            command()
        assert time.monotonic() - begun < 2
    finished(other, "go on\n")
    assert (folder / "held.txt").read_text() == "held"
    assert build(folder, NEW).removed == ("held.txt",)


def test_two_processes_in_turn_leave_one_whole_publication(tmp_path: Path) -> None:
    runs = [child("repeat", tmp_path / "job", text) for text in ("one", "two")]
    for run in runs:
        finished(run)
    manifest = publish.read_manifest(tmp_path / "job")
    assert manifest is not None
    key = manifest.stamp.key
    assert publish.verify(tmp_path / "job") == []
    found = {name for name, data in contents(tmp_path / "job").items() if data is not None}
    assert found == {"a.txt", f"{key}.txt", "manifest.json"}
    assert (tmp_path / "job/a.txt").read_text() == key


def test_block_inside_a_block_is_told(tmp_path: Path) -> None:
    with publish.into(tmp_path / "job", Stamp("k")) as out:
        out.write_text("a.txt", "a")
        with pytest.raises(ExportError, match="another build is writing"):
            build(tmp_path / "job", NEW, wait=0.05)
    assert publish.verify(tmp_path / "job") == []
    assert out.outcome.written == ("a.txt",)


def test_file_in_the_folders_place_or_above_it_is_told(tmp_path: Path) -> None:
    put(tmp_path, {"file": "mine"})
    for folder in (tmp_path / "file", tmp_path / "file" / "job", Path("/")):
        with pytest.raises(ExportError):
            build(folder, NEW)
    assert contents(tmp_path).keys() == {".", "file"}


def test_outcome_is_there_only_after_the_end(tmp_path: Path) -> None:
    with publish.into(tmp_path / "job", Stamp("k")) as out, pytest.raises(RuntimeError):
        _ = out.outcome
    assert out.outcome.written == ()


if __name__ == "__main__":
    job, target = sys.argv[1], Path(sys.argv[2])
    if job == "kill":
        main_kill(target, first=sys.argv[3] == "1")
    elif job == "build":
        main_build(target, sys.argv[3])
    elif job == "hold":
        main_hold(target)
    elif job == "repeat":
        main_repeat(target, sys.argv[3])
