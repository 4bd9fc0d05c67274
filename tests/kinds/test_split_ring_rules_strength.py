"""What the closed ring does to its own wood and bolts, and what is set on it from piece to piece.

The allotment's ring: lining 3 ± 0.2 in a bore of 21.5, 40 high, its top 11 below the piece's end;
beech halves, walls 20 behind the bore, drawbolts M8 34 off the axis; board 218 wide of 17.6 ± 0.2.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from jigs.kinds.split_ring import gripping, running, strength
from jigs.kinds.split_ring.closing import closed_on
from jigs.model.finding import Finding, Verdict
from jigs.model.state import Limit, Phase, State
from jigs.sizing import Jig

from .rings import JOBS, sized_rings, with_


@pytest.fixture(scope="module")
def rings() -> dict[str, Jig]:
    return sized_rings()


@pytest.fixture(scope="module")
def n(rings) -> Any:
    return rings["slots"].n


# Strength


def strong(n: Any, **values: Any) -> dict[str, Finding]:
    found = strength.strength_checks(with_(n, **values))
    return {f.check: f for f in found}


HALVES = ("back of the halves in tension", "bore of the halves in compression",
          "wood behind the lining", "wood under washers and bolt heads")  # fmt: skip
BOLTS, MOUNT = "drawbolts below proof load", "mounting bolts hold the fixed half"


def test_factors_on_what_may_break_and_on_what_may_dent(n):
    limits = [strong(n)[check].limit for check in (*HALVES, BOLTS, MOUNT)]
    assert limits == [1.5, 2, 1, 1, 1.5, 1.5]


def test_a_piece_as_thick_as_the_lined_bore_is_judged(n):
    assert HALVES[0] in strong(n, lined_radius=18.0)
    (found,) = strong(n, lined_radius=17.99).values()
    assert found.verdict is Verdict.NOT_JUDGED


def test_the_hardest_piece_of_the_batch_governs(n):
    """Stopped by turns the thickest, which fills the bore, is pressed hardest; where the torque
    stops them all at one force, the thinnest, which touches over least."""
    by_turns = strong(n, stopped_tight=1e6, squeeze_most=0.2)
    assert by_turns[HALVES[0]].governs.startswith("a piece of 36 mm")
    assert strong(n)[HALVES[0]].governs.startswith("a piece of 31.5 mm")
    softer = strong(n, stopped_tight=1e6, squeeze_most=0.1)
    assert softer[HALVES[0]].value > by_turns[HALVES[0]].value


def test_a_wood_of_the_users_own_or_of_nobodys(n):
    told = strong(n, wood="bog oak")
    for check in HALVES:
        assert told[check].verdict is Verdict.NOT_JUDGED
        assert "like:" in told[check].why
    assert told[BOLTS].verdict is Verdict.MET


def test_halves_and_bolts_by_hand(n):
    """Closing 722.2 N and cut 4.025 N: 722.2 + 4.025 (1 + 6 x 30.8 / 40) = 744.8 on one half.

    Back: 6 x 744.8 x 17 / (40 x 400); beech 75.69 MPa. Washer: coach head of 20 over a hole of 9
    (the washer of 24 is larger). Bolts: 8235 N over half of it and a spring of 23.35."""
    force = n.stopped_tight + 1.5 * n.cut_force_most * (1 + 6 * 30.8 / 40)
    found = strong(n)
    assert found[HALVES[0]].value == pytest.approx(75.69 / (6 * force * 17 / 16_000), rel=1e-3)
    area = math.pi / 4 * (20**2 - 9**2)
    assert found[HALVES[3]].value == pytest.approx(3.7562 / (force / 2 / area), rel=1e-3)
    assert found[BOLTS].value == pytest.approx(8235 / (force / 2 + 23.347), rel=1e-4)
    # With a washer smaller than the head it is the washer that bears.
    small = math.pi / 4 * (16**2 - 9**2)
    bears = strong(n, washer_diameter=16.0)[HALVES[3]].value
    assert bears == pytest.approx(3.7562 / (force / 2 / small), rel=1e-3)


def test_a_wall_thicker_than_the_bore_gathers_its_stress(n):
    """22 behind a bore of 21.5, grain along the span: 1.2 times the beam's (our own elements)."""
    force = n.stopped_tight + 1.5 * n.cut_force_most * (1 + 6 * 30.8 / 40)
    found = strong(n, wall_least=22.0)[HALVES[0]]
    assert found.value == pytest.approx(75.69 / (1.2 * 6 * force * 17 / (40 * 22**2)), rel=1e-3)


def test_seat_and_bore_by_hand(n):
    """The greatest pressure of any piece: what the wood bears across the grain over it; in the
    bore sqrt(20) of it and a curved beam (Winkler and Bach) of walls 20 on 21.5."""
    found = strong(n)
    pressed = 3.7562 / found[HALVES[2]].value
    grips = [gripping.grip_of(n, {"grip_diameter": d}).pressure.high for d in (31.5, 33.0, 36.0)]
    assert pressed > max(grips)
    force = n.stopped_tight + 1.5 * n.cut_force_most * (1 + 6 * 30.8 / 40)
    r = np.linspace(21.5, 41.5, 20_001)
    mid = (r[1:] + r[:-1]) / 2
    # Plane sections: strain (phi (r - r0) / r), no pull in all, moment as given.
    inverse = float(np.mean(1 / mid))
    neutral = 1 / inverse
    moment_of_one = float(np.mean((mid - neutral) / mid * mid)) * 20 * 40
    stress = force * 17 / moment_of_one * (neutral - 21.5) / 21.5
    by_hand = 35.428 / (stress + pressed * math.sqrt(20))
    assert found[HALVES[1]].value == pytest.approx(by_hand, rel=2e-3)


