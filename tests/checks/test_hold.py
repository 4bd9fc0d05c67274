"""Holding of the clamp: figures worked by hand, and a search that knows no formula of ours."""

import math
from pathlib import Path

import numpy as np
import pytest

from jigs.checks.hold import ON_THE_CUT, check_hold
from jigs.model.finding import Verdict
from jigs.model.state import Limit
from jigs.reading.job import read_job
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
    left = 17.4 - 6.0
    stress = n.drawbolt_tight * (n.drawbolt_y - max(n.rib_at)) / (n.bending_height * left**2 / 6)
    assert stress <= 35 / 1.5 + 1e-9


def test_the_force_of_the_slot_by_hand(allotment):
    """Two flutes, slot as wide as the cutter: one edge cuts the whole chip, the other none.

    Oak is dense hardwood: 0-90 up to 35 MPa, 90-90 70 MPa in the middle. 1500 / (18000 x 2).
    """
    n = next(s.n for s in allotment.setups if s.name == "slotting")
    tangential = 70 * 3 * 1500 / 36000
    assert n.cut_force_high == pytest.approx(tangential * math.hypot(1, 0.5), rel=1e-6)
    assert n.cut_pull == pytest.approx(n.cut_force_high * math.tan(math.radians(30)))


def test_no_direction_of_the_cut_moves_the_piece_at_the_factor_found(allotment):
    """Second witness: both faces as springs without tension, friction shared as they can, searched
    over angles and over how the side force is shared. At the factor found it must just hold."""
    found = told(allotment)["faces hold against slip, twist and lift"]
    grip = clamp_of(allotment).kind.grips(clamp_of(allotment).n, Limit.LEAST)[0]
    n = next(s.n for s in allotment.setups if s.name == "slotting")
    force, lift = ON_THE_CUT * n.cut_force_high, ON_THE_CUT * n.cut_pull
    torque = force * max(grip.along, grip.apart) / 2
    pressing = grip.force.low / found.value
    mu = grip.friction.low
    for angle in np.linspace(0, np.pi / 2, 91):
        along, across = force * np.sin(angle), force * np.cos(angle)
        # The loaded face keeps N, the other loses all of the force across: the worse end.
        faces = [mu * pressing, mu * max(pressing - across, 0)]
        slide = np.hypot(along, lift)
        shares = np.linspace(0, 1, 401)
        turning = torque / grip.apart
        used = [
            max((slide * s + turning) / faces[0],
                (slide * (1 - s) + turning) / faces[1] if faces[1] else np.inf)
            for s in shares
        ]  # fmt: skip
        assert min(used) <= 1 + 1e-3


def test_every_finding_says_what_it_assumes_and_a_pull_to_try(allotment):
    for finding in check_hold(allotment):
        assert finding.verdict is Verdict.MET
        assert any("force of the cut" in words for words in finding.assumes)
    slip = told(allotment)["faces hold against slip, twist and lift"]
    assert " kg at the cutter's height" in slip.why


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
