"""Where the end-grain clamp stands and what holds it down: rules worked on paper, limits reached.

Sizes of bought parts: ISO 4032, ISO 7093, ISO 273, DIN 7965 (insert M8 18 long, M6 15, M5 12; 5/16
9/16 in, 1/4 1/2 in), ASME B5.1M and DIN 508 (slot of 10: M8; nut's foot 6 high), T-slot bolts M8 of
32, 40, 50, 63, 80 as shops stock them (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from jigs.errors import DesignError
from jigs.kinds.end_grain_clamp import hold_downs as h
from jigs.kinds.end_grain_clamp import placing as p

BOUGHT = ()
PROFILE = (10.2, 9.0, 17.0, 7.5)
SLOTS = (60.0, 120.0, 180.0, 240.0, 300.0, 360.0, 420.0, 480.0, 540.0)
ONLY_NUTS = (("T-slot bolt", "M20", (80.0,)), ("threaded rod", "M8", (1000.0,)))
NO_M8_BOLT = (("T-slot bolt", "M6", (63.0,)),)
NO_M8_ROD = (("T-slot bolt", "M20", (80.0,)), ("threaded rod", "M6", (1000.0,)))

Case = tuple[Callable[[], Any], Any]


def size(by: str, like: str = "M8", deep: float = 18.0, thread: str = "M5", inch: bool = False):
    return h.hold_size(by, "inch" if inch else "metric", PROFILE, thread, deep, like, BOUGHT)


HOLD_DOWNS: list[Case] = [
    (lambda: h.hold_by("slots", "metric", PROFILE, BOUGHT), "T-slot bolt"),
    (lambda: h.hold_by("slots", "metric", PROFILE, ONLY_NUTS), "T-slot nut"),
    (lambda: h.hold_by("holes", "metric", (), BOUGHT), "threaded hole"),
    (lambda: h.hold_by("spoilboard", "metric", (), BOUGHT), "insert"),
    (lambda: size("threaded hole", thread="M5"), "M5"),
    (lambda: size("threaded hole", thread="3/8"), "3/8"),
    (lambda: size("T-slot bolt"), "M8"),
    # like the drawbolts where the board is deep enough, else the largest that it takes
    (lambda: size("insert", "M8", 18), "M8"),
    (lambda: size("insert", "M8", 17.9), "M6"),
    (lambda: size("insert", "M8", 15), "M6"),
    (lambda: size("insert", "M8", 14.9), "M5"),
    (lambda: size("insert", "M6", 18), "M6"),
    (lambda: size("insert", "M6", 12), "M5"),
    (lambda: size("insert", "5/16", 9 / 16 * 25.4), "5/16"),
    (lambda: size("insert", "5/16", 14.2), "1/4"),
    (lambda: size("insert", "1/4", 14.2), "1/4"),
    (lambda: h.hold_throat("insert", "metric", PROFILE, BOUGHT), 0),
    (lambda: h.hold_throat("threaded hole", "metric", (), BOUGHT), 0),
    (lambda: h.hold_throat("T-slot bolt", "metric", PROFILE, BOUGHT), 10),
    (lambda: h.hold_throat("T-slot bolt", "metric", PROFILE, NO_M8_BOLT), 10),  # the nut's
    (lambda: (h.hold_knob_diameter("M8", "wood"), h.hold_knob_height("M8", "wood")), (50, 25)),
    (lambda: h.hold_knob_height("M6", "print"), 12),  # 6 under a nut of 5.2, to the next 1
    (lambda: (h.hold_washer("M8"), h.hold_hole("M8")), (24, 9)),
    # ISO 273: fine 8.4 over threads, where holes bring the base back; else medium
    (lambda: h.fixed_hole("M8", "threaded hole"), 8.4),
    (lambda: h.fixed_hole("M8", "T-slot bolt"), 9),
    (lambda: h.fixed_hole("M8", "insert"), 9),
    # under the lip; a foot lower; the insert; 1.5 diameters, 7.5, or what there is
    (lambda: h.hold_below("T-slot bolt", "M8", 9, 30, 10), 9),
    (lambda: h.hold_below("T-slot nut", "M8", 9, 30, 10), 15),
    (lambda: h.hold_below("insert", "M6", 0, 18, 0), 15),
    (lambda: h.hold_below("threaded hole", "M5", 0, 12, 0), 8),
    (lambda: h.hold_below("threaded hole", "M5", 0, 6, 0), 6),
    (lambda: h.hold_below("threaded hole", "M6", 0, 30, 0), 9),
    # 9 + 17.8 + washer 2 + knob 25 + two threads 2.5 = 56.3; a bolt of 63, rod of 60
    (lambda: h.hold_length(9, 17.8, "M8", 25, "T-slot bolt", BOUGHT), 63),
    (lambda: h.hold_length(9, 17.8, "M8", 25, "T-slot nut", BOUGHT), 60),
    # 50 exactly: 9 + 17.5 + 2 + 19 + 2.5
    (lambda: h.hold_length(9, 17.5, "M8", 19, "T-slot bolt", BOUGHT), 50),
    (lambda: h.hold_length(9, 17.6, "M8", 19, "T-slot bolt", BOUGHT), 63),
]  # fmt: skip
PLACES: list[Case] = [
    (lambda: [p.turn(side) for side in ("left", "front", "right", "back")], [0, 90, 180, 270]),
    (lambda: p.piece_top(80, 35.2), 115.2),
    # sheet, rib, half a knob, fingers: 17.6 + 70 + 25 + 15 = 127.6
    (lambda: p.hold_reach(17.6, 70, 50), 128),
    (lambda: p.hold_reach(17.6, 69, 50), 127),
    (lambda: p.anchors_u("y", SLOTS, (), (), 0), SLOTS),
    (lambda: p.anchors_v("y", SLOTS, (), (), 0), ()),
    (lambda: p.anchors_u("y", SLOTS, (), (), 90), ()),
    (lambda: p.anchors_v("y", (10.0, 40.0), (), (), 90), (-40, -10)),
    (lambda: p.table_extent(600, 400, 0), (0, 600, 0, 400)),
    (lambda: p.table_extent(600, 400, 90), (0, 400, -600, 0)),
    (lambda: (p.asked_u((300.0,), (), 0), p.asked_v((300.0,), (), 0)), ((300,), ())),
    (lambda: (p.asked_u((300.0,), (), 90), p.asked_v((300.0,), (), 90)), ((), (-300,))),
    # beside the piece by 20: 38.5 + 40; knobs 10 apart: 80 + 10; where anything goes as far out
    # as the drawbolts' knobs: 2 x 96 - 50
    (lambda: p.hold_spread(38.5, 50, SLOTS, 96), 78.5),
    (lambda: p.hold_spread(38.5, 80, SLOTS, 96), 90),
    (lambda: p.hold_spread(38.5, 50, (), 96), 142),
    (lambda: p.hold_spread(38.5, 50, (), 50), 78.5),
    (lambda: (p.clamp_x((1, 328.25, 2), (3, 200, 4), 0), p.clamp_y((1, 328.25, 2), (3, 200, 4), 0)),
     (328.25, 200)),
    (lambda: (p.clamp_x((1, 10, 2), (3, -20, 4), 90), p.clamp_y((1, 10, 2), (3, -20, 4), 90)),
     (20, 10)),
    # the faces lie 19 before and 19, or 19 and a backer of 12, behind the piece's middle
    (lambda: p.hold_fixed((180, 328.25, 480), 38), 129.25),
    (lambda: p.hold_moving((180, 328.25, 480), 38, 0), 132.75),
    (lambda: p.hold_moving((180, 328.25, 480), 38, 12), 120.75),
    (lambda: p.hold_y((129, 200, 271)), 71),
    (lambda: [p.slides_along("x", turn) for turn in (0, 90, 180, 270)], [True, False] * 2),
    (lambda: [p.slides_along("y", turn) for turn in (0, 90, 180, 270)], [False, True] * 2),
    (lambda: p.slides_along("none", 0), False),
    (lambda: p.base_slot(5, 9, False), 16),
    (lambda: p.base_slot(5, 9, True), 9),
    # knobs of 50, 71 out, and 6 beyond: 142 + 50 + 12
    (lambda: p.base_width(240, 71, 50), 240),
    (lambda: p.base_width(100, 71, 50), 204),
    (lambda: p.fixed_base_end(129.25, 50), 161),  # 129.25 + 25 + 6 = 160.25
    (lambda: p.moving_base_end(131.75, 16, 50), 171),  # 131.75 + 8 + 25 + 6 = 170.75
    (lambda: p.located_by("insert", 10.2, 6), "dowels"),
    (lambda: p.located_by("threaded hole", 10.2, 6), "holes"),
    (lambda: p.located_by("T-slot bolt", 5.0, 2.0), "key"),
    (lambda: p.located_by("T-slot nut", 10.2, 6.0), "key"),
    (lambda: p.located_by("T-slot bolt", 4.9, 2.0), "holes"),
    (lambda: p.located_by("T-slot bolt", 5.0, 1.9), "holes"),
    (lambda: p.key_width(10.2), pytest.approx(10)),
    (lambda: p.key_width(0), 0),
    (lambda: [p.key_reach(lip) for lip in (9, 8, 7, 1)], [6, 6, 5, 0]),
    (lambda: [p.key_groove(sheet) for sheet in (24, 17.6, 12)], [6, 5.9, 4]),
    # 200 - 120 - 40 = 40 of table on the operator's side; none is left from 160 down
    (lambda: p.stop_side(False, (0, 200, 0), 240, 40, (0, 600, 0, 400)), -1),
    (lambda: p.stop_side(False, (0, 160, 0), 240, 40, (0, 600, 0, 400)), -1),
    (lambda: p.stop_side(False, (0, 159.9, 0), 240, 40, (0, 600, 0, 400)), 1),
    (lambda: p.stop_side(False, (0, 159.9, 0), 240, 40, (0, 600, -10, 390)), -1),
    (lambda: p.stop_side(True, (0, 200, 0), 240, 40, (0, 600, 0, 400)), 1),
    (lambda: [p.stop_width(washer) for washer in (24, 18, 19)], [40, 35, 35]),
    # 15 + 17.8 + washer 2 + nut 6.8 + threads 2.5 = 44.1: rod of 45, a bolt of 50
    (lambda: p.stop_length(15, 17.8, "M8", "T-slot nut", BOUGHT), 45),
    (lambda: p.stop_length(15, 17.8, "M8", "T-slot bolt", BOUGHT), 50),
    (lambda: p.stop_length(15.9, 17.8, "M8", "insert", BOUGHT), 45),
    (lambda: p.stop_length(16, 17.8, "M8", "insert", BOUGHT), 50),
    # edges at 81 and 119, mouths from 55 to 65 and from 115 to 125: 1 from the slot's middle
    (lambda: p.clear_land((0, 100, 0), 38, (60, 120), 10), -4),
    (lambda: p.clear_land((0, 100, 0), 38, (80, 200), 10), -4),
    # edges at 90 and 110: 25 and 5 from metal's ends
    (lambda: p.clear_land((0, 100, 0), 20, (60, 120), 10), 5),
]  # fmt: skip


@pytest.mark.parametrize(("call", "by_hand"), [*HOLD_DOWNS, *PLACES])
def test_a_rule_by_hand(call, by_hand):
    assert call() == by_hand


@pytest.mark.parametrize(
    ("call", "says", "remedy"),
    [
        (lambda: size("threaded hole", thread="M12"), "no knob for M12", "M10, M8"),
        (lambda: size("insert", "M8", 11.9), "no insert goes into a board 11.9", "12 mm .*M5"),
        (lambda: size("insert", "5/16", 12.6), "no insert goes into", "12.7 mm .*1/4"),
        (lambda: h.hold_by("slots", "metric", PROFILE, NO_M8_ROD), "neither", "measure mouth"),
        (lambda: h.hold_by("slots", "metric", (4.0, 9, 17, 7.5), BOUGHT), "neither", "measure"),
    ],
)
def test_what_cannot_be_is_refused_with_a_remedy(call, says, remedy):
    with pytest.raises(DesignError, match=says) as refused:
        call()
    assert re.search(remedy, refused.value.remedy)


def inside_the_slots(at: float, opening: float, closed: float, hole: float, slot: float) -> bool:
    """Does a stud at `at` from the closed face stay within a slot of that length and place?"""
    return all(slot - hole >= 2 * abs(at - gap) for gap in (opening, closed))


@pytest.mark.parametrize(("width", "backer"), [(38.0, 0.0), (38.0, 12.0), (25.0, 0.0)])
@pytest.mark.parametrize("spread", [0.3, 0.5, 2.0])
def test_the_stud_stays_within_the_moving_base_s_slot(width, backer, spread):
    """Second witness: the studs stand still; the slot is where the face is, plus its own place."""
    opening, closed = width + spread + backer + 3, width - spread + backer - 1
    place = (100.0, 300.0, 480.0)
    away = p.hold_moving(place, width, backer)
    middle = p.base_slot_at(away, opening, closed, width, backer, False)
    slot = p.base_slot(opening - closed, 9.0, False)
    stud = place[2] - (place[1] - width / 2)  # from the fixed face, which stands still
    offs = [stud - gap - middle for gap in (opening, closed)]
    assert offs[0] == pytest.approx(-offs[1])  # as much to either side
    assert max(offs) + 4.5 == pytest.approx(slot / 2 - 1)  # 1 mm beyond the hole at either end
    assert p.base_slot_at(away, opening, closed, width, backer, True) == away


# Where the piece stands, on the slots of the bench router

PLACE_U = {"anchors_u": SLOTS, "hold_reach": 128.0, "width_nominal": 38.0, "width_most": 38.5,
           "table_slot_mouth": 10.2, "table_extent": (0.0, 600.0, 0.0, 400.0), "opening": 41.5,
           "asked_u": (), "hold_knob_diameter": 50.0}  # fmt: skip


def test_the_piece_stands_where_both_jaws_have_room():
    """147 before and 150.5 behind its middle: 297.5, so five pitches; it may stand from 327 to
    329.5 and stands midway. Asked for 328.5 it stands there, asked for 500 as far as it goes."""
    assert p.place_u(**PLACE_U) == (180, 328.25, 480)
    assert p.place_u(**{**PLACE_U, "asked_u": (328.5,)}) == (180, 328.5, 480)
    assert p.place_u(**{**PLACE_U, "asked_u": (500.0,)}) == (240, 389.5, 540)


@pytest.mark.parametrize(
    ("changes", "need"),
    [
        ({}, 297.5),
        ({"hold_reach": 120.0}, 281.5),
        ({"opening": 50.0}, 306),
        # wide pieces need more before the middle and less behind: 128 + 30 + 128 + 41.5 - 30
        ({"width_nominal": 60.0}, 297.5),
    ],
)
def test_how_far_apart_its_anchors_must_be(changes, need):
    """Two slots that far apart will do, a hundredth less will not."""
    told = {**PLACE_U, **changes, "table_slot_mouth": 0.0}
    first, middle, second = p.place_u(**{**told, "anchors_u": (100.0, 100.0 + need)})
    assert (first, second) == (100, 100 + need)
    assert middle == pytest.approx(100 + told["hold_reach"] + told["width_nominal"] / 2)
    with pytest.raises(DesignError, match="two anchors"):
        p.place_u(**{**told, "anchors_u": (100.0, 100.0 + need - 0.01)})


def test_the_bases_should_not_hang_over_the_table():
    """31 before the first anchor, half a knob and 6; 33 behind the second, two more for the slot.

    Of three slots 300 apart the first two and the last two are as good but for that.
    """
    three = {**PLACE_U, "anchors_u": (100.0, 400.0, 700.0), "table_slot_mouth": 0.0}

    def first(low, high):
        return p.place_u(**{**three, "table_extent": (low, high, 0.0, 400.0)})[0]

    # 1 beyond on the left against 2 beyond on the right, and the other way round
    assert first(70.0, 731.0) == 100
    assert first(70.0, 732.5) == 400
    assert first(68.5, 731.0) == 100
    # where the table bears both, the one nearer to its middle
    assert first(60.0, 735.0) == 100
    assert first(67.0, 2000.0) == 400


def test_anywhere_on_a_board_as_near_as_may_be():
    board = {**PLACE_U, "anchors_u": (), "table_slot_mouth": 0.0}
    assert p.place_u(**board) == (300 - 147, 300, 300 + 150.5)
    assert p.place_u(**{**board, "asked_u": (250.0,)}) == (103, 250, 400.5)


PLACE_V = {"anchors_v": (50.0, 150.0, 250.0, 350.0), "hold_spread": 90.0, "depth_most": 38.5,
           "table_slot_mouth": 10.2, "table_extent": (0.0, 600.0, 0.0, 400.0), "asked_v": (),
           "jaw_length": 240.0, "hold_knob_diameter": 50.0}  # fmt: skip


def test_the_hold_downs_of_a_base_stand_to_either_side():
    """The middle pair is nearest to the table's middle; the faces reach 75 beyond either."""
    assert p.place_v(**PLACE_V) == (150, 200, 250)
    assert p.place_v(**{**PLACE_V, "hold_spread": 100.1}) in ((50, 150, 250), (150, 250, 350))
    assert p.place_v(**{**PLACE_V, "asked_v": (310.0,)}) == (250, 300, 350)
    assert p.place_v(**{**PLACE_V, "anchors_v": (), "asked_v": ()}) == (155, 200, 245)


@pytest.mark.parametrize(
    ("jaw", "knob", "reach"),
    [
        (240.0, 50.0, 75.0),  # the faces are longer: (240 - 90) / 2
        (100.0, 50.0, 31.0),  # the knobs reach further: 25 + 6
    ],
)
def test_what_the_table_bears_beside_them(jaw, knob, reach):
    """The narrower pair is taken, unless a tenth of a millimetre hangs over beside it."""
    two = {**PLACE_V, "anchors_v": (200.0, 300.0, 400.5), "jaw_length": jaw,
           "hold_knob_diameter": knob}  # fmt: skip
    for beyond, first in ((0.1, 300.0), (-0.1, 200.0)):
        extent = (0.0, 600.0, 200.0 - reach + beyond, 600.0)
        assert p.place_v(**{**two, "table_extent": extent})[0] == first
