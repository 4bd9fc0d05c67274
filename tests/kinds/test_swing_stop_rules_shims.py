"""Shims at their limits: a quarter exactly, twelve in a set, the worst room between two stacks."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest

from jigs.errors import DesignError
from jigs.kinds.swing_stop import shimming
from jigs.model.number import Standing
from jigs.reading.job import read_job
from jigs.sizing import design


def fewest(owned: tuple[float, ...], room: float) -> int:
    """Second witness: the least number of shims of any choice within a quarter millimetre."""
    counts = [
        count for count in range(len(owned) + 1)
        if any(abs(sum(some) - room) <= 0.25 + 1e-7 for some in combinations(owned, count))
    ]  # fmt: skip
    return min(counts)


@pytest.mark.parametrize(
    ("owned", "room"),
    [
        # 0.3 misses by a quarter but for the noise of floats: one shim, not 0.3 and 0.25
        ((0.25, 0.3), 0.55),
        # 0.66 likewise (0.41 + 0.25 is a hair less in floats), not two thin ones
        ((0.13, 0.13, 0.15, 0.66), 0.41),
        # thin ones make it first, a thick one makes it with fewer; and the other way round
        ((1.0, 1.0, 2.0), 2.0),
        ((1.0, 2.0, 4.0, 5.0, 6.0), 9.0),
        ((0.5, 1.0, 2.0, 4.0, 8.0), 15.5),
    ],
)
def test_the_fewest_shims_within_a_quarter(owned, room):
    stack = shimming.shims_for(owned, room)
    assert len(stack) == fewest(owned, room)
    assert abs(sum(stack) - room) <= 0.25 + 1e-7


def test_of_as_few_the_nearest_and_of_those_the_thinner():
    assert shimming.shims_for((1.0, 1.1, 1.2), 1.1) == (1.1,)
    assert shimming.shims_for((1.0, 1.2), 1.1) == (1.0,)
    # nothing comes within a quarter: the nearest, however many
    assert shimming.shims_for((3.0, 4.0), 6.0) == (4.0, 3.0)
    assert shimming.shims_for((3.0, 9.0), 6.0) in ((3.0,), (9.0,))


def test_twelve_are_a_set_and_thirteen_too_many():
    twelve = tuple(float(i + 1) for i in range(12))
    assert shimming.shims_for(twelve, 78.0) == tuple(reversed(twelve))
    with pytest.raises(DesignError, match="13 shims in the set"):
        shimming.shims_for((*twelve, 13.0), 1.0)


def test_the_worst_room_lies_between_two_stacks():
    """One shim of 1: half a millimetre is worst, half way from none to it; the ends are not."""
    assert shimming.greatest_rest((1.0,), 0.0, 1.0) == pytest.approx(0.5, abs=0.01)
    assert shimming.greatest_rest((1.0,), 0.49, 0.51) == pytest.approx(0.5, abs=0.01)
    assert shimming.greatest_rest((1.0,), 0.2, 0.2) == pytest.approx(0.2)
    assert shimming.greatest_rest((1.0,), 1.0, 3.0) == pytest.approx(2)


SHOP = Path(__file__).parents[1] / "shops/front_bar_board.yaml"


@pytest.mark.parametrize(
    ("written", "standing"), [("", Standing.ASSUMED), (", shims: [1, 2]", Standing.GIVEN)]
)
def test_a_set_of_shims_is_given_only_where_it_is_written(tmp_path, written, standing):
    """A default that reads as the user's own would hide that nobody looked into the drawer."""
    job = tmp_path / "job.yaml"
    job.write_text(SHOP.read_text().replace("kind: swing_stop", f"kind: swing_stop{written}"))
    (stop,) = (j for _, j in design(read_job(job)).jigs())
    assert stop.n["shim_set"].standing is standing
