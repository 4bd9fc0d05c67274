"""Pockets for square parts: shapely opens them by the cutter and looks whether the part goes in."""

import math

import pytest
from shapely.geometry import Polygon, box

from jigs.model.relief import pocket_for_square

STYLES = ["overrun", "dog-bone", "T-bone"]
OPEN = [(), ("high",), ("left",), ("low", "high"), ("left", "right")]


def drawn(outline):
    """Arcs as 200 chords; a bulge is the tangent of a quarter of the arc's angle."""
    points = []
    for side in outline.sides:
        (x0, y0), (x1, y1) = side.start, side.end
        points.append((x0, y0))
        if side.bulge == 0:
            continue
        cx = (x0 + x1) / 2 - (1 / side.bulge - side.bulge) / 4 * (y1 - y0)
        cy = (y0 + y1) / 2 + (1 / side.bulge - side.bulge) / 4 * (x1 - x0)
        first = math.atan2(y0 - cy, x0 - cx)
        radius, turn = math.hypot(x0 - cx, y0 - cy), 4 * math.atan(side.bulge)
        for i in range(1, 200):
            a = first + turn * i / 200
            points.append((cx + radius * math.cos(a), cy + radius * math.sin(a)))
    return Polygon(points)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("along", ["x", "y"])
@pytest.mark.parametrize("open_at", OPEN)
@pytest.mark.parametrize("size", [(60, 40), (18, 70), (17.9, 12.0), (8, 90), (12, 12)])
def test_a_round_cutter_lets_the_square_part_in(style, along, open_at, size):
    across = size[1] if along == "x" else size[0]
    if across < 2 * 3 + 0.1:
        return
    pocket = drawn(pocket_for_square(0, 0, *size, 3.0, style, open_at, along))
    assert pocket.is_valid
    cut = pocket.buffer(-2.995, quad_segs=64).buffer(2.995, quad_segs=64)
    assert box(0, 0, *size).difference(cut).area < 0.02


def test_areas_by_hand():
    """60 x 40, cutter 6: a rounded corner lacks r^2 (1 - pi/4); an ear is half a circle of r, less
    the triangle of the dog-bone's legs, r sqrt 2 each."""
    r = 3.0
    round_corner = r * r * (1 - math.pi / 4)
    ear = math.pi * r * r / 2
    areas = {
        "overrun": 66 * 40 - 4 * round_corner,
        "dog-bone": 60 * 40 + 4 * (ear - r * r),
        "T-bone": 60 * 40 + 4 * ear,
    }
    for style, area in areas.items():
        assert pocket_for_square(0, 0, 60, 40, r, style).area == pytest.approx(area, abs=1e-9)


@pytest.mark.parametrize("style", ["dog-bone", "T-bone"])
def test_ears_that_would_meet_are_none(style):
    narrow = pocket_for_square(0, 0, 50, 8, 3.0, style)
    assert narrow == pocket_for_square(0, 0, 50, 8, 3.0, "overrun")
    # As wide as two ears of a T-bone, exactly: nothing would be left between them.
    assert pocket_for_square(0, 0, 50, 12, 3.0, "T-bone").bounds == (-3, 0, 53, 12)
