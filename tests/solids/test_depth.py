"""Depth of overlap and distance against cases that can be worked out by hand."""

import math
import random

import cadquery as cq
import pytest

from jigs.solids import depth, skin
from jigs.solids.skin import Body


def overlap_depth(a, b):
    return depth.overlap_depth(Body(lambda: a), Body(lambda: b))


def distance(a, b):
    return skin.distance(Body(lambda: a), Body(lambda: b))


def touching_gap(a, b):
    return skin.skin_gap(Body(lambda: a), Body(lambda: b))


def box(x, y, z, at=(0, 0, 0)):
    return cq.Solid.makeBox(x, y, z, cq.Vector(*at))


def rod(radius, height, at=(0, 0, 0)):
    return cq.Solid.makeCylinder(radius, height, cq.Vector(*at), cq.Vector(0, 0, 1))


@pytest.mark.parametrize("depth", [0.01, 0.05, 0.5, 3.0])
def test_two_boxes(depth):
    assert overlap_depth(box(10, 10, 10), box(10, 10, 10, (10 - depth, 2, 3))) == pytest.approx(
        depth, abs=1e-6
    )


def test_boxes_that_touch_or_stand_apart_do_not_overlap():
    assert overlap_depth(box(10, 10, 10), box(10, 10, 10, (10, 0, 0))) == 0
    assert overlap_depth(box(10, 10, 10), box(10, 10, 10, (10.5, 0, 0))) == 0


def test_a_pin_as_large_as_its_hole_only_touches():
    plate = box(30, 30, 10, (-15, -15, 0)).cut(rod(4, 10))
    assert overlap_depth(plate, rod(4, 20, (0, 0, -5))) == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize("excess", [0.05, 0.2])
def test_a_pin_that_is_too_thick_overlaps_by_the_difference_of_radii(excess):
    plate = box(30, 30, 10, (-15, -15, 0)).cut(rod(4, 10))
    assert overlap_depth(plate, rod(4 + excess, 20, (0, 0, -5))) == pytest.approx(excess, abs=5e-3)


@pytest.mark.parametrize("squeeze", [0.1, 0.45, 1.2])
def test_a_crescent_is_as_deep_as_its_middle(squeeze):
    """A round bar pressed into a lining that is bored larger: the depth is at the seat."""
    lining = rod(21.5, 40).cut(rod(18.5, 40)).cut(box(100, 100, 40, (-50, -100, 0)))
    bar = rod(16, 80, (0, 18.5 - 16 + squeeze, -20))
    assert overlap_depth(lining, bar) == pytest.approx(squeeze, abs=0.01)


def test_planted_overlaps_are_found_at_random_places():
    """A ball sunk by a known depth into a block, anywhere on its top."""
    chance = random.Random(7)
    for _ in range(20):
        depth, radius = chance.uniform(0.05, 1), chance.uniform(3, 12)
        x, y = chance.uniform(-20, 20), chance.uniform(-20, 20)
        ball = cq.Solid.makeSphere(radius, cq.Vector(x, y, 10 + radius - depth), angleDegrees1=-90)
        found = overlap_depth(box(80, 80, 10, (-40, -40, 0)), ball)
        assert found == pytest.approx(depth, abs=0.01)


def test_distance_of_two_rods():
    assert distance(rod(3, 10), rod(4, 10, (12, 5, 0))) == pytest.approx(math.hypot(12, 5) - 7)


@pytest.mark.parametrize("gap", [0.0, 0.03, 0.4, 3.0, 40.0])
def test_gap_between_things_that_should_touch(gap):
    """A nut's face above a plate's, at any distance: near faces first, all faces beyond."""
    plate = box(60, 60, 10, (-30, -30, 0)).cut(rod(5, 10))
    assert touching_gap(plate, rod(8, 6, (0, 0, 10 + gap))) == pytest.approx(gap, abs=1e-6)
