"""What a router cutter does to the piece: chip, power, mean and greatest force, and the inverse.

Symbols as usual for milling: k_c specific cutting force [MPa], D cutter [mm], z teeth, n speed
[rev/min], v_f feed [mm/min], a_p depth along the axis [mm], a_e width of engagement [mm], f_z feed
per tooth [mm], phi angle of engagement [rad]. The edge is taken as straight: a helix spreads the
load over the turn, so the greatest force here is an upper bound. Tangential forces of several
teeth are added as plain numbers, which is never less than their sum as vectors.

Unsourced: the ratio of radial to tangential force (given by the caller); the split of end grain
into side edges and floor is exact geometry, but the rubbing of a floor that is not fed down is not
counted: k_c of 90-90 for everything is the upper bound.
"""

from __future__ import annotations

import math

from jigs.mechanics import limits

_NMM_PER_MIN_IN_A_WATT = 60_000.0
_HALVINGS = 80


def chip_load(feed: float, spindle_speed: float, teeth: int) -> float:
    """Feed per tooth: f_z = v_f / (n z), mm.

    Parameters: feed [mm/min], spindle_speed [rev/min], teeth. Raises ValueError unless all are
    above 0. Source: ISO 3002-3 (named from memory); any milling text.
    """
    limits.need_positive(feed=feed, spindle_speed=spindle_speed, teeth=teeth)
    return feed / (spindle_speed * teeth)


def cutting_speed(diameter: float, spindle_speed: float) -> float:
    """Speed of the edge: v_c = pi D n, mm/min.

    Parameters: diameter [mm], spindle_speed [rev/min]. Raises ValueError unless both are above 0.
    Source: any milling text (El-Hofy, Fundamentals of Machining Processes, ch. 6).
    """
    limits.need_positive(diameter=diameter, spindle_speed=spindle_speed)
    return math.pi * diameter * spindle_speed


def mean_cutting_power(specific_force: float, depth: float, width: float, feed: float) -> float:
    """Power at the cutter: P = k_c a_p a_e v_f, N mm/min.

    Parameters: specific_force k_c [MPa], depth a_p [mm], width a_e [mm], feed v_f [mm/min].
    Raises ValueError unless all are above 0. Source: k_c times the volume removed per minute; the
    usual milling power formula P = a_p a_e v_f k_c / (60e6) kW.
    """
    limits.need_positive(specific_force=specific_force, depth=depth, width=width, feed=feed)
    return specific_force * depth * width * feed


def in_watts(power: float) -> float:
    """N mm/min as W: 1 W = 1000 N mm/s = 60 000 N mm/min. Source: definition of the watt."""
    limits.need_not_negative(power=power)
    return power / _NMM_PER_MIN_IN_A_WATT


def mean_tangential_force(power: float, speed: float) -> float:
    """Mean force along the cutter's path: F = P / v_c, N.

    Parameters: power [N mm/min], speed v_c [mm/min]. Raises ValueError for power below 0 or no
    speed. Source: power is force times speed.
    """
    limits.need_not_negative(power=power)
    limits.need_positive(speed=speed)
    return power / speed


def engagement_angle(diameter: float, width: float) -> float:
    """Turn over which a tooth cuts: cos phi = 1 - 2 a_e / D, rad; pi for a full slot.

    Written as 2 asin(sqrt(a_e / D)), which keeps its digits for thin cuts. Parameters: diameter
    [mm], width [mm], measured from the cutter's side. Raises ValueError unless 0 < width <=
    diameter. Source: derived; El-Hofy, ch. 6: cos phi_c = 1 - 2 t / d.
    """
    limits.need_positive(diameter=diameter, width=width)
    if width > diameter:
        raise ValueError(f"a cutter of {diameter:g} mm cannot cut {width:g} mm wide in one pass")
    return 2 * math.asin(math.sqrt(width / diameter))


def peak_over_mean_of_one_tooth(diameter: float, width: float, teeth: int) -> float:
    """Greatest over mean tangential force while one tooth cuts at a time.

    pi D sin(min(phi, 90 deg)) / (z a_e). Parameters: diameter [mm], width [mm], teeth. Raises
    ValueError where a second tooth is already in the wood (phi > 2 pi / z): use `peak_over_mean`.
    Source: derived from a chip of thickness f_z sin(angle) (Martellotti).
    """
    phi = engagement_angle(diameter, width)
    limits.need_positive(teeth=teeth)
    if phi > math.tau / teeth + 1e-12:
        raise ValueError(f"more than one of {teeth} teeth cuts at a time at {width:g} mm")
    return math.pi * diameter * math.sin(min(phi, math.pi / 2)) / (teeth * width)


