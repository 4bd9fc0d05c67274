"""3MF files, read by lib3mf in its strict mode (the 3MF consortium's own reader) and by zipfile;
closedness and volume judged by trimesh, volumes against the kernel and the formulae of solids.

Required elements and attributes: 3MF core specification 1.2, appendix B; package: ECMA-376 part 2.
"""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
import zipfile
from pathlib import Path

import cadquery as cq
import lib3mf
import pytest
import trimesh

from jigs import publish
from jigs.errors import ExportError
from jigs.outputs.cad.threemf import write_3mf, write_prints

ROOT = Path(__file__).parents[2]
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
DISC = cq.Solid.makeCylinder(19, 12, cq.Vector(-5, 6, 7))
NUMBER = re.compile(r"[-+]?([0-9]+(\.[0-9]+)?|\.[0-9]+)([eE][-+]?[0-9]+)?")
"""ST_Number of the schema."""


class Read:
    """What lib3mf finds in a file: unit, names and mesh."""

    def __init__(self, path):
        self.model = lib3mf.get_wrapper().CreateModel()
        reader = self.model.QueryReader("3mf")
        reader.SetStrictModeActive(True)
        reader.ReadFromFile(str(path))
        self.warnings = reader.GetWarningCount()
        found = self.model.GetMeshObjects()
        self.names = []
        while found.MoveNext():
            self.object = found.GetCurrentMeshObject()
            self.names.append(self.object.GetName())
        self.mesh = trimesh.Trimesh(
            [list(v.Coordinates) for v in self.object.GetVertices()],
            [list(t.Indices) for t in self.object.GetTriangleIndices()],
            process=False,  # so that nothing is welded here that was not welded there
        )

    @property
    def in_mm(self):
        return self.model.GetUnit() == lib3mf.ModelUnit.MilliMeter


def root_of(path):
    with zipfile.ZipFile(path) as package:
        return ET.fromstring(package.read("3D/3dmodel.model"))


@pytest.fixture(scope="module")
def prints(scenes, tmp_path_factory):
    """The folder of the skittles' prints."""
    folder = tmp_path_factory.mktemp("prints") / "skittles"
    with publish.into(folder, publish.Stamp("prints")) as out:
        write_prints(scenes("skittles"), out)
    return folder


def test_every_printed_part_and_no_other_is_written(prints):
    files = {p.relative_to(prints).as_posix() for p in prints.rglob("*.3mf")}
    assert files == {"print/gauge/bar.3mf", "print/clamp/knob_M6.3mf"}


@pytest.mark.parametrize(
    ("jig", "part", "title"), [("gauge", "bar", "gauge bar"), ("clamp", "knob_M6", "knob M6")]
)
def test_a_printed_part_is_named_closed_and_true(prints, scenes, designs, jig, part, title):
    read = Read(prints / f"print/{jig}/{part}.3mf")
    parts = {j.name: j.parts for _, j in designs("skittles").jigs()}
    solid = scenes("skittles").part(jig, parts[jig][part])
    box = solid.BoundingBox()
    assert (read.warnings, read.names, read.in_mm) == (0, [title], True)
    assert read.mesh.is_watertight
    assert read.mesh.is_winding_consistent
    assert read.mesh.volume == pytest.approx(solid.Volume(), rel=2e-3)
    assert read.mesh.bounds[1][2] == pytest.approx(box.zmax, abs=1e-3)
    assert read.mesh.bounds[0][2] == 0


def test_a_box_keeps_its_place_and_has_eight_vertices(tmp_path):
    path = tmp_path / "box.3mf"
    write_3mf("box", cq.Solid.makeBox(10, 20, 30).moved(cq.Location((-1, 2, 3))), path)
    read = Read(path)
    assert len(read.mesh.vertices) == 8
    assert len(read.mesh.faces) == 12
    assert read.mesh.volume == pytest.approx(6000, rel=1e-6)
    assert read.mesh.bounds.tolist() == [[-1, 2, 3], [9, 22, 33]]


def test_the_item_stands_in_the_positive_octant(tmp_path):
    """Specification, 3.3: after all transforms the model should be in the positive octant."""
    path = tmp_path / "disc.3mf"
    write_3mf("disc", DISC, path, 0.05, 0.2)
    item = root_of(path).find(f"{CORE}build/{CORE}item")
    m = [float(v) for v in item.get("transform").split()]
    assert m[:9] == [1, 0, 0, 0, 1, 0, 0, 0, 1]
    assert (Read(path).mesh.bounds[0] + m[9:]).tolist() == pytest.approx([0, 0, 0], abs=1e-5)


@pytest.mark.parametrize(("tolerance", "angle", "error"), [(0.05, 0.2, 4e-3), (0.005, 0.05, 4e-4)])
def test_tolerance_decides_how_near_the_disc_comes(tmp_path, tolerance, angle, error):
    path = tmp_path / "disc.3mf"
    write_3mf("disc", DISC, path, tolerance, angle)
    mesh = Read(path).mesh
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(math.pi * 19**2 * 12, rel=error)


