"""The dry fit: a jig put together, loaded, worked and taken apart before a single cut is made.

A kind declares the way out of each unit, in no order. What is in the way of it must come out
before: so the order of taking apart, and backwards of putting together, follows from sweeps alone.
A ring of units that wait for each other, or a way that a part without a way of its own bars, is a
finding. Moves of the changeover have no order to wait for: they must be free as they stand.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from jigs.checks.fit import full_name
from jigs.checks.rehearsing import Rehearsing, Stop
from jigs.errors import DesignError
from jigs.model.finding import NEEDS_BUILD, Finding, at_least, at_most, not_judged, worst_of_each
from jigs.model.move import Driver, HandTurn, Move, Spanner
from jigs.model.state import SHOWN, Limit, Phase, Role, State, all_states
from jigs.sizing import Design, Jig, Setup

LEAST_SWING = 30.0
"""deg: an open spanner that is turned over takes its next bite 30 degrees on (jaws at 15)."""

TWO_HANDS = 2
COMMON = "common practice, no source"
SWEPT = "swept on the solids, finely meshed"
GOES_TOGETHER = "every part goes in, in some order"
GROUP = "dry fit"


@dataclass(frozen=True)
class Fitted:
    """How a jig goes together: its moves in order, those at the machine apart, and what is stuck.

    `waits` tells what each move that could not be ordered waits for.
    """

    assembly: tuple[Move, ...]
    stuck: Mapping[str, Stop]
    waits: Mapping[str, tuple[str, ...]]


def check_dry_fit(
    design: Design, rehearsal: Rehearsing | None, only: str | None = None, check: str | None = None
) -> list[Finding]:
    """Every finding of the dry fit; not judged without solids.

    `only` those of one jig, and of it only one `check`: how remedies are tried.
    """
    found: list[Finding] = []
    for setup in design.setups:
        for jig in setup.jigs:
            if only in (None, jig.name):
                found += _of_jig(setup, jig, rehearsal, check)
    return found


def _of_jig(
    setup: Setup, jig: Jig, rehearsal: Rehearsing | None, check: str | None
) -> Iterator[Finding]:
    check_moves(jig)
    yield _hands(jig)
    if rehearsal is None:
        yield not_judged(NEEDS_BUILD, group=GROUP, of=jig.name, check=GOES_TOGETHER)
        return
    if check in (None, GOES_TOGETHER):
        yield _together(jig, fitted(setup, jig, rehearsal))
    yield from worst_of_each(_changeover(setup, jig, rehearsal, check))
    yield from worst_of_each(_tools(setup, jig, rehearsal, check))


def check_moves(jig: Jig) -> None:
    """Every part has a way out, and every move moves a part that is there.

    Raises DesignError with what is missing. One body may have none: the one that all others leave.
    """
    places = {p.name for state in all_states() for p in jig.poses(state)}
    for move in jig.moves:
        if missing := [name for name in move.unit if name not in places and name != "piece"]:
            raise DesignError(
                jig.name, f"the move '{move.name}' moves {', '.join(missing)}, which is not there",
                "name parts as they are placed",
            )  # fmt: skip
    bodies = {frozenset(together(jig, (name,))) for name in places}
    moved = {name for move in jig.moves for name in together(jig, move.unit)}
    left = [body for body in bodies if not body & moved]
    if len(left) > 1:
        names = ", ".join(sorted(min(body) for body in left))
        raise DesignError(
            jig.name, f"no way out is told for {names}", "a move for all of them but one"
        )


def together(jig: Jig, unit: Sequence[str]) -> tuple[str, ...]:
    """The unit and everything that is glued to it."""
    glued = [
        {c.a, c.b}
        for state in (SHOWN, State(Phase.OPEN, Limit.NOMINAL))
        for c in jig.contacts(state)
        if c.role is Role.GLUED
    ]
    body = set(unit)
    while more := {name for pair in glued if pair & body for name in pair} - body:
        body |= more
    return tuple(sorted(body))


def moves_of(jig: Jig) -> list[Move]:
    """The jig's moves with what is glued to each unit."""
    return [replace(move, unit=together(jig, move.unit)) for move in jig.moves]


