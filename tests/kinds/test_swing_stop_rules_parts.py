"""How large the swing stop's parts are, how they come together and are worked, by hand.

Posts of 45 ± 0.5 square and 700 ± 1 long under two bars on nuts in slots along x from 0 to 600:
board 17.6 thick, studs M8 of 140 at 63 beside the post, at -65 and -265 from its end; dado 4.5,
stick 25 wide and 20 proud, end stop 40 high; screws of 30 and 60. One bar: skittles in a ring.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from jigs.kinds.swing_stop import KIND, SwingStopOptions, parts
from jigs.kinds.swing_stop.standing import shim_names
from jigs.model.move import Driver, HandTurn, Move, Spanner
from jigs.model.number import Book, Standing
from jigs.model.part import Cut, Part
from jigs.model.state import SHOWN, Limit, Phase, State
from jigs.reading.job import read_job
from jigs.sizing import design

SHOPS = Path(__file__).parents[1] / "shops"
FILES = {"posts": "front_bar_two_bars", "pegs": "front_bar_board", "legs": "front_bar_holes_inch",
         "skittles": "front_bar_ring_and_stop"}  # fmt: skip
POST = {"width": 45.0, "depth": 45.0, "length": 700.0}


@cache
def numbers(shop: str = "posts", *changes: tuple[str, float]) -> Book:
    own = {"skittles": "stop"}.get(shop, "clamp")
    d = design(read_job(SHOPS / f"{FILES[shop]}.yaml"),
               {f"{own}.{name}": value for name, value in changes})  # fmt: skip
    return next(jig.n for _, jig in d.jigs() if jig.kind.name == "swing_stop")


@cache
def made(shop: str = "posts") -> dict[str, Part]:
    return {part.id: part for part in KIND.parts(numbers(shop))}


def cuts(part: Part) -> dict[str, Cut]:
    return {cut.name: cut for cut in part.cuts}


SIZES = {
    # 63 and 12 and 12 to each side
    ("posts", "bar"): ((-87, -20, 87, 20), 20),
    # as wide as the thinnest post, 3 thick, as high as its bar
    ("posts", "pad"): ((-22.25, 0, 22.25, 3), 40),
    # 80 to each side; from 2 under the table, 25 below the end, to 25 below the lower studs
    ("posts", "back_board"): ((-80, -290, 80, -27), 17.6),
    # 20 and a dado of 4.5; from the board's top to 740 below the end
    ("posts", "side_stop"): ((-25, -24.5, 0, 0), 740 - 27),
    # 5 beyond the thickest post
    ("posts", "end_stop"): ((0, -20, 50.5, 0), 40),
    # groove 6 deep, 6 into the slot; as long as a stud is from the middle
    ("posts", "board_key"): ((0, -5, 12, 5), 63),
    ("posts", "stop_block"): ((-20, -20, 20, 20), 17.6),
    # 10 outside slots of 9 at 125: 139.5, to the next millimetre
    ("skittles", "packer"): ((-140, -20, 140, 20), 21.5),
    ("skittles", "shim_0_5"): ((-140, -20, 140, 20), 0.5),
}


@pytest.mark.parametrize(("shop", "part"), SIZES)
def test_a_part_s_size_by_hand(shop, part):
    bounds, thick = SIZES[shop, part]
    found = made(shop)[part]
    assert found.outline.bounds == pytest.approx(bounds)
    assert found.thickness == pytest.approx(thick)


def test_a_plate_hangs_on_its_studs_by_slots_up_to_its_middle():
    """80 by 40 with slots of 10 at -20 and 25: each takes 20 x 10 and half a circle."""
    plate = parts.hooked(80, 40, [25, -20], 10)
    assert plate.area == pytest.approx(80 * 40 - 2 * (200 + math.pi * 25 / 2))
    assert plate.bounds == (-40, -20, 40, 20)
    arcs = [side for side in plate.sides if side.bulge]
    assert sorted(side.centre for side in arcs) == [(-20, 0), (25, 0)]
    assert [side.middle[1] for side in arcs] == [5, 5]


def test_a_bar_has_a_hole_on_the_left_and_a_slot_on_the_right():
    bar = made()["bar"]
    (hole,) = bar.cuts
    assert hole.outline.bounds == pytest.approx((-67.5, -4.5, -58.5, 4.5))
    (arc,) = [side for side in bar.outline.sides if side.bulge]
    assert arc.centre == pytest.approx((63, 0))
    assert arc.radius == pytest.approx(4.5)


@pytest.mark.parametrize(
    ("thick", "id", "of"),
    [(0.5, "shim_0_5", "card 0.5 mm"), (1.5, "shim_1_5", "card 1.5 mm"),
     (1.6, "shim_1_6", "hardboard 1.6 mm"), (2.0, "shim_2", "hardboard 2 mm")],
)  # fmt: skip
def test_thin_shims_are_of_card(thick, id, of):
    assert parts.shim_id(thick) == id
    assert parts._shim_of(thick) == of


def test_shims_are_listed_as_often_as_they_are_owned():
    listed = [p.quantity for p in made("skittles").values() if p.id.startswith("shim_")]
    assert listed == [1] * 5


def test_the_board_s_cuts():
    """Dado 25 wide left of the post, out over both edges by the cutter's 3 and 1; key 94... long:
    half of 63 to each side and 3 for the cutter; holes of 9 (ISO 273)."""
    board = cuts(made()["back_board"])
    assert board["side stop dado"].outline.bounds == pytest.approx((-47.5, -294, -22.5, -23))
    assert board["side stop dado"].depth == 4.5
    groove = board["key groove"]
    assert groove.outline.bounds == pytest.approx((-34.5, -70, 34.5, -60))
    assert groove.outline.area == pytest.approx(69 * 10 - (4 - math.pi) * 9)
    assert groove.depth == 6
    for row, z in (("upper", -65), ("lower", -265)):
        for side, x in (("left", -63), ("right", 63)):
            hole = board[f"stud hole {row} bar {side}"].outline
            assert hole.bounds == pytest.approx((x - 4.5, z - 4.5, x + 4.5, z + 4.5))
    # screws a quarter and three quarters of the way from row to row, in the stick's middle
    assert board["side screw hole lower"].outline.centre == pytest.approx((-35, -215))
    assert board["side screw hole upper"].outline.centre == pytest.approx((-35, -115))


def test_a_narrow_key_s_groove_has_corners_of_nearly_half_its_width():
    groove = cuts(parts.back_board(numbers("posts", ("board_key_width", 4.0))))["key groove"]
    r = 0.98 * 2
    assert groove.outline.bounds == pytest.approx((-31.5 - r, -67, 31.5 + r, -63))
    assert groove.outline.area == pytest.approx((63 + 2 * r) * 4 - (4 - math.pi) * r * r)


def test_two_opposite_holes_are_close_where_threads_bring_the_board_back():
    """5/16: fine 21/64, medium 11/32 in."""
    board = cuts(made("legs")["back_board"])
    for row, side, wide in (("upper", "left", 21 / 64), ("upper", "right", 11 / 32),
                            ("lower", "left", 11 / 32), ("lower", "right", 21 / 64)):  # fmt: skip
        x0, _, x1, _ = board[f"stud hole {row} bar {side}"].outline.bounds
        assert x1 - x0 == pytest.approx(wide * 25.4)


def test_dowels_stand_beside_opposite_studs():
    """Washer of 24, dowel of 8 and 4 between: 20 from the studs at 51 out, -32 and -210 down."""
    n = numbers("pegs")
    assert parts.dowels(n) == [("left", -51, -52), ("right", 51, -190)]
    assert dict(made("pegs")["dowel"].made.dims) == {"diameter": 8, "length": 14.8 + 15 - 1}
    assert [h.depth for h in KIND.board_holes(n)] == [18] * 4 + [15] * 2
    assert [(h.at[0], h.at[2]) for h in KIND.board_holes(n)[4:]] == [(-51, -52), (51, -190)]
    for name in ("posts", "legs", "skittles"):
        assert "dowel" not in made(name)
        assert not KIND.board_holes(numbers(name))


def test_the_stops_holes():
    """Ends at -700 and -740: screws a quarter down and up; in the middle of what stands proud."""
    stick, block = cuts(made()["side_stop"]), cuts(made()["end_stop"])
    for name, up in (("upper", 30), ("lower", 10)):
        assert stick[f"end screw hole {name}"].outline.centre == pytest.approx((-14.5, up))
        assert block[f"pilot hole {name}"].outline.centre == pytest.approx((-10, up))
        # 60 less the stick's 25, and 1
        assert block[f"pilot hole {name}"].depth == pytest.approx(36)
    for name, z in (("lower", -215), ("upper", -115)):
        pilot = stick[f"pilot hole {name}"]
        assert pilot.outline.centre == pytest.approx((-12.5, z + 740))
        # screws of 30 through 13.1 of board, and 1
        assert pilot.depth == pytest.approx(17.9)


# Where it puts pieces and is found again


@pytest.mark.parametrize("limit", Limit)
def test_pieces_lie_against_board_and_stops(limit):
    more = {Limit.LEAST: -0.5, Limit.NOMINAL: 0.0, Limit.MOST: 0.5}[limit]
    at = KIND.holds_piece(numbers(), State(Phase.CLOSED, limit))
    assert (at.dx, at.dy, at.dz) == pytest.approx((more / 2, -more / 2, 2 * more))
    sizes = {"width": 45 + more, "depth": 45 + more, "length": 700 + 2 * more}
    told = KIND.offset_of(numbers(), sizes)
    assert (told.dx, told.dy, told.dz) == pytest.approx((more / 2, -more / 2, 2 * more))
    assert KIND.offset_of(numbers(), {"width": 45.0, "depth": 45.0}).dz is None
    assert KIND.holds_piece(numbers("skittles"), State(Phase.CLOSED, limit)).dx is None


def test_what_the_work_zero_is_found_by():
    upper, left = KIND.datums(numbers())
    assert (upper.at, upper.from_zero) == ((0, 22.5, -27), (22.5, -27))
    assert (left.at, left.from_zero) == ((-78, 22.5, -27), (-80,))
    assert {upper.comes_back, left.comes_back} == {0.1}
    assert upper.by == "key and stop block"
    assert KIND.datums(numbers("pegs"))[0].by == "dowels or close holes"
    assert not KIND.datums(numbers("skittles"))
    assert [(s.axis, s.size, s.each) for s in KIND.spreads(numbers())] == [
        ("x", 0.1, False), ("z", 0.1, False)
    ]  # fmt: skip


def test_what_stands_for_the_other_case():
    """Two bars put the piece; on a grid along x as well. One bar puts nothing."""
    offers = KIND.offers(numbers())
    assert (offers["axis_y"], offers["end_height"]) == ("hold_axis_y", "hold_end_height")
    assert "axis_x" not in offers
    assert KIND.offers(numbers("legs"))["axis_x"] == "hold_axis_x"
    assert "axis_y" not in KIND.offers(numbers("skittles"))
    assert not KIND.settings(numbers(), POST)
    assert (numbers().nothing, numbers().none_listed) == (0, ())
    assert len(KIND.gives(numbers(), POST)) == 2
    assert (len(KIND.grips(numbers(), POST)), len(KIND.footings(numbers()))) == (1, 1)


def test_a_set_of_shims_that_nobody_told_is_assumed():
    for options, standing, shims in (
        (SwingStopOptions(), Standing.ASSUMED, (0.5, 1, 2, 4, 8)),
        (SwingStopOptions(shims=(4.0, 0.5)), Standing.GIVEN, (0.5, 4)),
    ):  # fmt: skip
        (told,) = [number for number in KIND.facts(options) if number.name == "shim_set"]
        assert (told.standing, told.value) == (standing, shims)
        assert (told.source == "") is (standing is Standing.GIVEN)


def test_rounded_shims_put_the_end_aside_by_a_quarter_at_least():
    """A rest of 0.25, or what was found, over the lever from ring's middle to bar."""
    for rest, counted in ((0.1, 0.25), (0.4, 0.4)):
        n = numbers("skittles", ("shim_rest", rest))
        (spread,) = KIND.spreads(n)
        middle = n.ring_top - n.ring_height / 2
        lever = middle - (-180 - n.end_height)
        assert spread.size == pytest.approx(-middle * math.atan(counted / lever))
        assert (spread.axis, spread.each) == ("y", True)


