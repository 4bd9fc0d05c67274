"""Where the numbers of an exploded view stand: round the drawing, clear of it and of each other.

Plain geometry in pixels, no painting. The numbers stand on a rounded ring about the drawing, each
as near as can be to where the ring is met from the middle through its part; two leader lines that
cross trade their ends. A trade shortens the two lines together, so trading comes to an end, and no
two cross then.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Array = NDArray[np.float64]

_POWER = 3.0  # of the ring: 2 would be an ellipse, more is nearer to a rectangle
_STEPS = 720  # straight pieces that the ring is measured by
_CROWDED = 1.1  # spare between numbers: a chord is shorter than the arc it spans
_GROWTH = 1.08  # of the ring, where a leader line would brush another number
_TRIES = 12


@dataclass(frozen=True)
class Balloon:
    """A number in a circle, and the point on its part that its leader line ends at, pixels."""

    label: str
    at: Point
    anchor: Point
    radius: float

    @property
    def foot(self) -> Point:
        """Where the leader line leaves the circle."""
        x, y = (b - a for a, b in zip(self.at, self.anchor, strict=True))
        share = self.radius / (math.hypot(x, y) or 1.0)
        return (self.at[0] + x * share, self.at[1] + y * share)


@dataclass(frozen=True)
class Ring:
    """A closed, strictly convex line about a drawing, pixels."""

    middle: Point
    half_width: float
    half_height: float

    def grown(self, factor: float) -> Ring:
        """The same, larger."""
        return replace(
            self, half_width=self.half_width * factor, half_height=self.half_height * factor
        )

    def points(self) -> Array:
        """Corners of the straight pieces that stand for it, in turn, the first not repeated."""
        turn = np.linspace(0.0, 2 * math.pi, _STEPS, endpoint=False)
        cos, sin = np.cos(turn), np.sin(turn)
        out = (np.abs(cos) ** _POWER + np.abs(sin) ** _POWER) ** (-1 / _POWER)
        return np.column_stack(
            (
                self.middle[0] + self.half_width * out * cos,
                self.middle[1] + self.half_height * out * sin,
            )
        )


def roundness(drawing: Array) -> float:
    """How much larger than the half sizes of a drawing the ring that touches it is, at least 1.

    Parameters: drawing = points of all that is drawn, N x 2, pixels.
    """
    low, high = drawing.min(axis=0), drawing.max(axis=0)
    half = np.maximum((high - low) / 2, 1e-9)
    off = np.abs(drawing - (low + high) / 2) / half
    return float(((off**_POWER).sum(axis=1) ** (1 / _POWER)).max())


def ring_round(drawing: Array, clear: float) -> Ring:
    """The ring about a drawing, everywhere at least `clear` from it, pixels."""
    low, high = drawing.min(axis=0), drawing.max(axis=0)
    factor = roundness(drawing)
    wide, tall = (high - low) / 2 * factor + clear
    x, y = (low + high) / 2
    return Ring((float(x), float(y)), float(wide), float(tall))


def place(anchors: Mapping[str, Point], ring: Ring, radius: float) -> list[Balloon]:
    """Stand a number on the ring for each anchor.

    Parameters: anchors = by the number's text, in order, pixels; radius = of the circles.
    Returns: in the order of the anchors. No two circles overlap, no two leader lines cross, and
    none passes through another circle unless so many stand so close that no larger ring helped.
    """
    found: list[Balloon] = []
    for _ in range(_TRIES):
        found = _on(ring, anchors, radius)
        if not any(_brushes(a, b) for a in found for b in found if a is not b):
            break
        ring = ring.grown(_GROWTH)
    return found


def crossing(a: Balloon, b: Balloon) -> bool:
    """Do two leader lines cross?"""
    p, q, r, s = a.anchor, a.at, b.anchor, b.at
    return _side(p, q, r) * _side(p, q, s) < 0 and _side(r, s, p) * _side(r, s, q) < 0


def _on(ring: Ring, anchors: Mapping[str, Point], radius: float) -> list[Balloon]:
    points = ring.points()
    steps = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    length = float(steps.sum())
    apart = 2 * radius * _CROWDED
    if length < apart * len(anchors):
        return _on(ring.grown(apart * len(anchors) / length * _GROWTH), anchors, radius)
    start = np.concatenate(([0.0], np.cumsum(steps)[:-1]))
    wished = {label: start[_nearest(ring, points, at)] for label, at in anchors.items()}
    order = sorted(anchors, key=lambda label: wished[label])
    places = _spread([float(wished[label]) for label in order], length, apart)
    at = {
        label: _along(points, start, place % length)
        for label, place in zip(order, places, strict=True)
    }
    return _untangled([Balloon(label, at[label], anchors[label], radius) for label in anchors])


def _nearest(ring: Ring, points: Array, at: Point) -> int:
    """The step of the ring that lies beyond a point, seen from the middle."""
    x, y = (at[0] - ring.middle[0]) / ring.half_width, (at[1] - ring.middle[1]) / ring.half_height
    turn = math.atan2(y, x) % (2 * math.pi)
    return round(turn / (2 * math.pi) * len(points)) % len(points)


def _spread(wished: Sequence[float], length: float, apart: float) -> list[float]:
    """Places in turn round a ring, at least `apart`, each moved as little as its group allows.

    Groups of numbers that would overlap stand close about their common middle (pooling of
    neighbours that violate an order); the ring is cut where it is barest.
    """
    count = len(wished)
    gaps = [(wished[(i + 1) % count] - wished[i]) % length or length for i in range(count)]
    first = (max(range(count), key=lambda i: gaps[i]) + 1) % count
    turned = [(wished[(first + i) % count] - wished[first]) % length for i in range(count)]
    placed = _pooled(turned, apart)
    room = length - apart
    if placed[-1] - placed[0] > room:
        placed = [placed[0] + i * length / count for i in range(count)]
    back = [place + wished[first] for place in placed]
    return [back[(i - first) % count] for i in range(count)]


def _pooled(wished: Sequence[float], apart: float) -> list[float]:
    groups: list[tuple[float, int]] = []  # mean of (wished less the own place in the row), members
    for index, wish in enumerate(wished):
        mean, members = wish - index * apart, 1
        while groups and groups[-1][0] > mean:
            other, others = groups.pop()
            mean = (mean * members + other * others) / (members + others)
            members += others
        groups.append((mean, members))
    levels = [mean for mean, members in groups for _ in range(members)]
    return [level + index * apart for index, level in enumerate(levels)]


def _along(points: Array, start: Array, place: float) -> Point:
    index = int(np.searchsorted(start, place, side="right")) - 1
    here, there = points[index], points[(index + 1) % len(points)]
    step = float(np.linalg.norm(there - here))
    x, y = here + (there - here) * ((place - start[index]) / step)
    return (float(x), float(y))


def _untangled(balloons: list[Balloon]) -> list[Balloon]:
    found = list(balloons)
    tangled = True
    while tangled:
        tangled = False
        for i in range(len(found)):
            for j in range(i):
                if crossing(found[i], found[j]):
                    a, b = found[i].at, found[j].at
                    found[i], found[j] = replace(found[i], at=b), replace(found[j], at=a)
                    tangled = True
    return found


def _brushes(line: Balloon, other: Balloon) -> bool:
    """Does a leader line come nearer than a hair to another number?"""
    return to_segment(other.at, line.anchor, line.at) < other.radius * 1.1


def to_segment(p: Point, a: Point, b: Point) -> float:
    """Distance of a point from a straight line between two points."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    share = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / ((dx * dx + dy * dy) or 1.0)
    share = min(1.0, max(0.0, share))
    return math.dist(p, (a[0] + share * dx, a[1] + share * dy))


def _side(p: Point, q: Point, r: Point) -> float:
    return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
