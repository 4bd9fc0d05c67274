"""The riser, worked by hand from two shops.

Stool feet: 28 ± 0.3 square, 80 ± 0.3 long, slot 12 deep, stick-out 24, the collet nut never lower
than 105; sheet 17.6 ± 0.2; slots along y. Tallies: 36 ± 0.3 wide, 15 ± 0.3 deep, 120 ± 0.5 long;
slots 14.2 wide, 50 apart, from jaw to jaw; plate of sheet 11.8 ± 0.2.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from jigs import check, read_job
from jigs.errors import DesignError, ReadingErrors
from jigs.model.finding import Finding, Verdict
from jigs.model.state import Limit, Phase, State, all_states
from jigs.sizing import Design, Jig, design
from jigs.solids.scene import Scene

SHOPS = Path(__file__).parents[1] / "shops"
BLOCK, PLATE = "clamp_on_a_riser", "clamp_on_a_plate"


def job_text(shop: str) -> str:
    return (SHOPS / f"{shop}.yaml").read_text(encoding="utf-8")


@pytest.fixture
def told(tmp_path):
    """A shop with words of its job exchanged."""

    def exchanged(shop: str, *pairs: tuple[str, str]) -> Design:
        text = job_text(shop)
        for old, new in pairs:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        path = tmp_path / "job.yaml"
        path.write_text(text, encoding="utf-8")
        return design(read_job(path))

    return exchanged


@pytest.fixture
def without(told):
    """A shop whose clamp stands on the bare table."""
    lines = {
        BLOCK: (("  riser: {kind: riser}\n", ""), ("[riser, clamp]", "[clamp]")),
        PLATE: (
            ("  plate: {kind: riser, made: plate, sheet: thin ply}\n", ""),
            ("[plate, clamp]", "[clamp]"),
        ),
    }
    return lambda shop: told(shop, *lines[shop])


def of_shop(shop: str, **changes) -> Design:
    """A shop with numbers changed: `riser__layers` for `riser.layers`."""
    named = {name.replace("__", "."): value for name, value in changes.items()}
    return design(read_job(SHOPS / f"{shop}.yaml"), named)


def riser_of(d: Design) -> Jig:
    return next(jig for _, jig in d.jigs() if jig.kind.name == "riser")


def clamp_of(d: Design) -> Jig:
    return next(jig for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")


def not_met(d: Design) -> dict[str, Finding]:
    return {f.check: f for f in check(d, solids=False) if f.verdict is Verdict.NOT_MET}


# Numbers by hand


def test_the_block_is_as_high_as_the_lowest_z_asks_in_whole_sheets():
    """The fences end 5.5 below the floor of the cut: 79.7 - 12 - 5.5 + 24 = 86.2 of 105."""
    n = riser_of(of_shop(BLOCK)).n
    assert n.rise_needed == pytest.approx(18.8)
    assert n.layers == 2  # one sheet of 17.4 is less than 18.8
    assert n.rise == pytest.approx(35.2)
    assert n.riser_width == pytest.approx(25.7)
    # Datum fence at 14; the shallowest piece ends at 14 - 27.7.
    assert n.riser_reach == pytest.approx((-12.7, 13.0))
    assert (n.dowels, n.dowel_diameter) == (2, 6)


def test_the_clamp_follows_the_piece_up():
    """Ends at 79.7 + 35.2 = 114.9; the floor of the cut at 102.9; half millimetres below 5 mm."""
    n = clamp_of(of_shop(BLOCK)).n
    assert n.end_least == pytest.approx(114.9)
    assert (n.jaw_top, n.fence_top) == (109.5, 97.5)
    assert n.piece_top == pytest.approx(115.2)
    # Middle of what grips: (35.2 + 109.5) / 2 = 72.35, up to the next half.
    assert (n.grip_from, n.drawbolt_height) == (pytest.approx(35.2), 72.5)
    # A block ends short of the fences: their foot stays where it was.
    assert n.fence_foot == 2


def test_the_grip_is_told_from_the_pieces_end():
    """Of 80 mm the faces hold all from the foot up to 109.5 - 115.2."""
    jig = clamp_of(of_shop(BLOCK))
    (grip,) = jig.kind.grips(jig.n, {"width": 28.0, "depth": 28.0, "length": 80.0})
    assert (grip.low, grip.high) == (pytest.approx(-80), pytest.approx(-5.7))


@pytest.mark.parametrize("deep", [12.0, 5.0])
def test_a_raised_clamp_holds_the_piece_as_one_on_the_table_does(without, deep):
    """As high above the foot; only the 3.5 mm up to the top of the chip rebate are won."""
    raised = clamp_of(of_shop(BLOCK, **{"wedge slot__cut_depth": deep})).n
    bare = clamp_of(design(without(BLOCK).job, {"wedge slot.cut_depth": deep})).n
    assert raised.jaw_top - raised.rise == pytest.approx(bare.jaw_top, abs=0.5)
    gripped = [n.jaw_top - n.grip_from for n in (raised, bare)]
    assert gripped[0] - gripped[1] == pytest.approx(3.5, abs=0.5)


def test_the_plate_bridges_both_slots_that_its_edges_come_near():
    """7.5 + 10 ends within 10 of the mouths at 25 (17.9 to 32.1): out to 42.1, up to a half."""
    n = riser_of(of_shop(PLATE)).n
    assert n.riser_reach == (-42.5, 42.5)
    assert n.key_width == pytest.approx(14.0)
    assert abs(n.key_y) == pytest.approx(25)
    assert clamp_of(of_shop(PLATE)).n.fence_foot == pytest.approx(13.8)


def test_the_plate_bridges_one_slot_under_the_piece(told):
    """The user's own y puts the piece over the slot at 210: 7.1 + 10 is less than 7.5 + 10."""
    d = told(PLATE, ("at: table, jigs", "at: table, y: 210, jigs"))
    n = riser_of(d).n
    # Datum side 7.5 + 10, free side 15.3 - 7.5 + 10, up to a half.
    assert n.riser_reach == (-18.0, 17.5)
    assert n.key_y == pytest.approx(0)


