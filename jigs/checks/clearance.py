"""The envelope: what moves keeps clear of all that stands, by true distance on the solids."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from jigs.checks.geometry import Geometry, Near
from jigs.checks.moves import (
    Move,
    assumed_stick_out,
    in_machine,
    moves,
    only_assumed,
    sacrificial,
)
from jigs.checks.reach import datums
from jigs.model.finding import NEEDS_BUILD, Finding, Verdict, at_least, not_judged, worst_of_each
from jigs.model.pose import Vec
from jigs.model.state import Limit, Phase, State
from jigs.shop.head import (
    BEAM,
    CARRIAGE,
    CUTTER,
    GANTRY,
    HOOD,
    LEGS,
    NUT,
    SHANK,
    SPINDLE,
    Sweep,
    swept,
)
from jigs.shop.path import Area
from jigs.sizing import Design, Setup

SOURCE = "measured on the solids; room kept: common practice, no source"
ON_THE_SPINDLE = (NUT, SPINDLE, HOOD, CARRIAGE)
IN_THE_CUT = (CUTTER, SHANK)
ORDER = (CUTTER, SHANK, NUT, SPINDLE, HOOD, CARRIAGE, BEAM, LEGS)
PIECE = "piece"
OF_THE_MACHINE = frozenset(("table", "front face"))
NEEDLE = 0.01
"""mm, radius of the line that stands for a probe's axis."""


def check_clearance(
    design: Design, geometry: Geometry | None, only: str | None = None
) -> list[Finding]:
    """One finding for each moving body of each setup with a cut, and for each datum.

    Not judged without geometry. `only` = the check of that name (how remedies are tried).
    """
    return [
        f
        for setup in design.setups
        if setup.cuts
        for f in (*_bodies(setup, geometry, only), *_datums(setup, geometry, only))
    ]


def clear_check(body: str) -> str:
    """Name of the check on a body."""
    return f"{body} clear of all that stands"


# Bodies


def _bodies(setup: Setup, geometry: Geometry | None, only: str | None) -> Iterator[Finding]:
    every = [(move, move.sweeps()) for move in moves(setup)]
    for body in ORDER:
        check = clear_check(body)
        if only not in (None, check) or not any(body in sweeps for _, sweeps in every):
            continue
        about = {"group": "reach", "check": check, "of": setup.name}
        if geometry is None:
            yield not_judged(NEEDS_BUILD, **about)
            continue
        cases = [(move, sweeps[body]) for move, sweeps in every if body in sweeps]
        yield _nearest(setup, geometry, body, cases, about)


def _nearest(
    setup: Setup, geometry: Geometry, body: str, cases: list[tuple[Move, list[Sweep]]],
    about: dict[str, Any],
) -> Finding:  # fmt: skip
    """The nearest approach over all cuts and pieces."""
    room = "cutter_clear" if body in IN_THE_CUT else "head_clear"
    near, worst = _over(setup, geometry, body, cases)
    if near is None:
        return not_judged("nothing stands in this setup", **about)
    found = at_least(
        near.apart, float(getattr(setup.n, room)), **about, source=SOURCE,
        governs=f"{worst.governs}, {body} to {near.thing} at {in_machine(setup, near.at)}",
        equation="least distance of what it sweeps from what stands, over all pieces",
        reads=_reads(body, room), assumes=_assumes(worst, body),
        # Over the piece, numbers alone find the remedy, and need no solids for each trial.
        levers=("+stick_out",) if body in ON_THE_SPINDLE and near.thing != PIECE else (),
    )  # fmt: skip
    found = replace(found, why=_advice(setup, geometry, body, cases, found, near))
    ask = only_assumed(setup, body)
    if found.verdict is Verdict.NOT_MET and ask:
        return not_judged(
            f"the {body} was not measured; assumed, it comes within {near.apart:.1f} mm of "
            f"{near.thing}. Give {ask} in the machine's file",
            governs=found.governs, reads=found.reads, **about,
        )  # fmt: skip
    return found


def _over(
    setup: Setup, geometry: Geometry, body: str, cases: list[tuple[Move, list[Sweep]]]
) -> tuple[Near | None, Move]:
    best, worst, within = None, cases[0][0], math.inf
    for move, sweeps in cases:
        skip = _skipped(setup, move, body)
        near = geometry.clearance(setup, move.state, sweeps, skip, within)
        if near is not None:
            best, worst, within = near, move, near.apart
    return best, worst


def _skipped(setup: Setup, move: Move, body: str) -> frozenset[str]:
    """What a body may touch: the cutter the piece and what is meant to be cut; a gantry its table.

    A shank no thicker than the cutter follows it into the cut; whether it rubs there is a matter
    of the flutes, and judged with the cut.
    """
    if body in GANTRY:
        return OF_THE_MACHINE
    if body not in IN_THE_CUT:
        return frozenset()
    spared = sacrificial(setup, move.state)
    follows = body == CUTTER or move.cut.shank <= move.cut.cutter_diameter
    return spared | {PIECE} if follows else spared


