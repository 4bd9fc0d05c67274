"""Friction: a piece between two opposite flat faces, and a base held down on a table.

A piece stands between two upright faces that press it with N each. The side force F comes from an
angle in plan, measured from the faces' normal: F_n = F |cos| unloads one face, F_t = F |sin| slides
along it; the pull Z of a spiral cutter slides upward. Nothing bears on the top: friction only.

Slip and twist are added as plain numbers. The states at which a rigid contact slips form a convex
set of (force, torque) (Goyal, Ruina and Papadopoulos, Wear 143, 1991, from memory), so the straight
line between its two ends lies inside it, whatever the pressure. An ellipse between them does not:
for two narrow patches the set is the straight line itself, and the ellipse promises up to 41 % too
much.

Friction is never one number: use the low end of its band. Unsourced: all formulas here are derived
from Coulomb's law and equilibrium; what has no outside source is the spread of the pressure
(uniform in `mean_distance_in_rectangle`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from jigs.mechanics import limits, search

_COARSE = 64


def slip_capacity(friction: float, clamping: float, unloading: float) -> float:
    """Force that two faces hold along themselves: mu (2 N - F_n), N; 0 once a face opens.

    Parameters: friction mu [-], clamping N of each face [N], unloading F_n [N], the part of the
    side force along the normal. Source: Coulomb; the clamp is taken as soft, so that one face loses
    all of F_n and the other gains nothing, which is the safe end. It needs `pressure_shift`.
    """
    limits.need_positive(friction=friction)
    limits.need_not_negative(clamping=clamping, unloading=unloading)
    if unloading >= clamping:
        return 0.0
    return friction * (2 * clamping - unloading)


def twist_capacity(friction: float, clamping: float, unloading: float, width: float) -> float:
    """Torque about the upright axis that two faces hold: mu (N - F_n) w, N mm.

    Equal and opposite friction on faces w apart, so the weaker face counts twice; the shift of
    pressure along the faces also helps and is not counted. Parameters: friction [-], clamping N,
    unloading F_n [N], width w between the faces [mm]. Source: derived (a couple of two forces).
    """
    limits.need_positive(friction=friction, width=width)
    limits.need_not_negative(clamping=clamping, unloading=unloading)
    return friction * max(clamping - unloading, 0.0) * width


def slip_and_twist(
    force: float, force_capacity: float, torque: float, torque_capacity: float
) -> float:
    """Use of a contact that must not slip and not twist: F / F_c + M / M_c; above 1 it moves.

    Parameters: forces [N], torques [N mm]. Raises ValueError for a capacity of 0 that something
    asks for. Source: chord of a convex slip surface; see the module for why no ellipse.
    """
    limits.need_not_negative(force=force, torque=torque)
    return _share(force, force_capacity) + _share(torque, torque_capacity)


def least_clamping(
    friction: float,
    side_force: float,
    angle: float,
    pull: float = 0.0,
    torque: float = 0.0,
    width: float = math.inf,
    lever: float = 0.0,
    pull_arm: float = 0.0,
    diagonal: float = math.inf,
) -> float:
    """Least N of each face that holds a side force at an angle, a pull and a torque, N.

    Solves Q / (mu (2 N - F_n)) + M / (mu w (N - F_n)) = 1, Q = sqrt(F_t^2 + Z^2) + (F_t L +
    Z a) / (d / 4): a force that acts L above the middle of the patches, and a pull a beside it,
    would turn the piece about the faces' normal (`patch_torque_lower_bound`). With u = N - F_n it
    is 2 mu u^2 + (mu F_n - Q - 2 M/w) u - (M/w) F_n = 0. Without torque N = (Q / mu + F_n) / 2,
    and never below F_n. Parameters: friction [-], side_force F [N], angle in plan from the faces'
    normal [rad], pull Z [N], torque M about the upright axis [N mm], width w [mm], needed with a
    torque, lever L, pull_arm a, diagonal d of each patch [mm],
    needed with those two. Source: derived from `slip_capacity`, `twist_capacity`, `slip_and_twist`.
    """
    limits.need_positive(friction=friction)
    limits.need_not_negative(
        side_force=side_force, pull=pull, torque=torque, lever=lever, pull_arm=pull_arm
    )
    if not width > 0 or (torque and width == math.inf):
        raise ValueError("a torque needs the width between the faces")
    if not diagonal > 0 or ((lever or pull_arm) and diagonal == math.inf):
        raise ValueError("a lever needs the diagonal of the faces in contact")
    if not math.isfinite(angle):
        raise ValueError(f"an angle must be a number, not {angle:g}")
    unloading = side_force * abs(math.cos(angle))
    along = side_force * abs(math.sin(angle))
    slide = math.hypot(along, pull) + 4 * (along * lever + pull * pull_arm) / diagonal
    couple = torque / width
    middle = friction * unloading - slide - 2 * couple
    root = math.sqrt(middle * middle + 8 * friction * couple * unloading)
    if middle > 0:
        return unloading + 2 * couple * unloading / (middle + root)
    return unloading + (root - middle) / (4 * friction)


def pressure_shift(
    friction: float,
    clamping: float,
    side_force: float,
    angle: float,
    pull: float = 0.0,
    width: float = 0.0,
) -> float:
    """How far the pressure must wander along the faces for `slip_capacity` to be true, mm.

    The unloaded face gives less, so the other gives more, and the couple of the two is met by a
    shift: max(0, F_t / 2 - L) w / (2 N - F_n), L = mu (N - F_n) sqrt(1 - (Z / (mu (2 N - F_n)))^2),
    the pull shared as the limits are. At the least N for all directions it stays below 0.16 w;
    feed it to `tipping` as the eccentricity along the faces. Parameters: as for `least_clamping`.
    Raises ValueError where the faces slip anyway. Source: derived (moments about the upright axis).
    """
    unloading = side_force * abs(math.cos(angle))
    along = side_force * abs(math.sin(angle))
    capacity = slip_capacity(friction, clamping, unloading)
    limits.need_not_negative(side_force=side_force, pull=pull, width=width)
    if not math.hypot(along, pull) <= capacity:
        raise ValueError("the faces slip before any shift of pressure helps")
    if along == 0:
        return 0.0
    left = math.sqrt(max(0.0, 1 - (pull / capacity) ** 2))
    weaker = friction * (clamping - unloading) * left
    return max(0.0, along / 2 - weaker) * width / (2 * clamping - unloading)


def worst_angle(friction: float, side_force: float, pull: float = 0.0) -> float:
    """Angle in plan at which slip without torque asks for the most clamping, rad from the normal.

    cos^2 = mu^2 (F^2 + Z^2) / (F^2 (1 + mu^2)), 0 where that exceeds 1. Without a pull: tan = 1/mu.
    Parameters: friction [-], side_force F, pull Z [N]. Raises ValueError without a side force.
    Source: derived (maximum of sqrt(F^2 sin^2 + Z^2) + mu F cos).
    """
    limits.need_positive(friction=friction, side_force=side_force)
    limits.need_not_negative(pull=pull)
    square = friction**2 * (1 + (pull / side_force) ** 2) / (1 + friction**2)
    return math.acos(math.sqrt(min(square, 1.0)))


def least_clamping_all_round(
    friction: float,
    side_force: float,
    pull: float = 0.0,
    torque: float = 0.0,
    width: float = math.inf,
    lever: float = 0.0,
    pull_arm: float = 0.0,
    diagonal: float = math.inf,
) -> float:
    """Least N of each face that holds the side force from **every** direction in plan, N.

    Without torque and levers at `worst_angle` or straight on (where a face must not open); else the
    quarter turn is searched in 64 steps and each peak refined. Parameters: as for `least_clamping`.
    Source: derived.
    """

    def needed(angle: float) -> float:
        return least_clamping(friction, side_force, angle, pull, torque, width, lever,
                              pull_arm, diagonal)  # fmt: skip

    if not (torque or lever or pull_arm):
        steepest = worst_angle(friction, side_force, pull) if side_force else 0.0
        return max(needed(0.0), needed(steepest))
    step = math.pi / 2 / _COARSE
    coarse = [needed(i * step) for i in range(_COARSE + 1)]
    return max(
        search.highest(needed, max(i - 1, 0) * step, min(i + 1, _COARSE) * step)
        for i, value in enumerate(coarse)
        if value >= max(coarse[max(i - 1, 0)], coarse[min(i + 1, _COARSE)])
    )


def factor_held(clamping: float, least: float) -> float:
    """By how much the whole cut may grow: N / N_least.

    The least N is in proportion to force, pull and torque together. Parameters: N. Raises
    ValueError where nothing needs to be held. Source: derived (homogeneous of degree 1).
    """
    limits.need_not_negative(clamping=clamping)
    limits.need_positive(least_clamping=least)
    return clamping / least


def mean_distance_in_rectangle(length: float, width: float) -> float:
    """Mean distance of a rectangle's points from its centre, exact, mm.

    (2 d + a^2/b asinh(b/a) + b^2/a asinh(a/b)) / 12, d = sqrt(a^2 + b^2); 0.3826 a for a square.
    Parameters: sides a, b [mm]. Source: derived (polar integral over the rectangle).
    """
    limits.need_positive(length=length, width=width)
    a, b = length, width
    edges = a * (a / b) * math.asinh(b / a) + b * (b / a) * math.asinh(a / b)
    return (2 * math.hypot(a, b) + edges) / 12


def patch_torque(friction: float, normal_force: float, length: float, width: float) -> float:
    """Torque about its own normal that a rectangular patch of even pressure holds, N mm.

    T = mu N times the mean distance from the centre. Parameters: friction [-], normal_force [N],
    sides [mm]. Source: derived; as the pivot with uniform pressure (2/3 mu P r for a disc).
    """
    limits.need_positive(friction=friction)
    limits.need_not_negative(normal_force=normal_force)
    return friction * normal_force * mean_distance_in_rectangle(length, width)


def patch_torque_lower_bound(
    friction: float, normal_force: float, length: float, width: float
) -> float:
    """Torque of a rectangular patch, never more than the exact one: mu N d / 4, N mm.

    The mean of sqrt(x^2 + y^2) is at least sqrt(mean|x|^2 + mean|y|^2) = d / 4, d the diagonal;
    exact for a strip, 7.6 % low for a square. Pressure drawn to the middle (a crowned piece) gives
    less than either: not covered. Parameters: as for `patch_torque`. Source: derived (Jensen).
    """
    limits.need_positive(friction=friction, length=length, width=width)
    limits.need_not_negative(normal_force=normal_force)
    return friction * normal_force * math.hypot(length, width) / 4


def base_slide_capacity(
    friction: float, hold_downs: Sequence[float], weight: float = 0.0, lift: float = 0.0
) -> float:
    """Side force at which a base slides on the table: mu (sum of hold-downs + W - Z), N.

    Parameters: friction [-], hold_downs [N] at their loose end, weight W, lift Z [N]. 0 once the
    lift exceeds both. Source: Coulomb.
    """
    limits.need_positive(friction=friction)
    limits.need_not_negative(weight=weight, lift=lift, **_numbered(hold_downs))
    return friction * max(math.fsum(hold_downs) + weight - lift, 0.0)


def base_twist_capacity(
    friction: float, hold_downs: Sequence[float], distances: Sequence[float]
) -> float:
    """Torque at which a base turns on the table: mu sum of F_i r_i, N mm.

    Each hold-down as one point, r_i from the centre of turning; least for the centre that makes it
    least. Parameters: friction [-], hold_downs [N], distances [mm]. Source: Coulomb.
    """
    limits.need_positive(friction=friction)
    limits.need_not_negative(**_numbered(hold_downs), **_numbered(distances, "distance"))
    return friction * math.fsum(f * r for f, r in zip(hold_downs, distances, strict=True))


def righting_moment(
    hold_downs: Sequence[float],
    distances: Sequence[float],
    weight: float = 0.0,
    weight_distance: float = 0.0,
) -> float:
    """Moment that keeps a base from turning over one edge: sum of F_i x_i + W x_w, N mm.

    Parameters: hold_downs [N] at their loose end, distances x [mm] of each and of the weight from
    the tipping edge. Source: equilibrium about the edge.
    """
    limits.need_not_negative(weight=weight, weight_distance=weight_distance)
    limits.need_not_negative(**_numbered(hold_downs), **_numbered(distances, "distance"))
    turned = math.fsum(f * x for f, x in zip(hold_downs, distances, strict=True))
    return turned + weight * weight_distance


def overturning_moment(
    side_force: float, height: float, lift: float = 0.0, lift_distance: float = 0.0
) -> float:
    """Moment of the cut about a base's edge: F h + Z x, N mm.

    Parameters: side_force [N], height above the table [mm], lift Z [N], lift_distance x from the
    edge [mm]. Source: equilibrium about the edge.
    """
    limits.need_not_negative(
        side_force=side_force, height=height, lift=lift, lift_distance=lift_distance
    )
    return side_force * height + lift * lift_distance


def greatest_anchor_pull(moment: float, distances: Sequence[float]) -> float:
    """Pull in the farthest anchor of a base that rocks on its edge: M x_max / sum of x_i^2, N.

    Parameters: moment left after weight [N mm], distances of all anchors from the edge [mm]. Raises
    ValueError unless one stands away from the edge. Source: the usual elastic bolt group (a rigid
    base on equal bolts).
    """
    limits.need_not_negative(moment=moment, **_numbered(distances, "distance"))
    squares = math.fsum(x * x for x in distances)
    if not squares > 0:
        raise ValueError("no anchor stands away from the tipping edge")
    return moment * max(distances) / squares


def _share(load: float, capacity: float) -> float:
    if load == 0:
        return 0.0
    if not 0 < capacity < math.inf:
        raise ValueError("nothing is held: a face has opened or friction is 0")
    return load / capacity


def _numbered(values: Sequence[float], name: str = "hold_down") -> dict[str, float]:
    return {f"{name}_{i}": value for i, value in enumerate(values, 1)}
