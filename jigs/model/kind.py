"""What a kind of jig must be able to say. Adding a jig is one module in `kinds/` that says it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from pydantic import BaseModel

from jigs.model.finding import Finding
from jigs.model.number import Book, Number, Rules
from jigs.model.part import Part
from jigs.model.pose import Pose, Vec
from jigs.model.state import Contact, Limit, Room, State


@dataclass(frozen=True, slots=True)
class Placed:
    """One part in its place: `name` is unique within the jig, `part` is the id of what it is.

    `group` nests it in the assembly, for example "moving half".
    """

    name: str
    part: str
    pose: Pose
    group: str = ""


@dataclass(frozen=True, slots=True)
class Offset:
    """Where a real piece sits, from the work zero, mm. None = this jig does not decide it."""

    dx: float | None = None
    dy: float | None = None
    dz: float | None = None


class Kind(Protocol):
    """A kind of jig. Everything is asked with the resolved numbers `n` and, if need be, a state.

    Poses are in the setup's work frame: origin at the work zero, x right, y away, z up.
    """

    name: str
    title: str
    Options: type[BaseModel]
    rules: Rules
    seen_from: Vec
    """From the jig towards the eye, where a picture shows best how it works."""
    stands: tuple[str, ...]
    """Where a setup with this jig may be: "front face", "table"."""

    def offers(self, n: Book) -> Mapping[str, str]:
        """Names that the other jigs of the setup may ask -> the number of this jig that answers.

        May depend on numbers of piece and machine, not on what other jigs offer.
        """
        ...

    def facts(self, options: BaseModel) -> Sequence[Number]:
        """Options that are numbers or names, as numbers for the rules."""
        ...

    def parts(self, n: Book) -> Sequence[Part]:
        """Every different part, with its cuts."""
        ...

    def poses(self, n: Book, state: State) -> Sequence[Placed]:
        """Where each part stands in this state."""
        ...

    def holds_piece(self, n: Book, state: State) -> Offset:
        """Where this jig puts the piece."""
        ...

    def contacts(self, n: Book, state: State) -> Sequence[Contact]:
        """Every touch that is meant in this state."""
        ...

    def rooms(self, n: Book, state: State) -> Sequence[Room]:
        """Every clearance that is needed in this state."""
        ...

    def own_checks(self, n: Book) -> Sequence[Finding]:
        """What only this kind knows to ask of its numbers."""
        ...

    def offset_of(self, n: Book, diameter: float) -> Offset:
        """The program's offset for a piece of that size (`Limit` cases use it too)."""
        ...


__all__ = ["Kind", "Limit", "Offset", "Placed"]
