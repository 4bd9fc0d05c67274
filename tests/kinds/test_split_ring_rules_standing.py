"""Where the ring's parts stand: boxes that share planes, bolts that run free, circles in plan.

The witness (`boxes.py`) reads outlines, cuts and sold sizes, and calls no rule; halves, linings and
piece are compared in plan with shapely. Jobs: slots with bolts and nuts, threads, boards, inch.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from shapely.affinity import affine_transform
from shapely.geometry import Point, Polygon

from jigs.model.outline import Outline
from jigs.model.part import Bought, Does, Part, Sheet
from jigs.model.pose import Pose
from jigs.model.state import Limit, Phase, Role, State
from jigs.reading.job import read_job
from jigs.sizing import Jig, design

from .boxes import SHANKS, Standing, boxes_of, coaxial, cut_box, hole_about, in_cuts, polygon, touch

ROOT = Path(__file__).parents[2]
JOBS: dict[str, tuple[str, dict[str, Any]]] = {
    "slots": ("configs/allotment.yaml", {}),
    "two layers": ("configs/allotment.yaml", {"ring.shelf_layers": 2}),
    "nuts": ("tests/shops/front_narrow_slots.yaml", {}),
    "holes": ("tests/shops/front_holes.yaml", {}),
    "board": ("tests/shops/front_board.yaml", {}),
    "inch": ("tests/shops/garage_inch.yaml", {}),
}
STATES = [State(phase, limit) for phase in Phase for limit in Limit]
CLOSED = State(Phase.CLOSED, Limit.NOMINAL)
ROUND = ("liner", "piece")


@cache
def ring(job: str) -> Jig:
    file, changes = JOBS[job]
    d = design(read_job(ROOT / file), changes)
    return next(jig for _, jig in d.jigs() if jig.kind.name == "split_ring")


@cache
def standing(job: str, state: State) -> dict[str, Standing]:
    jig = ring(job)
    n = jig.n
    parts = {part.id: part for part in jig.kind.parts(n)}
    at = {p.name: Standing(p.name, parts[p.part], p.pose) for p in jig.kind.poses(n, state)}
    slab = Part("front face", "front face", Sheet(""),
                Outline.rectangle(-900, -900, 900, 900), 20.0)  # fmt: skip
    # Its plane: where the machine says, from the axis.
    face = Pose.to(0, n.front_y - n.axis_y + 20, 0) @ Pose.turned("x", 90)
    return {**at, "front face": Standing("front face", slab, face)}


def is_round(name: str) -> bool:
    return name.endswith(ROUND)


@pytest.mark.parametrize("job", JOBS)
def test_what_is_meant_to_touch_shares_a_plane(job):
    jig = ring(job)
    for state in STATES:
        at = standing(job, state)
        for c in jig.kind.contacts(jig.n, state):
            in_slot = c.b == "front face" and c.a.startswith(("T-slot", "board key"))
            elsewhere = c.a.startswith(("shelf screw", "hanging screw", "dowel"))
            if is_round(c.a) or is_round(c.b) or in_slot or elsewhere:
                continue
            if c.role not in (Role.SEATS, Role.SUPPORTS, Role.GLUED):
                continue
            assert touch(at[c.a], at[c.b]), f"{c.a} on {c.b}, {state}"


@pytest.mark.parametrize("job", ["holes", "board"])
def test_screws_of_the_board_stand_with_their_heads_on_it(job):
    """ISO 7093: the large washer of M6 is 1.6 thick; a wood screw's head is flush, its hole 0.5
    mm wider, its head loses on its diameter twice what it goes deep. In the face: a pilot hole 1
    mm deeper than the bite, and dowels 15 mm beside two screws, 1 mm short of their holes' ends."""
    jig = ring(job)
    n, at = jig.n, standing(job, CLOSED)
    front = at["back board"].boxes[0].low[1]
    screws = [s for s in at.values() if s.name.startswith("hanging screw")]
    holes = {hole.meets: hole for hole in jig.kind.board_holes(n)}
    assert len(screws) == 4
    for screw in screws:
        if job == "holes":
            washer = at[screw.name.replace("screw", "washer")]
            assert touch(washer, at["back board"])
            assert coaxial(washer, screw)
            assert screw.boxes[0].low[1] == pytest.approx(front - 1.6)
            continue
        assert screw.boxes[0].low[1] == pytest.approx(front)
        here = hole_about(at["back board"], screw)[1]
        (narrow, wide) = sorted(c.outline.bounds[2] - c.outline.bounds[0] for c in here)
        made = screw.part.made
        assert isinstance(made, Bought)
        assert (narrow, wide) == (made["diameter"] + 0.5, made["head_diameter"] + 0.5)
        (deep,) = [c.depth for c in here if c.depth is not None]
        assert made["head_diameter"] - 2 * deep == pytest.approx(narrow)
        drilled = holes.pop(screw.name)
        tip, face = screw.boxes[0].high[1], at["back board"].boxes[0].high[1]
        assert (drilled.diameter, drilled.depth) == (made["core"], pytest.approx(tip - face + 1))
        x, z = screw.pose.at[0], screw.pose.at[2]
        assert drilled.at == pytest.approx((x, face, z))
    dowels = [s for s in at.values() if s.name.startswith("dowel")]
    assert len(dowels) == (2 if job == "board" else 0)
    for dowel in dowels:
        assert dowel.boxes[0].low[1] == pytest.approx(front)
        drilled = holes.pop(dowel.name)
        face = at["back board"].boxes[0].high[1]
        assert dowel.boxes[0].high[1] == pytest.approx(face + drilled.depth - 1)
        assert drilled.depth == n.dowel_reach == 15
        assert drilled.diameter == dowel.boxes[0].high[0] - dowel.boxes[0].low[0] == 8
        near = min(math.dist(dowel.pose.at, screw.pose.at) for screw in screws)
        assert near == pytest.approx(15)
    assert not holes
    if dowels:
        (x, _, z), (u, _, w) = (dowel.pose.at for dowel in dowels)
        assert x < 0 < u
        # Between the rows, where the board reaches beyond them.
        low, high = sorted({round(screw.pose.at[2], 6) for screw in screws})
        assert low < w < z < high


