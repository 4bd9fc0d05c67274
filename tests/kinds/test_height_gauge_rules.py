"""Sizing rules of the height gauge, each branch with plain numbers, by searching or by strips."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jigs.errors import DesignError
from jigs.kinds.height_gauge import pressing, sizing

# Arch, bar and key


def drop_by_circles(arch: float, dome: float, aside: float) -> float:
    """The dome pushed up step by step until a point of it meets the arch's circle."""
    x = np.linspace(-dome, dome, 40_001) * 0.5
    room = np.sqrt(arch**2 - (x + aside) ** 2) - np.sqrt(dome**2 - x**2)
    return float((arch - dome) - room.min())


@pytest.mark.parametrize(
    ("dome", "error", "by_hand"),
    [
        (30.125, 0.6, 61),  # twice the dome, up
        (30.0, 0.6, 60),
        (30.0, 3.0, 120),  # 9 / 0.1 more than the dome is flatter than twice
        (20.0, 1.5, 43),  # 20 + 22.5
        (10.0, 1.0, 20),  # 10 + 10 is twice the dome as well
    ],
)
def test_an_arch_is_twice_the_dome_or_flatter_where_standing_aside_costs_more(dome, error, by_hand):
    """To first order no more than 0.05 mm is lost; a flatter arch always loses less."""
    radius = sizing.arch_radius(dome, error)
    assert radius == by_hand
    assert drop_by_circles(radius, dome, error) < 0.0502
    if radius > 2 * dome + 1:
        assert drop_by_circles(radius - 1, dome, error) > 0.05


@pytest.mark.parametrize("aside", [0.0, 0.6, 1.5, 4.0])
def test_the_error_of_standing_aside_by_circles(aside):
    assert sizing.height_error(61, 30.125, aside) == pytest.approx(
        drop_by_circles(61, 30.125, aside), abs=2e-6
    )


@pytest.mark.parametrize(("end", "width"), [(30, 35), (32, 35), (32.1, 40), (7, 10)])
def test_the_arch_is_wider_than_the_end_in_steps_of_five(end, width):
    assert sizing.arch_width(end) == width


@pytest.mark.parametrize(
    ("along", "mouth", "keyed"),
    [("y", 10.2, True), ("y", 5.0, True), ("y", 4.9, False), ("x", 10.2, False), ("", 0.0, False)],
)
def test_slots_along_y_of_five_and_more_guide_it(along, mouth, keyed):
    assert sizing.keyed(along, mouth) is keyed


def test_what_the_key_asks_of_the_bar():
    assert (sizing.flat_width(True), sizing.flat_width(False)) == (30, 25)
    assert sizing.bar_width(35, 30) == 95
    assert (sizing.key_x(35, 30, "right"), sizing.key_x(35, 30, "left")) == (32.5, -32.5)
    assert (sizing.axis_x_error(True), sizing.axis_x_error(False)) == (0.6, 1.5)
    assert sizing.aside(0.6) == 0.6


@pytest.mark.parametrize(("crown", "height"), [(2.565, 45), (5.0, 45), (5.01, 50)])
def test_forty_of_wood_over_the_crown(crown, height):
    assert sizing.bar_height(crown) == height


@pytest.mark.parametrize(
    ("axis", "end", "by_hand"),
    [(-52.555, 30, 73), (-52, 30, 72), (0, 30, 20), (40, 30, 20), (-52, 20, 67)],
)
def test_it_reaches_over_the_end_and_five_more(axis, end, by_hand):
    assert sizing.overhang(axis, end) == by_hand


@pytest.mark.parametrize(
    ("over", "sheet"), [(73, 17.4), (58, 17.4), (58.01, 17.4), (60, 18), (87, 17.4), (52.2, 17.4)]
)
def test_the_fewest_slices_of_which_two_thirds_bear(over, sheet):
    count = sizing.slices("stack", over, sheet)
    assert count == next(k for k in range(1, 40) if k * sheet - over >= 2 * over - 1e-6)
    assert sizing.slices("print", over, sheet) == 1


