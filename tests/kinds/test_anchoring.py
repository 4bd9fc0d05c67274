"""Anchors of the table: turned machines, pairs against all pairs, and where the jaws stand."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest

from jigs.errors import DesignError
from jigs.kinds._anchoring import (
    Slot,
    asked_place,
    clear_of_slots,
    machine_place,
    side_by_side,
    slot_hold,
    turned_extent,
    turned_positions,
    two_sided,
)
from jigs.model.state import Limit, Phase, State
from jigs.reading.job import read_job
from jigs.sizing import design
from jigs.solids.scene import Scene
from jigs.solids.shapes import location

ROOT = Path(__file__).parents[2]
CONFIGS = ROOT / "configs"
TURNS = [0, 90, 180, 270]

# A machine turned by a quarter turns the placing


def placed(slots_along, slots_at, columns, rows, size, turn, least=(70, 90), apart=80, foot=38):
    """Place of the piece in the machine frame."""
    mouth = 10 if slots_at else 0
    u, v = turned_positions(slots_along, slots_at, columns, rows, turn)
    u0, u1, v0, v1 = turned_extent(*size, turn)
    middle = two_sided(u, *least, foot, mouth, (u0, u1)).middle
    aside = side_by_side(v, apart, foot, mouth, (v0, v1)).middle
    return machine_place(middle, aside, turn)


MACHINES = [
    # slots along, slots at, columns, rows: none of them the same from both sides
    ("y", (30, 90, 170, 230, 310, 400), (), ()),
    ("x", (45, 95, 190, 240, 295), (), ()),
    ("none", (), (20, 70, 120, 170, 220, 270, 320, 370), (35, 85, 135, 185, 235)),
    ("none", (), (), ()),
]


@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("turn", TURNS)
def test_a_machine_turned_a_quarter_turns_the_place(machine, turn):
    """Turned to the left about its front left corner, x, y becomes depth - y, x."""
    along, at, columns, rows = machine
    width, depth = 430, 330
    x, y = placed(along, at, columns, rows, (width, depth), turn)
    other = {"x": "y", "y": "x", "none": "none"}[along]
    # what was listed in y is listed in x, from the other end
    at_turned = tuple(sorted(depth - s for s in at)) if along == "x" else at
    columns_turned = tuple(sorted(depth - s for s in rows))
    turned = placed(other, at_turned, columns_turned, columns, (depth, width), (turn + 90) % 360)
    assert turned == pytest.approx((depth - y, x))


@pytest.mark.parametrize("turn", TURNS)
def test_turning_to_and_fro(turn):
    """A hole of the grid at its u and v is that hole."""
    columns, rows = (10.0, 40.0, 90.0), (25.0, 60.0)
    us, vs = turned_positions("none", (), columns, rows, turn)
    back = {machine_place(u, v, turn) for u in us for v in vs}
    assert back == {(x, y) for x in columns for y in rows}


@pytest.mark.parametrize("turn", TURNS)
def test_the_jigs_x_points_where_the_turn_says(turn):
    """Right-hand turn about z: by the cosine and sine of the angle."""
    here, there = machine_place(0, 0, turn), machine_place(1, 0, turn)
    angle = math.radians(turn)
    assert (there[0] - here[0], there[1] - here[1]) == pytest.approx(
        (math.cos(angle), math.sin(angle)), abs=1e-12
    )


def test_a_turned_bench_holds_the_post_at_the_turned_place(tmp_path):
    """The shipped allotment: at 328.25, 200 of 600 x 400; turned, at 400 - 200, 328.25."""
    machine = (CONFIGS / "machines/bench_router.yaml").read_text()
    for old, new in (
        ("width: 600\n  depth: 400", "width: 400\n  depth: 600"),
        ("along: y", "along: x"),
    ):
        assert machine.count(old) == 1
        machine = machine.replace(old, new)
    (tmp_path / "turned.yaml").write_text(machine)
    d = sized("allotment", tmp_path, side="front", machine=tmp_path / "turned.yaml")
    assert clamp_in(d)[0].work_zero.at[:2] == pytest.approx((400 - 200, 328.25))


# Pairs, against all pairs and places tried one by one


def clearance(place: float, foot: float, slots, mouth: float) -> float:
    """From both edges of the foot to the nearest mouth's nearer side; negative = over a slot."""
    best = math.inf if mouth else 3.0
    for slot in slots if mouth else ():
        for edge in (place - foot / 2, place + foot / 2):
            best = min(best, abs(edge - slot) - mouth / 2)
    return best


