"""How hard the ring closes, and what its board hangs on bears: rules with plain numbers.

Wood Handbook, chapter 5: mean less 1.645 times the scatter (28 % across the grain, 18 % along it);
Gent 1958 for rubber; nut factors Shigley 8-15; proof stresses ISO 898-1.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from jigs.errors import DesignError
from jigs.kinds.split_ring import closing, hanging, holding_up
from jigs.kinds.split_ring.closing import Lining
from jigs.mechanics import ring_wall, round_grip
from jigs.mechanics.liner import lip_angle_at_piece

PSI = 6.894757e-3


def across(psi: float) -> float:
    return psi * PSI * (1 - 1.645 * 0.28)


def along(psi: float) -> float:
    return psi * PSI * (1 - 1.645 * 0.18)


# Rubber, first touch, springs


def gent(shore: float) -> float:
    """E = 0.0981 (56 + 7.62336 S) / (0.137505 (254 - 2.54 S)), MPa."""
    return 0.0981 * (56 + 7.62336 * shore) / (0.137505 * (254 - 2.54 * shore))


def test_hardness_within_30_percent_or_usual_rubber():
    assert closing.liner_young_least(50, (), 3) == pytest.approx(0.7 * gent(50))
    assert closing.liner_young_most(50, (), 3) == pytest.approx(1.3 * gent(50))
    assert closing.liner_young_least(0, (), 3) == pytest.approx(0.7 * gent(40))
    assert closing.liner_young_most(0, (), 3) == pytest.approx(1.3 * gent(60))


def test_a_squeeze_test_tells_the_modulus():
    """50 by 30 by 3, 900 N press it by 0.3: 6 MPa; S = 1500 / (2 x 3 x 80) = 3.125, half of it
    for what must not crush."""
    test = (50.0, 30.0, 900.0, 0.3)
    assert closing.liner_young_least(50, test, 3) == pytest.approx(6 / (1 + 2 * 3.125**2))
    assert closing.liner_young_most(50, test, 3) == pytest.approx(6 / (1 + 2 * 1.5625**2))


def test_what_is_assumed_of_the_hand_and_the_nut():
    assert closing.liner_friction() == 0.5
    assert closing.touch_error() == 0.125
    assert (closing.nut_factor_loose(), closing.nut_factor_tight()) == (0.30, 0.18)
    assert closing.torque_by_feel() == 0.3


def test_squeeze_at_its_loosest_and_at_its_tightest():
    """An eighth of a turn of M8 (1.25) closes both linings by 0.156: 0.078 each; taper 0.3 and
    ovality 0.2 take a quarter of their sum on the mean."""
    assert closing.squeeze_least(0.42, 0.125, "M8", 0.3, 0.2) == pytest.approx(0.216875)
    assert closing.squeeze_least(0.1, 0.125, "M8", 0.3, 0.2) == 0
    assert closing.squeeze_most(0.42, 0.125, "M8", 3, 0.2) == pytest.approx(0.498125)


def test_a_lining_is_not_squeezed_flat():
    assert closing.squeeze_most(2.7, 0.125, "M8", 3, 0.2) == pytest.approx(2.778125)
    for squeeze in (2.721875, 2.8):
        with pytest.raises(DesignError, match="cannot be squeezed"):
            closing.squeeze_most(squeeze, 0.125, "M8", 3.0, 0.2)
    for squeeze in (0.0, -0.1):
        with pytest.raises(DesignError, match="squeeze must be above 0"):
            closing.squeeze_most(squeeze, 0.125, "M8", 3, 0.2)


def test_a_spring_pushes_by_what_it_is_pressed():
    """M8, as the table assumes it: 35 long, 2.28 N/mm; 1.8 and twice 11.5 are left of it."""
    assert closing.spring_force("M8", 1.8, 11.5) == pytest.approx(2.28 * 10.2)
    assert closing.spring_force("M8", 14.0, 11.5) == 0


def test_the_weaker_wood_decides_at_the_seat():
    """Beech 1010 and 7300 psi, ash 1160 psi; of none that is known, the weakest."""
    assert closing.seat_strength("ash", "beech", ()) == pytest.approx(across(1010), rel=1e-4)
    assert closing.seat_strength("beech", "ash", ()) == pytest.approx(across(1010), rel=1e-4)
    assert closing.seat_strength("ash", "ash", ()) == pytest.approx(across(1160), rel=1e-4)
    assert closing.halves_strength("beech", ()) == pytest.approx(along(7300), rel=1e-4)
    assert closing.halves_strength("bog oak", ()) < closing.halves_strength("beech", ())


def test_the_thinner_wall_of_both_halves():
    """37.45 of wood and half of 8.1, less the bore of 21.5: 20."""
    assert closing.wall_least(29, 37.45, 8.1, 21.5) == pytest.approx(20)
    assert closing.wall_least(19, 37.45, 8.1, 21.5) == 19


# How hard the wood lets it close


def place(**other: Any) -> dict[str, Any]:
    """The allotment's ring; 5 N of cut, 2 N of pull, 0.2 mm below the piece's end."""
    return {
        "seat_strength": 3.756, "halves_strength": 35.43, "grip_diameter_least": 31.5,
        "grip_diameter_most": 36.0, "bore_radius": 21.5, "bore_tolerance": 0.15,
        "liner_thickness": 3.0, "liner_tolerance": 0.2, "gap": 8.1, "ring_height": 40.0,
        "liner_young_most": 3.1925, "squeeze_most": 0.498, "bolt_x": 34.0, "wall_least": 20.0,
        "ring_top": -11.0, "cut_force_most": 5.0, "cut_pull_most": 2.0, "cut_acts_highest": -0.2,
    } | other  # fmt: skip


def bed(lined: float, radius: float, thick: float, n: dict[str, Any], deep: float) -> Any:
    """Force, pressure and half angle of one half by strips (Gent and Lindley's modulus with the
    shape of what touches, 2.1 times for friction: `liner_force`, stiff and grabbing)."""
    psi = np.linspace(0, math.pi / 2, 2001)
    y = radius * np.cos(psi) + lined - radius + deep
    into = np.where(y > n["gap"] / 2, np.hypot(radius * np.sin(psi), y) - lined, 0)
    into = np.maximum(into, 0)
    half = psi[np.nonzero(into)[0][-1]]
    arc = 2 * radius * half
    shape = arc * n["ring_height"] / (2 * thick * (arc + n["ring_height"]))
    stiff = 2.1 * n["liner_young_most"] * (1 + 2 * shape**2)
    pressure = stiff * into / thick
    force = 2 * np.trapezoid(pressure * np.cos(psi), psi) * radius * n["ring_height"]
    return float(force), float(pressure.max()), float(half)


def bears(n: dict[str, Any], lined: float, radius: float, thick: float, deep: float) -> float:
    """The closing force at that compression, N, or inf where wood at seat or bore gives."""
    push, lift, high = 1.5 * n["cut_force_most"], 1.5 * n["cut_pull_most"], n["ring_height"]
    lever = n["cut_acts_highest"] - (n["ring_top"] - high / 2)
    force, pressure, half = bed(lined, radius, thick, n, deep)
    if force > 2 * (push * lever + lift * radius) / high:
        lip = lip_angle_at_piece(lined, radius, deep, n["gap"])
        pressure = round_grip.greatest_pressure(pressure, force, push, lever, half, high, lift,
                                                radius, lip)  # fmt: skip
        edge = force + push * (1 + 6 * lever / high)
        wood = (n["bolt_x"], n["bore_radius"], n["wall_least"], high)
        bore = ring_wall.bore_stress(edge, *wood, pressure, along_span=1, across_span=0.05)
        if -2 * bore > n["halves_strength"]:
            return math.inf
    return math.inf if pressure > n["seat_strength"] else force


def greatest_by_trying(n: dict[str, Any]) -> float:
    """The closing force at which nothing gives yet: up in steps at every corner, then halved."""
    found = []
    for diameter in (n["grip_diameter_least"], n["grip_diameter_most"]):
        for off in (-n["bore_tolerance"], n["bore_tolerance"]):
            for thin in (-n["liner_tolerance"], n["liner_tolerance"]):
                thick, radius = n["liner_thickness"] + thin, diameter / 2
                corner = (n, max(n["bore_radius"] + off - thick, radius), radius, thick)
                low, step = 0.0, n["squeeze_most"] / 12
                while step > 1e-5 and low + step <= n["squeeze_most"] + 1e-9:
                    gives = math.isinf(bears(*corner, low + step))
                    low, step = (low, step / 2) if gives else (low + step, step)
                found.append(bears(*corner, low) if low else 0.0)
    return min(found)


@pytest.mark.parametrize(
    "other",
    [
        {},  # the bore gives first
        {"halves_strength": 1e4},  # the seat does
        {"halves_strength": 1e4, "seat_strength": 1e3},  # the turns are done before
        {"cut_force_most": 40.0, "cut_pull_most": 30.0, "seat_strength": 2.0},
        {"cut_force_most": 40.0, "cut_acts_highest": 30.0, "halves_strength": 20.0},
        {"wall_least": 10.0, "bolt_x": 50.0, "seat_strength": 8.0},
        {"grip_diameter_least": 35.5, "liner_young_most": 6.0, "halves_strength": 1e4},
        {"liner_tolerance": 0.0, "bore_tolerance": 0.0, "halves_strength": 1e4},
        {"ring_height": 25.0, "ring_top": -30.0, "seat_strength": 6.0, "halves_strength": 60.0},
    ],
)
def test_the_closing_limit_by_trying(other):
    """Second witness: strips in place of closed forms, steps in place of the search."""
    n = place(**other)
    assert closing.closing_limit(**n) == pytest.approx(greatest_by_trying(n), rel=0.03)


def test_a_seat_that_is_hardly_closed_is_left_to_the_check_of_tipping():
    """A cut that tips it at any closing: what the seat bears without the cut, not a crash."""
    n = place(cut_force_most=900.0, seat_strength=0.5)
    still = place(cut_force_most=0.0, cut_pull_most=0.0, halves_strength=1e4, seat_strength=0.5)
    assert closing.closing_limit(**n) == pytest.approx(closing.closing_limit(**still), rel=1e-6)


@pytest.mark.parametrize(("limit", "torque"), [(413.0, 220), (415.6, 230), (10.0, 10), (0.1, 10)])
def test_the_torque_whose_tightest_bolt_is_within_the_limit(limit, torque):
    """T = K F d: 0.18 x 8 / 1.3 = 1.1077 N mm for each N of a bolt, which takes half: 228.7 and
    230.2, down to whole 10; fingers tell no less than 10."""
    assert closing.closing_torque(limit, 0.18, 0.3, "M8") == torque


def test_the_force_where_the_torque_stops_it():
    """300 N mm: 210 dry pull 210 / 2.4 = 87.5 N; 390 lubricated 390 / 1.44 = 270.8 N; two bolts."""
    assert closing.stopped_loose(300, 0.30, 0.3, "M8", 20) == pytest.approx(2 * 67.5)
    assert closing.stopped_loose(300, 0.30, 0.3, "M8", 90) == 0
    assert closing.stopped_tight(300, 0.18, 0.3, "M8") == pytest.approx(2 * 390 / 1.44)
    with pytest.raises(DesignError, match="closing_torque"):
        closing.stopped_loose(0, 0.30, 0.3, "M8", 20)


def test_where_a_lining_reaches_a_force():
    rubber = Lining(18.5, 16.0, 8.1, 3.0, 40.0, 3.2)
    assert rubber.where(rubber.force, 0.0, 0.5) == 0
    assert rubber.where(rubber.force, -1.0, 0.5) == 0
    assert rubber.where(rubber.force, 1e9, 0.5) == 0.5
    deep = rubber.where(rubber.force, 100.0, 0.5)
    assert rubber.force(deep) == pytest.approx(100)
    assert (rubber.force(0), rubber.pressure(0), rubber.half_angle(0)) == (0, 0, 0)
    force, pressure, half = bed(18.5, 16.0, 3.0, place(liner_young_most=3.2), deep)
    assert force == pytest.approx(100, rel=0.03)
    assert rubber.pressure(deep) == pytest.approx(pressure, rel=0.03)
    assert rubber.half_angle(deep) == pytest.approx(half, rel=0.01)
    soft = Lining(18.5, 16.0, 8.1, 3.0, 40.0, 3.2, crushing=False)
    assert soft.force(deep) < 100 / 2.1


def test_corners_of_bore_and_lining():
    found = closing.corners_of(21.5, 0.15, 3, 0.2)
    flat = sorted(number for corner in found for number in corner)
    by_hand = [(18.15, 3.2), (18.45, 3.2), (18.55, 2.8), (18.85, 2.8)]
    assert flat == pytest.approx(sorted(number for corner in by_hand for number in corner))
    assert all(lined + thick in (pytest.approx(21.35), pytest.approx(21.65))
               for lined, thick in found)  # fmt: skip


@pytest.mark.parametrize("most", [36.0, 38.5, 42.0])
def test_groups_are_the_fewest_linings_of_one_bore(most):
    """Second witness: from the thinnest up, every lining tried: the one that takes pieces furthest
    up touches over 20 degrees of the thinnest of them; no group more."""
    bore = most / 2 + 1.0 + 0.5

    def touches(lined: float, radius: float, squeeze: float) -> float:
        psi = np.linspace(0, 1.5, 15_001)
        y = radius * np.cos(psi) + lined - radius + squeeze
        inside = np.hypot(radius * np.sin(psi), y) > lined
        return float(np.degrees(psi[np.nonzero(inside)[0][-1]])) if inside.any() else 0.0

    groups = closing.liner_groups(bore, 0.5, 8.1, 31.5, most, 0.2)
    start, count = 31.5, 0
    while start < most - 1e-6 and count < 20:
        reach = start
        for tenth in range(4, 120):
            thick = tenth / 10
            squeeze = math.floor(150 * (thick - 0.2) + 1e-6) / 1000
            upto = min(most, 2 * (bore - thick - 0.5))
            fits = upto >= start and touches(bore - thick, start / 2, squeeze) >= 20 - 1e-3
            reach = max(reach, upto) if fits else reach
        start, count = reach, count + 1
    assert len(groups) == count
    assert groups[0][0] == 31.5
    assert groups[-1][1] == pytest.approx(most)
    for low, high, liner in groups:
        assert touches(bore - liner, low / 2, math.floor(150 * (liner - 0.2)) / 1000) > 19.9
        assert high / 2 + 0.5 + liner <= bore + 1e-9


# What the board hangs on


def test_what_the_tables_give_the_board_and_the_bolts():
    """Birch plywood 5 and 7640 MPa, 680 kg/m3; an unknown one is taken as the weakest."""
    assert holding_up.sheet_crushing("birch plywood") == 5
    assert holding_up.sheet_young("birch plywood", 0.0) == 7640
    assert holding_up.sheet_young("birch plywood", 5000.0) == 5000
    assert holding_up.sheet_density("birch plywood") == 680
    assert holding_up.sheet_density("bamboo board") < 680
    assert (holding_up.bolt_class("metric"), holding_up.bolt_class("inch")) == ("4.6", "grade 2")
    assert holding_up.front_board_gravity() == 0.36
    assert holding_up.front_friction(hanging.WOOD_SCREWS) == 0.3
    assert holding_up.front_friction(hanging.SCREWS) == 0.2


def limit(by: str, size: str, head: float, length: float, **other: Any) -> float:
    return holding_up.front_limit(**{
        "hang_by": by, "hang_size": size, "hang_head_width": head, "hang_length": length,
        "sheet_most": 15.0, "front_slot_profile": (), "front_yield": 98.0,
        "front_board_gravity": 0.36,
    } | other)  # fmt: skip


def test_what_the_face_bears():
    """Wood Handbook 8-10a: 108.25 G^2 D L, 0.6 of it; FED-STD-H28/2B for M6 in 98 MPa: area
    pi d L (1/2 + (d - d2) tan 30 / p), d2 5.350; a lip 9 thick under a head of 15."""
    wood = limit(hanging.WOOD_SCREWS, "4.5", 0, 30)
    assert wood == pytest.approx(0.6 * 108.25 * 0.36**2 * 4.5 * 15, rel=1e-4)
    engaged = 30 - 15 - 1.6
    area = math.pi * 6 * engaged * (0.5 + (6 - 5.3505) * math.tan(math.pi / 6))
    assert limit(hanging.SCREWS, "M6", 0, 30) == pytest.approx(0.577 * 98 * area, rel=1e-3)
    shear = 0.577 * 98 * 2 * 15 * 9
    bends = 98 * 15 * 81 / (3 * (17 / 2 - (10.2 + 15) / 4))
    slot = limit(hanging.BOLTS, "M8", 15, 40, front_slot_profile=(10.2, 9.0, 17.0, 7.5))
    assert slot == pytest.approx(min(shear, bends), rel=1e-6)


@pytest.mark.parametrize("name", ["front_yield", "front_board_gravity"])
def test_a_face_of_nothing_is_refused(name):
    with pytest.raises(DesignError, match=name):
        limit(hanging.SCREWS, "M6", 0, 30, **{name: 0.0})


def test_what_the_board_bears_under_a_fastening():
    """Large washer M8: 24 over a hole of 9; a head of 10 pulled through 680 kg/m3, EN 1995-1-1."""
    washer = holding_up.hang_bearing_limit(hanging.BOLTS, "M8", 24, 5, 680)
    assert washer == pytest.approx(5 * math.pi / 4 * (24**2 - 9**2))
    head = holding_up.hang_bearing_limit(hanging.WOOD_SCREWS, "5", 10, 5, 680)
    assert head == pytest.approx(70e-6 * 680**2 * 100)
    with pytest.raises(DesignError, match="sheet_crushing"):
        holding_up.hang_bearing_limit(hanging.BOLTS, "M8", 24, 0, 680)


def test_what_the_bolts_bear():
    """Class 4.6: 225 MPa on 36.6 mm2."""
    assert holding_up.hang_proof(hanging.BOLTS, "M8", "4.6", 1.0) == pytest.approx(8235)
    assert holding_up.hang_proof(hanging.WOOD_SCREWS, "5", "4.6", 321.0) == 321
    assert [holding_up.hang_limit(*at) for at in ((1, 2, 3), (2, 1, 3), (3, 2, 1))] == [1, 1, 1]


def test_how_hard_it_is_hung():
    """M8: 13 x 512 = 6656 N mm with a short spanner; or what leaves 1.5 and a tenth of 1944 N:
    0.18 x 8 x 1178.2 / 1.3 = 1305, down to whole 10."""
    assert holding_up.hang_torque(hanging.BOLTS, "M8", 1944, 0.18, 0.3) == 1300
    assert holding_up.hang_torque(hanging.BOLTS, "M8", 1e6, 0.18, 0.3) == 6656
    assert holding_up.hang_torque(hanging.WOOD_SCREWS, "5", 1944, 0.18, 0.3) == 0
    loose = holding_up.hang_loose(hanging.BOLTS, "M8", 1300, 1944, 0.3, 0.3)
    assert loose == pytest.approx(0.7 * 1300 / 2.4)
    tight = holding_up.hang_tight(hanging.BOLTS, "M8", 1300, 1944, 0.18, 0.3)
    assert tight == pytest.approx(1.3 * 1300 / 1.44)
    assert holding_up.hang_loose(hanging.WOOD_SCREWS, "5", 0, 500, 0.3, 0.3) == 50
    assert holding_up.hang_tight(hanging.WOOD_SCREWS, "5", 0, 500, 0.18, 0.3) == 200
    with pytest.raises(DesignError, match="hang_torque"):
        holding_up.hang_loose(hanging.BOLTS, "M8", 0, 1944, 0.3, 0.3)


def test_what_hangs_weighs_as_full_blocks():
    """Board 218 x 309 x 17.6, shelf 105 x 67 x 17.6: 1.309 litres at 680 kg/m3; halves 40 high,
    188 x 37.45 and 124 x 46.45: 0.512 litres at 800; and 10 N."""
    found = holding_up.hung_weight(680, 17.6, 218, -320, -11, 105, 67, 17.6, 40, 188, 37.45, 124,
                                   46.45)  # fmt: skip
    sheet = 218 * 309 * 17.6 + 105 * 67 * 17.6
    halves = 40 * (188 * 37.45 + 124 * 46.45)
    kilos = sheet * 1e-6 * 0.68 + halves * 1e-6 * 0.8
    assert found == pytest.approx(kilos * 9.80665 + 10)
