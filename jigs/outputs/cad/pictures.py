"""Which pictures a build writes, and what is on each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from jigs.checks.dry_fit import GROUP as DRY_FIT
from jigs.model.finding import Finding, Verdict
from jigs.model.pose import Vec
from jigs.model.state import SHOWN
from jigs.outputs.cad import picture
from jigs.outputs.cad.apart import apart
from jigs.outputs.cad.composition import SIZE, Composition, Drawing, whole
from jigs.outputs.cad.exploded_page import compose_exploded
from jigs.outputs.cad.lines import line_view
from jigs.outputs.cad.moving_page import Motion, changeover, compose_motion, stopped
from jigs.outputs.cad.page import painted
from jigs.outputs.cad.painting import Meshes, view_of
from jigs.outputs.cad.picture import solids_of
from jigs.outputs.cad.tree import Group
from jigs.outputs.cad.trees import jig_tree, machine_tree
from jigs.publish import Publication
from jigs.sizing import Jig, Setup
from jigs.solids.scene import Scene

FROM_THE_FRONT: Vec = (1.0, -1.25, 0.85)
HALF_PAGE = (1000, 750)
"""Of pictures of moves, pixels: two stand on an A4 page."""

NO_GL_NOTE = f"pictures are line views (SVG): {picture.NO_GL_NOTE}"

Compose = Callable[[Meshes, bool], Composition]
"""Given meshes, and whether something can be painted here."""


@dataclass(frozen=True)
class Wanted:
    """A picture by its name, and how to compose it."""

    name: str
    compose: Compose


def wanted_pictures(scene: Scene, findings: Sequence[Finding] = ()) -> Iterator[Wanted]:
    """Every picture of a build, in order.

    Of each jig the whole, and the exploded view if it has more than one part; of each setup the
    whole on the machine, every move of the changeover, and where the dry fit is not met each move
    that stops, at that moment.
    """
    stops = any(f.group == DRY_FIT and f.verdict is Verdict.NOT_MET for f in findings)
    for setup in scene.design.setups:
        for jig in setup.jigs:
            yield Wanted(jig.name, _beauty(scene, setup, jig))
            if len(jig.poses(SHOWN)) > 1:
                yield Wanted(f"{jig.name} apart", _exploded(scene, setup, jig))
        yield Wanted(f"{setup.name} on the machine", _on_machine(scene, setup))
        motions = changeover(setup)
        if stops:
            motions += stopped(setup, scene.rehearsal)
        for motion in motions:
            yield Wanted(motion.name, _moving(scene, motion))


def write_pictures(
    scene: Scene,
    out: Publication,
    findings: Sequence[Finding] = (),
    say: Callable[[str], None] = lambda step: None,
) -> list[str]:
    """Write `pictures/<name>.png`, or .svg line views where nothing can be painted.

    Parameters: findings = those of the dry fit ask for pictures of what stops; say = told what is
    being drawn.
    Returns: notes for the user.
    """
    meshes, paints = Meshes(), picture.gl_ok()
    every = list(wanted_pictures(scene, findings))
    for number, wanted in enumerate(every, 1):
        say(f"drawing picture {number} of {len(every)}: {wanted.name}")
        composed = wanted.compose(meshes, paints)
        if paints:
            painted(composed, meshes).save(out.path(f"pictures/{wanted.name}.png"))
        else:
            out.write_text(f"pictures/{wanted.name}.svg", line_view(composed))
    return [] if paints else [NO_GL_NOTE]


def _beauty(scene: Scene, setup: Setup, jig: Jig) -> Compose:
    seen_from = jig.frame.rotate(jig.kind.seen_from)
    return lambda meshes, _: plain(jig_tree(scene, setup, jig.name), seen_from, meshes)


def _on_machine(scene: Scene, setup: Setup) -> Compose:
    return lambda meshes, _: plain(machine_tree(scene, setup), FROM_THE_FRONT, meshes)


def _exploded(scene: Scene, setup: Setup, jig: Jig) -> Compose:
    seen_from = jig.frame.rotate(jig.kind.seen_from)
    return lambda meshes, paints: compose_exploded(
        apart(scene, setup, jig), seen_from, SIZE, meshes, sees=paints
    )


def _moving(scene: Scene, motion: Motion) -> Compose:
    return lambda meshes, _: compose_motion(scene, motion, FROM_THE_FRONT, HALF_PAGE, meshes)


def plain(tree: Group, seen_from: Vec, meshes: Meshes) -> Composition:
    """Everything of a tree, filling the page."""
    solids = tuple(solids_of(tree))
    view = view_of(solids, meshes, seen_from, SIZE)
    return Composition(SIZE, (Drawing(solids, view, whole(SIZE)),))
