"""Hand torque against the published means (diameters mostly not given), and scale readings."""

from __future__ import annotations

import math

import pytest

from jigs.mechanics import hand


@pytest.mark.parametrize(("diameter", "newton_metre"), [(40, 1.5), (50, 2.5), (63, 4.0)])
def test_working_figures(diameter, newton_metre):
    """Assumed comfortable torques of the trade; the square law stays within 7 % of them."""
    assert hand.knob_torque(diameter) / 1000 == pytest.approx(newton_metre, rel=0.07)


@pytest.mark.parametrize(
    "newton_metre",
    [
        4.07,  # household knob, 14 men: Kreifeldt, Proc. HFS 29 (1985)
        5.15,  # smooth small handwheel, men (thefreedictionary MVTE)
        6.43,  # knurled, men
        3.46,  # smooth, women
        4.17,  # curved, women
    ],
)
def test_published_greatest_torques_lie_in_the_band_of_a_50_mm_knob(newton_metre):
    low, high = hand.knob_torque(50, hand.LOW), hand.knob_torque(50, hand.HIGH)
    assert low / 1000 < newton_metre < high / 1000


def test_low_end_stays_below_a_tenth_of_women():
    """Small handwheel, women, mean 3.46 N m; spread as Kreifeldt's (sd 20 % of the mean): one in a
    hundred below 3.46 x (1 - 2.33 x 0.2) = 1.85 N m."""
    assert hand.knob_torque(50, hand.LOW) / 1000 < 3.46 * (1 - 2.33 * 0.2)


def test_high_end_covers_a_strong_hand():
    """Knurled handwheel, men, mean 6.43 N m; 7.2 / 36 of it as spread: the high end of a 63 mm knob
    covers the mean and two spreads."""
    assert hand.knob_torque(63, hand.HIGH) / 1000 > 6.43 * (1 + 2 * 7.2 / 36)


def test_knob_for_a_torque_leads_back():
    for diameter in (15, 30, 50, 63):
        torque = hand.knob_torque(diameter, hand.LOW)
        assert hand.knob_diameter_for(torque, hand.LOW) == pytest.approx(diameter)
    assert hand.knob_torque(100) == hand.knob_torque(63)
    assert hand.knob_diameter_for(1.0) == 15


def test_smooth_cylinder_of_the_abstract():
    """Proc. HFS 27 (1983) 412: square up to 25 mm, 1.5 times that at 50 mm, rising between."""
    assert hand.smooth_cylinder_torque(12.5, 1000) == pytest.approx(250)
    assert hand.smooth_cylinder_torque(25, 1000) == 1000
    assert hand.smooth_cylinder_torque(50, 1000) == 1500
    steps = [hand.smooth_cylinder_torque(d, 1000) for d in range(5, 51)]
    assert steps == sorted(steps)


def test_readings_of_a_scale():
    """9.80665 N is 1 kg by definition; the lower hook tips as much."""
    assert hand.pull_reading(9.80665 * 7) == pytest.approx(7)
    lower = hand.pull_reading_lower_down(120, 90, 60)
    assert lower * 9.80665 * 60 == pytest.approx(120 * 90)
    assert lower > hand.pull_reading(120)
    assert hand.twist_reading(3000, 300) * 9.80665 * 300 == pytest.approx(3000)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: hand.knob_torque(10), "15 to 120 mm"),
        (lambda: hand.knob_torque(math.nan), "15 to 120 mm"),
        (lambda: hand.knob_torque(50, 0), "coefficient must be above 0"),
        (lambda: hand.knob_diameter_for(20_000), "no knob gives"),
        (lambda: hand.knob_diameter_for(0), "torque must be above 0"),
        (lambda: hand.smooth_cylinder_torque(60, 1000), "up to 50 mm"),
        (lambda: hand.smooth_cylinder_torque(30, 0), "must be above 0"),
        (lambda: hand.pull_reading(-1), "force must be 0 or more"),
        (lambda: hand.pull_reading_lower_down(10, 50, 60), "middle of the grip"),
        (lambda: hand.twist_reading(100, 0), "arm must be above 0"),
    ],
)
def test_limits_are_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()
