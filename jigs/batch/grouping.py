"""The smallest number of groups of sizes such that each group is served by one thing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

Fits = Callable[[float, float], bool]
"""Does one thing serve all sizes from the first to the second, mm?"""


@dataclass(frozen=True, slots=True)
class Group:
    """Sizes from `least` to `most`, mm; `places` in the list that was grouped, smallest first."""

    least: float
    most: float
    places: tuple[int, ...]


def grouped(sizes: Sequence[float], fits: Fits) -> list[Group]:
    """Group sizes into as few groups as can be, smallest sizes first.

    Parameters: sizes [mm]; fits = whether one thing serves an interval; what serves an interval
    must serve every part of it. Returns the groups. Raises ValueError for a size that nothing
    serves even alone. Source: derived: the group of the smallest size may as well reach as far as
    it can, and so on (greedy; the test holds it against all partitions). `fits` is asked about
    2 log2(n) times a group.
    """
    order = sorted(range(len(sizes)), key=lambda i: sizes[i])
    groups: list[Group] = []
    start = 0
    while start < len(order):
        least = sizes[order[start]]
        if not fits(least, least):
            raise ValueError(f"nothing serves a size of {least:g} mm")
        end = _furthest(order, sizes, start, fits)
        groups.append(Group(least, sizes[order[end]], tuple(order[start : end + 1])))
        start = end + 1
    return groups


def _furthest(order: Sequence[int], sizes: Sequence[float], start: int, fits: Fits) -> int:
    """Last place in the order that can join the group that begins at `start`."""
    least = sizes[order[start]]
    step, good = 1, start
    while good + step < len(order) and fits(least, sizes[order[good + step]]):
        good, step = good + step, 2 * step
    bad = min(good + step, len(order))
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (middle, bad) if fits(least, sizes[order[middle]]) else (good, middle)
    return good


def within(allowance: float) -> Fits:
    """Sizes that count as equal: no further apart than that, mm; a billionth of grace for noise."""
    return lambda least, most: most - least <= allowance + 1e-9