def test_what_shims_leave_is_told_to_the_micrometre():
    n = numbers("skittles")
    shims, left = KIND.settings(n, {"grip_diameter": 34.5, "length": 230.0})
    assert (shims.changes, left.changes) == (0.5, 0)
    room = n.stand_off - (18.5 - 17.25 + n.squeeze) - 13 - 21.5
    assert left.value == pytest.approx(room - shims.value, abs=5e-4)


# Moves, tools, steps


@cache
def moves(shop: str = "posts") -> dict[str, Move]:
    return {move.name: move for move in KIND.moves(numbers(shop))}


WAYS = {
    ("posts", "upper bar pad"): (0, 8, 0),
    ("posts", "lower bar"): (0, -145, 0),
    ("posts", "bars back off"): (0, -6, 0),
    # 300 - 63 from the slot's left end, 20 and 5; as far on the right
    ("posts", "upper bar left stud"): (-262, 0, 0),
    ("posts", "lower bar right stud"): (262, 0, 0),
    ("posts", "upper bar left lock nut"): (0, -145, 0),
    ("posts", "upper bar right knob"): (0, -145, 0),
    ("posts", "back board"): (0, -155, 0),
    ("posts", "side stop"): (0, -9.5, 0),
    ("posts", "end stop"): (6, 0, 0),
    ("posts", "side screw lower"): (0, 40.2, 0),
    ("posts", "end screw upper"): (-65, 0, 0),
    ("posts", "board key"): (0, 15, 0),
    # a stud of 45; the stop is 100 left of the middle
    ("posts", "stop nut"): (0, -50, 0),
    ("posts", "stop block"): (0, -50, 0),
    ("posts", "stop stud"): (-225, 0, 0),
    # up until its foot is 10 over the upper bar's top, -45
    ("posts", "the piece comes out upwards"): (0, 0, 701 - 45 + 10),
    # inserts M8 are 18 long, studs 105
    ("pegs", "upper bar left stud insert"): (0, -23, 0),
    ("pegs", "upper bar left stud"): (0, -110, 0),
    ("pegs", "dowel left"): (0, -(14.8 + 15 + 5), 0),
    ("legs", "upper bar left stud"): (0, -140, 0),
    # off studs of 8 mm in slots of 9: half a bar and half a slot up
    ("skittles", "packer"): (0, 0, 20 + 4.5 + 5),
    ("skittles", "bars back off"): (0, -8, 0),
}


