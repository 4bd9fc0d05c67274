"""Force, pressure and stiffness of a round piece pressed into the lining of a ring's half.

Symbols: R lined radius, r radius of the piece, delta deepest compression at the seat, g gap
between the split faces when the bores coincide, t thickness of the lining, b height of the ring,
E_c modulus of the lining as it is confined, N closing force per half. Both halves carry the same N,
and the bolts together carry N, not 2 N, while the split faces do not touch.

Unsourced: 2.1 in `crushing_modulus` (our own finite-element study of 26 rings); that a lining
bonded to one face only acts as half of a pad twice as thick (derived by symmetry). The pressure
of a Winkler foundation leaves out that rubber bulges into its neighbour: use both moduli as a band.
Another published fit of hardness (Ruess) is 39 to 63 % stiffer than Gent's at 50 to 60 Shore A:
Gent is the safe one for holding, and the 2.1 covers the other for crushing.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from jigs.mechanics import search
from jigs.mechanics.liner import (
    axis_offset,
    contact_half_angle,
    lip_angle,
    touching_half_angle,
)

HARDNESS_SCATTER = 0.30
"""Hardness to modulus scatters by +-30 %: published notes on shear modulus by hardness."""

COMPRESSION_LIMIT = 0.15
"""Share of the thickness: "average design limits are 15 % compression" (Designing with rubber)."""

LEAST_HARDNESS, MOST_HARDNESS = 20.0, 80.0
"""Shore A; assumed: Gent's formula runs away towards 100, and the tables end at 80."""


def young_modulus(hardness: float) -> float:
    """Young's modulus of rubber from its hardness S, MPa.

    E = 0.0981 (56 + 7.62336 S) / (0.137505 (254 - 2.54 S)); scatters by HARDNESS_SCATTER.
    Parameters: hardness [Shore A]. Limits: 20 to 80; ValueError outside.
    Source: A. N. Gent, On the relation between indentation hardness and Young's modulus, Rubber
    Chem. Technol. 31 (1958) 896.
    """
    if not LEAST_HARDNESS <= hardness <= MOST_HARDNESS:
        raise ValueError(
            f"hardness {hardness:g} is outside {LEAST_HARDNESS:g} to {MOST_HARDNESS:g} Shore A"
        )
    return 0.0981 * (56 + 7.62336 * hardness) / (0.137505 * (254 - 2.54 * hardness))


def shape_factor(length: float, width: float, thickness: float) -> float:
    """Loaded area of one face over the area free to bulge: S = L W / (2 t (L + W)).

    Parameters: length, width, thickness [mm]; for a lining the arc in contact 2 r B, and b.
    Source: Gent and Lindley; a block's form as printed in lists of rubber formulas.
    """
    if not (length > 0 and width > 0):
        raise ValueError(f"a patch of {length:g} by {width:g} mm has no area")
    _positive(thickness, "thickness")
    return length * width / (2 * thickness * (length + width))


def holding_modulus(young: float, shape: float) -> float:
    """Least modulus in compression, bonded on one face only: E (1 + 2 (S/2)^2), MPa.

    Half of a pad of twice the thickness that is bonded on both faces. Parameters: young [MPa],
    shape (S of the real thickness). Limits: unfilled rubber, far below its bulk modulus.
    Source: Gent and Lindley, E_a = E (1 + 2 S^2), as quoted in Strojniski vestnik 60 (2014) 506;
    S/2 derived by symmetry. 0.35 times E (1 + 2 S^2) was the least in our study.
    """
    _moduli(young, shape)
    return young * (1 + 2 * (shape / 2) ** 2)


def crushing_modulus(young: float, shape: float) -> float:
    """Greatest modulus in compression, the piece sticking to the lining: 2.1 E (1 + 2 S^2), MPa.

    Parameters: young [MPa], shape. Source: Gent and Lindley as above; 2.1 is ours, unsourced.
    """
    _moduli(young, shape)
    return 2.1 * young * (1 + 2 * shape**2)


