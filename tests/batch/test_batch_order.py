"""The order of the pieces: nothing lost, settings together, as short as can be where we can see."""

import random
from itertools import pairwise, permutations

import pytest

from jigs.batch.order import best_order
from jigs.model.batch import Setting


def piece(liner, fence):
    return (
        Setting("liner", liner, changes=10.0), Setting("fence", fence, changes=0.5),
        Setting("turns", random.random(), changes=0.0),
    )  # fmt: skip


def minutes(pieces):
    return sum(
        10.0 * (a[0].value != b[0].value) + 0.5 * (a[1].value != b[1].value)
        for a, b in pairwise(pieces)
    )


@pytest.mark.parametrize("seed", range(10))
def test_as_short_as_the_shortest_of_all_orders(seed):
    draw = random.Random(seed)
    pieces = [piece(draw.choice([2, 3]), draw.choice([37, 38, 39])) for _ in range(7)]
    order = best_order(pieces)
    assert order.minutes == minutes([pieces[i] for i in order.places])
    assert order.minutes == min(minutes(p) for p in permutations(pieces))
    assert order.as_listed == minutes(pieces)


def test_one_changing_setting_is_sorted_by():
    pieces = [(Setting("offset", v, changes=0.1),) for v in (3.0, 1.0, 2.0, 1.0)]
    order = best_order(pieces)
    assert order.places == (1, 3, 2, 0)
    assert order.minutes == pytest.approx(0.2)


def test_every_piece_once_and_never_longer_than_as_listed():
    draw = random.Random(2)
    pieces = [piece(draw.choice([2, 3, 4]), draw.randrange(200)) for _ in range(2000)]
    order = best_order(pieces)
    assert sorted(order.places) == list(range(2000))
    assert order.minutes <= order.as_listed


def test_equal_pieces_keep_the_order_in_which_they_are_listed():
    assert best_order([piece(3, 38) for _ in range(5)]).places == (0, 1, 2, 3, 4)
