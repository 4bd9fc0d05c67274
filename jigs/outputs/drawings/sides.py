"""A part as seen square onto one of its edges: what is nearest at each place decides what is seen.

Along the edge the part falls into intervals in which the same surfaces follow each other away from
the eye. In each, and in each layer between the depths of the cuts, one surface is the first to be
seen: a line stands wherever its neighbour is another one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from jigs.model.outline import Outline, Point, Side
from jigs.model.part import Cut, Does, Face, Part
from jigs.outputs.drawings.flat import Edge, Solid, meetings, outside

_BESIDE = 1e-3
_STEP_SEEN = 0.5
"""mm: the least step away from the eye that shows as an edge; less is the run of a round."""
_SAME = 1e-6
_SHARP = math.radians(5)

EDGE_FACES = (Face.LEFT, Face.RIGHT, Face.FRONT, Face.BACK)


@dataclass
class _Lines:
    """Axis-parallel lines of a view: (upright?, place) -> stretches along it."""

    kept: dict[tuple[bool, float], list[tuple[float, float]]] = field(default_factory=dict)

    def add(self, upright: bool, at: float, low: float, high: float) -> None:
        if high - low > _BESIDE:
            self.kept.setdefault((upright, round(at, 4)), []).append((low, high))

    def without(self, other: _Lines) -> _Lines:
        """The stretches that the other has not."""
        left = _Lines()
        for key, runs in self.kept.items():
            for low, high in _joined(runs):
                for a, b in _joined(other.kept.get(key, [])):
                    if b <= low or a >= high:
                        continue
                    left.add(*key, low, min(a, high))
                    low = max(low, b)
                left.add(*key, low, high)
        return left

    def edges(self, hidden: bool) -> Iterator[Edge]:
        for (upright, at), runs in sorted(self.kept.items()):
            for low, high in _joined(runs):
                a, b = ((at, low), (at, high)) if upright else ((low, at), (high, at))
                yield Edge(Side(a, b), hidden)


def _joined(runs: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for low, high in sorted(runs):
        if found and low <= found[-1][1] + _BESIDE:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


@dataclass(frozen=True)
class SideView:
    """Edges in (s, z): s along the edge as the part's own axis runs, z its thickness, mm.

    `rounds` = (centre, radius, hidden) of what is drilled into this edge; `axes` = centre lines of
    what is drilled across; `notched` = is there more to see than a rectangle?
    """

    face: Face
    edges: tuple[Edge, ...]
    rounds: tuple[tuple[Point, float, bool], ...]
    axes: tuple[tuple[Point, Point], ...]
    notched: bool


def seen_from(solid: Solid, face: Face) -> SideView:
    """The part seen onto an edge, with what is behind dashed."""
    turned = _Turned(solid, face)
    seen = turned.visible()
    plain = sum(len(_joined(runs)) for runs in seen.kept.values())
    behind = _Lines()
    turned.hidden(behind)
    _drilled_across(solid, face, behind)
    return SideView(
        face, (*seen.edges(False), *behind.without(seen).edges(True)),
        tuple(_drilled_rounds(solid.part, face)), tuple(_drilled_axes(solid, face)), plain > 4,
    )  # fmt: skip


class _Turned:
    """The part with a = away from the eye and s = along the edge."""

    def __init__(self, solid: Solid, face: Face) -> None:
        self.solid, self.face = solid, face
        self.outline = self._seen(solid.outline)
        self.contours = [self._seen(o) for o in solid.contours]
        self._runs = [(o.bounds[1], o.bounds[3], o.sides) for o in self.contours]
        self.t = solid.thickness

    def _seen(self, outline: Outline) -> Outline:
        """Left: (x, y); right: (-x, y); front: (y, x); back: (-y, x)."""
        along_x = self.face in (Face.FRONT, Face.BACK)
        sign = -1.0 if self.face in (Face.RIGHT, Face.BACK) else 1.0
        flip = sign * (-1.0 if along_x else 1.0)
        return Outline.of([(sign * (y if along_x else x), x if along_x else y, flip * b)
                           for x, y, b in outline.vertices])  # fmt: skip

    def _back(self, a: float, s: float) -> Point:
        sign = -1.0 if self.face in (Face.RIGHT, Face.BACK) else 1.0
        return (s, sign * a) if self.face in (Face.FRONT, Face.BACK) else (sign * a, s)

    def row(self, s: float) -> list[tuple[float, float, float]]:
        """(a, lowest z, highest z) of the material met at s, one after the other."""
        at = sorted({a for low, high, sides in self._runs if low < s < high
                     for side in sides for a in _crossed(side, s)})  # fmt: skip
        found = []
        for a0, a1 in pairwise(at):
            if a1 - a0 > _BESIDE:
                top, bottom = self.solid.depths(self._back((a0 + a1) / 2, s))
                if top != math.inf:
                    found.append((a0, bottom, self.t - top))
        return found

    def _first(self, row: Sequence[tuple[float, float, float]], z: float) -> float:
        return next((a for a, low, high in row if low < z < high), math.inf)

    def visible(self) -> _Lines:
        lines = _Lines()
        levels = self._levels()
        layers = [(low + high) / 2 for low, high in pairwise(levels)]
        stops = self._stops()
        rows = [self.row((a + b) / 2) for a, b in pairwise(stops)]
        for (s0, s1), row in zip(pairwise(stops), rows, strict=True):
            first = [math.inf, *(self._first(row, z) for z in layers), math.inf]
            for z, below, above in zip(levels, first, first[1:], strict=False):
                if _stepped(below, above, _BESIDE):
                    lines.add(False, z, s0, s1)
        for s in stops:
            before, after = self.row(s - _BESIDE), self.row(s + _BESIDE)
            for z, (low, high) in zip(layers, pairwise(levels), strict=True):
                if _stepped(self._first(before, z), self._first(after, z), _STEP_SEEN):
                    lines.add(True, s, low, high)
        self._corners(lines, levels, seen=True)
        return lines

    def _corners(self, lines: _Lines, levels: Sequence[float], seen: bool) -> None:
        """Upright lines of the outline's sharp corners: those that nothing hides, or all."""
        for (a, s), sharp in sharp_corners(self.outline):
            if not sharp:
                continue
            rows = [self.row(s - _BESIDE), self.row(s + _BESIDE)] if seen else []
            for low, high in pairwise(levels):
                z = (low + high) / 2
                if not seen or any(abs(self._first(row, z) - a) < _STEP_SEEN for row in rows):
                    lines.add(True, s, low, high)

    def hidden(self, lines: _Lines) -> None:
        """Everything behind: floors and walls of cuts, and corners and crowns of the outline."""
        self._corners(lines, (0.0, self.t), seen=False)
        _, low, _, high = self.outline.bounds
        for side in self.outline.sides:
            for _, s in side.extremes():
                if (
                    side.bulge
                    and low + _SAME < s < high - _SAME
                    and (min(math.dist((_, s), side.start), math.dist((_, s), side.end)) > _SAME)
                ):
                    lines.add(True, s, 0.0, self.t)
        cuts = [(o, 0.0, self.t) for o in self.solid.through]
        cuts += [(o, self.t - d, self.t) for o, d in self.solid.blind[Face.TOP]]
        cuts += [(o, 0.0, d) for o, d in self.solid.blind[Face.BOTTOM]]
        for outline, z0, z1 in cuts:
            _, s0, _, s1 = self._seen(outline).bounds
            for s in (s0, s1):
                if low + _SAME < s < high - _SAME:
                    lines.add(True, s, z0, z1)
            for z in (z0, z1):
                if _SAME < z < self.t - _SAME:
                    lines.add(False, z, max(s0, low), min(s1, high))

    def _levels(self) -> list[float]:
        top, bottom = self.solid.blind[Face.TOP], self.solid.blind[Face.BOTTOM]
        found = {0.0, self.t, *(round(d, 9) for _, d in bottom),
                 *(round(self.t - d, 9) for _, d in top)}  # fmt: skip
        return sorted(found)

    def _stops(self) -> list[float]:
        """Where along the edge something begins, ends or crosses something else."""
        _, low, _, high = self.outline.bounds
        found = {s for o in self.contours for side in o.sides for _, s in side.extremes()}
        for i, one in enumerate(self.contours):
            for other in self.contours[i + 1 :]:
                if not outside(one, other):
                    found |= {p[1] for a in one.sides for b in other.sides for p in meetings(a, b)}
        inside = sorted({round(s, 6) for s in found if low + _BESIDE < s < high - _BESIDE})
        kept = [low]
        for s in [*inside, high]:
            if s - kept[-1] > 3 * _BESIDE:
                kept.append(s)
        kept[-1] = high
        return kept


