"""Sizing rules of what the ring hangs on and stands on: face, back board, shelf, jack.

Sizes of bought parts: T-slot bolts ASME B5.1M, T-slot nuts DIN 508, hex screws ISO 4017, large
washers ISO 7093, nuts ISO 4032, threads ISO 724, inserts DIN 7965; wood screws as in the table.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from jigs.errors import DesignError
from jigs.kinds.split_ring import board_sizing, hanging

WIDE_SLOT = (10.2, 9.0, 17.0, 7.5)
NARROW_SLOT = (6.2, 6.0, 11.5, 5.5)
M8_END, M5_END = 2 + 6.8 + 2.5, 1.2 + 4.7 + 1.6

# What holds


@pytest.mark.parametrize(
    ("profile", "shelf", "by", "size", "throat", "wide", "high"),
    [
        (WIDE_SLOT, (), hanging.BOLTS, "M8", 10, 15, 6),
        # The shelf has smaller ones only; 13 wide heads bear 1.4 mm a side: not enough for bolts
        # nor for nuts with a mouth of 10.2; so in a slot of 8.2.
        ((8.2, 9.0, 17.0, 7.5), (), hanging.BOLTS, "M6", 8, 13, 6),
        (NARROW_SLOT, (), hanging.NUTS, "M5", 6, 10, 4),
        # T-slot bolts on the shelf do not fit, so nuts and rod.
        (WIDE_SLOT, (("T-slot bolt", "M12", (80.0,)),), hanging.NUTS, "M8", 10, 15, 6),
    ],
)
def test_what_goes_into_a_slot(profile, shelf, by, size, throat, wide, high):
    assert hanging.hang_by(profile, "", "metric", shelf) == by
    assert hanging.hang_size(profile, "", 0, 17.4, 17.8, "metric", shelf) == size
    slot = (profile, "metric", shelf)
    assert hanging.hang_throat(*slot) == throat
    assert hanging.hang_head_width(*slot) == wide
    assert hanging.hang_head_height(*slot) == high


def test_a_slot_that_takes_nothing_is_refused_for_the_hanging():
    with pytest.raises(DesignError, match="neither a T-slot bolt nor a T-slot nut") as refused:
        hanging.hang_by((10.2, 9.0, 11.0, 7.5), "", "metric", ())
    assert "hang_by" in str(refused.value)


def test_without_slots_threads_or_wood():
    assert hanging.hang_by((), "M6", "metric", ()) == hanging.SCREWS
    assert hanging.hang_by((), "", "metric", ()) == hanging.WOOD_SCREWS
    assert hanging.hang_size((), "m6", 0, 17.4, 17.8, "metric", ()) == "M6"
    for rule in (hanging.hang_throat, hanging.hang_head_width, hanging.hang_head_height):
        assert rule((), "metric", ()) == 0
    assert hanging.thread_depth("M6") == 15
    assert hanging.thread_depth("") == 0


SCREWS = {
    5.0: (25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100),
    4.5: (20, 25, 30, 35, 40, 45, 50, 60, 70, 80),
    4.0: (16, 20, 25, 30, 35, 40, 45, 50, 60, 70),
    3.5: (16, 20, 25, 30, 35, 40, 45, 50),
}


@pytest.mark.parametrize("depth", [9.0, 9.6, 10.0, 11.0, 12.0, 13.0, 14.9, 16.0, 18.0, 25.0, 30.0])
@pytest.mark.parametrize(("least", "most"), [(14.6, 15.0), (17.4, 17.8), (11.6, 12.0)])
def test_the_thickest_wood_screw_that_bites_and_stays_in_the_board(depth, least, most):
    """All of them tried: through the thickest sheet two diameters of thread, 2 mm of board left
    before the tip under the thinnest."""
    fits = [
        (thick, max(at for at in sold if at <= least + depth - 2))
        for thick, sold in SCREWS.items()
        if any(at <= least + depth - 2 and at - most >= 2 * thick for at in sold)
    ]
    asked = ((), "", depth, least, most, "metric", ())
    if not fits:
        with pytest.raises(DesignError, match="no wood screw"):
            hanging.hang_size(*asked)
        return
    thick, length = fits[0]
    assert hanging.hang_size(*asked) == f"{thick:g}"
    found = hanging.hang_length(hanging.WOOD_SCREWS, f"{thick:g}", 0, 0, depth, 0, least, most, ())
    assert found == length


def test_both_outcomes_of_the_search_are_met_above():
    """A board of 9 takes none through 17.8; one of 25 the thickest."""
    with pytest.raises(DesignError, match=r"sheet of 17\.8 mm .* allows 9 mm"):
        hanging.hang_size((), "", 9, 17.4, 17.8, "metric", ())
    assert hanging.hang_size((), "", 25, 17.4, 17.8, "metric", ()) == "5"
    assert hanging.hang_length(hanging.WOOD_SCREWS, "5", 0, 0, 9.6, 0, 17.4, 17.8, ()) == 25


def test_what_bears_on_the_board():
    assert hanging.hang_washer("M8", hanging.BOLTS) == 24
    assert hanging.hang_washer("5", hanging.WOOD_SCREWS) == 10


@pytest.mark.parametrize(
    ("by", "size", "head", "lip", "threads", "length"),
    [
        (hanging.BOLTS, "M8", 6, 9, 0, 40),  # 9 + 17.8 + 11.3 = 38.1
        (hanging.BOLTS, "M8", 6, 11, 0, 50),  # 40.1
        (hanging.NUTS, "M5", 4, 6, 0, 40),  # 4 + 6 + 17.8 + 7.5 = 35.3
        (hanging.NUTS, "M5", 4, 5.7, 0, 35),
        (hanging.SCREWS, "M6", 0, 0, 15, 30),  # 17.8 + 1.6 + 9 = 28.4
        (hanging.SCREWS, "M6", 0, 0, 5.6, 25),  # 25 exactly
        (hanging.SCREWS, "M6", 0, 0, 5.7, 30),
    ],
)
def test_as_long_as_it_has_to_be_and_sold(by, size, head, lip, threads, length):
    assert hanging.hang_length(by, size, head, lip, 0, threads, 17.4, 17.8, ()) == length


def test_a_screw_engages_one_and_a_half_diameters_where_it_can():
    assert hanging.least_reach("M6", 15) == 9
    assert hanging.least_reach("M6", 5) == 5


# Where it hangs


def test_three_millimetres_outside_a_washer_and_eleven_round_a_screws_head():
    assert hanging.border(24) == 15
    assert hanging.border(23.9) == 15
    assert hanging.border(15) == 11  # 16 across at least
    assert hanging.hang_clear(120, 24) == 75
    assert hanging.hang_clear(121, 10) == 71.5
    assert board_sizing.board_width(75, 24) == 180


GRID = tuple(25.0 + 50 * i for i in range(10))


@pytest.mark.parametrize("clear", [24.9, 25.0, 25.1, 60.0, 75.0, 76.0])
@pytest.mark.parametrize("width", [500.0, 420.0, 530.0])
def test_the_nearest_columns_that_let_the_ring_in_between(clear, width):
    apart = 50 * math.ceil(2 * clear / 50)
    found = hanging.hang_axis(GRID, clear, width)
    middles = [left + apart / 2 for left in GRID if left + apart in GRID]
    assert abs(found - width / 2) == min(abs(middle - width / 2) for middle in middles)
    assert hanging.hang_x(GRID, clear, width, found) == apart / 2


def test_of_two_places_as_near_the_left_one():
    """Columns at 25, 75 and so on of a table 500 wide: 250 lies between 225 and 275."""
    assert hanging.hang_axis(GRID, 50, 500) == 225


@pytest.mark.parametrize(
    ("axis", "by_hand"),
    [
        (225, 100),  # on a column: 100 each side, 150 apart is not to be had about it
        (250, 75),
        (250.04, 75),
        (250.06, 75),  # off the grid: as apart as the nearest pair that would do
        (75, 100),  # nothing 100 to the left of 75, so about another axis
        (125, 100),
    ],
)
def test_columns_about_the_axis_that_others_decide(axis, by_hand):
    assert hanging.hang_x(GRID, 75, 500, axis) == by_hand or axis == 75
    if axis == 75:
        assert hanging.hang_x(GRID, 75, 500, axis) == 75


def test_columns_as_listed_need_not_be_even():
    assert hanging.hang_x((0.0, 170.0, 400.0), 75, 500, 85) == 85
    assert hanging.hang_x((0.0, 170.0, 400.0), 75, 500, 200) == 200
    assert hanging.hang_axis((0.0, 170.0, 400.0), 75, 500) == 85


def test_a_face_without_a_grid_hangs_it_in_the_middle():
    assert hanging.hang_axis((), 75, 500) == 250
    assert hanging.hang_x((), 75, 500, 130) == 75


def test_a_grid_that_is_too_narrow_is_refused():
    with pytest.raises(DesignError, match="reach from 25 to 125") as refused:
        hanging.hang_x((25.0, 75.0, 125.0), 50.1, 500, 75)
    assert "100 mm wide" in refused.value.remedy
    assert hanging.hang_x((25.0, 75.0, 125.0), 50.0, 500, 75) == 50


def rows(**other: Any) -> tuple[float, ...]:
    """Ring 8.4 below the table; the shelf's foot at -250 + 5 - 17.6 = -262.6 in the machine."""
    return hanging.hang_z(**{
        "front_slots_at": (), "front_slots_along": "x", "front_hole_rows": (), "front_top": -30.0,
        "front_bottom": -360.0, "end_height": 5.0, "shelf_top": -250.0, "shelf_thickness": 17.6,
        "ring_drop": 8.4,
    } | other)  # fmt: skip


