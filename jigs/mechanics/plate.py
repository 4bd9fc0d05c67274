"""Faces, ribs, fences and gauge arms as beams and plates of even section.

Unsourced: that a face bends as a beam over the ribs (derived, and compared with thin plates in the
tests); two factors of `height_that_bends` (our own finite elements); shear of the glue lines by a
stiff joint (the usual eccentric-joint method), the couple taken by glue alone: an upper figure.
"""

from __future__ import annotations

import math

POINT_LOAD_SPREAD = 0.98
"""Half the height, in arms, over which a force at a wide plate's edge bends its root evenly:
1 / (2 x 0.509), 0.509 F being the root moment of an endless cantilever plate under a force on its
free edge (Jaramillo; Roark's beams of relatively great width), from memory, met by the tests."""


def section_modulus(width: float, thickness: float) -> float:
    """Section modulus of a rectangle, mm3: W = b t^2 / 6.

    Parameters: width, thickness (in the plane of bending) [mm]. Limits: both above 0. For a face
    at its dado: thickness less the dado, the tongue not counted. Two sheets glued face to face
    count as one thickness. Source: Roark, Table of section properties.
    """
    _positive(width, "width")
    _positive(thickness, "thickness left")
    return width * thickness**2 / 6


def second_moment(width: float, thickness: float) -> float:
    """Second moment of area of a rectangle, mm4: I = b t^3 / 12.

    Parameters and source: as `section_modulus`.
    """
    _positive(width, "width")
    _positive(thickness, "thickness left")
    return width * thickness**3 / 12


def arched_section(
    width: float, depth: float, arch_width: float, arch_radius: float
) -> tuple[float, float]:
    """Second moment, mm4, and least section modulus, mm3, of a bar with an arched underside.

    Rectangle less a circular segment of half angle phi, each about the common centroid:
    A = R^2 (phi - sin phi cos phi), I about the circle's centre R^4 / 4 (phi - sin phi cos phi +
    2 sin^3 phi cos phi). Parameters: width, depth over the flats, arch_width (chord), arch_radius
    [mm]. Limits: the arch fits the bar. Source: Roark, Table of section properties (segment).
    """
    _positive(arch_radius, "arch radius")
    if not 0 < arch_width <= min(width, 2 * arch_radius):
        raise ValueError(f"an arch {arch_width:g} mm wide needs a wider bar or a larger radius")
    phi = math.asin(arch_width / (2 * arch_radius))
    below = arch_radius * math.cos(phi)
    if not arch_radius - below < depth:
        raise ValueError(f"an arch {arch_radius - below:g} mm deep cuts through {depth:g} mm")
    part = phi - math.sin(phi) * math.cos(phi)
    hollow = arch_radius**2 * part
    rise = 2 * arch_radius * math.sin(phi) ** 3 / (3 * part)
    about_centre = arch_radius**4 / 4 * (part + 2 * math.sin(phi) ** 3 * math.cos(phi))
    about_flats = about_centre - hollow * rise**2 + hollow * (rise - below) ** 2
    area = width * depth - hollow
    centroid = (width * depth**2 / 2 - hollow * (rise - below)) / area
    moment = width * depth**3 / 3 - about_flats - area * centroid**2
    return moment, moment / max(centroid, depth - centroid)


def loose_sheets_modulus(width: float, thickness: float, sheets: int) -> float:
    """Section modulus of equal sheets that lie on each other unglued, mm3: W = n b t^2 / 6.

    Each takes its share; glued they count n^2. Parameters: width, thickness of one [mm], sheets.
    Source: beams in parallel, derived.
    """
    if sheets < 1:
        raise ValueError(f"{sheets} sheets carry nothing; 1 or more")
    return sheets * section_modulus(width, thickness)


def bending_stress(moment: float, modulus: float) -> float:
    """sigma = M / W, MPa. Parameters: moment [N·mm], section modulus [mm3]. Source: Euler."""
    _positive(modulus, "section modulus")
    return _number(abs(moment) / modulus)


def face_moment_at(force: float, bolt_y: float, rib_y: float) -> float:
    """Moment in a face beside a rib, N·mm: M = F (y_bolt - y_rib).

    The pull of one drawbolt at its arm beyond the rib; the piece's pressure outside that rib,
    which would ease it, is not counted. Parameters: force of one drawbolt, tight end [N];
    distances from the piece's middle [mm]. Limits: y_bolt > y_rib. Source: derived (statics).
    """
    if not bolt_y > rib_y:
        raise ValueError(f"drawbolt at {bolt_y:g} mm is not beyond the rib at {rib_y:g} mm")
    return _number(force * (bolt_y - rib_y))