def all_pairs(slots):
    return [(a, b) for i, a in enumerate(slots) for b in slots[i + 1 :]]


def rank(clear: float, distance: float, off: float) -> tuple[float, float, float]:
    """Smaller is better: on metric up to 3 mm, then near together, then near the middle."""
    return (-round(min(clear, 3.0), 9), round(distance, 6), round(off, 6))


def best_two_sided(slots, first, second, foot, mouth, table):
    found = []
    for a, b in all_pairs(slots):
        low, high = a + first, b - second
        if high < low - 1e-9:
            continue
        middle = (low + high) / 2
        places = [middle, low, high]
        step = 0
        while low + 0.5 * step <= high + 1e-9:
            places.append(low + 0.5 * step)
            step += 1
        clear, near = max(
            (round(min(clearance(p, foot, slots, mouth), 3.0), 9), -round(abs(p - middle), 9))
            for p in places
        )
        at_best = [p for p in places if round(abs(p - middle), 9) == -near
                   and round(min(clearance(p, foot, slots, mouth), 3.0), 9) == clear]  # fmt: skip
        off = abs(min(at_best) - sum(table) / 2)
        found.append(rank(clear, b - a, off))
    return min(found) if found else None


@pytest.mark.parametrize("seed", range(60))
def test_two_sided_is_the_best_of_all_pairs(seed):
    chance = random.Random(seed)
    slots = tuple(sorted(chance.sample(range(20, 600, 5), chance.randint(2, 9))))
    first, second = chance.randint(40, 140), chance.randint(40, 140)
    foot, mouth = chance.choice([20, 38.5, 61, 80]), chance.choice([0, 8.2, 10.2])
    best = best_two_sided(slots, first, second, foot, mouth, (0, 620))
    if best is None:
        with pytest.raises(DesignError, match=rf"{max(slots) - min(slots)} mm apart"):
            two_sided(slots, first, second, foot, mouth, (0, 620))
        return
    pair = two_sided(slots, first, second, foot, mouth, (0, 620))
    assert {pair.first, pair.second} <= set(slots)
    assert pair.first + first <= pair.middle + 1e-9
    assert pair.middle <= pair.second - second + 1e-9
    clear = clearance(pair.middle, foot, slots, mouth)
    assert rank(clear, pair.second - pair.first, abs(pair.middle - 310)) == best


@pytest.mark.parametrize("seed", range(60))
def test_side_by_side_is_the_best_of_all_pairs(seed):
    chance = random.Random(1000 + seed)
    slots = tuple(sorted(chance.sample(range(20, 400, 5), chance.randint(2, 8))))
    least, mouth = chance.randint(50, 180), chance.choice([8.2, 10.2])
    foot = chance.choice([20, 38.5, 61])
    found = [
        (rank(clearance((a + b) / 2, foot, slots, mouth), b - a, abs((a + b) / 2 - 210)), (a, b))
        for a, b in all_pairs(slots)
        if b - a >= least
    ]
    if not found:
        with pytest.raises(DesignError, match=rf"{max(slots) - min(slots)} mm apart"):
            side_by_side(slots, least, foot, mouth, (0, 420))
        return
    pair = side_by_side(slots, least, foot, mouth, (0, 420))
    assert pair.middle == (pair.first + pair.second) / 2
    chosen = rank(
        clearance(pair.middle, foot, slots, mouth), pair.second - pair.first,
        abs(pair.middle - 210),
    )  # fmt: skip
    assert chosen == min(found)[0]


def test_anywhere_is_as_near_as_may_be_in_the_tables_middle():
    pair = two_sided((), 70, 90, 38, 0, (-300, 0))
    assert (pair.first, pair.middle, pair.second) == (-220, -150, -60)
    pair = side_by_side((), 80, 38, 0, (0, 200))
    assert (pair.first, pair.middle, pair.second) == (60, 100, 140)


