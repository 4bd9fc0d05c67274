"""Arguments at the very edge of what an equation takes, and just beyond.

Found by putting faults into the library (`tests/trust/mutate.py`): each case here tells one
comparison, constant or term from its neighbour. What is taken has a value worked out by hand from
the equation in the docstring; what lies beyond is refused.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from jigs.mechanics import bolt, chord, cutting, hand, liner_force, plate
from jigs.mechanics.search import crossing, highest

INF = math.inf


@pytest.mark.parametrize(
    ("name", "call"),
    [
        ("flank angle of 90 deg", lambda: bolt.thread_torque(1, 8, 1, 0.1, math.pi / 2)),
        ("flank angle beyond", lambda: bolt.thread_torque(1, 8, 1, 0.1, 1.6)),
        ("scatter without end", lambda: bolt.loose_end(100, INF)),
        ("a screw that is all point", lambda: bolt.self_tapping_withdrawal(650, 1.0, 1.1)),
        ("a screw without end", lambda: bolt.self_tapping_withdrawal(650, 5, INF)),
        ("none of the cylinder", lambda: bolt.insert_pull_out(10, 10, 15, 0.0)),
        ("a washer as wide as its hole", lambda: bolt.washer_pressure(100, 9, 9)),
        ("a washer without end", lambda: bolt.washer_pressure(100, INF, 9)),
        ("no thread in a nut", lambda: bolt.internal_thread_shear_area(7, 7, 1, 8)),
        ("a nut without end", lambda: bolt.internal_thread_shear_area(INF, 7, 1, 8)),
        ("no thread on a bolt", lambda: bolt.external_thread_shear_area(7, 7, 1, 8)),
        ("a bolt without end", lambda: bolt.external_thread_shear_area(INF, 7, 1, 8)),
        ("a grip without end", lambda: hand.knob_torque(50, INF)),
        ("a knob just too small", lambda: hand.knob_torque(14.999)),
        ("a knob just too large", lambda: hand.knob_torque(120.001)),
        ("a cylinder of nothing", lambda: hand.smooth_cylinder_torque(0, 1000)),
        ("a cylinder just too thick", lambda: hand.smooth_cylinder_torque(50.001, 1000)),
        ("a cylinder's torque without end", lambda: hand.smooth_cylinder_torque(20, INF)),
        ("a pull without end", lambda: hand.pull_reading(INF)),
        ("a hook at the grip", lambda: hand.pull_reading_lower_down(10, 50, 0)),
        ("a cutter in the sky", lambda: hand.pull_reading_lower_down(0, INF, 50)),
        ("an arm without end", lambda: hand.twist_reading(100, INF)),
        ("a pad of no width", lambda: liner_force.shape_factor(10, 0, 3)),
        ("a pad of no length", lambda: liner_force.shape_factor(0, 10, 3)),
    ],
)
def test_what_lies_beyond_is_refused(name: str, call: Callable[[], float]) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        call()


def test_a_torque_without_end_is_no_torque() -> None:
    """Not `no knob gives it`: it is no number at all."""
    with pytest.raises(ValueError, match="torque must be above 0"):
        hand.knob_diameter_for(INF)


@pytest.mark.parametrize(
    ("call", "by_hand"),
    [
        # tan a = lead / (pi d): with f = 0 the torque is F lead / (2 pi), whatever the angle
        (lambda: bolt.thread_torque(100, 8, 1.25, 0.0, 1.5), 100 * 1.25 / math.tau),
        (lambda: bolt.thread_torque(100, 0.3, 0.1, 0.0), 100 * 0.1 / math.tau),
        (lambda: bolt.loose_end(100, 1), 100),
        (lambda: bolt.bolt_load(1000, 200, 0), 1000),
        (lambda: bolt.bolt_load(1000, 200, 1), 1200),
        # f = 7e-4 rho^1.6 d^-0.34 with d = 1; effective length 1.6 - 1.1
        (lambda: bolt.self_tapping_withdrawal(650, 1, 1.6), 7e-4 * 650**1.6 * math.pi * 0.5),
        (lambda: bolt.insert_pull_out(10, 10, 15, 1.0), math.pi * 10 * 15 * 10),
        # assumed: half and three times the middle of the band, D^2 in N mm per mm2
        (lambda: hand.knob_torque(50, hand.LOW), 0.5 * 2500),
        (lambda: hand.knob_torque(50, hand.HIGH), 3 * 2500),
        (lambda: hand.knob_torque(15), 225),
        (lambda: hand.knob_torque(120), 63 * 63),
        (lambda: hand.smooth_cylinder_torque(0.5, 0.5), 0.5 * (0.5 / 25) ** 2),
        # a parabola with its top, 1.5, at 50 mm: three quarters of its rise at 37.5 mm
        (lambda: hand.smooth_cylinder_torque(37.5, 1000), 1375),
        (lambda: hand.pull_reading(0), 0),
        (lambda: hand.pull_reading(0.5), 0.5 / 9.80665),
        (lambda: hand.pull_reading_lower_down(10, 50, 50), 10 / 9.80665),
        (lambda: hand.pull_reading_lower_down(1, 50, 0.5), 100 / 9.80665),
        (lambda: hand.twist_reading(1, 0.5), 2 / 9.80665),
        # right triangles: 3-4-5 and 9-12-15
        (lambda: chord.drop_under_arch(30.5, 30, 0.3), 0.1),
        (lambda: chord.drop_under_arch(45, 30, 9), 3),
        (lambda: chord.drop_under_arch(45, 30, -9), 3),
        (lambda: chord.drop_under_arch(45, 30, 15), 15),
        # one of what there may be several of: rectangles of 10 by 20, b h^2 / 6 and 3 F / (2 A)
        (lambda: plate.rib_shear(100, 10, 20, 1), 0.75),
        (lambda: plate.rib_bending(100, 30, 10, 20, 1), 3000 / (10 * 400 / 6)),
        (lambda: plate.loose_sheets_modulus(20, 6, 1), 20 * 36 / 6),
        # L 40, d 5: A = 400, J = 400 (1600 + 25) / 12; no lever: the force alone
        (lambda: plate.glue_shear(100, 0, 40, 5, 1), 0.25),
        # about an end: J = 400 (1600 / 3 + 25 / 12), r = hypot(40, 2.5)
        (
            lambda: plate.glue_shear_about_heel(1000, 40, 5, 1),
            1000 * math.hypot(40, 2.5) / (400 * (1600 / 3 + 25 / 12)),
        ),
    ],
)
def test_what_lies_at_the_edge_is_taken(call: Callable[[], float], by_hand: float) -> None:
    assert call() == pytest.approx(by_hand, rel=1e-12)


def test_the_spread_of_a_point_load_is_the_published_one() -> None:
    """0.509 F is the root moment of an endless cantilever plate (Jaramillo), from memory."""
    assert pytest.approx(1 / (2 * 0.509), abs=0.005) == plate.POINT_LOAD_SPREAD


def test_four_teeth_that_just_do_not_overlap() -> None:
    """Width half the diameter: 90 deg, a quarter of a turn; the float is a hair more.

    One tooth at its greatest, at 90 deg: pi D / (z a_e).
    """
    assert cutting.engagement_angle(10, 5) > math.tau / 4
    one = cutting.peak_over_mean_of_one_tooth(10, 5, 4)
    assert one == pytest.approx(math.pi * 10 / (4 * 5), rel=1e-9)


def test_half_a_turn_and_the_noise_of_a_sum() -> None:
    """Two teeth, half a turn: one of them at 90 deg, or both at the ends; never more than 1."""
    assert cutting.greatest_engagement_sum(math.pi * (1 + 5e-13), 2) == pytest.approx(1)
    with pytest.raises(ValueError, match="half a turn"):
        cutting.greatest_engagement_sum(math.pi * (1 + 5e-12), 2)


# ---- searches -----------------------------------------------------------------------------------


class Counted:
    """A function that counts how often it is asked."""

    def __init__(self, function: Callable[[float], float]) -> None:
        self.function, self.calls = function, 0

    def __call__(self, x: float) -> float:
        self.calls += 1
        return self.function(x)


def test_a_crossing_at_either_end_is_that_end() -> None:
    assert crossing(lambda x: x, 0.0, 5.0) == 0.0
    assert crossing(lambda x: x + 0.5, 0.0, 5.0) == 0.0
    assert crossing(lambda x: x - 5.0, 0.0, 5.0) == 5.0


def test_a_smooth_crossing_is_found_in_few_steps() -> None:
    """The cube root of 2: bisection would take forty steps to 1e-12 of 2, this takes a dozen."""
    cube = Counted(lambda x: x**3 - 2)
    assert crossing(cube, 0.0, 2.0) == pytest.approx(2 ** (1 / 3), rel=1e-12)
    assert cube.calls <= 12


def test_a_jump_is_left_as_soon_as_it_is_known_well_enough() -> None:
    """Within `close` of the upper end, from above, and no step more than that takes."""
    jump = Counted(lambda x: 1.0 if x > 2 else -1.0)
    found = crossing(jump, 0.0, 5.0, close=1e-3)
    assert 2.0 <= found <= 2.0 + 5e-3
    assert jump.calls <= 14


def test_the_highest_may_be_an_end() -> None:
    assert highest(lambda x: x, 0.0, 1.0) == 1.0
    assert highest(lambda x: -x, -1.0, 1.0) == 1.0
