"""Distances between the skins of solids, asked of the faces that can decide.

The box of every face is known first; faces whose boxes are further apart than what was already
found cannot come nearer, so few pairs of faces are ever measured.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

import cadquery as cq
import numpy as np
import numpy.typing as npt
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN
from OCP.TopoDS import TopoDS_Shape

from jigs.model.pose import Vec

Box = tuple[float, float, float, float, float, float]
Array = npt.NDArray[np.float64]

_CORNERS = 16
"""Corners that are tried before faces are measured."""

_ON = 1e-6
"""mm: as good as on a face."""


class Body:
    """A solid in its place, with the boxes of its faces; got when it is first asked for."""

    def __init__(self, solid: Callable[[], cq.Shape]) -> None:
        self._solid = solid

    @cached_property
    def shape(self) -> cq.Shape:
        """The solid in its place."""
        return self._solid()

    @cached_property
    def faces(self) -> list[cq.Face]:
        """Its faces."""
        return list(self.shape.Faces())

    @cached_property
    def face_boxes(self) -> Array:
        """Bounds of its faces, possibly a little large: n rows of three least, three most."""
        return np.array([_rough_box(face.wrapped) for face in self.faces]).reshape(-1, 6)

    @cached_property
    def curved(self) -> npt.NDArray[np.bool_]:
        """Which of its faces are not flat."""
        return np.array([face.geomType() != "PLANE" for face in self.faces])

    @cached_property
    def corners(self) -> Array:
        """Its corners: n rows of x, y, z."""
        return np.array([v.toTuple() for v in self.shape.Vertices()]).reshape(-1, 3)

    @cached_property
    def box(self) -> Box:
        """Its bounds, mm."""
        b = self.shape.BoundingBox()
        return (b.xmin, b.ymin, b.zmin, b.xmax, b.ymax, b.zmax)

    def holds(self, point: Vec) -> bool:
        """Does the point lie inside?"""
        return bool(
            BRepClass3d_SolidClassifier(self.shape.wrapped, gp_Pnt(*point), 1e-7).State()
            == TopAbs_IN
        )


def skin_gap(a: Body, b: Body) -> float:
    """Least distance between two skins, mm; a solid wholly inside the other has one too."""
    if _corner_on(a, b) or _corner_on(b, a):
        return 0.0
    gaps = box_gaps(a.face_boxes, b.face_boxes)
    curved = a.curved[:, None].astype(int) + b.curved[None, :]
    best = np.inf
    # Of faces whose boxes are equally near, flat ones first: they take the kernel the least.
    for pair in np.lexsort([curved.ravel(), gaps.ravel().round(4)]):
        i, j = divmod(int(pair), gaps.shape[1])
        if gaps[i, j] >= best - _ON:
            break
        best = min(best, _apart(a.faces[i].wrapped, b.faces[j].wrapped))
        if best < _ON:
            return 0.0
    return float(best)


def distance(a: Body, b: Body) -> float:
    """Least true distance between two solids, mm; 0 where they touch or overlap."""
    gap = skin_gap(a, b)
    if gap > 0 and (_within(a.box, b.box) or _within(b.box, a.box)):
        inside = a.holds(_a_point(b)) or b.holds(_a_point(a))
        return 0.0 if inside else gap
    return gap


def _corner_on(a: Body, b: Body) -> bool:
    """Does one of the corners of a, of those that may, lie on b's skin?"""
    box = np.array(b.box)
    near = (a.corners >= box[:3] - _ON).all(axis=1) & (a.corners <= box[3:] + _ON).all(axis=1)
    for point in a.corners[near][:_CORNERS]:
        corner = BRepBuilderAPI_MakeVertex(gp_Pnt(*point.tolist())).Vertex()
        there = box_gaps(np.concatenate([point, point]).reshape(1, 6), b.face_boxes)[0] <= _ON
        if any(_apart(corner, b.faces[j].wrapped) < _ON for j in np.nonzero(there)[0]):
            return True
    return False


def _a_point(body: Body) -> Vec:
    return body.shape.Vertices()[0].toTuple()  # type: ignore[no-any-return]


def _within(inner: Box, outer: Box) -> bool:
    return all(inner[i] >= outer[i] and inner[i + 3] <= outer[i + 3] for i in range(3))


def box_gaps(a: Array, b: Array) -> Array:
    """Distance between every box of a and every box of b, mm."""
    beyond = np.maximum(a[:, None, :3] - b[None, :, 3:], b[None, :, :3] - a[:, None, 3:])
    gaps: Array = np.linalg.norm(np.maximum(beyond, 0.0), axis=2)
    return gaps


def _rough_box(shape: TopoDS_Shape) -> Box:
    found = Bnd_Box()
    BRepBndLib.Add_s(shape, found, False)
    return found.Get()  # type: ignore[no-any-return]


def _apart(a: TopoDS_Shape, b: TopoDS_Shape) -> float:
    return float(BRepExtrema_DistShapeShape(a, b).Value())
