"""What a maker must know of every cut, row by row: where it is, how wide, how deep, what it takes.

Places are from the datum corner of the first view: its left and its lower edge; z is from the
bottom, the face that lies away from the eye.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from jigs.making.clamping import goes_through
from jigs.model.outline import Outline, Point, Side
from jigs.model.part import Cut, Does, Face, Part
from jigs.outputs.drawings.flat import flat_cuts
from jigs.outputs.drawings.sides import edge_cuts
from jigs.units import Units, format_length

HEADINGS = ("no.", "what, and what it takes", "from", "x", "y", "z", "size", "depth",
            "about the same axis")  # fmt: skip
_SAME = 1e-4

Cell = tuple[str, ...]
"""Lines of a cell."""


@dataclass(frozen=True)
class Row:
    """A line of the table. `face`, `at` = view and place that its number points to, part's mm.

    `figures` = what it says, by name, mm.
    """

    cells: tuple[Cell, ...]
    face: Face
    at: Point
    reach: float
    figures: dict[str, float] = field(default_factory=dict)


def mm(value: float) -> str:
    """To a hundredth, without trailing zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def told(value: float, units: Units) -> str:
    """A length in one line: mm, and inches beside it where the job is in inches."""
    return mm(value) if units is Units.MM else f"{mm(value)} ({format_length(value, Units.INCH)})"


def lines_of(value: float, units: Units, before: str = "") -> Cell:
    """A length as the lines of a cell."""
    first = f"{before}{mm(value)}"
    return (first,) if units is Units.MM else (first, f"({_inches(value)})")


def rows_of(part: Part, units: Units) -> list[Row]:
    """The rows of a part's table: flat cuts, drilled edges, arcs of the outline."""
    found: list[Row] = []
    for cut, about in _grouped(flat_cuts(part)):
        found.append(_flat(part, cut, about, units, len(found) + 1))
    for cut, about in _grouped(edge_cuts(part)):
        found.append(_drilled(part, cut, about, units, len(found) + 1))
    for arcs in _arcs(part.outline):
        found.append(_arc(part, arcs, units, len(found) + 1))
    return found


def _grouped(cuts: Sequence[Cut]) -> Iterator[tuple[Cut, list[Cut]]]:
    """Each cut with the wider round ones about its axis; those do not come again."""
    taken: set[int] = set()
    for cut in sorted(cuts, key=lambda c: (c.does is not Does.HOLE, c.depth is not None)):
        if id(cut) in taken:
            continue
        about = [c for c in cuts if c is not cut and id(c) not in taken and _same_axis(cut, c)]
        taken |= {id(c) for c in (cut, *about)}
        yield cut, about


def _same_axis(a: Cut, b: Cut) -> bool:
    """One axis: both from flat faces, or from the same edge or the one across."""
    pairs = ({Face.TOP, Face.BOTTOM}, {Face.LEFT, Face.RIGHT}, {Face.FRONT, Face.BACK})
    lies = any({a.face, b.face} <= pair for pair in pairs)
    return (
        lies
        and a.outline.is_circle
        and b.outline.is_circle
        and (math.dist(a.outline.centre, b.outline.centre) < _SAME)
    )


def _name(cut: Cut, number: int) -> tuple[Cell, Cell]:
    takes = (f"takes {cut.meets.replace('_', ' ')}",) if cut.meets else ()
    return (str(number),), (cut.name, *takes)


def _flat(part: Part, cut: Cut, about: Sequence[Cut], units: Units, number: int) -> Row:
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    a0, b0, a1, b1 = cut.outline.bounds
    a0, b0, a1, b1 = max(a0, x0), max(b0, y0), min(a1, x1), min(b1, y1)
    figures = {}
    if cut.outline.is_circle:
        x, y = cut.outline.centre[0] - x0, cut.outline.centre[1] - y0
        places = (lines_of(x, units), lines_of(y, units))
        size = lines_of(cut.outline.bounds[2] - cut.outline.bounds[0], units, "Ø")
        figures = {"x": x, "y": y, "diameter": cut.outline.bounds[2] - cut.outline.bounds[0]}
    else:
        places = (_from_to(a0 - x0, a1 - x0, units), _from_to(b0 - y0, b1 - y0, units))
        size = _across(a1 - a0, b1 - b0, units) + (("slot",) if is_slot(cut.outline) else ())
        figures = {"x from": a0 - x0, "x to": a1 - x0, "y from": b0 - y0, "y to": b1 - y0}
    deep, figure = _depth(cut, goes_through(cut, part), units)
    cells = (*_name(cut, number), (cut.face.value,), *places, ("",), size, deep,
             _about(about, units))  # fmt: skip
    reach = (a1 - a0) / 2 if cut.outline.is_circle else 0.0
    for other in about:
        reach = max(reach, (other.outline.bounds[2] - other.outline.bounds[0]) / 2)
    at = (a1 if is_slot(cut.outline) else (a0 + a1) / 2, (b0 + b1) / 2)
    return Row(cells, Face.TOP, at, reach, {**figures, **figure})


