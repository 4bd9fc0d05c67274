"""What must hold of the end-grain clamp's numbers over the whole batch."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jigs import tables
from jigs.kinds.end_grain_clamp.placing import clear_land
from jigs.kinds.end_grain_clamp.sizing import (
    BELOW_CUTTER,
    COMMON,
    FINGERS_BELOW,
    highest,
)
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.number import Book

DERIVED = "derived"


def number_checks(n: Book) -> Sequence[Finding]:
    """What must hold of the clamp's numbers for the whole batch."""
    return [
        *_heights(n), *_closing(n), *_fences(n), *_wood(n), *_hold(n), *_foot(n), *_on_table(n)
    ]  # fmt: skip


def _heights(n: Book) -> list[Finding]:
    """Jaws below what moves over them, and high enough to hold."""
    clear = {
        name: highest(
            n.end_least, n.cut_depth, n.stick_out, n.under_gantry, swept, inside,
            n.cutter_diameter, n.collet_nut_diameter, n.dust_hood_diameter, n.dust_hood_below,
        )
        for name, swept, inside in (
            ("jaw", n.swept_x, n.width_least / 2), ("fence", n.swept_y, n.depth_least / 2)
        )
    }  # fmt: skip
    gripped = n.jaw_top - n.grip_from
    return [
        at_least(clear["jaw"] + BELOW_CUTTER - n.jaw_top, BELOW_CUTTER, group="reach",
                 check="jaws below what moves over them", source=COMMON, levers=("-jaw_top",),
                 why="cutter, collet nut, hood or gantry, on the shortest piece"),
        at_least(clear["fence"] + BELOW_CUTTER - n.fence_top, BELOW_CUTTER, group="reach",
                 check="fences below what moves over them", source=COMMON,
                 levers=("-fence_top",), why="cutter, collet nut, hood or gantry"),
        at_most(n.end_most, n.under_gantry - BELOW_CUTTER, group="reach",
                check="the longest piece stands under the gantry", source=COMMON,
                why="or hold it in front of the table"),
        at_least(n.jaw_top - n.rise, n.length_most / 2, group="hold",
                 check="jaws reach half the longest piece's height", source=COMMON,
                 levers=("+jaw_top",), why="what stands out further shakes under the cutter"),
        at_least(gripped, 20.0, group="hold", check="gripped height", source=COMMON,
                 levers=("+jaw_top",),
                 why="above the chip rebate at the jaw's foot, or above the riser"),
    ]  # fmt: skip


def _closing(n: Book) -> list[Finding]:
    """The jaws open wide enough, close far enough, and the drawbolts reach."""
    room = n.closed_least - n.backer_in_x
    thick = tables.washer(n.drawbolt_size, "large").thickness
    stack = thick + tables.hex_nut(n.drawbolt_size).height
    return [
        at_least(n.opening - n.backer_in_x, n.width_most + 2, group="fit",
                 check="the thickest piece goes in", source=COMMON, levers=("+opening",),
                 why="1 mm on each side"),
        at_most(room, n.width_least - 1, group="fit", check="the jaws close on the thinnest piece",
                source=COMMON, levers=("-closed_least",)),
        at_least(n.drawbolt_length, n.drawbolt_need, group="fit",
                 check="drawbolts take the knob when open", source=DERIVED,
                 levers=("+drawbolt_length",)),
        at_least(n.closed_least - stack, 3.0, group="fit",
                 check="the inner nuts clear the moving face", source=COMMON,
                 levers=("+closed_least",), why="closed on the thinnest piece"),
        at_least(n.base_slot, n.hold_hole + (0.0 if n.slides_along else n.travel + 1.0),
                 group="fit", check="the moving base's slots take its travel", source=DERIVED,
                 levers=("+base_slot",)),
    ]  # fmt: skip


def _fences(n: Book) -> list[Finding]:
    """Fences thick enough to steady the piece, and never nipped between the jaws."""
    # The jaws must close on the piece, not on the fences.
    thickest = n.closed_least - n.backer_in_x - 2
    neck = tables.coach_bolt(n.fence_bolt_size).neck_depth
    return [
        at_most(n.fence_layers * n.fence_sheet_most, thickest, group="fit",
                check="fences thinner than the piece", levers=("-fence_layers",),
                source=COMMON, why=f"or the jaws close on the fences: a fence_sheet of "
                f"{max(0.0, thickest):g} mm or less would do", governs="the thinnest piece"),
        at_least(n.fence_layers * n.fence_sheet_least, 0.3 * n.width_least, group="fit",
                 check="fences wide enough to steady the piece", source=COMMON,
                 levers=("+fence_layers",),
                 why=f"a fence_sheet of {0.3 * n.width_least:.1f} mm or more would do"),
        at_least(n.fence_layers * n.fence_sheet_least - n.fence_recess_depth, neck, group="fit",
                 check="the coach necks stay within the fence", source="DIN 603 or ASME B18.5",
                 why="or they jam in the round holes of the face",
                 levers=("-fence_recess_depth",)),
        at_least(n.drawbolt_y - n.drawbolt_washer / 2,
                 n.depth_nominal / 2 + n.backer_in_y + n.fence_width + n.fence_travel / 2,
                 group="fit", check="drawbolts clear the fences", source=DERIVED,
                 levers=("+drawbolt_y",), why="with a fence set furthest out"),
    ]  # fmt: skip


