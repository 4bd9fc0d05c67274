"""Solids by what they are made from: the same description is built once in a process.

A scene of a changed design asks for the solids of all its parts; only those whose frozen
description changed are made anew.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import cadquery as cq

from jigs.model.kind import BoardHole
from jigs.model.part import Part
from jigs.model.pose import Pose
from jigs.model.state import Limit
from jigs.shop.piece import Bar, Turned
from jigs.solids.build import part_solid
from jigs.solids.things import bore, piece_solid


class Solids:
    """What was built, and what of it was asked for since `forget_unused`.

    Keys hold the whole frozen description, never a name: a part that keeps its name and changes
    its size is another part.
    """

    def __init__(self) -> None:
        self._made: dict[object, cq.Shape | None] = {}
        self._asked: set[object] = set()
        self.built = 0
        """How many solids were made, not found."""

    def part(self, part: Part) -> cq.Shape | None:
        """The solid of a part in its own frame; None for one that is listed but not drawn."""
        return self._have(part, lambda: part_solid(part))

    def piece(self, piece: Turned | Bar, limit: Limit) -> cq.Shape:
        """The piece at one limit of its size, its machined end at z = 0."""
        made = self._have((piece, limit), lambda: piece_solid(piece, limit))
        assert made is not None
        return made

    def bored(self, part: Part, holes: Sequence[BoardHole], frame: Pose) -> cq.Shape | None:
        """A board of the machine with holes in it; `frame` = the work frame in the board's."""
        plain = self.part(part)
        if plain is None or not holes:
            return plain
        drilled = plain
        return self._have(
            (part, tuple(holes), frame),
            lambda: drilled.cut(*(bore(hole, frame) for hole in holes)).Solids()[0],
        )

    def forget_unused(self) -> None:
        """Let go of what was not asked for since the last call."""
        self._made = {key: shape for key, shape in self._made.items() if key in self._asked}
        self._asked.clear()

    def _have(self, key: object, make: Callable[[], cq.Shape | None]) -> cq.Shape | None:
        self._asked.add(key)
        if key not in self._made:
            self._made[key] = make()
            self.built += 1
        return self._made[key]
