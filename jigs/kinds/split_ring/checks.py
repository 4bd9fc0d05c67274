"""What must hold of the split ring's numbers over the whole batch."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jigs import tables
from jigs.kinds.split_ring.board_sizing import DISH_DEPTH, PAD_HOLE
from jigs.kinds.split_ring.closing import LEAST_ANGLE
from jigs.kinds.split_ring.hang_checks import hang_checks
from jigs.kinds.split_ring.sizing import COMMON, end_beyond_grip, ply_under_head
from jigs.mechanics.liner import contact_half_angle, lip_angle
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.number import Book


def number_checks(n: Book) -> Sequence[Finding]:
    """What must hold of the ring's numbers for the whole batch."""
    least = n.grip_diameter_least / 2
    angle = contact_half_angle(n.lined_radius, least, n.squeeze, n.gap)
    lip = math.degrees(lip_angle(n.lined_radius, n.gap))
    governs = f"the thinnest piece, {n.grip_diameter_least:g} mm"
    return [
        at_least(
            math.degrees(angle),
            LEAST_ANGLE,
            group="fit",
            check="lining touches over",
            unit="deg each side",
            governs=governs,
            source="derived; 20 deg is common practice",
            why="less is an edge, not a seat" + _split_words(n, math.degrees(angle)),
            levers=("+liner_thickness", "+squeeze"),
        ),
        at_least(
            n.least_gap_left - 2 * (n.bore_tolerance + n.liner_tolerance),
            1.0,
            group="fit",
            check="gap left when closed",
            governs=governs,
            source="derived; 1 mm is common practice",
            levers=("+gap",),
            why="tolerances taken off, or the halves meet before they grip",
        ),
        at_least(
            lip,
            60.0,
            group="fit",
            check="reach of the lining",
            source=COMMON,
            unit="deg each side",
            why="so that the lips do not bite",
            levers=("-gap", "+liner_thickness"),
        ),
        at_least(
            n.lined_radius - n.grip_diameter_most / 2,
            n.bore_tolerance + n.liner_tolerance,
            group="fit",
            check="clearance to the thickest piece",
            source="derived",
            why="a piece larger than the lined bore wedges at the lips",
            levers=("+bore_clearance", "+bore_radius", "-liner_thickness"),
        ),
        at_most(
            n.squeeze / (n.liner_thickness - n.liner_tolerance) * 100,
            15.0,
            group="hold",
            unit="%",
            check="squeeze of the lining",
            source='"average design limits are 15 % compression" (Designing with rubber)',
            levers=("-squeeze", "+liner_thickness"),
        ),
        at_most(
            (n.taper + n.ovality) / 2,
            n.squeeze,
            group="fit",
            check="taper and ovality taken up",
            source="derived",
            why="the lining must touch over the whole height",
            levers=("+squeeze", "+liner_thickness"),
        ),
        at_least(
            n.ring_height,
            n.washer_diameter + 10,
            group="fit",
            check="height takes the washers",
            source=COMMON,
            levers=("+ring_height",),
        ),
        at_most(
            n.grip_from + 2,
            n.end_height + n.ring_drop,
            group="fit",
            check="lining starts within the grip",
            source=COMMON,
            levers=("+ring_drop",),
        ),
        at_most(
            n.end_height + n.ring_drop + n.ring_height,
            n.grip_to - 2,
            group="fit",
            check="lining ends within the grip",
            source=COMMON,
            levers=("-ring_height", "-ring_drop"),
        ),
        at_least(
            n.ring_drop,
            2.0,
            group="fit",
            check="ring below the table",
            source=COMMON,
            why="the gauge lies over it",
            levers=("+ring_drop",),
        ),
        at_least(
            tables.coach_bolt(n.drawbolt_size).thread_length(n.drawbolt_length),
            thread_needed(n),
            group="fit",
            check="drawbolt thread reaches",
            why="or the nut runs out of thread before the ring closes; a rod threaded all along, "
            "with a nut let in for a head, has no such end",
            source="DIN 603 thread length",
            governs=governs,
            levers=("-open_gap",),
        ),
        at_least(
            2 * n.lined_radius,
            n.widest,
            group="fit",
            check="everything above the foot passes the bore",
            source="derived",
            why="the ring opens in y only; what is wider in x cannot pass",
            levers=("+bore_clearance",),
        ),
        at_least(
            n.sheet_least - n.dado_depth - n.head_recess_depth,
            ply_under_head(n.drawbolt_size),
            group="strength",
            check="ply left under the mounting heads",
            source=COMMON,
            levers=("-dado_depth",),
        ),
        at_least(
            n.open_gap,
            n.gap,
            group="fit",
            check="opens as wide as the bore is cut",
            source="derived",
            why="or it still holds the thickest piece when open",
            levers=("+open_gap",),
        ),
        *hang_checks(n),
        *_stock_checks(n),
        *_length_checks(n),
        _mount_thread(n),
    ]