@pytest.mark.parametrize(("shop", "name"), WAYS)
def test_the_way_out_by_hand(shop, name):
    (leg,) = moves(shop)[name].legs
    assert leg == pytest.approx(WAYS[shop, name])


@pytest.mark.parametrize("shop", FILES)
def test_everything_has_its_way(shop):
    placed = {p.name for p in KIND.poses(numbers(shop), SHOWN)}
    told = [move for move in moves(shop).values() if move.when != "changeover"]
    assert placed <= {name for move in told for name in move.unit}
    bars = set(moves(shop)["bars back off"].unit)
    assert bars == {p.name for p in KIND.poses(numbers(shop), SHOWN) if p.group == "bars"}


def test_the_nut_in_a_slot_goes_with_its_stud():
    assert moves()["upper bar left stud"].unit == (
        "upper bar left stud", "upper bar left stud T-slot nut"
    )  # fmt: skip
    assert moves("legs")["upper bar left stud"].unit == ("upper bar left stud",)


def test_every_shim_that_any_piece_asks_for_can_be_hung():
    shims = {name for name in moves("skittles") if name.startswith("shim")}
    for limit in Limit:
        poses = KIND.poses(numbers("skittles"), State(Phase.CLOSED, limit))
        assert {p.name for p in poses if p.name.startswith("shim")} <= shims


