"""Outlines against textbook areas and against shapely's fine polygons."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from jigs.model.outline import Outline, arc_bulge

FINE = 256


def as_shapely(outline: Outline) -> Polygon:
    """Second witness: sample each arc by its centre and angles, found from three points."""
    points = []
    for side in outline.sides:
        if side.bulge == 0:
            points.append(side.start)
            continue
        cx, cy, r = circle_through(side.start, side.middle, side.end)
        a0 = math.atan2(side.start[1] - cy, side.start[0] - cx)
        a1 = math.atan2(side.end[1] - cy, side.end[0] - cx)
        turn = (a1 - a0) % (2 * math.pi)
        if side.bulge < 0:
            turn -= 2 * math.pi
        points += [
            (cx + r * math.cos(a0 + turn * i / FINE), cy + r * math.sin(a0 + turn * i / FINE))
            for i in range(FINE)
        ]
    return Polygon(points)


def circle_through(a, b, c):
    """Centre and radius of the circle through three points (perpendicular bisectors)."""
    d = 2 * (a[0] * (b[1] - c[1]) + b[0] * (c[1] - a[1]) + c[0] * (a[1] - b[1]))
    s = [p[0] ** 2 + p[1] ** 2 for p in (a, b, c)]
    x = (s[0] * (b[1] - c[1]) + s[1] * (c[1] - a[1]) + s[2] * (a[1] - b[1])) / d
    y = (s[0] * (c[0] - b[0]) + s[1] * (a[0] - c[0]) + s[2] * (b[0] - a[0])) / d
    return x, y, math.dist((x, y), a)


def test_circle_and_slot_have_their_textbook_areas():
    assert Outline.circle(3, 4, 10).area == pytest.approx(math.pi * 25, rel=1e-12)
    assert Outline.slot((0, 0), (30, 0), 6).area == pytest.approx(180 + math.pi * 9, rel=1e-12)
    assert Outline.rectangle(0, 0, 10, 6, corner=1).area == pytest.approx(60 - 4 + math.pi)


def test_hexagon_area_from_across_flats():
    # Regular hexagon: area = across flats squared times sqrt(3) / 2.
    assert Outline.polygon(0, 0, 13).area == pytest.approx(13**2 * math.sqrt(3) / 2, rel=1e-12)


def test_an_outline_given_clockwise_is_turned_round_with_its_arcs():
    """A rectangle with a half circle bitten out of its lower side."""
    ccw = Outline.of([(-10, 0), (-3, 0, -1.0), (3, 0), (10, 0), (10, 8), (-10, 8)])
    cw = Outline.of([(-10, 0), (-10, 8), (10, 8), (10, 0), (3, 0, 1.0), (-3, 0)])
    expected = 20 * 8 - math.pi * 9 / 2
    assert ccw.area == pytest.approx(expected, rel=1e-12)
    assert cw.area == pytest.approx(expected, rel=1e-12)


def test_mirrored_exchanges_left_and_right_and_keeps_the_area():
    outline = Outline.of([(0, 0), (10, 0), (10, 5, 0.3), (0, 5)])
    assert outline.mirrored().area == pytest.approx(outline.area, rel=1e-12)
    x0, _, x1, _ = outline.bounds
    assert outline.mirrored().bounds[0::2] == pytest.approx((-x1, -x0))


def test_a_backward_outline_is_refused():
    with pytest.raises(ValueError, match="counter-clockwise"):
        Outline(((0, 0, 0), (0, 5, 0), (5, 5, 0)))


coordinates = st.floats(-100, 100).map(lambda v: round(v, 3))


bulges = st.floats(-0.9, 0.9).map(lambda v: round(v, 3))


@given(st.floats(0.5, 50), st.floats(0.5, 80), bulges, bulges)
def test_area_length_and_bounds_agree_with_shapely(half, height, low, high):
    # Sagitta = bulge times half the chord: together they stay under the height.
    flatter = 0.5 * min(1.0, height / half)
    outline = Outline.of(
        [(-half, 0, low * flatter), (half, 0), (half, height, high * flatter), (-half, height)]
    )
    shape = as_shapely(outline)
    assert outline.area == pytest.approx(shape.area, rel=2e-4)
    assert outline.length == pytest.approx(shape.length, rel=2e-4)
    assert outline.bounds == pytest.approx(shape.bounds, abs=2e-4 * outline.length)


@given(st.floats(0.1, 6.2), st.floats(0.5, 100), coordinates, coordinates)
def test_arc_bulge_finds_the_same_circle_again(angle, radius, cx, cy):
    start = (cx + radius, cy)
    end = (cx + radius * math.cos(angle), cy + radius * math.sin(angle))
    bulge = arc_bulge(start, end, (cx, cy), left=True)
    assert bulge == pytest.approx(math.tan(angle / 4), rel=1e-6)
    right = arc_bulge(start, end, (cx, cy), left=False)
    assert right == pytest.approx(-math.tan((2 * math.pi - angle) / 4), rel=1e-6)


def test_slot_is_a_buffered_line():
    slot = Outline.slot((1, 2), (9, 7), 5)
    assert as_shapely(slot).symmetric_difference(
        LineString([(1, 2), (9, 7)]).buffer(2.5, quad_segs=256)
    ).area == pytest.approx(0, abs=1e-2)
    assert as_shapely(Outline.circle(0, 0, 8)).area == pytest.approx(
        Point(0, 0).buffer(4, quad_segs=512).area, rel=1e-4
    )
