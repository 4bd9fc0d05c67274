"""How parts are cut: faces, order, depths, tabs, edge holes. Expected values worked by hand."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from jigs.making.drilling import COLUMNS, drill_list, drilled_holes, flat_bit
from jigs.making.holding import half_bore
from jigs.making.work import Layer, pieces_of, reach_of, seen, slices_of, work_of, works, works_of
from jigs.model.outline import Outline
from jigs.model.part import Board, Cut, Does, Face, Part, Print, Sheet, Stack, Strip
from jigs.shop.machine import Cutter
from jigs.shop.making import Making
from jigs.units import Limits

SIX = ("straight 6", Cutter(diameter=6, flute_length=25, shank=6, length=60))
PLY = Limits(17.4, 17.6, 17.8)
PLATE = Outline.rectangle(0, 0, 200, 100)


def hole(name, face, x, y, d, depth=None, does=Does.HOLE):
    return Cut(name, face, Outline.circle(x, y, d), does, depth)


def pocket(name, face, x0, y0, x1, y1, depth):
    return Cut(name, face, Outline.rectangle(x0, y0, x1, y1, 3), Does.GROOVE, depth)


def plate(*cuts, outline=PLATE, made=None, thickness=17.6):
    return Part("plate", "plate", made or Sheet("ply", "ply"), outline, thickness, cuts)


def worked(*cuts, cutter=SIX, thickness=PLY, making=None, **about):
    return work_of("jig", plate(*cuts, **about), 1, making or Making(), cutter, thickness)


def names(face):
    return [(str(step.layer)[0], step.name) for step in face.steps]


def test_one_face_needs_no_turning():
    work = worked(pocket("dado", Face.TOP, 20, 20, 60, 40, 5), hole("far", Face.BOTTOM, 100, 50, 9))
    (face,) = work.faces
    assert face.up is Face.TOP
    assert not work.registration
    assert names(face) == [("1", "far"), ("2", "dado"), ("4", "outline")]
    assert [step.depth for step in face.steps] == pytest.approx([17.8 + 0.3, 5, 17.8 + 0.3])
    assert [step.through for step in face.steps] == [True, False, True]


def test_work_on_the_bottom_alone_is_seen_from_below():
    work = worked(pocket("dado", Face.BOTTOM, 20, 20, 60, 40, 5))
    (face,) = work.faces
    assert face.up is Face.BOTTOM
    assert face.mirrored
    assert work.axis_y == 0
    assert face.steps[0].outline.bounds == pytest.approx((20, -40, 60, -20))


def test_the_face_with_fewer_works_comes_first_and_the_outline_last():
    work = worked(
        pocket("one", Face.TOP, 20, 20, 60, 40, 5),
        pocket("two", Face.BOTTOM, 20, 20, 60, 40, 5),
        pocket("three", Face.BOTTOM, 100, 20, 160, 40, 5),
        hole("free", Face.TOP, 100, 80, 9),
    )
    first, last = work.faces
    assert (first.up, last.up) == (Face.TOP, Face.BOTTOM)
    assert names(first) == [("0", "dowel left"), ("0", "dowel right"), ("2", "one")]
    assert names(last)[2:] == [("1", "free"), ("2", "two"), ("2", "three"), ("4", "outline")]
    assert work.registration == ((-12, 50, 6), (212, 50, 6))
    assert work.file(first) == "plate.dxf"
    assert work.file(last) == "plate turned over.dxf"
    # Turned about y = 50, what stands at y = 80 comes to 20.
    assert last.steps[2].outline.centre == pytest.approx((100, 20))
    assert first.steps[0].depth == pytest.approx(17.8 + 8)
    assert last.steps[0].depth == 0


@pytest.mark.parametrize("diameter", [3.175, 6, 12.7])
def test_dowel_holes_are_drilled_with_any_cutter(diameter):
    cutter = ("any", Cutter(diameter=diameter, flute_length=25, shank=diameter, length=60))
    work = worked(
        pocket("a", Face.TOP, 20, 20, 60, 40, 5), pocket("b", Face.BOTTOM, 20, 20, 60, 40, 5),
        cutter=cutter,
    )  # fmt: skip
    dowels = [s for f in work.faces for s in f.steps if s.layer is Layer.REGISTRATION]
    assert [s.tool for s in dowels] == ["drill"] * 4


@pytest.mark.parametrize(
    ("shank", "reach"), [(6.0, 25), (5.81, 25), (5.8, 60 - 11.6), (20.0, 25), (4.0, 52)]
)
def test_a_thin_shank_reaches_deeper_than_the_flutes(shank, reach):
    cutter = Cutter(diameter=6, flute_length=25, shank=shank, length=60)
    assert reach_of(cutter) == pytest.approx(reach)


def test_a_hole_is_made_in_one_clamping_with_its_counterbore():
    work = worked(
        hole("bolt", Face.TOP, 50, 50, 9),
        hole("head", Face.BOTTOM, 50, 50, 20, 5, Does.COUNTERBORE),
        *(pocket(f"dado {i}", Face.TOP, 80 + 30 * i, 20, 100 + 30 * i, 40, 5) for i in range(3)),
    )
    first, last = work.faces
    assert first.up is Face.BOTTOM
    assert names(first)[2:] == [("1", "bolt"), ("2", "head")]
    assert "bolt" not in [step.name for step in last.steps]
    assert first.steps[2].through


def test_dowels_keep_clear_of_a_wide_cutters_path():
    wide = ("half inch", Cutter(diameter=12.7, flute_length=32, shank=12.7, length=76))
    work = worked(
        pocket("a", Face.TOP, 20, 20, 60, 40, 5),
        pocket("b", Face.BOTTOM, 20, 20, 60, 40, 5),
        cutter=wide,
    )
    assert work.registration[0][0] == pytest.approx(-(12.7 + 3 + 2))


def test_a_hole_no_wider_than_the_cutter_is_drilled_and_drills_come_first():
    work = worked(
        hole("wide", Face.TOP, 30, 30, 6.6), hole("same", Face.TOP, 60, 30, 6.0),
        hole("small", Face.TOP, 90, 30, 3.0),
    )  # fmt: skip
    found = [(s.name, s.tool, s.number) for s in work.faces[0].steps]
    assert found == [
        ("small", "drill", 1), ("same", "drill", 2), ("wide", "cutter", 3),
        ("outline", "cutter", 1),
    ]  # fmt: skip


def test_layers_by_what_a_cut_does():
    slot = Outline.slot((20, 20), (40, 20), 8)
    work = worked(
        Cut("slot", Face.TOP, slot, Does.INSIDE),
        Cut("sunk", Face.TOP, slot, Does.RECESS, 4.0),
        Cut("neck", Face.TOP, Outline.rectangle(90, 30, 96, 36), Does.PRESSED, 8.0),
        hole("blind", Face.TOP, 90, 70, 8, 10),
    )
    assert [(s.layer, s.name) for s in work.faces[0].steps] == [
        (Layer.HOLES, "blind"),
        (Layer.GROOVES, "sunk"),
        (Layer.INSIDE, "slot"),
        (Layer.OUTLINE, "outline"),
    ]


def test_seen_twice_is_as_it_was():
    outline = Outline.slot((20, 20), (60, 30), 8)
    there = seen(outline, Face.BOTTOM, 33.0)
    back = seen(there, Face.BOTTOM, 33.0)
    assert there.bounds == pytest.approx((16, 32, 64, 50))
    assert back.area == pytest.approx(outline.area)
    assert {(round(x, 9), round(y, 9)) for x, y, _ in back.vertices} == {
        (round(x, 9), round(y, 9)) for x, y, _ in outline.vertices
    }
    assert seen(Outline.circle(3, 4, 5), Face.BOTTOM, 1.0).is_circle


def test_without_a_cutter_one_is_bought_and_said_so():
    work = worked(cutter=None)
    assert work.cutter.diameter == 6
    assert "bought" in work.cutter.name


@pytest.mark.parametrize("made", [Strip("beech"), Print("PETG")])
def test_what_the_router_does_not_make_has_no_work(made):
    assert worked(made=made) is None


def test_slices_that_are_alike_are_one_work():
    part = plate(hole("dowel", Face.BOTTOM, 50, 50, 8), made=Stack("ply", 4), thickness=70.4)
    work = work_of("jig", part, 2, Making(), SIX, PLY)
    assert (work.name, work.pieces, work.slices) == ("plate", 2, 4)
    assert work.faces[0].steps[0].through


def test_a_cut_that_ends_in_a_stack_belongs_to_the_slices_it_reaches():
    """25 deep into slices of 17.6: through the top one, 7.4 into the next."""
    part = plate(
        hole("deep", Face.TOP, 50, 50, 12, 25.0), hole("dowel", Face.BOTTOM, 150, 50, 8),
        made=Stack("ply", 4), thickness=70.4,
    )  # fmt: skip
    found = works_of("jig", part, 1, Making(), SIX, PLY)
    assert [(w.name, w.slices) for w in found] == [
        ("plate slices bottom 2", 2), ("plate slice 3", 1), ("plate slice top", 1),
    ]  # fmt: skip
    bottom, third, top = ({s.name: (s.depth, s.through) for s in w.faces[-1].steps} for w in found)
    assert "deep" not in bottom
    assert third["deep"] == (pytest.approx(25 - 17.6), False)
    assert top["deep"] == (pytest.approx(18.1), True)
    assert all("dowel" in each for each in (bottom, third, top))
    with pytest.raises(ValueError, match="its slices differ"):
        work_of("jig", part, 1, Making(), SIX, PLY)


def test_a_stack_loses_nothing_in_its_slices():
    part = plate(
        hole("a", Face.TOP, 50, 50, 12, 25.0), hole("b", Face.BOTTOM, 150, 50, 8, 40.0),
        made=Stack("ply", 4), thickness=70.4,
    )  # fmt: skip
    deep = {"a": 0.0, "b": 0.0}
    for _, blank, count in slices_of(part):
        for cut in blank.cuts:
            deep[cut.name] += count * (blank.thickness if cut.depth is None else cut.depth)
    assert deep == pytest.approx({"a": 25.0, "b": 40.0})


@pytest.mark.parametrize(
    ("thickness", "by"), [(25, "router"), (30, "router"), (30.1, "bandsaw"), (40, "bandsaw")]
)
def test_a_board_is_routed_as_deep_as_the_flutes_and_five_more(thickness, by):
    limits = Limits(thickness, thickness, thickness)
    work = worked(made=Board("beech"), thickness=limits)
    assert work.made_by.startswith(by)
    assert bool(work.faces[-1].tabs) == (by == "router")


def test_a_small_part_always_has_tabs():
    work = worked(hole("hole", Face.TOP, 20, 20, 9), outline=Outline.rectangle(0, 0, 40, 40))
    tabs = work.faces[0].tabs
    assert len(tabs) == 3
    for tab in tabs:
        x, y = tab.at
        assert x in (0, 40) or y in (0, 40)
        along = y if x in (0, 40) else x
        assert 10 - 1e-9 <= along <= 30 + 1e-9  # half a tab and a cutter away from the corners
        assert (tab.width, tab.height) == (8, 2)


def test_a_round_part_has_tabs_all_round():
    work = worked(outline=Outline.circle(0, 0, 30))
    at = [math.degrees(math.atan2(tab.at[1], tab.at[0])) % 360 for tab in work.faces[0].tabs]
    steps = [(b - a) % 360 for a, b in zip(at, [*at[1:], at[0]], strict=True)]
    assert steps == pytest.approx([120] * 3, abs=8)
    assert [math.hypot(*tab.at) for tab in work.faces[0].tabs] == pytest.approx([15] * 3)


def test_no_tab_under_a_rebate_of_the_other_face():
    work = worked(
        pocket("rebate", Face.BOTTOM, -5, -5, 205, 18, 6),
        *(pocket(f"dado {i}", Face.TOP, 20 + 30 * i, 30, 30 + 30 * i, 40, 5) for i in range(3)),
    )
    assert work.faces[-1].up is Face.TOP
    assert len(work.faces[-1].tabs) >= 3
    assert all(tab.at[1] > 18 + 4 for tab in work.faces[-1].tabs)


def test_plain_holes_far_apart_hold_a_part_without_tabs():
    holes = (hole("left", Face.TOP, 30, 50, 9), hole("right", Face.TOP, 170, 50, 9))
    work = worked(*holes)
    assert work.faces[0].tabs == ()
    assert any("'left', 'right'" in line for line in work.hold)
    beside = pocket("dado", Face.TOP, 40, 20, 80, 80, 5)
    assert worked(*holes, beside).faces[0].tabs, "a dado runs under the washer"


def test_keep_out_for_screws_is_said():
    work = worked()
    assert any("x -15.0 to 215.0, y -15.0 to 115.0" in line for line in work.hold)


HALF = Outline.of([(-60, 4, 0), (-20, 4, -0.8), (20, 4, 0), (60, 4, 0), (60, 40, 0), (-60, 40, 0)])


def test_a_half_bore_is_found():
    """Chord 40 and bulge 0.8: rise 16, radius (20^2 + 16^2) / 32 = 20.5, centre 4.5 below it."""
    bore = half_bore(HALF)
    assert bore.diameter == pytest.approx(41)
    assert bore.back == pytest.approx(4.5)
    assert bore.centre == pytest.approx((0, -0.5))
    assert half_bore(PLATE) is None


def test_both_ways_of_making_a_ring_are_told_with_the_kerf():
    thick = Limits(40, 40, 40)
    lower = Outline.of([(x, -1 - y, -b) for x, y, b in HALF.vertices])
    parts = [Part(i, i, Board("beech"), o, 40.0) for i, o in (("a", HALF), ("b", lower))]
    work = work_of("jig", parts[0], 1, Making(), SIX, thick, parts)
    told = "\n".join(work.how)
    assert "way 1" in told
    assert "way 2" in told
    assert "one block planed to 200.00 x 81.00 x 40.00 for a and b" in told
    # Faces stand back 4.5 each: 9 in all; a kerf of 3 leaves 3 to plane off each.
    assert "together 9.00" in told
    assert "with a kerf of 3.0, 3.00 each" in told


def test_edge_holes_are_measured_from_edges_that_a_square_finds():
    part = plate(
        hole("near left", Face.FRONT, 30, 8.8, 3, 40), hole("near right", Face.BACK, 170, 12, 9),
        hole("side", Face.LEFT, 80, 8.8, 3, 20),
        hole("wide", Face.BACK, 170, 12, 20, 5, Does.COUNTERBORE),
    )  # fmt: skip
    near, far, side, wide = drilled_holes(part)
    assert near.place == "30.00 from the left end, 8.80 from the bottom face"
    assert far.place == "30.00 from the right end, 5.60 from the top face"
    assert side.place == "20.00 from the back edge, 8.80 from the bottom face"
    assert far.through
    assert far.depth == 100
    assert (near.depth, near.counterbore, wide.counterbore) == (40, False, True)


def test_a_hole_beside_a_bore_is_measured_from_the_parts_end():
    part = plate(hole("spring", Face.FRONT, -30, 20, 13, 6), outline=HALF, made=Board("beech"))
    (spring,) = drilled_holes(part)
    assert spring.edges[0] == ("left end", 30)


def test_a_recess_is_drilled_before_the_hole_through_it():
    """From the far face in a row of its own; from the same one in the hole's row, bit first."""
    part = plate(
        hole("bolt", Face.BACK, 50, 9, 9), hole("free", Face.BACK, 120, 9, 9),
        hole("head", Face.BACK, 50, 9, 16, 5, Does.COUNTERBORE),
        hole("spring", Face.FRONT, 50, 9, 13.5, 6, Does.RECESS),
        hole("blind", Face.BACK, 170, 9, 9, 30),
        hole("other", Face.FRONT, 170, 9, 13, 6, Does.RECESS),
    )  # fmt: skip
    rows = [dict(zip(COLUMNS, row, strict=True)) for row in drill_list([("jig", part, 1)])]
    assert [row["hole"] for row in rows] == ["spring", "bolt", "free", "blind", "other"]
    said = [row["square and stop"].startswith("before the hole through it") for row in rows]
    assert said == [True, False, False, False, False]
    bits = [row["counterbore first: flat-bottomed bit (mm)"] for row in rows]
    assert bits == ["bit 14 (13.5 or larger)", "16.00", "", "", "13.00"]


