"""What is taken on a page: a fine grid of lines and one of text, to find free places for words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np

from jigs.model.outline import Point
from jigs.outputs.drawings.paper import A4, Box, Entity, Text, samples

_CELLS = 3.0  # a millimetre


class Grid:
    """Cells of a page that lines go through, and cells that text stands on."""

    def __init__(self, entities: Iterable[Entity] = ()) -> None:
        size = (math.ceil(A4[0] * _CELLS), math.ceil(A4[1] * _CELLS))
        self._lines = np.zeros(size, dtype=bool)
        self._texts = np.zeros(size, dtype=bool)
        for entity in entities:
            self.add(entity)

    def add(self, entity: Entity) -> None:
        """Mark what an entity takes."""
        if isinstance(entity, Text):
            self.take(entity.box)
            return
        points = (np.array(list(samples(entity))) * _CELLS).astype(int)
        inside = ((points >= 0) & (points < self._lines.shape)).all(axis=1)
        self._lines[points[inside, 0], points[inside, 1]] = True

    def take(self, box: Box) -> None:
        """Mark a box as text."""
        self._texts[_cells(box)] = True

    def free(self, box: Box) -> bool:
        """Is there neither line nor text in a box?"""
        if box[0] < 0 or box[1] < 0 or box[2] > A4[0] or box[3] > A4[1]:
            return False
        cells = _cells(box)
        return not (self._lines[cells].any() or self._texts[cells].any())

    def crosses_text(self, a: Point, b: Point) -> bool:
        """Does a straight line between two points run over text?"""
        n = max(1, math.ceil(math.dist(a, b) * _CELLS))
        return any(
            self._texts[int((a[0] + (b[0] - a[0]) * i / n) * _CELLS),
                        int((a[1] + (b[1] - a[1]) * i / n) * _CELLS)]
            for i in range(n + 1)
        )  # fmt: skip


def _cells(box: Box) -> tuple[slice, slice]:
    return (slice(int(box[0] * _CELLS), int(box[2] * _CELLS) + 1),
            slice(int(box[1] * _CELLS), int(box[3] * _CELLS) + 1))  # fmt: skip


def around(at: Point, first: float, last: float) -> Iterator[Point]:
    """Places around a point, near ones first; the sloping ones before the straight ones."""
    turns = [math.radians(a) for a in (45, 135, -45, -135, 20, 160, -20, -160, 70, 110, -70, -110,
                                       0, 180, 90, -90)]  # fmt: skip
    away = first
    while away <= last:
        for turn in turns:
            yield (at[0] + away * math.cos(turn), at[1] + away * math.sin(turn))
        away += 2.0
