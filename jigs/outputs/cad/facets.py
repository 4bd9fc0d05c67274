"""Solids as triangles and lines, as a picture needs them: true normals, and only real corners."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
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
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

from jigs.model.pose import Vec

Array = NDArray[np.float64]

_CHORD = 5e-4  # sagitta of a facet as a share of the solid's diagonal
_LEAST_CHORD = 1e-3  # mm
_ANGLE = 0.18  # rad, between neighbouring facets
_SMOOTH = 0.05  # rad: two faces that meet flatter than this show no edge between them


@dataclass(frozen=True)
class Facets:
    """One solid: faces and edges as VTK data, and the corners of its triangles, mm."""

    faces: Any
    edges: Any
    points: Array


def facets(shape: cq.Shape) -> Facets:
    """Return triangles and lines of a shape, as fine as its size asks; it stays unmeshed itself."""
    chord = max(shape.BoundingBox().DiagonalLength * _CHORD, _LEAST_CHORD)
    return _facets(shape.copy(), chord)


def _facets(shape: cq.Shape, chord: float) -> Facets:
    whole = shape.wrapped
    BRepMesh_IncrementalMesh(whole, chord, False, _ANGLE, False)
    BRepLib.EncodeRegularity_s(whole, _SMOOTH)
    points: list[Vec] = []
    normals: list[Vec] = []
    triangles: list[tuple[int, int, int]] = []
    for face in shape.Faces():
        where = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(face.wrapped, where)
        if mesh is None:
            continue
        BRepLib_ToolTriangulatedShape.ComputeNormals_s(face.wrapped, mesh)
        move, offset = where.Transformation(), len(points) - 1
        inward = face.wrapped.Orientation() == TopAbs_REVERSED
        for i in range(1, mesh.NbNodes() + 1):
            points.append(mesh.Node(i).Transformed(move).Coord())
            normal = mesh.Normal(i).Transformed(move)
            normals.append((normal.Reversed() if inward else normal).Coord())
        for i in range(1, mesh.NbTriangles() + 1):
            a, b, c = mesh.Triangle(i).Get()
            if inward:
                b, c = c, b
            triangles.append((a + offset, b + offset, c + offset))
    where_all = np.array(points, float).reshape(-1, 3)
    return Facets(
        _surface(where_all, np.array(normals, float), np.array(triangles, np.int64)),
        _lines(list(_sharp_edges(whole))),
        where_all,
    )


def _sharp_edges(whole: Any) -> Iterator[list[Vec]]:
    """Yield the meshed edges where the surface has a corner; seams and tangent joins are none."""
    faces_of = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(whole, TopAbs_EDGE, TopAbs_FACE, faces_of)
    for i in range(1, faces_of.Extent() + 1):
        edge = TopoDS.Edge_s(faces_of.FindKey(i))
        faces = faces_of.FindFromIndex(i)  # walking through such a list is slow, its ends are not
        if faces.IsEmpty() or BRep_Tool.Degenerated_s(edge):
            continue
        first, last = TopoDS.Face_s(faces.First()), TopoDS.Face_s(faces.Last())
        if (
            faces.Extent() == 2
            and BRep_Tool.HasContinuity_s(edge, first, last)
            and BRep_Tool.Continuity_s(edge, first, last) != GeomAbs_C0
        ):
            continue
        where = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(first, where)
        line = mesh and BRep_Tool.PolygonOnTriangulation_s(edge, mesh, where)
        if line is None:
            continue
        move = where.Transformation()
        yield [
            mesh.Node(line.Node(k)).Transformed(move).Coord() for k in range(1, line.NbNodes() + 1)
        ]


def _surface(points: Array, normals: Array, triangles: NDArray[np.int64]) -> Any:
    data = vtkPolyData()
    data.SetPoints(_points(points))
    cells = vtkCellArray()
    cells.SetData(3, numpy_to_vtkIdTypeArray(np.ascontiguousarray(triangles.ravel()), deep=1))
    data.SetPolys(cells)
    data.GetPointData().SetNormals(numpy_to_vtk(normals.astype(np.float32), deep=1))
    return data


def _lines(lines: list[list[Vec]]) -> Any:
    data, cells, count = vtkPolyData(), vtkCellArray(), 0
    for line in lines:
        cells.InsertNextCell(len(line))
        for _ in line:
            cells.InsertCellPoint(count)
            count += 1
    data.SetPoints(_points(np.array([p for line in lines for p in line], float).reshape(-1, 3)))
    data.SetLines(cells)
    return data


def _points(points: Array) -> Any:
    held = vtkPoints()
    held.SetData(numpy_to_vtk(points.astype(np.float32), deep=1))
    return held