def test_slices_make_the_bar():
    assert sizing.bar_length("stack", 13, 17.6, 73) == pytest.approx(228.8)
    assert sizing.bar_length("stack", 1, 17.6, 73) == 17.6
    assert sizing.bar_length("stack", 100, 17.6, 73) == pytest.approx(1760)
    assert sizing.bar_length("print", 1, 17.6, 57) == 175  # 171
    for count in (0, 101):
        with pytest.raises(DesignError, match=f"{count} slices make no bar"):
            sizing.bar_length("stack", count, 17.6, 73)
    assert sizing.bearing(228.8, 73) == pytest.approx(155.8)


def test_the_key_and_its_groove():
    """0.2 mm of slack; a printed groove 0.3 mm wider; 8 mm deep or a third of its flat."""
    assert sizing.key_width(10.2) == pytest.approx(10)
    assert sizing.key_width(0.0) == 0
    assert sizing.print_clearance() == 0.3
    assert sizing.groove_width(10, "stack", 0.3) == 10
    assert sizing.groove_width(10, "print", 0.3) == pytest.approx(10.3)
    assert sizing.groove_width(0, "print", 0.3) == 0
    assert [sizing.key_groove(flat) for flat in (30, 24, 21)] == [8, 8, 7]
    assert [sizing.key_reach(lip) for lip in (9, 8, 5, 2, 1)] == [6, 6, 3, 0, 0]
    assert [sizing.dowel_diameter(flat) for flat in (24, 23.9)] == [10, 8]


SLOTS = (60.0, 120.0, 180.0, 240.0, 300.0, 360.0, 420.0, 480.0, 540.0)


@pytest.mark.parametrize("key_x", [32.5, 5.0, 90.0, -32.5])
@pytest.mark.parametrize("width", [600.0, 500.0, 760.0])
@pytest.mark.parametrize("asked", [(), (212.0,)])
def test_the_slot_that_puts_the_piece_nearest_its_place(key_x, width, asked):
    wanted = asked[0] if asked else width / 2
    found = sizing.slot_x(SLOTS, True, key_x, width, asked)
    pieces = [sizing.gauge_x(slot, key_x) for slot in SLOTS]
    assert abs(found - key_x - wanted) == min(abs(piece - wanted) for piece in pieces)
    assert sizing.gauge_x(found, key_x) == found - key_x
    assert sizing.gauge_x(sizing.slot_x((), False, key_x, width, asked), key_x) == wanted


def test_of_two_slots_alike_a_key_on_the_right_takes_the_left_one():
    """Slots at 60 and 120: the piece is wanted in the middle of the two places that they give."""
    assert sizing.slot_x((60.0, 120.0), True, 30.0, 120.0, ()) == 60
    assert sizing.slot_x((60.0, 120.0), True, -30.0, 240.0, ()) == 120


@pytest.mark.parametrize(
    ("slots", "width", "asked", "side"),
    [
        (SLOTS, 600.0, (), "right"),  # alike: 267.5 and 332.5
        ((100.0, 330.0), 600.0, (), "right"),  # 297.5; on the left 362.5
        ((100.0, 270.0), 600.0, (), "left"),  # 302.5; on the right 237.5
        ((100.0, 270.0), 600.0, (235.0,), "right"),
        (SLOTS, 600.0, (92.0,), "left"),  # 60 + 32.5
        (SLOTS, 600.0, (88.0,), "right"),  # 120 - 32.5
    ],
)
def test_the_key_is_on_the_side_that_serves_better(slots, width, asked, side):
    assert sizing.key_side(slots, True, 35.0, 30.0, width, asked) == side


def test_without_a_key_the_flats_are_alike():
    assert sizing.key_side((), False, 35.0, 25.0, 600.0, ()) == "right"


# What it weighs and what pushes


def strips(
    width: float, height: float, arch: float, crown: float, groove: float, deep: float
) -> tuple[float, float, float]:
    """Area, second moment and least section modulus of a bar, by ten thousand strips.

    The arch's circle: through both feet of the chord and the crown.
    """
    middle = (crown**2 - (arch / 2) ** 2) / (2 * crown)
    radius = crown - middle
    edges = np.linspace(0, height, 10_001)
    z = (edges[1:] + edges[:-1]) / 2
    hollow = 2 * np.sqrt(np.clip(radius**2 - (z - middle) ** 2, 0, None))
    wide = width - hollow * (z < crown) - groove * (z < deep)
    step = height / 10_000
    area = float(wide.sum() * step)
    centre = float((wide * z).sum() * step) / area
    moment = float((wide * (z - centre) ** 2).sum() * step)
    return area, moment, moment / max(centre, height - centre)


