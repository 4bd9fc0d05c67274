"""What a round cutter leaves, against worked corners and against shapely's buffers.

shapely (GEOS) opens a shape by a disc with `buffer(-r).buffer(r)` of polygons: another method.
"""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from jigs.making.as_cut import clear_between, left_standing, narrowest, reachable
from jigs.model.outline import QUARTER_TURN, Outline
from jigs.model.relief import pocket_for_square

FINE = 512  # shapely's segments in a quarter circle: within r * 5e-6 of the true arc


def polygon(outline, step=0.02):
    """Arcs as chords 0.02 rad long: less than 0.001 mm off at a radius of 20 mm.

    Much finer ones make GEOS lose pieces of a buffer.
    """
    points = []
    for side in outline.sides:
        points.append(side.start)
        if side.bulge:
            n = max(8, math.ceil(abs(side.angle) / step))
            cx, cy = side.centre
            first = math.atan2(side.start[1] - cy, side.start[0] - cx)
            points += [
                (cx + side.radius * math.cos(first + side.angle * i / n),
                 cy + side.radius * math.sin(first + side.angle * i / n))
                for i in range(1, n)
            ]  # fmt: skip
    return Polygon(points)


def opened(shape, r):
    """What a disc of radius r sweeps without leaving the shape."""
    return shape.buffer(-r + 1e-6, quad_segs=FINE).buffer(r - 1e-6, quad_segs=FINE)


def witness(outline, diameter, inside):
    """The farthest point of the drawn line from what the cutter clears, by shapely."""
    drawn = polygon(outline)
    if inside:
        cleared = opened(drawn, diameter / 2)
    else:
        cleared = opened(drawn.buffer(4 * diameter).envelope.difference(drawn), diameter / 2)
    line = drawn.exterior.segmentize(0.05)
    return max(cleared.distance(Point(p)) for p in line.coords)


def corner(angle):
    """A pocket with one sharp corner of this interior angle, the others wide and rounded away."""
    a, far = math.radians(angle), 60.0
    return Outline.of([(0, 0), (far, 0), (far * math.cos(a), far * math.sin(a))])


@pytest.mark.parametrize("angle", [30, 60, 90, 120, 150])
@pytest.mark.parametrize("diameter", [3.175, 6.0, 6.35])
def test_a_corner_keeps_what_its_angle_says(angle, diameter):
    """By hand: the bisector's distance r / sin(a / 2) less r."""
    by_hand = diameter / 2 * (1 / math.sin(math.radians(angle) / 2) - 1)
    at_corner = next(left for p, left in left_standing(corner(angle), diameter, True)
                     if math.dist(p, (0, 0)) < 1e-9)  # fmt: skip
    assert at_corner == pytest.approx(by_hand, abs=1e-6)


def test_square_pocket_round_part_and_too_small_a_pocket():
    square = Outline.rectangle(5, 5, 45, 35)
    assert reachable(square, 6, True) == pytest.approx(3 * (math.sqrt(2) - 1), abs=1e-6)
    assert reachable(square, 6, False) == 0  # round the outside no corner points at the cutter
    assert reachable(Outline.circle(3, 4, 6), 6, True) == 0
    assert reachable(Outline.circle(3, 4, 5.9), 6, True) == math.inf
    assert reachable(Outline.circle(3, 4, 5.9), 6, False) == 0
    assert reachable(Outline.slot((0, 0), (20, 0), 6), 6, True) == 0  # one pass
    assert reachable(Outline.rectangle(0, 0, 40, 30, corner=2), 6, True) == pytest.approx(
        (3 - 2) * (math.sqrt(2) - 1), abs=1e-6)  # fmt: skip
    with pytest.raises(ValueError, match="cuts nothing"):
        reachable(square, 0, True)


def test_a_notch_and_a_hollow_in_an_edge():
    """A square notch keeps its corners; a hollow of radius 2 keeps what a disc of 3 misses."""
    notch = Outline.of([(0, 0), (20, 0), (20, 8), (30, 8), (30, 0), (50, 0), (50, 30), (0, 30)])
    assert reachable(notch, 6, False) == pytest.approx(3 * (math.sqrt(2) - 1), abs=1e-6)
    assert narrowest(notch, False) == 10
    hollow = Outline.of([(0, 0), (20, 0, -1.0), (24, 0), (50, 0), (50, 30), (0, 30)])
    # By hand: the disc rests on the lips at 20 and 24: its middle sqrt(9 - 4) below the line.
    assert reachable(hollow, 6, False) == pytest.approx(2 + math.sqrt(5) - 3, abs=1e-6)
    assert narrowest(hollow, False) == pytest.approx(4)


