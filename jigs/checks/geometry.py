"""What checks may ask of solids, without knowing who answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from jigs.model.state import State

if TYPE_CHECKING:
    from jigs.sizing import Setup


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two placed things that share space, and how deep, mm."""

    a: str
    b: str
    depth: float


class Geometry(Protocol):
    """Measurements on true solids."""

    def overlaps(self, setup: Setup, state: State) -> list[Overlap]:
        """Every overlapping pair in a state."""
        ...

    def touching_gap(self, setup: Setup, state: State, a: str, b: str) -> float | None:
        """Distance between the skins of two named things that are meant to touch, mm."""
        ...

    def distance(self, setup: Setup, state: State, a: str, b: str) -> float | None:
        """Least distance of two named things, mm; None where one is not there."""
        ...