@pytest.mark.parametrize("job", JOBS)
def test_everything_is_told_to_touch_something(job):
    jig = ring(job)
    told = {name for c in jig.kind.contacts(jig.n, CLOSED) for name in (c.a, c.b)}
    assert told == set(standing(job, CLOSED)) | {"piece"}


@pytest.mark.parametrize("job", JOBS)
def test_bolts_run_through_holes_about_their_axes(job):
    for state in STATES:
        at = standing(job, state)
        for shank in at.values():
            if shank.family not in {*SHANKS, "hex screw"} or "jack" in shank.name:
                continue
            hosts = 0
            for host in at.values():
                if host.family or is_round(host.name) or host.name == "front face":
                    continue
                if not any(a.meets(b) for a in shank.boxes[:1] for b in host.boxes):
                    continue
                left, cuts = hole_about(host, shank)
                assert left == pytest.approx(0, abs=1e-6), f"{shank.name} in {host.name}, {state}"
                assert cuts
                hosts += 1
            assert hosts, shank.name


@pytest.mark.parametrize("job", JOBS)
def test_made_parts_lie_in_each_other_only_in_their_cuts(job):
    for state in STATES:
        at = [s for s in standing(job, state).values()
              if not s.family and not is_round(s.name) and s.name != "board key"]  # fmt: skip
        for i, a in enumerate(at):
            for b in at[i + 1 :]:
                assert in_cuts(a, b), f"{a.name} in {b.name}, {state}"


