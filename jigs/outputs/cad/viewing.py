"""What the viewer shows: a setup in a state, drawn apart or cut open, with the cutter's way."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import cadquery as cq

from jigs.checks.moves import moves
from jigs.errors import DesignError, nearest
from jigs.model.pose import Pose
from jigs.model.state import SHOWN, State
from jigs.outputs.cad.apart import standing_apart, together
from jigs.outputs.cad.tree import Colour, Group, Leaf, leaves
from jigs.outputs.cad.trees import jig_group, machine_tree
from jigs.shop.head import CUTTER, NUT, SHANK, Tips, swept
from jigs.sizing import Design, Setup
from jigs.solids.envelope import sweep_solid
from jigs.solids.scene import PIECE, Scene
from jigs.solids.shapes import location

Section = Literal["", "x", "y", "z"]

CUTTER_GROUP = "cutter's way"
_SEEN_THROUGH = 0.55  # the piece
_SWEPT: dict[str, Colour] = {
    CUTTER: (0.75, 0.30, 0.20, 0.35), SHANK: (0.55, 0.57, 0.60, 0.30), NUT: (0.35, 0.37, 0.40, 0.25)
}  # fmt: skip
_FAR = 4000.0  # mm: larger than any machine this is for


@dataclass(frozen=True)
class Choice:
    """What to show of a design.

    Parameters: setup = its name, the first where empty; exploded = jigs drawn apart, without piece
    and machine; section = cut open by the plane through the work zero square to that axis.
    """

    setup: str = ""
    state: State = SHOWN
    exploded: bool = False
    section: Section = ""


def chosen_setup(design: Design, choice: Choice) -> Setup:
    """The setup to show. Raises DesignError with the nearest name for one that is not there."""
    setups = {setup.name: setup for setup in design.setups}
    if choice.setup and choice.setup not in setups:
        raise DesignError(choice.setup, f"there is no such setup{nearest(choice.setup, [*setups])}")
    return setups[choice.setup] if choice.setup else design.setups[0]


def model(scene: Scene, choice: Choice) -> Group:
    """The tree to show, in the machine frame: machine, setup, the cutter's way.

    Raises DesignError where there is no such setup.
    """
    setup = chosen_setup(scene.design, choice)
    if choice.exploded:
        groups = [
            jig_group(standing_apart(scene, together(scene, setup, jig)), jig.name)
            for jig in setup.jigs
        ]
        there = Group(setup.name, tuple(group for group in groups if group), setup.work_zero)
        tree = Group(scene.design.job.model.job, (there,))
    else:
        tree = _seen_through(machine_tree(scene, setup, choice.state))
        way = cutters_way(setup, choice.state)
        tree = replace(tree, members=(*tree.members, *((way,) if way else ())))
    return cut_open(tree, setup, choice.section) if choice.section else tree


def cutters_way(setup: Setup, state: State) -> Group | None:
    """What cutter, shank and nut cover in every cut on that piece; None without a cut."""
    cuts = []
    for move in moves(setup):
        if move.state.piece is not state.piece:
            continue
        low = move.end - move.path.deepest
        tips = [Tips(area, low, low) for area in move.areas()]
        found = [
            Leaf(body.name, body.name, sweep_solid(swept(body, t)), Pose(), _SWEPT[body.name])
            for body in move.bodies()
            if body.name in _SWEPT
            for t in tips
        ]
        cuts.append(Group(f"cut {move.cut.owner}", tuple(_numbered(found))))
    return Group(CUTTER_GROUP, tuple(cuts), setup.work_zero) if cuts else None


def _numbered(leaves: list[Leaf]) -> Iterator[Leaf]:
    """Names once each: a second one of a name gets a number."""
    count: dict[str, int] = {}
    for leaf in leaves:
        count[leaf.name] = count.get(leaf.name, 0) + 1
        number = count[leaf.name]
        yield replace(leaf, name=f"{leaf.name} {number}") if number > 1 else leaf


def _seen_through(node: Group) -> Group:
    """The piece lets what is behind it through."""
    members: list[Leaf | Group] = []
    for member in node.members:
        if isinstance(member, Group):
            members.append(_seen_through(member))
        elif member.name == PIECE:
            members.append(replace(member, colour=(*member.colour[:3], _SEEN_THROUGH)))
        else:
            members.append(member)
    return replace(node, members=tuple(members))


def cut_open(tree: Group, setup: Setup, axis: Section) -> Group:
    """The tree without what lies in front of a plane through the work zero.

    Taken away is what lies to the right (x), towards the operator (y) or above (z).
    """
    return _cut(tree, _taken(axis), Pose(), setup.work_zero) or replace(tree, members=())


def _taken(axis: Section) -> cq.Solid:
    """The half space that is taken away, in the work frame, as a box."""
    low = [-_FAR, -_FAR, -_FAR]
    index = "xyz".index(axis)
    low[index] = -2 * _FAR if axis == "y" else 0.0
    return cq.Solid.makeBox(2 * _FAR, 2 * _FAR, 2 * _FAR, cq.Vector(*low))


def _cut(node: Group, taken: cq.Solid, frame: Pose, zero: Pose) -> Group | None:
    """What is left of a group; `frame` = of the group around it, `zero` = the work frame."""
    pose = frame @ node.pose
    members: list[Leaf | Group] = []
    for member in node.members:
        if isinstance(member, Group):
            left: Leaf | Group | None = _cut(member, taken, pose, zero)
        else:
            left = _cut_leaf(member, taken.moved(location((pose @ member.pose).inverse() @ zero)))
        if left is not None:
            members.append(left)
    return replace(node, members=tuple(members)) if members else None


def _cut_leaf(leaf: Leaf, taken: cq.Shape) -> Leaf | None:
    rest = leaf.shape.cut(taken)
    volume = rest.Volume() if rest.Solids() else 0.0
    if volume <= 0.0:
        return None
    whole = math.isclose(volume, leaf.shape.Volume(), rel_tol=1e-9)
    return leaf if whole else replace(leaf, shape=rest)


def names(tree: Group) -> list[str]:
    """Path of every solid, as the viewer's tree has it."""
    return ["/".join(path) for path, _, _ in leaves(tree)]
