"""Springs of a jig, and how far the work gives at the cutter.

Everything is linear: stiffness in N/mm, deflection = force / stiffness. Unsourced: contact of bare
wood on wood, and play, are left out: the real figure is softer, so treat it as a comparison.
"""

from __future__ import annotations

import math

SHEAR_CORRECTION = 5 / 6
"""Of a rectangle in the beam theory of Timoshenko. Source: Roark, Beams of short length (6/5)."""


def series(*stiffnesses: float) -> float:
    """Springs that each carry the whole force, N/mm: 1 / k = sum of 1 / k_i.

    Raises ValueError for none, or one that is not above 0. inf counts as rigid.
    Source: Shigley 9th ed., eq. 8-18 (stiffness of a joint's members).
    """
    give = sum(1 / _above(k) for k in _some(stiffnesses))
    return 1 / give if give else math.inf


def parallel(*stiffnesses: float) -> float:
    """Springs that share one deflection, N/mm: k = sum of k_i. Raises: as `series`.

    Source: Hooke; Shigley 9th ed., section 4-1.
    """
    return sum(_above(k) for k in _some(stiffnesses))


def deflection(force: float, stiffness: float) -> float:
    """How far it gives, mm: F / k. Parameters: force [N], stiffness [N/mm]. Source: Hooke."""
    if math.isnan(force):
        raise ValueError("the force is not a number")
    return force / _above(stiffness)


def cantilever(length: float, young: float, moment: float, shear: float, area: float) -> float:
    """Stiffness at the free end of a piece above its jaw, N/mm: 1/k = L^3/(3 E I) + L/(5/6 G A).

    In a short stick-out of wood (E/G about 13) shear gives more than bending; never leave it
    out. Parameters: length [mm], Young's and shear modulus [MPa], second moment [mm4], area [mm2].
    Source: Timoshenko beam; Roark, Beams of short length.
    """
    if length == 0:
        return math.inf
    bends = _above(length) ** 3 / (3 * _above(young) * _above(moment))
    shears = length / (SHEAR_CORRECTION * _above(shear) * _above(area))
    return 1 / (bends + shears)


def rod(young: float, area: float, length: float) -> float:
    """Stiffness of a bolt along its axis, N/mm: E A / l.

    Parameters: young [MPa], stress area [mm2], length between nut and head [mm]. Source: Shigley
    9th ed., eq. 8-16.
    """
    return _above(young) * _above(area) / _above(length)


def beam_in_middle(span: float, young: float, moment: float) -> float:
    """Stiffness at the middle of a face or half between two bolts, N/mm: 48 E I / l^3.

    Simply supported. Parameters: span [mm], young [MPa], second moment [mm4]. Limits: slender.
    Source: Machinery's Handbook, Beams.
    """
    return 48 * _above(young) * _above(moment) / _above(span) ** 3


def turned_at_end(span: float, young: float, moment: float) -> float:
    """Resistance of a beam to being turned at one of its two supports, N·mm/rad: 3 E I / l.

    A base that is turned at its edge and held at its hold-downs. Parameters: span [mm], young
    [MPa], second moment [mm4]. Limits: slender, simply supported. Source: Roark, beam under an end
    couple (theta = M l / (3 E I)).
    """
    return 3 * _above(young) * _above(moment) / _above(span)


def tilting(stiffness: float, height: float) -> float:
    """Resistance of an even bed to tilting, N·mm/rad: k b^2 / 12.

    Parameters: stiffness k of the bed when pushed evenly [N/mm], its height b [mm]. Limits: in
    touch over all its height. Source: derived (second moment of an even bed about its middle).
    """
    return _above(stiffness) * _above(height) ** 2 / 12


def at_lever(stiffness: float, tilting_stiffness: float, lever: float) -> float:
    """Stiffness felt at a height over a bed that shifts and tilts, N/mm: 1/k' = 1/k + h^2 / k_t.

    Parameters: stiffness [N/mm], tilting stiffness [N·mm/rad], lever from the bed's middle to the
    cutter [mm]. Small angles. Source: derived.
    """
    if math.isnan(lever):
        raise ValueError("the lever is not a number")
    return 1 / (1 / _above(stiffness) + lever**2 / _above(tilting_stiffness))


def seen_from(stiffness: float, at: float, point: float) -> float:
    """A spring at one height of a stiff lever, felt at another, N/mm: k (a / z)^2.

    Parameters: stiffness [N/mm], its height a and the cutter's z over the pivot [mm]. Limits:
    both above 0. Source: derived (virtual work).
    """
    if not (at > 0 and point > 0):
        raise ValueError(f"spring at {at:g} mm, felt at {point:g} mm: both above the pivot")
    return _above(stiffness) * (at / point) ** 2


def through_jaw(piece: float, jaw_height: float, cutter_height: float, *carriers: float) -> float:
    """Stiffness at the cutter of a piece that stands in a jaw, N/mm.

    The piece bends above its jaw and turns, stiff, about its foot as the jaw's carriers give
    (face, ribs, drawbolts, base: each in N/mm at the height where the jaw presses): 1/k =
    1/k_piece + (z / a)^2 sum of 1/k_i. Parameters: piece: `cantilever` [N/mm]; height a of the
    pressure's middle and z of the cutter over the table [mm]. Limits: the far jaw is not
    counted. Source: derived, as `series` and `seen_from`.
    """
    return series(piece, seen_from(series(*carriers), jaw_height, cutter_height))


def through_ring(liner: float, ring_height: float, lever: float, *carriers: float) -> float:
    """Stiffness at the cutter of a piece in a lined ring, N/mm.

    The lining shifts and tilts (`at_lever`), its carriers (bolts, wall, mounting, each already as
    felt at the cutter) follow in series. Parameters: liner: stiffness of both halves in the
    direction of the force [N/mm]; ring_height b, lever from the ring's middle [mm]. Source: as
    `tilting`, `at_lever`, `series`.
    """
    return series(at_lever(liner, tilting(liner, ring_height), lever), *carriers)


def _some(stiffnesses: tuple[float, ...]) -> tuple[float, ...]:
    if not stiffnesses:
        raise ValueError("no springs to combine")
    return stiffnesses


def _above(value: float) -> float:
    if not value > 0:
        raise ValueError(f"a stiffness, modulus or size must be above 0, not {value:g}")
    return value
