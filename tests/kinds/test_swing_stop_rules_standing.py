"""Where the swing stop's parts stand, as boxes: what touches shares a plane, bolts run free.

The witness (`boxes.py`) reads outlines, cuts and sold sizes, and calls no rule. Jobs: two bars on
nuts in slots, on T-slot bolts, on inserts in a board, on a grid of holes; one bar beside a ring.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from jigs.model.outline import Outline
from jigs.model.part import Does, Part, Sheet
from jigs.model.pose import Pose
from jigs.model.state import Contact, Limit, Phase, Role, State
from jigs.reading.job import read_job
from jigs.sizing import Jig, Setup, design

from .boxes import SHANKS, Standing, boxes_of, coaxial, cut_box, hole_about, in_cuts, touch

SHOPS = Path(__file__).parents[1] / "shops"
JOBS = {
    "nuts in slots": ("front_bar_two_bars", ()),
    "bolts in slots": ("front_bar_two_bars", ("depth: 45 ±", "depth: 20 ±")),
    "narrow slots": ("front_bar_two_bars", ("mouth: 10.2, lip: 9, wide: 17, room: 7.5",
                                            "mouth: 8.2, lip: 6, wide: 15, room: 7.5")),
    "board": ("front_bar_board", ()),
    "grid": ("front_bar_holes_inch", ()),
    "one bar": ("front_bar_ring_and_stop", ()),
    "one bar, twice the same shim": ("front_bar_ring_and_stop",
                                     ("{kind: swing_stop}",
                                      "{kind: swing_stop, shims: [0.5, 1, 2, 8, 12, 12]}")),
    "one bar, coarse shims": ("front_bar_ring_and_stop",
                              ("{kind: swing_stop}", "{kind: swing_stop, shims: [3, 24]}")),
}  # fmt: skip
TWO = [name for name in JOBS if not name.startswith("one")]
STATES = [
    State(Phase.OPEN, Limit.MOST), State(Phase.SETTING, Limit.NOMINAL),
    State(Phase.CLOSED, Limit.LEAST), State(Phase.CLOSED, Limit.MOST),
]  # fmt: skip
CLOSED = State(Phase.CLOSED, Limit.NOMINAL)


@cache
def stop(job: str) -> tuple[Setup, Jig]:
    import tempfile

    name, changes = JOBS[job]
    text = (SHOPS / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in zip(changes[::2], changes[1::2], strict=True):
        assert old in text
        text = text.replace(old, new)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.yaml"
        path.write_text(text, encoding="utf-8")
        d = design(read_job(path))
    return next((s, jig) for s, jig in d.jigs() if jig.kind.name == "swing_stop")


@cache
def standing(job: str, state: State) -> dict[str, Standing]:
    setup, jig = stop(job)
    parts = {part.id: part for part in jig.kind.parts(jig.n)}
    at = {p.name: Standing(p.name, parts[p.part], p.pose) for p in jig.kind.poses(jig.n, state)}
    return {**at, "piece": piece(setup, jig, state), "front face": face(setup, jig)}


def face(setup: Setup, jig: Jig) -> Standing:
    """The machine's front face at its y, 400 mm high and wide: everything is before it."""
    slab = Part("face", "face", Sheet(""), Outline.rectangle(-500, -500, 500, 500), 20.0)
    y = jig.n.front_y - setup.work_zero.at[1]
    return Standing("front face", slab, Pose.to(0, y + 20.0, 0) @ Pose.turned("x", 90))


def piece(setup: Setup, jig: Jig, state: State) -> Standing:
    """A bar, or the square body of a turned piece, where the setup puts it."""
    n, at = jig.n, setup.piece_pose(state).at
    if n.bars == 1:
        wide, deep, low, high = (
            n.body_width,
            n.body_depth,
            n.body_below + n.body_length,
            n.body_below,
        )
    else:
        wide, deep, low = (
            n[f"{w}_{state.piece.value}"].value for w in ("width", "depth", "length")
        )
        high = 0.0
    square = Outline.rectangle(-wide / 2, -deep / 2, wide / 2, deep / 2)
    block = Part("piece", "piece", Sheet(""), square, low - high)
    return Standing("piece", block, Pose.to(at[0], at[1], at[2] - low))


def meant(job: str, state: State, *roles: Role) -> list[Contact]:
    _, jig = stop(job)
    return [c for c in jig.kind.contacts(jig.n, state) if c.role in roles]


def pressed_by(a: Standing, b: Standing) -> float:
    """How far the boxes of both lie in each other along y, mm; negative = apart."""
    x, y, z = a.boxes[0].overlap(b.boxes[0])
    assert min(x, z) > 0
    return y


IN_THE_FACE = ("stud", "insert", "nut", "key")


