"""What is odd among the measured pieces: far from the rest, in other units, not what may come."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from jigs.shop.piece import SINGLE, Batch
from jigs.units import MM_PER_INCH

FAR = 3.5
"""Modified z score 0.6745 |x - median| / MAD above which a value is an outlier: Iglewicz and
Hoaglin, How to detect and handle outliers (1993), chapter 3.3, as quoted."""

ALONE = {5: 0.710, 7: 0.568, 10: 0.466, 15: 0.384, 20: 0.342, 25: 0.317, 30: 0.298}
"""Pieces -> Dixon's ratio, gap to the next over the whole range, above which the outermost stands
alone (95 %, both ends); beyond 30 as for 30. Rorabacher, Anal. Chem. 63 (1991) 139, from memory."""

FINEST = 0.05
"""mm; least MAD that is counted: what a caliper tells on wood. Assumed; common practice."""

FEWEST = 5
"""Pieces; with fewer nothing can be said to be far from the rest. Assumed."""


@dataclass(frozen=True, slots=True)
class Odd:
    """A piece that is odd in one size: its place in the batch, and why, in words."""

    place: int
    word: str
    told: str


def outliers(batch: Batch) -> list[Odd]:
    """Pieces far from the rest of the batch, by each measured size, and values in other units."""
    found = []
    for word, values in batch.sizes.items():
        if len(values) < FEWEST:
            continue
        middle = median(values)
        mad = max(FINEST, _step(values), median([abs(v - middle) for v in values]))
        far = {i for i, v in enumerate(values) if 0.6745 * abs(v - middle) > FAR * mad}
        far |= _standing_alone(values, far)
        rest = sorted(v for i, v in enumerate(values) if i not in far)
        found += [Odd(i, word, _told(batch, word, i, rest, middle)) for i in sorted(far)]
    return found


def _step(values: Sequence[float]) -> float:
    """Least difference of two readings, mm: how finely was measured."""
    different = sorted(set(values))
    return min((b - a for a, b in pairwise(different)), default=0.0)


def _standing_alone(values: Sequence[float], far: Set[int]) -> set[int]:
    """Outermost pieces with a wide gap to the next, one after the other, no more than half."""
    order = sorted((i for i in range(len(values)) if i not in far), key=lambda i: values[i])
    alone: set[int] = set()
    while len(order) >= max(FEWEST, len(values) // 2 + 1):
        v = [values[i] for i in (order[0], order[1], order[-2], order[-1])]
        low = v[1] - v[0] > v[3] - v[2]
        gap = v[1] - v[0] if low else v[3] - v[2]
        known = max(n for n in ALONE if n <= len(order))
        if gap <= ALONE[known] * (v[3] - v[0]) or gap <= 4 * FINEST:
            break
        alone.add(order.pop(0 if low else -1))
    return alone


def _told(batch: Batch, word: str, i: int, rest: Sequence[float], middle: float) -> str:
    value, name = batch.sizes[word][i], f"piece {batch.ids[i]} ({batch.file}:{batch.lines[i]})"
    if value and 0.75 < middle / value / MM_PER_INCH < 1.33:
        return (f"{name}: {word} {value:g} mm looks like inches: {value:g} in is "
                f"{value * MM_PER_INCH:.2f} mm, and the rest lies about {middle:.2f}")  # fmt: skip
    if middle and 0.75 < value / middle / MM_PER_INCH < 1.33:
        return (f"{name}: {word} {value / MM_PER_INCH:g} in looks like millimetres taken for "
                f"inches; the rest lies about {middle / MM_PER_INCH:.3f} in")  # fmt: skip
    if value > rest[-1]:
        return f"{name}: {word} {value:g} is {value - rest[-1]:.2g} mm over the rest"
    return f"{name}: {word} {value:g} is {rest[0] - value:.2g} mm under the rest"


def outside(batch: Batch) -> list[Odd]:
    """Pieces outside the limits that the job gives as well: what may come."""
    found = []
    for word, limits in batch.may_come.items():
        single = any(word in words for words in SINGLE.values())
        if limits.spread == 0 and not (single and limits.most > 0):
            continue
        for i, value in enumerate(batch.sizes[word]):
            beyond = max(0.0 if single else limits.least - value, value - limits.most)
            if beyond > 1e-9:
                side = "under" if value < limits.least else "over"
                end = limits.least if value < limits.least else limits.most
                found.append(
                    Odd(i, word, f"piece {batch.ids[i]} ({batch.file}:{batch.lines[i]}): {word} "
                        f"{value:g} is {beyond:.2g} mm {side} the {end:g} that the job gives")
                )  # fmt: skip
    return found
