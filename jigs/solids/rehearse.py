"""Moves, tools and hands tried on the solids of a setup: what is in the way, and how far it goes.

Implements `jigs.checks.rehearsing.Rehearsing`. Bodies are meshed finely, once each; boxes first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from OCP.BRepMesh import BRepMesh_IncrementalMesh

from jigs.checks.fit import declared, full_name
from jigs.checks.rehearsing import Stop
from jigs.model.move import Driver, HandTurn, Move, Spanner
from jigs.model.pose import Pose, Vec
from jigs.model.state import Limit, State
from jigs.sizing import Jig, Setup
from jigs.solids.sweep import Array, Mesh, first_contact, merged, room_round
from jigs.solids.swing import farthest_reach, free_swing
from jigs.tolerance import TOLERANCE

if TYPE_CHECKING:
    from jigs.solids.scene import Scene, Standing
    from jigs.solids.skin import Box
    from jigs.solids.store import Form


class Rehearsal:
    """The moves of one design's setups, each swept once."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.kept = scene.kept
        self._meshes: dict[str, Mesh] = {}
        self._skins: dict[tuple[str, float], Mesh] = {}
        self._in_place: dict[tuple[str, float, Pose], Mesh] = {}
        self._known: dict[object, list[Stop]] = {}
        self._pairs: dict[tuple[str, State], set[frozenset[str]]] = {}

    def stops(self, setup: Setup, jig: Jig, move: Move, limit: Limit, alone: bool) -> list[Stop]:
        """All that a move runs into, nearest first; `alone`: no piece, no other jig there."""
        key = (setup.name, jig.name, move, limit, alone)
        if key not in self._known:
            self._known[key] = sorted(
                self._swept(setup, jig, move, limit, alone), key=lambda stop: stop.after
            )
        return self._known[key]

    def _swept(
        self, setup: Setup, jig: Jig, move: Move, limit: Limit, alone: bool
    ) -> Iterator[Stop]:
        unit = frozenset(full_name(jig.name, name) for name in move.unit)
        there = self.scene.standing(setup, State(move.at, limit))
        going = [s for s in there if s.key in unit]
        still = [
            s
            for s in self.scene.standing(setup, State(move.among or move.at, limit))
            if s.key not in unit and not (alone and s.jig not in (jig.name, "machine"))
        ]
        meant = self._meant(setup, {State(move.at, limit), State(move.among or move.at, limit)})
        turn = np.array(jig.frame.turn)
        legs = [turn @ np.array(leg) for leg in move.legs]
        boxes = np.array([self.scene.box_of(s) for s in still]).reshape(-1, 6)
        met = [_may_meet(self.scene.box_of(body), boxes, legs) for body in going]
        for k, other in enumerate(still):
            # What slides on a thing that one of the unit seats on may touch it as well.
            touching = any(frozenset((body.key, other.key)) in meant for body in going)
            for i, body in enumerate(going):
                after = self._meets(body, other, legs, touching) if met[i][k] else None
                if after is not None:
                    yield Stop(body.key, other.key, after)

    def _meant(self, setup: Setup, states: set[State]) -> set[frozenset[str]]:
        """Pairs that are meant to touch in any of the states."""
        for state in states:
            if (setup.name, state) not in self._pairs:
                contacts = declared(setup, state)
                self._pairs[setup.name, state] = {frozenset((c.a, c.b)) for c in contacts}
        return set().union(*(self._pairs[setup.name, state] for state in states))

    def _meets(
        self, body: Standing, other: Standing, legs: list[Array], touching: bool
    ) -> float | None:
        """How far a body goes before it meets another, mm; None where it passes."""
        way = [leg.tolist() for leg in legs]
        found: float | None = self.kept.answer(
            "sweep", (*body.said, *other.said, way, touching),
            lambda: self._swept_past(body, other, legs, touching),
        )  # fmt: skip
        return found

    def _swept_past(
        self, body: Standing, other: Standing, legs: list[Array], touching: bool
    ) -> float | None:
        still = self._placed(other, 0.0)
        if touching:
            # What is meant to bite, or to be squeezed, may do so on its way out.
            skin = TOLERANCE.slip + self.scene.depth_between(body, other)
            return _along(self._placed(body, -round(skin, 3)), still, legs)
        after = _along(self._placed(body, -TOLERANCE.slip), still, legs)
        if after is not None:
            return after
        close = _along(self._placed(body, TOLERANCE.slip), still, legs)
        if close is not None and self.scene.gap_between(body, other) < TOLERANCE.slip:
            # They touch where they stand: whether they may is the fit's to say, not the move's.
            return None
        return close

    def _placed(self, standing: Standing, skin: float) -> Mesh:
        """The mesh of a thing in its place, with a skin."""
        key = (standing.form.mark, skin, standing.pose)
        if key not in self._in_place:
            mesh = self._skinned(standing.form, skin)
            self._in_place[key] = mesh.moved(
                np.array(standing.pose.turn), np.array(standing.pose.at)
            )
        return self._in_place[key]

    def _skinned(self, form: Form, skin: float) -> Mesh:
        key = (form.mark, skin)
        if key not in self._skins:
            mesh = self._mesh(form)
            self._skins[key] = mesh.with_skin(skin) if skin else mesh
        return self._skins[key]

    def _mesh(self, form: Form) -> Mesh:
        if form.mark not in self._meshes:
            own = form.shape.copy()
            # Not tessellate's own mesher: its tolerance is a share of each edge's size.
            BRepMesh_IncrementalMesh(own.wrapped, TOLERANCE.sweep_mesh, False, 0.3, False)
            corners, triangles = own.tessellate(TOLERANCE.sweep_mesh, 0.3)
            self._meshes[form.mark] = merged(
                np.array([c.toTuple() for c in corners]), np.array(triangles, np.int64)
            )
        return self._meshes[form.mark]

    # Tools and hands

    def swing(self, setup: Setup, jig: Jig, tool: Spanner) -> float:
        """Widest turn of a spanner on a hexagon without a stop, deg; with the worst piece."""
        at, axis = _in_work(jig, tool.at, tool.axis)
        away = (tool.part, *tool.with_it)
        return min(
            self._swing(list(self._others(setup, jig, away, State(tool.used, limit))), at, axis,
                        tool)
            for limit in (Limit.LEAST, Limit.MOST)
        )  # fmt: skip

    def _swing(self, there: list[Standing], at: Array, axis: Array, tool: Spanner) -> float:
        reach = farthest_reach(tool.across)
        near = [s for s in there if _within_reach(self.scene.box_of(s), at, reach)]
        sizes = (tool.across, tool.height, tool.stands_out)
        said = (at.tolist(), axis.tolist(), sizes, [s.said for s in near])
        found: float = self.kept.answer(
            "swing", said,
            lambda: free_swing([self._placed(s, 0.0) for s in near], at, axis, *sizes),
        )  # fmt: skip
        return found

    def driver_room(self, setup: Setup, jig: Jig, tool: Driver) -> list[Stop]:
        """What a driver above a screw's head runs into."""
        at, axis = _in_work(jig, tool.at, tool.axis)
        away, state = (tool.part, *tool.without), State(tool.used, Limit.NOMINAL)
        within = tool.diameter / 2
        rooms = (
            Stop(tool.name, s.key, self._room(s, at, axis, 0.5, tool.length, within))
            for s in self._others(setup, jig, away, state)
        )
        return sorted((r for r in rooms if r.after < within), key=lambda s: s.after)

    def hand_room(self, setup: Setup, jig: Jig, tool: HandTurn) -> list[Stop]:
        """Everything within a turning thing's drum and the fingers round it."""
        at, axis = _in_work(jig, tool.at, tool.axis)
        away, within = (tool.part, *tool.with_it), tool.radius + tool.fingers
        rooms = (
            (s.key, self._room(s, at, axis, tool.low, tool.high, within))
            for limit in (Limit.LEAST, Limit.MOST)
            for s in self._others(setup, jig, away, State(tool.used, limit))
        )
        stops = [Stop(tool.name, name, r - tool.radius) for name, r in rooms if r < within]
        return sorted(stops, key=lambda stop: stop.after)

    def _room(
        self, there: Standing, at: Array, axis: Array, low: float, high: float, within: float
    ) -> float:
        """Least distance of a thing from an axis, mm; inf where it is not that near."""
        reach = float(np.hypot(within, max(abs(low), abs(high))))
        if not _within_reach(self.scene.box_of(there), at, reach):
            return float("inf")
        said = (*there.said, at.tolist(), axis.tolist(), low, high, within)
        found: float = self.kept.answer(
            "room", said,
            lambda: room_round(self._placed(there, 0.0), at, axis, low, high, within),
        )  # fmt: skip
        return found

    def _others(
        self, setup: Setup, jig: Jig, away: Iterable[str], state: State
    ) -> Iterator[Standing]:
        gone = {full_name(jig.name, name) for name in away}
        return (s for s in self.scene.standing(setup, state) if s.key not in gone)


