"""Sizing rules of the split-ring handle clamp, in the order in which a maker would ask for them."""

from __future__ import annotations

import math

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._common import up_to
from jigs.kinds._hardware import Shelf, length_for, sizes_on, spring_for
from jigs.mechanics.liner import axis_offset
from jigs.model.number import Rules, Standing

COMMON = "common practice, no source"
rule = Rules()


# The bore, its lining, and how far it closes


@rule(source=COMMON)
def bore_clearance(bore_tolerance: float, liner_tolerance: float) -> float:
    """Clearance on radius between lining and thickest piece; never less than the tolerances."""
    return max(0.5, bore_tolerance + liner_tolerance)


@rule(
    source="assumed: a routed or drilled bore in solid wood, on radius", standing=Standing.ASSUMED
)
def bore_tolerance() -> float:
    """How far the radius of the bore may be off."""
    return 0.15


@rule(source="derived: half the thickest piece, lining, clearance")
def bore_radius(grip_diameter_most: float, liner_thickness: float, bore_clearance: float) -> float:
    """Radius of the bore in the wood."""
    return grip_diameter_most / 2 + liner_thickness + bore_clearance


@rule(source="derived")
def lined_radius(bore_radius: float, liner_thickness: float) -> float:
    """Radius inside the lining."""
    return bore_radius - liner_thickness


@rule(source='"average design limits are 15 % compression" (Designing with rubber)')
def squeeze(liner_thickness: float, liner_tolerance: float) -> float:
    """Deepest compression of each lining when closed: 15 % of the thinnest that may be sold."""
    return squeeze_for(liner_thickness, liner_tolerance)


def squeeze_for(liner: float, tolerance: float) -> float:
    """Compression that a lining of that thickness is given, mm: 15 % of the thinnest sold."""
    return math.floor(150 * (liner - tolerance) + 1e-6) / 1000


@rule(unit="turns", source="derived: both linings, over the thread's pitch")
def closing_turns(squeeze: float, drawbolt_size: str) -> float:
    """Turns of each drawbolt nut after first touch."""
    return 2 * squeeze / tables.thread(drawbolt_size).pitch


@rule(source="derived: what the thinnest piece needs, 1 mm left, and the tolerances")
def gap(
    grip_diameter_least: float, grip_diameter_most: float, bore_clearance: float, squeeze: float,
    bore_tolerance: float, liner_tolerance: float,
) -> float:  # fmt: skip
    """Gap between the split faces when both bores share one centre."""
    spread = grip_diameter_most - grip_diameter_least
    need = spread + 2 * bore_clearance + 2 * squeeze + 1 + 2 * (bore_tolerance + liner_tolerance)
    return up_to(need, 0.1)


@rule(source="derived: at the seat")
def nominal_offset(lined_radius: float, grip_diameter_nominal: float, squeeze: float) -> float:
    """From the fixed bore's centre to the nominal piece's axis, closed."""
    return axis_offset(lined_radius, grip_diameter_nominal / 2, squeeze)


@rule(source="derived: the widest part passes with 1 mm each side")
def open_gap(widest: float, lined_radius: float, gap: float) -> float:
    """Gap between the split faces to which the ring is opened for loading."""
    return up_to(max(gap, widest + 2 - 2 * lined_radius + gap), 0.5)


# Height of the ring and where it hangs


@rule(source=COMMON)
def ring_drop(grip_from: float, end_height: float) -> float:
    """Ring's top below the table: 2 mm for the gauge, more where the grip starts lower."""
    return max(2.0, grip_from + 2 - end_height)


@rule(source="common practice: 40 mm, or what the grip leaves less 2 mm")
def ring_height(grip_to: float, ring_drop: float, end_height: float) -> float:
    """Height of the ring along the piece."""
    return min(40.0, math.floor(grip_to - 2 - end_height - ring_drop))


@rule(source="derived: end height and drop, below the piece's end")
def ring_top(end_height: float, ring_drop: float) -> float:
    """Top of the ring in the work frame."""
    return -(end_height + ring_drop)


# Bolts


@rule(unit="", source="the largest that can be had long enough, whose heads leave ply and large "
      "washers 5 mm of wood above and below")  # fmt: skip
