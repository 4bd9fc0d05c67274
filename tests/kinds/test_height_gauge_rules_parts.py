"""The gauge's parts, where they stand, what they touch and how they go in, by hand and as boxes.

Allotment: bar 95 by 45, 13 slices of 17.6: 228.8 long, 73 before the table; arch 35 on 61; key 10
in a groove 8 deep, 32.5 to the right. Skittles: printed, 75 by 45 by 175, no slots.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import Polygon, box

from jigs.kinds.height_gauge import KIND
from jigs.kinds.height_gauge.parts import all_parts
from jigs.model.outline import Outline
from jigs.model.part import Face, Part, Print, Stack, Strip
from jigs.model.pose import Pose
from jigs.model.state import Limit, Phase, Role, State
from jigs.reading.job import read_job
from jigs.sizing import Jig, design

from .boxes import Standing, boxes_of, hole_about, in_cuts, polygon, touch

ROOT = Path(__file__).parents[2]
JOBS = {
    "stack": ("configs/allotment.yaml", {}),
    "printed": ("configs/skittles.yaml", {}),
    "slots along x": ("configs/stool.yaml", {}),
    "narrow": ("tests/shops/front_narrow_slots.yaml", {}),
    "thick dowels": ("configs/allotment.yaml", {"gauge.dowel_diameter": 12.0}),
    "measured": ("configs/allotment.yaml", {"gauge.crown_height": 2.8}),
    "left": ("configs/allotment.yaml", {"gauge.key_side": "left"}),
}
SETTING = State(Phase.SETTING, Limit.NOMINAL)
KEYED = ("stack", "narrow", "thick dowels", "measured", "left")


@pytest.fixture(scope="module")
def jigs() -> dict[str, Jig]:
    found = {}
    for name, (file, changes) in JOBS.items():
        d = design(read_job(ROOT / file), changes)
        found[name] = next(jig for _, jig in d.jigs() if jig.kind.name == "height_gauge")
    return found


def parts_of(jig: Jig) -> dict[str, Part]:
    return {part.id: part for part in KIND.parts(jig.n)}


def standing(jig: Jig) -> dict[str, Standing]:
    parts = parts_of(jig)
    at = {p.name: Standing(p.name, parts[p.part], p.pose) for p in KIND.poses(jig.n, SETTING)}
    slab = Part("table", "table", Strip(""), Outline.rectangle(-500, 0, 500, 500), 20.0)
    table = Pose.to(0, -jig.n.axis_y, -jig.n.end_height - 20)
    return {**at, "table": Standing("table", slab, table)}


# The bar's section


def section(n: Any, groove: float, radius: float) -> Any:
    """Rectangle less the arch through its feet and its crown, less a groove with round corners."""
    w, h, a, crown = n.bar_width, n.bar_height, n.arch_width, n.crown_height
    middle = (crown**2 - (a / 2) ** 2) / (2 * crown)
    arch = [(x, middle + math.sqrt((crown - middle) ** 2 - x**2))
            for x in (-a / 2 + a * i / 2000 for i in range(2001))]  # fmt: skip
    shape = box(-w / 2, 0, w / 2, h).difference(Polygon([*arch, (a / 2, -1), (-a / 2, -1)]))
    if groove:
        cut = box(n.key_x - groove / 2, -1, n.key_x + groove / 2, n.key_groove)
        rounded = cut.buffer(-radius).buffer(radius) if radius else cut
        square = box(n.key_x - groove / 2, -1, n.key_x + groove / 2, n.key_groove - radius)
        shape = shape.difference(rounded.union(square))
    return shape


@pytest.mark.parametrize("job", JOBS)
def test_the_section_of_the_bar(jigs, job):
    """Cutters of 6 leave 3 in the groove's corners, one of 4 leaves 2; a printed one is square."""
    jig = jigs[job]
    n = jig.n
    keyed = job in KEYED
    radius = {"narrow": 2.0}.get(job, 3.0) if keyed else 0.0
    outline = parts_of(jig)["bar"].outline
    assert outline is not None
    drawn, wanted = polygon(outline), section(n, n.groove_width if keyed else 0.0, radius)
    assert drawn.symmetric_difference(wanted).area < 1.0, "under a thousandth of 4000 mm2"
    x0, y0, x1, y1 = outline.bounds
    assert (x0, y0, x1, y1) == pytest.approx((-n.bar_width / 2, 0, n.bar_width / 2, n.bar_height))


