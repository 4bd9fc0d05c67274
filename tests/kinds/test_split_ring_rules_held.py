"""What the closed ring does to the piece, how far it gives, and how its board hangs.

The allotment's ring: lining 3 ± 0.2 in a bore of 21.5, 40 high, its top 11 below the piece's end;
beech halves, walls 20 behind the bore, drawbolts M8 34 off the axis; board 218 wide of 17.6 ± 0.2.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from jigs.errors import DesignError
from jigs.kinds.split_ring import gripping, holding_up, loading
from jigs.kinds.split_ring.closing import closed_on, loosely_pressed
from jigs.model.state import SHOWN
from jigs.sizing import Jig

from .rings import JOBS, sized_rings, with_


@pytest.fixture(scope="module")
def rings() -> dict[str, Jig]:
    return sized_rings()


@pytest.fixture(scope="module")
def n(rings) -> Any:
    return rings["slots"].n


# Lever, share, bore


def test_a_cut_above_the_ring_loads_one_half_and_its_upper_edge():
    """Second witness: N + F pressing a strip 40 high at e = F L / (N + F) off its middle; the edge
    of a straight-lined pressure, on all of the height, less N."""
    assert loading.lever_to(-0.2, -11, 40) == pytest.approx(30.8)
    height, closing, push, lever = 40.0, 700.0, 6.0, 30.8
    z = (np.arange(4000) + 0.5) / 100 - 20
    force, moment = closing + push, push * lever
    pressure = force / height + moment * z / float((z**2).sum() / 100)
    assert float((pressure * z).sum() / 100) == pytest.approx(moment, rel=1e-4)
    edge = float(pressure[-1]) * height - closing
    assert loading.cut_share(push, lever, height) == pytest.approx(edge, rel=1e-3)


def test_pressure_alone_presses_the_bore_along_the_grain():
    """No closing: sqrt(1 / 0.05) of the pressure (Lekhnitskii), in compression."""
    assert loading.bore_compression(0, 2.0, 34, 21.5, 20, 40) == pytest.approx(2 * math.sqrt(20))
    assert loading.bore_compression(700, 2.0, 34, 21.5, 20, 40) > 2 * math.sqrt(20)


# The grip


def test_middles_of_bands_are_geometric(n):
    found = closed_on(n, 33.0)
    for band in (found.force, found.pressure):
        assert 0 < band.low < band.high
        assert band.middle == pytest.approx(math.sqrt(band.low * band.high))


def test_a_corner_that_closes_on_the_piece_is_not_refused(n):
    """37 lined: 37 goes in; the bore at its least would be 36.3, and the piece fills it."""
    found = closed_on(n, 37.0)
    assert found.half_angle > closed_on(n, 36.0).half_angle
    with pytest.raises(DesignError, match=r"37\.01 mm wedges"):
        closed_on(n, 37.01)
    assert min(lining.lined for lining, _ in loosely_pressed(n, 18.5)) == 18.5


def test_soft_rubber_slips_and_stiff_rubber_grabs_at_every_corner(n):
    pressed = loosely_pressed(n, 16.0)
    assert len(pressed) == 8
    for (soft, deep), (stiff, shallow) in zip(pressed[::2], pressed[1::2], strict=True):
        assert (soft.young, stiff.young) == (n.liner_young_least, n.liner_young_most)
        assert (soft.crushing, stiff.crushing) == (False, True)
        assert (soft.lined, soft.thick) == (stiff.lined, stiff.thick)
        for lining, squeezed in ((soft, deep), (stiff, shallow)):
            by_torque = lining.force(squeezed) == pytest.approx(n.stopped_loose, rel=1e-5)
            by_turns = squeezed == n.squeeze_least and lining.force(squeezed) <= n.stopped_loose
            assert by_torque or by_turns


def grip(n: Any, diameter: float = 33.0) -> Any:
    return gripping.grip_of(n, {"grip_diameter": diameter})


@pytest.mark.parametrize(
    ("own", "band"), [(0.5, (0.5, 0.7, 0.95)), (0.8, (0.8, 0.8, 0.95)), (1.2, (1.2, 1.2, 1.2))]
)
def test_friction_of_wood_on_rubber_or_as_known(n, own, band):
    found = grip(with_(n, liner_friction=own)).friction
    assert (found.low, found.middle, found.high) == band


def test_where_the_grip_is(n):
    found = grip(n)
    assert (found.low, found.high, found.locked, found.radius) == (-51, -11, 1, 16.5)
    # The lip: 4.05 from the bore's centre on a radius of 18.5, seen from the piece's axis.
    x = math.sqrt(18.5**2 - 4.05**2)
    ray = np.array([x, 4.05]) / 18.5
    centre = np.array([0.0, 18.5 - 16.5 + 0.42])
    t = np.linspace(0, 40, 400_001)[:, None]
    hit = (t * ray)[np.argmin(np.abs(np.hypot(*(t * ray - centre).T) - 16.5))]
    seen = math.atan2(hit[0], hit[1] - centre[1])
    assert found.lip_angle == pytest.approx(seen, abs=1e-4)


@pytest.mark.parametrize(
    ("other", "words"),
    [
        ({"liner_test": (50.0, 30.0, 900.0, 0.3)}, "measured by your squeeze test"),
        ({}, "50 Shore A, within 30 %"),
        ({"liner_hardness": 0.0}, "40 to 60 Shore A assumed"),
    ],
)
def test_what_the_rubber_is_known_by_is_told(n, other, words):
    assert any(words in line for line in gripping.closing_words(with_(n, **other)))


@pytest.mark.parametrize(("torque", "fingers"), [(999.0, True), (1000.0, False)])
def test_a_newton_metre_asks_for_a_spanner(n, torque, fingers):
    told = gripping.closing_words(with_(n, closing_torque=torque))[0]
    assert ("fingers, no spanner" in told) is fingers


# What gives


def felt_by_strips(n: Any, lined: float, radius: float, thick: float, deep: float, young: float):
    """Stiffness at the cutter of a bed that stays as it is: across both halves shift and the fixed
    one tilts, along the fixed one alone, its rubber dragged too; N/mm."""
    psi = np.linspace(-math.pi / 2, math.pi / 2, 40_001)
    y = radius * np.cos(psi) + lined - radius + deep
    into = np.where(y > n.gap / 2, np.hypot(radius * np.sin(psi), y) - lined, 0)
    touch = into > 0
    half, b = psi[touch].max(), n.ring_height
    arc = 2 * radius * half
    bed = young * (1 + (arc * b / (2 * thick * (arc + b))) ** 2 / 2) * b * radius / thick
    square = float(np.trapezoid(np.cos(psi) ** 2 * touch, psi))
    aside = float(np.trapezoid(np.sin(psi) ** 2 * touch, psi))
    one, along = bed * square, bed * aside + young / 3 * b * radius / thick * square
    lever = -0.2 - (n.ring_top - b / 2)
    return min(1 / (1 / (2 * one) + 12 * lever**2 / (one * b**2)),
               1 / (1 / along + 12 * lever**2 / (along * b**2)))  # fmt: skip


@pytest.mark.parametrize("diameter", [31.5, 34.0, 36.0])
@pytest.mark.parametrize("height", [40.0, 90.0])
def test_the_lining_gives_as_its_softest_bed(n, diameter, height):
    """Every corner tried; a low ring tilts, a high one on a thin piece slides along its split."""
    changed = with_(n, ring_height=height)
    softest = min(
        felt_by_strips(changed, lining.lined, lining.radius, lining.thick, deep, lining.young)
        for lining, deep in loosely_pressed(changed, diameter / 2)
    )
    found = gripping.gives_of(changed, {"grip_diameter": diameter})[0]
    assert found.stiffness == pytest.approx(softest, rel=0.08)


def test_a_thick_lining_of_a_low_ring_gives_across_its_split(n):
    """25 mm of rubber, 20 high, filled up to the lips: the one case where the fixed half's tilt
    gives more than the drag along the split."""
    thick = {"liner_thickness": 25.0, "bore_radius": 43.5, "gap": 1.0, "liner_tolerance": 0.0,
             "bore_tolerance": 0.0, "stopped_loose": 1e9, "squeeze_least": 0.4}  # fmt: skip
    changed = with_(n, **thick, ring_height=20.0)
    softest = min(
        felt_by_strips(changed, lining.lined, lining.radius, lining.thick, deep, lining.young)
        for lining, deep in loosely_pressed(changed, 18.4)
    )
    found = gripping.gives_of(changed, {"grip_diameter": 36.8})[0]
    assert found.stiffness == pytest.approx(softest, rel=0.01)


def test_a_lining_that_is_not_pressed_gives_all_the_same(n):
    """As if by a thousandth of a millimetre."""
    loose = with_(n, squeeze_least=0.0, stopped_loose=0.0)
    barely = with_(n, squeeze_least=0.001, stopped_loose=1e9)
    felt = [gripping.gives_of(at, {"grip_diameter": 33.0})[0].stiffness for at in (loose, barely)]
    assert 0 < felt[0] == pytest.approx(felt[1])


def test_the_board_bends_above_its_upper_fastenings(n):
    """The ring's middle at -31, the upper row at -60: from there to the cut 59.8; 218 by 17.4, E
    7640 and a twentieth of it in shear, 5/6 of the section."""
    at = with_(n, hang_z=(-57.5, -290.0), end_height=2.5)
    area = 218 * 17.4
    bends = 59.8**3 / (3 * 7640 * area * 17.4**2 / 12)
    shears = 59.8 / (5 / 6 * 382 * area)
    *_, board = gripping.gives_of(at, {"grip_diameter": 33.0})
    assert board.stiffness == pytest.approx(1 / (bends + shears))


@pytest.mark.parametrize(("upper", "count"), [(-28.6, 2), (-28.5, 1), (-20.0, 1)])
def test_no_board_bends_where_the_ring_lies_over_the_face(n, upper, count):
    """The ring's middle at -31, which is -28.5 in the machine."""
    at = with_(n, hang_z=(upper, -290.0), end_height=2.5)
    assert len(gripping.gives_of(at, {"grip_diameter": 33.0})) == count


