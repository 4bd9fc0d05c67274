"""Off-centre pressure without tension. The second witness goes the other way round: it lays a
neutral line across a fine grid, adds up the pressure and so finds where its resultant stands."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jigs.mechanics import tipping

CELLS = 400
AXIS = (np.arange(CELLS) + 0.5) / CELLS - 0.5
X, Y = np.meshgrid(AXIS, AXIS)


def resultant(slope_x, slope_y, level):
    """Of p = max(level + slopes, 0) on the unit square: force, e_x, e_y, greatest, lifted part."""
    pressure = np.maximum(level + slope_x * X + slope_y * Y, 0)
    force = float(pressure.mean())
    e_x, e_y = float((pressure * X).mean()) / force, float((pressure * Y).mean()) / force
    greatest = level + (abs(slope_x) + abs(slope_y)) / 2
    return force, e_x, e_y, greatest, float((pressure == 0).mean())


@settings(max_examples=120, deadline=None)
@given(st.floats(-math.pi, math.pi), st.floats(-0.6, 0.9))
def test_two_ways_against_a_grid(direction, level):
    slope_x, slope_y = math.cos(direction), math.sin(direction)
    assume(level + (abs(slope_x) + abs(slope_y)) / 2 > 0.12)  # enough cells bear
    force, e_x, e_y, greatest, lifted = resultant(slope_x, slope_y, level)
    length, width, newton = 80.0, 38.0, 2000.0
    found = tipping.greatest_pressure_two_ways(newton, length, width, e_x * length, e_y * width)
    assert found == pytest.approx(newton / (length * width) * greatest / force, rel=6e-3)
    part = tipping.lifted_share_two_ways(length, width, e_x * length, e_y * width)
    assert part == pytest.approx(lifted, abs=8e-3)


@given(st.floats(0, 0.499), st.floats(5, 200), st.floats(5, 200))
def test_one_way_is_the_other_with_no_second_eccentricity(share, length, width):
    one = tipping.greatest_pressure(1000, length, width, share * length)
    both = tipping.greatest_pressure_two_ways(1000, length, width, share * length, 0)
    assert both == pytest.approx(one, rel=1e-6)
    turned = tipping.greatest_pressure_two_ways(1000, width, length, 0, -share * length)
    assert turned == pytest.approx(one, rel=1e-6)
    lifted = tipping.lifted_share_two_ways(length, width, -share * length, 0)
    assert lifted == pytest.approx(tipping.lifted_share(length, share * length), abs=1e-6)


@pytest.mark.parametrize(
    ("share", "times", "lifted"),
    [  # by hand, footing formulas: q_max / q_mean = 1 + 6 e/B, then 4 / (3 (1 - 2 e/B))
        (0, 1, 0),
        (1 / 12, 1.5, 0),
        (1 / 6, 2, 0),
        (0.25, 8 / 3, 0.25),
        (1 / 3, 4, 0.5),
        (0.4, 20 / 3, 0.7),
    ],
)
def test_one_way_by_hand(share, times, lifted):
    mean = 900 / (60 * 30)
    found = tipping.greatest_pressure(900, 60, 30, share * 60)
    assert found == pytest.approx(times * mean)
    assert tipping.lifted_share(60, -share * 60) == pytest.approx(lifted, abs=1e-12)


@pytest.mark.parametrize("e_y", [0.05, 0.1, 0.2, 0.249, 0.251, 0.3, 0.45])
def test_pressure_grows_without_a_jump_across_the_cases(e_y):
    """Each case has its own formula; at their borders they meet."""
    steps = np.linspace(0, 0.49, 400)
    values = [tipping.greatest_pressure_two_ways(1, 1, 1, float(s), e_y) for s in steps]
    grown = np.diff(np.log(values))
    assert (grown >= -1e-9).all()
    assert grown.max() < 0.12


def test_far_off_both_ways_the_corner_alone_bears():
    """By hand: a pyramid of pressure, its top at the corner, over legs of four distances: the
    volume p u v / 6 = N."""
    found = tipping.greatest_pressure_two_ways(1200, 40, 30, 14, 11)
    assert found == pytest.approx(6 * 1200 / ((4 * 6) * (4 * 4)))
    assert tipping.lifted_share_two_ways(40, 30, 14, 11) == pytest.approx(1 - 24 * 16 / 2 / 1200)


def test_moment_at_strength_by_strips():
    """Second witness: turn a face of 4000 strips about its edge until the edge is at strength."""
    length, width, strength, newton = 80.0, 38.0, 7.0, 3000.0
    arm = (np.arange(4000) + 0.5) / 4000 * length
    low, high = 1e-6, 1.0  # slope of the pressure
    for _ in range(80):
        slope = math.sqrt(low * high)
        pressure = np.maximum(strength - slope * arm, 0)
        if pressure.mean() * length * width > newton:
            low = slope
        else:
            high = slope
    moment = float((pressure * (length / 2 - arm)).mean()) * length * width
    found = tipping.moment_at_strength(newton, length, width, strength)
    assert found == pytest.approx(moment, rel=1e-4)


@given(st.floats(0.01, 1), st.floats(10, 150), st.floats(10, 80))
def test_strength_is_reached_exactly(share, length, width):
    newton = share * 7.0 * length * width
    moment = tipping.moment_at_strength(newton, length, width, 7.0)
    assert tipping.greatest_pressure(newton, length, width, moment / newton) == pytest.approx(7.0)
    for locked in (1, 2):
        capacity = tipping.tipping_capacity(newton, length, width, 7.0, locked)
        assert capacity <= tipping.tipping_limit(newton, length, locked) * (1 + 1e-12)


def test_locked_sets_by_hand():
    """N h with both sets locked, N h / 2 with one slack: forces at opposite edges."""
    assert tipping.tipping_limit(1000, 80, 2) == 1000 * 80
    assert tipping.tipping_limit(1000, 80, 1) == 1000 * 40
    soft = tipping.tipping_capacity(1000, 80, 38, 7, 2)
    assert soft == pytest.approx(2 * 1000 * (40 - 2 * 1000 / (3 * 38 * 7)))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: tipping.greatest_pressure(1, 60, 30, 30), "tips the piece"),
        (lambda: tipping.greatest_pressure(1, 60, 30, math.nan), "tips the piece"),
        (lambda: tipping.greatest_pressure(-1, 60, 30, 0), "force must be 0 or more"),
        (lambda: tipping.greatest_pressure(1, 0, 30, 0), "length must be above 0"),
        (lambda: tipping.lifted_share(60, 31), "tips the piece"),
        (lambda: tipping.greatest_pressure_two_ways(1, 60, 30, 0, -15), "tips the piece"),
        (lambda: tipping.lifted_share_two_ways(60, 30, 30, 0), "tips the piece"),
        (lambda: tipping.moment_at_strength(1e6, 60, 30, 5), "crushes"),
        (lambda: tipping.moment_at_strength(10, 60, 30, 0), "strength must be above 0"),
        (lambda: tipping.tipping_limit(10, 60, 3), "one or both"),
        (lambda: tipping.tipping_capacity(10, 60, 30, 5, 0), "one or both"),
    ],
)
def test_limits_are_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@settings(max_examples=300, deadline=None)
@given(st.floats(-0.4999, 0.4999), st.floats(-0.4999, 0.4999))
def test_any_place_gives_a_number(x, y):
    found = tipping.greatest_pressure_two_ways(1, 1, 1, x, y)
    assert math.isfinite(found)
    lifted = tipping.lifted_share_two_ways(1, 1, x, y)
    assert 0 <= lifted < 1
    assert found >= 1 / (1 - lifted) - 1e-9  # never below even pressure on what bears
