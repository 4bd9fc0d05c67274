"""Bolts, screws and inserts: torque and preload, proof, scatter, pull-out, bearing, stripping.

Symbols of Shigley, Mechanical Engineering Design (9th ed., chapter 8) and of VDI 2230-1. Lengths in
mm, forces in N, torques in N mm, stresses in MPa, stiffnesses in N/mm.

Where sources disagree: the nut factor K of plain steel is 0.20 (dry) in some texts and 0.30 (black)
in Shigley's Table 8-15; use the high K for what must hold and the low K for what must not crush.
End grain keeps 0.75 of a screw's withdrawal (Wood Handbook, ch. 8) or 0.70 (Huebner 2013): 0.70 is
used. A tightening factor of 1.4 does not cover Shigley's ten bolts of Table 8-14, 1.6 does.

Unsourced: pull-out of a screwed insert (assumed: shear of a cylinder of wood, half of it at its
strength), the lips of a T-slot (assumed: shear and bending over the head's length alone).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from jigs.mechanics import limits

NUT_FACTOR_OF_COLLAR = 0.625
"""Half of the collar's mean diameter over d: (d + 1.5 d) / 2 / (2 d). Source: Shigley 8-26."""

REUSABLE_SHARE = 0.75
"""Preload over proof load of a joint that is opened again. Source: Shigley 8-31."""

END_GRAIN_SHARE = 0.70
"""Withdrawal from end grain over side grain, the lower of 0.75 and 0.70 (see above)."""

INSERT_SHEAR_SHARE = 0.5
"""Part of the cylinder round an insert that counts at shear strength: assumed. Half of it fails
along the grain, the rest by rolling shear, which is far weaker and not counted."""

TAPER_60 = 0.57735
"""tan 30 deg of the 60 deg profile, as printed in FED-STD-H28/2B."""


def preload_from_torque(torque: float, nut_factor: float, diameter: float) -> float:
    """Preload of a torque, short form: F = T / (K d), N.

    Parameters: torque [N mm], nut_factor K [-], major diameter [mm]. Raises ValueError unless K
    and d are above 0. Source: Shigley 8-27; K: Table 8-15 (0.30 black, 0.20 zinc-plated, 0.18
    lubricated).
    """
    limits.need_not_negative(torque=torque)
    limits.need_positive(nut_factor=nut_factor, diameter=diameter)
    return torque / (nut_factor * diameter)


def torque_for_preload(preload: float, nut_factor: float, diameter: float) -> float:
    """Torque for a preload, short form: T = K F d, N mm.

    Parameters: preload [N], nut_factor K [-], major diameter [mm]. Source: Shigley 8-27.
    """
    limits.need_not_negative(preload=preload)
    limits.need_positive(nut_factor=nut_factor, diameter=diameter)
    return nut_factor * preload * diameter


def nut_factor(
    diameter: float,
    mean_diameter: float,
    lead: float,
    thread_friction: float,
    collar_friction: float,
    flank_angle: float = math.pi / 6,
) -> float:
    """K = d_m / (2 d) (tan l + f sec a) / (1 - f tan l sec a) + 0.625 f_c, tan l = lead / (pi d_m).

    Parameters: diameter, mean_diameter of the thread, lead [mm], frictions [-], flank_angle a [rad]
    (30 deg for ISO and UN threads). Raises ValueError where the thread locks. Source: Shigley 8-26.
    """
    limits.need_positive(diameter=diameter)
    turned = thread_torque(1.0, mean_diameter, lead, thread_friction, flank_angle)
    limits.need_not_negative(collar_friction=collar_friction)
    return turned / diameter + NUT_FACTOR_OF_COLLAR * collar_friction


def thread_torque(
    force: float,
    mean_diameter: float,
    lead: float,
    friction: float,
    flank_angle: float = 0.0,
) -> float:
    """Torque in the thread of a screw that is drawn up under load, N mm.

    F d_m / 2 (l + pi f d_m sec a) / (pi d_m - f l sec a). Parameters: force [N], mean_diameter,
    lead [mm], friction [-], flank_angle a [rad], 0 for square threads. Raises ValueError where the
    thread locks. Source: Shigley 8-5; Bhandari, Design of Machine Elements, ch. 6.
    """
    limits.need_not_negative(force=force, friction=friction)
    limits.need_positive(mean_diameter=mean_diameter, lead=lead)
    if not 0 <= flank_angle < math.pi / 2:
        raise ValueError("a flank angle lies between 0 and 90 degrees")
    steeper = friction / math.cos(flank_angle)
    under = math.pi * mean_diameter - steeper * lead
    if under <= 0:
        raise ValueError(f"a thread of lead {lead:g} mm locks at a friction of {friction:g}")
    return force * mean_diameter / 2 * (lead + math.pi * steeper * mean_diameter) / under


