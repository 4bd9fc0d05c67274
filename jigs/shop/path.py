"""Where the cutter's tip goes over the end of a piece: areas in plan, and how deep.

No program is written from this: it is the envelope of any sensible program for the cut. A slot
takes straight passes that run over both ends, a tenon a way round it that clears all that stands
beside it, a mark stays within its width, a hole is plunged or wound down. An area is convex, so
what a body sweeps over it is convex too, and exact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from jigs.model.number import Book
from jigs.model.outline import QUARTER_TURN, Outline, Point
from jigs.model.pose import Pose
from jigs.model.state import Limit
from jigs.shop.piece import Bar, Turned

RUN_OVER = 2.0
"""mm that the cutter's edge runs over the piece's end of a pass. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Area:
    """A convex area in plan: corners, counter-clockwise, rounded outwards by `rounding`, mm.

    One corner makes a disc, two a slot with round ends, more a polygon with round corners.
    """

    corners: tuple[Point, ...]
    rounding: float = 0.0

    @classmethod
    def rectangle(cls, x0: float, y0: float, x1: float, y1: float) -> Area:
        """Between two opposite corners, mm; may be a line or a point."""
        return cls.hull([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])

    @classmethod
    def hull(cls, points: list[Point], rounding: float = 0.0) -> Area:
        """The least convex area that holds all points, mm."""
        return cls(_hull(points), rounding)

    def around(self, radius: float) -> Area:
        """What a disc of that radius sweeps whose middle goes over this area."""
        return Area(self.corners, self.rounding + radius)

    def spread(self, x0: float, x1: float, y0: float, y1: float) -> Area:
        """What a rectangle sweeps whose reference point goes over this area."""
        moved = [(x + dx, y + dy) for x, y in self.corners for dx in (x0, x1) for dy in (y0, y1)]
        return Area(_hull(moved), self.rounding)

    def placed(self, pose: Pose) -> Area:
        """In the outer frame of a pose that turns about z only."""
        placed = (pose.apply((x, y, 0.0)) for x, y in self.corners)
        return Area(tuple((p[0], p[1]) for p in placed), self.rounding)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x least, y least, x most, y most), mm."""
        xs, ys, r = [p[0] for p in self.corners], [p[1] for p in self.corners], self.rounding
        return (min(xs) - r, min(ys) - r, max(xs) + r, max(ys) + r)

    def furthest(self, point: Point) -> float:
        """Greatest distance from a point to any point of the area, mm."""
        return max(self.corners_from(point)) + self.rounding

    def corners_from(self, point: Point) -> list[float]:
        """Distances of the corners from a point, mm."""
        return [math.dist(point, corner) for corner in self.corners]

    def holds(self, point: Point) -> bool:
        """Does the point lie inside, not on the edge?"""
        return self.apart(point) < 0

    def apart(self, point: Point) -> float:
        """Distance of a point from the area, mm; negative inside."""
        sides = list(zip(self.corners, self.corners[1:] + self.corners[:1], strict=True))
        nearest = min(_to_line(point, a, b) for a, b in sides)
        inside = len(sides) > 2 and all(_left(a, b, point) > 0 for a, b in sides)
        return (-nearest if inside else nearest) - self.rounding

    def outline(self) -> Outline:
        """With true arcs at its corners. The area must have width: a disc, a slot, a polygon."""
        r = self.rounding
        if len(self.corners) == 1:
            # In quarters: the kernel measures from a full circle's edge ten times slower.
            (x, y), b = self.corners[0], QUARTER_TURN
            return Outline(((x + r, y, b), (x, y + r, b), (x - r, y, b), (x, y - r, b)))
        if r == 0:
            return Outline.of(self.corners)
        vertices: list[tuple[float, float, float]] = []
        count = len(self.corners)
        for i, (x, y) in enumerate(self.corners):
            before = _outward(self.corners[i - 1], (x, y))
            after = _outward((x, y), self.corners[(i + 1) % count])
            turn = (math.atan2(after[1], after[0]) - math.atan2(before[1], before[0])) % math.tau
            vertices.append((x + r * before[0], y + r * before[1], math.tan(turn / 4)))
            vertices.append((x + r * after[0], y + r * after[1], 0.0))
        return Outline(tuple(vertices))


@dataclass(frozen=True, slots=True)
class Path:
    """Where the tip goes, in the piece's frame: over `areas`, down to `deepest` below its end."""

    areas: tuple[Area, ...]
    deepest: float


