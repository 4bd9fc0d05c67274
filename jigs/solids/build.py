"""A part's description to its solid: the blank swept, hand edges eased, then every cut made."""

from __future__ import annotations

from collections.abc import Callable

import cadquery as cq

from jigs.errors import SolidError
from jigs.model.part import Bought, Cut, Face, Part
from jigs.solids.hardware import hardware_solid
from jigs.solids.shapes import Lift, flat, swept, upright_x, upright_y

BEYOND = 1.0
"""mm that a cut starts outside its face, so that no skin is left on an eased edge."""


def part_solid(part: Part) -> cq.Shape | None:
    """Build one part in its own frame.

    Returns None for a part that is listed but not drawn. Raises SolidError naming part and step
    where the kernel fails or leaves anything but one valid solid.
    """
    bought = isinstance(part.made, Bought)
    shape = hardware_solid(part.made) if bought else _made_solid(part)  # type: ignore[arg-type]
    if shape is None:
        return None
    if not shape.isValid() or len(shape.Solids()) != 1:
        raise SolidError(
            part.id, "last check", f"{len(shape.Solids())} solids, valid: {shape.isValid()}"
        )
    return shape


def _made_solid(part: Part) -> cq.Shape:
    if part.outline is None or part.thickness <= 0:
        raise SolidError(part.id, "blank", "it has no outline or no thickness")
    shape: cq.Shape = _step(part, "blank", lambda: _blank(part))
    if part.cuts:
        shape = _step(part, "cuts", lambda: shape.cut(*(_cutter(part, cut) for cut in part.cuts)))
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


def _blank(part: Part) -> cq.Shape:
    assert part.outline is not None
    solid = swept(part.outline, flat(0.0), (0, 0, part.thickness))
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
