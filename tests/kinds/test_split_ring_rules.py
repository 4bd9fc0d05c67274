"""Sizing rules of the split ring: bore, bolts, halves and springs, with plain numbers.

Sizes of bought parts: coach bolts DIN 603, large washers ISO 7093, nuts ISO 4032, threads ISO 724,
clearance holes ISO 273; inch bolts ASME B18.5. What must hold of a size is searched, not copied.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from jigs.kinds.split_ring import sizing

M8_END = 2 + 6.8 + 2 * 1.25
"""Washer, nut and two threads of M8, mm."""

LONGEST_M8, LONGEST_M6 = 160.0, 120.0

# The bore, its lining, and how far it closes


def test_tolerances_are_never_more_than_the_clearance():
    assert sizing.bore_tolerance() == 0.15
    assert sizing.bore_clearance(0.15, 0.2) == 0.5
    assert sizing.bore_clearance(0.4, 0.2) == pytest.approx(0.6)


def test_the_thickest_piece_goes_into_the_lined_bore():
    assert sizing.bore_radius(36, 3, 0.5) == 21.5
    assert sizing.lined_radius(21.5, 3) == 18.5


@pytest.mark.parametrize(
    ("liner", "tolerance", "by_hand"), [(3, 0.2, 0.42), (2, 0.1, 0.285), (1.01, 0.0, 0.151)]
)
def test_squeezed_by_15_percent_of_the_thinnest_down_to_a_thousandth(liner, tolerance, by_hand):
    assert sizing.squeeze(liner, tolerance) == pytest.approx(by_hand, abs=1e-9)
    assert sizing.squeeze_for(liner, tolerance) == sizing.squeeze(liner, tolerance)


def test_turns_close_both_linings():
    """M8 has 1.25 mm a turn, 1/4 in has 20 turns an inch."""
    assert sizing.closing_turns(0.42, "M8") == pytest.approx(0.84 / 1.25)
    assert sizing.closing_turns(0.42, "1/4") == pytest.approx(0.84 / 1.27)


@pytest.mark.parametrize("most", [32.0, 36.0])
@pytest.mark.parametrize("squeeze", [0.2, 0.42])
def test_a_millimetre_is_left_between_the_halves_on_the_thinnest(most, squeeze):
    """Worked back: bores and linings at their worst on 31.5, closed, 1 mm left and no 0.1 more."""
    gap = sizing.gap(31.5, most, 0.5, squeeze, 0.15, 0.2)
    lined = most / 2 + 0.5
    left = sizing.least_gap_left(gap, lined, 31.5, squeeze)
    # Each half has come in by lined - 15.75 + squeeze.
    assert left == pytest.approx(gap - 2 * (lined - 15.75 + squeeze))
    assert 1 <= left - 2 * (0.15 + 0.2) + 1e-9 < 1.1 + 1e-6


def test_the_axis_lies_off_the_bores_centre_by_the_play_and_the_squeeze():
    assert sizing.nominal_offset(18.5, 33.75, 0.42) == pytest.approx(2.045)


@pytest.mark.parametrize(("widest", "by_hand"), [(36, 9.5), (30, 8.5), (44, 17.5), (36.8, 10)])
def test_opened_until_the_widest_passes_with_a_millimetre_each_side(widest, by_hand):
    """37 lined, gap 8.1: what is open in y is 37 - 8.1 and the gap; in halves of a millimetre."""
    assert sizing.open_gap(widest, 18.5, 8.1) == by_hand
    assert 37 - 8.1 + by_hand >= widest + 2 or by_hand >= 8.1


# Height of the ring and where it hangs


@pytest.mark.parametrize(
    ("grip_from", "grip_to", "end", "drop", "height"),
    [
        (9, 62, 2.6, 8.4, 40),
        (0, 62, 2.6, 2, 40),
        (2.6, 62, 2.6, 2, 40),
        (9, 50.4, 2.6, 8.4, 37),  # 50.4 - 2 - 11 = 37.4, down
        (9, 53.0, 2.6, 8.4, 40),
    ],
)
def test_the_ring_lies_within_the_grip(grip_from, grip_to, end, drop, height):
    assert sizing.ring_drop(grip_from, end) == pytest.approx(drop)
    assert sizing.ring_height(grip_to, drop, end) == height
    assert sizing.ring_top(end, drop) == -(end + drop)
    assert end + drop >= grip_from + 2 or drop == 2
    assert end + drop + height <= grip_to - 2 + 1e-9


# Bolts


def ring(**other: Any) -> dict[str, Any]:
    """A ring for 31.5 to 36: bore 21.5, wall 20, gap 8.1, opened 9.5, in sheet of 17.4."""
    return {
        "hardware": "metric", "shelf": (), "ring_height": 40.0, "seat_depth": 37.0,
        "dado_depth": 4.5, "bore_radius": 21.5, "wall": 20.0, "gap": 8.1, "open_gap": 9.5,
        "sheet_least": 17.4,
    } | other  # fmt: skip


SMALL = {"seat_depth": 25.0, "bore_radius": 14.0, "wall": 15.0, "gap": 5.0, "open_gap": 6.0}
"""A ring whose drawbolts are as short as the longest M5."""


@pytest.mark.parametrize(
    ("other", "size"),
    [
        ({}, "M8"),
        ({"hardware": "inch"}, "5/16"),
        # M8's washer is 24 and asks for 34; M6's 18 for 28; M5's 15 for 25.
        ({"ring_height": 34.0}, "M8"),
        ({"ring_height": 33.9}, "M6"),
        ({"ring_height": 28.0}, "M6"),
        ({"ring_height": 27.9} | SMALL, "M5"),
        # None fits: the smallest of those that are long enough (M5 ends at 80).
        ({"ring_height": 20.0} | SMALL, "M5"),
        ({"ring_height": 20.0}, "M6"),
        # M8: head 4.5 and 1 is 5.5 deep, neck 5 and 2 under it: 12.5 of ply, 17 less 4.5.
        ({"sheet_least": 17.0}, "M8"),
        ({"sheet_least": 16.99}, "M6"),
        # M6: 4.5 deep, 4 and 2: 10.5. M5: 4 deep, 3.5 and 2: 9.5.
        ({"sheet_least": 15.0}, "M6"),
        ({"sheet_least": 14.99} | SMALL, "M5"),
        ({"sheet_least": 14.0} | SMALL, "M5"),
        ({"sheet_least": 13.99} | SMALL, "M8"),
        # No ply is left for any: what fits by height decides.
        ({"sheet_least": 10.0}, "M8"),
        ({"sheet_least": 10.0, "ring_height": 28.0}, "M6"),
        # What is on the shelf.
        ({"shelf": (("coach bolt", "M6", (150.0,)),)}, "M6"),
        ({"shelf": (("coach bolt", "M5", (150.0,)), ("coach bolt", "M8", (20.0,)))}, "M5"),
        ({"shelf": (("coach bolt", "M12", (150.0,)),)}, "M8"),
        # Nothing is long enough: the largest on the shelf, for the message.
        ({"shelf": (("coach bolt", "M6", (20.0,)), ("coach bolt", "M5", (20.0,)))}, "M6"),
    ],
)
def test_the_largest_drawbolt_that_height_ply_and_shelf_allow(other, size):
    assert sizing.drawbolt_size(**ring(**other)) == size


@pytest.mark.parametrize(("size", "recess"), [("M8", 5.5), ("M6", 4.5)])
@pytest.mark.parametrize("seat", [37.0, 30.0])
def test_a_drawbolt_must_reach_through_the_open_ring(size, recess, seat):
    """Through the fixed half (seat, dado, less half the gap; 20 mm of wood under the heads at
    least), the open gap, the moving half, and washer, nut and two threads."""
    off = math.ceil(2 * max(seat, 4.05 + recess + 20 - 4.5)) / 2
    fixed = off + 4.5 - 4.05 - recess
    moving = 21.5 + 20 - 4.05
    end = {"M8": M8_END, "M6": 1.6 + 5.2 + 2}[size]
    need = fixed + 9.5 + moving + end

    def chosen(length: float) -> str:
        shelf = (("coach bolt", size, (length,)), ("coach bolt", "M5", (150.0,)))
        return sizing.drawbolt_size(**ring(shelf=shelf, seat_depth=seat))

    assert chosen(need + 0.001) == size
    assert chosen(need - 0.001) == "M5"


@pytest.mark.parametrize(
    ("size", "washer", "hole", "recess", "deep", "ply"),
    [
        ("M8", 24, 9, 21.5, 5.5, 7),  # head 20 by 4.5, neck 5
        ("M6", 18, 6.6, 17.5, 4.5, 6),  # 16 by 3.5, neck 4
        ("M5", 15, 5.5, 14.5, 4, 5.5),  # 13 by 3, neck 3.5
        # ASME B18.5, 5/16: head 0.7035 by 0.166 in: 17.87 by 4.22; neck 0.1715: 4.36
        ("5/16", None, None, 19.5, 5.5, 6.3561),
    ],
)
def test_what_a_coach_bolt_asks_of_the_wood(size, washer, hole, recess, deep, ply):
    if washer:
        assert sizing.washer_diameter(size) == washer
        assert sizing.drawbolt_hole(size) == hole
    assert sizing.head_recess(size) == recess
    assert sizing.head_recess_depth(size) == deep
    assert sizing.ply_under_head(size) == pytest.approx(ply)


def test_washer_nut_and_two_threads_beyond_the_grip():
    assert sizing.end_beyond_grip("M8") == pytest.approx(M8_END)
    assert sizing.end_beyond_grip("M6") == pytest.approx(1.6 + 5.2 + 2)


@pytest.mark.parametrize("bore", [12.0, 21.5, 21.6])
@pytest.mark.parametrize("washer", [24.0, 18.0])
def test_halves_side_by_side_from_the_bore_outwards(bore, washer):
    """8 mm of wood beside the bore; 3 mm round every washer, and between both halves' washers."""
    x = sizing.bolt_x(bore, 9.0)
    assert 8 <= x - 4.5 - bore < 9
    moving = sizing.moving_width(x, washer)
    assert 3 <= moving / 2 - (x + washer / 2) < 4
    mount = sizing.mount_x(moving, washer)
    assert 3 <= mount - washer / 2 - moving / 2 < 4
    fixed = sizing.fixed_width(mount, washer)
    assert 3 <= fixed / 2 - (mount + washer / 2) < 4
    assert all(at % 1 == 0 for at in (x, moving / 2, mount, fixed / 2))


