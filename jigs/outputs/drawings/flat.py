"""A part as seen square onto its top: visible and hidden edges, exact, from outline and cuts.

A line is an edge where the surface is at different depths on its two sides. Every contour is cut
where others cross it; each piece is then asked once, at its middle.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from jigs.making.as_cut import holds
from jigs.making.clamping import goes_through
from jigs.model.outline import Outline, Point, Side
from jigs.model.part import Cut, Does, Face, Part
from jigs.outputs.drawings.paper import point_on

_BESIDE = 1e-3  # mm to either side of a line where the depth is asked
_SAME = 1e-6
OPEN = math.inf


@dataclass(frozen=True, slots=True)
class Edge:
    """A line of a view, mm of the part."""

    side: Side
    hidden: bool


class Solid:
    """Depths of a part, asked from its two flat faces."""

    def __init__(self, part: Part) -> None:
        assert part.outline is not None
        self.part, self.outline, self.thickness = part, part.outline, part.thickness
        flat = [c for c in flat_cuts(part) if not outside(c.outline, self.outline)]
        self.through = [c.outline for c in flat if goes_through(c, part)]
        self.blind = {
            face: [(c.outline, c.depth or 0.0) for c in flat
                   if c.face is face and not goes_through(c, part)]
            for face in (Face.TOP, Face.BOTTOM)
        }  # fmt: skip

        self._within = _Area(self.outline)
        self._through = [_Area(o) for o in self.through]
        self._blind = {face: [(_Area(o), d) for o, d in cuts] for face, cuts in self.blind.items()}

    @property
    def contours(self) -> list[Outline]:
        """Everything that may leave an edge."""
        blind = [o for face in self.blind.values() for o, _ in face]
        return [self.outline, *self.through, *blind]

    def depth(self, p: Point, face: Face) -> float:
        """How deep the surface lies below a face, mm; infinite where there is nothing."""
        return self.depths(p)[0 if face is Face.TOP else 1]

    def depths(self, p: Point) -> tuple[float, float]:
        """Below top and bottom, mm; both infinite where there is nothing."""
        if not self._within.holds(p) or any(area.holds(p) for area in self._through):
            return (OPEN, OPEN)
        top, bottom = (
            max((d for area, d in self._blind[face] if area.holds(p)), default=0.0)
            for face in (Face.TOP, Face.BOTTOM)
        )
        return (OPEN, OPEN) if top + bottom >= self.thickness - _SAME else (top, bottom)


class _Area:
    """An outline that is asked often: boxes and circles answer without going round their sides."""

    def __init__(self, outline: Outline) -> None:
        x0, y0, x1, y1 = self.box = outline.bounds
        self.outline = outline
        self.centre = ((x0 + x1) / 2, (y0 + y1) / 2)
        self.radius = (x1 - x0) / 2 if outline.is_circle else 0.0
        straight = len(outline.vertices) == 4 and not any(bulge for _, _, bulge in outline.vertices)
        self.is_box = straight and {v[:2] for v in outline.vertices} == {
            (x, y) for x in (x0, x1) for y in (y0, y1)
        }

    def holds(self, p: Point) -> bool:
        """Does a point lie within? On its line either answer may come."""
        x0, y0, x1, y1 = self.box
        if not (x0 <= p[0] <= x1 and y0 <= p[1] <= y1):
            return False
        if self.radius:
            return math.dist(p, self.centre) < self.radius
        return self.is_box or holds(self.outline, p)


def flat_cuts(part: Part) -> list[Cut]:
    """Cuts that come in from top or bottom."""
    return [c for c in part.cuts
            if c.face in (Face.TOP, Face.BOTTOM) and c.does is not Does.PRESSED]  # fmt: skip


def outside(a: Outline, b: Outline) -> bool:
    """Do the boxes of two outlines have nothing in common?"""
    p, q = a.bounds, b.bounds
    return p[2] <= q[0] or q[2] <= p[0] or p[3] <= q[1] or q[3] <= p[1]


def seen_from_top(solid: Solid) -> list[Edge]:
    """Edges from the flat faces; what is drilled into edges is not among them."""
    sides = [side for outline in solid.contours for side in outline.sides]
    found: dict[tuple[float, ...], Edge] = {}
    for piece in pieces(sides, sides):
        left, right = (solid.depths(p) for p in _both_sides(piece))
        if _differ(left[0], right[0]):
            edge = Edge(piece, False)
        elif _differ(left[1], right[1]):
            edge = Edge(piece, True)
        else:
            continue
        x, y = piece.middle
        found.setdefault((round(x, 4), round(y, 4), round(piece.length, 4)), edge)
    return list(found.values())


def _differ(a: float, b: float) -> bool:
    return a != b and not abs(a - b) < _SAME


def _both_sides(side: Side) -> tuple[Point, Point]:
    (x, y), (x0, y0), (x1, y1) = side.middle, side.start, side.end
    chord = math.dist(side.start, side.end)
    nx, ny = -(y1 - y0) / chord * _BESIDE, (x1 - x0) / chord * _BESIDE
    return ((x + nx, y + ny), (x - nx, y - ny))


def pieces(sides: Sequence[Side], others: Sequence[Side]) -> Iterator[Side]:
    """Sides, cut where others meet them."""
    boxes = [(_box(other), other) for other in others]
    for side in sides:
        x0, y0, x1, y1 = _box(side)
        shares = {0.0, 1.0}
        for (a0, b0, a1, b1), other in boxes:
            if other is side or a0 > x1 or x0 > a1 or b0 > y1 or y0 > b1:
                continue
            shares |= {share for p in meetings(side, other) for share in _share(side, p)}
        yield from _cut(side, sorted(shares))


def _box(side: Side) -> tuple[float, float, float, float]:
    points = list(side.extremes())
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs) - _SAME, min(ys) - _SAME, max(xs) + _SAME, max(ys) + _SAME)


def _cut(side: Side, shares: Sequence[float]) -> Iterator[Side]:
    for a, b in pairwise(shares):
        if (b - a) * side.length > 4 * _BESIDE:
            bulge = math.tan(side.angle * (b - a) / 4) if side.bulge else 0.0
            yield Side(point_on(side, a), point_on(side, b), bulge)


def _share(side: Side, p: Point) -> Iterator[float]:
    """Where along a side a point of its line or circle lies, from 0 to 1, if it does."""
    if side.bulge == 0:
        (x0, y0), (x1, y1) = side.start, side.end
        share = ((p[0] - x0) * (x1 - x0) + (p[1] - y0) * (y1 - y0)) / side.chord**2
    else:
        cx, cy = side.centre
        first = math.atan2(side.start[1] - cy, side.start[0] - cx)
        turn = math.atan2(p[1] - cy, p[0] - cx) - first
        share = ((turn if side.bulge > 0 else -turn) % (2 * math.pi)) / abs(side.angle)
    if 0 < share < 1 and math.dist(point_on(side, share), p) < 1e-5:
        yield share


def meetings(a: Side, b: Side) -> list[Point]:
    """Points that two sides may share; of sides on one line, the ends of the other."""
    ends = [b.start, b.end]
    if a.bulge == 0 and b.bulge == 0:
        return ends + _lines(a, b)
    if a.bulge and b.bulge:
        return ends + _circles(a, b)
    line, arc = (a, b) if a.bulge == 0 else (b, a)
    return ends + [p for p in line_circle(line, arc) if _on(b, p)]


def _on(side: Side, p: Point) -> bool:
    return bool(list(_share(side, p))) or min(math.dist(side.start, p), math.dist(side.end, p)) < (
        _SAME
    )


def _lines(a: Side, b: Side) -> list[Point]:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = a.start, a.end, b.start, b.end
    det = (x1 - x0) * (y3 - y2) - (y1 - y0) * (x3 - x2)
    if abs(det) < 1e-12:
        return []
    t = ((x2 - x0) * (y3 - y2) - (y2 - y0) * (x3 - x2)) / det
    p = (x0 + t * (x1 - x0), y0 + t * (y1 - y0))
    return [p] if _on(b, p) else []


def line_circle(line: Side, arc: Side) -> list[Point]:
    """Where the straight line of one side meets the circle of another."""
    (x0, y0), (cx, cy) = line.start, arc.centre
    length = line.chord
    ux, uy = (line.end[0] - x0) / length, (line.end[1] - y0) / length
    foot = (cx - x0) * ux + (cy - y0) * uy
    away = math.hypot(x0 + foot * ux - cx, y0 + foot * uy - cy)
    if away > arc.radius:
        return []
    half = math.sqrt(arc.radius**2 - away**2)
    return [(x0 + (foot + s) * ux, y0 + (foot + s) * uy) for s in (-half, half)]


def _circles(a: Side, b: Side) -> list[Point]:
    (ax, ay), (bx, by), r, q = a.centre, b.centre, a.radius, b.radius
    d = math.hypot(bx - ax, by - ay)
    if d < 1e-9 or d > r + q or d < abs(r - q):
        return []
    along = (d * d + r * r - q * q) / (2 * d)
    half = math.sqrt(max(0.0, r * r - along * along))
    ux, uy = (bx - ax) / d, (by - ay) / d
    x, y = ax + along * ux, ay + along * uy
    return [p for p in ((x - half * uy, y + half * ux), (x + half * uy, y - half * ux))
            if _on(b, p)]  # fmt: skip