def _within_reach(box: Box, at: Array, reach: float) -> bool:
    """May a thing in that box be as near to a point?"""
    return bool(np.all(np.array(box[:3]) <= at + reach) and np.all(np.array(box[3:]) >= at - reach))


def _along(moving: Mesh, still: Mesh, legs: list[Array]) -> float | None:
    """How far a body goes along legs before it meets another, mm."""
    done = 0.0
    for leg in legs:
        hit = first_contact(moving, still, leg)
        if hit is not None:
            return done + hit
        moving = moving.shifted(leg)
        done += float(np.linalg.norm(leg))
    return None


def _in_work(jig: Jig, at: Vec, axis: Vec) -> tuple[Array, Array]:
    turn = np.array(jig.frame.turn)
    return turn @ np.array(at), turn @ np.array(axis)


def _may_meet(body: Box, others: Array, legs: list[Array]) -> NDArray[np.bool_]:
    """Which of the boxes, [n, 6], may a body in that box meet on some leg?"""
    way = np.vstack([np.zeros(3), np.cumsum(legs, axis=0)])
    low = np.array(body[:3]) + way.min(axis=0) - 1.0
    high = np.array(body[3:]) + way.max(axis=0) + 1.0
    meets: NDArray[np.bool_] = np.all((low <= others[:, 3:]) & (high >= others[:, :3]), axis=1)
    return meets
