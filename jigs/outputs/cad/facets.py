"""Solids as triangles and lines, as a picture needs them: true normals, and only real corners."""

from __future__ import annotations

import io
from dataclasses import dataclass, fields
from typing import Any

import cadquery as cq
import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepLib import BRepLib, BRepLib_ToolTriangulatedShape
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.GeomAbs import GeomAbs_C0
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED
from OCP.TopExp import TopExp
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape, TopTools_IndexedMapOfShape

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

_CHORD = 3e-4  # sagitta of a facet as a share of the solid's diagonal
_CHORDS = (0.03, 0.1)  # mm, least and most: a fraction of what a pixel covers
_ANGLE = 0.3  # rad, between neighbouring facets: true normals round them off
_SMOOTH = 0.05  # rad: two faces that meet flatter than this show no edge between them
_FLAT = 1 - 1e-9  # cosine: two facets that meet flatter are one plane
_GRID_BITS = 21  # three whole numbers of so many bits make one: corners by their place
_SHORT = {"f": np.float32, "i": np.int32}  # as kept: finer than any pixel
_LONG = {"f": np.float64, "i": np.int64}


@dataclass(frozen=True)
class Facets:
    """One solid, mm.

    Parameters: points, normals = N x 3, of the corners of triangles, those of each face its own;
    triangles = T x 3, indices of points; facing = T x 3, their outward normals; edges = E x 2,
    indices of points: straight pieces of every real corner; folds = F x 2, indices of points:
    where two triangles that are not of one plane meet; leaves = F x 2 x 3, outward normals of the
    two; outer = K x 3, the ends of folds: what lies furthest out in any direction is of them.
    """

    points: Array
    normals: Array
    triangles: Whole
    facing: Array
    edges: Whole
    folds: Whole
    leaves: Array
    outer: Array


def facets(shape: cq.Shape) -> Facets:
    """Return triangles and lines of a shape, as fine as its size asks; it stays unmeshed itself."""
    own = shape.copy()
    least, most = _CHORDS
    chord = min(max(shape.BoundingBox().DiagonalLength * _CHORD, least), most)
    BRepMesh_IncrementalMesh(own.wrapped, chord, False, _ANGLE, False)
    BRepLib.EncodeRegularity_s(own.wrapped, _SMOOTH)
    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(own.wrapped, TopAbs_FACE, faces)
    found = [_of_face(TopoDS.Face_s(faces.FindKey(i + 1))) for i in range(faces.Extent())]
    starts = np.cumsum([0, *(len(points) for points, _, _ in found)])
    points, normals = (np.concatenate([one[i] for one in found]) for i in (0, 1))
    triangles = np.concatenate([c + s for (_, _, c), s in zip(found, starts, strict=False)])
    facing = _facing(points, triangles)
    folds, leaves = _folds(points, triangles, facing)
    edges = _sharp_edges(own.wrapped, faces, starts)
    outer = points[np.unique(folds)]
    return Facets(points, normals, triangles, facing, edges, folds, leaves, outer)


def _of_face(face: Any) -> tuple[Array, Array, Whole]:
    """Corners and normals of one meshed face, N x 3, and its triangles, seen from outside."""
    where = TopLoc_Location()
    mesh = BRep_Tool.Triangulation_s(face, where)
    if mesh is None:
        return np.zeros((0, 3)), np.zeros((0, 3)), np.zeros((0, 3), np.int64)
    BRepLib_ToolTriangulatedShape.ComputeNormals_s(face, mesh)
    nodes = range(1, mesh.NbNodes() + 1)
    points = np.array([mesh.Node(i).Coord() for i in nodes])
    normals = np.array([mesh.Normal(i).Coord() for i in nodes])
    count = range(1, mesh.NbTriangles() + 1)
    triangles = np.array([mesh.Triangle(i).Get() for i in count], np.int64) - 1
    if face.Orientation() == TopAbs_REVERSED:
        normals, triangles = -normals, triangles[:, ::-1]
    if not where.IsIdentity():
        move = where.Transformation()
        rows = np.array([[move.Value(i, k) for k in range(1, 5)] for i in range(1, 4)])
        points, normals = points @ rows[:, :3].T + rows[:, 3], normals @ rows[:, :3].T
    return points, normals, triangles


