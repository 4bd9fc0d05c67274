"""Cut list, hardware and masses: rows worked by hand, volumes against the kernel's solids."""

from __future__ import annotations

import csv
import io
import math

import pytest

from jigs.making.blanks import ring_block
from jigs.making.lists import CutRow, cut_rows, hardware_rows
from jigs.making.masses import density_of, mass_rows, part_mass, part_volume, total_of
from jigs.making.work import works
from jigs.model.outline import Outline
from jigs.model.part import Board, Bought, Cut, Does, Face, Part, Print, Sheet
from jigs.outputs.lists import MASSES, cut_list, hardware_list, write_lists
from jigs.publish import Stamp, into
from jigs.units import Units

JOBS = ("allotment", "skittles", "stool")


def row_of(design, jig, part) -> CutRow:
    (row,) = (r for r in cut_rows(design) if (r.jig, r.part) == (jig, part))
    return row


def test_fixed_half_by_hand(allotment):
    """158 along the grain, 40 high (the ring), 41.5 - 4.05 deep; blank 10, 6 and 3 mm larger."""
    row = row_of(allotment, "ring", "fixed_half")
    assert (row.length, row.width, row.thickness) == pytest.approx((158, 40, 37.45))
    assert row.rough == pytest.approx((168, 46, 40.45))
    assert row.grain.startswith("along the length")
    assert row.note == ""


def test_block_that_both_halves_are_ripped_from_by_hand(allotment):
    """41.5 behind the axis and 50.5 before it; the gap of 8.1 takes two cuts of 3 mm."""
    row = row_of(allotment, "ring", "fixed_half + moving_half")
    assert (row.length, row.width, row.thickness) == pytest.approx((158, 92, 40))
    assert row.rough == pytest.approx((158 + 2 * 40, 98, 43))
    # Both halves are 79 wide to either side of the axis; 40 spare; 50.5 in front, 41.5 behind.
    assert "119.00 from the left and 119.00 from the right end" in row.note
    assert row.note.count("50.50 from the front and 41.50 from the back edge") == 2
    assert "8.1 mm" in row.note
    assert "two cuts" in row.note


def test_narrow_gap_takes_one_cut_of_the_saw(designs):
    """5.1 mm between the halves: no room for two cuts of 3 mm."""
    assert "one cut" in row_of(designs("skittles"), "ring", "fixed_half + moving_half").note


def test_slices_and_quantities(allotment):
    bar = row_of(allotment, "gauge", "bar")
    assert (bar.quantity, bar.made) == (13, "stack")
    assert (bar.length, bar.width, bar.thickness) == pytest.approx((95, 45, 17.6))
    assert row_of(allotment, "clamp", "rib").quantity == 4
    assert row_of(allotment, "clamp", "knob_M8").quantity == 6


def test_blanks_are_the_same_in_the_cut_list_and_in_the_side_files(designs):
    """Each rough size that the cut list has for a board stands in how that board is made."""
    for name in JOBS:
        told = {(w.jig, w.part.id): "\n".join(w.how) for w in works(designs(name))}
        rows = [r for r in cut_rows(designs(name)) if r.made in ("board", "block")]
        assert len(rows) >= 4
        for row in rows:
            for part in row.part.split(" + "):
                rough = " x ".join(f"{mm:.2f}" for mm in row.rough)
                assert f"rough {rough} (along the grain first)" in told[row.jig, part]
            if row.made == "block":
                places = row.note.split("planed block: ")[1]
                assert places in told[row.jig, row.part.split(" + ")[0]]


def test_blank_of_a_knob_by_hand(allotment):
    """50 x 44.77 x 25 and 15 + 10 all round; 3 thicker when rough; five saw cuts between six."""
    row = row_of(allotment, "clamp", "knob_M8")
    assert row.rough == (100, 95, 28)
    assert row.note == f"all 6 from one strip of {6 * 100 + 5 * 3} x 95 x 28 mm rough"