def is_slot(outline: Outline) -> bool:
    """Two straight sides between two half circles?"""
    return len(outline.sides) == 4 and sum(abs(s.bulge) > 0.999 for s in outline.sides) == 2


def _from_to(low: float, high: float, units: Units) -> Cell:
    if units is Units.MM:
        return (f"{mm(low)} to", mm(high))
    return (f"{mm(low)} to {mm(high)}", f"({_inches(low)} to", f"{_inches(high)})")


def _inches(value: float) -> str:
    return format_length(value, Units.INCH).removesuffix(" in")


def _across(wide: float, high: float, units: Units) -> Cell:
    first = f"{mm(wide)} × {mm(high)}"
    if units is Units.MM:
        return (first,)
    return (first, f"({_inches(wide)} ×", f"{_inches(high)})")


def _depth(cut: Cut, through: bool, units: Units) -> tuple[Cell, dict[str, float]]:
    if through or cut.depth is None:
        return ("through",), {}
    return lines_of(cut.depth, units), {"depth": cut.depth}


def _about(cuts: Sequence[Cut], units: Units) -> Cell:
    """Counterbores and recesses about a hole."""
    found: list[str] = []
    for cut in cuts:
        wide = cut.outline.bounds[2] - cut.outline.bounds[0]
        deep = "through" if cut.depth is None else f"{mm(cut.depth)} deep"
        found.append(f"Ø{mm(wide)}, {deep},")
        if units is Units.INCH:
            inch = "" if cut.depth is None else f", {_inches(cut.depth)}"
            found.append(f"(Ø{_inches(wide)}{inch})")
        found.append(f"from {cut.face.value}")
    return tuple(found) or ("",)


def _drilled(part: Part, cut: Cut, about: Sequence[Cut], units: Units, number: int) -> Row:
    assert part.outline is not None
    x0, y0, _, _ = part.outline.bounds
    u, w = cut.outline.centre
    along_x = cut.face in (Face.FRONT, Face.BACK)
    place = u - (x0 if along_x else y0)
    wide = cut.outline.bounds[2] - cut.outline.bounds[0]
    deep, figure = _depth(cut, cut.depth is None, units)
    here = lines_of(place, units)
    cells = (*_name(cut, number), (f"{cut.face.value} edge",), here if along_x else ("",),
             ("",) if along_x else here, lines_of(w, units), lines_of(wide, units, "Ø"), deep,
             _about(about, units))  # fmt: skip
    reach = max(wide / 2, *((c.outline.bounds[2] - c.outline.bounds[0]) / 2 for c in about), 0.0)
    figures = {"x" if along_x else "y": place, "z": w, "diameter": wide, **figure}
    return Row(cells, cut.face, (u, w), reach, figures)


def _arcs(outline: Outline | None) -> list[list[Side]]:
    """Arcs of an outline by radius and direction; a full circle says itself by its diameter."""
    if outline is None or outline.is_circle:
        return []
    found: dict[tuple[float, bool], list[Side]] = {}
    for side in outline.sides:
        if side.bulge:
            found.setdefault((round(side.radius, 3), side.bulge > 0), []).append(side)
    return list(found.values())


def _arc(part: Part, arcs: Sequence[Side], units: Units, number: int) -> Row:
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    one, radius = arcs[0], arcs[0].radius
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    away = [math.dist(arc.centre, middle) for arc in arcs]
    size = lines_of(radius, units, "R")
    inward = "" if one.bulge > 0 else " inwards"
    if len(arcs) == 1:
        x, y = one.centre[0] - x0, one.centre[1] - y0
        what: Cell = (f"arc of the outline{inward},", "place of its centre")
        places = (lines_of(x, units), lines_of(y, units))
        figures = {"x": x, "y": y, "radius": radius}
    elif len(arcs) > 2 and max(away) - min(away) < 0.01:
        circle = told(2 * away[0], units)
        what = (
            f"{len(arcs)} arcs of the outline{inward},",
            f"centres on Ø{circle} about the middle",
        )
        places = (("",), ("",))
        figures = {"circle": 2 * away[0], "radius": radius}
    else:
        what, places = (f"{len(arcs)} arcs of the outline{inward}",), (("",), ("",))
        figures = {"radius": radius}
    cells = ((str(number),), what, ("",), *places, ("",), size, ("",), ("",))
    return Row(cells, Face.TOP, one.middle, 0.0, figures)
