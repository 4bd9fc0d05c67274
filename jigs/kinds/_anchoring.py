"""Where a jig on the table finds its hold-downs: slots, holes, or a board to screw into.

Positions are in the **turned frame**: the machine frame turned about its own origin as the jig is,
so that u runs along the jig's x and v along its y. An empty tuple of positions means: anywhere.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, groupby

from jigs import tables
from jigs.errors import DesignError

Positions = tuple[float, ...]

CLEAR_ENOUGH = 3.0
"""mm between a foot and the mouth of a slot; more is no better. Common practice, no source."""

_GRID = 0.5
"""mm: places for the piece are tried in steps of this."""

_FURTHEST = 150.0
"""mm from the middle between two anchors: further out the pattern of slots only comes again."""


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

    `slots` stand in order.
    A foot that spans a slot is judged by its edges: they must stand on metal.
    """
    if not slots or mouth <= 0:
        return math.inf
    near = [slots[i] for edge in (low, high) for i in _beside(edge, slots)]
    return min(abs(edge - s) - mouth / 2 for s in near for edge in (low, high))


def _beside(edge: float, slots: Positions) -> list[int]:
    """Where the slots next to an edge stand among all, which are in order."""
    at = bisect_left(slots, edge)
    return [i for i in (at - 1, at) if 0 <= i < len(slots)]


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
    found = [(a, b) for a, b in combinations(listed, 2) if b - a >= need - 1e-9]
    if not found:
        raise DesignError(
            "anchors",
            *_too_near(listed, need),
        )

    def short_of(pair: tuple[float, float]) -> tuple[float, float]:
        a, b = pair
        missed = max(a + least_first - centre, centre - b + least_second, 0.0)
        return (
            0.0 if asked is None else round(missed, 6),
            _hangs_over(a - beyond[0], b + beyond[1], table),
        )

    def placed(pair: tuple[float, float]) -> tuple[float, float]:
        a, b = pair
        return _place_between(a + least_first, b - least_second, foot, listed, mouth, asked)

    pair, place = _clearest(_least(found, short_of), placed, centre)
    return Pair(pair[0], place, pair[1])


Span = tuple[float, float]


def _least(pairs: list[Span], cost: Callable[[Span], tuple[float, float]]) -> list[Span]:
    """Those that cost the least."""
    costs = [cost(pair) for pair in pairs]
    least = min(costs)
    return [pair for pair, it_costs in zip(pairs, costs, strict=True) if it_costs == least]


def _clearest(
    pairs: list[Span], placed: Callable[[Span], tuple[float, float]], centre: float
) -> tuple[Span, float]:
    """The clearest pair and the piece's place in it; of those clear enough the nearest together.

    A long table has thousands of pairs: what stands further apart is not looked at once one is
    clear enough. Rounded, so that noise of the sums does not choose.
    """

    def width(pair: Span) -> float:
        return round(pair[1] - pair[0], 6)

    best: tuple[tuple[float, ...], Span, float] | None = None
    for wide, alike in groupby(sorted(pairs, key=width), key=width):
        for pair in alike:
            place, clear = placed(pair)
            worth = (round(min(clear, CLEAR_ENOUGH), 6), -wide, -round(abs(place - centre), 6))
            if best is None or worth > best[0]:
                best = (worth, pair, place)
        if best is not None and best[0][0] >= CLEAR_ENOUGH:
            break
    assert best is not None, "the caller has found a pair"
    return best[1], best[2]


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
    first = max(low, middle - _FURTHEST)
    steps = math.floor((min(high, middle + _FURTHEST) - first) / _GRID + 1e-9) if mouth > 0 else -1
    places = sorted(
        {middle, low, high, *(first + i * _GRID for i in range(steps + 1))},
        key=lambda p: (round(abs(p - middle), 6), p),
    )
    judged = [(p, clear_of_slots(p - foot / 2, p + foot / 2, slots, mouth)) for p in places]
    return max(judged, key=lambda pc: round(min(pc[1], CLEAR_ENOUGH), 6))


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

    def short_of(pair: Span) -> tuple[float, float]:
        missed = 0.0 if asked is None else round(abs(sum(pair) / 2 - centre), 6)
        return missed, _hangs_over(pair[0] - beyond, pair[1] + beyond, table)

    def placed(pair: Span) -> tuple[float, float]:
        middle = sum(pair) / 2
        return middle, clear_of_slots(middle - foot / 2, middle + foot / 2, listed, mouth)

    pair, middle = _clearest(_least(found, short_of), placed, centre)
    return Pair(pair[0], middle, pair[1])


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
