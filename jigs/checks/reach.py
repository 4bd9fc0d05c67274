"""Reach, as far as numbers tell it: travel, height, the way in and out of a piece, datums."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from jigs.checks.moves import (
    Box,
    Move,
    assumed_stick_out,
    gap_of_boxes,
    moves,
    only_assumed,
    parked_sweeps,
    piece_box,
)
from jigs.model.finding import Finding, Verdict, at_least, at_most, not_judged, worst_of_each
from jigs.model.reach import Datum
from jigs.model.state import Limit, Phase, State
from jigs.shop.head import BEAM, FAR, gantry_sweeps
from jigs.sizing import Design, Jig, Setup
from jigs.units import Units, format_length

TRAVEL = "derived from the machine's travel"
COMMON = "common practice, no source"
NO_DATUM = "a datum can be reached"
UNDER_GANTRY = "pieces pass under the gantry"
WAY_IN = "the parked head is clear of a piece on its way in or out"
CLEAR = "room kept: common practice, no source"


def check_reach(design: Design) -> list[Finding]:
    """What numbers tell of every setup that has a cut, the worst of its cuts and pieces."""
    return [
        f
        for setup in design.setups
        if setup.cuts
        for f in worst_of_each([*_of_moves(setup), *_of_datums(setup)])
    ]


def _of_moves(setup: Setup) -> Iterator[Finding]:
    for move in moves(setup):
        yield from _along(move)
        yield from _in_height(move)
        yield from _over_piece(move)
    for judge in (_under_gantry, _way_in):
        cases = sorted((judge(move) for move in moves(setup)), key=lambda c: c[0].margin or 0.0)
        # A body that was measured and fails is not hidden by a nearer one that is assumed.
        yield from worst_of_each(_unless_assumed(found, setup, body) for found, body in cases)


# Travel


def _along(move: Move) -> Iterator[Finding]:
    """The whole cut, overrun and all, within travel along x and y."""
    n, zero = move.setup.n, move.setup.work_zero.at
    bounds = [area.bounds for area in move.areas()]
    for axis, i, least, most in (
        ("x", 0, n.travel_x_least, n.travel_x_most), ("y", 1, n.travel_y_least, n.travel_y_most)
    ):  # fmt: skip
        low, high = zero[i] + min(b[i] for b in bounds), zero[i] + max(b[i + 2] for b in bounds)
        yield at_least(
            min(low - least, most - high), 0.0, group="reach", of=move.setup.name,
            check=f"whole cut within travel in {axis}", governs=move.governs, source=TRAVEL,
            why=f"with what it runs over, the cut goes from {axis} = {low:.1f} to {high:.1f} mm, "
            f"the spindle from {least:g} to {most:g}{_better_place(move, axis, low, high)}",
            equation=f"lesser of: least of the cut less least of the travel; the mosts, in {axis}",
            reads=(f"axis_{axis}", f"travel_{axis}_least", f"travel_{axis}_most",
                   "cutter_diameter", "cut_width"),
        )  # fmt: skip


def _better_place(move: Move, axis: str, low: float, high: float) -> str:
    """Where the setup would have to stand, in words; empty where it stands well."""
    n, setup = move.setup.n, move.setup
    least, most = getattr(n, f"travel_{axis}_least"), getattr(n, f"travel_{axis}_most")
    if least <= low and high <= most:
        return ""
    if high - low > most - least:
        return ": a shorter cut, or another machine"
    by = least - low if low < least else most - high
    if axis == "y" and setup.model.at == "front face":
        return f": the jig would have to stand {abs(by):.1f} mm further {_side(by)}"
    at = getattr(n, f"axis_{axis}") + by
    return (
        f": {abs(by):.1f} mm further {_side(by) if axis == 'y' else _hand(by)} would do, "
        f"setups: {{{setup.name}: {{{axis}: {at:.1f}}}}}, or the next anchors that way"
    )


def _side(by: float) -> str:
    return "back" if by > 0 else "to the front"


def _hand(by: float) -> str:
    return "right" if by > 0 else "left"


def _in_height(move: Move) -> Iterator[Finding]:
    """The collet nut comes low enough for the cut and high enough to clear the piece."""
    n, zero = move.setup.n, move.setup.n.end_height
    about: dict[str, Any] = {
        "group": "reach", "of": move.setup.name, "governs": move.governs, "source": TRAVEL,
        "assumes": assumed_stick_out(move),
    }  # fmt: skip
    raised = zero + move.end + n.cutter_clear + move.nut
    lowered = zero + move.end - move.path.deepest + move.nut
    over = raised - n.travel_z_most
    yield at_most(
        raised, n.travel_z_most, check="collet nut within travel in z, raised", **about,
        levers=("-stick_out",), reads=("travel_z_most", "end_height", "cutter_clear"),
        equation="height of the piece's end + room kept + tip to nut",
        why=f"the tip {n.cutter_clear:g} mm over the piece, on the way to it"
        + (f"; a piece {over:.1f} mm shorter passes. {hold_otherwise(move.setup)}" if over > 0
           else _longest(move, n.travel_z_most - n.cutter_clear - move.nut)),
    )  # fmt: skip
    yield at_least(
        lowered, n.travel_z_least, check="collet nut within travel in z, lowered", **about,
        levers=("+stick_out",), reads=("travel_z_least", "end_height", "cut_depth"),
        equation="height of the piece's end - depth + tip to nut",
        why="at full depth"
        + (f"; {hold_otherwise(move.setup, low=True)}" if lowered < n.travel_z_least else ""),
    )  # fmt: skip


def _longest(move: Move, top: float) -> str:
    """The longest piece whose end comes to that height, in words; for what stands only."""
    if move.setup.model.at != "table":
        return ""
    foot = move.setup.n.end_height + piece_box(move.setup, move.state)[2]
    return f"; the longest piece that passes is {top - foot:.1f} mm"


# Over the piece, under the gantry


def _over_piece(move: Move) -> Iterator[Finding]:
    """Collet nut, and hood, above the piece at full depth; a skirt may also stand round it."""
    n, deep = move.setup.n, move.path.deepest
    about: dict[str, Any] = {
        "group": "reach", "of": move.setup.name, "governs": move.governs, "source": COMMON,
        "assumes": assumed_stick_out(move), "levers": ("+stick_out",),
    }  # fmt: skip
    yield at_least(
        move.nut - deep,
        n.head_clear,
        check="collet nut stays above the piece",
        **about,
        equation="tip to nut - deepest point of the cut",
        reads=("stick_out", "cut_depth", "head_clear"),
        why=f"at full depth, {deep:.2f} mm below the end; the shortest stick-out that clears the "
        f"piece is {deep + n.head_clear:.1f} mm",
    )
    if n.dust_hood_diameter and n.dust_hood_below > 0:
        above = move.nut - n.dust_hood_below - deep
        round_it = _room_in_skirt(move)
        yield at_least(
            max(above, round_it),
            n.head_clear,
            check="hood above the piece, or round it",
            **about,
            equation="greater of: tip to nut - hood's hang - deepest; inner radius - furthest "
            "corner of the piece from the axis",
            reads=("stick_out", "dust_hood_below", "dust_hood_diameter", "dust_hood_wall"),
            why=f"its rim goes {abs(above):.1f} mm {'above' if above >= 0 else 'below'} the end; a "
            f"stick-out of {deep + n.dust_hood_below + n.head_clear:.1f} mm lifts it clear",
        )


def _room_in_skirt(move: Move) -> float:
    """Between the skirt's inside and the piece, wherever the cut takes the hood, mm."""
    n = move.setup.n
    x0, y0, _, x1, y1, _ = piece_box(move.setup, move.state)
    reach = max(
        area.furthest(corner)
        for area in move.areas()
        for corner in ((x0, y0), (x1, y0), (x0, y1), (x1, y1))
    )
    return float(n.dust_hood_diameter / 2 - n.dust_hood_wall - reach)


