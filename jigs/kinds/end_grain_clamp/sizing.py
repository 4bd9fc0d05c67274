"""Sizing rules of jaws, fences and drawbolts, in the order in which a maker would ask for them."""

from __future__ import annotations

import math

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._common import up_to
from jigs.kinds._hardware import Shelf, length_for, sizes_on
from jigs.kinds._knob import Knob
from jigs.model.number import Rules, Standing

COMMON = "common practice, no source"
rule = Rules()

FACE_CLEAR = 0.5
"""mm between the table and the foot of a face: the piece stands on the table, the face on none."""

CHIP_REBATE = 3.0
"""mm high at the foot of each face's inner side: chips do not lift the piece."""

FENCE_CLEAR = 2.0
"""mm between the table and the foot of a fence."""

FINGERS = 15.0
"""mm beside a knob for the fingers. Common practice, no source."""

FINGERS_BELOW = 10.0
"""mm between a knob and the base under it. Common practice, no source."""

BELOW_CUTTER = 5.0
"""mm that nothing of the jig comes nearer to what moves above it. Common practice, no source."""


# What sweeps over the jaws


@rule(source="common practice, no source: half the cutter and 2 mm beyond the piece, both ends")
def swept_x(
    cut_does: str, cut_direction: str, cut_width: float, cutter_diameter: float, width_most: float
) -> float:
    """How far from the axis the cutter's edge comes, along the jig's x."""
    return _swept(cut_does, cut_direction == "x", cut_width, cutter_diameter, width_most)


@rule(source="common practice, no source: half the cutter and 2 mm beyond the piece, both ends")
def swept_y(
    cut_does: str, cut_direction: str, cut_width: float, cutter_diameter: float, depth_most: float
) -> float:
    """How far from the axis the cutter's edge comes, along the jig's y."""
    return _swept(cut_does, cut_direction == "y", cut_width, cutter_diameter, depth_most)


def _swept(does: str, along: bool, wide: float, cutter: float, across_piece: float) -> float:
    if does == "tenon" or (does == "slot" and along):
        return across_piece / 2 + 2 + cutter
    return max(wide, cutter) / 2


@rule(source="derived: on the table, or on a riser")
def end_least(length_least: float, rise: float) -> float:
    """Height of the shortest piece's end above the table."""
    return length_least + rise


@rule(source="derived: on the table, or on a riser")
def end_most(length_most: float, rise: float) -> float:
    """Height of the longest piece's end above the table."""
    return length_most + rise


@rule(source="derived: above the chip rebate, and where the piece stands on a riser, from its top")
def grip_from(rise: float) -> float:
    """Height above the table from which the faces grip the piece."""
    return max(FACE_CLEAR + CHIP_REBATE, rise)


@rule(source="common practice, no source: 2 mm above the table, or above a plate that lies there")
def fence_foot(under_fences: float) -> float:
    """Height of the fences' foot above the table."""
    return FENCE_CLEAR + under_fences


def highest(
    end_least: float, cut_depth: float, stick_out: float, under_gantry: float,
    swept: float, inside: float, cutter_diameter: float, collet_nut_diameter: float,
    dust_hood_diameter: float, dust_hood_below: float,
) -> float:  # fmt: skip
    """How high a thing that begins `inside` from the axis may stand on the table, mm."""
    floor = end_least - cut_depth
    path = swept - cutter_diameter / 2
    tops = [end_least - BELOW_CUTTER, under_gantry - BELOW_CUTTER]
    if swept > inside:
        tops.append(floor - BELOW_CUTTER)
    if path + collet_nut_diameter / 2 > inside:
        tops.append(floor + stick_out - BELOW_CUTTER)
    if dust_hood_diameter and path + dust_hood_diameter / 2 > inside:
        tops.append(floor + stick_out - dust_hood_below - BELOW_CUTTER)
    return math.floor(2 * min(tops) + 1e-9) / 2


@rule(source="the least of what cutter, collet nut, dust hood and gantry leave, less 5 mm")
def jaw_top(
    end_least: float, cut_depth: float, stick_out: float, under_gantry: float, swept_x: float,
    width_least: float, cutter_diameter: float, collet_nut_diameter: float,
    dust_hood_diameter: float, dust_hood_below: float,
) -> float:  # fmt: skip
    """Height of the jaws above the table."""
    return highest(
        end_least, cut_depth, stick_out, under_gantry, swept_x, width_least / 2,
        cutter_diameter, collet_nut_diameter, dust_hood_diameter, dust_hood_below,
    )  # fmt: skip