def test_wood_behind_the_bore():
    """20 mm, or seven tenths of the bore's radius: from 28.6 on."""
    assert [sizing.wall(bore) for bore in (21.5, 28.5, 28.6, 40)] == [20, 20, 21, 28]


def test_dados_take_a_quarter_of_the_sheet_to_a_half():
    assert [sizing.dado_depth(sheet) for sheet in (17.4, 14.6, 12.0, 9.2)] == [4.5, 3.5, 3, 2.5]


@pytest.mark.parametrize(
    ("body", "by_hand"),
    [
        (0, 37),  # 21.5 + 20 - 4.5
        (32.83, 37),  # 32.83 + 18.5 - 15.75 + 0.42 + 1 is 37, just
        (33, 37.17),
        (20, 37),
    ],
)
def test_piece_or_wall_decides_how_far_the_bore_stands_off(body, by_hand):
    found = sizing.seat_depth(body, 21.5, 20, 4.5, 18.5, 31.5, 0.42)
    assert found == pytest.approx(by_hand)
    assert sizing.seat_depth(0, 21.5, 20, 30.0, 18.5, 31.5, 0.42) == 11.5


@pytest.mark.parametrize(("seat", "by_hand"), [(37, 37), (37.1, 37.5), (20, 25.5), (25.05, 25.5)])
def test_twenty_of_wood_under_the_bolt_heads(seat, by_hand):
    """4.05 + 5.5 + 20 - 4.5 = 25.05; in halves of a millimetre."""
    off = sizing.stand_off(seat, 8.1, 5.5, 4.5)
    assert off == by_hand
    assert sizing.fixed_depth(off, 4.5, 8.1) - 5.5 >= 20
    assert sizing.fixed_depth(off, 4.5, 8.1) == pytest.approx(off + 4.5 - 4.05)


