"""Printed parts, from numbers alone: room in the printer, thinnest wall, roofs over hollows.

A printed part builds along its own z (`model/part.py`). Walls are estimated: outlines are taken as
chains of chords, and hollows that run in different directions as their boxes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from jigs.model.finding import Finding, at_least, at_most, not_judged
from jigs.model.outline import Outline, Point
from jigs.model.part import Cut, Does, Face, Part, Print
from jigs.shop.making import Printer
from jigs.sizing import Design

COMMON = "common practice, no source"
LONGEST_BRIDGE = 60.0
"""mm that a printer spans without support. Common practice, no source."""

_SAG = 0.005  # mm between a chord and its arc
_NOTHING = 1e-6  # mm: hollows nearer than this are one hollow
_OPPOSITE = -0.9  # cosine between the outward directions of two sides of one wall
_AXIS = {Face.TOP: 2, Face.BOTTOM: 2, Face.FRONT: 1, Face.BACK: 1, Face.LEFT: 0, Face.RIGHT: 0}
_FROM_BELOW = (Face.BOTTOM, Face.FRONT, Face.LEFT)  # faces at the low end of their axis

Points = list[Point]
Chord = tuple[Point, Point]
Span = tuple[float, float]
Box = tuple[Span, Span, Span]


def check_printing(design: Design) -> list[Finding]:
    """Findings on printed parts, three for each jig that has some. Loads no kernel."""
    printer = design.job.model.printer
    found: list[Finding] = []
    for _, jig in design.jigs():
        parts = [p for p in jig.parts.values() if isinstance(p.made, Print) and p.outline]
        if parts:
            found += [
                _room(jig.name, parts, printer), _walls(jig.name, parts, printer),
                _bridges(jig.name, parts),
            ]  # fmt: skip
    return found


# Room in the printer


def _room(jig: str, parts: Sequence[Part], printer: Printer | None) -> Finding:
    """The size that leaves least room, each part turned about z the better of two ways."""
    check = "printed parts fit the printer"
    if printer is None:
        return not_judged(
            "the job does not say what your printer can print: printer: {volume: [220, 220, 250]}",
            group="print", check=check, of=jig,
        )  # fmt: skip
    stood = [(part, _turned(_size(part), printer.volume)) for part in parts]
    part, size, axis = min(
        ((part, size, axis) for part, size in stood for axis in range(3)),
        key=lambda found: printer.volume[found[2]] - found[1][found[2]],
    )
    needed = (max(printer.volume[k], *(way[k] for _, way in stood)) for k in range(3))
    would_do = ", ".join(f"{math.ceil(v * 10 - 1e-6) / 10:g}" for v in needed)
    fits = size[axis] <= printer.volume[axis] + 1e-9
    why = "as it is built, or turned a quarter about z" + (
        "" if fits else f"; printer: {{volume: [{would_do}]}} would do"
    )
    return at_most(size[axis], printer.volume[axis], group="print", check=check, of=jig,
                   governs=f"{part.title}, along {'xyz'[axis]}", why=why,
                   source="derived")  # fmt: skip


def _size(part: Part) -> tuple[float, float, float]:
    x0, y0, x1, y1 = _outline(part).bounds
    return (x1 - x0, y1 - y0, part.thickness)


def _turned(
    size: tuple[float, float, float], room: tuple[float, float, float]
) -> tuple[float, float, float]:
    x, y, z = size
    ways = ((x, y, z), (y, x, z))
    return max(ways, key=lambda way: min(room[0] - way[0], room[1] - way[1]))


# Walls


@dataclass(frozen=True, slots=True)
class _Hollow:
    """What a cut takes away: its outline as chords, swept between two places along an axis."""

    name: str
    axis: int
    reach: Span
    plan: Points
    box: Box


def _walls(jig: str, parts: Sequence[Part], printer: Printer | None) -> Finding:
    least = printer.wall if printer else float(Printer.model_fields["wall"].default)
    value, where = min(
        (round(value, 2), f"{part.title}: {where}")
        for part in parts
        for value, where in part_walls(part)
    )
    materials = sorted({p.made.material for p in parts if isinstance(p.made, Print)})
    assumes = tuple(
        f"printed in {m}: creeps under load and in the sun; re-check" for m in materials
    )
    if printer is None:
        assumes += (f"walls of {least:g} mm print well: no printer is given",)
    return at_least(value, least, group="print", check="thinnest printed wall", of=jig,
                    governs=where, assumes=assumes, why="or it prints with gaps, or not at all",
                    source="estimated from outline and cuts, to 0.01 mm")  # fmt: skip


def part_walls(part: Part) -> Iterator[tuple[float, str]]:
    """Thickness, mm, and place of what is left between the outsides and hollows of a part.

    Hollows that meet are one hollow, and a cut that runs out over the edge leaves no wall there.
    """
    rim, hollows = _chain(_outline(part)), [_hollow(part, cut) for cut in _cuts(part)]
    yield part.thickness, "its height"
    neck = _neck(rim)
    if neck < math.inf:
        yield neck, "narrowest place of its outline"
    for cut, hollow in zip(_cuts(part), hollows, strict=True):
        yield from ((v, f"beside {cut.name}") for v in _beside(part, rim, hollow))
        floor = _through(part, hollow.axis) - cut.depth if cut.depth is not None else 0.0
        if floor > _NOTHING:
            yield floor, f"under {cut.name}"
    for a, b in combinations(hollows, 2):
        gap = _gap(a, b)
        if gap > _NOTHING:
            yield gap, f"between {a.name} and {b.name}"


def _outline(part: Part) -> Outline:
    assert part.outline is not None
    return part.outline


def _cuts(part: Part) -> list[Cut]:
    return [cut for cut in part.cuts if cut.does is not Does.PRESSED]


def _extent(part: Part) -> Box:
    x0, y0, x1, y1 = _outline(part).bounds
    return ((x0, x1), (y0, y1), (0.0, part.thickness))


def _through(part: Part, axis: int) -> float:
    low, high = _extent(part)[axis]
    return high - low


def _hollow(part: Part, cut: Cut) -> _Hollow:
    axis = _AXIS[cut.face]
    low, high = _extent(part)[axis]
    depth = high - low if cut.depth is None else min(cut.depth, high - low)
    reach = (low, low + depth) if cut.face in _FROM_BELOW else (high - depth, high)
    u0, v0, u1, v1 = cut.outline.bounds
    sides: list[Span] = [(u0, u1), (v0, v1)]
    sides.insert(axis, reach)
    return _Hollow(cut.name, axis, reach, _chain(cut.outline), (sides[0], sides[1], sides[2]))


def _beside(part: Part, rim: Points, hollow: _Hollow) -> Iterator[float]:
    """Walls between a hollow and the outsides of the part that run along with it."""
    if hollow.axis == 2:
        if _within(hollow.plan[0], rim) and (gap := _between(hollow.plan, rim)) > _NOTHING:
            yield gap
        return
    for axis in {0, 1, 2} - {hollow.axis}:
        (low, high), (least, most) = hollow.box[axis], _extent(part)[axis]
        yield from (wall for wall in (low - least, most - high) if wall > _NOTHING)


def _gap(a: _Hollow, b: _Hollow) -> float:
    """Distance of two hollows; 0 where they meet."""
    if a.axis != b.axis:
        return math.hypot(*(_clear(p, q) for p, q in zip(a.box, b.box, strict=True)))
    nested = _within(a.plan[0], b.plan) or _within(b.plan[0], a.plan)
    return math.hypot(0.0 if nested else _between(a.plan, b.plan), _clear(a.reach, b.reach))


def _clear(a: Span, b: Span) -> float:
    return max(0.0, a[0] - b[1], b[0] - a[1])


# Roofs over hollows


def _bridges(jig: str, parts: Sequence[Part]) -> Finding:
    """Holes that lie flat, and hollows open below: what is over them is spanned in the air."""
    spans = [
        (span, f"{cut.name} in {part.title}")
        for part in parts
        for cut in _cuts(part)
        if (span := _span(part, cut)) > 0
    ]
    longest, where = max(spans, default=(0.0, ""))
    names = ", ".join(dict.fromkeys(name for _, name in spans))
    return at_most(longest, LONGEST_BRIDGE, group="print", check="roofs printed in the air", of=jig,
                   governs=where, assumes=(f"bridged without support: {names}",) if names else (),
                   why="a longer one sags: it needs support" if names else "there are none",
                   source=COMMON)  # fmt: skip


def _span(part: Part, cut: Cut) -> float:
    """Shortest way across the roof of a cut, mm; 0 if it has none."""
    x0, y0, x1, y1 = cut.outline.bounds
    if _AXIS[cut.face] != 2:  # then the outline's second coordinate is z
        return x1 - x0 if y1 < part.thickness else 0.0
    blind = cut.depth is not None and cut.depth < part.thickness
    return min(x1 - x0, y1 - y0) if cut.face is Face.BOTTOM and blind else 0.0


# Chains of chords


def _chain(outline: Outline) -> Points:
    """Corners of a polygon that keeps within a sag of the outline, counter-clockwise."""
    points: Points = []
    for side in outline.sides:
        points.append(side.start)
        if side.bulge == 0:
            continue
        (cx, cy), r = side.centre, side.radius
        step = 2 * math.acos(max(0.5, 1 - _SAG / r))
        count = math.ceil(abs(side.angle) / step)
        first = math.atan2(side.start[1] - cy, side.start[0] - cx)
        angles = (first + side.angle * i / count for i in range(1, count))
        points += [(cx + r * math.cos(a), cy + r * math.sin(a)) for a in angles]
    return points


def _chords(points: Points) -> list[Chord]:
    return list(pairwise([*points, points[0]]))


def _within(p: Point, points: Points) -> bool:
    """Is the point inside the polygon? Counts the sides to its right."""
    x, y = p
    inside = False
    for (ax, ay), (bx, by) in _chords(points):
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            inside = not inside
    return inside


def _between(a: Points, b: Points) -> float:
    """Least distance of two closed chains; 0 where they cross."""
    least = math.inf
    others = [(q, *_ball(q)) for q in _chords(b)]
    for p in _chords(a):
        middle, reach = _ball(p)
        for q, other, its in others:
            if math.dist(middle, other) - reach - its < least:
                least = min(least, _apart(p, q)[0])
    return least


def _ball(chord: Chord) -> tuple[Point, float]:
    """Middle and half the length of a chord: what is further away than the balls is not asked."""
    (ax, ay), (bx, by) = chord
    return ((ax + bx) / 2, (ay + by) / 2), math.dist(*chord) / 2


def _neck(rim: Points) -> float:
    """Least distance, through the material, of two chords that look away from each other."""
    chords = _chords(rim)
    ways, balls = [_outward(c) for c in chords], [_ball(c) for c in chords]
    least = math.inf
    for i, j in combinations(range(len(chords)), 2):
        if ways[i][0] * ways[j][0] + ways[i][1] * ways[j][1] > _OPPOSITE:
            continue
        (middle, reach), (other, its) = balls[i], balls[j]
        if math.dist(middle, other) - reach - its >= least or {*chords[i]} & {*chords[j]}:
            continue
        gap, between = _apart(chords[i], chords[j])
        if gap < least and _within(between, rim):
            least = gap
    return least


def _outward(chord: Chord) -> Point:
    (ax, ay), (bx, by) = chord
    length = math.dist(*chord)
    return ((by - ay) / length, (ax - bx) / length)


def _apart(p: Chord, q: Chord) -> tuple[float, Point]:
    """Least distance of two chords, and the point halfway between."""
    if _cross(p, q):
        return 0.0, p[0]
    nearest = [(end, _foot(end, q)) for end in p] + [(end, _foot(end, p)) for end in q]
    a, b = min(nearest, key=lambda ends: math.dist(*ends))
    return math.dist(a, b), ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)


def _foot(p: Point, chord: Chord) -> Point:
    """The chord's point that is nearest to p."""
    (ax, ay), (bx, by) = chord
    dx, dy = bx - ax, by - ay
    share = ((p[0] - ax) * dx + (p[1] - ay) * dy) / (dx * dx + dy * dy)
    share = min(1.0, max(0.0, share))
    return (ax + share * dx, ay + share * dy)


def _cross(p: Chord, q: Chord) -> bool:
    return _left(p, q[0]) * _left(p, q[1]) < 0 and _left(q, p[0]) * _left(q, p[1]) < 0


def _left(chord: Chord, p: Point) -> float:
    (ax, ay), (bx, by) = chord
    return (bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax)
