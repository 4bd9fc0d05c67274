"""What a hand can do: torque on a knob, and the pull-and-twist test in kilograms.

Torque by knob size is **assumed**: no published table by diameter of a lobed knob was found. One
square law c D^2 up to 63 mm stands for the working figures 1.5, 2.5 and 4 N m at 40, 50 and 63 mm
(1.6, 2.5, 4.0); its band runs from half (a weaker or tired hand; women reach 40 to 67 % of men in
the published tests) to three times (a strong hand's single greatest effort). Published means that
it covers: 4.07 N m (sd 0.81) on a household knob (Kreifeldt, Proc. HFS 29, 1985); 5.15 to 6.43 N m
men and 3.46 to 4.17 N m women on small handwheels. The square law itself is published for smooth
cylinders up to 25 mm, with a greatest torque near 50 mm (Proc. HFS 27, 1983, p. 412): lobes carry
it further, and beyond 63 mm it is held flat.
"""

from __future__ import annotations

import math

STANDARD_GRAVITY = 9.80665
"""m/s2, by definition (NIST SP 811)."""

LOW, MIDDLE, HIGH = 0.5, 1.0, 3.0
"""Coefficient c in N mm per mm2 of knob: low for what must hold, high for what must not crush or
break. Assumed; see above."""

FULL_HAND = 63.0
"""Diameter in mm beyond which a larger knob gives no more: assumed."""

LEAST_KNOB, LARGEST_KNOB = 15.0, 120.0
"""Diameters in mm between which the law is taken to mean anything: assumed."""


def knob_torque(diameter: float, coefficient: float = MIDDLE) -> float:
    """Torque of one hand on a lobed knob: c min(D, 63)^2, N mm. Assumed.

    Parameters: diameter over the lobes [mm], coefficient c [N/mm]: LOW, MIDDLE or HIGH. Raises
    ValueError outside 15 to 120 mm. Source: assumed, see the module.
    """
    if not LEAST_KNOB <= diameter <= LARGEST_KNOB:
        raise ValueError(f"a knob has {LEAST_KNOB:g} to {LARGEST_KNOB:g} mm, not {diameter:g}")
    if not 0 < coefficient < math.inf:
        raise ValueError(f"the coefficient must be above 0, not {coefficient:g}")
    return coefficient * min(diameter, FULL_HAND) ** 2


def knob_diameter_for(torque: float, coefficient: float = MIDDLE) -> float:
    """Knob that lets a hand reach a torque: sqrt(T / c), mm. Assumed.

    Parameters: torque [N mm], coefficient c [N/mm]. Raises ValueError beyond what a full hand
    gives, and 15 mm is the least. Source: inverse of `knob_torque`.
    """
    if not 0 < torque < math.inf:
        raise ValueError(f"torque must be above 0, not {torque:g}")
    most = knob_torque(FULL_HAND, coefficient)
    if torque > most:
        raise ValueError(f"no knob gives {torque:g} N mm by hand, {most:g} is the most")
    return max(LEAST_KNOB, math.sqrt(torque / coefficient))


def smooth_cylinder_torque(diameter: float, torque_at_25: float) -> float:
    """Greatest torque on a smooth cylinder: T25 (D / 25)^2 up to 25 mm, then up to 1.5 T25 at 50.

    Between 25 and 50 mm a parabola with its top at 50; beyond 50 mm it falls, by how much was not
    seen: refused. Parameters: diameter [mm], torque_at_25 [N mm]. Raises ValueError outside 0 to
    50 mm. Source: Hand torque strength with cylindrical handles, Proc. HFS 27 (1983) 412, abstract:
    square, end points; the parabola is assumed.
    """
    if not 0 < torque_at_25 < math.inf:
        raise ValueError(f"torque at 25 mm must be above 0, not {torque_at_25:g}")
    if not 0 < diameter <= 50:
        raise ValueError(f"known for cylinders up to 50 mm, not {diameter:g}")
    if diameter <= 25:
        return torque_at_25 * (diameter / 25) ** 2
    return torque_at_25 * (1 + 0.5 * (1 - ((50 - diameter) / 25) ** 2))


def pull_reading(force: float) -> float:
    """Reading of a luggage scale that pulls with a force: F / g, kg.

    Parameters: force [N], with its factor already on it; pulled at the cutter's height, in every
    direction in plan. Source: standard gravity, 9.80665 m/s2.
    """
    if not 0 <= force < math.inf:
        raise ValueError(f"force must be 0 or more, not {force:g}")
    return force / STANDARD_GRAVITY


def pull_reading_lower_down(force: float, cutter_height: float, pull_height: float) -> float:
    """Reading of the scale where it can only be hooked lower: F (h / h') / g, kg.

    It tips as much and slides more than the cut would. Parameters: force [N], heights above the
    middle of the grip [mm]. Raises ValueError for a hook above the cutter, which would test sliding
    too little. Source: equal moments.
    """
    if not 0 < pull_height <= cutter_height < math.inf:
        raise ValueError("pull between the middle of the grip and the cutter's height")
    return pull_reading(force * cutter_height / pull_height)


def twist_reading(torque: float, arm: float) -> float:
    """Reading of the scale at the end of a bar that twists the piece: T / (arm g), kg.

    Parameters: torque [N mm], arm [mm]. Raises ValueError without an arm. The pull slides the piece
    too, so hold a second scale the other way, or use a long bar. Source: torque is force times arm.
    """
    if not 0 < arm < math.inf:
        raise ValueError(f"arm must be above 0, not {arm:g}")
    return pull_reading(torque / arm)
