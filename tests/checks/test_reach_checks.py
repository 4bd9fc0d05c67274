"""Reach: figures worked by hand, and each finding made to fail by one number."""

from dataclasses import replace
from pathlib import Path

import pytest

from jigs.checks.clearance import check_clearance
from jigs.checks.geometry import Near
from jigs.checks.moves import moves, parked, piece_box, sacrificial
from jigs.checks.reach import check_reach, hold_otherwise, where_to_stand
from jigs.model.finding import NEEDS_BUILD, Verdict
from jigs.model.reach import Datum
from jigs.model.state import Limit, Phase, State
from jigs.outputs.report import finding_data
from jigs.reading.job import read_job
from jigs.sizing import design


def failing(findings):
    return {(f.of, f.check): f for f in findings if f.verdict is Verdict.NOT_MET}


def of(findings, setup, check):
    (found,) = [f for f in findings if (f.of, f.check) == (setup, check)]
    return found


def setup_of(d, name):
    return next(s for s in d.setups if s.name == name)


@pytest.mark.parametrize("job", ["allotment", "stool", "skittles"])
def test_the_shipped_jobs_are_met(designs, job):
    d = designs(job)
    found = check_reach(d)
    assert failing(found) == {}
    assert {f.of for f in found} == {s.name for s in d.setups}
    for f in [*found, *check_clearance(d, None)]:
        assert finding_data(d, f)["check"] == f.check  # reads only numbers that somebody has


@pytest.mark.parametrize(
    ("number", "value", "setup", "check", "margin"),
    [
        # slot along y: 19.25 of half the thickest, radius 3 and 2; axis at y 200.25
        ("machine.travel_y_most", 220.0, "slotting", "whole cut within travel in y", -4.0),
        # ring's axis at x 327.5, the mark's edge 6 to the right
        ("machine.travel_x_most", 330.0, "marking", "whole cut within travel in x", -3.5),
        # post of 140.5, 2 over it, 38 of stick-out
        ("machine.travel_z_most", 180.0, "slotting", "collet nut within travel in z, raised", -0.5),
        # crown at 2.5642 above the table less 1 and the dome's fall over 6 mm, 35 of stick-out
        ("machine.travel_z_least", 40.0, "marking", "collet nut within travel in z, lowered",
         2.5642 - 1 - 0.6035 + 35 - 40),
        # nut 22 - 20 above, 5 asked
        ("label slot.stick_out", 22.0, "slotting", "collet nut stays above the piece", -3.0),
        # rim 38 - 16 - 20 above the end; round it there is no room
        ("machine.dust_hood_below", 16.0, "slotting", "hood above the piece, or round it", -3.0),
        # beam from 150 in front of the axis to 150 behind, at 143: 2.5 over the post
        ("machine.under_gantry", 143.0, "slotting", "pieces pass under the gantry", -2.5),
        # the left leg comes to within 4 of the post's side at 328.5 - 19.25
        ("machine.legs_x", (200.0, 305.25, 900.0, 950.0), "slotting",
         "pieces pass under the gantry", -1.0),
    ],
)  # fmt: skip
def test_one_number_makes_one_finding_fail(allotment, number, value, setup, check, margin):
    changes = {number: value}
    if check == "pieces pass under the gantry":  # as wide as to come over the piece
        changes["machine.beam_y"] = (-150.0, 150.0)
        changes["machine.loading_clear"] = 0.0
    found = failing(check_reach(design(allotment.job, changes)))
    # A feature to touch off may go out of reach with it.
    assert {name for _, name in found if not name.startswith("datum ")} == {check}
    assert found[setup, check].margin == pytest.approx(margin, abs=2e-3)


def test_the_text_says_where_to_put_it(allotment):
    far = design(allotment.job, {"machine.travel_x_most": 330.0})
    found = of(check_reach(far), "marking", "whole cut within travel in x")
    assert "3.5 mm further left would do, setups: {marking: {x: 324.0}}" in found.why


def test_a_skirt_round_the_piece_is_as_good_as_one_above_it(allotment):
    """A plunge in the middle: the hood of 90 has 40 inside; the post's corner is hypot(19.25) off.

    The label slot runs 24.25 either way, and there the skirt would hit the post.
    """
    check = "hood above the piece, or round it"
    low = {"machine.dust_hood_below": 18.0, "label slot.cut_does": "hole"}
    plunged = of(check_reach(design(allotment.job, low)), "slotting", check)
    assert plunged.verdict is Verdict.MET
    assert plunged.value == pytest.approx(40 - (2 * 19.25**2) ** 0.5)
    run = design(allotment.job, {"machine.dust_hood_below": 18.0})
    assert of(check_reach(run), "slotting", check).verdict is Verdict.NOT_MET