def test_room_for_hands_spanners_and_drivers():
    tools = {tool.name: tool for tool in KIND.tools(numbers())}
    assert len(tools) == 12
    knob = tools["upper bar left knob"]
    assert isinstance(knob, HandTurn)
    assert (knob.radius, knob.fingers, knob.low, knob.high) == (25, 10, 2, 25)
    # the thickest post's front, 22.5 - 45.5, the squeezed pad, bar and washer before it
    squeeze = numbers().pad_squeeze
    assert knob.at == pytest.approx((-63, 22.5 - 45.5 - 3 + squeeze - 20 - 2, -65))
    nut = tools["lower bar right lock nut"]
    assert isinstance(nut, Spanner)
    assert (nut.across, nut.height, nut.axis) == (13, 6.8, (0, -1, 0))
    gone = {"lower bar", "lower bar pad", "lower bar left knob", "lower bar right washer", "piece"}
    assert gone < set(nut.with_it)
    assert not [name for name in nut.with_it if name.startswith("upper")]
    assert nut.at == pytest.approx((63, 22.5 - 2 - 6.8, -265))
    # the stud's tip: 15 behind the face at 40.1, 140 long
    assert nut.stands_out == pytest.approx(22.5 - 8.8 - (40.1 + 15 - 140))
    screw = tools["side screw lower"]
    assert isinstance(screw, Driver)
    assert (screw.at, screw.axis) == ((-35, pytest.approx(40.1), -215), (0, 1, 0))
    assert (screw.diameter, screw.length) == (8, 120)
    assert {"front face", "table"} <= set(screw.without)
    assert not {"back board", "side stop", "end stop"} & set(screw.without)
    screw = tools["end screw upper"]
    assert screw.at == pytest.approx((-47.5, 12.5, -710))
    assert (screw.diameter, screw.length, screw.axis) == (8, 120, (-1, 0, 0))
    assert len(KIND.tools(numbers("skittles"))) == 4