def reduced_offset(lined_radius: float, piece_radius: float, compression: float) -> float:
    """Offset with which the depth is delta - e* (1 - cos psi): e* = 2 e r / (2 R + delta), mm.

    Exact where the circles cross and at the seat; between, the depth is low by less than
    delta / (2 R) of itself. All [mm]; e = R - r + delta. Limits: R >= r (a larger piece wedges at
    the lips), delta > 0. Source: derived.
    """
    _positive(piece_radius, "piece's radius")
    _positive(compression, "compression")
    if not lined_radius >= piece_radius:
        raise ValueError(
            f"a piece of radius {piece_radius:g} mm wedges at the lips of a lined bore of "
            f"{lined_radius:g} mm"
        )
    e = axis_offset(lined_radius, piece_radius, compression)
    return 2 * e * piece_radius / (2 * lined_radius + compression)


def contact_shape_factor(
    lined_radius: float, piece_radius: float, compression: float, gap: float,
    liner: float, height: float,
) -> float:  # fmt: skip
    """Shape factor of the patch in contact, 2 r B by b, at that compression.

    All [mm]. Source: derived from `shape_factor` and the contact's half angle B.
    """
    _, _, half = _contact(lined_radius, piece_radius, compression, gap)
    return shape_factor(2 * piece_radius * half, height, liner)


def greatest_compression(liner: float) -> float:
    """Deepest compression a lining is designed for, mm: 0.15 t.

    Parameters: liner [mm]. The seat is the deepest point of the arc wherever R >= r.
    Source: "average design limits are 15 % compression", Designing with rubber.
    """
    _positive(liner, "lining")
    return COMPRESSION_LIMIT * liner


def greatest_pressure(modulus: float, compression: float, liner: float) -> float:
    """Pressure at the seat, MPa: p = E_c delta / t.

    Parameters: modulus [MPa], compression, liner [mm]. Limits: 0 <= delta < t.
    Source: Winkler foundation (Johnson, Contact mechanics, section 4.3).
    """
    _within(compression, liner)
    _positive(modulus, "modulus")
    return modulus * compression / liner


def closing_force(
    lined_radius: float, piece_radius: float, compression: float, gap: float,
    liner: float, height: float, modulus: float,
) -> float:  # fmt: skip
    """Closing force per half, N.

    N = (E_c b r / t) [e* (B + sin B cos B) - 2 (e* - delta) sin B], with B the half angle of real
    contact, capped by the lips; written as e* [B - sin B cos B + 2 sin B (cos B - cos psi_c)],
    which keeps its digits. Parameters: lengths [mm], modulus E_c [MPa]. Limits: R >= r,
    0 <= delta < t. Source: derived; Winkler foundation (Johnson, Contact mechanics, 4.3).
    """
    _within(compression, liner)
    if compression == 0:
        return 0.0
    offset, crossing, half = _contact(lined_radius, piece_radius, compression, gap)
    bracket = _angle_less_sine(2 * half) / 2 + 2 * math.sin(half) * _cosine_gap(half, crossing)
    return _scale(modulus, height, piece_radius, liner) * offset * bracket


def spreading_force(
    lined_radius: float, piece_radius: float, compression: float, gap: float,
    liner: float, height: float, modulus: float,
) -> float:  # fmt: skip
    """Sideways push of the piece on each quarter of a half, N: H = integral of p sin psi b r.

    H = (E_c b r / t) e* (1 - cos B) [(1 - cos B) / 2 + cos B - cos psi_c]. It pulls the seat's
    section apart and unbends it. Parameters and limits: as `closing_force`. A lining that grabs
    lowers it, to nothing in the worst case. Source: derived; Winkler foundation.
    """
    _within(compression, liner)
    if compression == 0:
        return 0.0
    offset, crossing, half = _contact(lined_radius, piece_radius, compression, gap)
    rise = 2 * math.sin(half / 2) ** 2
    bracket = rise * (rise / 2 + _cosine_gap(half, crossing))
    return _scale(modulus, height, piece_radius, liner) * offset * bracket


def closing_stiffness(
    lined_radius: float, piece_radius: float, compression: float, gap: float,
    liner: float, height: float, modulus: float,
) -> float:  # fmt: skip
    """How the closing force grows with the compression at one modulus, dN/d delta, N/mm.

    (E_c b r / t) [2 sin B - e*' (2 sin B - B - sin B cos B) + 2 u(B) cos B dB/d delta], e*' =
    d e*/d delta; the last term where the lips cap B, since they keep some depth u. Falls to 0
    at first touch. Parameters and limits: as `closing_force`. Source: derived from it.
    """
    _within(compression, liner)
    if compression == 0:
        return 0.0
    offset, crossing, half = _contact(lined_radius, piece_radius, compression, gap)
    grows = (2 * piece_radius - offset) / (2 * lined_radius + compression)
    sine, cosine = math.sin(half), math.cos(half)
    bracket = 2 * sine - grows * (2 * sine - half - sine * cosine)
    if half < crossing:
        depth = offset * _cosine_gap(half, crossing)
        bracket += 2 * depth * cosine * _lip_turns(lined_radius, piece_radius, compression, gap)
    return _scale(modulus, height, piece_radius, liner) * bracket


