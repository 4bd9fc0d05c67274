"""How the split ring goes together, hangs, and is worked: moves, tools, steps.

Off the machine first: bolts go in from behind, where board and machine will trap their heads. At
the machine the board is hung; then the moving half goes on. Directions: towards the operator is -y.
"""

from __future__ import annotations

from collections.abc import Sequence

from jigs import tables
from jigs.kinds._common import FINGERS
from jigs.kinds._moving import along_slot, off, stands_out
from jigs.kinds.split_ring.fastenings import At, corners, dowels, face_y
from jigs.kinds.split_ring.hanging import BOLTS, NUTS, SCREWS, WOOD_SCREWS
from jigs.kinds.split_ring.running import gap_touching, turns_to_open
from jigs.kinds.split_ring.standing import all_poses
from jigs.model.move import Driver, HandTurn, Move, Spanner, Step, Tool
from jigs.model.number import Book
from jigs.model.pose import Vec
from jigs.model.state import SHOWN, Limit, Phase, State

TOWARDS: Vec = (0.0, -1.0, 0.0)
AWAY: Vec = (0.0, 1.0, 0.0)
UP: Vec = (0.0, 0.0, 1.0)
DOWN: Vec = (0.0, 0.0, -1.0)
SIDES = ("left", "right")


def all_moves(n: Book) -> list[Move]:
    """Every way out, and what moves at every piece."""
    return [*_halves(n), *_shelf(n), *_hung(n), *_onto_machine(n), *_worked(n)]


def _halves(n: Book) -> list[Move]:
    bolts, mounts, nuts = [], [], []
    for side in SIDES:
        bolts += [
            off(f"drawbolt {side}", [f"drawbolt {side}"], AWAY, n.drawbolt_length,
                f"drawbolt {side} into the fixed half from behind; knock its neck home"),
            off(f"mounting bolt {side}", [f"mounting bolt {side}"], AWAY, n.mount_length,
                f"mounting bolt {side} into the back board from behind"),
        ]  # fmt: skip
        mounts.append(
            off(f"mounting nut {side}", [f"mounting nut {side}", f"mounting washer {side}"],
                TOWARDS, n.mount_length, f"washer and nut on the mounting bolt {side}; tighten")
        )  # fmt: skip
        nuts.append(
            off(f"drawbolt nut {side}", [f"drawbolt nut {side}", f"drawbolt washer {side}"],
                TOWARDS, n.drawbolt_length, f"washer and nut on the drawbolt {side}, by hand")
        )  # fmt: skip
    fixed = ["fixed half", "fixed liner", *(f"drawbolt {side}" for side in SIDES)]
    return [
        *(
            off(f"{half} liner", [f"{half} liner"], sense, n.bore_radius,
                f"{half} liner glued into its half bore, trimmed flush", when="gluing")
            for half, sense in (("fixed", TOWARDS), ("moving", AWAY))
        ),
        *bolts,
        off("fixed half", fixed, TOWARDS, n.mount_length,
            "fixed half, drawbolts in it, into its dado over the mounting bolts"),
        *mounts,
        off("moving half", ["moving half", "moving liner"], TOWARDS, n.drawbolt_length,
            "springs on the drawbolts, then the moving half over them"),
        *nuts,
    ]  # fmt: skip


def _shelf(n: Book) -> list[Move]:
    insert = tables.wood_insert(n.jack_size).length
    screws = [
        off(f"shelf screw {side}", [f"shelf screw {side}"], AWAY, 2 * n.sheet_nominal,
            f"shelf screw {side} from behind") for side in SIDES
    ]  # fmt: skip
    on_shelf = ["shelf", "insert", "jack screw", "pad"]
    return [
        *screws,
        off("shelf", on_shelf, TOWARDS, n.dado_depth + 10, "shelf into its dado"),
        off("insert", ["insert"], UP, insert, "insert into the shelf from above"),
        off("jack screw", ["jack screw"], DOWN, n.jack_length, "jack screw up through the insert"),
        off("pad", ["pad"], UP, 20.0, "pad onto the jack's tip"),
    ]