# How it hangs


@pytest.mark.parametrize("shop", JOBS)
def test_the_footing_by_the_places_of_its_parts(rings, shop):
    """Fastenings where the poses put them; bears where board and face cover one another."""
    ring = rings[shop]
    n, base = ring.n, holding_up.footing_of(ring.n)
    at = {p.name: p.pose.at for p in ring.poses(SHOWN)}
    of = {"slots": "hanging nut", "nuts": "hanging nut"}.get(shop, "hanging screw")
    stand = sorted((round(x, 6), round(z, 6)) for name, (x, _, z) in at.items()
                   if name.startswith(of) and "stop" not in name)  # fmt: skip
    assert sorted((round(a.u, 6), round(a.v, 6)) for a in base.anchors) == stand
    assert base.level == at["back board"][1]
    half, end = n.board_width / 2, n.end_height
    board = ring.parts["back_board"].outline.bounds
    assert base.reach[:2] == (-half, half) == (board[0], board[2])
    assert base.reach[2] == max(board[1], n.front_bottom - end)
    assert base.reach[3] == min(board[3], n.front_top - end)
    assert base.pull.middle == pytest.approx(math.sqrt(n.hang_loose * n.hang_tight))
    assert (base.pull.low, base.pull.high) == (n.hang_loose, n.hang_tight)
    assert (base.most, base.weight) == (n.hang_limit, n.hung_weight)
    # Board on board 0.3, 0.5, 0.65; on aluminium or steel 0.2, 0.4, 0.6.
    friction = (0.3, 0.5, 0.65) if shop == "board" else (0.2, 0.4, 0.6)
    assert (base.friction.low, base.friction.middle, base.friction.high) == friction
    assert ("wood screws pull" in base.assumes[0]) is (shop == "board")
    assert ("board on board" in base.assumes[1]) is (shop == "board")


def test_friction_as_known_is_no_less_than_itself(n):
    found = holding_up.footing_of(with_(n, front_friction=0.5)).friction
    assert (found.low, found.middle, found.high) == (0.5, 0.5, 0.6)
    found = holding_up.footing_of(with_(n, front_friction=0.9)).friction
    assert (found.low, found.middle, found.high) == (0.9, 0.9, 0.9)
    with pytest.raises(DesignError, match="front_friction"):
        holding_up.footing_of(with_(n, front_friction=0.0))


@pytest.mark.parametrize(
    ("shop", "face"),
    [("slots", "the slot's lips"), ("nuts", "the slot's lips"), ("holes", "the face's thread"),
     ("board", "the wood round the screws")],
)  # fmt: skip
def test_what_gives_first_is_named(rings, shop, face):
    at = {"front_limit": 100.0, "hang_bearing_limit": 200.0, "hang_proof": 300.0}
    of = rings[shop].n
    assert holding_up.first_to_give(with_(of, **at)) == face
    assert "board" in holding_up.first_to_give(with_(of, **at | {"hang_bearing_limit": 50.0}))
    assert holding_up.first_to_give(with_(of, **at | {"hang_proof": 50.0})) == "the bolts"
