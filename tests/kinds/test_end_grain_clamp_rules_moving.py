"""How the clamp goes together and is worked: ways, tools, steps, settings and datums by hand.

Posts on slots along y (table 600 by 400, the post over 328.25, 200): sheet 17.6, dados 4.5, screws
of 35, fences' bolts of 40, drawbolts of 120, studs of 63, the stop's bolt of 40. Every way out ends
5 mm beyond what held the part; a head leaves its slot by half its length more, 20.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from jigs.kinds.end_grain_clamp import KIND
from jigs.model.move import HandTurn, Move, Spanner
from jigs.model.number import Book
from jigs.model.state import SHOWN, Limit, Phase, State
from jigs.reading.job import read_job
from jigs.sizing import design

ROOT = Path(__file__).parents[2]
FILES = {"posts": "configs/allotment.yaml", "stands": "configs/skittles.yaml",
         "legs": "configs/stool.yaml", "kings": "tests/shops/clamp_very_small.yaml",
         "feet": "tests/shops/clamp_on_a_riser.yaml"}  # fmt: skip
IN_X = (("clamp.backer_in_x", 12.0), ("clamp.backer_in_y", 0.0))
SIZES = {"width": 38.0, "depth": 38.0, "length": 140.0}


@cache
def numbers(name: str = "posts", changes: tuple[tuple[str, float], ...] = ()) -> Book:
    d = design(read_job(ROOT / FILES[name]), dict(changes))
    return next(jig.n for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")


@cache
def moves(name: str = "posts", changes: tuple[tuple[str, float], ...] = ()) -> dict[str, Move]:
    return {move.name: move for move in KIND.moves(numbers(name, changes))}


WAYS = {
    # out of the base's dado and beyond it: 4.5 + 17.6 + 5
    "fixed rib 1": (0, 0, 27.1), "moving rib 2": (0, 0, 27.1),
    "fixed face": (27.1, 0, 0), "moving face": (-27.1, 0, 0),
    "fixed screw base inner 1": (0, 0, -40), "moving screw base outer 2": (0, 0, -40),
    "fixed screw face lower 1": (40, 0, 0), "moving screw face upper 2": (-40, 0, 0),
    "datum fence": (22.6, 0, 0), "free fence": (22.6, 0, 0),
    "datum fence bolt 1": (45, 0, 0), "free fence bolt 2": (45, 0, 0),
    "datum fence nut 2": (-45, 0, 0), "free fence nut 1": (-45, 0, 0),
    # towards the operator, off the datum fence's edge; its screws past it and as much as a sheet
    "backer": (0, -17, 0), "backer screw 1": (0, -34.6, 0), "backer screw 2": (0, -34.6, 0),
    "datum drawbolt": (-125, 0, 0), "free drawbolt": (-125, 0, 0),
    "datum outer nut": (-65, 0, 0), "free inner nut": (125, 0, 0),
    "free drawbolt knob": (125, 0, 0), "moving jaw": (125, 0, 0),
    "clamp": (0, 0, 68),  # off the longest of the bolts in the table
    # studs at 200 + 71 and 200 - 71 of 400: 129 to the nearer end, 20 and 5
    "fixed datum stud": (0, 154, 0), "moving datum stud": (0, 154, 0),
    "fixed free stud": (0, -154, 0), "moving free stud": (0, -154, 0),
    "moving datum hold-down knob": (0, 0, 68), "fixed free hold-down knob": (0, 0, 68),
    "key": (0, 0, -16.9),  # 5.9 in its groove, 6 in the slot
    "stop block": (0, 0, 45), "stop nut": (0, 0, 45),
    "stop bolt": (0, -85, 0),  # 140 before the post's middle: 60 from the slot's end
    "the moving jaw opens": (3, 0, 0),  # 41.5 less the thickest
    "the piece comes out upwards": (0, 0, 150.5),
}  # fmt: skip


@pytest.mark.parametrize("name", WAYS)
def test_ways_of_the_posts_clamp(name):
    (leg,) = moves()[name].legs
    assert leg == pytest.approx(WAYS[name])


OTHERS = [
    # inserts 15 long and studs of 50 come up; dowels as far as three sheets of 14.8
    ("stands", (), "fixed datum stud insert", (0, 0, 55)),
    ("stands", (), "fixed datum stud", (0, 0, 55)),
    ("stands", (), "dowel 1", (0, 0, 49.4)),
    ("stands", (), "the moving jaw opens", (3, 0, 0)),
    ("kings", (), "moving free stud", (0, 0, 40)),
    # slots along x: the fixed studs 15 in - 3/4 in - 108 = 253.95 from the left end, the moving
    # ones, jaw open, 30 in less 361.95 + 41.497 + 111.397
    ("legs", (), "fixed free stud", (-(253.95 + 25), 0, 0)),
    ("legs", (), "moving datum stud", (762 - 361.95 - 41.496875 - 111.396875 + 25, 0, 0)),
    # the stop behind the fixed base: 361.95 - 134 - 17.5
    ("legs", (), "stop bolt", (-(361.95 - 134 - 17.5 + 25), 0, 0)),
    # a backer on the moving face
    ("posts", IN_X, "backer", (-17, 0, 0)),
    ("posts", IN_X, "backer screw 1", (-34.6, 0, 0)),
    ("posts", IN_X, "the moving jaw opens", (3, 0, 0)),
]


@pytest.mark.parametrize(("job", "changes", "name", "way"), OTHERS)
def test_ways_of_other_clamps(job, changes, name, way):
    (leg,) = moves(job, changes)[name].legs
    assert leg == pytest.approx(way, abs=1e-5)


def test_what_moves_is_all_that_there_is_and_once_in_assembly():
    for job in FILES:
        n = numbers(job)
        placed = {p.name for p in KIND.poses(n, SHOWN)}
        told = [move for move in moves(job).values() if move.when != "changeover"]
        assert placed <= {name for move in told for name in move.unit}, job
        assert all(set(move.unit) <= placed for move in told), job


def test_what_goes_with_the_moving_jaw():
    """Its studs stay in the table, unless the slots let them slide along."""
    for job, slides in (("posts", False), ("legs", True), ("stands", False)):
        unit = set(moves(job)["the moving jaw opens"].unit)
        assert {"moving face", "moving base", "datum drawbolt knob", "free moving washer"} <= unit
        assert ("moving datum stud" in unit) is slides
        assert ("moving free hold-down knob" in unit) is slides
        assert not unit & {"fixed face", "datum drawbolt", "datum fence", "fixed datum stud"}
    bare = moves()["moving jaw"].unit
    assert "moving rib 1" in bare
    assert not [name for name in bare if "knob" in name or name.endswith("moving washer")]
    clamp = moves()["clamp"].unit
    assert {"fixed base", "moving base", "free fence", "key", "datum drawbolt knob"} <= set(clamp)
    assert not [name for name in clamp if "hold-down" in name or "stud" in name or "stop" in name]


def test_where_it_puts_a_piece_of_other_sizes():
    """Half of what it is wider goes away from the fixed face, half of what it is deeper from the
    datum fence; its end is as much higher as it is longer."""
    at = KIND.offset_of(numbers(), {"width": 39.0, "depth": 38.6, "length": 141.0})
    assert (at.dx, at.dy, at.dz) == pytest.approx((0.5, -0.3, 1))
    assert KIND.offset_of(numbers(), {"width": 38.0, "depth": 38.0}).dz is None


def test_a_key_is_told_of_where_there_is_one():
    assert "key in its slot" in moves()["clamp"].says
    assert "key" not in moves("stands")["clamp"].says


def test_the_backer_goes_with_the_jaw_that_it_is_screwed_to():
    assert "backer" in moves("posts", IN_X)["the moving jaw opens"].unit
    assert "backer" not in moves()["the moving jaw opens"].unit


def test_what_the_steps_turn():
    """From open, 41.5, to the thickest, 38.5: 3 mm at 1.25 a turn; a quarter for the hold-downs."""
    for job, changes, turns in (
        ("posts", (), 3 / 1.25), ("posts", IN_X, 3 / 1.25), ("legs", (), 3 * 18 / 25.4),
    ):  # fmt: skip
        steps = KIND.steps(numbers(job, changes))
        assert [s.turns for s in steps] == pytest.approx([0, -0.25, -turns, 0, 0, turns, 0.25])
    assert "the riser" in KIND.steps(numbers("feet"))[3].says
    assert "the table" in KIND.steps(numbers())[3].says


def test_room_for_hands_and_spanners():
    tools = {tool.name: tool for tool in KIND.tools(numbers())}
    hands = {name: t for name, t in tools.items() if isinstance(t, HandTurn)}
    assert len(hands) == 6
    for tool in hands.values():
        assert (tool.radius, tool.fingers, tool.low, tool.high) == (25, 10, 0, 25)
    assert hands["datum drawbolt knob"].axis == pytest.approx((1, 0, 0))
    assert hands["moving free hold-down knob"].axis == pytest.approx((0, 0, 1))
    # the thinnest post's faces stand 37.5 apart from -19; a sheet and a washer beyond
    assert hands["free drawbolt knob"].at == pytest.approx((-19 + 37.5 + 17.6 + 2, -96, 69 - 140))
    spanners = {name: t for name, t in tools.items() if isinstance(t, Spanner)}
    assert len(spanners) == 4
    for name, tool in spanners.items():
        # ISO 4032, M6: 10 over flats, 5.2 high, behind a face of 17.6 and a washer of 1.6
        assert (tool.across, tool.height, tool.axis) == (10, 5.2, (-1, 0, 0))
        y = 19 + 12 + 23.5 if name.startswith("datum") else -19 - 23.5
        z = 31 if name.endswith("1") else 99.5
        assert tool.at == pytest.approx((-19 - 17.6 - 1.6 - 5.2, y, z - 140))
        # a bolt of 40 from 13.1 before the face's front: less 13.1 + 17.6 + 1.6 + 5.2
        assert tool.stands_out == pytest.approx(40 - 37.5)


# What is set for a piece, and what goes astray


@pytest.mark.parametrize(
    ("changes", "width", "depth", "turns", "fences"),
    [
        # 3.5 mm at 1.25 a turn are 2.8: told to the quarter; the fences 12 of backer apart
        ((), 38, 38, 2.75, 50),
        ((), 37.5, 38.3, 3.25, 50.5),
        ((), 38.5, 37.7, 2.5, 49.5),
        ((), 45, 38, 0, 50),
        (IN_X, 38, 38, 2.75, 38),
    ],
)
def test_what_is_set_for_a_piece(changes, width, depth, turns, fences):
    told = KIND.settings(numbers("posts", changes), {**SIZES, "width": width, "depth": depth})
    assert [told[i].value for i in (0, 2)] == [turns, fences]
    assert [s.changes for s in told] == [0, 0, 0.5]  # half a minute to set a fence


def test_the_torque_is_told_in_newton_metres():
    n = numbers("posts", (("clamp.drawbolt_torque", 1006.0),))
    assert KIND.settings(n, SIZES)[1].value == 1.01


def test_what_may_go_astray():
    """A caliper's 0.05, halved in the middle; dust 0.1, away from what the post lies against; a
    key with 0.2 of play."""
    told = KIND.spreads(numbers())
    assert [(s.axis, s.size) for s in told] == [
        ("x", 0.025), ("x", 0.1), ("x", 0.2), ("x", 0.1), ("y", 0.025), ("y", -0.1), ("y", 0.1),
        ("z", 0.1), ("z", 0.05),
    ]  # fmt: skip
    assert [s.name for s in told if not s.each] == [
        "fixed face out of square", "play of what brings the base back",
        "play of what brings the base back",
    ]  # fmt: skip


@pytest.mark.parametrize(("job", "off"), [("posts", 0.15), ("stands", 0.1), ("kings", 0.5)])
def test_from_what_the_work_zero_is_found(job, off):
    """Fixed face's upper edge for x and z, half a sheet behind it; datum fence's for y."""
    face, fence = KIND.datums(numbers(job))
    assert (face.comes_back, fence.comes_back, face.free, fence.free) == (off, off, 4, 4)
    assert (face.gives, fence.gives) == (("x", "z"), ("y",))
    if job == "posts":
        assert face.at == pytest.approx((-19 - 8.8, 0, 134.5 - 140))
        assert face.from_zero == pytest.approx((-19, 134.5 - 140))
        assert fence.at == pytest.approx((-19 + 8.8, 19 + 12 + 46.95 / 2, 114.5 - 140))
        assert fence.from_zero == pytest.approx((19,))


def rooms(job: str, phase: Phase, changes: tuple[tuple[str, float], ...] = ()) -> dict:
    told = KIND.rooms(numbers(job, changes), State(phase, Limit.MOST))
    return {(room.a, room.b): room.least for room in told}


def test_room_for_the_piece_and_for_fingers():
    """Half a millimetre for a hand that puts it in; 12 for fingers, 10 less tolerance at a base."""
    inside = {("piece", "moving face"): 0.5, ("piece", "fixed face"): 0.5,
              ("piece", "free fence"): 0.5}  # fmt: skip
    assert rooms("posts", Phase.OPEN) == inside
    assert ("piece", "backer") in rooms("posts", Phase.OPEN, IN_X)
    assert ("piece", "moving face") not in rooms("posts", Phase.OPEN, IN_X)
    assert rooms("posts", Phase.SETTING) == {}
    closed = rooms("posts", Phase.CLOSED)
    assert closed.pop(("datum drawbolt knob", "moving base")) == 9.5
    assert set(closed.values()) == {12}
    assert {b for _, b in closed} == {"moving rib 2", "moving rib 1", "fixed rib 1"}
