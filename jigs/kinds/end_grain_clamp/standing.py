"""Where the parts of the end-grain clamp stand, and where they put the piece.

Both jaws are placed in a frame of their own, the same for both: x outward from the face's inner
side, y along the jaw, z up from the table. The fixed jaw's is the moving one's turned half round.
"""

from __future__ import annotations

from jigs import tables
from jigs.kinds.end_grain_clamp.fence_parts import backer_screws_z, fence_bolt_y
from jigs.kinds.end_grain_clamp.parts import (
    DOWEL,
    DOWEL_DEEP,
    dowel_places,
    drawbolt_knob,
    hold_knob,
    key_length,
    key_middle,
)
from jigs.kinds.end_grain_clamp.ribbing import rib_screws
from jigs.kinds.end_grain_clamp.sizing import FACE_CLEAR
from jigs.model.kind import BoardHole, Offset, Placed
from jigs.model.number import Book
from jigs.model.pose import Pose
from jigs.model.state import Limit, Phase, State

SIDES = (("datum", 1), ("free", -1))
"""Names of the two sides along y."""

_OUT = Pose.turned("y", 90)  # z -> x
_BACK = Pose.turned("y", 270)  # z -> -x
_STANDING = Pose.turned("y", 90) @ Pose.turned("z", 90)  # x -> y, y -> z, z -> x
_FACING_IN = Pose.turned("z", 180) @ _STANDING  # x -> -y, y -> z, z -> -x


def gap_of(n: Book, state: State) -> float:
    """Distance between the two faces, mm."""
    if state.phase is Phase.OPEN:
        return float(n.opening)
    return float(_size(n, "width", state) + n.backer_in_x)


def piece_place(n: Book, state: State) -> Offset:
    """Against the fixed face and the datum fence, on table or riser; midway when open."""
    width, depth, length = (_size(n, what, state) for what in ("width", "depth", "length"))
    dz = length - n.length_nominal
    if state.phase is Phase.OPEN:
        dx = (n.opening - n.backer_in_x - n.width_nominal) / 2
        return Offset(dx, (n.depth_nominal - n.depth_most) / 2 - 1, dz)
    return Offset((width - n.width_nominal) / 2, (n.depth_nominal - depth) / 2, dz)


def _size(n: Book, what: str, state: State) -> float:
    value = n[f"{what}_{state.piece.value}"].value
    assert isinstance(value, float)
    return value


def fixed_x(n: Book) -> float:
    """x of the fixed face's inner side, mm."""
    return float(-n.width_nominal / 2)


def jaw_frames(n: Book, state: State) -> tuple[Pose, Pose]:
    """The fixed and the moving jaw's frames in the jig's."""
    table = -n.piece_top
    fixed = Pose.to(fixed_x(n), 0, table) @ Pose.turned("z", 180)
    return fixed, Pose.to(fixed_x(n) + gap_of(n, state), 0, table)


def all_poses(n: Book, state: State) -> list[Placed]:
    """The fixed side where it is bolted down, the moving side by the piece."""
    fixed, moving = jaw_frames(n, state)
    return [
        *_jaw(n, fixed, "fixed"),
        *_jaw(n, moving, "moving"),
        *_fences(n, state),
        *_backer(n, state),
        *_drawbolts(n, state),
        *_hold_downs(n, state),
        *_locating(n, fixed),
    ]


def _jaw(n: Book, jaw: Pose, word: str) -> list[Placed]:
    """Face, base, ribs and their screws."""
    thick, edge = n.sheet_nominal, n.sheet_nominal - n.dado_depth
    placed = [
        Placed(f"{word} face", f"{word}_face", jaw @ Pose.to(thick, 0, FACE_CLEAR) @ _FACING_IN,
               word),
        Placed(f"{word} base", f"{word}_base", jaw @ Pose.to(edge, 0, 0), word),
    ]  # fmt: skip
    for i, y in enumerate(n.rib_at, 1):
        stands = jaw @ Pose.to(edge, y + thick / 2, edge) @ Pose.turned("x", 90)
        placed.append(Placed(f"{word} rib {i}", "rib", stands, word))
        for name, part, at in rib_screws(n):
            if part == "base":
                screw = jaw @ Pose.to(edge + at, y, 0)
            else:
                screw = jaw @ Pose.to(0, y, edge + at) @ _OUT
            placed.append(Placed(f"{word} screw {name} {i}", "rib_screw", screw, word))
    return placed


