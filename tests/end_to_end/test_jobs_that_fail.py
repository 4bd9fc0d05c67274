"""Jobs that must fail, each for one reason only; and remedies that do what they say."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from jigs import check, read_job
from jigs.cli import main
from jigs.design import Design, design
from jigs.model.finding import Finding, Remedy, Verdict

JOBS = Path(__file__).parents[1] / "jobs"

FAILS_FOR = {
    "arch_like_the_dome": ("gauge", "arch flatter than dome"),
    "arch_too_narrow": ("gauge", "arch wider than the end"),
    "bore_too_tight": ("ring", "clearance to the thickest piece"),
    "dibber_far_aside": ("gauge", "height error from standing aside"),
    "front_face_too_narrow": ("ring", "back board fits the face's width"),
    "front_face_too_short": ("ring", "back board ends above the face's foot"),
    "gap_too_small": ("ring", "gap left when closed"),
    "gap_too_wide": ("ring", "reach of the lining"),
    "gauge_tips": ("gauge", "bearing to overhang"),
    "grip_zone_too_short": ("ring", "height takes the washers"),
    "lining_too_thin": ("ring", "lining touches over"),
    "open_too_far": ("ring", "drawbolt thread reaches"),
    "ring_above_the_grip": ("ring", "lining starts within the grip"),
    "ring_below_the_grip": ("ring", "lining ends within the grip"),
    "ring_not_below_table": ("ring", "ring below the table"),
    "slot_hardly_wider_below": ("ring", "T-slot head wider than the mouth"),
    "slot_too_fine": ("ring", "hanging bolts"),
    "squeeze_too_deep": ("ring", "squeeze of the lining"),
    "table_too_shallow": ("gauge", "bar fits on the table"),
    "taper_too_large": ("ring", "taper and ovality taken up"),
}


def path_of(name: str) -> Path:
    return JOBS / f"{name}.yaml"


def failing(d: Design) -> list[Finding]:
    return [f for f in check(d, solids=False) if f.verdict is Verdict.NOT_MET]


def verdict(d: Design, of: str, name: str) -> Verdict:
    (found,) = [f for f in check(d, solids=False) if (f.of, f.check) == (of, name)]
    return found.verdict


def test_every_job_here_is_expected() -> None:
    assert sorted(path.stem for path in JOBS.glob("*.yaml")) == sorted(FAILS_FOR)


@pytest.mark.parametrize("name", FAILS_FOR)
def test_a_job_fails_for_one_reason(name: str) -> None:
    assert [(f.of, f.check) for f in failing(design(read_job(path_of(name))))] == [FAILS_FOR[name]]


@pytest.mark.parametrize("name", FAILS_FOR)
def test_the_command_says_so(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(main, ["check", str(path_of(name))])
    assert result.exit_code == 1
    assert isinstance(result.exception, SystemExit)
    jig, what = FAILS_FOR[name]
    assert f"NOT MET: {jig}: {what}." in " ".join(result.stdout.split())
    assert list(tmp_path.iterdir()) == []


def a_step_less(remedy: Remedy, number: int | float) -> int | float:
    """The value one step nearer to what stands in the job: 1 of a count, 0.1 of a length."""
    step = 1 if isinstance(number, int) else 0.1
    return remedy.value + (step if remedy.now > remedy.value else -step)


@pytest.mark.parametrize(
    ("name", "number", "enough"),
    [
        # gap: the thinnest dibber needs 1.0 left, and 6 mm leave -0.4
        ("gap_too_small", "ring.gap", lambda value: value == pytest.approx(7.4)),
        # squeeze: 15 % of 3 mm are 0.45
        ("squeeze_too_deep", "ring.squeeze", lambda value: value == pytest.approx(0.4)),
        # arch: 5 mm above a dome of 30.125 mm are 35.125
        ("arch_like_the_dome", "gauge.arch_radius", lambda value: value == pytest.approx(35.2)),
        # slices: at 17.6 mm each over an overhang that 11 of them meet 1.58 times
        ("gauge_tips", "gauge.slices", lambda value: value == 13),
        # clearance: 0.15 of the bore and 0.2 of the lining
        ("bore_too_tight", "ring.bore_clearance", lambda value: value == pytest.approx(0.4)),
        # lining: half of the taper and ovality of 1.4 are 0.7
        ("taper_too_large", "ring.squeeze", lambda value: value == pytest.approx(0.7)),
    ],
)
def test_a_remedy_does_what_it_says_and_no_less_would(
    name: str, number: str, enough: Callable[[float], bool]
) -> None:
    job = read_job(path_of(name))
    before = design(job)
    (finding,) = failing(before)
    (remedy,) = [r for r in finding.remedies if r.number == number]
    assert enough(remedy.value)
    value = before.numbers()[number].value
    assert isinstance(value, int | float)
    assert remedy.now == value

    kind = type(value)
    mended = design(job, {number: kind(remedy.value)})
    assert verdict(mended, *FAILS_FOR[name]) is Verdict.MET
    short = design(job, {number: kind(a_step_less(remedy, value))})
    assert verdict(short, *FAILS_FOR[name]) is Verdict.NOT_MET
