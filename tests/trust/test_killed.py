"""Killed at a moment that nobody chose: a sample of what the long run does fifty times.

`tests/test_publish.py` dies at every call that changes the disk, and fills the disk, forbids
writing, and builds twice at once; here the process is real, and so is the signal.
"""

from __future__ import annotations

import os
import random
import shutil
import stat
import sys
from pathlib import Path

import pytest

from jigs import publish
from jigs.errors import ExportError

from .killed import MINE, NOTES, child, files_of, kill_at, lies, seen


@pytest.mark.parametrize("at", range(3))
def test_what_is_left_of_a_killed_build_is_one_build(at: int, tmp_path: Path) -> None:
    told = kill_at(random.Random(f"kill {at}"), tmp_path / "job")
    assert told in {"nothing", "completed", "rolled back", "cleaned", "folder deleted"}


def test_a_folder_that_is_deleted_while_a_build_waits(tmp_path: Path) -> None:
    """Between two builds the owner tidies up: the next one starts from nothing."""
    folder = tmp_path / "job"
    for version in (1, 2):
        with publish.into(folder, publish.Stamp(str(version))) as out:
            for name, data in files_of(version).items():
                out.write_bytes(name, data)
        assert publish.verify(folder) == []
        shutil.rmtree(folder)
    assert publish.recover(folder) is publish.Recovery.NOTHING
    assert not folder.exists()


def test_a_folder_that_is_deleted_within_a_build_is_told(tmp_path: Path) -> None:
    """No traceback, no half of a build, and the next one is whole."""
    folder = tmp_path / "job"

    def build(*, delete: bool) -> None:
        with publish.into(folder, publish.Stamp("x")) as out:
            for i, (name, data) in enumerate(files_of(1).items()):
                if delete and i == 10:
                    shutil.rmtree(folder)
                out.write_bytes(name, data)

    with pytest.raises(ExportError):
        build(delete=True)
    assert not folder.exists() or not lies(seen(folder))
    build(delete=False)
    assert publish.verify(folder) == []


def test_a_folder_that_only_lets_itself_be_read(tmp_path: Path) -> None:
    """Said, and nothing is changed; also for the owner of everything, who is somebody else here."""
    folder = tmp_path / "job"
    with publish.into(folder, publish.Stamp("1")) as out:
        out.write_text("a.txt", "one")
    (folder / "notes.txt").write_bytes(MINE)
    for path in (tmp_path, folder, *folder.iterdir()):
        path.chmod(path.stat().st_mode & ~(stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH) | 0o555)
    before = seen(folder)
    was, nobody = os.geteuid(), 65534
    try:
        if was == 0:
            for above in tmp_path.parents[:2]:
                above.chmod(0o755)
            os.seteuid(nobody)
        with (
            pytest.raises(ExportError, match="remedy"),
            publish.into(folder, publish.Stamp("2")) as out,
        ):
            out.write_text("a.txt", "two")
    finally:
        os.seteuid(was)
        tmp_path.chmod(0o755)
        folder.chmod(0o755)
    assert seen(folder) == before
    assert publish.verify(folder) == []


def test_two_builds_at_once_leave_one(tmp_path: Path) -> None:
    """Two processes publish different things into one folder, again and again."""
    folder = tmp_path / "job"
    pair = [child("builds", folder, first, 0.2) for first in (1, 1000)]
    try:
        for process in pair:
            assert process.stdout is not None
            for _ in range(3):
                assert process.stdout.readline().strip().isdigit()
    finally:
        for process in pair:
            process.kill()
            process.communicate()
    publish.recover(folder)
    assert publish.verify(folder) == []
    (folder / NOTES).write_bytes(MINE)
    versions = {name.split(" of ")[1] for name in seen(folder) if " of " in name}
    assert len(versions) == 1


def test_the_child_says_why_it_could_not(tmp_path: Path) -> None:
    """Else a child that never builds would look like one that was killed."""
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    process = child("builds", tmp_path / "file", 1, 0.0)
    output, errors = process.communicate(timeout=60)
    assert output == ""
    assert "is no folder to write into" in errors
    assert process.returncode != 0
    assert sys.executable
