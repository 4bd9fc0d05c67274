"""What changes from piece to piece of a batch, and what may be off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing that the operator sets for a piece: `value` in `unit`, or words in `told`.

    `changes` = how much work a change of it is, from piece to piece, in minutes (0 = none): what
    decides in which order pieces are run.
    """

    name: str
    value: float | None = None
    unit: str = "mm"
    told: str = ""
    changes: float = 0.0


@dataclass(frozen=True, slots=True)
class Spread:
    """One error along an axis of the jig's frame, of the machined feature on the piece, mm.

    `shape`: "even" between -size and +size; "normal" with 2 standard deviations = size; "one-sided"
    between 0 and size (a drop that has only one direction). `each` piece anew, or once for the
    whole batch.
    """

    name: str
    axis: Literal["x", "y", "z"]
    size: float
    shape: Literal["even", "normal", "one-sided"] = "even"
    each: bool = True
    reads: tuple[str, ...] = ()
