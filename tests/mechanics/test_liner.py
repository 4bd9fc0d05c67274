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


@given(st.floats(8, 40), st.floats(0.0, 4), st.floats(0.05, 2), st.floats(0.05, 0.95))
def test_the_lip_is_where_the_pieces_surface_leaves_it(radius, larger, squeeze, share):
    """Second witness: that point of the piece, seen from the bore's centre, lies where the lip is.

    The lip stands g / 2 from the split plane on the lined radius: at acos(g / (2 R)).
    """
    lined = radius + larger
    gap, e = 2 * share * lined, larger + squeeze
    assume(e * math.sqrt(1 - share**2) < 0.999 * radius)
    found = liner.lip_angle_at_piece(lined, radius, squeeze, gap)
    x, y = radius * math.sin(found), e + radius * math.cos(found)
    assert math.atan2(x, y) == pytest.approx(math.acos(share), abs=1e-9)


def test_a_piece_far_below_the_lips_never_meets_them():
    """e sin(alpha) above r: the lip's direction passes beside the piece."""
    assert liner.lip_angle_at_piece(20, 5, 0.5, 1.0) == math.pi


def fewest_groups(bore, clearance, thinnest, thickest, least, squeeze, step):
    """Second witness: every lining on the grid, every diameter on a fine one, shortest chain.

    A lining serves a diameter that keeps the clearance and whose circles cross beyond the least
    angle by the law of cosines. Returns how many linings serve the whole batch; 0 = none do.
    """
    fine = 0.005
    sizes = [thinnest + i * fine for i in range(round((thickest - thinnest) / fine) + 1)]

    def serves(diameter, thick):
        lined, r = bore - thick, diameter / 2
        if lined - r < clearance - 1e-9:
            return False
        deep = squeeze(thick)
        e = lined - r + deep
        cosine = (lined**2 - r**2 - e**2) / (2 * e * r)
        return math.acos(max(-1.0, min(1.0, cosine))) >= least - 1e-9

    linings = [i * step for i in range(1, round(bore / step / 2))]
    left, count = len(sizes) - 1, 0
    while left >= 0:
        reach = left
        for thick in linings:
            at = left
            while at >= 0 and serves(sizes[at], thick):
                at -= 1
            reach = min(reach, at)
        if reach == left:
            return 0
        left, count = reach, count + 1
    return count


@pytest.mark.parametrize(
    ("thinnest", "thickest", "step", "angle", "count"),
    [
        (26, 36, 0.1, 20, 1), (26, 36, 0.1, 30, 2), (22, 36, 0.5, 35, 3), (18, 35, 0.1, 40, 3),
        (22, 36, 0.5, 40, 4),
    ],
)  # fmt: skip
def test_a_wide_batch_is_split_over_the_fewest_linings(thinnest, thickest, step, angle, count):
    least = math.radians(angle)

    def squeeze(thick):
        return 0.14 * thick

    groups = liner.split_over_linings(21.5, 0.5, 2.0, thinnest, thickest, least, squeeze, step)
    assert len(groups) == count
    assert count == fewest_groups(21.5, 0.5, thinnest, thickest, least, squeeze, step)
    assert groups[0][0] == thinnest
    assert groups[-1][1] == thickest
    for (low, high, thick), following in zip(groups, (*groups[1:], None), strict=True):
        assert low < high
        assert 21.5 - thick - high / 2 >= 0.5 - 1e-9
        assert 21.5 - (thick + step) - high / 2 < 0.5, "a thicker lining would do"
        assert thick / step == pytest.approx(round(thick / step), abs=1e-6)
        cosine = _cosine(21.5 - thick, low / 2, squeeze(thick))
        assert math.acos(cosine) >= least - 1e-6
        if following:
            assert following[0] == high
            lined, deep = 21.5 - following[2], squeeze(following[2])
            thinner = math.acos(_cosine(lined, (high - 0.01) / 2, deep))
            assert thinner < least, "the thicker group would reach further"


def _cosine(lined, r, deep):
    e = lined - r + deep
    return (lined**2 - r**2 - e**2) / (2 * e * r)


def test_where_no_lining_touches_enough_there_are_no_groups():
    """Half a turn each side cannot be; nor 40 deg with linings in steps of 3 mm."""
    place = (21.5, 0.5, 2.0, 26, 36)
    coarse = (math.radians(40), lambda t: 0.14 * t, 3.0)
    assert liner.split_over_linings(*place, *coarse) == ()
    assert fewest_groups(21.5, 0.5, 26, 36, *coarse) == 0
    assert liner.split_over_linings(21.5, 0.5, 2, 30, 36, 3.0, lambda t: 0.14 * t, 0.1) == ()
