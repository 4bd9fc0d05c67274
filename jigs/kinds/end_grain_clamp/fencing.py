"""Sizing rules of the two fences that steady the piece."""

from __future__ import annotations

import math

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._common import up_to
from jigs.kinds._hardware import Shelf, length_for, sizes_on
from jigs.kinds.end_grain_clamp.sizing import rule
from jigs.model.number import Standing

__all__ = ["rule"]


@rule(
    unit="", source="common practice, no source: two fifths of the thinnest piece, if there is room"
)
def fence_layers(
    width_least: float, fence_sheet_least: float, fence_sheet_most: float, closed_least: float,
    backer_in_x: float,
) -> int:  # fmt: skip
    """Layers of sheet, glued face to face, that a fence is made of."""
    wanted = math.ceil(0.4 * width_least / fence_sheet_least - 1e-9)
    room = math.floor((closed_least - backer_in_x - 2) / fence_sheet_most + 1e-9)
    return max(1, min(wanted, room))


MOST_LAYERS = 12
"""Assumed: nobody glues more into a fence; a number beyond it is a slip of the pen."""


@rule(source="derived")
def fence_thick(fence_layers: int, fence_sheet_nominal: float) -> float:
    """Thickness of the fences."""
    if not 1 <= fence_layers <= MOST_LAYERS:
        raise DesignError("fence_layers", f"{fence_layers} layers make no fence",
                          f"fence_layers: 1 to {MOST_LAYERS}")  # fmt: skip
    return fence_layers * fence_sheet_nominal


@rule(unit="", source="common practice, no source: M6 or 1/4; M5 where the fence is thin or low")
def fence_bolt_size(
    hardware: str, fence_layers: int, fence_sheet_least: float, fence_top: float,
    fence_foot: float, sheet_most: float, shelf: Shelf,
) -> str:  # fmt: skip
    """Size of the coach bolts that hold the fences."""
    sizes = ("M6", "M5") if hardware == "metric" else ("1/4",)
    had = sizes_on(shelf, "coach bolt", sizes)
    if not had:
        none = f"no coach bolt of {' or '.join(sizes)} is on the shelf"
        raise DesignError("fence_bolt_size", none, f"coach bolt: {{{sizes[0]}: [50]}} on the shelf")
    thick = fence_layers * fence_sheet_least
    fitting = [size for size in had if _fits(size, thick, sheet_most, fence_foot, fence_top)]
    return (fitting or list(had[-1:]))[0]


def _fits(size: str, thick: float, base: float, foot: float, top: float) -> bool:
    """Does the neck stay in a fence so thick, and is there room for two bolts in its height?"""
    row, washer = tables.coach_bolt(size), tables.washer(size, "large").outer_diameter
    recess = row.head_diameter + 1.5
    lowest = _lowest_bolt(base, washer, foot, recess)
    two = max(washer, recess) + 3 + recess / 2 + 6
    return thick - row.head_height - 1 >= row.neck_depth and top >= lowest + two + 1


def _lowest_bolt(base: float, washer: float, foot: float, recess: float) -> float:
    """Least height of a bolt: its washer above the base, its sunk head above the fence's foot."""
    return max(base + washer / 2 + 4, foot + recess / 2 + 6)


@rule(source="coach head and 1.5 mm; DIN 603 or ASME B18.5", standing=Standing.TABLE)
def fence_recess(fence_bolt_size: str) -> float:
    """Width of the sunk slots for the coach heads in the fences."""
    return up_to(tables.coach_bolt(fence_bolt_size).head_diameter + 1.5, 0.5)


@rule(source="head height and 1 mm", standing=Standing.TABLE)
def fence_recess_depth(fence_bolt_size: str) -> float:
    """Depth of those slots."""
    return up_to(tables.coach_bolt(fence_bolt_size).head_height + 1, 0.5)