def collar_torque(force: float, collar_friction: float, collar_diameter: float) -> float:
    """Torque under the head or collar: F f_c d_c / 2, N mm.

    Parameters: force [N], friction [-], mean collar_diameter [mm]. Source: Shigley 8-6.
    """
    limits.need_not_negative(force=force, collar_friction=collar_friction)
    limits.need_positive(collar_diameter=collar_diameter)
    return force * collar_friction * collar_diameter / 2


def tightening_torque(
    preload: float,
    pitch: float,
    pitch_diameter: float,
    thread_friction: float,
    head_diameter: float,
    head_friction: float,
) -> float:
    """M_A = F_M (0.16 P + 0.58 d2 mu_G + D_Km / 2 mu_K), N mm.

    Parameters: preload [N], pitch P, pitch_diameter d2, head_diameter D_Km (mean of bearing and
    hole diameter) [mm], frictions [-]. For 60 deg threads. Source: VDI 2230-1, R13/1.
    """
    limits.need_not_negative(
        preload=preload, thread_friction=thread_friction, head_friction=head_friction
    )
    limits.need_positive(pitch=pitch, pitch_diameter=pitch_diameter, head_diameter=head_diameter)
    thread = 0.16 * pitch + 0.58 * pitch_diameter * thread_friction
    return preload * (thread + head_diameter / 2 * head_friction)


def assembly_preload(
    yield_strength: float,
    stress_area: float,
    pitch: float,
    pitch_diameter: float,
    stress_diameter: float,
    thread_friction: float,
    share: float = 0.9,
) -> float:
    """Preload at which tension and twist together reach a share of yield, N.

    F_M = share R_p A_s / sqrt(1 + 3 k^2), k = 3/2 d2 / d_s (P / (pi d2) + 1.155 mu_G). Parameters:
    yield_strength [MPa], stress_area [mm2], pitch, pitch_diameter d2, stress_diameter d_s [mm],
    thread_friction, share [-]. Source: VDI 2230-1, table A1 and the equation behind it.
    """
    limits.need_positive(yield_strength=yield_strength, stress_area=stress_area, pitch=pitch)
    limits.need_positive(
        pitch_diameter=pitch_diameter, stress_diameter=stress_diameter, share=share
    )
    limits.need_not_negative(thread_friction=thread_friction)
    slope = pitch / (math.pi * pitch_diameter) + 1.155 * thread_friction
    k = 1.5 * pitch_diameter / stress_diameter * slope
    return share * yield_strength * stress_area / math.sqrt(1 + 3 * k * k)


def proof_load(proof_stress: float, stress_area: float) -> float:
    """F_p = S_p A_s, N. Parameters: MPa, mm2. Source: ISO 898-1; Shigley 8-32."""
    limits.need_positive(proof_stress=proof_stress, stress_area=stress_area)
    return proof_stress * stress_area


def utilisation(load: float, strength: float) -> float:
    """Load over strength, both in one unit; above 1 is too much. Source: definition."""
    limits.need_not_negative(load=load)
    limits.need_positive(strength=strength)
    return load / strength


def loose_end(mean_preload: float, tightening_factor: float) -> float:
    """Least preload of a scatter round its mean: 2 F / (alpha + 1), N; use it for holding.

    Parameters: mean_preload [N], tightening_factor alpha_A = greatest / least [-], 1 or more.
    Source: VDI 2230-1 (definition of alpha_A), solved for the mean between the ends.
    """
    if not 1 <= tightening_factor < math.inf:
        raise ValueError(f"a tightening factor is 1 or more, not {tightening_factor:g}")
    limits.need_not_negative(mean_preload=mean_preload)
    return 2 * mean_preload / (tightening_factor + 1)


def tight_end(mean_preload: float, tightening_factor: float) -> float:
    """Greatest preload of a scatter round its mean: 2 alpha F / (alpha + 1), N; for crushing.

    Parameters and source: as for `loose_end`.
    """
    return tightening_factor * loose_end(mean_preload, tightening_factor)


