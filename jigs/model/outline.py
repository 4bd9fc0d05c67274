"""Closed outlines of straight lines and true arcs: what a saw, a drill or a cutter follows.

One outline serves the solid, the cut file, the drawing and the as-cut comparison, so it keeps
exact arcs. A vertex carries the **bulge** of the side that leaves it, as in a DXF LWPOLYLINE (group
code 42): bulge = tan(included angle / 4), positive for an arc that turns left.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

Point = tuple[float, float]

QUARTER_TURN = math.tan(math.pi / 8)
"""Bulge of a quarter circle that turns left."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of an outline: from start to end, mm; bulge 0 is a straight line."""

    start: Point
    end: Point
    bulge: float = 0.0

    @property
    def chord(self) -> float:
        """Straight distance between the ends, mm."""
        return math.dist(self.start, self.end)

    @property
    def angle(self) -> float:
        """Included angle of the arc, rad, signed: positive turns left."""
        return 4 * math.atan(self.bulge)

    @property
    def radius(self) -> float:
        """Radius of the arc, mm; infinite for a line."""
        if self.bulge == 0:
            return math.inf
        return self.chord * (1 + self.bulge**2) / (4 * abs(self.bulge))

    @property
    def centre(self) -> Point:
        """Centre of the arc, mm."""
        (x0, y0), (x1, y1) = self.start, self.end
        k = (1 / self.bulge - self.bulge) / 4
        return ((x0 + x1) / 2 - k * (y1 - y0), (y0 + y1) / 2 + k * (x1 - x0))

    @property
    def middle(self) -> Point:
        """The point halfway along the side, mm."""
        (x0, y0), (x1, y1) = self.start, self.end
        sagitta = self.bulge / 2
        return ((x0 + x1) / 2 + sagitta * (y1 - y0), (y0 + y1) / 2 - sagitta * (x1 - x0))

    @property
    def length(self) -> float:
        """Length along the side, mm."""
        return self.chord if self.bulge == 0 else self.radius * abs(self.angle)

    def extremes(self) -> Iterator[Point]:
        """Points that bound the side: its ends and, on an arc, its axis-parallel tangents."""
        yield self.start
        yield self.end
        if self.bulge == 0:
            return
        (cx, cy), r = self.centre, self.radius
        first = math.atan2(self.start[1] - cy, self.start[0] - cx)
        for quarter in range(4):
            a = quarter * math.pi / 2
            swept = (a - first) % (2 * math.pi) if self.bulge > 0 else (first - a) % (2 * math.pi)
            if swept < abs(self.angle):
                yield (cx + r * round(math.cos(a)), cy + r * round(math.sin(a)))


