"""Checks on how parts are cut: each is made to fail by one number, with the value by hand."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from shapely import Polygon

from jigs.checks.make import check_make
from jigs.making.as_cut import bounds_of, crossings, holds, wood_between
from jigs.making.layout import lay_out
from jigs.making.work import works
from jigs.model.outline import Outline
from jigs.reading.job import Job
from jigs.sizing import design
from jigs.units import Interval, Limits

SMALL_ENOUGH = "the cutter is small enough for every pocket"
CORNERS = "the cutter reaches every inside corner"
FLUTES = "flutes reach through sheet and board"
BETWEEN = "wood between cuts and to the edge"
UNDER = "wood left under grooves and recesses"
ON_SHEET = "parts lie on their sheet"
GO_IN, FILL = "tongues go into their grooves", "tongues fill their grooves"


def failing(findings):
    return {(f.of, f.check): f for f in findings if f.verdict == "not met"}


def found(findings, of, check):
    return next(f for f in findings if (f.of, f.check) == (of, check))


def changed(d, changes=None, **parts):
    """The same job with other models of making, sheets or cutters."""
    machine = parts.pop("machine", d.job.machine)
    model = d.job.model.model_copy(update=parts)
    job = replace(d.job, model=model, machine=machine)
    assert isinstance(job, Job)
    return design(job, changes or {})


def with_sheet(d, **fields):
    sheets = {"ply": d.job.model.sheets["ply"].model_copy(update=fields)}
    return changed(d, sheets=sheets)


def with_relief(d, relief):
    return changed(d, making=d.job.model.making.model_copy(update={"corner_relief": relief}))


def with_cutter(d, **fields):
    """The allotment's straight cutter, changed."""
    straight = d.job.machine.cutters["straight 6"].model_copy(update=fields)
    cutters = {**d.job.machine.cutters, "straight 6": straight}
    return changed(d, machine=d.job.machine.model_copy(update={"cutters": cutters}))


@pytest.mark.parametrize("name", ["allotment", "skittles", "stool"])
@pytest.mark.parametrize("relief", ["overrun", "dog-bone", "T-bone"])
def test_shipped_jobs_are_met(designs, name, relief):
    d = designs(name)
    findings = check_make(with_relief(d, relief))
    assert {GO_IN, FILL, FLUTES} <= {f.check for f in findings}
    assert failing(findings) == {}
    assert {f.group for f in findings} == {"make"}
    for jig in {f.of for f in findings}:
        assert sum(f.of == jig for f in findings) <= 8


def test_figures_of_the_allotment_by_hand(allotment):
    findings = check_make(allotment)
    # Flutes 25; the clamp's knob is of a board of 25, the ring's pad of one of 20.
    assert found(findings, "clamp", FLUTES).value == 25
    assert found(findings, "clamp", FLUTES).limit == pytest.approx(25)
    assert found(findings, "ring", FLUTES).limit == pytest.approx(20)
    # Travel 510 less a cutter of 6; base 157.9 x 240 with waste of 28 - (4 + 6) on both sides.
    assert found(findings, "clamp", ON_SHEET).value == pytest.approx(510 - 6 - (157.9 + 36))
    # Fence slots 6.4 wide, and 0.1 of room.
    assert found(findings, "clamp", SMALL_ENOUGH).limit == pytest.approx(6.3)
    # Shelf dado 17.9 wide; sheet 17.4 at the thinnest. The key fits without play.
    assert found(findings, "ring", FILL).value == pytest.approx(0.5)
    assert found(findings, "ring", GO_IN).value == pytest.approx(0.0)
    # Pad 20: dish 3 above, blind hole 10 below.
    assert found(findings, "ring", UNDER).value == pytest.approx(7.0)
    # Pad 30 across, dish 18.
    assert found(findings, "ring", BETWEEN).value == pytest.approx(6.0)
    # A stop block of 40 is thrown if nothing holds it.
    assert "stop block" in found(findings, "ring", SMALL_ENOUGH).assumes[-1]
    assert "fixed half, 40 mm" in found(findings, "ring", FLUTES).assumes[0]


def test_short_flutes_and_a_thin_shank(allotment):
    """Sheet 17.8 at most, 0.3 into the spoilboard; knob of 25 and pad of 20 are sawn below 20
    and 15 of flutes."""
    short = with_cutter(allotment, flute_length=14.9)
    findings = check_make(short)
    finding = failing(findings)["clamp", FLUTES]
    assert finding.margin == pytest.approx(14.9 - 18.1)
    assert "18.1 mm would do" in finding.why
    assert any(
        t.startswith("pad of the jack, 20 mm") for t in found(findings, "ring", FLUTES).assumes
    )
    # 60 long, of which two shanks of 5.8 are held.
    assert failing(check_make(with_cutter(short, shank=5.8))) == {}
    rubbing = failing(check_make(with_cutter(short, shank=5.81)))
    assert rubbing.keys() == {(jig, FLUTES) for jig in ("clamp", "ring", "gauge")}


