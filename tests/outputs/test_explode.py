"""Jigs drawn apart: every part clear of what it was parted from, along its own way out."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from jigs.checks.dry_fit import fitted
from jigs.model.move import Move
from jigs.model.pose import Pose
from jigs.model.state import SHOWN
from jigs.outputs.cad.apart import (
    apart,
    assembly_order,
    outer_ones_last,
    standing_apart,
    together,
)
from jigs.outputs.cad.explode import exploded
from jigs.outputs.report import parts_list

OUT = (0.0, 0.0, 50.0)
NAILED_BOARD = {
    "board": (0.0, 0.0, 0.0, 100.0, 60.0, 18.0),
    "bolt": (48.0, 28.0, -5.0, 56.0, 36.0, 40.0),
    "washer": (42.0, 22.0, 18.0, 62.0, 42.0, 20.0),
    "nut": (45.0, 25.0, 20.0, 59.0, 39.0, 26.0),
    "hook": (5.0, 5.0, 18.0, 15.0, 15.0, 30.0),
}


def move(name: str, *unit: str, legs=(OUT,)) -> Move:
    return Move(name, unit, legs, "")


def test_a_washer_and_a_nut_come_off_their_bolt_one_after_the_other():
    """By hand, gap 10: the bolt's top at 40 goes down to -10; then only the board is to clear."""
    moves = [
        move("bolt", "bolt", legs=((0.0, 0.0, -50.0),)),
        move("nut", "washer", "nut"),
    ]
    shifts = exploded(moves, NAILED_BOARD, Pose(), gap=10.0)
    assert shifts["board"] == shifts["hook"] == (0.0, 0.0, 0.0)
    assert shifts["bolt"] == pytest.approx((0, 0, -50))
    assert shifts["washer"] == pytest.approx((0, 0, 10))
    assert shifts["nut"] == pytest.approx((0, 0, 20))


def test_a_nut_passes_the_whole_of_a_bolt_that_stays():
    """By hand, gap 10: the washer's foot to 40 + 10, the nut's past the washer, to 52 + 10."""
    shifts = exploded([move("nut", "washer", "nut")], NAILED_BOARD, Pose(), gap=10.0)
    assert shifts["washer"] == pytest.approx((0, 0, 50 - 18))
    assert shifts["nut"] == pytest.approx((0, 0, 62 - 20))


def test_what_nothing_bars_stays_where_it_is():
    moves = [move("hook", "hook", legs=((0.0, 0.0, 50.0),))]
    far = {**NAILED_BOARD, "board": (0.0, 0.0, -60.0, 100.0, 60.0, -42.0)}
    assert exploded(moves, far, Pose(), gap=10.0)["hook"] == (0.0, 0.0, 0.0)


def test_units_within_units_add_up():
    moves = [
        move("hook", "hook", legs=((50.0, 0.0, 0.0),)),
        move("board", "board", "hook", legs=((0.0, 50.0, 0.0),)),
    ]
    shifts = exploded(moves, NAILED_BOARD, Pose(), gap=10.0)
    past_the_bolt = (0.0, 36.0 + 10.0, 0.0)
    assert shifts["board"] == pytest.approx(past_the_bolt)
    assert shifts["hook"] == pytest.approx(past_the_bolt), "the board is below it, not beside it"


def test_ways_are_turned_with_the_jig():
    shifts = exploded(
        [move("nut", "washer", "nut", legs=((50.0, 0.0, 0.0),))],
        {name: (z0, y0, x0, z1, y1, x1) for name, (x0, y0, z0, x1, y1, z1) in NAILED_BOARD.items()},
        Pose.turned("z", 180),
        gap=10.0,
    )
    assert shifts["nut"][0] < 0 == shifts["nut"][2]


def test_a_corner_is_gone_round_first():
    way = ((0.0, 30.0, 0.0), (50.0, 0.0, 0.0))
    shifts = exploded([move("hook", "hook", legs=way)], NAILED_BOARD, Pose(), gap=10.0)
    assert shifts["hook"][1] == pytest.approx(30)


def test_what_lay_further_out_is_not_passed():
    """By hand, gap 10: up from the board a washer has to clear the bolt's top at 40, no more."""
    above = {**NAILED_BOARD, "roof": (0.0, 0.0, 90.0, 100.0, 60.0, 100.0)}
    shifts = exploded([move("nut", "washer")], above, Pose(), gap=10.0)
    assert shifts["washer"] == pytest.approx((0, 0, 50 - 18))
    low = {**above, "roof": (0.0, 0.0, 55.0, 100.0, 60.0, 100.0)}
    shifts = exploded([move("nut", "washer")], low, Pose(), gap=10.0)
    assert shifts["washer"] == pytest.approx((0, 0, 110 - 18)), "no room below the roof"