@pytest.mark.parametrize("crown", [2.565, 10.0, 17.5])
@pytest.mark.parametrize("keyed", [True, False])
def test_the_section_by_strips(keyed, crown):
    """Up to an arch that is a half circle; for bending the groove counts right through."""
    groove = 10.0 if keyed else 0.0
    shape = (95.0, 45.0, 35.0, crown)
    area, _, _ = strips(*shape, groove, 8.0)
    _, moment, modulus = strips(*shape, groove, 45.0)
    assert pressing.bar_area(*shape, keyed, 10.0, 8.0) == pytest.approx(area, rel=2e-4)
    assert pressing.bar_second_moment(*shape, keyed, 10.0) == pytest.approx(moment, rel=2e-4)
    assert pressing.bar_section_modulus(*shape, keyed, 10.0) == pytest.approx(modulus, rel=2e-4)


def test_a_bar_weighs_what_it_is_made_of():
    """Finnish plywood 680 kg/m3; PETG 1270, half of it filled; unknown ones are taken as light."""
    assert pressing.bar_density("stack", "birch plywood", "PETG", 0.5) == 680
    assert pressing.bar_density("stack", "bamboo board", "PETG", 0.5) == 500
    assert pressing.bar_density("print", "birch plywood", "PETG", 0.4) == pytest.approx(508)
    assert pressing.bar_density("print", "birch plywood", "jam", 0.4) == pytest.approx(400)
    # A litre at 680 kg/m3 is 0.68 kg.
    assert pressing.gauge_weight(10_000, 100, 680) == pytest.approx(0.68 * 9.81)
    assert pressing.print_fill() == 0.5


def test_a_piece_weighs_at_most_a_bar_of_its_widest():
    """Ash 0.60 at 12 %: 672 kg/m3. Round 36: 1018 mm2 a mm; square 40: 1600."""
    round_one = pressing.piece_weight(36, 0, 231, "ash", ())
    assert round_one == pytest.approx(0.672e-6 * 9.81 * math.pi * 18**2 * 231)
    square = pressing.piece_weight(36, 20, 231, "ash", ())
    assert square == pytest.approx(0.672e-6 * 9.81 * 1600 * 231)
    # Half as deep: 20 x 20 is less than the round one.
    assert pressing.piece_weight(36, 10, 231, "ash", ()) == round_one
    heavy = pressing.piece_weight(36, 0, 231, "bog oak", ())
    assert heavy == pytest.approx(1e-6 * 9.81 * math.pi * 18**2 * 231)
    assert pressing.push(1.5) == 11.5


def test_the_hand_lies_on_the_table_behind_the_edge():
    assert [pressing.hand_at(on) for on in (155.8, 90, 60)] == [45, 45, 30]
    assert pressing.push_reach(-52.5) == 52.5
    assert pressing.push_reach(3.0) == 0
    assert pressing.hand_force() == 30


@pytest.mark.parametrize("reach", [0.0, 50.0])
def test_moments_about_the_back_edge(reach):
    """5 N at 100 mm, a hand of so much at 105: nothing turns; without it a smaller push lifts."""
    need = pressing.hand_needed(12.0, reach, 150.0, 5.0, 200.0, 45.0)
    assert need * 105 + 5 * 100 == pytest.approx(12 * (150 + reach))
    lifts = pressing.rocking_push(5.0, 200.0, 150.0, reach)
    assert lifts * (150 + reach) == pytest.approx(5 * 100)
    assert pressing.hand_needed(lifts, reach, 150.0, 5.0, 200.0, 45.0) == pytest.approx(0, abs=1e-9)


