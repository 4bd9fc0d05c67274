"""Rules and checks of the riser, each branch with plain numbers and by searching.

A block lies in a box of 28 ± 0.3 by 28 ± 0.3; a plate bridges slots 14.2 wide, 50 apart.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from jigs.errors import DesignError
from jigs.kinds.riser import checks, sizing
from jigs.model.finding import Finding, Verdict
from jigs.reading.job import read_job
from jigs.sizing import Jig, design

SHOPS = Path(__file__).parents[1] / "shops"


class Changed:
    """A book with some of its numbers exchanged, for checks that read it."""

    def __init__(self, book: Any, **values: Any) -> None:
        self._book, self._values = book, values

    def __getattr__(self, name: str) -> Any:
        return self._values[name] if name in self._values else getattr(self._book, name)


def riser_in(shop: str) -> Jig:
    d = design(read_job(SHOPS / f"{shop}.yaml"))
    return next(jig for _, jig in d.jigs() if jig.kind.name == "riser")


@pytest.fixture(scope="module")
def block() -> Jig:
    return riser_in("clamp_on_a_riser")


@pytest.fixture(scope="module")
def plate() -> Jig:
    return riser_in("clamp_on_a_plate")


def told(jig: Jig, check: str, **values: Any) -> Finding:
    return next(f for f in checks.number_checks(Changed(jig.n, **values)) if f.check == check)  # type: ignore[arg-type]


def names(jig: Jig, **values: Any) -> list[str]:
    return [f.check for f in checks.number_checks(Changed(jig.n, **values))]  # type: ignore[arg-type]


# How high


@pytest.mark.parametrize(
    ("travel", "length", "deep", "out", "by_hand"),
    [
        (105, 79.7, 12, 24, 18.8),  # 79.7 - 12 - 5.5 + 24 = 86.2 below 105
        (86.2, 79.7, 12, 24, 0),  # just down to it
        (20, 79.7, 12, 24, 0),  # never below the table
        (87.2, 79.7, 12, 24, 1),
        (87.2, 89.7, 22, 24, 1),  # as much longer as deeper
    ],
)
def test_a_piece_is_raised_as_far_as_the_spindle_stays_away(travel, length, deep, out, by_hand):
    assert sizing.rise_needed(travel, length, deep, out) == pytest.approx(by_hand)


@pytest.mark.parametrize("needed", [0.0, 0.1, 17.4, 17.41, 34.8, 34.81, 52.2, 100.0])
def test_the_fewest_sheets_that_are_high_enough_at_their_thinnest(needed):
    count = sizing.layers(needed, 17.4)
    enough = [k for k in range(1, 10) if k * 17.4 >= needed - 1e-6]
    assert count == enough[0]
    assert isinstance(count, int)


def test_from_one_sheet_to_thirty():
    assert sizing.rise(1, 17.6) == 17.6
    assert sizing.rise(30, 17.6) == 528
    with pytest.raises(DesignError, match="0 layers raise nothing"):
        sizing.rise(0, 17.6)
    with pytest.raises(DesignError, match="31 layers are no riser") as refused:
        sizing.rise(31, 17.6)
    assert "1 to 30" in refused.value.remedy


def test_only_a_plate_lies_under_the_fences():
    assert sizing.under_fences("plate", 11.8) == 11.8
    assert sizing.under_fences("block", 35.2) == 0


# Where the slots are, in the frame of a turned clamp


@pytest.mark.parametrize("along", ["x", "y"])
@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_slots_from_the_pieces_middle_however_the_clamp_is_turned(along, turn):
    """Second witness: a point on each slot's middle line, turned back about the piece."""
    at, piece = (60.0, 110.0, 160.0), (130.0, 85.0)
    back = math.radians(-turn)
    crosses_u = (along == "y") == (turn % 180 == 0)
    places = []
    for place in at:
        on_it = (place, piece[1]) if along == "y" else (piece[0], place)
        x, y = on_it[0] - piece[0], on_it[1] - piece[1]
        u = x * math.cos(back) - y * math.sin(back)
        v = x * math.sin(back) + y * math.cos(back)
        places.append(u if crosses_u else v)
    asked = (along, at, *piece, turn)
    found = (sizing.slots_u(*asked), sizing.slots_v(*asked))
    listed, empty = found if crosses_u else found[::-1]
    assert listed == pytest.approx(sorted(places))
    assert empty == ()


# How wide and deep


def test_a_block_is_a_millimetre_smaller_all_round_than_the_smallest_piece():
    """Datum fence at 14; the smallest piece reaches from there to 14 - 27.7."""
    assert sizing.riser_width(27.7) == 25.7
    low, high = sizing.riser_reach("block", 27.7, 28, 28.3, (), 0)
    assert (low, high) == pytest.approx((-13.7 + 1, 14 - 1))


