"""Holding of the clamp: figures worked by hand, and a search that knows no formula of ours."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import linprog

from jigs.checks.hold import check_hold, heaviest
from jigs.checks.numbers import number_findings
from jigs.model.finding import Verdict
from jigs.model.state import Limit
from jigs.outputs.report import report
from jigs.reading.job import read_job
from jigs.shop.cutting import ON_THE_CUT
from jigs.shop.piece import sizes_of
from jigs.sizing import design


def clamp_of(d):
    return next(jig for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")


def told(d):
    return {f.check: f for f in check_hold(d)}


def test_pull_of_the_drawbolts_by_hand(allotment):
    """Shigley 8-27, T = K F d: 30 % short at K 0.30, 30 % over at K 0.18, thread of 8."""
    n = clamp_of(allotment).n
    assert n.drawbolt_loose == pytest.approx(0.7 * n.drawbolt_torque / (0.30 * 8))
    assert n.drawbolt_tight == pytest.approx(1.3 * n.drawbolt_torque / (0.18 * 8))


def test_the_torque_breaks_no_face_at_its_tightest(allotment):
    """M = F (y_bolt - y_rib) on b t^2 / 6; birch plywood across its outer plies: 35 MPa."""
    n = clamp_of(allotment).n
    left = 17.4 - 4.5
    stress = n.drawbolt_tight * (n.drawbolt_y - max(n.rib_at)) / (n.bending_height * left**2 / 6)
    assert stress <= 35 / 1.5 + 1e-9


def test_the_force_of_the_slot_by_hand(allotment):
    """Two flutes, slot as wide as the cutter: one edge cuts the whole chip, the other none.

    Oak is dense hardwood: 0-90 up to 35 MPa, 90-90 70 MPa in the middle. 1500 / (18000 x 2) is
    0.042 mm; the table holds from 0.05 mm on.
    """
    n = next(s.n for s in allotment.setups if s.name == "slotting")
    tangential = 70 * 3 * 0.05
    assert n.cut_force_high == pytest.approx(tangential * math.hypot(1, 0.5), rel=1e-6)
    assert n.cut_pull == pytest.approx(n.cut_force_high * math.tan(math.radians(30)))


def test_no_direction_of_the_cut_moves_the_piece_at_the_factor_found(allotment):
    """Second witness: points of even pressure on both faces, friction in a many-sided cone inside
    Coulomb's, as a linear programme: at the factor found some set of forces must hold the whole
    load, from every side. The unloaded face has lost all of the force across."""
    found = told(allotment)["faces hold against slip, twist and lift"]
    setup = next(s for s in allotment.setups if s.name == "slotting")
    sizes = sizes_of(setup.piece, Limit.LEAST)
    grip = clamp_of(allotment).kind.grips(clamp_of(allotment).n, sizes)[0]
    n = setup.n
    force, lift = ON_THE_CUT * n.cut_force_high, ON_THE_CUT * n.cut_pull
    # The first pass is 3 mm deep.
    lever = -3 / 2 - grip.middle
    pressing = grip.force.low / found.value
    for angle in np.linspace(0, np.pi / 2, 7):
        assert carried(grip, pressing, force, lift, lever, angle) >= 0.98


def carried(grip, pressing, force, lift, lever, angle):
    """The largest share of the load that both faces can carry."""
    # The slot of 6 runs over the whole depth: its furthest corner.
    half = np.hypot(3, grip.along / 2)
    ys = np.linspace(-grip.along / 2, grip.along / 2, 9)[1::2]
    zs = np.linspace(-grip.tall / 2, grip.tall / 2, 13)[1::2]
    spots = np.array([(x, y, z) for x in (-grip.apart / 2, grip.apart / 2) for y in ys for z in zs])
    n, per = len(spots), len(spots) // 2
    across, along = force * np.cos(angle), force * np.sin(angle)
    share = np.r_[np.full(per, pressing / per), np.full(per, (pressing - across) / per)]
    fan = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    # Along y, up z, turning about x (the faces' normal) and about z.
    balance = np.zeros((4, 2 * n + 1))
    balance[0, :n], balance[1, n:-1] = 1, 1
    balance[2, :n], balance[2, n:-1] = -spots[:, 2], spots[:, 1]
    balance[3, :n] = spots[:, 0]
    balance[:, -1] = along, lift, -(along * lever + lift * half), force * half
    reach = grip.friction.low * share * np.cos(np.pi / len(fan))
    cones = [np.hstack([np.cos(a) * np.eye(n), np.sin(a) * np.eye(n), np.zeros((n, 1))])
             for a in fan]  # fmt: skip
    found = linprog(
        np.r_[np.zeros(2 * n), -1], A_ub=np.vstack(cones), b_ub=np.tile(reach, len(fan)),
        A_eq=balance, b_eq=np.zeros(4), bounds=[(None, None)] * (2 * n) + [(0, None)],
    )  # fmt: skip
    assert found.success
    return found.x[-1]


@pytest.mark.parametrize("name", ["allotment", "stool", "skittles"])
def test_every_hold_finding_has_its_inputs_and_assumptions(name, designs):
    """No input without standing, no verdict without assumptions, equation and load case."""
    d = designs(name)
    data = report(d, number_findings(d))
    held = [f for f in data["findings"] if f["group"] in ("hold", "strength")]
    assert {"slip", "tipping", "crush", "give", "rock", "slides"} <= {
        word for f in held for word in f["check"].replace(",", "").split()
    }
    for finding in held:
        if finding.get("source", "").startswith("common practice"):
            continue
        assert finding["verdict"] == "met", finding
        for read in finding.get("reads", ()):
            assert read["standing"], finding
    judged = [f for f in held if "equation" in f]
    assert len(judged) >= 12
    for finding in judged:
        assert finding["assumes"], finding["check"]
        assert finding["governs"], finding["check"]
        assert finding["reads"], finding["check"]


def test_a_pull_to_try_stands_with_every_slip_check(allotment):
    for finding in check_hold(allotment):
        if "slip" in finding.check:
            assert re.search(r"a pull of (\d+ g|\d+\.\d kg) at the cutter's height", finding.why)
            assert re.search(r"a twist of (\d+ g|\d+\.\d kg) on an arm of 200 mm", finding.why)


@pytest.mark.parametrize("name", ["allotment", "stool", "skittles"])
def test_the_heaviest_cut_is_held_and_a_heavier_one_is_not(name, designs):
    """The inverse, applied: the force it tells is given as measured, and a hundredth more."""
    d = designs(name)
    for setup in d.setups:
        (cut,) = setup.cuts
        scale = heaviest(setup, cut)
        assert scale is not None
        for more, held in ((0.9999, True), (1.01, False)):
            force = scale * more * cut.cut_force_high
            again = design(d.job, {**as_it_is(setup), f"{cut.owner}.cut_force_high": force})
            assert letting_go(again, setup) == (not held)


def as_it_is(setup):
    """The jigs' numbers, so that they are not sized anew for the heavier cut."""
    return {
        f"{jig.name}.{name}": jig.n[name].value
        for jig in setup.jigs
        for name, card in jig.kind.rules.cards.items()
        if card.settable
    }


