"""Sizing rules of the swing stop: where the piece hangs, studs, bars, pads, shims."""

from __future__ import annotations

import math

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds import _front
from jigs.kinds._common import up_to
from jigs.kinds._hardware import Shelf, length_for
from jigs.kinds._knob import Knob
from jigs.kinds.swing_stop.shimming import greatest_rest
from jigs.kinds.swing_stop.words import COMMON, rule
from jigs.mechanics.liner import axis_offset
from jigs.model.number import Standing

__all__ = ["BELOW_TABLE", "FOOT_CLEAR", "rule"]

Positions = tuple[float, ...]

BELOW_TABLE = 2.0
"""mm from the table's surface down to what stands in front of it. Common practice, no source."""

FOOT_CLEAR = 10.0
"""mm from a bar to the foot of the shortest piece. Common practice, no source."""

OVER_TABLE = 5.0
"""mm that a cutter which runs out of the piece stays above the table. Common practice."""

SPANNER_HEAD = 1.1
"""Radius of an open spanner's head, in flats. Common practice, no source."""

THROUGH = ("slot", "tenon")
"""Cuts whose cutter runs out over the piece's sides."""


# Where the piece hangs


@rule(source="derived: face, back board, half the piece; 0 with one bar, where the ring decides",
      settable=False)  # fmt: skip
def hold_axis_y(bars: int, front_y: float, sheet_nominal: float, depth_nominal: float) -> float:
    """The nominal piece's axis in the machine frame, with two bars."""
    return front_y - sheet_nominal - depth_nominal / 2 if bars == 2 else 0.0


@rule(source="a cutter that runs out of the piece passes 5 mm above the table")
def hold_end_height(cut_does: str, cut_depth: float) -> float:
    """Height of the piece's end above the table, with two bars."""
    return up_to(cut_depth + OVER_TABLE, 1) if cut_does in THROUGH else OVER_TABLE


@rule(source="derived", settable=False)
def face_at(front_y: float, axis_y: float) -> float:
    """The front face's y from the work zero."""
    return front_y - axis_y


@rule(source="derived: the ring's stand-off, or the front of the own back board", settable=False)
def surface_at(
    bars: int, face_at: float, sheet_nominal: float, stand_off: float, nominal_offset: float
) -> float:
    """y of the board behind the piece, from the work zero."""
    return face_at - sheet_nominal if bars == 2 else stand_off - nominal_offset


@rule(source="derived: e(r) of the thinnest piece, closed; 0 with two bars", settable=False)
def offset_most(
    bars: int, lined_radius: float, grip_diameter_least: float, squeeze: float
) -> float:
    """Greatest offset e of a piece's axis towards the machine."""
    return axis_offset(lined_radius, grip_diameter_least / 2, squeeze) if bars == 1 else 0.0


@rule(source="derived: e(r) of the thickest piece, at first touch; 0 with two bars", settable=False)
def offset_least(bars: int, lined_radius: float, grip_diameter_most: float) -> float:
    """Least offset e of a piece's axis towards the machine."""
    return axis_offset(lined_radius, grip_diameter_most / 2, 0.0) if bars == 1 else 0.0


# Behind the body


@rule(source="derived: A(r) - depth / 2 of the thinnest piece", settable=False)
def behind_least(bars: int, stand_off: float, offset_most: float, body_half_depth: float) -> float:
    """Least room between back board and body."""
    return stand_off - offset_most - body_half_depth if bars == 1 else 0.0


@rule(source="derived: A(r) - depth / 2 of the thickest piece", settable=False)
def behind_most(bars: int, stand_off: float, offset_least: float, body_half_depth: float) -> float:
    """Greatest room between back board and body."""
    return stand_off - offset_least - body_half_depth if bars == 1 else 0.0


@rule(source="what the shims alone do not fill, planed to the half millimetre below the least room")
def packer(bars: int, behind_least: float, behind_most: float, shim_set: Positions) -> float:
    """Thickness of the packer that hangs behind the shims; 0 = none."""
    if bars == 2 or behind_most <= math.fsum(shim_set):
        return 0.0
    return max(0.0, math.floor(2 * behind_least) / 2)


@rule(source="derived: over all diameters of the batch; 0 with two bars")
def shim_rest(
    bars: int, behind_least: float, behind_most: float, packer: float, shim_set: Positions
) -> float:
    """The most that packer and shims leave open behind a body, or push it."""
    if bars == 2:
        return 0.0
    return greatest_rest(shim_set, behind_least - packer, behind_most - packer)


# Rows of studs


@rule(source=COMMON)
def bar_height(stud_washer: float) -> float:
    """Height of a bar, its pad and its shims: 8 mm of wood above and below the washers."""
    return up_to(max(40.0, stud_washer + 16), 1)


@rule(source="one bar: the row nearest to the body's middle, clear of what the ring's board hangs "
      "on; two: the highest whose bar and knobs stay below the table, and the lowest")  # fmt: skip
