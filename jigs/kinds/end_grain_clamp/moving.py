"""How the end-grain clamp goes together, comes onto the table and is worked: moves, tools, steps.

Each jaw is glued up first: ribs down into the base, the face onto the tongues of both. On the bench
the rods are clamped to the fixed face and the moving jaw slides over them. At the machine the whole
clamp comes down over its studs. x runs from the fixed face to the moving one.
"""

from __future__ import annotations

from collections.abc import Sequence

from jigs import tables
from jigs.kinds._common import FINGERS
from jigs.kinds._knob import Knob
from jigs.kinds._moving import along_slot, off, stands_out
from jigs.kinds.end_grain_clamp.fence_parts import backer_screws_z
from jigs.kinds.end_grain_clamp.parts import drawbolt_knob, hold_knob
from jigs.kinds.end_grain_clamp.ribbing import rib_screws
from jigs.kinds.end_grain_clamp.standing import SIDES, all_poses, hold_places, stop_place
from jigs.model.kind import Placed
from jigs.model.move import HandTurn, Move, Spanner, Step, Tool
from jigs.model.number import Book
from jigs.model.pose import Pose, Vec
from jigs.model.state import SHOWN, Limit, Phase, State

FORWARD: Vec = (1.0, 0.0, 0.0)
BACK: Vec = (-1.0, 0.0, 0.0)
UP: Vec = (0.0, 0.0, 1.0)
DOWN: Vec = (0.0, 0.0, -1.0)
INWARD = {"fixed": FORWARD, "moving": BACK}
"""From a face towards the piece."""


def all_moves(n: Book) -> list[Move]:
    """Every way out, and what moves at every piece."""
    return [
        *(move for word in INWARD for move in _jaw(n, word)),
        *_fences(n), *_backer(n), *_drawbolts(n), *_onto_table(n), *_hold_downs(n), *_locating(n),
        *_worked(n),
    ]  # fmt: skip


def _jaw(n: Book, word: str) -> list[Move]:
    """Ribs, face and screws of one jaw at a sitting: its screws while its own glue is wet."""
    deep, counted = n.dado_depth, range(1, len(n.rib_at) + 1)
    ribs = [
        off(f"{word} rib {i}", [f"{word} rib {i}"], UP, deep + n.sheet_nominal,
            f"glue; {word} rib {i} down into the base", when="gluing") for i in counted
    ]  # fmt: skip
    face = off(f"{word} face", [f"{word} face"], INWARD[word], deep + n.sheet_nominal,
               f"glue; {word} face onto the tongues of base and ribs", when="gluing")  # fmt: skip
    screws = [
        off(f"{word} screw {name} {i}", [f"{word} screw {name} {i}"],
            DOWN if part == "base" else INWARD[word], n.screw_length,
            f"screw {name} of {word} rib {i}, through the {part}, while the glue is wet",
            when="gluing")
        for i in counted for name, part, _ in rib_screws(n)
    ]  # fmt: skip
    return [*ribs, face, *screws]


def _fences(n: Book) -> list[Move]:
    moves = []
    for name, _ in SIDES:
        fence = f"{name} fence"
        moves.append(
            off(fence, [fence], FORWARD, n.fence_thick, f"{fence} against the face, holes in line")
        )  # fmt: skip
        for i in (1, 2):
            moves += [
                off(f"{fence} bolt {i}", [f"{fence} bolt {i}"], FORWARD, n.fence_bolt_length,
                    f"coach bolt {i} through the {fence}"),
                off(f"{fence} nut {i}", [f"{fence} nut {i}", f"{fence} washer {i}"], BACK,
                    n.fence_bolt_length, f"washer and nut {i} of the {fence}, behind the face"),
            ]  # fmt: skip
    return moves


def _backer(n: Book) -> list[Move]:
    if not n.backer:
        return []
    out = BACK if n.backer_in_x else (0.0, -1.0, 0.0)
    screws = [f"backer screw {i}" for i in range(1, len(backer_screws_z(n)) + 1)]
    return [
        off("backer", ["backer"], out, n.backer, "backer against its seat"),
        *(off(s, [s], out, n.backer + n.sheet_nominal, f"{s}, from the piece's side")
          for s in screws),
    ]  # fmt: skip