def tangential_force_at(
    angle: float,
    specific_force: float,
    depth: float,
    feed_per_tooth: float,
    engagement: float,
    teeth: int,
) -> float:
    """Sum of tangential forces with the leading tooth at an angle: k_c a_p f_z sum sin(angle_j), N.

    Parameters: angle [rad] of one tooth from the start of the thin end of the chip, engagement phi
    [rad], the rest as above. Only teeth between 0 and phi count. Source: Martellotti's chip
    f_z sin(angle), each tooth on its own.
    """
    limits.need_positive(specific_force=specific_force, depth=depth, feed_per_tooth=feed_per_tooth)
    limits.need_positive(engagement=engagement, teeth=teeth)
    if not math.isfinite(angle):
        raise ValueError(f"an angle must be a number, not {angle:g}")
    pitch = math.tau / teeth
    places = ((angle + j * pitch) % math.tau for j in range(teeth))
    cutting = sum(math.sin(place) for place in places if place <= engagement)
    return specific_force * depth * feed_per_tooth * cutting


def greatest_engagement_sum(engagement: float, teeth: int) -> float:
    """Greatest sum of sin(angle_j) over the teeth in the wood, for any turn of the cutter.

    m teeth a pitch apart: sum = [sin(m pitch / 2) / sin(pitch / 2)] sin(angle of their middle);
    the middle is as near to 90 deg as m teeth within phi allow. Parameters: engagement phi [rad],
    teeth. Raises ValueError unless 0 < phi <= pi. Source: derived (sum of equally spaced sines).
    """
    limits.need_positive(engagement=engagement, teeth=teeth)
    if engagement > math.pi * (1 + 1e-12):
        raise ValueError("an engagement of more than half a turn does not exist")
    pitch = math.tau / teeth
    fewest = max(1, math.floor(engagement / pitch))
    return max(
        _sum_of_teeth(m, engagement, pitch)
        for m in (fewest, fewest + 1)
        if m <= teeth and (m - 1) * pitch <= engagement
    )


def peak_over_mean(diameter: float, width: float, teeth: int) -> float:
    """Greatest over mean tangential force, any number of teeth in the wood.

    2 pi sum_max / (z (1 - cos phi)) = pi D sum_max / (z a_e). Parameters: diameter [mm], width
    [mm], teeth. Source: derived; see `greatest_engagement_sum`.
    """
    phi = engagement_angle(diameter, width)
    return math.pi * diameter * greatest_engagement_sum(phi, teeth) / (teeth * width)


def radial_force(tangential: float, ratio: float) -> float:
    """Force towards the cutter's axis: F_r = ratio F_t, N.

    Parameters: tangential [N], ratio [-], 0.3 to 1 from memory (low confidence). It changes its
    sign within one chip in wood (Iskra and Hernandez, sugar maple; Palubicki 2021), so count it in
    either direction. Source: the usual mechanistic form; the ratio is unsourced.
    """
    limits.need_not_negative(tangential=tangential, ratio=ratio)
    return tangential * ratio


def force_in_plan(tangential: float, radial: float) -> float:
    """Both parts of the force in plan: sqrt(F_t^2 + F_r^2), N; it acts from every direction.

    Parameters: N. Source: derived (they stand at right angles).
    """
    limits.need_not_negative(tangential=tangential, radial=radial)
    return math.hypot(tangential, radial)


def axial_pull(tangential: float, helix: float) -> float:
    """Pull along the axis of a spiral cutter: F_a = F_t tan(helix), N; an up-cut one lifts.

    Parameters: tangential [N], helix angle [rad], 0 for straight flutes. Raises ValueError unless
    0 <= helix < 90 deg. Source: derived: without friction along the edge the force stands square
    to the edge, as on a helical gear's tooth.
    """
    if not 0 <= helix < math.pi / 2:
        raise ValueError("a helix angle lies between 0 and 90 degrees")
    limits.need_not_negative(tangential=tangential)
    return tangential * math.tan(helix)


