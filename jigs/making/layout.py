"""Parts that are cut from sheet, laid out on the sheets that the user has.

::

      15                                                          15
    +--o-------------------------------------------------------o--+     o = screw, clear of every
    |  :  +-----------+        +--------+                      :  |         cutter's path
    |  :  |   part    |<-gap-->|  part  |                      :  |
    |  :  +-----------+        +--------+      rest            :  |
    +--o-------------------------------------------------------o--+
     edge                                                     edge

Sheet frame: origin in the lower left corner, x along the sheet's length, mm. What is packed are
the parts' bounding rectangles, by a packing library; the gap between two outlines is the wood that
shall stay and a cutter's diameter for each of the two paths. The strips at the short edges are wide
enough for the screws that hold the sheet down.

A sheet that is larger than the machine reaches is sawn into equal blanks first, and each blank is
laid out like a sheet. What the machine reaches bounds the cutter's paths; screws may stand outside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from jigs.kept import Kept
from jigs.making.packing import Box, Packed, kept_packing
from jigs.making.rooms import (
    SCREW_CLEAR,
    SCREW_EVERY,
    SCREW_IN,
    Rect,
    Room,
    beside_of,
    box_of,
    cutter_of,
    footprint_of,
    rooms_on,
    sheet_of,
)
from jigs.making.work import Work, seen, works
from jigs.model.outline import Outline, Point
from jigs.model.part import Sheet, Stack
from jigs.sizing import Design

__all__ = [
    "Layout", "Piece", "Placement", "Rect", "SheetPlan", "Unplaced", "by_sheet", "lay_out",
    "not_placed", "pieces_of_sheet", "screw_places", "sheet_of",
]  # fmt: skip

KEPT_REST = 100.0
"""mm; a rest narrower than this is firewood. Common practice, no source."""


@dataclass(frozen=True)
class Piece:
    """One piece to be cut: a part, or a slice of a part; `number` counts from 1 to `of`."""

    work: Work
    number: int
    beside: float = 0.0
    """mm that the saw line round it may stand outside its footprint."""

    @property
    def of(self) -> int:
        """How many equal ones there are."""
        return self.work.pieces * self.work.slices

    @property
    def name(self) -> tuple[str, str, int]:
        """Jig, work and number: no two pieces have the same."""
        return (self.work.jig, self.work.name, self.number)

    @property
    def turned_over(self) -> bool:
        """Is its other face worked too?"""
        return len(self.work.faces) > 1

    @cached_property
    def outline(self) -> Outline:
        """The part's outline as its first cut file shows it, mm."""
        assert self.work.part.outline is not None
        return seen(self.work.part.outline, self.work.faces[0].up, self.work.axis_y)

    @cached_property
    def footprint(self) -> Rect:
        """What it takes of the sheet: its outline, its dowels and the waste for screws, mm."""
        return footprint_of(self.outline, self.turned_over, self.work.cutter.diameter, self.beside)

    @cached_property
    def box(self) -> Box:
        """The footprint's size; where the part has a grain, that must lie along the sheet."""
        return box_of(self.footprint, self.work.part)


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a piece is cut: (x, y) is the place of its first cut file's origin on the sheet, mm.

    `part` = the name of the work: the part's id, for a slice with its place in the stack.
    `turned` = by a quarter turn, counter-clockwise. `sheet` counts from 1. `turned_over` = its
    other face is worked afterwards.
    """

    jig: str
    part: str
    piece: int
    of: int
    sheet: int
    x: float
    y: float
    turned: bool
    turned_over: bool = False

    def place(self, outline: Outline) -> Outline:
        """An outline of the cut file, on the sheet, mm."""
        if not self.turned:
            return outline.shifted(self.x, self.y)
        return Outline(tuple((self.x - y, self.y + x, b) for x, y, b in outline.vertices))

    def point(self, at: Point) -> Point:
        """A point of the cut file, on the sheet, mm."""
        x, y = (-at[1], at[0]) if self.turned else at
        return (self.x + x, self.y + y)


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """One sheet with what is cut from it. `rest` = (x0, y0, x1, y1) of the offcut worth keeping."""

    number: int
    placements: tuple[Placement, ...]
    screws: tuple[Point, ...]
    rest: Rect | None
    share_used: float
    """Area of the parts over the area of the sheet."""


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A part that goes on no sheet: the size that it needs, and the size that there is, mm.

    `has` = of the sheet or of the blank sawn from it; `remedy` = what would do, in words.
    """

    jig: str
    part: str
    stock: str
    needs: tuple[float, float]
    has: tuple[float, float]
    remedy: str


