"""What is on a picture, before anyone paints it or draws it in lines."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.outputs.cad.balloons import Balloon, Point
from jigs.outputs.cad.seeing import Frame, Solid, View

SIZE = (1600, 1200)
"""Of a page, pixels: 277 mm wide on A4 that is 147 to the inch."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a list: a number and words."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """Solids on a part of the page, seen in a view of the whole page, with numbers round them."""

    solids: tuple[Solid, ...]
    view: View
    frame: Frame
    balloons: tuple[Balloon, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True)
class Composition:
    """A page: drawings, a title at its foot, an arrow and a list where there is one.

    Places in pixels from the upper left corner. `columns` = of the list in its frame.
    """

    size: tuple[int, int]
    drawings: tuple[Drawing, ...]
    title: str = ""
    arrow: tuple[Point, ...] = ()
    rows: tuple[Row, ...] = ()
    listed: Frame = (0.0, 0.0, 0.0, 0.0)
    columns: int = 1

    @property
    def balloons(self) -> tuple[Balloon, ...]:
        """Every number on the page."""
        return tuple(balloon for drawing in self.drawings for balloon in drawing.balloons)


def whole(size: tuple[int, int]) -> Frame:
    """The frame that is the whole page."""
    return (0.0, 0.0, float(size[0]), float(size[1]))