def drawbolt_size(
    hardware: str, shelf: Shelf, ring_height: float, seat_depth: float, dado_depth: float,
    bore_radius: float, wall: float, gap: float, open_gap: float, sheet_least: float,
) -> str:  # fmt: skip
    """Size of the drawbolts and of the bolts that hold the fixed half."""
    series = ("M8", "M6", "M5") if hardware == "metric" else ("5/16", "1/4")
    sizes = sizes_on(shelf, "coach bolt", series) or series
    thin_moving = moving_depth(bore_radius, wall, gap)

    def need(size: str) -> float:
        recess = head_recess_depth(size)
        fixed = fixed_depth(stand_off(seat_depth, gap, recess, dado_depth), dado_depth, gap)
        return fixed - recess + open_gap + thin_moving + end_beyond_grip(size)

    long_enough = [s for s in sizes if can_be_had(shelf, "coach bolt", s, need(s))] or sizes
    fitting = [
        s for s in long_enough if tables.washer(s, "large").outer_diameter + 10 <= ring_height
    ]
    ply = sheet_least - dado_depth
    with_ply = [s for s in fitting if ply - head_recess_depth(s) >= ply_under_head(s)]
    return (with_ply or fitting or long_enough[-1:])[0]


@rule(source="ISO 7093 (large washers), or wide inch washers", standing=Standing.TABLE)
def washer_diameter(drawbolt_size: str) -> float:
    """Outer diameter of the large washers."""
    return tables.washer(drawbolt_size, "large").outer_diameter


@rule(source="ISO 273 medium", standing=Standing.TABLE)
def drawbolt_hole(drawbolt_size: str) -> float:
    """Clearance hole of the drawbolts."""
    return tables.clearance_hole(drawbolt_size).hole_medium


@rule(source="coach head and 1.5 mm; DIN 603 or ASME B18.5", standing=Standing.TABLE)
def head_recess(drawbolt_size: str) -> float:
    """Diameter of the counterbores for the coach heads."""
    return up_to(tables.coach_bolt(drawbolt_size).head_diameter + 1.5, 0.5)


@rule(source="head height and 1 mm", standing=Standing.TABLE)
def head_recess_depth(drawbolt_size: str) -> float:
    """Depth of those counterbores."""
    return up_to(tables.coach_bolt(drawbolt_size).head_height + 1, 0.5)


@rule(source=COMMON)
def bolt_x(bore_radius: float, drawbolt_hole: float) -> float:
    """From the axis to each drawbolt: 8 mm of wood beside the bore."""
    return up_to(bore_radius + 8 + drawbolt_hole / 2, 1)


@rule(source=COMMON)
def moving_width(bolt_x: float, washer_diameter: float) -> float:
    """Width of the moving half: the washers have wood round them."""
    return 2 * up_to(bolt_x + washer_diameter / 2 + 3, 1)


@rule(source=COMMON)
def mount_x(moving_width: float, washer_diameter: float) -> float:
    """From the axis to each mounting bolt, outside the moving half: a spanner fits."""
    return up_to(moving_width / 2 + washer_diameter / 2 + 3, 1)


@rule(source=COMMON)
def fixed_width(mount_x: float, washer_diameter: float) -> float:
    """Width of the fixed half."""
    return 2 * up_to(mount_x + washer_diameter / 2 + 3, 1)


@rule(source=COMMON)
def wall(bore_radius: float) -> float:
    """Wood behind the bore at the seat."""
    return up_to(max(20.0, 0.7 * bore_radius), 1)


@rule(source=COMMON)
def dado_depth(sheet_least: float) -> float:
    """Depth of the dados in the back board: a quarter of the sheet."""
    return round(sheet_least / 4 * 2) / 2


@rule(source="derived: the larger of body and wall")
def seat_depth(
    body_half_depth: float, bore_radius: float, wall: float, dado_depth: float,
    lined_radius: float, grip_diameter_least: float, squeeze: float,
) -> float:  # fmt: skip
    """From the back board's surface to the bore's centre, as piece and wall need it."""
    furthest = axis_offset(lined_radius, grip_diameter_least / 2, squeeze)
    body = body_half_depth + furthest + 1 if body_half_depth else 0.0
    return max(body, bore_radius + wall - dado_depth)


@rule(source="derived: piece and wall, or 20 mm of wood under the bolt heads")
def stand_off(seat_depth: float, gap: float, head_recess_depth: float, dado_depth: float) -> float:
    """From the back board's surface to the bore's centre (A0)."""
    heads = gap / 2 + head_recess_depth + 20 - dado_depth
    return up_to(max(seat_depth, heads), 0.5)


@rule(source="derived: front face, back board, stand-off, nominal offset")
def axis_y(front_y: float, sheet_nominal: float, stand_off: float, nominal_offset: float) -> float:
    """The nominal piece's axis in the machine frame."""
    return front_y - sheet_nominal - stand_off + nominal_offset