def test_pad_is_smaller_where_it_is_turned(allotment):
    """30 across and 25 all round is 80, more than a board of 45; the grain runs through its 20."""
    row = row_of(allotment, "ring", "pad")
    assert row.rough == (23, 80, 80)
    assert "30 x 36 x 33 mm rough will do" in row.note
    assert "glue up from 2 boards" in row.note


def test_block_is_wider_where_the_saw_takes_more_than_the_gap():
    """Halves 20 deep, 1 apart: 3 of kerf between, so 43 wide, ripped and bored in the middle."""
    block = ring_block(((-50, 0.5, 50, 20.5), (-40, -20.5, 40, -0.5)), 30, (0, 0))
    assert block.planed == (180, 43, 30)
    assert (block.bore, block.rip, block.gap) == ((90, 21.5), 21.5, 1)


def test_liner_is_as_long_as_its_arc(allotment):
    """Middle of the strip on a radius of 21.5 - 1.5 mm, from split face to split face at y 4.05."""
    row = row_of(allotment, "ring", "liner")
    arc = 2 * 20.0 * math.acos(4.05 / 20.0)
    assert row.length == pytest.approx(arc, rel=0.01)
    assert (row.width, row.quantity) == (40.0, 2)
    assert row.thickness == pytest.approx(3.0, abs=0.001)


def test_every_made_part_has_one_row(designs):
    for name in JOBS:
        design = designs(name)
        made = [
            (jig.name, part.id) for _, jig in design.jigs() for part in jig.parts.values()
            if type(part.made).__name__ not in ("Bought", "Fixed")
        ]  # fmt: skip
        assert [(r.jig, r.part) for r in cut_rows(design) if r.made != "block"] == made


def test_thick_blank_is_glued_up(designs):
    """Only the end-grain pads, whose planed blanks are wider than any board is thick."""
    for name in JOBS:
        thickest = designs(name).job.model.boards["block"].thickest
        for row in cut_rows(designs(name)):
            if row.rough and row.material == designs(name).job.model.boards["block"].wood:
                thick = row.rough[2] - (0 if row.part == "pad" else 3)
                assert ("glue up" in row.note) == (thick > thickest), (name, row.part)


def test_hardware_of_the_allotment_by_hand(allotment):
    """M8 nuts: 4 on the ring, 5 that hang it, 4 on drawbolts, 1 on the stop."""
    rows = {(r.family, r.designation): r for r in hardware_rows(allotment)}
    nuts = rows["hex nut", "M8"]
    assert (nuts.quantity, nuts.jigs) == (4 + 5 + 4 + 1, ("ring", "clamp"))
    assert rows["washer", "M8 large"].quantity == 4 + 5 + 6 + 5
    assert rows["spring", "for M8"].quantity == 4
    assert rows["wood screw", "4 × 35"].quantity == 16


def test_rod_is_added_up_by_length(designs):
    """Skittles: two drawbolts of 90 and four hold-downs of 50 from one bar of M6."""
    rows = {(r.family, r.designation): r for r in hardware_rows(designs("skittles"))}
    rod = rows["threaded rod", "M6"]
    assert rod.lengths == ((90.0, 2), (50.0, 4))
    assert rod.total_length == 380.0
    told = next(csv.DictReader(io.StringIO(hardware_list([rod], Units.MM))))
    assert told["total length mm"] == "398"  # and six cuts of 3 mm
    assert told["cut into"] == "2 x 90 mm + 4 x 50 mm"


@pytest.mark.parametrize("name", JOBS)
def test_volumes_against_the_kernel(scenes, name):
    """Made parts within 0.5 %, bought ones within 5 % (threads and heads are simplified)."""
    scene, counted = scenes(name), 0
    for _, jig in scene.design.jigs():
        for part in jig.parts.values():
            shape, volume = scene.part(jig.name, part), part_volume(part)
            if shape is None:
                assert isinstance(part.made, Bought)
                continue
            near = 0.05 if isinstance(part.made, Bought) else 0.005
            assert volume == pytest.approx(shape.Volume(), rel=near), part.id
            counted += 1
    assert counted > 20


