"""Shops unlike the shipped ones build without a change to the code."""

from pathlib import Path

import pytest

from jigs.building import build
from jigs.reading.job import read_job
from jigs.sizing import design

SHOPS = sorted((Path(__file__).parent.parent / "shops").glob("*.yaml"))


@pytest.mark.parametrize("path", SHOPS, ids=lambda p: p.stem)
def test_a_strangers_shop_is_all_met(path, tmp_path):
    built = build(path, tmp_path / path.stem, pictures=False)
    assert [f for f in built.report["findings"] if f["verdict"] != "met"] == []
    assert set(built.report["counts"]) == {"met"}


def numbers_of(shop):
    return design(read_job(SHOPS[0].parent / f"{shop}.yaml")).numbers()


def test_inches_are_read_as_inches():
    """By hand: 1-7/16 in = 36.5125 mm; 9 in = 228.6 mm."""
    numbers = numbers_of("garage_inch")
    assert numbers["peg.grip_diameter_most"].value == pytest.approx(36.5125)
    assert numbers["peg.length_nominal"].value == pytest.approx(228.6)
    assert numbers["ring.drawbolt_size"].value == "5/16"


@pytest.mark.parametrize(
    ("shop", "turn", "hold_by", "size", "located_by", "slides"),
    [
        # slots along x, the jaws closing along y: the slots lie across, as on a bench turned
        ("clamp_turned_to_front", 90, "T-slot bolt", "M6", "key", False),
        ("clamp_very_small", 0, "threaded hole", "M5", "holes", False),
        ("clamp_inch_grid", 180, "threaded hole", "3/8", "holes", False),
    ],
)
def test_clamps_hold_by_what_the_shop_has(shop, turn, hold_by, size, located_by, slides):
    numbers = numbers_of(shop)
    found = [
        numbers[f"clamp.{name}"].value
        for name in ("turn", "hold_by", "hold_size", "located_by", "slides_along")
    ]
    assert found == [turn, hold_by, size, located_by, slides]


@pytest.mark.parametrize(
    ("shop", "first", "pitch"),
    [("clamp_very_small", (12.5, 32.5), 25), ("clamp_inch_grid", (25.4, 25.4), 50.8)],
)
def test_hold_downs_meet_the_grid(shop, first, pitch):
    from jigs.model.state import Limit, Phase, State

    d = design(read_job(SHOPS[0].parent / f"{shop}.yaml"))
    setup, jig = next(d.jigs())
    for limit in Limit:
        poses = {p.name: p.pose for p in jig.poses(State(Phase.CLOSED, limit))}
        studs = [setup.work_zero @ pose for name, pose in poses.items() if name.endswith("stud")]
        assert len(studs) == 4
        for stud in studs:
            for at, start in zip(stud.at[:2], first, strict=True):
                holes = (at - start) / pitch
                assert holes == pytest.approx(round(holes), abs=1e-6)