def _under_gantry(move: Move) -> tuple[Finding, str]:
    """Beam and legs, as they go with the cutter, past the piece."""
    setup, n = move.setup, move.setup.n
    piece = piece_box(setup, move.state)
    sweeps = gantry_sweeps(n, setup.work_zero.at, move.tips())
    gaps: dict[str, float] = {}
    for sweep in sweeps:
        gap = gap_of_boxes(sweep.box, piece)
        gaps[sweep.body] = min(gap, gaps.get(sweep.body, gap))
    body = min(gaps, key=lambda name: gaps[name])
    over = n.end_height + piece[5] - (n.under_gantry - n.head_clear)
    crossed = any(
        gap_of_boxes((*s.box[:2], 0.0, *s.box[3:5], 0.0), (*piece[:2], 0.0, *piece[3:5], 0.0))
        < n.head_clear
        for s in sweeps
        if s.body == BEAM
    )
    about: dict[str, Any] = {
        "group": "reach", "check": UNDER_GANTRY, "of": setup.name, "governs": move.governs,
        "reads": ("under_gantry", "beam_y", "legs_x", "head_clear", "end_height"),
    }  # fmt: skip
    found = at_least(
        gaps[body], n.head_clear, **about, source=COMMON,
        equation="distance of the piece's bounds from what beam and legs sweep",
        levers=("-length_most",) if setup.model.at == "table" else (),
        why=f"nearest is the {body}"
        + (f"; {hold_otherwise(setup)}" if over > 0 and gaps[body] < n.head_clear
           else _longest(move, n.under_gantry - n.head_clear) if crossed
           else ", which never goes over the piece" if body == BEAM else ""),
    )  # fmt: skip
    return found, body


