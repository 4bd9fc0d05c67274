"""Studs in the front face: what they hold on to, where the face lets them stand.

Slots along x give the rows, a grid of threaded holes rows and columns, a board anything.
"""

from __future__ import annotations

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._anchoring import Slot, SlotHold, slot_hold
from jigs.kinds._hardware import Shelf, length_for, sizes_on
from jigs.kinds._knob import Knob

Positions = tuple[float, ...]

KNOBBED = ("M10", "M8", "M6", "M5", "3/8", "5/16", "1/4")
"""Threads for which there are knobs that a hand can turn tight. Common practice, no source."""

THREADED = "threaded hole"
INSERT = "insert"
NUT = "T-slot nut"
BOLT = "T-slot bolt"

EDGE = 15.0
"""mm from a fastening's middle to the nearest edge of board or face. Common practice, no source."""


def can_be_had(shelf: Shelf, family: str, size: str, at_least: float) -> bool:
    """Is there one of that family and size, at least that long, mm?"""
    try:
        length_for(shelf, family, size, at_least)
    except DesignError:
        return False
    return True


def beyond(size: str, knob_made: str) -> float:
    """What a stud needs beyond the part that its knob presses, mm: washer, knob, two threads."""
    thick = tables.washer(size, "large").thickness
    return thick + Knob(size, knob_made).height + 2 * tables.thread(size).pitch


def hold_in_slot(
    hardware: str, shelf: Shelf, profile: Positions, reach: float, knob_made: str
) -> SlotHold:
    """The T-slot bolt, else the T-slot nut with rod, whose studs come long enough.

    Parameters: profile = mouth, lip, wide, room of the slot; reach = from the face to where the
    knob's washer lies, mm. Raises DesignError where nothing goes in.
    """
    lip = profile[1]
    bolts = [s for s in sizes_on(shelf, BOLT, KNOBBED)
             if can_be_had(shelf, BOLT, s, lip + reach + beyond(s, knob_made))]  # fmt: skip
    rods = [
        s for s in sizes_on(shelf, "threaded rod", KNOBBED)
        if can_be_had(shelf, "threaded rod", s, lip + 10 + reach + beyond(s, knob_made))
    ]  # fmt: skip
    return slot_hold(hardware, Slot(*profile), bolts, rods)


def insert_size(hardware: str, depth: float) -> str:
    """The largest insert that a board of that depth takes, up to M8 or 5/16."""
    sizes = ("M8", "M6", "M5") if hardware == "metric" else ("5/16", "1/4")
    fitting = [s for s in sizes if tables.wood_insert(s).length <= depth + 1e-9]
    if not fitting:
        least = tables.wood_insert(sizes[-1]).length
        raise DesignError("stud_size", f"no insert goes into a board {depth:g} mm deep",
                          f"a front face of {least:g} mm or more, for {sizes[-1]}")  # fmt: skip
    return fitting[0]


def upright_slots_refused(along: str) -> None:
    """Raise DesignError for slots that stand upright."""
    if along == "y":
        raise DesignError(
            "stud_z", "the slots of the front face stand upright",
            "a front face with slots along x, with threaded holes, or a board",
        )  # fmt: skip


def pair_of_columns(columns: Positions, apart: float, about: float, fixed: bool) -> Positions:
    """Two columns of holes at least so far apart: the nearest together, then nearest to a place.

    Parameters: about = where their middle is wanted; fixed = it must be there. Raises DesignError.
    """
    pairs = [
        (a, b) for a in columns for b in columns
        if b - a >= apart - 1e-9 and (not fixed or abs((a + b) / 2 - about) < 0.05)
    ]  # fmt: skip
    if not pairs:
        where = f" on both sides of {about:g}" if fixed else ""
        raise DesignError(
            "stud_x", f"no two columns of holes stand {apart:.0f} mm or more apart{where}",
            f"a grid with columns {apart:.0f} mm apart{where}",
        )  # fmt: skip
    return min(pairs, key=lambda p: (round(p[1] - p[0], 6), abs(sum(p) / 2 - about), p[0]))
