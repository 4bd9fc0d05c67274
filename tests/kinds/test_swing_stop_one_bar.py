"""One bar that steadies the body of a piece in a ring: numbers by hand, beside a ring as told."""

import math

import pytest

from jigs.errors import DesignError
from jigs.kinds.swing_stop import KIND, SwingStopOptions
from jigs.model.finding import Verdict
from jigs.model.number import Book, Number
from jigs.model.state import Limit, Phase, Role, State

# A ring with a lined radius of 18.5, liners squeezed by 0.42; a body of 30 x 26 below it.
RING = {
    "stand_off": 37.75, "nominal_offset": 1.67, "lined_radius": 18.5, "squeeze": 0.42, "gap": 6.6,
    "open_gap": 13.5, "ring_top": -7.0, "ring_height": 40.0, "board_width": 218.0,
    "hang_z": (-60.0, -300.0), "hang_washer": 24.0, "axis_y": -53.68,
}  # fmt: skip
PIECE = {
    "grip_diameter_least": 33.0, "grip_diameter_nominal": 34.5, "grip_diameter_most": 36.0,
    "length_least": 229.0, "length_nominal": 230.0, "length_most": 231.0, "piece_wood": "beech",
    "body_half_depth": 13.0, "body_below": 150.0, "body_length": 70.0, "body_width": 30.0,
    "body_depth": 26.0, "body_offset_x": 0.0, "body_offset_y": 0.0, "own_woods": (),
}  # fmt: skip
SHOP = {
    "front_y": 0.0, "front_top": -30.0, "front_bottom": -360.0, "front_left": 0.0,
    "front_right": 600.0, "front_anchors": "slots", "front_slots_along": "x",
    "front_slots_at": (-300.0, -240.0, -180.0, -120.0, -60.0), "front_slot_mouth": 10.2,
    "front_slot_lip": 9.0, "front_slot_profile": (10.2, 9.0, 17.0, 7.5), "front_hole_thread": "",
    "front_hole_columns": (), "front_hole_rows": (), "front_board_depth": 0.0,
    "front_free_below": 700.0, "hardware": "metric", "shelf": (), "asked_x": (), "axis_x": 300.0,
    "end_height": 2.25, "cut_does": "mark", "cut_depth": 1.0,
    "cut_force_most": 20.0, "cut_pull_most": 0.0, "cut_acts_highest": -0.5,
    "routed_corner": 3.0, "corner_relief": "overrun", "sheet_material": "birch plywood",
    "sheet_name": "ply", "sheet_least": 17.4, "sheet_nominal": 17.6, "sheet_most": 17.8,
    "liner_thickness": 3.0, "liner_tolerance": 0.2, "liner_hardness": 50.0, "liner_test": (),
    "lining_material": "rubber",
}  # fmt: skip


def stop(changes=(), **options):
    """The numbers of a swing stop beside that ring."""
    told = {**RING, **PIECE, **SHOP, **dict(changes)}
    shared = Book("setup", [Number(name, value) for name, value in told.items()])
    n = Book("stop", KIND.facts(SwingStopOptions(**options)), KIND.rules, {}, [shared])
    without = [
        Number(name, n[alias].value) for name, alias in KIND.offers(n).items() if name not in told
    ]
    shared.outer.append(Book("without", without))
    return n


def placed(n, phase, limit):
    return {p.name: p.pose.at for p in KIND.poses(n, State(phase, limit))}


def test_every_number_is_had():
    n = stop()
    assert all(n[name].name == name for name in n)
    for finding in KIND.own_checks(n):
        for name in (*finding.reads, *(lever[1:] for lever in finding.levers)):
            assert n[name].name == name


def test_what_is_left_behind_the_body():
    n = stop()
    # e = R - r + squeeze: 18.5 - 16.5 + 0.42 for the thinnest; 0.5 for the thickest at first touch
    assert n.behind_least == pytest.approx(37.75 - 2.42 - 13)
    assert n.behind_most == pytest.approx(37.75 - 0.5 - 13)
    # 24.25 is more than 0.5 + 1 + 2 + 4 + 8 = 15.5: a packer of 22.33, to the half millimetre below
    assert n.packer == 22.0
    assert stop(shims=(16.0, 8.0, 4.0, 2.0, 1.0, 0.5)).packer == 0


@pytest.mark.parametrize(
    ("diameter", "stack", "rest"),
    [
        # A = 37.75 - (18.5 - r + 0.42); less 13 and the packer of 22
        (33.0, (0.5,), 0.33 - 0.5),
        (33.6, (0.5,), 0.63 - 0.5),
        (34.5, (1.0,), 1.08 - 1.0),
        (36.0, (2.0,), 1.83 - 2.0),
    ],
)
def test_the_shims_of_a_piece(diameter, stack, rest):
    n = stop()
    shims, left = KIND.settings(n, {"grip_diameter": diameter, "length": 230.0})
    assert shims.value == sum(stack)
    assert shims.told == f"({' + '.join(f'{s:g}' for s in stack)})"
    assert left.value == pytest.approx(rest, abs=1e-3)


