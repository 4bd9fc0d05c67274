"""Rectangles packed into as few equal rooms as a packing library finds. Knows no parts.

The library packs quickly and the same on every run, so several of its packers and orders are tried
and the best is kept.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import astuple, dataclass
from itertools import product
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # a check by numbers packs nothing and needs no store
    from jigs.kept import Kept

STEPS_PER_MM = 1000
"""Packed in whole thousandths of a mm, so that no processor rounds otherwise."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, mm, and the ways in which it may lie: as it is (False), a quarter turned."""

    along: float
    across: float
    ways: tuple[bool, ...] = (False, True)

    def size(self, turned: bool) -> tuple[float, float]:
        """Along the room and across it, mm."""
        return (self.across, self.along) if turned else (self.along, self.across)


@dataclass(frozen=True, slots=True)
class Packed:
    """Box number `index` of those given: its lower left corner in its room, mm."""

    index: int
    turned: bool
    x: float
    y: float


Room = tuple[float, float]
"""Length and width, mm."""


def fitting_ways(box: Box, room: Room, gap: float) -> tuple[bool, ...]:
    """The ways in which a box goes into an empty room."""
    most = [_down(side + gap) for side in room]
    return tuple(
        turned
        for turned in box.ways
        if all(_up(side + gap) <= m for side, m in zip(box.size(turned), most, strict=True))
    )


def pack(boxes: Sequence[Box], room: Room, gap: float) -> list[list[Packed]]:
    """Pack boxes that all fit, with at least `gap` mm between any two; one list a room.

    Of all that is tried: fewest rooms, then the longest rest in the last one, then the first tried.
    """
    if not boxes:
        return []
    import rectpack  # only a build needs it

    # A library that turns what must not be turned is not asked to turn at all.
    free = all(len(fitting_ways(box, room, gap)) == len(box.ways) == 2 for box in boxes)
    turns = ("free", "lying", "upright") if free else ("lying", "upright")
    packers = (rectpack.MaxRectsBl, rectpack.MaxRectsBssf, rectpack.MaxRectsBaf)
    orders = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE)
    attempts = [_pack(boxes, room, gap, *how) for how in product(turns, packers, orders)]
    whole = [rooms for rooms in attempts if sum(map(len, rooms)) == len(boxes)]
    return min(whole, key=lambda rooms: (len(rooms), _reach(boxes, rooms[-1])))


def kept_packing(kept: Kept, boxes: Sequence[Box], room: Room, gap: float) -> list[list[Packed]]:
    """What `pack` finds, looked up where the same was packed before."""
    found = kept.answer(
        "packing", (tuple(boxes), room, gap),
        lambda: [[astuple(place) for place in full] for full in pack(boxes, room, gap)],
    )  # fmt: skip
    return [[Packed(*place) for place in full] for full in found]


def _pack(
    boxes: Sequence[Box], room: Room, gap: float, turn: str, algorithm: Any, order: Any
) -> list[list[Packed]]:
    """One packing.

    The room stands upright, its short side along the packer's x, so that bottom-left packing fills
    it from its left end and the rest is one piece.
    """
    import rectpack

    packer = rectpack.newPacker(
        bin_algo=rectpack.PackingBin.BFF, pack_algo=algorithm, sort_algo=order,
        rotation=turn == "free",
    )  # fmt: skip
    starts = [_start(box, room, gap, turn) for box in boxes]
    sizes = []
    for i, (box, turned) in enumerate(zip(boxes, starts, strict=True)):
        along, across = box.size(turned)
        sizes.append((_up(across + gap), _up(along + gap)))
        packer.add_rect(*sizes[i], rid=i)
    packer.add_bin(_down(room[1] + gap), _down(room[0] + gap), count=len(boxes))
    packer.pack()
    rooms: dict[int, list[Packed]] = {}
    for number, across, along, wide, tall, i in sorted(packer.rect_list()):
        turned = starts[i] if sizes[i] == (wide, tall) else not starts[i]
        place = Packed(i, turned, along / STEPS_PER_MM, across / STEPS_PER_MM)
        rooms.setdefault(number, []).append(place)
    return [rooms[number] for number in sorted(rooms)]


def _start(box: Box, room: Room, gap: float, turn: str) -> bool:
    """Is the box turned before it is packed? Lying = its longer side along the room."""
    ways = fitting_ways(box, room, gap)
    wanted = box.along > box.across if turn == "upright" else box.along < box.across
    return wanted if wanted in ways else ways[0]


def _reach(boxes: Sequence[Box], packed: Sequence[Packed]) -> float:
    """How far a room is used along its length, mm."""
    return max(p.x + boxes[p.index].size(p.turned)[0] for p in packed)


def _up(mm: float) -> int:
    return math.ceil(mm * STEPS_PER_MM - 1e-6)


def _down(mm: float) -> int:
    return math.floor(mm * STEPS_PER_MM + 1e-6)