def fitted(setup: Setup, jig: Jig, rehearsal: Rehearsing) -> Fitted:
    """Order the assembly of a jig by what bars what; what is glued up comes first."""
    moves = [move for move in moves_of(jig) if move.when in ("assembly", "at the machine")]
    glued = [move for move in jig.moves if move.when == "gluing"]
    barred: dict[str, list[frozenset[str]]] = {}
    stuck: dict[str, Stop] = {}
    for move in [*moves, *glued]:
        barred[move.name] = []
        among = glued if move.when == "gluing" else moves
        stops = rehearsal.stops(setup, jig, move, Limit.NOMINAL, True)
        for stop in [*stops, *_bitten(jig, move)]:
            if move.when == "gluing" and not _same_body(jig, move, stop):
                continue  # glued up on the bench, with nothing else there
            before = _parting(stop.obstacle, move, among, jig)
            if before:
                barred[move.name].append(before)
            else:
                stuck.setdefault(move.name, stop)
    first, waits = _ordered(glued, barred)
    then, waits_too = _ordered(moves, barred)
    return Fitted((*first, *then), stuck, {**waits, **waits_too})


def _bitten(jig: Jig, move: Move) -> Iterator[Stop]:
    """What is screwed into a unit must be turned out of it: no straight way pulls it off."""
    for contact in jig.contacts(State(move.at, Limit.NOMINAL)):
        if contact.role is Role.BITES and contact.b in move.unit and contact.a not in move.unit:
            yield Stop(full_name(jig.name, contact.b), full_name(jig.name, contact.a), 0.0)


def _same_body(jig: Jig, move: Move, stop: Stop) -> bool:
    """Is it glued to the unit, or a screw driven at the same sitting into what is?"""
    sitting = {name for other in jig.moves if other.when == "gluing" for name in other.unit}
    bites = [
        (c.a, c.b)
        for c in jig.contacts(State(move.at, Limit.NOMINAL))
        if c.role is Role.BITES and c.a in sitting
    ]
    held = [b for a, b in bites if a in move.unit]
    body = set(together(jig, (*move.unit, *held)))
    body |= {a for a, b in bites if b in body}
    return stop.obstacle in {full_name(jig.name, name) for name in body}


def _ordered(
    moves: Sequence[Move], barred: Mapping[str, Sequence[frozenset[str]]]
) -> tuple[tuple[Move, ...], dict[str, tuple[str, ...]]]:
    """Moves in the order of putting in, and what each of the rest waits for.

    What bars a move is gone once any one of the moves that part them is done.
    """
    out: list[Move] = []
    left = {move.name: move for move in moves}

    def waits(move: Move) -> list[frozenset[str]]:
        return [before for before in barred[move.name] if before <= left.keys()]

    while free := [m for m in left.values() if not waits(m)]:
        # Taking apart backwards through the list puts together as near to it as can be.
        out.append(left.pop(free[-1].name))
    still = {name: tuple(dict.fromkeys(min(w) for w in waits(m))) for name, m in left.items()}
    return tuple(reversed(out)), still


def _parting(obstacle: str, move: Move, moves: Sequence[Move], jig: Jig) -> frozenset[str]:
    """The moves of which any one parts a unit from an obstacle.

    They take the obstacle away, or, like a board that comes off the machine, the unit from it.
    """
    own = set(move.unit)
    return frozenset(
        m.name
        for m in moves
        if m.name != move.name
        and (obstacle in {full_name(jig.name, name) for name in m.unit}) != (own <= set(m.unit))
        and (own <= set(m.unit) or not own & set(m.unit))
    )


