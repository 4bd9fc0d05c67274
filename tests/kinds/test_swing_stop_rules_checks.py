"""What the swing stop asks of its own numbers: each value and limit by hand, each branch once.

Posts of 45 ± 0.5 square and 700 long under two bars: face 0, board 17.6, studs M8 at 63 beside the
post and at -40 and -240 in the machine, its end 25 above the table. Washer 2 x 24 (ISO 7093), nut
6.8 (ISO 4032), knob 25 high and 50 wide, two threads 2.5. One bar: the skittles with a square foot.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from jigs.kinds.swing_stop import KIND, checks
from jigs.model.finding import Finding, Verdict
from jigs.model.number import Book
from jigs.reading.job import read_job
from jigs.sizing import design

SHOPS = Path(__file__).parents[1] / "shops"
FILES = {"posts": "front_bar_two_bars", "pegs": "front_bar_board", "legs": "front_bar_holes_inch",
         "skittles": "front_bar_ring_and_stop"}  # fmt: skip
INCH = 25.4


@cache
def job(name: str) -> Any:
    return read_job(SHOPS / f"{FILES[name]}.yaml")


def numbers(name: str = "posts", **changes: Any) -> Book:
    """The numbers of the stop in a shop, some of them set by hand."""
    own = {"skittles": "stop"}.get(name, "clamp")
    d = design(job(name), {f"{own}.{number}": value for number, value in changes.items()})
    return next(jig.n for _, jig in d.jigs() if jig.kind.name == "swing_stop")


def found(n: Book) -> dict[str, Finding]:
    told = KIND.own_checks(n)
    assert len({f.check for f in told}) == len(told)
    return {f.check: f for f in told}


# check, shop, changes, value, limit
CASES: list[tuple[str, str, dict[str, Any], float, float]] = [
    # slot of 20 and 5
    ("through cuts pass above the table", "posts", {}, 25, 25),
    ("through cuts pass above the table", "posts", {"hold_end_height": 27.0}, 27, 25),
    ("through cuts pass above the table", "legs", {}, 31, INCH + 5),
    # 140 - 15 - (17.6 + 45.5 + 3 + 20 + 6) - (2 + 25 + 2.5)
    ("studs take the knob when the bar is backed off", "posts", {}, 140 - 15 - 92.1 - 29.5, 0),
    ("studs take the knob when the bar is backed off", "posts", {"stud_length": 136.0}, -0.6, 0),
    # half of 160 about 300, and a stop of 40 on the left: 180 left, 220 right
    ("studs, board and stop block lie on the front face", "posts", {}, 180, 0),
    ("studs, board and stop block lie on the front face", "posts", {"stop_width": 250.0}, -30, 0),
    ("studs, board and stop block lie on the front face", "posts", {"back_width": 400.0}, 60, 0),
    ("studs, board and stop block lie on the front face", "pegs", {}, 150 - 68, 0),
    # one bar: the studs' washers, 125 + 12 about 327.5: 272.5 on the right are nearer
    ("studs, board and stop block lie on the front face", "skittles", {}, 600 - 327.5 - 137, 0),
    # room of 7.5 under the lip, DIN 508 foot 6 by 15; the mouth is 10.2
    ("studs end above the slot's floor", "posts", {}, 1.5, 0.5),
    ("T-slot head wider than the mouth", "posts", {}, 15, 13.2),
    ("inserts end in the front face's board", "pegs", {}, 0, 0),
    ("inserts end in the front face's board", "pegs", {"stud_below": 19.0}, -1, 0),
    # 2 in holes at 1 in and on, studs 3 in from 12 in; ISO 273 or inch fine: 21/64 over 5/16
    ("studs meet the grid", "legs", {}, 0, INCH / 128),
    ("studs meet the grid", "legs", {"stud_x": 77.0}, 0.8, INCH / 128),
    # -40 in the machine; half a knob of 50, half a bar of 60
    ("bars and knobs stay below the table", "posts", {}, -15, -2),
    ("bars and knobs stay below the table", "posts", {"bar_height": 60.0}, -10, -2),
    ("bars and knobs stay below the table", "skittles", {}, -155, 0),
    ("fingers between two knobs", "posts", {}, 76, 10),
    ("squeeze of the pads", "posts", {"pad_squeeze": 0.3}, 0.3, 0.45),
    ("squeeze of the pads", "pegs", {"pad_squeeze": 0.31}, 0.31, 0.3),
    # the thinnest post, 44.5, and what is left of a pad of 3; washer 2, nut 6.8, 1
    ("bars clear the lock nuts", "posts", {"pad_squeeze": 0.3}, 47.2, 9.8),
    # with one bar against the face, beside a board of 17.6
    ("the lock nuts stay behind packer and shims", "skittles", {}, 17.6, 8.8),
    # the stop proud of the board, 20; the post less squeeze and 2
    ("the side stop is thinner than the piece", "posts", {"pad_squeeze": 0.3}, 20, 42.2),
    ("enough of side stop and end stop stands proud", "posts", {}, 20, 8),
    # its foot 40 below the post's, 675 under the table; the bench 850 under it, 5 clear
    ("the end stop ends above the bench", "posts", {}, 25 - 700 - 40, -845),
    # board of 17.8 less a dado of 4.5: screws of 30 bite 16.7; sheet 17.4, 20 proud, 1
    ("the side stop's screws bite", "posts", {}, 30 - 13.3, 8),
    ("the side stop's screws stay in it", "posts", {}, 30, 36.4),
    ("the end stop's screws bite", "posts", {}, 60 - 25, 8),
    # a stand-off of 37 (the ring's) less e of 2.42, half a body of 26
    ("the body clears the back board", "skittles", {}, 37.0 - 2.42 - 13, 0),
    ("shims come within a quarter millimetre", "skittles", {"shim_rest": 0.3}, 0.3, 0.25),
    ("the pad lies on the body", "skittles", {}, 26, 30),
]  # fmt: skip


@pytest.mark.parametrize(("check", "shop", "changes", "value", "limit"), CASES)
def test_value_and_limit_by_hand(check, shop, changes, value, limit):
    n = numbers(shop, **changes)
    finding = found(n)[check]
    assert finding.value == pytest.approx(value, abs=1e-6)
    assert finding.limit == pytest.approx(limit, abs=1e-6)
    within = value >= limit - 1e-6 if finding.sense == "at least" else value <= limit + 1e-6
    assert finding.verdict is (Verdict.MET if within else Verdict.NOT_MET)


ONLY_FOR = {
    "through cuts pass above the table": {"posts", "legs"},
    "studs end above the slot's floor": {"posts", "skittles"},
    "T-slot head wider than the mouth": {"posts", "skittles"},
    "inserts end in the front face's board": {"pegs"},
    "studs meet the grid": {"legs"},
    "bars clear the lock nuts": {"posts", "pegs", "legs"},
    "the lock nuts' washers leave no dent in the back board": {"posts", "pegs", "legs"},
    "the side stop is thinner than the piece": {"posts", "pegs", "legs"},
    "the end stop ends above the bench": {"posts", "pegs", "legs"},
    "the body clears the back board": {"skittles"},
    "the pad lies on the body": {"skittles"},
    "the lock nuts stay behind packer and shims": {"skittles"},
}


@pytest.mark.parametrize("shop", FILES)
def test_what_is_not_there_is_not_asked(shop):
    told = set(found(numbers(shop)))
    assert {check for check, shops in ONLY_FOR.items() if shop in shops} == told & set(ONLY_FOR)


@pytest.mark.parametrize(("sheet", "verdict"), [("8.9", Verdict.MET), ("8.7", Verdict.NOT_MET)])
def test_a_sheet_thinner_than_a_lock_nut_is_told(sheet, verdict, tmp_path):
    """Washer 2 and nut 6.8 stand beside the ring's back board: 8.8."""
    text = (SHOPS / "front_bar_ring_and_stop.yaml").read_text(encoding="utf-8")
    assert "nominal: 18, measured: 17.6 ± 0.2" in text
    text = text.replace("nominal: 18, measured: 17.6 ±", f"nominal: 9, measured: {sheet} ±")
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    d = design(read_job(tmp_path / "job.yaml"))
    n = next(jig.n for _, jig in d.jigs() if jig.kind.name == "swing_stop")
    assert found(n)["the lock nuts stay behind packer and shims"].verdict is verdict


