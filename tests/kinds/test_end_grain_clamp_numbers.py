"""The end-grain clamp's numbers, worked by hand.

Most for one bar of 38 x 38 x 150 ± 0.5 on the bench router (slots 10.2 wide at a pitch of 60, 160
under the gantry, hood 90), sheet 17.6 ± 0.2, a slot 25 deep with a cutter of 6, 45 out of the nut.
Sizes of bought parts from the standards named beside them.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from jigs.model.state import Limit, Phase, State
from jigs.reading.job import read_job
from jigs.sizing import Design, Jig, design
from jigs.solids.scene import Scene

ROOT = Path(__file__).parents[2]
BAR = """
job: bars
machine: {machine}
pieces:
  bar: {{shape: bar, width: 38 ± 0.5, depth: 38 ± 0.5, length: 150 ± 0.5}}
sheets:
  ply: {{material: birch plywood, nominal: 18, measured: 17.6 ± 0.2}}
cuts:
  cut:
    does: {does}
    cutter: straight 6
    depth: 25
    direction: {direction}
    stick_out: {stick_out}
jigs:
  clamp: {{kind: end_grain_clamp}}
setups:
  cutting: {{piece: bar, at: table, jigs: [clamp], cut: cut}}
"""
OPEN, CLOSED = Phase.OPEN, Phase.CLOSED
JOBS = ["allotment", "skittles", "stool"]


@pytest.fixture
def bar(tmp_path):
    """The bar's job with a cut, and numbers changed by hand."""

    def sized(
        does: str = "slot", direction: str = "x", stick_out: float = 45, **changes: float
    ) -> Design:
        path = tmp_path / "bars.yaml"
        machine = ROOT / "configs/machines/bench_router.yaml"
        path.write_text(
            BAR.format(machine=machine, does=does, direction=direction, stick_out=stick_out)
        )
        return design(read_job(path), {k.replace("__", "."): v for k, v in changes.items()})

    return sized