def test_packer_and_shims_stand_flush_and_the_body_against_them():
    n = stop()
    at = placed(n, Phase.CLOSED, Limit.NOMINAL)
    board = 37.75 - 1.67
    assert at["packer"][1] == pytest.approx(board)
    assert at["shim 1"][1] == pytest.approx(board - 22)
    # body's back: axis at e - nominal offset, and half of 26
    axis = (18.5 - 17.25 + 0.42) - 1.67
    behind = board - 22 - 1 - (axis + 13)
    (touch,) = [c for c in KIND.contacts(n, State(Phase.CLOSED, Limit.NOMINAL))
                if {c.a, c.b} == {"shim 1", "piece"}]  # fmt: skip
    assert behind == pytest.approx(0.08)
    assert touch.depth == 0
    (pushed,) = [c for c in KIND.contacts(n, State(Phase.CLOSED, Limit.LEAST))
                 if {c.a, c.b} == {"shim 0.5", "piece"}]  # fmt: skip
    assert (pushed.role, pushed.depth) == (Role.GUIDES, pytest.approx(0.17))


def test_the_bar_clears_the_body_while_the_ring_opens():
    n = stop()
    # the thinnest piece comes 2.42 and half of 13.5 - 6.6 towards the operator
    assert n.back_off == math.ceil(2.42 + 3.45 + 2)
    for limit, e in ((Limit.LEAST, 2.42), (Limit.MOST, 0.92)):
        at = placed(n, Phase.OPEN, limit)
        body_front = -1.67 - 3.45 - 13
        pad_face = at["bar"][1] + 3
        assert body_front - pad_face == pytest.approx(n.back_off - e - 3.45)
        assert body_front - pad_face >= 2


def test_the_row_and_what_it_keeps_clear_of():
    # the body reaches from -147.75 to -217.75 in the machine: -180 is nearest its middle, -182.75
    assert stop().stud_z == (-180.0,)
    with pytest.raises(DesignError, match="no row of the front face lies behind the body"):
        stop({"front_slots_at": (-60.0, -300.0)}).stud_z  # noqa: B018
    with pytest.raises(DesignError, match="no row"):
        stop({"hang_z": (-60.0, -180.0), "front_slots_at": (-180.0,)}).stud_z  # noqa: B018
    board = {"front_slots_at": (), "front_slots_along": "none"}
    assert stop(board).stud_z == pytest.approx((-182.75,))


def test_studs_stand_beside_the_rings_board():
    n = stop()
    # half of 218, an open spanner's head of 1.1 x 13 and 1 mm
    assert n.stud_x == math.ceil(109 + 1.1 * 13 + 1)
    beside = stop({"board_width": 20.0})
    # half the body, half a hole of 9, 3 mm; or the spanner
    assert beside.stud_x == max(math.ceil(15 + 4.5 + 3), math.ceil(10 + 15.3))


def test_rounded_shims_tilt_the_piece_about_the_ring():
    n = stop()
    # ring's middle at -27, bar at -182.25: lever 155.25; the end is 27 above
    (spread,) = KIND.spreads(n)
    assert spread.size == pytest.approx(27 * math.atan2(0.25, 155.25), rel=1e-3)
    found = {f.check: f for f in KIND.own_checks(n)}
    told = found["the end stands where it should, in spite of rounded shims"]
    assert told.value == pytest.approx(27 * n.shim_rest / 155.25, rel=1e-3)
    assert {f.verdict for f in found.values()} == {Verdict.MET}


def test_a_coarse_set_is_not_met_and_says_so():
    n = stop(shims=(3.0, 24.0))
    failing = {f.check for f in KIND.own_checks(n) if f.verdict is not Verdict.MET}
    assert failing == {
        "shims come within a quarter millimetre",
        "the end stands where it should, in spite of rounded shims",
    }


def test_a_through_cut_asks_for_height():
    n = stop({"cut_does": "slot", "cut_depth": 6.0, "end_height": 8.0})
    (told,) = [f for f in KIND.own_checks(n) if f.check == "through cuts pass above the table"]
    assert (told.verdict, told.limit) == (Verdict.NOT_MET, 11.0)


def test_no_body_is_said():
    with pytest.raises(DesignError, match="no body"):
        stop({"body_width": 0.0}).pad_width  # noqa: B018


def test_it_steadies_and_holds_nothing():
    n = stop()
    sizes = {"grip_diameter": 34.5, "length": 230.0}
    assert not [*KIND.grips(n, sizes), *KIND.footings(n), *KIND.gives(n, sizes), *KIND.datums(n)]
    assert KIND.offset_of(n, sizes).dy is None
    assert n.bar_torque == 300
    # what a cut towards the operator asks of the bar: over the ring's middle
    (bent,) = [f for f in KIND.own_checks(n) if f.check == "bars bend under their studs"]
    assert any(f"adds {1.5 * 20 * 26.5 / 155.25:.0f} N" in told for told in bent.assumes)


def test_what_a_ring_says_goes_before_what_is_done_without():
    assert set(KIND.offers(stop())) == {
        f"{side}_{word}" for side in ("width", "depth") for word in ("least", "nominal", "most")
    }
