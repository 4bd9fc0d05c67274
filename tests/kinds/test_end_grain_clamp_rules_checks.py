"""What the end-grain clamp asks of its own numbers: each value and limit by hand, each branch once.

Posts of 38 ± 0.5 square and 140 ± 0.5 on slots of 10.2 with a slot along y (numbers of the job,
worked in the tests of the sizing rules): jaws 134.5 high, fences 114.5, drawbolts M8 at 69 and 96
out, sheet 17.6 ± 0.2, dados 4.5. Washer M8 2 x 24 (ISO 7093), nut 6.8 (ISO 4032).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from jigs.kinds.end_grain_clamp import KIND
from jigs.model.finding import Finding, Verdict
from jigs.model.number import Book
from jigs.model.state import Limit, Phase, State
from jigs.reading.job import read_job
from jigs.sizing import design

from .boxes import Standing

ROOT = Path(__file__).parents[2]
FILES = {"posts": "configs/allotment.yaml", "board": "configs/skittles.yaml",
         "slots along": "configs/stool.yaml", "grid": "tests/shops/clamp_very_small.yaml",
         "riser": "tests/shops/clamp_on_a_riser.yaml"}  # fmt: skip


@cache
def job(name: str) -> Any:
    return read_job(ROOT / FILES[name])


def numbers(name: str = "posts", **changes: Any) -> Book:
    """The clamp's numbers in a job, some of them set by hand."""
    d = design(job(name), {f"clamp.{number}": value for number, value in changes.items()})
    return next(jig.n for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")


def found(n: Book) -> dict[str, Finding]:
    told = KIND.own_checks(n)
    assert len({f.check for f in told}) == len(told)
    return {f.check: f for f in told}


IN_X = {"backer_in_x": 12.0, "backer_in_y": 0.0}
INCH = 25.4

# check, of which numbers, value, limit
HEIGHTS: list[tuple[str, Callable[[], Book], float, float]] = [
    # 134.5 and 114.5 are what the hood and the cutter leave, less 5
    ("jaws below what moves over them", numbers, 5, 5),
    ("jaws below what moves over them", lambda: numbers(jaw_top=130.0), 9.5, 5),
    ("jaws below what moves over them", lambda: numbers(jaw_top=135.0), 4.5, 5),
    ("fences below what moves over them", numbers, 5, 5),
    ("fences below what moves over them", lambda: numbers(fence_top=110.0), 9.5, 5),
    ("the longest piece stands under the gantry", numbers, 140.5, 155),
    ("jaws reach half the longest piece's height", numbers, 134.5, 70.25),
    ("jaws reach half the longest piece's height", lambda: numbers("riser"), 109.5 - 35.2, 40.15),
    ("gripped height", numbers, 131, 20),
    ("gripped height", lambda: numbers("riser"), 109.5 - 35.2, 20),
]
CLOSING = [
    ("the thickest piece goes in", numbers, 41.5, 40.5),
    ("the thickest piece goes in", lambda: numbers(**IN_X), 41.5, 40.5),
    ("the jaws close on the thinnest piece", numbers, 36.5, 36.5),
    ("the jaws close on the thinnest piece", lambda: numbers(**IN_X), 36.5, 36.5),
    ("drawbolts take the knob when open", numbers, 120, 117.9),
    ("the inner nuts clear the moving face", numbers, 36.5 - 8.8, 3),
    ("the inner nuts clear the moving face", lambda: numbers(**IN_X), 48.5 - 8.8, 3),
    # hole 9, travel 5 and 1; where the bolts slide with the base the hole alone, 9/32 in
    ("the moving base's slots take its travel", numbers, 16, 15),
    ("the moving base's slots take its travel", lambda: numbers("slots along"),
     9 / 32 * INCH, 9 / 32 * INCH),
]  # fmt: skip
FENCES = [
    ("fences thinner than the piece", numbers, 17.8, 34.5),
    ("fences thinner than the piece", lambda: numbers(**IN_X), 17.8, 34.5),
    ("fences thinner than the piece", lambda: numbers(fence_layers=2), 35.6, 34.5),
    ("fences wide enough to steady the piece", numbers, 17.4, 11.25),
    ("fences wide enough to steady the piece", lambda: numbers(fence_layers=2), 34.8, 11.25),
    # DIN 603, M6: neck 4 deep; the slot is sunk 4.5
    ("the coach necks stay within the fence", numbers, 12.9, 4),
    ("the coach necks stay within the fence", lambda: numbers(fence_layers=2), 30.3, 4),
    # half the post, backer, fence 46.95, half its travel of 7
    ("drawbolts clear the fences", numbers, 96 - 12, 19 + 12 + 46.95 + 3.5),
]
WOOD = [
    ("wood above the drawbolts' washers", numbers, 134.5 - 69 - 12, 5),
    ("fingers between drawbolt knobs and base", numbers, 69 - 25 - 17.8, 10),
    ("sheet left under the dados", numbers, 12.9, 8.7),
    ("sheet left at the foot of the faces", numbers, 17.4 - 4.5 - 2.9, 4),
    ("screws thin against the sheet", numbers, 4, 5.8),
    ("screws thin against the sheet", lambda: numbers("grid", sheet_least=8.0), 3, 3),
]
HOLD = [
    # stud of 63: lip 9, sheet 17.8, washer 2
    ("hold-down studs reach through their knobs", numbers, 63 - 28.8, 25),
    # above the table 54, the stop's bolt 31; the shortest piece ends at 139.5, the gantry at 160
    ("studs end below the piece's end", numbers, 54, 139.5),
    ("studs end below the piece's end", lambda: numbers(stop_length=70.0), 61, 139.5),
    ("studs end below the piece's end", lambda: numbers("riser"), 50 - 6.5, 114.9),
    ("base left over the key's groove", numbers, 17.4 - 5.9, 8.7),
    ("the board takes the inserts", lambda: numbers("board"), 15, 18),
    # one diameter of M5; the plate is 12 thick
    ("thread engaged in the table", lambda: numbers("grid"), 8, 5),
]
PLACE = [
    # post from 309 to 347.5, mouths of 10.2 about 300 and 360: 3.9 and 7.4 left
    ("the piece's edges stand on metal", numbers, 309 - 305.1, 0.5),
    # leg over its middle slot: half of 1-33/64 in, less half of the mouth of 0.3 in
    ("the piece's edges stand on metal", lambda: numbers("slots along"),
     (1 + 33 / 64 - 0.3) / 2 * INCH, 0.5),
    ("the piece is wider than a slot", numbers, 37.5, 12.2),
    ("the piece is wider than a slot", lambda: numbers("slots along"),
     (1 + 31 / 64) * INCH, 0.3 * INCH + 2),
    # 328.25 - 19 is where the fixed face stands: 161 before it, 41.5 and 171 behind it
    ("bases and stop lie on the table, along x of the jig", numbers, 600 - 521.75, 0),
    ("bases and stop lie on the table, along x of the jig",
     lambda: numbers(fixed_base_end=300.0), 328.25 - 19 - 300, 0),
    # 200 in the middle of 400, bases 240 wide, the stop of 40 before or behind them
    ("bases and stop lie on the table, along y of the jig", numbers, 200 - 120 - 40, 0),
    ("bases and stop lie on the table, along y of the jig", lambda: numbers(stop_side=1), 40, 0),
    # no stop on a board: 100 in the middle of 200, 196 wide
    ("bases and stop lie on the table, along y of the jig", lambda: numbers("board"), 2, 0),
    # in slots along x the stop stands behind the fixed base: 15 in - 3/4 in - 300 - 35
    ("bases and stop lie on the table, along x of the jig",
     lambda: numbers("slots along", fixed_base_end=300.0), 14.25 * INCH - 335, 0),
    # and the bases, 213 wide about 11 in, have the stop on no side
    ("bases and stop lie on the table, along y of the jig", lambda: numbers("slots along"),
     9 * INCH - 106.5, 0),
]  # fmt: skip


@pytest.mark.parametrize(
    ("check", "n", "value", "limit"), [*HEIGHTS, *CLOSING, *FENCES, *WOOD, *HOLD, *PLACE]
)
def test_value_and_limit_by_hand(check, n, value, limit):
    finding = found(n())[check]
    assert finding.value == pytest.approx(value, abs=1e-6)
    assert finding.limit == pytest.approx(limit, abs=1e-6)
    within = value >= limit - 1e-6 if finding.sense == "at least" else value <= limit + 1e-6
    assert finding.verdict is (Verdict.MET if within else Verdict.NOT_MET)


ONLY_FOR = {
    "base left over the key's groove": {"posts", "slots along", "riser"},
    "the board takes the inserts": {"board"},
    "thread engaged in the table": {"grid"},
    "the piece's edges stand on metal": {"posts", "slots along"},
    "the piece is wider than a slot": {"posts", "slots along"},
}


@pytest.mark.parametrize("name", FILES)
def test_what_is_not_there_is_not_asked(name):
    told = set(found(numbers(name)))
    assert {check for check, names in ONLY_FOR.items() if name in names} == told & set(ONLY_FOR)
    assert len(told - set(ONLY_FOR)) == 33


@pytest.mark.parametrize(
    ("file", "check", "off"),
    [
        # a pitch of slots leaves no choice along x: see the job; along y the hold-downs are free
        ("clamp_x_off_the_anchors", "the setup's x agrees with the anchors", None),
        ("clamp_y_off_the_anchors", "the setup's y agrees with the anchors", None),
    ],
)
def test_a_place_that_anchors_do_not_allow_is_told_with_the_one_that_they_do(file, check, off):
    d = design(read_job(ROOT / f"tests/jobs/{file}.yaml"))
    n = next(jig.n for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")
    axis = check.split()[2]
    mine, wanted = n[f"clamp_{axis}"].value, n[f"axis_{axis}"].value
    finding = found(n)[check]
    assert abs(mine - wanted) > 0.05
    assert (finding.value, finding.limit) == (pytest.approx(abs(mine - wanted)), 0.05)
    assert f"{axis}: {mine:g} would do" in finding.why
    assert finding.verdict is Verdict.NOT_MET


def test_strength_is_left_over_what_the_tightest_and_the_cut_ask():
    """Every limit of a drawbolt's pull, over 830 + 21 N; washers over their own bolt's pull."""
    n = numbers()
    told = found(n)
    pull = n.drawbolt_tight + n.drawbolt_cut
    for check, limit in (
        ("faces bend between drawbolt and rib", "face_limit"),
        ("ribs stand up to the drawbolts", "rib_limit"),
        ("ribs stay glued in base and face", "glue_limit"),
        ("bases stay in the faces' rebates", "edge_limit"),
    ):
        assert told[check].value == pytest.approx(n[limit].value / pull)
        assert told[check].limit == 1.5
    rods = told["drawbolts below proof load"]
    assert (rods.value, rods.limit) == (pytest.approx(pull), pytest.approx(225 * 36.6))
    dents = told["the drawbolts' washers leave no dent in the faces"]
    assert (dents.value, dents.limit) == (pytest.approx(n.drawbolt_dent / n.drawbolt_tight), 1)
    dents = told["the hold-downs' washers leave no dent in the bases"]
    assert (dents.value, dents.limit) == (pytest.approx(n.hold_dent / n.hold_tight), 1)


def test_a_hand_gives_no_more_than_three_times_what_it_gives_with_ease():
    """1 and 3 N/mm over the square of a knob of 50: 2.5 and 7.5 N m."""
    told = found(numbers(drawbolt_torque=7600.0, hold_torque=7400.0))
    hand = told["a hand gives the torque"]
    assert (hand.value, hand.limit, hand.verdict) == (7600, 7500, Verdict.NOT_MET)
    hand = told["a hand gives the hold-downs' torque"]
    assert (hand.value, hand.limit, hand.verdict) == (7400, pytest.approx(7500), Verdict.MET)


@pytest.mark.parametrize(
    ("changes", "gives", "factor"),
    [
        # a piece against the top of a fence, 114.5; bolts at 31 and 99.5: the upper one bears
        # 83.5 / 68.5 of the force. Board: 5 MPa over 12.9 by 6
        ({}, "the board beside a fence bolt", lambda f: 5 * 12.9 * 6 / (f * 83.5 / 68.5)),
        # two layers: no more than the face behind it, 17.4
        ({"fence_layers": 2}, "the board beside a fence bolt",
         lambda f: 5 * 17.4 * 6 / (f * 83.5 / 68.5)),
        # shank of M6, 4.773 (ISO 898-1: 4.6 yields at 240); shear at 0.577 of it
        ({"sheet_crushing": 500.0, "fence_strength": 500.0}, "a fence bolt",
         lambda f: 0.577 * 240 * 3.141593 / 4 * 4.773**2 / (f * 83.5 / 68.5)),
        # over the upper bolt an arm of 15; 46.95 wide less a slot 7 + 6.4 long, 12.9 thick
        ({"fence_strength": 0.02}, "the fence at its slots",
         lambda f: 0.02 * 12.9 * (46.95**3 - 13.4**3) / (6 * 46.95) / (f * 15)),
    ],
)  # fmt: skip
def test_what_of_a_fence_gives_first_and_at_what(changes, gives, factor):
    if "sheet_crushing" in changes:
        changes = {**changes, "drawbolt_torque": 900.0}
    n = numbers(**changes)
    finding = found(n)["a fence bears the whole side force of the cut"]
    assert f"first to give: {gives};" in finding.why
    assert finding.value == pytest.approx(factor(1.5 * n.cut_force_most), rel=1e-4)
    assert finding.limit == 1.5


def test_a_hood_that_does_not_come_to_the_thinnest_piece_s_edge_lowers_nothing():
    """Stands of 29.7: a hood of 22 ends 11 from the axis, 14.85 is where jaws and fences begin."""
    made = design(job("board"), {"machine.dust_hood_diameter": 22.0,
                                 "machine.dust_hood_below": 15.0})  # fmt: skip
    n = next(jig.n for _, jig in made.jigs() if jig.kind.name == "end_grain_clamp")
    told = found(n)
    for check in ("jaws below what moves over them", "fences below what moves over them"):
        assert (told[check].value, told[check].limit) == (5, 5)


def extent(n: Book, *names: str) -> tuple[float, float, float, float]:
    """(u least, u most, v least, v most) of those parts, jaw open, on the table."""
    parts = {part.id: part for part in KIND.parts(n)}
    boxes = [
        box
        for p in KIND.poses(n, State(Phase.OPEN, Limit.MOST)) if p.name in names
        for box in Standing(p.name, parts[p.part], p.pose).boxes
    ]  # fmt: skip
    u, v = n.place_u[1], n.place_v[1]
    return (u + min(b.low[0] for b in boxes), u + max(b.high[0] for b in boxes),
            v + min(b.low[1] for b in boxes), v + max(b.high[1] for b in boxes))  # fmt: skip


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("posts", {}), ("posts", {"stop_side": 1}), ("posts", {"base_width": 300.0}),
        ("off the middle", {}), ("off the middle", {"stop_side": 1}), ("board", {}), ("grid", {}),
        ("slots along", {}), ("slots along", {"fixed_base_end": 300.0}), ("riser", {}),
    ],
)  # fmt: skip
def test_room_on_the_table_is_what_bases_and_stop_leave(name, changes, tmp_path):
    """Second witness: the boxes of what lies on the table, with the jaw open."""
    if name == "off the middle":
        text = (ROOT / FILES["posts"]).read_text(encoding="utf-8")
        text = text.replace("machines/", f"{ROOT}/configs/machines/")
        text = text.replace("    at: table\n", "    at: table\n    y: 190\n")
        (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
        d = design(read_job(tmp_path / "job.yaml"), {f"clamp.{k}": v for k, v in changes.items()})
        n = next(jig.n for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")
        assert n.place_v[1] == 190
    else:
        n = numbers(name, **changes)
    u0, u1, v0, v1 = extent(n, "fixed base", "moving base", "stop block")
    left, right, front, back = n.table_extent
    told = found(n)
    along, across = (
        told[f"bases and stop lie on the table, along {axis} of the jig"] for axis in "xy"
    )
    assert along.value == pytest.approx(min(u0 - left, right - u1))
    assert across.value == pytest.approx(min(v0 - front, back - v1))


@pytest.mark.parametrize(
    ("fence", "sheet"), [("pixie board", "birch plywood"), ("birch plywood", "pixie board")]
)
def test_a_fence_is_not_judged_where_its_own_or_the_faces_board_is_unknown(fence, sheet, tmp_path):
    text = (ROOT / FILES["posts"]).read_text(encoding="utf-8")
    text = text.replace("machines/", f"{ROOT}/configs/machines/")
    old = "  ply: {material: birch plywood, nominal: 18, measured: 17.6 ± 0.2, size: [1220, 610]}\n"
    assert old in text
    both = old.replace("birch plywood", sheet)
    both += old.replace("ply:", "other:").replace("birch plywood", fence)
    text = text.replace(old, both)
    text = text.replace("    fixed_side: left\n", "    fixed_side: left\n    fence_sheet: other\n")
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    d = design(read_job(tmp_path / "job.yaml"))
    n = next(jig.n for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")
    finding = found(n)["a fence bears the whole side force of the cut"]
    assert finding.verdict is Verdict.NOT_JUDGED
    assert "pixie board" in finding.why
    other = found(n)["faces bend between drawbolt and rib"].verdict
    assert (other is Verdict.NOT_JUDGED) is (sheet == "pixie board")
