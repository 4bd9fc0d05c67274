"""A part's description to its solid: the blank swept, hand edges eased, then every cut made."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import cadquery as cq

from jigs.errors import SolidError
from jigs.model.figure import Figure
from jigs.model.outline import Outline
from jigs.model.part import Bought, Cut, Face, Part
from jigs.solids.hardware import hardware_solid
from jigs.solids.shapes import Lift, flat, swept, upright_x, upright_y

BEYOND = 1.0
"""mm that a cut starts outside its face, so that no skin is left on an eased edge."""


def part_solid(part: Part) -> cq.Shape:
    """Build one part that is drawn, in its own frame.

    Raises SolidError naming part and step where the kernel fails or leaves anything but one valid
    solid.
    """
    made = part.made
    shape = hardware_solid(made) if isinstance(made, Bought) else _made_solid(part)
    if not shape.isValid() or len(shape.Solids()) != 1:
        raise SolidError(
            part.id, "last check", f"{len(shape.Solids())} solids, valid: {shape.isValid()}"
        )
    return shape


def _made_solid(part: Part) -> cq.Shape:
    if part.outline is None or part.thickness <= 0:
        raise SolidError(part.id, "blank", "it has no outline or no thickness")
    holes = _plain_holes(part)
    shape: cq.Shape = _step(part, "blank", lambda: _blank(part, holes))
    cuts = [cut for cut in part.cuts if cut not in holes]
    if cuts:
        shape = _step(part, "cuts", lambda: shape.cut(*(_cutter(part, cut) for cut in cuts)))
    solids = shape.Solids()
    if len(solids) != 1:
        raise SolidError(part.id, "cuts", f"fall apart into {len(solids)} pieces")
    return solids[0]


def _step(part: Part, step: str, make: Callable[[], cq.Shape]) -> cq.Shape:
    """Run one kernel step; what it raises comes back with part and step."""
    try:
        return make()
    except SolidError:
        raise
    except Exception as error:
        raise SolidError(part.id, step, str(error) or type(error).__name__) from error


def _plain_holes(part: Part) -> list[Cut]:
    """Cuts through the thickness that lie free within the outline: swept with it, at no cost."""
    assert part.outline is not None
    found: list[Cut] = []
    for cut in part.cuts:
        through = cut.face in (Face.TOP, Face.BOTTOM) and cut.depth is None
        if not through or not _lies_free(cut.outline, part.outline):
            continue
        if all(_apart(cut.outline, other.outline) for other in found):
            found.append(cut)
    return found


def _lies_free(hole: Outline, outline: Outline) -> bool:
    """Is the hole for certain within the outline, and clear of its sides?"""
    return Figure((hole.centre,), _reach(hole)).is_inside(outline, -_FREE)


def _apart(a: Outline, b: Outline) -> bool:
    return math.dist(a.centre, b.centre) > _reach(a) + _reach(b) + _FREE


def _reach(outline: Outline) -> float:
    """Radius about its middle that holds the whole outline, mm."""
    x0, y0, x1, y1 = outline.bounds
    return math.hypot(x1 - x0, y1 - y0) / 2 if not outline.is_circle else (x1 - x0) / 2


_FREE = 0.01
"""mm of wood that must be left beside a hole that is swept with the outline."""


def _blank(part: Part, holes: Sequence[Cut]) -> cq.Shape:
    assert part.outline is not None
    inner = [hole.outline for hole in holes]
    solid = swept(part.outline, flat(0.0), (0, 0, part.thickness), inner)
    edges = _hand_edges(part, solid) if part.eased > 0 else []
    return solid.chamfer(part.eased, None, edges) if edges else solid


def _hand_edges(part: Part, solid: cq.Solid) -> list[cq.Edge]:
    """Straight edges round both faces, on the outside of the blank and not meeting an arc."""
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    arcs = {
        (round(p[0], 6), round(p[1], 6))
        for s in part.outline.sides
        if s.bulge
        for p in (s.start, s.end)
    }
    chosen = []
    for edge in solid.Edges():
        a, b = edge.startPoint(), edge.endPoint()
        if abs(a.z - b.z) > 1e-6 or edge.geomType() != "LINE":
            continue
        if {(round(a.x, 6), round(a.y, 6)), (round(b.x, 6), round(b.y, 6))} & arcs:
            continue
        outside = any(
            abs(u - side) < 1e-6 and abs(v - side) < 1e-6
            for u, v, side in ((a.x, b.x, x0), (a.x, b.x, x1), (a.y, b.y, y0), (a.y, b.y, y1))
        )
        if outside:
            chosen.append(edge)
    return chosen


def _cutter(part: Part, cut: Cut) -> cq.Solid:
    """What the cut takes away, from just outside its face inwards."""
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    lift: Callable[[float], Lift]
    match cut.face:
        case Face.TOP | Face.BOTTOM:
            lift, low, high, axis = flat, 0.0, part.thickness, 2
        case Face.FRONT | Face.BACK:
            lift, low, high, axis = upright_x, y0, y1, 1
        case _:
            lift, low, high, axis = upright_y, x0, x1, 0
    depth = high - low + BEYOND if cut.depth is None else cut.depth
    inwards = 1.0 if cut.face in (Face.BOTTOM, Face.FRONT, Face.LEFT) else -1.0
    face = low if inwards > 0 else high
    along = [0.0, 0.0, 0.0]
    along[axis] = inwards * (depth + BEYOND)
    return swept(cut.outline, lift(face - inwards * BEYOND), (along[0], along[1], along[2]))