@pytest.mark.parametrize(
    ("low", "high", "clear"),
    [
        (65, 95, 0),  # from one mouth's edge to the other's: slots of 10 at 60 and 100
        (70, 90, 5),
        (66, 94, 1),
        (58, 80, -3),  # an edge 2 beside the middle of a slot
        (30, 130, 25),  # over both, the edges on metal
    ],
)
def test_only_edges_over_a_slot_count(low, high, clear):
    assert clear_of_slots(low, high, (60, 100), 10) == pytest.approx(clear)


KNOBS = ("M10", "M8", "M6", "M5", "M4", "3/8", "5/16", "1/4")


@pytest.mark.parametrize(
    ("hardware", "slot", "by", "size"),
    [
        # ASME B5.1M, throat 10: M8, head 15 x 6, 14 at least; throat 8: M6, 13 x 6, 12 at least
        ("metric", Slot(10.2, 9, 17, 7.5), "T-slot bolt", "M8"),
        ("metric", Slot(8.9, 9, 17, 7.5), "T-slot bolt", "M6"),
        # 9/32 in = 7.14: 1/4, head 0.469 in = 11.9, 0.438 = 11.1 at least, 0.156 in = 4.0
        ("inch", Slot(7.62, 4.06, 19.8, 7.1), "T-slot bolt", "1/4"),
        # T-slot bolts M5 and M4 are not sold: nuts (DIN 508), foot 10 x 4 and 9 x 3
        ("metric", Slot(6.2, 6, 11.5, 5.5), "T-slot nut", "M5"),
        ("metric", Slot(5.2, 6, 10, 3.5), "T-slot nut", "M4"),
        # the head of M10 x 12, 17 at least, would bear on 1.4 at each side; the nut's 18 do on 1.9
        ("metric", Slot(14.2, 9, 24, 9), "T-slot nut", "M10"),
    ],
)
def test_what_goes_into_a_slot_and_bears_on_its_lip(hardware, slot, by, size):
    hold = slot_hold(hardware, slot, KNOBS, KNOBS)
    assert (hold.by, hold.size) == (by, size)


@pytest.mark.parametrize(
    "slot",
    [
        Slot(18.2, 12, 32, 12),  # M16 only, for which there is no knob; M10 would pull through
        Slot(10.2, 9, 10.5, 7.5),  # what goes in does not bear
        Slot(10.2, 9, 17, 2.9),  # lower than any foot
        Slot(4.9, 9, 17, 7.5),
    ],
)
def test_other_slots_are_refused_with_what_would_do(slot):
    with pytest.raises(DesignError, match="of 5 mm or more T-slot nuts"):
        slot_hold("metric", slot, KNOBS, KNOBS)


# Where the user wants the piece


@pytest.mark.parametrize("turn", TURNS)
def test_what_is_asked_in_x_and_y_is_asked_in_the_turned_frame(turn):
    (u,), (v,) = asked_place((120.0,), (45.0,), turn)
    assert machine_place(u, v, turn) == (120, 45)
    assert asked_place((), (), turn) == ((), ())


@pytest.mark.parametrize(
    ("asked", "pair"),
    [
        (300, (180, 300, 420)),  # as asked, on a slot though it is: the check says so
        (330, (180, 330, 480)),  # the nearest pair that lets it: 180 + 100 <= 330 <= 480 - 110
        (90, (60, 160, 300)),  # as near as anchors allow
    ],
)
def test_a_place_that_is_asked_for_is_kept_where_anchors_allow_it(asked, pair):
    slots = (60, 120, 180, 240, 300, 360, 420, 480, 540)
    found = two_sided(slots, 100, 110, 38, 10, (0, 600), asked)
    assert found.middle == pair[1]
    assert found.first + 100 <= found.middle <= found.second - 110
    assert found.second - found.first == pair[2] - pair[0]


def test_side_by_side_comes_as_near_to_what_is_asked_as_two_anchors_do():
    pair = side_by_side((50, 100, 150, 200, 250), 80, 38, 0, (0, 300), 180)
    assert (pair.first, pair.middle, pair.second) == (100, 175, 250)
    assert side_by_side((), 80, 38, 0, (0, 300), 180).middle == 180


# The jaws, measured on the solids in the machine frame


