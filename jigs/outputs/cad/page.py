"""What stands on a picture beside the solids: titles, numbers with leader lines, arrows, a list.

Written on the doubled page, so that lines and letters come out smooth when it is halved; a page
that nothing is written on is never doubled. Places are pixels of the finished page.
"""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw, ImageFont

from jigs.outputs.cad.balloons import Balloon, Point
from jigs.outputs.cad.composition import Composition, Row
from jigs.outputs.cad.painting import INK, paint
from jigs.outputs.cad.png import png
from jigs.outputs.cad.seeing import Frame, Meshes, covered

DOUBLED = 2
_TITLE_HEIGHT = 0.024  # of the picture's height
_LEAST_TEXT = 8
_WORDS = 20.0  # pixels, beside a drawing
ARROW = 9.0
"""Pixels wide."""
_LINE = 2  # pixels wide
_DOT = 4.0  # radius of the end of a leader line within a part
_INK_BYTES: tuple[int, ...] = tuple(round(value * 255) for value in INK)
_WHITE = (255, 255, 255)


class Page:
    """A page to lay pictures on, and then to write on."""

    def __init__(self, size: tuple[int, int]) -> None:
        """A white page of that width and height, pixels."""
        self.size = size
        self._laid = Image.new("RGB", size, _WHITE)
        self._written: Image.Image | None = None

    def put(self, painted: Image.Image, frame: Frame) -> None:
        """Lay a picture, painted for that frame, on that part of the page: before any writing."""
        assert self._written is None
        self._laid.paste(painted, (round(frame[0]), round(frame[1])))

    @cached_property
    def _draw(self) -> ImageDraw.ImageDraw:
        size = (self.size[0] * DOUBLED, self.size[1] * DOUBLED)
        # Whole pixels doubled come out as they were when the page is halved.
        self._written = self._laid.resize(size, Image.Resampling.NEAREST)
        return ImageDraw.Draw(self._written)

    def title(self, text: str) -> None:
        """A line at the foot; smaller letters where it would run off the page."""
        height = max(round(self.size[1] * _TITLE_HEIGHT), _LEAST_TEXT)
        left = foot = round(height * 1.2)
        while height > _LEAST_TEXT and self._wide(text, height) > self.size[0] - 2 * left:
            height -= 1
        top = self.size[1] - foot - 1.6 * height
        strip = (0, top * DOUBLED, self.size[0] * DOUBLED, self.size[1] * DOUBLED)
        self._draw.rectangle(strip, fill=_WHITE)
        self.text((left, self.size[1] - foot), text, height)

    def text(self, at: Point, text: str, height: float, anchor: str = "ls") -> None:
        """Letters of that height; `anchor` as Pillow has it."""
        place = (at[0] * DOUBLED, at[1] * DOUBLED)
        self._draw.text(place, text, _INK_BYTES, font(round(height * DOUBLED)), anchor)

    def balloon(self, balloon: Balloon) -> None:
        """A number in a circle, its leader line, and a dot on the part (ISO 128-22 and ISO 6433,
        from memory)."""
        self._line([balloon.foot, balloon.anchor], halo=True)
        self._disc(balloon.anchor, _DOT + 1.5, _WHITE)
        self._disc(balloon.anchor, _DOT, _INK_BYTES)
        self._disc(balloon.at, balloon.radius, _INK_BYTES)
        self._disc(balloon.at, balloon.radius - _LINE, _WHITE)
        self.text(balloon.at, balloon.label, balloon.radius * 1.05, "mm")

    def arrow(self, points: Sequence[Point], width: float) -> None:
        """A thick line from point to point with a head at its end, white-rimmed."""
        *_, before, tip = points
        length = math.dist(before, tip) or 1.0
        along = ((tip[0] - before[0]) / length, (tip[1] - before[1]) / length)
        head = min(3.2 * width, 0.6 * length)
        neck = (tip[0] - along[0] * head, tip[1] - along[1] * head)
        side = (-along[1] * head * 0.55, along[0] * head * 0.55)
        barbs = [
            tip,
            (neck[0] + side[0], neck[1] + side[1]),
            (neck[0] - side[0], neck[1] - side[1]),
        ]
        for colour, wide in ((_WHITE, width + 5.0), (_INK_BYTES, width)):
            self._polyline([*points[:-1], neck], colour, wide)
            rim = (wide - width) * DOUBLED
            self._draw.polygon(_doubled(barbs), fill=colour, outline=colour, width=int(rim) + 1)
            if rim:
                self._polyline([*barbs, barbs[0]], colour, wide - width)

    def rows(self, rows: Sequence[Row], frame: Frame, columns: int = 1) -> None:
        """A list in columns, as large as the frame allows and no larger than reads well."""
        left, top, right, bottom = frame
        deep = math.ceil(len(rows) / columns)
        wide = (right - left) / columns
        pitch = min((bottom - top) / max(deep, 1), 40.0)
        height = _fitting(rows, wide - 3.6 * pitch * 0.58, pitch * 0.58)
        for index, row in enumerate(rows):
            x = left + wide * (index // deep)
            y = top + pitch * (index % deep + 0.7)
            self.text((x + height * 1.6, y), row.label, height, "rs")
            self.text((x + height * 2.2, y), row.text, height)

    def finished(self) -> Image.Image:
        """The page in its own size."""
        return self._written.reduce(DOUBLED) if self._written else self._laid

    def png(self) -> bytes:
        """The finished page as a PNG file."""
        return png(self.finished())

    def _line(self, points: Sequence[Point], halo: bool = False) -> None:
        if halo:
            self._polyline(points, _WHITE, _LINE + 3)
        self._polyline(points, _INK_BYTES, _LINE)

    def _polyline(self, points: Sequence[Point], colour: tuple[int, ...], width: float) -> None:
        self._draw.line(_doubled(points), fill=colour, width=round(width * DOUBLED), joint="curve")

    def _disc(self, at: Point, radius: float, colour: tuple[int, ...]) -> None:
        x, y, r = at[0] * DOUBLED, at[1] * DOUBLED, radius * DOUBLED
        self._draw.ellipse((x - r, y - r, x + r, y + r), fill=colour)

    def _wide(self, text: str, height: int) -> float:
        return float(self._draw.textlength(text, font(height * DOUBLED))) / DOUBLED


def painted(composition: Composition, meshes: Meshes) -> Page:
    """A composition as a painted page; `meshes` = of other pictures of the same solids."""
    page = Page(composition.size)
    for drawing in composition.drawings:
        frame = drawing.frame
        # Only what is covered: painting takes its time by the pixel, bare paper or not.
        inked = covered(drawing.solids, meshes, drawing.view, frame)
        if inked is not None:
            page.put(paint(drawing.solids, meshes, drawing.view.part(inked)), inked)
    for drawing in composition.drawings:
        for balloon in drawing.balloons:
            page.balloon(balloon)
        if drawing.words:
            at = (drawing.frame[0] + _WORDS, drawing.frame[3] - 4)
            page.text(at, drawing.words, _WORDS)
    if composition.arrow:
        page.arrow(composition.arrow, ARROW)
    if composition.rows:
        page.rows(composition.rows, composition.listed, composition.columns)
    if composition.title:
        page.title(composition.title)
    return page


def text_width(text: str, height: float) -> float:
    """How wide a line of text is, pixels."""
    return float(font(round(height)).getlength(text))


def font(height: int) -> Any:
    """The face that comes with matplotlib, which VTK requires: it has × and ± and accents."""
    found = importlib.util.find_spec("matplotlib")
    if found is not None and found.origin:
        face = Path(found.origin).parent / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
        if face.is_file():
            return ImageFont.truetype(str(face), max(height, 1))
    return ImageFont.load_default(max(height, 1))


def _fitting(rows: Sequence[Row], wide: float, height: float) -> float:
    widest = max((text_width(row.text, 100) for row in rows), default=1.0) / 100
    return max(min(height, wide / widest), float(_LEAST_TEXT))


def _doubled(points: Sequence[Point]) -> list[Point]:
    return [(x * DOUBLED, y * DOUBLED) for x, y in points]
