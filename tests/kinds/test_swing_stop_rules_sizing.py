"""Sizing rules of the swing stop, each worked on paper, at and just past its limits.

Sizes of bought parts: ISO 4032 (nut M8 13 over flats, 6.8 high), ISO 7093 (washer M8 24 x 2), ISO
273 (M8 9), DIN 7965 (insert M8 18 long, M6 15, M5 12), DIN 508 (nut for 10: foot 15 by 6), ASME
B5.1M (bolt for 10: M8, head 15 by 6); wood screws of 4 as sold: 16, 20, 25, 30, ... 60, 70.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from jigs.errors import DesignError
from jigs.kinds.swing_stop import boarding as b
from jigs.kinds.swing_stop import sizing as s

BOUGHT = ()
PROFILE = (10.2, 9.0, 17.0, 7.5)
SHIMS = (0.5, 1.0, 2.0, 4.0, 8.0)
GRID = tuple(25.0 + 50 * i for i in range(12))

ROWS = {"bars": 2, "front_slots_at": (), "front_slots_along": "none", "front_hole_rows": (),
        "front_top": -10.0, "front_bottom": -330.0, "end_height": 25.0, "bar_height": 40.0,
        "body_below": 0.0, "body_length": 0.0, "hang_z": (), "hang_washer": 0.0,
        "knob_diameter": 50.0, "length_least": 699.0}  # fmt: skip
BODY = {**ROWS, "bars": 1, "body_below": 150.0, "body_length": 70.0, "end_height": 2.0,
        "hang_washer": 24.0}  # fmt: skip
REACH = {"face_at": 40.1, "surface_at": 22.5, "depth_most": 45.5, "nominal_offset": 1.67,
         "offset_least": 0.5, "body_depth": 26.0, "body_offset_y": 1.0, "liner_thickness": 3.0,
         "bar_thick": 20.0, "back_off": 6.0}  # fmt: skip
NEED = {"width_nominal": 45.0, "side_stop_width": 25.0, "board_width": 0.0, "body_width": 0.0,
        "body_offset_x": 0.0, "stud_washer": 24.0, "stud_hole": 9.0, "stud_size": "M8"}  # fmt: skip


def rows(**changes: Any) -> tuple[float, ...]:
    return s.stud_z(**{**ROWS, **changes})


def row(**changes: Any) -> tuple[float, ...]:
    return s.stud_z(**{**BODY, **changes})


def need(bars: int, **changes: Any) -> float:
    return s.stud_need(bars, **{**NEED, **changes})


def stud(profile=(), thread="", deep=18.0, hardware="metric", reach=60.0) -> tuple[str, str]:
    by = s.stud_by(profile, thread, hardware, BOUGHT, reach, "wood")
    return by, s.stud_size(profile, thread, deep, hardware, BOUGHT, reach, "wood")


Case = tuple[Callable[[], Any], Any]
WHERE: list[Case] = [
    # face at 0, board 17.6 before it, half of 45
    (lambda: s.hold_axis_y(2, 0.0, 17.6, 45), -40.1),
    (lambda: s.hold_axis_y(1, 0.0, 17.6, 45), 0),
    # 20 deep and 5 over the table, to the next millimetre, where the cutter runs out
    (lambda: [s.hold_end_height(does, 20.3) for does in ("slot", "tenon", "hole", "mark")],
     [26, 26, 5, 5]),
    (lambda: s.face_at(0.0, -40.1), 40.1),
    (lambda: s.surface_at(2, 40.1, 17.6, 37.75, 1.67), 22.5),
    (lambda: s.surface_at(1, 40.1, 17.6, 37.75, 1.67), 36.08),
    # e = R - r + squeeze of the thinnest, closed; R - r of the thickest, untouched
    (lambda: (s.offset_most(1, 18.5, 33, 0.42), s.offset_most(2, 18.5, 33, 0.42)), (2.42, 0)),
    (lambda: (s.offset_least(1, 18.5, 36), s.offset_least(2, 18.5, 36)), (0.5, 0)),
    (lambda: (s.behind_least(1, 37.75, 2.42, 13), s.behind_least(2, 37.75, 2.42, 13)), (22.33, 0)),
    (lambda: (s.behind_most(1, 37.75, 0.5, 13), s.behind_most(2, 37.75, 0.5, 13)), (24.25, 0)),
    # all shims make 15.5: no packer up to there; else the least room down to the half
    (lambda: s.packer(1, 14.0, 15.5, SHIMS), 0),
    (lambda: s.packer(1, 14.0, 15.6, SHIMS), 14),
    (lambda: s.packer(1, 22.33, 24.25, SHIMS), 22),
    (lambda: s.packer(1, 22.5, 24.25, SHIMS), 22.5),
    (lambda: s.packer(1, -3.0, 24.25, SHIMS), 0),
    (lambda: s.packer(2, 22.33, 24.25, SHIMS), 0),
    # one shim of 3: behind a packer of 20, from 1.3 to 4.9: at most 1.9 are left
    (lambda: s.shim_rest(1, 21.3, 24.9, 20.0, (3.0,)), 1.9),
    (lambda: s.shim_rest(2, 21.3, 24.9, 20.0, (3.0,)), 0),
    (lambda: [s.bar_height(washer) for washer in (24, 24.5, 30)], [40, 41, 46]),
]  # fmt: skip
STUDS: list[Case] = [
    # bars of 40, knobs of 50: 2 + 25 below the table; 15 from the face's edges where it is a board
    (lambda: rows(), (-27, -315)),
    (lambda: rows(knob_diameter=30.0), (-25, -315)),  # the knob needs 15, the face's edge 25
    (lambda: rows(knob_diameter=30.0, bar_height=44.0), (-25, -315)),
    (lambda: rows(knob_diameter=30.0, front_top=-5.0), (-22, -315)),  # 2 + 20, half the bar
    (lambda: rows(front_top=-30.0), (-45, -315)),
    # the shortest piece ends at 25 - 299: 10 over its foot, half a bar
    (lambda: rows(length_least=299.0), (-27, 25 - 299 + 10 + 20)),
    # rows of slots or holes: the highest and the lowest within, both ends counted; 25 - 699 + 30
    (lambda: rows(front_slots_at=(-40.0, -140.0, -240.0)), (-40, -240)),
    (lambda: rows(front_hole_rows=(-26.9, -27.0, -140.0, -644.0, -644.1)), (-27, -644)),
    (lambda: rows(front_slots_at=(-27.0, -107.0)), (-27, -107)),
    # one bar: the body from 2 - 150 down to 2 - 220; a quarter of the bar stays on it at each end
    (lambda: row(), (-183,)),
    (lambda: row(front_slots_at=(-100.0, -158.0, -300.0)), (-158,)),
    (lambda: row(front_slots_at=(-208.0,)), (-208,)),
    (lambda: row(front_slots_at=(-170.0, -190.0)), (-190,)),  # 13 and 7 from the middle
    (lambda: row(front_slots_at=(-180.0, -186.0)), (-186,)),  # as near: the lower
    # clear of what the ring hangs on: half the bar, half a washer of 24, 2: 34
    (lambda: row(hang_z=(-149.0,)), (-183,)),
    (lambda: row(hang_z=(-150.0,)), (-184,)),
    (lambda: row(hang_z=(-216.0,)), (-182,)),
    (
        lambda: row(hang_z=(-190.0, -222.0), front_slots_at=(-158.0, -156.0), bar_height=36.0),
        (-158,),
    ),
    # a face that ends at -190 lets a bar come down to -175 only
    (lambda: row(front_bottom=-190.0), ((-175 - 158) / 2,)),
    (lambda: row(front_top=-170.0), ((-185 - 208) / 2,)),
    # beside board: half of 218 and 12 + 2, or a spanner's head of 1.1 x 13 and 1: 124.3
    (lambda: need(1, board_width=218.0), 125),
    # washers of 30: half of 218, 15 and 2
    (lambda: need(1, board_width=218.0, stud_washer=30.0), 126),
    # beside the body: half of 300, 1.5 aside, half a hole, 3
    (lambda: need(1, body_width=300.0, body_offset_x=-1.5), 159),
    # two bars: half the piece, the stick of 25, half a washer, 3
    (lambda: need(2), 63),
    (lambda: s.stud_x(2, 63, (), 300), 63),
    # a grid of 50: holes 75 to either side of a column... of 300: 125 apart; of 325: 150
    (lambda: s.stud_x(2, 63, GRID, 300), 75),
    (lambda: s.stud_x(2, 63, GRID, 325), 100),
    # the piece's axis: between the columns that are nearest to what is asked or to the middle
    (lambda: s.hold_axis_x(2, (), 63, 10, 590, ()), 300),
    (lambda: s.hold_axis_x(2, (), 63, 0, 600, (250.0,)), 250),
    (lambda: s.hold_axis_x(2, GRID, 63, 0, 600, ()), 300),
    (lambda: s.hold_axis_x(2, GRID, 63, 0, 600, (240.0,)), 250),
    # 80 apart: 100, whose middle is a column: of 275 and 325 the first
    (lambda: s.hold_axis_x(2, GRID, 40, 0, 600, ()), 275),
    (lambda: s.hold_axis_x(1, GRID, 63, 0, 600, (240.0,)), 240),
]
BARS: list[Case] = [
    (lambda: (s.bar_thick(1), s.bar_thick(2)), (20, 20)),
    (lambda: s.bar_length(63, 24), 174),
    (lambda: s.bar_length(63, 24.2), 176),
    # the thinnest piece, or the body less 2 each side; 60 at most
    (lambda: [s.pad_width(2, wide, 0) for wide in (44.5, 60, 80)], [44.5, 60, 60]),
    (lambda: [s.pad_width(1, 0, wide) for wide in (30, 64, 80)], [26, 60, 60]),
    # offset, half of what the ring opens by, 2; or 6
    (lambda: s.back_off(1, 2.42, 13.5, 6.6), 8),  # 2.42 + 3.45 + 2
    (lambda: s.back_off(2, 2.42, 13.5, 6.6), 6),
    # two: board and piece, pad, bar, backed off; one: the body's front lies 14.17 before the axis
    (lambda: s.stud_reach(2, **REACH), 17.6 + 45.5 + 3 + 20 + 6),
    (lambda: s.stud_reach(1, **REACH), 40.1 + (1.67 - 0.5 - 1 + 13) + 3 + 20 + 6),
    (lambda: stud(PROFILE), ("T-slot bolt", "M8")),
    # 9 + 93 + 29.5 = 131.5: no M8 bolt is sold longer than 125, so rod in a nut
    (lambda: stud(PROFILE, reach=93.0), ("T-slot nut", "M8")),
    (lambda: stud(PROFILE, reach=86.5), ("T-slot bolt", "M8")),
    (lambda: stud(thread="M6"), ("threaded hole", "M6")),
    (lambda: stud(thread="5/16-18"), ("threaded hole", "5/16")),
    (lambda: stud(), ("insert", "M8")),
    (lambda: stud(deep=17.9), ("insert", "M6")),
    (lambda: stud(hardware="inch"), ("insert", "5/16")),
    (lambda: s.stud_head((), "metric", BOUGHT, 60, "wood"), ()),
    (lambda: s.stud_head(PROFILE, "metric", BOUGHT, 60, "wood"), (10, 15, 6)),
    (lambda: (s.stud_washer("M8"), s.stud_hole("M8"), s.knob_diameter("M8", "wood")), (24, 9, 50)),
    # the lip; a nut's foot below it; the insert; one and a half diameters to the next millimetre
    (lambda: s.stud_below("T-slot bolt", "M8", 9, (10, 15, 6)), 9),
    (lambda: s.stud_below("T-slot nut", "M8", 9, (10, 15, 6)), 15),
    (lambda: s.stud_below("insert", "M8", 0, ()), 18),
    (lambda: s.stud_below("threaded hole", "M8", 0, ()), 12),
    (lambda: s.stud_below("threaded hole", "M5", 0, ()), 8),
    # 15 + 92.1 + washer 2, knob 25, threads 2.5: 136.6; 9 + 60 + 29.5 = 98.5: a bolt of 100
    (lambda: s.stud_length("T-slot nut", "M8", 15, 92.1, "wood", BOUGHT), 140),
    (lambda: s.stud_length("T-slot bolt", "M8", 9, 60, "wood", BOUGHT), 100),
    (lambda: s.stud_length("T-slot bolt", "M8", 9, 62, "wood", BOUGHT), 125),
    (lambda: s.stud_length("insert", "M8", 9, 62, "wood", BOUGHT), 105),
]  # fmt: skip
BOARD: list[Case] = [
    # 5 outside the washers, 12 + 5, or 15 from a stud's middle
    (lambda: b.back_width(63, 24), 160),
    (lambda: b.back_width(63, 18), 156),
    (lambda: b.back_width(62.6, 24), 160),
    (lambda: b.back_top(25), -27),
    # 25 below the lowest stud, or 5 below its washer: -240 - 25 - 25 = -290; to the next 5
    (lambda: b.back_foot((-40, -240), 25, 24), -290),
    (lambda: b.back_foot((-40, -241), 25, 24), -295),
    (lambda: b.back_foot((-40, -240), 25, 50), -295),
    (lambda: (b.end_stop_at(2, 700), b.end_stop_at(1, 700)), (-700, 0)),
    (lambda: (b.end_stop_tall("M8"), b.side_stop_width("metric")), (40, 25)),
    (lambda: [b.dado_depth(sheet) for sheet in (17.4, 14.6, 12)], [4.5, 3.5, 3]),
    # 20, or 2.5 less than the thinnest piece, down to whole ones
    (lambda: [b.side_stop_proud(2, deep) for deep in (44.5, 22.5, 22.4, 21.7)], [20, 20, 19, 19]),
    (lambda: b.side_stop_proud(1, 44.5), 0),
    # from behind: sheet and what stands proud less 3: 34.4, sold 30; 35 exactly; none so short: 16
    (lambda: b.side_screw(17.4, 4.5, 20), 30),
    (lambda: b.side_screw(18.0, 4.5, 20), 35),
    (lambda: b.side_screw(10, 4.5, 2), 16),
    # from the left: 60, or 25 and the piece less 4
    (lambda: b.end_screw(25, 45), 60),
    (lambda: b.end_screw(25, 22), 40),
    (lambda: b.end_screw(25, 29), 50),
    (lambda: b.end_screw(25, 28.9), 45),
    (lambda: [b.board_key_width(2, mouth) for mouth in (10.2, 0)], [pytest.approx(10), 0]),
    (lambda: b.board_key_width(1, 10.2), 0),
    (lambda: [b.board_key_reach(lip) for lip in (9, 8, 7, 1)], [6, 6, 5, 0]),
    (lambda: [b.stop_width(2, washer, 10.2) for washer in (24, 24.1)], [40, 45]),
    (lambda: b.stop_width(2, 24, 1.0), 40),
    (lambda: (b.stop_width(1, 24, 10.2), b.stop_width(2, 24, 0)), (0, 0)),
    # 15 + 17.8 + washer 2 + nut 6.8 + threads 2.5 = 44.1: rod of 45, a bolt of 50
    (lambda: b.stop_length("T-slot nut", "M8", 15, 17.8, BOUGHT), 45),
    (lambda: b.stop_length("T-slot bolt", "M8", 15, 17.8, BOUGHT), 50),
    (lambda: b.stop_length("insert", "M8", 15.9, 17.8, BOUGHT), 45),
    (lambda: b.stop_length("insert", "M8", 16, 17.8, BOUGHT), 50),
    (lambda: [b.dowel_reach(2, deep) for deep in (18, 17, 16, 1)], [15, 15, 14, 0]),
    (lambda: b.dowel_reach(1, 18), 0),
]  # fmt: skip


@pytest.mark.parametrize(("call", "by_hand"), [*WHERE, *STUDS, *BARS, *BOARD])
def test_a_rule_by_hand(call, by_hand):
    words = isinstance(by_hand, tuple) and by_hand and isinstance(by_hand[0], str)
    approximate = isinstance(by_hand, float | int | tuple) and not words
    assert call() == (pytest.approx(by_hand) if approximate else by_hand)


@pytest.mark.parametrize(
    ("call", "says", "remedy"),
    [
        (lambda: rows(front_slots_along="y"), "stand upright", "along x"),
        # 79 apart, 80 wanted
        (lambda: rows(front_slots_at=(-27.0, -106.0)), "rows 80 mm apart between -644 and -27",
         "longer piece"),
        (lambda: rows(front_hole_rows=(-26.0, -400.0)), "rows 80 mm apart", "longer piece"),
        (lambda: rows(length_least=140.0), "there are none", "longer piece"),
        (lambda: row(front_slots_at=(-157.9, -208.1)), "from -208 to -158, and 34 mm",
         "nearer to -183"),
        (lambda: row(hang_z=(-150.0,), front_slots_at=(-183.9,)), "34 mm", "nearer to -183"),
        (lambda: row(hang_z=(-150.0, -216.0)), "no row", "nearer"),
        (lambda: row(body_length=0.0), "no body", "leave the swing stop out"),
        (lambda: s.pad_width(2, 0, 0), "no body", "body"),
        (lambda: s.pad_width(1, 0, 4), "no body", "body"),
        (lambda: stud(thread="M12"), "no knob for M12", "M10, M8"),
        (lambda: stud(deep=11.9), "no insert goes into a board 11.9", "12 mm"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_a_remedy(call, says, remedy):
    with pytest.raises(DesignError, match=says) as refused:
        call()
    assert re.search(remedy, refused.value.remedy)