def test_a_board_thicker_than_the_flutes_needs_a_thin_shank(allotment):
    """What the works plan for the router, up to 5 mm beyond the flutes, the check judges."""
    short = with_cutter(allotment, flute_length=20.0)
    assert {w.name: w.made_by for w in works(short)}["knob_M8"] == "router"
    finding = failing(check_make(short))["clamp", FLUTES]
    assert finding.margin == pytest.approx(20 - 25)
    assert "25.0 mm would do" in finding.why
    assert "25 mm at most" in finding.governs
    thin = with_cutter(short, shank=5.8)
    assert failing(check_make(thin)) == {}
    assert found(check_make(thin), "clamp", FLUTES).value == pytest.approx(60 - 2 * 5.8)


def test_works_and_check_agree_on_what_is_sawn(designs):
    """A board is either told as sawn or judged, and the works say the same of it."""
    for name in ("allotment", "skittles", "stool"):
        d = designs(name)
        told = [line for f in check_make(d) if f.check == FLUTES for line in f.assumes]
        sawn = [w for w in works(d) if w.made_by != "router"]
        assert len(told) == len(sawn) > 0
        for work in sawn:
            assert any(line.startswith(f"{work.part.title}, ") for line in told), work.name


def test_no_cutter_small_enough_names_the_one_that_would_do(allotment):
    """A cutter of 12 mm: the slots for M8 hold-downs are 9 mm wide, and the key's groove 10."""
    wide = with_cutter(allotment, diameter=12.0, flute_length=30.0)
    finding = failing(check_make(wide))["clamp", SMALL_ENOUGH]
    assert finding.value == 12
    assert finding.limit == pytest.approx(9 - 0.1)
    assert "no cutter small enough" in finding.why
    assert "hold-down" in finding.governs


def test_no_straight_cutter_is_an_assumption_that_is_told(allotment):
    findings = check_make(with_cutter(allotment, shape="ball"))
    assert failing(findings) == {}
    assert "is bought for it" in found(findings, "clamp", SMALL_ENOUGH).assumes[0]


def test_a_part_larger_than_its_sheet(allotment):
    small = failing(check_make(with_sheet(allotment, size=(350.0, 300.0))))
    # Strips 33 and 16 on each side. Ring: board 309 x 218 with 18 of waste on each side.
    assert set(small) == {("ring", ON_SHEET)}
    assert small["ring", ON_SHEET].value == pytest.approx(350 - 66 - (309 + 36))
    assert "412 × 287 mm would do" in small["ring", ON_SHEET].why


def test_a_sheet_without_a_size_is_not_compared(allotment):
    findings = check_make(with_sheet(allotment, size=None))
    assert ON_SHEET not in {f.check for f in findings}


def test_a_part_that_the_machine_cannot_reach_round(allotment):
    """Travel 300 x 250: no sheet helps, sized or not; the layout leaves the same parts out."""
    travel = allotment.job.machine.travel
    short = travel.model_copy(update={"x": Interval(0, 300), "y": Interval(0, 250)})
    machine = allotment.job.machine.model_copy(update={"travel": short})
    for d in (changed(allotment, machine=machine),
              changed(with_sheet(allotment, size=None), machine=machine)):  # fmt: skip
        finding = failing(check_make(d))["ring", ON_SHEET]
        # Turned: board 345 long in 300 - 6.
        assert finding.value == pytest.approx(300 - 6 - 345, abs=1)
        assert "needs a machine" in finding.why
        left_out = {u.jig for layout in lay_out(d) for u in layout.unplaced}
        assert left_out == {of for of, check in failing(check_make(d)) if check == ON_SHEET}


def test_a_thickness_that_no_groove_serves(allotment):
    """17.0 to 17.8: the dado is made for the thickest, 17.9; at 17.0 there is 0.9 of play."""
    wild = with_sheet(allotment, measured=Limits(17.0, 17.4, 17.8))
    finding = failing(check_make(wild))["clamp", FILL]
    assert finding.value == pytest.approx(0.9)
    assert "shoulder the tongues" in finding.why