def test_clear_of_slots_against_points_along_the_edge():
    """Second witness: no point within 10 mm of either end of the plate lies over a mouth."""
    n = riser_of(of_shop(PLATE)).n
    low, high = n.riser_reach
    for edge, inwards in ((low, 1), (high, -1)):
        for i in range(101):
            point = edge + inwards * i / 10
            assert all(abs(point - slot) >= 7.1 for slot in n.slots_v)


# In its box


@pytest.mark.parametrize("shop", [BLOCK, PLATE])
def test_a_closed_clamp_has_the_riser_under_the_piece_wherever_it_lay(shop):
    """Pushed by faces and fences it keeps within the piece; a plate only across its width."""
    n = riser_of(of_shop(shop)).n
    for limit in Limit:
        width, depth = (n[f"{side}_{limit}"].value for side in ("width", "depth"))
        fixed = -n.width_nominal / 2
        for start in (fixed, fixed + width - n.riser_width):
            assert fixed <= start <= start + n.riser_width <= fixed + width + 1e-9
        if shop == BLOCK:
            low, high = n.riser_reach
            datum = n.depth_nominal / 2
            assert datum - depth <= low <= high <= datum


@pytest.mark.parametrize("shop", [BLOCK, PLATE])
def test_room_round_the_riser_on_the_solids(shop):
    """1 mm to the fixed face always, to the moving one on the thinnest; fences 2 above a plate."""
    d = of_shop(shop)
    (setup,), scene, me = d.setups, Scene(d), f"{riser_of(d).name}/riser"
    least = State(Phase.CLOSED, Limit.LEAST)
    rooms = {
        other: scene.distance(setup, least, me, f"clamp/{other}")
        for other in ("fixed face", "moving face", "free fence")
    }
    fence = 1.0 if shop == BLOCK else 2.0
    assert rooms == pytest.approx({"fixed face": 1, "moving face": 1, "free fence": fence})
    # Backer, or datum fence: 1 mm beside a block; a mark needs no backer.
    datum = "backer" if shop == BLOCK else "datum fence"
    assert scene.distance(setup, least, me, f"clamp/{datum}") == pytest.approx(fence)