def _drawbolts(n: Book) -> list[Move]:
    """Rods locked to the fixed face, the moving jaw over them, knobs last."""
    long, rods, knobs = n.drawbolt_length, [], []
    for name, _ in SIDES:
        rod = f"{name} drawbolt"
        rods += [
            off(rod, [rod], BACK, long, f"{rod} through the fixed face"),
            off(f"{name} outer nut", [f"{name} outer nut", f"{name} outer washer"], BACK,
                0.5 * long, f"washer and nut on the {rod}, behind the fixed face"),
            off(f"{name} inner nut", [f"{name} inner nut", f"{name} inner washer"], FORWARD, long,
                f"washer and nut on the {rod} before the fixed face; lock it against the outer"),
        ]  # fmt: skip
        knobs.append(
            off(f"{name} drawbolt knob", [*_knob(rod), f"{name} moving washer"], FORWARD, long,
                f"washer and knob on the {rod}")
        )  # fmt: skip
    moving = [p.name for p in all_poses(n, SHOWN) if p.group == "moving"]
    bare = [name for name in moving if "knob" not in name and not name.endswith("moving washer")]
    says = "springs on the rods; moving jaw over them"
    return [*rods, off("moving jaw", bare, FORWARD, long, says), *knobs]


def _knob(on: str) -> list[str]:
    """Names of a knob's parts on that stud or rod."""
    return [f"{on} knob", f"{on} knob thread"]


def _onto_table(n: Book) -> list[Move]:
    """The whole clamp down over its studs."""
    unit = [p.name for p in all_poses(n, SHOWN) if p.group in ("fixed", "moving", "fences")]
    key = ", key in its slot" if n.located_by == "key" else ""
    return [
        off("clamp", unit, UP, max(n.hold_length, n.stop_length),
            f"the whole clamp down over its studs{key}",
            when="at the machine")
    ]  # fmt: skip


def _hold_downs(n: Book) -> list[Move]:
    moves = []
    for name, x, y in hold_places(n, State(Phase.OPEN, Limit.NOMINAL)):
        on = f"{name} hold-down"
        moves += _stud(n, f"{name} stud", x, y, n.hold_length)
        moves.append(
            off(f"{on} knob", [*_knob(on), f"{on} washer"], UP, n.hold_length,
                f"washer and knob on the {name} stud")
        )  # fmt: skip
    return moves


def _stud(n: Book, name: str, x: float, y: float, length: float) -> list[Move]:
    """A stud out of the table, and what holds it there."""
    up = off(name, [name], UP, length, f"{name} into the table")
    if n.hold_by == "insert":
        insert = f"{name} insert"
        return [off(insert, [insert], UP, length, f"{insert} into the table, once and for all"), up]
    if n.hold_by == "threaded hole":
        return [up]
    low_u, high_u, low_v, high_v = n.table_extent
    slot, place, ends = (0.0, 1.0, 0.0), y + n.place_v[1], (low_v, high_v)
    if n.slides_along:
        slot, place, ends = FORWARD, x + n.place_u[1], (low_u, high_u)
    if n.hold_by == "T-slot bolt":
        return [along_slot(name, [name], slot, place, ends, f"{name} into its slot from the end")]
    nut = f"{name} nut"
    return [along_slot(nut, [nut], slot, place, ends, f"{nut} into its slot from the end"), up]


def _locating(n: Book) -> list[Move]:
    if n.located_by == "dowels":
        return [off(f"dowel {i}", [f"dowel {i}"], UP, 3 * n.sheet_nominal,
                    f"dowel {i} through the base into the table") for i in (1, 2)]  # fmt: skip
    if n.located_by != "key":
        return []
    x, y = stop_place(n)
    return [
        off("key", ["key"], DOWN, n.key_groove + n.key_reach, "key glued into the base's groove",
            when="gluing"),
        off("stop block", ["stop block"], UP, n.stop_length,
            "stop block over its bolt; push it against the base"),
        *_stud(n, "stop bolt", x, y, n.stop_length),
        off("stop nut", ["stop nut", "stop washer"], UP, n.stop_length,
            "washer and nut on the stop bolt; hold the block against the base and lock it"),
    ]  # fmt: skip


