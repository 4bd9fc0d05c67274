"""Sizing rules of the back board that two bars hang on: its edges, both stops, what brings it back.

With one bar there is no board: the studs are locked against the front face itself.
"""

from __future__ import annotations

import math

from jigs import tables
from jigs.kinds import _front
from jigs.kinds._common import SLACK_OF_KEY, up_to
from jigs.kinds._hardware import Shelf, length_for
from jigs.kinds.swing_stop.sizing import BELOW_TABLE
from jigs.kinds.swing_stop.words import COMMON, rule
from jigs.model.number import Standing

__all__ = ["DOWEL", "KEY_GROOVE", "STOP_SCREW", "rule"]

KEY_GROOVE = 6.0
"""mm deep in the back of the board."""

DOWEL = 8.0
"""mm, of the two dowels that bring a screwed-on board back. Common practice, no source."""

STOP_SCREW = 4.0
"""mm; diameter of the wood screws that hold both stops from behind."""

Positions = tuple[float, ...]


@rule(source=COMMON)
def back_width(stud_x: float, stud_washer: float) -> float:
    """Width of the back board: 5 mm of it outside the washers, and an edge for the studs."""
    return 2 * up_to(stud_x + max(stud_washer / 2 + 5, _front.EDGE), 1)


@rule(source="derived: below the table's surface", settable=False)
def back_top(end_height: float) -> float:
    """Upper edge of the back board, from the work zero."""
    return -(end_height + BELOW_TABLE)


@rule(source="derived: below the lower studs, an edge and the washers; to the next 5 mm")
def back_foot(stud_z: Positions, end_height: float, stud_washer: float) -> float:
    """Lower edge of the back board, from the work zero."""
    lowest = min(stud_z) - end_height
    return -up_to(-(lowest - max(stud_washer / 2 + 5, 25.0)), 5)


@rule(source="derived: where the nominal piece ends; 0 with one bar")
def end_stop_at(bars: int, length_nominal: float) -> float:
    """Top of the end stop, from the work zero: every piece stands on it."""
    return -length_nominal if bars == 2 else 0.0


@rule(source=COMMON)
def end_stop_tall(stud_size: str) -> float:
    """Height of the end stop, a block of hardwood on end."""
    return 40.0


@rule(source="common practice, no source: a quarter of the sheet")
def dado_depth(sheet_least: float) -> float:
    """Depth of the side stop's dado."""
    return round(sheet_least / 4 * 2) / 2


@rule(source=COMMON)
def side_stop_width(hardware: str) -> float:
    """Width of the side stop, a straight stick on the piece's left."""
    return 25.0


@rule(
    source="common practice, no source: 20 mm, or 2.5 less than the thinnest piece; 0 with one bar"
)
def side_stop_proud(bars: int, depth_least: float) -> float:
    """How far side stop and end stop stand out from the back board."""
    return min(20.0, math.floor(depth_least - 2.5)) if bars == 2 else 0.0


@rule(
    source="the longest that leaves 3 mm of the side stop before its tip", standing=Standing.TABLE
)
def side_screw(sheet_least: float, dado_depth: float, side_stop_proud: float) -> float:
    """Length of the wood screws that hold the side stop from behind."""
    return _longest(sheet_least + side_stop_proud - 3)


@rule(source="the longest up to 60 mm that leaves 4 mm of wood before its tip",
      standing=Standing.TABLE)  # fmt: skip
def end_screw(side_stop_width: float, width_nominal: float) -> float:
    """Length of the wood screws that hold the end stop to the side stop."""
    return _longest(min(60.0, side_stop_width + width_nominal - 4))


def _longest(room: float) -> float:
    sold = tables.wood_screw(STOP_SCREW).lengths
    return max((at for at in sold if at <= room), default=min(sold))


@rule(source=COMMON)
def board_key_width(bars: int, front_slot_mouth: float) -> float:
    """Width of the key behind the back board, in the upper slot; 0 without slots or board."""
    return max(0.0, front_slot_mouth - SLACK_OF_KEY) if bars == 2 else 0.0


@rule(source=COMMON)
def board_key_reach(front_slot_lip: float) -> float:
    """How far that key stands into the slot's mouth, clear of the wide part."""
    return max(0.0, min(6.0, front_slot_lip - 2))


@rule(source=COMMON)
def stop_width(bars: int, stud_washer: float, front_slot_mouth: float) -> float:
    """Width of the stop block that stays in the upper slot, left of the board: it fixes X."""
    return up_to(stud_washer + 16, 5) if bars == 2 and front_slot_mouth > 0 else 0.0


@rule(
    source="sheet, washer, nut, two threads; next length that can be had", standing=Standing.TABLE
)
def stop_length(
    stud_by: str, stud_size: str, stud_below: float, sheet_most: float, shelf: Shelf
) -> float:
    """Length of the stop block's own stud."""
    thread, nut = tables.thread(stud_size), tables.hex_nut(stud_size)
    thick = tables.washer(stud_size, "large").thickness
    need = stud_below + sheet_most + thick + nut.height + 2 * thread.pitch
    family = _front.BOLT if stud_by == _front.BOLT else "threaded rod"
    return length_for(shelf, family, stud_size, need)


@rule(source="common practice, no source: 15 mm, or the board's depth less 2 mm")
def dowel_reach(bars: int, front_board_depth: float) -> float:
    """How deep the two dowels that bring the board back go into the face; 0 without a board."""
    return max(0.0, min(15.0, front_board_depth - 2)) if bars == 2 else 0.0
