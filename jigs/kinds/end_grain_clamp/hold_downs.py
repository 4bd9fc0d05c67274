"""Sizing rules of the hold-downs: what of the table they hold on to, their threads and lengths."""

from __future__ import annotations

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._anchoring import Slot, SlotHold, slot_hold
from jigs.kinds._common import up_to
from jigs.kinds._hardware import Shelf, length_for, sizes_on
from jigs.kinds._knob import Knob
from jigs.kinds.end_grain_clamp.fencing import rule
from jigs.model.number import Standing

__all__ = ["rule"]

Positions = tuple[float, ...]

HOLD_SIZES = ("M10", "M8", "M6", "M5", "M4", "3/8", "5/16", "1/4")
"""Threads for which there are knobs that a hand can turn tight. Common practice, no source."""


@rule(unit="", source="what the table offers", standing=Standing.TABLE, settable=False)
def hold_by(
    table_anchors: str, hardware: str, table_slot_profile: Positions, shelf: Shelf,
) -> str:  # fmt: skip
    """What the hold-downs hold on to: T-slot bolt, T-slot nut, threaded hole, or insert."""
    if table_anchors == "slots":
        return _slot(hardware, shelf, table_slot_profile).by
    return "threaded hole" if table_anchors == "holes" else "insert"


@rule(unit="", source="ASME B5.1M, DIN 508, the table's own thread, or as the drawbolts",
      standing=Standing.TABLE)  # fmt: skip
def hold_size(
    hold_by: str, hardware: str, table_slot_profile: Positions, table_hole_thread: str,
    table_board_depth: float, drawbolt_size: str, shelf: Shelf,
) -> str:  # fmt: skip
    """Thread of the hold-downs."""
    if hold_by == "threaded hole":
        if table_hole_thread not in HOLD_SIZES:
            raise DesignError("hold_size", f"there is no knob for {table_hole_thread}",
                              f"holes of {', '.join(HOLD_SIZES)}")  # fmt: skip
        return table_hole_thread
    if hold_by == "insert":
        return _insert_for(drawbolt_size, table_board_depth)
    return _slot(hardware, shelf, table_slot_profile).size


@rule(source="ASME B5.1M or DIN 508", standing=Standing.TABLE)
def hold_throat(
    hold_by: str, hardware: str, table_slot_profile: Positions, shelf: Shelf,
) -> float:  # fmt: skip
    """Throat that the T-slot bolts or nuts are made for; 0 = no slots."""
    if not hold_by.startswith("T-slot"):
        return 0.0
    return _slot(hardware, shelf, table_slot_profile).throat


def _insert_for(like: str, depth: float) -> str:
    """The insert like the drawbolts', or the largest below it that a board of that depth takes."""
    sizes = ("M8", "M6", "M5") if like.startswith("M") else ("5/16", "1/4")
    fitting = [s for s in sizes if tables.wood_insert(s).length <= depth + 1e-9]
    if not fitting:
        least = tables.wood_insert(sizes[-1]).length
        raise DesignError("hold_size", f"no insert goes into a board {depth:g} mm deep",
                          f"a spoilboard of {least:g} mm or more, for {sizes[-1]}")  # fmt: skip
    return like if like in fitting else fitting[0]


def _slot(hardware: str, shelf: Shelf, profile: Positions) -> SlotHold:
    bolts = sizes_on(shelf, "T-slot bolt", HOLD_SIZES)
    rods = sizes_on(shelf, "threaded rod", HOLD_SIZES)
    return slot_hold(hardware, Slot(*profile), bolts, rods)


@rule(source="common practice, no source: six times the thread, up to the next 5 mm")
def hold_knob_diameter(hold_size: str, knob_made: str) -> float:
    """Diameter of the hold-downs' knobs over the lobes."""
    return Knob(hold_size, knob_made).diameter


@rule(source="common practice, no source: its thread, and as much wood below it as a nut is high")
def hold_knob_height(hold_size: str, knob_made: str) -> float:
    """Height of the hold-downs' knobs."""
    return Knob(hold_size, knob_made).height


@rule(source="ISO 7093 (large washers), or wide inch washers", standing=Standing.TABLE)
def hold_washer(hold_size: str) -> float:
    """Outer diameter of the washers under the hold-downs' knobs."""
    return tables.washer(hold_size, "large").outer_diameter


@rule(source="ISO 273 medium", standing=Standing.TABLE)
def hold_hole(hold_size: str) -> float:
    """Clearance holes and slots of the moving base."""
    return tables.clearance_hole(hold_size).hole_medium


@rule(source="ISO 273 fine where holes bring the base back, else medium", standing=Standing.TABLE)
def fixed_hole(hold_size: str, hold_by: str) -> float:
    """Clearance holes of the fixed base."""
    row = tables.clearance_hole(hold_size)
    return row.hole_fine if hold_by == "threaded hole" else row.hole_medium


@rule(source="common practice, no source: one and a half times the thread, as deep as there is")
def hold_below(
    hold_by: str, hold_size: str, table_slot_lip: float, table_thickness: float,
    hold_throat: float,
) -> float:  # fmt: skip
    """How far a hold-down's stud reaches below the table's surface; never to a slot's floor."""
    if hold_by == "T-slot bolt":
        return table_slot_lip
    if hold_by == "T-slot nut":
        return table_slot_lip + tables.t_slot_nut(hold_throat).foot_height
    if hold_by == "insert":
        return tables.wood_insert(hold_size).length
    return min(table_thickness, up_to(1.5 * tables.thread(hold_size).major_diameter, 1))


@rule(source="below the surface, base, washer, knob, two threads; next length that can be had",
      standing=Standing.TABLE)  # fmt: skip
def hold_length(
    hold_below: float, sheet_most: float, hold_size: str, hold_knob_height: float, hold_by: str,
    shelf: Shelf,
) -> float:  # fmt: skip
    """Length of the hold-downs' studs."""
    need = hold_below + sheet_most + tables.washer(hold_size, "large").thickness
    need += hold_knob_height + 2 * tables.thread(hold_size).pitch
    family = "T-slot bolt" if hold_by == "T-slot bolt" else "threaded rod"
    return length_for(shelf, family, hold_size, need)
