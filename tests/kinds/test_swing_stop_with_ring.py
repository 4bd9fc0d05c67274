"""A swing stop beside a real ring, on skittles with a square foot."""

from pathlib import Path

import pytest

from jigs.checks.numbers import number_findings
from jigs.errors import DesignError
from jigs.model.finding import Verdict
from jigs.model.state import Limit, Phase, State, all_states
from jigs.reading.job import read_job
from jigs.sizing import design

SHOP = Path(__file__).parents[1] / "shops" / "front_bar_ring_and_stop.yaml"
JOBS = Path(__file__).parents[1] / "jobs"


@pytest.fixture(scope="module")
def skittles():
    return design(read_job(SHOP))


def jigs_of(d):
    return {jig.name: jig for jig in d.setups[0].jigs}


def sized(text, folder):
    path = folder / "job.yaml"
    path.write_text(text, encoding="utf-8")
    return design(read_job(path))


def test_the_ring_decides_and_the_stop_follows(skittles):
    ring, stop = (jigs_of(skittles)[name].n for name in ("ring", "stop"))
    # the axis lies stand-off less offset before the ring's board, which is 17.6 thick
    assert stop.surface_at == pytest.approx(ring.stand_off - ring.nominal_offset)
    assert stop.face_at == pytest.approx(stop.surface_at + 17.6)
    assert stop.stud_z[0] not in ring.hang_z
    assert stop.stud_x - stop.stud_washer / 2 > ring.board_width / 2


def test_shims_fill_what_the_ring_leaves(skittles):
    setup, stop = skittles.setups[0], jigs_of(skittles)["stop"]
    for limit, diameter in ((Limit.LEAST, 33), (Limit.NOMINAL, 34.5), (Limit.MOST, 36)):
        state = State(Phase.CLOSED, limit)
        body_back = setup.piece_pose(state).at[1] + 13
        shims = [p for p in stop.poses(state) if p.group == "shims"]
        front = min(p.pose.at[1] - stop.parts[p.part].thickness for p in shims)
        assert abs(front - body_back) <= 0.25 + 1e-6
        told = stop.kind.settings(stop.n, {"grip_diameter": diameter, "length": 230})[1]
        assert told.value == pytest.approx(front - body_back, abs=1e-3)


def test_the_bar_is_clear_of_the_body_while_the_ring_is_open(skittles):
    setup, stop = skittles.setups[0], jigs_of(skittles)["stop"]
    for state in all_states():
        front = setup.piece_pose(state).at[1] - 13
        bar = next(p for p in stop.poses(state) if p.name == "bar")
        room = front - (bar.pose.at[1] + 3)
        if state.phase is Phase.OPEN:
            assert room >= 2 - 1e-9
        else:
            squeezed = stop.n.pad_squeeze if state.phase is Phase.CLOSED else 0.0
            assert room == pytest.approx(-squeezed)


@pytest.mark.parametrize("order", ["[stop, ring, gauge]", "[gauge, stop, ring]"])
def test_the_order_in_the_setup_does_not_matter(order, skittles, tmp_path):
    other = sized(SHOP.read_text(encoding="utf-8").replace("[ring, stop, gauge]", order), tmp_path)
    for name in ("surface_at", "face_at", "packer", "stud_x", "stud_z", "stud_length"):
        assert jigs_of(other)["stop"].n[name].value == jigs_of(skittles)["stop"].n[name].value


def test_without_a_ring_it_says_what_it_lacks(tmp_path):
    text = SHOP.read_text(encoding="utf-8").replace("[ring, stop, gauge]", "[stop, gauge]")
    text = text.replace("  ring: {kind: split_ring, set: {open_gap: 13.5}}\n", "")
    with pytest.raises(DesignError, match="put a jig that decides it into the same setup"):
        sized(text, tmp_path)


def test_a_piece_without_a_body_needs_no_stop(tmp_path):
    text = SHOP.read_text(encoding="utf-8")
    start = text.index("    body: {")
    with pytest.raises(DesignError, match="no body"):
        sized(text[:start] + text[text.index("\n", start) + 1 :], tmp_path)


FAILS_FOR = {
    "swing_shims_too_coarse": "shims come within a quarter millimetre",
    "swing_pad_beside_the_body": "the pad lies on the body",
}


@pytest.mark.parametrize("name", FAILS_FOR)
def test_a_job_made_to_fail_fails_for_one_reason(name):
    found = number_findings(design(read_job(JOBS / f"{name}.yaml")))
    assert {f.check for f in found if f.verdict is Verdict.NOT_MET} == {FAILS_FOR[name]}
