"""The page of an exploded view: a drawing, smaller ones from elsewhere where needed, the list."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jigs.model.pose import Vec
from jigs.outputs.cad.apart import Apart
from jigs.outputs.cad.balloons import Point, place, ring_round, roundness
from jigs.outputs.cad.composition import Composition, Drawing, Row
from jigs.outputs.cad.facets import Array
from jigs.outputs.cad.painting import who_is_seen
from jigs.outputs.cad.seeing import (
    Frame,
    Meshes,
    View,
    corners,
    drawn_points,
    view_of_points,
)

RADIUS = 19.0  # of the circles, pixels of a page of 1600 by 1200
CLEAR = 1.9 * RADIUS
"""From the drawing to the middles of the circles, pixels."""

_MARGIN = 24.0
_FOOT = 4.0 * _MARGIN  # for the title
_LINE = 36.0  # of the list
_COLUMNS = 3  # of a list below
_BESIDE = 0.28  # of the page, for a list beside
_WEIGHTS = (1.0, 0.3, 0.3)  # how much it counts that each drawing is large
_DRAWINGS = len(_WEIGHTS)
_MAIN = 0.60  # of the room for drawings, for the first of several
_TRIAL = (640, 480)  # pixels, to find out which parts are seen
_PLAIN = 50  # pixels of the trial: as much of a part is seen plainly
_SHRUNK = 2  # times smaller than the page is the view in which anchors are looked for
_AS_GOOD = 0.5  # of the best seen one: a part alike that is easier to point at will do


@dataclass(frozen=True)
class _Wanted:
    """A direction to draw from, the numbers to show, and how to call it."""

    way: Vec
    numbers: frozenset[int]
    words: str = ""


@dataclass(frozen=True)
class _Parts:
    """What is drawn, and the corners of all its triangles in their places, mm."""

    drawn: Apart
    meshes: Meshes
    points: Array

    def seen(self, view: View) -> NDArray[np.int64]:
        """Which of the solids is seen at every pixel."""
        return who_is_seen(self.drawn.solids, self.meshes, view)


@dataclass(frozen=True)
class _Layout:
    drawings: tuple[Frame, ...]
    listed: Frame
    columns: int


def compose_exploded(
    drawn: Apart, direction: Vec, size: tuple[int, int], meshes: Meshes, *, sees: bool = True
) -> Composition:
    """The page of an exploded view.

    Parameters: direction = from the jig towards the eye; size = of the page, pixels; meshes = of
    other pictures of the same solids; sees = something can be painted here, so that it can be
    found out what hides what. Numbers of parts that the first drawing hides then stand in smaller
    ones, seen from elsewhere, and the list says which are seen in none.
    """
    parts = _Parts(drawn, meshes, corners(drawn.solids, meshes))
    wanted = _who_where(parts, direction, sees)
    layout = _layout(parts, [one.way for one in wanted], size)
    drawings = tuple(
        _drawing(parts, one, size, frame, sees)
        for one, frame in zip(wanted, layout.drawings, strict=True)
    )
    shown = {number for one in wanted for number in one.numbers}
    rows = tuple(_rows(drawn, shown))
    return Composition(size, drawings, drawn.title, (), rows, layout.listed, layout.columns)


def _rows(drawn: Apart, shown: set[int]) -> list[Row]:
    placed = set(drawn.numbers)
    return [
        Row(str(number), text + (" (not seen here)" if number in placed - shown else ""))
        for number, text in drawn.rows.items()
    ]


# -- which drawings -------------------------------------------------------------------------------


def _who_where(parts: _Parts, direction: Vec, sees: bool) -> list[_Wanted]:
    """The directions to draw from, and the numbers to show from each.

    Each further direction is the one that shows most of what the ones before it hide.
    """
    drawn = parts.drawn
    if not sees:
        return [_Wanted(direction, frozenset(drawn.numbers))]
    front = _plainly(parts, direction)
    placed = frozenset(drawn.numbers)
    if all(front.get(number, 0) >= _PLAIN for number in placed):
        return [_Wanted(direction, placed)]
    ways: dict[Vec, dict[int, int]] = {}
    for _, way in _further(direction):
        ways[way] = _plainly(parts, way)
        if all(max(front.get(n, 0), ways[way].get(n, 0)) >= _PLAIN for n in placed):
            break  # the two show all there is: no need to look from elsewhere
    best = {
        number: max(areas.get(number, 0) for areas in (front, *ways.values()))
        for number in drawn.rows
    }

    def shown(areas: dict[int, int], wanted: set[int]) -> frozenset[int]:
        return frozenset(n for n in wanted if areas.get(n, 0) >= max(min(_PLAIN, best[n]), 1))

    first = shown(front, set(drawn.rows))
    found, missing = [_Wanted(direction, first)], set(drawn.rows) - first
    while len(found) < _DRAWINGS:
        looked = [(words, way) for words, way in _further(direction) if way in ways]
        words, way = max(looked, key=lambda w: len(shown(ways[w[1]], missing)))
        more = shown(ways[way], missing)
        if not more:
            break
        found.append(_Wanted(way, more, words))
        missing -= more
    return found


def _further(direction: Vec) -> list[tuple[str, Vec]]:
    """Other directions to look from, and how to call them."""
    x, y, z = direction
    turned = "from below" if z > 0 else "from above"
    return [
        ("from behind", (-x, -y, z)),
        ("from the other side", (-x, y, z)),
        (turned, (x, y, -z)),
        (f"{turned} and behind", (-x, -y, -z)),
    ]


def _plainly(parts: _Parts, way: Vec) -> dict[int, int]:
    """For each number how many pixels of the best seen of its parts are seen."""
    drawn = parts.drawn
    areas = _areas(drawn, parts.seen(view_of_points(parts.points, way, _TRIAL)))
    found: dict[int, int] = {}
    for number, area in zip(drawn.numbers, areas, strict=True):
        found[number] = max(found.get(number, 0), int(area))
    return found


def _areas(drawn: Apart, seen: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.bincount(seen[seen >= 0], minlength=len(drawn.solids))


# -- where on the page ----------------------------------------------------------------------------


def _layout(parts: _Parts, directions: Sequence[Vec], size: tuple[int, int]) -> _Layout:
    """Of all ways to divide the page the one that draws largest."""
    ways = _layouts(size, len(parts.drawn.rows), len(directions))

    def small(layout: _Layout) -> float:
        return math.fsum(
            _fitted(parts, way, size, frame).per_pixel * weight
            for way, frame, weight in zip(directions, layout.drawings, _WEIGHTS, strict=False)
        )

    return min(ways, key=small)


def _layouts(size: tuple[int, int], rows: int, drawings: int) -> list[_Layout]:
    left, top, right, bottom = _MARGIN, _MARGIN, size[0] - _MARGIN, size[1] - _FOOT
    beside = right - size[0] * _BESIDE
    below = bottom - _LINE * math.ceil(rows / _COLUMNS)
    lists = [
        ((left, top, beside, bottom), (beside + _MARGIN, top, right, bottom), 1),
        ((left, top, right, below - _MARGIN), (left, below, right, bottom), _COLUMNS),
    ]
    found = []
    for (x0, y0, x1, y1), listed, columns in lists:
        if drawings == 1:
            found.append(_Layout(((x0, y0, x1, y1),), listed, columns))
            continue
        x, y = x0 + _MAIN * (x1 - x0), y0 + _MAIN * (y1 - y0)
        others = range(drawings - 1)
        high, wide = (y1 - y0) / len(others), (x1 - x0) / len(others)
        column = [(x, y0 + i * high, x1, y0 + (i + 1) * high) for i in others]
        row = [(x0 + i * wide, y, x0 + (i + 1) * wide, y1) for i in others]
        found.append(_Layout(((x0, y0, x, y1), *column), listed, columns))
        found.append(_Layout(((x0, y0, x1, y), *row), listed, columns))
    return found


def _fitted(parts: _Parts, direction: Vec, size: tuple[int, int], frame: Frame) -> View:
    """The view whose drawing, with the ring of numbers round it, fills the frame."""
    drawing = drawn_points(parts.points, view_of_points(parts.points, direction, size))
    wide, tall = np.ptp(drawing, axis=0)
    around, spare = roundness(drawing), 2 * (CLEAR + RADIUS)
    left, top, right, bottom = frame
    share = min((right - left - spare) / wide, (bottom - top - spare) / tall) / around
    x, y, dx, dy = (left + right) / 2, (top + bottom) / 2, wide * share / 2, tall * share / 2
    return view_of_points(parts.points, direction, size, (x - dx, y - dy, x + dx, y + dy))


# -- one drawing ----------------------------------------------------------------------------------


def _drawing(
    parts: _Parts, wanted: _Wanted, size: tuple[int, int], frame: Frame, sees: bool
) -> Drawing:
    view = _fitted(parts, wanted.way, size, frame)
    outline = drawn_points(parts.points, view)
    if sees:
        seen = parts.seen(view.shrunk(_SHRUNK))
        found = _anchors(parts.drawn, seen, wanted.numbers)
        anchors = {number: (x * _SHRUNK, y * _SHRUNK) for number, (x, y) in found.items()}
    else:
        anchors = _middles(parts.drawn, view, wanted.numbers)
    balloons = tuple(place(anchors, ring_round(outline, CLEAR), RADIUS))
    return Drawing(parts.drawn.solids, view, frame, balloons, wanted.words)


def _middles(drawn: Apart, view: View, numbers: frozenset[int]) -> dict[str, Point]:
    """For each number the middle of one of its parts: of parts alike the leftmost."""
    found: dict[str, Point] = {}
    for number, solid in sorted(zip(drawn.numbers, drawn.solids, strict=True), key=lambda n: n[0]):
        at = view.to_page(solid.pose.apply(solid.shape.BoundingBox().center.toTuple()))
        if number in numbers:
            found[str(number)] = min(at, found.get(str(number), at))
    return found


def _anchors(drawn: Apart, seen: NDArray[np.int64], numbers: frozenset[int]) -> dict[str, Point]:
    """For each number a point well within what is seen of one of its parts.

    Of parts alike that are seen about as well the outermost is taken: its leader line is short.
    """
    areas = _areas(drawn, seen)
    rows, columns = np.nonzero(seen >= 0)
    middle = (float(columns.mean()), float(rows.mean()))
    found = {}
    for number in sorted(numbers):
        mine = [i for i, n in enumerate(drawn.numbers) if n == number and areas[i]]
        enough = _AS_GOOD * max((areas[i] for i in mine), default=0)
        points = [_deepest(seen == i) for i in mine if areas[i] >= enough]
        if points:
            found[str(number)] = max(points, key=lambda p: (math.dist(p, middle), p))
    return found


def _deepest(seen: NDArray[np.bool_]) -> Point:
    """A point as far as can be from the edge of what is seen."""
    rows, columns = np.nonzero(seen)
    top, left = rows.min(), columns.min()
    area = np.pad(seen[top : rows.max() + 1, left : columns.max() + 1], 1)
    inner = area
    while inner.any():
        area = inner
        inner = area & np.roll(area, 1, 0) & np.roll(area, -1, 0)
        inner &= np.roll(area, 1, 1) & np.roll(area, -1, 1)
    y, x = np.nonzero(area)
    at = int(np.argmin((y - y.mean()) ** 2 + (x - x.mean()) ** 2))
    return (float(x[at] + left) - 0.5, float(y[at] + top) - 0.5)