@rule(source="square neck and 0.4 mm, and what the cutter can cut: the bolt slides, cannot spin",
      standing=Standing.TABLE)  # fmt: skip
def fence_slot(fence_bolt_size: str, routed_corner: float) -> float:
    """Width of the free fence's through slots."""
    row = tables.coach_bolt(fence_bolt_size)
    neck = max(row.neck_width, tables.thread(fence_bolt_size).major_diameter)
    return max(up_to(neck + 0.4, 0.1), 2 * routed_corner + 0.2)


@rule(source="ISO 7093 (large washers), or wide inch washers", standing=Standing.TABLE)
def fence_washer(fence_bolt_size: str) -> float:
    """Outer diameter of the washers behind the fixed face."""
    return tables.washer(fence_bolt_size, "large").outer_diameter


@rule(
    source="common practice, no source: spread of the batch, 2 mm to open, 2 mm either way to set"
)
def fence_travel(depth_least: float, depth_nominal: float, depth_most: float) -> float:
    """How far a fence can be set along y."""
    return up_to(2 * max(depth_most - depth_nominal, depth_nominal - depth_least) + 6, 1)


@rule(source="derived: 8 mm of wood beside the sunk slot; clear of the ribs by washer and spanner")
def fence_bolt_at(
    fence_recess: float, fence_travel: float, fence_slot: float, depth_nominal: float,
    rib_at: tuple[float, ...], sheet_most: float, fence_washer: float,
) -> float:  # fmt: skip
    """From a fence's edge at the piece to its bolts."""
    beside = fence_recess / 2 + fence_travel / 2 + fence_slot / 2 + 8
    behind = max(rib_at) + sheet_most / 2 + fence_washer / 2 + 4 - depth_nominal / 2
    return up_to(max(beside, behind), 0.5)


@rule(source="derived: the slots in its middle")
def fence_width(
    fence_bolt_at: float, fence_recess: float, fence_travel: float, fence_slot: float
) -> float:
    """Width of a fence along y."""
    return fence_bolt_at + fence_recess / 2 + fence_travel / 2 + fence_slot / 2 + 8


@rule(
    source="common practice, no source: as far apart as fence and base leave; one bolt would pivot"
)
def fence_bolts_z(
    fence_top: float, fence_foot: float, sheet_most: float, fence_washer: float,
    fence_recess: float,
) -> tuple[float, ...]:  # fmt: skip
    """Heights of a fence's two bolts above the table."""
    low = up_to(_lowest_bolt(sheet_most, fence_washer, fence_foot, fence_recess), 0.5)
    high = math.floor(2 * (fence_top - fence_recess / 2 - 6)) / 2
    if high - low < max(fence_washer, fence_recess) + 3:
        short = max(fence_washer, fence_recess) + 3 - (high - low)
        raise DesignError(
            "fence_bolts_z",
            f"between {low:g} mm, above base and fence's foot, and the fence's top at "
            f"{fence_top:g} mm there is no room for two bolts, one above the other",
            f"a sheet for the base, a cut or a piece that leaves {math.ceil(short)} mm more, "
            f"for example pieces {math.ceil(short)} mm longer, or a riser under them",
        )
    return (low, high)


@rule(source="fence, face, washer, nut, two threads; next length that can be had",
      standing=Standing.TABLE)  # fmt: skip
def fence_bolt_length(
    fence_layers: int, fence_sheet_most: float, fence_recess_depth: float, sheet_most: float,
    fence_bolt_size: str, shelf: Shelf,
) -> float:  # fmt: skip
    """Length of the fences' coach bolts."""
    grip = fence_layers * fence_sheet_most - fence_recess_depth + sheet_most
    need = grip + tables.washer(fence_bolt_size, "large").thickness
    need += tables.hex_nut(fence_bolt_size).height + 2 * tables.thread(fence_bolt_size).pitch
    return length_for(shelf, "coach bolt", fence_bolt_size, need)
