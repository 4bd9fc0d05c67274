"""Sizing rules of where the clamp stands on the table, and of what brings it back there."""

from __future__ import annotations

from typing import Literal

from jigs import tables
from jigs.kinds._anchoring import (
    asked_place,
    clear_of_slots,
    machine_place,
    side_by_side,
    turned_extent,
    turned_positions,
    two_sided,
)
from jigs.kinds._common import SLACK_OF_KEY, up_to
from jigs.kinds._hardware import Shelf, length_for
from jigs.kinds.end_grain_clamp.hold_downs import rule
from jigs.kinds.end_grain_clamp.sizing import COMMON, FINGERS
from jigs.model.number import Standing

__all__ = ["clear_land", "rule"]

Positions = tuple[float, ...]


@rule(unit="deg", source="derived: the fixed jaw stands at the frame's -x", settable=False)
def turn(fixed_side: str) -> int:
    """Turn of the jig's frame about z against the machine's."""
    return {"left": 0, "front": 90, "right": 180, "back": 270}[fixed_side]


@rule(source="derived: the piece stands on the table, or on a riser")
def piece_top(length_nominal: float, rise: float) -> float:
    """Height of the nominal piece's end above the table."""
    return length_nominal + rise


# Where it stands


@rule(source="derived: face, rib, knob and fingers")
def hold_reach(sheet_nominal: float, rib_depth: float, hold_knob_diameter: float) -> float:
    """Least distance from a face's inner side to its hold-downs."""
    return up_to(sheet_nominal + rib_depth + hold_knob_diameter / 2 + FINGERS, 1)


@rule(
    source="derived: anchors across x, in the frame turned as the jig is; empty = anywhere",
    settable=False,
)
def anchors_u(
    table_slots_along: str, table_slots_at: Positions, table_hole_columns: Positions,
    table_hole_rows: Positions, turn: int,
) -> tuple[float, ...]:  # fmt: skip
    """Where hold-downs can stand along the jig's x."""
    return turned_positions(
        table_slots_along, table_slots_at, table_hole_columns, table_hole_rows, turn
    )[0]


@rule(
    source="derived: anchors across y, in the frame turned as the jig is; empty = anywhere",
    settable=False,
)
def anchors_v(
    table_slots_along: str, table_slots_at: Positions, table_hole_columns: Positions,
    table_hole_rows: Positions, turn: int,
) -> tuple[float, ...]:  # fmt: skip
    """Where hold-downs can stand along the jig's y."""
    return turned_positions(
        table_slots_along, table_slots_at, table_hole_columns, table_hole_rows, turn
    )[1]


@rule(source="derived: the table's extent in the frame turned as the jig is", settable=False)
def table_extent(table_width: float, table_depth: float, turn: int) -> tuple[float, ...]:
    """u least and most, v least and most of the table."""
    return turned_extent(table_width, table_depth, turn)


@rule(
    source="derived: what the setup asks for, in the frame turned as the jig is; empty = nothing",
    settable=False,
)
def asked_u(asked_x: Positions, asked_y: Positions, turn: int) -> tuple[float, ...]:
    """Where the user wants the piece along the turned frame's u."""
    return asked_place(asked_x, asked_y, turn)[0]


@rule(
    source="derived: what the setup asks for, in the frame turned as the jig is; empty = nothing",
    settable=False,
)
def asked_v(asked_x: Positions, asked_y: Positions, turn: int) -> tuple[float, ...]:
    """Where the user wants the piece along the turned frame's v."""
    return asked_place(asked_x, asked_y, turn)[1]