def stud_z(
    bars: int, front_slots_at: Positions, front_slots_along: str, front_hole_rows: Positions,
    front_top: float, front_bottom: float, end_height: float, bar_height: float,
    body_below: float, body_length: float, hang_z: Positions, hang_washer: float,
    knob_diameter: float, length_least: float,
) -> Positions:  # fmt: skip
    """Rows of the studs in the machine frame, upper first."""
    _front.upright_slots_refused(front_slots_along)
    rows = front_slots_at or front_hole_rows
    edge = -math.inf if rows else _front.EDGE
    face = (front_bottom + edge, front_top - edge)
    if bars == 1:
        _there("stud_z", body_length)
        clear = bar_height / 2 + hang_washer / 2 + 2
        low = max(end_height - body_below - body_length + bar_height / 4, face[0])
        high = min(end_height - body_below - bar_height / 4, face[1])
        return (_row_at_body(rows, low, high, hang_z, clear),)
    high = min(-BELOW_TABLE - max(bar_height, knob_diameter) / 2, face[1])
    low = max(end_height - length_least + FOOT_CLEAR + bar_height / 2, face[0])
    return _two_rows(rows, low, high, bar_height)


def _row_at_body(rows: Positions, low: float, high: float, taken: Positions, clear: float) -> float:
    middle = (low + high) / 2
    places = rows or (middle, *(z + side * clear for z in taken for side in (-1, 1)))
    free = [
        z for z in places
        if low - 1e-9 <= z <= high + 1e-9 and all(abs(z - at) >= clear - 1e-9 for at in taken)
    ]  # fmt: skip
    if not free:
        raise DesignError(
            "stud_z",
            f"no row of the front face lies behind the body, from {low:.0f} to {high:.0f}, and "
            f"{clear:.0f} mm from what the ring's back board hangs on, at "
            f"{', '.join(f'{z:g}' for z in taken)}",
            f"a slot or row of holes nearer to {middle:.0f}",
        )
    return min(free, key=lambda z: (abs(z - middle), z))


def _two_rows(rows: Positions, low: float, high: float, bar_height: float) -> Positions:
    there = sorted(z for z in rows if low <= z <= high) if rows else [low, high]
    apart = there[-1] - there[0] if there else 0.0
    if apart < 2 * bar_height:
        raise DesignError(
            "stud_z",
            f"two bars need rows {2 * bar_height:.0f} mm apart between {low:.0f} and {high:.0f}; "
            f"there are {', '.join(f'{z:g}' for z in rows) or 'none'}",
            "a longer piece, or rows of slots or holes in that stretch",
        )
    return (there[-1], there[0])


@rule(source="derived: the middle of the front face for two bars, between two columns of a grid")
def hold_axis_x(
    bars: int, front_hole_columns: Positions, stud_need: float, front_left: float,
    front_right: float, asked_x: Positions,
) -> float:  # fmt: skip
    """The piece's axis along x where the grid decides it, with two bars."""
    about = asked_x[0] if asked_x else (front_left + front_right) / 2
    if bars == 1 or not front_hole_columns:
        return about
    return sum(_front.pair_of_columns(front_hole_columns, 2 * stud_need, about, False)) / 2


@rule(source="derived: washers clear the side stop, or a spanner the ring's board",
      settable=False)  # fmt: skip
def stud_need(
    bars: int, width_nominal: float, side_stop_width: float, board_width: float,
    body_width: float, body_offset_x: float, stud_washer: float, stud_hole: float, stud_size: str,
) -> float:  # fmt: skip
    """Least distance of the studs from the piece's axis."""
    if bars == 2:
        return up_to(width_nominal / 2 + side_stop_width + stud_washer / 2 + 3, 1)
    body = body_width / 2 + abs(body_offset_x) + stud_hole / 2 + 3
    spanner = SPANNER_HEAD * tables.hex_nut(stud_size).across_flats + 1
    return up_to(max(board_width / 2 + max(stud_washer / 2 + 2, spanner), body), 1)


@rule(source="derived: as near as they may be; on a grid, the next two columns about the axis")
def stud_x(bars: int, stud_need: float, front_hole_columns: Positions, axis_x: float) -> float:
    """From the piece's axis to each stud."""
    if not front_hole_columns:
        return stud_need
    left, right = _front.pair_of_columns(front_hole_columns, 2 * stud_need, axis_x, True)
    return (right - left) / 2


# Bars and pads


@rule(source=COMMON)
def bar_thick(bars: int) -> float:
    """Thickness of a bar: a squared stick of hardwood."""
    return 20.0


@rule(source=COMMON)
def bar_length(stud_x: float, stud_washer: float) -> float:
    """Length of a bar: 12 mm of wood outside the washers."""
    return 2 * up_to(stud_x + stud_washer / 2 + 12, 1)


@rule(source="derived: as wide as the thinnest piece, or the body less 2 mm each side; 60 at most")
def pad_width(bars: int, width_least: float, body_width: float) -> float:
    """Width of the rubber pads."""
    wide = width_least if bars == 2 else body_width - 4
    _there("pad_width", wide)
    return min(60.0, wide)


