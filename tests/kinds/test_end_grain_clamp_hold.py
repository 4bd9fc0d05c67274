"""How the end-grain clamp holds, worked by hand from the shipped jobs.

The allotment's posts: 38 x 38 x 140, sheet 17.6 ± 0.2 of birch plywood, M8 everywhere, slots
10.2 wide with a lip of 9. Sizes of bought parts from the standards named beside them; strengths of
the board from its table, of which none is firm.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from jigs.errors import DesignError
from jigs.model.finding import Finding, Verdict
from jigs.model.state import Limit, Phase, State
from jigs.reading.job import read_job
from jigs.shop.piece import sizes_of
from jigs.sizing import Design, Jig, design

ROOT = Path(__file__).parents[2]
JOBS = ["allotment", "skittles", "stool"]
BIRCH = {"bends": 35.0, "dents": 5.0, "shears": 9.5, "rolls": 2.3, "young": 7640.0}
"""MPa: row of the table of boards, the weaker way."""

DADO, THIN, RIB = 4.5, 17.4, 70.0
"""mm: a quarter of 17.6 to the next half; the thinnest sheet; half of 134.5 up to the next 5."""

GRAVITY = 9.80665


def clamp_of(d: Design) -> Jig:
    return next(jig for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")


def setup_of(d: Design):
    return next(s for s in d.setups if clamp_of(d) in s.jigs)


def found(d: Design) -> dict[str, Finding]:
    jig = clamp_of(d)
    return {f.check: f for f in jig.kind.own_checks(jig.n)}


def grip_of(d: Design, limit: Limit):
    jig = clamp_of(d)
    (grip,) = jig.kind.grips(jig.n, sizes_of(setup_of(d).piece, limit))
    return grip


@pytest.fixture
def posts(allotment):
    """The allotment's job with numbers of the clamp changed."""

    def changed(**numbers) -> Design:
        return design(allotment.job, {f"clamp.{k}": v for k, v in numbers.items()})

    return changed


@pytest.fixture
def other_board(allotment, tmp_path):
    """The allotment's job with its board described otherwise."""

    def described(words: str, more: str = "") -> Design:
        text = Path(allotment.job.source.file).read_text(encoding="utf-8")
        assert text.count("material: birch plywood") == 1
        text = text.replace("material: birch plywood", words)
        text = text.replace("machines/bench_router.yaml", str(allotment.job.machine_source.file))
        path = tmp_path / "job.yaml"
        path.write_text(text + more, encoding="utf-8")
        return design(read_job(path))

    return described


# What a drawbolt may pull


def test_face_beside_its_rib_by_hand(allotment):
    """sigma b t^2 / 6 over the arm; k = 0.98 arm, b = near + 0.15 k where the far side is more."""
    n = clamp_of(allotment).n
    arm = 96 - 11.9
    k = 0.98 * arm
    near, far = sorted((134.5 - 69, 69 - 0.5))
    near, far = k * math.tanh(near / k), k * math.tanh(far / k)
    modulus = (near + min(far, near + 0.15 * k)) * (THIN - DADO) ** 2 / 6
    assert n.face_limit == pytest.approx(BIRCH["bends"] * modulus / arm)


def test_washers_ribs_glue_edge_and_rod_by_hand(allotment):
    n = clamp_of(allotment).n
    # ISO 7093: M8 is 24 wide; hole 9 (ISO 273 medium)
    assert n.drawbolt_dent == pytest.approx(BIRCH["dents"] * math.pi / 4 * (24**2 - 9**2))
    # two ribs of 17.4 by 70, both pulls 69 - (17.6 - 4.5) above their foot
    bends = BIRCH["bends"] * 2 * THIN * RIB**2 / 6 / (2 * (69 - 17.6 + DADO))
    shears = BIRCH["shears"] * 2 * THIN * RIB / 1.5 / 2
    assert n.rib_limit == pytest.approx(min(bends, shears))
    # pressure a sixth of 134.5 - 3.5 off the drawbolts; tongues of 70 + 4.5 by 4.5 in the base
    couple, long = 2 * 131 / 6, RIB + DADO
    polar = 4 * long * DADO * (long**2 / 3 + DADO**2 / 12)
    assert n.glue_limit == pytest.approx(
        BIRCH["rolls"] * polar / (couple * math.hypot(long, DADO / 2))
    )
    # the couple as two forces 70 apart, on an edge 240 long with two cheeks of 4.5
    assert n.edge_limit == pytest.approx(BIRCH["rolls"] * 2 * 240 * DADO / (couple / RIB))
    # ISO 898-1: class 4.6 has 225 MPa, M8 36.6 mm2
    assert n.rod_limit == pytest.approx(225 * 36.6)


