"""A line view as SVG, for computers where nothing can be painted: edges that are seen, no shades.

Hidden lines are taken out by the kernel itself. Letters are single strokes (Hershey's plain
letters, public domain), so that no font is asked for.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from typing import Any

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GCPnts import GCPnts_QuasiUniformDeflection
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from jigs.outputs.cad.balloons import Balloon, Point
from jigs.outputs.cad.composition import Composition
from jigs.outputs.cad.seeing import Solid, View
from jigs.solids.shapes import location

Line = tuple[Point, ...]

_DEFLECTION = 0.3  # pixels that a line may lie off its curve
_WIDTHS = (1.6, 1.2)  # pixels: outlines and corners; leader lines
_ARROW_WIDTH = 7.0
_LETTER = 20.0  # pixels, capital letters
_ASCII = str.maketrans({"×": "x", "±": "+-", "–": "-", "−": "-", "°": " deg", "Ø": "dia "})


def line_view(composition: Composition) -> str:
    """A composition in lines, as the text of an SVG file."""
    width, height = composition.size
    body = []
    for drawing in composition.drawings:
        solid = [one for one in drawing.solids if one.colour[3] >= 1]
        body.append(_path(seen_lines(solid or drawing.solids, drawing.view), _WIDTHS[0]))
        at = (drawing.frame[0] + _LETTER, drawing.frame[3] - 4)
        body.append(_path(_written(drawing.words, at, _LETTER * 0.8), _WIDTHS[1]))
        body += [part for balloon in drawing.balloons for part in _numbered(balloon)]
    if composition.arrow:
        body.append(_path([composition.arrow], _ARROW_WIDTH))
        x, y = composition.arrow[-1]
        body.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{_ARROW_WIDTH}" fill="#222"/>')
    body += _list(composition)
    at = (1.8 * _LETTER, height - 1.8 * _LETTER)
    body.append(_path(_written(composition.title, at, _LETTER), _WIDTHS[1]))
    return "\n".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}">',
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
        '<g fill="none" stroke="#222" stroke-linecap="round" stroke-linejoin="round">',
        *(line for line in body if line),
        "</g>", "</svg>", "",
    ])  # fmt: skip


def _numbered(balloon: Balloon) -> Iterator[str]:
    """A number in its circle, and its leader line."""
    yield _path([(balloon.foot, balloon.anchor)], _WIDTHS[1])
    x, y = balloon.at
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{balloon.radius:.1f}"/>'
    high = balloon.radius * 0.75
    wide = max((p[0] for line in _letters(balloon.label, high) for p in line), default=0.0)
    yield _path(_written(balloon.label, (x - wide / 2, y + high / 2), high), _WIDTHS[1])


def _list(composition: Composition) -> Iterator[str]:
    left, top, right, bottom = composition.listed
    deep = math.ceil(len(composition.rows) / composition.columns)
    for index, row in enumerate(composition.rows):
        pitch = min(36.0, (bottom - top) / deep)
        x = left + (right - left) / composition.columns * (index // deep)
        at = (x, top + pitch * (index % deep + 0.7))
        yield _path(_written(f"{row.label}  {row.text}", at, pitch * 0.4), _WIDTHS[1])


def seen_lines(solids: Sequence[Solid], view: View) -> list[Line]:
    """Corners and outlines that nothing hides, in pixels of the page, in a fixed order."""
    algorithm = HLRBRep_Algo()
    for solid in solids:
        placed = solid.shape.copy(mesh=False).moved(location(solid.pose))
        algorithm.Add(placed.wrapped, 0)
    # The kernel's page has its origin where the middle of ours is, x to the right and y upwards.
    axes = gp_Ax2(gp_Pnt(*view.centre), gp_Dir(*view.towards), gp_Dir(*view.right))
    algorithm.Projector(HLRAlgo_Projector(axes))
    algorithm.Update()
    algorithm.Hide()
    made = HLRBRep_HLRToShape(algorithm)
    found = set()
    for compound in (made.VCompound(), made.OutLineVCompound()):
        if compound is not None and not compound.IsNull():
            BRepLib.BuildCurves3d_s(compound)
            found |= set(_lines(compound, view))
    return sorted(found)


def _lines(compound: Any, view: View) -> Iterator[Line]:
    half = np.array(view.size) / 2
    walk = TopExp_Explorer(compound, TopAbs_EDGE)
    while walk.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(walk.Current()))
        walk.Next()
        steps = GCPnts_QuasiUniformDeflection(curve, _DEFLECTION * view.per_pixel)
        places = (steps.Value(i) for i in range(1, steps.NbPoints() + 1))
        line = tuple(
            (round(half[0] + p.X() / view.per_pixel, 1), round(half[1] - p.Y() / view.per_pixel, 1))
            for p in places
        )
        if len(set(line)) > 1:
            yield min(line, line[::-1])


def _path(lines: Iterable[Line], width: float) -> str:
    drawn = " ".join(
        "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in line) for line in lines if len(line) > 1
    )
    return f'<path stroke-width="{width}" d="{drawn}"/>' if drawn else ""


def _written(text: str, at: Point, height: float) -> list[Line]:
    return [tuple((at[0] + x, at[1] + y) for x, y in line) for line in _letters(text, height)]


def _letters(text: str, height: float) -> list[Line]:
    """Strokes of one line of text, its foot at y = 0, y downwards."""
    plain = text.translate(_ASCII).encode("ascii", "replace").decode()
    strokes = [list(stroke) for stroke in _face().strokes_for_text(plain)]
    if not strokes:
        return []
    foot, top = _capitals()
    left = min(x for stroke in strokes for x, _ in stroke)
    scale = height / abs(top - foot)
    return [
        tuple(((x - left) * scale, (y - foot) * scale) for x, y in stroke) for stroke in strokes
    ]


@cache
def _face() -> Any:
    from HersheyFonts import HersheyFonts

    face = HersheyFonts()
    face.load_default_font("futural")
    return face


@cache
def _capitals() -> tuple[float, float]:
    """Foot and top of capital letters, in the letters' own unit, y downwards."""
    heights = [y for stroke in _face().strokes_for_text("H") for _, y in stroke]
    return max(heights), min(heights)
