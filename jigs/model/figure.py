"""Convex figures against outlines: does a disc or a polygon lie wholly inside, or wholly beside?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from jigs.model.outline import Outline, Point, Side

_HALVINGS = 8
"""Times that an arc is halved before it is taken to enter a polygon: then it is doubtful."""


@dataclass(frozen=True)
class Figure:
    """A disc about its one point, or a regular polygon or rectangle, counter-clockwise; mm."""

    points: tuple[Point, ...]
    radius: float = 0.0

    @classmethod
    def rectangle(cls, x: tuple[float, float], y: tuple[float, float]) -> Figure:
        """Between least and most along both axes, mm."""
        return cls(((x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])))

    @property
    def is_disc(self) -> bool:
        """True for a disc."""
        return len(self.points) == 1

    @cached_property
    def centre(self) -> Point:
        """The middle."""
        n = len(self.points)
        return (sum(p[0] for p in self.points) / n, sum(p[1] for p in self.points) / n)

    def extent(self, axis: int) -> tuple[float, float]:
        """Least and most along the first or second axis, mm."""
        along = [p[axis] for p in self.points]
        return (min(along) - self.radius, max(along) + self.radius)

    def is_inside(self, outline: Outline, within: float) -> bool:
        """Less a skin of `within`, mm, does it lie inside? False may mean: not known."""
        return self._is_clear_of(outline, within) and holds(outline, self.centre)

    def is_beside(self, outline: Outline, within: float) -> bool:
        """Less a skin of `within`, mm, does it lie outside? False may mean: not known."""
        (x0, x1), (y0, y1) = self.extent(0), self.extent(1)
        least_x, least_y, most_x, most_y = outline.bounds
        if x1 <= least_x + within or x0 >= most_x - within:
            return True
        if y1 <= least_y + within or y0 >= most_y - within:
            return True
        return self._is_clear_of(outline, within) and not holds(outline, self.centre)

    def _is_clear_of(self, outline: Outline, within: float) -> bool:
        """Does no side of the outline enter it, less its skin?"""
        if self.is_disc:
            least = self.radius - within
            return all(_distance(self.centre, side) >= least for side in outline.sides)
        return not any(self._is_entered(side, within, _HALVINGS) for side in outline.sides)

    @cached_property
    def _half_planes(self) -> list[tuple[float, float, float]]:
        """Outward normals and how far from the origin, of each side of a polygon."""
        found = []
        for (ax, ay), (bx, by) in zip(self.points, [*self.points[1:], self.points[0]], strict=True):
            length = math.hypot(bx - ax, by - ay)
            nx, ny = (by - ay) / length, (ax - bx) / length
            found.append((nx, ny, nx * ax + ny * ay))
        return found

    def _is_entered(self, side: Side, within: float, halvings: int) -> bool:
        """May a side come into the polygon, less its skin?"""
        planes = self._half_planes
        if any(_least_along(side, nx, ny) >= d - within for nx, ny, d in planes):
            return False
        if side.bulge:
            return halvings == 0 or any(
                self._is_entered(half, within, halvings - 1) for half in _halves(side)
            )
        first, last = 0.0, 1.0
        (ax, ay), (bx, by) = side.start, side.end
        for nx, ny, d in planes:
            start, end = nx * ax + ny * ay - d + within, nx * bx + ny * by - d + within
            if start > 0 and end > 0:
                return False
            if start > 0:
                first = max(first, start / (start - end))
            elif end > 0:
                last = min(last, start / (start - end))
        return first < last


def holds(outline: Outline, point: Point) -> bool:
    """Does the point, which is on no side, lie inside the outline?

    It is inside the polygon of the chords, unless an odd number of arcs say otherwise.
    """
    x, y = point
    inside = False
    for side in outline.sides:
        (ax, ay), (bx, by) = side.start, side.end
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            inside = not inside
        if side.bulge and _in_segment(side, point):
            inside = not inside
    return inside


def _in_segment(side: Side, point: Point) -> bool:
    """Between an arc and its chord? On the chord counts as a hair to the right of it, or above
    where it runs level: so does the crossing of the chords."""
    if math.dist(side.centre, point) >= side.radius:
        return False
    dx, dy = side.end[0] - side.start[0], side.end[1] - side.start[1]
    turn = dx * (point[1] - side.start[1]) - dy * (point[0] - side.start[0])
    left_of_chord = (turn, -dy, dx) > (0.0, 0.0, 0.0)
    return left_of_chord == (side.bulge < 0)


def _least_along(side: Side, nx: float, ny: float) -> float:
    """The least that any point of a side lies along a direction, mm."""
    least = min(nx * side.start[0] + ny * side.start[1], nx * side.end[0] + ny * side.end[1])
    if side.bulge and _spans(side, (-nx, -ny)):
        (cx, cy) = side.centre
        least = nx * cx + ny * cy - side.radius
    return least


def _distance(point: Point, side: Side) -> float:
    """Least distance of a point from a side, mm."""
    (x, y), (ax, ay), (bx, by) = point, side.start, side.end
    if side.bulge:
        cx, cy = side.centre
        if _spans(side, (x - cx, y - cy)):
            return abs(math.hypot(x - cx, y - cy) - side.radius)
        return min(math.hypot(x - ax, y - ay), math.hypot(x - bx, y - by))
    dx, dy = bx - ax, by - ay
    share = min(1.0, max(0.0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)))
    return math.hypot(x - ax - share * dx, y - ay - share * dy)


def _spans(arc: Side, direction: Point) -> bool:
    """Does an arc pass the direction, seen from its centre?"""
    cx, cy = arc.centre
    first = math.atan2(arc.start[1] - cy, arc.start[0] - cx)
    turn = math.atan2(direction[1], direction[0]) - first
    return (turn if arc.bulge > 0 else -turn) % math.tau <= abs(arc.angle)


def _halves(arc: Side) -> Iterator[Side]:
    bulge = math.tan(math.atan(arc.bulge) / 2)
    yield Side(arc.start, arc.middle, bulge)
    yield Side(arc.middle, arc.end, bulge)