@rule(source="derived: from the split face to the floor of the dado")
def fixed_depth(stand_off: float, dado_depth: float, gap: float) -> float:
    """Wood that a drawbolt passes in the fixed half, counterbore and all."""
    return stand_off + dado_depth - gap / 2


@rule(source="the wall, thickened until a bolt of a length that is sold has no thread to spare")
def moving_wall(
    wall: float, bore_radius: float, gap: float, fixed_depth: float, head_recess_depth: float,
    open_gap: float, drawbolt_size: str, shelf: Shelf,
) -> float:  # fmt: skip
    """Wood before the bore in the moving half, under the nuts."""
    grip = fixed_depth - head_recess_depth + open_gap + bore_radius + wall - gap / 2
    need = grip + end_beyond_grip(drawbolt_size)
    spare = length_for(shelf, "coach bolt", drawbolt_size, need) - need
    return wall + math.floor(spare)


@rule(source="derived")
def moving_depth(bore_radius: float, moving_wall: float, gap: float) -> float:
    """Wood that a drawbolt passes in the moving half."""
    return bore_radius + moving_wall - gap / 2


@rule(source="grip at full opening, washer, nut, two threads; next length to be had",
      standing=Standing.TABLE)  # fmt: skip
def drawbolt_length(
    fixed_depth: float, head_recess_depth: float, open_gap: float, moving_depth: float,
    drawbolt_size: str, shelf: Shelf,
) -> float:  # fmt: skip
    """Length of the drawbolts, so that the nut is still on when the ring is open."""
    grip = fixed_depth - head_recess_depth + open_gap + moving_depth
    need = grip + end_beyond_grip(drawbolt_size)
    return length_for(shelf, "coach bolt", drawbolt_size, need)


@rule(source="grip, washer, nut, two threads; next length to be had", standing=Standing.TABLE)
def mount_length(
    sheet_most: float, dado_depth: float, head_recess_depth: float, fixed_depth: float,
    drawbolt_size: str, shelf: Shelf,
) -> float:  # fmt: skip
    """Length of the bolts that hold the fixed half to the back board."""
    grip = sheet_most - dado_depth - head_recess_depth + fixed_depth
    need = grip + end_beyond_grip(drawbolt_size)
    return length_for(shelf, "coach bolt", drawbolt_size, need)


# Springs


@rule(source="spring over its bolt and 2 mm", standing=Standing.TABLE)
def spring_recess(drawbolt_size: str) -> float:
    """Diameter of the recesses that take the springs."""
    row = spring_for(drawbolt_size)
    return up_to(row.inner_diameter + 2 * row.wire_diameter + 1.5, 0.5)


@rule(source="the springs push with their last 2 mm when open, so that they take little from the "
      "bolts when closed, in no more than a third of either half; never solid",
      standing=Standing.TABLE)  # fmt: skip
def spring_recess_depth(
    drawbolt_size: str, least_gap_left: float, open_gap: float, fixed_depth: float,
    moving_depth: float,
) -> float:  # fmt: skip
    """Depth of those recesses in each half."""
    row = spring_for(drawbolt_size)
    not_solid = up_to(max(1.0, (row.solid_length - least_gap_left) / 2 + 0.5), 0.5)
    wanted = min((row.free_length - 2 - open_gap) / 2, fixed_depth / 3, moving_depth / 3)
    return max(not_solid, math.floor(2 * wanted) / 2)


@rule(source="derived: g - 2 e of the thinnest piece")
def least_gap_left(
    gap: float, lined_radius: float, grip_diameter_least: float, squeeze: float
) -> float:
    """Gap left between the split faces, closed on the thinnest piece."""
    return gap - 2 * axis_offset(lined_radius, grip_diameter_least / 2, squeeze)


def can_be_had(shelf: Shelf, family: str, size: str, at_least: float) -> bool:
    """Is there a bolt of that family and size, at least that long, mm?"""
    try:
        length_for(shelf, family, size, at_least)
    except DesignError:
        return False
    return True


def ply_under_head(size: str) -> float:
    """Ply that a mounting bolt's head needs under it, mm: its square neck and 2 mm."""
    return tables.coach_bolt(size).neck_depth + 2


def end_beyond_grip(size: str) -> float:
    """Washer, nut and two threads beyond the grip, mm."""
    thread, nut = tables.thread(size), tables.hex_nut(size)
    return tables.washer(size, "large").thickness + nut.height + 2 * thread.pitch
