"""New files: all or none, whole, and never in the place of another."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from jigs.errors import ExportError
from jigs.starting import refuse_closed, write_new

JOB, MACHINE = Path("shop/job.yaml"), Path("shop/machines/mine.yaml")
FILES = {JOB: b"job: pegs\n", MACHINE: b"name: mine\n"}


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def all_below(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


def test_files_and_folders_are_made_and_nothing_else_is_left(here: Path):
    write_new(FILES)
    assert all_below(here) == ["shop", "shop/job.yaml", "shop/machines", "shop/machines/mine.yaml"]
    assert JOB.read_bytes() == b"job: pegs\n"


@pytest.mark.parametrize("taken", [JOB, MACHINE])
def test_a_file_that_is_there_stays_and_nothing_is_written(here: Path, taken: Path):
    taken.parent.mkdir(parents=True)
    taken.write_bytes(b"mine")
    before = all_below(here)
    with pytest.raises(ExportError, match="is there already, and stays") as refused:
        write_new(FILES)
    assert taken.name in str(refused.value)
    assert "remedy" in str(refused.value)
    assert all_below(here) == before
    assert taken.read_bytes() == b"mine"


def test_a_link_to_nowhere_is_something_that_is_there(here: Path):
    JOB.parent.mkdir()
    JOB.symlink_to("nowhere")
    with pytest.raises(ExportError, match="is there already"):
        write_new(FILES)
    assert JOB.is_symlink()


def test_one_who_comes_in_between_is_not_overwritten(here: Path, monkeypatch):
    """Somebody saves the second file after we looked and before it gets its name."""
    link = os.link

    def slow(source: Path, target: Path) -> None:
        if target == MACHINE:
            MACHINE.write_bytes(b"theirs")
        link(source, target)

    monkeypatch.setattr(os, "link", slow)
    with pytest.raises(ExportError, match=r"mine\.yaml"):
        write_new(FILES)
    assert MACHINE.read_bytes() == b"theirs"
    assert all_below(here) == ["shop", "shop/machines", "shop/machines/mine.yaml"]


def test_a_file_system_without_links_gets_the_same_files(here: Path, monkeypatch):
    def none(source: Path, target: Path) -> None:
        raise PermissionError("no links here")

    monkeypatch.setattr(os, "link", none)
    write_new(FILES)
    assert MACHINE.read_bytes() == b"name: mine\n"
    assert len(all_below(here)) == 4


@pytest.mark.parametrize("stop", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_whatever_stops_it_nothing_is_left(here: Path, monkeypatch, stop: BaseException):
    seen: list[int] = []

    def full(number: int) -> None:
        seen.append(number)
        if len(seen) == 2:
            raise stop

    monkeypatch.setattr(os, "fsync", full)
    wanted = ExportError if isinstance(stop, OSError) else KeyboardInterrupt
    with pytest.raises(wanted):
        write_new(FILES)
    assert len(seen) == 2
    assert all_below(here) == []


def test_a_folder_that_cannot_be_is_refused_before_anything_is_asked(here: Path, monkeypatch):
    Path("file").write_bytes(b"")
    for folder in (Path("file"), Path("file/deeper/still")):
        with pytest.raises(ExportError, match="file is not a folder"):
            refuse_closed(folder)
    with pytest.raises(ExportError, match="no files can be written there"):
        write_new({Path("file/job.yaml"): b""})
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(ExportError, match="Permission denied"):
        refuse_closed(Path("new/folder"))
