"""The ring's parts and their cuts, how they go together, tools, steps and contacts, by hand.

Dibbers (allotment): bore 21.5, gap 8.1, stand-off 37, dado 4.5, walls 20 and 29, ring 40 high from
-51 to -11, bolts M8 at 34 and 64, sheet 17.6, slots along x. Posts on nuts and rod of M5 in slots
of 6.2, heads on M6 in threaded holes, pins on wood screws of 5 in a board.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from jigs.kinds.split_ring import KIND
from jigs.model.move import Driver, HandTurn, Move, Spanner
from jigs.model.part import Board, Bought, Cut, Does, Face, Lining, Part, Sheet, Stack, Strip
from jigs.model.state import SHOWN, Limit, Phase, Role, State
from jigs.reading.job import read_job
from jigs.sizing import Jig, design

ROOT = Path(__file__).parents[2]
JOBS: dict[str, tuple[str, dict[str, Any]]] = {
    "dibbers": ("configs/allotment.yaml", {}),
    "two layers": ("configs/allotment.yaml", {"ring.shelf_layers": 2}),
    "posts": ("tests/shops/front_narrow_slots.yaml", {}),
    "heads": ("tests/shops/front_holes.yaml", {}),
    "pins": ("tests/shops/front_board.yaml", {}),
}


@pytest.fixture(scope="module")
def rings() -> dict[str, Jig]:
    found = {}
    for name, (file, changes) in JOBS.items():
        d = design(read_job(ROOT / file), changes)
        found[name] = next(jig for _, jig in d.jigs() if jig.kind.name == "split_ring")
    return found


def parts_of(jig: Jig) -> dict[str, Part]:
    return {part.id: part for part in KIND.parts(jig.n)}


def cuts(part: Part) -> dict[str, Cut]:
    return {cut.name: cut for cut in part.cuts}


# id: bounds of its outline, thickness
SIZES = {
    # split faces at half the gap; 37 and 4.5 behind, 21.5 and 29 before the bore's centre
    "fixed_half": ((-79, 4.05, 79, 41.5), 40),
    "moving_half": ((-49, -50.5, 49, -4.05), 40),
    "back_board": ((-109, -320, 109, -11), 17.6),
    "shelf": ((-40, -67, 40, 0), 17.6),
    "pad": ((-15, -15, 15, 15), 20),
    "board_key": ((0, -5, 12, 5), 94),  # 6 in the board, 6 in the slot
    "stop_block": ((-20, -20, 20, 20), 17.6),
}


@pytest.mark.parametrize("part", SIZES)
def test_a_parts_size_by_hand(rings, part):
    bounds, thick = SIZES[part]
    made = parts_of(rings["dibbers"])[part]
    assert made.outline is not None
    assert made.outline.bounds == pytest.approx(bounds)
    assert made.thickness == pytest.approx(thick)


@pytest.mark.parametrize("half", ["fixed_half", "moving_half"])
def test_halves_are_rectangles_less_half_a_bore(rings, half):
    """Less a segment of the bore whose chord lies 4.05 from its centre."""
    outline = parts_of(rings["dibbers"])[half].outline
    assert outline is not None
    x0, y0, x1, y1 = outline.bounds
    phi = math.acos(4.05 / 21.5)
    segment = 21.5**2 * (phi - math.sin(phi) * math.cos(phi))
    assert outline.area == pytest.approx((x1 - x0) * (y1 - y0) - segment)


def test_corners_of_the_shelf_are_taken_off(rings):
    """20 both ways in front."""
    outline = parts_of(rings["dibbers"])["shelf"].outline
    assert outline is not None
    assert outline.area == pytest.approx(80 * 67 - 400)
    assert sorted(v[:2] for v in outline.vertices)[:2] == [(-40, -47), (-40, 0)]


def test_what_they_are_made_of(rings):
    made = {name: part.made for name, part in parts_of(rings["dibbers"]).items()}
    assert made["fixed_half"] == made["moving_half"] == Board("beech", "x")
    assert made["pad"] == Board("beech", "z")
    assert isinstance(made["shelf"], Sheet)
    assert isinstance(made["board_key"], Strip)
    two = parts_of(rings["two layers"])["shelf"]
    assert isinstance(two.made, Stack)
    assert (two.made.slices, two.thickness) == (2, pytest.approx(35.2))
    lining = made["liner"]
    assert isinstance(lining, Lining)
    # Along the strip's middle, 20 from the bore's centre, from split face to split face.
    assert lining.strip_length == pytest.approx(2 * 20 * math.acos(4.05 / 20))
    assert lining.strip_width == 40
    springs = parts_of(rings["dibbers"])["spring"]
    assert isinstance(springs.made, Bought)
    assert (springs.quantity, springs.made.designation) == (2, "for M8")


def test_what_a_hand_meets_is_eased_and_marked(rings):
    parts = parts_of(rings["dibbers"])
    assert {name: part.eased for name, part in parts.items() if part.eased} == {
        "moving_half": 1, "back_board": 1,
    }  # fmt: skip
    assert parts["fixed_half"].marks == ("FIXED", "UP", "31.5-36 MM")
    assert parts["moving_half"].marks == ("MOVING", "UP", "31.5-36 MM")


def test_which_parts_there_are(rings):
    """Key and stop where there are slots, dowels where there is a board, neither in threads."""
    extra = {"board_key", "stop_block", "dowel"}
    found = {job: extra & set(parts_of(ring)) for job, ring in rings.items()}
    assert found == {
        "dibbers": {"board_key", "stop_block"}, "two layers": {"board_key", "stop_block"},
        "posts": {"board_key", "stop_block"}, "heads": set(), "pins": {"dowel"},
    }  # fmt: skip
    hung = {"t_slot_bolt", "t_slot_nut", "rod", "hanging_screw", "hanging_washer", "hanging_nut"}
    assert hung & set(parts_of(rings["dibbers"])) == {
        "t_slot_bolt", "hanging_washer", "hanging_nut"}  # fmt: skip
    assert hung & set(parts_of(rings["posts"])) == {
        "t_slot_nut", "rod", "hanging_washer", "hanging_nut"}  # fmt: skip
    assert hung & set(parts_of(rings["heads"])) == {"hanging_screw", "hanging_washer"}
    assert hung & set(parts_of(rings["pins"])) == {"hanging_screw"}


# part, cut: face, does, depth, bounds
CUTS: list[tuple[str, str, Face, Does, float | None, tuple[float, float, float, float]]] = [
    # the bolts half way up; holes of 9 (ISO 273), counterbores 21.5, recesses 13.5, necks 8
    ("fixed_half", "drawbolt hole left", Face.BACK, Does.HOLE, None, (-38.5, 15.5, -29.5, 24.5)),
    ("fixed_half", "head recess right", Face.BACK, Does.COUNTERBORE, 5.5,
     (23.25, 9.25, 44.75, 30.75)),
    ("fixed_half", "neck right", Face.BACK, Does.PRESSED, 10.5, (30, 16, 38, 24)),
    ("fixed_half", "spring recess left", Face.FRONT, Does.RECESS, 11.5,
     (-40.75, 13.25, -27.25, 26.75)),
    ("fixed_half", "mounting hole right", Face.BACK, Does.HOLE, None, (59.5, 15.5, 68.5, 24.5)),
    ("moving_half", "drawbolt hole right", Face.FRONT, Does.HOLE, None, (29.5, 15.5, 38.5, 24.5)),
    ("moving_half", "spring recess right", Face.BACK, Does.RECESS, 11.5,
     (27.25, 13.25, 40.75, 26.75)),
    # the fixed half's and the shelf's dados run on by the cutter's radius of 3; upwards 4 mm out
    ("back_board", "ring dado", Face.TOP, Does.GROOVE, 4.5, (-82, -51, 82, -7)),
    ("back_board", "shelf dado", Face.TOP, Does.GROOVE, 4.5, (-43, -275.6, 43, -257.7)),
    ("back_board", "mounting hole left", Face.BOTTOM, Does.HOLE, None,
     (-68.5, -35.5, -59.5, -26.5)),
    ("back_board", "head recess left", Face.BOTTOM, Does.COUNTERBORE, 5.5,
     (-74.75, -41.75, -53.25, -20.25)),
    ("back_board", "neck right", Face.BOTTOM, Does.PRESSED, 10.5, (60, -35, 68, -27)),
    ("back_board", "screw hole right", Face.BOTTOM, Does.HOLE, None,
     (26.6667 - 2.75, -266.8 - 2.75, 26.6667 + 2.75, -266.8 + 2.75)),
    ("back_board", "screw head left", Face.BOTTOM, Does.COUNTERBORE, 2.25,
     (-26.6667 - 5.25, -266.8 - 5.25, -26.6667 + 5.25, -266.8 + 5.25)),
    ("shelf", "insert hole", Face.TOP, Does.HOLE, None, (-5.25, -44.705, 5.25, -34.205)),
    # a screw of 60 through 13.1: 46.9 and 2
    ("shelf", "pilot hole left", Face.BACK, Does.HOLE, 48.9,
     (-26.6667 - 1.5, 7.3, -26.6667 + 1.5, 10.3)),
    ("pad", "blind hole", Face.BOTTOM, Does.HOLE, 10, (-3.25, -3.25, 3.25, 3.25)),
    ("pad", "dish", Face.TOP, Does.RECESS, 3, (-9, -9, 9, 9)),
    ("stop_block", "hole", Face.BOTTOM, Does.HOLE, None, (-4.2, -4.2, 4.2, 4.2)),
]  # fmt: skip


@pytest.mark.parametrize("row", CUTS, ids=lambda row: f"{row[0]}, {row[1]}")
def test_a_cut_by_hand(rings, row):
    part, name, face, does, depth, bounds = row
    cut = cuts(parts_of(rings["dibbers"])[part])[name]
    assert (cut.face, cut.does) == (face, does)
    assert cut.depth == (None if depth is None else pytest.approx(depth))
    assert cut.outline.bounds == pytest.approx(bounds, abs=1e-4)


@pytest.mark.parametrize(
    ("job", "what", "meets", "wide"),
    [
        # ISO 273: medium 9 for M8, 5.5 for M5, 6.6 for M6; fine 6.4
        ("dibbers", "hanging hole upper left", "t_slot_bolt", 9),
        ("posts", "hanging hole lower right", "rod", 5.5),
        ("heads", "close hole upper left", "hanging_screw", 6.4),
        ("heads", "close hole lower right", "hanging_screw", 6.4),
        ("heads", "hanging hole upper right", "hanging_screw", 6.6),
        ("heads", "hanging hole lower left", "hanging_screw", 6.6),
        ("pins", "hanging hole lower left", "hanging_screw", 5.5),
        ("pins", "hanging head lower left", "hanging_screw", 10.5),
    ],
)
def test_holes_that_it_hangs_by(rings, job, what, meets, wide):
    cut = cuts(parts_of(rings[job])["back_board"])[what]
    x0, _, x1, _ = cut.outline.bounds
    assert x1 - x0 == pytest.approx(wide)
    assert cut.meets == meets
    assert cut.face is (Face.TOP if job == "pins" else Face.BOTTOM)


def test_every_cut_is_there_on_both_sides(rings):
    for ring in rings.values():
        for part in parts_of(ring).values():
            all_cuts = cuts(part)
            for name, cut in all_cuts.items():
                if "left" not in name or name.startswith(("dowel", "close", "hanging")):
                    continue
                other = all_cuts[name.replace("left", "right")]
                x0, y0, x1, y1 = cut.outline.bounds
                assert other.outline.bounds == pytest.approx((-x1, y0, -x0, y1))
                assert (other.face, other.depth, other.does) == (cut.face, cut.depth, cut.does)


def test_only_the_fixed_half_has_heads_and_mounting_holes(rings):
    moving = cuts(parts_of(rings["dibbers"])["moving_half"])
    assert sorted(moving) == ["drawbolt hole left", "drawbolt hole right", "spring recess left",
                              "spring recess right"]  # fmt: skip


# What touches


@pytest.mark.parametrize(("job", "by"), [("dibbers", "slots"), ("heads", "holes"), ("pins", "")])
def test_contacts_of_the_hanging(rings, job, by):
    pairs = {(c.a, c.b): c.role for c in KIND.contacts(rings[job].n, SHOWN)}
    assert (("back board", "stop block") in pairs) is (by == "slots")
    assert (("board key", "front face") in pairs) is (by == "slots")
    assert (("dowel left", "front face") in pairs) is (job == "pins")
    assert pairs["pad", "piece"] is Role.SUPPORTS


@pytest.mark.parametrize("phase", Phase)
def test_room_that_must_stay(rings, phase):
    rooms = {(r.a, r.b): r.least for r in KIND.rooms(rings["dibbers"].n, State(phase, Limit.MOST))}
    halves = {("fixed half", "moving half"): 0.5}
    assert (
        rooms
        == {
            Phase.OPEN: {("fixed liner", "piece"): 0.5, ("moving liner", "piece"): 0.5},
            Phase.SETTING: {("piece", "back board"): 1},
            Phase.CLOSED: {("piece", "back board"): 1, **halves},
        }[phase]
    )


# How it goes together: every way out ends 5 mm beyond what held the part

WAYS: list[tuple[str, str, tuple[float, float, float]]] = [
    ("dibbers", "fixed liner", (0, -26.5, 0)), ("dibbers", "moving liner", (0, 26.5, 0)),
    # bolts of 100 and 60
    ("dibbers", "drawbolt left", (0, 105, 0)), ("dibbers", "mounting bolt right", (0, 65, 0)),
    ("dibbers", "fixed half", (0, -65, 0)), ("dibbers", "mounting nut left", (0, -65, 0)),
    ("dibbers", "moving half", (0, -105, 0)), ("dibbers", "drawbolt nut right", (0, -105, 0)),
    ("dibbers", "shelf screw left", (0, 40.2, 0)),  # twice the sheet
    ("dibbers", "shelf", (0, -19.5, 0)),  # the dado and 10
    # insert 15 long (DIN 7965), jack 50, a pad of 20
    ("dibbers", "insert", (0, 0, 20)), ("dibbers", "jack screw", (0, 0, -55)),
    ("dibbers", "pad", (0, 0, 25)),
    # T-slot bolts of 40
    ("dibbers", "stop block", (0, -45, 0)), ("dibbers", "board key", (0, 15, 0)),
    ("dibbers", "hanging nut upper left", (0, -45, 0)),
    ("dibbers", "back board", (0, -55, 0)),
    # the axis at 327.5 of a face from 0 to 600: the left bolts at 233.5, 20 and 5 beyond its end
    ("dibbers", "T-slot bolt lower left", (-258.5, 0, 0)),
    ("dibbers", "T-slot bolt upper right", (203.5, 0, 0)),  # 600 - 421.5
    # the stop's, half a board and half a stop to the left: 327.5 - 109 - 20 = 198.5
    ("dibbers", "T-slot bolt of the stop", (-223.5, 0, 0)),
    # closed on 31.5 the bores lie 2 x (18.5 - 15.75 + 0.42) past each other, open 9.5 - 8.1 the
    # other way
    ("dibbers", "the ring opens", (0, -7.74, 0)),
    ("dibbers", "the piece comes out upwards", (0, 0, 230)),  # 231 + 10 - 11
    ("posts", "T-slot nut upper left", (-181.5, 0, 0)),
    ("heads", "hanging screw upper left", (0, -35, 0)),
    ("pins", "hanging screw lower right", (0, -35, 0)),
    # through 14.8 of sheet and 15 of board
    ("pins", "dowel left", (0, -34.8, 0)),
]  # fmt: skip


def moves_of(ring: Jig) -> dict[str, Move]:
    return {move.name: move for move in KIND.moves(ring.n)}


@pytest.mark.parametrize(("job", "name", "way"), WAYS)
def test_ways_out(rings, job, name, way):
    (leg,) = moves_of(rings[job])[name].legs
    assert leg == pytest.approx(way)


@pytest.mark.parametrize("job", JOBS)
def test_all_there_is_moves_and_nothing_else(rings, job):
    ring = rings[job]
    placed = {p.name for p in KIND.poses(ring.n, SHOWN)}
    moves = moves_of(ring)
    told = [move for move in moves.values() if move.when != "changeover"]
    assert {name for move in told for name in move.unit} == placed
    ready = set(moves["back board"].unit)
    assert not [name for name in ready if name.startswith(("T-slot", "rod", "hanging", "stop"))]
    assert {"back board", "fixed half", "moving half", "pad", "drawbolt nut left"} <= ready
    assert len(ready) == len([n for n in placed if not n.startswith(("T-slot", "rod", "dowel"))
                              and "hanging" not in n and "stop" not in n])  # fmt: skip
    opens = moves["the ring opens"]
    assert opens.unit[:2] == ("moving half", "moving liner")
    assert len(opens.unit) == 6
    assert opens.at is Phase.CLOSED
    assert moves["the piece comes out upwards"].unit == ("piece",)
    goes_with = {"heads": 2, "pins": 1}.get(job)
    if goes_with:
        assert len(moves["hanging screw upper left"].unit) == goes_with
    else:
        assert len(moves["hanging nut upper left"].unit) == 2
    assert ("board key" in moves) is (job not in ("heads", "pins"))


# Tools: nuts of M8 13 over flats and 6.8 high, M5 8 and 4.7; screws of M6 10 and 4 (ISO 4017)


def tools_of(ring: Jig) -> dict[str, Any]:
    return {tool.name: tool for tool in KIND.tools(ring.n)}


@pytest.mark.parametrize(
    ("job", "name", "across", "height", "stands_out"),
    [
        # On the thinnest the moving half's bore is 4.295 behind the zero: a bolt of 100 from 33.955
        # ends at -66.045; the nut's face at 4.295 - 50.5 - 2 - 6.8 = -55.005
        ("dibbers", "drawbolt nut left", 13, 6.8, 11.04),
        # 60 from 47.055 ends at -12.945; its nut's face at 2.005 - 2 - 6.8
        ("dibbers", "mounting nut right", 13, 6.8, 6.15),
        # 40 less lip 9, sheet 17.6, washer 2 and nut 6.8
        ("dibbers", "hanging nut upper left", 13, 6.8, 4.6),
        # 40 less foot 4, lip 6, sheet 17.6, washer 1.2 and nut 4.7
        ("posts", "hanging nut lower right", 8, 4.7, 6.5),
        ("heads", "hanging screw upper right", 10, 4, 0),
    ],
)
def test_spanners(rings, job, name, across, height, stands_out):
    """At the hexagon's outer face, towards the operator."""
    ring = rings[job]
    tool = tools_of(ring)[name]
    assert isinstance(tool, Spanner)
    assert (tool.part, tool.across, tool.height, tool.axis) == (name, across, height, (0, -1, 0))
    assert tool.stands_out == pytest.approx(stands_out)
    at = {p.name: p.pose.at for p in KIND.poses(ring.n, SHOWN)}[name]
    # A screw's origin is under its head, a nut's is the face that bears.
    assert tool.at == pytest.approx((at[0], at[1] - height, at[2]))
    hung = name.startswith("hanging")
    assert tool.used is (Phase.OPEN if hung else Phase.SETTING)
    assert len(tool.with_it) == {"hanging nut": 3, "hanging scr": 1}.get(name[:11], 2)
    assert tool.levers == {"drawbo": ("+bolt_x",), "mounti": ("+mount_x",)}.get(name[:6], ())