def joint_constant(bolt_stiffness: float, member_stiffness: float) -> float:
    """Share of an outside load that the bolt takes: C = k_b / (k_b + k_m).

    Parameters: N/mm both. Source: Shigley section 8-7.
    """
    limits.need_positive(bolt_stiffness=bolt_stiffness, member_stiffness=member_stiffness)
    return bolt_stiffness / (bolt_stiffness + member_stiffness)


def bolt_load(preload: float, outside_load: float, constant: float) -> float:
    """Load in a bolt whose joint stays closed: F_b = C P + F_i, N. Source: Shigley 8-24."""
    if not 0 <= constant <= 1:
        raise ValueError("a joint constant lies between 0 and 1")
    if not math.isfinite(outside_load):
        raise ValueError(f"an outside load must be a number, not {outside_load:g}")
    limits.need_not_negative(preload=preload)
    return constant * outside_load + preload


def series_stiffness(stiffnesses: Sequence[float]) -> float:
    """Stiffness of springs one behind the other: 1 / k = sum of 1 / k_i, N/mm.

    Raises ValueError for none, or one that is not above 0. Source: Shigley 8-18.
    """
    if not stiffnesses:
        raise ValueError("no springs in the row")
    for stiffness in stiffnesses:
        limits.need_positive(stiffness=stiffness)
    return 1 / math.fsum(1 / stiffness for stiffness in stiffnesses)


def turns_to_preload(preload: float, pitch: float, stiffnesses: Sequence[float]) -> float:
    """Turns from first touch to a preload: F / (k P) with k of all springs in the row.

    Parameters: preload [N], pitch [mm], stiffnesses of bolt, washer, liner, jaw ... [N/mm].
    Source: derived (one turn closes one pitch), Shigley 8-18.
    """
    limits.need_not_negative(preload=preload)
    limits.need_positive(pitch=pitch)
    return preload / (series_stiffness(stiffnesses) * pitch)


def preload_from_turns(turns: float, pitch: float, stiffnesses: Sequence[float]) -> float:
    """Preload after turns from first touch: n P k, N. Source: as for `turns_to_preload`."""
    limits.need_not_negative(turns=turns)
    limits.need_positive(pitch=pitch)
    return turns * pitch * series_stiffness(stiffnesses)


def screw_withdrawal(specific_gravity: float, diameter: float, thread_length: float) -> float:
    """Ultimate withdrawal of a wood screw from side grain: p = 108.25 G^2 D L, N.

    Parameters: specific_gravity G [-] (oven dry mass, volume at 12 %), shank diameter D, thread in
    the wood L [mm]. Mean of tests: divide by a factor. Solid wood only: in dense fibreboard it
    gives about three times a specification sheet's screw holding. Source: Wood Handbook, Eq. 8-10a.
    """
    limits.need_positive(
        specific_gravity=specific_gravity, diameter=diameter, thread_length=thread_length
    )
    return 108.25 * specific_gravity**2 * diameter * thread_length


def self_tapping_withdrawal(density: float, diameter: float, thread_length: float) -> float:
    """Characteristic withdrawal of a self-tapping screw from hardwood side grain, N.

    R = f pi d (l - 1.1 d), f = 7e-4 rho^1.6 d^-0.34. Parameters: density [kg/m3], diameter d,
    thread_length l [mm]. Raises ValueError where the thread is no longer than its point. Source:
    Huebner, CIB-W18/46-7-4 (2013). It often exceeds `screw_withdrawal`: use the lower.
    """
    limits.need_positive(density=density, diameter=diameter)
    effective = thread_length - 1.1 * diameter
    if not 0 < effective < math.inf:
        raise ValueError(f"{thread_length:g} mm of thread is all point at {diameter:g} mm")
    strength = 7e-4 * math.pow(density, 1.6) * math.pow(diameter, -0.34)
    return strength * math.pi * diameter * effective


def withdrawal_from_end_grain(from_side_grain: float) -> float:
    """Withdrawal of the same screw from end grain: 0.70 of side grain, N.

    Source: 0.75 Wood Handbook ch. 8, 0.70 Huebner 2013; the lower is used.
    """
    limits.need_not_negative(from_side_grain=from_side_grain)
    return END_GRAIN_SHARE * from_side_grain