def packed(mesh: Facets) -> bytes:
    """Facets as bytes, to be kept."""
    file = io.BytesIO()
    for part in fields(Facets):
        values = getattr(mesh, part.name)
        np.save(file, values.astype(_SHORT[values.dtype.kind]), allow_pickle=False)
    return file.getvalue()


def unpacked(data: bytes) -> Facets:
    """Facets of bytes that `packed` made."""
    file = io.BytesIO(data)
    parts = [np.load(file, allow_pickle=False) for _ in fields(Facets)]
    return Facets(*(part.astype(_LONG[part.dtype.kind]) for part in parts))


def _sharp_edges(whole: Any, numbered: Any, starts: Whole) -> Whole:
    """Pieces of the edges where the surface has a corner; seams and tangent joins are none.

    Parameters: numbered = the kernel's map of its faces; starts = of each the index of its first
    point.
    """
    faces_of = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(whole, TopAbs_EDGE, TopAbs_FACE, faces_of)
    found: list[Whole] = [np.zeros((0, 2), np.int64)]
    for i in range(1, faces_of.Extent() + 1):
        edge = TopoDS.Edge_s(faces_of.FindKey(i))
        faces = faces_of.FindFromIndex(i)  # walking through such a list is slow, its ends are not
        if faces.IsEmpty() or BRep_Tool.Degenerated_s(edge):
            continue
        face, last = TopoDS.Face_s(faces.First()), TopoDS.Face_s(faces.Last())
        if (
            faces.Extent() == 2
            and BRep_Tool.HasContinuity_s(edge, face, last)
            and BRep_Tool.Continuity_s(edge, face, last) != GeomAbs_C0
        ):
            continue
        where = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(face, where)
        line = mesh and BRep_Tool.PolygonOnTriangulation_s(edge, mesh, where)
        if line is None:
            continue
        start = starts[numbered.FindIndex(face) - 1] - 1
        along = np.array([line.Node(k) + start for k in range(1, line.NbNodes() + 1)])
        found.append(np.column_stack((along[:-1], along[1:])))
    return np.concatenate(found)


def _facing(points: Array, triangles: Whole) -> Array:
    """Outward normals of triangles; zero where one has no area."""
    a, b, c = (points[triangles[:, i]] for i in range(3))
    across = np.cross(b - a, c - a)
    size = np.linalg.norm(across, axis=1)
    return np.asarray(across / np.where(size > 0, size, 1.0)[:, None])


def _folds(points: Array, triangles: Whole, facing: Array) -> tuple[Whole, Array]:
    """Where two triangles meet that are not of one plane, and the normals of the two."""
    low = points.min(axis=0)
    step = max(float(np.ptp(points, axis=0).max()), 1e-9) / (2**_GRID_BITS - 1)
    x, y, z = np.rint((points - low) / step).astype(np.int64).T
    _, one, welded = np.unique(
        x << 2 * _GRID_BITS | y << _GRID_BITS | z, return_index=True, return_inverse=True
    )
    corners = welded[triangles]
    sides = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
    owner = np.tile(np.arange(len(triangles)), 3)
    thick = np.tile(facing.any(axis=1), 3) & (sides[:, 0] != sides[:, 1])
    sides, owner = np.sort(sides[thick], axis=1), owner[thick]
    key = sides[:, 0] * len(one) + sides[:, 1]
    order = np.argsort(key, kind="stable")
    key = key[order]
    pairs = np.nonzero(key[:-1] == key[1:])[0]
    here, there = order[pairs], order[pairs + 1]
    leaves = np.stack([facing[owner[here]], facing[owner[there]]], axis=1)
    bent = np.einsum("fi,fi->f", leaves[:, 0], leaves[:, 1]) < _FLAT
    return one[sides[here[bent]]], leaves[bent]