def clamp_of(d: Design) -> Jig:
    return next(jig for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")


# Heights

SHORT = 149.5  # the shortest bar; the cut's floor lies at 149.5 - 25 = 124.5


@pytest.mark.parametrize(
    ("does", "direction", "jaw", "fence"),
    [
        # the cutter passes over the jaws: 5 below the floor; the fences are no higher than jaws
        ("slot", "x", 119.5, 119.5),
        # the jaws see the hood only, at 124.5 + 45 - 5 = 164.5; the end itself is lower: less 5
        ("slot", "y", 144.5, 119.5),
        # all round
        ("tenon", "x", 119.5, 119.5),
        ("tenon", "y", 119.5, 119.5),
        # 3 from the axis, within the bar: as the jaws above
        ("hole", "x", 144.5, 144.5),
    ],
)
def test_tops_of_jaws_and_fences(does, direction, jaw, fence, bar):
    n = clamp_of(bar(does, direction)).n
    assert (n.jaw_top, n.fence_top) == (jaw, fence)


@pytest.mark.parametrize(
    ("changes", "top"),
    [
        ({"machine__dust_hood_below": 25.0}, 139.5),  # 124.5 + 45 - 25 - 5
        ({"machine__dust_hood_below": 25.0, "machine__dust_hood_diameter": 37.0}, 144.5),
        ({"machine__under_gantry": 140.0}, 135.0),
    ],
)
def test_hood_and_gantry_lower_the_jaws_of_a_hole(changes, top, bar):
    assert clamp_of(bar("hole", **changes)).n.jaw_top == top


@pytest.mark.parametrize("nut", [37.0, 38.0])
def test_a_wide_collet_nut_lowers_them_once_it_reaches_beyond_the_thinnest_bar(nut, bar):
    """The bar ends 37.5 / 2 = 18.75 from the axis; 124.5 + 20 - 5 = 139.5."""
    n = clamp_of(bar("hole", stick_out=20, machine__collet_nut_diameter=nut,
                     machine__dust_hood_diameter=0.0)).n  # fmt: skip
    assert n.jaw_top == (139.5 if nut / 2 > 18.75 else 144.5)


def test_without_a_stick_out_5_mm_above_the_piece_are_assumed(bar, tmp_path):
    bar()
    path = tmp_path / "bars.yaml"
    path.write_text(path.read_text().replace("    stick_out: 45\n", ""))
    assert clamp_of(design(read_job(path))).n.stick_out == 25 + 5


# The trial's numbers (design notes: tip at 124.5, nut 50.0 above the jaw, gantry margin 9.5,
# a = b = 131 with five pitches between the hold-downs, drawbolt 92.9)


def test_heights_are_the_trials(bar):
    d = bar()
    n = clamp_of(d).n
    assert n.length_least - n.cut_depth == 124.5
    assert 124.5 + n.stick_out - n.jaw_top == 50.0
    assert n.under_gantry - n.length_most == 9.5


def test_the_hold_downs_stand_five_pitches_apart_as_in_the_trial(bar):
    """Not at 131 from each face: the slot leaves through a backer of 12, and the bar on a land.

    reach: sheet 17.6, rib 60 (half of 119.5, up to 5), knob 25, fingers 15: 117.6, so 118.
    With half a bar, 19, and the opening, 38.5 + 12 + 3: 118 + 19 + 118 + 53.5 - 19 = 289.5 > 240.
    Between 180 and 480 the bar may stand from 180 + 137 = 317 to 480 - 152.5 = 327.5. Its land goes
    from 305.1 to 354.9. Nearest to the middle, 322.25, where 19.25 and 3 fit in: 327.5.
    """
    n = clamp_of(bar()).n
    assert n.hold_reach == 118
    assert n.place_u == (180, 327.5, 480)
    assert n.hold_fixed == 327.5 - 19 - 180 == 128.5
    assert n.hold_moving == pytest.approx(480 - 327.5 - 19 - 12)  # 121.5
    assert n.hold_fixed + 38 + 12 + n.hold_moving == 300


def test_the_drawbolts_are_the_trials_and_a_knob_and_the_backer(bar):
    """Two threads of 1.25, nut 6.8 (ISO 4032), washer 2 (ISO 7093), face 17.8; the opening, 41.5;
    face, washer; two threads: 92.9. The knob of M8: 25. The slot along x has a backer of 12.

    The trial's bolt was threaded in part (74.9 of 100); ours is rod, threaded all along.
    """
    assert pytest.approx(92.9) == 2.5 + 6.8 + 2 + 17.8 + 41.5 + 17.8 + 2 + 2.5
    for direction, need, length in (("x", 129.9, 130), ("y", 117.9, 120)):
        n = clamp_of(bar(direction=direction)).n
        assert n.drawbolt_need == pytest.approx(need)
        assert n.drawbolt_length == length  # rod is cut in steps of 5


def test_opening_and_travel(bar):
    along, across = (clamp_of(bar(direction=way)).n for way in "xy")
    assert (along.backer_in_x, along.backer_in_y) == (12, 0)
    assert (across.backer_in_x, across.backer_in_y) == (0, 12)
    assert (along.opening, along.closed_least, along.travel) == (53.5, 48.5, 5)
    assert (across.opening, across.closed_least, across.travel) == (41.5, 36.5, 5)
    assert along.base_slot == 5 + 9 + 2  # ISO 273 medium for M8: 9


# The shipped jobs


@pytest.fixture(params=JOBS)
def shipped(request, designs, scenes):
    """Setup, clamp and solids of a shipped job."""
    d, scene = designs(request.param), scenes(request.param)
    setup, jig = next((s, j) for s, j in d.jigs() if j.kind.name == "end_grain_clamp")
    return request.param, setup, jig, scene


def bounds(scene: Scene, setup, state: State) -> dict[str, tuple[float, ...]]:
    """(x least, x most, y least, y most, z least, z most) of everything, in the work frame."""
    found = {}
    for s in scene.standing(setup, state):
        b = s.placed.copy().BoundingBox()  # a mesh would blur it
        found[s.name] = (b.xmin, b.xmax, b.ymin, b.ymax, b.zmin, b.zmax)
    return found


def test_offsets_are_where_the_solids_stand(shipped):
    """Measured: middle of the piece against middle of the nominal one; top against top."""
    _, setup, jig, scene = shipped
    nominal = bounds(scene, setup, State(CLOSED, Limit.NOMINAL))["piece"]
    for limit in Limit:
        x0, x1, y0, y1, z0, z1 = bounds(scene, setup, State(CLOSED, limit))["piece"]
        offset = jig.kind.offset_of(jig.n, {"width": x1 - x0, "depth": y1 - y0, "length": z1 - z0})
        assert offset.dx == pytest.approx((x0 + x1 - nominal[0] - nominal[1]) / 2, abs=1e-6)
        assert offset.dy == pytest.approx((y0 + y1 - nominal[2] - nominal[3]) / 2, abs=1e-6)
        assert offset.dz == pytest.approx(z1 - nominal[5], abs=1e-6)


def test_a_length_that_was_not_measured_gives_no_dz(shipped):
    _, _, jig, _ = shipped
    assert jig.kind.offset_of(jig.n, {"width": 30.0, "depth": 30.0}).dz is None


def test_the_closed_jaws_lie_on_every_piece_and_the_open_ones_leave_it_free(shipped):
    job, setup, _, scene = shipped
    for limit in Limit:
        shut = bounds(scene, setup, State(CLOSED, limit))
        assert shut["fixed face"][1] == pytest.approx(shut["piece"][0], abs=1e-6)
        assert shut["moving face"][0] == pytest.approx(shut["piece"][1], abs=1e-6)
        datum = shut["backer" if job == "allotment" else "datum fence"]
        assert datum[2] == pytest.approx(shut["piece"][3], abs=1e-6)
        assert shut["free fence"][3] == pytest.approx(shut["piece"][2], abs=1e-6)
        wide = bounds(scene, setup, State(OPEN, limit))
        assert wide["fixed face"] == pytest.approx(shut["fixed face"])
        assert wide["fixed face"][1] + 0.9 < wide["piece"][0]
        assert wide["piece"][1] + 0.9 < wide["moving face"][0]
        assert wide["free fence"][3] + 0.9 < wide["piece"][2]


# How far the threads reach through the knobs: what is left of the rod beyond the knob, mm.
# Drawbolts, open: length - (2 threads + nut + washer + sheet + opening + sheet + washer + knob).
THROUGH = {
    "allotment": {"drawbolt": 120 - (2.5 + 6.8 + 2 + 17.6 + 41.5 + 17.6 + 2 + 25),
                  # T-slot bolt M8 x 63 under a lip of 9; sheet, washer, knob
                  "stud": 63 - (9 + 17.6 + 2 + 25)},
    "skittles": {"drawbolt": 90 - (2 + 5.2 + 1.6 + 14.8 + 33.3 + 14.8 + 1.6 + 12),
                 # rod M6 x 50 in an insert 15 long (DIN 7965)
                 "stud": 50 - (15 + 14.8 + 1.6 + 12)},
    # 5/16: 18 threads an inch, nut 0.273 (ASME B18.2.2), washer 0.083 (B18.21.1 wide); 0.703 in
    # sheet; opening 1.5156 in and 3 mm; knob 22. 1/4: lip 0.16 in, washer 0.065 in, knob 19
    "stool": {"drawbolt": 120 - (25.4 * (2 / 18 + 0.273 + 2 * 0.083 + 2 * 0.703 + 1.515625) + 25),
              "stud": 50.8 - (25.4 * (0.16 + 0.703 + 0.065) + 19)},
}  # fmt: skip


def test_rods_reach_through_their_knobs(shipped):
    job, setup, _, scene = shipped
    at = bounds(scene, setup, State(OPEN, Limit.MOST))
    for side in ("datum", "free"):
        rod, knob = at[f"{side} drawbolt"], at[f"{side} drawbolt knob"]
        assert rod[1] - knob[1] == pytest.approx(THROUGH[job]["drawbolt"], abs=1e-6)
        for word in ("fixed", "moving"):
            stud, knob = at[f"{word} {side} stud"], at[f"{word} {side} hold-down knob"]
            assert stud[5] - knob[5] == pytest.approx(THROUGH[job]["stud"], abs=1e-6)
    assert min(THROUGH[job].values()) > 0


HOLDS = {
    # slots across the jig's x at 60, 120, ... 540: 180 and 480, five pitches; see the docstring
    # below. v is free: the piece in the middle of 400, hold-downs 71 to either side: within the
    # drawbolts, which stand at 19 + 12 backer + 46.95 fence + 3.5 + 12 washer + 2, up to 96, by 25
    "allotment": ([180, 480], [129, 271]),
    # a board: 95 before and 98.3 behind the faces, the piece in the middle of 300 x 200
    "skittles": ([40, 263.3], [43, 157]),
    # slots along the jig's x at 2, 5, 8, ... in: 8 and 14 are 6 in apart, the piece over 11
    "stool": ([253.95, 511.446875], [8 * 25.4, 14 * 25.4]),
}


def test_hold_downs_stand_on_the_anchors(shipped):
    """Measured on the studs when closed on the nominal piece, in the machine frame.

    allotment: reach 17.6 + 70 + 25 + 15 = 127.6, so 128; with 41.5 open 297.5 <= 300. The piece
    may stand from 180 + 147 = 327 to 480 - 150.5 = 329.5, and stands in the middle, clear of the
    slots by 328.25 - 19.25 - 305.1 = 3.9.
    """
    job, setup, _, scene = shipped
    zero = setup.work_zero.at
    at = bounds(scene, setup, State(CLOSED, Limit.NOMINAL))
    us, vs = HOLDS[job]
    for word, u in zip(("fixed", "moving"), us, strict=True):
        for side, v in zip(("free", "datum"), vs, strict=True):
            x0, x1, y0, y1, *_ = at[f"{word} {side} stud"]
            assert (x0 + x1) / 2 + zero[0] == pytest.approx(u, abs=1e-4)
            assert (y0 + y1) / 2 + zero[1] == pytest.approx(v, abs=1e-4)


def test_what_holds_and_what_brings_the_base_back(shipped):
    """ASME B5.1M: throat 10 takes M8, 9/32 in takes 1/4; a board takes inserts."""
    job, _, jig, _ = shipped
    assert (jig.n.hold_by, jig.n.hold_size, jig.n.located_by, jig.n.slides_along) == {
        "allotment": ("T-slot bolt", "M8", "key", False),
        "skittles": ("insert", "M6", "dowels", False),
        "stool": ("T-slot bolt", "1/4", "key", True),
    }[job]


def test_holes_to_drill_lie_under_studs_and_dowels(designs):
    """DIN 7965, M6: hole 10.5, 15 deep; dowels 8, 12 deep."""
    d = designs("skittles")
    setup, jig = next((s, j) for s, j in d.jigs() if j.kind.name == "end_grain_clamp")
    places = {p.name: p.pose.at for p in jig.poses(State(CLOSED, Limit.NOMINAL))}
    inserts = [h for h in jig.board_holes if h.meets.startswith("insert")]
    dowels = [h for h in jig.board_holes if h.meets == "dowel"]
    assert {(h.diameter, h.depth) for h in inserts} == {(10.5, 15)}
    assert {(h.diameter, h.depth) for h in dowels} == {(8, 12)}
    for holes, names in (
        (inserts, [n for n in places if n.endswith("stud")]),
        (dowels, ["dowel 1", "dowel 2"]),
    ):
        bored = sorted((round(h.at[0], 4), round(h.at[1], 4)) for h in holes)
        assert bored == sorted((round(places[n][0], 4), round(places[n][1], 4)) for n in names)
    assert {setup.work_zero.apply(h.at)[2] for h in jig.board_holes} == {0}
