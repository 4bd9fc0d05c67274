"""A second process that works ahead: the same files, and only where it pays."""

import subprocess
import tempfile
import time
from pathlib import Path

import pytest

from jigs import ahead
from jigs.ahead import PROCESSES, processes, work_from_the_end, working_ahead
from jigs.building import Memory, build
from jigs.kept import WHERE, Kept

ONE_SETUP = Path(__file__).parent / "shops/clamp_very_small.yaml"


def bytes_in(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes()
            for p in folder.rglob("*") if p.is_file()}  # fmt: skip


def test_two_processes_write_what_one_writes(tmp_path, monkeypatch):
    """The second is seen to start, and what it found is used: the files are the same bytes."""
    started = []
    plainly = subprocess.Popen

    def seen(command, **rest):
        started.append(command)
        return plainly(command, **rest)

    monkeypatch.setattr(ahead.subprocess, "Popen", seen)
    for name, number in (("alone", "1"), ("two", "2")):
        monkeypatch.setenv(WHERE, str(tmp_path / f"kept {name}"))
        monkeypatch.setenv(PROCESSES, number)
        build(ONE_SETUP, tmp_path / name, pictures=False, dry_fit=False, papers=False)
    assert len(started) == 1
    assert bytes_in(tmp_path / "alone") == bytes_in(tmp_path / "two")


def test_what_it_works_out_is_all_that_the_build_then_asks_for(tmp_path, monkeypatch):
    monkeypatch.setenv(WHERE, str(tmp_path))
    work_from_the_end(ONE_SETUP, tmp_path / "scratch", dry_fit=False, pictures=False)
    built = []
    monkeypatch.setattr("jigs.solids.store.part_solid", lambda part: built.append(part.id))
    build(ONE_SETUP, tmp_path / "out", pictures=False, dry_fit=False, papers=False)
    assert built == []


def test_it_starts_where_there_are_two_and_a_store_and_ends_with_the_block(tmp_path, monkeypatch):
    monkeypatch.setenv(PROCESSES, "2")
    monkeypatch.setenv(WHERE, str(tmp_path))
    kept = Kept(tmp_path / "kept")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    (tmp_path / "temporary").mkdir()
    with working_ahead(ONE_SETUP, kept, dry_fit=False, pictures=False) as helper:
        assert helper is not None
        assert helper.poll() is None
        while helper.poll() is None and not list(tmp_path.glob("temporary/*/*")):
            time.sleep(0.01)
    assert helper.poll() is not None
    assert list(tmp_path.glob("temporary/*")) == [], "killed while it wrote, it leaves nothing"
    with working_ahead(ONE_SETUP, Kept(), dry_fit=False, pictures=False) as helper:
        assert helper is None
    monkeypatch.setenv(PROCESSES, "1")
    with working_ahead(ONE_SETUP, kept, dry_fit=False, pictures=False) as helper:
        assert helper is None


def test_a_process_that_builds_again_and_again_works_alone(tmp_path, monkeypatch):
    """It has the kernel already: a second one would come too late."""
    monkeypatch.setenv(PROCESSES, "2")
    monkeypatch.setenv(WHERE, str(tmp_path / "kept"))
    monkeypatch.setattr(ahead.subprocess, "Popen", lambda *words, **rest: pytest.fail("started"))
    built = build(ONE_SETUP, tmp_path / "out", pictures=False, dry_fit=False, papers=False,
                  memory=Memory())  # fmt: skip
    assert built.written


def test_what_the_build_finds_first_is_there_for_the_second(tmp_path, monkeypatch):
    """Saved while it works, not at its end: the other process sees it."""
    mine, other = (Kept(tmp_path / "kept", "this code") for _ in range(2))
    with mine.saving_every(0.0):
        assert mine.answer("measure", (1,), lambda: 0.25) == 0.25
    assert other.answer("measure", (1,), lambda: pytest.fail("not found")) == 0.25
    mine.answer("measure", (2,), lambda: 0.5)
    assert other.answer("measure", (2,), lambda: 0.75) == 0.75


@pytest.mark.parametrize(("said", "many"), [("1", 1), ("2", 2), ("7", 7)])
def test_how_many_processes_can_be_said(monkeypatch, said, many):
    monkeypatch.setenv(PROCESSES, said)
    assert processes() == many
    monkeypatch.setenv(PROCESSES, "many")
    assert processes() >= 1
