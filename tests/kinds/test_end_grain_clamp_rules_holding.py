"""How hard the clamp grips and is held down: each branch of its rules with plain numbers.

Tables: ISO 898-1 (M8: 36.6 mm2, class 4.6: 225 MPa proof), DIN 508 (nut for 10: foot 15 by 6),
springs for M8 35 long, 12 solid, 2.28 N/mm (table of springs), friction of wood on board 0.3, 0.5,
0.65 and of board on a metal 0.2, 0.4, 0.6 (table of friction).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from jigs.errors import DesignError
from jigs.kinds.end_grain_clamp import KIND
from jigs.kinds.end_grain_clamp import boarding as b
from jigs.kinds.end_grain_clamp import gripping as g
from jigs.kinds.end_grain_clamp import holding_down as h
from jigs.model.number import Book
from jigs.reading.job import read_job
from jigs.sizing import design

ROOT = Path(__file__).parents[2]
PROFILE = (10.2, 9.0, 17.0, 7.5)
RIBS = {"face_strength": 35.0, "sheet_shear": 9.5, "sheet_nominal": 17.6, "dado_depth": 4.5,
        "sheet_least": 17.4, "rib_depth": 40.0, "ribs": 2}  # fmt: skip
CUT = {"cut_force_most": 10.0, "cut_acts_highest": -1.5, "length_most": 140.5, "depth_most": 38.5,
       "drawbolt_height": 69.0, "drawbolt_y": 96.0, "rise": 0.0}  # fmt: skip
LIMITS = {"face_limit": 1200.0, "drawbolt_dent": 5000.0, "glue_limit": 1300.0, "edge_limit": 1400.0,
          "rib_limit": 1500.0, "rod_limit": 8000.0, "drawbolt_cut": 20.0}  # fmt: skip


def glue(length: float, couple: float) -> float:
    """N: 2.3 MPa round the heel of two tongues of that length, 4.5 deep, both cheeks of each."""
    polar = 4 * length * 4.5 * (length**2 / 3 + 4.5**2 / 12)
    return 2.3 * polar / (couple * math.hypot(length, 4.5 / 2))


def limit(**changes: float) -> float:
    return g.drawbolt_limit(**{**LIMITS, **changes})


Case = tuple[Callable[[], Any], Any]
GRIP: list[Case] = [
    # b t^2 / 6 at what a dado of 4.5 leaves of 17.4
    (lambda: g.face_modulus(110, 17.4, 4.5), 110 * 12.9**2 / 6),
    (lambda: g.face_limit(35, 3000, 96, (-12, 12)), 35 * 3000 / 84),
    (lambda: g.off_centre(134.5, 3.5), 131 / 6),
    # the shorter tongue decides: in the base 70 and 4.5, up the face its rib less the base's sheet
    (lambda: g.glue_limit(2.3, 20, 70, 124.5, 17.6, 4.5, 2), glue(74.5, 40)),
    (lambda: g.glue_limit(2.3, 20, 70, 60, 17.6, 4.5, 2), glue(42.4, 40)),
    (lambda: g.glue_limit(2.3, 20, 70, 60, 17.6, 4.5, 4), 2 * glue(42.4, 40)),
    # 2 x 20 / 70 on an edge as long as the shorter of face and base, two cheeks of 4.5
    (lambda: g.edge_limit(2.3, 20, 70, 4.5, 240, 200), 2.3 * 2 * 200 * 4.5 / (40 / 70)),
    (lambda: g.edge_limit(2.3, 20, 70, 4.5, 200, 240), 2.3 * 2 * 200 * 4.5 / (40 / 70)),
    # tall ribs bend, 200 - 13.1 over their dados; low ones shear
    (lambda: g.rib_limit(drawbolt_height=200, **RIBS), 35 * 2 * 17.4 * 40**2 / 6 / (2 * 186.9)),
    (lambda: g.rib_limit(drawbolt_height=40, **RIBS), 9.5 * 2 * 17.4 * 40 / 1.5 / 2),
    (lambda: g.rod_limit("M8", "4.6"), 225 * 36.6),
    # 1.5 of the cut, by levers about the foot, and half of it and what stands aside to one bolt
    (lambda: g.drawbolt_cut(**CUT), 1.5 * 10 * 139 / 69 * (1 / 2 + 38.5 / 4 / 96)),
    (lambda: g.drawbolt_cut(**{**CUT, "rise": 35.0}), 1.5 * 10 * 139 / 34 * (1 / 2 + 38.5 / 384)),
    # a piece lower than the drawbolts is no lever: the force itself
    (lambda: g.drawbolt_cut(**{**CUT, "length_most": 60.0}), 1.5 * 10 * (1 / 2 + 38.5 / 384)),
    # the weakest over 1.5, less the cut; the rod at its proof load; the dent as it is
    (lambda: limit(), 780),
    (lambda: limit(face_limit=2000, glue_limit=900), 580),
    (lambda: limit(face_limit=2000, edge_limit=900), 580),
    (lambda: limit(face_limit=2000, rib_limit=900), 580),
    (lambda: limit(rod_limit=500), 480),
    (lambda: limit(drawbolt_dent=700), 700),
    (lambda: limit(drawbolt_cut=2000), 1),
    # knobs of 50: 1 N/mm and 3 N/mm
    (lambda: (g.hand_torque(50), g.hand_torque_most(50)), (2500, 7500)),
    # tightest: T = K F d / 1.3
    (lambda: g.drawbolt_torque(650, "M8", 9999, 0.3, 0.18), 650 * 0.18 * 8 / 1.3),
    (lambda: g.drawbolt_torque(650, "M8", 300, 0.3, 0.18), 300),
    (lambda: g.drawbolt_loose(1000, "M8", 0.3, 0.30), 700 / 2.4),
    (lambda: g.drawbolt_tight(1000, "M8", 0.3, 0.18), 1300 / 1.44),
    # pressed to 27.7 a spring pushes 2.28 x 7.3 = 16.6: a tenth of 166.4
    (lambda: g.springs("M8", 27.7, 166.5), 2),
    (lambda: g.springs("M8", 27.7, 166.4), 0),
    (lambda: g.springs("M8", 12.0, 9999), 2),
    (lambda: g.springs("M8", 11.9, 9999), 0),
    (lambda: g.springs("M8", 40, 1), 2),
    (lambda: g.spring_push("M8", 27.7, 2), 2 * 2.28 * 7.3),
    (lambda: g.spring_push("M8", 27.7, 1), 2.28 * 7.3),
    (lambda: g.spring_push("M8", 27.7, 0), 0),
    (lambda: g.spring_push("M8", 40, 2), 0),
    (lambda: (g.jaw_friction(), g.jaw_friction_middle(0.3), g.jaw_friction_high(0.5)),
     (0.3, 0.5, 0.65)),
    (lambda: (g.jaw_friction_middle(0.6), g.jaw_friction_high(0.7)), (0.6, 0.7)),
]  # fmt: skip
DOWN: list[Case] = [
    # foot of 15 on lips of 9: shear 0.577 x 98 over two cheeks
    (lambda: h.table_limit("T-slot nut", "M8", 10, 15, PROFILE, 98, 1), 0.577 * 98 * 2 * 15 * 9),
    (lambda: h.table_limit("T-slot bolt", "M8", 10, 9, PROFILE, 98, 1), 0.577 * 98 * 2 * 14 * 9),
    # DIN 7965, M8: 16 outside, 18 long
    (lambda: h.table_limit("insert", "M8", 0, 18, (), 98, 1.5), 1.5 * math.pi * 16 * 18),
    # washer 24, hole 9 and 7 or 12, the washer's rim, of open slot
    (lambda: h.hold_dent(5, 24, 9, 16), 5 * (math.pi / 4 * (24**2 - 9**2) - 7 * 9)),
    (lambda: h.hold_dent(5, 24, 9, 40), 5 * (math.pi / 4 * (24**2 - 9**2) - 12 * 9)),
    (lambda: h.hold_dent(5, 24, 9, 9), 5 * math.pi / 4 * (24**2 - 9**2)),
    (lambda: (h.hold_limit(5, 7), h.hold_limit(7, 5)), (5, 5)),
    # what gives over 1.5 and 1.2: 1000 N; or the dent; or the hand
    (lambda: h.hold_torque(1800, 2000, "M8", 9999, 0.3, 0.18), 1000 * 1.44 / 1.3),
    (lambda: h.hold_torque(1800, 900, "M8", 9999, 0.3, 0.18), 900 * 1.44 / 1.3),
    (lambda: h.hold_torque(1800, 900, "M8", 500, 0.3, 0.18), 500),
    (lambda: h.hold_loose(1000, "M8", 0.3, 0.30), 700 / 2.4),
    (lambda: h.hold_tight(1000, "M8", 0.3, 0.18), 1300 / 1.44),
    (lambda: [h.base_friction(on) for on in ("slots", "holes", "spoilboard")], [0.2, 0.2, 0.3]),
    (lambda: [h.base_friction_high(on, 0.2) for on in ("slots", "spoilboard")], [0.6, 0.65]),
    (lambda: h.base_friction_high("slots", 0.7), 0.7),
    # a square of 100 on the table, an upright one, two ribs of 50 by 80; 10 thick, 700 kg/m3
    (lambda: h.moving_weight(700, 10, 100, 100, 100, 100, 50, 80, 2),
     700 * 28000 * 10 / 1e9 * 9.80665),
    (lambda: h.hold_down_drag(0.6, 1000, 10), 0.6 * 2010),
    # boards: what the table says the weaker way, or what the user knows
    (lambda: (b.face_strength("birch plywood", 0), b.face_strength("birch plywood", 22)), (35, 22)),
    (lambda: b.sheet_shear_modulus(8000.0), 500),
    (lambda: b.sheet_density("birch plywood"), 680),
    (lambda: b.sheet_density("pixie board"), 600),
]  # fmt: skip


@pytest.mark.parametrize(("call", "by_hand"), [*GRIP, *DOWN])
def test_a_rule_by_hand(call, by_hand):
    assert call() == pytest.approx(by_hand)


@pytest.mark.parametrize(
    ("call", "says", "remedy"),
    [
        (lambda: g.face_limit(0, 1, 96, (12,)), "face_strength", "20"),
        (lambda: g.drawbolt_dent(0, 24, 9), "sheet_crushing", "3"),
        (lambda: g.glue_limit(0, 20, 70, 60, 17.6, 4.5, 2), "glue_strength", "1"),
        (lambda: g.edge_limit(0, 20, 70, 4.5, 1, 1), "glue_strength", "1"),
        (lambda: g.rib_limit(drawbolt_height=40, **{**RIBS, "face_strength": 0}),
         "face_strength", "20"),
        (lambda: g.rib_limit(drawbolt_height=40, **{**RIBS, "sheet_shear": 0}), "sheet_shear", "4"),
        (lambda: g.drawbolt_loose(0, "M8", 0.3, 0.3), "drawbolt_torque", "500"),
        (lambda: g.drawbolt_loose(500, "M8", 0.3, 0), "nut_factor_loose", "0.3"),
        (lambda: g.jaw_friction_middle(0), "jaw_friction", "0.3"),
        (lambda: h.table_limit("insert", "M8", 0, 18, (), 0, 1), "table_yield", "98"),
        (lambda: h.table_limit("insert", "M8", 0, 18, (), 98, 0), "spoilboard_shear", "1"),
        (lambda: h.hold_dent(0, 24, 9, 9), "sheet_crushing", "3"),
        (lambda: h.hold_loose(0, "M8", 0.3, 0.3), "hold_torque", "500"),
        (lambda: h.base_friction_high("slots", 0), "base_friction", "0.2"),
        (lambda: b.sheet_shear_modulus(0), "sheet_young", "3000"),
    ],
)  # fmt: skip
def test_nothing_is_refused_with_what_is_usual(call, says, remedy):
    with pytest.raises(DesignError, match=f"{says} must be above 0") as refused:
        call()
    assert refused.value.remedy == f"{says}: {remedy}, or leave it out"


@pytest.mark.parametrize("rise", [69.0, 70.0])
def test_drawbolts_that_pass_under_the_piece_are_refused(rise):
    with pytest.raises(DesignError, match="the piece begins at") as refused:
        g.drawbolt_cut(**{**CUT, "rise": rise})
    assert refused.value.remedy == f"drawbolt_height: {rise + 70.25:g}"


@pytest.mark.parametrize("count", [-1, 3])
def test_springs_come_singly_or_in_a_pair(count):
    with pytest.raises(DesignError, match="no room for"):
        g.spring_push("M8", 27.7, count)


# The grip, the footing and the springs of whole clamps


@cache
def numbers(file: str = "configs/allotment.yaml", *changes: tuple[str, float]) -> Book:
    d = design(read_job(ROOT / file), {f"clamp.{name}": value for name, value in changes})
    return next(jig.n for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")


POST = {"width": 38.0, "depth": 38.0, "length": 140.0}


def test_a_pull_that_springs_and_weight_take_whole_is_none():
    n = numbers("configs/allotment.yaml", ("drawbolt_torque", 15.0), ("springs", 2))
    (grip,) = KIND.grips(n, POST)
    assert grip.force.low == 0
    assert grip.force.high == pytest.approx(2 * 1.3 * 15 / 1.44)
    assert grip.force.middle == pytest.approx(grip.force.high / 2)


def test_the_middle_of_a_grip_s_force_is_the_mean_of_its_ends():
    (grip,) = KIND.grips(numbers(), POST)
    assert grip.force.middle == pytest.approx((grip.force.low + grip.force.high) / 2)
    (base,) = KIND.footings(numbers())
    assert base.friction.middle == pytest.approx(0.4)
    assert base.pull.middle == pytest.approx((base.pull.low + base.pull.high) / 2)


def test_the_grip_ends_with_the_piece_or_with_the_jaw():
    """Jaws of 134.5: a post of 120 is gripped up to its end, one of 140 up to 5.5 below it."""
    (short,) = KIND.grips(numbers(), {**POST, "length": 120.0})
    assert (short.low, short.high) == pytest.approx((3.5 - 120, 0))
    (long,) = KIND.grips(numbers(), POST)
    assert (long.low, long.high) == pytest.approx((3.5 - 140, -5.5))
    # on a riser of 35.2: gripped from its top, up to jaws of 109.5
    foot = {"width": 28.0, "depth": 28.0, "length": 80.0}
    (lifted,) = KIND.grips(numbers("tests/shops/clamp_on_a_riser.yaml"), foot)
    assert (lifted.low, lifted.high) == pytest.approx((-80, 109.5 - 115.2))


def test_a_narrow_piece_on_a_backer_is_pressed_over_its_own_depth():
    n = numbers("configs/allotment.yaml", ("backer_in_x", 12.0), ("backer_in_y", 0.0))
    assert [KIND.grips(n, {**POST, "depth": deep})[0].along for deep in (30, 38)] == [30, 35.5]


def test_springs_of_a_clamp_on_a_riser_by_hand():
    """The piece turns about its foot, 35.2 up; drawbolts 72.5, cutter 80 - 1.25 above that foot."""
    n = numbers("tests/shops/clamp_on_a_riser.yaml")
    give = {s.name: s.stiffness for s in
            KIND.gives(n, {"width": 28.0, "depth": 28.0, "length": 80.0})}  # fmt: skip
    felt = ((72.5 - 35.2) / (80 + n.cut_acts_highest)) ** 2
    rods = 2 * 205000 * 36.6 / (28 + 2 * 17.6)
    assert give["the drawbolts"] == pytest.approx(rods * felt)
    span = n.hold_fixed - 13.1
    turned = 3 * 7640 * (230 * 17.4**3 / 12) / span
    base = turned / (115.2 + n.cut_acts_highest) ** 2
    assert give["the fixed base up to its hold-downs"] == pytest.approx(base)


def test_rods_are_longer_by_a_backer_between():
    n = numbers("configs/allotment.yaml", ("backer_in_x", 12.0), ("backer_in_y", 0.0))
    give = {s.name: s.stiffness for s in KIND.gives(n, POST)}
    felt = (n.drawbolt_height / (140 + n.cut_acts_highest)) ** 2
    assert give["the drawbolts"] == pytest.approx(2 * 205000 * 36.6 / (38 + 12 + 35.2) * felt)


def test_a_cutter_lower_than_the_drawbolts_feels_the_whole_spring():
    give = {s.name: s.stiffness for s in KIND.gives(numbers(), {**POST, "length": 30.0})}
    assert give["the drawbolts"] == pytest.approx(2 * 205000 * 36.6 / (38 + 35.2))
