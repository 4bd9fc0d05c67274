"""Where the parts of the split-ring handle clamp stand, and where they put the piece."""

from __future__ import annotations

from dataclasses import replace

from jigs import tables
from jigs.kinds.split_ring.board_sizing import DISH_DEPTH, KEY_GROOVE, PAD_HOLE
from jigs.kinds.split_ring.fastenings import (
    FASTENINGS,
    OUT,
    At,
    corners,
    dowel_poses,
    face_y,
)
from jigs.mechanics.liner import axis_offset
from jigs.model.kind import Offset, Placed
from jigs.model.number import Book
from jigs.model.pose import Pose
from jigs.model.state import Phase, State


def all_poses(n: Book, state: State) -> list[Placed]:
    """Fixed things by the machine, the moving half by the piece that it closes on."""
    y_fixed, y_moving = bores(n, state)
    bottom = n.ring_top - n.ring_height
    middle = n.ring_top - n.ring_height / 2
    placed = [
        Placed("fixed half", "fixed_half", Pose.to(0, y_fixed, bottom), "fixed"),
        Placed("fixed liner", "liner", Pose.to(0, y_fixed, bottom), "fixed"),
        Placed("moving half", "moving_half", Pose.to(0, y_moving, bottom), "moving"),
        Placed("moving liner", "liner",
               Pose.to(0, y_moving, bottom) @ Pose.turned("z", 180), "moving"),
    ]  # fmt: skip
    floor = y_fixed + n.stand_off + n.dado_depth
    face = y_fixed + n.stand_off + n.sheet_nominal
    seat = floor - n.head_recess_depth
    front = y_moving - (n.bore_radius + n.moving_wall)
    thick = tables.washer(n.drawbolt_size, "large").thickness
    for side, sign in (("left", -1), ("right", 1)):
        x = sign * n.bolt_x
        placed += [
            Placed(f"drawbolt {side}", "drawbolt", Pose.to(x, seat, middle) @ OUT, "fixed"),
            Placed(f"drawbolt washer {side}", "washer", Pose.to(x, front, middle) @ OUT, "moving"),
            Placed(
                f"drawbolt nut {side}",
                "nut",
                Pose.to(x, front - thick, middle) @ OUT,
                "moving",
            ),
        ]
        x = sign * n.mount_x
        step = y_fixed + n.gap / 2
        placed += [
            Placed(
                f"mounting bolt {side}",
                "mounting_bolt",
                Pose.to(x, face - n.head_recess_depth, middle) @ OUT,
                "fixed",
            ),
            Placed(f"mounting washer {side}", "washer", Pose.to(x, step, middle) @ OUT, "fixed"),
            Placed(f"mounting nut {side}", "nut", Pose.to(x, step - thick, middle) @ OUT, "fixed"),
        ]
    return [
        *placed,
        *_board_poses(n),
        *_jack_poses(n, state, y_fixed),
    ]


def piece_place(n: Book, state: State) -> Offset:
    """Against the fixed half when touching or closed; midway when the ring is open."""
    y_fixed, y_moving = bores(n, state)
    if state.phase is Phase.OPEN:
        return Offset(dx=0.0, dy=(y_fixed + y_moving) / 2)
    return Offset(dx=0.0, dy=y_fixed + axis_from_bore(n, state))


def axis_from_bore(n: Book, state: State) -> float:
    """From the fixed bore's centre to the axis of this state's piece."""
    diameter = n[f"grip_diameter_{state.piece.value}"].value
    assert isinstance(diameter, float)
    depth = n.squeeze if state.phase is Phase.CLOSED else 0.0
    return axis_offset(n.lined_radius, diameter / 2, depth)


def bores(n: Book, state: State) -> tuple[float, float]:
    """y of the two bores' centres in the work frame."""
    fixed = -n.nominal_offset
    if state.phase is Phase.OPEN:
        return fixed, fixed - (n.open_gap - n.gap)
    return fixed, fixed + 2 * axis_from_bore(n, state)


def _board_poses(n: Book) -> list[Placed]:
    """The back board, what it hangs on, and what brings it back."""
    way, face = FASTENINGS[n.hang_by], face_y(n)
    placed = [Placed("back board", "back_board", Pose.to(0, face, 0) @ OUT, "fixed")]
    placed += [part for at in corners(n) for part in way.poses(n, at)]
    if not n.board_key_width:
        return placed + dowel_poses(n)
    z, x = n.hang_z[0] - n.end_height, -(n.board_width + n.stop_width) / 2
    key = Pose((-n.hang_x / 2, face - KEY_GROOVE, z)) @ Pose.turned("y", 90)
    return [
        *placed,
        Placed("board key", "board_key", key @ Pose.turned("z", 90), "fixed"),
        Placed("stop block", "stop_block", Pose.to(x, face, z) @ OUT, "stop"),
        *(replace(p, group="stop") for p in way.poses(n, At("of the stop", x, z))),
    ]


def _jack_poses(n: Book, state: State, y_fixed: float) -> list[Placed]:
    length = n[f"length_{state.piece.value}"].value
    assert isinstance(length, float)
    floor = y_fixed + n.stand_off + n.dado_depth
    below = n.shelf_top - n.shelf_thickness
    pad_top = -length + DISH_DEPTH
    tip = pad_top - n.pad_height + PAD_HOLE
    placed = [
        Placed("shelf", "shelf", Pose.to(0, floor, below), "shelf"),
        Placed("insert", "insert",
               Pose.to(0, 0, n.shelf_top) @ Pose.turned("x", 180), "shelf"),
        Placed("jack screw", "jack_screw", Pose.to(0, 0, tip - n.jack_length), "shelf"),
        Placed("pad", "pad", Pose.to(0, 0, pad_top - n.pad_height), "shelf"),
    ]  # fmt: skip
    head = y_fixed + n.stand_off + n.sheet_nominal
    for side, sign in (("left", -1), ("right", 1)):
        placed.append(
            Placed(f"shelf screw {side}", "shelf_screw",
                   Pose.to(sign * n.shelf_width / 3, head, below + n.sheet_nominal / 2)
                   @ Pose.turned("x", 90), "shelf")
        )  # fmt: skip
    return placed
