"""What a build does when nothing changed, and that anything that it was read from is seen to."""

from __future__ import annotations

import re
import textwrap
from pathlib import Path

import pytest

from jigs import building
from jigs.building import build
from jigs.errors import ReadingError, ReadingErrors
from jigs.publish import read_manifest

SHOPS = Path(__file__).parent / "shops"
FEW = {"pictures": False, "dry_fit": False, "papers": False}


@pytest.fixture(scope="module")
def built_once(tmp_path_factory):
    """A job in a folder of its own, its machine in a file beside it, and its build."""
    folder = tmp_path_factory.mktemp("job")
    job = folder / "kings.yaml"
    text = (SHOPS / "clamp_very_small.yaml").read_text()
    machine = re.search(r"^machine:\n((?:  .*\n)+)", text, re.MULTILINE)
    assert machine is not None
    (folder / "router.yaml").write_text(textwrap.dedent(machine[1]))
    job.write_text(text.replace(machine[0], "machine: router.yaml\n"))
    assert not build(job, folder / "out", **FEW).unchanged
    return job, folder / "out"


def read_by(folder: Path) -> list[str]:
    manifest = read_manifest(folder)
    assert manifest is not None
    names = manifest.extra[building.READ]
    assert isinstance(names, list)
    return names


def test_where_nothing_changed_the_job_is_not_even_read(built_once, monkeypatch):
    job, out = built_once
    monkeypatch.setattr("jigs.reading.job.read_job", lambda path: pytest.fail("was read"))
    again = build(job, out, **FEW)
    assert again.unchanged
    assert {path.name for path in again.read} == {Path(name).name for name in read_by(out)}


def test_the_manifest_names_every_file_as_seen_from_the_job(built_once):
    job, out = built_once
    names = read_by(out)
    assert job.name in names
    assert len(names) == 2
    for name in names:
        assert not Path(name).is_absolute()
        assert (job.parent / name).is_file()


@pytest.mark.parametrize("which", [0, 1])
def test_a_change_of_any_file_that_was_read_is_seen(built_once, which):
    """A word of comment is enough: bytes decide, not meaning."""
    job, out = built_once
    path = job.parent / read_by(out)[which]
    before = path.read_bytes()
    path.write_bytes(before + b"# seen\n")
    assert not build(job, out, **FEW).unchanged
    path.write_bytes(before)
    assert not build(job, out, **FEW).unchanged
    assert build(job, out, **FEW).unchanged


def test_another_job_in_the_same_folder_is_another_build(built_once):
    """Its files are not those of the job that was built there before, though these still stand."""
    job, out = built_once
    other = job.with_name("queens.yaml")
    other.write_text(job.read_text().replace("draughts kings", "draughts queens"))
    assert building._as_before(out, other, (False, False, False)) is None
    assert building._as_before(out, job, (False, False, False)) is not None
    assert not build(other, out, **FEW).unchanged
    assert not build(job, out, **FEW).unchanged


def test_other_choices_are_another_build(built_once):
    job, out = built_once
    assert building._as_before(out, job, (False, False, False)) is not None
    for i in range(3):
        assert building._as_before(out, job, tuple(i == k for k in range(3))) is None


def test_a_file_that_went_away_is_told_by_reading(built_once):
    job, out = built_once
    machine = job.parent / next(name for name in read_by(out) if name != job.name)
    aside = machine.rename(machine.with_suffix(".aside"))
    try:
        with pytest.raises((ReadingError, ReadingErrors)):
            build(job, out, **FEW)
    finally:
        aside.rename(machine)
    assert build(job, out, **FEW).unchanged


def test_a_published_file_that_was_edited_is_not_as_before(built_once):
    job, out = built_once
    report = out / "report.json"
    before = report.read_bytes()
    report.write_bytes(before + b" ")
    assert building._as_before(out, job, (False, False, False)) is None
    report.write_bytes(before)
    assert building._as_before(out, job, (False, False, False)) is not None


def test_what_had_to_be_left_out_is_tried_again(built_once, monkeypatch):
    """A graphics library that was installed since is no file of the job."""
    job, out = built_once
    with monkeypatch.context() as there:
        there.setattr("jigs.outputs.cad.files.write_pictures", lambda *rest: ["no pictures here"])
        assert build(job, out, pictures=True, dry_fit=False, papers=False).notes
        assert not build(job, out, pictures=True, dry_fit=False, papers=False).unchanged
        there.setattr("jigs.outputs.cad.files.write_pictures", lambda *rest: [])
        assert not build(job, out, pictures=True, dry_fit=False, papers=False).unchanged
        assert build(job, out, pictures=True, dry_fit=False, papers=False).unchanged
