"""Parts of the swing stop, each with the cuts that make it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jigs import tables
from jigs.kinds import _front
from jigs.kinds._common import drilled
from jigs.kinds._hardware import (
    dowel_rod,
    hex_nut,
    t_slot_bolt,
    t_slot_nut,
    threaded_rod,
    washer,
    wood_insert,
    wood_screw,
)
from jigs.kinds._knob import Knob
from jigs.kinds.swing_stop.boarding import DOWEL, KEY_GROOVE, STOP_SCREW
from jigs.kinds.swing_stop.clamping import bars_at
from jigs.model.number import Book
from jigs.model.outline import Outline
from jigs.model.part import Board, Cut, Does, Face, Lining, Part, Sheet, Strip
from jigs.model.relief import pocket_for_square

CARD_UP_TO = 1.5
"""mm: thinner shims are of card, thicker ones of hardboard. Common practice, no source."""

At = tuple[str, float, float]


def all_parts(n: Book) -> Sequence[Part]:
    """Bars, pads, studs, knobs; shims behind a body, or the back board with its stops."""
    knob = Knob(n.stud_size, n.knob_made)
    return [
        bar(n),
        pad(n),
        *(_behind_body(n) if n.bars == 1 else _board(n)),
        *stud_parts(n, "stud", n.stud_length),
        washer(n.stud_size, "large", "stud_washer"),
        hex_nut(n.stud_size, "lock_nut"),
        *knob.parts(n.knob_wood, n.print_material),
    ]


def stud_parts(n: Book, id: str, length: float) -> list[Part]:
    """A stud, and what it holds on to in the face."""
    if n.stud_by == _front.BOLT:
        _, width, height = n.stud_head
        return [t_slot_bolt(n.stud_size, length, width, height, id)]
    found = [threaded_rod(n.stud_size, length, id)]
    if id == "stud" and n.stud_by == _front.NUT:
        found.append(t_slot_nut(n.stud_head[0], "t_slot_nut"))
    if id == "stud" and n.stud_by == _front.INSERT:
        found.append(wood_insert(n.stud_size, "stud_insert"))
    return found


def hooked(width: float, height: float, slots_at: Sequence[float], slot: float) -> Outline:
    """A plate about the origin with slots from its foot up to the middle, mm: it hangs on studs."""
    w, h, r = width / 2, height / 2, slot / 2
    points: list[tuple[float, ...]] = [(-w, -h)]
    for x in sorted(slots_at):
        # Up one side, over the stud's hole to the right (an arc that turns right), down the other.
        points += [(x - r, -h), (x - r, 0.0, -1.0), (x + r, 0.0), (x + r, -h)]
    return Outline.of([*points, (w, -h), (w, h), (-w, h)])


def bar(n: Book) -> Part:
    """Grain along x; on the right an open slot, so that it swings up about its left stud."""
    outline = hooked(n.bar_length, n.bar_height, [n.stud_x], n.stud_hole)
    return Part(
        "bar", "bar", Board(n.wood, "x"), outline, n.bar_thick,
        (drilled("stud hole", Face.TOP, -n.stud_x, 0, n.stud_hole, meets="stud"),),
        eased=1.0, marks=("UP",),
    )  # fmt: skip


def pad(n: Book) -> Part:
    """A strip of rubber, glued to the back of a bar; y towards the piece, z up."""
    w, t = n.pad_width / 2, n.liner_thickness
    made = Lining(n.lining_material, n.pad_width, n.bar_height)
    return Part("pad", "pad", made, Outline.rectangle(-w, 0, w, t), n.bar_height)


def shim_id(thick: float) -> str:
    """Name of a shim, fit for a file."""
    return f"shim_{thick:g}".replace(".", "_")


def _shim_of(thick: float) -> str:
    """A sheet of its own for each thickness, or all would be laid out on one."""
    return f"{'card' if thick <= CARD_UP_TO else 'hardboard'} {thick:g} mm"


def shim_width(n: Book) -> float:
    """Width of shims and packer: 10 mm outside their slots."""
    return float(2 * math.ceil(n.stud_x + n.stud_hole / 2 + 10))


def _behind_body(n: Book) -> list[Part]:
    """The set of shims, and the packer where they are not enough."""
    outline = hooked(shim_width(n), n.bar_height, [-n.stud_x, n.stud_x], n.stud_hole)
    found = [
        Part(shim_id(t), f"shim {t:g}", Sheet(_shim_of(t)), outline, t, marks=(f"{t:g}",),
             quantity=n.shim_set.count(t))
        for t in sorted(set(n.shim_set))
    ]  # fmt: skip
    if n.packer:
        found.append(Part("packer", "packer", Board(n.wood, "x"), outline, n.packer))
    return found


def _board(n: Book) -> list[Part]:
    """Back board, both stops, their screws, and what brings the board back."""
    return [
        back_board(n), side_stop(n), end_stop(n),
        wood_screw(STOP_SCREW, n.side_screw, "side_screw"),
        wood_screw(STOP_SCREW, n.end_screw, "end_screw"),
        *_finding_back(n),
    ]  # fmt: skip


def side_screws(n: Book) -> list[At]:
    """Middles of the side stop's screws: name, x, z; between the rows of studs."""
    (_, upper), (_, lower) = bars_at(n)
    x = side_stop_edge(n) - n.side_stop_width / 2
    return [(name, x, lower + share * (upper - lower))
            for name, share in (("lower", 0.25), ("upper", 0.75))]  # fmt: skip


