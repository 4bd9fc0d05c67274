"""Cutting forces against printed examples and against a cutter turned in small steps."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jigs.mechanics import cutting

TURN = np.linspace(0, 2 * np.pi, 36_001)[:-1]


def test_power_of_a_printed_example():
    """A cutting-tool maker's page (name withheld), face milling: 2 x 80 mm, 280 mm/min, 1800 MPa,
    efficiency 0.8: 1.68 kW printed."""
    power = cutting.in_watts(cutting.mean_cutting_power(1800, 2, 80, 280)) / 0.8
    assert power == pytest.approx(1680, abs=5)


def test_power_and_force_of_a_slot():
    """El-Hofy, Fundamentals of Machining Processes, solved slot: d 30, 4 deep, 120 mm/min,
    k_s 1000, 150 rev/min: speed 14.13 m/min, mean tangential force 1019 N, 0.24 kW printed."""
    speed = cutting.cutting_speed(30, 150)
    power = cutting.mean_cutting_power(1000, 4, 30, 120)
    assert speed / 1000 == pytest.approx(14.13, abs=0.01)  # printed with pi = 3.14
    assert cutting.in_watts(power) == pytest.approx(240, rel=1e-9)
    assert cutting.mean_tangential_force(power, speed) == pytest.approx(1019, rel=1e-3)
    assert cutting.chip_load(120, 150, 8) == pytest.approx(0.1, abs=1e-12)  # S_z 0.1 printed


def test_chip_load_of_a_printed_example():
    """The first page again: 280 mm/min, 12 inserts, 101.91 rev/min: 0.228 mm per tooth printed (it
    is 0.22896, cut off, not rounded)."""
    assert cutting.chip_load(280, 101.91, 12) == pytest.approx(0.228, abs=1e-3)


@pytest.mark.parametrize(("share", "ratio"), [(0.1, 9.4), (0.25, 5.4), (0.5, 3.1), (1.0, 1.6)])
def test_peak_over_mean_of_two_teeth(share, ratio):
    """Worked by hand for z = 2; printed to one place."""
    assert cutting.peak_over_mean_of_one_tooth(8, 8 * share, 2) == pytest.approx(ratio, abs=0.06)
    assert cutting.peak_over_mean(8, 8 * share, 2) == pytest.approx(ratio, abs=0.06)


def chips_of_real_circles(diameter, width, teeth, chip):
    """Chip of each tooth over a turn: the gap between its circle and the one before, moved by the
    feed. Second witness: no sine of Martellotti, no closed sum."""
    radius = diameter / 2
    phi = math.acos(1 - width / radius)
    total = np.zeros_like(TURN)
    for j in range(teeth):
        place = (TURN + j * 2 * np.pi / teeth) % (2 * np.pi)
        # Distance from the new centre, along the tooth, to the circle left by the tooth before.
        old = -chip * np.sin(place) + np.sqrt(radius**2 - (chip * np.cos(place)) ** 2)
        total += np.where(place <= phi, np.maximum(radius - old, 0), 0)
    return total


@settings(max_examples=30, deadline=None)
@given(st.floats(4, 20), st.floats(0.02, 1), st.integers(1, 8))
def test_mean_and_peak_against_a_turned_cutter(diameter, share, teeth):
    """The chip is small against the cutter, where the two circles' gap and the sine must meet; the
    ends of thick chips, cut by the neighbouring circles, are the witness's own fault."""
    width = diameter * share
    chip = 2e-4 * width
    k_c, depth, speed = 30.0, 5.0, 18_000.0
    forces = k_c * depth * chips_of_real_circles(diameter, width, teeth, chip)
    feed = chip * teeth * speed
    mean = cutting.mean_tangential_force(
        cutting.mean_cutting_power(k_c, depth, width, feed), cutting.cutting_speed(diameter, speed)
    )
    assert mean == pytest.approx(forces.mean(), rel=2e-3)
    greatest = cutting.greatest_tangential_force(k_c, depth, width, diameter, chip, teeth)
    assert greatest == pytest.approx(forces.max(), rel=1e-3)
    assert cutting.peak_over_mean(diameter, width, teeth) == pytest.approx(
        forces.max() / forces.mean(), rel=3e-3
    )


@given(st.floats(0.02, math.pi), st.integers(1, 12))
def test_greatest_sum_is_never_below_any_angle(engagement, teeth):
    found = cutting.greatest_engagement_sum(engagement, teeth)
    sums = np.zeros_like(TURN)
    for j in range(teeth):
        place = (TURN + j * 2 * np.pi / teeth) % (2 * np.pi)
        sums += np.where(place <= engagement, np.sin(place), 0)
    assert sums.max() <= found + 1e-9
    assert found == pytest.approx(sums.max(), abs=teeth * 2e-4)


@given(st.floats(0, 2 * math.pi), st.floats(0.05, math.pi), st.integers(1, 8))
def test_force_at_an_angle_is_the_sum_of_the_teeth(angle, engagement, teeth):
    """Second witness: one tooth at a time, by its height over the start of the cut."""
    expected = 0.0
    for j in range(teeth):
        turned = complex(math.cos(angle), math.sin(angle)) * np.exp(2j * np.pi * j / teeth)
        place = float(np.angle(turned)) % (2 * math.pi)
        if abs(place - engagement) < 1e-9 or place > 2 * math.pi - 1e-9:
            return
        expected += turned.imag if place < engagement else 0.0
    found = cutting.tangential_force_at(angle, 20, 4, 0.1, engagement, teeth)
    assert found == pytest.approx(8 * expected, abs=1e-6)