def floor_force(
    specific_force: float, diameter: float, plunge_feed: float, spindle_speed: float
) -> float:
    """Sum of the forces of the floor edges when the cutter is fed down: k_c (D / 2) v_z / n, N.

    z edges of D / 2 each take v_z / (n z). An upper bound for any part of the floor. Parameters:
    specific_force k_c [MPa] (90-90 in end grain), diameter [mm], plunge_feed v_z [mm/min], 0 or
    more, spindle_speed [rev/min]. Source: derived.
    """
    limits.need_positive(
        specific_force=specific_force, diameter=diameter, spindle_speed=spindle_speed
    )
    limits.need_not_negative(plunge_feed=plunge_feed)
    return specific_force * diameter / 2 * plunge_feed / spindle_speed


def end_grain_force(
    side_specific_force: float,
    floor_specific_force: float,
    depth: float,
    width: float,
    feed: float,
    plunge_feed: float,
    diameter: float,
    spindle_speed: float,
) -> float:
    """Mean force in end grain: side edges (0-90) by power, floor (90-90) by its down feed, N.

    F = k_side a_p a_e v_f / (pi D n) + k_floor (D / 2) v_z / n. A floor that is not fed down only
    rubs, which is not counted: k_floor for both, in `mean_tangential_force`, is the upper bound.
    Parameters: MPa, mm, mm/min, rev/min. Source: derived from the two parts.
    """
    power = mean_cutting_power(side_specific_force, depth, width, feed)
    side = mean_tangential_force(power, cutting_speed(diameter, spindle_speed))
    return side + floor_force(floor_specific_force, diameter, plunge_feed, spindle_speed)


def greatest_tangential_force(
    specific_force: float, depth: float, width: float, diameter: float, chip: float, teeth: int
) -> float:
    """Greatest tangential force in a turn: k_c a_p f_z sum_max, N (mean times peak over mean).

    Parameters: specific_force [MPa], depth, width, diameter, chip f_z [mm], teeth. Source: derived.
    """
    limits.need_positive(specific_force=specific_force, depth=depth, chip=chip)
    phi = engagement_angle(diameter, width)
    return specific_force * depth * chip * greatest_engagement_sum(phi, teeth)


def greatest_feed(
    force: float,
    specific_force: float,
    depth: float,
    width: float,
    diameter: float,
    spindle_speed: float,
    teeth: int,
) -> float:
    """Feed at which the greatest tangential force reaches a given one, mm/min.

    v_f = F n z / (k_c a_p sum_max): the force is in proportion to the feed. Parameters: force [N],
    MPa, mm, rev/min. Raises ValueError unless all are above 0. Source: inverse of
    `greatest_tangential_force`; k_c rises as chips get thinner, which this leaves out: unsafe below
    the chip that k_c was given for.
    """
    limits.need_positive(force=force, spindle_speed=spindle_speed)
    at_one_mm = greatest_tangential_force(specific_force, depth, width, diameter, 1.0, teeth)
    return force / at_one_mm * spindle_speed * teeth


def greatest_depth(
    force: float, specific_force: float, width: float, diameter: float, chip: float, teeth: int
) -> float:
    """Depth at which the greatest tangential force reaches a given one, mm.

    a_p = F / (k_c f_z sum_max). Parameters: force [N], MPa, mm. Source: inverse of
    `greatest_tangential_force`.
    """
    limits.need_positive(force=force)
    return force / greatest_tangential_force(specific_force, 1.0, width, diameter, chip, teeth)


def greatest_width(
    force: float, specific_force: float, depth: float, diameter: float, chip: float, teeth: int
) -> float:
    """Width of engagement at which the greatest tangential force reaches a given one, mm.

    The whole diameter where even a full slot stays below. The force never falls with the width,
    so halving finds it, from below. Parameters: force [N], MPa, mm. Source: inverse of
    `greatest_tangential_force`.
    """
    limits.need_positive(force=force)

    def exceeds(width: float) -> bool:
        return (
            greatest_tangential_force(specific_force, depth, width, diameter, chip, teeth) > force
        )

    if not exceeds(diameter):
        return diameter
    below, above = 0.0, diameter
    for _ in range(_HALVINGS):
        middle = (below + above) / 2
        below, above = (below, middle) if exceeds(middle) else (middle, above)
    return below


def _sum_of_teeth(count: int, engagement: float, pitch: float) -> float:
    last_middle = engagement - (count - 1) * pitch / 2
    middle = min(math.pi / 2, last_middle)
    spread = math.sin(count * pitch / 2) / math.sin(pitch / 2) if pitch < math.tau else 1.0
    return spread * math.sin(middle)
