"""The dry fit: orders found by sweeping, moves that are barred, tools and hands without room."""

from dataclasses import dataclass, field, replace

import pytest

from jigs.checks.advice import Advice, met_checks
from jigs.checks.dry_fit import check_dry_fit, check_moves, fitted
from jigs.checks.numbers import number_findings
from jigs.checks.rehearsing import Stop
from jigs.errors import DesignError
from jigs.kept import Kept
from jigs.model.finding import Verdict
from jigs.model.state import Limit
from jigs.sizing import design
from jigs.solids.rehearse import Rehearsal
from jigs.solids.scene import Scene
from jigs.solids.store import Solids


def named(d, jig):
    return next((s, j) for s, j in d.jigs() if j.name == jig)


def order_of(d, scene, jig):
    setup, it = named(d, jig)
    fit = fitted(setup, it, scene.rehearsal)
    assert not fit.stuck
    assert not fit.waits
    return [move.name for move in fit.assembly]


@pytest.mark.parametrize("name", ["allotment", "stool", "skittles"])
def test_a_shipped_job_rehearses_clean(name, designs, scenes):
    found = check_dry_fit(designs(name), scenes(name).rehearsal)
    assert [f"{f.of}: {f.check}: {f.why}" for f in found if f.verdict is not Verdict.MET] == []
    assert {f.check for f in found} >= {
        "every part goes in, in some order", "two hands do every step", "a spanner swings",
        "fingers go round what is turned by hand", "the piece comes out upwards",
    }  # fmt: skip


def test_bolts_whose_heads_the_board_and_the_machine_trap_go_in_before(allotment, scenes):
    """Nobody tells the order: it comes from what is in the way."""
    order = order_of(allotment, scenes("allotment"), "ring")
    for earlier, later in (
        ("drawbolt left", "fixed half"),
        ("mounting bolt left", "back board"),
        ("shelf screw right", "back board"),
        ("fixed half", "mounting nut left"),
        ("shelf", "shelf screw left"),
        ("T-slot bolt upper left", "back board"),
        ("T-slot bolt of the stop", "stop block"),
        ("back board", "hanging nut upper left"),
        ("moving half", "drawbolt nut right"),
        ("jack screw", "pad"),
    ):
        # The shelf's screws come from behind, into a shelf that is there.
        assert order.index(earlier) < order.index(later), (earlier, later)


def test_the_clamp_is_put_together_on_the_bench(allotment, scenes):
    order = order_of(allotment, scenes("allotment"), "clamp")
    for earlier, later in (
        ("fixed rib 1", "fixed face"),
        ("fixed face", "fixed screw face lower 1"),
        ("datum fence", "datum fence bolt 1"),
        ("datum fence bolt 1", "moving jaw"),
        ("datum inner nut", "moving jaw"),
        ("moving jaw", "datum drawbolt knob"),
        ("fixed screw base inner 1", "clamp"),
        ("moving free stud", "clamp"),
        ("clamp", "moving free hold-down knob"),
        ("clamp", "stop block"),
        ("stop block", "stop nut"),
        # While its own glue is wet: every screw of one jaw before the other is begun.
        ("fixed rib 2", "fixed screw base inner 2"),
        ("fixed screw face lower 2", "moving rib 1"),
        ("moving face", "moving screw face lower 1"),
        ("moving screw face lower 2", "moving jaw"),
    ):
        assert order.index(earlier) < order.index(later), (earlier, later)


def test_every_order_can_be_walked_backwards(allotment, scenes):
    """Second look, by bookkeeping alone: whatever bars a way out was parted from it before."""
    scene = scenes("allotment")
    for setup, jig in allotment.jigs():
        moves = [m for m in fitted(setup, jig, scene.rehearsal).assembly if m.when != "gluing"]
        # Two things that went the same ways are still together; all others are apart.
        ways: dict[str, tuple[str, ...]] = {}
        for move in reversed(moves):
            unit = {f"{jig.name}/{name}" for name in move.unit}
            for stop in scene.rehearsal.stops(setup, jig, move, Limit.NOMINAL, True):
                assert ways.get(stop.obstacle, ()) != ways.get(stop.moving, ()), (move.name, stop)
            ways |= {name: (*ways.get(name, ()), move.name) for name in unit}


@pytest.mark.parametrize(
    ("name", "changes", "of", "check", "meets"),
    [
        ("allotment", {"ring.mount_x": 58.0}, "ring", "a spanner swings", ""),
        ("allotment", {"clamp.drawbolt_y": 42.0}, "clamp",
         "fingers go round what is turned by hand", "rib"),
        ("allotment", {"ring.ring_drop": -6.0}, "gauge", "the gauge slides off", "ring/"),
        ("allotment", {"ring.open_gap": 5.0}, "ring", "the piece comes out upwards", "liner"),
    ],
)  # fmt: skip
def test_what_is_made_to_fail_fails_at_the_right_move(
    designs, shared_store, name, changes, of, check, meets
):
    d = design(designs(name).job, changes)
    solids = Solids(shared_store)
    found = check_dry_fit(d, Scene(d, solids).rehearsal, of, check)
    (finding,) = [f for f in found if f.check == check]
    assert finding.verdict is Verdict.NOT_MET
    assert meets in finding.why
    advice = Advice(d, met_checks(number_findings(d)), lambda other: Scene(other, solids))
    remedies = advice.on(finding)
    assert remedies, finding.levers
    again = design(d.job, {**d.changes, remedies[0].number: remedies[0].value})
    (cured,) = [
        f
        for f in check_dry_fit(again, Scene(again, solids).rehearsal, of, check)
        if f.check == check
    ]
    assert cured.verdict is Verdict.MET


