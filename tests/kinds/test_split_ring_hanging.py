"""What the back board hangs on, in shops that offer other things than wide slots.

Numbers worked by hand from `tests/shops/front_*.yaml`; sizes of bought parts from the standards
named beside them.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from jigs.checks.numbers import own_findings
from jigs.errors import DesignError
from jigs.model.finding import Verdict
from jigs.model.state import SHOWN
from jigs.reading.job import read_job
from jigs.sizing import Design, Jig, design

SHOPS = Path(__file__).parents[1] / "shops"


def shop(name: str) -> str:
    return (SHOPS / f"{name}.yaml").read_text()


def sized(text: str, tmp_path: Path) -> Design:
    path = tmp_path / "job.yaml"
    path.write_text(text)
    return design(read_job(path))


def ring_of(d: Design) -> Jig:
    return next(jig for _, jig in d.jigs() if jig.kind.name == "split_ring")


def not_met(d: Design) -> set[str]:
    return {f"{f.of}: {f.check}" for f in own_findings(d) if f.verdict is not Verdict.MET}


def in_machine(d: Design, name: str) -> tuple[float, float, float]:
    placed = {p.name: p.pose for p in ring_of(d).poses(SHOWN)}
    return (d.setups[0].work_zero @ placed[name]).at


CORNERS = ("upper left", "upper right", "lower left", "lower right")


# Slots of 6 mm: T-slot nuts (DIN 508: M5 x 6, foot 10 wide, 4 high; 8 high in all)


def test_narrow_slots_take_nuts_and_rod(tmp_path):
    n = ring_of(sized(shop("front_narrow_slots"), tmp_path)).n
    assert (n.hang_by, n.hang_size, n.hang_throat) == ("T-slot nuts and rod", "M5", 6)
    # foot 4, lip 6, sheet 17.8, washer 1.2, nut 4.7, two threads of 0.8: 35.3; cut to whole 5 mm
    assert n.hang_length == 40


@pytest.mark.parametrize("corner", [*CORNERS, "of the stop"])
def test_the_rod_never_reaches_the_slots_floor(corner, tmp_path):
    d = sized(shop("front_narrow_slots"), tmp_path)
    _, nut_low, z = in_machine(d, f"T-slot nut {corner}")
    _, rod_end, _ = in_machine(d, f"rod {corner}")
    assert nut_low == pytest.approx(6 + 4)  # lip and foot behind the face at y = 0
    assert rod_end == pytest.approx(nut_low)
    assert rod_end < 6 + 5.5  # lip and room
    assert z in (-60, -240)


def test_nuts_that_would_stand_proud_are_not_chosen(tmp_path):
    """DIN 508: M5 for a slot of 6 stands 4 above its foot."""
    text = shop("front_narrow_slots")
    face = text.index("front_face")
    thin = text[:face] + text[face:].replace("lip: 6", "lip: 3.5", 1)
    with pytest.raises(DesignError, match=r"with a lip of 3\.5"):
        sized(thin, tmp_path)


# A grid of threads: columns at 25 + 50 i, rows at -310 + 50 j


def test_screws_meet_the_grid(tmp_path):
    d = sized(shop("front_holes"), tmp_path)
    for corner in CORNERS:
        x, _, z = in_machine(d, f"hanging screw {corner}")
        assert (x - 25) % 50 == pytest.approx(0, abs=1e-9)
        assert (z + 310) % 50 == pytest.approx(0, abs=1e-9)


def test_screws_engage_one_and_a_half_diameters_and_no_more_than_there_is(tmp_path):
    n = ring_of(sized(shop("front_holes"), tmp_path)).n
    # ISO 7093: 1.6 thick; sheet 17.8 ± 0.2
    assert n.hang_length == 30
    assert n.hang_length - 18.0 - 1.6 >= 1.5 * 6
    assert n.hang_length - 17.6 - 1.6 <= n.thread_depth == 15


def test_shallow_threads_take_a_shorter_bite(tmp_path):
    text = shop("front_holes").replace(
        "{kind: split_ring}", "{kind: split_ring, set: {thread_depth: 5.8}}"
    )
    d = sized(text, tmp_path)
    assert ring_of(d).n.hang_length == 30  # 19.6 + 5.8 = 25.4: 25 would not do
    assert not_met(d) == {"ring: hanging screws end above the bottom of their holes"}


def test_two_close_holes_at_opposite_corners_bring_the_board_back(tmp_path):
    cuts = ring_of(sized(shop("front_holes"), tmp_path)).parts["back_board"].cuts
    wide = {c.name: c.outline.bounds[2] - c.outline.bounds[0] for c in cuts if " hole " in c.name}
    # ISO 273, M6: fine 6.4, medium 6.6
    assert wide["close hole upper left"] == pytest.approx(6.4)
    assert wide["close hole lower right"] == pytest.approx(6.4)
    assert wide["hanging hole upper right"] == pytest.approx(6.6)
    assert wide["hanging hole lower left"] == pytest.approx(6.6)


@pytest.mark.parametrize(
    ("x", "meets"),
    [(225, True), (250, True), (260, False)],  # on a column, between two, on neither
)
def test_an_x_fixed_by_the_user_is_met_or_said(x, meets, tmp_path):
    text = shop("front_holes").replace("cut: number}", f"cut: number, x: {x}}}")
    said = "ring: hanging screws meet the grid" in not_met(sized(text, tmp_path))
    assert said is not meets


SLOTTED_TABLE = (
    "{anchors: holes, thread: M6, pitch: 50, first: [25, 25], columns: 10, rows: 8}",
    "{anchors: slots, along: y, at: [60, 180, 300, 420], "
    "profile: {mouth: 10.2, lip: 5, wide: 17, room: 7.5}}",
)


@pytest.mark.parametrize(
    ("jigs", "says"),
    [
        ("[ring, gauge]", "gauge: key meets a slot of the table"),
        ("[gauge, ring]", "ring: hanging screws meet the grid"),
    ],
)
def test_grid_and_key_that_want_another_x_are_said(jigs, says, tmp_path):
    text = shop("front_holes").replace(*SLOTTED_TABLE).replace("[ring, gauge]", jigs)
    assert not_met(sized(text, tmp_path)) == {says}


# A board: 18 thick, from -140 to -18; sheet 14.8 ± 0.2


def test_screws_stay_in_the_board(tmp_path):
    n = ring_of(sized(shop("front_board"), tmp_path)).n
    assert (n.hang_by, n.hang_size, n.hang_length) == ("wood screws", "5", 30)
    assert n.hang_length - 14.6 <= 18 - 2  # the next, 35, would come within 2 mm of the far side


def test_holes_to_drill_lie_under_screws_and_dowels(tmp_path):
    d = sized(shop("front_board"), tmp_path)
    holes = {h.meets: h for h in ring_of(d).board_holes}
    assert set(holes) == {f"hanging screw {c}" for c in CORNERS} | {"dowel left", "dowel right"}
    for name, hole in holes.items():
        x, y, z = d.setups[0].work_zero.apply(hole.at)
        part_x, _, part_z = in_machine(d, name)
        assert (x, z) == pytest.approx((part_x, part_z))
        assert y == pytest.approx(0)
        assert -140 + 10 < z < -18 - 10
        assert hole.depth < 18
    # pilot 3 for a 5 mm screw; bites 30 - 14.8 and 1 mm more
    assert holes["hanging screw upper left"].diameter == 3
    assert holes["hanging screw upper left"].depth == pytest.approx(16.2)
    assert (holes["dowel left"].diameter, holes["dowel left"].depth) == (8, 15)


def test_dowels_lie_at_opposite_corners_clear_of_the_screws(tmp_path):
    d = sized(shop("front_board"), tmp_path)
    left, right = in_machine(d, "dowel left"), in_machine(d, "dowel right")
    assert left[2] == pytest.approx(in_machine(d, "hanging screw upper left")[2] - 15)
    assert right[2] == pytest.approx(in_machine(d, "hanging screw lower right")[2] + 15)
    assert left[0] < right[0]


@pytest.mark.parametrize("name", ["front_board", "front_holes"])
def test_no_key_and_no_stop_without_slots(name, tmp_path):
    ring = ring_of(sized(shop(name), tmp_path))
    assert not {"board_key", "stop_block"} & set(ring.parts)
    assert "key groove" not in {cut.name for cut in ring.parts["back_board"].cuts}


def test_a_board_too_thin_is_refused(tmp_path):
    text = shop("front_board")
    face = text.index("front_face")
    thin = text[:face] + text[face:].replace("thickness: 18", "thickness: 6", 1)
    with pytest.raises(DesignError, match=r"ring\.hang_size: no wood screw"):
        sized(thin, tmp_path)


# Sizes


@pytest.mark.parametrize(
    ("grip_to", "size"),
    # height = grip_to - 2 - 7: ISO 7093 washers of 24, 18, 15 want 34, 28, 25
    [(43, "M8"), (42.9, "M6"), (37, "M6"), (36.9, "M5"), (34, "M5")],
)
def test_the_drawbolts_are_the_largest_that_the_ring_takes(grip_to, size, tmp_path):
    text = shop("front_board").replace("grip_to: 38", f"grip_to: {grip_to}")
    thick = text.replace("nominal: 15, measured: 14.8", "nominal: 18, measured: 17.8")
    ring = ring_of(sized(thick, tmp_path)).n
    assert ring.end_height + ring.ring_drop == pytest.approx(7)
    assert ring.drawbolt_size == size


def test_the_shelf_decides_size_and_length(tmp_path):
    text = (
        shop("front_holes")
        + "shelf: {coach bolt: {M6: [60, 100, 120]}, hex screw: {M6: [35, 60]}}\n"
    )
    n = ring_of(sized(text, tmp_path)).n
    assert n.drawbolt_size == "M6"
    assert n.drawbolt_length in (100, 120)
    assert n.mount_length == 60
    assert n.hang_length == 35
    assert (n.jack_size, n.jack_length) == ("M6", 60)


@pytest.mark.parametrize("hardware", ["metric", "inch"])
@pytest.mark.parametrize("diameter", [16.5, 20, 24.5])
@pytest.mark.parametrize("length", [90, 130])
def test_small_pins_are_held_in_a_small_machine(hardware, diameter, length, tmp_path):
    text = shop("front_board").replace("hardware: metric", f"hardware: {hardware}")
    text = text.replace("18 to 19.5", f"{diameter - 0.5} to {diameter + 0.5}")
    text = text.replace("100 ± 0.5", f"{length} ± 0.5").replace(
        "free_below: 190", "free_below: 230"
    )
    text = text.replace("[[50, 16], [99, 12]]", f"[[50, {diameter - 2}], [{length - 1}, 12]]")
    text = text.replace("grip_to: 38", "grip_to: 40").replace("width: 16}", "width: 14}")
    assert not_met(sized(text, tmp_path)) == set()


def test_a_bench_too_near_is_said(tmp_path):
    text = shop("front_board").replace("free_below: 190", "free_below: 140")
    assert not_met(sized(text, tmp_path)) == {
        "ring: back board ends above the bench",
        "ring: a hand gets under the jack",
    }
