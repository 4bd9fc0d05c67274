"""The zip for a collaborator: what is in it, that it never changes, and what it refuses."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pytest

from jigs.errors import ExportError
from jigs.outputs.pack import readme, write_pack
from jigs.publish import Stamp, into, verify

FILES = {
    "parts/ring/fixed_half.step": "ISO-10303-21;",
    "parts/ring/fixed_half.stl": "solid",
    "make/clamp/rib.dxf": "0\nEOF\n",
    "make/cut list.csv": "jig,part\n",
    "print/gauge/bar.3mf": "PK",
    "pictures/ring.png": "PNG",
    "drawings/drawings.pdf": "%PDF",
    "drawings/clamp/rib.svg": "<svg/>",
    "drawings/clamp/rib.dxf": "0\nEOF\n",
    "setup sheet.html": "<!DOCTYPE html>",
}


def report(verdict: str = "met") -> dict:
    finding = {"check": "room for the nut", "of": "ring", "verdict": verdict, "group": "fit"}
    return {
        "job": "dibbers",
        "revision": "C",
        "machine": "bench router",
        "verdict": verdict,
        "counts": {verdict: 1},
        "not covered": ["holding force and strength", "wear and creep"],
        "cautions": ["Isolate the spindle before reaching in."],
        "findings": [finding],
        "setups": [{"name": "marking", "work zero in the machine frame": [300.0, -59.375, 5.0]}],
    }


def publish(folder: Path, verdict: str = "met") -> Path:
    name = "report NOT MET.json" if verdict == "not met" else "report.json"
    with into(folder, Stamp("key")) as out:
        for path, text in FILES.items():
            out.write_text(path, text)
        out.write_text(name, json.dumps(report(verdict)))
    return folder


def test_holds_every_file_of_the_build_and_a_readme(tmp_path):
    folder = publish(tmp_path / "out")
    (folder / "my notes.txt").write_text("the user's own")
    done = write_pack(folder, tmp_path / "dibbers.zip")
    assert done == tmp_path / "dibbers.zip"
    with zipfile.ZipFile(done) as archive:
        assert archive.testzip() is None
        names = archive.namelist()
        assert set(names) == {*FILES, "report.json", "manifest.json", "README.txt"}
        archive.extractall(tmp_path / "there")
    assert verify(tmp_path / "there") == []


def test_same_bytes_when_nothing_changed(tmp_path):
    """Also from a copy of the folder, with other dates and permissions, in another place."""
    one = write_pack(publish(tmp_path / "one"), tmp_path / "1.zip").read_bytes()
    other = publish(tmp_path / "elsewhere" / "two")
    for path in other.rglob("*.d*"):
        path.chmod(0o600)
    assert write_pack(other, tmp_path / "2.zip").read_bytes() == one
    assert write_pack(other, tmp_path / "2.zip").read_bytes() == one
    with zipfile.ZipFile(tmp_path / "1.zip") as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert {entry.external_attr >> 16 for entry in archive.infolist()} == {0o100644}


def test_readme_says_what_a_stranger_must_know(tmp_path):
    text = readme(report(), [*FILES, "report.json", "manifest.json"])
    assert max(map(len, text.splitlines())) <= 80
    for words in (
        "dibbers", "revision C", "bench router", "CHECKS: MET", "millimetres",
        "300, -59.375, 5 mm", "work zero", "front left corner", "holding force and strength",
        "Isolate the spindle", "1 cut files (DXF)", "mirrored",
    ):  # fmt: skip
        assert words in text, words
    assert "Do not build" not in text


def test_readme_tells_drawings_from_cut_files():
    """A drawing is in mm of paper: nobody is to cut from it."""
    text = " ".join(readme(report(), [*FILES]).split())
    assert "1 cut files (DXF), flat" in text
    assert "1 drawings (DXF), one a part, in mm of paper: not to cut from" in text
    assert "1 drawings, all in one (PDF), A4, first angle" in text
    assert "1 setup sheet (HTML): open it in a browser, print it, read it first" in text
    assert "NOT MET or NOT JUDGED" in text


def test_readme_of_a_job_that_is_not_met_warns_first():
    text = readme(report("not met"), [])
    assert "CHECKS: NOT MET" in text
    assert text.index("Do not build or use") < text.index("UNITS")
    assert "* ring: room for the nut" in text


def test_report_is_the_one_of_this_build(tmp_path):
    """A better report that an earlier build left, and the user kept, does not speak for it."""
    folder = publish(tmp_path / "out", "not met")
    (folder / "report.json").write_text(json.dumps(report("met")))
    with zipfile.ZipFile(write_pack(folder, tmp_path / "a.zip")) as archive:
        assert b"CHECKS: NOT MET" in archive.read("README.txt")
        assert "report.json" not in archive.namelist()


def test_edited_folder_is_refused(tmp_path):
    folder = publish(tmp_path / "out")
    (folder / "make/clamp/rib.dxf").write_text("moved by hand")
    with pytest.raises(ExportError, match=r"rib\.dxf.*\n.*build it again"):
        write_pack(folder, tmp_path / "a.zip")
    assert list(tmp_path.glob("*.zip")) == []


def test_folder_without_a_manifest_is_refused(tmp_path):
    (tmp_path / "out").mkdir()
    with pytest.raises(ExportError, match=r"manifest\.json: missing"):
        write_pack(tmp_path / "out", tmp_path / "a.zip")


def test_file_of_somebody_else_stays(tmp_path):
    folder = publish(tmp_path / "out")
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        archive.writestr("thesis.txt", "years of work")
    before = (tmp_path / "a.zip").read_bytes()
    (tmp_path / "b.zip").write_text("no zip at all")
    for name in ("a.zip", "b.zip"):
        with pytest.raises(ExportError, match="no pack of ours"):
            write_pack(folder, tmp_path / name)
    assert (tmp_path / "a.zip").read_bytes() == before


def test_zip_within_the_folder_is_refused(tmp_path):
    folder = publish(tmp_path / "out")
    with pytest.raises(ExportError, match="lies in the folder"):
        write_pack(folder, folder / "make" / "a.zip")


def test_place_that_cannot_be_written(tmp_path):
    folder = publish(tmp_path / "out")
    (tmp_path / "file").write_text("")
    with pytest.raises(ExportError, match="could not be written"):
        write_pack(folder, tmp_path / "file" / "a.zip")
    assert not list(tmp_path.rglob("*.part"))


def test_shipped_job_packs(built, tmp_path):
    """A real build: its own report gives verdict and places."""
    with zipfile.ZipFile(write_pack(built.folder, tmp_path / "a.zip")) as archive:
        text = archive.read("README.txt").decode()
        assert f"CHECKS: {str(built.verdict).upper()}" in text
        assert "work zero of setup marking" in text
        assert any(name.endswith(".step") for name in archive.namelist())
