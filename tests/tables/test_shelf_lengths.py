"""What can be had: lengths and sizes on the user's shelf, or what is sold."""

from __future__ import annotations

import pytest

from jigs.errors import DesignError, TableError
from jigs.kinds._hardware import hex_bolt, length_for, sizes_on, t_slot_nut, threaded_rod

SHELF = (
    ("coach bolt", "M6", (60.0, 30.0, 40.0)),
    ("coach bolt", "M8", (100.0,)),
    ("Coach  Bolt", "m8", (80.0,)),
    ("coach bolt", '1/4"', (50.8,)),
    ("threaded rod", "M8", (147.0, 500.0)),
    ("wood insert", "M6", ()),
)


@pytest.mark.parametrize(
    ("family", "size", "at_least", "length"),
    [
        ("coach bolt", "M6", 31, 40),
        ("coach bolt", "M6", 40, 40),
        ("coach bolt", "M6", 40.0000001, 40),  # summation noise
        ("COACH BOLT", "m6", 0, 30),
        ("coach bolt", "M8", 75, 80),  # a family and size in two rows
        ("coach bolt", "1/4", 2 * 25.4, 50.8),
        ("hex bolt", "M6", 31, 35),  # not on the shelf: sold
        ("hex bolt", "1/4", 30, 1.25 * 25.4),
    ],
)
def test_shortest_that_reaches(family: str, size: str, at_least: float, length: float) -> None:
    assert length_for(SHELF, family, size, at_least) == pytest.approx(length)


@pytest.mark.parametrize(
    ("shelf", "size", "at_least", "length"),
    [
        ((), "M8", 141.2, 145),
        ((), "M8", 145, 145),
        ((), "M8", 997, 1000),
        ((), "1/2", 901, 905),
        (SHELF, "M8", 143, 145),
        (SHELF, "M8", 146, 150),
        ((("threaded rod", "M8", (147.0,)),), "M8", 146, 147),  # the whole bar
    ],
)
def test_rod_is_cut(
    shelf: tuple[tuple[str, str, tuple[float, ...]], ...],
    size: str,
    at_least: float,
    length: float,
) -> None:
    assert length_for(shelf, "threaded rod", size, at_least) == length


@pytest.mark.parametrize(
    ("family", "size", "at_least", "reason", "remedy"),
    [
        ("coach bolt", "M6", 61, "61 mm or longer is needed; on the shelf: 30, 40, 60 mm",
         "a coach bolt M6 of 65 mm (sold) on the shelf, or the family left off the shelf"),
        ("coach bolt", "M10", 61, "61 mm or longer is needed; none is on the shelf",
         "a coach bolt M10 of 65 mm (sold) on the shelf, or the family left off the shelf"),
        ("coach bolt", "1/4", 52, "2-3/64 in or longer is needed; on the shelf: 2 in",
         "a coach bolt 1/4 of 2-1/4 in (sold) on the shelf, or the family left off the shelf"),
        ("coach bolt", "M6", 500, "500 mm or longer is needed; on the shelf: 30, 40, 60 mm",
         "less to go through, or what you can get of coach bolt M6 on the shelf, 500 mm or longer"),
        ("threaded rod", "M8", 501, "501 mm or longer is needed; on the shelf: 147, 500 mm",
         "a threaded rod M8 of 1000 mm (sold) on the shelf, or the family left off the shelf"),
        ("hex bolt", "M6", 500, "500 mm or longer is needed; the longest sold is 120 mm",
         "less to go through, or what you can get of hex bolt M6 on the shelf, 500 mm or longer"),
        ("T-slot bolt", "M4", 20, "20 mm or longer is needed; it is not sold; sizes sold: M6, M8, "
         "M10, M12, M16, M20, 1/4, 5/16, 3/8, 1/2",
         "another size, or what you can get of T-slot bolt M4 on the shelf, 20 mm or longer"),
        ("wood insert", "M6", 20, "20 mm or longer is needed; none is on the shelf",
         "another size, or what you can get of wood insert M6 on the shelf, 20 mm or longer"),
    ],
)  # fmt: skip
def test_nothing_long_enough(
    family: str, size: str, at_least: float, reason: str, remedy: str
) -> None:
    with pytest.raises(DesignError) as caught:
        length_for(SHELF, family, size, at_least)
    assert caught.value.what == f"{family} {size}"
    assert caught.value.reason == reason
    assert caught.value.remedy == remedy


def test_a_family_that_nobody_knows() -> None:
    with pytest.raises(TableError, match="coach bolt"):
        length_for(SHELF, "carriage bolt", "M6", 20)


def test_another_pitch_on_the_shelf_is_another_thread() -> None:
    shelf = (("hex bolt", "M8x1", (60.0,)), ("hex bolt", "M8x1.25", (50.0,)))
    assert length_for(shelf, "hex bolt", "M8", 20) == 50
    assert sizes_on(shelf, "hex bolt", ["M8", "M10"]) == ("M8",)


def test_sizes_on_the_shelf() -> None:
    sizes = ["M10", "M8", "M6", "1/4"]
    assert sizes_on(SHELF, "coach bolt", sizes) == ("M8", "M6", "1/4")
    assert sizes_on(SHELF, "Wood Insert", sizes) == ("M6",)
    assert sizes_on(SHELF, "hex bolt", sizes) == tuple(sizes)
    assert sizes_on((), "coach bolt", sizes) == tuple(sizes)


def test_names_are_what_the_packet_says() -> None:
    assert hex_bolt("M8", 60, "b").title == "hex bolt M8 × 60, part thread"
    assert hex_bolt("1/4", 2.5 * 25.4, "b").title == "hex bolt 1/4 × 2-1/2 in, part thread"
    assert threaded_rod("M8", 145, "r").title == "threaded rod M8 × 145, cut to length"
    assert t_slot_nut(8).title == "T-slot nut M6 for a slot of 8"
