"""What the dry fit asks of solids in motion, without knowing who answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from jigs.model.move import Driver, HandTurn, Move, Spanner
from jigs.model.state import Limit

if TYPE_CHECKING:
    from jigs.sizing import Jig, Setup


@dataclass(frozen=True, slots=True)
class Stop:
    """Something in the way: what moves, what it meets, and how far it got, mm."""

    moving: str
    obstacle: str
    after: float


class Rehearsing(Protocol):
    """Moves and tools tried on true solids."""

    def stops(self, setup: Setup, jig: Jig, move: Move, limit: Limit, alone: bool) -> list[Stop]:
        """Everything a move runs into, nearest first; `alone`: without piece and other jigs."""
        ...

    def swing(self, setup: Setup, jig: Jig, tool: Spanner) -> float:
        """Widest free turn of a spanner, deg."""
        ...

    def driver_room(self, setup: Setup, jig: Jig, tool: Driver) -> list[Stop]:
        """What stands in a driver's way: `after` = room left beside its axis, mm."""
        ...

    def hand_room(self, setup: Setup, jig: Jig, tool: HandTurn) -> list[Stop]:
        """What stands within a turning thing's drum of fingers: `after` = room left, mm."""
        ...
