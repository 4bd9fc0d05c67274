"""Bending of a half of a split ring under its closing force, and bearing under its washers.

Symbols: N closing force per half (each bolt pulls N/2), s from the axis to each bolt (they are 2 s
apart), R_b radius of the bore, h wall at the seat, b height, H sideways push on each quarter
(`liner_force.spreading_force`), r_c = R_b + h/2. Tension is positive.

Each quarter is held by N/2 at the lever s, and by the pressure, whose resultant (H, N/2) passes
through the axis. So the section at the seat carries M = N s/2 - H r_c and the pull H. A lining that
grabs takes H away, so the safe figures leave it out: M = N s/2.

Unsourced: 1.2 and the least of h and s for grain along the span (from our own plane-stress
finite-element sweep of rings, in the tests). Clearance holes of the bolts are not in these figures.
In that sweep the safe figures were 0.99 to 1.55 (back) and 0.99 to 2.9 (bore) of the elements'.
"""

from __future__ import annotations

import math

GRAIN_ALONG_THICK_WALL = 1.2
"""Rise of the back's stress where h > R_b with grain along the span; our own finite elements."""


def seat_moment(
    force: float, bolt_x: float, spreading: float = 0.0, centroid_radius: float = 0.0
) -> float:
    """Bending moment at the seat, N·mm: M = N s / 2 - H r_c. Tension on the back is positive.

    Parameters: force N per half [N], bolt_x s [mm], spreading H [N], centroid_radius r_c [mm].
    H = 0 is the safe side. Source: derived (equilibrium of one quarter, exact).
    """
    _positive(bolt_x, "distance to the bolts")
    if not (force >= 0 and spreading >= 0 and centroid_radius >= 0):
        raise ValueError(
            f"a ring is closed by forces of 0 or more, not {force:g} N and {spreading:g} N, at a "
            f"radius of {centroid_radius:g} mm"
        )
    return force * bolt_x / 2 - spreading * centroid_radius


def back_stress(
    force: float,
    bolt_x: float,
    bore_radius: float,
    wall: float,
    height: float,
    *,
    grain_along_span: bool,
    spreading: float = 0.0,
) -> float:
    """Tension on the back of a half at the seat, MPa: sigma = c 6 M / (b h^2) + H / (b h).

    M from `seat_moment`. With grain along the span c = 1.2 where h > R_b, and h counts as no more
    than s: a short deep beam of wood shears, and the stress gathers at its edges. A straight beam
    on purpose: a curved beam is low on this side. Parameters: force N per half, tight end [N];
    lengths [mm]; spreading H [N], 0 = the safe side. Compare with bending strength along or
    across the grain, as built. Limits: b, h > 0. Source: beam theory; c derived from our sweep.
    """
    _positive(wall, "wall")
    _positive(height, "height")
    _positive(bore_radius, "bore radius")
    moment = seat_moment(force, bolt_x, spreading, bore_radius + wall / 2)
    deep, rise = wall, 1.0
    if grain_along_span:
        deep = min(wall, bolt_x)
        rise = GRAIN_ALONG_THICK_WALL if wall > bore_radius else 1.0
    return rise * 6 * moment / (height * deep**2) + spreading / (height * wall)


def curved_beam_stresses(
    moment: float, pull: float, inner_radius: float, outer_radius: float, width: float
) -> tuple[float, float]:
    """Stress at the inner and at the outer fibre of a curved bar of rectangular section, MPa.

    sigma = F/A + M (r_n - r) / (A e r), r_n = h / ln(r_o / r_i), e = r_c - r_n. A moment that
    straightens the bar (pulls its inner fibre) is positive. Parameters: moment [N·mm], pull F
    [N], radii and width [mm]. Limits: 0 < r_i < r_o. Source: Shigley's Mechanical Engineering
    Design, 9th ed., eq. 3-64 to 3-66 (Winkler and Bach).
    """
    _positive(inner_radius, "inner radius")
    _positive(width, "width")
    deep = outer_radius - inner_radius
    _positive(deep, "depth of the section")
    if math.isnan(moment + pull):
        raise ValueError("moment or pull is not a number")
    area = width * deep
    neutral = deep / math.log1p(deep / inner_radius)
    eccentric = inner_radius + deep / 2 - neutral
    inner = moment * (neutral - inner_radius) / (area * eccentric * inner_radius)
    outer = moment * (neutral - outer_radius) / (area * eccentric * outer_radius)
    return pull / area + inner, pull / area + outer


def stress_beside_pressure(pressure: float, along_edge: float, into_edge: float) -> float:
    """Stress along an edge under the pressure that loads it, MPa: -p sqrt(E_t / E_n).

    Parameters: pressure p [MPa]; Young's moduli [MPa] along the edge and square to it. -p for
    equal moduli; 3.5 p for wood pressed square to its grain. Source: half plane under an even
    pressure, Lekhnitskii, Anisotropic plates (from memory; met by the finite elements of the
    tests).
    """
    _positive(along_edge, "modulus along the edge")
    _positive(into_edge, "modulus into the edge")
    if not pressure >= 0:
        raise ValueError(f"a pressure is 0 or more, not {pressure:g} MPa")
    return -pressure * math.sqrt(along_edge / into_edge)


def bore_stress(
    force: float,
    bolt_x: float,
    bore_radius: float,
    wall: float,
    height: float,
    pressure: float,
    *,
    along_span: float,
    across_span: float,
    spreading: float = 0.0,
) -> float:
    """Stress along the span in the bore at the seat, MPa; compression is negative.

    Curved beam under M from `seat_moment` and the pull H, and under the seat's pressure
    -p sqrt(E_along / E_across). Without that last term it is low by up to 2/3 with grain along
    the span. Limits: friction that pulls both flanks towards the seat right up to it would double
    the figure there: ask for a factor of 2. Parameters: force N per half, tight end [N]; lengths
    [mm]; pressure at the seat, tight end [MPa]; Young's moduli of the wood along the span and
    towards the back [MPa]; spreading H [N], 0 = the safe side. Source: derived as the sum of
    `curved_beam_stresses` and `stress_beside_pressure`.
    """
    moment = seat_moment(force, bolt_x, spreading, bore_radius + wall / 2)
    bent, _ = curved_beam_stresses(-moment, spreading, bore_radius, bore_radius + wall, height)
    return bent + stress_beside_pressure(pressure, along_span, across_span)


def washer_bearing(force: float, outer_diameter: float, hole: float) -> float:
    """Pressure of a washer on the wood, MPa: 4 F / (pi (D^2 - d^2)).

    Parameters: force of one bolt, tight end [N]; outer diameter of the washer and hole in the
    wood [mm]. Compare with compression across the grain. Limits: a stiff washer; D > d.
    Source: mean pressure on a ring; common practice.
    """
    if not 0 <= hole < outer_diameter:
        raise ValueError(f"a washer of {outer_diameter:g} mm falls into a hole of {hole:g} mm")
    if not force >= 0:
        raise ValueError(f"a washer bears 0 N or more, not {force:g} N")
    return 4 * force / (math.pi * (outer_diameter**2 - hole**2))


def _positive(value: float, name: str) -> None:
    if not value > 0:
        raise ValueError(f"{name} must be above 0, not {value:g}")