def test_where_the_axis_stands_before_the_table():
    """Face at 0, board 17.6, stand-off 37, then back by the nominal offset."""
    assert sizing.axis_y(0, 17.6, 37, 2.045) == pytest.approx(-52.555)
    assert sizing.axis_y(-30, 17.6, 37, 2.045) == pytest.approx(-82.555)


@pytest.mark.parametrize("fixed", [37.45, 30.0, 41.2])
@pytest.mark.parametrize("opened", [9.5, 20.0])
def test_the_moving_half_takes_up_what_a_sold_bolt_is_too_long(fixed, opened):
    """Bolts of 80, 90, 100 and so on: less than a millimetre of thread is to spare, and the wall
    is never thinner than asked."""
    place = (fixed, 5.5, opened)
    wall = sizing.moving_wall(20, 21.5, 8.1, *place, "M8", ())
    assert wall >= 20
    assert (wall - 20) % 1 == 0
    moving = sizing.moving_depth(21.5, wall, 8.1)
    assert moving == pytest.approx(21.5 + wall - 4.05)
    length = sizing.drawbolt_length(*place, moving, "M8", ())
    sold = (20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120, 130, 140, 150, 160)
    least = fixed - 5.5 + opened + moving + M8_END
    assert length == min(at for at in sold if at >= least - 1e-6)
    assert 0 <= length - least + 1e-6 < 1
    thinner = fixed - 5.5 + opened + 21.5 + 20 - 4.05 + M8_END
    assert length == min(at for at in sold if at >= thinner - 1e-6), "no longer bolt for it"


