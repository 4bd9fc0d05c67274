"""How far the ring opens, by the places of its halves; what its own wood bears of the cut."""

from __future__ import annotations

import pytest

from jigs import tables
from jigs.model.state import Limit, Phase, State
from jigs.sizing import design

JOBS = ("allotment", "stool", "skittles")


def ring_of(d):
    return next((s, jig) for s, jig in d.jigs() if jig.kind.name == "split_ring")


def apart(jig, phase, limit):
    """From the moving half's bore to the fixed one's, mm; below 0 where they overlap."""
    at = {p.name: p.pose.at for p in jig.poses(State(phase, limit))}
    return at["fixed half"][1] - at["moving half"][1]


@pytest.mark.parametrize("name", JOBS)
def test_turns_open_the_ring_from_where_it_is_closed(name, designs):
    """Second witness: the halves' own places, closed on the thickest and the thinnest piece."""
    _, jig = ring_of(designs(name))
    pitch = tables.thread(jig.n.drawbolt_size).pitch
    least, most = (
        (apart(jig, Phase.OPEN, limit) - apart(jig, Phase.CLOSED, limit)) / pitch
        for limit in (Limit.MOST, Limit.LEAST)
    )
    assert least < most
    step = next(s for s in jig.kind.steps(jig.n) if s.turns < 0)
    assert step.turns == pytest.approx(-most)
    assert f"{least:.1f} to {most:.1f} turns each" in step.says


@pytest.mark.parametrize("name", JOBS)
def test_the_ring_opens_as_far_as_from_the_thinnest_piece(name, designs):
    _, jig = ring_of(designs(name))
    move = next(m for m in jig.moves if m.name == "the ring opens")
    far = apart(jig, Phase.OPEN, Limit.LEAST) - apart(jig, Phase.CLOSED, Limit.LEAST)
    assert move.travel == pytest.approx(far)


@pytest.mark.parametrize("name", JOBS)
def test_the_sheet_of_a_batch_counts_the_same_turns(name, designs):
    """From first touch, told in eighths; the steps count from closed."""
    _, jig = ring_of(designs(name))
    n = jig.n
    pitch = tables.thread(n.drawbolt_size).pitch
    sizes = {"grip_diameter": n.grip_diameter_least, "length": n.length_nominal}
    told = {s.name: s.value for s in jig.kind.settings(n, sizes)}
    touching = apart(jig, Phase.CLOSED, Limit.LEAST) + 2 * n.squeeze
    back = (apart(jig, Phase.OPEN, Limit.LEAST) - touching) / pitch
    assert told["turns back to open"] == pytest.approx(back, abs=1 / 16 + 1e-9)


def strength(jig, check):
    return next(f for f in jig.kind.own_checks(jig.n) if f.check == check)


OWN = (
    "back of the halves in tension", "bore of the halves in compression", "wood behind the lining",
    "wood under washers and bolt heads", "drawbolts below proof load",
    "mounting bolts hold the fixed half",
)  # fmt: skip


@pytest.mark.parametrize("check", OWN)
def test_a_heavier_cut_takes_from_what_the_ring_bears(check, allotment):
    """The same closing, ten times the force of the cut: less is left, and the cut is named."""
    setup, jig = ring_of(allotment)
    cut = setup.cuts[0]
    heavy = {f"{cut.owner}.cut_force_high": 10 * cut.cut_force_high,
             f"{jig.name}.closing_torque": jig.n.closing_torque}  # fmt: skip
    _, loaded = ring_of(design(allotment.job, heavy))
    assert loaded.n.stopped_tight == pytest.approx(jig.n.stopped_tight)
    assert strength(loaded, check).value < strength(jig, check).value
    assert "cut_force_most" in strength(loaded, check).reads


@pytest.mark.parametrize("times", [1, 3, 6])
def test_less_is_closed_for_a_heavier_cut(times, allotment):
    """By rule the ring's own wood bears closing and cut together."""
    setup, _ = ring_of(allotment)
    cut = setup.cuts[0]
    force = {f"{cut.owner}.cut_force_high": times * cut.cut_force_high}
    _, jig = ring_of(design(allotment.job, force))
    assert strength(jig, "bore of the halves in compression").value >= 2
    assert strength(jig, "wood behind the lining").value >= 1


def test_stiff_rubber_gives_more_where_the_torque_stops_it_early(designs):
    """Skittles, thin lining: stopped by less torque, less of it touches. Soft rubber still takes
    all of its turns, so it is not what gives more."""
    d = designs("skittles")
    _, jig = ring_of(d)
    sizes = {"grip_diameter": jig.n.grip_diameter_least}
    changed = {"ring.closing_torque": jig.n.closing_torque * 0.9}
    _, stiff = ring_of(design(d.job, changed))
    before, after = (j.kind.gives(j.n, sizes)[0] for j in (jig, stiff))
    assert after.stiffness < before.stiffness
    assert {"squeeze_least", "stopped_loose", "liner_young_most"} <= set(after.reads)


def test_springs_that_take_all_the_torque_leave_no_grip(allotment):
    _, jig = ring_of(design(allotment.job, {"ring.closing_torque": 60.0}))
    assert jig.n.stopped_loose == 0
    grip = jig.kind.grips(jig.n, {"grip_diameter": 33.0, "length": 230.0})[0]
    assert grip.force.low == 0
    assert 0 < jig.kind.gives(jig.n, {"grip_diameter": 33.0})[0].stiffness < 1
