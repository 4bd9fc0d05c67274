"""What must hold of how the back board hangs on the front face."""

from __future__ import annotations

from jigs import tables
from jigs.kinds.split_ring.hanging import (
    BITE_IN_WOOD,
    BOLTS,
    EDGE,
    NUTS,
    SCREWS,
    WOOD_SCREWS,
    least_reach,
)
from jigs.kinds.split_ring.sizing import COMMON, end_beyond_grip
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.number import Book


def hang_checks(n: Book) -> list[Finding]:
    """The board's place on the face, and what each way of hanging asks."""
    return [*_board_on_face(n), *_OF_WAY[n.hang_by](n)]


def _board_on_face(n: Book) -> list[Finding]:
    upper, lower = n.hang_z
    return [
        _foot_check(n),
        at_least(upper - lower, 40.0, group="place", check="rows of fastenings apart",
                 source=COMMON, why="or the board rocks on them"),
        at_least(n.axis_x - n.board_width / 2 - n.stop_width, n.front_left, group="place",
                 check="back board clears the face's left end", source="derived",
                 why="with its stop block" if n.stop_width else ""),
        at_least(n.front_right, n.axis_x + n.board_width / 2, group="place",
                 check="back board clears the face's right end", source="derived"),
    ]  # fmt: skip


def _foot_check(n: Book) -> Finding:
    """Below the face's foot is air as far down as the bench, where the user says where that is."""
    foot = n.board_foot + n.end_height
    if n.front_free_below:
        return at_least(foot + n.front_free_below, 5.0, group="place", source=COMMON,
                        check="back board ends above the bench")  # fmt: skip
    return at_least(foot, n.front_bottom, group="place", source="derived",
                    check="back board ends above the face's foot",
                    why="what lies below the face is not said: front_face.free_below")  # fmt: skip


def _t_slot_checks(n: Book) -> list[Finding]:
    head = n.hang_head_height if n.hang_by == NUTS else 0.0
    what = "rod" if n.hang_by == NUTS else "T-slot bolt"
    grip = head + n.front_slot_lip + n.sheet_most
    return [
        at_least(n.hang_head_width, n.front_slot_mouth + 3, group="place",
                 check="T-slot head wider than the mouth", source=COMMON),
        at_least(n.hang_length - grip, end_beyond_grip(n.hang_size), group="fit",
                 check=f"{what} takes washer, nut and two threads", source="derived",
                 governs="thickest sheet", levers=("+hang_length",)),
    ]  # fmt: skip


def _screw_checks(n: Book) -> list[Finding]:
    """Into the threads far enough, and never onto the bottom of the hole; and on the grid."""
    thick = tables.washer(n.hang_size, "large").thickness
    row = tables.clearance_hole(n.hang_size)
    play = (row.hole_fine - tables.thread(n.hang_size).major_diameter) / 2
    off = max(
        min(abs(n.axis_x + side * n.hang_x - column) for column in n.front_hole_columns)
        for side in (-1, 1)
    )
    return [
        at_least(n.hang_length - n.sheet_most - thick, least_reach(n.hang_size, n.thread_depth),
                 group="fit", check="hanging screws engage their threads", source=COMMON,
                 governs="thickest sheet", levers=("+hang_length",)),
        at_most(n.hang_length - n.sheet_least - thick, n.thread_depth, group="fit",
                check="hanging screws end above the bottom of their holes", source="derived",
                governs="thinnest sheet", levers=("-hang_length", "+thread_depth"),
                why="or they clamp nothing; a second washer under the head, or set how deep "
                "yours are: thread_depth",
                assumes=(f"threads {n.thread_depth:g} mm deep",)),
        at_most(off, play, group="place", check="hanging screws meet the grid", source="ISO 273",
                why="the piece's x, fixed by the job or by another jig, puts them beside the "
                "holes"),
    ]  # fmt: skip


def _wood_screw_checks(n: Book) -> list[Finding]:
    size = float(n.hang_size)
    upper, lower = n.hang_z
    return [
        at_least(n.hang_length - n.sheet_most, BITE_IN_WOOD * size, group="fit",
                 check="hanging screws bite", source=COMMON, governs="thickest sheet",
                 why="two diameters of thread in the board of the face"),
        at_most(n.hang_length - n.sheet_least, n.front_board_depth - 2, group="fit",
                check="hanging screws stay in the board", source=COMMON,
                governs="thinnest sheet", why="2 mm of board before their tips"),
        at_least(lower - n.front_bottom, EDGE, group="place", source=COMMON,
                 check="hanging screws clear the face's foot"),
        at_least(n.front_top - upper, EDGE, group="place", source=COMMON,
                 check="hanging screws clear the face's top"),
    ]  # fmt: skip


_OF_WAY = {
    BOLTS: _t_slot_checks, NUTS: _t_slot_checks, SCREWS: _screw_checks,
    WOOD_SCREWS: _wood_screw_checks,
}  # fmt: skip
