"""STEP files, read back by the kernel's own reader and by gmsh, which brings its own kernel."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
from OCP.IFSelect import IFSelect_RetDone
from OCP.Quantity import Quantity_ColorRGBA, Quantity_TOC_sRGB
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import (
    XCAFDoc_ColorGen,
    XCAFDoc_ColorSurf,
    XCAFDoc_ColorTool,
    XCAFDoc_DocumentTool,
    XCAFDoc_ShapeTool,
)

from jigs.errors import ExportError
from jigs.model.pose import Pose
from jigs.outputs.cad.step import write_step
from jigs.outputs.cad.tree import Colour, Group, Leaf, leaves, location

BEECH: Colour = (0.8, 0.6, 0.4, 1.0)
STEEL: Colour = (0.5, 0.5, 0.55, 1.0)
CLEAR: Colour = (0.2, 0.3, 0.4, 0.5)
AWKWARD = "Büchse 'Ø 10'; #7 \\ half, 木 𝛼 " + "with a long name " * 8

GMSH = """
import json, sys, gmsh
gmsh.initialize()
gmsh.option.setNumber("General.Terminal", 0)
gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
gmsh.open(sys.argv[1])
solids = gmsh.model.getEntities(3)
json.dump([[gmsh.model.getEntityName(*s), gmsh.model.occ.getMass(*s)] for s in solids], sys.stdout)
"""


def stool() -> Group:
    """A step stool of 2 legs, a tread and a rod: nesting, a shared product, a located shape."""
    leg = cq.Solid.makeBox(40, 20, 300)
    tread = cq.Workplane().box(400, 200, 18).faces(">Z").workplane().rarray(300, 1, 2, 1).hole(10)
    rod = cq.Solid.makeCylinder(5, 360)
    legs = Group(
        "legs",
        (
            Leaf("left leg", "leg", leg, Pose(), BEECH),
            Leaf("right leg", "leg", leg, Pose.to(x=300), BEECH),
            Leaf("trial leg", "trial leg", leg, Pose.to(x=150), CLEAR),
        ),
        Pose.to(z=5),
    )
    rod_pose = Pose.turned("y", 90).shifted(-10, 10, 100)
    return Group(
        "stool",
        (
            legs,
            Leaf("tread", AWKWARD, tread.val(), Pose.to(z=320), BEECH),
            Leaf(AWKWARD, "rod", rod, rod_pose, STEEL),
        ),
    )


@dataclass(frozen=True)
class Read:
    """One solid as the file has it."""

    path: tuple[str, ...]
    product: str
    volume: float
    centre: tuple[float, float, float]
    colour: tuple[float, ...]


def read_step(path: Path) -> list[Read]:
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    assert reader.ReadFile(str(path)) == IFSelect_RetDone
    assert reader.Transfer(document)
    free = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(free)
    return [
        solid for label in _items(free) for solid in _walk(label, (_name(label),), cq.Location())
    ]


def _walk(label: Any, path: tuple[str, ...], place: cq.Location) -> Iterator[Read]:
    if not XCAFDoc_ShapeTool.IsAssembly_s(label):
        shape = cq.Shape.cast(XCAFDoc_ShapeTool.GetShape_s(label)).moved(place)
        yield Read(path, _name(label), shape.Volume(), shape.Center().toTuple(), _colour(label))
        return
    components = TDF_LabelSequence()
    XCAFDoc_ShapeTool.GetComponents_s(label, components, False)
    for component in _items(components):
        product = TDF_Label()
        XCAFDoc_ShapeTool.GetReferredShape_s(component, product)
        inner = cq.Location(XCAFDoc_ShapeTool.GetLocation_s(component))
        yield from _walk(product, (*path, _name(component)), place * inner)


def _items(sequence: Any) -> Iterator[Any]:
    return (sequence.Value(i) for i in range(1, sequence.Length() + 1))


def _name(label: Any) -> str:
    name = TDataStd_Name()
    assert label.FindAttribute(TDataStd_Name.GetID_s(), name)
    text: str = name.Get().ToExtString()
    return text


def _colour(label: Any) -> tuple[float, ...]:
    found = Quantity_ColorRGBA()
    assert any(
        XCAFDoc_ColorTool.GetColor_s(label, kind, found)
        for kind in (XCAFDoc_ColorSurf, XCAFDoc_ColorGen)
    )
    return (*found.GetRGB().Values(Quantity_TOC_sRGB), found.Alpha())


@pytest.fixture(scope="module")
def stool_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("step") / "stool.step"
    write_step(stool(), path, "NOT MET: grip of 'Büchse'")
    return path


LEG = 40 * 20 * 300
TREAD = 400 * 200 * 18 - 2 * math.pi * 5**2 * 18
ROD = math.pi * 5**2 * 360


def test_names_products_and_colours_come_back(stool_file: Path) -> None:
    found = {solid.path: solid for solid in read_step(stool_file)}
    expected = {
        ("stool", "legs", "left leg"): ("leg", BEECH),
        ("stool", "legs", "right leg"): ("leg", BEECH),
        ("stool", "legs", "trial leg"): ("trial leg", CLEAR),
        ("stool", "tread"): (AWKWARD, BEECH),
        ("stool", AWKWARD): ("rod", STEEL),
    }
    assert {path: solid.product for path, solid in found.items()} == {
        path: product for path, (product, _) in expected.items()
    }
    for path, (_, colour) in expected.items():
        # The kernel keeps colours in single precision.
        assert found[path].colour == pytest.approx(colour, abs=1e-6)


def test_volumes_and_places_come_back(stool_file: Path) -> None:
    """Expected values by hand from the dimensions of `stool`."""
    found = {solid.path[-1]: (solid.volume, solid.centre) for solid in read_step(stool_file)}
    expected = {
        "left leg": (LEG, (20, 10, 155)),
        "right leg": (LEG, (320, 10, 155)),
        "trial leg": (LEG, (170, 10, 155)),
        "tread": (TREAD, (0, 0, 320)),
        AWKWARD: (ROD, (-10 + 180, 10, 100)),
    }
    assert found.keys() == expected.keys()
    for name, (volume, centre) in expected.items():
        assert found[name][0] == pytest.approx(volume, rel=1e-9)
        assert found[name][1] == pytest.approx(centre, abs=1e-6)


def test_gmsh_reads_the_same(stool_file: Path) -> None:
    run = subprocess.run(
        [sys.executable, "-c", GMSH, str(stool_file)], capture_output=True, text=True, check=True
    )
    found = dict(json.loads(run.stdout))
    assert found == {
        "Shapes/stool/legs/legs/left leg/leg": pytest.approx(LEG),
        "Shapes/stool/legs/legs/right leg/leg": pytest.approx(LEG),
        "Shapes/stool/legs/legs/trial leg/trial leg": pytest.approx(LEG),
        f"Shapes/stool/tread/{AWKWARD}": pytest.approx(TREAD),
        f"Shapes/stool/{AWKWARD}/rod": pytest.approx(ROD),
    }


def test_alike_parts_are_one_product(stool_file: Path) -> None:
    text = stool_file.read_text(encoding="ascii")
    assert text.count("= PRODUCT('leg',") == 1
    assert text.count("= MANIFOLD_SOLID_BREP(") == 4  # leg, trial leg, tread, rod


def test_header_holds_description_and_no_date(stool_file: Path) -> None:
    """Escapes by ISO 10303-21: an apostrophe is doubled, U+00FC is written in hexadecimal."""
    head = stool_file.read_text(encoding="ascii").partition("ENDSEC;")[0]
    assert r"FILE_DESCRIPTION(('NOT MET: grip of ''B\X2\00FC\X0\chse'''),'2;1');" in head
    assert "FILE_NAME('stool','2000-01-01T00:00:00'," in head
    assert "AUTOMOTIVE_DESIGN" in head


def test_long_description_is_split(tmp_path: Path) -> None:
    path = tmp_path / "peg.step"
    write_step(Leaf("peg", "peg", cq.Solid.makeBox(1, 1, 1), Pose(), STEEL), path, "word " * 100)
    head = path.read_text(encoding="ascii").partition("FILE_NAME")[0]
    assert max(len(text) for text in head.split("'")) <= 256
    assert head.count("word") == 100


def test_file_is_in_millimetres(stool_file: Path) -> None:
    assert "SI_UNIT(.MILLI.,.METRE.)" in stool_file.read_text(encoding="ascii")


def test_single_part_in_a_needless_compound(tmp_path: Path) -> None:
    path = tmp_path / "peg.step"
    wrapped = cq.Compound.makeCompound([cq.Solid.makeBox(1, 2, 3)]).moved(cq.Location((0, 0, 7)))
    write_step(Leaf("peg", "marker post peg", wrapped, Pose(), CLEAR), path, "")
    (solid,) = read_step(path)
    assert solid.path == ("marker post peg",)
    assert solid.volume == pytest.approx(6)
    assert solid.centre == pytest.approx((0.5, 1, 8.5))
    assert solid.colour == pytest.approx(CLEAR, abs=1e-6)


def test_place_of_the_root_is_kept(tmp_path: Path) -> None:
    path, peg = tmp_path / "peg.step", cq.Solid.makeBox(2, 2, 2)
    leaf = Leaf("peg", "peg", peg, Pose.to(x=10), STEEL)
    write_step(leaf, path, "")
    assert read_step(path)[0].centre == pytest.approx((11, 1, 1))
    write_step(Group("pegs", (leaf,), Pose.turned("z", 90)), path, "")
    assert read_step(path)[0].centre == pytest.approx((-1, 11, 1))


def test_parts_that_share_a_body_stay_apart(tmp_path: Path) -> None:
    path, peg = tmp_path / "pegs.step", cq.Solid.makeBox(1, 1, 1)
    pair = cq.Compound.makeCompound([peg, peg.moved(cq.Location((5, 0, 0)))])
    tree = Group(
        "pegs", (Leaf("one", "one", peg, Pose(), STEEL), Leaf("two", "pair", pair, Pose(), BEECH))
    )
    write_step(tree, path, "")
    assert path.read_text(encoding="ascii").count("= PRODUCT(") == 3


def test_bytes_do_not_depend_on_process_or_history(stool_file: Path, tmp_path: Path) -> None:
    """Colours come in memory order and occurrence ids count on, unless they are put in order."""
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    path = tmp_path / "stool.step"
    subprocess.run(
        [sys.executable, __file__, str(path)],
        env={**os.environ, "PYTHONHASHSEED": seed},
        check=True,
    )
    assert path.read_bytes() == stool_file.read_bytes()


def test_missing_folder_is_an_export_error(tmp_path: Path) -> None:
    leaf = Leaf("peg", "peg", cq.Solid.makeBox(1, 1, 1), Pose(), STEEL)
    with pytest.raises(ExportError, match=r"peg\.step: .*could not be written"):
        write_step(leaf, tmp_path / "nowhere" / "peg.step", "")


def test_leaves_carry_path_and_absolute_pose() -> None:
    found = {path: pose for path, _, pose in leaves(stool())}
    assert found[("stool", "legs", "right leg")] == Pose.to(300, 0, 5)
    assert found[("stool", "tread")] == Pose.to(z=320)
    assert len(found) == 5


def test_location_is_exact_for_quarter_turns() -> None:
    pose = (Pose.turned("z", 270) @ Pose.turned("y", 90)).shifted(1 / 3, 0.1, -7)
    placing = location(pose).wrapped.Transformation()
    kernel = [[placing.Value(row, column) for column in range(1, 5)] for row in range(1, 4)]
    assert kernel == pose.matrix()[:3]


if __name__ == "__main__":
    target = Path(sys.argv[1])
    write_step(Group("legs only", stool().members[:1]), target, "another file first")
    write_step(stool(), target, "NOT MET: grip of 'Büchse'")