def test_a_tolerance_that_no_dado_serves_is_not_mended_by_a_narrower_one(allotment):
    """17.6 ± 0.9: the dado is 18.6 for the thickest, 1.9 of play at 16.7. (0.7 - 0.1) / 2 = 0.3."""
    wild = with_sheet(allotment, measured=Limits(16.7, 17.6, 18.5))
    findings = check_make(wild)
    for jig in ("clamp", "ring"):
        finding = failing(findings)[jig, FILL]
        assert finding.value == pytest.approx(1.9)
        assert finding.levers == ()
        assert "± 0.90" in finding.why
        assert "± 0.30 would do" in finding.why
        assert found(findings, jig, GO_IN).verdict == "met"
    # 0.64 in all: a dado in steps of 0.1 mm is too wide at 18.0 or keeps 17.92 out at 17.9.
    nearly = with_sheet(allotment, measured=Limits(17.28, 17.6, 17.92))
    assert failing(check_make(nearly))["clamp", FILL].levers == ()
    tame = with_sheet(allotment, measured=Limits(17.3, 17.6, 17.9))
    assert {f.verdict for f in check_make(tame) if f.check in (GO_IN, FILL)} == {"met"}


@pytest.mark.parametrize(
    ("number", "value", "key", "margin"),
    [
        ("clamp.dado_width", 17.7, ("clamp", GO_IN), 17.7 - 17.8),
        ("clamp.dado_width", 18.2, ("clamp", FILL), 0.7 - (18.2 - 17.4)),
        ("ring.shelf_dado_width", 17.6, ("ring", GO_IN), 17.6 - 17.8),
        # Rebate for the base and the chips' rebate, 2.9, on the other side of the foot.
        ("clamp.dado_depth", 12.0, ("clamp", UNDER), 17.4 - 12 - 2.9 - 3),
    ],
)
def test_one_number_makes_one_check_fail(allotment, number, value, key, margin):
    findings = failing(check_make(design(allotment.job, {number: value})))
    assert findings[key].margin == pytest.approx(margin)
    assert findings[key].levers
    assert {k for k in findings if k[0] == key[0]} == {key}


def test_remaining_wood_in_a_corner_is_named(allotment):
    """Corners made for a cutter of 3 mm and cut with one of 6: (3 - 1.5) (√2 - 1) stays."""
    fine = replace(with_cutter(allotment, diameter=3.0), job=allotment.job)
    finding = failing(check_make(fine))["clamp", CORNERS]
    assert finding.value == pytest.approx(1.5 * (math.sqrt(2) - 1), abs=1e-6)
    assert "dado" in finding.governs or "groove" in finding.governs


# Distances of outlines, against shapely


SHAPES = [
    Outline.circle(0, 0, 9),
    Outline.circle(3, 30, 5),
    Outline.rectangle(20, -5, 40, 12),
    Outline.rectangle(20, 20, 44, 32, corner=3),
    Outline.slot((-30, -10), (-18, 20), 6.4),
    Outline.of([(50, 0), (70, 0, -0.5), (70, 30), (50, 30, 0.4)]),
]


def polygon(outline):
    points = []
    for s in outline.sides:
        points.append(s.start)
        if s.bulge:
            (cx, cy), r = s.centre, s.radius
            first = math.atan2(s.start[1] - cy, s.start[0] - cx)
            angles = [first + s.angle * i / 400 for i in range(1, 400)]
            points += [(cx + r * math.cos(a), cy + r * math.sin(a)) for a in angles]
    return Polygon(points)


@pytest.mark.parametrize("a", SHAPES)
@pytest.mark.parametrize("b", SHAPES)
def test_wood_between_against_shapely(a, b):
    if a is b:
        assert bounds_of(a) == a.bounds
        return
    expected = polygon(a).exterior.distance(polygon(b).exterior)
    assert wood_between(a, b) == pytest.approx(expected, abs=1e-3)


def test_holds_and_crossings():
    shape = SHAPES[-1]
    drawn = polygon(shape)
    for x in range(40, 85, 3):
        for y in range(-6, 40, 3):
            p = (x + 0.137, y + 0.071)
            assert holds(shape, p) == drawn.contains_properly(Polygon(
                [(p[0] - 1e-6, p[1]), (p[0] + 1e-6, p[1]), (p[0], p[1] + 1e-6)]))  # fmt: skip
    crossed = crossings(Outline.rectangle(0, 0, 10, 4), Outline.rectangle(3, -5, 5, 9))
    assert sorted(crossed) == [(3, 0), (3, 4), (5, 0), (5, 4)]


def test_the_check_loads_no_polygons():
    """shapely costs a tenth of a second, and `jigs check` must stay quick."""
    source = Path(check_make.__code__.co_filename).parent.parent
    for module in ("checks/make.py", "checks/tongues.py", "making/as_cut.py"):
        assert "import shapely" not in (source / module).read_text(encoding="utf-8")