def _split_words(n: Book, angle: float) -> str:
    """How to split a batch that is too wide for one lining."""
    if angle >= LEAST_ANGLE or len(n.liner_groups) < 2:
        return ""
    first, *rest = n.liner_groups
    told = [f"{first[0]:.4g} to {first[1]:.4g} with {first[2]:.3g} mm"]
    told += [f"to {most:.4g} with {liner:.3g} mm" for _, most, liner in rest]
    return f"; split the batch over linings: {', '.join(told)}"


def _stock_checks(n: Book) -> list[Finding]:
    """What the user's boards and bench allow, where they are given (0 = not given)."""
    found = []
    if n.board_thickest:
        found.append(
            at_most(n.ring_height, n.board_thickest, group="make", source="derived",
                    check="board thick enough for the halves", levers=("-ring_height",),
                    why="or glue the blank up")
        )  # fmt: skip
    if n.front_free_below:
        lowest = n.end_height - n.length_most - n.pad_height + DISH_DEPTH + PAD_HOLE - n.jack_length
        head = tables.hex_bolt(n.jack_size).head_height
        found.append(
            at_least(lowest - head + n.front_free_below, 30.0, group="place",
                     check="a hand gets under the jack", source=COMMON,
                     why="between the jack's head and the bench")
        )  # fmt: skip
    return found


def _length_checks(n: Book) -> list[Finding]:
    """Every nut is fully on with two threads beyond, at the thickest sheets and widest opening."""
    open_grip = n.fixed_depth - n.head_recess_depth + n.open_gap + n.moving_depth
    mount_grip = n.sheet_most - n.dado_depth - n.head_recess_depth + n.fixed_depth
    return [
        at_least(length - grip, end_beyond_grip(size), group="fit",
                 check=f"{name} takes washer, nut and two threads", source="derived",
                 governs=state, levers=(f"+{lever}",))
        for name, lever, length, grip, size, state in (
            ("drawbolt", "drawbolt_length", n.drawbolt_length, open_grip, n.drawbolt_size, "open"),
            ("mounting bolt", "mount_length", n.mount_length, mount_grip, n.drawbolt_size,
             "thickest sheet"),
        )
    ]  # fmt: skip


def _mount_thread(n: Book) -> Finding:
    """A coach bolt is threaded in part: one much too long holds the nut off the half."""
    grip = n.sheet_least - n.dado_depth - n.head_recess_depth + n.fixed_depth
    thick = tables.washer(n.drawbolt_size, "large").thickness
    return at_least(
        tables.coach_bolt(n.drawbolt_size).thread_length(n.mount_length),
        n.mount_length - grip - thick, group="fit", check="mounting bolt thread reaches",
        source="DIN 603 thread length", governs="thinnest sheet", levers=("-mount_length",),
        why="or the nut runs out of thread; a second washer takes up some",
    )  # fmt: skip


def thread_needed(n: Book) -> float:
    """From the bolt's end back to the nut's inner face, closed on the thinnest piece."""
    grip = n.fixed_depth - n.head_recess_depth + n.least_gap_left + n.moving_depth
    return float(n.drawbolt_length - grip - tables.washer(n.drawbolt_size, "large").thickness)