@pytest.mark.parametrize(
    ("slots", "mouth"),
    [
        ((0.0,), 14.2),
        ((-25.0, 25.0), 14.2),
        ((-3.0, 47.0), 14.2),
        ((-60.0, -20.0, 20.0, 60.0), 30.0),  # every gap between mouths is 10 wide: none is skipped
        ((-75.0, -50.0, -25.0, 0.0, 25.0, 50.0, 75.0), 5.0),
        ((-25.0, 0.0, 25.0), 6.0),
        ((-30.0, 6.0, 40.0), 14.0),
        ((25.0,), 14.0),
        ((34.5,), 14.0),  # 34.5 - 17 = 17.5: just clear
    ],
)
def test_a_plate_is_the_shortest_that_bears_beyond_every_mouth_it_comes_near(slots, mouth):
    """Searched in steps of a half millimetre, edge by edge: piece from -7.8 to 7.5."""
    low, high = sizing.riser_reach("plate", 14.7, 15.0, 15.3, slots, mouth)

    def bears(edge: float) -> bool:
        return all(abs(edge - slot) >= mouth / 2 + 10 - 1e-9 for slot in slots)

    def first(beyond: float, sign: int) -> float:
        steps = (k / 2 for k in range(1000))
        return next(sign * s for s in steps if s >= beyond - 1e-9 and bears(sign * s))

    assert high == pytest.approx(first(7.5 + 10, +1))
    assert low == pytest.approx(first(7.8 + 10, -1))


@pytest.mark.parametrize(("slots", "mouth"), [((), 14.2), ((0.0,), 4.9)])
def test_a_plate_asks_for_a_slot_that_takes_a_key(slots, mouth):
    with pytest.raises(DesignError, match="here is none"):
        sizing.riser_reach("plate", 14.7, 15.0, 15.3, slots, mouth)


def test_a_slot_of_five_takes_a_key():
    assert sizing.riser_reach("plate", 14.7, 15.0, 15.3, (0.0,), 5.0) == (-18.0, 17.5)


# Key and dowels


def test_the_key_runs_in_the_slot_nearest_to_the_piece():
    assert sizing.key_y("plate", (-40.0, 10.0, 60.0)) == 10
    assert sizing.key_y("plate", (-9.0, 10.0)) == -9
    assert sizing.key_y("block", (-9.0, 10.0)) == 0
    assert sizing.key_y("plate", ()) == 0


def test_a_key_slides_in_its_slot_and_ends_above_its_wide_part():
    """0.2 mm of slack; 6 mm deep, but 2 mm above the wide part, which begins under the lip."""
    assert sizing.key_width("plate", 14.2) == pytest.approx(14)
    assert sizing.key_width("plate", 0.1) == 0
    assert sizing.key_width("block", 14.2) == 0
    assert [sizing.key_into_slot(lip) for lip in (9, 8, 6.5, 2, 1)] == [6, 6, 4.5, 0, 0]


def test_its_groove_takes_a_third_of_the_sheet_at_most():
    """17.6 / 3 = 5.87, 11.8 / 3 = 3.93, to a tenth; never more than 6."""
    assert [sizing.key_groove(thick) for thick in (24, 18, 17.6, 11.8)] == [6, 6, 5.9, 3.9]


@pytest.mark.parametrize(
    ("width", "reach", "thick"),
    [(36, (-18, 18), 8), (35.9, (-18, 18), 6), (36, (-18, 17.9), 6), (50, (4, 40), 8),
     (50, (-4, 31.9), 6)],
)  # fmt: skip
def test_thick_dowels_want_a_riser_of_36_both_ways(width, reach, thick):
    assert sizing.dowel_diameter(width, reach) == thick


@pytest.mark.parametrize(
    ("width", "deep", "count"),
    [
        (24, 10, 2),  # rims 4 mm inside: middles 7 from the ends, 10 apart; 4 between 6 and 6
        (23.9, 10, 0),
        (10, 24, 2),
        (10, 23.9, 0),
        (20, 22, 2),  # 6 by 8 apart: 10 across the corner
        (20, 21.9, 0),
        (12, 12, 0),
    ],
)
def test_two_dowels_where_there_is_wood_round_them(width, deep, count):
    assert sizing.dowels(2, 6, width, (-3.0, deep - 3.0)) == count
    assert sizing.dowels(1, 6, width, (-3.0, deep - 3.0)) == 0


def test_a_dowel_stands_four_millimetres_inside():
    """Halves of 30 and of 40, less half a dowel and 4 mm of wood; never beyond the middle."""
    assert sizing.dowel_from_middle(30, (-10, 30), 6) == (8, 13)
    assert sizing.dowel_from_middle(30, (-10, 30), 8) == (7, 12)
    assert sizing.dowel_from_middle(10, (0, 14), 6) == (0, 0)