@pytest.mark.parametrize("job", JOBS)
def test_what_is_meant_to_touch_shares_a_plane(job):
    for state in STATES:
        at = standing(job, state)
        for c in meant(job, state, Role.SEATS, Role.GLUED):
            in_face = c.b == "front face" and c.a.endswith(IN_THE_FACE)
            if in_face or "dowel" in c.a:
                continue
            assert touch(at[c.a], at[c.b]), f"{c.a} on {c.b}, {state}"
            assert c.depth == 0


@pytest.mark.parametrize("job", JOBS)
def test_pads_press_as_deep_as_is_told_and_clear_the_open_piece(job):
    for state in STATES:
        at = standing(job, state)
        pads = [name for name in at if name.endswith("pad")]
        clamps = {c.a: c.depth for c in meant(job, state, Role.CLAMPS)}
        assert set(clamps) == (set() if state.phase is Phase.OPEN else set(pads))
        for pad in pads:
            deep = pressed_by(at[pad], at["piece"])
            if state.phase is Phase.OPEN:
                assert deep <= -1
            else:
                assert deep == pytest.approx(clamps[pad], abs=1e-6)
            squeezed = state.phase is Phase.CLOSED
            assert (clamps.get(pad, 0) > 0) is squeezed


@pytest.mark.parametrize("job", [name for name in JOBS if name not in TWO])
def test_shims_stand_as_near_the_body_as_is_told(job):
    """Pushed by what they are too thick, a gap if they are too thin."""
    for state in STATES:
        at = standing(job, state)
        shims = [s for s in at.values() if s.name.startswith(("shim", "packer"))]
        told = meant(job, state, Role.GUIDES)
        assert len(told) == (0 if state.phase is Phase.OPEN else 1)
        for c in told:
            front = min(s.boxes[0].low[1] for s in shims)
            assert at[c.a].boxes[0].low[1] == front
            back = at["piece"].boxes[0].high[1]
            assert c.depth == pytest.approx(max(0.0, back - front), abs=1e-6)


@pytest.mark.parametrize("job", JOBS)
def test_all_that_stands_is_told_to_touch_something(job):
    for state in STATES:
        at = standing(job, state)
        told = {name for c in meant(job, state, *Role) for name in (c.a, c.b)}
        # what hangs alone behind an open piece touches nothing that is told
        assert set(at) - told <= {"piece", "packer", "shim 24"}
        assert told <= set(at)


@pytest.mark.parametrize("job", JOBS)
def test_studs_and_screws_run_through_holes_about_their_axes(job):
    for state in STATES:
        at = standing(job, state)
        for shank in (s for s in at.values() if s.family in SHANKS):
            for host in at.values():
                if host.family or host.name in ("front face", "piece"):
                    continue
                if any(a.meets(b) for a in shank.boxes for b in host.boxes):
                    left, _ = hole_about(host, shank)
                    assert left == pytest.approx(0, abs=1e-6), f"{shank.name} in {host.name}"


@pytest.mark.parametrize("job", TWO)
def test_screws_bite_and_their_pilot_holes_are_a_millimetre_deeper(job):
    at = standing(job, CLOSED)
    bites = [c for c in meant(job, CLOSED, Role.BITES) if c.b != "front face"]
    assert len(bites) == 4
    for c in bites:
        screw, host = at[c.a], at[c.b]
        past = screw.pose.apply((0.0, 0.0, boxes_of(screw.part)[0].high[2] + 1.0))
        axis = max(range(3), key=lambda i: abs(screw.pose.rotate((0.0, 0.0, 1.0))[i]))
        (pilot,) = hole_about(host, screw)[1]
        box = cut_box(host.part, pilot).placed(host.pose)
        assert min(abs(past[axis] - end) for end in (box.low[axis], box.high[axis])) < 1e-6, c
        # and its tip stays in the wood
        tip = screw.pose.apply((0.0, 0.0, boxes_of(screw.part)[0].high[2]))[axis]
        assert host.boxes[0].low[axis] < tip < host.boxes[0].high[axis]


@pytest.mark.parametrize("job", TWO)
def test_sunk_heads_come_flush_on_the_edges_of_their_holes(job):
    """Screws of 4, head 8: it loses on its diameter twice what it goes deep (90 degrees)."""
    _, jig = stop(job)
    found = 0
    for part in jig.kind.parts(jig.n):
        for sunk in part.cuts:
            if sunk.does is not Does.COUNTERBORE:
                continue
            (hole,) = [c for c in part.cuts if c.meets == sunk.meets and c is not sunk]
            wide, narrow = (c.outline.bounds[2] - c.outline.bounds[0] for c in (sunk, hole))
            assert hole.outline.centre == pytest.approx(sunk.outline.centre)
            assert (wide, narrow) == pytest.approx((8.5, 4.5))
            assert 8 - 2 * sunk.depth == pytest.approx(narrow)
            found += 1
    assert found == 4


