"""Shims behind the body: which of the user's set make up what is missing, and what is left over.

One of each that the set lists; the same thickness may be listed twice. The fewest shims that come
within `WITHIN` are taken, of those the nearest: few are quicker to hang and lie flatter.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from functools import lru_cache

from jigs.errors import DesignError

WITHIN = 0.25
"""mm by which a stack may miss. Half the usual step of 0.5: common practice, no source."""

MOST = 12
"""Shims in a set: all their sums are listed. Assumed."""

Stack = tuple[float, ...]


def shims_for(owned: Stack, room: float) -> Stack:
    """The shims to hang for that room, thickest first, mm.

    Parameters: owned = thicknesses in the set [mm]; room = what is to be filled [mm]. Returns the
    fewest whose sum is within `WITHIN`, of those the nearest; where none is, the nearest of all.
    Raises DesignError for a set that is too large or not above 0.
    """
    sums = _sums(tuple(sorted(owned)))
    totals = [total for total, _ in sums]
    near = sums[
        bisect_left(totals, room - WITHIN - _HAIR) : bisect_right(totals, room + WITHIN + _HAIR)
    ]
    if near:
        return min(near, key=lambda s: (len(s[1]), round(abs(s[0] - room), 9), s[0]))[1]
    return min(sums, key=lambda s: (round(abs(s[0] - room), 9), len(s[1])))[1]


def rest_after(owned: Stack, room: float) -> float:
    """What a stack leaves of that room, mm: positive = a gap, negative = it pushes."""
    return room - math.fsum(shims_for(owned, room))


def greatest_rest(owned: Stack, low: float, high: float) -> float:
    """The largest miss of any room from low to high, mm, found in steps of 0.01 mm or finer."""
    steps = max(1, math.ceil((high - low) / 0.01))
    return max(abs(rest_after(owned, low + (high - low) * i / steps)) for i in range(steps + 1))


def told(stack: Stack) -> str:
    """`4 + 0.5`, or `none`."""
    return " + ".join(f"{shim:g}" for shim in stack) or "none"


_HAIR = 1e-9


@lru_cache(maxsize=16)
def _sums(owned: Stack) -> tuple[tuple[float, Stack], ...]:
    """Every sum with the fewest shims that make it, thickest first; least sum first."""
    if len(owned) > MOST:
        raise DesignError("shims", f"{len(owned)} shims in the set", f"{MOST} at most")
    if any(not shim > 0 for shim in owned):
        raise DesignError("shims", "a shim of no thickness", "thicknesses above 0, in mm")
    found: dict[float, Stack] = {0.0: ()}
    for shim in owned:
        for total, stack in list(found.items()):
            more = round(total + shim, 6)
            if more not in found or len(found[more]) > len(stack) + 1:
                found[more] = (shim, *stack)
    return tuple(sorted(found.items()))