def _fences(n: Book, state: State) -> list[Placed]:
    x, table = fixed_x(n), -n.piece_top
    depth = _size(n, "depth", state)
    free = n.depth_nominal / 2 - (n.depth_most + 2 if state.phase is Phase.OPEN else depth)
    seat = x + n.fence_thick - n.fence_recess_depth
    back = x - n.sheet_nominal
    thick = tables.washer(n.fence_bolt_size, "large").thickness
    placed = []
    for (name, side), edge in zip(SIDES, (n.depth_nominal / 2 + n.backer_in_y, free), strict=True):
        group = "fences"
        placed.append(
            Placed(f"{name} fence", f"{name}_fence",
                   Pose.to(x, edge, table + n.fence_foot) @ _STANDING, group)
        )  # fmt: skip
        y = fence_bolt_y(n, side)
        for i, height in enumerate(n.fence_bolts_z, 1):
            z = table + height
            placed += [
                Placed(f"{name} fence bolt {i}", "fence_bolt", Pose.to(seat, y, z) @ _BACK, group),
                Placed(f"{name} fence washer {i}", "fence_washer", Pose.to(back, y, z) @ _BACK,
                       group),
                Placed(f"{name} fence nut {i}", "fence_nut", Pose.to(back - thick, y, z) @ _BACK,
                       group),
            ]  # fmt: skip
    return placed


def _backer(n: Book, state: State) -> list[Placed]:
    """Screwed to the moving face or to the datum fence's edge, from the piece's side."""
    if not n.backer:
        return []
    foot = n.under_fences - n.piece_top
    if n.backer_in_x:
        back = Pose.to(fixed_x(n) + gap_of(n, state), 0, foot) @ _FACING_IN
    else:
        back = Pose.to(fixed_x(n), n.depth_nominal / 2 + n.backer, foot) @ Pose.turned("x", 90)
    # A screw's own z runs into the wood: the backer's z the other way round.
    inwards = Pose.turned("x", 180)
    x = 0.0 if n.backer_in_x else n.fence_thick / 2
    group = "moving" if n.backer_in_x else "fences"
    return [
        Placed("backer", "backer", back, group),
        *(
            Placed(f"backer screw {i}", "backer_screw",
                   back @ Pose.to(x, height - n.under_fences, n.backer) @ inwards, group)
            for i, height in enumerate(backer_screws_z(n), 1)
        ),
    ]  # fmt: skip


def _drawbolts(n: Book, state: State) -> list[Placed]:
    """Rods clamped to the fixed face between two nuts; washer and knob behind the moving face."""
    x, z = fixed_x(n), n.drawbolt_height - n.piece_top
    thick = tables.washer(n.drawbolt_size, "large").thickness
    nut = tables.hex_nut(n.drawbolt_size).height
    start = x - n.sheet_nominal - thick - nut - 2 * tables.thread(n.drawbolt_size).pitch
    behind = x + gap_of(n, state) + n.sheet_nominal
    placed = []
    for name, side in SIDES:
        y = side * n.drawbolt_y
        outer = x - n.sheet_nominal
        placed += [
            Placed(f"{name} drawbolt", "drawbolt", Pose.to(start, y, z) @ _OUT, "fixed"),
            Placed(f"{name} outer washer", "drawbolt_washer", Pose.to(outer, y, z) @ _BACK,
                   "fixed"),
            Placed(f"{name} outer nut", "drawbolt_nut", Pose.to(outer - thick, y, z) @ _BACK,
                   "fixed"),
            Placed(f"{name} inner washer", "drawbolt_washer", Pose.to(x, y, z) @ _OUT, "fixed"),
            Placed(f"{name} inner nut", "drawbolt_nut", Pose.to(x + thick, y, z) @ _OUT, "fixed"),
            Placed(f"{name} moving washer", "drawbolt_washer", Pose.to(behind, y, z) @ _OUT,
                   "moving"),
            *drawbolt_knob(n).place(f"{name} drawbolt", Pose.to(behind + thick, y, z) @ _OUT,
                                    "moving"),
        ]  # fmt: skip
    return placed