def test_a_crown_as_measured_is_drawn(jigs):
    outline = parts_of(jigs["measured"])["bar"].outline
    assert outline is not None
    (arch,) = [side for side in outline.sides if side.start == (-17.5, 0)]
    assert max(y for _, y in arch.extremes()) == pytest.approx(2.8)


@pytest.mark.parametrize(("job", "width", "radius"), [("stack", 10, 3), ("narrow", 6, 2)])
def test_the_keys_chamfers_clear_the_grooves_corners(jigs, job, width, radius):
    """A quarter circle of 3 keeps a chamfer of 3 off its middle, not off its ends: 7 % more."""
    key = parts_of(jigs[job])["key"]
    assert key.outline is not None
    x0, y0, x1, y1 = key.outline.bounds
    n = jigs[job].n
    assert (x0, x1) == pytest.approx((-width / 2, width / 2))
    assert (y0, y1) == pytest.approx((0, n.key_groove + n.key_reach))
    chamfer = 1.07 * radius
    assert key.outline.area == pytest.approx(width * y1 - chamfer**2)
    # Its corners are those that lie in the groove: at the top, where the bar is.
    corners = [v[:2] for v in key.outline.vertices]
    assert (width / 2, 0) in [(round(x, 6), round(y, 6)) for x, y in corners]
    assert (width / 2, y1) not in [(round(x, 6), round(y, 6)) for x, y in corners]
    assert isinstance(key.made, Strip)
    assert key.thickness == pytest.approx(n.bearing - 10)


def test_a_key_too_narrow_for_the_cutter_wants_a_thinner_one(jigs):
    """Key 4.8, cutter 6: corners of 0.45 x 4.8 = 2.16 in place of 3."""

    class Narrow:
        def __getattr__(self, name: str) -> Any:
            return {"key_width": 4.8, "groove_width": 4.8}.get(name) or getattr(
                jigs["stack"].n, name
            )

    parts = {part.id: part for part in all_parts(Narrow())}  # type: ignore[arg-type]
    key, bar = parts["key"].outline, parts["bar"].outline
    assert key is not None
    assert bar is not None
    assert key.area == pytest.approx(4.8 * 14 - (1.07 * 2.16) ** 2)
    radii = [side.radius for side in bar.sides if side.bulge]
    assert sorted(radii)[:2] == pytest.approx([2.16, 2.16])


def test_what_it_is_made_of(jigs):
    stack, printed = parts_of(jigs["stack"]), parts_of(jigs["printed"])
    assert isinstance(stack["bar"].made, Stack)
    assert stack["bar"].made.slices == 13
    assert stack["bar"].thickness == pytest.approx(228.8)
    assert isinstance(printed["bar"].made, Print)
    assert printed["bar"].thickness == 175
    assert set(stack) == {"bar", "dowel", "key"}
    assert set(printed) == {"bar"}
    assert printed["bar"].cuts == ()
    assert set(parts_of(jigs["slots along x"])) == {"bar", "dowel"}
    assert stack["bar"].eased == 1


# Where it stands


@pytest.mark.parametrize("job", JOBS)
def test_the_bar_on_the_table_over_the_piece(jigs, job):
    """Flats on the table, so far before its edge as the overhang; the crown at the piece's end."""
    jig = jigs[job]
    n, at = jig.n, standing(jig)
    (bar,) = at["bar"].boxes
    assert (bar.low[0], bar.high[0]) == pytest.approx((-n.bar_width / 2, n.bar_width / 2))
    assert bar.low[2] == pytest.approx(-n.end_height)
    assert -n.axis_y - bar.low[1] == pytest.approx(n.overhang)
    assert bar.high[1] + n.axis_y == pytest.approx(n.bearing)
    crown = at["bar"].pose.apply((0.0, n.crown_height, 0.0))
    assert crown[2] == pytest.approx(0)
    assert touch(at["bar"], at["table"])
    assert KIND.holds_piece(n, SETTING).dz == 0 == KIND.offset_of(n, {}).dz
    for phase in (Phase.OPEN, Phase.CLOSED):
        assert KIND.poses(n, State(phase, Limit.NOMINAL)) == []
        assert KIND.contacts(n, State(phase, Limit.NOMINAL)) == []
    assert len(at) > 1