def face_moment_in_middle(force: float, bolt_y: float, contact_half: float) -> float:
    """Moment in a face behind the middle of the piece, N·mm: M = F (y_bolt - c / 2).

    Parameters: force of one drawbolt [N], bolt_y [mm], contact_half c: half of what the piece
    touches evenly along the face [mm]; 0 for a crowned piece, the safe side.
    Limits: 0 <= c < y_bolt. Source: derived (statics).
    """
    if not 0 <= contact_half < bolt_y:
        raise ValueError(
            f"contact to {contact_half:g} mm each side must end before the drawbolt at {bolt_y:g}"
        )
    return _number(force * (bolt_y - contact_half / 2))


def height_that_bends(
    arm: float, above: float, below: float, across_to_along: float = 1.0
) -> float:
    """Height of a face that one drawbolt bends as if evenly, mm; never more than the face's.

    A force at one height does not bend all of a tall face. k = 0.98 arm (D_z / D_y)^(1/4),
    s(x) = k tanh(x / k); s(near) + min(s(far), s(near) + 0.15 k), near and far: from the drawbolt
    to the face's nearer and farther edge. Parameters: arm y_bolt - y_rib, above, below [mm];
    across_to_along: bending stiffness upright over that along the face (MDF: 1). Limits: the
    face goes on beyond the drawbolt by a quarter of the arm. Source: k from POINT_LOAD_SPREAD,
    the fourth root by scaling of an orthotropic plate; tanh and 0.15 are ours, on the safe side
    of the thin plates in the tests.
    """
    _positive(arm, "arm")
    _positive(across_to_along, "ratio of stiffness")
    _positive(above, "face above the drawbolt")
    _positive(below, "face below the drawbolt")
    near, far = sorted((above, below))
    reach = POINT_LOAD_SPREAD * arm * math.pow(across_to_along, 0.25)
    near, far = (reach * math.tanh(side / reach) for side in (near, far))
    return near + min(far, near + 0.15 * reach)


def drawbolt_force_limit(strength: float, modulus: float, bolt_y: float, rib_y: float) -> float:
    """Greatest force of one drawbolt that its face takes, N: F = sigma W / (y_bolt - y_rib).

    Parameters: strength allowed [MPa], W at the dado [mm3], distances [mm]. Limits: y_bolt >
    y_rib. Source: derived from `face_moment_at`.
    """
    return _number(strength * modulus / face_moment_at(1.0, bolt_y, rib_y))


def rib_bending(force: float, lever: float, thickness: float, depth: float, ribs: int) -> float:
    """Bending stress at the foot of the ribs behind a face, MPa: 6 F z / (n t d^2).

    Parameters: push on the face [N], its height over the section [mm], thickness and depth of one
    rib there, notch deducted [mm], ribs sharing it evenly. The face is not counted.
    Source: cantilever, Machinery's Handbook, Beams.
    """
    if ribs < 1:
        raise ValueError(f"{ribs} ribs hold no face up; 1 or more")
    return bending_stress(force * lever, ribs * section_modulus(thickness, depth))


def glue_shear(force: float, lever: float, length: float, dado: float, tongues: int) -> float:
    """Greatest shear in the glue of tongues housed in dados, MPa.

    Two cheeks of L by d each: A = 2 n L d, J = A (L^2 + d^2) / 12, about their middle;
    hypot(F / A + M d / (2 J), M L / (2 J)) with M = F z. Parameters: force along the dado [N], its
    height z over the middle of the cheeks [mm], length, dado depth [mm], tongues. Screws and
    bearing on the dado's floor are not counted. Source: eccentric joints in shear, Shigley 9th
    ed., 8-12 and 9-3 (primary and secondary shear of a stiff joint).
    """
    _positive(length, "length of the dado")
    _positive(dado, "depth of the dado")
    if tongues < 1:
        raise ValueError(f"{tongues} tongues carry nothing; 1 or more")
    area = 2 * tongues * length * dado
    polar = area * (length**2 + dado**2) / 12
    couple = abs(force * lever) / (2 * polar)
    return _number(math.hypot(abs(force) / area + couple * dado, couple * length))