def hold_places(n: Book, state: State) -> list[tuple[str, float, float]]:
    """(name, x, y) of the hold-downs in the jig's frame, mm."""
    fixed = fixed_x(n) - n.hold_fixed
    if n.slides_along:
        moving = fixed_x(n) + gap_of(n, state) + n.base_slot_at
    else:
        moving = n.place_u[2] - n.place_u[1]
    return [
        (f"{word} {name}", x, side * n.hold_y)
        for word, x in (("fixed", fixed), ("moving", moving))
        for name, side in SIDES
    ]


def _hold_downs(n: Book, state: State) -> list[Placed]:
    placed: list[Placed] = []
    thick = tables.washer(n.hold_size, "large").thickness
    for name, x, y in hold_places(n, state):
        top = n.sheet_nominal - n.piece_top
        placed += _stud(n, f"{name} stud", "hold_stud", x, y)
        placed.append(
            Placed(f"{name} hold-down washer", "hold_washer", Pose.to(x, y, top), "hold-downs")
        )
        placed += hold_knob(n).place(f"{name} hold-down", Pose.to(x, y, top + thick), "hold-downs")
    return placed


def _stud(n: Book, name: str, part: str, x: float, y: float) -> list[Placed]:
    """A stud in the table, and what it is screwed into."""
    low, group = -n.hold_below - n.piece_top, "hold-downs"
    placed = [Placed(name, part, Pose.to(x, y, low), group)]
    if n.hold_by == "T-slot nut":
        # A nut's neck runs along its own y.
        along = Pose.turned("z", 90 if n.slides_along else 0)
        placed.append(Placed(f"{name} nut", "hold_nut", Pose.to(x, y, low) @ along, group))
    if n.hold_by == "insert":
        placed.append(Placed(f"{name} insert", "hold_insert", Pose.to(x, y, low), group))
    return placed


def stop_place(n: Book) -> tuple[float, float]:
    """Middle of the stop block in the jig's frame, beside the fixed base or behind it, mm."""
    x = fixed_x(n) - n.hold_fixed
    if n.slides_along:
        return (fixed_x(n) - n.fixed_base_end - n.stop_width / 2, n.hold_y)
    return (x, n.stop_side * (n.base_width / 2 + n.stop_width / 2))


def _locating(n: Book, fixed: Pose) -> list[Placed]:
    table = -n.piece_top
    if n.located_by == "dowels":
        return [
            Placed(f"dowel {i}", "dowel", fixed @ Pose.to(x, y, -DOWEL_DEEP), "fixed")
            for i, (x, y) in enumerate(dowel_places(n), 1)
        ]
    if n.located_by != "key":
        return []
    (kx, ky), half = key_middle(n), key_length(n) / 2
    along = _KEY_ALONG if n.slides_along else _KEY_ACROSS
    start = (kx - half, ky) if n.slides_along else (kx, ky - half)
    (x, y), thick = stop_place(n), tables.washer(n.hold_size, "large").thickness
    top = table + n.sheet_nominal
    return [
        Placed("key", "key", fixed @ Pose.to(*start, -n.key_reach) @ along, "fixed"),
        Placed("stop block", "stop_block", Pose.to(x, y, table), "stop"),
        *_stud(n, "stop bolt", "stop_bolt", x, y),
        Placed("stop washer", "hold_washer", Pose.to(x, y, top), "stop"),
        Placed("stop nut", "stop_nut", Pose.to(x, y, top + thick), "stop"),
    ]


_KEY_ACROSS = Pose((0.0, 0.0, 0.0), ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)))
"""x -> z, y -> x, z -> y: a key along y, its own x up."""

_KEY_ALONG = Pose((0.0, 0.0, 0.0), ((0.0, 0.0, 1.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0)))
"""x -> z, y -> -y, z -> x: a key along x, its own x up."""


def bored_for(n: Book) -> list[BoardHole]:
    """Holes for inserts and dowels, where the table is a board to screw into."""
    if n.hold_by != "insert":
        return []
    row, table = tables.wood_insert(n.hold_size), -n.piece_top
    closed = State(Phase.CLOSED, Limit.NOMINAL)
    holes = [
        BoardHole("table", (x, y, table), row.hole_diameter, row.length, f"insert {n.hold_size}")
        for _, x, y in hold_places(n, closed)
    ]
    fixed, _ = jaw_frames(n, closed)
    holes += [
        BoardHole("table", fixed.apply((x, y, 0.0)), DOWEL, DOWEL_DEEP, "dowel")
        for x, y in dowel_places(n)
    ]
    return holes