@rule(
    source="the two nearest anchors that leave room behind both jaws, the piece on a land",
    settable=False,
)
def place_u(
    anchors_u: Positions, hold_reach: float, width_nominal: float, width_most: float,
    table_slot_mouth: float, table_extent: Positions, opening: float, asked_u: Positions,
    hold_knob_diameter: float,
) -> tuple[float, ...]:  # fmt: skip
    """Fixed hold-downs, piece's middle and moving hold-downs along the turned frame's u."""
    half = width_nominal / 2
    # Behind the moving face the slot must reach even when the jaw is open.
    pair = two_sided(
        anchors_u, hold_reach + half, hold_reach + opening - half, width_most, table_slot_mouth,
        (table_extent[0], table_extent[1]), next(iter(asked_u), None),
        (hold_knob_diameter / 2 + 6, hold_knob_diameter / 2 + 8),
    )  # fmt: skip
    return (pair.first, pair.middle, pair.second)


@rule(source="common practice, no source: beside the piece by 20 mm, and knobs clear of each other")
def hold_spread(
    depth_most: float, hold_knob_diameter: float, anchors_v: Positions, drawbolt_y: float
) -> float:
    """Least distance between the two hold-downs of a base, along y."""
    least = max(depth_most + 40, hold_knob_diameter + 10)
    return least if anchors_v else max(least, 2 * drawbolt_y - hold_knob_diameter)


@rule(
    source="two anchors that far apart, the piece midway on a land; anywhere where none are listed",
    settable=False,
)
def place_v(
    anchors_v: Positions, hold_spread: float, depth_most: float, table_slot_mouth: float,
    table_extent: Positions, asked_v: Positions, jaw_length: float, hold_knob_diameter: float,
) -> tuple[float, ...]:  # fmt: skip
    """Hold-downs, piece's middle and hold-downs along the turned frame's v."""
    pair = side_by_side(
        anchors_v, hold_spread, depth_most, table_slot_mouth, (table_extent[2], table_extent[3]),
        next(iter(asked_v), None),
        max(hold_knob_diameter / 2 + 6, (jaw_length - hold_spread) / 2),
    )  # fmt: skip
    return (pair.first, pair.middle, pair.second)


@rule(source="derived: from the piece's place in the turned frame", settable=False)
def clamp_x(place_u: Positions, place_v: Positions, turn: int) -> float:
    """Where the clamp puts the piece's middle along the table's x."""
    return machine_place(place_u[1], place_v[1], turn)[0]


@rule(source="derived: from the piece's place in the turned frame", settable=False)
def clamp_y(place_u: Positions, place_v: Positions, turn: int) -> float:
    """Where the clamp puts the piece's middle along the table's y."""
    return machine_place(place_u[1], place_v[1], turn)[1]


@rule(source="derived", settable=False)
def hold_fixed(place_u: Positions, width_nominal: float) -> float:
    """From the fixed face's inner side back to its hold-downs (a)."""
    return place_u[1] - place_u[0] - width_nominal / 2


@rule(source="derived: with the jaw closed on the nominal piece", settable=False)
def hold_moving(place_u: Positions, width_nominal: float, backer_in_x: float) -> float:
    """From the moving face's inner side back to its hold-downs (b)."""
    return place_u[2] - place_u[1] - width_nominal / 2 - backer_in_x


@rule(source="derived: half the distance of the anchors", settable=False)
def hold_y(place_v: Positions) -> float:
    """From the piece's middle to the hold-downs along y."""
    return (place_v[2] - place_v[0]) / 2


@rule(unit="", source="derived: hold-downs in slots along x go with the base", settable=False)
def slides_along(table_slots_along: str, turn: int) -> bool:
    """Do the moving base's hold-downs slide along the table's slots with it?"""
    return table_slots_along == ("x" if turn % 180 == 0 else "y")


@rule(source="derived: travel, hole and 2 mm; a round hole where the bolts slide with the base")
def base_slot(travel: float, hold_hole: float, slides_along: bool) -> float:
    """Length of the moving base's slots, ends and all."""
    return hold_hole if slides_along else travel + hold_hole + 2


