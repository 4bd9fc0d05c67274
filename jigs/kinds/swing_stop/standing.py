"""Where the parts of the swing stop stand, where they put the piece, and what touches what."""

from __future__ import annotations

import math

from jigs import tables
from jigs.kinds import _front
from jigs.kinds._knob import Knob
from jigs.kinds.swing_stop.boarding import DOWEL, KEY_GROOVE
from jigs.kinds.swing_stop.clamping import bars_at
from jigs.kinds.swing_stop.parts import (
    dowels,
    end_screws,
    shim_id,
    side_screws,
    side_stop_edge,
)
from jigs.kinds.swing_stop.shimming import Stack, shims_for
from jigs.mechanics.liner import axis_offset
from jigs.model.kind import BoardHole, Offset, Placed
from jigs.model.number import Book
from jigs.model.pose import Pose
from jigs.model.state import Limit, Phase, State

OUT = Pose.turned("x", 90)
"""Local z towards the operator, local y up."""

IN = Pose.turned("x", -90)
"""Local z towards the machine."""

ALONG = OUT @ Pose.turned("z", 90)
"""As OUT, with the part's local y along the slot."""

SIDES = (("left", -1), ("right", 1))


def all_poses(n: Book, state: State) -> list[Placed]:
    """Studs and board by the machine, bars by the piece, shims by its diameter."""
    placed: list[Placed] = []
    back = bar_back(n, state)
    for name, z in bars_at(n):
        placed += [
            Placed(name, "bar", Pose.to(0, back, z) @ OUT, "bars"),
            Placed(f"{name} pad", "pad", Pose.to(0, back, z - n.bar_height / 2), "bars"),
        ]
        for side, sign in SIDES:
            placed += _stud(n, f"{name} {side}", sign * n.stud_x, z, back - n.bar_thick)
    return placed + (_behind(n, state) if n.bars == 1 else _board(n))


def _stud(n: Book, name: str, x: float, z: float, front: float) -> list[Placed]:
    """One stud with its lock nut against board or face, and the knob on the bar's front."""
    thick = tables.washer(n.stud_size, "large").thickness
    locked = float(n.surface_at if n.bars == 2 else n.face_at)
    knob = Knob(n.stud_size, n.knob_made)
    return [
        *_in_the_face(n, f"{name} stud", "stud", x, z),
        Placed(f"{name} lock washer", "stud_washer", Pose.to(x, locked, z) @ OUT, "studs"),
        Placed(f"{name} lock nut", "lock_nut", Pose.to(x, locked - thick, z) @ OUT, "studs"),
        Placed(f"{name} washer", "stud_washer", Pose.to(x, front, z) @ OUT, "bars"),
        *knob.place(name, Pose.to(x, front - thick, z) @ OUT, "bars"),
    ]


def _in_the_face(n: Book, name: str, part: str, x: float, z: float) -> list[Placed]:
    """A stud, and what it holds on to."""
    deep = Pose.to(x, n.face_at + n.stud_below, z)
    placed = [Placed(name, part, deep @ OUT, "studs")]
    if n.stud_by == _front.NUT:
        placed.append(Placed(f"{name} T-slot nut", "t_slot_nut", deep @ ALONG, "studs"))
    if n.stud_by == _front.INSERT:
        placed.append(Placed(f"{name} insert", "stud_insert", deep @ OUT, "studs"))
    return placed


def piece_offset(n: Book, state: State) -> Offset:
    """With two bars against side stop, board and end stop; one bar decides nothing."""
    if n.bars == 1:
        return Offset()
    return placed_by_stops(n, *(_of(n, word, state.piece) for word in ("width", "depth", "length")))


def placed_by_stops(n: Book, width: float, depth: float, length: float) -> Offset:
    """Where both stops and the board put a piece of those sizes, mm."""
    return Offset(
        dx=(width - n.width_nominal) / 2, dy=(n.depth_nominal - depth) / 2,
        dz=length - n.length_nominal,
    )  # fmt: skip


def bar_back(n: Book, state: State) -> float:
    """y of the bars' backs in this state, pads before them."""
    squeezed = float(n.pad_squeeze) if state.phase is Phase.CLOSED else 0.0
    back = front_of_piece(n, state) - float(n.liner_thickness) + squeezed
    return back - float(n.back_off) if state.phase is Phase.OPEN else back


def front_of_piece(n: Book, state: State) -> float:
    """y of the piece's front, or the body's, where the pads press: as if clamped when open."""
    if n.bars == 2:
        return float(n.surface_at - _of(n, "depth", state.piece))
    depth = 0.0 if state.phase is Phase.SETTING else n.squeeze
    return axis_at(n, state.piece, depth) + float(n.body_offset_y - n.body_depth / 2)