def test_where_nothing_is_said_of_the_bench_the_face_s_foot_is_the_limit(tmp_path):
    text = (SHOPS / "front_bar_two_bars.yaml").read_text(encoding="utf-8")
    path = tmp_path / "job.yaml"
    path.write_text(text.replace("    free_below: 850\n", ""), encoding="utf-8")
    ((_, jig),) = design(read_job(path)).jigs()
    told = found(jig.n)["the end stop ends above the face's foot"]
    assert (told.value, told.limit) == pytest.approx((25 - 740, -330))
    assert "front_face.free_below" in told.why
    assert not found(numbers())["the end stop ends above the bench"].why


# Strength


def test_what_a_cut_adds_to_the_upper_bar():
    """Bars 65 and 265 below the end, the cut 1.5 below it: 263.5 over 200; the factor is 1.5."""
    n = numbers()
    pull = n.bar_tight + 1.5 * n.cut_force_most * (265 + n.cut_acts_highest) / 200 / 2
    told = found(n)
    assert told["bars bend under their studs"].value == pytest.approx(n.bar_bends / pull)
    assert told["pads leave no dent in the piece"].value == pytest.approx(n.pad_dent / pull)
    studs = told["studs hold in the front face"]
    assert studs.value == pytest.approx(n.stud_limit / (n.lock_tight + pull))
    # the knobs' washers feel no more than they pull
    dent = told["the knobs' washers leave no dent"]
    assert dent.value == pytest.approx(n.washer_dent / n.bar_tight)
    lock = told["the lock nuts' washers leave no dent in the back board"]
    assert lock.value == pytest.approx(n.lock_dent / n.lock_tight)
    assert (told["bars bend under their studs"].limit, studs.limit) == (1.5, 1.5)
    assert (told["pads leave no dent in the piece"].limit, dent.limit) == (1, 1)
    assert lock.limit == 1