@rule(source="derived: the slot's middle when the jaw stands half open")
def base_slot_at(
    hold_moving: float, opening: float, closed_least: float, width_nominal: float,
    backer_in_x: float, slides_along: bool,
) -> float:  # fmt: skip
    """From the moving face's inner side back to the middle of its base's slots."""
    if slides_along:
        return hold_moving
    return hold_moving + width_nominal + backer_in_x - (opening + closed_least) / 2


@rule(source=COMMON)
def base_width(jaw_length: float, hold_y: float, hold_knob_diameter: float) -> float:
    """Width of the bases along y: the faces' length, or knob and 6 mm beyond the hold-downs."""
    return max(jaw_length, up_to(2 * hold_y + hold_knob_diameter + 12, 1))


@rule(source="common practice, no source: 6 mm beyond the knob")
def fixed_base_end(hold_fixed: float, hold_knob_diameter: float) -> float:
    """From the fixed face's inner side to the end of its base."""
    return up_to(hold_fixed + hold_knob_diameter / 2 + 6, 1)


@rule(source="common practice, no source: 6 mm beyond knob and slot")
def moving_base_end(base_slot_at: float, base_slot: float, hold_knob_diameter: float) -> float:
    """From the moving face's inner side to the end of its base."""
    return up_to(base_slot_at + base_slot / 2 + hold_knob_diameter / 2 + 6, 1)


# What brings the fixed base back


@rule(
    unit="",
    source="derived: a key in a slot, dowels in a board, fine holes over threads",
    settable=False,
)
def located_by(hold_by: str, table_slot_mouth: float, key_reach: float) -> str:
    """What brings the fixed base back to its place: key, dowels, or holes."""
    if hold_by == "insert":
        return "dowels"
    keyed = hold_by.startswith("T-slot") and table_slot_mouth >= 5 and key_reach >= 2
    return "key" if keyed else "holes"


@rule(source=COMMON)
def key_width(table_slot_mouth: float) -> float:
    """Width of the key in the table's slot."""
    return max(0.0, table_slot_mouth - SLACK_OF_KEY)


@rule(source=COMMON)
def key_reach(table_slot_lip: float) -> float:
    """How far the key stands into the slot's mouth, clear of the wide part."""
    return max(0.0, min(6.0, table_slot_lip - 2))


@rule(source=COMMON)
def key_groove(sheet_nominal: float) -> float:
    """Depth of the key's groove under the fixed base: 6 mm, a third of a thin sheet."""
    return min(6.0, round(sheet_nominal / 3, 1))


@rule(unit="", source="derived: on the operator's side, else where the table has room")
def stop_side(
    slides_along: bool, place_v: Positions, base_width: float, stop_width: float,
    table_extent: Positions,
) -> Literal[-1, 1]:  # fmt: skip
    """Side of the fixed base, along the jig's y, on which the stop block stands."""
    if slides_along:
        return 1
    return -1 if place_v[1] - base_width / 2 - stop_width >= table_extent[2] else 1


@rule(source=COMMON)
def stop_width(hold_washer: float) -> float:
    """Width of the stop block that stays in the slot: the fixed base is pushed against it."""
    return up_to(hold_washer + 16, 5)


@rule(source="below the surface, block, washer, nut, two threads; next length that can be had",
      standing=Standing.TABLE)  # fmt: skip
def stop_length(
    hold_below: float, sheet_most: float, hold_size: str, hold_by: str, shelf: Shelf
) -> float:
    """Length of the stop's bolt."""
    need = hold_below + sheet_most + tables.washer(hold_size, "large").thickness
    need += tables.hex_nut(hold_size).height + 2 * tables.thread(hold_size).pitch
    family = "T-slot bolt" if hold_by == "T-slot bolt" else "threaded rod"
    return length_for(shelf, family, hold_size, need)


def clear_land(place: Positions, foot: float, slots: Positions, mouth: float) -> float:
    """Clearance of a foot's edges from the mouths of the slots, mm, in the turned frame."""
    return clear_of_slots(place[1] - foot / 2, place[1] + foot / 2, slots, mouth)
