"""A round piece in a lined ring that is bored larger than the piece.

Symbols: R lined radius of the half, r radius of the piece, delta deepest compression at the seat,
g gap between the split faces when the bores coincide. All geometry is exact; lengths in mm, angles
in rad, measured at the **piece's** centre from the seat.
"""

from __future__ import annotations

import math
from collections.abc import Callable


def axis_offset(lined_radius: float, piece_radius: float, compression: float) -> float:
    """Distance from the bore's centre to the piece's axis, towards the seat, mm: e = R - r + delta.

    Source: derived; exact at the seat.
    """
    return lined_radius - piece_radius + compression


def touching_half_angle(lined_radius: float, piece_radius: float, compression: float) -> float:
    """Half the angle over which the piece touches the liner, before the lips cap it, rad.

    Where the two circles cross: cos psi = 1 - delta / e* with e = R - r + delta and
    e* = 2 e r / (2 R + delta) ... written as 2 asin(sqrt(delta / (2 e*))), since the acos loses
    digits. pi where the piece fills the liner all round. Source: derived (law of cosines in the
    triangle of the two centres and the crossing point).
    """
    if compression <= 0:
        return 0.0
    e = axis_offset(lined_radius, piece_radius, compression)
    if e <= 0:
        return math.pi
    reduced = 2 * e * piece_radius / (2 * lined_radius + compression)
    share = compression / (2 * reduced) if reduced > 0 else math.inf
    return math.pi if share >= 1 else 2 * math.asin(math.sqrt(share))


def lip_angle(lined_radius: float, gap: float) -> float:
    """Where the liner ends, seen from the bore's centre, from the seat: acos(g / (2 R)), rad.

    Source: derived; the liner is trimmed flush with the split face, g / 2 from the centre.
    """
    return math.acos(gap / (2 * lined_radius))


def lip_angle_at_piece(
    lined_radius: float, piece_radius: float, compression: float, gap: float
) -> float:
    """Where the piece's surface leaves the liner's lip, seen from the piece's centre, rad.

    rho = e cos alpha + sqrt(r^2 - e^2 sin^2 alpha) is the distance from the bore's centre to the
    piece's surface in the lip's direction. Source: derived.
    """
    e = axis_offset(lined_radius, piece_radius, compression)
    alpha = lip_angle(lined_radius, gap)
    under = piece_radius**2 - (e * math.sin(alpha)) ** 2
    if under < 0:
        return math.pi
    rho = e * math.cos(alpha) + math.sqrt(under)
    return math.atan2(rho * math.sin(alpha), rho * math.cos(alpha) - e)


def contact_half_angle(
    lined_radius: float, piece_radius: float, compression: float, gap: float
) -> float:
    """Half the angle of real contact, rad: the crossing of the circles, capped by the lips."""
    return min(
        touching_half_angle(lined_radius, piece_radius, compression),
        lip_angle_at_piece(lined_radius, piece_radius, compression, gap),
    )


def strip_length(bore_radius: float, liner: float, gap: float) -> float:
    """Length of lining for one half, along its middle, mm: 2 (R_b - t/2) acos(g / (2 (R_b - t/2))).

    Source: derived; the neutral line of a thin strip is its middle.
    """
    middle = bore_radius - liner / 2
    return 2 * middle * math.acos(gap / (2 * middle))


def split_over_linings(
    bore_radius: float, clearance: float, gap: float, thinnest: float, thickest: float,
    least_angle: float, squeeze: Callable[[float], float], step: float,
) -> tuple[tuple[float, float, float], ...]:  # fmt: skip
    """Fewest groups of a batch, each with a lining of its own in one bore: (from, to, lining), mm.

    The thickest piece of each group keeps the clearance on radius, R_b - t - D / 2 >= c, and its
    thinnest touches over the least angle each side. From the thickest down, each group reaches as
    far as it can: fewest groups, while the lips do not cap the contact. Parameters: bore_radius
    R_b, clearance c, gap g, diameters thinnest and thickest of the batch [mm], least_angle [rad],
    squeeze = compression [mm] that a lining of a thickness is given, step to which a lining is
    rounded down [mm]. Returns the thinnest pieces first; empty where a lining does not touch over
    that angle even on one diameter. Source: derived from `contact_half_angle`; greedy cover of an
    interval.
    """

    def touches(diameter: float, liner: float) -> bool:
        place = (bore_radius - liner, diameter / 2, squeeze(liner), gap)
        return contact_half_angle(*place) >= least_angle

    groups: list[tuple[float, float, float]] = []
    top = thickest
    while True:
        liner = math.floor((bore_radius - clearance - top / 2) / step + 1e-9) * step
        if not touches(top, liner):
            return ()
        if touches(thinnest, liner):
            return ((thinnest, top, liner), *reversed(groups))
        low, high = thinnest, top
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (low, middle) if touches(middle, liner) else (middle, high)
        if top - high < step:
            return ()
        groups.append((high, top, liner))
        top = high
