"""A pushed bar on a table: against a bed of springs that only push, and against unit loads."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import linprog

from jigs.mechanics import overhang
from jigs.mechanics.plate import overhang_deflection

BARS = [
    # push reach, bearing, overhang, weight, hand behind the edge
    (52.6, 155.8, 73, 6.3, 45.0),
    (43.5, 117.0, 58, 3.6, 45.0),
    (10.0, 60.0, 30, 1.0, 20.0),
    (200.0, 900.0, 240, 80.0, 45.0),
    (30.0, 100.0, 45, 3.0, 0.0),
]


def least_hand(push, reach, bearing, front, weight, behind):
    """Least hand for which a rigid bar finds reactions of the table that only push: a linear
    programme over 400 places of the table, y = 0 at its edge and backwards positive."""
    y = np.linspace(0, bearing, 400)
    middle = (bearing - front) / 2
    # Unknown: the hand, then the reactions. Forces up are positive.
    forces = np.concatenate([[-1.0], np.ones_like(y)])
    moments = np.concatenate([[-behind], y])
    answer = linprog(
        np.concatenate([[1.0], np.zeros_like(y)]),
        A_eq=np.vstack([forces, moments]),
        b_eq=[weight - push, weight * middle + push * reach],
        bounds=(0, None),
    )
    assert answer.status == 0
    return answer.x[0]


@pytest.mark.parametrize(("reach", "bearing", "front", "weight", "behind"), BARS)
@pytest.mark.parametrize("push", [0.0, 1.0, 4.0, 11.5, 60.0])
def test_hand_against_a_table_that_only_pushes(reach, bearing, front, weight, behind, push):
    by_hand = overhang.hand_to_hold(
        push, bearing + reach, weight, (bearing + front) / 2, bearing - behind
    )
    expected = least_hand(push, reach, bearing, front, weight, behind)
    assert by_hand == pytest.approx(expected, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize(("reach", "bearing", "front", "weight", "behind"), BARS)
def test_at_the_greatest_push_no_hand_is_needed_and_beyond_it_one_is(
    reach, bearing, front, weight, behind
):
    most = overhang.greatest_push(weight, (bearing + front) / 2, bearing + reach)
    assert least_hand(0.999 * most, reach, bearing, front, weight, behind) == pytest.approx(0)
    assert least_hand(1.01 * most, reach, bearing, front, weight, behind) > 0


def beam_by_steps(force, arm, back, young, moment, shear, area, steps=4000):
    """Deflection at the tip by the unit load, integrals of M m / EI and V v / (5/6 GA) summed."""
    total = 0.0
    for length, moment_at, shear_at in (
        (arm, lambda x: x, 1.0),
        (back, lambda x: arm * x / back, arm / back),
    ):
        x = (np.arange(steps) + 0.5) * length / steps
        total += np.sum(force * moment_at(x) ** 2) * length / steps / (young * moment)
        total += force * shear_at**2 * length / (5 / 6 * shear * area)
    return total


@pytest.mark.parametrize(
    ("arm", "back"), [(97.6, 110.8), (10.0, 300.0), (150.0, 60.0), (45.0, 45.0)]
)
@pytest.mark.parametrize(("young", "shear"), [(600.0, 180.0), (100.0, 100.0), (9000.0, 60.0)])
def test_bending_and_shear_by_the_unit_load(arm, back, young, shear):
    moment, area, force = 6.2e5, 4100.0, 11.5
    total = overhang_deflection(force, arm, back, young, moment) + overhang.shear_deflection(
        force, arm, back, shear, area
    )
    summed = beam_by_steps(force, arm, back, young, moment, shear, area)
    assert total == pytest.approx(summed, rel=1e-6)


@pytest.mark.parametrize(
    "call",
    [
        lambda: overhang.greatest_push(0.0, 100, 200),
        lambda: overhang.greatest_push(6.0, 100, -1),
        lambda: overhang.hand_to_hold(-1.0, 200, 6, 100, 90),
        lambda: overhang.hand_to_hold(1.0, 200, 6, 100, 0),
        lambda: overhang.hand_to_hold(math.nan, 200, 6, 100, 90),
        lambda: overhang.shear_deflection(1.0, 100, 0, 180, 4000),
        lambda: overhang.shear_deflection(1.0, 100, 100, 0, 4000),
        lambda: overhang.shear_deflection(math.nan, 100, 100, 180, 4000),
    ],
)
def test_nonsense_is_refused(call):
    with pytest.raises(ValueError, match=r"must be|not a number"):
        call()