@pytest.mark.parametrize(
    ("outline", "width"),
    [
        (Outline.rectangle(0, 0, 40, 12.5), 12.5),
        (Outline.rectangle(0, 0, 40, 12.5, corner=3), 12.5),
        (Outline.slot((3, 1), (20, 15), 6.4), 6.4),
        (Outline.circle(0, 0, 9), 9),
        (Outline.of([(0, 0), (40, 0), (40, 9), (12, 9), (12, 30), (0, 30)]), 9),
    ],
)
def test_narrowest_width(outline, width):
    assert narrowest(outline, True) == pytest.approx(width)


@pytest.mark.parametrize("relief", ["overrun", "dog-bone", "T-bone"])
@pytest.mark.parametrize("along", ["x", "y"])
def test_the_clear_width_of_a_groove_leaves_its_ears_out(relief, along):
    """A groove 80 x 17.9 at (3, 4), lying or standing, measured between its long sides."""
    w, h = (80.0, 17.9) if along == "x" else (17.9, 80.0)
    groove = clear_between(pocket_for_square(3, 4, 3 + w, 4 + h, 3, relief, along=along))
    assert groove.across == pytest.approx((0, 1) if along == "x" else (1, 0), abs=1e-12)
    start = 4 if along == "x" else 3
    assert (groove.low, groove.high) == pytest.approx((start, start + 17.9))


def test_clear_between_of_a_slanting_slot_and_of_what_has_no_straight_sides():
    slot = clear_between(Outline.slot((3, 1), (20, 15), 6.4))
    assert slot.high - slot.low == pytest.approx(6.4)
    assert abs(slot.across[0] * 17 + slot.across[1] * 14) < 1e-9
    assert clear_between(Outline.circle(0, 0, 9)) is None
    assert clear_between(Outline.of([(0, 0), (40, 0), (20, 30)])) is None


def test_a_wedge_has_no_width_and_a_neck_is_found():
    assert narrowest(Outline.of([(0, 0), (40, 0), (20, 30)]), True) == math.inf
    dumb_bell = Outline.of([
        (0, 0), (20, 0), (20, 8), (40, 8), (40, 0), (60, 0), (60, 20), (40, 20), (40, 12),
        (20, 12), (20, 20), (0, 20),
    ])  # fmt: skip
    assert narrowest(dumb_bell, True) == 4
    assert reachable(dumb_bell, 6, True) == pytest.approx(witness(dumb_bell, 6, True), abs=1e-3)


@pytest.mark.parametrize("relief", ["overrun", "dog-bone", "T-bone"])
@pytest.mark.parametrize("along", ["x", "y"])
@pytest.mark.parametrize("radius", [1.5875, 3.0, 3.175, 6.35])
@pytest.mark.parametrize("size", [(80.0, 17.9), (50.0, 15.1), (31.0, 44.0), (9.5, 60.0)])
def test_relieved_pockets_are_reached(relief, along, radius, size):
    pocket = pocket_for_square(3, 4, 3 + size[0], 4 + size[1], radius, relief, along=along)
    if narrowest(pocket, True) < 2 * radius - 1e-9:
        assert reachable(pocket, 2 * radius, True) > 0.1
        return
    assert reachable(pocket, 2 * radius, True) <= 1e-6


@pytest.mark.parametrize("outline", [
    Outline.of([(0, 0), (40, 0), (55, 20), (30, 45), (10, 28), (-5, 30)]),
    Outline.of([(0, 0, 0.3), (40, 0), (40, 30, -0.4), (0, 30)]),
    Outline.of([(0, 0), (20, 0, -0.8), (34, 0), (50, 0), (50, 30, QUARTER_TURN),
                (40, 40), (0, 40)]),
    Outline.polygon(10, 5, 30),
])  # fmt: skip
@pytest.mark.parametrize("diameter", [3.175, 6.0, 12.7])
@pytest.mark.parametrize("inside", [True, False])
def test_shapely_agrees(outline, diameter, inside):
    found = reachable(outline, diameter, inside)
    assert found == pytest.approx(witness(outline, diameter, inside), abs=2e-3)


@settings(max_examples=25, deadline=None)
@given(
    radii=st.lists(st.floats(12, 40), min_size=3, max_size=7),
    bulge=st.sampled_from([0.0, 0.25, -0.2]),
    inside=st.booleans(),
)
def test_shapely_agrees_on_stars(radii, bulge, inside):
    n = len(radii)
    star = Outline.of([
        (r * math.cos(2 * math.pi * i / n), r * math.sin(2 * math.pi * i / n),
         bulge if i == 0 else 0.0)
        for i, r in enumerate(radii)
    ])  # fmt: skip
    drawn = polygon(star)
    if not drawn.is_valid:
        return
    expected = witness(star, 6, inside)
    assert reachable(star, 6, inside) == pytest.approx(expected, abs=0.02)