def letting_go(d, setup):
    """Does anything slip, tip, slide or rock in that setup?"""
    names = {jig.name for jig in setup.jigs}
    asked = ("slip", "tipping", "slides", "rock")
    return any(
        f.verdict is Verdict.NOT_MET
        for f in check_hold(d)
        if f.of in names and any(word in f.check for word in asked)
    )


def test_a_measured_force_goes_before_the_table(allotment, tmp_path):
    """Twenty times the force: the clamp lets go, and says so."""
    text = Path(allotment.job.source.file).read_text(encoding="utf-8")
    text = text.replace("direction: y, stick_out: 38", "direction: y, stick_out: 38, force: 300")
    machines = str(allotment.job.machine_source.file)
    path = tmp_path / "job.yaml"
    path.write_text(text.replace("machines/bench_router.yaml", machines))
    d = design(read_job(path))
    slip = told(d)["faces hold against slip, twist and lift"]
    assert slip.verdict is Verdict.NOT_MET
    assert "force of the cut 300 N, measured" in slip.assumes


def test_a_wood_that_no_table_knows_is_not_judged(allotment, tmp_path):
    text = Path(allotment.job.source.file).read_text(encoding="utf-8")
    text = text.replace("wood: oak", "wood: laburnum")
    path = tmp_path / "job.yaml"
    machines = str(allotment.job.machine_source.file)
    path.write_text(text.replace("machines/bench_router.yaml", machines))
    found = told(design(read_job(path)))
    crushed = found["faces do not crush the piece"]
    assert crushed.verdict is Verdict.NOT_JUDGED
    assert "laburnum" in crushed.why
    assert any("cut like dense hardwood" in w for w in crushed.assumes)