def insert_pull_out(
    shear_strength: float,
    outer_diameter: float,
    length: float,
    share: float = INSERT_SHEAR_SHARE,
) -> float:
    """Pull-out of a screwed insert: share pi D L tau, N. Assumed: no source was found.

    Parameters: shear_strength tau of the wood along the grain [MPa], outer_diameter D, length L in
    the wood [mm], share of the cylinder that counts [-]. Raises ValueError unless 0 < share <= 1.
    """
    limits.need_positive(
        shear_strength=shear_strength, outer_diameter=outer_diameter, length=length
    )
    if not 0 < share <= 1:
        raise ValueError("the share of the cylinder lies between 0 and 1")
    return share * math.pi * outer_diameter * length * shear_strength


def washer_pressure(force: float, outer_diameter: float, hole_diameter: float) -> float:
    """Mean pressure under a washer: F / (pi/4 (D^2 - d^2)), MPa.

    Parameters: force [N], outer_diameter D of the washer, hole_diameter d, the larger of washer
    and wood [mm]. Raises ValueError unless D > d. A thin washer cups and presses more at the hole
    (common practice, no source: 3 mm or more on wood). Source: definition of pressure.
    """
    limits.need_not_negative(force=force, hole_diameter=hole_diameter)
    if not hole_diameter < outer_diameter < math.inf:
        raise ValueError(f"a washer of {outer_diameter:g} mm falls into a {hole_diameter:g} hole")
    return force / (math.pi / 4 * (outer_diameter**2 - hole_diameter**2))


def internal_thread_shear_area(
    major_diameter: float, pitch_diameter: float, pitch: float, engagement: float
) -> float:
    """Area at which a nut thread (in aluminium, wood ...) strips, mm2.

    pi n L D (1 / (2 n) + 0.57735 (D - E)) with n = 1 / pitch. Parameters: major_diameter D of the
    bolt, pitch_diameter E of the nut thread, pitch, engagement L [mm]; for sure values the least D
    and the greatest E. Source: FED-STD-H28/2B as in Machinery's Handbook.
    """
    limits.need_positive(pitch_diameter=pitch_diameter, pitch=pitch, engagement=engagement)
    if not pitch_diameter < major_diameter < math.inf:
        raise ValueError("a thread's major diameter exceeds its pitch diameter")
    tooth = pitch / 2 + TAPER_60 * (major_diameter - pitch_diameter)
    return math.pi * major_diameter * engagement * tooth / pitch


def external_thread_shear_area(
    pitch_diameter: float, minor_diameter: float, pitch: float, engagement: float
) -> float:
    """Area at which a bolt's thread strips: pi n L K (1 / (2 n) + 0.57735 (E - K)), mm2.

    Parameters: pitch_diameter E of the bolt, minor_diameter K of the nut, pitch, engagement L [mm].
    Source: FED-STD-H28/2B as in Machinery's Handbook.
    """
    limits.need_positive(minor_diameter=minor_diameter, pitch=pitch, engagement=engagement)
    if not minor_diameter < pitch_diameter < math.inf:
        raise ValueError("a thread's pitch diameter exceeds its minor diameter")
    tooth = pitch / 2 + TAPER_60 * (pitch_diameter - minor_diameter)
    return math.pi * minor_diameter * engagement * tooth / pitch


def stripping_load(shear_strength: float, shear_area: float) -> float:
    """Load at which a thread strips: tau A, N.

    Parameters: MPa, mm2. The first turns carry most of it, so keep a factor. Source: simple shear.
    """
    limits.need_positive(shear_strength=shear_strength, shear_area=shear_area)
    return shear_strength * shear_area


def slot_lip_shear(force: float, head_length: float, lip_thickness: float) -> float:
    """Shear in the two lips of a T-slot over a bolt's head: F / (2 l h), MPa. Assumed.

    Parameters: force [N], head_length l along the slot, lip_thickness h [mm]. The lip beyond the
    head helps and is not counted. Source: simple shear, no published check found.
    """
    limits.need_not_negative(force=force)
    limits.need_positive(head_length=head_length, lip_thickness=lip_thickness)
    return force / (2 * head_length * lip_thickness)


def slot_lip_bending(force: float, head_length: float, lip_thickness: float, arm: float) -> float:
    """Bending at the root of the two lips of a T-slot: 6 (F / 2) arm / (l h^2), MPa. Assumed.

    Parameters: force [N], head_length l along the slot, lip_thickness h, arm from the lip's root
    to the middle of the head's bearing [mm]. Source: cantilever of the head's length.
    """
    limits.need_not_negative(force=force, arm=arm)
    limits.need_positive(head_length=head_length, lip_thickness=lip_thickness)
    return 3 * force * arm / (head_length * lip_thickness**2)