@dataclass(frozen=True, slots=True)
class Layout:
    """What is cut from one kind of sheet. `assumed` says whether its size had to be assumed.

    `length` and `width` are those of one plan: of the sheet, or of a blank sawn from it, of which
    a `whole` sheet gives so many `blanks`.
    """

    stock: str
    material: str
    length: float
    width: float
    assumed: bool
    cutter: float
    gap: float
    """Least distance between two outlines, mm."""
    edge: tuple[float, float]
    """Least distance from an outline to the short and to the long edges, mm."""
    sheets: tuple[SheetPlan, ...]
    unplaced: tuple[Unplaced, ...]
    pieces: tuple[Piece, ...]
    whole: tuple[float, float]
    blanks: int

    @property
    def sawn_first(self) -> str:
        """What is sawn before anything is cut, in words; empty where the sheet is used whole."""
        if self.whole == (self.length, self.width):
            return ""
        return (
            f"larger than the machine reaches: sheet of {self.whole[0]:g} × {self.whole[1]:g} mm "
            f"sawn into blanks of {self.length:g} × {self.width:g} mm first, {self.blanks} a sheet"
        )

    @property
    def name(self) -> str:
        """The sheet's name in the job, or its material."""
        return self.stock or self.material

    @property
    def share_used(self) -> float:
        """Area of the parts over the area of all sheets; 0 without sheets."""
        return math.fsum(s.share_used for s in self.sheets) / max(1, len(self.sheets))

    def blank(self, placed: Placement) -> Rect:
        """What is sawn out round a piece that is turned over, on the sheet, mm.

        Its dowels lie within, and half the gap on every side, as far as the sheet goes.
        """
        x0, y0, x1, y1 = placed.place(Outline.rectangle(*self.piece(placed).footprint)).bounds
        half = self.gap / 2
        return (
            max(0.0, x0 - half), max(0.0, y0 - half),
            min(self.length, x1 + half), min(self.width, y1 + half),
        )  # fmt: skip

    def piece(self, placed: Placement) -> Piece:
        """The piece that is placed there."""
        asked = (placed.jig, placed.part, placed.piece)
        return next(p for p in self.pieces if p.name == asked)


def lay_out(d: Design, kept: Kept | None = None) -> tuple[Layout, ...]:
    """Lay out everything that is cut from sheet: one layout a kind of sheet, in the job's order.

    The same job gives the same layout on every run and machine. Parameters: kept = where packings
    found before are looked up.
    """
    kept = kept or Kept()
    return tuple(_on_sheets(d, key, pieces, kept) for key, pieces in by_sheet(d))


def by_sheet(d: Design) -> list[tuple[tuple[str, str], list[Piece]]]:
    """The pieces of each kind of sheet; a kind = name of the sheet or empty, and material."""
    by_stock: dict[tuple[str, str], list[Piece]] = {}
    for piece in pieces_of_sheet(d):
        by_stock.setdefault(sheet_of(d, piece.work.part), []).append(piece)
    known = [*d.job.model.sheets, ""]
    return sorted(by_stock.items(), key=lambda item: (known.index(item[0][0]), item[0][1]))


def pieces_of_sheet(d: Design) -> Iterator[Piece]:
    """Every piece that is cut from sheet, slices one by one."""
    beside = beside_of(d)
    for work in works(d):
        if isinstance(work.part.made, Sheet | Stack):
            for number in range(1, work.pieces * work.slices + 1):
                yield Piece(work, number, beside)


def not_placed(pieces: Sequence[Piece], room: Room, stock: str) -> tuple[Unplaced, ...]:
    """Every part that does not even go in alone, once for all its pieces."""
    too_large = {p.name[:2]: p for p in pieces if not room.takes(p.box)}
    return tuple(
        Unplaced(*name, stock, room.needs(piece.box), room.size, room.remedy(piece.box))
        for name, piece in too_large.items()
    )