@pytest.mark.parametrize("shop", [BLOCK, PLATE])
def test_it_lies_still_and_the_piece_stands_on_it(shop):
    d = of_shop(shop)
    jig = riser_of(d)
    (setup,) = d.setups
    places = {tuple(jig.poses(state)) for state in all_states()}
    assert len(places) == 1
    (riser,) = (p for p in next(iter(places)) if p.name == "riser")
    for state in all_states():
        length = jig.n[f"length_{state.piece}"].value
        foot = setup.piece_pose(state).at[2] - length
        assert foot == pytest.approx(riser.pose.at[2] + jig.n.rise)
    assert setup.work_zero.apply(riser.pose.at)[2] == pytest.approx(0)


def test_wide_batches_keep_the_block_off_the_free_fence(told):
    """Depths from 24 to 32: the block is 22 deep, 1 mm off the datum side: from -9 to 13."""
    d = told(BLOCK, ("depth: 28 ± 0.3", "depth: 24 to 32"))
    assert riser_of(d).n.riser_reach == pytest.approx((-9.0, 13.0))


# What it is for


def test_too_short_for_the_spindle_without_it(without):
    """80 - 0.3 - 12 + 24 = 91.7 of 105; the datum at the fences 5.5 lower still."""
    failed = not_met(without(BLOCK))
    lowered = failed["collet nut within travel in z, lowered"]
    assert (lowered.value, lowered.limit) == (pytest.approx(91.7), 105)
    assert "riser" in lowered.why
    assert all("datum" in name for name in failed if name != lowered.check)


def test_narrower_than_a_slot_without_it(without):
    """14.7 of 14.2 + 2."""
    (failed,) = not_met(without(PLATE)).values()
    assert failed.check == "the piece is wider than a slot"
    assert (failed.value, failed.limit) == (pytest.approx(14.7), pytest.approx(16.2))
    assert "riser" in failed.why


@pytest.mark.parametrize("shop", [BLOCK, PLATE])
def test_with_it_all_that_numbers_tell_is_met(shop):
    assert not_met(of_shop(shop)) == {}


def test_too_low_for_the_fences_without_it(told):
    """A lower piece leaves no room for two bolts in a fence; raised, it does."""
    short = ("length: 80 ± 0.3", "length: 70 ± 0.3")
    with pytest.raises(DesignError) as refused:
        told(BLOCK, short, ("  riser: {kind: riser}\n", ""), ("[riser, clamp]", "[clamp]"))
    assert "riser" in refused.value.remedy
    assert clamp_of(told(BLOCK, short)).n.fence_bolts_z[0] > 0


def test_its_thickness_goes_into_the_height_once_for_the_batch(told):
    """Two layers of ± 0.2; what a caliper tells once it is measured as built."""
    sized = riser_of(of_shop(BLOCK))
    built = riser_of(told(BLOCK, ("{kind: riser}", "{kind: riser, built: {rise: 35.36}}")))
    for jig, size in ((sized, 0.4), (built, 0.05)):
        first, dust = jig.kind.spreads(jig.n)
        assert (first.axis, first.size, first.each) == ("z", pytest.approx(size), False)
        assert (dust.axis, dust.shape) == ("z", "one-sided")
    assert built.n.rise == 35.36


def test_the_end_rises_by_as_much_as_the_riser():
    d = of_shop(BLOCK)
    for rise in (30.0, 35.2, 40.0):
        (setup,) = of_shop(BLOCK, riser__rise=rise).setups
        assert setup.n.end_height - d.setups[0].n.end_height == pytest.approx(rise - 35.2)


# Made to fail


