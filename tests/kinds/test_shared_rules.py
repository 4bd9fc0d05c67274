"""What several kinds share, worked on paper: rounding, lengths from a shelf, studs, slots, pulls.

Tables: ISO 4032 (M8 13 over flats, 6.8 high; M6 10, 5.2), ISO 7093, DIN 7965 (M8 18 long, M6 15, M5
12), DIN 508 (nut for 10: M8, foot 15 by 6, 12 high; for 8: M6, 13 by 6, 10 high), ASME B5.1M (bolt
for 10: head 15 by 6, 14 at least), lengths as shops stock them (T-slot bolt M8 32 to 125).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import pytest

from jigs.errors import DesignError, TableError
from jigs.kinds import _common, _front, _hardware, _knob, _moving, _slots, _strength
from jigs.kinds._anchoring import Slot, slot_hold
from jigs.model.number import Book, Number
from jigs.model.pose import Pose

SHELF = (
    ("threaded rod", "M8", (1000.0, 60.0)), ("Threaded  Rod", "m8", (333.0,)),
    ("coach bolt", "M6", (30.0, 50.0)), ("coach bolt", "M5", ()), ("hex bolt", "1/4", (50.8,)),
    ("hex bolt", "M8x1", (80.0,)),
)  # fmt: skip
PROFILE = (10.2, 9.0, 17.0, 7.5)
length = _hardware.length_for

Case = tuple[Callable[[], Any], Any]
ROUNDED: list[Case] = [
    (lambda: [_common.up_to(v, 5) for v in (0.1, 5.0, 5.0000000001, 5.1, 10)], [5, 5, 5, 10, 10]),
    (lambda: [_common.up_to(v, 0.1) for v in (0.3, 0.30000000000000004, 0.31)], [0.3, 0.3, 0.4]),
    # a corner of radius 1 begins 1 from its tip: the chamfer's ends lie beyond, by no tenth of wood
    (lambda: 1 < _common.CLEARS_CORNER < 1.1, True),
]
LENGTHS: list[Case] = [
    # what is on the shelf goes first, in whatever spelling; the family left off is bought
    (lambda: length(SHELF, "coach bolt", "M6", 30), 30),
    (lambda: length(SHELF, "coach bolt", "M6", 30.1), 50),
    (lambda: length(SHELF, "coach  Bolt", "m6", 31), 50),
    (lambda: length(SHELF, "hex bolt", "1/4", 50.8000009), 50.8),  # an inch fraction's noise
    (lambda: length((), "coach bolt", "M6", 38), 40),
    (lambda: length((), "coach bolt", "M6", 40), 40),
    # rod is cut in steps of 5, from a bar that is long enough, and no longer than the bar
    (lambda: length((), "threaded rod", "M8", 101), 105),
    (lambda: length((), "threaded rod", "M8", 105.0000005), 105),
    (lambda: length((), "threaded rod", "M8", 105.1), 110),
    (lambda: length(SHELF, "threaded rod", "M8", 331), 335),
    (lambda: length((("threaded rod", "M8", (333.0,)),), "threaded rod", "M8", 331), 333),
    (lambda: length((("threaded rod", "M8", (60.0, 333.0)),), "threaded rod", "M8", 58), 60),
    (lambda: _hardware.sizes_on(SHELF, "coach bolt", ("M8", "M6", "M5")), ("M6", "M5")),
    (lambda: _hardware.sizes_on(SHELF, "T-slot bolt", ("M8", "M6")), ("M8", "M6")),
    (lambda: _hardware.sizes_on(SHELF, "hex bolt", ("M8", "1/4")), ("1/4",)),
    (lambda: _hardware.sizes_on((), "coach bolt", ()), ()),
    # springs of 7, 9.2 and 11.4 inside
    (lambda: [_hardware.spring_for(size).inner_diameter for size in ("M5", "M6", "M8", "M10")],
     [7, 7, 9.2, 11.4]),
    (lambda: _hardware.spring_for("5/16").inner_diameter, 9.2),
]  # fmt: skip
FRONT: list[Case] = [
    (lambda: _front.can_be_had((), "T-slot bolt", "M8", 125), True),
    (lambda: _front.can_be_had((), "T-slot bolt", "M8", 125.1), False),
    # washer 2, knob 25, two threads of 1.25; printed 14; M6: 1.6 + 21 + 2
    (lambda: _front.beyond("M8", "wood"), 29.5),
    (lambda: _front.beyond("M8", "print"), 18.5),
    (lambda: _front.beyond("M6", "wood"), 1.6 + 21 + 2),
    (lambda: [_front.insert_size("metric", deep) for deep in (18, 17.9, 15, 14.9, 12)],
     ["M8", "M6", "M6", "M5", "M5"]),
    (lambda: [_front.insert_size("inch", deep) for deep in (14.2875, 14.2, 12.7)],
     ["5/16", "1/4", "1/4"]),
    # a bolt under a lip of 9, reach and 29.5 up to 125; beyond that the nut: rod is long
    (lambda: _front.hold_in_slot("metric", (), PROFILE, 86.5, "wood").by, "T-slot bolt"),
    (lambda: _front.hold_in_slot("metric", (), PROFILE, 86.6, "wood").by, "T-slot nut"),
    # rod of 9 + 10 + reach + 29.5 out of bars of 1000
    (lambda: _front.hold_in_slot("metric", (), PROFILE, 951.5, "wood").size, "M8"),
]  # fmt: skip
COLUMNS = (0.0, 50.0, 100.0, 150.0, 220.0)
GRIDS: list[Case] = [
    (lambda: _front.pair_of_columns(COLUMNS, 50, 75, False), (50, 100)),
    (lambda: _front.pair_of_columns(COLUMNS, 50.1, 80, False), (150, 220)),
    (lambda: _front.pair_of_columns(COLUMNS, 50 + 1e-10, 75, False), (50, 100)),  # noise
    (lambda: _front.pair_of_columns(COLUMNS, 50, 50, False), (0, 50)),  # as near: the first
    (lambda: _front.pair_of_columns(COLUMNS, 100, 75, False), (0, 100)),
    (lambda: _front.pair_of_columns(COLUMNS, 100, 76, False), (50, 150)),
    (lambda: _front.pair_of_columns(COLUMNS, 100, 75, True), (0, 150)),
    (lambda: _front.pair_of_columns(COLUMNS, 100, 75.04, True), (0, 150)),
    (lambda: _front.pair_of_columns(COLUMNS, 50, 74.96, True), (50, 100)),
]
PULLS: list[Case] = [
    # lips in shear over a head of 14, both cheeks of 9; bent over no more than that length
    (lambda: _slots.lip_limit(PROFILE, 14, 98), 0.577 * 98 * 2 * 14 * 9),
    (lambda: _slots.lip_limit((10.2, 3.0, 17.0, 7.5), 14, 98),
     98 * 14 * 3**2 / (3 * (17 / 2 - (10.2 + 14) / 4))),
    # DIN 7965 M6: 12 outside, 15 long
    (lambda: _slots.insert_limit("M6", 1.5), 1.5 * math.pi * 12 * 15),
    # M8, coarse 1.25: d2 = 8 - 0.6495 x 1.25; teeth of p / 2 + 0.577 (d - d2), one each 1.25 mm
    (lambda: _slots.thread_limit("M8", 12, 98),
     0.577 * 98 * math.pi * 8 * 12 / 1.25 * (1.25 / 2 + 0.57735 * 0.649519 * 1.25)),
    # T = K F d and a scatter of a third either way: 1000 / (0.2 x 8)
    (lambda: _strength.pull_from(1000, 0.3, 0.2, "M8", -1), 700 / 1.6),
    (lambda: _strength.pull_from(1000, 0.3, 0.2, "M8", +1), 1300 / 1.6),
    (lambda: _strength.pull_from(1000, 0.0, 0.2, "M8", +1), 625),
    (lambda: _strength.torque_up_to(1300 / 1.6, 0.3, 0.2, "M8"), 1000),
    (lambda: [_strength.weakest_class(s) for s in ("metric", "inch")], ["4.6", "grade 2"]),
    # cast iron 98, aluminium 110; boards roll at 1 MPa at least
    (lambda: (_strength.metal_unknown(), _strength.board_unknown()), (98, 1)),
    (lambda: _strength.of_board("birch plywood", "bending_strength_along",
                                "bending_strength_across"), 35),
    (lambda: _strength.of_board("pixie board", "bending_strength_across"), 20),
    # beech: rupture 102.7 less 1.645 times 16 %, the Handbook's rounding aside
    (lambda: round(_strength.of_wood("beech", (), "modulus_of_rupture"), 1), 75.7),
    (lambda: _strength.of_wood("pixie wood", (), "modulus_of_rupture")
     <= _strength.of_wood("spruce", (), "modulus_of_rupture"), True),
    (lambda: _strength.refuse("x", 0.1, "y"), 0.1),
    (lambda: _strength.GRAVITY_PER_MM3 * 1e9, 9.80665),
]  # fmt: skip


@pytest.mark.parametrize(("call", "by_hand"), [*ROUNDED, *LENGTHS, *FRONT, *GRIDS, *PULLS])
def test_by_hand(call, by_hand):
    told = call()
    assert told == (pytest.approx(by_hand, rel=1e-5) if isinstance(told, float) else by_hand)


REFUSED = [
    (
        lambda: length(SHELF, "coach bolt", "M6", 51),
        "on the shelf: 30, 50 mm",
        "coach bolt M6 of 55 mm .sold. on the shelf",
    ),
    (lambda: length(SHELF, "coach bolt", "M6", 50.001), "50 mm or longer is needed", "55 mm"),
    (lambda: length(SHELF, "coach bolt", "M5", 16), "none is on the shelf", "of 16 mm"),
    (
        lambda: length(SHELF, "coach bolt", "M8", 300),
        "none is on the shelf",
        "less to go through, or what you can get",
    ),
    (lambda: length(SHELF, "hex bolt", "1/4", 60), "on the shelf: 2 in", "in .sold."),
    (lambda: length((), "coach bolt", "M6", 121), "the longest sold is 120 mm", "less to go"),
    (lambda: length((), "coach bolt", "M4", 20), "it is not sold; sizes sold: M5", "another size"),
    (lambda: length((), "T-slot bolt", "M8", 126), "the longest sold is 125 mm", "126 mm or long"),
    (lambda: _hardware.spring_for("M12"), "none in the table goes over", "M8 or less"),
    (lambda: _front.insert_size("metric", 11.9), "no insert goes into a board 11.9", "12 mm"),
    (lambda: _front.insert_size("inch", 12.6), "no insert goes into", "12.7 mm .*1/4"),
    (lambda: _front.hold_in_slot("metric", (), PROFILE, 951.6, "wood"), "neither", "measure"),
    (lambda: _front.upright_slots_refused("y"), "stand upright", "along x"),
    (lambda: _front.pair_of_columns(COLUMNS, 221, 75, False), "221 mm or more apart", "221 mm"),
    (
        lambda: _front.pair_of_columns(COLUMNS, 50, 75.052, True),
        "on both sides of 75.052",
        "75.052",
    ),
    (lambda: _strength.refuse("x", 0, "y: 3"), "x must be above 0, not 0", "y: 3"),
    (lambda: _strength.above_zero(0.3, mu=-1), "mu must be above 0", "mu: 0.3, or leave it out"),
    (lambda: _strength.pull_from(1, 1.0, 0.2, "M8", 1), "is a share, not 1", "by_feel: 0.3"),
    (lambda: _strength.pull_from(1, -0.1, 0.2, "M8", 1), "is a share", "by_feel: 0.3"),
    (lambda: _strength.torque_up_to(1, 0.3, 0, "M8"), "nut_factor_tight must", "0.18"),
]


@pytest.mark.parametrize(("call", "says", "remedy"), REFUSED)
def test_what_cannot_be_is_refused_with_a_remedy(call, says, remedy):
    with pytest.raises(DesignError, match=says) as refused:
        call()
    assert re.search(remedy, refused.value.remedy)


def test_a_family_that_nobody_knows_is_the_table_s_to_refuse():
    with pytest.raises(TableError):
        length((), "sky hook", "M8", 1)
    own = (("sky hook", "M8", (20.0,)),)
    assert length(own, "sky hook", "M8", 20) == 20
    with pytest.raises(DesignError, match="on the shelf: 20 mm") as refused:
        length(own, "sky hook", "M8", 21)
    assert "another size" in refused.value.remedy


def test_slots_of_the_front_face_that_lie_are_taken():
    assert _front.upright_slots_refused("x") is None
    assert _front.upright_slots_refused("none") is None


# Ways out


def test_straight_out_and_five_millimetres_more():
    move = _moving.off("nut", ["nut", "washer"], (0.0, -1.0, 0.0), 20.0, "on")
    assert (move.unit, move.legs) == (("nut", "washer"), ((0, -25, 0),))
    slanted = _moving.off("x", ["x"], (0.6, 0.0, 0.8), 5.0, "on").legs[0]
    assert slanted == pytest.approx((6, 0, 8))


@pytest.mark.parametrize(
    ("tip", "out"), [((0, -30, 0), 20), ((0, -10, 0), 0), ((0, 5, 0), 0), ((7, -11, 7), 1)]
)
def test_how_far_a_tip_stands_out(tip, out):
    assert _moving.stands_out((0.0, -10.0, 0.0), (0.0, -1.0, 0.0), tip) == out


@pytest.mark.parametrize(
    ("place", "way"),
    [(100.0, -(90 + 25)), (304.9, -(294.9 + 25)), (305.0, 295 + 25), (400.0, 200 + 25)],
)
def test_a_head_leaves_its_slot_at_the_nearer_end(place, way):
    """A slot from 10 to 600: 20 for the head, 5 to spare; from the very middle to the right."""
    move = _moving.along_slot("bolt", ["bolt"], (1.0, 0.0, 0.0), place, (10.0, 600.0), "in")
    assert move.legs[0] == pytest.approx((way, 0, 0))
    lying = _moving.along_slot("bolt", ["bolt"], (0.0, 0.6, 0.8), place, (10.0, 600.0), "in")
    assert lying.legs[0] == pytest.approx((0, 0.6 * way, 0.8 * way))


# What goes into a T-slot

KNOBS = ("M10", "M8", "M6", "M5")


@pytest.mark.parametrize(
    ("profile", "by", "size"),
    [
        ((10.2, 9, 17, 7.5), "T-slot bolt", "M8"),
        # the throat of 10 goes into 10 exactly, the head of 15 into more than 15 by more than 6
        ((10.0, 9, 15.1, 6.1), "T-slot bolt", "M8"),
        # the next bolt's least head of 12 bears on 1.5 either side of 9, its nut's 13 of 10
        ((9.0, 9, 17, 7.5), "T-slot bolt", "M6"),
        ((9.1, 9, 15.0, 7.5), "T-slot nut", "M6"),
        ((9.9, 9, 17, 7.5), "T-slot nut", "M6"),
        # the bolt's least head of 14 bears on 1.5 either side of 11; the nut's 15 of 12
        ((11.0, 9, 17, 7.5), "T-slot bolt", "M8"),
        ((11.1, 9, 17, 7.5), "T-slot nut", "M8"),
        ((12.0, 9, 17, 7.5), "T-slot nut", "M8"),
        # a nut's neck, 12 - 6 high, stays within the lip
        ((11.1, 6, 17, 7.5), "T-slot nut", "M8"),
    ],
)  # fmt: skip
def test_what_goes_into_a_slot_and_bears(profile, by, size):
    hold = slot_hold("metric", Slot(*profile), KNOBS, KNOBS)
    assert (hold.by, hold.size) == (by, size)


@pytest.mark.parametrize(
    "profile",
    [
        (10.2, 9, 17, 6.0), (10.2, 9, 15.0, 7.5), (10.0, 9, 9.9, 7.5), (10.0, 9, 17, 2.9),
        (12.1, 9, 17, 7.5), (11.1, 5.9, 17, 7.5),
        (4.9, 9, 17, 7.5),
    ],
)  # fmt: skip
def test_what_does_not_go_or_does_not_bear_is_refused(profile):
    with pytest.raises(DesignError, match="neither a T-slot bolt nor") as refused:
        slot_hold("metric", Slot(*profile), ("M8",), ("M8",))
    assert "DIN 508" in refused.value.remedy


def test_sizes_of_what_holds_in_a_slot():
    bolt = slot_hold("metric", Slot(*PROFILE), KNOBS, KNOBS)
    assert (bolt.throat, bolt.head_width, bolt.head_height) == (10, 15, 6)
    nut = slot_hold("metric", Slot(*PROFILE), (), KNOBS)
    assert (nut.by, nut.throat, nut.head_width, nut.head_height) == ("T-slot nut", 10, 15, 6)
    inch = slot_hold("inch", Slot(7.62, 4.06, 19.8, 7.1), ("1/4",), ())
    assert inch.throat == pytest.approx(9 / 32 * 25.4)


# The knob


@pytest.mark.parametrize(
    ("size", "made", "across", "thread", "high"),
    [
        # six times the thread, up to the next 5; insert or nut over 6 mm or a nut's height
        ("M8", "wood", 50, 18, 25), ("M8", "print", 50, 6.8, 14), ("M6", "wood", 40, 15, 21),
        ("M6", "print", 40, 5.2, 12), ("M5", "print", 30, 4.7, 11), ("M10", "wood", 60, 25, 34),
    ],
)  # fmt: skip
def test_a_knob_s_sizes(size, made, across, thread, high):
    knob = _knob.Knob(size, made)
    assert (knob.diameter, knob.thread_length, knob.height) == (across, thread, high)


@pytest.mark.parametrize("across", [30.0, 50.0])
def test_lobes_are_smooth_and_end_at_the_diameter(across):
    """Six lobes of 0.22 of the radius; where lobe and hollow meet, both radii lie on one line."""
    outline = _knob.lobed(across)
    assert len(outline.vertices) == 12
    reach = [max(math.hypot(*p) for p in (*side.extremes(), side.middle)) for side in outline.sides]
    assert max(reach) == pytest.approx(across / 2)
    lobes, hollows = outline.sides[::2], outline.sides[1::2]
    for i, (lobe, hollow) in enumerate(zip(lobes, hollows, strict=True)):
        assert lobe.radius == pytest.approx(0.22 * across / 2)
        assert abs(lobe.angle) == pytest.approx(2.8)
        turn = i * math.pi / 3
        ring = across / 2 * 0.78
        assert lobe.centre == pytest.approx((ring * math.cos(turn), ring * math.sin(turn)))
        assert math.hypot(*lobe.middle) == pytest.approx(across / 2)
        assert hollow.bulge < 0 < lobe.bulge
        # tangent: the centres are as far apart as both radii together
        assert math.dist(lobe.centre, hollow.centre) == pytest.approx(lobe.radius + hollow.radius)
        assert math.atan2(hollow.centre[1], hollow.centre[0]) % (2 * math.pi) == pytest.approx(
            turn + math.pi / 6
        )


@pytest.mark.parametrize(
    ("made", "hole", "recess", "deep"),
    [
        # ISO 273 medium 9; DIN 7965: hole 14.5, 18 long; printed all 0.3 wider: 9.3, 13.3
        ("wood", 9, 14.5, 18),
        ("print", 9.3, 13.3, 6.8),
    ],
)
def test_what_is_cut_in_a_knob(made, hole, recess, deep):
    body, carries = _knob.Knob("M8", made).parts("beech", "PETG")
    through, seat = body.cuts
    assert through.outline.bounds == pytest.approx((-hole / 2, -hole / 2, hole / 2, hole / 2))
    assert (through.depth, seat.depth) == (None, deep)
    x0, _, x1, _ = seat.outline.bounds  # flats of a nut lie left and right
    assert x1 - x0 == pytest.approx(recess)
    assert seat.outline.centre == pytest.approx((0, 0))
    assert carries.made.family == ("hex nut" if made == "print" else "insert")
    assert body.thickness == _knob.Knob("M8", made).height


@pytest.mark.parametrize(("made", "up"), [("wood", 7), ("print", 7.2)])
def test_a_knob_s_thread_ends_at_its_top(made, up):
    """On a seat at x = 10, its stud along x: the thread is pulled down onto what is under it."""
    body, carries = _knob.Knob("M8", made).place("a", Pose.to(10, 0, 0) @ Pose.turned("y", 90), "g")
    assert body.pose.at == (10, 0, 0)
    assert carries.pose.at == pytest.approx((10 + up, 0, 0))
    assert (body.name, carries.name, carries.part) == ("a knob", "a knob thread", "knob_M8_thread")


def test_bought_parts_bear_the_sizes_that_they_are_sold_by():
    """M8: nut 13 by 6.8 (ISO 4032), washer 24 by 2 with a hole of 8.4 (ISO 7093), coach bolt head
    20 by 4.5, neck 8 by 5 (DIN 603); insert 14.5 by 18 as drawn in its hole (DIN 7965)."""
    nut, ring = (dict(p.made.dims) for p in (_hardware.hex_nut("M8"),
                                             _hardware.washer("M8", "large")))  # fmt: skip
    assert nut == {"across_flats": 13, "height": 6.8, "diameter": 8}
    assert ring == {"hole": 8.4, "outer": 24, "height": 2}
    coach = dict(_hardware.coach_bolt("M8", 60, "x").made.dims)
    assert coach == {"diameter": 8, "length": 60, "head_diameter": 20, "head_height": 4.5,
                     "neck_width": 8, "neck_depth": 5}  # fmt: skip
    insert = dict(_hardware.wood_insert("M8").made.dims)
    assert insert == {"outer": 14.5, "diameter": 8, "length": 18}
    slot_nut = dict(_hardware.t_slot_nut(10).made.dims)
    assert slot_nut == {"throat": 10, "foot_width": 15, "foot_height": 6, "height": 12,
                        "diameter": 8}  # fmt: skip
    screw = dict(_hardware.wood_screw(4.0, 35.0, "x").made.dims)
    assert screw == {"diameter": 4, "length": 35, "head_diameter": 8, "core": 2.5}
    assert (
        _hardware.threaded_rod("1/4", 50.8, "x").title == "threaded rod 1/4 × 2 in, cut to length"
    )


def test_what_a_cut_asks_and_nothing_without_one():
    """1.5 of its greatest force and pull; where it acts as it is."""
    names = ("cut_force_most", "cut_pull_most", "cut_acts_highest")
    cut = Book("x", [Number(name, v) for name, v in zip(names, (20.0, 8.0, -1.5), strict=True)])
    none = Book("y")
    asked = (_strength.cut_push, _strength.cut_lift, _strength.cut_acts)
    assert [ask(cut) for ask in asked] == [30, 12, -1.5]
    assert [ask(none) for ask in asked] == [0, 0, 0]
    assert (_strength.cut_reads(cut), _strength.cut_reads(none)) == (names, ())
