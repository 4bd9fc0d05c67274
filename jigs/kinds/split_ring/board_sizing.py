"""Sizing rules of what the ring hangs on: back board, stop, shelf and jack."""

from __future__ import annotations

import math

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._common import ROUTED_CORNER, SLACK_OF_KEY, up_to
from jigs.kinds.split_ring.sizing import COMMON, end_beyond_grip, rule
from jigs.model.number import Standing

__all__ = ["DISH_DEPTH", "KEY_GROOVE", "PAD_HOLE", "rule"]

KEY_GROOVE = 6.0
"""mm deep in the back of the board."""

DISH_DEPTH = 3.0
"""mm deep in the top of the pad, for the piece's foot."""

PAD_HOLE = 10.0
"""mm deep in the underside of the pad, for the jack screw's end."""


@rule(source=COMMON)
def board_width(fixed_width: float, hang_washer: float) -> float:
    """Width of the back board: the hanging bolts stand beside the fixed half."""
    return fixed_width + 2 * up_to(hang_washer + 6, 1)


@rule(source="derived: in the middle of the border")
def hang_x(board_width: float, hang_washer: float) -> float:
    """From the axis to the hanging bolts."""
    return board_width / 2 - up_to(hang_washer / 2 + 3, 1)


@rule(source="the first and last slot that the board covers")
def hang_z(
    front_slots_at: tuple[float, ...], front_slots_along: str, end_height: float,
    shelf_top: float, shelf_thickness: float, ring_drop: float,
) -> tuple[float, ...]:  # fmt: skip
    """Slots that the back board hangs on, in the machine frame."""
    if front_slots_along != "x":
        raise DesignError("hang_z", "the front face has no slots along x",
                          "a front face with slots along x")  # fmt: skip
    top, low = -ring_drop - 15, shelf_top + end_height - shelf_thickness
    covered = [z for z in front_slots_at if low - 80 <= z <= top]
    if len(covered) < 2:
        raise DesignError(
            "hang_z",
            f"only {len(covered)} of the front slots at "
            f"{', '.join(f'{z:g}' for z in front_slots_at)} lie behind the back board, "
            f"which reaches from {top + 15:.0f} to {low - 80:.0f}",
            f"two slots between {low - 80:.0f} and {top:.0f}",
        )
    return (covered[-1], covered[0])


@rule(source=COMMON)
def board_foot(
    hang_z: tuple[float, ...], end_height: float, shelf_top: float, shelf_thickness: float
) -> float:
    """Lower edge of the back board in the work frame."""
    lowest_slot = hang_z[1] - end_height
    return -up_to(-min(lowest_slot - 25, shelf_top - shelf_thickness - 20), 5)


@rule(source="the largest T-slot bolt that the slot takes", standing=Standing.TABLE)
def hang_throat(front_slot_mouth: float, front_slot_wide: float, front_slot_room: float) -> float:
    """Throat that the T-slot bolts are made for (heads: ASME B5.1M, metric columns)."""
    if front_slot_mouth <= 0:
        raise DesignError(
            "hang_throat", "the front face has no T-slots", "a front face with slots along x"
        )
    for throat in (14.0, 12.0, 10.0, 8.0):
        row = tables.t_slot_bolt(throat)
        goes_in = row.head_width < front_slot_wide and row.head_height < front_slot_room
        if throat <= front_slot_mouth and goes_in:
            return throat
    raise DesignError(
        "hang_throat",
        f"no T-slot bolt goes into a slot {front_slot_mouth:g} wide, {front_slot_wide:g} by "
        f"{front_slot_room:g} below",
        "T-slots of 8 mm or more: T-slot bolts are sold from there up",
    )


@rule(unit="", source="ASME B5.1M, metric columns", standing=Standing.TABLE)
def hang_size(hang_throat: float) -> str:
    """Thread of the T-slot bolts that the back board hangs on."""
    return tables.t_slot_bolt(hang_throat).thread


@rule(source="ISO 7093 (large washers)", standing=Standing.TABLE)
def hang_washer(hang_size: str) -> float:
    """Outer diameter of the washers under the hanging nuts."""
    return tables.washer(hang_size, "large").outer_diameter


@rule(source="ASME B5.1M, metric columns", standing=Standing.TABLE)
def hang_head_width(hang_throat: float) -> float:
    """Width of the T-slot bolts' heads."""
    return tables.t_slot_bolt(hang_throat).head_width


