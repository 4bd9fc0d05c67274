"""A drawing as plain entities on paper, mm, y up: PDF, SVG and DXF are all made from these."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise
from typing import Literal

from jigs.model.outline import Point, Side
from jigs.outputs.drawings.type import width_of

A4 = (210.0, 297.0)
Box = tuple[float, float, float, float]
Anchor = Literal["left", "middle", "right"]

BELOW, ABOVE = 0.22, 0.76
"""Of a text's size: how far letters and brackets go below and above the line they stand on."""

_STEP = 0.4  # mm between points where an entity is looked at for overlaps


class Pen(StrEnum):
    """What a line means; types of line as in ISO 128-2."""

    VISIBLE = "visible edges"
    HIDDEN = "hidden edges"
    CENTRE = "centre lines"
    DIMENSION = "dimensions"
    FRAME = "frame and tables"


WIDTHS = {Pen.VISIBLE: 0.5, Pen.HIDDEN: 0.25, Pen.CENTRE: 0.18, Pen.DIMENSION: 0.18,
          Pen.FRAME: 0.25}  # fmt: skip
"""mm; the wide and narrow lines of ISO 128-2 are 2 to 1."""

DASHES: dict[Pen, tuple[float, ...]] = {
    Pen.VISIBLE: (), Pen.HIDDEN: (2.0, 1.0), Pen.CENTRE: (5.0, 1.0, 0.8, 1.0), Pen.DIMENSION: (),
    Pen.FRAME: (),
}  # fmt: skip
"""mm of line and gap in turn."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line or an arc."""

    pen: Pen
    side: Side


@dataclass(frozen=True, slots=True)
class Round:
    """A full circle."""

    pen: Pen
    centre: Point
    radius: float


@dataclass(frozen=True, slots=True)
class Arrow:
    """A filled arrowhead: its tip, and the direction it points to, rad."""

    tip: Point
    towards: float
    length: float = 2.5

    @property
    def corners(self) -> tuple[Point, Point, Point]:
        """Tip and the two corners behind it: a head of about 15 degrees each side."""
        (x, y), half = self.tip, math.radians(9)
        back = [
            (x - self.length * math.cos(self.towards + turn),
             y - self.length * math.sin(self.towards + turn))
            for turn in (-half, half)
        ]  # fmt: skip
        return (self.tip, back[0], back[1])


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; `at` = on its base line, size in mm, `upright` reads from the right."""

    at: Point
    words: str
    size: float = 3.4
    anchor: Anchor = "left"
    upright: bool = False
    bold: bool = False

    @property
    def width(self) -> float:
        """Length of the line, mm."""
        return width_of(self.words, self.size, self.bold)

    @property
    def box(self) -> Box:
        """(left, bottom, right, top) on the paper, mm."""
        before = {"left": 0.0, "middle": 0.5, "right": 1.0}[self.anchor] * self.width
        low, high = -BELOW * self.size, ABOVE * self.size
        x, y = self.at
        if self.upright:
            return (x - high, y - before, x - low, y - before + self.width)
        return (x - before, y + low, x - before + self.width, y + high)


Entity = Stroke | Round | Arrow | Text


@dataclass
class Sheet:
    """One page. `name` = of its files, without an ending; `figures` = what dimensions say, mm."""

    name: str
    title: str
    entities: list[Entity] = field(default_factory=list)
    figures: dict[str, float] = field(default_factory=dict)
    scale: str = ""

    def line(self, pen: Pen, *points: Point) -> None:
        """A line through points."""
        for a, b in pairwise(points):
            self.entities.append(Stroke(pen, Side(a, b)))

    def box(self, pen: Pen, box: Box) -> None:
        """A rectangle."""
        x0, y0, x1, y1 = box
        self.line(pen, (x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))

    @property
    def texts(self) -> list[Text]:
        """All text on the page."""
        return [e for e in self.entities if isinstance(e, Text)]


def samples(entity: Entity) -> Iterator[Point]:
    """Points on the lines of an entity, close enough that no letter fits between."""
    if isinstance(entity, Round):
        side = Side((entity.centre[0] - entity.radius, entity.centre[1]),
                    (entity.centre[0] + entity.radius, entity.centre[1]), 1.0)  # fmt: skip
        yield from along(side)
        yield from along(Side(side.end, side.start, 1.0))
    elif isinstance(entity, Stroke):
        yield from along(entity.side)
    elif isinstance(entity, Arrow):
        tip, left, right = entity.corners
        yield from along(Side(tip, left))
        yield from along(Side(tip, right))


def along(side: Side) -> Iterator[Point]:
    """Points along a side, ends and all."""
    n = max(1, math.ceil(side.length / _STEP))
    for i in range(n + 1):
        yield point_on(side, i / n)


def point_on(side: Side, share: float) -> Point:
    """The point at a share of a side's length."""
    (x0, y0), (x1, y1) = side.start, side.end
    if side.bulge == 0:
        return (x0 + share * (x1 - x0), y0 + share * (y1 - y0))
    cx, cy = side.centre
    a = math.atan2(y0 - cy, x0 - cx) + share * side.angle
    return (cx + side.radius * math.cos(a), cy + side.radius * math.sin(a))


def overlap(a: Box, b: Box) -> bool:
    """Do two boxes share area?"""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def wrapped(words: str, size: float, width: float, bold: bool = False) -> list[str]:
    """Words in lines no wider than `width`, mm; a word that is too long is broken."""
    lines: list[str] = []
    line = ""
    for word in words.split():
        tried = f"{line} {word}".strip()
        if width_of(tried, size, bold) <= width:
            line = tried
            continue
        if line:
            lines.append(line)
        *full, line = _broken(word, size, width, bold)
        lines += full
    return [*lines, line] if line or not lines else lines


def _broken(word: str, size: float, width: float, bold: bool) -> Sequence[str]:
    parts, part = [], ""
    for letter in word:
        if part and width_of(part + letter, size, bold) > width:
            parts.append(part)
            part = ""
        part += letter
    return [*parts, part]