def test_a_hand_behind_the_bar_is_refused():
    with pytest.raises(DesignError, match="hand_at is behind the bar"):
        pressing.hand_needed(12.0, 50.0, 45.0, 5.0, 200.0, 45.0)
    assert pressing.hand_needed(12.0, 50.0, 45.1, 5.0, 200.0, 45.0) > 0


# What it bears


def test_what_boards_and_prints_give():
    """Birch plywood square to the sheet: 600 and 180 MPa, 1.5 MPa; the glue line 1 MPa."""
    assert pressing.bar_stiffness("stack", "birch plywood", "PETG", 0.5) == 600
    assert pressing.bar_stiffness("print", "birch plywood", "PETG", 0.4) == pytest.approx(800)
    assert pressing.bar_stiffness("stack", "bamboo board", "PETG", 0.5) == 0
    assert pressing.bar_stiffness("print", "birch plywood", "jam", 0.5) == 0
    assert pressing.bar_shear_stiffness("stack", "birch plywood", 600) == 180
    # G = E / 2 (1 + nu), nu = 0.4
    assert pressing.bar_shear_stiffness("print", "birch plywood", 1000) == pytest.approx(357.14286)
    assert pressing.glue_tension() == 1.0
    strength = pressing.bar_strength
    assert strength("stack", "birch plywood", "PETG", 0.5, 1.0) == 1.0
    assert strength("stack", "birch plywood", "PETG", 0.5, 9.0) == 1.5
    assert strength("stack", "MDF", "PETG", 0.5, 1.0) == 0.55  # EN 622-5, internal bond
    assert strength("print", "birch plywood", "PETG", 0.4, 1.0) == pytest.approx(10)
    assert pressing.rise_allowed() == 0.05


@pytest.mark.parametrize("share", [1.0, 0.01])
def test_a_share_may_be_all_of_it(share):
    assert pressing.bar_density("print", "", "PETG", share) == pytest.approx(1270 * share)


@pytest.mark.parametrize("share", [0.0, 1.01, -1.0])
def test_more_than_all_is_refused(share):
    for call in (pressing.bar_density, pressing.bar_stiffness):
        with pytest.raises(DesignError, match="print_fill"):
            call("print", "", "PETG", share)
    with pytest.raises(DesignError, match="print_fill"):
        pressing.bar_strength("print", "", "PETG", share, 1.0)


def test_the_overhang_bends_and_shears():
    """Second witness: curvature and shear summed along the bar, pivots at the hand and the back.

    M rises evenly from the back to P a at the hand and falls to nought at the tip.
    """
    push, reach, at, on, area, second, young, shear = 12.0, 50.0, 45.0, 155.0, 4000.0, 6e5, 600, 180
    arm, back = reach + at, on - at
    x = (np.arange(20_000) + 0.5) / 20_000
    own = push * arm * x  # the moment along either part
    unit = arm * x
    bends = float((own * unit).mean()) * (arm + back) / (young * second)
    slides = push * arm / (5 / 6 * shear * area)
    slides += (push * arm / back) * (arm / back) * back / (5 / 6 * shear * area)
    found = pressing.bending_rise(push, reach, at, on, area, second, young, shear)
    assert found == pytest.approx(bends + slides, rel=1e-6)
    assert pressing.overhang_moment(push, reach, at) == pytest.approx(push * 95)
    for unknown in ((0, shear), (young, 0), (0, 0)):
        assert pressing.bending_rise(push, reach, at, on, area, second, *unknown) == 0


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda bad: pressing.gauge_weight(1, 1, bad), "bar_density"),
        (lambda bad: pressing.hand_needed(bad, 1, 10, 1, 1, 1), "push"),
        (lambda bad: pressing.overhang_moment(bad, 1, 1), "push"),
        (lambda bad: pressing.bending_rise(bad, 1, 1, 9, 1, 1, 1, 1), "push"),
        (lambda bad: pressing.bar_strength("stack", "MDF", "", 1, bad), "glue_tension"),
    ],
)
@pytest.mark.parametrize("bad", [0.0, -1.0])
def test_nothing_and_less_is_refused_by_name(call, name, bad):
    with pytest.raises(DesignError, match=f"{name} is {bad:g}") as refused:
        call(bad)
    assert refused.value.remedy == f"leave {name} out"
