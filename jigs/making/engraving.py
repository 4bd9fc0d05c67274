"""Words cut lightly into a part: what it is, which way up, which revision, which range it serves.

Single strokes, as an engraving cutter follows them (Hershey's plain letters, public domain).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from jigs.making.as_cut import holds
from jigs.model.outline import Outline, Point
from jigs.units import Units, format_length

Stroke = tuple[Point, ...]

DEPTH = 0.4
"""mm of an engraved stroke. Common practice, no source."""

HEIGHTS = (8.0, 6.0, 5.0, 4.0)
"""mm of capital letters, the largest that fits is taken. Common practice, no source."""

LINE = 1.6
"""Height of a line of text over the height of its letters."""

AROUND = 2.0
"""mm of plain wood round the words. Common practice, no source."""

RANGE = r"(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?) MM"
"""How a kind marks the range that a part serves: in mm, as everything inside."""

_STEP = 3.0
"""mm between the places that are tried."""


@dataclass(frozen=True, slots=True)
class Engraving:
    """Words as strokes, in the coordinates of the outline that they were set in, mm."""

    words: tuple[str, ...]
    height: float
    strokes: tuple[Stroke, ...]


def marks_told(marks: Sequence[str], units: Units) -> tuple[str, ...]:
    """Marks as they are written on a part: a range in the units of the job.

    Parameters: marks = words of a part, a range among them as `37.5-38.5 MM`. Returns ranges to
    0.1 mm, or to the fraction or thousandth that a length in inches is told in; all else as it is.
    """
    return tuple(_range_told(mark, units) for mark in marks)


def _range_told(mark: str, units: Units) -> str:
    found = re.fullmatch(RANGE, mark)
    if found is None:
        return mark
    least, most = (float(v) for v in found.groups())
    if units is Units.INCH:
        # With a dash between them, 1-1/8 and 1-1/4 could not be told apart.
        ends = [format_length(v, units).removesuffix(" in") for v in (least, most)]
        return f"{ends[0]} TO {ends[1]} IN"
    return f"{_tenths(least)}-{_tenths(most)} MM"


def _tenths(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def engrave(outline: Outline, busy: Iterable[Outline], words: Sequence[str]) -> Engraving | None:
    """The words in lines, within the outline, nearest its middle where nothing else is cut.

    Returns None where they fit nowhere. Lengths in mm.
    """
    taken = [other.bounds for other in busy]
    for height in HEIGHTS:
        lines = [_line(text, height) for text in words]
        wide = max((_extent(line) for line in lines), default=0.0)
        tall = LINE * height * (len(lines) - 1) + height
        place = _free_place(outline, taken, wide / 2 + AROUND, tall / 2 + AROUND)
        if words and place is not None:
            return Engraving(tuple(words), height, tuple(_set(lines, place, height, tall)))
    return None


def _free_place(
    outline: Outline, busy: Sequence[tuple[float, float, float, float]], half: float, up: float
) -> Point | None:
    x0, y0, x1, y1 = outline.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    across, along = int((x1 - x0) / 2 / _STEP), int((y1 - y0) / 2 / _STEP)
    places = [
        (middle[0] + i * _STEP, middle[1] + j * _STEP)
        for i in range(-across, across + 1)
        for j in range(-along, along + 1)
    ]
    places.sort(key=lambda p: ((p[0] - middle[0]) ** 2 + (p[1] - middle[1]) ** 2, p))
    for x, y in places:
        box = (x - half, y - up, x + half, y + up)
        if _inside(outline, box) and not any(_overlap(box, other) for other in busy):
            return (x, y)
    return None


def _inside(outline: Outline, box: tuple[float, float, float, float]) -> bool:
    """Are the corners inside, and does no side of the outline pass through the box?"""
    x0, y0, x1, y1 = box
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    if not all(holds(outline, corner) for corner in corners):
        return False
    return not any(x0 < px < x1 and y0 < py < y1 for s in outline.sides for px, py in s.extremes())


def _overlap(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _set(
    lines: Sequence[Sequence[Stroke]], place: Point, height: float, tall: float
) -> Iterator[Stroke]:
    """Each line centred on the place, the first on top."""
    for i, line in enumerate(lines):
        low = place[1] + tall / 2 - height - i * LINE * height
        left = place[0] - _extent(line) / 2
        for stroke in line:
            yield tuple((round(left + x, 4), round(low + y, 4)) for x, y in stroke)


def _extent(line: Sequence[Stroke]) -> float:
    return max((x for stroke in line for x, _ in stroke), default=0.0)


def _line(text: str, height: float) -> list[Stroke]:
    """Strokes of one line, from x = 0 and its letters' foot at y = 0, capitals `height` tall."""
    letters = _letters()
    strokes = [tuple(stroke) for stroke in letters.strokes_for_text(text)]
    if not strokes:
        return []
    left = min(x for stroke in strokes for x, _ in stroke)
    foot, top = _capitals()
    scale = height / (top - foot)
    # The letters are drawn with y downwards.
    return [tuple(((x - left) * scale, (top - y) * scale) for x, y in s) for s in strokes]


@cache
def _letters() -> Any:
    from HersheyFonts import HersheyFonts

    letters = HersheyFonts()
    letters.load_default_font("futural")
    return letters


@cache
def _capitals() -> tuple[float, float]:
    """Foot and top of capital letters, in the letters' own unit."""
    heights = [y for stroke in _letters().strokes_for_text("H") for _, y in stroke]
    return min(heights), max(heights)