def axis_at(n: Book, limit: Limit, squeeze: float) -> float:
    """y of the axis of a piece in the ring, squeezed by so much, mm."""
    radius = _of(n, "grip_diameter", limit) / 2
    return axis_offset(n.lined_radius, radius, squeeze) - float(n.nominal_offset)


def room_behind(n: Book, diameter: float) -> float:
    """A(r) - depth / 2: between back board and body of a piece of that grip diameter, closed."""
    e = axis_offset(n.lined_radius, diameter / 2, n.squeeze)
    return float(n.stand_off - e - n.body_half_depth)


def stack_for(n: Book, diameter: float) -> Stack:
    """The shims to hang for a piece of that grip diameter, mm, thickest first."""
    return shims_for(n.shim_set, room_behind(n, diameter) - n.packer)


def shim_names(stack: Stack) -> list[str]:
    """A name for each shim of a stack: its part, numbered where there are two alike."""
    return [
        f"shim {t:g}" + (f" {stack[:i].count(t) + 1}" if stack.count(t) > 1 else "")
        for i, t in enumerate(stack)
    ]


def _behind(n: Book, state: State) -> list[Placed]:
    """Packer and shims, flush against the ring's back board."""
    z, y = bars_at(n)[0][1], float(n.surface_at)
    placed = []
    if n.packer:
        placed.append(Placed("packer", "packer", Pose.to(0, y, z) @ OUT, "shims"))
        y -= n.packer
    stack = stack_for(n, _of(n, "grip_diameter", state.piece))
    for name, thick in zip(shim_names(stack), stack, strict=True):
        placed.append(Placed(name, shim_id(thick), Pose.to(0, y, z) @ OUT, "shims"))
        y -= thick
    return placed


def _board(n: Book) -> list[Placed]:
    """The back board, both stops with their screws, and what brings the board back."""
    face, floor = float(n.face_at), float(n.surface_at + n.dado_depth)
    edge, foot = side_stop_edge(n), float(n.end_stop_at - n.end_stop_tall)
    placed = [
        Placed("back board", "back_board", Pose.to(0, face, 0) @ OUT, "board"),
        Placed("side stop", "side_stop", Pose.to(edge, floor, foot), "board"),
        Placed("end stop", "end_stop", Pose.to(edge, n.surface_at, foot), "board"),
    ]
    placed += [Placed(f"side screw {name}", "side_screw", Pose.to(x, face, z) @ OUT, "board")
               for name, x, z in side_screws(n)]  # fmt: skip
    left, y = edge - n.side_stop_width, n.surface_at - n.side_stop_proud / 2
    placed += [
        Placed(
            f"end screw {name}", "end_screw", Pose.to(left, y, z) @ Pose.turned("y", 90), "board"
        )
        for name, z in end_screws(n)
    ]
    if not n.board_key_width:
        return placed + [
            Placed(f"dowel {name}", "dowel", Pose.to(x, n.surface_at, z) @ IN, "board")
            for name, x, z in dowels(n)
        ]
    return placed + _key_and_stop(n, face)


def _key_and_stop(n: Book, face: float) -> list[Placed]:
    z, x = bars_at(n)[0][1], -(n.back_width + n.stop_width) / 2
    thick = tables.washer(n.stud_size, "large").thickness
    key = Pose((-n.stud_x / 2, face - KEY_GROOVE, z)) @ Pose.turned("y", 90)
    front = face - n.sheet_nominal
    return [
        Placed("board key", "board_key", key @ Pose.turned("z", 90), "board"),
        Placed("stop block", "stop_block", Pose.to(x, face, z) @ OUT, "stop"),
        *_in_the_face(n, "stop stud", "stop_stud", x, z),
        Placed("stop washer", "stud_washer", Pose.to(x, front, z) @ OUT, "stop"),
        Placed("stop nut", "lock_nut", Pose.to(x, front - thick, z) @ OUT, "stop"),
    ]


def bored_for(n: Book) -> list[BoardHole]:
    """Holes for inserts and dowels, where the front face is a board to screw into."""
    if n.stud_by != _front.INSERT:
        return []
    row, face = tables.wood_insert(n.stud_size), float(n.face_at)
    holes = [
        BoardHole("front face", (sign * n.stud_x, face, z), row.hole_diameter, row.length,
                  f"insert {n.stud_size}, {name} {side}")
        for name, z in bars_at(n) for side, sign in SIDES
    ]  # fmt: skip
    return holes + [
        BoardHole("front face", (x, face, z), DOWEL, n.dowel_reach, f"dowel {name}")
        for name, x, z in dowels(n)
    ]


def tilt_of(n: Book, rest: float) -> float:
    """How far a rest behind the body tilts the piece about the ring's middle, rad."""
    lever = n.ring_top - n.ring_height / 2 - bars_at(n)[0][1]
    return math.atan2(abs(rest), lever)


def _of(n: Book, word: str, limit: Limit) -> float:
    return float(n[f"{word}_{limit.value}"].value)  # type: ignore[arg-type]