def _worked(n: Book) -> list[Move]:
    moving = [p.name for p in all_poses(n, SHOWN) if _slides(n, p)]
    opens = n.opening - n.width_most - n.backer_in_x
    return [
        Move("the moving jaw opens", tuple(moving), ((opens, 0.0, 0.0),),
             "knobs by turns", "changeover", Phase.CLOSED, levers=("-opening",)),
        Move("the piece comes out upwards", ("piece",), ((0.0, 0.0, n.length_most + 10),),
             f"the piece down between the jaws onto the {_ground(n)}", "changeover", Phase.OPEN,
             levers=("+opening",)),
    ]  # fmt: skip


def _ground(n: Book) -> str:
    """What the piece stands on, in a word."""
    return "riser" if n.rise else "table"


def _slides(n: Book, placed: Placed) -> bool:
    """Does it go with the moving jaw? Where that slides along the slots, its studs do as well."""
    studs = n.slides_along and placed.group == "hold-downs" and placed.name.startswith("moving")
    return placed.group == "moving" or studs


def all_tools(n: Book) -> list[Tool]:
    """Knobs with fingers round them, fence nuts and drawbolt nuts with a spanner."""
    where = {p.name: p.pose for p in all_poses(n, State(Phase.CLOSED, Limit.LEAST))}
    tools: list[Tool] = []
    for name, _ in SIDES:
        rod = f"{name} drawbolt"
        tools.append(_turned(where, drawbolt_knob(n), rod, (rod, f"{name} moving washer"),
                             ("+drawbolt_y", "-knob_diameter")))  # fmt: skip
    for name, *_ in hold_places(n, State(Phase.CLOSED, Limit.LEAST)):
        on = f"{name} hold-down"
        tools.append(_turned(where, hold_knob(n), on, (f"{name} stud", f"{on} washer"),
                             ("-rib_depth", "-knob_diameter")))  # fmt: skip
    size = tables.hex_nut(n.fence_bolt_size)
    for name, _ in SIDES:
        for i in (1, 2):
            nut = f"{name} fence nut {i}"
            outer = where[nut].apply((0.0, 0.0, size.height))
            tip = where[f"{name} fence bolt {i}"].apply((0.0, 0.0, n.fence_bolt_length))
            tools.append(
                Spanner(nut, nut, size.across_flats, size.height, outer, BACK, Phase.CLOSED,
                        (f"{name} fence bolt {i}", f"{name} fence washer {i}"),
                        stands_out=stands_out(outer, BACK, tip))
            )  # fmt: skip
    return tools


def _turned(
    where: dict[str, Pose], knob: Knob, on: str, with_it: tuple[str, ...], levers: tuple[str, ...]
) -> HandTurn:
    pose = where[f"{on} knob"]
    return HandTurn(f"{on} knob", f"{on} knob", knob.diameter / 2, FINGERS, 0.0, knob.height,
                    pose.at, pose.rotate(UP), Phase.CLOSED, (*with_it, f"{on} knob thread"),
                    levers)  # fmt: skip


def all_steps(n: Book) -> Sequence[Step]:
    """Changing a piece."""
    back = (n.opening - n.width_most - n.backer_in_x) / tables.thread(n.drawbolt_size).pitch
    return (
        Step("spindle stopped, isolated and parked away from the clamp", ("the switch",)),
        Step("moving hold-downs slack, a quarter turn each", ("a knob", "a knob"), "", -0.25),
        Step("both drawbolt knobs back by turns", ("a knob", "a knob"), "", -back),
        Step("piece out upwards, chips off the land, next piece in, down on the "
             f"{_ground(n)} and against the datum fence", ("the piece",)),
        Step("free fence up to it, nuts finger tight", ("holds the fence", "spanner"), "",
             0.0, "the spanner"),
        Step("hold the piece down and against the datum fence; drawbolts by turns, half a turn "
             "each, until the moving face lies flat on it: look at the gap on both sides",
             ("holds the piece", "a knob"), "", back),
        Step("moving hold-downs tight", ("a knob", "a knob"), "", 0.25),
    )  # fmt: skip
