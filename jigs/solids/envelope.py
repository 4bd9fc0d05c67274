"""How near what moves comes to what stands, by the kernel.

Each sweep is a solid of its own. Bounds decide first what may be nearest; only such things, and of
them only such faces, are measured.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cadquery as cq
import numpy as np
import numpy.typing as npt
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.TopoDS import TopoDS_Shape

from jigs.checks.geometry import Near
from jigs.errors import SolidError
from jigs.kept import Kept
from jigs.model.outline import Outline
from jigs.model.pose import Vec
from jigs.shop.head import Sweep
from jigs.solids.shapes import flat
from jigs.solids.shapes import swept as extruded
from jigs.solids.skin import Array, Body, Box, box_gaps

_TOUCHES = 1e-6
"""mm: as good as touching."""


_HAIR = 1e-3
"""mm: bounds of faces are told a little large."""


@dataclass(frozen=True)
class Thing:
    """Something that stands, with its bounds, mm; its body is made when it is asked for.

    `said` = what it is made from and where it stands: what is found about it is kept under that.
    """

    key: str
    box: Box
    body: Body
    said: tuple[object, ...] = ()


def sweep_solid(sweep: Sweep) -> cq.Shape:
    """The solid that a sweep covers. Raises SolidError where the kernel fails."""
    up = (0.0, 0.0, sweep.high - sweep.low)
    base = flat(sweep.low)
    try:
        solid: cq.Shape = extruded(sweep.area.outline(), base, up)
        if not sweep.hollow:
            return solid
        discs = [extruded(Outline.circle(*c, 2 * r), base, up) for c, r in sweep.hollow]
        inside: cq.Shape = discs[0]
        for disc in discs[1:]:
            inside = inside.intersect(disc)
        return solid.cut(inside).Solids()[0] if inside.Solids() else solid
    except Exception as error:
        raise SolidError(sweep.body, "sweep", str(error) or type(error).__name__) from error


def nearest(
    sweeps: Sequence[tuple[Sweep, Body]], things: Sequence[Thing], within: float = math.inf,
    kept: Kept | None = None,
) -> Near | None:  # fmt: skip
    """The nearest approach of any sweep to any thing; None where none is nearer than `within`."""
    pairs = sorted(
        (box_gap(sweep.box, thing.box), i, j)
        for i, (sweep, _) in enumerate(sweeps)
        for j, thing in enumerate(things)
    )
    best: Near | None = None
    for gap, i, j in pairs:
        if gap >= within:
            break
        sweep, body = sweeps[i]
        found = _known_approach(sweep, body, things[j], within, kept)
        if found is not None and found[0] < within:
            within = found[0]
            best = Near(sweep.body, things[j].key, *found)
            if within == 0.0:
                break
    return best


def box_gap(a: Box, b: Box) -> float:
    """Distance between two bounds, mm; 0 where they overlap."""
    return math.hypot(*(max(0.0, a[i] - b[i + 3], b[i] - a[i + 3]) for i in range(3)))


def _known_approach(
    sweep: Sweep, a: Body, thing: Thing, within: float, kept: Kept | None
) -> tuple[float, Vec] | None:
    if kept is None:
        return _approach(sweep, a, thing, within)
    found = kept.answer(
        "approach", (sweep, *thing.said, within), lambda: _approach(sweep, a, thing, within)
    )
    return None if found is None else (found[0], (found[1][0], found[1][1], found[1][2]))


def _approach(sweep: Sweep, a: Body, thing: Thing, within: float) -> tuple[float, Vec] | None:
    """Least distance of a sweep from a thing and the place on the thing; 0 where they overlap."""
    place, b = _nested(sweep, a, thing), thing.body
    if place is not None:
        return 0.0, place
    faces = np.nonzero(_facing(sweep, a.face_boxes, thing.box))[0]
    gaps = box_gaps(a.face_boxes[faces], b.face_boxes)
    best: tuple[float, Vec] | None = None
    for flat_index in np.argsort(gaps, axis=None, kind="stable"):
        i, j = divmod(int(flat_index), gaps.shape[1])
        if gaps[i, j] >= within:
            break
        apart, at = _apart(a.faces[faces[i]].wrapped, b.faces[j].wrapped)
        if apart < within:
            within, best = apart, (apart, at)
            if apart < _TOUCHES:
                return 0.0, at
    return best


def _nested(sweep: Sweep, a: Body, thing: Thing) -> Vec | None:
    """A place of the thing within the sweep, or of the sweep within the thing; their skins may
    be far apart then."""
    if box_gap(sweep.box, thing.box) > 0:
        return None
    corner: Vec = thing.body.shape.Vertices()[0].toTuple()
    if sweep.holds(*corner):
        return corner
    own: Vec = a.shape.Vertices()[0].toTuple()
    return own if thing.body.holds(own) else None


def _facing(sweep: Sweep, faces: Array, box: Box) -> npt.NDArray[np.bool_]:
    """Which faces of an upright sweep can be nearest to a thing: seldom all of them."""
    lower = faces[:, 5] < sweep.low + _HAIR
    upper = faces[:, 2] > sweep.high - _HAIR
    beside = ~lower & ~upper
    return (
        (lower & (box[2] < sweep.low))
        | (upper & (box[5] > sweep.high))
        | (beside & (box[5] > sweep.low) & (box[2] < sweep.high))
    )


def _apart(a: TopoDS_Shape, b: TopoDS_Shape) -> tuple[float, Vec]:
    measured = BRepExtrema_DistShapeShape(a, b)
    if not measured.NbSolution():
        return math.inf, (0.0, 0.0, 0.0)
    p = measured.PointOnShape2(1)
    return float(measured.Value()), (p.X(), p.Y(), p.Z())
