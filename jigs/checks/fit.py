"""Fit on true solids: nothing overlaps but what is meant to, by as much as it is meant to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from jigs.checks.geometry import Geometry
from jigs.errors import DesignError
from jigs.model.finding import NEEDS_BUILD, Finding, at_least, at_most, not_judged
from jigs.model.state import Contact, Limit, Phase, Role, Room, State, all_states
from jigs.sizing import Design, Setup
from jigs.tolerance import TOLERANCE

NO_CLASH = "nothing overlaps unmeant"
NOT_OF_A_JIG = {"piece", "table", "front face"}
TOUCHING = {Role.SEATS, Role.SUPPORTS, Role.THREADS, Role.BITES, Role.GLUED}
ALL_TOUCH = "what is meant to touch does"
SOURCE = "measured on the solids"


def check_fit(design: Design, geometry: Geometry | None, only: str | None = None) -> list[Finding]:
    """All fit findings of a design, or `only` the check of that name (how remedies are tried).

    Not judged where there is no geometry.
    """
    found: list[Finding] = []
    for setup in design.setups:
        if only in (None, NO_CLASH):
            found.append(_clash(setup, geometry))
        if only in (None, ALL_TOUCH):
            found.append(_touches(setup, geometry))
        found += _compressions(setup, geometry, only)
        found += _rooms(setup, geometry, only)
    return found


def declared(setup: Setup, state: State) -> list[Contact]:
    """Every contact that the setup's jigs mean in a state, with names unique in the setup."""
    return [
        replace(c, a=full_name(jig.name, c.a), b=full_name(jig.name, c.b))
        for jig in setup.jigs
        for c in jig.contacts(state)
    ]


def full_name(jig: str, name: str) -> str:
    """`ring/pad`; the piece and the machine's own parts keep their bare names."""
    return name if name in NOT_OF_A_JIG else f"{jig}/{name}"


def _clash(setup: Setup, geometry: Geometry | None) -> Finding:
    """The deepest overlap beyond what is declared, over all states."""
    about = {"group": "fit", "check": NO_CLASH, "of": setup.name}
    if geometry is None:
        return not_judged(NEEDS_BUILD, **about)
    worst, pair = 0.0, "all states"
    for state in all_states():
        meant = declared(setup, state)
        allowed = {frozenset((c.a, c.b)): c.depth for c in meant}
        for overlap in geometry.overlaps(setup, state):
            excess = overlap.depth - allowed.get(frozenset((overlap.a, overlap.b)), 0.0)
            if excess > worst:
                worst, pair = excess, f"{overlap.a} in {overlap.b}, {state}"
    return at_most(worst, TOLERANCE.overlap, governs=pair, source=SOURCE,
                   why="overlap beyond the declared one, by depth", **about)  # fmt: skip


def _touches(setup: Setup, geometry: Geometry | None) -> Finding:
    """The widest gap between two things that are declared to touch, over all states."""
    about = {"group": "fit", "check": ALL_TOUCH, "of": setup.name}
    if geometry is None:
        return not_judged(NEEDS_BUILD, **about)
    worst, pair = 0.0, "all states"
    for state in all_states():
        for contact in declared(setup, state):
            if not _touches_only(contact):
                continue
            gap = geometry.touching_gap(setup, state, contact.a, contact.b)
            if gap is None:
                raise DesignError(
                    setup.name, f"{contact.a} is meant to touch {contact.b}, and one is not there"
                )
            if gap > worst:
                worst, pair = gap, f"{contact.a} from {contact.b}, {state}"
    return at_most(worst, TOLERANCE.overlap, governs=pair, source=SOURCE,
                   why="seats, threads, bites, glue, and jaws on the piece", **about)  # fmt: skip


def _touches_only(contact: Contact) -> bool:
    """Seats and the like; and what clamps without sinking in."""
    return contact.role in TOUCHING or (contact.role is Role.CLAMPS and contact.depth == 0)


def _compressions(setup: Setup, geometry: Geometry | None, only: str | None) -> Iterable[Finding]:
    """Every clamping contact sinks in by its declared depth, on the least and the largest piece."""
    closed = [State(Phase.CLOSED, limit) for limit in Limit]
    overlaps = {s: geometry.overlaps(setup, s) for s in closed} if geometry else {}
    pairs = {
        (c.a, c.b)
        for s in closed
        for c in declared(setup, s)
        if c.role is Role.CLAMPS and c.depth > 0
    }
    for a, b in sorted(pairs):
        about = {"group": "fit", "check": f"{a} sinks in as designed", "of": setup.name}
        if only not in (None, about["check"]):
            continue
        if geometry is None:
            yield not_judged(NEEDS_BUILD, **about)
            continue
        worst, governs, meant_depth = 0.0, "", 0.0
        for state in closed:
            meant = [c for c in declared(setup, state) if {c.a, c.b} == {a, b}]
            depth = next(
                (o.depth for o in overlaps[state] if {o.a, o.b} == {a, b}),
                0.0,
            )
            error = abs(depth - meant[0].depth)
            if error >= worst:
                worst, governs, meant_depth = error, str(state), meant[0].depth
        yield at_most(
            worst,
            TOLERANCE.overlap,
            governs=governs,
            source=SOURCE,
            why=f"difference from the squeeze of {meant_depth:.3f} mm",
            **about,
        )


def _rooms(setup: Setup, geometry: Geometry | None, only: str | None) -> Iterable[Finding]:
    """Every room that a kind asks for, in the state where it is least."""
    asked: dict[tuple[str, str, str, Phase], list[tuple[State, Room]]] = {}
    for state in all_states():
        for jig in setup.jigs:
            for room in jig.kind.rooms(jig.n, state):
                asked.setdefault((jig.name, room.a, room.b, state.phase), []).append((state, room))
    for (jig_name, a, b, phase), cases in asked.items():
        room = cases[0][1]
        about = {
            "group": "fit", "check": f"room between {a} and {b}, {phase}", "of": jig_name,
            "why": room.why, "levers": room.levers,
        }  # fmt: skip
        if only not in (None, about["check"]):
            continue
        if geometry is None:
            yield not_judged(NEEDS_BUILD, group="fit", check=str(about["check"]), of=jig_name)
            continue
        measured = [
            (geometry.distance(setup, state, full_name(jig_name, a), full_name(jig_name, b)), state)
            for state, _ in cases
        ]
        there = [(d, str(s)) for d, s in measured if d is not None]
        if not there:
            yield not_judged(
                f"{a} or {b} is in no state", group="fit", check=str(about["check"]), of=jig_name
            )
            continue
        least, governs = min(there)
        yield at_least(least, room.least, governs=governs, source=SOURCE, **about)
