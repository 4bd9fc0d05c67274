"""Solids by what they are made from: the same description is built once, in this process or before.

A scene of a changed design asks for the forms of all its parts; only those whose frozen
description changed are built anew, and only when somebody asks for their shape.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from functools import cached_property

import cadquery as cq
from OCP.BinTools import BinTools
from OCP.TopoDS import TopoDS_Shape

from jigs.kept import Kept, digest
from jigs.model.kind import BoardHole
from jigs.model.part import Bought, Part
from jigs.model.pose import Pose
from jigs.model.state import Limit
from jigs.shop.form import form_of
from jigs.shop.piece import Bar, Turned
from jigs.solids.build import part_solid
from jigs.solids.hardware import is_drawn
from jigs.solids.things import bore, piece_solid


class Form:
    """A solid by what it is made from. Parameters: of = the whole frozen description."""

    def __init__(self, of: object, build: Callable[[], cq.Shape], kept: Kept) -> None:
        self.of = of
        self._build, self._kept = build, kept

    @cached_property
    def mark(self) -> str:
        """Digest of the description: what is found about this solid is kept under it."""
        return digest(self.of)

    @cached_property
    def shape(self) -> cq.Shape:
        """The solid in its own frame. Raises SolidError where the kernel fails.

        Always read from its packed form: what was read differs from what was built in signs of
        zeros, and no file may depend on what the store happened to hold.
        """
        found = self._kept.bytes_of("solid", (self.mark,), lambda: _packed(self._build()))
        assert found is not None
        return _unpacked(found)


class Solids:
    """What is known of solids, and what of it was asked for since `forget_unused`.

    Parameters: kept = where solids and what is found about them outlast the process.
    """

    def __init__(self, kept: Kept | None = None) -> None:
        self.kept = kept or Kept()
        self._forms: dict[object, Form] = {}
        self._asked: set[object] = set()
        self.built = 0
        """How many solids were built, not found."""

    def part_form(self, part: Part) -> Form | None:
        """The form of a part; None for one that is listed but not drawn."""
        if isinstance(part.made, Bought) and not is_drawn(part.made):
            return None
        return self._form(part, lambda: part_solid(part))

    def part(self, part: Part) -> cq.Shape | None:
        """The solid of a part in its own frame; None for one that is listed but not drawn."""
        form = self.part_form(part)
        return form.shape if form else None

    def piece_form(self, piece: Turned | Bar, limit: Limit) -> Form:
        """The form of the piece at one limit of its size, its machined end at z = 0."""
        form = form_of(piece, limit)
        return self._form(form, lambda: piece_solid(form))

    def bored_form(self, part: Part, holes: Sequence[BoardHole], frame: Pose) -> Form:
        """A board of the machine with holes in it; `frame` = the work frame in the board's."""
        if not holes:
            return self._form(part, lambda: part_solid(part))
        return self._form((part, tuple(holes), frame), lambda: self._bored(part, holes, frame))

    @staticmethod
    def _bored(part: Part, holes: Sequence[BoardHole], frame: Pose) -> cq.Shape:
        return part_solid(part).cut(*(bore(hole, frame) for hole in holes)).Solids()[0]

    def forget_unused(self) -> None:
        """Let go of what was not asked for since the last call."""
        self._forms = {key: form for key, form in self._forms.items() if key in self._asked}
        self._asked.clear()

    def _form(self, of: object, build: Callable[[], cq.Shape]) -> Form:
        self._asked.add(of)
        if of not in self._forms:

            def counted() -> cq.Shape:
                self.built += 1
                return build()

            self._forms[of] = Form(of, counted, self.kept)
        return self._forms[of]


def _packed(shape: cq.Shape) -> bytes:
    """A solid as the kernel's own binary."""
    file = io.BytesIO()
    BinTools.Write_s(shape.wrapped, file)
    return file.getvalue()


def _unpacked(data: bytes) -> cq.Shape:
    shape = TopoDS_Shape()
    BinTools.Read_s(shape, io.BytesIO(data))
    return cq.Shape.cast(shape)
