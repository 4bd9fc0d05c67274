"""Error budget: closed forms against draws, and where they must differ."""

import math

import pytest

from jigs.batch.budget import budget, monte_carlo, root_sum_square, worst_case
from jigs.model.batch import Spread


def spreads(*parts, axis="y"):
    return [Spread(f"e{i}", axis, size, shape) for i, (size, shape) in enumerate(parts)]


ALIKE = {
    "normal ones": spreads(*[(s, "normal") for s in (0.1, 0.2, 0.15, 0.3)]),
    "many even ones": spreads(*[(0.1 + 0.005 * i, "even") for i in range(24)]),
    "even and normal": spreads(*[(0.2, "even")] * 8, *[(0.2, "normal")] * 4),
    "many one-sided ones": spreads(*[(0.1, "one-sided")] * 16),
}


@pytest.mark.parametrize("name", ALIKE)
def test_draws_and_squares_agree_where_the_sum_is_normal(name):
    """Within 3 %: the central limit theorem says so of many, and of normal ones exactly."""
    drawn = monte_carlo(ALIKE[name])
    for per_cent in (95.0, 99.7):
        squares = root_sum_square(ALIKE[name], per_cent)
        assert drawn[per_cent].half == pytest.approx(squares.half, rel=0.03)
        middle = (squares.low + squares.high) / 2
        assert (drawn[per_cent].low + drawn[per_cent].high) / 2 == pytest.approx(
            middle, abs=0.03 * squares.half
        )


def test_one_dominant_one_sided_error_is_where_they_must_not_agree():
    """Evenly between 0 and 1: 95 % with equal tails is 0.025 to 0.975, half of it 0.475 exactly.

    Squares say 1.96 / sqrt(12) = 0.566, and an end below 0, where the error cannot be.
    """
    one = spreads((1.0, "one-sided"), (0.02, "even"))
    drawn, squares = monte_carlo(one)[95.0], root_sum_square(one)
    assert drawn.low == pytest.approx(0.025, abs=0.01)
    assert drawn.high == pytest.approx(0.975, abs=0.01)
    assert squares.low < -0.05
    assert squares.half / drawn.half == pytest.approx(1.959964 / math.sqrt(12) / 0.475, rel=0.02)
    assert abs(squares.half / drawn.half - 1) > 0.15


def test_two_even_errors_make_a_triangle():
    """Even plus even of one size is a triangle: 95 % lies within 2 a (1 - sqrt(0.05)) (derived)."""
    drawn = monte_carlo(spreads((0.3, "even"), (0.3, "even")))[95.0]
    assert drawn.high == pytest.approx(0.6 * (1 - math.sqrt(0.05)), rel=0.01)


def test_a_drop_shifts_the_middle_and_has_one_direction():
    ends = worst_case(spreads((-0.3, "one-sided"), (0.1, "even"), axis="z"))
    assert (ends.low, ends.high) == pytest.approx((-0.4, 0.1))
    likely = root_sum_square(spreads((-0.3, "one-sided"), axis="z"))
    assert (likely.low + likely.high) / 2 == pytest.approx(-0.15)


def test_the_largest_contributor_is_named_with_its_share():
    """By hand: even 0.3 has 0.03, normal 0.2 has 0.01: three quarters."""
    b = budget([Spread("play", "x", 0.3), Spread("aim", "x", 0.2, "normal"),
                Spread("other axis", "y", 9.0)], "x")  # fmt: skip
    assert b is not None
    assert (b.dominant, b.share) == ("play", pytest.approx(0.75))


def test_what_is_the_same_for_the_whole_batch_stands_apart():
    b = budget([Spread("bore", "y", 0.3, each=False), Spread("squeeze", "y", 0.1)], "y")
    assert b is not None
    assert b.batch.high == pytest.approx(1.959964 * 0.3 / math.sqrt(3))


def test_the_same_draws_every_time_and_none_where_nothing_is_declared():
    assert monte_carlo(ALIKE["normal ones"]) == monte_carlo(ALIKE["normal ones"])
    assert budget(ALIKE["normal ones"], "z") is None
