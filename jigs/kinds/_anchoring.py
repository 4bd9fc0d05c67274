"""Where a jig on the table finds its hold-downs: slots, holes, or a board to screw into.

Positions are in the **turned frame**: the machine frame turned about its own origin as the jig is,
so that u runs along the jig's x and v along its y. An empty tuple of positions means: anywhere.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from jigs import tables
from jigs.errors import DesignError

Positions = tuple[float, ...]

CLEAR_ENOUGH = 3.0
"""mm between a foot and the mouth of a slot; more is no better. Common practice, no source."""

_GRID = 0.5
"""mm: places for the piece are tried in steps of this."""


def turned_positions(
    slots_along: str, slots_at: Positions, columns: Positions, rows: Positions, turn: int
) -> tuple[Positions, Positions]:
    """Anchors along u and along v, each sorted; empty = anywhere.

    Slots along y are listed in x and free in y; a hole grid is listed in both.
    """
    x = slots_at if slots_along == "y" else columns
    y = slots_at if slots_along == "x" else rows
    return _along(x, y, turn), _across(x, y, turn)


def turned_extent(width: float, depth: float, turn: int) -> tuple[float, float, float, float]:
    """(u least, u most, v least, v most) of the table, mm."""
    x, y = (0.0, width), (0.0, depth)
    u, v = _along(x, y, turn), _across(x, y, turn)
    return (u[0], u[1], v[0], v[1])


def asked_place(x: Positions, y: Positions, turn: int) -> tuple[Positions, Positions]:
    """Where the user wants the piece, in the turned frame; empty where nothing is asked."""
    return _along(x, y, turn), _across(x, y, turn)


def machine_place(u: float, v: float, turn: int) -> tuple[float, float]:
    """A place of the turned frame in the machine frame, mm."""
    return {0: (u, v), 90: (-v, u), 180: (-u, -v), 270: (v, -u)}[turn % 360]


def _along(x: Positions, y: Positions, turn: int) -> Positions:
    """What is listed in the machine's x and y, seen along the jig's x."""
    return {0: x, 90: y, 180: _negative(x), 270: _negative(y)}[turn % 360]


def _across(x: Positions, y: Positions, turn: int) -> Positions:
    """What is listed in the machine's x and y, seen along the jig's y."""
    return {0: y, 90: _negative(x), 180: _negative(y), 270: x}[turn % 360]


def _negative(positions: Positions) -> Positions:
    return tuple(sorted(-p for p in positions))


def clear_of_slots(low: float, high: float, slots: Positions, mouth: float) -> float:
    """Least distance between a foot from low to high and any slot's mouth, mm; negative = over one.

    A foot that spans a slot is judged by its edges: they must stand on metal.
    """
    if not slots or mouth <= 0:
        return math.inf
    return min(abs(edge - s) - mouth / 2 for s in slots for edge in (low, high))


@dataclass(frozen=True, slots=True)
class Pair:
    """Two anchors and the middle of the piece between them, mm, in the turned frame."""

    first: float
    middle: float
    second: float


@lru_cache(maxsize=64)
def two_sided(
    listed: Positions, least_first: float, least_second: float, foot: float, mouth: float,
    table: tuple[float, float], asked: float | None = None,
    beyond: tuple[float, float] = (0.0, 0.0),
) -> Pair:  # fmt: skip
    """Anchors before and behind a piece, at least so far from its middle; nearest together wins.

    Parameters: asked = where the user wants the piece's middle, kept where anchors allow it;
    beyond = how far the jig reaches beyond its anchors, which the table should bear. Anywhere:
    both at their least distance, the piece as asked or in the table's middle.
    Raises DesignError naming the distance that is needed and the greatest there is.
    """
    centre = sum(table) / 2 if asked is None else asked
    if not listed:
        return Pair(centre - least_first, centre, centre + least_second)
    need = least_first + least_second
    found = [
        (a, b, _place_between(a + least_first, b - least_second, foot, listed, mouth, asked))
        for a, b in combinations(listed, 2)
        if b - a >= need - 1e-9
    ]
    if not found:
        raise DesignError(
            "anchors",
            *_too_near(listed, need),
        )

    def worth(option: tuple[float, float, tuple[float, float]]) -> tuple[float, ...]:
        a, b, (place, clear) = option
        off = abs(place - centre)
        missed = 0.0 if asked is None else round(off, 6)
        hangs = _hangs_over(a - beyond[0], b + beyond[1], table)
        return (-missed, -hangs, min(clear, CLEAR_ENOUGH), -round(b - a, 6), -off)

    a, b, (place, _) = max(found, key=worth)
    return Pair(a, place, b)


def _too_near(listed: Positions, need: float) -> tuple[str, str]:
    """What to say where no two anchors stand far enough apart: reason and remedy."""
    apart, there = math.ceil(2 * need - 1e-9) / 2, max(listed) - min(listed)
    return (
        f"two anchors {apart:g} mm or more apart are needed, the furthest are {there:g} mm apart",
        f"slots or holes {apart:g} mm apart, or the jig turned (fixed_side)",
    )


def _hangs_over(low: float, high: float, table: tuple[float, float]) -> float:
    """How far a stretch reaches beyond the table's edges, mm."""
    return round(max(0.0, table[0] - low) + max(0.0, high - table[1]), 6)