@pytest.mark.parametrize("job", KEYED)
def test_the_key_in_groove_and_slot(jigs, job):
    """On the table all but 5 mm at each end; as far in the slot as it reaches."""
    jig = jigs[job]
    n, at = jig.n, standing(jig)
    (key,) = at["key"].boxes
    assert key.low[2] == pytest.approx(-n.end_height - n.key_reach)
    assert key.high[2] == pytest.approx(-n.end_height + n.key_groove)
    assert (key.low[0] + key.high[0]) / 2 == pytest.approx(n.key_x)
    assert key.low[1] + n.axis_y == pytest.approx(5)
    assert key.high[1] + n.axis_y == pytest.approx(n.bearing - 5)
    # Its sides at the sides of the groove in the bar's outline, its back on the groove's floor.
    bar = polygon(parts_of(jig)["bar"].outline)  # type: ignore[arg-type]
    inside = box(key.low[0], 0, key.high[0], n.key_groove)
    beyond = box(key.low[0] - 0.1, 0, key.high[0] + 0.1, n.key_groove + 0.1)
    assert bar.intersection(inside).area < 0.5 * n.routed_corner**2
    assert bar.intersection(beyond).area - bar.intersection(inside).area > 0.1 * n.key_groove


@pytest.mark.parametrize("job", [job for job in JOBS if job != "printed"])
def test_dowels_run_through_all_slices(jigs, job):
    """15 from the top; 15 from the sides, or one and a half diameters."""
    jig = jigs[job]
    n, at = jig.n, standing(jig)
    aside = 18 if job == "thick dowels" else 15
    for side, sign in (("left", -1), ("right", 1)):
        dowel = at[f"dowel {side}"]
        left, (hole,) = hole_about(at["bar"], dowel)
        assert left == pytest.approx(0, abs=1e-9)
        x0, _, x1, _ = hole.outline.bounds
        assert x1 - x0 == pytest.approx(n.dowel_diameter)
        assert (hole.face, hole.depth, hole.meets) == (Face.BOTTOM, None, "dowel")
        assert hole.outline.centre == pytest.approx(
            (sign * (n.bar_width / 2 - aside), n.bar_height - 15)
        )
        (long,), (bar,) = dowel.boxes, at["bar"].boxes
        assert (long.low[1], long.high[1]) == pytest.approx((bar.low[1], bar.high[1]))
        assert boxes_of(dowel.part)[0].high[0] * 2 == n.dowel_diameter
        assert in_cuts(dowel, at["bar"])


@pytest.mark.parametrize("job", JOBS)
def test_what_touches_what(jigs, job):
    pairs = {(c.a, c.b): c.role for c in KIND.contacts(jigs[job].n, SETTING)}
    wanted = {("bar", "table"): Role.SEATS, ("bar", "piece"): Role.SUPPORTS}
    if job in KEYED:
        wanted |= {("key", "table"): Role.GUIDES, ("key", "bar"): Role.GLUED}
    assert pairs == wanted


# Moves and steps

WAYS: dict[str, dict[str, list[tuple[float, float, float]]]] = {
    # up out of the slot, 6, and 20 and 5 more; back by the overhang of 73 (58) and 10, up
    "stack": {"gauge": [(0, 0, 31)], "the gauge slides off": [(0, 83, 0), (0, 0, 60)],
              "dowel left": [(0, 233.8, 0)], "dowel right": [(0, 233.8, 0)],
              "key": [(0, 0, -19)]},
    "printed": {"gauge": [(0, 0, 25)], "the gauge slides off": [(0, 68, 0), (0, 0, 60)]},
    # lip 6: 4 into the slot
    "narrow": {"gauge": [(0, 0, 29)], "key": [(0, 0, -17)]},
}  # fmt: skip


@pytest.mark.parametrize("job", WAYS)
def test_ways_out(jigs, job):
    moves = {move.name: move for move in KIND.moves(jigs[job].n)}
    for name, legs in WAYS[job].items():
        for leg, way in zip(moves[name].legs, legs, strict=True):
            assert leg == pytest.approx(way)
        assert moves[name].at is Phase.SETTING
    everything = set(standing(jigs[job])) - {"table"}
    assert set(moves["gauge"].unit) == set(moves["the gauge slides off"].unit) == everything
    assert moves["the gauge slides off"].among is Phase.CLOSED
    glued = {name for name, move in moves.items() if move.when == "gluing"}
    assert glued == everything - {"bar"}
    assert set(moves) == {"gauge", "the gauge slides off", *glued}


def test_steps_and_offers(jigs):
    on, off = KIND.steps(jigs["stack"].n)
    assert (on.removes, off.removes) == ("", "the gauge")
    assert KIND.offers(jigs["stack"].n) == {"end_height": "crown_height", "axis_x": "gauge_x"}
    assert KIND.offers(jigs["printed"].n) == {"end_height": "crown_height"}
    assert KIND.rooms(jigs["stack"].n, SETTING) == []
