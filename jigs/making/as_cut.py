"""What is really left when a round cutter follows an outline.

The middle of a cutter of radius r can stand wherever its disc stays clear of the wood that is to
remain: the drawn shape **eroded** by r. What its disc then sweeps is the drawn shape **opened** by
r; the rest is left standing. A point of the outline is missed by its distance to where the middle
may stand, less r. So a square inside corner keeps r (√2 - 1), a corner of angle a keeps
r (1 / sin(a / 2) - 1).

The edge of the eroded shape is made of lines and arcs beside the sides, and arcs about the corners
that point into the shape; the point of it that is nearest to a given point is the foot of a
perpendicular on one of them, or where two of them cross. Both are worked out in closed form, so
corners and arcs come out exact (to about 1e-6) and no polygons are needed. Along a neck that is
narrower than the cutter the greatest value is found at quarters of each side.

Source: J. Serra, Image Analysis and Mathematical Morphology, 1982, for opening by a disc (cited
from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations

from jigs.model.outline import Outline, Point, Side

HAIR = 1e-7
"""mm within which two lengths are the same: far above summation noise, far below any cut."""
SMOOTH = 1e-6
"""rad of turn below which two sides meet without a corner."""
TURN = 2 * math.pi

Left = tuple[Point, float]
"""A point of an outline and how far from it the cutter stays, mm."""


def reachable(outline: Outline, cutter_diameter: float, inside: bool) -> float:
    """The greatest distance by which wood is left standing beyond the drawn line, mm.

    Parameters: outline in mm; cutter_diameter in mm; inside = the cutter stays within the outline
    (a pocket or an inside shape), else it goes round it (a part's edge).
    Returns: 0 where the cutter touches the whole line; infinite where it cannot get in at all.
    Raises: ValueError for a cutter without a diameter.
    """
    return max(left for _, left in left_standing(outline, cutter_diameter, inside))


def left_standing(
    outline: Outline, cutter_diameter: float, inside: bool, at: Sequence[Point] = ()
) -> tuple[Left, ...]:
    """Each point of the outline that is looked at, and how far from it wood is left standing, mm.

    Looked at are corners, quarters of the sides, and the points `at` of the outline that the
    caller names. Parameters and raises: see `reachable`.
    """
    if cutter_diameter <= 0:
        raise ValueError(f"a cutter of {cutter_diameter:g} mm cuts nothing")
    x, y = outline.vertices[0][:2]
    near = _rounded(outline.shifted(-x, -y))
    found = _left(near, cutter_diameter, inside, tuple((px - x, py - y) for px, py in at))
    return tuple(((px + x, py + y), left) for (px, py), left in found)


@dataclass(frozen=True, slots=True)
class Between:
    """The clear room between two straight sides: the unit vector across it, and where along that
    vector the sides lie, mm."""

    across: Point
    low: float
    high: float


def clear_between(outline: Outline) -> Between | None:
    """What lies between the two straight sides that face each other over the longest stretch.

    Ears in the corners do not count: what fills a groove touches its sides. None where none face.
    """
    straight = [s for s in outline.sides if s.bulge == 0]
    facing = [(_facing(a, b), a, b) for a, b in combinations(straight, 2) if _across(a, b)]
    if not facing:
        return None
    _, a, b = max(facing, key=lambda found: found[0])
    ux, uy = _direction(a)
    nx, ny = (-uy, ux) if ux - uy > 0 else (uy, -ux)
    low, high = sorted(s.start[0] * nx + s.start[1] * ny for s in (a, b))
    return Between((nx, ny), low, high)


def narrowest(outline: Outline, inside: bool) -> float:
    """The least width between two sides that face each other across what the cutter clears, mm.

    Counted are straight parallel sides that lie opposite each other, and arcs of a half circle or
    more. Infinite where there are none, as round a part without notches.
    """
    sides = _walked(outline, inside)
    widths = [2 * s.radius for s in sides if s.bulge > 0 and s.angle >= math.pi - SMOOTH]
    straight = [s for s in sides if s.bulge == 0]
    widths += [w for a, b in combinations(straight, 2) if (w := _across(a, b)) is not None]
    return min(widths, default=math.inf)


@lru_cache(maxsize=4096)
def bounds_of(outline: Outline) -> tuple[float, float, float, float]:
    """The outline's bounds, remembered: every pair of cuts asks for them."""
    return outline.bounds


def holds(outline: Outline, p: Point) -> bool:
    """Does a point lie within an outline? On its line either answer may come."""
    x0, y0, x1, y1 = bounds_of(outline)
    if not (x0 <= p[0] <= x1 and y0 <= p[1] <= y1):
        return False
    if outline.is_circle:
        return math.dist(p, outline.centre) < (x1 - x0) / 2
    return round(math.fsum(_seen_turn(side, p) for side in outline.sides) / TURN) == 1


def crossings(a: Outline, b: Outline) -> list[Point]:
    """Where straight sides of one outline cross straight sides of the other."""
    found = []
    for one in (s for s in a.sides if s.bulge == 0):
        for other in (s for s in b.sides if s.bulge == 0):
            first, second = _Line(one.start, one.end), _Line(other.start, other.end)
            found += [
                p for p in _line_line(first, second)
                if math.dist(p, first.foot(p)) < HAIR and math.dist(p, second.foot(p)) < HAIR
            ]  # fmt: skip
    return found


def wood_between(a: Outline, b: Outline) -> float:
    """The least distance of the lines of two outlines that do not cross, mm."""
    if a.is_circle and b.is_circle:
        ra, rb = (a.bounds[2] - a.bounds[0]) / 2, (b.bounds[2] - b.bounds[0]) / 2
        far = math.dist(a.centre, b.centre)
        return max(far - ra - rb, abs(ra - rb) - far)
    return min(_side_to_side(s, t) for s in a.sides for t in b.sides)


def _side_to_side(a: Side, b: Side) -> float:
    """Distance of two sides that do not cross: from an end, or along a common perpendicular."""
    to_a, to_b = _distance_to(a), _distance_to(b)
    found = [to_a(b.start), to_a(b.end), to_b(a.start), to_b(a.end)]
    for one, other, to_one, to_other in ((a, b, to_a, to_b), (b, a, to_b, to_a)):
        if one.bulge:
            foot = _Line(other.start, other.end) if other.bulge == 0 else None
            far = other.centre if foot is None else foot.foot(one.centre)
            near = _Circle(one.centre, one.radius).foot(far)
            back = (2 * one.centre[0] - near[0], 2 * one.centre[1] - near[1])
            found += [to_other(p) for p in (near, back) if to_one(p) < HAIR]
    return min(found)


@lru_cache(maxsize=4096)
def _left(outline: Outline, diameter: float, inside: bool, at: tuple[Point, ...]) -> list[Left]:
    room = _Room(tuple(_walked(outline, inside)), diameter / 2)
    return [(p, room.left(p)) for p in [*_looked_at(room.sides), *at]]


def _rounded(outline: Outline) -> Outline:
    """Alike to the last digit wherever it stands, so that each different shape is worked once."""
    return Outline(tuple((round(x, 9), round(y, 9), round(b, 12)) for x, y, b in outline.vertices))


def _walked(outline: Outline, inside: bool) -> list[Side]:
    """The sides, walked so that the cutter is on the left."""
    if inside:
        return list(outline.sides)
    return [Side(s.end, s.start, -s.bulge) for s in reversed(outline.sides)]


def _looked_at(sides: Sequence[Side]) -> Iterator[Point]:
    for side in sides:
        yield side.start
        for share in (0.25, 0.5, 0.75):
            yield _along(side, share)


def _along(side: Side, share: float) -> Point:
    """The point at a share of the length of a side."""
    if side.bulge == 0:
        (ax, ay), (bx, by) = side.start, side.end
        return (ax + share * (bx - ax), ay + share * (by - ay))
    (cx, cy), (ax, ay) = side.centre, side.start
    turn = side.angle * share
    cos, sin, dx, dy = math.cos(turn), math.sin(turn), ax - cx, ay - cy
    return (cx + dx * cos - dy * sin, cy + dx * sin + dy * cos)


def _across(a: Side, b: Side) -> float | None:
    """Width between two straight sides that face each other, what is cleared between them."""
    (ax, ay), (bx, by) = _direction(a), _direction(b)
    if ax * bx + ay * by > -1 + 1e-9:
        return None
    if _facing(a, b) <= HAIR:
        return None
    width = -(b.start[0] - a.start[0]) * ay + (b.start[1] - a.start[1]) * ax
    return width if width > HAIR else None


def _facing(a: Side, b: Side) -> float:
    """Over what length two opposite straight sides lie side by side, mm; negative where apart."""
    ax, ay = _direction(a)
    along = [(p[0] - a.start[0]) * ax + (p[1] - a.start[1]) * ay for p in (b.end, b.start)]
    return min(a.chord, along[1]) - max(0.0, along[0])


def _direction(side: Side, at_end: bool = False) -> Point:
    """Unit vector along a side, at its start or its end."""
    (ax, ay), (bx, by) = side.start, side.end
    dx, dy = (bx - ax) / side.chord, (by - ay) / side.chord
    half = side.angle / 2 * (1 if at_end else -1)
    cos, sin = math.cos(half), math.sin(half)
    return (dx * cos - dy * sin, dx * sin + dy * cos)


@dataclass(frozen=True, slots=True)
class _Line:
    """A straight track of the cutter's middle."""

    start: Point
    end: Point

    def foot(self, p: Point) -> Point:
        """The nearest point of the track."""
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        share = ((p[0] - self.start[0]) * dx + (p[1] - self.start[1]) * dy) / (dx * dx + dy * dy)
        share = min(1.0, max(0.0, share))
        return (self.start[0] + share * dx, self.start[1] + share * dy)


@dataclass(frozen=True, slots=True)
class _Circle:
    """A round track of the cutter's middle, as a whole circle: what is too much is not free."""

    centre: Point
    radius: float

    def foot(self, p: Point) -> Point:
        """The nearest point of the circle; any of them for its centre."""
        dx, dy = p[0] - self.centre[0], p[1] - self.centre[1]
        far = math.hypot(dx, dy)
        if far < HAIR:
            return (self.centre[0] + self.radius, self.centre[1])
        return (
            self.centre[0] + dx / far * self.radius,
            self.centre[1] + dy / far * self.radius,
        )


class _Room:
    """Where the middle of a cutter of radius r may stand: on the left of all sides, r away."""

    def __init__(self, sides: tuple[Side, ...], radius: float) -> None:
        self.sides, self.radius = sides, radius
        self._probes: list[Callable[[Point], float]] = [_distance_to(s) for s in sides]

    def left(self, p: Point) -> float:
        """How far a point of the outline stays from what the cutter clears, mm."""
        radius = self.radius
        least = math.inf
        for track in self.tracks:
            foot = track.foot(p)
            far = math.dist(p, foot)
            if far < least and self.free(foot):
                least = far
                if far <= radius + HAIR:
                    return 0.0
        return min([least, *(math.dist(p, q) for q in self.corners)]) - radius

    def free(self, q: Point) -> bool:
        """May the cutter's middle stand here?"""
        radius = self.radius - HAIR
        return all(probe(q) >= radius for probe in self._probes) and self._on_the_left(q)

    def _on_the_left(self, q: Point) -> bool:
        """By the winding number of the walk round: 1 within an outline, -1 or 0 round it."""
        turns = math.fsum(_seen_turn(side, q) for side in self.sides)
        return round(turns / TURN) == (1 if self._runs_inside else 0)

    @cached_property
    def _runs_inside(self) -> bool:
        chords = (s.start[0] * s.end[1] - s.end[0] * s.start[1] for s in self.sides)
        segments = (s.radius**2 * (s.angle - math.sin(s.angle)) for s in self.sides if s.bulge)
        return math.fsum([*chords, *segments]) > 0

    @cached_property
    def tracks(self) -> list[_Line | _Circle]:
        """Lines and circles beside the sides and about the corners that point into the room."""
        found: list[_Line | _Circle] = []
        for side, after in zip(self.sides, (*self.sides[1:], self.sides[0]), strict=True):
            if side.bulge == 0:
                dx, dy = _direction(side)
                nx, ny = -dy * self.radius, dx * self.radius
                (ax, ay), (bx, by) = side.start, side.end
                found.append(_Line((ax + nx, ay + ny), (bx + nx, by + ny)))
            else:
                radius = side.radius - math.copysign(self.radius, side.bulge)
                if radius > -HAIR:
                    found.append(_Circle(side.centre, max(radius, 0.0)))
            (ux, uy), (vx, vy) = _direction(side, at_end=True), _direction(after)
            if ux * vy - uy * vx < -SMOOTH or ux * vx + uy * vy < -1 + SMOOTH:
                found.append(_Circle(side.end, self.radius))
        return found

    @cached_property
    def corners(self) -> list[Point]:
        """Where two tracks cross or one ends, and the cutter's middle may stand."""
        tracks = self.tracks
        found = [p for t in tracks if isinstance(t, _Line) for p in (t.start, t.end)]
        found += [t.centre for t in tracks if isinstance(t, _Circle) and t.radius == 0]
        for a, b in combinations(tracks, 2):
            found += _crossings(a, b)
        return [p for p in found if self.free(p)]


def _crossings(a: _Line | _Circle, b: _Line | _Circle) -> list[Point]:
    if isinstance(a, _Line) and isinstance(b, _Line):
        return _line_line(a, b)
    if isinstance(a, _Circle) and isinstance(b, _Circle):
        return _circle_circle(a, b)
    line, circle = (a, b) if isinstance(a, _Line) else (b, a)
    assert isinstance(line, _Line)
    assert isinstance(circle, _Circle)
    return _line_circle(line, circle)


def _line_line(a: _Line, b: _Line) -> list[Point]:
    ux, uy = a.end[0] - a.start[0], a.end[1] - a.start[1]
    vx, vy = b.end[0] - b.start[0], b.end[1] - b.start[1]
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-12 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return []
    wx, wy = b.start[0] - a.start[0], b.start[1] - a.start[1]
    share = (wx * vy - wy * vx) / cross
    return [(a.start[0] + share * ux, a.start[1] + share * uy)]


def _line_circle(line: _Line, circle: _Circle) -> list[Point]:
    length = math.dist(line.start, line.end)
    ux, uy = (line.end[0] - line.start[0]) / length, (line.end[1] - line.start[1]) / length
    wx, wy = circle.centre[0] - line.start[0], circle.centre[1] - line.start[1]
    along, aside = wx * ux + wy * uy, wx * uy - wy * ux
    inner = circle.radius**2 - aside**2
    if inner < -1e-6:
        return []
    half = math.sqrt(max(inner, 0.0))
    x, y = line.start[0] + along * ux, line.start[1] + along * uy
    return [(x + h * ux, y + h * uy) for h in (-half, half)]


def _circle_circle(a: _Circle, b: _Circle) -> list[Point]:
    dx, dy = b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]
    far = math.hypot(dx, dy)
    if far < HAIR:
        return []
    along = (far**2 + a.radius**2 - b.radius**2) / (2 * far)
    inner = a.radius**2 - along**2
    if inner < -1e-6:
        return []
    half = math.sqrt(max(inner, 0.0)) / far
    x, y = a.centre[0] + along * dx / far, a.centre[1] + along * dy / far
    return [(x - h * dy, y + h * dx) for h in (-half, half)]


def _distance_to(side: Side) -> Callable[[Point], float]:
    """Distance of a point from a side."""
    start, end = side.start, side.end
    if side.bulge == 0:
        line = _Line(start, end)
        return lambda p: math.dist(p, line.foot(p))
    centre, radius, angle = side.centre, side.radius, side.angle
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])

    def to_arc(p: Point) -> float:
        turn = math.atan2(p[1] - centre[1], p[0] - centre[0]) - first
        swept = turn % TURN if angle > 0 else -turn % TURN
        if swept <= abs(angle):
            return abs(math.dist(p, centre) - radius)
        return min(math.dist(p, start), math.dist(p, end))

    return to_arc


def _seen_turn(side: Side, q: Point) -> float:
    """The angle by which one who stands at q turns while the side is walked, rad."""
    ax, ay = side.start[0] - q[0], side.start[1] - q[1]
    bx, by = side.end[0] - q[0], side.end[1] - q[1]
    turn = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
    if side.bulge == 0 or math.dist(q, side.centre) >= side.radius:
        return turn
    # From within its circle an arc is seen to turn one way only.
    return turn % TURN if side.bulge > 0 else -(-turn % TURN)