def test_what_it_lay_outside_of_is_passed_even_where_there_is_room_before():
    """By hand, gap 10: the board went up by 60 before; its hook goes on being the upper one."""
    moves = [
        move("board", "board", legs=((0.0, 0.0, 60.0),)),
        move("hook", "hook"),
    ]
    shifts = exploded(moves, NAILED_BOARD, Pose(), gap=10.0)
    assert shifts["board"] == pytest.approx((0, 0, 50)), "over the bolt's top, not over the hook"
    assert shifts["hook"] == pytest.approx((0, 0, 68 + 10 - 18))


def test_of_two_screwed_together_the_one_ahead_goes_on_last():
    moves = [move("nut", "nut", "washer"), move("bolt", "bolt"), move("hook", "hook")]
    names = [m.name for m in outer_ones_last(moves, [("nut", "bolt")], NAILED_BOARD, Pose())]
    assert names == ["bolt", "nut", "hook"], "the nut's middle is above the bolt's"
    down = [replace(m, legs=((0.0, 0.0, -50.0),)) for m in moves]
    names = [m.name for m in outer_ones_last(down, [("nut", "bolt")], NAILED_BOARD, Pose())]
    assert names == ["nut", "bolt", "hook"], "downwards the bolt is ahead"
    apart_ways = [moves[0], down[1]]
    assert outer_ones_last(apart_ways, [("nut", "bolt")], NAILED_BOARD, Pose()) == apart_ways


def test_a_knob_is_drawn_beyond_its_stud(designs, scenes):
    scene = scenes("skittles")
    ((setup, jig),) = [(s, j) for s, j in designs("skittles").jigs() if j.name == "clamp"]
    there = {s.name: scene.box_of(s) for s in standing_apart(scene, together(scene, setup, jig))}
    studs = [name for name in there if name.endswith(" stud")]
    assert len(studs) == 4
    for stud in studs:
        washer = stud.replace("stud", "hold-down washer")
        assert there[washer][2] > there[stud][5], "its foot is above the stud's top"


@pytest.mark.parametrize("job", ["allotment", "stool", "skittles"])
def test_without_a_dry_fit_what_holds_a_jig_down_still_comes_from_outside(job, designs, scenes):
    """Every nut and washer of a hold-down is drawn where the jig comes off to, not behind it."""
    scene = scenes(job)
    for setup, jig in designs(job).jigs():
        whole = together(scene, setup, jig, tried=False)
        there = {s.name: scene.box_of(s) for s in standing_apart(scene, whole)}
        (off,) = [m for m in whole.moves if m.when == "at the machine"]
        board = there[next(name for name in ("back board", "moving base", "bar") if name in there)]
        axis = max(range(3), key=lambda i: abs(off.legs[-1][i]))
        sign = 1 if off.legs[-1][axis] > 0 else -1
        for name, box in there.items():
            if name.startswith(("hanging nut", "hanging washer", "moving free hold-down")):
                assert sign * (middle(box, axis) - middle(board, axis)) > 0, (jig.name, name)


def middle(box, axis) -> float:
    return (box[axis] + box[axis + 3]) / 2


@pytest.mark.parametrize("tried", [True, False])
@pytest.mark.parametrize("job", ["allotment", "stool", "skittles"])
def test_all_that_is_parted_is_apart(job, tried, designs, scenes):
    """No two boxes of parts that some move parts share space, whichever way they went."""
    scene = scenes(job)
    for setup, jig in designs(job).jigs():
        whole = together(scene, setup, jig, tried=tried)
        moves, standing = whole.moves, standing_apart(scene, whole)
        boxes = {s.name: scene.box_of(s) for s in standing}
        for a, b in itertools.combinations(boxes, 2):
            if any((a in m.unit) != (b in m.unit) for m in moves):
                assert apart_by(boxes[a], boxes[b]) > -0.51, (jig.name, a, b)


def apart_by(a, b) -> float:
    """Widest gap of two boxes along an axis; negative where they share space."""
    return max(max(a[i] - b[i + 3], b[i] - a[i + 3]) for i in range(3))


@pytest.mark.parametrize("job", ["allotment", "stool", "skittles"])
def test_numbers_are_those_of_the_parts_list(job, designs, scenes):
    for setup, jig in designs(job).jigs():
        drawn = apart(scenes(job), together(scenes(job), setup, jig))
        table = parts_list(jig)
        assert list(drawn.rows) == list(range(1, len(table) + 1))
        for row, text in zip(table, drawn.rows.values(), strict=True):
            assert row["title"] in text
            assert text.startswith(f"{row['quantity']} × ") == (row["quantity"] > 1)
        titles = {placed.name: jig.parts[placed.part].title for placed in jig.poses(SHOWN)}
        for name, number in zip(drawn.names, drawn.numbers, strict=True):
            assert titles[name] == table[number - 1]["title"]


def test_the_order_is_the_dry_fits(allotment, scene):
    setup, jig = next(iter(allotment.jigs()))
    names = [m.name for m in assembly_order(scene, setup, jig)]
    assert names == [m.name for m in fitted(setup, jig, scene.rehearsal).assembly]
    assert sorted(names) == sorted(m.name for m in jig.moves if m.when != "changeover")
