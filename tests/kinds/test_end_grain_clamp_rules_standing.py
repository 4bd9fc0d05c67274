"""Where the clamp's parts stand, as boxes: what is meant to touch shares a plane, bolts run free.

The witness (`boxes.py`) reads outlines, cuts and sold sizes, and calls no rule. Jobs: slots across
and along the clamp, a board, a grid of holes, a riser, a backer on the moving face, T-slot nuts.
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
from jigs.sizing import Jig, design

from .boxes import (
    SHANKS,
    Box,
    Standing,
    about_z,
    boxes_of,
    coaxial,
    cut_box,
    hole_about,
    in_cuts,
    touch,
)

ROOT = Path(__file__).parents[2]
JOBS = {
    "slots": ("configs/allotment.yaml", {}),
    "slots, backer in x": ("configs/allotment.yaml", {"backer_in_x": 12.0, "backer_in_y": 0.0}),
    "nuts in slots": ("configs/allotment.yaml", {}),
    "backer before a rib": ("configs/allotment.yaml", {}),
    "board": ("configs/skittles.yaml", {}),
    "slots along": ("configs/stool.yaml", {}),
    "grid": ("tests/shops/clamp_very_small.yaml", {}),
    "riser": ("tests/shops/clamp_on_a_riser.yaml", {}),
    "backer on a plate": ("tests/shops/clamp_on_a_plate.yaml", {"backer": 12, "backer_in_x": 12}),
    "low": ("configs/allotment.yaml", {"rib_height": 70.0}),
    "one rib": ("configs/skittles.yaml", {"ribs": 1}),
}
STATES = [
    State(Phase.OPEN, Limit.MOST), State(Phase.SETTING, Limit.NOMINAL),
    State(Phase.CLOSED, Limit.LEAST), State(Phase.CLOSED, Limit.MOST),
]  # fmt: skip
CLOSED = State(Phase.CLOSED, Limit.NOMINAL)


@cache
def clamp(job: str) -> Jig:
    file, changes = JOBS[job]
    made = read_job(ROOT / file)
    text = (ROOT / file).read_text(encoding="utf-8")
    text = text.replace("machines/", f"{ROOT}/configs/machines/")
    if job == "nuts in slots":  # no T-slot bolt is to be had
        made = read_job_of(text + "shelf: {T-slot bolt: {M20: [80]}}\n")
    if job == "backer before a rib":  # three ribs, whose screws are as high as the backer's
        for old, new in (("direction: y", "direction: x"), ("    depth: 38 ±", "    depth: 110 ±"),
                         ("    length: 140 ±", "    length: 160 ±")):  # fmt: skip
            assert text.count(old) == 1
            text = text.replace(old, new)
        made = read_job_of(text)
    d = design(made, {f"clamp.{name}": value for name, value in changes.items()})
    return next(jig for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")


def read_job_of(text: str):
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.yaml"
        path.write_text(text, encoding="utf-8")
        return read_job(path)


@cache
def standing(job: str, state: State) -> dict[str, Standing]:
    jig = clamp(job)
    parts = {part.id: part for part in jig.kind.parts(jig.n)}
    at = {p.name: Standing(p.name, parts[p.part], p.pose) for p in jig.kind.poses(jig.n, state)}
    return {**at, **world(jig, state)}


def world(jig: Jig, state: State) -> dict[str, Standing]:
    """The table, a metre square, and the piece where the jig says that it puts it."""
    n, limit = jig.n, state.piece.value
    width, depth, length = (n[f"{word}_{limit}"].value for word in ("width", "depth", "length"))
    square = Outline.rectangle(-width / 2, -depth / 2, width / 2, depth / 2)
    block = Part("piece", "piece", Sheet(""), square, length)
    slab = Part("table", "table", Sheet(""), Outline.rectangle(-500, -500, 500, 500), 20.0)
    at = jig.kind.holds_piece(n, state)
    foot = (n.length_nominal - length) + at.dz - n.length_nominal
    return {
        "piece": Standing("piece", block, Pose.to(at.dx, at.dy, foot)),
        "table": Standing("table", slab, Pose.to(0, 0, -n.piece_top - 20.0)),
    }


def meant(job: str, state: State, *roles: Role) -> list[Contact]:
    jig = clamp(job)
    return [c for c in jig.kind.contacts(jig.n, state) if c.role in roles]


IN_THE_TABLE = ("stud", "stop bolt", "insert", "key", "nut")


@pytest.mark.parametrize("job", JOBS)
def test_what_is_meant_to_touch_shares_a_plane(job):
    for state in STATES:
        at = standing(job, state)
        for c in meant(job, state, Role.SEATS, Role.CLAMPS, Role.SUPPORTS, Role.GLUED):
            if c.b == "table" and ("dowel" in c.a or c.a.endswith(IN_THE_TABLE)):
                continue  # under the lip of its slot: below
            assert touch(at[c.a], at[c.b]), f"{c.a} on {c.b}, {state}"
            assert c.depth == 0


@pytest.mark.parametrize("job", JOBS)
def test_everything_has_something_that_carries_it(job):
    """Every part touches, is screwed or is threaded into another, and every one that is told is."""
    at = standing(job, CLOSED)
    told = {name for c in meant(job, CLOSED, *Role) for name in (c.a, c.b)}
    assert told == set(at) - ({"piece"} & set(at)) | {"piece"}


@pytest.mark.parametrize("job", JOBS)
def test_bolts_run_through_holes_about_their_axes(job):
    for state in STATES:
        at = standing(job, state)
        for shank in at.values():
            if shank.family not in SHANKS:
                continue
            for host in at.values():
                if host.family or not any(a.meets(b) for a in shank.boxes for b in host.boxes):
                    continue
                if host.name == "table":
                    continue
                left, cuts = hole_about(host, shank)
                assert left == pytest.approx(0, abs=1e-6), f"{shank.name} in {host.name}, {state}"
                assert cuts


def bite(shank: Standing, host: Standing) -> float:
    """How far the shank stands in the host, mm."""
    return max(max(a.overlap(b)) if a.meets(b) else 0.0
               for a in shank.boxes for b in host.boxes)  # fmt: skip


@pytest.mark.parametrize("job", JOBS)
def test_screws_bite_and_their_pilot_holes_are_a_millimetre_deeper(job):
    at = standing(job, CLOSED)
    bites = [c for c in meant(job, CLOSED, Role.BITES) if c.b != "table"]
    assert bites
    for c in bites:
        screw, host = at[c.a], at[c.b]
        tip = screw.pose.apply((0.0, 0.0, boxes_of(screw.part)[0].high[2]))
        past = screw.pose.apply((0.0, 0.0, boxes_of(screw.part)[0].high[2] + 1.0))
        (pilot,) = [cut for cut in hole_about(host, screw)[1] if cut.outline.is_circle]
        box = cut_box(host.part, pilot).placed(host.pose)
        axis = max(range(3), key=lambda i: abs(past[i] - tip[i]))
        ends = (box.low[axis], box.high[axis])
        assert min(abs(past[axis] - end) for end in ends) < 1e-6, c
        assert pilot.outline.bounds[2] - pilot.outline.bounds[0] < 3.5


@pytest.mark.parametrize("job", JOBS)
def test_sunk_heads_come_flush_on_the_edges_of_their_holes(job):
    """A countersunk head loses on its diameter twice what it goes deep (90 degrees, ISO 7046)."""
    heads = {"backer_screw": "backer_screw", "rib_screw": "rib_screw"}
    jig = clamp(job)
    parts = {part.id: part for part in jig.kind.parts(jig.n)}
    found = 0
    for part in parts.values():
        for sunk in part.cuts:
            if sunk.does is not Does.COUNTERBORE or sunk.meets not in heads:
                continue
            (hole,) = [c for c in part.cuts if c.meets == sunk.meets and c is not sunk
                       and c.outline.centre == pytest.approx(sunk.outline.centre)]  # fmt: skip
            screw = dict(parts[heads[sunk.meets]].made.dims)
            wide = sunk.outline.bounds[2] - sunk.outline.bounds[0]
            narrow = hole.outline.bounds[2] - hole.outline.bounds[0]
            assert wide == pytest.approx(screw["head_diameter"] + 0.5)
            assert narrow == pytest.approx(screw["diameter"] + 0.5)
            assert screw["head_diameter"] - 2 * sunk.depth == pytest.approx(narrow)
            found += 1
    assert found


@pytest.mark.parametrize("job", JOBS)
def test_made_parts_lie_in_each_other_only_in_their_cuts(job):
    for state in STATES:
        at = [s for s in standing(job, state).values() if not s.family and s.name != "table"]
        for i, a in enumerate(at):
            for b in at[i + 1 :]:
                assert in_cuts(a, b), f"{a.name} in {b.name}, {state}"


@pytest.mark.parametrize("job", JOBS)
def test_nuts_and_knobs_are_on_their_threads_whole(job):
    """And the fixed drawbolts stand two threads beyond their nuts."""
    for state in STATES:
        at = standing(job, state)
        for c in meant(job, state, Role.THREADS):
            if c.b == "table" or c.a == "table":
                continue
            pair = sorted((at[c.a], at[c.b]), key=lambda s: s.family in SHANKS)
            nut, bolt = pair
            assert coaxial(nut, bolt), c
            axis = max(range(3), key=lambda i: abs(bolt.pose.rotate((0.0, 0.0, 1.0))[i]))
            long = boxes_of(bolt.part)[0].placed(bolt.pose)
            for box in nut.boxes:
                assert long.low[axis] - 1e-6 <= box.low[axis]
                assert box.high[axis] <= long.high[axis] + 1e-6, f"{c}, {state}"


@pytest.mark.parametrize("job", JOBS)
def test_bolts_and_screws_pass_clear_of_each_other(job):
    """Bought parts share room only on one axis: nuts, washers and knobs' threads on their bolts."""
    for state in (STATES[0], STATES[-1]):
        bought = [s for s in standing(job, state).values() if s.family]
        for i, a in enumerate(bought):
            for b in bought[i + 1 :]:
                if any(p.meets(q) for p in with_head(a) for q in with_head(b)):
                    assert coaxial(a, b), f"{a.name} in {b.name}, {state}"