def test_mass_of_a_plate_by_hand():
    """200 x 100 x 18 of birch plywood (680 kg/m3) less a through hole of 20 and its sink."""
    cuts = (
        Cut("hole", Face.BOTTOM, Outline.circle(50, 50, 20), Does.HOLE),
        Cut("sink", Face.TOP, Outline.circle(50, 50, 40), Does.COUNTERBORE, 6.0),
        Cut("groove", Face.TOP, Outline.rectangle(90, -5, 110, 105), Does.GROOVE, 9.0),
        Cut("neck", Face.TOP, Outline.rectangle(49, 49, 51, 51), Does.PRESSED, 9.0),
    )
    edge = Outline.rectangle(0, 0, 200, 100)
    plate = Part("plate", "plate", Sheet("birch plywood"), edge, 18.0, cuts)
    volume = 200 * 100 * 18 - math.pi * 100 * 12 - math.pi * 400 * 6 - 20 * 100 * 9
    assert part_volume(plate) == pytest.approx(volume, rel=1e-12)
    assert part_mass(plate) == pytest.approx(volume * 680e-9, rel=1e-12)


def test_masses_of_jigs_add_up(allotment):
    rows = {row.jig: row for row in mass_rows(allotment)}
    assert set(rows) == {"ring", "gauge", "clamp"}
    # 13 slices of 95 x 45, an arch and two dowel holes less; two beech dowels of 10, a key.
    gauge = rows["gauge"]
    assert gauge.made == pytest.approx(13 * 95 * 45 * 17.6 * 680e-9, rel=0.1)
    assert gauge.bought == pytest.approx(2 * math.pi * 25 * 228.8 * 0.64 * 1.12e-6, rel=1e-9)
    assert rows["ring"].not_counted == ("opening spring for M8",)
    assert gauge.total == gauge.made + gauge.bought
    whole = total_of(list(rows.values()))
    assert whole.jig == "total"
    assert whole.total == pytest.approx(sum(row.made + row.bought for row in rows.values()))
    assert "ring: opening spring for M8" in whole.not_counted


def test_masses_end_in_a_total(allotment, tmp_path):
    with into(tmp_path / "out", Stamp("test")) as out:
        write_lists(allotment, out)
    with (tmp_path / "out" / MASSES).open(newline="", encoding="utf-8") as file:
        *jigs, last = csv.DictReader(file)
    assert [row["jig"] for row in jigs] == [jig.name for _, jig in allotment.jigs()]
    assert last["jig"] == "total"
    for column in ("made kg", "bought kg", "total kg"):
        assert float(last[column]) == pytest.approx(sum(float(r[column]) for r in jigs), abs=0.02)


def test_densities_say_where_they_are_from():
    """Steel and aluminium after EN 1991-1-1 table A.4; an unknown wood says that it is unknown."""
    steel = Part("bolt", "bolt", Bought("hex bolt", "M8"))
    assert density_of(steel).value == 7850
    assert "EN 1991-1-1" in density_of(steel).source
    odd = Part("x", "x", Board("bubinga"), Outline.rectangle(0, 0, 9, 9), 9.0)
    assert "tables do not have" in density_of(odd).source
    print_ = Part("x", "x", Print("PETG"), Outline.rectangle(0, 0, 9, 9), 9.0)
    assert density_of(print_).value == 1270


def test_inches_only_in_jobs_in_inches(designs):
    for name, inch in (("allotment", False), ("stool", True)):
        design = designs(name)
        text = cut_list(cut_rows(design), design.job.model.units)
        rows = list(csv.DictReader(io.StringIO(text)))
        assert ("length in" in rows[0]) is inch
        assert all(float(row["length mm"]) > 0 for row in rows)
    assert next(r for r in rows if r["part"] == "stop_block")["length in"] == "1.378 in"  # 35 mm


def test_a_cell_is_no_formula():
    row = CutRow("=1+1", "p", "t", 1, "sheet", "ply", "", 1, 1, 1)
    cells = next(csv.DictReader(io.StringIO(cut_list([row], Units.MM))))
    assert cells["jig"] == "'=1+1"
