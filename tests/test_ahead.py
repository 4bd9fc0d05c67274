"""A second process that works ahead: the same files, and only where it pays."""

import subprocess
from pathlib import Path

import pytest

from jigs import ahead
from jigs.ahead import PROCESSES, is_mostly_new, processes, work_from_the_end, working_ahead
from jigs.building import build
from jigs.kept import WHERE, Kept
from jigs.solids.store import Solids

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
    work_from_the_end(ONE_SETUP, dry_fit=False, pictures=False)
    built = []
    monkeypatch.setattr("jigs.solids.store.part_solid", lambda part: built.append(part.id))
    build(ONE_SETUP, tmp_path / "out", pictures=False, dry_fit=False, papers=False)
    assert built == []


def test_it_starts_only_where_most_is_new_and_ends_with_the_build(allotment, tmp_path, monkeypatch):
    monkeypatch.setenv(PROCESSES, "2")
    kept = Kept(tmp_path / "kept")
    monkeypatch.setenv(WHERE, str(tmp_path))
    assert is_mostly_new(allotment, kept)
    with working_ahead(allotment, kept, dry_fit=False, pictures=False) as helper:
        assert helper is not None
        assert helper.poll() is None
    assert helper.poll() is not None
    monkeypatch.setenv(PROCESSES, "1")
    with working_ahead(allotment, kept, dry_fit=False, pictures=False) as helper:
        assert helper is None
    solids = Solids(kept)
    for _, jig in allotment.jigs():
        for part in jig.parts.values():
            solids.part(part)
    kept.save()
    assert not is_mostly_new(allotment, kept)
    monkeypatch.setenv(PROCESSES, "2")
    with working_ahead(allotment, kept, dry_fit=False, pictures=False) as helper:
        assert helper is None


@pytest.mark.parametrize(("said", "many"), [("1", 1), ("2", 2), ("7", 7)])
def test_how_many_processes_can_be_said(monkeypatch, said, many):
    monkeypatch.setenv(PROCESSES, said)
    assert processes() == many
    monkeypatch.setenv(PROCESSES, "many")
    assert processes() >= 1
