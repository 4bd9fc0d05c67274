"""Stacks of shims against every subset of the set, tried one by one."""

from itertools import combinations

import pytest

from jigs.errors import DesignError
from jigs.kinds.swing_stop.shimming import (
    MOST,
    WITHIN,
    greatest_rest,
    rest_after,
    shims_for,
    told,
)

SETS = [
    (0.5, 1.0, 2.0, 4.0, 8.0),
    (0.3, 0.7, 1.5, 3.1, 6.0, 12.5),
    (1.0, 1.0, 2.0, 5.0, 5.0),
    (0.25, 0.5, 0.8, 1.2, 2.0, 3.0, 4.5, 6.0, 9.0),
    (3.0,),
]
ROOMS = [0.0, 0.1, 0.249, 0.251, 0.5, 0.76, 1.0, 2.3, 3.33, 5.0, 7.77, 9.9, 14.2, 15.5, 15.75, 31.0]


def every_subset(owned):
    for count in range(len(owned) + 1):
        yield from combinations(owned, count)


def best_by_trying(owned, room):
    """(how many, how far off) of the best subset: the fewest within reach, else the nearest."""
    tried = [(len(s), round(abs(sum(s) - room), 6)) for s in every_subset(owned)]
    near = [(count, off) for count, off in tried if off <= WITHIN + 1e-6]
    if near:
        return min(near)
    off, count = min((off, count) for count, off in tried)
    return count, off


@pytest.mark.parametrize("owned", SETS, ids=str)
@pytest.mark.parametrize("room", ROOMS)
def test_a_stack_is_the_best_of_all_subsets(owned, room):
    stack = shims_for(owned, room)
    assert (len(stack), round(abs(sum(stack) - room), 6)) == best_by_trying(owned, room)
    for shim in set(stack):
        assert stack.count(shim) <= owned.count(shim)
    assert list(stack) == sorted(stack, reverse=True)


def test_by_hand():
    # 3.6: 4 misses by 0.4; 4 less nothing; 2 + 1 + 0.5 = 3.5 misses by 0.1
    assert shims_for(SETS[0], 3.6) == (2.0, 1.0, 0.5)
    # 3.8: one shim of 4 misses by 0.2, fewer than 2 + 1 + 0.5 + nothing
    assert shims_for(SETS[0], 3.8) == (4.0,)
    assert rest_after(SETS[0], 3.8) == pytest.approx(-0.2)
    assert rest_after(SETS[0], 3.6) == pytest.approx(0.1)
    assert told((4.0, 0.5)) == "4 + 0.5"
    assert told(()) == "none"


def test_the_greatest_rest_is_at_least_every_rest_between():
    low, high = 1.3, 4.9
    worst = greatest_rest((3.0,), low, high)
    # one shim of 3: at 4.9 it leaves 1.9, at 1.3 it is 1.7 too thick, or none leaves 1.3
    assert worst == pytest.approx(1.9)
    assert greatest_rest(SETS[0], 0.0, 15.5) == pytest.approx(0.25, abs=1e-6)
    assert greatest_rest(SETS[0], 2.0, 2.0) == 0


@pytest.mark.parametrize("owned", [(0.0,), (1.0, -1.0), tuple([1.0] * (MOST + 1))])
def test_sets_that_are_none_are_refused(owned):
    with pytest.raises(DesignError, match="shim"):
        shims_for(owned, 1.0)
