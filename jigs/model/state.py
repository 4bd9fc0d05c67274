"""States of the work, and what touches what in them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum


class Limit(StrEnum):
    """Which piece of the batch (ISO 2692: least and maximum material condition)."""

    LEAST = "least"
    NOMINAL = "nominal"
    MOST = "most"


class Phase(StrEnum):
    """The stages of changing one piece, in the order in which they happen."""

    OPEN = "open"  # jaws apart, piece going in
    SETTING = "first touch"  # jaws just touching, height gauge in place
    CLOSED = "closed"  # clamped, gauges away, ready to cut


@dataclass(frozen=True, slots=True)
class State:
    """One stage with one piece of the batch."""

    phase: Phase
    piece: Limit

    def __str__(self) -> str:
        return f"{self.phase} on the {self.piece} piece"


SHOWN = State(Phase.SETTING, Limit.NOMINAL)
"""The state that assemblies are exported and pictured in."""


def all_states() -> Iterator[State]:
    """Every phase with the least, nominal and largest piece."""
    for phase in Phase:
        for limit in Limit:
            yield State(phase, limit)


class Role(StrEnum):
    """Why two parts touch."""

    CLAMPS = "clamps"
    SUPPORTS = "supports"
    GUIDES = "guides"
    SEATS = "seats"
    THREADS = "threads into"
    BITES = "bites into"
    GLUED = "is glued to"


@dataclass(frozen=True, slots=True)
class Contact:
    """A touch or compression that is meant.

    `a`, `b` are names of placed parts ("piece" is the piece); `depth` is the overlap of the
    undeformed solids that the design expects there, mm (0 = they touch).
    """

    a: str
    b: str
    role: Role
    depth: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True)
class Room:
    """Room that must stay between two placed parts in a state: at least `least` mm."""

    a: str
    b: str
    least: float
    why: str
    levers: tuple[str, ...] = ()
    """Numbers whose change could make room, each `+name` (larger) or `-name` (smaller)."""
