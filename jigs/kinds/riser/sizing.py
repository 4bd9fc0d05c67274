"""Sizing rules of the riser: how high, how wide and deep, its key and its dowels."""

from __future__ import annotations

import math

from jigs.errors import DesignError
from jigs.kinds._anchoring import asked_place, turned_positions
from jigs.kinds._common import SLACK_OF_KEY, up_to
from jigs.model.number import Rules

COMMON = "common practice, no source"
Positions = tuple[float, ...]

BELOW_THE_FLOOR = 5.5
"""mm that the clamp's jaws, where the zero is touched, end below the floor of the cut: 5, rounded
down to a half."""

BESIDE = 10.0
"""mm that a plate reaches beyond the mouth of a slot, and beyond the piece. Common practice."""

WOOD = 4.0
"""mm of wood beside a dowel. Common practice, no source."""

rule = Rules()


# How high


@rule(source="travel less the shortest piece's end over the cut's floor, and 5.5 mm: the jaws' "
      "top, where the zero is touched, lies that much lower")  # fmt: skip
def rise_needed(
    travel_z_least: float, length_least: float, cut_depth: float, stick_out: float
) -> float:
    """How far the piece must be raised so that the spindle comes down to the cut and the zero."""
    lowest = length_least - cut_depth - BELOW_THE_FLOOR + stick_out
    return max(0.0, travel_z_least - lowest)


@rule(unit="", source="derived: whole sheets, at their thinnest; one at least")
def layers(rise_needed: float, sheet_least: float) -> int:
    """Layers of sheet, glued face to face."""
    return max(1, math.ceil(rise_needed / sheet_least - 1e-9))


MOST_LAYERS = 30
"""Half a metre of sheet. Assumed: a number beyond it is a slip of the pen."""


@rule(source="derived")
def rise(layers: int, sheet_nominal: float) -> float:
    """Height of the riser, by which the piece's foot stands above the table."""
    if not 1 <= layers <= MOST_LAYERS:
        does = "raise nothing" if layers < 1 else "are no riser"
        raise DesignError("layers", f"{layers} layers {does}", f"layers: 1 to {MOST_LAYERS}")
    return layers * sheet_nominal


@rule(source="derived: the plate's height; a block ends short of the fences")
def under_fences(made: str, rise: float) -> float:
    """Thickness of what lies under the clamp's fences."""
    return rise if made == "plate" else 0.0


# How wide and deep


@rule(source="common practice, no source: 1 mm less than the thinnest piece, on each side")
def riser_width(width_least: float) -> float:
    """Width between the jaws."""
    return width_least - 2


@rule(unit="mm", source="derived: in the frame turned as the clamp is, from the piece's middle",
      settable=False)  # fmt: skip
def slots_u(
    table_slots_along: str, table_slots_at: Positions, axis_x: float, axis_y: float, turn: int
) -> tuple[float, ...]:
    """Slots that cross the clamp's x: their middles from the piece's."""
    return _slots(table_slots_along, table_slots_at, axis_x, axis_y, turn)[0]


@rule(unit="mm", source="derived: in the frame turned as the clamp is, from the piece's middle",
      settable=False)  # fmt: skip
def slots_v(
    table_slots_along: str, table_slots_at: Positions, axis_x: float, axis_y: float, turn: int
) -> tuple[float, ...]:
    """Slots that run from jaw to jaw: their middles from the piece's, along y."""
    return _slots(table_slots_along, table_slots_at, axis_x, axis_y, turn)[1]


def _slots(along: str, at: Positions, x: float, y: float, turn: int) -> tuple[Positions, Positions]:
    places = turned_positions(along, at, (), (), turn)
    middle = asked_place((x,), (y,), turn)
    us, vs = (
        tuple(round(s - here[0], 9) for s in listed)
        for listed, here in zip(places, middle, strict=True)
    )
    return us, vs


@rule(source="block: 1 mm less than the shallowest piece, on each side; plate: 10 mm beyond the "
      "deepest piece and beyond every mouth that it comes near")  # fmt: skip
def riser_reach(
    made: str, depth_least: float, depth_nominal: float, depth_most: float, slots_v: Positions,
    table_slot_mouth: float,
) -> tuple[float, float]:  # fmt: skip
    """From where to where it lies along the clamp's y, from the nominal piece's middle."""
    # Every piece lies against the datum fence; what it is less deep is missing on the free side.
    datum = depth_nominal / 2
    if made == "block":
        return (datum - depth_least + 1, datum - 1)
    if not slots_v or table_slot_mouth < 5:
        raise DesignError(
            "made", "a plate bridges a slot that runs from jaw to jaw, and here is none for its "
            "key", "made: block; or turn the clamp with fixed_side",
        )  # fmt: skip
    near, free = table_slot_mouth / 2 + BESIDE, depth_most - datum
    low = _beyond(free + BESIDE, tuple(-s for s in slots_v), near)
    return (-low, _beyond(datum + BESIDE, slots_v, near))


def _beyond(edge: float, slots: Positions, near: float) -> float:
    """An edge moved outwards until it is clear of every slot, mm."""
    for slot in sorted(slots):
        if slot - near < edge < slot + near:
            edge = slot + near
    return up_to(edge, 0.5)


# Key and dowels


@rule(source="derived: the slot under the piece, or the one nearest to it; 0 for a block")
def key_y(made: str, slots_v: Positions) -> float:
    """From the piece's middle to the key along y."""
    return min(slots_v, key=abs) if made == "plate" and slots_v else 0.0


@rule(source=COMMON)
def key_width(made: str, table_slot_mouth: float) -> float:
    """Width of the key; 0 for a block, which has none."""
    return max(0.0, table_slot_mouth - SLACK_OF_KEY) if made == "plate" else 0.0


@rule(source="common practice, no source: clear of the slot's wide part")
def key_into_slot(table_slot_lip: float) -> float:
    """How far the key stands into the slot's mouth."""
    return max(0.0, min(6.0, table_slot_lip - 2))


@rule(source="common practice, no source: 6 mm, a third of a thin sheet")
def key_groove(sheet_nominal: float) -> float:
    """Depth of the key's groove under the plate."""
    return min(6.0, round(sheet_nominal / 3, 1))


@rule(source=COMMON)
def dowel_diameter(riser_width: float, riser_reach: tuple[float, float]) -> float:
    """Dowels that line the layers up."""
    return 8.0 if min(riser_width, riser_reach[1] - riser_reach[0]) >= 36 else 6.0


@rule(unit="", source="common practice, no source: two, if there is wood for them; none in a "
      "single layer")  # fmt: skip
def dowels(
    layers: int, dowel_diameter: float, riser_width: float, riser_reach: tuple[float, float]
) -> int:
    """How many dowels line the layers up; without them they are glued against a fence."""
    apart = 2 * math.hypot(*dowel_from_middle(riser_width, riser_reach, dowel_diameter))
    return 2 if layers > 1 and apart >= dowel_diameter + WOOD else 0


def dowel_from_middle(
    width: float, reach: tuple[float, float], thick: float
) -> tuple[float, float]:
    """From the riser's middle to a dowel's, along x and y, mm."""
    inside = thick / 2 + WOOD
    return max(0.0, width / 2 - inside), max(0.0, (reach[1] - reach[0]) / 2 - inside)
