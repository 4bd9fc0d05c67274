"""What stands where: named, coloured solids in nested groups, as the assembly writers take them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cadquery as cq

from jigs.model.pose import Pose
from jigs.solids.shapes import location

__all__ = ["Colour", "Group", "Leaf", "leaves", "location"]

_UNMOVED = Pose()

Colour = tuple[float, float, float, float]
"""sRGB red, green, blue and opacity, each 0 to 1."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """One solid in its place.

    Parameters: name = of this one occurrence; product = of the part, shared by all that are alike;
    shape = the solid in the frame of the part, mm; pose = its place in the group around it.
    """

    name: str
    product: str
    shape: cq.Shape
    pose: Pose
    colour: Colour


@dataclass(frozen=True, slots=True)
class Group:
    """Solids and smaller groups that belong together.

    Parameters: pose = its place in the group around it.
    """

    name: str
    members: tuple[Leaf | Group, ...]
    pose: Pose = _UNMOVED


def leaves(root: Group | Leaf) -> Iterator[tuple[tuple[str, ...], Leaf, Pose]]:
    """Yield every solid in order: names from the root down, the leaf, its place in the world."""
    yield from _leaves(root, (), _UNMOVED)


def _leaves(
    node: Group | Leaf, above: tuple[str, ...], frame: Pose
) -> Iterator[tuple[tuple[str, ...], Leaf, Pose]]:
    path, pose = (*above, node.name), frame @ node.pose
    if isinstance(node, Leaf):
        yield path, node, pose
        return
    for member in node.members:
        yield from _leaves(member, path, pose)
