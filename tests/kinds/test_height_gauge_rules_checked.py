"""Checks of the height gauge: each limit is where it is said to be, and the words fit the bar."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from jigs.errors import DesignError
from jigs.kinds.height_gauge import checks
from jigs.kinds.height_gauge.running import spreads_of
from jigs.model.finding import Finding, Verdict
from jigs.reading.job import read_job
from jigs.sizing import Jig, design

CONFIGS = Path(__file__).parents[2] / "configs"


class Changed:
    """A book with some of its numbers exchanged, for checks that read it."""

    def __init__(self, book: Any, **values: Any) -> None:
        self._book, self._values = book, values

    def __getattr__(self, name: str) -> Any:
        return self._values[name] if name in self._values else getattr(self._book, name)


def gauge_in(job: str) -> Jig:
    d = design(read_job(CONFIGS / f"{job}.yaml"))
    return next(jig for _, jig in d.jigs() if jig.kind.name == "height_gauge")


@pytest.fixture(scope="module")
def stack() -> Jig:
    """The allotment's: dome 30.125 under an arch of 61, end 30, keyed, in slices."""
    return gauge_in("allotment")


@pytest.fixture(scope="module")
def printed() -> Jig:
    """The skittles': printed, on a table without slots."""
    return gauge_in("skittles")


def all_told(jig: Jig, **values: Any) -> dict[str, Finding]:
    found = checks.number_checks(Changed(jig.n, **values))  # type: ignore[arg-type]
    return {f.check: f for f in found}


FLATTER = "arch flatter than dome"
RIM = "crown touches before the rim"
WIDER = "arch wider than the end"
BEARS = "bearing to overhang"
FITS = "bar fits on the table"
ASIDE = "height error from standing aside"
KEY = "key meets a slot of the table"
HAND = "one hand keeps the gauge down"
GLUE = "slices stay together at the overhang"
LAYERS = "layers stay together at the overhang"
DOWELS = "dowels alone carry the overhang"
BENDING = "height error from bending"


@pytest.mark.parametrize(
    ("check", "at", "beyond"),
    [
        (FLATTER, {"arch_radius": 35.125}, {"arch_radius": 35.12}),
        (WIDER, {"arch_width": 32.0}, {"arch_width": 31.99}),
        (BEARS, {"bearing": 146.0}, {"bearing": 145.9}),  # twice 73
        (FITS, {"bearing": 400.0}, {"bearing": 400.1}),
        (ASIDE, {"height_error": 0.1}, {"height_error": 0.101}),
        (KEY, {"axis_x": 267.5 + 0.05}, {"axis_x": 267.5 + 0.051}),  # slot at 300, key 32.5 off
        (KEY, {"axis_x": 267.5 - 0.05}, {"axis_x": 267.5 - 0.051}),
        (HAND, {"hand_needed": 30.0}, {"hand_needed": 30.01}),
        (BENDING, {"bending_rise": 0.05}, {"bending_rise": 0.0501}),
        # 1.5 times the stress: 1 MPa on 1000 mm3 is 667 N mm
        (GLUE, {"overhang_moment": 666.0, "bar_section_modulus": 1000.0},
         {"overhang_moment": 667.0, "bar_section_modulus": 1000.0}),
    ],
)  # fmt: skip
def test_a_limit_is_where_it_is_said_to_be(stack, check, at, beyond):
    assert all_told(stack, **at)[check].verdict is Verdict.MET
    assert all_told(stack, **beyond)[check].verdict is Verdict.NOT_MET


def first_touch(arch: float, dome: float, end: float, aside: float) -> float:
    """Where on the dome it meets the arch, mm from its axis: found by trying all of it."""
    x = np.linspace(-end / 2, end / 2, 20_001)
    room = np.sqrt(arch**2 - (x + aside) ** 2) - np.sqrt(dome**2 - x**2)
    return float(x[np.argmin(room)])


@pytest.mark.parametrize(
    ("arch", "end", "aside", "met"),
    [(61, 30, 0.6, True), (61, 30, 15.3, True), (61, 30, 15.5, False), (40, 30, 4.9, True),
     (40, 30, 5.0, False), (61, 60.25, 30.0, True), (61, 8, 4.05, True), (61, 8, 4.2, False)],
)  # fmt: skip
def test_the_crown_is_met_before_the_rim(stack, arch, end, aside, met):
    """Second witness: the point of the dome that touches first lies inside its rim."""
    found = all_told(stack, arch_radius=arch, end_diameter=end, aside=aside)[RIM]
    assert (found.verdict is Verdict.MET) is met
    touches = first_touch(arch, 30.125, end, aside)
    assert (abs(touches) < end / 2 - 1e-6) is met
    if met:
        assert 30.125 * math.sin(math.radians(found.value)) == pytest.approx(touches, abs=0.02)


