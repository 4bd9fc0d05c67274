"""What checks may ask of solids, without knowing who answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from jigs.checks.rehearsing import Rehearsing
from jigs.model.pose import Vec
from jigs.model.state import State
from jigs.shop.head import Sweep

if TYPE_CHECKING:
    from jigs.sizing import Setup


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two placed things that share space, and how deep, mm."""

    a: str
    b: str
    depth: float


@dataclass(frozen=True, slots=True)
class Near:
    """The nearest approach of what moves to a thing that stands: how near, and where on it, mm.

    `at` is in the work frame; `apart` is 0 where the two share space.
    """

    body: str
    thing: str
    apart: float
    at: Vec


class Geometry(Protocol):
    """Measurements on true solids."""

    @property
    def rehearsal(self) -> Rehearsing:
        """Moves and tools tried on the same solids."""
        ...

    def overlaps(self, setup: Setup, state: State) -> list[Overlap]:
        """Every overlapping pair in a state."""
        ...

    def touching_gap(self, setup: Setup, state: State, a: str, b: str) -> float | None:
        """Distance between the skins of two named things that are meant to touch, mm."""
        ...

    def distance(self, setup: Setup, state: State, a: str, b: str) -> float | None:
        """Least distance of two named things, mm; None where one is not there."""
        ...

    def clearance(
        self,
        setup: Setup,
        state: State,
        sweeps: Sequence[Sweep],
        skip: frozenset[str] = frozenset(),
        within: float = float("inf"),
    ) -> Near | None:
        """The nearest approach of any of the sweeps to anything that stands, but what to skip.

        None where nothing is nearer than `within`, mm.
        """
        ...

    def highest_under(
        self, setup: Setup, state: State, sweep: Sweep, beside: float
    ) -> tuple[float, str] | None:
        """Height and name of the highest thing under a sweep or within `beside` of it in plan, mm.

        By the things' bounds, so it may be told a little high. None where nothing is there.
        """
        ...