def test_the_face_is_the_weakest_and_sets_the_torque(allotment):
    """K 0.18, 30 % over: the tightest drawbolt and the cut ask two thirds of what its face bears.

    The cut at the end of a piece of 140.5, drawbolts 69 up and 96 out, half the piece 19.25 deep.
    """
    n = clamp_of(allotment).n
    (cut,) = setup_of(allotment).cuts
    moment = 1.5 * cut.cut_force_high * (140.5 - cut.pass_depth / 2)
    cut_adds = moment / 69 * (96 + 19.25) / (2 * 96)
    assert n.drawbolt_cut == pytest.approx(cut_adds)
    assert n.drawbolt_limit == pytest.approx(n.face_limit / 1.5 - cut_adds)
    assert 1.3 * n.drawbolt_torque / (0.18 * 8) == pytest.approx(n.drawbolt_limit)
    assert n.drawbolt_torque < n.hand_torque == 50**2


@pytest.mark.parametrize(
    ("number", "value"),
    [("face_limit", 300.0), ("glue_limit", 300.0), ("edge_limit", 300.0), ("rib_limit", 300.0)],
)
def test_whatever_breaks_first_sets_the_torque(number, value, posts):
    n = clamp_of(posts(**{number: value})).n
    assert 1.3 * n.drawbolt_torque / (0.18 * 8) == pytest.approx(value / 1.5 - n.drawbolt_cut)


def test_a_weak_hand_sets_the_torque_where_the_jaws_bear_more(posts):
    assert clamp_of(posts(hand_torque=600.0)).n.drawbolt_torque == 600


def test_springs_take_their_part(allotment, posts):
    """Typical for M8: 35 long, 2.28 N/mm; room 36.5 - 6.8 (ISO 4032) - 2 (ISO 7093)."""
    assert clamp_of(allotment).n.spring_push == pytest.approx(2 * 2.28 * (35 - 27.7))
    slack = clamp_of(posts(drawbolt_torque=300.0)).n
    assert slack.drawbolt_loose < 10 * 2.28 * 7.3
    assert (slack.springs, slack.spring_push) == (0, 0)


@pytest.mark.parametrize("job", JOBS)
def test_springs_are_bought_as_they_are_counted(job, designs):
    jig = clamp_of(designs(job))
    listed = [part.quantity for part in jig.parts.values() if part.id == "spring"]
    assert sum(listed) == jig.n.springs


# The grip


def test_grip_by_hand(allotment):
    """Loosest pulls 0.7 T / (0.30 d) less springs and the friction of the moving jaw's weight."""
    n, grip = clamp_of(allotment).n, grip_of(allotment, Limit.LEAST)
    areas = n.moving_base_end * 240 + 240 * 134.5 + 2 * 70 * 124.5
    weight = 680 * areas * 17.6 / 1e9 * GRAVITY
    loose = 2 * 0.7 * n.drawbolt_torque / (0.30 * 8)
    assert grip.force.low == pytest.approx(loose - 2 * 2.28 * 7.3 - 0.6 * weight)
    assert grip.force.high == pytest.approx(2 * (n.face_limit / 1.5 - n.drawbolt_cut))
    assert (grip.friction.low, grip.friction.middle, grip.friction.high) == (0.3, 0.5, 0.65)
    assert (grip.apart, grip.along, grip.locked) == (37.5, 37.5, 1)
    # from the chip rebate, 0.5 + 3 over the table, to the jaw's top; the end is 139.5 up
    assert (grip.low, grip.high) == pytest.approx((3.5 - 139.5, 134.5 - 139.5))