def sideways_stiffness(
    lined_radius: float, piece_radius: float, compression: float, gap: float,
    liner: float, height: float, modulus: float,
) -> float:  # fmt: skip
    """Resistance of one half to a push along the split, N/mm.

    (E_c b r / t) (e*/e) (B - sin B cos B), which is N / e where the lips do not cap: the force
    always points at the bore's centre. The ring is soft in that direction, above all for a thin
    piece. Parameters and limits: as `closing_force`; no grip along the lining is counted.
    Source: derived; Winkler foundation, the depth changes by dx r / R sin psi.
    """
    _within(compression, liner)
    if compression == 0:
        return 0.0
    offset, _, half = _contact(lined_radius, piece_radius, compression, gap)
    share = offset / axis_offset(lined_radius, piece_radius, compression)
    return _scale(modulus, height, piece_radius, liner) * share * _angle_less_sine(2 * half) / 2


def closing_force_band(
    lined_radius: float, piece_radius: float, compression: float, gap: float,
    liner: float, height: float, least_young: float, most_young: float,
) -> tuple[float, float]:  # fmt: skip
    """Least force (for holding) and greatest force (for crushing and wall) per half, N.

    `closing_force` with `holding_modulus` of the least, `crushing_modulus` of the greatest Young's
    modulus, both at the shape factor of this patch. Parameters: lengths [mm], moduli [MPa].
    Source: see those three.
    """
    if compression == 0:
        return 0.0, 0.0
    if not 0 < least_young <= most_young:
        raise ValueError(f"moduli of {least_young:g} to {most_young:g} MPa are no band above 0")
    place = (lined_radius, piece_radius, compression, gap, liner, height)
    shape = contact_shape_factor(*place)
    return (
        closing_force(*place, holding_modulus(least_young, shape)),
        closing_force(*place, crushing_modulus(most_young, shape)),
    )


def compression_band(
    force: float, lined_radius: float, piece_radius: float, gap: float,
    liner: float, height: float, least_young: float, most_young: float,
) -> tuple[float, float]:  # fmt: skip
    """Least and greatest compression at which a half carries that force, mm.

    The inverse of `closing_force_band`, each end iterated with its own shape factor; the stiffest
    lining gives the least. Parameters: force per half [N] (= both bolts together), lengths [mm],
    moduli [MPa]. Raises ValueError where half the lining's thickness would not carry it.
    Source: derived; bracketed false position on N^(2/3), near linear in delta.
    """

    def carried(end: int, compression: float) -> float:
        place = (lined_radius, piece_radius, compression, gap, liner, height)
        return closing_force_band(*place, least_young, most_young)[end]

    return (
        _compression_for(force, lambda delta: carried(1, delta), liner / 2),
        _compression_for(force, lambda delta: carried(0, delta), liner / 2),
    )


def torque_capacity(friction: float, force: float, piece_radius: float) -> float:
    """Torque about the axis at which the piece turns in the ring, N·mm: T = 2 mu N r.

    Parameters: friction, force N per half at its least [N], piece_radius [mm]. Limits: friction
    > 0. The arc integral of the pressure gives more; a lining that grabs takes it back.
    Source: two-line model of a clamped hub (T = mu F d; see the examples in the tests).
    """
    _positive(piece_radius, "piece's radius")
    return axial_capacity(friction, force) * piece_radius


def axial_capacity(friction: float, force: float) -> float:
    """Force along the axis at which the piece slides through the ring, N: F_a = 2 mu N.

    Parameters: friction, force N per half at its least [N]. Not together with the full torque: see
    `holding_used`. Source: Coulomb; the same two-line model.
    """
    _positive(friction, "friction")
    if not force >= 0:
        raise ValueError(f"a closing force is 0 N or more, not {force:g} N")
    return 2 * friction * force