@pytest.mark.parametrize(
    ("asked", "bit"),
    [(9.5, "bit 10 (9.5 or larger)"), (10.0, "10.00"), (21.5, "bit 22 (21.5 or larger)"),
     (35.0, "35.00"), (35.5, "35.5 or larger: hole cutter or router, no such bit is sold")],
)  # fmt: skip
def test_the_next_flat_bit_that_is_sold(asked, bit):
    assert flat_bit(asked) == bit


def test_pieces_are_those_that_are_placed(allotment):
    jigs = {jig.name: jig for _, jig in allotment.jigs()}
    count = {name: pieces_of(jigs["clamp"], jigs["clamp"].parts[name])
             for name in ("rib", "fixed_base", "backer")}  # fmt: skip
    assert count == {"rib": 4, "fixed_base": 1, "backer": 1}


@pytest.mark.parametrize("job", ["allotment", "skittles", "stool"])
def test_thickness_is_what_was_measured(designs, job):
    d = designs(job)
    for work in works(d):
        if work.made == "board":
            assert work.thickness.spread == 0
            continue
        sheet = d.job.model.sheets[work.stock]
        expected = sheet.measured or Limits(sheet.nominal, sheet.nominal, sheet.nominal)
        assert work.thickness == expected
        assert work.thickness.nominal == pytest.approx(work.part.thickness)


def test_no_kernel_and_no_drawing_library_is_loaded():
    code = "import sys, jigs.making.work; print({'OCP', 'cadquery', 'ezdxf'} & {*sys.modules})"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "set()"
