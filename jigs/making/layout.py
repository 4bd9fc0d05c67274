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
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from jigs.model.outline import Outline, Point
from jigs.model.part import Does, Face, Part, Sheet, Stack
from jigs.model.state import SHOWN
from jigs.shop.making import USUAL, Making, routing_cutter
from jigs.sizing import Design, Jig

ASSUMED_SIZE = (1220.0, 610.0)
"""mm, of a sheet whose size is not given. Common practice, no source: half of a half sheet."""

SCREW_IN = 15.0
"""mm from a holding screw to the sheet's edges. Common practice, no source."""

SCREW_CLEAR = 12.0
"""mm between a holding screw and the nearest cutter's path. Common practice, no source."""

SCREW_EVERY = 300.0
"""mm, at most, from one holding screw to the next along an edge. Common practice, no source."""

DOWEL_OUT = 12.0
"""mm from an outline to the middle of the dowels that a part is turned over on."""

DOWEL = 6.0
"""mm, diameter of those dowels."""

KEPT_REST = 100.0
"""mm; a rest narrower than this is firewood. Common practice, no source."""

STEPS_PER_MM = 1000
"""Rectangles are packed in whole thousandths, so that no processor rounds otherwise."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece to be cut: a part, or a slice of a part; `number` counts from 1 to `of`."""

    jig: str
    part: Part
    number: int
    of: int
    turned_over: bool = False

    @property
    def outline(self) -> Outline:
        """The part's outline, mm."""
        assert self.part.outline is not None
        return self.part.outline

    @property
    def footprint(self) -> tuple[float, float, float, float]:
        """What it takes of the sheet, in the part's own axes: its bounds and its dowels, mm."""
        x0, y0, x1, y1 = self.outline.bounds
        beside = DOWEL_OUT + DOWEL / 2 if self.turned_over else 0.0
        return (x0 - beside, y0, x1 + beside, y1)

    @property
    def grain(self) -> str:
        """The part's axis that must lie along the sheet's length; empty where none must."""
        return str(getattr(self.part.made, "grain", ""))


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a piece is cut: (x, y) is the place of the part's own origin on the sheet, mm.

    `turned` = by a quarter turn, counter-clockwise. `sheet` counts from 1.
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
        """An outline of the part, on the sheet, mm."""
        if not self.turned:
            return outline.shifted(self.x, self.y)
        return Outline(tuple((self.x - y, self.y + x, b) for x, y, b in outline.vertices))

    def point(self, at: Point) -> Point:
        """A point of the part, on the sheet, mm."""
        x, y = (-at[1], at[0]) if self.turned else at
        return (self.x + x, self.y + y)


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """One sheet with what is cut from it. `rest` = (x0, y0, x1, y1) of the offcut worth keeping."""

    number: int
    placements: tuple[Placement, ...]
    screws: tuple[Point, ...]
    rest: tuple[float, float, float, float] | None
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

    def piece(self, placed: Placement) -> Piece:
        """The piece that is placed there."""
        asked = (placed.jig, placed.part, placed.piece)
        return next(p for p in self.pieces if (p.jig, p.part.id, p.number) == asked)


def lay_out(d: Design) -> tuple[Layout, ...]:
    """Lay out everything that is cut from sheet: one layout a kind of sheet, in the job's order.

    The same job gives the same layout on every run and machine.
    """
    making = d.job.model.making
    found = routing_cutter(d.job.machine, making)
    cutter = found[1].diameter if found else USUAL
    by_stock: dict[tuple[str, str], list[Piece]] = {}
    for piece in pieces_of_sheet(d):
        by_stock.setdefault(_stock(d, piece.part), []).append(piece)
    known = [*d.job.model.sheets, ""]
    ordered = sorted(by_stock, key=lambda key: (known.index(key[0]), key[1]))
    return tuple(_on_sheets(d, key, by_stock[key], making, cutter) for key in ordered)


def pieces_of_sheet(d: Design) -> Iterator[Piece]:
    """Every piece that is cut from sheet, slices one by one."""
    for _, jig in d.jigs():
        counts = placed_parts(jig)
        for part in jig.parts.values():
            if isinstance(part.made, Sheet | Stack) and part.outline is not None:
                slices = part.made.slices if isinstance(part.made, Stack) else 1
                number = counts[part.id] * slices
                over = worked_on_both_faces(part)
                for i in range(1, number + 1):
                    yield Piece(jig.name, part, i, number, over)