@rule(source="the least of what cutter, collet nut, dust hood and gantry leave, less 5 mm")
def fence_top(
    end_least: float, cut_depth: float, stick_out: float, under_gantry: float, swept_y: float,
    depth_least: float, cutter_diameter: float, collet_nut_diameter: float,
    dust_hood_diameter: float, dust_hood_below: float, jaw_top: float,
) -> float:  # fmt: skip
    """Height of the fences above the table; no higher than the jaws."""
    top = highest(
        end_least, cut_depth, stick_out, under_gantry, swept_y, depth_least / 2,
        cutter_diameter, collet_nut_diameter, dust_hood_diameter, dust_hood_below,
    )  # fmt: skip
    return min(top, jaw_top)


# Opening and backer


@rule(source="common practice, no source: thick enough to stand by itself above its screws")
def backer(cut_does: str) -> float:
    """Thickness of the sacrificial backer on the exit side of a slot; 0 = none is needed."""
    return 12.0 if cut_does == "slot" else 0.0


@rule(source="derived: a slot along the width leaves through the moving face")
def backer_in_x(backer: float, cut_direction: str) -> float:
    """Backer between piece and moving face."""
    return backer if cut_direction == "x" else 0.0


@rule(source="derived: a slot along the depth leaves through the datum fence")
def backer_in_y(backer: float, cut_direction: str) -> float:
    """Backer between piece and datum fence."""
    return backer if cut_direction == "y" else 0.0


@rule(source="common practice, no source: thickest piece and 3 mm")
def opening(width_most: float, backer_in_x: float) -> float:
    """Distance between the faces for loading."""
    return width_most + backer_in_x + 3


@rule(source="common practice, no source: thinnest piece less 1 mm")
def closed_least(width_least: float, backer_in_x: float) -> float:
    """Distance down to which the faces must be able to close."""
    return width_least + backer_in_x - 1


@rule(source="derived")
def travel(opening: float, closed_least: float) -> float:
    """Travel of the moving jaw."""
    return opening - closed_least


# Jaws


@rule(source="common practice, no source: 3 mm, a sixth of a thin sheet")
def chip_rebate(sheet_nominal: float) -> float:
    """Depth of the rebate at the foot of each face's inner side."""
    return min(CHIP_REBATE, round(sheet_nominal / 6, 1))


@rule(source="common practice, no source: a quarter of the sheet; a third takes a quarter of the "
      "face's strength")  # fmt: skip
def dado_depth(sheet_nominal: float) -> float:
    """Depth of the dados and of the face's rebate."""
    return round(sheet_nominal / 4 * 2) / 2


@rule(source="common practice, no source: the largest sheet thickness and 0.1 mm")
def dado_width(sheet_most: float) -> float:
    """Width of the dados and height of the rebate."""
    return sheet_most + 0.1


@rule(
    unit="",
    source="common practice, no source: two, or as many as stand 45 mm apart; one where narrow",
)
def ribs(depth_least: float, sheet_most: float) -> int:
    """Ribs behind each face."""
    if depth_least / 2 < sheet_most / 2 + 3:
        return 1
    return max(2, 1 + math.floor((depth_least - sheet_most) / 45 + 1e-9))


MOST_RIBS = 24
"""Behind a jaw of a metre. Assumed: a number beyond it is a slip of the pen."""


@rule(source="derived: middles within the piece's depth; 6 mm between two dados")
def rib_at(ribs: int, depth_least: float, sheet_most: float) -> tuple[float, ...]:
    """Middles of the ribs along y."""
    if not 1 <= ribs <= MOST_RIBS:
        does = "hold no face up" if ribs < 1 else "are more than any jaw has"
        raise DesignError("rib_at", f"{ribs} ribs {does}", f"1 to {MOST_RIBS} ribs")
    if ribs == 1:
        return (0.0,)
    reach = max(depth_least / 2 - sheet_most / 2, sheet_most / 2 + 3)
    return tuple(round(-reach + 2 * reach * i / (ribs - 1), 6) for i in range(ribs))


@rule(source=COMMON)
def rib_height(jaw_top: float) -> float:
    """Top of the ribs above the table: 10 mm below the jaw's."""
    return jaw_top - 10


@rule(source="common practice, no source: half the jaw's height, 40 mm at least")
def rib_depth(jaw_top: float) -> float:
    """How far a rib reaches behind its face."""
    return max(40.0, up_to(jaw_top / 2, 5))


@rule(source="the shortest wood screw that reaches 20 mm into the rib", standing=Standing.TABLE)
def screw_length(sheet_most: float, dado_depth: float, screw_diameter: float) -> float:
    """Length of the screws through base and face into the ribs."""
    need = sheet_most - dado_depth + 20
    lengths = tables.wood_screw(screw_diameter).lengths
    return next((length for length in lengths if length >= need), lengths[-1])


