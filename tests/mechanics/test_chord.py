"""Circles and chords against published examples and against high-precision arithmetic."""

from decimal import Decimal, getcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jigs.mechanics.chord import drop_under_arch, sagitta

getcontext().prec = 60


@pytest.mark.parametrize(
    ("radius", "chord", "height"),
    [
        (10, 12, 2.0),  # bit1024.com Arc-Height-Sagitta-Calculator
        (15, 20, 3.82),  # the same, rounded there to two places
        (45, 40, 4.6887),  # worked by hand: 45 - sqrt(45^2 - 20^2)
    ],
)
def test_sagitta_of_published_examples(radius, chord, height):
    assert sagitta(radius, chord) == pytest.approx(height, abs=5e-3)


@given(st.floats(1, 5000), st.floats(0.001, 1))
def test_sagitta_keeps_its_digits(radius, share):
    chord = 2 * radius * share
    r, c = Decimal(radius), Decimal(chord)
    exact = r - (r * r - c * c / 4).sqrt() if c < 2 * r else r
    assert sagitta(radius, min(chord, 2 * radius)) == pytest.approx(float(exact), rel=1e-6)


def test_a_chord_longer_than_the_diameter_is_refused():
    with pytest.raises(ValueError, match="no chord"):
        sagitta(10, 20.001)


@pytest.mark.parametrize(("aside", "drop"), [(1, 0.0334), (2, 0.1339)])
def test_drop_under_an_arch(aside, drop):
    """R_g 45, R_d 30: worked by hand, 15 - sqrt(225 - e^2)."""
    assert drop_under_arch(45, 30, aside) == pytest.approx(drop, abs=5e-5)


def test_a_dome_that_is_no_smaller_than_the_arch_is_refused():
    with pytest.raises(ValueError, match="does not fit"):
        drop_under_arch(30, 30, 0)


def test_a_dome_further_aside_than_its_arch_goes_is_refused():
    """Centre on a circle of 40 - 25 = 15 mm: at 15 it has dropped by all of it, at 16 it is off."""
    assert drop_under_arch(40.0, 25.0, 15.0) == pytest.approx(15.0)
    with pytest.raises(ValueError, match="beyond the arch"):
        drop_under_arch(40.0, 25.0, 16.0)