def test_a_driver_for_wood_screws_and_a_hand_for_the_jack(rings):
    ring = rings["pins"]
    tools = tools_of(ring)
    assert len(tools) == 9
    at = {p.name: p.pose.at for p in KIND.poses(ring.n, SHOWN)}
    driver = tools["hanging screw lower left"]
    assert isinstance(driver, Driver)
    assert (driver.diameter, driver.length, driver.axis) == (8, 120, (0, -1, 0))
    assert driver.at == pytest.approx(at["hanging screw lower left"])
    hand = tools_of(rings["dibbers"])["jack screw"]
    assert isinstance(hand, HandTurn)
    assert (hand.radius, hand.fingers, hand.low, hand.high) == (5, 10, -4, 0)
    assert hand.at == pytest.approx((0, 0, -287))
    assert (hand.axis, hand.used) == ((0, 0, 1), Phase.CLOSED)


# A change of piece


def test_steps_and_turns(rings):
    """At first touch 7.1 are left on 36 and 2.6 on 31.5; up to 9.5 at 1.25 a turn, and 0.672."""
    steps = KIND.steps(rings["dibbers"].n)
    assert [s.turns for s in steps] == pytest.approx([0, -6.192, 0, 0, 0.672, 0])
    assert "2.6 to 6.2 turns each, most for the thinnest piece" in steps[1].says
    assert "0.67 turns each" in steps[4].says
    assert [s.removes for s in steps if s.removes] == ["the spanner", "the gauge"]


def test_pieces_all_alike_are_turned_alike(rings):
    class Alike:
        def __getattr__(self, name: str) -> Any:
            return 33.75 if name.startswith("grip_diameter") else getattr(rings["dibbers"].n, name)

    says = KIND.steps(Alike())[1].says  # type: ignore[arg-type]
    assert "by turns, 4.4 turns each, until" in says


def test_what_it_offers_and_where_it_puts_a_piece(rings):
    """A grid decides the axis; a thinner piece's axis lies nearer to the machine by what its radius
    is less."""
    assert "axis_x" not in KIND.offers(rings["dibbers"].n)
    assert KIND.offers(rings["heads"].n)["axis_x"] == "hang_axis"
    n = rings["dibbers"].n
    for diameter, dy in ((33.75, 0), (31.75, 1), (35.75, -1)):
        at = KIND.offset_of(n, {"grip_diameter": diameter})
        assert (at.dx, at.dz) == (0, None)
        assert at.dy == pytest.approx(dy)