def placed_parts(jig: Jig) -> dict[str, int]:
    """How many there are of each part: as placed, else as listed."""
    counts = Counter(placed.part for placed in jig.poses(SHOWN))
    return {part.id: counts[part.id] or part.quantity for part in jig.parts.values()}


def worked_on_both_faces(part: Part) -> bool:
    """Must the part be turned over? What goes right through is cut from either face."""
    worked = {
        cut.face for cut in part.cuts if cut.depth is not None and cut.does is not Does.PRESSED
    }
    return {Face.TOP, Face.BOTTOM} <= worked


def _stock(d: Design, part: Part) -> tuple[str, str]:
    """(name of the user's sheet or empty, material)."""
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
    fits = [piece for piece in pieces if _ways(piece, room)]
    too_large = {(p.jig, p.part.id): p for p in pieces if not _ways(p, room)}
    packed = _packed(fits, room, gap)
    sheets = tuple(
        _plan(i, rects, edge, (length, width), cutter) for i, rects in enumerate(packed, 1)
    )
    unplaced = tuple(_unplaced(p, stock or material, edge, (length, width))
                     for p in too_large.values())  # fmt: skip
    return Layout(stock, material, length, width, given is None, cutter, gap, edge, sheets,
                  unplaced, tuple(pieces))  # fmt: skip


def _unplaced(
    piece: Piece, stock: str, edge: tuple[float, float], has: tuple[float, float]
) -> Unplaced:
    """The smaller of the sheets that would do, lying either way, rounded up to whole mm."""
    x0, y0, x1, y1 = piece.footprint
    ways = [
        (math.ceil(a + 2 * edge[0] - 1e-9), math.ceil(b + 2 * edge[1] - 1e-9))
        for turned, (a, b) in ((False, (x1 - x0, y1 - y0)), (True, (y1 - y0, x1 - x0)))
        if _may_lie(piece, turned)
    ]
    length, width = min(ways, key=lambda way: (way[0] * way[1], way))
    return Unplaced(piece.jig, piece.part.id, stock, (float(length), float(width)), has)


def _may_lie(piece: Piece, turned: bool) -> bool:
    return piece.grain not in ("x", "y") or turned == (piece.grain == "y")


def _ways(piece: Piece, room: tuple[float, float]) -> list[bool]:
    """The ways in which a piece fits a whole sheet: as drawn (False), turned (True)."""
    x0, y0, x1, y1 = piece.footprint
    sides = {False: (x1 - x0, y1 - y0), True: (y1 - y0, x1 - x0)}
    return [
        turned
        for turned, (a, b) in sides.items()
        if _may_lie(piece, turned) and a <= room[0] + 1e-9 and b <= room[1] + 1e-9
    ]


Rect = tuple[Piece, bool, float, float]
"""A piece, whether it is turned, and the lower left corner of its footprint in the room, mm."""


def _packed(pieces: list[Piece], room: tuple[float, float], gap: float) -> list[list[Rect]]:
    """The best of several packings: fewest sheets, then the longest rest, then the first tried."""
    if not pieces:
        return []
    attempts = [
        _pack(pieces, room, gap, turn, algorithm, order)
        for turn, algorithm, order in product(*_tried(pieces))
    ]
    return min((a for a in attempts if a), key=lambda sheets: (len(sheets), _used(sheets[-1])))


def _tried(pieces: list[Piece]) -> tuple[Sequence[str], Sequence[Any], Sequence[Any]]:
    """Ways to turn, packers and orders. With grain, all lie as told and the packer turns none."""
    import rectpack

    turns = ("lying", "upright") if any(p.grain for p in pieces) else ("free", "lying", "upright")
    packers = (rectpack.MaxRectsBl, rectpack.MaxRectsBssf, rectpack.MaxRectsBaf)
    return turns, packers, (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE)


