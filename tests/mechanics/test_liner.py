"""Piece in a lined ring: a plane geometry library finds where the circles cross; lens areas by the
published formula for two circles."""

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from jigs.mechanics import liner

# Worked by hand: bore 21.5, liner 3, lined 18.5, gap 7.4, squeeze 0.45.
TRIAL = {31.5: 3.200, 33.75: 2.075, 36.0: 0.950}


@pytest.mark.parametrize(("diameter", "offset"), TRIAL.items())
def test_axis_offset_of_the_worked_example(diameter, offset):
    assert liner.axis_offset(18.5, diameter / 2, 0.45) == pytest.approx(offset, abs=1e-9)


def test_reach_of_the_lining_of_the_worked_example():
    assert math.degrees(liner.lip_angle(18.5, 7.4)) == pytest.approx(78.46, abs=0.005)


@given(st.floats(8, 40), st.floats(0.2, 4), st.floats(0.05, 0.9))
def test_half_angle_is_where_the_circles_cross(radius, larger, squeeze):
    """Second witness: law of cosines at the piece's centre, with sides r, e and R."""
    lined = radius + larger
    e = larger + squeeze
    assume(e < radius)
    cosine = (lined**2 - radius**2 - e**2) / (2 * e * radius)
    found = liner.touching_half_angle(lined, radius, squeeze)
    assert math.cos(found) == pytest.approx(cosine, abs=1e-9)


@given(st.floats(8, 40), st.floats(0.2, 4), st.floats(0.05, 0.9), st.floats(1, 12))
def test_contact_ends_where_a_plane_geometry_library_says(radius, larger, squeeze, gap):
    """The part of the piece inside the liner's region, seen from the piece's centre."""
    lined = radius + larger
    e = larger + squeeze
    assume(e < radius and gap < lined)
    outside = (
        Point(0, 0)
        .buffer(3 * lined, quad_segs=512)
        .difference(Point(0, 0).buffer(lined, quad_segs=4096))
    )
    above_split = Polygon([(-200, gap / 2), (200, gap / 2), (200, 200), (-200, 200)])
    piece = Point(0, e).buffer(radius, quad_segs=4096)
    overlap = piece.intersection(outside).intersection(above_split)
    angles = [
        math.atan2(abs(x), y - e)
        for x, y in overlap.exterior.coords
        if math.hypot(x, y - e) > radius * (1 - 1e-5)
    ]
    found = liner.contact_half_angle(lined, radius, squeeze, gap)
    assert found == pytest.approx(max(angles), abs=0.02)


def test_a_piece_that_fills_the_lining_touches_all_round():
    assert liner.touching_half_angle(10, 10, 0.5) == pytest.approx(math.pi / 2, abs=0.03)
    assert liner.touching_half_angle(10, 10.6, 0.5) == math.pi
    assert liner.touching_half_angle(10, 9, 0) == 0


def test_strip_length_is_the_arc_of_the_middle():
    """Second witness: sum of many short chords of the middle circle above the split face."""
    bore, thick, gap = 21.5, 3.0, 8.1
    middle = bore - thick / 2
    start = math.asin(gap / 2 / middle)
    steps = 20000
    points = [start + (math.pi - 2 * start) * i / steps for i in range(steps + 1)]
    walked = sum(
        math.dist((math.cos(a), math.sin(a)), (math.cos(b), math.sin(b))) * middle
        for a, b in pairwise(points)
    )
    assert liner.strip_length(bore, thick, gap) == pytest.approx(walked, rel=1e-6)
