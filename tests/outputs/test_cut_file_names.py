"""A cut file that is found alone on a stick says in its name what the checks say."""

from __future__ import annotations

import json
from pathlib import PurePosixPath

import pytest

from jigs.outputs.cut_files import marked
from jigs.outputs.workshop import write_workshop
from jigs.publish import Stamp, into


@pytest.mark.parametrize(
    ("checks", "name"),
    [
        ("met", "make/clamp/rib.dxf"),
        ("not asked", "make/clamp/rib.dxf"),
        ("NOT MET: see the report", "make/clamp/rib NOT MET.dxf"),
        ("not judged", "make/clamp/rib NOT JUDGED.dxf"),
    ],
)
def test_mark_stands_before_the_ending(checks, name):
    assert marked("make/clamp/rib.dxf", checks) == name


@pytest.fixture(scope="module")
def not_met(designs, tmp_path_factory):
    folder = tmp_path_factory.mktemp("marked") / "out"
    with into(folder, Stamp("key")) as out:
        write_workshop(designs("stool"), out, "NOT MET: see the report")
    return folder


def test_all_that_is_cut_from_carries_it(not_met):
    """Lists are no cut files, and the coupon only tries a joint."""
    names = [PurePosixPath(p.relative_to(not_met)) for p in not_met.rglob("*.*")]
    to_cut = [n for n in names if n.suffix in (".dxf", ".json", ".svg") and len(n.parts) > 2]
    assert len(to_cut) > 40
    assert all(n.stem.endswith(" NOT MET") for n in to_cut)
    plain = {n.name for n in names if "NOT MET" not in n.name}
    assert {"drill list.csv", "cut list.csv", "fit coupon ply.dxf"} <= plain


def test_files_name_each_other_as_they_are_called(not_met):
    parts = sheets = 0
    for path in not_met.glob("make/*/*.json"):
        side = json.loads(path.read_text(encoding="utf-8"))
        for face in side.get("faces", ()):
            assert (path.parent / face["file"]).is_file()
            parts += 1
        for part in side.get("parts", ()):
            assert (not_met / part["file"]).is_file()
            assert part["then turn over"] is None or (not_met / part["then turn over"]).is_file()
            sheets += 1
    assert parts > 10
    assert sheets > 10