def holding_used(
    torque: float, axial: float, piece_radius: float, torque_capacity_there: float
) -> float:
    """Share of the holding used by torque and axial force at once: hypot(T, F_a r) / T_cap.

    Parameters: torque [N·mm], axial [N], piece_radius [mm], torque_capacity_there [N·mm]. Met at
    <= 1. Source: derived; friction has one size and one direction, against the slip at radius r.
    """
    _positive(torque_capacity_there, "torque capacity")
    _positive(piece_radius, "piece's radius")
    if math.isnan(torque + axial):
        raise ValueError(f"torque {torque:g} N·mm or axial force {axial:g} N is not a number")
    return math.hypot(torque, axial * piece_radius) / torque_capacity_there


def side_shift(force: float, stiffness: float, *, stiff_bolts: bool) -> float:
    """How far a side force across the split moves the axis, mm: P / (2 k), or P / k.

    Bolts that keep the halves where they are let both linings resist; bolts that give (a spring
    under the nut) leave one. Parameters: force P [N], stiffness k = dN/d delta of one half [N/mm].
    Source: derived.
    """
    _positive(stiffness, "stiffness")
    if math.isnan(force):
        raise ValueError("side force is not a number")
    return force / (2 * stiffness if stiff_bolts else stiffness)


def _contact(lined: float, piece: float, compression: float, gap: float) -> tuple[float, ...]:
    """e*, the angle at which the circles cross, and the half angle B of real contact."""
    if not 0 <= gap < 2 * lined:
        raise ValueError(f"a gap of {gap:g} mm leaves no lining of a bore of {2 * lined:g} mm")
    return (
        reduced_offset(lined, piece, compression),
        touching_half_angle(lined, piece, compression),
        contact_half_angle(lined, piece, compression, gap),
    )


def _scale(modulus: float, height: float, piece: float, liner: float) -> float:
    """E_c b r / t, N/mm."""
    _positive(modulus, "modulus")
    _positive(height, "height")
    return modulus * height * piece / liner


def _compression_for(force: float, carried: Callable[[float], float], most: float) -> float:
    if not force >= 0:
        raise ValueError(f"a lining carries 0 N or more, not {force:g} N")
    if force == 0:
        return 0.0
    if carried(most) < force:
        raise ValueError(
            f"squeezed by half its thickness, {most:g} mm, the lining carries "
            f"{carried(most):.0f} N, not {force:g} N"
        )
    # The force grows with the compression to the 3/2: so made straight, few steps find it.
    return search.crossing(lambda deep: math.pow(carried(deep) / force, 2 / 3) - 1, 0.0, most)


def _lip_turns(lined: float, piece: float, compression: float, gap: float) -> float:
    """d psi_lip / d delta, rad/mm: the piece's surface runs along the lip's direction."""
    e = axis_offset(lined, piece, compression)
    alpha = lip_angle(lined, gap)
    sine, cosine = math.sin(alpha), math.cos(alpha)
    root = math.sqrt(piece**2 - (e * sine) ** 2)
    rho = e * cosine + root
    return sine * (rho - e * (cosine - e * sine * sine / root)) / piece**2


def _angle_less_sine(angle: float) -> float:
    """x - sin x without loss of digits; the series under 0.5 ends below 1e-17 of the sum."""
    if angle > 0.5:
        return angle - math.sin(angle)
    term = total = angle**3 / 6
    for n in range(4, 16, 2):
        term *= -(angle**2) / (n * (n + 1))
        total += term
    return total


def _cosine_gap(half: float, crossing: float) -> float:
    """cos(half) - cos(crossing) as a product."""
    return 2 * math.sin((crossing + half) / 2) * math.sin((crossing - half) / 2)


def _positive(value: float, name: str) -> None:
    if not value > 0:
        raise ValueError(f"{name} must be above 0, not {value:g}")


def _moduli(young: float, shape: float) -> None:
    _positive(young, "Young's modulus")
    if not shape >= 0:
        raise ValueError(f"a shape factor is 0 or more, not {shape:g}")


def _within(compression: float, liner: float) -> None:
    _positive(liner, "lining")
    if not 0 <= compression < liner:
        raise ValueError(f"a lining of {liner:g} mm cannot be squeezed by {compression:g} mm")
