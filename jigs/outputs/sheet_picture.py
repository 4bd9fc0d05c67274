"""A picture of a sheet with what is cut from it, as SVG: one unit is one millimetre."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from html import escape
from itertools import groupby

from jigs.making.layout import Layout, Placement, SheetPlan
from jigs.making.rooms import WASTE, Rect
from jigs.making.work import DOWEL_IN
from jigs.model.outline import Outline

_TINTS = ("#dfe8f2", "#f3e6cf", "#dcebdc", "#eee0ea", "#e6e6e6", "#f4dcd6")
"""One a jig: light enough for black text; the label says the jig as well."""

_CHARACTER = 0.6
"""Width of a character over the height of its type: above the average of plain sans serif."""

_LINE = 1.2
_WIDE = 1200.0
"""Pixels that the sheet is wide when the picture is shown whole; type is sized for that."""

_LARGEST, _SMALLEST = 15, 8
"""Pixels, height of the type of labels."""


def picture(layout: Layout, plan: SheetPlan, told: str) -> str:
    """The SVG of one sheet. Parameters: told = job and revision, above it."""
    return "\n".join(_Page(layout, plan).lines(told)) + "\n"


def turning_over() -> tuple[str, ...]:
    """How a part that is worked on both faces is made from a sheet, step by step."""
    return (
        "TURN OVER 1: cut the first face and its two dowel holes (black dots); saw the blank out "
        f"along the dashed line, {WASTE:g} mm outside the outline.",
        "TURN OVER 2: drill two dowel holes of the same distance into a fresh place of the "
        f"spoilboard, {DOWEL_IN:g} mm deep; set the zero of the second file on them.",
        "TURN OVER 3: turn the blank over onto the dowels, left stays left; screw its waste down "
        "outside the keep-out; cut the second face and the outline.",
    )


class _Page:
    """Turns mm on the sheet, y up, into the picture's mm, y down."""

    def __init__(self, layout: Layout, plan: SheetPlan) -> None:
        self.layout, self.plan = layout, plan
        self.unit = layout.length / _WIDE
        jigs = dict.fromkeys(piece.work.jig for piece in layout.pieces)
        self.tints = {jig: _TINTS[i % len(_TINTS)] for i, jig in enumerate(jigs)}
        self.small = self._too_small_for_a_name()

    def lines(self, told: str) -> Iterator[str]:
        u, size = self.unit, (self.layout.length, self.layout.width)
        key = list(self._key())
        above, below, side = 58 * u, (34 + 22 * len(key)) * u, 30 * u
        box = (-side, -above, size[0] + 2 * side, size[1] + above + below)
        yield (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{" ".join(map(_n, box))}" '
            f'width="{_n(box[2] / u)}" height="{_n(box[3] / u)}" '
            'font-family="DejaVu Sans, Arial, sans-serif">'
        )
        yield f"<title>{escape(told)}: {escape(self._title())}</title>"
        yield _rect(box, 'fill="white"')
        yield self._text(0, -34 * u, 17, f"{told}: {self._title()}", "start")
        yield self._text(0, -12 * u, 13, self._facts(), "start")
        yield _rect((0, 0, *size), f'fill="#fbf7ef" stroke="black" stroke-width="{_n(1.6 * u)}"')
        yield from self._rest()
        for placed in self.plan.placements:
            yield from self._piece(placed)
        for x, y in self.plan.screws:
            yield from self._screw(x, y)
        for placed in self.plan.placements:
            yield from self._label(placed)
        for i, line in enumerate(key):
            yield self._text(0, size[1] + (34 + 22 * i) * u, 13, line, "start")
        yield "</svg>"

    def _title(self) -> str:
        what = "blank" if self.layout.sawn_first else "sheet"
        return f"{what} {self.layout.name}, {self.plan.number} of {len(self.layout.sheets)}"

    def _facts(self) -> str:
        layout, plan = self.layout, self.plan
        whole = f"{layout.whole[0]:g} × {layout.whole[1]:g} mm"
        blanks = f"{whole} sawn into blanks of " if layout.sawn_first else ""
        guess = " (assumed: the job gives no size)" if layout.assumed else ""
        return (
            f"{layout.material}, {blanks}{layout.length:g} × {layout.width:g} mm{guess}; "
            f"{len(plan.placements)} pieces, {100 * plan.share_used:.0f} % of it used; "
            f"cutter {layout.cutter:g} mm, {layout.gap:g} mm between outlines"
        )

    def _key(self) -> Iterator[str]:
        if self.layout.sawn_first:
            yield f"Blank: {self.layout.sawn_first}."
        yield (
            "Origin lower left, x to the right. Crosses: screws that hold it down, clear of the "
            "cutter. Small circles: bores."
        )
        if any(placed.turned_over for placed in self.plan.placements):
            yield from turning_over()
        for lost in self.layout.unplaced:
            yield f"NOT PLACED: {lost.jig}: {lost.part}: {lost.remedy}."
        for number, placed in self.small.values():
            yield f"{number} = {placed.jig}: {self._name(placed)}"

    def _piece(self, placed: Placement) -> Iterator[str]:
        piece, u = self.layout.piece(placed), self.unit
        outline = placed.place(piece.outline)
        thin = f'stroke="black" stroke-width="{_n(0.7 * u)}"'
        if placed.turned_over:
            x0, y0, x1, y1 = self.layout.blank(placed)
            dash = f'stroke-dasharray="{_n(8 * u)} {_n(5 * u)}"'
            yield _rect((x0, self._y(y1), x1 - x0, y1 - y0), f'fill="none" {thin} {dash}')
        tint = self.tints[placed.jig]
        line = f'stroke="black" stroke-width="{_n(1.4 * u)}"'
        yield f'<path d="{self._path(outline)}" fill="{tint}" {line}/>'
        for step in piece.work.faces[0].steps:
            if step.does == "outline":
                continue
            fill = {"registration": "black"}.get(step.does, "white" if step.through else "none")
            yield f'<path d="{self._path(placed.place(step.outline))}" fill="{fill}" {thin}/>'

    def _screw(self, x: float, y: float) -> Iterator[str]:
        r, at = 6 * self.unit, self._y(y)
        yield (
            f'<path d="M{_n(x - r)} {_n(at - r)}L{_n(x + r)} {_n(at + r)}'
            f'M{_n(x - r)} {_n(at + r)}L{_n(x + r)} {_n(at - r)}" '
            f'stroke="black" stroke-width="{_n(1.6 * self.unit)}"/>'
        )

    def _rest(self) -> Iterator[str]:
        if self.plan.rest is None:
            return
        x0, y0, x1, y1 = self.plan.rest
        dash = f'stroke-dasharray="{_n(3 * self.unit)} {_n(4 * self.unit)}"'
        yield (
            f'<path d="M{_n(x0)} {_n(self._y(y0))}V{_n(self._y(y1))}" stroke="black" '
            f'stroke-width="{_n(self.unit)}" {dash}/>'
        )
        middle = (x0 + x1) / 2, self._y((y0 + y1) / 2)
        yield self._text(*middle, 15, f"rest {x1 - x0:.0f} × {y1 - y0:.0f}")

    def _label(self, placed: Placement) -> Iterator[str]:
        box = self._box(placed)
        x, y = (box[0] + box[2]) / 2, self._y((box[1] + box[3]) / 2)
        if id(placed) in self.small:
            yield self._text(x, y + 3 * self.unit, _SMALLEST, str(self.small[id(placed)][0]))
            return
        words, height, upright = self._fitted(placed, box) or ([], 0, False)
        x, y = self._middle(placed, _size(words, height, upright))
        turn = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if upright else ""
        yield f"<g{turn}>"
        first = y - (len(words) - 1) * height * _LINE * self.unit / 2 + 0.35 * height * self.unit
        for i, line in enumerate(words):
            yield self._text(x, first + i * height * _LINE * self.unit, height, line)
        yield "</g>"

    def _middle(self, placed: Placement, size: tuple[float, float]) -> tuple[float, float]:
        """Where a label of that size, px, stands: about the middle of the part's area."""
        corners = [v[:2] for v in placed.place(self.layout.piece(placed).outline).vertices]
        x0, y0, x1, y1 = self._box(placed)
        wide, tall = (side * self.unit / 2 for side in size)
        x, y = _centroid(corners)
        x = min(max(x, x0 + wide), x1 - wide)
        return x, self._y(min(max(y, y0 + tall), y1 - tall))

    def _fitted(self, placed: Placement, box: Rect) -> tuple[list[str], int, bool] | None:
        """The fullest label that goes into a box: its lines, type height, upright or not."""
        wide, tall = (0.94 * (box[2] - box[0]) / self.unit, 0.94 * (box[3] - box[1]) / self.unit)
        over = ["TURN OVER"] if placed.turned_over else []
        count = [f"{placed.piece} of {placed.of}"] if placed.of > 1 else []
        name = self._name(placed)
        for words in (
            [f"{placed.jig}:", name, *count, *over],
            [f"{placed.jig}:", *name.split(), *count, *over],
            [*name.split(), *count, *over],
            [*name.split(), *over],
        ):
            for height in range(_LARGEST, _SMALLEST - 1, -1):
                for upright in (False, True):
                    a, b = _size(words, height, upright)
                    if a <= wide and b <= tall:
                        return words, height, upright
        return None

    def _too_small_for_a_name(self) -> dict[int, tuple[int, Placement]]:
        """Placements that take no label, each with the number that stands in its place."""
        small = [p for p in self.plan.placements if self._fitted(p, self._box(p)) is None]
        numbered = groupby(small, key=lambda p: (p.jig, p.part))
        return {
            id(placed): (number, placed)
            for number, (_, group) in enumerate(numbered, 1)
            for placed in group
        }

    def _name(self, placed: Placement) -> str:
        """The part's title up to a comma; of a slice what tells it from the others too."""
        part = self.layout.piece(placed).work.part
        return part.title.split(",")[0] + placed.part.removeprefix(part.id)

    def _box(self, placed: Placement) -> Rect:
        return placed.place(self.layout.piece(placed).outline).bounds

    def _y(self, y: float) -> float:
        return self.layout.width - y

    def _path(self, outline: Outline) -> str:
        """Lines and true arcs. A left turn of ours runs against SVG's positive angle."""
        x, y, _ = outline.vertices[0]
        text = [f"M{_n(x)} {_n(self._y(y))}"]
        for side in outline.sides:
            end = f"{_n(side.end[0])} {_n(self._y(side.end[1]))}"
            if side.bulge == 0:
                text.append(f"L{end}")
                continue
            large, sweep = int(abs(side.bulge) > 1), int(side.bulge < 0)
            text.append(f"A{_n(side.radius)} {_n(side.radius)} 0 {large} {sweep} {end}")
        return "".join(text) + "Z"

    def _text(self, x: float, y: float, height: float, text: str, anchor: str = "middle") -> str:
        """Black with a white rim, so that a line behind it does no harm."""
        return (
            f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(height * self.unit)}" '
            f'text-anchor="{anchor}" stroke="white" stroke-width="{_n(3 * self.unit)}" '
            f'stroke-linejoin="round" paint-order="stroke">{escape(text)}</text>'
        )


def _size(words: Sequence[str], height: float, upright: bool) -> tuple[float, float]:
    """Width and height of lines of type on the page, px."""
    need = (max(map(len, words)) * _CHARACTER * height, len(words) * _LINE * height)
    return need[::-1] if upright else need


def _centroid(corners: Sequence[tuple[float, ...]]) -> tuple[float, float]:
    """Of a polygon; arcs count as their chords."""
    area, x, y = 0.0, 0.0, 0.0
    for (x0, y0), (x1, y1) in zip(corners, [*corners[1:], corners[0]], strict=True):
        cross = x0 * y1 - x1 * y0
        area, x, y = area + cross, x + (x0 + x1) * cross, y + (y0 + y1) * cross
    if area == 0:  # two half circles: their chords fall together
        return tuple(math.fsum(c[i] for c in corners) / len(corners) for i in (0, 1))  # type: ignore[return-value]
    return x / (3 * area), y / (3 * area)


def _rect(box: Iterable[float], style: str) -> str:
    x, y, wide, tall = map(_n, box)
    return f'<rect x="{x}" y="{y}" width="{wide}" height="{tall}" {style}/>'


def _n(value: float) -> str:
    """To a thousandth, without trailing zeros or minus zero."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