def _unless_assumed(found: Finding, setup: Setup, body: str) -> Finding:
    """What only an assumed gantry makes fail is not judged."""
    ask = only_assumed(setup, body)
    if found.verdict is not Verdict.NOT_MET or not ask:
        return found
    return not_judged(
        f"the {body} was not measured; assumed, it comes within {found.value or 0.0:.1f} mm. "
        f"Give {ask} in the machine's file",
        group=found.group, check=found.check, of=found.of, governs=found.governs,
        reads=found.reads,
    )  # fmt: skip


def hold_otherwise(setup: Setup, *, low: bool = False) -> str:
    """How the piece would better be held, and why, in words; `low` = the spindle cannot get down.

    A piece that is too tall to stand hangs in front of the table, in a jig round it or in two
    bars across it; one whose end is too low is raised.
    """
    n = setup.n
    standing = setup.model.at == "table"
    if low:
        if standing:
            return "raise it on a riser or foot plate, for the spindle comes no lower"
        return "raise its end, or stand it on the table: the spindle comes no lower"
    longest = n.length_most
    face = n.finds("front_y")
    if not standing:
        return "lower its end, or take a shorter cutter: the spindle goes no higher"
    if not face:
        return (
            "it cannot stand here, and this machine has no front face to hang it on: a shorter "
            "piece, or a lower foot"
        )
    room = n.front_free_below
    if room and longest > room:
        return (
            f"it can neither stand nor hang: {longest:g} mm are more than the {room:g} mm from "
            "table to bench; cut it on another machine or before it is cut to length"
        )
    return (
        "hang it on the front face instead, held round it or in two bars across, its end just "
        f"above the table: there {longest:g} mm do not reach the gantry"
    )


# The way in and out


def _way_in(move: Move) -> tuple[Finding, str]:
    """The head waits in its corner: nothing of it is near where a piece comes in or goes out."""
    setup, n = move.setup, move.setup.n
    state = State(Phase.OPEN, move.state.piece)
    x0, y0, z0, x1, y1, z1 = piece_box(setup, state)
    tall = z1 - z0
    ways: dict[str, Box] = (
        {"straight up": (x0, y0, z0, x1, y1, z1 + tall)}
        if setup.model.at == "table"
        else {"forward": (x0, y0 - FAR, z0, x1, y1, z1), "down": (x0, y0, z0 - FAR, x1, y1, z1)}
    )
    parts = parked_sweeps(move)
    nearest = {
        way: min((gap_of_boxes(s.box, box), s.body) for s in parts) for way, box in ways.items()
    }
    way = max(nearest, key=lambda w: nearest[w][0])
    gap, body = nearest[way]
    x, y = (at[0] for at in ((parts[0].area.corners[0]), (parts[0].area.corners[0][1:])))
    at = setup.work_zero.apply((x, y, 0.0))
    found = at_least(
        gap, n.loading_clear, group="reach", check=WAY_IN, of=setup.name,
        governs=move.governs, source=CLEAR,
        equation="distance of the way's bounds from those of the parked head and the gantry there",
        reads=("park", "beam_y", "legs_x", "loading_clear"),
        why=f"the piece goes {way}; the spindle waits at x {at[0]:g}, y {at[1]:g} as high as it "
        f"goes, its {body} nearest; else park it further away: park in the machine's file",
        assumes=() if n.park else ("the spindle waits at the back of its travel, away from the "
                                   "work",),
    )  # fmt: skip
    return found, body