# What is checked: the limit itself is met, a hundredth beyond is not


@pytest.mark.parametrize(
    ("shop", "check", "value", "at", "beyond"),
    [
        ("block", "raised enough for the spindle to come down to the cut and the zero", "rise",
         18.8, 18.79),
        ("block", "the riser cannot slip under faces and fences", "rise", 5.5, 5.49),
        ("block", "the jaws close on the piece, not on the riser", "riser_width", 26.7, 26.71),
        # 28.3 - w hangs over, a third of 27.7 is 9.2333
        ("block", "the riser bears the piece's middle, across its width", "riser_width", 19.07,
         19.06),
        ("block", "the fences close on the piece, not on the riser", "riser_reach",
         (-13.0, 13.7), (-13.0, 13.71)),
        ("block", "the riser bears the piece's middle, across its depth", "riser_reach",
         (-9.0, 10.07), (-9.0, 10.06)),
        ("plate", "the riser's key reaches into the slot", "key_into_slot", 2.0, 1.99),
        # sheet at its thinnest 11.6
        ("plate", "sheet left over the key's groove", "key_groove", 5.8, 5.81),
        # slots at -25 and 25, mouths to 32.1
        ("plate", "the plate bears beside the slots that it bridges", "riser_reach",
         (-42.5, 42.1), (-42.5, 42.09)),
        ("plate", "the plate bears beside the slots that it bridges", "riser_reach",
         (-42.1, 43.0), (-42.09, 43.0)),
    ],
)  # fmt: skip
def test_a_limit_is_where_it_is_said_to_be(request, shop, check, value, at, beyond):
    jig = request.getfixturevalue(shop)
    assert told(jig, check, **{value: at}).verdict is Verdict.MET
    assert told(jig, check, **{value: beyond}).verdict is Verdict.NOT_MET


def test_the_levers_turn_the_right_way(block):
    """A wider riser is what bears more and what is in the way; its depth is not to be chosen."""
    assert told(block, "the jaws close on the piece, not on the riser").levers == ("-riser_width",)
    bears = "the riser bears the piece's middle, across its"
    assert told(block, f"{bears} width").levers == ("+riser_width",)
    assert told(block, f"{bears} depth").levers == ()
    assert told(block, "the fences close on the piece, not on the riser").levers == ()


def test_a_plate_is_not_boxed_by_the_fences(block, plate):
    assert "the fences close on the piece, not on the riser" in names(block)
    assert "the fences close on the piece, not on the riser" not in names(plate)
    assert "the riser's key reaches into the slot" not in names(block)


def over_metal(starts: list[float], size: float, slots: tuple[float, ...], mouth: float) -> float:
    """Least distance of an edge from a mouth, by every edge and every slot; below 0: over one."""
    edges = [edge for start in starts for edge in (start, start + size)]
    return min(abs(edge - slot) - mouth / 2 for edge in edges for slot in slots)


@pytest.mark.parametrize("slot", [-31.0, -20.0, -9.0, 4.0, 16.0, 22.0, 40.0])
def test_edges_on_metal_at_either_end_of_its_play(block, slot):
    """Jaws: 28.3 at most from the fixed face at -14; fences: from the datum at 14 as far."""
    slots = (slot - 90.0, slot, slot + 70.0)
    width, deep = 25.7, 25.7
    along = told(block, "the riser's edges stand on metal, along x", slots_u=slots, slots_v=())
    assert along.value == pytest.approx(over_metal([-14, 14.3 - width], width, slots, 8.2))
    across = told(block, "the riser's edges stand on metal, along y", slots_u=(), slots_v=slots)
    assert across.value == pytest.approx(over_metal([-14.3, 14 - deep], deep, slots, 8.2))
    for found in (along, across):
        assert (found.verdict is Verdict.MET) == (found.value >= 0.5)


@pytest.mark.parametrize(("off", "verdict"), [(0.5, Verdict.MET), (0.49, Verdict.NOT_MET)])
def test_half_a_millimetre_of_metal_is_enough(block, off, verdict):
    """The block's left edge at -14; the mouth's edge `off` to its left."""
    slot = (-14 - 4.1 - off,)
    assert told(block, "the riser's edges stand on metal, along x", slots_u=slot).verdict is verdict
    low = (-14.3 - 4.1 - off,)
    found = told(block, "the riser's edges stand on metal, along y", slots_u=(), slots_v=low)
    assert found.verdict is verdict


def test_a_table_without_slots_is_metal_everywhere(block, plate):
    told_of = names(block, table_slot_mouth=0.0)
    assert not any("metal" in check or "bridges" in check for check in told_of)
    across = names(block, slots_u=(), slots_v=())
    assert not any("metal" in check for check in across)
    assert not any("along y" in check for check in names(plate))
    assert any("along x" in check for check in names(plate, slots_u=(0.0,)))
