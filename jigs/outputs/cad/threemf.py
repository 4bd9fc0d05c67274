"""3MF for printing: one named object a file, in mm, closed, the same bytes on every run.

Written by hand, for want of a library that gives the same bytes twice: compared were lib3mf 2.5
(puts fresh random UUIDs into every file), trimesh 5.2 (the same) and the kernel's own (no names,
dates in metadata and zip). lib3mf and trimesh read the files back in the tests.

Sources: 3MF core specification 1.2, chapters 2 to 4 and appendix B (schema); ECMA-376 part 2
for the zip package.
"""

from __future__ import annotations

import io
import zipfile
from collections import Counter
from collections.abc import Iterable
from html import escape
from pathlib import Path

import cadquery as cq
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopLoc import TopLoc_Location

from jigs.errors import ExportError
from jigs.kept import Kept
from jigs.making.work import made_parts
from jigs.model.part import Print
from jigs.model.pose import Vec
from jigs.outputs.cut_files import marked
from jigs.publish import Publication
from jigs.solids.scene import Scene
from jigs.solids.store import Form
from jigs.tolerance import TOLERANCE

Triangle = tuple[int, int, int]

_XML = '<?xml version="1.0" encoding="UTF-8"?>\n'
_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_MODEL = "3D/3dmodel.model"
_TYPES = f"""{_XML}<Types xmlns="{_PACKAGE}/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"""
_RELATIONS = f"""{_XML}<Relationships xmlns="{_PACKAGE}/relationships">
<Relationship Id="rel0" Target="/{_MODEL}"
 Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"""
_DECIMALS = 6  # of a mm: finer than any printer, coarser than the kernel's summation noise
_LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the earliest date that a zip can hold
_UNIX = 3  # in a zip's "made by"; left alone it would name the system it was written on


def write_prints(scene: Scene, out: Publication, checks: str = "not asked") -> None:
    """A 3MF of every printed part, `print/<jig>/<part>.3mf`; the part's z is the way it builds.

    `checks`: the verdict in words; what is not met stands in the name.
    """
    for jig, part in made_parts(scene.design):
        form = scene.solids.part_form(part) if isinstance(part.made, Print) else None
        if form is not None:
            name = marked(f"print/{jig}/{part.id}.3mf", checks)
            out.write_bytes(name, _found_or_made(scene.kept, part.title, form, name))


def _found_or_made(kept: Kept, title: str, form: Form, name: str) -> bytes:
    mesh = (TOLERANCE.mesh, TOLERANCE.mesh_angle)
    made = kept.bytes_of(
        "3mf", (title, form.mark, mesh), lambda: bytes_3mf(title, form.shape, name, *mesh)
    )
    assert made is not None
    return made


def write_3mf(
    name: str, shape: cq.Shape, path: Path, tolerance: float = 0.05, angle: float = 0.2
) -> None:
    """Write what `bytes_3mf` makes. Raises: ExportError, also if the file cannot be written."""
    made = bytes_3mf(name, shape, path.name, tolerance, angle)
    try:
        path.write_bytes(made)
    except OSError as error:
        raise ExportError(
            f"{path.name}: no 3MF could be written ({error.strerror})"
            "\n  remedy: see that the folder may be written"
        ) from error


def bytes_3mf(
    name: str, shape: cq.Shape, file_name: str, tolerance: float = 0.05, angle: float = 0.2
) -> bytes:
    """A solid as one named object.

    Vertices keep the solid's own coordinates; the object stands in the build with its bounds at
    the origin, as the specification (3.3) asks.

    Parameters: file_name = for messages; tolerance = greatest distance of the triangles from the
    true surface, mm; angle = greatest turn from one triangle to the next on a curved face, rad.
    Raises: ExportError if the mesh does not close.
    """
    points, triangles = _welded(shape, tolerance, angle)
    if not _closed(points, triangles):
        raise ExportError(
            f"{file_name}: the surface does not close, so it cannot be printed"
            "\n  remedy: see that the shape is one valid solid"
        )
    files = {
        _MODEL: _model(name, points, triangles),
        "[Content_Types].xml": _TYPES,
        "_rels/.rels": _RELATIONS,
    }
    written = io.BytesIO()
    # Stored, not deflated: what deflate makes of it depends on the zlib of the machine.
    with zipfile.ZipFile(written, "w", zipfile.ZIP_STORED) as package:
        for file in sorted(files):
            entry = zipfile.ZipInfo(file, _LONG_AGO)
            entry.create_system = _UNIX
            package.writestr(entry, files[file])
    return written.getvalue()


def _welded(shape: cq.Shape, tolerance: float, angle: float) -> tuple[list[Vec], list[Triangle]]:
    """Points, each once, and triangles that run counter-clockwise seen from outside."""
    # A mesh made before, for a picture perhaps, sticks to the shape and would be written instead.
    bare = shape.copy(mesh=False)
    BRepMesh_IncrementalMesh(bare.wrapped, tolerance, False, angle, False)
    number: dict[Vec, int] = {}
    triangles: list[Triangle] = []
    for face in bare.Faces():
        where = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(face.wrapped, where)
        if mesh is None:
            continue
        move = where.Transformation()
        local = [0]  # the kernel counts from 1
        for i in range(1, mesh.NbNodes() + 1):
            at = _rounded(mesh.Node(i).Transformed(move).Coord())
            local.append(number.setdefault(at, len(number)))
        inward = face.wrapped.Orientation() == TopAbs_REVERSED
        for i in range(1, mesh.NbTriangles() + 1):
            a, b, c = (local[k] for k in mesh.Triangle(i).Get())
            if a != b and b != c and c != a:
                triangles.append((a, c, b) if inward else (a, b, c))
    return list(number), triangles


def _rounded(point: Iterable[float]) -> Vec:
    """A point as it is written; a zero is never written as -0."""
    x, y, z = (round(value, _DECIMALS) + 0.0 for value in point)
    return (x, y, z)


def _closed(points: list[Vec], triangles: list[Triangle]) -> bool:
    """Does each edge lie between two triangles that agree, round a positive volume?"""
    edges = Counter(edge for a, b, c in triangles for edge in ((a, b), (b, c), (c, a)))
    paired = all(count == 1 and (b, a) in edges for (a, b), count in edges.items())
    return paired and sum(_six_volumes(*(points[i] for i in t)) for t in triangles) > 0


def _six_volumes(a: Vec, b: Vec, c: Vec) -> float:
    """Six times the volume of the tetrahedron from the origin to a triangle."""
    return (
        a[0] * (b[1] * c[2] - b[2] * c[1])
        + a[1] * (b[2] * c[0] - b[0] * c[2])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
    )


def _model(name: str, points: list[Vec], triangles: list[Triangle]) -> str:
    vertices = "\n".join(
        f'<vertex x="{_figure(x)}" y="{_figure(y)}" z="{_figure(z)}"/>' for x, y, z in points
    )
    faces = "\n".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in triangles)
    shift = " ".join(_figure(0.0 - min(axis)) for axis in zip(*points, strict=True))
    return f"""{_XML}<model xmlns="{_CORE}" unit="millimeter">
<resources>
<object id="1" type="model" name="{escape(name)}">
<mesh>
<vertices>
{vertices}
</vertices>
<triangles>
{faces}
</triangles>
</mesh>
</object>
</resources>
<build>
<item objectid="1" transform="1 0 0 0 1 0 0 0 1 {shift}"/>
</build>
</model>
"""


def _figure(value: float) -> str:
    return f"{value:.{_DECIMALS}f}".rstrip("0").rstrip(".")
