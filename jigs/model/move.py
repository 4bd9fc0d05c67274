"""How a jig goes together and is worked: moves, the tools that turn things, and the steps by hand.

A kind declares moves **without order**, each as the way out of its place; what blocks what is found
by sweeping, and the order follows from that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from jigs.model.pose import Vec
from jigs.model.state import Phase

When = Literal["gluing", "assembly", "at the machine", "changeover"]


@dataclass(frozen=True, slots=True)
class Move:
    """The way out of one unit: names of placed parts that move together, and straight legs.

    `legs` are vectors in the jig's frame, mm, one after the other, out of the place that the parts
    have in phase `at`; what is in the way stands as in phase `among` (`at` where it is None).
    Parts that are glued to the unit go with it. `when`: while the jig is put together, when it is
    put on the machine (the machine is in the way of every assembly move until then), or at every
    change of piece, in which case it must be free as it stands. `says` tells the step of putting
    **in**, in the maker's words; `levers` what would clear the way.
    """

    name: str
    unit: tuple[str, ...]
    legs: tuple[Vec, ...]
    says: str
    when: When = "assembly"
    at: Phase = Phase.OPEN
    among: Phase | None = None
    levers: tuple[str, ...] = ()

    @property
    def travel(self) -> float:
        """Length of the whole way, mm."""
        return sum(math.hypot(*leg) for leg in self.legs)


@dataclass(frozen=True, slots=True)
class Spanner:
    """A hexagon that is turned: `part` in the jig; its middle, its axis towards the free end.

    Parameters: across = flats; height = of the hexagon [mm]; `at` = middle of the hexagon's outer
    face, `axis` = outwards, jig's frame. `used` in that phase; `with_it` = parts that go through it
    or turn with it, and are in nobody's way; `stands_out` = how far the bolt stands beyond the
    hexagon's outer face where it is tightest [mm]: no socket goes over a long one.
    """

    name: str
    part: str
    across: float
    height: float
    at: Vec
    axis: Vec
    used: Phase = Phase.CLOSED
    with_it: tuple[str, ...] = ()
    levers: tuple[str, ...] = ()
    stands_out: float = 0.0


@dataclass(frozen=True, slots=True)
class Driver:
    """A screw that is driven: room for a straight driver or key above its head.

    Parameters: diameter, length = of the tool [mm]; at, axis = head, outwards; in the way stands
    what is there in phase `used` without `without` (parts that come later).
    """

    name: str
    part: str
    diameter: float
    length: float
    at: Vec
    axis: Vec
    used: Phase = Phase.OPEN
    without: tuple[str, ...] = ()
    levers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HandTurn:
    """A knob or screw that a hand turns: a drum of room round it.

    Parameters: radius = of the turning thing over its lobes, fingers = room round it [mm];
    low, high = along the axis from `at` [mm]. `with_it` as for a spanner.
    """

    name: str
    part: str
    radius: float
    fingers: float
    low: float
    high: float
    at: Vec
    axis: Vec
    used: Phase = Phase.CLOSED
    with_it: tuple[str, ...] = ()
    levers: tuple[str, ...] = ()


Tool = Spanner | Driver | HandTurn


@dataclass(frozen=True, slots=True)
class Step:
    """One step of changing a piece: what is done, what each hand does, what carries the rest.

    `removes` names what must be counted as away before the spindle may start.
    """

    says: str
    hands: tuple[str, ...]
    carried_by: str = ""
    turns: float = 0.0
    removes: str = ""


__all__ = ["Driver", "HandTurn", "Move", "Spanner", "Step", "Tool", "When"]
