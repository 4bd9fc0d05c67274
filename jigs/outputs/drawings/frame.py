"""Border, title block, notes and the table of cuts: everything on a sheet but the views.

Fields of the title block follow what ISO 7200 asks for; the layout is our own. The projection
symbol is that of ISO 5456-2, first angle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jigs.model.outline import Point
from jigs.outputs.drawings.paper import (
    ABOVE,
    BELOW,
    Box,
    Pen,
    Round,
    Sheet,
    Text,
    wrapped,
)
from jigs.outputs.drawings.rows import HEADINGS, Cell, Row

INNER: Box = (20.0, 10.0, 200.0, 287.0)
"""Within the border: a wide margin for filing at the left (ISO 5457)."""

TITLE_TOP = 58.0
_LABEL, _SMALLEST = 2.5, 2.2
_ROW, _TABLE, _GAP = 4.1, 2.9, 0.8
COLUMNS = (7.0, 41.0, 14.0, 16.5, 16.5, 12.5, 21.0, 15.5, 36.0)
"""mm, widths of the table's columns: 180 together."""


@dataclass(frozen=True)
class Block:
    """What the title block says."""

    job: str
    part: str
    jig: str
    revision: str
    quantity: str
    material: str
    thickness: str
    units: str
    tolerance: str
    dated: str
    checks: str
    loud: bool
    scale: str = ""
    page: str = ""


def draw_frame(sheet: Sheet, block: Block) -> None:
    """Border and title block; where checks are not met, a line at the top says so too."""
    x0, _, x1, y1 = INNER
    sheet.box(Pen.VISIBLE, INNER)
    rows = (
        (13.0, ((180.0, "job", block.job, 4.2, True),)),
        (12.0, ((88.0, "part", block.part, 4.2, True), (40.0, "jig", block.jig, 3.6, False),
                (22.0, "pieces", block.quantity, 4.2, True),
                (30.0, "sheet", block.page, 3.6, False))),
        (11.0, ((88.0, "material", block.material, 3.4, False),
                (92.0, "thickness", block.thickness, 3.4, False))),
        (12.0, ((22.0, "scale", block.scale, 3.6, False),
                (20.0, "sizes in", block.units, 3.4, False),
                (46.0, "tolerance, where none is said", block.tolerance, 3.0, False),
                (22.0, "first angle", "", 3.4, False),
                (17.0, "revision", block.revision, 3.4, False),
                (23.0, "job file of", block.dated, 3.0, False),
                (30.0, "checks", block.checks, 3.4, block.loud))),
    )  # fmt: skip
    top = TITLE_TOP
    for height, cells in rows:
        x = x0
        sheet.line(Pen.FRAME, (x0, top), (x1, top))
        for wide, label, value, size, bold in cells:
            if x > x0:
                sheet.line(Pen.FRAME, (x, top), (x, top - height))
            _cell(sheet, (x, top - height, x + wide, top), label, value, size, bold)
            if label == "first angle":
                _projection(sheet, (x + wide / 2, top - height / 2 - 1.2))
            x += wide
        top -= height
    if block.loud:
        sheet.entities.append(Text(((x0 + x1) / 2, y1 - 7.0), _loud(block), 5.0, "middle",
                                   bold=True))  # fmt: skip


def _loud(block: Block) -> str:
    if block.checks.startswith("NOT MET"):
        return "CHECKS NOT MET: do not make this before the report is read"
    return "CHECKS NOT JUDGED: read the report before this is made"


def _cell(sheet: Sheet, box: Box, label: str, value: str, size: float, bold: bool) -> None:
    """A small label and a value below it, set smaller until it goes into the cell."""
    x0, y0, x1, y1 = box
    sheet.entities.append(Text((x0 + 1.2, y1 - 2.9), label, _LABEL))
    room = y1 - y0 - 4.0
    lines = [value]
    while size > _SMALLEST:
        lines = wrapped(value, size, x1 - x0 - 2.4, bold)
        if len(lines) * size * 1.12 <= room:
            break
        size = round(size - 0.2, 3)
    for i, line in enumerate(lines):
        y = y1 - 3.6 - (i + ABOVE) * size * 1.06
        sheet.entities.append(Text((x0 + 1.2, y), line, size, bold=bold))


def _projection(sheet: Sheet, at: Point) -> None:
    """A cone's frustum seen from the side, and to its right from the left: the small end outside.

    In first angle the view from the left stands to the right.
    """
    x, y = at
    sheet.line(Pen.VISIBLE, (x - 8, y - 1.3), (x - 2, y - 2.6), (x - 2, y + 2.6), (x - 8, y + 1.3),
               (x - 8, y - 1.3))  # fmt: skip
    sheet.entities += [Round(Pen.VISIBLE, (x + 5, y), 2.6), Round(Pen.VISIBLE, (x + 5, y), 1.3)]
    sheet.line(Pen.CENTRE, (x - 9.5, y), (x - 0.5, y))
    sheet.line(Pen.CENTRE, (x + 1.4, y), (x + 8.6, y))
    sheet.line(Pen.CENTRE, (x + 5, y - 3.4), (x + 5, y + 3.4))


def draw_notes(sheet: Sheet, notes: Sequence[str], bottom: float) -> float:
    """Notes in lines above the title block. Returns the height of their top on the page."""
    size = 3.0
    lines = [line for note in notes for line in wrapped(note, size, 176.0)]
    for i, line in enumerate(reversed(lines)):
        sheet.entities.append(Text((INNER[0] + 2.0, bottom + 2.0 + i * _ROW), line, size))
    return bottom + 1.0 + len(lines) * _ROW + (1.0 if lines else 0.0)


def height_of(row: Sequence[Cell]) -> float:
    """Height of a row of the table, mm."""
    return max(len(cell) for cell in row) * (_TABLE * 1.22) + 2 * _GAP


def fitted(row: Row) -> tuple[Cell, ...]:
    """The cells of a row, wrapped to their columns."""
    return tuple(
        tuple(line for words in cell for line in wrapped(words, _TABLE, wide - 1.6))
        for cell, wide in zip(row.cells, COLUMNS, strict=True)
    )


def draw_table(
    sheet: Sheet, rows: Sequence[tuple[Cell, ...]], height: float, hanging: bool = False
) -> float:
    """The table of cuts, its foot at a height, or its top. Returns the height of its top."""
    head = tuple(
        tuple(wrapped(word, _TABLE, wide - 1.6, bold=True))
        for word, wide in zip(HEADINGS, COLUMNS, strict=True)
    )
    lines = [head, *rows]
    high = sum(map(height_of, lines))
    top, bottom = (height, height - high) if hanging else (height + high, height)
    y = top
    for row in lines:
        sheet.line(Pen.FRAME, (INNER[0], y), (INNER[2], y))
        x = INNER[0]
        for cell, wide in zip(row, COLUMNS, strict=True):
            for i, words in enumerate(cell):
                at = (x + 0.8, y - _GAP - (i * 1.22 + ABOVE + BELOW) * _TABLE)
                if words:
                    sheet.entities.append(Text(at, words, _TABLE, bold=row is head))
            x += wide
        y -= height_of(row)
    x = INNER[0]
    for wide in COLUMNS[:-1]:
        x += wide
        sheet.line(Pen.FRAME, (x, top), (x, bottom))
    sheet.line(Pen.FRAME, (INNER[0], bottom), (INNER[2], bottom))
    return top


def table_height(rows: Sequence[tuple[Cell, ...]]) -> float:
    """Height of the table with its head, mm."""
    return sum(map(height_of, rows)) + 2 * _TABLE * 1.22 + 2 * _GAP + 1.0
