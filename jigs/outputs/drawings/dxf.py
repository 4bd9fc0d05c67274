"""A sheet as DXF: paper mm, one layer for each kind of line, texts as texts."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from jigs.errors import ExportError
from jigs.outputs.drawings.paper import DASHES, WIDTHS, Arrow, Entity, Pen, Round, Sheet, Stroke
from jigs.outputs.drawings.type import CAPITALS
from jigs.outputs.dxf import without_dates

TEXTS = "texts"
_STYLES = (("drawing", "DejaVuSans.ttf"), ("drawing bold", "DejaVuSans-Bold.ttf"))
_DIGITS = 6


def write_sheet_dxf(sheet: Sheet, path: Path) -> None:
    """Write one page. Raises ExportError if the file cannot be written."""
    import ezdxf

    drawing = ezdxf.new("R2010", units=ezdxf.units.MM)
    drawing.header["$MEASUREMENT"] = 1
    for name, font in _STYLES:
        drawing.styles.add(name, font=font)
    for pen in Pen:
        if DASHES[pen]:
            dashes = [v if i % 2 == 0 else -v for i, v in enumerate(DASHES[pen])]
            drawing.linetypes.add(str(pen), pattern=[sum(DASHES[pen]), *dashes])
        drawing.layers.add(str(pen), color=7, linetype=str(pen) if DASHES[pen] else "Continuous",
                           lineweight=round(WIDTHS[pen] * 100))  # fmt: skip
    drawing.layers.add(TEXTS, color=7)
    space = drawing.modelspace()
    for entity in sheet.entities:
        _add(space, entity)
    with without_dates(drawing):
        try:
            drawing.saveas(path)
        except OSError as error:
            raise ExportError(f"{path.name}: the DXF could not be written: {error}") from error


def _add(space: Any, entity: Entity) -> None:
    if isinstance(entity, Stroke):
        _stroke(space, entity)
    elif isinstance(entity, Round):
        space.add_circle(
            _p(entity.centre), _r(entity.radius), dxfattribs={"layer": str(entity.pen)}
        )
    elif isinstance(entity, Arrow):
        tip, left, right = map(_p, entity.corners)
        space.add_solid([tip, left, right, right], dxfattribs={"layer": str(Pen.DIMENSION)})
    else:
        place = {"left": "LEFT", "middle": "CENTER", "right": "RIGHT"}[entity.anchor]
        from ezdxf.enums import TextEntityAlignment

        style = _STYLES[int(entity.bold)][0]
        text = space.add_text(entity.words, height=_r(entity.size * CAPITALS),
                              rotation=90 if entity.upright else 0,
                              dxfattribs={"layer": TEXTS, "style": style})  # fmt: skip
        text.set_placement(_p(entity.at), align=TextEntityAlignment[place])


def _stroke(space: Any, stroke: Stroke) -> None:
    side, layer = stroke.side, {"layer": str(stroke.pen)}
    if side.bulge == 0:
        space.add_line(_p(side.start), _p(side.end), dxfattribs=layer)
        return
    (x, y), r = side.centre, side.radius
    ends = [math.degrees(math.atan2(p[1] - y, p[0] - x)) for p in (side.start, side.end)]
    first, last = ends if side.bulge > 0 else ends[::-1]
    space.add_arc(_p((x, y)), _r(r), _r(first % 360), _r(last % 360), dxfattribs=layer)


def _p(p: tuple[float, float]) -> tuple[float, float]:
    return (_r(p[0]), _r(p[1]))


def _r(value: float) -> float:
    return round(value, _DIGITS) + 0.0