def test_a_bored_plate_has_its_handles(tmp_path):
    path = tmp_path / "plate.3mf"
    plate = cq.Workplane().box(200, 100, 12).faces(">Z").workplane().rarray(20, 20, 9, 4).hole(6)
    write_3mf("plate", plate.val(), path)
    mesh = Read(path).mesh
    assert mesh.is_watertight
    assert mesh.euler_number == 2 - 2 * 36


def test_bytes_do_not_depend_on_an_earlier_mesh(tmp_path):
    first, second = tmp_path / "first.3mf", tmp_path / "second.3mf"
    disc = cq.Solid.makeCylinder(19, 12)
    write_3mf("disc", disc, first)
    fine, _ = disc.tessellate(0.001, 0.02)
    write_3mf("disc", disc, second)
    assert len(fine) > len(Read(first).mesh.vertices)
    assert second.read_bytes() == first.read_bytes()


def test_bytes_are_the_same_in_every_process(tmp_path, prints):
    code = (
        "import sys\nfrom pathlib import Path\nfrom jigs import publish\n"
        "from jigs.outputs.cad.threemf import write_prints\n"
        "from jigs.reading.job import read_job\nfrom jigs.sizing import design\n"
        "from jigs.solids.scene import Scene\n"
        "with publish.into(Path(sys.argv[1]), publish.Stamp('prints')) as out:\n"
        "    write_prints(Scene(design(read_job(Path('configs/skittles.yaml')))), out)\n"
    )
    for seed in ("1", "4711"):
        folder = tmp_path / seed
        env = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)}
        subprocess.run([sys.executable, "-c", code, str(folder)], check=True, cwd=ROOT, env=env)
        files = sorted(p.relative_to(prints) for p in prints.rglob("*.3mf"))
        assert len(files) == 2
        for file in files:
            assert (folder / file).read_bytes() == (prints / file).read_bytes()


def test_the_package_is_complete_and_undated(tmp_path):
    path = tmp_path / "disc.3mf"
    write_3mf("disc", DISC, path)
    with zipfile.ZipFile(path) as package:
        entries = package.infolist()
        types = ET.fromstring(package.read("[Content_Types].xml"))
        relation = ET.fromstring(package.read("_rels/.rels"))[0]
    assert [e.filename for e in entries] == sorted(e.filename for e in entries)
    assert {(e.date_time, e.create_system) for e in entries} == {((1980, 1, 1, 0, 0, 0), 3)}
    assert {t.get("Extension"): t.get("ContentType") for t in types} == {
        "rels": "application/vnd.openxmlformats-package.relationships+xml",
        "model": "application/vnd.ms-package.3dmanufacturing-3dmodel+xml",
    }
    assert relation.get("Target") == "/3D/3dmodel.model"
    assert relation.get("Type") == "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"


def test_elements_are_those_of_the_schema_in_its_order(tmp_path):
    path = tmp_path / "disc.3mf"
    write_3mf("disc", DISC, path)
    root = root_of(path)
    assert (root.tag, root.get("unit")) == (f"{CORE}model", "millimeter")
    assert [e.tag for e in root] == [f"{CORE}resources", f"{CORE}build"]
    (thing,), (item,) = root
    assert (thing.tag, item.tag) == (f"{CORE}object", f"{CORE}item")
    assert (thing.get("type"), thing.get("id")) == ("model", item.get("objectid"))
    (mesh,) = thing
    vertices, triangles = mesh
    assert [e.tag for e in (mesh, vertices, triangles)] == [
        f"{CORE}{name}" for name in ("mesh", "vertices", "triangles")
    ]
    figures = [v for vertex in vertices for v in vertex.attrib.values()]
    assert len(figures) == 3 * len(vertices) > 0
    assert all(NUMBER.fullmatch(f) and f != "-0" for f in figures)
    corners = [int(t.get(v)) for t in triangles for v in ("v1", "v2", "v3")]
    assert set(corners) == set(range(len(vertices)))


def test_a_name_with_marks_of_xml_is_kept(tmp_path):
    path = tmp_path / "odd.3mf"
    name = 'knob <3/8"> & „Flügel“'
    write_3mf(name, DISC, path)
    assert Read(path).names == [name]


def test_an_open_surface_is_an_export_error(tmp_path):
    path = tmp_path / "open.3mf"
    open_shell = cq.Shell.makeShell(cq.Solid.makeBox(1, 2, 3).Faces()[:5])
    with pytest.raises(ExportError, match=r"open\.3mf.*does not close"):
        write_3mf("open", open_shell, path)
    assert not path.exists()


def test_nothing_to_mesh_is_an_export_error(tmp_path):
    with pytest.raises(ExportError, match=r"edge\.3mf"):
        write_3mf("edge", cq.Edge.makeLine((0, 0, 0), (1, 0, 0)), tmp_path / "edge.3mf")


def test_a_missing_folder_is_an_export_error(tmp_path):
    with pytest.raises(ExportError, match=r"disc\.3mf"):
        write_3mf("disc", DISC, tmp_path / "nowhere" / "disc.3mf")
