"""Where a function crosses zero, and where it is highest: plain searches, no library at run time.

Source: false position with halved weights (the Illinois method) and golden section, any text on
numerical methods.
"""

from __future__ import annotations

import math
from collections.abc import Callable

_GOLDEN = (math.sqrt(5) - 1) / 2
_STEPS = 60
_GOLDEN_STEPS = 48


def crossing(
    function: Callable[[float], float], low: float, high: float, close: float = 1e-12
) -> float:
    """Where a function that is below 0 at `low` and above at `high` crosses zero.

    Returns the upper end of an interval no wider than `close` of `high`, or a place where it is
    within `close` of 0. Raises ValueError where the ends are not on both sides.
    """
    below, above = function(low), function(high)
    if below >= 0:
        return low
    if above < 0:
        raise ValueError(f"it does not cross between {low:g} and {high:g}")
    reach = close * max(abs(low), abs(high))
    kept = 0
    for _ in range(_STEPS):
        guess = high - above * (high - low) / (above - below)
        if not low < guess < high:
            guess = (low + high) / 2
        value = function(guess)
        if abs(value) <= close:
            return guess
        # Only an end that is kept twice in a row weighs half: always halved, it crawls.
        if value < 0:
            above = above / 2 if kept > 0 else above
            low, below, kept = guess, value, 1
        else:
            below = below / 2 if kept < 0 else below
            high, above, kept = guess, value, -1
        if high - low <= reach:
            break
    return high


def highest(function: Callable[[float], float], low: float, high: float) -> float:
    """The highest value of a single peak between low and high, ends included."""
    best = max(function(low), function(high), function((low + high) / 2))
    for _ in range(_GOLDEN_STEPS):
        left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        low, high = (low, right) if function(left) > function(right) else (left, high)
    return max(best, function((low + high) / 2))