def _reads(body: str, room: str) -> tuple[str, ...]:
    sizes = {
        CUTTER: ("cutter_diameter", "flute_length"), SHANK: ("shank", "flute_length"),
        NUT: ("collet_nut_diameter", "stick_out"),
        SPINDLE: ("spindle_diameter", "collet_nut_length", "stick_out"),
        HOOD: ("dust_hood_diameter", "dust_hood_below", "dust_hood_wall", "stick_out"),
        CARRIAGE: ("carriage", "stick_out"), BEAM: ("beam_y", "under_gantry"), LEGS: ("legs_x",),
    }  # fmt: skip
    return (*sizes[body], "cut_depth", room)


def _assumes(move: Move, body: str) -> tuple[str, ...]:
    lifted = "it may be lifted straight up anywhere in the cut, and goes to the park at the top"
    known = (lifted,) if body not in GANTRY else ()
    return (*known, *(assumed_stick_out(move) if body not in GANTRY else ()))


def _advice(
    setup: Setup, geometry: Geometry, body: str, cases: list[tuple[Move, list[Sweep]]],
    found: Finding, near: Near,
) -> str:  # fmt: skip
    """What is nearest, and what would clear it, in words."""
    told = f"nearest is {near.thing}"
    met = found.verdict is Verdict.MET
    if body in ON_THE_SPINDLE:
        need = _stick_out(setup, geometry, body, cases, found.limit or 0.0)
        if need > min(move.path.deepest for move, _ in cases):
            return f"{told}; a stick-out of {need:.1f} mm clears all that stands under it"
        return told
    if met or near.thing == PIECE:
        return told
    if body in IN_THE_CUT:
        return f"{told}: keep it below the floor of the cut, or beside its path"
    return f"{told}: place the setup further from it, or make it lower"


def _stick_out(
    setup: Setup, geometry: Geometry, body: str, cases: list[tuple[Move, list[Sweep]]],
    clear: float,
) -> float:  # fmt: skip
    """Least distance from tip to nut at which a body passes over all that is in its way, mm.

    By bounds, so a little long at times; a skirt counts as a full disc here.
    """
    need = 0.0
    for move, _ in cases:
        bodies = [b for b in move.bodies() if b.name == body]
        low = min(b.low for b in bodies)
        for tips in move.over():
            sweep = swept(replace(bodies[0], hollow=0.0), tips)
            there = geometry.highest_under(setup, move.state, sweep, clear)
            if there is not None:
                need = max(need, move.nut + there[0] + clear - tips.low - low)
    return need


# Datums


def _datums(setup: Setup, geometry: Geometry | None, only: str | None) -> Iterator[Finding]:
    for jig, datum in datums(setup):
        check = f"room to touch off datum {jig.name} {datum.name}"
        if only not in (None, check):
            continue
        about = {"group": "reach", "check": check, "of": setup.name}
        if geometry is None:
            yield not_judged(NEEDS_BUILD, **about)
            continue
        at = setup.frame.apply(datum.at)
        tried = [m for m in moves(setup) if m.state.piece is Limit.NOMINAL]
        yield from worst_of_each(
            f for move in tried for f in _touching(move, geometry, at, datum.free, about)
        )


def _touching(
    move: Move, geometry: Geometry, at: Vec, free: float, about: dict[str, Any]
) -> Iterable[Finding]:
    """The head stays clear while the tip is at the place, and the probe has its room there."""
    setup = move.setup
    state = State(Phase.OPEN, move.state.piece)
    common: dict[str, Any] = {
        **about, "source": SOURCE, "reads": ("stick_out", "collet_nut_diameter", "head_clear"),
        "assumes": ("touched off with no piece in the jig, from straight above",),
        "levers": ("+stick_out",),
    }  # fmt: skip
    empty = frozenset((PIECE,))
    over = [s for name, sweeps in move.at_point(at).items() if name not in IN_THE_CUT
            for s in sweeps]  # fmt: skip
    near = geometry.clearance(setup, state, over, empty)
    if near is not None:
        yield at_least(
            near.apart, setup.n.head_clear, **common,
            governs=f"{move.cut.owner}, {near.body} to {near.thing} at "
            f"{in_machine(setup, near.at)}",
            equation="least distance of nut, spindle, hood and carriage from what stands",
            why=f"nearest is {near.thing}",
        )  # fmt: skip
    line = Sweep("probe", Area(((at[0], at[1]),), NEEDLE), at[2] + free, at[2] + move.nut)
    beside = geometry.clearance(setup, state, [line], empty, free) if move.nut > free else None
    if beside is not None and round(beside.apart + NEEDLE, 3) < free:
        yield at_least(
            round(beside.apart + NEEDLE, 3), free, **{**common, "levers": ()},
            governs=f"{move.cut.owner}, {beside.thing} at {in_machine(setup, beside.at)}",
            equation="least distance of the probe's axis, above the place, from what stands",
            why=f"{beside.thing} stands in the way of the probe",
        )  # fmt: skip
