"""A bar that lies on a table and reaches over its edge, pushed up from below: rocking and shear.

Arms are measured from the bar's back edge, about which it rocks. Its bending is
`plate.overhang_deflection`.
"""

from __future__ import annotations

import math

from jigs.mechanics.limits import need_not_negative, need_positive

SHEAR_CORRECTION = 5 / 6
"""Share of a rectangle that bears shear evenly. Timoshenko; the arch is shallow."""


def greatest_push(weight: float, weight_arm: float, push_arm: float) -> float:
    """Push from below that rocks a bar about its back edge, N: P = W c / l.

    Parameters: weight [N]; arms of the weight c and of the push l from the back edge [mm].
    Limits: nothing else holds the bar; the back edge does not slide. Source: statics.
    """
    need_positive(weight=weight, weight_arm=weight_arm, push_arm=push_arm)
    return weight * weight_arm / push_arm


def hand_to_hold(
    push: float, push_arm: float, weight: float, weight_arm: float, hand_arm: float
) -> float:
    """Least force of a hand that keeps a pushed bar down, N: (P l - W c) / h, never below 0.

    Parameters: push from below and weight [N]; arms of push l, weight c and hand h from the back
    edge [mm]. Limits: the hand presses straight down. Source: statics.
    """
    need_not_negative(push=push, weight=weight, weight_arm=weight_arm)
    need_positive(push_arm=push_arm, hand_arm=hand_arm)
    return max(0.0, (push * push_arm - weight * weight_arm) / hand_arm)


def shear_deflection(
    force: float, overhang: float, back: float, shear: float, area: float
) -> float:
    """What shear adds at the tip of an arm over a support, mm: P a (1 + a / l) / (5/6 G A).

    Parameters: force [N], overhang a, span l back to the next support [mm], shear modulus [MPa],
    area [mm2]. Limits: an even section, shallow arch. Source: Timoshenko beam, by the unit load:
    shear P over a, P a / l over l.
    """
    need_positive(overhang=overhang, back=back, shear_modulus=shear, area=area)
    if math.isnan(force):
        raise ValueError("the force is not a number")
    return force * overhang * (1 + overhang / back) / (SHEAR_CORRECTION * shear * area)
