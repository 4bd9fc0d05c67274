"""Which CAD files and pictures a build writes, and under which names."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Sequence
from functools import partial

from jigs.making.work import made_parts
from jigs.model.finding import Finding
from jigs.model.part import Part
from jigs.model.state import SHOWN
from jigs.outputs.cad.step import header, step_body
from jigs.outputs.cad.stl import stl_bytes
from jigs.outputs.cad.tree import Group, Leaf
from jigs.outputs.cad.trees import machine_tree, part_leaf, setup_tree
from jigs.outputs.report import told
from jigs.publish import Publication
from jigs.solids.scene import Scene, material_of
from jigs.solids.store import Form
from jigs.tolerance import TOLERANCE


def description(scene: Scene, findings: Sequence[Finding]) -> str:
    """What a STEP file says of itself: job, revision, verdict."""
    model = scene.design.job.model
    return f"{model.job}, revision {model.revision}, checks: {told(findings)}"


def write_solids(scene: Scene, findings: Sequence[Finding], out: Publication) -> None:
    """STEP and STL of each made part; STEP of each setup, by itself and on the machine."""
    told = description(scene, findings)
    for jig, part in made_parts(scene.design):
        form = scene.solids.part_form(part)
        if form is not None:
            _write_part(scene, f"parts/{jig}/{part.id}", part, form, told, out)
    job = scene.design.job.model.job
    for setup in scene.design.setups:
        stands = [
            (s.name, s.product, s.jig, s.group, s.material, *s.said)
            for s in scene.standing(setup, SHOWN)
        ]
        said = (setup.name, stands)
        of_setup, on_machine = (
            partial(setup_tree, scene, setup),
            partial(machine_tree, scene, setup),
        )
        _write_step(scene, f"setups/{setup.name}", setup.name, said, of_setup, told, out)
        whole = f"setups/{setup.name} on the machine"
        placed = (job, setup.work_zero, *said)
        _write_step(scene, whole, job, placed, on_machine, told, out)


def _write_part(
    scene: Scene, name: str, part: Part, form: Form, told: str, out: Publication
) -> None:
    material = material_of(part)

    def leaf() -> Leaf:
        return part_leaf(part.title, form.shape, material)

    _write_step(scene, name, part.title, (part.title, material, form.mark), leaf, told, out)
    mesh = (TOLERANCE.mesh, TOLERANCE.mesh_angle)
    surface = scene.kept.bytes_of(
        "stl", (form.mark, mesh), lambda: stl_bytes(form.shape, f"{name}.stl", *mesh)
    )
    assert surface is not None
    out.write_bytes(f"{name}.stl", surface)


def _write_step(
    scene: Scene, name: str, title: str, said: tuple[object, ...],
    tree: Callable[[], Group | Leaf], told: str, out: Publication,
) -> None:  # fmt: skip
    """Write one STEP file. `said` = all that decides the tree, `told` = what its header says."""
    file = f"{name}.step"
    body = scene.kept.bytes_of(
        "step", said, lambda: zlib.compress(step_body(tree(), file).encode("ascii"), 1)
    )
    assert body is not None
    out.write_bytes(file, header(title, told).encode("ascii") + zlib.decompress(body))


def write_pictures(
    scene: Scene,
    out: Publication,
    findings: Sequence[Finding] = (),
    say: Callable[[str], None] = lambda step: None,
) -> list[str]:
    """Pictures as `jigs.outputs.cad.pictures` has them; returns notes for the user."""
    from jigs.outputs.cad.pictures import write_pictures as write  # no painter without pictures

    return write(scene, out, findings, say)
