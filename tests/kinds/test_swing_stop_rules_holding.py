"""How hard the bars press and what they hold: each branch of the rules with plain numbers.

Tables: ISO 898-1 (M8: 36.6 mm2, class 4.6: 225 MPa proof), DIN 7965 (M8: 16 outside, 18 long), wood
on board 0.3, 0.5, 0.65, on rubber 0.5, board on a metal 0.2, 0.6 (table of friction). Rubber: shape
factor S = loaded over free area, E_c = E (1 + 2 S^2) (Gent and Lindley).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from jigs.errors import DesignError
from jigs.kinds.swing_stop import KIND
from jigs.kinds.swing_stop import clamping as c
from jigs.kinds.swing_stop import pulling as p
from jigs.model.number import Book
from jigs.reading.job import read_job
from jigs.sizing import design

SHOPS = Path(__file__).parents[1] / "shops"
PROFILE = (10.2, 9.0, 17.0, 7.5)
STUD = {"stud_by": "insert", "stud_size": "M8", "stud_head": (), "stud_below": 18.0,
        "front_slot_profile": (), "front_yield": 98.0, "front_board_shear": 1.5,
        "bolt_class": "4.6"}  # fmt: skip
IN_SLOT = {"stud_head": (10.0, 15.0, 6.0), "front_slot_profile": PROFILE, "bolt_class": "8.8"}
# a tooth of M8, coarse 1.25: d2 = 8 - 0.6495 x 1.25 (FED-STD-H28/2B)
TOOTH = 1.25 / 2 + 0.57735 * (8 - (8 - 0.649519 * 1.25))


def stud(**changes: Any) -> float:
    return p.stud_limit(**{**STUD, **changes})


def limit(bends: float, washer: float, pad: float, studs: float, lock: float) -> float:
    return p.bar_limit(bends, washer, pad, studs, lock)


Case = tuple[Callable[[], Any], Any]
PULLS: list[Case] = [
    (lambda: stud(), 1.5 * math.pi * 16 * 18),
    (lambda: stud(front_board_shear=99.0), 225 * 36.6),
    # one thread of the hole each 1.25, in 12 of plate
    (lambda: stud(stud_by="threaded hole", stud_below=6.0, front_yield=30.0, bolt_class="8.8"),
     0.577 * 30 * math.pi * 8 * 6 * TOOTH / 1.25),
    (lambda: stud(stud_by="T-slot nut", front_yield=60.0, **IN_SLOT), 0.577 * 60 * 2 * 15 * 9),
    (lambda: stud(stud_by="T-slot bolt", front_yield=60.0, **IN_SLOT), 0.577 * 60 * 2 * 15 * 9),
    # W = 40 x 20^2 / 6; from stud to the middle of half a pad: 63 - 44 / 4
    (lambda: p.bar_bends(60, 40, 20, 63, 44), 60 * 40 * 400 / 6 / 52),
    # washer of 24 less half a round of 9 and a slot of 9 from there to its rim
    (lambda: p.washer_dent(4, 24, 9), 4 * (math.pi * (144 - 81 / 8) - 9 * 12)),
    (lambda: p.pad_dent(4, 44, 40), 4 * 44 * 40 / 2),
    # what breaks over 1.5, and a quarter or a fifth left for the cut
    (lambda: limit(1875, 9e9, 9e9, 9e9, 0), 1000),
    (lambda: limit(9e9, 900, 9e9, 9e9, 0), 900),
    (lambda: limit(9e9, 9e9, 1250, 9e9, 0), 1000),
    (lambda: limit(9e9, 9e9, 9e9, 1800, 300), 700),
    (lambda: p.lock_dent(5, 24, 9), 5 * math.pi / 4 * (24**2 - 9**2)),
    # half of what the stud takes over 1.5; with two bars no dent; a short spanner 13 d^3
    (lambda: p.lock_torque(1, "M8", 500, 3000, 0.3, 0.18), 1000 * 1.44 / 1.3),
    (lambda: p.lock_torque(2, "M8", 500, 3000, 0.3, 0.18), 500 * 1.44 / 1.3),
    (lambda: p.lock_torque(2, "M8", 5000, 3000, 0.3, 0.18), 1000 * 1.44 / 1.3),
    (lambda: p.lock_torque(1, "M8", 500, 9e9, 0.3, 0.18), 13 * 8**3),
    (lambda: p.lock_loose(1000, "M8", 0.3, 0.30), 700 / 2.4),
    (lambda: p.lock_tight(1000, "M8", 0.3, 0.18), 1300 / 1.44),
    (lambda: (p.hand_torque(50), p.hand_torque_most(50)), (2500, 7500)),
    # one bar: two fingers, 0.3 N m; two: what a hand gives
    (lambda: p.bar_torque(1, 9e9, "M8", 2500, 0.3, 0.18), 300),
    (lambda: p.bar_torque(2, 9e9, "M8", 2500, 0.3, 0.18), 2500),
    (lambda: p.bar_torque(2, 1000, "M8", 2500, 0.3, 0.18), 1000 * 1.44 / 1.3),
    (lambda: p.bar_torque(1, 100, "M8", 2500, 0.3, 0.18), 100 * 1.44 / 1.3),
    (lambda: p.bar_loose(1000, "M8", 0.3, 0.30), 700 / 2.4),
    (lambda: p.bar_tight(1000, "M8", 0.3, 0.18), 1300 / 1.44),
    (lambda: (p.torque_by_feel(), p.nut_factor_loose(), p.nut_factor_tight()), (0.3, 0.3, 0.18)),
    (lambda: p.sheet_density("birch plywood"), 680),
    (lambda: p.sheet_crushing("birch plywood"), 5),
]  # fmt: skip
RUBBER: list[Case] = [
    # a block of 40 by 40, 10 thick: S = 1600 / (160 x 10) = 1; 100 N press it by 1 or 2
    (lambda: c.pad_young(0, (40, 40, 100, 2), 10), 100 / 1600 * 10 / 2 / 3),
    (lambda: c.pad_young(70, (40, 40, 100, 1), 10), 100 / 1600 * 10 / 1 / 3),
    # half as thick, S = 2: nine times as stiff as the rubber
    (lambda: c.pad_young(0, (40, 40, 100, 2), 5), 100 / 1600 * 5 / 2 / 9),
    # none told is 40 Shore A; harder is stiffer
    (lambda: c.pad_young(0, (), 3) / c.pad_young(40, (), 3), 1),
    # 50 Shore A (Gent 1958): 0.0981 (56 + 7.62336 s) / (0.137505 (254 - 2.54 s)), less 30 %
    (lambda: c.pad_young(50, (), 3),
     0.7 * 0.0981 * (56 + 7.62336 * 50) / (0.137505 * (254 - 2.54 * 50))),
    # a pad of 40 by 40, 10 thick: S = 1, held half as much: E (1 + 2 / 4)
    (lambda: c.pad_stiffness(2, 40, 40, 10), 2 * 1.5 * 1600 / 10),
    # both studs' mean pull; 15 % of the thickness at most
    (lambda: c.pad_squeeze(300, 1100, 7000, 3), 0.2),
    (lambda: c.pad_squeeze(300, 1100, 700, 3), 0.45),
    (lambda: (c.jaw_friction(), c.pad_friction()), (0.3, 0.5)),
    (lambda: [c.front_friction(on) for on in ("slots", "holes", "spoilboard")], [0.2, 0.2, 0.3]),
]  # fmt: skip


@pytest.mark.parametrize(("call", "by_hand"), [*PULLS, *RUBBER])
def test_a_rule_by_hand(call, by_hand):
    assert call() == pytest.approx(by_hand, rel=1e-5)


@pytest.mark.parametrize(
    ("call", "says", "remedy"),
    [
        (lambda: stud(front_yield=0), "front_yield", "98"),
        (lambda: stud(front_board_shear=0), "front_board_shear", "1"),
        (lambda: p.bar_bends(0, 40, 20, 63, 44), "bar_strength", "50"),
        (lambda: p.washer_dent(0, 24, 9), "bar_crushing", "3"),
        (lambda: p.pad_dent(0, 44, 40), "piece_crushing", "3"),
        (lambda: p.lock_dent(0, 24, 9), "sheet_crushing", "3"),
        (lambda: p.bar_loose(0, "M8", 0.3, 0.3), "torque", "1000"),
        (lambda: p.bar_loose(500, "M8", 0.3, 0), "nut_factor", "0.2"),
        (lambda: c.pad_stiffness(0, 40, 40, 10), "pad_young", "1"),
    ],
)
def test_nothing_is_refused_with_what_is_usual(call, says, remedy):
    with pytest.raises(DesignError, match=f"{says} must be above 0") as refused:
        call()
    assert refused.value.remedy == f"{says}: {remedy}, or leave it out"


# Whole clamps: posts of 45 under two bars, 65 and 265 below the end


@cache
def numbers(shop: str = "front_bar_two_bars", *changes: tuple[str, float]) -> Book:
    d = design(read_job(SHOPS / f"{shop}.yaml"), {f"clamp.{k}": v for k, v in changes})
    return next(jig.n for _, jig in d.jigs() if jig.kind.name == "swing_stop")


POST = {"width": 45.0, "depth": 45.0, "length": 700.0}


def test_the_grip_of_two_bars():
    n = numbers()
    (grip,) = KIND.grips(n, POST)
    assert (grip.force.low, grip.force.high) == pytest.approx((4 * n.bar_loose, 4 * n.bar_tight))
    assert grip.force.middle == pytest.approx(2 * (n.bar_loose + n.bar_tight))
    assert (grip.friction.low, grip.friction.middle, grip.friction.high) == (0.3, 0.5, 0.65)
    assert (grip.low, grip.high, grip.locked) == (-285, -45, 1)
    assert [KIND.grips(n, {**POST, "width": wide})[0].along for wide in (40, 50)] == [40, 44.5]
    assert grip.normal == (0, 1, 0)


@pytest.mark.parametrize(
    ("changes", "friction"),
    [
        ((("jaw_friction", 0.6),), (0.5, 0.5, 0.65)),
        ((("jaw_friction", 0.7), ("pad_friction", 0.8)), (0.7, 0.7, 0.7)),
        ((("pad_friction", 0.2),), (0.2, 0.5, 0.65)),
    ],
)
def test_the_slippier_side_counts(changes, friction):
    (grip,) = KIND.grips(numbers("front_bar_two_bars", *changes), POST)
    assert (grip.friction.low, grip.friction.middle, grip.friction.high) == friction


@pytest.mark.parametrize(
    ("call", "remedy"),
    [
        (lambda: KIND.grips(numbers("front_bar_two_bars", ("jaw_friction", 0.0)), POST), "0.3"),
        (lambda: KIND.footings(numbers("front_bar_two_bars", ("front_friction", 0.0))), "0.2"),
    ],
)
def test_no_friction_is_refused(call, remedy):
    with pytest.raises(DesignError, match="friction must be above 0") as refused:
        call()
    assert f": {remedy}," in refused.value.remedy


def test_the_board_on_the_face():
    """160 wide, from -290 to -27, 17.6 of birch plywood at 680; and 30 N that hang on it.

    The face ends at -330 and -10 in the machine, 25 lower from the end.
    """
    n = numbers()
    (base,) = KIND.footings(n)
    assert base.reach == (-80, 80, -290, -35)
    weight = 160 * 263 * 17.6 * 680 / 1e9 * 9.80665
    assert base.weight == pytest.approx(weight + 30)
    assert base.pull.low == n.lock_loose
    assert base.pull.middle == pytest.approx(math.sqrt(n.lock_loose * n.lock_tight))
    assert base.pull.high == pytest.approx(n.lock_tight + n.bar_tight)
    assert (base.friction.low, base.friction.middle, base.friction.high) == pytest.approx(
        (0.2, 0.4, 0.6)
    )
    assert base.most == n.stud_limit
    assert {(at.u, at.v) for at in base.anchors} == {(x, z) for x in (-63, 63) for z in (-65, -265)}
    assert base.level == pytest.approx(40.1)
    assert "board on aluminium or steel" in " ".join(base.assumes)
    low = numbers("front_bar_two_bars", ("back_foot", -400.0))
    assert KIND.footings(low)[0].reach[2] == -330 - 25
    (wooden,) = KIND.footings(numbers("front_bar_board"))
    assert "board on board" in " ".join(wooden.assumes)
    on_board = wooden.friction
    assert (on_board.low, on_board.middle, on_board.high) == pytest.approx((0.3, 0.475, 0.65))


def test_springs_of_the_bars_by_levers():
    """Upper pad 200 over the lower, the cut 65 - 1.5 above it; beech 11.86 GPa less its scatter."""
    n = numbers()
    upper, lower = KIND.gives(n, POST)
    over = 65 + n.cut_acts_highest
    bar = 48 * (11_860 * (1 - 1.645 * 0.22)) * (40 * 20**3 / 12) / 126**3
    studs = 2 * 205_000 * 36.6 / (45 + 3 + 20)
    spring = 1 / (1 / n.pad_stiffness + 1 / bar + 1 / studs)
    assert upper.stiffness == pytest.approx(spring * (200 / (200 + over)) ** 2, rel=1e-3)
    assert lower.stiffness == pytest.approx(spring * (200 / over) ** 2, rel=1e-3)


def test_a_cut_beside_the_upper_bar_leaves_the_lower_one_alone():
    """The first pass's middle 1.5 below the end: a bar at that height, its row at 23.5."""
    acts = numbers().cut_acts_highest
    for row, springs in ((25 + acts, 1), (25 + acts - 0.1, 2), (25 + acts + 0.1, 1)):
        n = numbers("front_bar_two_bars", ("stud_z", (row, -240.0)))
        assert len(KIND.gives(n, POST)) == springs