def test_one_tooth_formula_refuses_several():
    with pytest.raises(ValueError, match="more than one of 4 teeth"):
        cutting.peak_over_mean_of_one_tooth(8, 6, 4)
    assert cutting.peak_over_mean(8, 8, 4) == pytest.approx(math.pi / 4 * math.sqrt(2))


def test_pull_of_a_helix_by_vectors():
    """Second witness: a force square to an edge that leans by the helix angle."""
    helix = math.radians(30)
    edge = np.array([math.sin(helix), math.cos(helix)])  # along the cut, along the axis
    force = np.array([100.0, -100.0 * edge[0] / edge[1]])
    assert float(force @ edge) == pytest.approx(0, abs=1e-12)
    assert cutting.axial_pull(100, helix) == pytest.approx(abs(force[1]))
    assert cutting.axial_pull(100, 0) == 0
    assert cutting.force_in_plan(30, cutting.radial_force(30, 4 / 3)) == pytest.approx(50)


def test_floor_edges_by_rings_of_material():
    """Second witness: power to remove the floor, ring by ring, over each ring's own speed."""
    diameter, n, plunge, k_c = 6.0, 18_000.0, 300.0, 70.0
    edges = np.linspace(0, diameter / 2, 20_001)
    middle = (edges[1:] + edges[:-1]) / 2
    areas = np.pi * (edges[1:] ** 2 - edges[:-1] ** 2)
    force = (k_c * areas * plunge / (2 * np.pi * middle * n)).sum()
    assert cutting.floor_force(k_c, diameter, plunge, n) == pytest.approx(force, rel=1e-9)


def test_end_grain_lies_between_its_bounds():
    """Side at 20 MPa, floor at 70: more than side edges alone, less than 90-90 for everything."""
    side_only = cutting.end_grain_force(20, 70, 6, 3, 1500, 0, 6, 18_000)
    power = cutting.mean_cutting_power(20, 6, 3, 1500)
    assert side_only == pytest.approx(power / (math.pi * 6 * 18_000))
    both = cutting.end_grain_force(20, 70, 6, 3, 1500, 100, 6, 18_000)
    assert both - side_only == pytest.approx(70 * 3 * 100 / 18_000)  # by hand
    assert both < cutting.end_grain_force(70, 70, 6, 3, 1500, 100, 6, 18_000)


@given(st.floats(4, 16), st.floats(0.05, 1), st.integers(1, 6), st.floats(0.02, 0.2))
def test_the_inverse_leads_back(diameter, share, teeth, chip):
    k_c, depth, n, width = 60.0, 6.0, 16_000.0, diameter * share
    force = cutting.greatest_tangential_force(k_c, depth, width, diameter, chip, teeth)
    feed = cutting.greatest_feed(force, k_c, depth, width, diameter, n, teeth)
    assert cutting.chip_load(feed, n, teeth) == pytest.approx(chip)
    found = cutting.greatest_depth(force, k_c, width, diameter, chip, teeth)
    assert found == pytest.approx(depth)
    wide = cutting.greatest_width(force * (1 + 1e-9), k_c, depth, diameter, chip, teeth)
    assert wide >= width * (1 - 1e-6)
    reached = cutting.greatest_tangential_force(k_c, depth, wide, diameter, chip, teeth)
    assert reached <= force * (1 + 1e-8)


def test_a_small_force_allows_a_narrow_cut_only():
    """One tooth, under half: sin(phi) = F / (k_c a_p f_z), worked by hand."""
    found = cutting.greatest_width(15, 50, 6, 8, 0.1, 2)
    assert found == pytest.approx(4 * (1 - math.cos(math.asin(0.5))), rel=1e-9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: cutting.engagement_angle(6, 7), "cannot cut 7 mm"),
        (lambda: cutting.mean_cutting_power(0, 1, 1, 1), "specific force must be above 0"),
        (lambda: cutting.mean_cutting_power(math.nan, 1, 1, 1), "specific force must be above 0"),
        (lambda: cutting.chip_load(1000, 0, 2), "spindle speed must be above 0"),
        (lambda: cutting.greatest_engagement_sum(3.2, 2), "more than half a turn"),
        (lambda: cutting.axial_pull(10, math.pi / 2), "between 0 and 90"),
        (lambda: cutting.radial_force(10, -1), "ratio must be 0 or more"),
        (lambda: cutting.greatest_width(0, 50, 6, 8, 0.1, 2), "force must be above 0"),
        (lambda: cutting.floor_force(50, 6, -1, 18_000), "plunge feed must be 0 or more"),
    ],
)
def test_limits_are_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_a_steep_spiral_pulls_more_than_it_pushes():
    """tan 75 deg = 2 + sqrt 3, any table of angles: allowed, up to 90 deg."""
    assert cutting.axial_pull(100.0, math.radians(75)) == pytest.approx(100 * (2 + math.sqrt(3)))
    with pytest.raises(ValueError, match="helix"):
        cutting.axial_pull(100.0, math.radians(90))