@pytest.mark.parametrize("name", ["front_slots_at", "front_hole_rows"])
@pytest.mark.parametrize(
    ("listed", "upper", "lower"),
    [
        ((-90.0, -190.0, -290.0), -90, -290),
        ((-290.0, -190.0, -90.0), -90, -290),
        ((-10.0, -90.0, -190.0, -240.0, -330.0), -90, -240),
        ((-30.0, -190.0, -290.0), -30, -290),  # the face begins there
        ((-29.9, -90.0, -190.0), -90, -190),
        ((-90.0, -342.6), -90, -342.6),
        ((-90.0, -200.0, -342.7), -90, -200),  # 80 below the shelf at most, while there are two
        ((-90.0, -342.7, -359.0), -90, -342.7),  # else the board is as long as it has to be
        ((-90.0, -280.0, -245.1), -90, -280),  # nearer to -262.6
    ],
)
def test_the_first_row_and_the_one_nearest_to_the_shelf(name, listed, upper, lower):
    assert rows(**{name: listed}) == (upper, lower)


def test_the_board_covers_the_first_row_by_15():
    """Its upper edge is the ring's, 8.4 below the table."""
    assert rows(front_slots_at=(-23.4, -90.0, -190.0), front_top=-10.0) == (-23.4, -190)
    assert rows(front_slots_at=(-23.3, -90.0, -190.0), front_top=-10.0) == (-90, -190)