def _pack(
    pieces: list[Piece], room: tuple[float, float], gap: float, turn: str,
    algorithm: Any, order: Any,
) -> list[list[Rect]]:  # fmt: skip
    """One packing, sheet by sheet; empty if the library left a piece out.

    The room is packed upright, its short side along the packer's x, so that bottom-left packing
    fills the sheet from its left end and the rest is one piece.
    """
    import rectpack

    packer = rectpack.newPacker(
        bin_algo=rectpack.PackingBin.BFF, pack_algo=algorithm, sort_algo=order,
        rotation=turn == "free",
    )  # fmt: skip
    start = [_start(piece, room, turn) for piece in pieces]
    for i, (piece, turned) in enumerate(zip(pieces, start, strict=True)):
        along, across = _size(piece, turned)
        packer.add_rect(_steps(across + gap), _steps(along + gap), rid=i)
    packer.add_bin(math.floor((room[1] + gap) * STEPS_PER_MM + 1e-6),
                   math.floor((room[0] + gap) * STEPS_PER_MM + 1e-6), count=len(pieces))  # fmt: skip
    packer.pack()
    sheets: dict[int, list[Rect]] = {}
    for number, across, along, wide, tall, i in sorted(packer.rect_list()):
        was = _size(pieces[i], start[i])
        stands = (_steps(was[1] + gap), _steps(was[0] + gap)) == (wide, tall)
        turned = start[i] if stands else not start[i]
        place = (along / STEPS_PER_MM, across / STEPS_PER_MM)
        sheets.setdefault(number, []).append((pieces[i], turned, *place))
    whole = sum(map(len, sheets.values())) == len(pieces)
    return [sheets[number] for number in sorted(sheets)] if whole else []


def _start(piece: Piece, room: tuple[float, float], turn: str) -> bool:
    """Is the piece turned before it is packed? Lying = its longer side along the sheet's length."""
    ways = _ways(piece, room)
    along, across = _size(piece, turned=False)
    wanted = (along < across) if turn != "upright" else (along > across)
    return wanted if wanted in ways else ways[0]


def _size(piece: Piece, turned: bool) -> tuple[float, float]:
    """Along the sheet's length and across it, mm."""
    x0, y0, x1, y1 = piece.footprint
    return (y1 - y0, x1 - x0) if turned else (x1 - x0, y1 - y0)


def _steps(mm: float) -> int:
    return math.ceil(mm * STEPS_PER_MM - 1e-6)


def _used(rects: Iterable[Rect]) -> float:
    """How far a sheet is used along its length, mm."""
    return max(x + _size(piece, turned)[0] for piece, turned, x, _ in rects)


def _plan(
    number: int, rects: list[Rect], edge: tuple[float, float], size: tuple[float, float],
    cutter: float,
) -> SheetPlan:  # fmt: skip
    rects = sorted(rects, key=lambda r: (r[0].jig, r[0].part.id, r[0].number))
    placements = tuple(
        _placement(number, piece, turned, edge[0] + x, edge[1] + y) for piece, turned, x, y in rects
    )
    taken = [
        (edge[0] + x - cutter, edge[1] + y - cutter, edge[0] + x + a + cutter,
         edge[1] + y + b + cutter)
        for piece, turned, x, y in rects
        for a, b in [_size(piece, turned)]
    ]  # fmt: skip
    area = math.fsum(piece.outline.area for piece, *_ in rects)
    reach = max(x1 for _, _, x1, _ in taken)
    rest = (reach, 0.0, size[0], size[1]) if size[0] - reach >= KEPT_REST else None
    return SheetPlan(number, placements, screw_places(size, taken), rest, area / size[0] / size[1])


def _placement(number: int, piece: Piece, turned: bool, x: float, y: float) -> Placement:
    """From the lower left corner of a footprint to the place of the part's origin."""
    x0, y0, _, y1 = piece.footprint
    at = (x + y1, y - x0) if turned else (x - x0, y - y0)
    return Placement(
        piece.jig, piece.part.id, piece.number, piece.of, number,
        round(at[0], 6) + 0.0, round(at[1], 6) + 0.0, turned, piece.turned_over,
    )  # fmt: skip


def screw_places(
    size: tuple[float, float], taken: Sequence[tuple[float, float, float, float]]
) -> tuple[Point, ...]:
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


def _apart(point: Point, rect: tuple[float, float, float, float]) -> float:
    x0, y0, x1, y1 = rect
    return math.hypot(max(x0 - point[0], 0, point[0] - x1), max(y0 - point[1], 0, point[1] - y1))