@dataclass(frozen=True)
class Outline:
    """A closed outline, counter-clockwise. Vertices are (x, y, bulge of the side that follows)."""

    vertices: tuple[tuple[float, float, float], ...]

    def __post_init__(self) -> None:
        if len(self.vertices) < 2 or self.area <= 0:
            raise ValueError(
                f"an outline runs counter-clockwise round an area, not {self.vertices}"
            )

    @classmethod
    def of(cls, points: Iterable[Sequence[float]]) -> Outline:
        """From (x, y) or (x, y, bulge) points, mm; turned round when given clockwise."""
        vertices = tuple((p[0], p[1], p[2] if len(p) > 2 else 0.0) for p in points)
        if _signed_area(_sides(vertices)) < 0:
            vertices = _reversed(vertices)
        return cls(vertices)

    @classmethod
    def rectangle(cls, x0: float, y0: float, x1: float, y1: float, corner: float = 0.0) -> Outline:
        """Between two opposite corners, mm; corner = radius of the corners."""
        x0, x1 = sorted((x0, x1))
        y0, y1 = sorted((y0, y1))
        if corner <= 0:
            return cls(((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)))
        r, b = corner, QUARTER_TURN
        return cls(
            (
                (x0 + r, y0, 0.0), (x1 - r, y0, b), (x1, y0 + r, 0.0), (x1, y1 - r, b),
                (x1 - r, y1, 0.0), (x0 + r, y1, b), (x0, y1 - r, 0.0), (x0, y0 + r, b),
            )
        )  # fmt: skip

    @classmethod
    def circle(cls, x: float, y: float, diameter: float) -> Outline:
        """A full circle about (x, y), mm, as two half circles."""
        r = diameter / 2
        return cls(((x - r, y, 1.0), (x + r, y, 1.0)))

    @classmethod
    def slot(cls, start: Point, end: Point, width: float) -> Outline:
        """The track of a round cutter of `width` from start to end, mm."""
        (x0, y0), (x1, y1) = start, end
        length = math.dist(start, end)
        if length == 0:
            return cls.circle(x0, y0, width)
        nx, ny = -(y1 - y0) / length * width / 2, (x1 - x0) / length * width / 2
        return cls(
            (
                (x0 - nx, y0 - ny, 0.0), (x1 - nx, y1 - ny, 1.0),
                (x1 + nx, y1 + ny, 0.0), (x0 + nx, y0 + ny, 1.0),
            )
        )  # fmt: skip

    @classmethod
    def polygon(cls, x: float, y: float, across_flats: float, sides: int = 6) -> Outline:
        """A regular polygon about (x, y), flats to left and right, mm."""
        r = across_flats / 2 / math.cos(math.pi / sides)
        turn = math.pi / sides
        return cls(
            tuple(
                (
                    x + r * math.cos(turn + 2 * math.pi * i / sides),
                    y + r * math.sin(turn + 2 * math.pi * i / sides),
                    0.0,
                )
                for i in range(sides)
            )
        )

    @cached_property
    def sides(self) -> tuple[Side, ...]:
        """The sides in order."""
        return _sides(self.vertices)

    @property
    def area(self) -> float:
        """Exact area, mm2: the polygon of the chords plus the circular segments."""
        return _signed_area(self.sides)

    @property
    def length(self) -> float:
        """Length once round, mm."""
        return math.fsum(side.length for side in self.sides)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x least, y least, x most, y most), mm."""
        points = [p for side in self.sides for p in side.extremes()]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return (min(xs), min(ys), max(xs), max(ys))

    @property
    def is_circle(self) -> bool:
        """True for a full circle made by `circle`."""
        return len(self.vertices) == 2 and all(v[2] == 1.0 for v in self.vertices)

    @property
    def centre(self) -> Point:
        """Middle of the bounds, mm: the centre of a circle or slot."""
        x0, y0, x1, y1 = self.bounds
        return ((x0 + x1) / 2, (y0 + y1) / 2)

    def shifted(self, x: float, y: float) -> Outline:
        """The same outline elsewhere, mm."""
        return Outline(tuple((a + x, b + y, c) for a, b, c in self.vertices))

    def mirrored(self) -> Outline:
        """Left and right exchanged about x = 0."""
        return Outline(_reversed(tuple((-a, b, -c) for a, b, c in self.vertices)))


def arc_bulge(start: Point, end: Point, centre: Point, left: bool) -> float:
    """Bulge of the arc about `centre` from start to end, turning left or right.

    Exact inverse of `Side.centre`; the radius is taken from the two ends, which must agree.
    """
    a0 = math.atan2(start[1] - centre[1], start[0] - centre[0])
    a1 = math.atan2(end[1] - centre[1], end[0] - centre[0])
    swept = (a1 - a0) % (2 * math.pi) if left else (a0 - a1) % (2 * math.pi)
    return math.tan(swept / 4) * (1 if left else -1)


def _sides(vertices: Sequence[tuple[float, float, float]]) -> tuple[Side, ...]:
    return tuple(
        Side((a[0], a[1]), (b[0], b[1]), a[2])
        for a, b in zip(vertices, [*vertices[1:], vertices[0]], strict=True)
    )


def _signed_area(sides: Sequence[Side]) -> float:
    chords = (s.start[0] * s.end[1] - s.end[0] * s.start[1] for s in sides)
    segments = (s.radius**2 * (s.angle - math.sin(s.angle)) for s in sides if s.bulge)
    return math.fsum([*chords, *segments]) / 2


def _reversed(
    vertices: tuple[tuple[float, float, float], ...],
) -> tuple[tuple[float, float, float], ...]:
    """Walk the other way: each bulge goes to the vertex at its other end, with the other sign."""
    n = len(vertices)
    return tuple(
        (vertices[-1 - i][0], vertices[-1 - i][1], -vertices[(n - 2 - i) % n][2] + 0.0)
        for i in range(n)
    )
