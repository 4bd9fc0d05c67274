"""A design as trees of named, coloured, nested solids."""

from __future__ import annotations

from collections.abc import Iterable

from jigs.model.pose import Pose
from jigs.model.state import SHOWN, State
from jigs.outputs.cad.look import PIECE as PIECE_COLOUR
from jigs.outputs.cad.look import colour_of
from jigs.outputs.cad.tree import Group, Leaf
from jigs.sizing import Setup
from jigs.solids.scene import PIECE, Scene, Standing, material_of


def setup_tree(scene: Scene, setup: Setup, state: State = SHOWN) -> Group:
    """Jigs and piece of a setup, origin at the work zero."""
    standing = scene.standing(setup, state)
    groups = [jig_group(standing, jig.name) for jig in setup.jigs]
    return Group(setup.name, (*(g for g in groups if g), *_pieces(standing)))


def machine_tree(scene: Scene, setup: Setup, state: State = SHOWN) -> Group:
    """A setup on the machine, origin at the table's front left corner."""
    machine = tuple(
        Leaf(name, part.title, form.shape, pose, colour_of(material_of(part)))
        for name, part, pose, form in scene.machine_for(setup)
    )
    tree = setup_tree(scene, setup, state)
    placed = Group(tree.name, tree.members, setup.work_zero)
    return Group(scene.design.job.model.job, (Group("machine", machine), placed))


def jig_tree(scene: Scene, setup: Setup, jig: str, state: State = SHOWN) -> Group:
    """One jig with the piece in it."""
    standing = scene.standing(setup, state)
    group = jig_group(standing, jig)
    return Group(jig, (*((group,) if group else ()), *_pieces(standing)))


def jig_group(standing: Iterable[Standing], jig: str) -> Group | None:
    """A jig's parts, nested in their groups; None where it is not there in this state."""
    mine = [s for s in standing if s.jig == jig]
    if not mine:
        return None
    names = list(dict.fromkeys(s.group for s in mine))
    members: list[Leaf | Group] = []
    for name in names:
        leaves = tuple(_leaf(s) for s in mine if s.group == name)
        members += [Group(f"{jig} {name}", leaves)] if name else list(leaves)
    return Group(jig, tuple(members))


def _pieces(standing: Iterable[Standing]) -> tuple[Leaf, ...]:
    return tuple(
        Leaf(s.name, s.product, s.shape, s.pose, PIECE_COLOUR) for s in standing if s.name == PIECE
    )


def _leaf(s: Standing) -> Leaf:
    return Leaf(s.name, s.product, s.shape, s.pose, colour_of(s.material))


def part_leaf(title: str, shape: object, material: str) -> Leaf:
    """One part by itself, in its own frame."""
    return Leaf(title, title, shape, Pose(), colour_of(material))