@pytest.mark.parametrize(
    ("shop", "changes", "name"),
    [
        (BLOCK, {"riser__layers": 1},
         "raised enough for the spindle to come down to the cut and the zero"),
        (BLOCK, {"riser__rise": 5.0}, "the riser cannot slip under faces and fences"),
        (BLOCK, {"riser__riser_width": 27.2}, "the jaws close on the piece, not on the riser"),
        (BLOCK, {"riser__riser_width": 18.0},
         "the riser bears the piece's middle, across its width"),
        (BLOCK, {"riser__riser_reach": (-13.4, 13.9)},
         "the fences close on the piece, not on the riser"),
        (BLOCK, {"riser__riser_reach": (-4.0, 13.0)},
         "the riser bears the piece's middle, across its depth"),
        (PLATE, {"plate__riser_reach": (-42.5, 30.0)},
         "the plate bears beside the slots that it bridges"),
        (PLATE, {"plate__key_into_slot": 1.0}, "the riser's key reaches into the slot"),
        (PLATE, {"plate__key_groove": 6.5}, "sheet left over the key's groove"),
    ],
)  # fmt: skip
def test_every_check_can_fail(shop, changes, name):
    jig = riser_of(of_shop(shop, **changes))
    sound = riser_of(of_shop(shop))
    verdicts = [
        {f.check: f.verdict for f in one.kind.own_checks(one.n)}[name] for one in (jig, sound)
    ]
    assert verdicts == [Verdict.NOT_MET, Verdict.MET]


def test_on_a_slots_edge_it_rocks(told):
    """The middle at 264, 14 from the slot at 250: the fixed face stands over the mouth's middle."""
    d = told(BLOCK, ("at: table, jigs", "at: table, x: 264, jigs"))
    found = {f.check: f for f in riser_of(d).kind.own_checks(riser_of(d).n)}
    edges = found["the riser's edges stand on metal, along x"]
    assert edges.verdict is Verdict.NOT_MET
    assert edges.value == pytest.approx(-4.1)


def test_a_block_over_a_slot_from_jaw_to_jaw_is_told_of_the_plate(told):
    """Over the slot at 210 its edges, 7.5 - 1 from the middle, lie within the mouth's 7.1."""
    d = told(PLATE, ("made: plate", "made: block"), ("at: table, jigs", "at: table, y: 210, jigs"))
    jig = riser_of(d)
    edges = {f.check: f for f in jig.kind.own_checks(jig.n)}[
        "the riser's edges stand on metal, along y"
    ]
    assert edges.verdict is Verdict.NOT_MET
    assert "made: plate" in edges.why


# Bad input


def test_a_plate_without_a_slot_to_bridge_is_refused(told):
    with pytest.raises(DesignError) as refused:
        told(BLOCK, ("{kind: riser}", "{kind: riser, made: plate}"))
    assert "made: block" in refused.value.remedy


def test_no_layers_are_refused():
    with pytest.raises(DesignError, match="layers"):
        of_shop(BLOCK, riser__layers=0)


def test_drawbolts_below_the_piece_are_refused():
    with pytest.raises(DesignError, match="30 mm above the table"):
        of_shop(BLOCK, clamp__drawbolt_height=30.0)


def test_a_riser_in_front_of_the_table_is_refused(told):
    with pytest.raises(ReadingErrors, match="front face"):
        told(BLOCK, ("at: table", "at: front face"))


def test_layers_come_on_dowels_that_keep_wood_round_them():
    """Second witness: every dowel's rim 4 mm and more inside the outline, and from the other."""
    jig = riser_of(of_shop(BLOCK))
    x0, y0, x1, y1 = jig.parts["riser"].outline.bounds
    holes = [c.outline.centre for c in jig.parts["riser"].cuts if "dowel" in c.name]
    assert len(holes) == 2
    for x, y in holes:
        assert min(x - x0, x1 - x, y - y0, y1 - y) - 3 >= 4 - 1e-9
    (ax, ay), (bx, by) = holes
    assert ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5 - 6 >= 4