def with_head(s: Standing) -> list[Box]:
    """What it fills; a countersunk head as deep as it is wide over its core (ISO 7046)."""
    if s.family != "wood screw":
        return s.boxes
    b = dict(s.part.made.dims)
    deep = (b["head_diameter"] - b["core"]) / 2
    return [*s.boxes, about_z(b["head_diameter"], 0.0, deep).placed(s.pose)]


@pytest.mark.parametrize("job", JOBS)
def test_what_is_listed_stands_somewhere_and_what_stands_is_listed(job):
    """But for the springs, whose length goes with the jaw."""
    jig = clamp(job)
    listed = [part.id for part in jig.kind.parts(jig.n)]
    placed = {s.part.id for s in standing(job, CLOSED).values()} - {"piece", "table"}
    assert len(set(listed)) == len(listed)
    assert set(listed) - {"spring"} == placed


@pytest.mark.parametrize("job", JOBS)
def test_rods_stand_two_threads_beyond_what_locks_them(job):
    jig, at = clamp(job), standing(job, CLOSED)
    pitch = {"M8": 1.25, "M6": 1.0, "5/16": 25.4 / 18}[jig.n.drawbolt_size]
    for side in ("datum", "free"):
        rod, nut = at[f"{side} drawbolt"].boxes[0], at[f"{side} outer nut"].boxes[0]
        assert nut.low[0] - rod.low[0] == pytest.approx(2 * pitch)