def _place_between(
    low: float, high: float, foot: float, slots: Positions, mouth: float, asked: float | None
) -> tuple[float, float]:
    """The place from low to high where the foot stands clearest of slots: (place, clearance)."""
    if asked is not None:
        place = min(max(asked, low), high)
        return place, clear_of_slots(place - foot / 2, place + foot / 2, slots, mouth)
    middle = (low + high) / 2
    steps = max(0, math.floor((high - low) / _GRID + 1e-9)) if mouth > 0 else 0
    places = sorted(
        {middle, low, high, *(low + i * _GRID for i in range(steps + 1))},
        key=lambda p: (abs(p - middle), p),
    )
    judged = [(p, clear_of_slots(p - foot / 2, p + foot / 2, slots, mouth)) for p in places]
    return max(judged, key=lambda pc: min(pc[1], CLEAR_ENOUGH))


@lru_cache(maxsize=64)
def side_by_side(
    listed: Positions, least: float, foot: float, mouth: float, table: tuple[float, float],
    asked: float | None = None, beyond: float = 0.0,
) -> Pair:  # fmt: skip
    """Two anchors at least so far apart with the piece midway, clear of slots.

    Parameters: asked = where the user wants the middle; beyond = how far the jig reaches beyond
    each anchor, which the table should bear. Anywhere: at that distance, as asked or in the
    table's middle.
    Raises DesignError naming the distance that is needed and the greatest there is.
    """
    centre = sum(table) / 2 if asked is None else asked
    if not listed:
        return Pair(centre - least / 2, centre, centre + least / 2)
    found = [(a, b) for a, b in combinations(listed, 2) if b - a >= least - 1e-9]
    if not found:
        raise DesignError(
            "anchors",
            *_too_near(listed, least),
        )

    def worth(pair: tuple[float, float]) -> tuple[float, ...]:
        middle = (pair[0] + pair[1]) / 2
        clear = clear_of_slots(middle - foot / 2, middle + foot / 2, listed, mouth)
        off = abs(middle - centre)
        missed = 0.0 if asked is None else round(off, 6)
        hangs = _hangs_over(pair[0] - beyond, pair[1] + beyond, table)
        return (-missed, -hangs, min(clear, CLEAR_ENOUGH), -round(pair[1] - pair[0], 6), -off)

    a, b = max(found, key=worth)
    return Pair(a, (a + b) / 2, b)


@dataclass(frozen=True, slots=True)
class SlotHold:
    """What holds in a T-slot: a T-slot bolt, or a T-slot nut with a piece of rod."""

    by: str
    throat: float
    size: str
    head_width: float
    head_height: float


@dataclass(frozen=True, slots=True)
class Slot:
    """A T-slot as measured, mm."""

    mouth: float
    lip: float
    wide: float
    room: float

    def takes(self, throat: float, wide: float, wide_least: float, high: float) -> bool:
        """Does a head or foot go in, and bear on the lip at both sides?"""
        goes_in = throat <= self.mouth + 1e-9 and wide < self.wide and high < self.room
        return goes_in and wide_least >= self.mouth + 2 * LIP_BEARING


LIP_BEARING = 1.5
"""mm that a head or a nut bears on the lip at each side. Common practice, no source."""


def slot_hold(hardware: str, slot: Slot, bolts: Collection[str], nuts: Collection[str]) -> SlotHold:
    """The largest T-slot bolt, else nut, that goes into a slot as measured.

    Parameters: bolts, nuts = threads that may be chosen. Raises DesignError with what the slot
    would need. Sources: ASME B5.1M, DIN 508.
    """
    sold = tables.sold_sizes("T-slot bolt")
    for bolt in reversed(tables.t_slot_bolts("metric" if hardware == "metric" else "inch")):
        fits = slot.takes(bolt.throat_width, bolt.head_width, bolt.head_width_min, bolt.head_height)
        if fits and bolt.thread in bolts and bolt.thread in sold:
            return SlotHold("T-slot bolt", bolt.throat_width, bolt.thread, bolt.head_width,
                            bolt.head_height)  # fmt: skip
    rows = [row for row in tables.rows_of("T-slot nuts") if isinstance(row, tables.TSlotNut)]
    for nut in sorted(rows, key=lambda row: -row.throat_width):
        fits = slot.takes(nut.throat_width, nut.foot_width, nut.foot_width, nut.foot_height)
        if fits and nut.thread in nuts and nut.height - nut.foot_height <= slot.lip:
            return SlotHold("T-slot nut", nut.throat_width, nut.thread, nut.foot_width,
                            nut.foot_height)  # fmt: skip
    raise DesignError(
        "anchors",
        f"neither a T-slot bolt nor a T-slot nut goes into a slot {slot.mouth:g} wide with a lip "
        f"of {slot.lip:g}, {slot.wide:g} by {slot.room:g} below, and bears on its lip",
        "measure mouth, lip, wide and room again; as a rule slots of 8 mm or more take T-slot "
        "bolts, of 5 mm or more T-slot nuts (DIN 508)",
    )