def sized(job, tmp_path, side="left", machine=None, edits=()):
    """A shipped job with its clamp turned."""
    text = (CONFIGS / f"{job}.yaml").read_text()
    text = text.replace("    fixed_side: left\n", "")
    kind = "    kind: end_grain_clamp\n"
    old = next(line for line in text.splitlines() if line.startswith("machine: "))
    new = f"machine: {machine or CONFIGS / old.removeprefix('machine: ')}"
    for a, b in ((kind, f"{kind}    fixed_side: {side}\n"), (old, new), *edits):
        assert text.count(a) == 1, a
        text = text.replace(a, b)
    path = tmp_path / "job.yaml"
    path.write_text(text)
    return design(read_job(path))


def clamp_in(d):
    return next((s, j) for s, j in d.jigs() if j.kind.name == "end_grain_clamp")


def machine_bounds(d, state, names):
    """name -> ((x least, x most), (y ...), (z ...)) in the machine frame; only these are made."""
    (setup, jig), scene = clamp_in(d), Scene(d)
    there = [(p.name, scene.part(jig.name, jig.parts[p.part]), p.pose)
             for p in jig.poses(state) if p.name in names]  # fmt: skip
    there.append(("piece", scene.piece(setup, state.piece), setup.piece_pose(state)))
    found = {}
    for name, shape, pose in there:
        b = shape.moved(location(setup.work_zero @ pose)).BoundingBox()
        found[name] = ((b.xmin, b.xmax), (b.ymin, b.ymax), (b.zmin, b.zmax))
    return found


# side: the axis along which the jaws close, and whether the fixed jaw comes first on it;
# the same for the datum fence
SIDES = {
    "left": ((0, True), (1, False)),
    "front": ((1, True), (0, True)),
    "right": ((0, False), (1, True)),
    "back": ((1, False), (0, False)),
}


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("job", ["allotment", "skittles", "stool"])
def test_the_fixed_jaw_stands_where_fixed_side_says(job, side, tmp_path):
    names = ("piece", "fixed face", "moving face", "datum fence", "free fence")
    at = machine_bounds(sized(job, tmp_path, side), State(Phase.CLOSED, Limit.MOST), names)
    (jaws, jaw_first), (fences, fence_first) = SIDES[side]
    low, high = at["piece"][jaws]
    one, two = ("fixed face", "moving face") if jaw_first else ("moving face", "fixed face")
    if jaw_first:
        assert at[one][jaws][1] == pytest.approx(low, abs=1e-6)
        assert at[two][jaws][0] >= high - 1e-6
    else:
        assert at[two][jaws][0] == pytest.approx(high, abs=1e-6)
        assert at[one][jaws][1] <= low + 1e-6
    middle = {name: sum(at[name][fences]) / 2 for name in names}
    assert (middle["datum fence"] < middle["piece"]) is fence_first
    assert (middle["free fence"] > middle["piece"]) is fence_first
    assert at["piece"][2][0] == pytest.approx(0, abs=1e-6)


# By hand: a quarter turn to the left takes x to y and y to -x. Wider moves away from the fixed
# jaw, deeper away from the datum fence, by half a millimetre.
MOVES = {
    "left": {"width": (0.5, 0.0), "depth": (0.0, -0.5)},
    "front": {"width": (0.0, 0.5), "depth": (0.5, 0.0)},
    "right": {"width": (-0.5, 0.0), "depth": (0.0, 0.5)},
    "back": {"width": (0.0, -0.5), "depth": (-0.5, 0.0)},
}


@pytest.mark.parametrize("side", MOVES)
@pytest.mark.parametrize("what", ["width", "depth", "length"])
def test_a_piece_a_millimetre_larger_moves_its_middle(what, side, tmp_path):
    edits = []
    for name, size in (("width", "38 ± 0.5"), ("depth", "38 ± 0.5"), ("length", "140 ± 0.5")):
        nominal = size.split()[0]
        edits.append((f"    {name}: {size}", f"    {name}: {nominal} ± {int(name == what)}"))
    d = sized("allotment", tmp_path, side, edits=edits)
    middles = [
        [sum(axis) / 2 for axis in machine_bounds(d, State(Phase.CLOSED, limit), [])["piece"]]
        for limit in (Limit.NOMINAL, Limit.MOST)
    ]
    moved = [most - nominal for nominal, most in zip(*middles, strict=True)]
    expected = (*MOVES[side].get(what, (0.0, 0.0)), 0.5 if what == "length" else 0.0)
    assert moved == pytest.approx(expected, abs=1e-6)