def glue_shear_about_heel(moment: float, length: float, dado: float, tongues: int) -> float:
    """Greatest shear in the glue of tongues that a moment turns about one end of their dados, MPa.

    The end that is pressed on the dado's floor is the pivot: M r / J with J = 2 n L d (L^2 / 3 +
    d^2 / 12) of both cheeks about it and r = hypot(L, d / 2) to the furthest corner. Parameters:
    moment [N·mm], length, dado depth [mm], tongues. Limits: a floor that bears; screws are not
    counted. Source: as `glue_shear`, the centre of turning moved to the pivot.
    """
    _positive(length, "length of the dado")
    _positive(dado, "depth of the dado")
    if tongues < 1:
        raise ValueError(f"{tongues} tongues carry nothing; 1 or more")
    polar = 2 * tongues * length * dado * (length**2 / 3 + dado**2 / 12)
    return _number(abs(moment) * math.hypot(length, dado / 2) / polar)


def rib_shear(force: float, thickness: float, depth: float, ribs: int) -> float:
    """Greatest shear stress in the ribs, MPa: 3 F / (2 n t d).

    Parameters: push on the face [N], thickness, depth [mm], ribs. Source: rectangle in
    transverse shear, Shigley 9th ed., Table 3-2.
    """
    if ribs < 1:
        raise ValueError(f"{ribs} ribs hold no face up; 1 or more")
    _positive(thickness, "thickness")
    _positive(depth, "depth")
    return _number(1.5 * abs(force) / (ribs * thickness * depth))


def cantilever_stress(force: float, length: float, modulus: float) -> float:
    """Bending stress at the root of an arm pushed at its tip, MPa: sigma = P L / W.

    Parameters: force [N], length [mm], section modulus at the root [mm3]. Source: Machinery's
    Handbook, Beams.
    """
    return bending_stress(force * length, modulus)


def cantilever_deflection(force: float, length: float, young: float, moment: float) -> float:
    """Deflection at the tip of an arm that is built in at its root, mm: P L^3 / (3 E I).

    Parameters: force [N], length [mm], young [MPa], second moment [mm4]. Limits: a slender arm;
    shear is left out (see `stiffness.cantilever`). Source: Machinery's Handbook, Beams.
    """
    _positive(young, "Young's modulus")
    _positive(moment, "second moment")
    return _number(force * length**3 / (3 * young * moment))


def overhang_deflection(
    force: float, overhang: float, back: float, young: float, moment: float
) -> float:
    """Deflection at the tip of an arm over an edge, held at its back, mm: P a^2 (a + l) / (3 E I).

    A gauge's arm, or a fence above its upper bolt. Parameters: force [N], overhang a and span l
    back to the hold-down [mm], young [MPa], second moment [mm4]. Limits: l >= 0, slender.
    Source: beam overhanging one support, Machinery's Handbook, Beams.
    """
    if not back >= 0:
        raise ValueError(f"span back to the hold-down of {back:g} mm; 0 or more")
    _positive(young, "Young's modulus")
    _positive(moment, "second moment")
    return _number(force * overhang**2 * (overhang + back) / (3 * young * moment))


def fence_reactions(force: float, at: float, lower: float, upper: float) -> tuple[float, float]:
    """What a fence's lower and upper bolt carry of a side force, N; against the force is positive.

    R_upper = F (z - z_lower) / (z_upper - z_lower), R_lower = F - R_upper. Parameters: force [N],
    heights [mm]. Limits: z_upper > z_lower; one bolt pivots. Source: statics.
    """
    if not upper > lower:
        raise ValueError(f"bolts at {lower:g} and {upper:g} mm: one above the other, or it pivots")
    high = _number(force * (at - lower) / (upper - lower))
    return force - high, high


def fence_moment(force: float, at: float, lower: float, upper: float) -> float:
    """Greatest moment in a fence under a side force, N·mm.

    F (z - z_upper) above the bolts, F (z_lower - z) below, F a b / l between them. Parameters and
    limits: as `fence_reactions`. Source: statics; Machinery's Handbook, Beams.
    """
    _, high = fence_reactions(force, at, lower, upper)
    if at >= upper:
        return abs(force * (at - upper))
    if at <= lower:
        return abs(force * (lower - at))
    return abs(high * (upper - at))


def _number(value: float) -> float:
    if math.isnan(value):
        raise ValueError("a force, length or strength given is not a number")
    return value


def _positive(value: float, name: str) -> None:
    if not value > 0:
        raise ValueError(f"{name} must be above 0, not {value:g}")