def _on_sheets(d: Design, key: tuple[str, str], pieces: list[Piece], kept: Kept) -> Layout:
    stock, material = key
    assumed = not stock or d.job.model.sheets[stock].size is None
    cutter = cutter_of(d)
    tried = []
    for room in rooms_on(d, stock, [piece.box for piece in pieces]):
        fits = [piece for piece in pieces if room.takes(piece.box)]
        tried.append((room, kept_packing(kept, [p.box for p in fits], room.inside, room.gap)))
    room, packed = min(tried, key=lambda way: (math.ceil(len(way[1]) / way[0].blanks), len(way[1])))
    sheets = tuple(
        _plan(i, fits, places, room.edge, room.size, cutter) for i, places in enumerate(packed, 1)
    )
    return Layout(
        stock, material, *room.size, assumed, cutter, room.gap, room.edge, sheets,
        not_placed(pieces, room, stock or material), tuple(pieces), room.sheet, room.blanks,
    )  # fmt: skip


def _plan(
    number: int, pieces: Sequence[Piece], places: Sequence[Packed], edge: tuple[float, float],
    size: tuple[float, float], cutter: float,
) -> SheetPlan:  # fmt: skip
    places = sorted(places, key=lambda place: pieces[place.index].name)
    placements = tuple(_placement(number, pieces[p.index], p, edge) for p in places)
    taken = [_swept(pieces[p.index], p, edge, cutter) for p in places]
    area = math.fsum(pieces[p.index].outline.area for p in places)
    reach = max(x1 for _, _, x1, _ in taken)
    rest = (reach, 0.0, size[0], size[1]) if size[0] - reach >= KEPT_REST else None
    return SheetPlan(number, placements, screw_places(size, taken), rest, area / size[0] / size[1])


def _swept(piece: Piece, place: Packed, edge: tuple[float, float], cutter: float) -> Rect:
    """What the cutter stays within while it cuts a piece, on the sheet, mm."""
    x, y = edge[0] + place.x, edge[1] + place.y
    along, across = piece.box.size(place.turned)
    return (x - cutter, y - cutter, x + along + cutter, y + across + cutter)


def _placement(number: int, piece: Piece, place: Packed, edge: tuple[float, float]) -> Placement:
    """From the lower left corner of a footprint to the place of the cut file's origin."""
    x0, y0, _, y1 = piece.footprint
    x, y = edge[0] + place.x, edge[1] + place.y
    at = (x + y1, y - x0) if place.turned else (x - x0, y - y0)
    return Placement(
        *piece.name, piece.of, number,
        round(at[0], 6) + 0.0, round(at[1], 6) + 0.0, place.turned, piece.turned_over,
    )  # fmt: skip


def screw_places(size: tuple[float, float], taken: Sequence[Rect]) -> tuple[Point, ...]:
    """Where screws hold a sheet down: round its edges, clear of what the cutter sweeps, mm.

    Parameters: size = length and width; taken = rectangles that cutters' paths stay within. The
    strips at the short edges are always clear; along the long ones only free places are told.
    """
    length, width = size
    ends = (SCREW_IN, length - SCREW_IN)
    sides = (SCREW_IN, width - SCREW_IN)
    places = [(x, y) for x in ends for y in _steps_between(*sides)]
    places += [(x, y) for y in sides for x in _steps_between(*ends)[1:-1]]
    clear = [p for p in places if all(_apart(p, rect) >= SCREW_CLEAR - 1e-9 for rect in taken)]
    return tuple(sorted(clear))


def _steps_between(start: float, end: float) -> list[float]:
    parts = max(1, math.ceil((end - start) / SCREW_EVERY))
    return [round(start + (end - start) * i / parts, 6) for i in range(parts + 1)]


def _apart(point: Point, rect: Rect) -> float:
    x0, y0, x1, y1 = rect
    return math.hypot(max(x0 - point[0], 0, point[0] - x1), max(y0 - point[1], 0, point[1] - y1))