@pytest.mark.parametrize(
    ("listed", "count"), [((-90.0,), 1), ((-90.0, -360.1), 1), ((-10.0, -400.0), 0)]
)
def test_fewer_than_two_rows_are_refused(listed, count):
    with pytest.raises(DesignError, match=f"only {count} of the front slots") as refused:
        rows(front_slots_at=listed)
    assert "reaches from -8 to -360 at most" in str(refused.value)
    assert refused.value.remedy == "two slots between -360 and -23"
    with pytest.raises(DesignError, match=f"only {count} of the rows of holes") as refused:
        rows(front_hole_rows=listed)
    assert refused.value.remedy.startswith("two rows")


def test_rows_end_with_the_face():
    """A face that ends at -200: nothing lower counts, though the shelf is lower."""
    assert rows(front_slots_at=(-90.0, -150.0, -290.0), front_bottom=-200.0) == (-90, -150)


@pytest.mark.parametrize(
    ("other", "by_hand"),
    [
        ({"front_top": -5.0}, (-23.4, -262.6)),
        ({"front_top": -30.0}, (-45, -262.6)),
        ({"front_bottom": -250.0}, (-45, -235)),
        ({"front_bottom": -50.0}, (-45, -45)),  # never above the upper row
    ],
)
def test_a_board_takes_screws_15_from_its_edges(other, by_hand):
    assert rows(**other) == pytest.approx(by_hand)


