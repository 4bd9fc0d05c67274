"""The order of the pieces in which the settings of the jigs change least."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from jigs.model.batch import Setting

Key = tuple[tuple[str, float, str], ...]
"""What is set: name, value to a millionth, words."""

MOST_FOR_NEAREST = 300
MOST_FOR_SWAPS = 80
MOST_STARTS = 20
"""Different settings up to which an order is looked for; beyond, they are sorted. Assumed: the
search takes a second there."""


@dataclass(frozen=True)
class Order:
    """Places of the pieces in the order to run them; minutes that changes take so and as listed."""

    places: tuple[int, ...]
    minutes: float
    as_listed: float


def best_order(settings: Sequence[Sequence[Setting]]) -> Order:
    """Order pieces so that changing the settings takes little time.

    Parameters: settings of each piece. Pieces with equal settings stay together in their listed
    order; the different ones follow nearest neighbour and 2-opt; where only one setting takes time
    this is sorting by it. Source: common heuristics for the shortest path through all places.
    """
    different = dict.fromkeys(map(tuple, settings))
    costs = _that_vary(different)
    names = sorted(costs, key=lambda name: (-costs[name], name))
    key_of = {several: _key(several, names) for several in different}
    keys = [key_of[tuple(several)] for several in settings]
    classes: dict[Key, list[int]] = {}
    for i, key in enumerate(keys):
        classes.setdefault(key, []).append(i)
    distinct = sorted(classes)
    if 2 < len(distinct) <= MOST_FOR_NEAREST and len(names) > 1:
        starts = range(len(distinct)) if len(distinct) <= MOST_STARTS else (0,)
        paths = [_nearest(distinct, at, costs) for at in starts]
        if len(distinct) <= MOST_FOR_SWAPS:
            paths = [_swapped(path, costs) for path in paths]
        distinct = min(paths, key=lambda path: _minutes(path, costs))
    best = tuple(i for key in distinct for i in classes[key])
    minutes, listed = _minutes(distinct, costs), _minutes(keys, costs)
    if minutes > listed:
        return Order(tuple(range(len(settings))), listed, listed)
    return Order(best, minutes, listed)


def _that_vary(different: Iterable[tuple[Setting, ...]]) -> dict[str, float]:
    """Settings that take time and are not the same on every piece, with their minutes."""
    costs: dict[str, float] = {}
    values: dict[str, set[tuple[float, str]]] = {}
    seen: dict[str, int] = {}
    count = 0
    for several in different:
        count += 1
        for s in several:
            if s.changes > 0:
                costs[s.name] = s.changes
                values.setdefault(s.name, set()).add((round(s.value or 0.0, 6), s.told))
                seen[s.name] = seen.get(s.name, 0) + 1
    return {
        name: cost for name, cost in costs.items() if len(values[name]) > 1 or seen[name] < count
    }


def _key(settings: Sequence[Setting], names: Sequence[str]) -> Key:
    by_name = {s.name: s for s in settings}
    return tuple(
        (name, round(s.value or 0.0, 6), s.told) if (s := by_name.get(name)) else (name, 0.0, "-")
        for name in names
    )


def _cost(a: Key, b: Key, costs: dict[str, float]) -> float:
    return sum(costs[one[0]] for one, other in zip(a, b, strict=True) if one != other)


def _minutes(keys: Sequence[Key], costs: dict[str, float]) -> float:
    return sum(_cost(a, b, costs) for a, b in pairwise(keys) if a is not b)


def _nearest(keys: list[Key], start: int, costs: dict[str, float]) -> list[Key]:
    """From one on, each time the one that is nearest; ties in sorted order."""
    left, path = [*keys[:start], *keys[start + 1 :]], [keys[start]]
    while left:
        at = min(range(len(left)), key=lambda i: _cost(path[-1], left[i], costs))
        path.append(left.pop(at))
    return path


def _swapped(path: list[Key], costs: dict[str, float]) -> list[Key]:
    """2-opt: turn stretches round while that makes the path shorter."""
    better = True
    while better:
        better = False
        for i in range(len(path) - 1):
            for j in range(i + 1, len(path)):
                if _gain(path, i, j, costs) > 1e-9:
                    path[i : j + 1] = path[i : j + 1][::-1]
                    better = True
    return path


def _gain(path: list[Key], i: int, j: int, costs: dict[str, float]) -> float:
    gain = 0.0
    if i > 0:
        gain += _cost(path[i - 1], path[i], costs) - _cost(path[i - 1], path[j], costs)
    if j + 1 < len(path):
        gain += _cost(path[j], path[j + 1], costs) - _cost(path[i], path[j + 1], costs)
    return gain
