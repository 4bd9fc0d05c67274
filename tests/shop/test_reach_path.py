"""Areas and paths in plan: by hand, and against shapely, which knows nothing of ours."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Point, Polygon

from jigs.model.number import Book
from jigs.model.pose import Pose
from jigs.model.state import Limit
from jigs.shop.machine import Cutter, cutter_facts
from jigs.shop.path import Area, cut_path
from jigs.shop.piece import Bar, Dome, Turned
from jigs.shop.stock import Cut, cut_facts
from jigs.units import Limits

POST = Bar(
    shape="bar",
    width=Limits(37.5, 38, 38.5),
    depth=Limits(29.0, 30, 31.0),
    length=Limits(100, 100, 100),
)
PIN = Turned(
    shape="turned", length=Limits(110, 110, 110), grip_diameter=Limits(20, 21, 22), grip_from=8,
    grip_to=46, dome=Dome(width=18, radius=15),
)  # fmt: skip
LENGTHS = st.floats(-50, 50, allow_nan=False)


def book(diameter: float, **cut: object) -> Book:
    """The numbers of a cut with a straight cutter."""
    cutter = Cutter(diameter=diameter, flute_length=25, shank=diameter, length=60)
    model = Cut.model_validate({"cutter": "straight", "depth": 10, **cut})
    facts = cut_facts(model, lambda _: "") + cutter_facts(cutter, lambda _: "")
    return Book("cut", facts)


def whole_bounds(book: Book, piece: Bar | Turned, limit: Limit = Limit.MOST):
    bounds = [area.bounds for area in cut_path(book, piece, limit).areas]
    return tuple(f(b[i] for b in bounds) for i, f in enumerate((min, min, max, max)))


def test_a_slot_runs_over_both_ends_by_radius_and_2():
    path = cut_path(book(6, does="slot", direction="y"), POST, Limit.MOST)
    # half of 31, 3 of radius, 2: 20.5; as wide as the cutter, so along a line
    assert path.areas[0].bounds == pytest.approx((0, -20.5, 0, 20.5))
    assert len(path.areas[0].corners) == 2
    assert path.deepest == 10


def test_a_wide_slot_takes_passes_beside_each_other():
    # 10 wide with a 6 mm cutter: 2 to each side; along x half of 37.5, 3 and 2
    bounds = whole_bounds(book(6, does="slot", width=10, direction="x"), POST, Limit.LEAST)
    assert bounds == pytest.approx((-23.75, -2, 23.75, 2))


def test_a_tenon_is_gone_round_and_cleared_to_the_edge_and_over():
    path = cut_path(book(6, does="tenon", width=20), POST, Limit.NOMINAL)
    # out to half of 38 and 5, half of 30 and 5; in to half of 20 and the radius
    assert whole_bounds(book(6, does="tenon", width=20), POST, Limit.NOMINAL) == pytest.approx(
        (-24, -20, 24, 20)
    )
    for point, inside in (((0, 0), False), ((12.9, 12.9), False), ((13.1, 0), True),
                          ((-23.9, 19.9), True), ((0, -14), True)):  # fmt: skip
        assert any(area.holds(point) for area in path.areas) == inside, point


def test_a_hole_is_plunged_or_wound():
    assert cut_path(book(6, does="hole"), POST, Limit.MOST).areas == (Area(((0.0, 0.0),), 0.0),)
    assert whole_bounds(book(3, does="hole", width=8), POST) == pytest.approx(
        (-2.5, -2.5, 2.5, 2.5)
    )


def test_a_mark_is_deepest_at_its_rim():
    # sphere of 15, mark 10 across: 15 - sqrt(225 - 25) = 0.857864
    path = cut_path(book(3, does="mark", width=10), PIN, Limit.MOST)
    assert path.deepest == pytest.approx(10 + 15 - math.sqrt(200))
    assert path.areas[0].bounds == pytest.approx((-5, -5, 5, 5))
    # wider than the dome: no deeper than its rim, 9 from the axis: 15 - 12
    assert cut_path(book(3, does="mark", width=30), PIN, Limit.MOST).deepest == pytest.approx(13)
    # on a flat end there is nothing to follow
    assert cut_path(book(3, does="mark", width=10), POST, Limit.MOST).deepest == 10


@given(
    st.lists(st.tuples(LENGTHS, LENGTHS), min_size=3, max_size=8),
    st.floats(0.5, 30),
    st.tuples(LENGTHS, LENGTHS),
)
@settings(max_examples=60, deadline=None)
def test_areas_are_what_shapely_says(points, radius, probe):
    theirs = MultiPoint(points).convex_hull
    if not isinstance(theirs, Polygon) or theirs.area < 1:
        return
    area = Area.hull(points, radius)
    grown = theirs.buffer(radius, quad_segs=256)
    outline = area.outline()
    assert outline.area == pytest.approx(grown.area, rel=1e-4)
    assert area.bounds == pytest.approx(grown.bounds, abs=1e-3)
    if area.apart(probe) > 0.01:
        assert area.apart(probe) == pytest.approx(grown.distance(Point(probe)), abs=0.002)
        assert not area.holds(probe)
    elif area.apart(probe) < -0.01:
        assert area.holds(probe)
        assert grown.contains(Point(probe))


def test_what_a_box_and_a_disc_sweep():
    line = Area.rectangle(0, 0, 10, 0)
    assert line.around(3).outline().area == pytest.approx(10 * 6 + math.pi * 9)
    assert line.spread(-2, 3, -1, 4).outline().area == pytest.approx(15 * 5)
    disc = Area(((1.0, 2.0),), 4.0)
    assert disc.outline().area == pytest.approx(16 * math.pi)
    # a box along a disc: the box, its sides grown by 4, and the round corners
    assert disc.spread(0, 5, 0, 5).outline().area == pytest.approx(25 + 4 * 5 * 4 + 16 * math.pi)


def test_areas_turn_with_the_jig():
    turned = Area.rectangle(0, 0, 10, 0).placed(Pose.to(5, 5) @ Pose.turned("z", 90))
    assert turned.bounds == pytest.approx((5, 5, 5, 15))