def _together(jig: Jig, fit: Fitted) -> Finding:
    about: dict[str, Any] = {
        "group": GROUP, "of": jig.name, "check": GOES_TOGETHER, "unit": "moves", "source": SWEPT,
    }  # fmt: skip
    by_name = {move.name: move for move in jig.moves}
    if fit.stuck:
        name, stop = next(iter(fit.stuck.items()))
        return at_most(
            len(fit.stuck), 0, governs=name, levers=by_name[name].levers,
            why=f"{stop.moving} stops at {stop.obstacle} after {stop.after:.1f} of "
            f"{by_name[name].travel:.0f} mm", **about,
        )  # fmt: skip
    if fit.waits:
        ring = _ring(fit.waits)
        return at_most(
            len(fit.waits), 0, governs=ring[0], levers=by_name[ring[0]].levers,
            why="these wait for each other: " + " <- ".join((*ring, ring[0])), **about,
        )  # fmt: skip
    return at_most(0, 0, governs=f"{len(fit.assembly)} moves in order", **about)


def _ring(waits: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """One ring of moves that wait for each other."""
    path = [min(waits)]
    while waits[path[-1]][0] not in path:
        path.append(waits[path[-1]][0])
    return tuple(path[path.index(waits[path[-1]][0]) :])


def _changeover(
    setup: Setup, jig: Jig, rehearsal: Rehearsing, check: str | None = None
) -> Iterator[Finding]:
    """Each move of the changeover is free, with the thinnest and with the thickest piece."""
    for move in moves_of(jig):
        if move.when != "changeover" or check not in (None, move.name):
            continue
        for limit in (Limit.LEAST, Limit.MOST):
            stops = rehearsal.stops(setup, jig, move, limit, False)
            why = f"{stops[0].moving} stops at {stops[0].obstacle}" if stops else ""
            yield at_least(
                stops[0].after if stops else move.travel, move.travel, group=GROUP, of=jig.name,
                check=move.name, governs=f"the {limit} piece", source=SWEPT, why=why,
                levers=move.levers,
            )  # fmt: skip


def _tools(
    setup: Setup, jig: Jig, rehearsal: Rehearsing, check: str | None = None
) -> Iterator[Finding]:
    """Spanners swing, drivers reach, knobs turn with fingers round them."""
    for tool in jig.kind.tools(jig.n):
        if check not in (None, _TOOL_CHECKS[type(tool)]):
            continue
        about: dict[str, Any] = {
            "group": GROUP, "of": jig.name, "governs": tool.name, "source": COMMON,
            "levers": tool.levers,
        }  # fmt: skip
        if isinstance(tool, Spanner):
            yield at_least(
                rehearsal.swing(setup, jig, tool), LEAST_SWING, check=_TOOL_CHECKS[Spanner],
                unit="deg", why="360 where a socket goes on", **about,
            )  # fmt: skip
        elif isinstance(tool, Driver):
            stops = rehearsal.driver_room(setup, jig, tool)
            yield at_least(
                stops[0].after if stops else tool.diameter / 2, tool.diameter / 2,
                check=_TOOL_CHECKS[Driver], why=stops[0].obstacle if stops else "",
                **about,
            )  # fmt: skip
        elif isinstance(tool, HandTurn):
            stops = rehearsal.hand_room(setup, jig, tool)
            yield at_least(
                stops[0].after if stops else tool.fingers, tool.fingers,
                check=_TOOL_CHECKS[HandTurn],
                why=stops[0].obstacle if stops else "", **about,
            )  # fmt: skip


_TOOL_CHECKS: dict[type, str] = {
    Spanner: "a spanner swings", Driver: "a driver reaches the screws",
    HandTurn: "fingers go round what is turned by hand",
}  # fmt: skip


def _hands(jig: Jig) -> Finding:
    """No step of the changeover asks for a third hand."""
    steps = jig.kind.steps(jig.n)
    most = max(steps, key=lambda step: len(step.hands), default=None)
    return at_most(
        len(most.hands) if most else 0, TWO_HANDS, group=GROUP, of=jig.name, unit="hands",
        check="two hands do every step", source=COMMON, governs=most.says if most else "no steps",
        why="" if most is None or len(most.hands) <= TWO_HANDS else "a prop must carry: "
        + ", ".join(most.hands[TWO_HANDS:]),
    )  # fmt: skip
