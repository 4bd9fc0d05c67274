"""Shape of the clamp's ribs, and where the screws go that hold them to base and face."""

from __future__ import annotations

from jigs.model.number import Book

SCREW_EDGE = 10.0
"""mm from a screw to the end of the wood that it bites, and half of that to the next. Common
practice, no source."""

RIB_TOP = 25.0
RIB_TOE = 15.0
"""mm: length of a rib's upper edge, height of its toe. Common practice, no source."""


def rib_screws(n: Book) -> list[tuple[str, str, float]]:
    """(name, of base or face, place along base or up the face) of the screws in each rib, mm."""
    under_dado = n.sheet_nominal - n.dado_depth
    length, tall = rib_length(n), n.rib_height - under_dado
    # The lower one passes over those from the base; the upper one needs wood of the rib above it.
    lower = max(0.3 * tall, n.screw_length - under_dado + 8)
    upper = min(0.8 * tall, tall - SCREW_EDGE)
    return [
        ("base inner", "base", 0.35 * length), ("base outer", "base", 0.8 * length),
        ("face lower", "face", lower),
        *([("face upper", "face", upper)] if upper - lower >= 2 * SCREW_EDGE else []),
    ]  # fmt: skip


def rib_length(n: Book) -> float:
    """Length of a rib's foot, from the floor of the face's dado, mm."""
    return float(n.dado_depth + n.rib_depth)


def rib_depth_at(n: Book, height: float) -> float:
    """How far a rib reaches behind the floor of the face's dado at a height over the table, mm."""
    foot = n.sheet_nominal - n.dado_depth
    long, tall = rib_length(n), n.rib_height - foot
    toe, top = RIB_TOE + n.dado_depth, min(RIB_TOP, long / 2)
    share = min(max((height - foot - toe) / (tall - toe), 0.0), 1.0)
    return float(long + share * (top - long))