def end_screws(n: Book) -> list[tuple[str, float]]:
    """Middles of the end stop's screws: name, z."""
    return [(name, n.end_stop_at - share * n.end_stop_tall)
            for name, share in (("upper", 0.25), ("lower", 0.75))]  # fmt: skip


def side_stop_edge(n: Book) -> float:
    """x of the edge that the piece lies against."""
    return float(-n.width_nominal / 2)


def back_board(n: Book) -> Part:
    """x across, z up as its own y, its front is the TOP face."""
    w, edge = n.back_width / 2, side_stop_edge(n)
    dado = pocket_for_square(edge - n.side_stop_width, n.back_foot, edge, n.back_top,
                             n.routed_corner, n.corner_relief,
                             ("low", "high"), along="y")  # fmt: skip
    cuts = [Cut("side stop dado", Face.TOP, dado, Does.GROOVE, n.dado_depth, "side stop")]
    size = STOP_SCREW
    for name, x, z in side_screws(n):
        cuts += [
            drilled(f"side screw hole {name}", Face.BOTTOM, x, z, size + 0.5,
                    meets=f"side screw {name}"),
            drilled(f"side screw head {name}", Face.BOTTOM, x, z, 2 * size + 0.5, SINK,
                    Does.COUNTERBORE, f"side screw {name}"),
        ]  # fmt: skip
    cuts += _stud_holes(n) + _finding_cuts(n)
    return Part("back_board", "back board", Sheet(n.sheet_material, n.sheet_name),
                Outline.rectangle(-w, n.back_foot, w, n.back_top), n.sheet_nominal, tuple(cuts),
                eased=1.0, marks=("UP",))  # fmt: skip


def _stud_holes(n: Book) -> list[Cut]:
    """Clearance holes; two opposite ones are close where threads must bring the board back."""
    row = tables.clearance_hole(n.stud_size)
    found = []
    for name, z in bars_at(n):
        for side, sign in (("left", -1), ("right", 1)):
            close = n.stud_by == _front.THREADED and (name[:5], side) in _OPPOSITE
            found.append(drilled(f"stud hole {name} {side}", Face.BOTTOM, sign * n.stud_x, z,
                                 row.hole_fine if close else row.hole_medium,
                                 meets="stud"))  # fmt: skip
    return found


_OPPOSITE = {("upper", "left"), ("lower", "right")}


def dowels(n: Book) -> list[At]:
    """The two dowels that bring a board back which inserts hold: beside opposite studs."""
    if not n.dowel_reach or n.stud_by != _front.INSERT:
        return []
    (_, upper), (_, lower) = bars_at(n)
    aside = n.stud_washer / 2 + DOWEL / 2 + 4
    return [("left", -n.stud_x, upper - aside), ("right", n.stud_x, lower + aside)]


