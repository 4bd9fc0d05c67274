"""How the swing stop goes together, onto the front face, and is worked: moves, tools, steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from jigs import tables
from jigs.kinds import _front
from jigs.kinds._common import FINGERS
from jigs.kinds._knob import Knob
from jigs.kinds._moving import along_slot, off, stands_out
from jigs.kinds.swing_stop.clamping import bars_at
from jigs.kinds.swing_stop.parts import dowels, end_screws, side_screws
from jigs.kinds.swing_stop.standing import SIDES, all_poses
from jigs.model.move import Driver, HandTurn, Move, Spanner, Step, Tool
from jigs.model.number import Book
from jigs.model.pose import Vec
from jigs.model.state import Limit, Phase, State

TOWARDS: Vec = (0.0, -1.0, 0.0)
AWAY: Vec = (0.0, 1.0, 0.0)
UP: Vec = (0.0, 0.0, 1.0)
RIGHT: Vec = (1.0, 0.0, 0.0)
LEFT: Vec = (-1.0, 0.0, 0.0)

LIFTED_OVER = 10.0
"""mm between a piece that is lifted out and what it leaves. Common practice, no source."""


def all_moves(n: Book) -> list[Move]:
    """Every way out, and what moves at every piece."""
    moves = [*_bars(n), *(m for at in _places(n) for m in _stud(n, *at))]
    return moves + (_shims(n) if n.bars == 1 else [*_board(n), *_piece(n)])


def _places(n: Book) -> Iterator[tuple[str, float, float]]:
    """Name, x and z of every stud of a bar."""
    for name, z in bars_at(n):
        for side, sign in SIDES:
            yield f"{name} {side}", sign * n.stud_x, z


def _on_front(name: str) -> list[str]:
    return [f"{name} washer", f"{name} knob", f"{name} knob thread"]


def _bars(n: Book) -> list[Move]:
    moves, slack = [], []
    for name, _ in bars_at(n):
        moves += [
            off(f"{name} pad", [f"{name} pad"], AWAY, n.liner_thickness,
                f"rubber pad glued on the back of the {name}", when="gluing"),
            off(name, [name, f"{name} pad"], TOWARDS, n.stud_length,
                f"{name} onto its studs, the open slot on the right"),
        ]  # fmt: skip
        slack += [
            name,
            f"{name} pad",
            *(x for side, _ in SIDES for x in _on_front(f"{name} {side}")),
        ]
    moves.append(
        Move("bars back off", tuple(slack), ((0.0, -float(n.back_off), 0.0),),
             "knobs by turns", "changeover", Phase.CLOSED, levers=("-back_off", "+stud_length"))
    )  # fmt: skip
    return moves


def _stud(n: Book, name: str, x: float, z: float) -> list[Move]:
    """The stud out of the face, its lock nut, and the knob."""
    return [
        *_out_of_face(n, f"{name} stud", x, n.stud_length),
        off(f"{name} lock nut", [f"{name} lock nut", f"{name} lock washer"], TOWARDS, n.stud_length,
            f"washer and lock nut, {name}; tighten"),
        off(f"{name} knob", _on_front(name), TOWARDS, n.stud_length, f"washer and knob, {name}"),
    ]  # fmt: skip


def _out_of_face(n: Book, stud: str, x: float, length: float) -> list[Move]:
    ends = (n.front_left - n.axis_x, n.front_right - n.axis_x)
    if n.stud_head:
        unit = [stud] + ([f"{stud} T-slot nut"] if n.stud_by == _front.NUT else [])
        return [along_slot(stud, unit, (1.0, 0.0, 0.0), x, ends, f"{stud} into its slot's end")]
    into = off(stud, [stud], TOWARDS, length, f"{stud} into the face")
    if n.stud_by != _front.INSERT:
        return [into]
    deep = tables.wood_insert(n.stud_size).length
    insert = off(f"{stud} insert", [f"{stud} insert"], TOWARDS, deep,
                 f"insert for the {stud} into the face's board")  # fmt: skip
    return [insert, into]


def _shims(n: Book) -> list[Move]:
    """Packer and every shim of the set that may hang: up off the studs."""
    rise = n.bar_height / 2 + n.stud_hole / 2
    names = {
        p.name for limit in Limit for p in all_poses(n, State(Phase.CLOSED, limit))
        if p.group == "shims"
    }  # fmt: skip
    return [off(name, [name], UP, rise, f"{name} hung on the studs, from above")
            for name in sorted(names)]  # fmt: skip


def _board(n: Book) -> list[Move]:
    """The board with its stops off the studs; key, stops and screws off the board."""
    unit = [p.name for p in all_poses(n, State(Phase.OPEN, Limit.NOMINAL)) if p.group == "board"]
    moves = [
        off("back board", unit, TOWARDS, n.stud_length + 10,
            "the board, ready made, over the studs and against its stop", when="at the machine"),
        off("side stop", ["side stop"], TOWARDS, n.dado_depth,
            "side stop glued into its dado, its edge square to the table", when="gluing"),
        off("end stop", ["end stop"], RIGHT, 1.0,
            "end stop glued to the side stop, its back in line with the board", when="gluing"),
    ]  # fmt: skip
    moves += [off(f"side screw {name}", [f"side screw {name}"], AWAY, 2 * n.sheet_nominal,
                  f"side stop's screw {name} from behind")
              for name, _, _ in side_screws(n)]  # fmt: skip
    moves += [off(f"end screw {name}", [f"end screw {name}"], LEFT, n.end_screw,
                  f"end stop's screw {name} from the left")
              for name, _ in end_screws(n)]  # fmt: skip
    if not n.board_key_width:
        return moves + [
            off(f"dowel {name}", [f"dowel {name}"], TOWARDS, n.sheet_nominal + n.dowel_reach,
                f"dowel {name} through the board into the face") for name, _, _ in dowels(n)
        ]  # fmt: skip
    return [
        *moves,
        off("board key", ["board key"], AWAY, n.board_key_width, "key glued into its groove",
            when="gluing"),
        off("stop nut", ["stop nut", "stop washer"], TOWARDS, n.stop_length,
            "washer and nut on the stop block; tighten"),
        off("stop block", ["stop block"], TOWARDS, n.stop_length, "stop block over its stud"),
        *_out_of_face(n, "stop stud", -(n.back_width + n.stop_width) / 2, n.stop_length),
    ]  # fmt: skip


def _piece(n: Book) -> list[Move]:
    """Up along the board, off the end stop, until its foot is clear of the upper bar."""
    rises = n.length_most + bars_at(n)[0][1] + n.bar_height / 2 + LIFTED_OVER
    return [
        Move("the piece comes out upwards", ("piece",), ((0.0, 0.0, rises),),
             "the piece down behind the slack bars onto the end stop", "changeover", Phase.OPEN,
             levers=("+back_off",)),
    ]  # fmt: skip


def all_tools(n: Book) -> list[Tool]:
    """Knobs by hand, lock nuts with a spanner, the stops' screws before the board is hung."""
    poses = {p.name: p.pose for p in all_poses(n, State(Phase.CLOSED, Limit.MOST))}
    where = {name: pose.at for name, pose in poses.items()}
    nut, knob = tables.hex_nut(n.stud_size), Knob(n.stud_size, n.knob_made)
    tools: list[Tool] = []
    for name, _, _ in _places(n):
        x, y, z = where[f"{name} lock nut"]
        tip = poses[f"{name} stud"].apply((0.0, 0.0, n.stud_length))
        bar = name.rsplit(" ", 1)[0]
        with_it = (f"{name} stud", f"{name} lock washer", bar, f"{bar} pad", "piece")
        fronts = tuple(p for side, _ in SIDES for p in _on_front(f"{bar} {side}"))
        tools += [
            Spanner(f"{name} lock nut", f"{name} lock nut", nut.across_flats, nut.height,
                    (x, y - nut.height, z), TOWARDS, Phase.OPEN, (*with_it, *fronts),
                    stands_out=stands_out((x, y - nut.height, z), TOWARDS, tip)),
            HandTurn(f"{name} knob", f"{name} knob", knob.diameter / 2, FINGERS, 2.0, knob.height,
                     where[f"{name} knob"], TOWARDS, Phase.CLOSED,
                     (f"{name} stud", f"{name} washer", f"{name} knob thread", bar)),
        ]  # fmt: skip
    if n.bars == 1:
        return tools
    placed = where.keys() | {"front face", "table"}
    face = float(n.face_at)
    bench = tuple(sorted(placed - {"back board", "side stop", "end stop"}))
    left = -n.width_nominal / 2 - n.side_stop_width
    for name, x, z in side_screws(n):
        tools.append(Driver(f"side screw {name}", f"side screw {name}", 8.0, 120.0, (x, face, z),
                            AWAY, Phase.OPEN, bench))  # fmt: skip
    for name, z in end_screws(n):
        at = (left, n.surface_at - n.side_stop_proud / 2, z)
        tools.append(Driver(f"end screw {name}", f"end screw {name}", 8.0, 120.0, at, LEFT,
                            Phase.OPEN, bench))  # fmt: skip
    return tools


