"""Cut files, read back by ezdxf; areas by shapely against handbook formulae."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import DXFGraphic, LWPolyline
from shapely.geometry import Polygon

from jigs.errors import ExportError
from jigs.model.outline import Outline
from jigs.outputs.dxf import write_outline_dxf

OUTLINES = [
    ("4 outline", Outline.rectangle(0, 0, 120, 80, corner=10)),
    ("2 grooves and recesses", Outline.slot((20, 20), (60, 20), 8)),
    ("1 holes", Outline.circle(100, 60, 6.6)),
    ("1 holes", Outline.circle(20, 60, 6.6)),
    ("3 inside shapes", Outline.polygon(60, 50, 16.0)),
]

# Areas by formula: rounded rectangle, slot, circle, hexagon over its flats (2 sqrt 3 (s / 2)^2).
AREAS = {
    "1 holes": [math.pi * 3.3**2, math.pi * 3.3**2],
    "2 grooves and recesses": [40 * 8 + math.pi * 4**2],
    "3 inside shapes": [2 * math.sqrt(3) * 8**2],
    "4 outline": [120 * 80 - (4 - math.pi) * 10**2],
}


@pytest.fixture(scope="module")
def dxf_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("dxf") / "plate.dxf"
    write_outline_dxf(OUTLINES, path)
    return path


@pytest.fixture(scope="module")
def drawing(dxf_file: Path) -> Drawing:
    return ezdxf.readfile(dxf_file)


def test_audit_is_clean(drawing: Drawing) -> None:
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes


def test_file_is_metric(drawing: Drawing) -> None:
    """DXF reference: $INSUNITS 4 = millimetres, $MEASUREMENT 1 = metric, AC1024 = R2010."""
    assert drawing.dxfversion == "AC1024"
    assert drawing.header["$INSUNITS"] == 4
    assert drawing.header["$MEASUREMENT"] == 1


def test_layers_come_in_working_order(drawing: Drawing) -> None:
    assert [entity.dxf.layer for entity in drawing.modelspace()] == [
        "1 holes",
        "1 holes",
        "2 grooves and recesses",
        "3 inside shapes",
        "4 outline",
    ]
    assert {drawing.layers.get(layer).color for layer in AREAS} == {7}


def test_holes_keep_the_order_given(drawing: Drawing) -> None:
    holes = drawing.modelspace().query("CIRCLE")
    assert [tuple(hole.dxf.center) for hole in holes] == [(100, 60, 0), (20, 60, 0)]
    assert [hole.dxf.radius for hole in holes] == [3.3, 3.3]


def _points(entity: DXFGraphic) -> list[tuple[float, float]]:
    """Points along an outline; arcs, as the library makes them of bulges, in short steps."""
    if isinstance(entity, LWPolyline):
        return [point for side in entity.virtual_entities() for point in _points(side)]
    if entity.dxftype() == "LINE":
        return [tuple(entity.dxf.start)[:2], tuple(entity.dxf.end)[:2]]
    return [(p.x, p.y) for p in entity.flattening(1e-5)]


def test_areas_agree_with_formulae(drawing: Drawing) -> None:
    areas: dict[str, list[float]] = {}
    for entity in drawing.modelspace():
        areas.setdefault(entity.dxf.layer, []).append(Polygon(_points(entity)).area)
    assert areas.keys() == AREAS.keys()
    for layer, expected in AREAS.items():
        assert areas[layer] == pytest.approx(expected, rel=1e-4)


def test_polylines_are_closed_and_keep_bulges(drawing: Drawing) -> None:
    """A quarter arc has the bulge tan(90 deg / 4), a half arc 1 (DXF reference, group code 42)."""
    bulges = {}
    for polyline in drawing.modelspace().query("LWPOLYLINE"):
        assert polyline.closed
        bulges[polyline.dxf.layer] = [bulge for (bulge,) in polyline.get_points("b")]
    quarter = math.sqrt(2) - 1
    assert bulges["4 outline"] == pytest.approx([0, quarter] * 4, abs=1e-13)
    assert bulges["2 grooves and recesses"] == [0, 1, 0, 1]
    assert bulges["3 inside shapes"] == [0] * 6


def test_no_minus_zero_and_no_noise(tmp_path: Path) -> None:
    path = tmp_path / "noise.dxf"
    square = Outline(((-0.0, -1e-15, 0.0), (0.1 + 0.2, 0.0, -0.0), (0.0, 1.0, 0.0)))
    write_outline_dxf([("4 outline", square)], path)
    (polyline,) = ezdxf.readfile(path).modelspace()
    values = [value for point in polyline.get_points("xyb") for value in point]
    assert values == [0, 0, 0, 0.3, 0, 0, 0, 1, 0]
    assert all(math.copysign(1, value) > 0 for value in values)


def test_lines_come_after_the_outlines_of_earlier_layers(tmp_path: Path) -> None:
    path = tmp_path / "lined.dxf"
    scale = [("5 scale check do not cut", ((0.0, -10.0), (100.0, -10.0)))]
    write_outline_dxf(OUTLINES, path, scale)
    drawing = ezdxf.readfile(path)
    *_, before, line = drawing.modelspace()
    assert before.dxf.layer == "4 outline"
    assert line.dxftype() == "LINE"
    assert line.dxf.layer == "5 scale check do not cut"
    assert (line.dxf.end - line.dxf.start).magnitude == 100
    assert not drawing.audit().errors


def test_bytes_do_not_depend_on_the_process(dxf_file: Path, tmp_path: Path) -> None:
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    path = tmp_path / "plate.dxf"
    subprocess.run(
        [sys.executable, __file__, str(path)],
        env={**os.environ, "PYTHONHASHSEED": seed},
        check=True,
    )
    assert path.read_bytes() == dxf_file.read_bytes()


def test_option_of_the_library_is_left_as_found(dxf_file: Path) -> None:
    assert dxf_file.exists()
    assert ezdxf.options.write_fixed_meta_data_for_testing is False


def test_no_kernel_is_loaded() -> None:
    code = (
        "import sys, jigs.outputs.dxf as d; print({'OCP', 'cadquery', 'ezdxf'} & set(sys.modules))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "set()"


def test_forbidden_layer_name_is_an_export_error(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match="layer '1/holes'"):
        write_outline_dxf([("1/holes", Outline.circle(0, 0, 5))], tmp_path / "plate.dxf")


def test_missing_folder_is_an_export_error(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match=r"plate\.dxf: the DXF could not be written"):
        write_outline_dxf(OUTLINES, tmp_path / "nowhere" / "plate.dxf")


if __name__ == "__main__":
    write_outline_dxf(OUTLINES, Path(sys.argv[1]))