# Datums


def datums(setup: Setup) -> Iterator[tuple[Jig, Datum]]:
    """Every datum of a setup's jigs, the best of each jig first."""
    for jig in setup.jigs:
        for datum in jig.kind.datums(jig.n):
            yield jig, datum


def _of_datums(setup: Setup) -> Iterator[Finding]:
    none = True
    for jig, datum in datums(setup):
        none = False
        for move in moves(setup):
            if move.state.piece is Limit.NOMINAL:
                yield _datum_in_travel(move, jig, datum)
    if none:
        yield not_judged(
            "no jig of this setup names a place to touch off: take the work zero from the piece "
            "itself, or from an edge of your own",
            group="reach", check=NO_DATUM, of=setup.name,
        )  # fmt: skip


def _datum_in_travel(move: Move, jig: Jig, datum: Datum) -> Finding:
    """The tip gets to the place, with the cutter of the cut or a probe as long."""
    setup, n = move.setup, move.setup.n
    x, y, z = setup.work_zero.apply(setup.frame.apply(datum.at))
    margins = {
        "x": min(x - n.travel_x_least, n.travel_x_most - x),
        "y": min(y - n.travel_y_least, n.travel_y_most - y),
        "z": min(z + move.nut - n.travel_z_least, n.travel_z_most - z - move.nut),
    }
    axis = min(margins, key=lambda a: margins[a])
    return at_least(
        margins[axis], 0.0, group="reach", check=f"datum {jig.name} {datum.name} can be reached",
        of=setup.name, governs=move.governs, source=TRAVEL,
        equation="least margin of the place within the travel of x, y, and of the nut in z",
        reads=("travel_x_least", "travel_x_most", "travel_y_least", "travel_y_most",
               "travel_z_least", "travel_z_most", "stick_out"),
        assumes=(f"touched with the cutter, or with a probe as long: {move.nut:g} mm below the "
                 "nut",),
        levers=("+stick_out", "-stick_out") if axis == "z" else (),
        why=f"the {datum.feature} at x {x:.1f}, y {y:.1f}, z {z:.1f}; {axis} decides",
    )  # fmt: skip


# The operator


def where_to_stand(setup: Setup, units: Units = Units.MM) -> dict[str, Any]:
    """Where to stand while the machine can move, from its travel and what moves along y.

    Returns plain data for the setup's sheet: the side, what moves out of the table's outline, and
    why. The machine's manual and local rules go before it.
    """
    n = setup.n
    x = setup.work_zero.at[0]
    left, _, _, right = n.legs_x
    front = n.travel_y_least + min(n.beam_y[0], -n.spindle_diameter / 2, -n.dust_hood_diameter / 2,
                                   *(n.carriage[2:3]))  # fmt: skip
    back = n.travel_y_most + max(n.beam_y[1], n.spindle_diameter / 2)
    side = "right" if x - n.travel_x_least < n.travel_x_most - x else "left"
    out_front = max(0.0, -front)
    measured = bool(n["legs_x"].where)
    leg = right if side == "right" else left
    at = f"{leg:g} mm" if units is Units.MM else format_length(leg, units)
    beside = f"beyond x = {at}" if measured else ""
    return {
        "stand": f"to the {side} of the machine, clear of the gantry's leg",
        "beyond": beside or "the gantry's leg: measure it (gantry: legs)",
        "moves in front of the table's edge by, mm": round(out_front, 1),
        "moves along y from, to, mm": [round(front, 1), round(back, 1)],
        "not there": (
            "nobody at the front edge: the head comes out over it, and its gap to the jig nips"
            if out_front else "nobody within reach of the gantry's legs or leaning over the table"
        ),
        "why": "a thrown piece or broken cutter flies in the plane of the cut; follow the "
        "machine's manual and local rules",
    }  # fmt: skip
