"""A printed gauge, and keys in narrow slots; worked by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from jigs.checks.numbers import own_findings
from jigs.model.state import SHOWN
from jigs.reading.job import read_job
from jigs.sizing import Design, Jig, design

ROOT = Path(__file__).parents[2]
BOARD = (ROOT / "tests/shops/front_board.yaml").read_text()
NARROW = (ROOT / "tests/shops/front_narrow_slots.yaml").read_text()


def sized(text: str, tmp_path: Path) -> Design:
    path = tmp_path / "job.yaml"
    path.write_text(text)
    return design(read_job(path))


def gauge_of(d: Design) -> Jig:
    return next(jig for _, jig in d.jigs() if jig.kind.name == "height_gauge")


def caution(d: Design) -> tuple[str, ...]:
    (found,) = [f for f in own_findings(d) if f.check == "height error from standing aside"]
    return found.assumes


def test_a_printed_bar_is_one_piece_thrice_its_overhang_long(tmp_path):
    gauge = gauge_of(sized(BOARD, tmp_path))
    assert set(gauge.parts) == {"bar"}
    assert [p.part for p in gauge.poses(SHOWN)] == ["bar"]
    assert gauge.n.bar_length == math.ceil(3 * gauge.n.overhang / 5) * 5
    assert gauge.parts["bar"].thickness == gauge.n.bar_length


def test_its_length_does_not_ask_the_sheet(tmp_path):
    other = BOARD.replace("nominal: 15, measured: 14.8", "nominal: 15, measured: 14.2")
    one, two = (gauge_of(sized(text, tmp_path)).n for text in (BOARD, other))
    assert one.sheet_nominal != two.sheet_nominal
    assert one.bar_length - 3 * one.overhang < 5
    assert two.bar_length - 3 * two.overhang < 5


def test_printed_plastic_carries_a_caution_and_wood_does_not(tmp_path):
    assert any("PETG" in line and "creeps" in line for line in caution(sized(BOARD, tmp_path)))
    stack = BOARD.replace(", made: print", "")
    assert not any("creeps" in line for line in caution(sized(stack, tmp_path)))


def test_a_printed_groove_is_wider_than_its_key_and_a_routed_one_is_not(tmp_path):
    printed = NARROW.replace("{kind: height_gauge}", "{kind: height_gauge, made: print}")
    for text, wider in ((printed, 0.3), (NARROW, 0.0)):
        gauge = gauge_of(sized(text, tmp_path))
        x0, _, x1, _ = gauge.parts["key"].outline.bounds
        assert x1 - x0 == pytest.approx(6.0)  # mouth 6.2 less 0.2
        assert gauge.n.groove_width == pytest.approx(6.0 + wider)


def test_a_narrow_groove_is_cut_with_a_cutter_that_goes_in(tmp_path):
    """Area of the profile by hand: rectangle, less the arch's segment, less groove with corners."""
    n = gauge_of(d := sized(NARROW, tmp_path)).n
    outline = gauge_of(d).parts["bar"].outline
    radius, half = n.arch_radius, n.arch_width / 2
    angle = 2 * math.asin(half / radius)
    segment = radius**2 / 2 * (angle - math.sin(angle))
    corner = 2.0  # the cutter of 4 that the shop names
    groove = 6.0 * n.key_groove - 2 * corner**2 * (1 - math.pi / 4)
    assert outline.area == pytest.approx(n.bar_width * n.bar_height - segment - groove, rel=1e-9)


def test_the_keys_chamfer_clears_the_grooves_corner(tmp_path):
    """Both ends of the 45 degree chamfer lie where the groove is square again."""
    for text in (NARROW, NARROW.replace("mouth: 6.2", "mouth: 5.2")):
        key = gauge_of(sized(text, tmp_path)).parts["key"].outline
        x0, _, x1, top = key.bounds
        width = x1 - x0
        shoulder = max(y for x, y, _ in key.vertices if x == x1)
        chamfer, corner = top - shoulder, min(2.0, 0.45 * width)
        assert corner < chamfer < width / 2
