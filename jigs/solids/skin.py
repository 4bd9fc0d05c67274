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
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN
from OCP.TopoDS import TopoDS_Shape

from jigs.model.pose import Pose, Vec
from jigs.solids.hardware import Envelope

Box = tuple[float, float, float, float, float, float]
Array = npt.NDArray[np.float64]

_CORNERS = 12
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
    gaps = box_gaps(a.face_boxes, b.face_boxes)
    if _corner_on(a, b, gaps) or _corner_on(b, a, gaps.T):
        return 0.0
    best = np.inf
    for flat in np.argsort(gaps, axis=None, kind="stable"):
        i, j = divmod(int(flat), gaps.shape[1])
        if gaps[i, j] >= best:
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


def clears_axis(body: Body, pose: Pose, envelope: Envelope, within: float) -> bool:
    """Does a solid stay out of cylinders about the z axis of `pose`, but for `within`, mm?

    True says for certain that nothing in those cylinders overlaps the solid deeper than `within`:
    what they share lies between the same heights on the axis and within a radius of it. False says
    nothing.
    """
    lowest, highest = _heights(body.box, pose)
    for low, high, radius in envelope:
        low, high = max(low, lowest), min(high, highest)
        if high - low <= within:
            continue
        start, end = pose.apply((0.0, 0.0, low)), pose.apply((0.0, 0.0, high))
        if not _clears(body, start, end, radius - within):
            return False
    return bool(envelope)


def _clears(body: Body, start: Vec, end: Vec, radius: float) -> bool:
    """Does the skin stay a radius away from a line that lies outside?"""
    ends = np.array([start, end])
    line_box = np.concatenate([ends.min(axis=0), ends.max(axis=0)]).reshape(1, 6)
    near = np.nonzero(box_gaps(body.face_boxes, line_box)[:, 0] < radius)[0]
    axis = BRepBuilderAPI_MakeEdge(gp_Pnt(*start), gp_Pnt(*end)).Edge()
    if any(_apart(axis, body.faces[i].wrapped) < radius for i in near):
        return False
    x, y, z = ((s + e) / 2 for s, e in zip(start, end, strict=True))
    return not body.holds((x, y, z))


def _heights(box: Box, pose: Pose) -> tuple[float, float]:
    """Least and greatest height of a box on the z axis of `pose`, mm."""
    back = pose.inverse()
    heights = [
        back.apply((box[i], box[j], box[k]))[2] for i in (0, 3) for j in (1, 4) for k in (2, 5)
    ]
    return min(heights), max(heights)


def _corner_on(a: Body, b: Body, gaps: Array) -> bool:
    """Does one of the first corners of a's faces near b lie on b's skin?"""
    tried: set[int] = set()
    for i in np.nonzero((gaps <= _ON).any(axis=1))[0]:
        faces = [b.faces[j].wrapped for j in np.nonzero(gaps[i] <= _ON)[0]]
        for corner in a.faces[i].Vertices():
            if corner.hashCode() in tried:
                continue
            tried.add(corner.hashCode())
            point = np.array([*corner.toTuple(), *corner.toTuple()]).reshape(1, 6)
            if box_gaps(point, np.array([b.box]))[0, 0] > _ON:
                continue
            if any(_apart(corner.wrapped, face) < _ON for face in faces):
                return True
            if len(tried) >= _CORNERS:
                return False
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