def test_what_a_cut_adds_to_one_bar():
    """It turns the piece about the ring's middle, the bar is the other end of the lever."""
    n = numbers("skittles")
    middle = n.ring_top - n.ring_height / 2
    bar = -180 - n.end_height
    cut = 1.5 * n.cut_force_most * (n.cut_acts_highest - middle) / (middle - bar)
    told = found(n)["bars bend under their studs"]
    assert told.value == pytest.approx(n.bar_bends / (n.bar_tight + cut / 2))


def test_a_rest_tilts_the_end_about_the_ring_s_middle():
    n = numbers("skittles", shim_rest=0.2)
    over = -(n.ring_top - n.ring_height / 2)
    lever = n.ring_top - n.ring_height / 2 - (-180 - n.end_height)
    told = found(n)["the end stands where it should, in spite of rounded shims"]
    assert told.value == pytest.approx(over * math.atan(0.2 / lever))
    assert told.limit == 0.2
    assert checks.top_error(n, -0.2) == pytest.approx(told.value)  # a gap or a push, as much


def test_the_hand_s_torque_is_the_limit():
    told = found(numbers(bar_torque=7600.0))["a hand gives the torque"]
    assert (told.value, told.limit) == (7600, 7500)
    assert told.verdict is Verdict.NOT_MET


# Woods and boards that no table knows


BENDS, DENTS = "bars bend under their studs", "the knobs' washers leave no dent"
IN_PIECE = "pads leave no dent in the piece"
IN_BOARD = "the lock nuts' washers leave no dent in the back board"
PIXIE = ("birch plywood", "pixie board")


@pytest.mark.parametrize(
    ("changes", "unjudged"),
    [
        ([("bars: 2", "bars: 2, wood: wenge")], {BENDS, DENTS}),
        ([("wood: oak", "wood: wenge")], {IN_PIECE}),
        ([PIXIE], {IN_BOARD}),
        ([("bars: 2", "bars: 2, wood: wenge, set: {bar_strength: 60, bar_crushing: 3}")], set()),
        ([PIXIE, ("bars: 2", "bars: 2, set: {sheet_crushing: 4}")], set()),
    ],
)
def test_what_no_table_knows_is_not_judged_but_where_the_user_says_it(changes, unjudged, tmp_path):
    text = (SHOPS / "front_bar_two_bars.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    ((_, jig),) = design(read_job(path)).jigs()
    told = found(jig.n)
    assert {f.check for f in told.values() if f.verdict is Verdict.NOT_JUDGED} == unjudged
    for check in unjudged:
        assert "wenge" in told[check].why or "pixie board" in told[check].why
