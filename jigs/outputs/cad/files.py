"""Which CAD files and pictures a build writes, and under which names."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from jigs.kept import Kept
from jigs.making.work import made_parts
from jigs.model.finding import Finding
from jigs.model.part import Part
from jigs.model.state import SHOWN
from jigs.outputs.cad.step import header, step_body
from jigs.outputs.cad.stl import stl_bytes
from jigs.outputs.cad.trees import machine_tree, part_leaf, setup_tree
from jigs.outputs.report import told
from jigs.publish import Publication
from jigs.sizing import Setup
from jigs.solids.scene import Scene, material_of
from jigs.solids.store import Form
from jigs.tolerance import TOLERANCE


def description(scene: Scene, findings: Sequence[Finding]) -> str:
    """What a STEP file says of itself: job, revision, verdict."""
    model = scene.design.job.model
    return f"{model.job}, revision {model.revision}, checks: {told(findings)}"


@dataclass(frozen=True)
class CadFile:
    """A STEP or STL file, not written yet.

    Parameters: name = in the export; title = for the header of a STEP file; said = all that
    decides its bytes, besides that header and this library.
    """

    name: str
    title: str
    said: tuple[object, ...]
    make: Callable[[], bytes] = field(repr=False)

    def found_or_made(self, kept: Kept) -> bytes:
        """Its bytes; of a STEP file what follows the header."""
        made = kept.bytes_of(self.name.rpartition(".")[2], self.said, lambda: _packed(self.make()))
        assert made is not None
        return zlib.decompress(made)


def _packed(data: bytes) -> bytes:
    return zlib.compress(data, 1)


def write_solids(scene: Scene, findings: Sequence[Finding], out: Publication) -> None:
    """STEP and STL of each made part; STEP of each setup, by itself and on the machine."""
    told = description(scene, findings)
    for file in cad_files(scene):
        head = header(file.title, told).encode("ascii") if file.name.endswith(".step") else b""
        out.write_bytes(file.name, head + file.found_or_made(scene.kept))


def cad_files(scene: Scene) -> list[CadFile]:
    """Every STEP and STL file of a job; no solid is built for it."""
    found = []
    for jig, part in made_parts(scene.design):
        form = scene.solids.part_form(part)
        if form is not None:
            found += [*_of_part(f"parts/{jig}/{part.id}", part, form)]
    for setup in scene.design.setups:
        found += [*_of_setup(scene, setup)]
    return found


def _of_part(name: str, part: Part, form: Form) -> Iterator[CadFile]:
    material, mesh = material_of(part), (TOLERANCE.mesh, TOLERANCE.mesh_angle)

    def step() -> bytes:
        leaf = part_leaf(part.title, form.shape, material)
        return step_body(leaf, f"{name}.step").encode("ascii")

    def stl() -> bytes:
        return stl_bytes(form.shape, f"{name}.stl", *mesh)

    yield CadFile(f"{name}.step", part.title, (part.title, material, form.mark), step)
    yield CadFile(f"{name}.stl", part.title, (form.mark, mesh), stl)


def _of_setup(scene: Scene, setup: Setup) -> Iterator[CadFile]:
    job = scene.design.job.model.job
    stands = [
        (s.name, s.product, s.jig, s.group, s.material, *s.said)
        for s in scene.standing(setup, SHOWN)
    ]
    alone, whole = f"setups/{setup.name}.step", f"setups/{setup.name} on the machine.step"

    def by_itself() -> bytes:
        return step_body(setup_tree(scene, setup), alone).encode("ascii")

    def on_the_machine() -> bytes:
        return step_body(machine_tree(scene, setup), whole).encode("ascii")

    yield CadFile(alone, setup.name, (setup.name, stands), by_itself)
    yield CadFile(whole, job, (job, setup.work_zero, setup.name, stands), on_the_machine)


def write_pictures(
    scene: Scene,
    out: Publication,
    findings: Sequence[Finding] = (),
    say: Callable[[str], None] = lambda step: None,
) -> list[str]:
    """Pictures as `jigs.outputs.cad.pictures` has them; returns notes for the user."""
    from jigs.outputs.cad.pictures import write_pictures as write  # no painter without pictures

    return write(scene, out, findings, say)