@pytest.mark.parametrize("job", JOBS)
def test_the_board_key_lies_in_its_groove_and_in_the_upper_slot(job):
    jig = ring(job)
    n, at = jig.n, standing(job, CLOSED)
    assert ("board key" in at) is (n.front_slot_mouth > 0) is ("stop block" in at)
    if "board key" not in at:
        return
    (key,), board = at["board key"].boxes, at["back board"]
    (groove,) = [c for c in board.part.cuts if c.meets == "board key"]
    cut = cut_box(board.part, groove).placed(board.pose)
    assert (cut.low[2], cut.high[2]) == pytest.approx((key.low[2], key.high[2]))
    assert (key.low[2] + key.high[2]) / 2 == pytest.approx(n.hang_z[0] - n.end_height)
    # Its back is 6 deep in the board, its front as far in the slot as it reaches.
    assert key.low[1] == pytest.approx(cut.low[1])
    assert cut.high[1] - cut.low[1] == 6
    assert key.high[1] - cut.high[1] == pytest.approx(n.board_key_reach)
    # The groove runs on at both ends by the cutter's round corner, and is no wider than the key.
    assert key.low[0] - cut.low[0] == pytest.approx(cut.high[0] - key.high[0])
    radius = min(n.routed_corner, 0.49 * n.board_key_width)
    assert key.low[0] - cut.low[0] == pytest.approx(radius)
    assert key.high[0] == -key.low[0] == pytest.approx(n.hang_x / 2)
    corners = [side.radius for side in groove.outline.sides if side.bulge]
    assert corners == pytest.approx([radius] * 4)
    # The stop: beside the board, about the same slot.
    (stop,) = at["stop block"].boxes
    assert stop.high[0] == pytest.approx(board.boxes[0].low[0])
    assert (stop.low[2] + stop.high[2]) / 2 == pytest.approx(n.hang_z[0] - n.end_height)


@pytest.mark.parametrize("job", ["slots", "two layers", "nuts", "inch"])
def test_heads_lie_under_the_lips_of_the_slots(job):
    jig = ring(job)
    n, at = jig.n, standing(job, CLOSED)
    face = n.front_y - n.axis_y
    heads = [s for s in at.values() if s.name.startswith("T-slot")]
    assert len(heads) == 5
    for s in heads:
        head = s.boxes[1] if job != "nuts" else s.boxes[0]
        assert head.low[1] == pytest.approx(face + n.front_slot_lip)
        assert head.high[1] - head.low[1] == pytest.approx(n.hang_head_height)
        assert head.high[2] - head.low[2] == pytest.approx(n.hang_head_width)
        if job == "nuts":
            rod = at[s.name.replace("T-slot nut", "rod")]
            assert rod.boxes[0].high[1] == pytest.approx(head.high[1])
            assert coaxial(rod, s)
            # Its foot lies along the slot, its neck stands in the mouth.
            assert s.boxes[1].high[2] - s.boxes[1].low[2] < n.front_slot_mouth


@pytest.mark.parametrize("job", JOBS)
def test_nuts_are_on_their_threads_whole_and_two_threads_beyond(job):
    jig = ring(job)
    threads = {"M8": 1.25, "M6": 1.0, "M5": 0.8, "5/16": 25.4 / 18, "1/4": 25.4 / 20}
    for state in STATES:
        at = standing(job, state)
        for c in jig.kind.contacts(jig.n, state):
            if c.role is not Role.THREADS or c.b == "front face" or "T-slot nut" in c.b:
                continue
            bolt, nut = at[c.a], at[c.b]
            assert coaxial(bolt, nut), c
            shank, body = bolt.boxes[0], nut.boxes[0]
            if c.b == "insert":
                assert shank.low[2] <= body.low[2] <= body.high[2] <= shank.high[2], c
                continue
            size = jig.n.drawbolt_size if "hanging" not in c.b else jig.n.hang_size
            assert shank.low[1] + 2 * threads[size] <= body.low[1] + 1e-6, f"{c}, {state}"
            assert body.high[1] <= shank.high[1] + 1e-6


@pytest.mark.parametrize("job", JOBS)
def test_necks_and_counterbores_lie_where_the_coach_bolts_heads_are(job):
    """The head on the floor of its counterbore, with 1.5 mm round it; the neck in its square."""
    at = standing(job, CLOSED)
    for name, host in (("drawbolt", "fixed half"), ("mounting bolt", "back board")):
        for side in ("left", "right"):
            bolt, part = at[f"{name} {side}"], at[host]
            made = bolt.part.made
            assert isinstance(made, Bought)
            cuts = {c.does: c for c in part.part.cuts if c.meets == f"{name} {side}"
                    and c.does is not Does.HOLE}  # fmt: skip
            sunk, neck = (
                cut_box(part.part, cuts[does]).placed(part.pose)
                for does in (Does.COUNTERBORE, Does.PRESSED)
            )
            head = bolt.boxes[1]
            assert head.low[1] == pytest.approx(sunk.low[1])
            assert head.high[1] <= part.boxes[0].high[1] - 1
            assert 1.5 <= sunk.high[0] - sunk.low[0] - (head.high[0] - head.low[0]) + 1e-9 < 2
            assert sunk.low[1] - neck.low[1] == pytest.approx(made["neck_depth"])
            assert neck.high[0] - neck.low[0] == pytest.approx(made["neck_width"])
            for cut in (sunk, neck):
                assert (cut.low[0] + cut.high[0]) / 2 == pytest.approx(bolt.pose.at[0])
                assert (cut.low[2] + cut.high[2]) / 2 == pytest.approx(bolt.pose.at[2])


