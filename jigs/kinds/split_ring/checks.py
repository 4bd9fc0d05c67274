"""What must hold of the split ring's numbers over the whole batch."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jigs import tables
from jigs.kinds.split_ring.sizing import COMMON
from jigs.mechanics.liner import contact_half_angle, lip_angle
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.number import Book


def number_checks(n: Book) -> Sequence[Finding]:
    """What must hold of the ring's numbers for the whole batch."""
    least = n.grip_diameter_least / 2
    angle = contact_half_angle(n.lined_radius, least, n.squeeze, n.gap)
    lip = math.degrees(lip_angle(n.lined_radius, n.gap))
    governs = f"the thinnest piece, {n.grip_diameter_least:g} mm"
    hang = tables.thread(n.hang_size)
    return [
        at_least(math.degrees(angle), 20.0, group="fit", check="lining touches over", of="ring",
                 unit="deg each side", governs=governs, source="derived; 20 deg is common practice",
                 why="less is an edge, not a seat", levers=("+liner_thickness", "+squeeze")),
        at_least(n.least_gap_left, 1.0, group="fit", check="gap left when closed", of="ring",
                 governs=governs, source="derived", levers=("+gap",),
                 why="or the halves meet before they grip"),
        at_least(lip, 60.0, group="fit", check="reach of the lining", of="ring", source=COMMON,
                 unit="deg each side", why="so that the lips do not bite",
                 levers=("-gap", "+liner_thickness")),
        at_least(n.bore_clearance, n.bore_tolerance + n.liner_tolerance, group="fit",
                 check="clearance to the thickest piece", of="ring", source="derived",
                 why="a piece larger than the lined bore wedges at the lips",
                 levers=("+bore_clearance",)),
        at_most(n.squeeze / n.liner_thickness * 100, 15.0, group="hold", unit="%",
                check="squeeze of the lining", of="ring",
                source='"average design limits are 15 % compression" (Designing with rubber)',
                levers=("-squeeze", "+liner_thickness")),
        at_most((n.taper + n.ovality) / 2, n.squeeze, group="fit", of="ring",
                check="taper and ovality taken up", source="derived",
                why="the lining must touch over the whole height",
                levers=("+squeeze", "+liner_thickness")),
        at_least(n.ring_height, n.washer_diameter + 10, group="fit", of="ring",
                 check="height takes the washers", source=COMMON, levers=("+ring_height",)),
        at_most(n.grip_from + 2, n.end_height + n.ring_drop, group="fit", of="ring",
                check="lining starts within the grip", source=COMMON, levers=("+ring_drop",)),
        at_most(n.end_height + n.ring_drop + n.ring_height, n.grip_to - 2, group="fit",
                of="ring", check="lining ends within the grip", source=COMMON,
                levers=("-ring_height", "-ring_drop")),
        at_least(n.ring_drop, 2.0, group="fit", check="ring below the table", of="ring",
                 source=COMMON, why="the gauge lies over it", levers=("+ring_drop",)),
        at_least(tables.coach_bolt(n.drawbolt_size).thread_length(n.drawbolt_length),
                 thread_needed(n), group="fit", check="drawbolt thread reaches", of="ring",
                 why="or the nut runs out of thread before the ring closes",
                 source="DIN 603 thread length", governs=governs, levers=("-open_gap",)),
        at_least(n.hang_head_width, n.front_slot_mouth + 3, group="place", of="ring",
                 check="T-slot head wider than the mouth", source=COMMON),
        at_least(hang.major_diameter, 5.0, group="place", of="ring", unit="mm thread",
                 check="hanging bolts", source=COMMON),
        at_least(n.board_foot + n.end_height, n.front_bottom, group="place", of="ring",
                 check="back board ends above the face's foot", source="derived"),
        at_least(n.front_right - n.front_left, n.board_width, group="place", of="ring",
                 check="back board fits the face's width", source="derived"),
    ]  # fmt: skip


def thread_needed(n: Book) -> float:
    """From the bolt's end back to the nut's inner face, closed on the thinnest piece."""
    grip = n.fixed_depth - n.head_recess_depth + n.least_gap_left + n.moving_depth
    return float(n.drawbolt_length - grip - tables.washer(n.drawbolt_size, "large").thickness)