def test_a_parked_beam_over_the_piece_is_told(allotment):
    """Parked at y 210 over the post at 200: it cannot be lifted out."""
    check = "the parked head is clear of a piece on its way in or out"
    over = design(allotment.job, {"machine.park": (300.0, 210.0)})
    assert list(failing(check_reach(over))) == [("slotting", check)]
    # left out, the corner of the travel at the back, furthest from 328.5 of 600: the left one
    free = setup_of(design(allotment.job, {"machine.park": ()}), "slotting")
    x, y, _ = free.work_zero.apply((*parked(free), 0.0))
    assert (x, y) == (0.0, 400.0)


def test_the_assumed_stick_out_clears_the_dome_too(allotment, tmp_path):
    text = Path(allotment.job.source.file).read_text(encoding="utf-8")
    text = text.replace("width: 12, stick_out: 35", "width: 12")
    text = text.replace("machines/bench_router.yaml", str(allotment.job.machine_source.file))
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    d = design(read_job(tmp_path / "job.yaml"))
    move = next(m for m in moves(setup_of(d, "marking")))
    assert move.nut == pytest.approx(1 + 0.6035 + 5, abs=1e-3)
    found = of(check_reach(d), "marking", "collet nut stays above the piece")
    assert found.verdict is Verdict.MET
    assert found.assumes == (f"stick-out {move.nut:g} mm: set it so",)


def test_how_else_to_hold_it(allotment):
    slotting, marking = setup_of(allotment, "slotting"), setup_of(allotment, "marking")
    assert "hang it on the front face" in hold_otherwise(slotting)
    assert "two bars" in hold_otherwise(slotting)
    assert "riser" in hold_otherwise(slotting, low=True)
    assert "shorter cutter" in hold_otherwise(marking)
    long = setup_of(design(allotment.job, {"machine.front_free_below": 100.0}), "slotting")
    assert "neither stand nor hang" in hold_otherwise(long)


def test_where_to_stand(allotment):
    """Travel in y from -110, a hood of 90; the beam is behind. The work is nearer to the right."""
    told = where_to_stand(setup_of(allotment, "marking"))
    assert told["moves in front of the table's edge by, mm"] == 110 + 45
    assert told["moves along y from, to, mm"] == [-155.0, 400 + 150]
    assert told["stand"].startswith("to the left")
    assert told["beyond"] == "beyond x = -75 mm"
    assert told["not there"].startswith("nobody at the front edge")


def test_bounds_of_the_piece(allotment):
    slotting = setup_of(allotment, "slotting")
    box = piece_box(slotting, State(Phase.CLOSED, Limit.MOST))
    assert box[3] - box[0] == pytest.approx(38.5)
    assert box[5] - box[2] == pytest.approx(140.5)
    assert slotting.n.end_height + box[2] == pytest.approx(0)


# Datums, by a kind that stands in until kinds declare theirs


class WithDatums:
    """A kind with datums of its own, else as it was."""

    def __init__(self, kind, *datums):
        self._kind, self._datums = kind, datums

    def datums(self, n):
        return self._datums

    def __getattr__(self, name):
        return getattr(self._kind, name)


def datum(at, **rest):
    return Datum("corner", "pin", at, ("x", "y"), (at[0], at[1]), 0.1, "key", "a light cut", **rest)


def with_datum(d, name, *datums):
    setups = []
    for setup in d.setups:
        jigs = setup.jigs
        if setup.name == name:
            jigs = (replace(jigs[0], kind=WithDatums(jigs[0].kind, *datums)), *jigs[1:])
        setups.append(replace(setup, jigs=jigs))
    return replace(d, setups=tuple(setups))


def test_a_setup_without_a_datum_is_not_judged(allotment):
    bare = with_datum(allotment, "slotting")
    found = of(check_reach(bare), "slotting", "a datum can be reached")
    assert found.verdict is Verdict.NOT_JUDGED


@pytest.mark.parametrize(
    ("at", "margin", "axis"),
    [
        # work zero at x 328.5; 600 is the end of the travel
        ((280.0, 0.0, 0.0), 600 - 608.5, "x"),
        ((0.0, -350.0, 0.0), 200.25 - 350 + 110, "y"),
        # 140 high, nut 38 above the tip: 160 less 140 and 38 from the table's 20
        ((0.0, 0.0, -160.0), 140 - 160 + 38 - 20, "z"),
    ],
)
def test_a_datum_out_of_reach_is_told(allotment, at, margin, axis):
    clamp = allotment.setups[1].jigs[0].name
    d = with_datum(allotment, "slotting", datum(at))
    found = of(check_reach(d), "slotting", f"datum {clamp} corner can be reached")
    assert found.verdict is Verdict.NOT_MET
    assert found.margin == pytest.approx(margin, abs=0.3)
    assert found.why.endswith(f"{axis} decides")