def test_what_is_felt_on_the_nut(n):
    """The softest closes with so much; T = 0.18 x 8 x (half of it and 23.35)."""
    least = min(closed_on(n, 31.5 + 4.5 * i / 8).force.low for i in range(9))
    torque = 0.18 * 8 * (least / 2 + 23.347) / 1000
    assert f"{torque:.2g} to 0.4 N m" in strong(n)[BOLTS].why


def test_mounting_bolts_by_hand(n):
    """About the half's lower edge, two bolts 20 above it: 2 F 20 = push (30.8 + 20) + pull 18;
    plywood of 5 MPa under the heads gives before bolts of 8235 N."""
    push, pull = 1.5 * n.cut_force_most, 1.5 * n.cut_pull_most
    each = (push * (30.8 + 20) + pull * 18) / 40
    least = 5 * math.pi / 4 * (20**2 - 9**2)
    found = strong(n)[MOUNT]
    assert found.value == pytest.approx(least / each, rel=1e-4)
    assert "the back board under their heads" in found.why
    hard = strong(n, sheet_crushing=100.0)[MOUNT]
    assert hard.value == pytest.approx(8235 / each, rel=1e-4)
    assert "first to give: the bolts" in hard.why


def test_without_a_cut_nothing_pulls_at_the_mounting_bolts(n):
    assert MOUNT not in strong(n, cut_force_most=0.0)


# What is set, and what may be off


def apart(ring: Jig, phase: Phase, limit: Limit) -> float:
    """From the moving half's bore to the fixed one's, mm, from the poses."""
    at = {p.name: p.pose.at for p in ring.poses(State(phase, limit))}
    return at["fixed half"][1] - at["moving half"][1]


@pytest.mark.parametrize("shop", JOBS)
@pytest.mark.parametrize("limit", [Limit.LEAST, Limit.MOST])
def test_settings_by_the_places_of_the_halves(rings, shop, limit):
    ring = rings[shop]
    n = ring.n
    sizes = {"grip_diameter": n[f"grip_diameter_{limit}"].value, "length": n.length_most}
    told = {s.name: s for s in running.settings_of(n, sizes)}
    touching = apart(ring, Phase.SETTING, limit)
    gap = told["gap at first touch"].value
    assert gap == pytest.approx(n.gap + touching, abs=0.006)
    pitch = {"M8": 1.25, "M6": 1.0, "M5": 0.8}
    opens = max(0.0, apart(ring, Phase.OPEN, limit) - touching)
    back = told["turns back to open"].value
    assert back == pytest.approx(opens / pitch[n.drawbolt_size], abs=1 / 16 + 1e-6)
    assert back * 8 == round(back * 8)
    assert told["turns after first touch"].value == round(n.closing_turns, 2)
    up = told["jack up, against the nominal piece"].value
    longer = n.length_nominal - n.length_most
    assert up == pytest.approx(longer / pitch[n.jack_size], abs=1 / 16 + 1e-6)
    assert told["liner"].value == n.liner_thickness
    assert told["liner"].changes == 10
    assert not any(s.changes for name, s in told.items() if name != "liner")


def test_a_ring_that_opens_less_than_the_piece_asks_is_turned_no_further(n):
    assert running.turns_to_open(with_(n, open_gap=1.0), 36.0) == pytest.approx(n.closing_turns)


def test_spreads_of_the_ring(n):
    """First touch 0.498 - 0.42; ovality 0.2 and taper 0.3 by a quarter; a stop by 0.1."""
    found = {s.name: s for s in running.spreads_of(n)}
    by_hand = {
        "first touch as felt": ("y", 0.078125, True),
        "out of round in the ring, along y": ("y", 0.05, True),
        "out of round in the ring, along x": ("x", 0.05, True),
        "taper over the grip": ("y", 0.075, True),
        "diameter as measured": ("y", 0.005, True),
        "bore as cut": ("y", 0.15, False),
        "lining as sold": ("y", 0.2, False),
        "stop or dowels that bring the board back": ("x", 0.1, False),
    }
    for name, (axis, size, each) in by_hand.items():
        spread = found.pop(name)
        assert (spread.axis, spread.each, spread.shape) == (axis, each, "even")
        assert spread.size == pytest.approx(size)
    ((name, left),) = found.items()
    assert (name, left.axis, left.shape) == ("torque reached before the turns", "y", "one-sided")
    assert left.each


@pytest.mark.parametrize("stopped", [50.0, 186.6, 400.0])
def test_squeeze_that_a_stiff_lining_leaves(n, stopped):
    """Second witness: strips of the stiffest rubber under the nominal piece, squeezed until they
    carry what the torque gives at its loosest."""
    psi = np.linspace(0, math.pi / 2, 4001)

    def carried(deep: float) -> float:
        y = 16.875 * np.cos(psi) + 18.5 - 16.875 + deep
        into = np.maximum(np.hypot(16.875 * np.sin(psi), y) - 18.5, 0) * (y > 4.05)
        arc = 2 * 16.875 * psi[np.nonzero(into)[0][-1]]
        stiff = 2.1 * 3.19256 * (1 + 2 * (arc * 40 / (6 * (arc + 40))) ** 2)
        return float(2 * np.trapezoid(stiff * into / 3 * np.cos(psi), psi) * 16.875 * 40)

    deep = next(d for d in np.arange(1, 421) / 1000 if carried(d) >= stopped or d >= 0.42)
    (left,) = (s.size for s in running.spreads_of(with_(n, stopped_loose=stopped))
               if s.shape == "one-sided")  # fmt: skip
    assert -left == pytest.approx(0.42 - deep, abs=0.004)
