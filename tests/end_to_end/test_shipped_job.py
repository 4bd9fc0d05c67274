"""The shipped job as built: all met, files re-read by what did not write them."""

import json
import math
import os
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

from jigs import publish
from jigs.model.state import SHOWN, Limit, Phase, State

ROOT = Path(__file__).parent.parent.parent


def test_everything_is_met_and_nothing_is_open(built):
    assert built.report["verdict"] == "met"
    assert set(built.report["counts"]) == {"met"}


def test_the_manifest_describes_every_file(built):
    assert publish.verify(built.folder) == []
    on_disk = {
        p.relative_to(built.folder).as_posix() for p in built.folder.rglob("*") if p.is_file()
    }
    assert on_disk == {*publish.read_manifest(built.folder).files, "manifest.json"}


def test_every_mesh_is_closed_and_holds_the_solids_volume(built, scene):
    from jigs.outputs.cut_outlines import made_parts

    meshes = sorted(built.folder.rglob("*.stl"))
    assert len(meshes) == len(made_parts(scene.design)) > 8
    for jig, part in made_parts(scene.design):
        mesh = trimesh.load_mesh(built.folder / f"parts/{jig}/{part.id}.stl")
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.volume == pytest.approx(scene.part(jig, part).Volume(), rel=2e-3)


def test_every_solid_is_valid_and_single(scene):
    for _, jig in scene.design.jigs():
        for part in jig.parts.values():
            shape = scene.part(jig.name, part)
            if shape is not None:
                assert shape.isValid()
                assert len(shape.Solids()) == 1


def test_a_part_has_the_volume_of_its_blank_less_its_cuts(scene):
    """Second witness: cylinders by the textbook formula."""
    ring = next(jig for _, jig in scene.design.jigs() if jig.name == "ring")
    r, dish = ring.n.pad_diameter / 2, ring.n.dish_diameter / 2
    expected = math.pi * (r * r * 20 - (6.5 / 2) ** 2 * 10 - dish**2 * 3)
    assert scene.part("ring", ring.parts["pad"]).Volume() == pytest.approx(expected, rel=1e-9)


def test_gmsh_reads_the_setup_with_names_and_volumes(built, scene, allotment):
    """gmsh has a kernel build of its own."""
    code = (
        "import gmsh, json, sys\n"
        "gmsh.initialize(['-v', '0'])\n"
        "gmsh.option.setString('Geometry.OCCTargetUnit', 'MM')\n"
        "found = gmsh.model.occ.importShapes(sys.argv[1])\n"
        "gmsh.model.occ.synchronize()\n"
        "print(json.dumps([[gmsh.model.getEntityName(*e), gmsh.model.occ.getMass(*e)]"
        " for e in found if e[0] == 3]))\n"
    )
    path = built.folder / "setups/marking.step"
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True
    )
    read = json.loads(done.stdout.strip().splitlines()[-1])
    standing = [s for s in scene.standing(allotment.setups[0], SHOWN) if s.jig != "machine"]
    assert len(read) == len(standing)
    wrote = sorted((s.product, s.shape.Volume()) for s in standing)
    for (name, volume), (product, expected) in zip(
        sorted((name.split("/")[-1], volume) for name, volume in read), wrote, strict=True
    ):
        assert name == product
        assert volume == pytest.approx(expected, rel=1e-6), name


def test_the_same_input_gives_the_same_bytes_in_another_process(built, tmp_path):
    code = (
        "import sys; from pathlib import Path; from jigs.building import build\n"
        "build(Path(sys.argv[1]), Path(sys.argv[2]), pictures=False)\n"
    )
    other = tmp_path / "allotment"
    subprocess.run(
        [sys.executable, "-c", code, str(ROOT / "configs/allotment.yaml"), str(other)],
        check=True,
        env={**os.environ, "PYTHONHASHSEED": "4242"},
    )
    for path in sorted(built.folder.rglob("*")):
        if path.is_file():
            assert path.read_bytes() == (other / path.relative_to(built.folder)).read_bytes(), path


def test_the_piece_as_placed_sinks_into_the_lining_by_the_squeeze(scene, allotment):
    """The crescent between piece and lining: kernel volume against the areas of two circles."""
    setup = allotment.setups[0]
    for limit, diameter in ((Limit.LEAST, 31.5), (Limit.NOMINAL, 33.75), (Limit.MOST, 36.0)):
        named = {s.name: s.placed for s in scene.standing(setup, State(Phase.CLOSED, limit))}
        common = named["fixed liner"].intersect(named["piece"]).Volume() / 40
        r, big, e = diameter / 2, 18.5, 18.5 - diameter / 2 + 0.42
        d1 = (e * e + r * r - big * big) / (2 * e)
        d2 = e - d1
        lens = r * r * math.acos(d1 / r) - d1 * math.sqrt(r * r - d1 * d1)
        lens += big * big * math.acos(d2 / big) - d2 * math.sqrt(big * big - d2 * d2)
        crescent = math.pi * r * r - lens
        assert common <= crescent * (1 + 1e-9)
        assert common == pytest.approx(crescent, rel=0.12)  # the lips cut its tips off
