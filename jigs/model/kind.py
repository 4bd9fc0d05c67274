"""What a kind of jig must say. A kind derives from `Kind`; adding one is one module of `kinds/`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from pydantic import BaseModel

from jigs.model.batch import Setting, Spread
from jigs.model.finding import Finding
from jigs.model.grip import Footing, Give, Grip
from jigs.model.move import Move, Step, Tool
from jigs.model.number import Book, Number, Rules
from jigs.model.part import Part
from jigs.model.pose import Pose, Vec
from jigs.model.reach import Datum
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


@dataclass(frozen=True, slots=True)
class FromStock:
    """Marks an option that names something of the user's stock: `Annotated[str, FromStock(...)]`.

    Left out, it is what the option `like` names, else the first of its section.
    """

    section: Literal["sheets", "boards", "linings"]
    like: str = ""


@dataclass(frozen=True, slots=True)
class BoardHole:
    """A hole that the user drills into a board of the machine, to hold or to find the jig again.

    `at` = middle of its mouth in the jig's frame, mm; it runs square into the table or the front
    face (`into`).
    """

    into: Literal["table", "front face"]
    at: Vec
    diameter: float
    depth: float
    meets: str


class Kind(Protocol):
    """A kind of jig. Everything is asked with the resolved numbers `n` and, if need be, a state.

    Poses and offsets are in the jig's frame: origin at the work zero, z up. The work frame (x
    right, y away from the operator) is that frame turned about z by the setup's number `turn`.
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

    def offset_of(self, n: Book, sizes: Mapping[str, float]) -> Offset:
        """The program's offset for a piece of those sizes, mm.

        `sizes` by the piece's own words: grip_diameter and length, or width, depth and length.
        """
        ...

    def grips(self, n: Book, sizes: Mapping[str, float]) -> Sequence[Grip]:
        """How it grips a piece of those sizes, clamped; empty where it does not hold the piece."""
        return ()

    def footings(self, n: Book) -> Sequence[Footing]:
        """What carries the force of the cut into the machine, and how that is held."""
        return ()

    def gives(self, n: Book, sizes: Mapping[str, float]) -> Sequence[Give]:
        """Springs between the piece and the machine, each as seen at the cutter."""
        return ()

    def moves(self, n: Book) -> Sequence[Move]:
        """The way out of every unit, in no order; and what moves at every change of piece."""
        ...

    def tools(self, n: Book) -> Sequence[Tool]:
        """Every hexagon, screw and knob that must be turned with the jig in its place."""
        return ()

    def steps(self, n: Book) -> Sequence[Step]:
        """Changing a piece, step by step."""
        return ()

    def settings(self, n: Book, sizes: Mapping[str, float]) -> Sequence[Setting]:
        """What the operator sets on this jig for a piece of those sizes: turns, shims, a liner."""
        return ()

    def spreads(self, n: Book) -> Sequence[Spread]:
        """Errors that this jig adds to where the machined feature lands on a piece."""
        return ()

    def datums(self, n: Book) -> Sequence[Datum]:
        """Features of the jig from which the work zero is found again; the best first."""
        return ()

    def board_holes(self, n: Book) -> Sequence[BoardHole]:
        """Holes that the user drills into the machine's boards for this jig."""
        return ()


__all__ = ["BoardHole", "FromStock", "Kind", "Limit", "Offset", "Placed"]
