"""STL files, read by trimesh; volumes against the formulae of box and cylinder."""

from __future__ import annotations

import math
import os
from pathlib import Path

import cadquery as cq
import pytest
import trimesh

from jigs.errors import ExportError
from jigs.outputs.cad.stl import write_stl

DISC = cq.Solid.makeCylinder(19, 12, cq.Vector(5, 6, 7))


def _read(path: Path) -> trimesh.Trimesh:
    return trimesh.load_mesh(path)


def test_box_is_exact(tmp_path: Path) -> None:
    path = tmp_path / "box.stl"
    write_stl(cq.Solid.makeBox(10, 20, 30).moved(cq.Location((1, 2, 3))), path)
    mesh = _read(path)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(6000, rel=1e-6)
    assert mesh.bounds.tolist() == [[1, 2, 3], [11, 22, 33]]


@pytest.mark.parametrize(("tolerance", "angle", "error"), [(0.05, 0.2, 3e-3), (0.005, 0.05, 3e-4)])
def test_cylinder_is_closed_and_near(
    tmp_path: Path, tolerance: float, angle: float, error: float
) -> None:
    path = tmp_path / "disc.stl"
    write_stl(DISC, path, tolerance, angle)
    mesh = _read(path)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(math.pi * 19**2 * 12, rel=error)


def test_bored_plate_is_closed(tmp_path: Path) -> None:
    path = tmp_path / "plate.stl"
    plate = cq.Workplane().box(200, 100, 12).faces(">Z").workplane().rarray(20, 20, 9, 4).hole(6)
    write_stl(plate.val(), path)
    mesh = _read(path)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(200 * 100 * 12 - 36 * math.pi * 9 * 12, rel=3e-3)
    assert mesh.euler_number == 2 - 2 * 36


def test_bytes_do_not_depend_on_an_earlier_mesh(tmp_path: Path) -> None:
    first, second = tmp_path / "first.stl", tmp_path / "second.stl"
    write_stl(DISC, first)
    fine, _ = DISC.tessellate(0.001, 0.02)
    write_stl(DISC, second)
    assert len(fine) > len(_read(first).vertices)
    assert second.read_bytes() == first.read_bytes()


def test_shape_keeps_no_mesh_and_its_bounds(tmp_path: Path) -> None:
    disc = cq.Solid.makeCylinder(19, 12)
    before = disc.BoundingBox().xlen
    write_stl(disc, tmp_path / "disc.stl")
    assert disc.BoundingBox().xlen == before


def test_file_is_binary_and_undated(tmp_path: Path) -> None:
    """Layout of a binary STL: 80 bytes of header, count, 50 bytes a triangle."""
    path = tmp_path / "disc.stl"
    write_stl(DISC, path)
    data = path.read_bytes()
    assert len(data) == 84 + 50 * int.from_bytes(data[80:84], "little")
    assert not any(chr(byte).isdigit() for byte in data[:80])


def test_quick_mesher_is_chosen() -> None:
    assert "CSF_MeshAlgo" in os.environ


def test_nothing_to_mesh_is_an_export_error(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match=r"edge\.stl"):
        write_stl(cq.Edge.makeLine((0, 0, 0), (1, 0, 0)), tmp_path / "edge.stl")


def test_missing_folder_is_an_export_error(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match=r"disc\.stl"):
        write_stl(DISC, tmp_path / "nowhere" / "disc.stl")