def _there(number: str, size: float) -> None:
    if size <= 0:
        raise DesignError(
            number, "the piece has no body for the bar to steady",
            "pieces: {...: {body: {...}}}, or leave the swing stop out",
        )  # fmt: skip


@rule(source="derived: one bar clears the body while the ring is open, and 2 mm; two are let go by "
      "6 mm, and swing up")  # fmt: skip
def back_off(bars: int, offset_most: float, open_gap: float, gap: float) -> float:
    """How far a bar backs off from the piece to change it."""
    return up_to(offset_most + (open_gap - gap) / 2 + 2, 1) if bars == 1 else 6.0


@rule(source="derived: front of the thickest piece, pad, bar, backed off", settable=False)
def stud_reach(
    bars: int, face_at: float, surface_at: float, depth_most: float, nominal_offset: float,
    offset_least: float, body_depth: float, body_offset_y: float, liner_thickness: float,
    bar_thick: float, back_off: float,
) -> float:  # fmt: skip
    """From the front face to where the knobs' washers lie, the bar backed off."""
    body_front = -nominal_offset + offset_least + body_offset_y - body_depth / 2
    front = surface_at - depth_most if bars == 2 else body_front
    return face_at - front + liner_thickness + bar_thick + back_off


# Studs


@rule(unit="", source="what the front face offers", standing=Standing.TABLE, settable=False)
def stud_by(
    front_slot_profile: Positions, front_hole_thread: str, hardware: str, shelf: Shelf,
    stud_reach: float, knob_made: str,
) -> str:  # fmt: skip
    """What the studs hold on to: T-slot bolt, T-slot nut and rod, threaded hole, or insert."""
    if front_slot_profile:
        return _front.hold_in_slot(hardware, shelf, front_slot_profile, stud_reach, knob_made).by
    return _front.THREADED if front_hole_thread else _front.INSERT


@rule(
    unit="", source="ASME B5.1M, DIN 508, the holes' own thread, DIN 7965", standing=Standing.TABLE
)
def stud_size(
    front_slot_profile: Positions, front_hole_thread: str, front_board_depth: float, hardware: str,
    shelf: Shelf, stud_reach: float, knob_made: str,
) -> str:  # fmt: skip
    """Thread of the studs."""
    if front_slot_profile:
        return _front.hold_in_slot(hardware, shelf, front_slot_profile, stud_reach, knob_made).size
    if not front_hole_thread:
        return _front.insert_size(hardware, front_board_depth)
    size = tables.size_name(front_hole_thread)
    if size not in _front.KNOBBED:
        raise DesignError("stud_size", f"there is no knob for {size}",
                          f"holes of {', '.join(_front.KNOBBED)}")  # fmt: skip
    return size


@rule(source="ASME B5.1M, DIN 508: throat, width and height of head or foot; empty = no slots",
      standing=Standing.TABLE, settable=False)  # fmt: skip
def stud_head(
    front_slot_profile: Positions, hardware: str, shelf: Shelf, stud_reach: float, knob_made: str,
) -> Positions:  # fmt: skip
    """Throat, width and height of what holds under the slot's lip; empty without slots."""
    if not front_slot_profile:
        return ()
    held = _front.hold_in_slot(hardware, shelf, front_slot_profile, stud_reach, knob_made)
    return (held.throat, held.head_width, held.head_height)


@rule(source="ISO 7093 (large washers), or wide inch washers", standing=Standing.TABLE)
def stud_washer(stud_size: str) -> float:
    """Outer diameter of the washers on the studs."""
    return tables.washer(stud_size, "large").outer_diameter


@rule(source="ISO 273 medium", standing=Standing.TABLE)
def stud_hole(stud_size: str) -> float:
    """Clearance holes and open slots for the studs."""
    return tables.clearance_hole(stud_size).hole_medium


@rule(source="common practice, no source: six times the thread, up to the next 5 mm")
def knob_diameter(stud_size: str, knob_made: str) -> float:
    """Diameter of the knobs over the lobes."""
    return Knob(stud_size, knob_made).diameter


@rule(source="the lip; a T-slot nut's foot; one and a half times the thread; the insert's length")
def stud_below(stud_by: str, stud_size: str, front_slot_lip: float, stud_head: Positions) -> float:
    """How far a stud reaches into the front face, never to the floor of a slot."""
    match stud_by:
        case _front.BOLT:
            return front_slot_lip
        case _front.NUT:
            return front_slot_lip + stud_head[2]
        case _front.INSERT:
            return tables.wood_insert(stud_size).length
        case _:
            return up_to(1.5 * tables.thread(stud_size).major_diameter, 1)


@rule(source="into the face, reach, washer, knob, two threads; next length that can be had",
      standing=Standing.TABLE)  # fmt: skip
def stud_length(
    stud_by: str, stud_size: str, stud_below: float, stud_reach: float, knob_made: str, shelf: Shelf
) -> float:
    """Length of the studs: the knob is still on when the bar is backed off."""
    need = stud_below + stud_reach + _front.beyond(stud_size, knob_made)
    family = _front.BOLT if stud_by == _front.BOLT else "threaded rod"
    return length_for(shelf, family, stud_size, need)