@pytest.mark.parametrize("limit", Limit)
@pytest.mark.parametrize("job", JOBS)
def test_grips_go_by_the_sizes(job, limit, designs):
    d = designs(job)
    sizes = sizes_of(setup_of(d).piece, limit)
    grip, n = grip_of(d, limit), clamp_of(d).n
    assert (grip.apart, grip.along) == (sizes["width"], sizes["depth"])
    assert grip.high == pytest.approx(n.jaw_top - sizes["length"])


def test_a_backer_between_face_and_piece_is_what_presses(posts):
    """12 thick in x it is 2 narrower than the thinnest piece: 37.5 - 2."""
    assert grip_of(posts(backer_in_x=12.0, backer_in_y=0.0), Limit.MOST).along == 35.5


def test_the_user_s_own_friction_counts(posts):
    friction = grip_of(posts(jaw_friction=0.4), Limit.LEAST).friction
    assert (friction.low, friction.middle, friction.high) == (0.4, 0.5, 0.65)
    friction = grip_of(posts(jaw_friction=0.7), Limit.LEAST).friction
    assert (friction.low, friction.middle, friction.high) == (0.7, 0.7, 0.7)


def test_a_measured_torque_narrows_the_band(posts):
    grip = grip_of(posts(torque_by_feel=0.1, nut_factor_loose=0.2), Limit.LEAST)
    assert grip.force.high / grip.force.low < 1.5


def test_the_order_of_tightening_is_told(allotment, posts):
    """Highest friction 0.6 under both of the tightest hold-downs."""
    n = clamp_of(allotment).n
    drag = 0.6 * (2 * n.hold_tight + n.moving_weight)
    assert n.hold_down_drag == pytest.approx(drag)
    words = [w for w in grip_of(allotment, Limit.LEAST).assumes if w.startswith("moving hold")]
    assert len(words) == 1
    assert f"up to {drag:.0f} N, could take all of it" in words[0]
    slack = posts(hold_torque=150.0)
    drag = clamp_of(slack).n.hold_down_drag
    words = [w for w in grip_of(slack, Limit.LEAST).assumes if w.startswith("moving hold")]
    assert f"could take {drag:.0f} N of it" in words[0]


# The fixed base


def test_lips_of_a_slot_by_hand(allotment, designs):
    """Least heads of ASME B5.1M: 14 for the slot of 10, 0.438 in for that of 9/32.

    Cast iron yields at 98, in shear at 0.577 of that.
    """
    assert clamp_of(allotment).n.table_limit == pytest.approx(0.577 * 98 * 2 * 14 * 9)
    n = clamp_of(designs("stool")).n
    lip, mouth, wide = 0.16 * 25.4, 0.3 * 25.4, 0.78 * 25.4
    head = 0.438 * 25.4
    arm = wide / 2 - (mouth + head) / 4
    bent = 98 * head * lip**2 / (3 * arm)
    assert n.table_limit == pytest.approx(bent)


def test_insert_in_a_spoilboard_by_hand(designs):
    """DIN 7965, M6: 12 outside, 15 long; the weakest board rolls at 1 MPa."""
    assert clamp_of(designs("skittles")).n.table_limit == pytest.approx(math.pi * 12 * 15 * 1.0)


def test_thread_of_a_hole_grid_by_hand():
    """M5 in 8 of plate, of the major diameter, coarse pitch 0.8: d2 = 4.480."""
    n = clamp_of(design(read_job(ROOT / "tests/shops/clamp_very_small.yaml"))).n
    tooth = 0.8 / 2 + 0.57735 * (5 - (5 - 0.649519 * 0.8))
    area = math.pi * 5 * n.hold_below * tooth / 0.8
    assert n.table_limit == pytest.approx(0.577 * 98 * area)