@rule(source="ASME B5.1M, metric columns", standing=Standing.TABLE)
def hang_head_height(hang_throat: float) -> float:
    """Height of the T-slot bolts' heads."""
    return tables.t_slot_bolt(hang_throat).head_height


@rule(source="lip, sheet, washer, nut, two threads; next length sold", standing=Standing.TABLE)
def hang_length(front_slot_lip: float, sheet_most: float, hang_size: str) -> float:
    """Length of the T-slot bolts; the head hangs under the lip, so none can jack the slot."""
    grip = front_slot_lip + sheet_most
    return tables.next_length("T-slot bolt", hang_size, grip + end_beyond_grip(hang_size))


@rule(source=COMMON)
def board_key_width(front_slot_mouth: float) -> float:
    """Width of the key behind the back board, in the upper slot."""
    return front_slot_mouth - SLACK_OF_KEY


@rule(unit="", source="an M6 insert is 15 mm long (DIN 7965); 2 mm of wood under it")
def shelf_layers(sheet_least: float) -> int:
    """Layers of sheet, glued face to face, that the shelf is made of."""
    return math.ceil((tables.wood_insert("M6").length + 2) / sheet_least)


@rule(source="derived")
def shelf_thickness(shelf_layers: int, sheet_nominal: float) -> float:
    """Thickness of the shelf."""
    return shelf_layers * sheet_nominal


@rule(unit="", source="the largest insert that the shelf can hold", standing=Standing.TABLE)
def jack_size(shelf_layers: int, sheet_least: float) -> str:
    """Size of the jack screw under the piece: metric inserts, as sold for wood."""
    room = shelf_layers * sheet_least - 2
    return next(size for size in ("M8", "M6") if tables.wood_insert(size).length <= room)


@rule(source=COMMON)
def jack_travel(length_least: float, length_most: float) -> float:
    """How far the jack screw reaches: the batch's lengths and 10 mm."""
    return up_to(length_most - length_least + 10, 1)


@rule(source="derived: the foot wanders with the diameter of the grip; 4 mm more to find it")
def dish_diameter(
    foot_diameter: float, open_gap: float, gap: float, nominal_offset: float
) -> float:
    """Diameter of the dish that takes the piece's foot."""
    return up_to(foot_diameter + 2 * (nominal_offset + (open_gap - gap) / 2) + 4, 1)


@rule(source=COMMON)
def pad_diameter(dish_diameter: float) -> float:
    """Diameter of the pad under the piece's foot."""
    return max(30.0, up_to(dish_diameter + 10, 1))


@rule(source=COMMON)
def pad_height(foot_diameter: float) -> float:
    """Height of the pad: dish above, blind hole below, wood between."""
    return 20.0


@rule(source="derived: longest piece, pad, jack at its lowest with 4 mm to spare")
def shelf_top(length_most: float, pad_height: float, jack_travel: float) -> float:
    """Top of the shelf in the work frame."""
    return -(length_most + pad_height - DISH_DEPTH + 4 + jack_travel / 2)


@rule(source="shelf, travel and blind hole; next length sold", standing=Standing.TABLE)
def jack_length(shelf_thickness: float, jack_travel: float, jack_size: str) -> float:
    """Length of the jack screw."""
    return tables.next_length(
        "hex screw", jack_size, shelf_thickness + jack_travel + 4 + PAD_HOLE + 6
    )


@rule(source=COMMON)
def shelf_depth(stand_off: float, pad_diameter: float, dado_depth: float) -> float:
    """Depth of the shelf from the floor of its dado."""
    return up_to(stand_off + pad_diameter / 2 + 10 + dado_depth, 1)


@rule(source=COMMON)
def shelf_width(moving_width: float) -> float:
    """Width of the shelf."""
    return up_to(max(80.0, moving_width * 0.8), 1)


@rule(source=COMMON)
def stop_width(hang_washer: float) -> float:
    """Width of the stop block that stays in the upper slot, left of the board: it fixes X."""
    return up_to(hang_washer + 16, 5)


@rule(source="the routed corners lie beyond the sheet that goes in", standing=Standing.RULE)
def dado_overrun() -> float:
    """How far a stopped dado runs on at each end, so that a square corner goes in."""
    return ROUTED_CORNER


@rule(source="largest sheet and 0.1 mm")
def shelf_dado_width(shelf_layers: int, sheet_most: float) -> float:
    """Width of the shelf's dado."""
    return shelf_layers * sheet_most + 0.1