def _hung(n: Book) -> list[Move]:
    """Fastenings of the board: in front they come off towards the operator, in slots sideways."""
    moves = []
    spots = [*corners(n)]
    if n.board_key_width:
        spots.append(_stop(n))
        moves.append(
            off("stop block", ["stop block"], TOWARDS, n.hang_length,
                "stop block over its bolt, against the slot")
        )  # fmt: skip
        moves.append(off("board key", ["board key"], AWAY, n.board_key_width, "key glued into its "
                         "groove in the back board", when="gluing"))  # fmt: skip
    for at in spots:
        moves += _fastening(n, at)
    moves += [
        off(f"dowel {at.name}", [f"dowel {at.name}"], TOWARDS, n.sheet_nominal + n.dowel_reach,
            f"dowel {at.name} through the board into the face")
        for at in dowels(n)
    ]  # fmt: skip
    return moves


def _stop(n: Book) -> At:
    """Where the stop block's fastening stands."""
    return At("of the stop", -(n.board_width + n.stop_width) / 2, n.hang_z[0] - n.end_height)


def _fastening(n: Book, at: At) -> list[Move]:
    if n.hang_by in (SCREWS, WOOD_SCREWS):
        unit = [f"hanging screw {at.name}"]
        if n.hang_by == SCREWS:
            unit.append(f"hanging washer {at.name}")
        return [off(unit[0], unit, TOWARDS, n.hang_length, f"screw {at.name}; tighten")]
    nut = off(f"hanging nut {at.name}", [f"hanging nut {at.name}", f"hanging washer {at.name}"],
              TOWARDS, n.hang_length, f"washer and nut {at.name}")  # fmt: skip
    in_slot = [f"T-slot bolt {at.name}"]
    if n.hang_by == NUTS:
        in_slot = [f"T-slot nut {at.name}", f"rod {at.name}"]
    ends = (n.front_left - n.axis_x, n.front_right - n.axis_x)
    into = along_slot(in_slot[0], in_slot, (1.0, 0.0, 0.0), at.x, ends,
                      f"{in_slot[0]} into its slot from the end")  # fmt: skip
    assert n.hang_by in (BOLTS, NUTS)
    return [nut, into]


def _onto_machine(n: Book) -> list[Move]:
    """The board with all it carries, off its fastenings."""
    unit = [p.name for p in all_poses(n, SHOWN) if p.group in ("fixed", "moving", "shelf")]
    return [
        off("back board", unit, TOWARDS, n.hang_length + 10,
            "the board, ready made, onto the front face and against its stop",
            when="at the machine")
    ]  # fmt: skip


def _worked(n: Book) -> list[Move]:
    nuts = [f"drawbolt {what} {side}" for side in SIDES for what in ("nut", "washer")]
    # As far as from the thinnest piece: with a thicker one the sweep goes on past the open place.
    opens = n.open_gap - gap_touching(n, n.grip_diameter_least) + 2 * n.squeeze
    # The foot must come up through the ring.
    rises = n.length_most + 10 - n.end_height - n.ring_drop
    return [
        Move("the ring opens", ("moving half", "moving liner", *nuts), ((0.0, -opens, 0.0),),
             "both nuts by turns", "changeover", Phase.CLOSED, levers=("-open_gap",)),
        Move("the piece comes out upwards", ("piece",), ((0.0, 0.0, rises),),
             "the piece down through the open ring onto the pad", "changeover", Phase.OPEN,
             levers=("+open_gap", "+bore_clearance")),
    ]  # fmt: skip