def test_washer_over_its_slot_against_counted_dots(allotment):
    """Second witness: the washer rastered; the bolt stands at one end of the slot of 16 by 9."""
    n = clamp_of(allotment).n
    x, y = np.meshgrid(np.linspace(-12, 12, 2401), np.linspace(-12, 12, 2401))
    washer = np.hypot(x, y) <= 12
    slot = np.hypot(x - np.clip(x, 0, 16 - 9), y) <= 4.5
    area = (washer & ~slot).sum() * (24 / 2400) ** 2
    assert n.hold_dent == pytest.approx(5.0 * area, rel=2e-3)


@pytest.mark.parametrize("job", JOBS)
def test_hold_downs_are_turned_as_far_as_nothing_gives(job, designs):
    n = clamp_of(designs(job)).n
    assert n.hold_tight <= min(n.hold_dent, n.hold_limit / 1.5 / 1.2) + 1e-9
    assert n.hold_loose / n.hold_tight == pytest.approx(0.7 / 0.30 / (1.3 / 0.18))


@pytest.mark.parametrize("job", JOBS)
def test_footing_stands_where_the_base_does(job, designs):
    """Second witness: poses and outline of the fixed base, and of its studs."""
    jig = clamp_of(designs(job))
    (base,) = jig.kind.footings(jig.n)
    placed = {p.name: p for p in jig.kind.poses(jig.n, State(Phase.CLOSED, Limit.NOMINAL))}
    pose, part = placed["fixed base"].pose, jig.parts["fixed_base"]
    x0, y0, x1, y1 = part.outline.bounds
    points = [pose.apply((x, y, 0.0)) for x in (x0, x1) for y in (y0, y1)]
    u, v, w = (sorted(axis) for axis in zip(*points, strict=True))
    assert base.reach == pytest.approx((u[0], u[-1], v[0], v[-1]))
    assert base.level == pytest.approx(w[0]) == pytest.approx(w[-1])
    studs = sorted(p.pose.at[:2] for name, p in placed.items()
                   if name.startswith("fixed") and name.endswith("stud"))  # fmt: skip
    anchors = sorted((a.u, a.v) for a in base.anchors)
    assert np.allclose(anchors, studs)
    assert len(anchors) == 2
    assert base.share == 1


def test_weight_and_friction_of_the_base(allotment, designs):
    (base,) = clamp_of(allotment).kind.footings(clamp_of(allotment).n)
    long = 161 - (17.6 - DADO)
    assert base.weight == pytest.approx(680 * long * 240 * 17.4 / 1e9 * GRAVITY)
    assert (base.friction.low, base.friction.high) == (0.2, 0.6)  # board on a metal
    jig = clamp_of(designs("skittles"))
    assert jig.kind.footings(jig.n)[0].friction.low == 0.3  # board on a spoilboard


@pytest.mark.parametrize(
    ("changes", "gives"),
    [
        ({}, "the stud"),
        ({"bolt_class": "8.8"}, "the lip of the slot"),
        ({"table_yield": 20.0}, "the lip of the slot"),
    ],
)
def test_what_gives_first_is_named(changes, gives, posts):
    jig = clamp_of(posts(**changes))
    (base,) = jig.kind.footings(jig.n)
    assert base.gives == gives
    assert base.most == jig.n.hold_limit


# How it gives