def _stepped(a: float, b: float, least: float) -> bool:
    return a != b and (math.inf in (a, b) or abs(a - b) > least)


def _crossed(side: Side, s: float) -> Iterator[float]:
    """Where a side meets the row at s."""
    (a0, s0), (a1, s1) = side.start, side.end
    if side.bulge == 0:
        if (s0 < s) != (s1 < s):
            yield a0 + (s - s0) / (s1 - s0) * (a1 - a0)
        return
    (ca, cs), r = side.centre, side.radius
    if abs(s - cs) >= r:
        return
    half = math.sqrt(r * r - (s - cs) ** 2)
    first = math.atan2(s0 - cs, a0 - ca)
    for a in (ca - half, ca + half):
        turn = math.atan2(s - cs, a - ca) - first
        if (turn if side.bulge > 0 else -turn) % (2 * math.pi) <= abs(side.angle):
            yield a


def sharp_corners(outline: Outline) -> Iterator[tuple[Point, bool]]:
    """Every corner, and whether the outline turns there by more than a hair."""
    sides = outline.sides
    for before, after in zip((sides[-1], *sides[:-1]), sides, strict=True):
        turn = (_heading(after, False) - _heading(before, True) + math.pi) % (2 * math.pi) - math.pi
        yield after.start, abs(turn) > _SHARP