def test_a_dome_that_is_as_round_as_the_arch_touches_all_over(stack):
    """No circle left to run on: square to it, the furthest there is; nor is an error a crash."""
    found = all_told(stack, arch_radius=30.125)[RIM]
    assert (found.value, found.verdict) == (90, Verdict.NOT_MET)
    half_ball = all_told(stack, dome_radius=15.0, end_diameter=30.2)[RIM]
    assert half_ball.limit == pytest.approx(90)


def test_two_dowels_by_hand(stack):
    """W = 2 pi d^3 / 32 of 10 mm: 196.3 mm3; beech for certain 75.69 MPa, a third less: 50.46.

    14 900 psi on average, 16 % scatter: 102.73 x (1 - 1.645 x 0.16) = 75.69.
    """
    limit = 75.69 / 1.5 * 196.35
    assert all_told(stack, overhang_moment=limit * 0.999)[DOWELS].verdict is Verdict.MET
    assert all_told(stack, overhang_moment=limit * 1.001)[DOWELS].verdict is Verdict.NOT_MET


def test_the_key_finds_the_nearest_slot(stack, printed):
    """Slots 60 apart: half way between two it is 30 off; without a key nothing is asked."""
    assert all_told(stack, axis_x=237.5)[KEY].value == pytest.approx(30)
    assert all_told(stack, axis_x=287.5)[KEY].value == pytest.approx(20)
    assert KEY not in all_told(printed)


@pytest.mark.parametrize(
    ("check", "longer"), [(BEARS, "+"), (FITS, "-"), (HAND, "+")]
)  # fmt: skip
def test_a_stack_grows_by_slices_and_a_print_by_its_length(stack, printed, check, longer):
    assert all_told(stack)[check].levers[0] == f"{longer}slices"
    assert all_told(printed)[check].levers[0] == f"{longer}bar_length"


def test_words_of_a_stack_and_of_a_print(stack, printed):
    ours, theirs = all_told(stack), all_told(printed)
    assert {GLUE, DOWELS} <= ours.keys()
    assert LAYERS in theirs
    assert not {GLUE, DOWELS} & theirs.keys()
    assert LAYERS not in ours
    assert any("glue line 1 MPa" in words for words in ours[GLUE].assumes)
    assert any("0.5 filled" in words for words in theirs[LAYERS].assumes)
    assert "dowels not counted" in ours[BENDING].assumes[0]
    assert "dowels" not in theirs[BENDING].assumes[0]
    creeps = [check for check, f in theirs.items() if any("PETG; plastic" in w for w in f.assumes)]
    assert creeps == [ASIDE, LAYERS, BENDING]
    assert not any("plastic" in w for f in ours.values() for w in f.assumes)


def test_what_pushes_is_told_with_its_arm(stack):
    """52.555 before the table and 45 behind its edge."""
    assert (
        all_told(stack, push=11.5)[BENDING].assumes[1]
        == "11.5 N on the crown, 98 mm before the hand"
    )


def test_what_no_table_has_is_told_by_its_name(stack, printed):
    found = all_told(stack, bending_rise=0.0, bar_strength=0.0, sheet_material="bamboo board")
    for check in (GLUE, BENDING):
        assert found[check].verdict is Verdict.NOT_JUDGED
        assert "bamboo board" in found[check].why
    found = all_told(printed, bending_rise=0.0, print_material="jam")
    assert "jam" in found[BENDING].why


def test_what_it_adds_to_the_height(stack):
    """Too low aside and too early, too high bent; crown and table once for the batch or each."""
    found = {s.name: s for s in spreads_of(Changed(stack.n, height_error=0.02, bending_rise=0.03))}  # type: ignore[arg-type]
    sizes = [round(s.size, 6) for s in found.values()]
    assert sizes == [-0.02, -0.05, 0.03, 0.1, 0.1]
    assert all(s.axis == "z" for s in found.values())
    assert [s.each for s in found.values()] == [True, True, True, False, False]
    assert [s.shape for s in found.values()] == ["one-sided"] * 3 + ["even"] * 2


def test_a_crown_that_is_set_too_high_is_no_longer_an_arch_flatter_than_the_dome(stack):
    """Chord 35: a rise of 4.6 is a radius of 35.59, 5.46 more than the dome; one of 4.7, 34.93."""
    for crown, verdict in ((4.6, Verdict.MET), (4.7, Verdict.NOT_MET)):
        found = all_told(stack, crown_height=crown)[FLATTER]
        assert found.verdict is verdict
        assert found.value == pytest.approx(17.5**2 / (2 * crown) + crown / 2 - 30.125)


def test_more_than_half_a_circle_is_refused(stack):
    job = read_job(CONFIGS / "allotment.yaml")
    with pytest.raises(DesignError, match="more than half a circle") as refused:
        design(job, {"gauge.crown_height": 17.6})
    assert refused.value.remedy == "crown_height: 17.5 or less"
    assert design(job, {"gauge.crown_height": 17.5})
