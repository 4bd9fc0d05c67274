"""How deep two solids overlap.

Depth is measured, not guessed from volume: the common solid is bounded by faces of the one and of
the other; the depth is the greatest distance from a point of the one's faces to the other's.
"""

from __future__ import annotations

from collections.abc import Sequence

import cadquery as cq
import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.gp import gp_Pnt
from OCP.TopoDS import TopoDS_Shape
from OCP.TopTools import TopTools_ListOfShape

from jigs.solids.skin import Body, Box
from jigs.tolerance import TOLERANCE

_FINE_ANGLE = 0.06
"""rad between sampled points on a curved face: at a radius of 20 mm the sag is 0.009 mm."""


def meeting(boxes: Sequence[Box], hair: float) -> list[tuple[int, int]]:
    """Pairs of boxes, in order, that overlap by more than a hair along every axis."""
    corners = np.array(boxes).reshape(-1, 6)
    low, high = corners[:, :3], corners[:, 3:]
    apart = np.maximum(low[:, None] - high[None], low[None] - high[:, None]).max(axis=2)
    i, j = np.nonzero(np.triu(apart <= -hair, k=1))
    return list(zip(i.tolist(), j.tolist(), strict=True))


def overlap_depth(a: Body, b: Body) -> float:
    """Depth of the common solid of a and b, mm; 0 where they only touch."""
    common = _common(a.shape, b.shape)
    return max((_thickness(s, a.shape, b.shape) for s in common.Solids()), default=0.0)


def _common(a: cq.Shape, b: cq.Shape) -> cq.Shape:
    """What two solids share. They stay as they are: plainly asked, the kernel would widen the
    tolerances of their own edges, and a file's bytes would tell what was measured before."""
    first, second = TopTools_ListOfShape(), TopTools_ListOfShape()
    first.Append(a.wrapped)
    second.Append(b.wrapped)
    operation = BRepAlgoAPI_Common()
    operation.SetArguments(first)
    operation.SetTools(second)
    operation.SetNonDestructive(True)
    operation.Build()
    return cq.Shape.cast(operation.Shape())


def _thickness(common: cq.Solid, a: cq.Shape, b: cq.Shape) -> float:
    box = Body(lambda: common).box
    least_extent = min(box[i + 3] - box[i] for i in range(3))
    if least_extent <= TOLERANCE.overlap:
        return least_extent
    of_a, of_b = _faces_on(common, a), _faces_on(common, b)
    if not of_a or not of_b:
        return least_extent
    there = max(_furthest(of_b, of_a), _furthest(of_a, of_b))
    return min(there, least_extent)


def _faces_on(common: cq.Solid, owner: cq.Shape) -> list[cq.Face]:
    """The faces of the common solid that lie on the owner's skin."""
    skin = cq.Compound.makeCompound(owner.Faces()).wrapped
    return [f for f in common.Faces() if _gap(_inner_point(f), skin) < 1e-5]


def _inner_point(face: cq.Face) -> TopoDS_Shape:
    """A point on the face itself; the middle of a curved face's area would lie beside it."""
    points, triangles = face.copy().tessellate(0.01, _FINE_ANGLE)
    i, j, k = triangles[len(triangles) // 2]
    middle = (points[i] + points[j] + points[k]) / 3
    vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(middle.x, middle.y, middle.z)).Vertex()
    if face.geomType() == "PLANE":
        return vertex
    on_face = BRepExtrema_DistShapeShape(vertex, face.wrapped).PointOnShape2(1)
    return BRepBuilderAPI_MakeVertex(on_face).Vertex()


def _furthest(start: list[cq.Face], target: list[cq.Face]) -> float:
    skin = cq.Compound.makeCompound(target).wrapped
    seen: dict[tuple[float, float, float], None] = {}
    for face in start:
        for p in face.copy().tessellate(0.01, _FINE_ANGLE)[0]:
            seen[(round(p.x, 6), round(p.y, 6), round(p.z, 6))] = None
    return max(
        (_gap(BRepBuilderAPI_MakeVertex(gp_Pnt(*p)).Vertex(), skin) for p in seen), default=0.0
    )


def _gap(vertex: TopoDS_Shape, skin: TopoDS_Shape) -> float:
    return float(BRepExtrema_DistShapeShape(vertex, skin).Value())
