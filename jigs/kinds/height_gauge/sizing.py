"""Sizing rules of the height-setting gauge: arch, bar, key and where they stand."""

from __future__ import annotations

import math
from typing import Literal

from jigs.errors import DesignError
from jigs.kinds._common import SLACK_OF_KEY, up_to
from jigs.mechanics.chord import drop_under_arch, sagitta
from jigs.model.number import Rules, Standing

COMMON = "common practice, no source"
rule = Rules()


@rule(source=COMMON)
def arch_radius(dome_radius: float, axis_x_error: float) -> float:
    """Radius of the arched underside: twice the dome's, so that the crown is met before the rim.

    Flatter still where that costs more than 0.05 mm of height: e^2 / (2 (R - r)), to first order.
    """
    return up_to(max(2 * dome_radius, dome_radius + axis_x_error**2 / (2 * 0.05)), 1)


@rule(source=COMMON)
def arch_width(end_diameter: float) -> float:
    """Width of the arch: the end's diameter and 1.5 mm each side, up to the next 5 mm."""
    return up_to(end_diameter + 3, 5)


@rule(unit="", source="derived: slots along y guide the bar, and nothing else does")
def keyed(table_slots_along: str, table_slot_mouth: float) -> bool:
    """Does a key in a slot of the table guide the gauge? Slots under 5 mm take no key of wood."""
    return table_slots_along == "y" and table_slot_mouth >= 5


@rule(source=COMMON)
def flat_width(keyed: bool) -> float:
    """Width of each flat beside the arch; one of them carries the key."""
    return 30.0 if keyed else 25.0


@rule(source="derived: sagitta of the arch")
def crown_height(arch_radius: float, arch_width: float) -> float:
    """Height of the arch's crown above the table: the height of every piece's end."""
    return sagitta(arch_radius, arch_width)


@rule(source=COMMON)
def bar_width(arch_width: float, flat_width: float) -> float:
    """Width of the bar along x."""
    return arch_width + 2 * flat_width


@rule(source=COMMON)
def bar_height(crown_height: float) -> float:
    """Height of the bar: 40 mm of wood above the crown, up to the next 5 mm."""
    return up_to(crown_height + 40, 5)


@rule(source=COMMON)
def overhang(axis_y: float, end_diameter: float) -> float:
    """How far the bar reaches in front of the table: over the whole end and 5 mm more."""
    return up_to(max(0.0, -axis_y) + end_diameter / 2 + 5, 1)


@rule(unit="", source=COMMON)
def slices(made: str, overhang: float, sheet_least: float) -> int:
    """Number of slices: at least twice the overhang rests on the table. 1 if printed."""
    return math.ceil(3 * overhang / sheet_least - 1e-9) if made == "stack" else 1


MOST_SLICES = 100
"""Assumed: nobody cuts and glues more; a number beyond it is a slip of the pen."""


@rule(source="derived: slices times the measured thickness; printed: thrice the overhang")
def bar_length(made: str, slices: int, sheet_nominal: float, overhang: float) -> float:
    """Length of the bar along y."""
    if not 1 <= slices <= MOST_SLICES:
        raise DesignError("slices", f"{slices} slices make no bar", f"1 to {MOST_SLICES} slices")
    return slices * sheet_nominal if made == "stack" else up_to(3 * overhang, 5)


@rule(source="derived: length less overhang")
def bearing(bar_length: float, overhang: float) -> float:
    """Length that rests on the table."""
    return bar_length - overhang


@rule(source=COMMON)
def key_width(table_slot_mouth: float) -> float:
    """Width of the key in the table's slot."""
    return max(0.0, table_slot_mouth - SLACK_OF_KEY)


@rule(source="common practice, no source: printed holes and grooves come out small")
def print_clearance() -> float:
    """Allowance on the width of what a printed part takes in."""
    return 0.3


@rule(source="derived: the key; in a printed bar with its allowance")
def groove_width(key_width: float, made: str, print_clearance: float) -> float:
    """Width of the key's groove in the bar."""
    return key_width + print_clearance if made == "print" and key_width else key_width


