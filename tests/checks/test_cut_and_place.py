"""Checks on the cut and on travel: each is made to fail by one number, with the value by hand."""

from pathlib import Path

import pytest

from jigs.checks.cut import check_cut
from jigs.checks.place import check_place
from jigs.checks.reach import check_reach
from jigs.reading.job import read_job
from jigs.sizing import design

CONFIGS = Path(__file__).parents[2] / "configs"


def failing(findings):
    return {f.check: f for f in findings if f.verdict == "not met"}


def test_the_shipped_cut_and_place_are_met(allotment):
    assert failing(check_cut(allotment)) == {}
    assert failing(check_place(allotment)) == {}


@pytest.mark.parametrize(
    ("number", "value", "check", "margin"),
    [
        ("mark.cut_depth", 22.0, "cutter reaches the depth", 20 - 22),  # flute 20, full shank
        ("mark.cut_width", 31.0, "cut lies within the piece's end", 30 - 31),  # dome 30 wide
        ("mark.stick_out", 50.0, "enough shank in the collet", 60 - 2 * 6 - 50),
    ],
)
def test_one_number_makes_one_check_fail(allotment, number, value, check, margin):
    found = failing(check_cut(design(allotment.job, {number: value})))
    assert list(found) == [check]
    assert found[check].margin == pytest.approx(margin)


def test_a_thin_shank_lets_the_whole_cutter_in(allotment):
    thin = design(allotment.job, {"mark.cut_depth": 22.0, "mark.shank": 5.0})
    assert failing(check_cut(thin)) == {}


def test_a_piece_in_front_of_the_travel_is_named(allotment):
    """Travel in y starts at -110; a face 70 mm in front of the table's edge puts the axis beyond.

    By hand: sheet 17.6, stand-off 21.5 + 20 - 4.5 = 37, offset 18.5 - 16.875 + 0.42 = 2.045.
    """
    far = design(allotment.job, {"machine.front_y": -70.0})
    found = failing(check_reach(far))
    assert next(iter(found)) == "whole cut within travel in y"
    assert all(name.startswith("datum ") for name in list(found)[1:])
    axis = -70 - 17.6 - 37 + 2.045
    thickest = axis - (36 - 33.75) / 2
    # the mark is 12 across
    assert found["whole cut within travel in y"].margin == pytest.approx(thickest - 6 + 110)


def test_a_setup_without_a_cut_asks_for_its_axis(allotment, tmp_path):
    """The axis at 328.5 of 600 mm, 270 from the left end of a travel that ends at 300."""
    text = (CONFIGS / "allotment.yaml").read_text(encoding="utf-8")
    text = text.replace("    cut: mark\n", "").replace("machines/", f"{CONFIGS / 'machines'}/")
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    d = design(read_job(tmp_path / "job.yaml"), {"machine.travel_x_most": 300.0})
    assert {f.of for f in check_place(d)} == {"marking"}
    found = failing(check_place(d))
    assert list(found) == ["piece's axis within travel in x"]
    axis = next(s for s in d.setups if s.name == "marking").n.axis_x
    assert found["piece's axis within travel in x"].margin == pytest.approx(300 - axis)
