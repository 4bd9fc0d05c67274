"""The riser's parts, where they stand, what they touch, and how they go together."""

from __future__ import annotations

from collections.abc import Sequence

from jigs.kinds._common import drilled
from jigs.kinds._hardware import dowel_rod
from jigs.kinds._moving import off
from jigs.kinds.riser.sizing import dowel_from_middle
from jigs.model.kind import Placed
from jigs.model.move import Move
from jigs.model.number import Book
from jigs.model.outline import Outline
from jigs.model.part import Cut, Does, Face, Part, Sheet, Stack, Strip
from jigs.model.pose import Pose, Vec
from jigs.model.relief import BEYOND
from jigs.model.state import Contact, Role

UP: Vec = (0.0, 0.0, 1.0)
DOWN: Vec = (0.0, 0.0, -1.0)

_KEY_ALONG = Pose((0.0, 0.0, 0.0), ((0.0, 0.0, 1.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0)))
"""x -> z, y -> -y, z -> x: a key along x, its own x up."""


def all_parts(n: Book) -> Sequence[Part]:
    """The riser, its dowels, and a plate's key."""
    one = Sheet(n.sheet_material, n.sheet_name)
    made = one if n.layers == 1 else Stack(n.sheet_material, n.layers, n.sheet_name)
    low, high = n.riser_reach
    half = n.riser_width / 2
    riser = Part("riser", f"riser, {n.made}", made, Outline.rectangle(-half, low, half, high),
                 n.rise, _cuts(n), eased=1.0, marks=("RISER", "UP"))  # fmt: skip
    parts = [riser]
    if n.dowels:
        parts.append(dowel_rod(n.dowel_diameter, _dowel_length(n), "dowel"))
    if n.key_width:
        section = Outline.rectangle(
            0, -n.key_width / 2, n.key_groove + n.key_into_slot, n.key_width / 2
        )
        parts.append(Part("key", "key of the riser", Strip(n.key_wood), section,
                          n.riser_width))  # fmt: skip
    return parts


def all_poses(n: Book) -> Sequence[Placed]:
    """On the table, 1 mm off the fixed face; the same in all states."""
    table, x = -(n.length_nominal + n.rise), _middle(n)
    placed = [Placed("riser", "riser", Pose.to(x, 0, table))]
    placed += [
        Placed(f"dowel {i}", "dowel", Pose.to(x + u, v, table + _dowel_foot(n)))
        for i, (u, v) in enumerate(_dowels(n), 1)
    ]
    if n.key_width:
        low = Pose.to(x - n.riser_width / 2, n.key_y, table - n.key_into_slot)
        placed.append(Placed("key", "key", low @ _KEY_ALONG))
    return placed


def all_contacts(n: Book) -> Sequence[Contact]:
    """Piece on riser, riser on table; the key guides."""
    meant = [
        Contact("piece", "riser", Role.SEATS, note="weight and the thrust of the cut"),
        Contact("riser", "table", Role.SEATS, note="boxed in by the clamp"),
    ]
    if n.key_width:
        meant += [
            Contact("key", "table", Role.GUIDES, note="in the slot that the plate bridges"),
            Contact("key", "riser", Role.GLUED),
        ]
    return meant


def all_moves(n: Book) -> Sequence[Move]:
    """Glued up on its dowels; straight down onto the table."""
    unit = [p.name for p in all_poses(n)]
    reach = n.key_into_slot if n.key_width else 0.0
    down = "riser down on the wiped table; it must not rock; then the clamp over it"
    moves = [off("riser", unit, UP, n.rise + reach, down, when="at the machine")]
    for i in range(1, n.dowels + 1):
        moves.append(
            off(f"dowel {i}", [f"dowel {i}"], UP, n.rise,
                f"layers onto dowel {i}, glued, pressed on a flat bed", when="gluing")
        )  # fmt: skip
    if n.key_width:
        moves.append(
            off("key", ["key"], DOWN, n.key_groove + n.key_into_slot,
                "key glued into the riser's groove", when="gluing")
        )  # fmt: skip
    return moves


def _middle(n: Book) -> float:
    """Middle of the riser along x, 1 mm off the fixed face, mm."""
    return float(-n.width_nominal / 2 + 1 + n.riser_width / 2)


def _dowels(n: Book) -> list[tuple[float, float]]:
    """Middles of the dowels from the riser's along x, and along y from the piece's, mm."""
    if not n.dowels:
        return []
    u, v = dowel_from_middle(n.riser_width, n.riser_reach, n.dowel_diameter)
    middle = sum(n.riser_reach) / 2
    return [(-u, middle - v), (u, middle + v)]


def _dowel_foot(n: Book) -> float:
    """How far above the table a dowel begins: above the key's groove, if there is one, mm."""
    return float(n.key_groove + 2) if n.key_width else 0.0


def _dowel_length(n: Book) -> float:
    """Half a millimetre below the top, so that the piece never stands on end grain, mm."""
    return float(n.rise - _dowel_foot(n) - 0.5)


def _cuts(n: Book) -> tuple[Cut, ...]:
    """Holes for the dowels, and the groove for a plate's key, right across."""
    deep = n.rise - _dowel_foot(n) if n.key_width else None
    cuts = [
        drilled(f"dowel hole {i}", Face.TOP, u, v, n.dowel_diameter, deep, meets="dowel")
        for i, (u, v) in enumerate(_dowels(n), 1)
    ]
    if n.key_width:
        # Run out at both ends: the cutter's round corners stand outside the wood.
        end, half = n.riser_width / 2 + 2 * n.routed_corner + BEYOND, n.key_width / 2
        groove = Outline.rectangle(-end, n.key_y - half, end, n.key_y + half)
        cuts.append(Cut("key groove", Face.BOTTOM, groove, Does.GROOVE, n.key_groove, "key"))
    return tuple(cuts)
