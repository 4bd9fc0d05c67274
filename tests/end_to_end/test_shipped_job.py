"""The shipped jobs as built: all met, files re-read by what did not write them."""

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

ROOT = Path(__file__).parents[2]
JOBS = sorted(path.stem for path in (ROOT / "configs").glob("*.yaml"))
every_job = pytest.mark.parametrize("job", JOBS)


def test_three_jobs_are_shipped():
    assert JOBS == ["allotment", "skittles", "stool"]


@every_job
def test_everything_is_met_and_nothing_is_open(job, built_jobs):
    built = built_jobs(job)
    assert built.report["verdict"] == "met"
    assert set(built.report["counts"]) == {"met"}


@every_job
def test_the_manifest_describes_every_file(job, built_jobs):
    built = built_jobs(job)
    assert publish.verify(built.folder) == []
    on_disk = {
        p.relative_to(built.folder).as_posix() for p in built.folder.rglob("*") if p.is_file()
    }
    assert on_disk == {*publish.read_manifest(built.folder).files, "manifest.json"}


@every_job
def test_every_mesh_is_closed_and_holds_the_solids_volume(job, built_jobs, scenes):
    from jigs.making.work import made_parts

    built, scene = built_jobs(job), scenes(job)
    meshes = sorted(built.folder.rglob("*.stl"))
    assert len(meshes) == len(made_parts(scene.design)) > 8
    for jig, part in made_parts(scene.design):
        mesh = trimesh.load_mesh(built.folder / f"parts/{jig}/{part.id}.stl")
        assert mesh.is_watertight, part.id
        assert mesh.is_winding_consistent, part.id
        assert mesh.volume == pytest.approx(scene.part(jig, part).Volume(), rel=2e-3), part.id


@every_job
def test_every_solid_is_valid_and_single(job, scenes):
    scene = scenes(job)
    for _, jig in scene.design.jigs():
        for part in jig.parts.values():
            shape = scene.part(jig.name, part)
            if shape is not None:
                assert shape.isValid(), part.id
                assert len(shape.Solids()) == 1, part.id


def test_a_part_has_the_volume_of_its_blank_less_its_cuts(scene):
    """Second witness: cylinders by the textbook formula."""
    ring = next(jig for _, jig in scene.design.jigs() if jig.name == "ring")
    r, dish = ring.n.pad_diameter / 2, ring.n.dish_diameter / 2
    expected = math.pi * (r * r * 20 - (6.5 / 2) ** 2 * 10 - dish**2 * 3)
    assert scene.part("ring", ring.parts["pad"]).Volume() == pytest.approx(expected, rel=1e-9)


GMSH = """
import gmsh, json, sys
gmsh.initialize(['-v', '0'])
gmsh.option.setString('Geometry.OCCTargetUnit', 'MM')
read = []
for path in sys.argv[1:]:
    gmsh.model.add(path)
    found = gmsh.model.occ.importShapes(path)
    gmsh.model.occ.synchronize()
    solids = [entity for entity in found if entity[0] == 3]
    read.append([[gmsh.model.getEntityName(*e), gmsh.model.occ.getMass(*e)] for e in solids])
print(json.dumps(read))
"""


@every_job
def test_gmsh_reads_the_setups_with_names_and_volumes(job, built_jobs, scenes):
    """gmsh has a kernel build of its own."""
    scene, folder = scenes(job), built_jobs(job).folder
    setups = scene.design.setups
    paths = [str(folder / f"setups/{setup.name}.step") for setup in setups]
    done = subprocess.run(
        [sys.executable, "-c", GMSH, *paths], capture_output=True, text=True, check=True
    )
    files = json.loads(done.stdout.strip().splitlines()[-1])
    for setup, read in zip(setups, files, strict=True):
        standing = [s for s in scene.standing(setup, SHOWN) if s.jig != "machine"]
        assert len(read) == len(standing)
        wrote = sorted((s.product, s.shape.Volume()) for s in standing)
        products = {product for product, _ in wrote}
        for (name, volume), (product, expected) in zip(
            sorted((last_of(name, products), volume) for name, volume in read), wrote, strict=True
        ):
            assert name == product
            assert volume == pytest.approx(expected, rel=1e-6), name


def last_of(path, products):
    """The product at the end of a path of names; names of inch sizes hold a stroke themselves."""
    return max((p for p in products if f"/{path}".endswith(f"/{p}")), key=len, default=path)


@pytest.fixture(scope="module", autouse=True)
def building_again(tmp_path_factory):
    """The jobs built in another process, where sets and dictionaries hash otherwise.

    Started first, so that it runs beside the other tests.
    """
    folder = tmp_path_factory.mktemp("again")
    code = (
        "import sys; from pathlib import Path; from jigs.building import build\n"
        "for job in sys.argv[2:]:\n"
        "    build(Path(job), Path(sys.argv[1]) / Path(job).stem, pictures=False)\n"
    )
    jobs = [str(ROOT / f"configs/{job}.yaml") for job in JOBS]
    with subprocess.Popen(
        [sys.executable, "-c", code, str(folder), *jobs],
        env={**os.environ, "PYTHONHASHSEED": "4242"},
    ) as process:
        yield folder, process
        process.terminate()


@every_job
def test_the_same_input_gives_the_same_bytes_in_another_process(job, built_jobs, building_again):
    again, process = building_again
    assert process.wait() == 0
    one, other = built_jobs(job).folder, again / job
    files = {p.relative_to(one) for p in one.rglob("*") if p.is_file()}
    assert files == {p.relative_to(other) for p in other.rglob("*") if p.is_file()}
    for path in sorted(files):
        assert (one / path).read_bytes() == (other / path).read_bytes(), path


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