@pytest.mark.parametrize("job", JOBS)
def test_made_parts_lie_in_each_other_only_in_their_cuts(job):
    for state in STATES:
        at = [s for s in standing(job, state).values()
              if not s.family and s.name not in ("front face", "piece")]  # fmt: skip
        for i, a in enumerate(at):
            for b in at[i + 1 :]:
                assert in_cuts(a, b), f"{a.name} in {b.name}, {state}"


@pytest.mark.parametrize("job", JOBS)
def test_nuts_and_knobs_are_on_their_threads_whole(job):
    """An insert or a T-slot nut in the face ends where its stud does: flush."""
    for state in STATES:
        at = standing(job, state)
        for c in meant(job, state, Role.THREADS):
            if "front face" in (c.a, c.b):
                continue
            nut, bolt = sorted((at[c.a], at[c.b]), key=lambda s: s.family in SHANKS)
            assert coaxial(nut, bolt), c
            long = boxes_of(bolt.part)[0].placed(bolt.pose)
            low = min(box.low[1] for box in nut.boxes)
            high = max(box.high[1] for box in nut.boxes)
            assert long.low[1] - 1e-6 <= low
            assert high <= long.high[1] + 1e-6, f"{c}, {state}"
            if nut.family in ("insert", "T-slot nut") and "knob" not in nut.name:
                assert high == pytest.approx(long.high[1])


@pytest.mark.parametrize("job", ["nuts in slots", "bolts in slots", "narrow slots"])
def test_heads_and_feet_bear_on_the_lip_from_below(job):
    """The wide part of foot or head begins where the lip ends."""
    _, jig = stop(job)
    at = standing(job, CLOSED)
    for name, part in at.items():
        if part.family not in ("T-slot bolt", "T-slot nut"):
            continue
        inner = part.boxes[1] if part.family == "T-slot bolt" else part.boxes[0]
        assert inner.low[1] == pytest.approx(jig.n.face_at + jig.n.front_slot_lip), name
        assert inner.high[0] - inner.low[0] > jig.n.front_slot_mouth
        if part.family == "T-slot nut":  # its neck lies along the slot
            neck = part.boxes[1]
            assert neck.high[2] - neck.low[2] == pytest.approx(jig.n.stud_head[0])
            assert neck.high[0] - neck.low[0] == pytest.approx(jig.n.stud_head[1])


@pytest.mark.parametrize("job", TWO)
def test_the_board_hangs_where_its_key_and_dowels_bring_it(job):
    _, jig = stop(job)
    at, n = standing(job, CLOSED), jig.n
    if n.board_key_width:
        key, block = at["board key"].boxes[0], at["stop block"].boxes[0]
        assert key.high[1] == pytest.approx(n.face_at + n.board_key_reach)
        assert (key.low[2] + key.high[2]) / 2 == pytest.approx(n.stud_z[0] - n.end_height)
        assert key.high[0] - key.low[0] == pytest.approx(n.stud_x)
        assert key.low[0] == pytest.approx(-key.high[0])
        assert block.high[0] == pytest.approx(at["back board"].boxes[0].low[0])
        assert (block.low[2] + block.high[2]) / 2 == pytest.approx(n.stud_z[0] - n.end_height)
    for name in [name for name in at if name.startswith("dowel")]:
        dowel = at[name].boxes[0]
        assert dowel.low[1] == pytest.approx(n.surface_at)
        # a millimetre short of the end of its hole
        assert dowel.high[1] == pytest.approx(n.face_at + n.dowel_reach - 1)
        studs = [s.boxes[0] for s in at.values() if s.name.endswith("stud")]
        assert any(s.low[0] < (dowel.low[0] + dowel.high[0]) / 2 < s.high[0] for s in studs)


@pytest.mark.parametrize("job", JOBS)
def test_what_is_listed_stands_somewhere_and_what_stands_is_listed(job):
    """Of shims all that are owned are listed; what stands of them depends on the piece."""
    _, jig = stop(job)
    listed = [part.id for part in jig.kind.parts(jig.n)]
    placed = {s.part.id for state in STATES for s in standing(job, state).values()}
    assert len(set(listed)) == len(listed)
    assert placed - {"piece", "face"} <= set(listed)
    assert all(id in placed or id.startswith("shim_") for id in listed)


@pytest.mark.parametrize("job", JOBS)
def test_pads_cover_the_middles_of_their_bars(job):
    for state in STATES:
        at = standing(job, state)
        for name in [name for name in at if name.endswith("pad")]:
            pad, bar = at[name].boxes[0], at[name.removesuffix(" pad")].boxes[0]
            assert (pad.low[2], pad.high[2]) == pytest.approx((bar.low[2], bar.high[2]))
            assert pad.low[0] + pad.high[0] == pytest.approx(bar.low[0] + bar.high[0]) == 0