@pytest.mark.parametrize("job", JOBS)
def test_springs_have_recesses_about_the_drawbolts_in_both_halves(job):
    n = ring(job).n
    at = standing(job, State(Phase.OPEN, Limit.NOMINAL))
    faces = {}
    for half in ("fixed half", "moving half"):
        for side in ("left", "right"):
            (cut,) = [c for c in at[half].part.cuts if c.name == f"spring recess {side}"]
            box = cut_box(at[half].part, cut).placed(at[half].pose)
            bolt = at[f"drawbolt {side}"].pose.at
            assert (box.low[0] + box.high[0]) / 2 == pytest.approx(bolt[0])
            assert (box.low[2] + box.high[2]) / 2 == pytest.approx(bolt[2])
            assert box.high[0] - box.low[0] == pytest.approx(n.spring_recess)
            assert box.high[1] - box.low[1] == pytest.approx(n.spring_recess_depth)
            faces[half] = (box.low[1], box.high[1])
    # From floor to floor: the open gap and both recesses.
    floors = faces["fixed half"][1] - faces["moving half"][0]
    assert floors == pytest.approx(n.open_gap + 2 * n.spring_recess_depth)


@pytest.mark.parametrize("job", JOBS)
def test_shelf_screws_come_flush_and_bite(job):
    """A countersunk head loses on its diameter twice what it goes deep (90 degrees, ISO 7046); the
    pilot hole is 2 mm deeper than the screw bites; the head lies flush with the board's back."""
    at = standing(job, CLOSED)
    board, shelf = at["back board"], at["shelf"]
    for side in ("left", "right"):
        screw = at[f"shelf screw {side}"]
        assert screw.boxes[0].high[1] == pytest.approx(board.boxes[0].high[1])
        (pilot,) = hole_about(shelf, screw)[1]
        assert pilot.meets == screw.name
        deep = cut_box(shelf.part, pilot).placed(shelf.pose)
        assert screw.boxes[0].low[1] - deep.low[1] == pytest.approx(2)
        assert pilot.outline.bounds[2] - pilot.outline.bounds[0] == pytest.approx(3)
        (hole, sunk) = sorted(
            (c for c in board.part.cuts if c.meets == screw.name), key=lambda c: c.outline.area
        )
        wide, narrow = (c.outline.bounds[2] - c.outline.bounds[0] for c in (sunk, hole))
        made = screw.part.made
        assert isinstance(made, Bought)
        assert (wide, narrow) == pytest.approx((made["head_diameter"] + 0.5, 5.5))
        assert sunk.depth is not None
        assert made["head_diameter"] - 2 * sunk.depth == pytest.approx(narrow)
        # Midway of the first layer, where the plies lie alike on both sides.
        low = shelf.boxes[0].low[2]
        assert screw.pose.at[2] - low == pytest.approx(ring(job).n.sheet_nominal / 2)


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("limit", Limit)
def test_the_piece_stands_on_the_pad_on_the_jack(job, limit):
    """Foot on the dish's floor, the tip on that of the blind hole; head below the shelf."""
    n = ring(job).n
    at = standing(job, State(Phase.CLOSED, limit))
    pad, jack, shelf = at["pad"], at["jack screw"], at["shelf"]
    cuts = {c.name: cut_box(pad.part, c).placed(pad.pose) for c in pad.part.cuts}
    assert cuts["dish"].low[2] == pytest.approx(-n[f"length_{limit.value}"].value)
    assert cuts["dish"].high[2] - cuts["dish"].low[2] == 3
    assert cuts["blind hole"].high[2] == pytest.approx(jack.boxes[0].high[2])
    assert cuts["blind hole"].high[2] - cuts["blind hole"].low[2] == 10
    assert coaxial(pad, jack)
    assert coaxial(jack, at["insert"])
    assert jack.boxes[0].low[2] < shelf.boxes[0].low[2]
    assert pad.boxes[0].low[2] > shelf.boxes[0].high[2] + 3
    insert = at["insert"]
    assert insert.boxes[0].high[2] == pytest.approx(shelf.boxes[0].high[2])
    left, (hole,) = hole_about(shelf, insert)
    assert left == pytest.approx(0, abs=1e-9)
    assert hole.outline.bounds[2] * 2 == pytest.approx(dict(insert.part.made.dims)["outer"])  # type: ignore[union-attr]
    (blind,) = [c for c in pad.part.cuts if c.name == "blind hole"]
    assert blind.outline.bounds[2] * 2 == pytest.approx(boxes_of(jack.part)[0].high[0] * 2 + 0.5)


