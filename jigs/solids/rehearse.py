"""Moves, tools and hands tried on the solids of a setup: what is in the way, and how far it goes.

Implements `jigs.checks.rehearsing.Rehearsing`. Bodies are meshed finely, once each; boxes first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import cadquery as cq
import numpy as np
from OCP.BRepMesh import BRepMesh_IncrementalMesh

from jigs.checks.fit import declared, full_name
from jigs.checks.rehearsing import Stop
from jigs.model.move import Driver, HandTurn, Move, Spanner
from jigs.model.pose import Pose, Vec
from jigs.model.state import Limit, State
from jigs.sizing import Jig, Setup
from jigs.solids.sweep import Array, Mesh, first_contact, merged, room_round
from jigs.solids.swing import free_swing
from jigs.tolerance import TOLERANCE

if TYPE_CHECKING:
    from jigs.solids.scene import Scene, Standing


class Rehearsal:
    """The moves of one design's setups, each swept once."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self._meshes: dict[int, Mesh] = {}
        self._skins: dict[tuple[int, float], Mesh] = {}
        self._in_place: dict[tuple[int, float, Pose], Mesh] = {}
        self._known: dict[object, list[Stop]] = {}

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
        meant = {
            frozenset((contact.a, contact.b))
            for phase in {move.at, move.among or move.at}
            for contact in declared(setup, State(phase, limit))
        }
        turn = np.array(jig.frame.turn)
        legs = [turn @ np.array(leg) for leg in move.legs]
        for other in still:
            # What slides on a thing that one of the unit seats on may touch it as well.
            touching = any(frozenset((body.key, other.key)) in meant for body in going)
            for body in going:
                after = self._meets(body, other, legs, touching)
                if after is not None:
                    yield Stop(body.key, other.key, after)

    def _meets(
        self, body: Standing, other: Standing, legs: list[Array], touching: bool
    ) -> float | None:
        """How far a body goes before it meets another, mm; None where it passes."""
        if not _may_meet(self.scene.box_of(body), self.scene.box_of(other), legs):
            return None
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
        key = (id(standing.shape), skin, standing.pose)
        if key not in self._in_place:
            mesh = self._skinned(standing.shape, skin)
            self._in_place[key] = mesh.moved(
                np.array(standing.pose.turn), np.array(standing.pose.at)
            )
        return self._in_place[key]

    def _skinned(self, shape: cq.Shape, skin: float) -> Mesh:
        key = (id(shape), skin)
        if key not in self._skins:
            mesh = self._mesh(shape)
            self._skins[key] = mesh.with_skin(skin) if skin else mesh
        return self._skins[key]

    def _mesh(self, shape: cq.Shape) -> Mesh:
        if id(shape) not in self._meshes:
            own = shape.copy()
            # Not tessellate's own mesher: its tolerance is a share of each edge's size.
            BRepMesh_IncrementalMesh(own.wrapped, TOLERANCE.sweep_mesh, False, 0.3, False)
            corners, triangles = own.tessellate(TOLERANCE.sweep_mesh, 0.3)
            self._meshes[id(shape)] = merged(
                np.array([c.toTuple() for c in corners]), np.array(triangles, np.int64)
            )
        return self._meshes[id(shape)]

    # Tools and hands

    def swing(self, setup: Setup, jig: Jig, tool: Spanner) -> float:
        """Widest turn of a spanner on a hexagon without a stop, deg; with the worst piece."""
        at, axis = _in_work(jig, tool.at, tool.axis)
        away = (tool.part, *tool.with_it)
        return min(
            free_swing(
                [mesh for _, mesh in self._others(setup, jig, away, State(tool.used, limit))],
                at, axis, tool.across, tool.height, tool.stands_out,
            )
            for limit in (Limit.LEAST, Limit.MOST)
        )  # fmt: skip

    def driver_room(self, setup: Setup, jig: Jig, tool: Driver) -> list[Stop]:
        """What a driver above a screw's head runs into."""
        at, axis = _in_work(jig, tool.at, tool.axis)
        away, state = (tool.part, *tool.without), State(tool.used, Limit.NOMINAL)
        rooms = (
            Stop(tool.name, name, room_round(mesh, at, axis, 0.5, tool.length, tool.diameter / 2))
            for name, mesh in self._others(setup, jig, away, state)
        )
        return sorted((r for r in rooms if r.after < tool.diameter / 2), key=lambda s: s.after)

    def hand_room(self, setup: Setup, jig: Jig, tool: HandTurn) -> list[Stop]:
        """Everything within a turning thing's drum and the fingers round it."""
        at, axis = _in_work(jig, tool.at, tool.axis)
        away, within = (tool.part, *tool.with_it), tool.radius + tool.fingers
        rooms = (
            (name, room_round(mesh, at, axis, tool.low, tool.high, within))
            for limit in (Limit.LEAST, Limit.MOST)
            for name, mesh in self._others(setup, jig, away, State(tool.used, limit))
        )
        stops = [Stop(tool.name, name, r - tool.radius) for name, r in rooms if r < within]
        return sorted(stops, key=lambda stop: stop.after)

    def _others(
        self, setup: Setup, jig: Jig, away: Iterable[str], state: State
    ) -> Iterator[tuple[str, Mesh]]:
        gone = {full_name(jig.name, name) for name in away}
        for standing in self.scene.standing(setup, state):
            if standing.key not in gone:
                yield standing.key, self._placed(standing, 0.0)


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


def _may_meet(body: tuple[float, ...], other: tuple[float, ...], legs: list[Array]) -> bool:
    """May the boxes meet on some leg?"""
    way = np.vstack([np.zeros(3), np.cumsum(legs, axis=0)])
    low = np.array(body[:3]) + way.min(axis=0) - 1.0
    high = np.array(body[3:]) + way.max(axis=0) + 1.0
    return bool(np.all(low <= other[3:]) and np.all(high >= other[:3]))
