"""Sizing rules of jaws, drawbolts and fences, each worked on paper, at and just past its limits.

Sizes of bought parts: ISO 4032 (nut M8 6.8 high, M6 5.2), ISO 7093 (washer M8 24 x 2, M6 18 x 1.6,
M5 15), ISO 273 medium (M8 9), DIN 603 (coach bolt M6: head 16 x 3.5, neck 6 x 4; M5: 13 x 3, neck
3.5 deep), DIN 7965 (insert M8 18 long), ASME B18.5 (1/4: head 0.5785 x 0.135, neck 0.2525).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from jigs.errors import DesignError
from jigs.kinds.end_grain_clamp import fencing as f
from jigs.kinds.end_grain_clamp import sizing as s

BOUGHT = ()
ONLY_M6 = (("threaded rod", "M6", (1000.0,)),)
NO_ROD = (("threaded rod", "M10", (1000.0,)),)
ONLY_M5 = (("coach bolt", "M5", (50.0,)),)
NO_COACH = (("coach bolt", "M8", (50.0,)),)

# What sweeps over the jaws: a piece 38.5 wide ends 19.25 from the axis, a cutter of 6


@pytest.mark.parametrize(
    ("does", "way", "wide", "x", "y"),
    [
        # all round: the cutter's near edge passes 2 beyond the piece: 19.25 + 2 + 6
        ("tenon", "x", 4, 27.25, 27.25),
        ("tenon", "y", 4, 27.25, 27.25),
        # a slot runs out at its ends only; across it half the slot, or half the cutter
        ("slot", "x", 8, 27.25, 4),
        ("slot", "y", 8, 4, 27.25),
        ("slot", "x", 4, 27.25, 3),
        ("hole", "x", 8, 4, 4),
        ("mark", "y", 4, 3, 3),
    ],
)
def test_how_far_the_cutter_sweeps(does, way, wide, x, y):
    assert s.swept_x(does, way, wide, 6, 38.5) == x
    assert s.swept_y(does, way, wide, 6, 38.5) == y


ABOVE = {"end_least": 150.0, "cut_depth": 20.0, "stick_out": 40.0, "under_gantry": 1000.0,
         "swept": 3.0, "inside": 20.0, "cutter_diameter": 6.0, "collet_nut_diameter": 0.0,
         "dust_hood_diameter": 0.0, "dust_hood_below": 30.0}  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "top"),
    [
        ({}, 145),  # the piece's end less 5
        ({"under_gantry": 140.0}, 135),
        # the cutter's edge, 20 from the axis, does not pass over what begins there
        ({"swept": 20.0, "cutter_diameter": 40.0}, 145),
        ({"swept": 20.1, "cutter_diameter": 40.0}, 125),  # floor at 130, less 5
        # its middle comes to 10 - 3 = 7: a nut of 26 to 20, one of 26.2 beyond; 130 + 10 - 5
        ({"swept": 10.0, "stick_out": 10.0, "collet_nut_diameter": 26.0}, 145),
        ({"swept": 10.0, "stick_out": 10.0, "collet_nut_diameter": 26.2}, 135),
        # the hood likewise, 4 below the nut: 130 + 10 - 4 - 5
        ({"swept": 10.0, "stick_out": 10.0, "dust_hood_below": 4.0, "dust_hood_diameter": 26.0},
         145),
        ({"swept": 10.0, "stick_out": 10.0, "dust_hood_below": 4.0, "dust_hood_diameter": 26.2},
         131),
        # no hood hangs in nobody's way, however low
        ({"swept": 30.0, "stick_out": 10.0, "dust_hood_below": 30.0}, 125),
        # down to the half millimetre, but noise of sums is no half millimetre
        ({"end_least": 150.3}, 145),
        ({"end_least": 150.5}, 145.5),
        ({"end_least": 150.49999999999997}, 145.5),
    ],
)  # fmt: skip
def test_how_high_a_thing_may_stand(changes, top):
    assert s.highest(**{**ABOVE, **changes}) == top


def test_jaws_begin_at_the_thinnest_piece_and_fences_at_the_shallowest():
    """40 wide begins 20 from the axis, 60 deep begins 30 from it."""
    over = {name: value for name, value in ABOVE.items() if name not in ("swept", "inside")}
    assert s.jaw_top(**over, swept_x=20.0, width_least=40.0) == 145
    assert s.jaw_top(**over, swept_x=20.1, width_least=40.0) == 125
    fence = {**over, "depth_least": 60.0}
    assert s.fence_top(**fence, swept_y=30.0, jaw_top=200.0) == 145
    assert s.fence_top(**fence, swept_y=30.1, jaw_top=200.0) == 125
    assert s.fence_top(**fence, swept_y=30.0, jaw_top=120.0) == 120


Case = tuple[Callable[[], Any], Any]
JAWS: list[Case] = [
    (lambda: s.end_least(79.7, 35.2), 114.9),
    (lambda: s.end_most(80.3, 35.2), 115.5),
    # the face's foot, 0.5 up, and its rebate of 3; on a riser, from its top
    (lambda: s.grip_from(0.0), 3.5),
    (lambda: s.grip_from(3.4), 3.5),
    (lambda: s.grip_from(35.2), 35.2),
    (lambda: s.fence_foot(0.0), 2),
    (lambda: s.fence_foot(12.0), 14),
    (lambda: s.backer("slot"), 12),
    (lambda: s.backer("tenon"), 0),
    (lambda: (s.backer_in_x(12, "x"), s.backer_in_y(12, "x")), (12, 0)),
    (lambda: (s.backer_in_x(12, "y"), s.backer_in_y(12, "y")), (0, 12)),
    (lambda: s.opening(38.5, 12), 53.5),
    (lambda: s.closed_least(37.5, 12), 48.5),
    (lambda: s.travel(53.5, 48.5), 5),
    # 3 mm from 18 mm up, else a sixth to the next tenth: 17.6 / 6 = 2.93
    (lambda: s.chip_rebate(24), 3),
    (lambda: s.chip_rebate(18), 3),
    (lambda: s.chip_rebate(17.6), 2.9),
    (lambda: s.chip_rebate(12), 2),
    # a quarter to the next half: 4.4, 3
    (lambda: s.dado_depth(17.6), 4.5),
    (lambda: s.dado_depth(12), 3),
    (lambda: s.dado_width(17.8), pytest.approx(17.9)),
    # sheet of 18: two dados need 2 (9 + 3) = 24 of depth; 45 from rib to rib: 18 + 90, 18 + 135
    (lambda: s.ribs(23.9, 18), 1),
    (lambda: s.ribs(24, 18), 2),
    (lambda: s.ribs(107.9, 18), 2),
    (lambda: s.ribs(108, 18), 3),
    (lambda: s.ribs(153, 18), 4),
    # the outer ribs within the depth, or as near as 6 mm between dados lets them
    (lambda: s.rib_at(1, 20, 18), (0,)),
    (lambda: s.rib_at(2, 38, 18), (-12, 12)),
    (lambda: s.rib_at(2, 44, 18), (-13, 13)),
    (lambda: s.rib_at(3, 108, 18), (-45, 0, 45)),
    (lambda: s.rib_at(4, 153, 18), (-67.5, -22.5, 22.5, 67.5)),
    (lambda: len(s.rib_at(24, 1100, 18)), 24),
    (lambda: s.rib_height(134.5), 124.5),
    # half of it to the next 5; 40 at least
    (lambda: s.rib_depth(134.5), 70),
    (lambda: s.rib_depth(90), 45),
    (lambda: s.rib_depth(60), 40),
    # 17.8 - 4.5 + 20 = 33.3; 19.5 - 4.5 + 20 = 35; no screw of 3 is longer than 40
    (lambda: s.screw_length(17.8, 4.5, 4.0), 35),
    (lambda: s.screw_length(19.5, 4.5, 4.0), 35),
    (lambda: s.screw_length(19.6, 4.5, 4.0), 40),
    (lambda: s.screw_length(40, 10, 3.0), 40),
    *[(lambda sheet=sheet: s.screw_diameter(sheet), size)  # a quarter of the sheet
      for sheet, size in ((20, 5), (19.9, 4.5), (18, 4.5), (17.9, 4), (16, 4), (15.9, 3.5),
                          (14, 3.5), (13.9, 3), (6, 3))],
]  # fmt: skip
DRAWBOLTS: list[Case] = [
    (lambda: s.drawbolt_size("metric", 15, 25, BOUGHT), "M8"),
    (lambda: s.drawbolt_size("metric", 14.9, 25, BOUGHT), "M6"),
    (lambda: s.drawbolt_size("metric", 15, 24.9, BOUGHT), "M6"),
    (lambda: s.drawbolt_size("inch", 15, 25, BOUGHT), "5/16"),
    (lambda: s.drawbolt_size("inch", 15, 24, BOUGHT), "1/4"),
    (lambda: s.drawbolt_size("metric", 18, 40, ONLY_M6), "M6"),
    # 6 x 8 = 48; insert 18 over a nut's 6.8; printed, nut over nut: 13.6
    (lambda: s.knob_diameter("M8", "wood"), 50),
    (lambda: s.knob_height("M8", "wood"), 25),
    (lambda: s.knob_height("M8", "print"), 14),
    (lambda: (s.drawbolt_washer("M8"), s.drawbolt_hole("M8")), (24, 9)),
    # the middle of 3.5 to 134.5; over the base 17.8 + 25 + 10 = 52.8; to the next half
    (lambda: s.drawbolt_height(3.5, 134.5, 17.8, 50), 69),
    (lambda: s.drawbolt_height(3.5, 134.6, 17.8, 50), 69.5),
    (lambda: s.drawbolt_height(3.5, 60, 17.8, 50), 53),
    # 19 + backer 12 + fence 46.95 + half its travel 3.5 + half a washer 12 + 2 = 95.45
    (lambda: s.drawbolt_y(38, 12, 46.95, 7, 24, (-11.9, 11.9), 17.8, 50), 96),
    (lambda: s.drawbolt_y(38, 0, 46.95, 7, 24, (-11.9, 11.9), 17.8, 50), 84),
    # behind wide ribs: 60 + 8.9 + knob 25 + fingers 15 = 108.9
    (lambda: s.drawbolt_y(38, 12, 46.95, 7, 24, (-60, 0, 60), 17.8, 50), 109),
    # two threads, nut, washer, face, opening, face, washer, knob, two threads
    (
        lambda: s.drawbolt_need("M8", 17.8, 41.5, 25),
        pytest.approx(2.5 + 6.8 + 2 + 17.8 + 41.5 + 17.8 + 2 + 25 + 2.5),
    ),
    (lambda: s.drawbolt_length(117.9, "M8", BOUGHT), 120),
    (lambda: s.spring_room(36.5, "M8"), pytest.approx(36.5 - 6.8 - 2)),
    (lambda: s.spring_room(8.7, "M8"), 0),
    # 96 + 12 + 12 to each side; 83 + 11.1 + 12 = 106.1, twice, to the next millimetre
    (lambda: s.jaw_length(96, 24), 240),
    (lambda: s.jaw_length(83, 22.225), 213),
]
FENCES: list[Case] = [
    # two fifths of 90 are three sheets of 12; of 90.1 four; of 37.5 one of 17.4
    (lambda: f.fence_layers(90, 12, 12.4, 200, 0), 3),
    (lambda: f.fence_layers(90.1, 12, 12.4, 200, 0), 4),
    (lambda: f.fence_layers(37.5, 17.4, 17.8, 36.5, 0), 1),
    # jaws that close to 39.2 leave 37.2 less 2 to spare: three of 12.4; the backer takes its part
    (lambda: f.fence_layers(90.1, 12, 12.4, 39.2, 0), 3),
    (lambda: f.fence_layers(90.1, 12, 12.4, 39.1, 0), 2),
    (lambda: f.fence_layers(90.1, 12, 12.4, 51.2, 12), 3),
    (lambda: f.fence_layers(90.1, 12, 12.4, 51.1, 12), 2),
    (lambda: f.fence_layers(90.1, 12, 12.4, 5, 0), 1),
    (lambda: f.fence_thick(2, 17.6), 35.2),
    (lambda: f.fence_thick(1, 17.6), 17.6),
    (lambda: f.fence_thick(12, 10.0), 120),
    (lambda: f.fence_recess("M6"), 17.5),
    (lambda: f.fence_recess("1/4"), 16.5),  # 14.69 + 1.5
    (lambda: f.fence_recess_depth("M6"), 4.5),
    (lambda: f.fence_recess_depth("1/4"), 4.5),  # 3.43 + 1
    # neck 6, or 0.2525 in = 6.41; never narrower than a cutter of 6.35 goes in with room
    (lambda: f.fence_slot("M6", 1.5), pytest.approx(6.4)),
    (lambda: f.fence_slot("M6", 3.175), pytest.approx(6.55)),
    (lambda: f.fence_slot("1/4", 1.5), pytest.approx(6.9)),
    (lambda: f.fence_washer("M6"), 18),
    # the spread to the side where it is more, twice, and 6
    (lambda: f.fence_travel(37.5, 38, 38.5), 7),
    (lambda: f.fence_travel(37, 38, 38.2), 8),
    (lambda: f.fence_travel(37.9, 38, 39.2), 9),
    # 8.75 + 3.5 + 3.2 + 8 = 23.45; behind ribs out at 60: 60 + 8.9 + 9 + 4 - 19 = 62.9
    (lambda: f.fence_bolt_at(17.5, 7, 6.4, 38, (-11.9, 11.9), 17.8, 18), 23.5),
    (lambda: f.fence_bolt_at(17.5, 7, 6.4, 38, (-60, 60), 17.8, 18), 63),
    (lambda: f.fence_width(23.5, 17.5, 7, 6.4), pytest.approx(23.5 + 8.75 + 3.5 + 3.2 + 8)),
    # 17.8 + 9 + 4 = 30.8; 114.5 - 8.75 - 6 = 99.75, down to the half
    (lambda: f.fence_bolts_z(114.5, 2, 17.8, 18, 17.5), (31, 99.5)),
    # on a plate: 40 + 8.75 + 6
    (lambda: f.fence_bolts_z(114.5, 40, 17.8, 18, 17.5), (55, 99.5)),
    # 21 apart at least: washer and 3
    (lambda: f.fence_bolts_z(66.75, 2, 17.8, 18, 17.5), (31, 52)),
    # sheet 17.8 less recess 4.5, face 17.8, washer 1.6, nut 5.2, two threads of 1: 39.9
    (lambda: f.fence_bolt_length(1, 17.8, 4.5, 17.8, "M6", BOUGHT), 40),
    (lambda: f.fence_bolt_length(1, 18.0, 4.5, 17.8, "M6", BOUGHT), 45),
    (lambda: f.fence_bolt_length(1, 17.8, 4.5, 17.9, "M6", BOUGHT), 40),
    (lambda: f.fence_bolt_length(2, 17.8, 4.5, 17.8, "M6", BOUGHT), 60),
    # M5: 17.8 - 4 + 17.8 + 1.2 + 4.7 + 1.6 = 39.1; 0.9 more is 40
    (lambda: f.fence_bolt_length(1, 18.7, 4, 17.8, "M5", BOUGHT), 40),
    (lambda: f.fence_bolt_length(1, 18.8, 4, 17.8, "M5", BOUGHT), 45),
]  # fmt: skip


@pytest.mark.parametrize(("call", "by_hand"), [*JAWS, *DRAWBOLTS, *FENCES])
def test_a_rule_by_hand(call, by_hand):
    assert call() == by_hand


# M6 wants 3.5 + 1 + 4 = 8.5 of fence, M5 3 + 1 + 3.5 = 7.5. In height, base of 17.8: M6 begins at
# 17.8 + 9 + 4 = 30.8, the next 18 + 3 higher, then half a slot, 8.75, 6 above it and 1: 67.55.
# M5: 17.8 + 7.5 + 4 = 29.3, 15 + 3, 7.25, 6, 1: 61.55. On a plate at 40 - 2: 40 + 8.75 + 6 = 54.75
# and 36.75 more: 91.5; M5 40 + 7.25 + 6 + 32.25 = 85.5.
@pytest.mark.parametrize(
    ("layers", "thin", "top", "foot", "size"),
    [
        (1, 8.5, 200, 2, "M6"),
        (1, 8.4, 200, 2, "M5"),
        (2, 4.25, 200, 2, "M6"),
        (1, 7.4, 200, 2, "M5"),  # none fits: the last, and a check says so
        (1, 17.4, 67.6, 2, "M6"),
        (1, 17.4, 67.5, 2, "M5"),
        (1, 17.4, 50, 2, "M5"),
        (1, 17.4, 91.5, 40, "M6"),
        (1, 17.4, 91.4, 40, "M5"),
    ],
)
def test_a_fence_has_the_larger_bolt_that_goes_into_it(layers, thin, top, foot, size):
    assert f.fence_bolt_size("metric", layers, thin, top, foot, 17.8, BOUGHT) == size


# 1/4: washer 0.734 in = 18.64, slot 14.69 + 1.5 = 16.19; head and 1 and neck 3.43 + 1 + 3.57 = 8
@pytest.mark.parametrize(("hardware", "shelf", "size"), [
    ("inch", BOUGHT, "1/4"), ("metric", ONLY_M5, "M5"), ("metric", BOUGHT, "M6"),
])  # fmt: skip
def test_a_fence_s_bolt_is_of_the_shop_s_series_and_shelf(hardware, shelf, size):
    assert f.fence_bolt_size(hardware, 1, 17.4, 200, 2, 17.8, shelf) == size


@pytest.mark.parametrize("thin", [7.5, 7.4])
def test_only_m5_on_the_shelf_is_taken_whether_it_fits_or_not(thin):
    assert f.fence_bolt_size("metric", 1, thin, 200, 2, 17.8, ONLY_M5) == "M5"


@pytest.mark.parametrize(
    ("call", "says", "remedy"),
    [
        (lambda: s.rib_at(0, 38, 18), "0 ribs hold no face up", "1 to 24 ribs"),
        (lambda: s.rib_at(25, 38, 18), "more than any jaw has", "1 to 24 ribs"),
        (lambda: s.drawbolt_size("metric", 18, 40, NO_ROD), "no rod of M8 or M6",
         r"threaded rod: \{M6: \[1000\]\}"),
        (lambda: s.drawbolt_size("inch", 18, 40, NO_ROD), "no rod of 5/16 or 1/4", "1/4"),
        (lambda: f.fence_thick(0, 18), "0 layers make no fence", "1 to 12"),
        (lambda: f.fence_thick(13, 18), "13 layers make no fence", "1 to 12"),
        (lambda: f.fence_bolt_size("metric", 1, 18, 200, 2, 18, NO_COACH), "M6 or M5 is on",
         r"\{M6: \[50\]\}"),
        # 51.5 - 31 = 20.5: half a millimetre short, told as one
        (lambda: f.fence_bolts_z(66.7, 2, 17.8, 18, 17.5), "no room for two bolts",
         "leaves 1 mm more"),
        # slot wider than the washer: 22 and 3; 66.75 - 11 - 6 = 49.5; low 31: 18.5, 6.5 short
        (lambda: f.fence_bolts_z(66.75, 2, 17.8, 18, 22), "no room for two bolts",
         "leaves 7 mm more"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_a_remedy(call, says, remedy):
    with pytest.raises(DesignError, match=says) as refused:
        call()
    assert re.search(remedy, refused.value.remedy)