@pytest.mark.parametrize("fixed", [37.45, 30.0, 45.0])
def test_a_mounting_bolt_reaches_through_board_and_half(fixed):
    """Thickest sheet 17.8, less dado and counterbore; 17.8 - 4.5 - 5.5 = 7.8."""
    sold = (30, 35, 40, 45, 50, 55, 60, 65, 70, 80)
    found = sizing.mount_length(17.8, 4.5, 5.5, fixed, "M8", ())
    assert found == min(at for at in sold if at >= 7.8 + fixed + M8_END)


# Springs (assumed in the table: M8 9.2 inside, wire 1.2, 35 long, solid at 12; M6 7 inside, wire 1)


def test_recesses_let_the_springs_in():
    """Over the wire: 9.2 + 2.4 = 11.6 goes over M8; 7 + 2 over M6; 1.5 mm of play."""
    over = {"M8": 9.2 + 2 * 1.2, "M6": 7 + 2 * 1.0}
    for size, outer in over.items():
        assert 1.5 <= sizing.spring_recess(size) - outer + 1e-9 < 2


@pytest.mark.parametrize(
    ("left", "opened", "fixed", "moving", "by_hand"),
    [
        # (35 - 2 - 9.5) / 2 = 11.75, down to a half: 11.5; a third of 37.45 is 12.48
        (1.8, 9.5, 37.45, 37.45, 11.5),
        # a third of the thinner half: 30 / 3 = 10
        (1.8, 9.5, 30.0, 37.45, 10.0),
        (1.8, 9.5, 37.45, 31.4, 10.0),
        # opened so far that the springs would hang loose: only so deep that they are not solid:
        # (12 - 1.8) / 2 + 0.5 = 5.6, up
        (1.8, 30.0, 37.45, 37.45, 6.0),
        (1.8, 9.5, 15.0, 37.45, 6.0),
        (1.0, 30.0, 37.45, 37.45, 6.0),  # 5.5 and half a millimetre, just
        # never less than a millimetre
        (14.0, 40.0, 37.45, 37.45, 1.0),
    ],
)
def test_recesses_as_deep_as_the_springs_ask(left, opened, fixed, moving, by_hand):
    deep = sizing.spring_recess_depth("M8", left, opened, fixed, moving)
    assert deep == by_hand
    assert left + 2 * deep > 12, "the springs of M8 are solid at 12"


def test_what_can_be_had():
    shelf = (("coach bolt", "M8", (60.0, 80.0)),)
    assert sizing.can_be_had(shelf, "coach bolt", "M8", 80)
    assert not sizing.can_be_had(shelf, "coach bolt", "M8", 81)
    assert not sizing.can_be_had(shelf, "coach bolt", "M6", 10)
    assert sizing.can_be_had((), "coach bolt", "M8", LONGEST_M8)
    assert not sizing.can_be_had((), "coach bolt", "M6", LONGEST_M6 + 1)