def test_springs_by_hand_and_by_counting(allotment):
    """Faces by double integration of their curvature; the others from the formulas by hand."""
    jig = clamp_of(allotment)
    n = jig.n
    sizes = sizes_of(setup_of(allotment).piece, Limit.NOMINAL)
    give = {g.name: g.stiffness for g in jig.kind.gives(n, sizes)}
    (cut,) = setup_of(allotment).cuts
    cutter = 140 - cut.pass_depth / 2
    down = (69 / cutter) ** 2
    # half a face from its middle out: even moment to the rib, then falling to the drawbolt
    x = np.linspace(0, 96, 96001)
    curved = np.clip(96 - x, 0, 96 - 11.9) / (BIRCH["young"] * n.bending_height * THIN**3 / 12)
    slope = np.concatenate([[0], np.cumsum((curved[1:] + curved[:-1]) / 2 * np.diff(x))])
    sag = np.concatenate([[0], np.cumsum((slope[1:] + slope[:-1]) / 2 * np.diff(x))])
    tip = sag[-1] - np.interp(11.9, x, sag)
    # two arms of a face side by side, two faces one behind the other: as one arm
    assert give["the faces out to the drawbolts"] == pytest.approx(down / tip, rel=1e-4)
    rod = 205000 * 36.6 / (38 + 2 * 17.6)
    assert give["the drawbolts"] == pytest.approx(2 * rod * down)
    base = 3 * BIRCH["young"] * 240 * THIN**3 / 12 / (n.hold_fixed - (17.6 - DADO))
    assert give["the fixed base up to its hold-downs"] == pytest.approx(base / cutter**2)
    # a rib is 74.5 deep up to 19.5 over the dado and 25 at 111.4; the drawbolts stand at 55.9
    deep = 74.5 + (55.9 - 19.5) / (111.4 - 19.5) * (25 - 74.5)
    young, area = BIRCH["young"], 2 * THIN * deep
    bent = 55.9**3 / (3 * young * area * deep**2 / 12)
    sheared = 55.9 / (5 / 6 * young / 16 * area)
    assert give["the ribs"] == pytest.approx(down / (bent + sheared))


@pytest.mark.parametrize("job", JOBS)
def test_longer_pieces_give_more(job, designs):
    jig, piece = clamp_of(designs(job)), setup_of(designs(job)).piece
    short, long = (
        [g.stiffness for g in jig.kind.gives(jig.n, sizes_of(piece, limit))]
        for limit in (Limit.LEAST, Limit.MOST)
    )
    assert all(a > b for a, b in zip(short, long, strict=True))


# Findings


@pytest.mark.parametrize("job", JOBS)
def test_shipped_clamps_bear_what_they_are_asked(job, designs):
    told = [f for f in found(designs(job)).values() if f.equation]
    assert len(told) == 10
    assert {f.verdict for f in told} == {Verdict.MET}


@pytest.mark.parametrize("job", JOBS)
def test_every_number_that_is_read_can_be_looked_up(job, designs):
    d = designs(job)
    jig, n = clamp_of(d), clamp_of(d).n
    sizes = sizes_of(setup_of(d).piece, Limit.MOST)
    told = [f for f in jig.kind.own_checks(n) if f.equation]
    sources = [*told, *jig.kind.grips(n, sizes), *jig.kind.footings(n), *jig.kind.gives(n, sizes)]
    names = [name for source in sources for name in source.reads]
    assert names
    assert all(n[name].meaning for name in names)
    levers = [name[1:] for source in sources for name in getattr(source, "levers", ())]
    assert all(isinstance(n[name].value, int | float) for name in levers)


def test_a_fence_under_the_whole_side_force_by_hand(allotment):
    """1.5 x 9.8 N at 114.5, bolts of 6 at 31 and 99.5; the board beside the upper one presses."""
    n = clamp_of(allotment).n
    force = 1.5 * n.cut_force_high
    upper = force * (114.5 - 31) / (99.5 - 31)
    thick = 17.4 - 4.5  # DIN 603, M6: head 3.3 high, and 1, up to the next half
    finding = found(allotment)["a fence bears the whole side force of the cut"]
    assert finding.value == pytest.approx(BIRCH["dents"] * thick * 6 / upper)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"fence_strength": 0.015}, "the fence at its slots"),
        ({"sheet_crushing": 500.0, "drawbolt_torque": 900.0}, "a fence bolt"),
    ],
)
def test_what_of_a_fence_gives_first_is_named(changes, says, posts):
    finding = found(posts(**changes))["a fence bears the whole side force of the cut"]
    assert f"first to give: {says}" in finding.why


def test_findings_tell_torque_and_strength(allotment):
    faces = found(allotment)["faces bend between drawbolt and rib"]
    assert faces.assumes == (
        "0.9 N m on each drawbolt's knob, at most 30 % over, nut factor 0.18",
        f"the cut adds {clamp_of(allotment).n.drawbolt_cut:.0f} N to a drawbolt at most, a soft "
        "clamp taken",
        "bending strength of the sheet of bases, faces and ribs 35 MPa (from a table)",
    )


