"""A sheet as SVG: one unit is one millimetre of paper; text keeps its measured length."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from jigs.outputs.drawings.paper import A4, DASHES, WIDTHS, Arrow, Entity, Pen, Round, Sheet, Stroke
from jigs.outputs.drawings.paper import Text as Words
from jigs.outputs.drawings.type import FAMILY


def svg_of(sheet: Sheet) -> str:
    """The page as text of an SVG file."""
    wide, high = A4
    groups: dict[Pen | None, list[str]] = {}
    for entity in sheet.entities:
        pen = entity.pen if isinstance(entity, Stroke | Round) else None
        groups.setdefault(pen, []).append(_drawn(entity))
    return "\n".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{high:g}mm" '
        f'viewBox="0 0 {wide:g} {high:g}" font-family="{FAMILY}, Verdana, Arial, sans-serif">',
        f"<title>{escape(sheet.title)}</title>",
        f'<rect width="{wide:g}" height="{high:g}" fill="white"/>',
        *(line for pen in (*Pen, None) if pen in groups for line in _group(pen, groups[pen])),
        "</svg>",
    ]) + "\n"  # fmt: skip


def _group(pen: Pen | None, drawn: list[str]) -> Iterator[str]:
    if pen is None:
        yield from ("<g>", *drawn, "</g>")
        return
    dashes = " ".join(f"{v:g}" for v in DASHES[pen])
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    yield (f'<g fill="none" stroke="black" stroke-width="{WIDTHS[pen]:g}" '
           f'stroke-linecap="{"butt" if dashes else "round"}"{dashed}>')  # fmt: skip
    yield from drawn
    yield "</g>"


def _drawn(entity: Entity) -> str:
    if isinstance(entity, Words):
        return _text(entity)
    if isinstance(entity, Round):
        return (f'<circle cx="{_n(entity.centre[0])}" cy="{_y(entity.centre[1])}" '
                f'r="{_n(entity.radius)}"/>')  # fmt: skip
    if isinstance(entity, Arrow):
        points = " ".join(f"{_n(x)},{_y(y)}" for x, y in entity.corners)
        return f'<polygon points="{points}"/>'
    side = entity.side
    start, end = (f"{_n(p[0])} {_y(p[1])}" for p in (side.start, side.end))
    if side.bulge == 0:
        return f'<path d="M{start}L{end}"/>'
    large, sweep = int(abs(side.bulge) > 1), int(side.bulge < 0)
    r = _n(side.radius)
    return f'<path d="M{start}A{r} {r} 0 {large} {sweep} {end}"/>'


def _text(text: Words) -> str:
    x, y = _n(text.at[0]), _y(text.at[1])
    anchor = {"left": "start", "middle": "middle", "right": "end"}[text.anchor]
    turn = f' transform="rotate(-90 {x} {y})"' if text.upright else ""
    bold = ' font-weight="bold"' if text.bold else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{_n(text.size)}" text-anchor="{anchor}"{bold}{turn} '
        f'textLength="{_n(text.width)}" lengthAdjust="spacingAndGlyphs">{escape(text.words)}</text>'
    )


def _y(y: float) -> str:
    return _n(A4[1] - y)


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