def test_room_to_touch_off_is_measured(allotment, scene):
    """On top of the fixed face there is room; between the faces, down by the table, there is not:
    the nut of 22 is 38 above the tip, and the faces stand 134 high."""
    setup = setup_of(allotment, "slotting")
    (clamp,) = setup.jigs
    top = clamp.n.jaw_top - setup.n.end_height
    face = clamp.frame.inverse().apply((-19 - clamp.n.sheet_nominal / 2, 30.0, top))
    d = with_datum(allotment, "slotting", datum(face), replace(datum((0, 0, -138.0)), name="floor"))
    room = {f.check: f for f in check_clearance(d, scene) if "touch off" in f.check}
    good = room[f"room to touch off datum {clamp.name} corner"]
    assert good.verdict is Verdict.MET
    bad = room[f"room to touch off datum {clamp.name} floor"]
    assert bad.verdict is Verdict.NOT_MET
    assert bad.value is not None
    assert bad.value < 5


# The envelope


class Answers:
    """Geometry that tells one distance, and remembers what was skipped."""

    def __init__(self, apart):
        self.apart, self.skipped = apart, {}

    def clearance(self, setup, state, sweeps, skip=frozenset(), within=float("inf")):
        if state.phase is Phase.CLOSED:  # touching off is done with no piece in
            before = self.skipped.get(sweeps[0].body, frozenset())
            self.skipped[sweeps[0].body] = before | skip
        near = Near(sweeps[0].body, "clamp/peg", self.apart, (1.0, 2.0, 3.0))
        return near if self.apart < within else None

    def highest_under(self, setup, state, sweep, beside):
        return (-10.0, "clamp/peg")


def test_without_solids_nothing_is_judged(allotment):
    found = check_clearance(allotment, None)
    assert {f.why for f in found} == {NEEDS_BUILD}
    assert {f.check.split(" clear")[0] for f in found if f.of == "slotting"} >= {
        "cutter", "shank", "collet nut", "spindle", "dust hood", "carriage", "gantry beam",
        "gantry legs",
    }  # fmt: skip


def test_room_asked_of_each_body(allotment):
    found = check_clearance(allotment, Answers(3.0))
    assert {f.check.split(" clear")[0] for f in found if f.verdict is Verdict.MET} == {
        "cutter", "shank"
    }  # fmt: skip
    nut = of(found, "slotting", "collet nut clear of all that stands")
    assert (nut.value, nut.limit, nut.levers) == (3.0, 5.0, ("+stick_out",))
    x, y, z = setup_of(allotment, "slotting").work_zero.apply((1.0, 2.0, 3.0))
    assert f"collet nut to clamp/peg at x {x:.1f}, y {y:.1f}, z {z:.1f}" in nut.governs
    for f in found:
        assert finding_data(allotment, f)["verdict"]


def test_what_each_body_may_touch(allotment):
    """The cutter the piece and what is to be cut; a shank as thin the same; a nut nothing."""
    asked = Answers(3.0)
    check_clearance(allotment, asked)
    state = State(Phase.CLOSED, Limit.LEAST)
    spared = sacrificial(setup_of(allotment, "slotting"), state)
    assert asked.skipped["cutter"] >= {"piece"}
    assert asked.skipped["collet nut"] == frozenset()
    assert asked.skipped["gantry beam"] == {"table", "front face"}
    thick = Answers(3.0)
    check_clearance(design(allotment.job, {"label slot.shank": 8.0, "mark.shank": 8.0}), thick)
    assert "piece" not in thick.skipped["shank"]
    assert thick.skipped["cutter"] >= spared


def test_a_part_that_is_meant_to_be_cut_is_spared(allotment):
    setup = setup_of(allotment, "slotting")
    (clamp,) = setup.jigs
    part = clamp.parts["backer"]
    clamp.parts["backer"] = replace(part, sacrificial=True)
    try:
        assert sacrificial(setup, State(Phase.CLOSED, Limit.MOST)) == {f"{clamp.name}/backer"}
    finally:
        clamp.parts["backer"] = part


def test_the_stick_out_that_would_do(allotment):
    """Nothing under the nut is higher than 10 below the zero: 20 of depth, less 10, and 5."""
    found = of(check_clearance(allotment, Answers(3.0)), "slotting",
               "dust hood clear of all that stands")  # fmt: skip
    assert "a stick-out of" not in found.why
    high = Answers(3.0)
    high.highest_under = lambda *_: (7.0, "clamp/peg")
    found = of(check_clearance(allotment, high), "slotting", "collet nut clear of all that stands")
    # lowest piece's floor: 20.5 below the zero; 7 above it and 5
    assert "a stick-out of 32.5 mm clears all that stands under it" in found.why


@pytest.mark.parametrize("job", ["allotment", "stool", "skittles"])
def test_the_shipped_jobs_keep_clear_on_their_solids(designs, scenes, job):
    found = check_clearance(designs(job), scenes(job))
    spared = {"clamp/backer"}  # until every kind marks what is meant to be cut
    short = {k: f for k, f in failing(found).items() if not any(s in f.governs for s in spared)}
    assert short == {}
    assert len([f for f in found if f.verdict is Verdict.MET]) >= 12
    nut = of(found, designs(job).setups[0].name, "collet nut clear of all that stands")
    move = next(moves(designs(job).setups[0]))
    assert nut.value == pytest.approx(move.nut - move.path.deepest, abs=1e-6)