# In plan


def in_plan(s: Standing) -> Polygon:
    (a, b), (c, d) = (s.pose.rotate((1.0, 0.0, 0.0))[:2], s.pose.rotate((0.0, 1.0, 0.0))[:2])
    assert s.part.outline is not None
    return affine_transform(polygon(s.part.outline), [a, c, b, d, *s.pose.at[:2]])


@pytest.mark.parametrize("job", JOBS)
def test_piece_and_linings_in_plan(job):
    """As deep in the piece as contacts say, on both sides; free of it when open, and no half
    overlaps the other, its lining or the piece."""
    jig = ring(job)
    n = jig.n
    for state in STATES:
        at = standing(job, state)
        place = jig.kind.holds_piece(n, state)
        radius = n[f"grip_diameter_{state.piece.value}"].value / 2
        piece = Point(place.dx, place.dy).buffer(radius, 180)
        depth = {c.a: c.depth for c in jig.kind.contacts(n, state) if c.role is Role.CLAMPS}
        for half, sign in (("fixed", 1), ("moving", -1)):
            lining, wood = in_plan(at[f"{half} liner"]), in_plan(at[f"{half} half"])
            assert lining.intersection(wood).area < 0.005 * lining.area
            assert lining.distance(wood) < 1e-6
            assert lining.bounds[0] == pytest.approx(-lining.bounds[2])
            assert piece.intersection(wood).area == 0
            # Along the line through bore and piece, where it is deepest.
            seat = at[f"{half} liner"].pose.at[1] + sign * n.lined_radius
            into = sign * (place.dy - seat) + radius
            if state.phase is Phase.OPEN:
                assert not depth
                assert into < -0.5
                assert piece.distance(lining) > 0.4
            else:
                assert into == pytest.approx(depth[f"{half} liner"], abs=1e-9)
                closed = state.phase is Phase.CLOSED
                assert depth[f"{half} liner"] == (n.squeeze if closed else 0)
            bore = [s.radius for s in at[f"{half} half"].part.outline.sides if s.bulge]  # type: ignore[union-attr]
            assert bore == pytest.approx([n.bore_radius])
        apart = in_plan(at["fixed half"]).bounds[1] - in_plan(at["moving half"]).bounds[3]
        if state.phase is Phase.OPEN:
            assert apart == pytest.approx(n.open_gap)
        assert apart > 0.9
        for name, s in at.items():
            if name.endswith((" half", " liner")):
                ends = (s.boxes[0].low[2], s.boxes[0].high[2])
                assert ends == pytest.approx((n.ring_top - n.ring_height, n.ring_top))


@pytest.mark.parametrize("job", JOBS)
def test_a_lining_is_a_strip_of_its_thickness_flush_with_the_split(job):
    n = ring(job).n
    part = standing(job, CLOSED)["fixed liner"].part
    outline = part.outline
    assert outline is not None
    assert sorted(side.radius for side in outline.sides if side.bulge) == pytest.approx(
        [n.lined_radius, n.bore_radius]
    )
    assert outline.bounds[1] == pytest.approx(n.gap / 2)
    # Both arcs end on the split face; between them and it lies half a ring less two slivers.
    ring_area = math.pi / 2 * (n.bore_radius**2 - n.lined_radius**2)
    slivers = (outline.bounds[2] - math.sqrt(n.lined_radius**2 - n.gap**2 / 4)) * n.gap
    assert polygon(outline).area == pytest.approx(ring_area - slivers, rel=0.01)