def _wood(n: Book) -> list[Finding]:
    """Wood round every bolt, under the dados, and at the foot of the faces."""
    return [
        at_least(n.jaw_top - n.drawbolt_height - n.drawbolt_washer / 2, 5.0, group="strength",
                 check="wood above the drawbolts' washers", source=COMMON,
                 levers=("-drawbolt_height",)),
        at_least(n.drawbolt_height - n.knob_diameter / 2 - n.sheet_most, FINGERS_BELOW, group="fit",
                 check="fingers between drawbolt knobs and base", source=COMMON,
                 levers=("+drawbolt_height",)),
        at_least(n.sheet_least - n.dado_depth, n.sheet_least / 2, group="strength",
                 check="sheet left under the dados", source=COMMON, levers=("-dado_depth",)),
        at_least(n.sheet_least - n.dado_depth - n.chip_rebate, 4.0, group="strength",
                 check="sheet left at the foot of the faces", source=COMMON,
                 levers=("-chip_rebate", "-dado_depth")),
        at_most(n.screw_diameter, max(3.0, n.sheet_least / 3), group="strength",
                check="screws thin against the sheet", source=COMMON,
                levers=("-screw_diameter",), why="or the rib's edge splits"),
    ]  # fmt: skip


def _hold(n: Book) -> list[Finding]:
    """The hold-downs' studs fit the table and reach through the knobs."""
    grip = n.hold_below + n.sheet_most + tables.washer(n.hold_size, "large").thickness
    found = [
        at_least(n.hold_length - grip, n.hold_knob_height, group="fit",
                 check="hold-down studs reach through their knobs", source=DERIVED,
                 levers=("+hold_length",))
    ]  # fmt: skip
    tip = max(n.hold_length - n.hold_below, n.stop_length - n.hold_below)
    found.append(
        at_most(tip, min(n.end_least, n.under_gantry - BELOW_CUTTER), group="reach",
                check="studs end below the piece's end", source=COMMON,
                levers=("-hold_length", "-stop_length"))
    )  # fmt: skip
    if n.located_by == "key":
        found.append(
            at_least(n.sheet_least - n.key_groove, n.sheet_least / 2, group="strength",
                     check="base left over the key's groove", source=COMMON,
                     levers=("-key_groove",))
        )  # fmt: skip
    if n.hold_by == "insert":
        found.append(
            at_most(tables.wood_insert(n.hold_size).length, n.table_board_depth, group="place",
                    check="the board takes the inserts", source="DIN 7965")
        )  # fmt: skip
    if n.hold_by == "threaded hole":
        diameter = tables.thread(n.hold_size).major_diameter
        found.append(
            at_least(n.hold_below, diameter, group="strength", check="thread engaged in the table",
                     source="common practice, no source: one diameter")
        )  # fmt: skip
    return found


def _foot(n: Book) -> list[Finding]:
    """The piece stands on metal, its edges over no slot; a riser answers for itself."""
    mouth = n.table_slot_mouth
    if not mouth or n.rise:
        return []
    across_u, across_v = n.anchors_u, n.anchors_v
    clear = min(
        clear_land(n.place_u, n.width_most, across_u, mouth) if across_u else math.inf,
        clear_land(n.place_v, n.depth_most, across_v, mouth) if across_v else math.inf,
    )
    narrow = n.width_least if across_u else n.depth_least
    return [
        at_least(clear, 0.5, group="place", check="the piece's edges stand on metal",
                 source=COMMON, why="an edge over a slot's mouth rocks; else a riser under it"),
        at_least(narrow, mouth + 2, group="place", check="the piece is wider than a slot",
                 source=COMMON, why=f"or it can drop into one; from {mouth + 2:g} mm up it cannot. "
                 "Else a riser under it"),
    ]  # fmt: skip


def _on_table(n: Book) -> list[Finding]:
    """Bases and stop lie on the table, and the user's own place fits the anchors."""
    u0, u1, v0, v1 = n.table_extent
    stop = n.stop_width if n.located_by == "key" else 0.0
    left = n.place_u[1] - n.width_nominal / 2 - n.fixed_base_end
    right = n.place_u[1] - n.width_nominal / 2 + n.opening + n.moving_base_end
    low, high = n.place_v[1] - n.base_width / 2, n.place_v[1] + n.base_width / 2
    if n.slides_along:
        left -= stop
    elif n.stop_side < 0:
        low -= stop
    else:
        high += stop
    found = [
        at_least(min(left - u0, u1 - right), 0.0, group="place", source=DERIVED,
                 check="bases and stop lie on the table, along x of the jig",
                 levers=("-rib_depth",), why="with the jaws open"),
        at_least(min(low - v0, v1 - high), 0.0, group="place", source=DERIVED,
                 check="bases and stop lie on the table, along y of the jig",
                 levers=("-base_width",)),
    ]  # fmt: skip
    for axis, wanted, mine in (("x", n.axis_x, n.clamp_x), ("y", n.axis_y, n.clamp_y)):
        if abs(wanted - mine) > 1e-9:
            found.append(
                at_most(abs(wanted - mine), 0.05, group="place", source=DERIVED,
                        check=f"the setup's {axis} agrees with the anchors",
                        why=f"{axis}: {mine:g} would do, or leave {axis} out")
            )  # fmt: skip
    return found