# Boards that no table knows

OF_THE_BOARD = {
    "faces bend between drawbolt and rib", "ribs stand up to the drawbolts",
    "ribs stay glued in base and face", "bases stay in the faces' rebates",
    "the drawbolts' washers leave no dent in the faces",
    "the hold-downs' washers leave no dent in the bases",
    "a fence bears the whole side force of the cut",
}  # fmt: skip


def not_judged(d: Design) -> set[str]:
    return {f.check for f in found(d).values() if f.verdict is Verdict.NOT_JUDGED}


def test_an_unknown_board_is_sized_as_the_weakest_and_not_judged(other_board):
    """The table's weakest bends at 20 MPa; each finding says what would settle it."""
    d = other_board("material: pixie board")
    assert clamp_of(d).n.face_strength == 20
    assert not_judged(d) == OF_THE_BOARD
    for check in OF_THE_BOARD:
        why = found(d)[check].why
        assert "boards has no 'pixie board'" in why
        assert "set: {" in why
    bends = found(d)["faces bend between drawbolt and rib"].why
    assert "{bending_strength: ...}" in bends


def test_what_the_user_knows_of_a_board_goes_before_the_table(other_board):
    d = other_board("material: pixie board, bending_strength: 26, stiffness: 4000")
    n = clamp_of(d).n
    assert (n.face_strength, n.fence_strength, n.sheet_young) == (26, 26, 4000)
    assert "faces bend between drawbolt and rib" not in not_judged(d)
    assert "ribs stay glued in base and face" in not_judged(d)


def test_strengths_set_by_hand_are_judged(other_board):
    numbers = "face_strength: 25, sheet_shear: 4, glue_strength: 1, sheet_crushing: 4, "
    d = other_board("material: pixie board")
    changes = dict(part.split(": ") for part in (numbers + "fence_strength: 25").split(", "))
    d = design(d.job, {f"clamp.{k}": float(v) for k, v in changes.items()})
    assert not_judged(d) == set()


# Nonsense


@pytest.mark.parametrize(
    ("number", "value", "says"),
    [
        ("jaw_friction", 0.0, "jaw_friction must be above 0"),
        ("jaw_friction", -0.3, "jaw_friction must be above 0"),
        ("base_friction", 0.0, "base_friction must be above 0"),
        ("face_strength", 0.0, "face_strength must be above 0"),
        ("sheet_crushing", -1.0, "sheet_crushing must be above 0"),
        ("sheet_shear", 0.0, "sheet_shear must be above 0"),
        ("sheet_young", 0.0, "sheet_young must be above 0"),
        ("glue_strength", 0.0, "glue_strength must be above 0"),
        ("table_yield", 0.0, "table_yield must be above 0"),
        ("spoilboard_shear", 0.0, "spoilboard_shear must be above 0"),
        ("drawbolt_torque", 0.0, "drawbolt_torque must be above 0"),
        ("hold_torque", -5.0, "hold_torque must be above 0"),
        ("nut_factor_loose", 0.0, "nut_factor_loose must be above 0"),
        ("nut_factor_tight", 0.0, "nut_factor_tight must be above 0"),
        ("torque_by_feel", 1.0, "torque_by_feel is a share"),
        ("torque_by_feel", -0.1, "torque_by_feel is a share"),
        ("bolt_class", "9.9", "9.9"),
    ],
)
def test_nonsense_is_refused_with_its_name(number, value, says, posts):
    with pytest.raises(DesignError, match=says):
        posts(**{number: value})


@pytest.mark.parametrize("number", ["fence_strength", "sheet_shear_modulus"])
def test_nonsense_that_only_a_check_reads_is_refused_there(number, posts):
    d = posts(**{number: 0.0})
    jig, sizes = clamp_of(d), sizes_of(setup_of(d).piece, Limit.MOST)
    with pytest.raises(DesignError, match=f"{number} must be above 0"):
        (jig.kind.own_checks(jig.n), jig.kind.gives(jig.n, sizes))
