"""Pictures of what moves: the changeover step by step, and the moment at which a move stops."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from jigs.checks.dry_fit import fitted, moves_of
from jigs.checks.fit import full_name
from jigs.checks.rehearsing import Rehearsing, Stop
from jigs.model.move import Move
from jigs.model.pose import Pose, Vec
from jigs.model.state import Limit, State
from jigs.outputs.cad.balloons import Point
from jigs.outputs.cad.cast import said, solid
from jigs.outputs.cad.composition import Composition, Drawing, whole
from jigs.outputs.cad.look import GHOST, MEETS, STOPPED
from jigs.outputs.cad.seeing import Frame, Meshes, Solid, View, view_of
from jigs.sizing import Jig, Setup
from jigs.solids.scene import MACHINE, Scene, Standing
from jigs.units import format_length

_MARGIN = 50.0  # pixels
_LEAST_ARROW = (
    130.0  # pixels: a shorter way is drawn as long as that, the words tell how long it is
)
_FAINT = 0.22  # opacity of what a stopped move leaves aside


@dataclass(frozen=True)
class Motion:
    """One move to draw; `stop` = what it runs into, if it does; `limit` = with which piece."""

    setup: Setup
    jig: Jig
    move: Move
    limit: Limit = Limit.NOMINAL
    stop: Stop | None = None
    alone: bool = False
    """On the bench: no machine, no piece, no other jig there."""

    @property
    def name(self) -> str:
        """Fit for a file."""
        name = f"{self.jig.name}, {self.move.name}"
        return f"{name} STOPS" if self.stop else name


def changeover(setup: Setup) -> list[Motion]:
    """What moves at every change of piece, in the order in which it is declared."""
    return [
        Motion(setup, jig, move)
        for jig in setup.jigs
        for move in moves_of(jig)
        if move.when == "changeover"
    ]


def stopped(setup: Setup, rehearsal: Rehearsing) -> list[Motion]:
    """Every move that the dry fit found to be barred, with what bars it first."""
    found = []
    for jig in setup.jigs:
        fit = fitted(setup, jig, rehearsal)
        by_name = {move.name: move for move in (*jig.moves, *moves_of(jig))}
        for name, stop in fit.stuck.items():
            found.append(Motion(setup, jig, by_name[name], stop=stop, alone=True))
        for name in fit.waits if not fit.stuck else ():
            for stop in rehearsal.stops(setup, jig, by_name[name], Limit.NOMINAL, True)[:1]:
                found.append(Motion(setup, jig, by_name[name], stop=stop, alone=True))
        for motion in changeover(setup):
            if motion.jig is jig and (worst := _worst(motion, rehearsal)):
                found.append(worst)
    return found


def _worst(motion: Motion, rehearsal: Rehearsing) -> Motion | None:
    """With the piece that stops it soonest; None where nothing does."""
    stops = [
        replace(motion, limit=limit, stop=stop)
        for limit in (Limit.LEAST, Limit.MOST)
        for stop in rehearsal.stops(motion.setup, motion.jig, motion.move, limit, False)[:1]
    ]
    return min(stops, key=lambda m: m.stop.after if m.stop else math.inf, default=None)


def shows(scene: Scene, motion: Motion) -> object:
    """All that decides the drawing of a move."""
    still, unit = _things(scene, motion)
    words, frame = told(motion, scene), motion.jig.frame
    return (said(still), said(unit), motion.move.legs, frame, motion.stop, words)


def compose_motion(
    scene: Scene, motion: Motion, direction: Vec, size: tuple[int, int], meshes: Meshes
) -> Composition:
    """A move: the unit where it starts, see-through where it ends, an arrow between.

    A move that stops is drawn at that moment instead, with the two that meet, the rest faint.
    Parameters: direction = from the setup towards the eye; size = of the page, pixels.
    """
    still, unit = _things(scene, motion)
    way = _way(motion)
    if motion.stop is None:
        there = [solid(s) for s in still]
        going = [solid(s) for s in unit] + [solid(_shifted(s, way[-1]), GHOST) for s in unit]
    else:
        there = [_seen_through(s, motion.stop) for s in still]
        going = [_seen_through(_shifted(s, way[-1]), motion.stop) for s in unit]
    near = [one for one, s in zip(there, still, strict=True) if s.jig != MACHINE]
    view = view_of([*near, *going], meshes, direction, size, _room(size))
    drawing = Drawing((*there, *going), view, whole(size))
    arrow = tuple(_arrow(scene, unit, way, view))
    return Composition(size, (drawing,), told(motion, scene), arrow)


def _room(size: tuple[int, int]) -> Frame:
    """The page but for a margin and the line of words at its foot."""
    return (_MARGIN, _MARGIN, size[0] - _MARGIN, size[1] - 2 * _MARGIN)


def told(motion: Motion, scene: Scene) -> str:
    """What the picture shows, in a line."""
    units = scene.design.job.model.units
    travel = format_length(round(motion.move.travel, 1), units)
    if motion.stop is None:
        return f"{motion.jig.name}: {motion.move.name}, {travel}"
    after = format_length(round(motion.stop.after, 1), units)
    return (
        f"{motion.jig.name}: {motion.move.name} STOPS: {motion.stop.moving} meets "
        f"{motion.stop.obstacle} after {after} of {travel}, {motion.limit} piece"
    )


def _things(scene: Scene, motion: Motion) -> tuple[list[Standing], list[Standing]]:
    """What stays and what moves."""
    setup, move = motion.setup, motion.move
    names = {full_name(motion.jig.name, name) for name in move.unit}
    unit = [s for s in scene.standing(setup, State(move.at, motion.limit)) if s.key in names]
    still = [
        s
        for s in scene.standing(setup, State(move.among or move.at, motion.limit))
        if s.key not in names
    ]
    if motion.stop is not None:
        still = [s for s in still if s.jig != MACHINE or s.key == motion.stop.obstacle]
    if motion.alone:
        bench = {motion.jig.name, MACHINE} if move.when == "at the machine" else {motion.jig.name}
        still = [s for s in still if s.jig in bench]
    return still, unit


def _way(motion: Motion) -> list[Vec]:
    """Where the unit is after each leg, from its place, mm; a stop cuts it short."""
    at, done, found = np.zeros(3), 0.0, [(0.0, 0.0, 0.0)]
    for leg in motion.move.legs:
        step = np.array(motion.jig.frame.rotate(leg))
        length = float(np.linalg.norm(step))
        if motion.stop is not None and done + length > motion.stop.after:
            step, length = step * ((motion.stop.after - done) / length), motion.stop.after - done
        at, done = at + step, done + length
        found.append((float(at[0]), float(at[1]), float(at[2])))
        if motion.stop is not None and done >= motion.stop.after:
            break
    return found


def _arrow(scene: Scene, unit: Sequence[Standing], way: Sequence[Vec], view: View) -> list[Point]:
    """From the middle of the unit along its way; a short way is drawn longer than it is."""
    boxes = np.array([scene.box_of(s) for s in unit])
    middle = (boxes[:, :3].min(axis=0) + boxes[:, 3:].max(axis=0)) / 2
    points = [view.to_page(middle + np.array(at)) for at in way]
    (x0, y0), (x1, y1) = points[0], points[-1]
    length = math.dist(points[0], points[-1])
    if len(points) > 2 or length >= _LEAST_ARROW:
        return points
    if length == 0.0:
        return [points[0], (x0, y0 - _LEAST_ARROW)]
    longer = _LEAST_ARROW / length
    return [points[0], (x0 + (x1 - x0) * longer, y0 + (y1 - y0) * longer)]


def _shifted(standing: Standing, by: Vec) -> Standing:
    return replace(standing, pose=Pose.to(*by) @ standing.pose)


def _seen_through(standing: Standing, stop: Stop) -> Solid:
    if standing.key == stop.moving:
        return Solid(standing.form, standing.pose, STOPPED)
    if standing.key == stop.obstacle:
        return Solid(standing.form, standing.pose, MEETS)
    return solid(standing, _FAINT)