def test_necks_of_t_slot_nuts_lie_along_their_slots():
    for job, across in (("nuts in slots", 0), ("backer on a plate", 1)):
        jig, at = clamp(job), standing(job, CLOSED)
        nuts = [s for s in at.values() if s.family == "T-slot nut"]
        assert len(nuts) == 5  # four hold-downs and the stop
        for nut in nuts:
            foot, neck = nut.boxes
            assert neck.high[across] - neck.low[across] == pytest.approx(jig.n.hold_throat)
            assert neck.high[1 - across] - neck.low[1 - across] > jig.n.hold_throat
            assert foot.high[2] == pytest.approx(-jig.n.piece_top - jig.n.table_slot_lip)


@pytest.mark.parametrize("job", JOBS)
def test_a_board_is_drilled_under_its_inserts_and_dowels(job):
    """DIN 7965, M6: a hole of 10.5, 15 deep; dowels of 8, 12 deep. Else nothing is drilled."""
    jig, at = clamp(job), standing(job, CLOSED)
    top = -jig.n.piece_top
    told = sorted((*(round(v, 6) for v in h.at), h.diameter, h.depth) for h in jig.board_holes)
    wanted = []
    for s in at.values():
        if s.name.endswith("insert") or s.name.startswith("dowel "):
            size = (10.5, 15.0) if s.name.endswith("insert") else (8.0, 12.0)
            wanted.append((*(round(v, 6) for v in s.pose.at[:2]), round(top, 6), *size))
            assert s.pose.at[2] == pytest.approx(top - size[1])
    assert told == sorted(wanted)
    assert bool(told) is (job in ("board", "one rib"))
