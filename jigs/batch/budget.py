"""Error budget: how far the machined feature may be off, from what each jig may add to it.

Three answers for each axis. **Worst case**: everything at its end at once. **Root-sum-square**: the
variances add, an error that has one direction shifts the middle by half its size; the ends are
those of a normal distribution. **Monte-Carlo**: the errors are drawn and added; its ends hold
whatever the shapes are, so where one error of another shape dominates, believe these.

Sources: JCGM 100:2008 (GUM), even within +-a has the variance a^2 / 3, variances of independent
errors add, 1.96 for 95 %; JCGM 101:2008, propagation of distributions by Monte-Carlo and interval
with equal tails. Clauses from memory, no copy was at hand.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from jigs.model.batch import Spread

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

DRAWS = 100_000
SEED = 8
COVERS = {95.0: 1.959964, 99.7: 2.967738}
"""Per cent -> ends of a normal distribution in standard deviations, equal tails."""


@dataclass(frozen=True, slots=True)
class Ends:
    """An error lies between these, mm."""

    low: float
    high: float

    @property
    def half(self) -> float:
        """Half the width, mm."""
        return (self.high - self.low) / 2


@dataclass(frozen=True)
class AxisBudget:
    """The budget along one axis, mm.

    Parameters: axis "x", "y" or "z"; worst = everything at its end; squares, drawn = per cent of
    pieces -> ends, by root-sum-square and by Monte-Carlo; batch = root-sum-square at 95 % of what
    is the same for the whole batch, which a trial cut can take out; dominant = name of the largest
    contributor and its share of the mean square.
    """

    axis: str
    worst: Ends
    squares: dict[float, Ends]
    drawn: dict[float, Ends]
    batch: Ends
    dominant: str
    share: float


def mean_of(s: Spread) -> float:
    """Mean of an error, mm: half the size where it has one direction, else 0."""
    return s.size / 2 if s.shape == "one-sided" else 0.0


def variance_of(s: Spread) -> float:
    """Variance of an error, mm2: even a^2/3, one-sided a^2/12, normal (a/2)^2."""
    return s.size**2 * {"even": 1 / 3, "one-sided": 1 / 12, "normal": 1 / 4}[s.shape]


def worst_case(spreads: Sequence[Spread]) -> Ends:
    """Everything at its end at once, mm; a normal error ends at its size, two deviations."""
    low = sum(min(0.0, s.size) if s.shape == "one-sided" else -abs(s.size) for s in spreads)
    high = sum(max(0.0, s.size) if s.shape == "one-sided" else abs(s.size) for s in spreads)
    return Ends(float(low), float(high))


def root_sum_square(spreads: Sequence[Spread], per_cent: float = 95.0) -> Ends:
    """Ends between which that share of pieces lies, mm, as if the sum were normal."""
    shift = sum(mean_of(s) for s in spreads)
    reach = COVERS[per_cent] * math.sqrt(sum(variance_of(s) for s in spreads))
    return Ends(shift - reach, shift + reach)


def monte_carlo(
    spreads: Sequence[Spread], draws: int = DRAWS, seed: int = SEED
) -> dict[float, Ends]:
    """Per cent of pieces -> ends with equal tails, mm, from that many draws; the same every run."""
    import numpy as np

    random = np.random.default_rng(seed)
    total = np.zeros(draws)
    for s in spreads:
        total += _drawn(s, draws, random)
    ends = {}
    for per_cent in COVERS:
        tail = (100.0 - per_cent) / 2
        low, high = np.percentile(total, (tail, 100.0 - tail))
        ends[per_cent] = Ends(float(low), float(high))
    return ends


def _drawn(s: Spread, draws: int, random: np.random.Generator) -> NDArray[np.float64]:
    if s.shape == "normal":
        return random.normal(0.0, abs(s.size) / 2, draws)
    low, high = (0.0, s.size) if s.shape == "one-sided" else (-s.size, s.size)
    return random.uniform(min(low, high), max(low, high), draws)


def budget(spreads: Sequence[Spread], axis: str) -> AxisBudget | None:
    """The budget of one axis; None where nothing is declared along it."""
    along = [s for s in spreads if s.axis == axis and s.size]
    if not along:
        return None
    squares = [variance_of(s) + mean_of(s) ** 2 for s in along]
    largest = max(range(len(along)), key=lambda i: squares[i])
    return AxisBudget(
        axis, worst_case(along), {p: root_sum_square(along, p) for p in COVERS},
        monte_carlo(along), root_sum_square([s for s in along if not s.each]),
        along[largest].name, squares[largest] / sum(squares),
    )  # fmt: skip