def all_tools(n: Book) -> list[Tool]:
    """Both drawbolt nuts, mounting nuts, hanging nuts, the jack by hand."""
    tools: list[Tool] = []
    size = n.drawbolt_size
    where = {p.name: p.pose.at for p in all_poses(n, SHOWN)}
    # On the thinnest piece a nut goes furthest down its bolt.
    tight = {p.name: p.pose for p in all_poses(n, State(Phase.CLOSED, Limit.LEAST))}
    long = {"drawbolt": n.drawbolt_length, "mounting bolt": n.mount_length}
    nut = tables.hex_nut(size)
    for side in SIDES:
        for what, bolt in (("drawbolt", "drawbolt"), ("mounting", "mounting bolt")):
            x, y, z = where[f"{what} nut {side}"]
            outer = tight[f"{what} nut {side}"].apply((0.0, 0.0, nut.height))
            tip = tight[f"{bolt} {side}"].apply((0.0, 0.0, long[bolt]))
            tools.append(
                Spanner(f"{what} nut {side}", f"{what} nut {side}", nut.across_flats, nut.height,
                        (x, y - nut.height, z), TOWARDS, Phase.SETTING,
                        (f"{bolt} {side}", f"{what} washer {side}"),
                        ("+mount_x",) if what == "mounting" else ("+bolt_x",),
                        stands_out(outer, TOWARDS, tip))
            )  # fmt: skip
    for at in corners(n):
        tools += _hanging_tool(n, at)
    x, y, z = where["jack screw"]
    head = tables.hex_bolt(n.jack_size)
    tools.append(
        HandTurn("jack screw", "jack screw", head.across_flats / 2, FINGERS, -head.head_height, 0.0,
                 (x, y, z), UP, Phase.CLOSED)
    )  # fmt: skip
    return tools


def _hanging_tool(n: Book, at: At) -> list[Tool]:
    front = face_y(n) - n.sheet_nominal
    if n.hang_by == WOOD_SCREWS:
        name = f"hanging screw {at.name}"
        return [Driver(name, name, 8.0, 120.0, (at.x, front, at.z), TOWARDS, Phase.OPEN)]
    thick = tables.washer(n.hang_size, "large").thickness
    beyond = 0.0
    if n.hang_by == SCREWS:
        head = tables.hex_bolt(n.hang_size)
        name, across, tall = f"hanging screw {at.name}", head.across_flats, head.head_height
        with_it: tuple[str, ...] = (f"hanging washer {at.name}",)
    else:
        nut = tables.hex_nut(n.hang_size)
        name, across, tall = f"hanging nut {at.name}", nut.across_flats, nut.height
        with_it = (f"hanging washer {at.name}", f"T-slot bolt {at.name}", f"rod {at.name}")
        deep = n.front_slot_lip + (n.hang_head_height if n.hang_by == NUTS else 0.0)
        beyond = n.hang_length - deep - (face_y(n) - front) - thick - tall
    outer = (at.x, front - thick - tall, at.z)
    return [Spanner(name, name, across, tall, outer, TOWARDS, Phase.OPEN, with_it,
                    stands_out=max(0.0, beyond))]  # fmt: skip


def all_steps(n: Book) -> Sequence[Step]:
    """Changing a piece."""
    least, most = (
        turns_to_open(n, diameter) for diameter in (n.grip_diameter_most, n.grip_diameter_least)
    )
    back = f"{least:.1f}" if round(least, 1) == round(most, 1) else f"{least:.1f} to {most:.1f}"
    thinner = "" if round(least, 1) == round(most, 1) else ", most for the thinnest piece"
    return (
        Step("spindle stopped, isolated and parked away from the ring", ("the switch",)),
        Step(f"hold the piece; slacken both drawbolt nuts by turns, {back} turns each{thinner}, "
             "until the ring is open",
             ("holds the piece", "spanner"), "the jack, from below", -most),
        Step("piece out upwards, chips off lining and pad, next piece in", ("the piece",)),
        Step("gauge onto the table, over the piece; raise the jack until the dome meets the crown",
             ("presses the gauge down", "the jack"), "the pad, under the piece"),
        Step(f"nuts by turns to first touch, then {n.closing_turns:.2g} turns each",
             ("presses the gauge down", "spanner"), "the jack",
             n.closing_turns, "the spanner"),
        Step("gauge off along the table, away", ("the gauge",), "", 0.0, "the gauge"),
    )  # fmt: skip