def _heading(side: Side, at_end: bool) -> float:
    (x0, y0), (x1, y1) = side.start, side.end
    chord = math.atan2(y1 - y0, x1 - x0)
    return chord + (side.angle / 2 if at_end else -side.angle / 2)


def edge_cuts(part: Part) -> list[Cut]:
    """What is drilled into edges."""
    return [c for c in part.cuts if c.face in EDGE_FACES and c.does is not Does.PRESSED]


_ACROSS = {Face.LEFT: Face.RIGHT, Face.RIGHT: Face.LEFT, Face.FRONT: Face.BACK,
           Face.BACK: Face.FRONT}  # fmt: skip


def _drilled_rounds(part: Part, face: Face) -> Iterator[tuple[Point, float, bool]]:
    found: dict[tuple[float, float, float], bool] = {}
    for cut in edge_cuts(part):
        if cut.face in (face, _ACROSS[face]):
            u0, _, u1, _ = cut.outline.bounds
            (u, w), r = cut.outline.centre, (u1 - u0) / 2
            hidden = cut.face is not face and cut.depth is not None
            key = (round(u, 4), round(w, 4), round(r, 4))
            found[key] = hidden and found.get(key, True)
    for (u, w, r), hidden in sorted(found.items()):
        yield (u, w), r, hidden


def reach_of(cut: Cut, outline: Outline) -> tuple[float, float]:
    """From where to where a cut in an edge goes, along the way in, in the part's axis, mm."""
    x0, y0, x1, y1 = outline.bounds
    low, high = (y0, y1) if cut.face in (Face.FRONT, Face.BACK) else (x0, x1)
    if cut.depth is None:
        return (low, high)
    if cut.face in (Face.FRONT, Face.LEFT):
        return (low, low + cut.depth)
    return (high - cut.depth, high)


def wider_about(cut: Cut, cuts: Sequence[Cut], outline: Outline) -> list[tuple[float, float]]:
    """Stretches of a cut's way that lie within a wider one about the same axis."""
    wide = cut.outline.bounds[2] - cut.outline.bounds[0]
    return [
        reach_of(c, outline) for c in cuts
        if {c.face, _ACROSS[c.face]} == {cut.face, _ACROSS[cut.face]}
        and math.dist(c.outline.centre, cut.outline.centre) < 1e-4
        and c.outline.bounds[2] - c.outline.bounds[0] > wide + _SAME
    ]  # fmt: skip


def _drilled_across(solid: Solid, face: Face, lines: _Lines) -> None:
    """Hidden walls and floors of what is drilled into the edges left and right of this view."""
    cuts = edge_cuts(solid.part)
    for cut in cuts:
        if cut.face in (face, _ACROSS[face]):
            continue
        s0, s1 = reach_of(cut, solid.outline)
        _, w = cut.outline.centre
        r = (cut.outline.bounds[2] - cut.outline.bounds[0]) / 2
        own, taken = _Lines(), _Lines()
        for z in (w - r, w + r):
            own.add(False, z, s0, s1)
            for low, high in wider_about(cut, cuts, solid.outline):
                taken.add(False, z, low, high)
        for key, runs in own.without(taken).kept.items():
            for low, high in runs:
                lines.add(*key, low, high)
        if cut.depth is not None:
            lines.add(True, s1 if cut.face in (Face.FRONT, Face.LEFT) else s0, w - r, w + r)


def _drilled_axes(solid: Solid, face: Face) -> Iterator[tuple[Point, Point]]:
    found: dict[tuple[float, bool], tuple[float, float]] = {}
    for cut in edge_cuts(solid.part):
        if cut.face not in (face, _ACROSS[face]):
            s0, s1 = reach_of(cut, solid.outline)
            w = cut.outline.centre[1]
            key = (round(w, 4), cut.face in (Face.FRONT, Face.LEFT))
            low, high = found.get(key, (s0, s1))
            found[key] = (min(low, s0), max(high, s1))
    for (w, _), (s0, s1) in sorted(found.items()):
        yield (s0, w), (s1, w)