@rule(source=COMMON)
def key_groove(flat_width: float) -> float:
    """Depth of the key's groove in the bar."""
    return min(8.0, flat_width / 3)


@rule(source=COMMON)
def key_reach(table_slot_lip: float) -> float:
    """How far the key stands into the slot's mouth, clear of the wide part."""
    return max(0.0, min(6.0, table_slot_lip - 2))


@rule(unit="", source="common practice, no source: the flat that puts the piece nearest the middle")
def key_side(
    table_slots_at: tuple[float, ...], keyed: bool, arch_width: float, flat_width: float,
    table_width: float, asked_x: tuple[float, ...],
) -> Literal["left", "right"]:  # fmt: skip
    """The flat that carries the key, seen from the front: the right one where both serve alike."""
    if not keyed:
        return "right"
    about, out = _wanted_x(asked_x, table_width), (arch_width + flat_width) / 2
    left, right = (min(_off(slot, at, about) for slot in table_slots_at) for at in (-out, out))
    return "left" if left < right else "right"


@rule(source="derived: middle of the flat")
def key_x(arch_width: float, flat_width: float, key_side: Literal["left", "right"]) -> float:
    """From the piece's axis to the middle of the key, to the right."""
    out = arch_width / 2 + flat_width / 2
    return -out if key_side == "left" else out


@rule(source=COMMON)
def slot_x(
    table_slots_at: tuple[float, ...], keyed: bool, key_x: float, table_width: float,
    asked_x: tuple[float, ...],
) -> float:  # fmt: skip
    """The table's slot that the key runs in: the one that puts the piece nearest to its place.

    That is where the user asks for it, else the table's middle. Of two alike a key on the right
    takes the left one, a key on the left the right one: so a mirrored machine mirrors the place.
    """
    about = _wanted_x(asked_x, table_width)
    if not keyed:
        return about + key_x
    side = -1 if key_x < 0 else 1
    return min(table_slots_at, key=lambda slot: (_off(slot, key_x, about), side * slot))


def _wanted_x(asked_x: tuple[float, ...], table_width: float) -> float:
    return asked_x[0] if asked_x else table_width / 2


def _off(slot: float, key_x: float, about: float) -> float:
    """How far a key in that slot puts the piece from where it is wanted, mm; noise rounded off."""
    return round(abs(slot - key_x - about), 6)


@rule(source="derived: the slot less the key's distance")
def gauge_x(slot_x: float, key_x: float) -> float:
    """Where the gauge puts the piece's axis along the table."""
    return slot_x - key_x


@rule(source=COMMON)
def dowel_diameter(flat_width: float) -> float:
    """Dowels that line the slices up."""
    return 10.0 if flat_width >= 24 else 8.0


@rule(source=COMMON)
def aside(axis_x_error: float) -> float:
    """How far to the side the piece's axis may stand under the arch."""
    return axis_x_error


@rule(
    source="assumed: play of key, stop and program together; set by a pencil line without a key",
    standing=Standing.ASSUMED,
)
def axis_x_error(keyed: bool) -> float:
    """Sideways error between gauge and piece."""
    return 0.6 if keyed else 1.5


@rule(source="derived: circle on circle")
def height_error(arch_radius: float, dome_radius: float, aside: float) -> float:
    """How much lower a piece is set that stands aside by that much."""
    return drop_under_arch(arch_radius, dome_radius, aside)


def radius_as_drawn(chord: float, rise: float) -> float:
    """Radius of an arch from what stands in the drawing, so that a crown as built counts, mm.

    Raises DesignError for an arch of more than half a circle. Source: Pythagoras.
    """
    if rise > chord / 2:
        raise DesignError(
            "crown_height",
            f"an arch {rise:g} mm high over {chord:g} mm is more than half a circle",
            f"crown_height: {chord / 2:g} or less",
        )
    return chord**2 / (8 * rise) + rise / 2
