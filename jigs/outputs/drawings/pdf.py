"""Sheets as one PDF, a page each: text stays text, and the same sheets give the same bytes."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Any

from jigs.outputs.drawings.paper import A4, DASHES, WIDTHS, Arrow, Entity, Pen, Round, Sheet, Stroke
from jigs.outputs.drawings.type import BOLD, PLAIN, registered

MM = 72 / 25.4


def pdf_of(sheets: Sequence[Sheet], title: str) -> bytes:
    """The pages as the bytes of a PDF file. Parameters: title = what the file says of itself."""
    from reportlab.pdfgen.canvas import Canvas

    registered()
    made = io.BytesIO()
    canvas = Canvas(made, pagesize=(A4[0] * MM, A4[1] * MM), invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor("jigs")
    canvas.setCreator("jigs")
    for sheet in sheets:
        canvas.bookmarkPage(sheet.name)
        canvas.addOutlineEntry(sheet.title, sheet.name)
        canvas.scale(MM, MM)
        canvas.setLineCap(1)
        for pen in (*Pen, None):
            _set(canvas, pen)
            for entity in sheet.entities:
                if (entity.pen if isinstance(entity, Stroke | Round) else None) is pen:
                    _draw(canvas, entity)
        canvas.showPage()
    canvas.save()
    return made.getvalue()


def _set(canvas: Any, pen: Pen | None) -> None:
    if pen is not None:
        canvas.setLineWidth(WIDTHS[pen])
        canvas.setLineCap(0 if DASHES[pen] else 1)
        canvas.setDash(list(DASHES[pen]) or [])


def _draw(canvas: Any, entity: Entity) -> None:
    if isinstance(entity, Stroke):
        _stroke(canvas, entity)
    elif isinstance(entity, Round):
        canvas.circle(*entity.centre, entity.radius, stroke=1, fill=0)
    elif isinstance(entity, Arrow):
        path = canvas.beginPath()
        tip, left, right = entity.corners
        path.moveTo(*tip)
        path.lineTo(*left)
        path.lineTo(*right)
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)
    else:
        canvas.saveState()
        canvas.translate(*entity.at)
        canvas.rotate(90 if entity.upright else 0)
        canvas.setFont(BOLD if entity.bold else PLAIN, entity.size)
        draw = {"left": canvas.drawString, "middle": canvas.drawCentredString,
                "right": canvas.drawRightString}[entity.anchor]  # fmt: skip
        draw(0, 0, entity.words)
        canvas.restoreState()


def _stroke(canvas: Any, stroke: Stroke) -> None:
    side = stroke.side
    if side.bulge == 0:
        canvas.line(*side.start, *side.end)
        return
    (x, y), r = side.centre, side.radius
    first = math.degrees(math.atan2(side.start[1] - y, side.start[0] - x))
    canvas.arc(x - r, y - r, x + r, y + r, first, math.degrees(side.angle))
