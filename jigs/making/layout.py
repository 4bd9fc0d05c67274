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
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from jigs.making.packing import Box, Packed, fitting_ways, pack
from jigs.making.work import Work, seen, works
from jigs.model.outline import Outline, Point
from jigs.model.part import Part, Sheet, Stack
from jigs.shop.making import USUAL, Making, routing_cutter
from jigs.sizing import Design

ASSUMED_SIZE = (1220.0, 610.0)
"""mm, of a sheet whose size is not given. Common practice, no source: half of a half sheet."""

SCREW_IN = 15.0
"""mm from a holding screw to the sheet's edges. Common practice, no source."""

SCREW_CLEAR = 12.0
"""mm between a holding screw and the nearest cutter's path. Common practice, no source."""

SCREW_EVERY = 300.0
"""mm, at most, from one holding screw to the next along an edge. Common practice, no source."""

KEPT_REST = 100.0
"""mm; a rest narrower than this is firewood. Common practice, no source."""

Rect = tuple[float, float, float, float]
"""x least, y least, x most, y most, mm."""

HAIR = 0.002
"""mm; sizes are packed in thousandths, rounded up."""


@dataclass(frozen=True)
class Piece:
    """One piece to be cut: a part, or a slice of a part; `number` counts from 1 to `of`."""

    work: Work
    number: int

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
        """What it takes of the sheet: bounds of its outline and of its dowels, mm."""
        boxes = [self.outline.bounds]
        boxes += [Outline.circle(*dowel).bounds for dowel in self.work.registration]
        return (
            min(b[0] for b in boxes), min(b[1] for b in boxes),
            max(b[2] for b in boxes), max(b[3] for b in boxes),
        )  # fmt: skip

    @cached_property
    def box(self) -> Box:
        """The footprint's size; where the part has a grain, that must lie along the sheet."""
        x0, y0, x1, y1 = self.footprint
        grain = getattr(self.work.part.made, "grain", "")
        ways = {"x": (False,), "y": (True,)}.get(grain, (False, True))
        return Box(x1 - x0, y1 - y0, ways)


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
    """A part that goes on no sheet: the size that it needs, and the size that there is, mm."""

    jig: str
    part: str
    stock: str
    needs: tuple[float, float]
    has: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Layout:
    """What is cut from one kind of sheet. `assumed` says whether its size had to be assumed."""

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


def lay_out(d: Design) -> tuple[Layout, ...]:
    """Lay out everything that is cut from sheet: one layout a kind of sheet, in the job's order.

    The same job gives the same layout on every run and machine.
    """
    making = d.job.model.making
    found = routing_cutter(d.job.machine, making)
    cutter = found[1].diameter if found else USUAL
    by_stock: dict[tuple[str, str], list[Piece]] = {}
    for piece in pieces_of_sheet(d):
        by_stock.setdefault(sheet_of(d, piece.work.part), []).append(piece)
    known = [*d.job.model.sheets, ""]
    ordered = sorted(by_stock, key=lambda key: (known.index(key[0]), key[1]))
    return tuple(_on_sheets(d, key, by_stock[key], making, cutter) for key in ordered)


def pieces_of_sheet(d: Design) -> Iterator[Piece]:
    """Every piece that is cut from sheet, slices one by one."""
    for work in works(d):
        if isinstance(work.part.made, Sheet | Stack):
            for number in range(1, work.pieces * work.slices + 1):
                yield Piece(work, number)


def sheet_of(d: Design, part: Part) -> tuple[str, str]:
    """(name of the user's sheet or empty, material) that a part is cut from."""
    made = part.made
    assert isinstance(made, Sheet | Stack)
    if made.stock in d.job.model.sheets:
        return made.stock, d.job.model.sheets[made.stock].material
    for name, sheet in d.job.model.sheets.items():
        if sheet.material.casefold() == made.material.casefold():
            return name, sheet.material
    return "", made.material


def _on_sheets(
    d: Design, key: tuple[str, str], pieces: list[Piece], making: Making, cutter: float
) -> Layout:
    stock, material = key
    given = d.job.model.sheets[stock].size if stock else None
    length, width = given or ASSUMED_SIZE
    gap = making.spacing + 2 * cutter
    edge = (max(making.margin, SCREW_IN + SCREW_CLEAR) + cutter, making.margin + cutter)
    room = (length - 2 * edge[0], width - 2 * edge[1])
    fits = [piece for piece in pieces if fitting_ways(piece.box, room, gap)]
    placed = {piece.name for piece in fits}
    too_large = {p.name[:2]: p for p in pieces if p.name not in placed}
    packed = pack([piece.box for piece in fits], room, gap)
    sheets = tuple(
        _plan(i, fits, places, edge, (length, width), cutter) for i, places in enumerate(packed, 1)
    )
    unplaced = tuple(
        _unplaced(piece, stock or material, edge, (length, width)) for piece in too_large.values()
    )
    return Layout(stock, material, length, width, given is None, cutter, gap, edge, sheets,
                  unplaced, tuple(pieces))  # fmt: skip


def _unplaced(
    piece: Piece, stock: str, edge: tuple[float, float], has: tuple[float, float]
) -> Unplaced:
    """The smaller of the sheets that would do, lying either way, in whole mm and a hair above."""
    sizes = [piece.box.size(turned) for turned in piece.box.ways]
    ways = [(math.ceil(a + 2 * edge[0] + HAIR), math.ceil(b + 2 * edge[1] + HAIR))
            for a, b in sizes]  # fmt: skip
    length, width = min(ways, key=lambda way: (way[0] * way[1], way))
    return Unplaced(*piece.name[:2], stock, (float(length), float(width)), has)


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
