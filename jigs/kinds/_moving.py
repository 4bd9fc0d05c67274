"""Words for moves that several jigs make: nuts off their bolts, bolts along their slots."""

from __future__ import annotations

from collections.abc import Sequence

from jigs.model.move import Move, When
from jigs.model.pose import Vec
from jigs.model.state import Phase

SPARE = 5.0
"""mm that a part goes on beyond what held it."""


def off(
    name: str, unit: Sequence[str], out: Vec, travel: float, says: str,
    when: When = "assembly", at: Phase = Phase.OPEN, levers: Sequence[str] = (),
) -> Move:  # fmt: skip
    """A unit straight out along a unit vector, by `travel` mm and a little."""
    far = travel + SPARE
    leg = (out[0] * far, out[1] * far, out[2] * far)
    return Move(name, tuple(unit), (leg,), says, when, at, levers=tuple(levers))


def stands_out(outer: Vec, axis: Vec, tip: Vec) -> float:
    """How far a bolt's tip stands beyond a hexagon's outer face, along its axis, mm; 0 if not."""
    return max(0.0, sum(a * (t - o) for a, t, o in zip(axis, tip, outer, strict=True)))


def along_slot(name: str, unit: Sequence[str], slot: Vec, place: float, ends: tuple[float, float],
               says: str) -> Move:  # fmt: skip
    """A head in a slot, out at the nearer end: `place` along the slot between its `ends`, mm."""
    low, high = place - ends[0], ends[1] - place
    sign, travel = (-1.0, low) if low < high else (1.0, high)
    # Half a head more than the slot is long: out in the open.
    out = (sign * slot[0], sign * slot[1], sign * slot[2])
    return off(name, unit, out, travel + 20.0, says)