def with_other_ways(d, scene, ways):
    """What the dry fit finds of a ring some of whose units leave another way, on its solids."""
    setup, jig = named(d, "ring")

    class Other(type(jig.kind)):
        def moves(self, n):
            return [replace(m, legs=ways.get(m.name, m.legs)) for m in super().moves(n)]

    other = replace(jig, kind=Other())
    jigs = tuple(other if j is jig else j for j in setup.jigs)
    changed = replace(d, setups=tuple(
        replace(s, jigs=jigs) if s is setup else s for s in d.setups
    ))  # fmt: skip
    goes = "every part goes in, in some order"
    (finding,) = check_dry_fit(changed, scene.rehearsal, "ring", goes)[1:2]
    assert finding.check == goes
    return finding


def test_a_bolt_whose_head_cannot_follow_is_trapped(allotment, scene):
    """Its head is behind the board: towards the operator it comes as far as the head lets it."""
    finding = with_other_ways(allotment, scene, {"mounting bolt left": ((0.0, -60.0, 0.0),)})
    assert finding.verdict is Verdict.NOT_MET
    assert finding.governs == "mounting bolt left"
    assert finding.why.startswith("ring/mounting bolt left stops at ring/back board after ")
    assert with_other_ways(allotment, scene, {}).verdict is Verdict.MET


def test_halves_that_only_come_off_each_through_the_other_wait_for_each_other(allotment, scene):
    finding = with_other_ways(allotment, scene, {"moving half": ((0.0, 40.0, 0.0),)})
    assert finding.verdict is Verdict.NOT_MET
    ring = finding.why.removeprefix("these wait for each other: ").split(" <- ")
    assert ring[0] == ring[-1]
    assert {"moving half", "fixed half"} <= set(ring)


def test_with_one_part_changed_only_what_it_meets_is_swept_anew(allotment, tmp_path, monkeypatch):
    """And what was kept is what would be found anew."""
    swept = []
    plainly = Rehearsal._swept_past

    def counted(self, body, other, legs, touching):
        swept.append({body.key, other.key})
        return plainly(self, body, other, legs, touching)

    monkeypatch.setattr(Rehearsal, "_swept_past", counted)

    def rehearsed(d, kept):
        swept.clear()
        found = check_dry_fit(d, Scene(d, Solids(kept)).rehearsal, "ring")
        kept.close()
        return found, list(swept)

    _, all_pairs = rehearsed(allotment, Kept(tmp_path / "kept"))
    _, none = rehearsed(allotment, Kept(tmp_path / "kept"))
    changed = design(allotment.job, {"ring.jack_length": 70.0})
    found, few = rehearsed(changed, Kept(tmp_path / "kept"))
    assert none == []
    assert few
    assert len(few) < len(all_pairs) / 3
    assert all({"ring/jack screw", "ring/pad", "ring/jack nut"} & pair for pair in few)
    assert found == rehearsed(changed, Kept())[0]


@dataclass
class Told:
    """A rehearsal that is told what bars what."""

    bars: dict[str, list[Stop]] = field(default_factory=dict)

    def stops(self, setup, jig, move, limit, alone):
        return self.bars.get(move.name, [])

    def swing(self, setup, jig, tool):
        return 360.0

    def driver_room(self, setup, jig, tool):
        return []

    def hand_room(self, setup, jig, tool):
        return []


def test_a_ring_of_moves_names_its_members(allotment):
    told = Told({
        "drawbolt nut left": [Stop("ring/drawbolt nut left", "ring/moving half", 3.0)],
        "moving half": [Stop("ring/moving half", "ring/drawbolt nut left", 1.0)],
    })  # fmt: skip
    (finding,) = [
        f
        for f in check_dry_fit(allotment, told, only="ring")
        if f.check == "every part goes in, in some order"
    ]
    assert finding.verdict is Verdict.NOT_MET
    assert "drawbolt nut left <- moving half" in finding.why or (
        "moving half <- drawbolt nut left" in finding.why
    )


def test_a_bolt_trapped_for_good_says_by_what_and_how_far_it_came(allotment):
    """Nothing else takes the board off the table's edge."""
    told = Told({"back board": [Stop("ring/back board", "table", 12.0)]})
    (finding,) = [
        f
        for f in check_dry_fit(allotment, told, only="ring")
        if f.check == "every part goes in, in some order"
    ]
    assert finding.verdict is Verdict.NOT_MET
    assert "ring/back board stops at table after 12.0 of " in finding.why


def test_a_move_of_a_part_that_is_not_there_is_refused(allotment):
    _, jig = named(allotment, "ring")

    class Forgetful(type(jig.kind)):
        def moves(self, n):
            return [
                replace(m, unit=("wing nut",)) if m.name == "pad" else m for m in super().moves(n)
            ]

    with pytest.raises(DesignError, match="'pad' moves wing nut, which is not there"):
        check_moves(replace(jig, kind=Forgetful()))


def test_a_part_without_a_way_out_is_refused(allotment):
    _, jig = named(allotment, "ring")

    class Forgetful(type(jig.kind)):
        def moves(self, n):
            return [m for m in super().moves(n) if m.name not in ("pad", "back board", "shelf")]

    with pytest.raises(DesignError, match="no way out is told for"):
        check_moves(replace(jig, kind=Forgetful()))