def test_upright_slots_are_refused():
    with pytest.raises(DesignError, match="stand upright"):
        rows(front_slots_at=(-90.0, -190.0), front_slots_along="y")


def test_what_brings_the_board_back():
    """A key with 0.2 mm of slack, 6 deep or clear of the wide part; a stop with 8 mm beside its
    washer, up to 5; or dowels 15 deep, 2 mm of board before them."""
    assert hanging.board_key_width(10.2) == pytest.approx(10)
    assert hanging.board_key_width(0.0) == 0
    assert [hanging.board_key_reach(lip) for lip in (9, 8, 6, 2, 0)] == [6, 6, 4, 0, 0]
    assert hanging.stop_width(24, 10.2) == 40
    assert hanging.stop_width(15, 6.2) == 35
    assert hanging.stop_width(24, 0.5) == 40
    assert hanging.stop_width(24, 0.0) == 0
    assert [hanging.dowel_reach(deep) for deep in (18, 17, 12, 1, 0)] == [15, 15, 10, 0, 0]


# Back board, shelf and jack


@pytest.mark.parametrize(
    ("lower", "shelf_top", "by_hand"),
    [
        (-290.0, -250.0, -320),  # 25 below the row: -320 in the ring's frame
        (-290.1, -250.0, -325),
        (-190.0, -250.0, -290),  # 20 below the shelf: -287.6
        (-190.0, -252.4, -290),
        (-190.0, -252.5, -295),
    ],
)
def test_the_board_ends_below_its_fastenings_and_its_shelf(lower, shelf_top, by_hand):
    assert board_sizing.board_foot((-90.0, lower), 5.0, shelf_top, 17.6) == by_hand


@pytest.mark.parametrize(
    ("sheet", "travel", "shelf", "layers", "size"),
    [
        # Inserts are 18, 15 and 12 long, 2 mm of wood under them; screws end at 80, 60 and 50.
        (20.0, 12, (), 1, "M8"),
        (19.9, 12, (), 1, "M6"),
        (17.0, 12, (), 1, "M6"),
        (16.9, 12, (), 1, "M5"),
        (14.0, 12, (), 1, "M5"),
        (13.9, 12, (), 2, "M8"),
        (9.9, 12, (), 2, "M6"),
        (5.0, 12, (), 3, "M5"),
        # None of three layers holds one: as many as M6 asks.
        (4.5, 12, (), 4, "M6"),
        (1.0, 12, (), 17, "M6"),
        # 17.6 + 20 + travel: M6 ends at 60, so with 23 mm two layers and M8.
        (17.4, 22.4, (), 1, "M6"),
        (17.4, 22.5, (), 2, "M8"),
        (17.4, 12, (("hex screw", "M5", (60.0,)),), 1, "M5"),
        # No screw of any layer is long enough: what three would ask is left to the message.
        (17.4, 90, (), 1, "M6"),
    ],
)
def test_the_fewest_layers_that_hold_an_insert_whose_screw_is_sold(
    sheet, travel, shelf, layers, size
):
    nominal = sheet + 0.2
    found = board_sizing.shelf_layers(sheet, nominal, travel, shelf)
    assert found == layers
    assert board_sizing.jack_size(found, sheet, nominal, travel, shelf) == size
    assert board_sizing.shelf_dado_width(found, sheet + 0.4) == pytest.approx(
        layers * (sheet + 0.4) + 0.1
    )


def test_from_one_layer_to_twelve():
    assert board_sizing.shelf_thickness(1, 17.6) == 17.6
    assert board_sizing.shelf_thickness(12, 5.0) == 60
    for count in (0, 13):
        with pytest.raises(DesignError, match=f"{count} layers make no shelf"):
            board_sizing.shelf_thickness(count, 5.0)


