"""Searches against functions whose answers are known, and against scipy."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from jigs.mechanics.search import crossing, highest


@given(st.floats(0.2, 5), st.floats(0.01, 900), st.floats(0.1, 50))
def test_crossing_against_scipy(power, aim, slope):
    def function(x):
        return slope * x**power - aim

    high = (aim / slope) ** (1 / power) * 3 + 1
    # scipy leaves off 2e-12 from the root, this 1e-12 of the upper end
    close = 2e-12 + 2e-12 * high
    found = brentq(function, 0, high)
    assert crossing(function, 0.0, high) == pytest.approx(found, rel=1e-7, abs=close)


@given(st.floats(-3, 3), st.floats(0.1, 4))
def test_highest_against_scipy(at, wide):
    def function(x):
        return math.exp(-(((x - at) / wide) ** 2))

    found = minimize_scalar(lambda x: -function(x), bounds=(-5, 5), method="bounded")
    assert highest(function, -5, 5) == pytest.approx(-found.fun, abs=1e-6)
    assert highest(function, -5, 5) >= -found.fun - 1e-9


def test_what_is_above_zero_from_the_start():
    assert crossing(lambda x: x + 1, 0.0, 5.0) == 0.0


def test_what_never_crosses_says_so():
    with pytest.raises(ValueError, match="does not cross between 0 and 5"):
        crossing(lambda x: -1.0, 0.0, 5.0)


def test_a_jump_is_closed_in_on():
    assert crossing(lambda x: 1.0 if x > 2 else -1.0, 0.0, 5.0) == pytest.approx(2, abs=1e-9)