def all_steps(n: Book) -> Sequence[Step]:
    """Changing a piece."""
    stop = Step("spindle stopped, isolated and parked away from the jig", ("the switch",))
    pitch = tables.thread(n.stud_size).pitch
    turns = n.back_off / pitch
    if n.bars == 1:
        return (
            stop,
            Step("both knobs back, by turns, until the bar is clear of the body",
                 ("knob", "knob"), "the ring", -turns),
            Step("open the ring; piece out, next piece in, as the ring's steps say; before it is "
                 "closed, packer and the shims for its diameter on the studs behind its body",
                 ("holds the piece", "shims"), "the jack, from below"),
            Step("with the ring closed, bar up to the body, both knobs with two fingers: it "
                 "steadies, it does not clamp", ("knob", "knob"), "the ring", turns),
        )  # fmt: skip
    return (
        stop,
        Step("hold the piece; right knobs back, then the left ones, until it stands loose on the "
             "end stop", ("holds the piece", "knob"), "the end stop", -turns),
        Step("piece out upwards, or swing the bars up and take it out in front; chips off board "
             "and stops; next piece onto the end stop, pushed left", ("the piece",),
             "the end stop"),
        Step("right knob of the upper bar until the piece is caught",
             ("pushes the piece left and back", "knob"), "the end stop", turns),
        Step("all four knobs by turns, the lower bar last", ("knob", "knob"), "the end stop"),
        Step("pull and twist the piece by hand before the spindle starts", ("the piece",)),
    )  # fmt: skip