def test_the_jack_reaches_all_lengths_of_the_batch():
    """230 ± 1: 2 and 10 to spare; its tip's lowest and highest place, from the shelf's top."""
    travel = board_sizing.jack_travel(229, 231)
    assert travel == 12
    assert board_sizing.jack_travel(229, 231.1) == 13
    top = board_sizing.shelf_top(231, 20, travel)
    # Longest piece in a dish 3 deep on a pad of 20: the pad's foot is 4 mm and half the travel up.
    assert top == pytest.approx(-(231 - 3 + 20) - 4 - 6)
    assert board_sizing.pad_height(8) == 20
    # Shelf 17.6, 12 of travel, 10 in the pad, 4 and 6 to spare: 49.6.
    assert board_sizing.jack_length(17.6, travel, "M6", ()) == 50
    assert board_sizing.jack_length(18.1, travel, "M6", ()) == 55


def test_the_foot_finds_its_dish_wherever_the_ring_holds_it():
    """Foot of 8 wanders by 2.045 and half of 9.5 - 8.1, each way; 2 mm round it."""
    dish = board_sizing.dish_diameter(8, 9.5, 8.1, 2.045)
    assert dish == 18  # 8 + 2 x 2.745 + 4 = 17.49
    assert board_sizing.pad_diameter(dish) == 30
    assert board_sizing.pad_diameter(20.5) == 31
    assert board_sizing.dish_diameter(8, 8.1, 8.1, 2.0) == 16
    # 20 + 2 x (2.5 + (21.1 - 8.1) / 2) + 4 = 42; a tenth more of foot is the next whole one
    assert board_sizing.dish_diameter(20, 21.1, 8.1, 2.5) == 42
    assert board_sizing.dish_diameter(20.1, 21.1, 8.1, 2.5) == 43


def test_how_far_the_shelf_reaches():
    """Half a pad and 10 mm beyond the axis, from the dado's floor; four fifths of the ring."""
    assert board_sizing.shelf_depth(37, 30, 4.5) == 67
    assert board_sizing.shelf_depth(37, 31, 4.5) == 67
    assert board_sizing.shelf_depth(37, 33, 4.5) == 68
    assert board_sizing.shelf_width(80) == 80
    assert board_sizing.shelf_width(100) == 80
    assert board_sizing.shelf_width(101) == 81


@pytest.mark.parametrize("depth", [40.0, 46.4, 46.6, 47.0, 55.0, 67.0, 100.0])
@pytest.mark.parametrize("width", [60.0, 80.0, 120.0, 240.0])
def test_ten_of_wood_before_the_tips_of_the_shelfs_screws(depth, width):
    """Second witness: how deep the shelf is where a screw stands, its corners taken off at 45
    degrees over 20 mm, at the edge of the screw that is nearer to the corner (3 mm)."""
    sold = (25, 30, 35, 40, 45, 50, 60)
    x = width / 3 + 3
    deep = depth if x <= width / 2 - 20 else depth - (x - (width / 2 - 20))
    # Through 17.6 of sheet less 4.5 of dado.
    fits = [at for at in sold if at - (17.6 - 4.5) <= deep - 10 + 1e-9]
    assert board_sizing.shelf_screw(depth, width, 17.6, 4.5) == max(fits)


def test_a_shelf_too_shallow_for_any_screw_says_how_deep_it_must_be():
    """The shortest of 5 mm is 25 long: 13.1 in the board, 10 before its tip; at 80 / 3 and 3 from
    the middle 9.67 are taken off."""
    assert board_sizing.shelf_screw(31.6, 80, 17.6, 4.5) == 25
    assert board_sizing.shelf_screw(22.0, 240, 17.5, 4.5) == 25  # 25 exactly, nothing taken off
    with pytest.raises(DesignError, match="takes no screw") as refused:
        board_sizing.shelf_screw(31.5, 80, 17.6, 4.5)
    assert refused.value.remedy == "shelf_depth: 32"


def test_a_shelf_too_thin_for_any_insert_asks_for_another_layer():
    with pytest.raises(DesignError, match="holds no insert") as refused:
        board_sizing.jack_size(1, 13.9, 14.0, 12, ())
    assert refused.value.remedy == "shelf_layers: 2"
    assert board_sizing.jack_size(1, 14.0, 14.2, 12, ()) == "M5"
    # No screw is long enough: what two layers of 10 hold is asked for.
    assert board_sizing.jack_size(2, 10.0, 10.2, 12, (("hex screw", "M6", (20.0,)),)) == "M8"
