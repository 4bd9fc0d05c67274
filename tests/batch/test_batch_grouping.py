"""Grouping: as few groups as any partition can have."""

import random
from itertools import combinations, pairwise

import pytest

from jigs.batch.grouping import grouped, within


def fewest_of_all(sizes, fits):
    """Every way of cutting the sorted list into runs; only runs can be of use, fits is by ends."""
    line = sorted(sizes)
    for cuts in range(len(line)):
        for places in combinations(range(1, len(line)), cuts):
            ends = [0, *places, len(line)]
            runs = [line[a:b] for a, b in pairwise(ends)]
            if all(fits(run[0], run[-1]) for run in runs):
                return len(runs)
    raise AssertionError("nothing fits")


def fewest_of_any_sets(sizes, fits):
    """Every partition into sets, runs or not: the smallest number of sets that fit."""
    best = len(sizes)

    def place(left, sets):
        nonlocal best
        if len(sets) >= best:
            return
        if not left:
            best = len(sets)
            return
        first, *rest = left
        for i, one in enumerate(sets):
            joined = [*one, first]
            if fits(min(joined), max(joined)):
                place(rest, [*sets[:i], joined, *sets[i + 1 :]])
        place(rest, [*sets, [first]])

    place(list(sizes), [])
    return best


@pytest.mark.parametrize("seed", range(8))
def test_no_partition_has_fewer_groups(seed):
    draw = random.Random(seed)
    sizes = [round(draw.uniform(30, 40), 1) for _ in range(8)]
    fits = within(draw.choice([0.5, 2.0, 4.0]))
    assert len(grouped(sizes, fits)) == fewest_of_any_sets(sizes, fits)


def uneven(least, most):
    """A thing that reaches further where it is larger: up to a tenth of its size."""
    return most <= 1.1 * least


@pytest.mark.parametrize("seed", range(8))
def test_no_cut_of_the_sorted_list_has_fewer_groups(seed):
    draw = random.Random(100 + seed)
    sizes = [draw.uniform(20, 45) for _ in range(10)]
    assert len(grouped(sizes, uneven)) == fewest_of_all(sizes, uneven)


def test_each_piece_is_in_one_group_that_fits():
    draw = random.Random(1)
    sizes = [draw.uniform(20, 45) for _ in range(400)]
    groups = grouped(sizes, uneven)
    assert sorted(i for g in groups for i in g.places) == list(range(400))
    for g in groups:
        mine = [sizes[i] for i in g.places]
        assert (g.least, g.most) == (min(mine), max(mine))
        assert uneven(g.least, g.most)


def test_few_questions_are_asked():
    asked = []

    def fits(least, most):
        asked.append((least, most))
        return most - least <= 100

    assert len(grouped(list(range(10_000)), fits)) == 100
    assert len(asked) < 100 * 20


def test_a_size_that_nothing_serves_is_refused():
    with pytest.raises(ValueError, match="nothing serves a size of 40 mm"):
        grouped([30, 40], lambda least, most: most < 35)


def test_no_sizes_make_no_groups():
    assert grouped([], within(1.0)) == []
