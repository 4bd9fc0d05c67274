"""Binary STL for printing, mm, the same bytes on every run."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import cadquery as cq
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.StlAPI import StlAPI_Writer

from jigs.errors import ExportError

_HEADER_AND_COUNT = 84  # bytes of a binary STL before the first triangle


def write_stl(shape: cq.Shape, path: Path, tolerance: float = 0.05, angle: float = 0.2) -> None:
    """Write the surface of a solid as triangles.

    Parameters: tolerance = greatest distance of the triangles from the true surface, mm;
    angle = greatest turn from one triangle to the next on a curved face, rad.
    Raises: ExportError if the shape has no surface or the file cannot be written.
    """
    surface = stl_bytes(shape, path.name, tolerance, angle)
    try:
        path.write_bytes(surface)
    except OSError as error:
        raise ExportError(
            f"{path.name}: no STL could be written ({error.strerror})"
            "\n  remedy: see that the folder exists, may be written and has room"
        ) from error


def stl_bytes(shape: cq.Shape, name: str, tolerance: float = 0.05, angle: float = 0.2) -> bytes:
    """What `write_stl` writes. `name` = of the file, for messages."""
    # A mesh made before, for a picture perhaps, sticks to the shape and would be written instead.
    bare = shape.copy(mesh=False).wrapped
    BRepMesh_IncrementalMesh(bare, tolerance, False, angle, False)
    writer = StlAPI_Writer()
    writer.ASCIIMode = False
    with TemporaryDirectory() as folder:
        path = Path(folder) / "surface.stl"
        if not writer.Write(bare, str(path)) or path.stat().st_size <= _HEADER_AND_COUNT:
            raise ExportError(
                f"{name}: no STL could be written"
                "\n  remedy: see that the shape is a solid and that there is room"
            )
        return path.read_bytes()
