"""Dimensions in tiers outside the first view: from its left and lower edge, the shortest nearest.

A text that does not go between its arrows stands beyond the datum edge, where nothing else is:
left of the view for those along x, below it for those along y.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jigs.model.outline import Outline, Point
from jigs.outputs.drawings.paper import Anchor, Arrow, Pen, Sheet, Text
from jigs.outputs.drawings.rows import told
from jigs.outputs.drawings.sides import sharp_corners
from jigs.units import Units

FIRST, PITCH = 8.0, 7.0
"""mm from the view to the first tier, and from tier to tier."""

SIZE = 3.4
_CLEAR, _BEYOND, _ABOVE = 1.0, 1.5, 1.2
_ARROWS = 7.0  # mm that two arrowheads need between extension lines
_MOST_TIERS = 5
_SAME = 0.01


@dataclass(frozen=True)
class Steps:
    """Where the outline steps, from its datum edges, mm: the whole size comes last."""

    x: tuple[float, ...]
    y: tuple[float, ...]


def steps_of(outline: Outline) -> Steps:
    """Places of corners and of straight sides from the left and lower edge, and the whole size."""
    x0, y0, x1, y1 = outline.bounds
    corners = [p for p, sharp in sharp_corners(outline) if sharp]
    xs, ys = [p[0] for p in corners], [p[1] for p in corners]
    for side in outline.sides:
        (a0, b0), (a1, b1) = side.start, side.end
        if side.bulge == 0 and abs(a0 - a1) < _SAME:
            xs.append(a0)
        if side.bulge == 0 and abs(b0 - b1) < _SAME:
            ys.append(b0)
    return Steps(_steps([x - x0 for x in xs], x1 - x0), _steps([y - y0 for y in ys], y1 - y0))


def _steps(values: Sequence[float], whole: float) -> tuple[float, ...]:
    inner: list[float] = []
    for value in sorted(values):
        if _SAME < value < whole - _SAME and (not inner or value - inner[-1] > _SAME):
            inner.append(value)
    return (*inner[: _MOST_TIERS - 1], whole)


def room(count: int) -> float:
    """mm beside the view that so many tiers need."""
    return FIRST + (count - 1) * PITCH + SIZE + 3.0


def room_for_texts(steps: Sequence[float], scale: float, units: Units) -> float:
    """mm beyond the datum edge that texts need which do not go between their arrows."""
    widths = [Text((0, 0), told(v, units), SIZE).width for v in steps]
    return max((w + 6.0 for v, w in zip(steps, widths, strict=True) if not _fits(v * scale, w)),
               default=0.0)  # fmt: skip


def room_for_thickness(wide: float, value: float, units: Units) -> float:
    """mm beside a view that its thickness needs; none where the text goes between the arrows."""
    width = Text((0, 0), told(value, units), SIZE).width
    return 0.0 if _fits(wide, width) else width + 6.0


def _fits(span: float, width: float) -> bool:
    return span >= width + 2.0 and span >= _ARROWS


def across(sheet: Sheet, corner: Point, steps: Sequence[float], scale: float, units: Units,
           above: float) -> None:  # fmt: skip
    """Dimensions along x above a view. Parameters: corner = its lower left; above = its height."""
    x0, top = corner[0], corner[1] + above
    sheet.line(Pen.DIMENSION, (x0, top + _CLEAR),
               (x0, top + FIRST + (len(steps) - 1) * PITCH + _BEYOND))  # fmt: skip
    for tier, value in enumerate(steps):
        y, x1 = top + FIRST + tier * PITCH, x0 + value * scale
        sheet.line(Pen.DIMENSION, (x1, top + _CLEAR), (x1, y + _BEYOND))
        text = Text((0.0, 0.0), told(value, units), SIZE)
        sheet.figures[f"x {tier + 1}"] = value
        if _fits(value * scale, text.width):
            sheet.line(Pen.DIMENSION, (x0, y), (x1, y))
            sheet.entities += [Arrow((x0, y), math.pi), Arrow((x1, y), 0.0)]
            sheet.entities.append(Text(((x0 + x1) / 2, y + _ABOVE), text.words, SIZE, "middle"))
            continue
        sheet.line(Pen.DIMENSION, (x0 - text.width - 5.0, y), (x1 + 5.0, y))
        sheet.entities += [Arrow((x0, y), 0.0), Arrow((x1, y), math.pi)]
        sheet.entities.append(Text((x0 - 4.0, y + _ABOVE), text.words, SIZE, "right"))


def upwards(sheet: Sheet, corner: Point, steps: Sequence[float], scale: float, units: Units) -> (
    None
):  # fmt: skip
    """Dimensions along y to the left of a view. Parameters: corner = its lower left."""
    left, y0 = corner
    sheet.line(Pen.DIMENSION, (left - _CLEAR, y0),
               (left - FIRST - (len(steps) - 1) * PITCH - _BEYOND, y0))  # fmt: skip
    for tier, value in enumerate(steps):
        x, y1 = left - FIRST - tier * PITCH, y0 + value * scale
        sheet.line(Pen.DIMENSION, (left - _CLEAR, y1), (x - _BEYOND, y1))
        text = Text((0.0, 0.0), told(value, units), SIZE)
        sheet.figures[f"y {tier + 1}"] = value
        if _fits(value * scale, text.width):
            sheet.line(Pen.DIMENSION, (x, y0), (x, y1))
            sheet.entities += [Arrow((x, y0), -math.pi / 2), Arrow((x, y1), math.pi / 2)]
            sheet.entities.append(
                Text((x - _ABOVE, (y0 + y1) / 2), text.words, SIZE, "middle", upright=True)
            )
            continue
        sheet.line(Pen.DIMENSION, (x, y0 - text.width - 5.0), (x, y1 + 5.0))
        sheet.entities += [Arrow((x, y0), math.pi / 2), Arrow((x, y1), -math.pi / 2)]
        sheet.entities.append(Text((x - _ABOVE, y0 - 4.0), text.words, SIZE, "right", upright=True))


def thickness_below(sheet: Sheet, low: Point, wide: float, value: float, units: Units,
                    to_left: bool) -> None:  # fmt: skip
    """The thickness below a view from the left or right.

    Parameters: low = its lower left; to_left = where a text goes that is too long for the view.
    """
    (x0, bottom), x1 = low, low[0] + wide
    y = bottom - FIRST
    for x in (x0, x1):
        sheet.line(Pen.DIMENSION, (x, bottom - _CLEAR), (x, y - _BEYOND))
    text = Text((0.0, 0.0), told(value, units), SIZE)
    sheet.figures["thickness"] = value
    if _fits(wide, text.width):
        sheet.line(Pen.DIMENSION, (x0, y), (x1, y))
        sheet.entities += [Arrow((x0, y), math.pi), Arrow((x1, y), 0.0)]
        sheet.entities.append(Text(((x0 + x1) / 2, y + _ABOVE), text.words, SIZE, "middle"))
        return
    anchor: Anchor
    before, after = (text.width, 0.0) if to_left else (0.0, text.width)
    sheet.line(Pen.DIMENSION, (x0 - before - 5.0, y), (x1 + after + 5.0, y))
    sheet.entities += [Arrow((x0, y), 0.0), Arrow((x1, y), math.pi)]
    at, anchor = ((x0 - 4.0, y + _ABOVE), "right") if to_left else ((x1 + 4.0, y + _ABOVE), "left")
    sheet.entities.append(Text(at, text.words, SIZE, anchor))


def thickness_beside(sheet: Sheet, right: Point, high: float, value: float, units: Units) -> None:
    """The thickness right of a view from front or back. Parameters: right = its lower right."""
    (edge, y0), y1 = right, right[1] + high
    x = edge + FIRST
    for y in (y0, y1):
        sheet.line(Pen.DIMENSION, (edge + _CLEAR, y), (x + _BEYOND, y))
    outside = high < _ARROWS
    low, top = (y0 - 5.0, y1 + 5.0) if outside else (y0, y1)
    sheet.line(Pen.DIMENSION, (x, low), (x, top))
    turn = -math.pi / 2 if outside else math.pi / 2
    sheet.entities += [Arrow((x, y0), -turn), Arrow((x, y1), turn)]
    sheet.figures["thickness"] = value
    sheet.entities.append(Text((x + 2.5, (y0 + y1) / 2 - SIZE * 0.36), told(value, units), SIZE))
