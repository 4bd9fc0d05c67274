"""Circles, chords and domes."""

from __future__ import annotations

import math


def sagitta(radius: float, chord: float) -> float:
    """Height of a circular arc over its chord: s = r - sqrt(r^2 - (c/2)^2).

    Written as (c/2)^2 / (r + sqrt(r^2 - (c/2)^2)), which keeps its digits for flat arcs.
    Radius and chord in mm, returns mm. Raises ValueError where the chord exceeds the diameter.
    Source: derived (Pythagoras).
    """
    half = chord / 2
    if half > radius:
        raise ValueError(f"a circle of radius {radius:g} mm has no chord of {chord:g} mm")
    return half * half / (radius + math.sqrt(radius * radius - half * half))


def drop_under_arch(arch_radius: float, dome_radius: float, aside: float) -> float:
    """How much lower a dome sits under an arch when it stands aside of the crown.

    (R_g - R_d) - sqrt((R_g - R_d)^2 - e^2): the dome's centre runs on a circle of that radius
    about the arch's axis. All mm, returns mm >= 0. Raises ValueError where the dome is not
    smaller than the arch or does not reach so far. Source: derived.
    """
    difference = arch_radius - dome_radius
    if difference <= 0:
        raise ValueError(
            f"a dome of radius {dome_radius:g} mm does not fit under {arch_radius:g} mm"
        )
    if abs(aside) > difference:
        raise ValueError(f"{aside:g} mm aside is beyond the arch")
    return aside * aside / (difference + math.sqrt(difference**2 - aside**2))
