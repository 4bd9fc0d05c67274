"""The shipped gauge's numbers, worked by hand: dome 4 high over 30."""

import math

import pytest


@pytest.fixture
def gauge(allotment):
    return next(jig for _, jig in allotment.jigs() if jig.name == "gauge")


def test_dome_radius_from_rise_and_width(allotment):
    # r = w^2 / (8 s) + s / 2 = 900 / 32 + 2
    assert allotment.numbers()["dibber.dome_radius"].value == pytest.approx(30.125)


def test_crown_is_the_height_of_every_piece(allotment, gauge):
    crown = 61 - math.sqrt(61**2 - 17.5**2)
    assert gauge.n.crown_height == pytest.approx(crown, abs=1e-9)
    assert allotment.setups[0].work_zero.at[2] == pytest.approx(crown, abs=1e-9)


def test_the_arch_touches_the_crown_and_the_flats_lie_on_the_table(gauge):
    x0, y0, x1, y1 = gauge.parts["bar"].outline.bounds
    assert (x0, y0, x1, y1) == pytest.approx((-47.5, 0, 47.5, 45))
    arch = next(s for s in gauge.parts["bar"].outline.sides if s.bulge)
    assert max(p[1] for p in arch.extremes()) == pytest.approx(gauge.n.crown_height, abs=1e-9)
    assert arch.radius == pytest.approx(61)


def test_the_key_stands_in_a_slot_of_the_table(allotment, gauge):
    axis_x = allotment.setups[0].work_zero.at[0]
    assert axis_x + gauge.n.key_x in gauge.n.table_slots_at


def test_bar_is_whole_slices_and_twice_the_overhang_rests_on_the_table(gauge):
    assert gauge.n.bar_length / 17.6 == pytest.approx(round(gauge.n.bar_length / 17.6))
    assert gauge.n.bearing >= 2 * gauge.n.overhang - 17.6