def _finding_cuts(n: Book) -> list[Cut]:
    """Dowel holes, or the groove for the key, run on at its ends for the cutter."""
    if not n.board_key_width:
        return [drilled(f"dowel hole {name}", Face.TOP, x, z, DOWEL, meets="dowel")
                for name, x, z in dowels(n)]  # fmt: skip
    half, z = n.board_key_width / 2, bars_at(n)[0][1]
    corner = min(n.routed_corner, 0.98 * half)
    end = n.stud_x / 2 + corner
    groove = Outline.rectangle(-end, z - half, end, z + half, corner)
    return [Cut("key groove", Face.BOTTOM, groove, Does.GROOVE, KEY_GROOVE, "board key")]


def _finding_back(n: Book) -> list[Part]:
    """Key and stop block in slots, else dowels, else nothing but two close holes."""
    if not n.board_key_width:
        long = n.sheet_nominal + n.dowel_reach - 1
        return [dowel_rod(DOWEL, long, "dowel")] if dowels(n) else []
    key, stop = n.board_key_width / 2, n.stop_width / 2
    hole = tables.clearance_hole(n.stud_size).hole_fine
    return [
        Part("board_key", "key of the back board", Strip(n.wood),
             Outline.rectangle(0, -key, KEY_GROOVE + n.board_key_reach, key), n.stud_x),
        Part("stop_block", "stop block, stays in the slot", Sheet(n.sheet_material, n.sheet_name),
             Outline.rectangle(-stop, -stop, stop, stop), n.sheet_nominal,
             (drilled("hole", Face.BOTTOM, 0, 0, hole, meets="stop"),)),
        *stud_parts(n, "stop_stud", n.stop_length),
    ]  # fmt: skip


def side_stop(n: Book) -> Part:
    """A stick, z up: x to the left of its straight edge, y from its back towards the operator."""
    deep, foot = n.side_stop_proud + n.dado_depth, n.end_stop_at - n.end_stop_tall
    pilot, size = tables.wood_screw(STOP_SCREW).pilot_hole, STOP_SCREW
    bite = n.side_screw - (n.sheet_nominal - n.dado_depth)
    cuts = [
        drilled(f"pilot hole {name}", Face.BACK, -n.side_stop_width / 2, z - foot, pilot, bite + 1,
                meets=f"side screw {name}")
        for name, _, z in side_screws(n)
    ]  # fmt: skip
    for name, z in end_screws(n):
        y = -n.dado_depth - n.side_stop_proud / 2
        cuts += [
            drilled(f"end screw hole {name}", Face.LEFT, y, z - foot, size + 0.5,
                    meets=f"end screw {name}"),
            drilled(f"end screw head {name}", Face.LEFT, y, z - foot, 2 * size + 0.5, SINK,
                    Does.COUNTERBORE, f"end screw {name}"),
        ]  # fmt: skip
    return Part("side_stop", "side stop", Strip(n.wood),
                Outline.rectangle(-n.side_stop_width, -deep, 0, 0), n.back_top - foot, tuple(cuts),
                marks=("THIS EDGE SQUARE TO THE TABLE",))  # fmt: skip


def end_stop(n: Book) -> Part:
    """A block on end, z up: x from the side stop's edge, y from the board towards the operator."""
    wide = n.width_most + 5
    cuts = tuple(
        drilled(f"pilot hole {name}", Face.LEFT, -n.side_stop_proud / 2,
                z - n.end_stop_at + n.end_stop_tall, tables.wood_screw(STOP_SCREW).pilot_hole,
                n.end_screw - n.side_stop_width + 1, meets=f"end screw {name}")
        for name, z in end_screws(n)
    )  # fmt: skip
    return Part("end_stop", "end stop", Strip(n.wood),
                Outline.rectangle(0, -n.side_stop_proud, wide, 0), n.end_stop_tall,
                cuts)  # fmt: skip


SINK = STOP_SCREW / 2 - 0.25
"""mm deep for a screw's head to come flush: it bears on a hole 0.5 larger than the screw."""
