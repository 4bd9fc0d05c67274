"""What the machine must get to: features to find the work zero by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from jigs.model.pose import Vec


@dataclass(frozen=True, slots=True)
class Datum:
    """A fixed feature of a jig that is touched off to find the work zero along some axes.

    `at` = the place in the jig's frame where probe or cutter touches, mm; `feature` how it is
    touched; `gives` = the axes it decides; `from_zero` = where that feature lies from the work
    zero along each of those axes, mm (jig's frame); `comes_back` = how well the jig returns to it
    when refitted, mm, each way along those axes; `by` = what brings it back (key, dowel, stop);
    `check` = a cut or a look that would show a mistake. `free` = room needed round the place, mm,
    on a radius, for the probe's ball or the cutter.
    """

    name: str
    feature: Literal["edge", "pin", "bore", "crown", "face"]
    at: Vec
    gives: tuple[Literal["x", "y", "z"], ...]
    from_zero: tuple[float, ...]
    comes_back: float
    by: str
    check: str
    free: float = 5.0
