"""Which CAD files and pictures a build writes, and under which names."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from jigs.making.work import made_parts
from jigs.model.finding import Finding
from jigs.outputs.cad.step import write_step
from jigs.outputs.cad.stl import write_stl
from jigs.outputs.cad.trees import machine_tree, part_leaf, setup_tree
from jigs.outputs.report import told
from jigs.publish import Publication
from jigs.solids.scene import Scene, material_of
from jigs.tolerance import TOLERANCE


def description(scene: Scene, findings: Sequence[Finding]) -> str:
    """What a STEP file says of itself: job, revision, verdict."""
    model = scene.design.job.model
    return f"{model.job}, revision {model.revision}, checks: {told(findings)}"


def write_solids(scene: Scene, findings: Sequence[Finding], out: Publication) -> None:
    """STEP and STL of each made part; STEP of each setup, by itself and on the machine."""
    told = description(scene, findings)
    for jig, part in made_parts(scene.design):
        shape = scene.part(jig, part)
        if shape is None:
            continue
        name = f"parts/{jig}/{part.id}"
        write_step(part_leaf(part.title, shape, material_of(part)), out.path(f"{name}.step"), told)
        write_stl(shape, out.path(f"{name}.stl"), TOLERANCE.mesh, TOLERANCE.mesh_angle)
    for setup in scene.design.setups:
        write_step(setup_tree(scene, setup), out.path(f"setups/{setup.name}.step"), told)
        on_machine = out.path(f"setups/{setup.name} on the machine.step")
        write_step(machine_tree(scene, setup), on_machine, told)


def write_pictures(
    scene: Scene,
    out: Publication,
    findings: Sequence[Finding] = (),
    say: Callable[[str], None] = lambda step: None,
) -> list[str]:
    """Pictures as `jigs.outputs.cad.pictures` has them; returns notes for the user."""
    from jigs.outputs.cad.pictures import write_pictures as write  # no painter without pictures

    return write(scene, out, findings, say)
