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
    assert set(built.report["counts"]) == {"met"}


def test_inches_are_read_as_inches():
    """By hand: 1-7/16 in = 36.5125 mm; 9 in = 228.6 mm."""
    numbers = design(read_job(SHOPS[0].parent / "garage_inch.yaml")).numbers()
    assert numbers["peg.grip_diameter_most"].value == pytest.approx(36.5125)
    assert numbers["peg.length_nominal"].value == pytest.approx(228.6)
    assert numbers["ring.drawbolt_size"].value == "5/16"