def cut_path(cut: Book, piece: Turned | Bar, limit: Limit) -> Path:
    """The tip's path of a cut over a piece at one limit of its size, mm.

    Source: the kinds of cut as in this module's docstring; runs over by radius and 2 mm, common
    practice, no source.
    """
    half_x, half_y = _half_widths(piece, limit)
    radius = cut.cutter_diameter / 2
    beyond = radius + RUN_OVER
    aside = max(0.0, cut.cut_width / 2 - radius)
    match cut.cut_does:
        case "slot" if cut.cut_direction == "y":
            areas = [Area.rectangle(-aside, -half_y - beyond, aside, half_y + beyond)]
        case "slot":
            areas = [Area.rectangle(-half_x - beyond, -aside, half_x + beyond, aside)]
        case "tenon":
            areas = _round_tenon(half_x + beyond, half_y + beyond, cut.cut_width / 2 + radius)
        case "hole":
            areas = [Area(((0.0, 0.0),), aside)]
        case _:
            across = cut.cut_width / 2
            return Path((Area(((0.0, 0.0),), across),), cut.cut_depth + _dome_drop(piece, across))
    return Path(tuple(areas), cut.cut_depth)


def arm_of(cut: Book, piece: Turned | Bar) -> float:
    """Furthest that the cutter touches the largest piece from its upright axis, mm.

    The path as wide as the cutter makes it, but no further out than the piece's end. Derived.
    """
    half_x, half_y = _half_widths(piece, Limit.MOST)
    most = 0.0
    for area in cut_path(cut, piece, Limit.MOST).areas:
        x0, y0, x1, y1 = area.around(cut.cutter_diameter / 2).bounds
        most = max(most, math.hypot(min(max(-x0, x1), half_x), min(max(-y0, y1), half_y)))
    return min(most, half_x) if isinstance(piece, Turned) else most


def _round_tenon(out_x: float, out_y: float, inside: float) -> list[Area]:
    """Four sides, from the tenon's wall outwards; all of it where no width is given."""
    x, y = min(inside, out_x), min(inside, out_y)
    return [
        Area.rectangle(-out_x, -out_y, out_x, -y), Area.rectangle(-out_x, y, out_x, out_y),
        Area.rectangle(-out_x, -out_y, -x, out_y), Area.rectangle(x, -out_y, out_x, out_y),
    ]  # fmt: skip


def _dome_drop(piece: Turned | Bar, across: float) -> float:
    """How far the dome falls from its crown to that radius, mm. Derived: sagitta of the sphere."""
    if isinstance(piece, Bar):
        return 0.0
    r = piece.dome.sphere_radius
    across = min(across, piece.dome.width / 2)
    return r - math.sqrt(r * r - across * across)


def _half_widths(piece: Turned | Bar, limit: Limit) -> tuple[float, float]:
    """Half the end's width along the jig's x and y, mm."""
    if isinstance(piece, Bar):
        return getattr(piece.width, limit.value) / 2, getattr(piece.depth, limit.value) / 2
    return piece.dome.width / 2, piece.dome.width / 2


def _outward(a: Point, b: Point) -> Point:
    length = math.dist(a, b)
    return ((b[1] - a[1]) / length, (a[0] - b[0]) / length)


def _left(a: Point, b: Point, p: Point) -> float:
    """Above zero where p lies left of the line from a to b."""
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _hull(points: list[Point]) -> tuple[Point, ...]:
    """Corners of the convex hull, counter-clockwise (monotone chain)."""
    ordered = sorted({(round(x, 9) + 0.0, round(y, 9) + 0.0) for x, y in points})
    if len(ordered) < 3:
        return tuple(ordered)
    halves: list[Point] = []
    for run in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for p in run:
            while len(chain) > 1 and _left(chain[-2], chain[-1], p) <= 1e-9:
                chain.pop()
            chain.append(p)
        halves += chain[:-1]
    return tuple(halves)


def _to_line(p: Point, a: Point, b: Point) -> float:
    """Distance of a point from a straight line between two points, mm."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    share = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return math.dist(p, (a[0] + share * dx, a[1] + share * dy))