@rule(source="common practice, no source: a quarter of the sheet, so that its edge does not split")
def screw_diameter(sheet_least: float) -> float:
    """Diameter of those screws."""
    return next((d for d in (5.0, 4.5, 4.0, 3.5) if d <= sheet_least / 4), 3.0)


# Drawbolts


@rule(unit="", source="common practice, no source: M8 or 5/16, in light work M6 or 1/4")
def drawbolt_size(hardware: str, sheet_nominal: float, width_least: float, shelf: Shelf) -> str:
    """Thread of the drawbolts."""
    sizes = ("M8", "M6") if hardware == "metric" else ("5/16", "1/4")
    had = sizes_on(shelf, "threaded rod", sizes)
    if not had:
        raise DesignError("drawbolt_size", f"no rod of {' or '.join(sizes)} is on the shelf",
                          f"threaded rod: {{{sizes[-1]}: [1000]}} on the shelf")  # fmt: skip
    light = sheet_nominal < 15 or width_least < 25
    return had[-1] if light else had[0]


@rule(source="common practice, no source: six times the thread, up to the next 5 mm")
def knob_diameter(drawbolt_size: str, knob_made: str) -> float:
    """Diameter of the drawbolts' knobs over the lobes."""
    return Knob(drawbolt_size, knob_made).diameter


@rule(source="common practice, no source: its thread, and as much wood below it as a nut is high")
def knob_height(drawbolt_size: str, knob_made: str) -> float:
    """Height of the drawbolts' knobs."""
    return Knob(drawbolt_size, knob_made).height


@rule(source="ISO 7093 (large washers), or wide inch washers", standing=Standing.TABLE)
def drawbolt_washer(drawbolt_size: str) -> float:
    """Outer diameter of the drawbolts' washers."""
    return tables.washer(drawbolt_size, "large").outer_diameter


@rule(source="ISO 273 medium", standing=Standing.TABLE)
def drawbolt_hole(drawbolt_size: str) -> float:
    """Clearance holes of the drawbolts."""
    return tables.clearance_hole(drawbolt_size).hole_medium


@rule(source="middle of the gripped height, but clear of the base for knob and fingers")
def drawbolt_height(
    grip_from: float, jaw_top: float, sheet_most: float, knob_diameter: float
) -> float:
    """Height of the drawbolts above the table."""
    middle = (grip_from + jaw_top) / 2
    return up_to(max(middle, sheet_most + knob_diameter / 2 + FINGERS_BELOW), 0.5)


@rule(source="beyond fence and washer, and beyond the ribs by knob and fingers")
def drawbolt_y(
    depth_nominal: float, backer_in_y: float, fence_width: float, fence_travel: float,
    drawbolt_washer: float, rib_at: tuple[float, ...], sheet_most: float, knob_diameter: float,
) -> float:  # fmt: skip
    """From the piece's middle to each drawbolt along y."""
    beside = (
        depth_nominal / 2 + backer_in_y + fence_width + fence_travel / 2 + drawbolt_washer / 2 + 2
    )
    behind = max(rib_at) + sheet_most / 2 + knob_diameter / 2 + FINGERS
    return up_to(max(beside, behind), 1)


@rule(source="derived: nut and washer on each side of the fixed face; two threads at each end")
def drawbolt_need(
    drawbolt_size: str, sheet_most: float, opening: float, knob_height: float
) -> float:
    """Least length of the drawbolts: the knob still on when the jaw is open."""
    thread, nut = tables.thread(drawbolt_size), tables.hex_nut(drawbolt_size)
    thick = tables.washer(drawbolt_size, "large").thickness
    fixed = 2 * thread.pitch + nut.height + thick + sheet_most
    return fixed + opening + sheet_most + thick + knob_height + 2 * thread.pitch


@rule(source="that length, cut in steps of 5 mm", standing=Standing.TABLE)
def drawbolt_length(drawbolt_need: float, drawbolt_size: str, shelf: Shelf) -> float:
    """Length of the drawbolts, threaded all along."""
    return length_for(shelf, "threaded rod", drawbolt_size, drawbolt_need)


@rule(source="derived: closed on the thinnest piece")
def spring_room(closed_least: float, drawbolt_size: str) -> float:
    """Room between a drawbolt's inner nut and the moving face, for an opening spring."""
    thick = tables.washer(drawbolt_size, "large").thickness
    return max(0.0, closed_least - tables.hex_nut(drawbolt_size).height - thick)


@rule(source=COMMON)
def jaw_length(drawbolt_y: float, drawbolt_washer: float) -> float:
    """Length of the faces along y: 12 mm of wood beyond the drawbolts' washers."""
    return up_to(2 * (drawbolt_y + drawbolt_washer / 2 + 12), 1)