def test_shims_alike_are_numbered():
    assert shim_names((12.0, 12.0, 0.5)) == ["shim 12 1", "shim 12 2", "shim 0.5"]


def test_what_the_steps_turn():
    """M8: 6 and 8 mm at 1.25 a turn; 5/16: 18 an inch."""
    for shop, turns in (("posts", 4.8), ("legs", 6 * 18 / 25.4)):
        steps = [s.turns for s in KIND.steps(numbers(shop))]
        assert steps == pytest.approx([0, -turns, 0, turns, 0, 0])
    steps = [s.turns for s in KIND.steps(numbers("skittles"))]
    assert steps == pytest.approx([0, -6.4, 0, 6.4])
    assert KIND.steps(numbers("skittles"))[1].carried_by == "the ring"


def test_rooms_that_must_stay():
    """1 mm before an open piece, 1 mm from bars to lock nuts when closed; none while setting."""
    n = numbers()
    rooms = {
        phase: [(r.a, r.b, r.least) for r in KIND.rooms(n, State(phase, Limit.MOST))]
        for phase in Phase
    }  # fmt: skip
    assert rooms[Phase.OPEN] == [(f"{w} bar pad", "piece", 1) for w in ("upper", "lower")]
    assert not rooms[Phase.SETTING]
    assert [r[2] for r in rooms[Phase.CLOSED]] == [1] * 4
