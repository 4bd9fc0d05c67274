"""Jobs whose reach must fail, each for its own reason, and remedies that work when applied."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from jigs.checks.advice import Advice, met_checks
from jigs.checks.clearance import check_clearance
from jigs.checks.cut import check_cut
from jigs.checks.numbers import number_findings
from jigs.checks.reach import check_reach
from jigs.cli import main
from jigs.model.finding import Finding, Verdict
from jigs.reading.job import read_job
from jigs.sizing import Design, design

TESTS = Path(__file__).parents[1]
JOBS = TESTS / "jobs"
CONFIGS = TESTS.parent / "configs"
SHARED = "../../configs/machines/bench_router.yaml"
MACHINE = (CONFIGS / "machines/bench_router.yaml").read_text(encoding="utf-8")
JOB = (TESTS / "one_setup.yaml").read_text(encoding="utf-8")

FAILS_FOR = {
    "reach_stick_out_too_short": ("slotting", "collet nut stays above the piece"),
    "reach_jaw_too_tall": ("clamp", "jaws below what moves over them"),
    "reach_hood_too_low": ("slotting", "hood above the piece, or round it"),
    "reach_piece_too_long": ("slotting", "collet nut within travel in z, raised"),
    "clamp_x_off_the_anchors": ("clamp", "the setup's x agrees with the anchors"),
}


def text_of(name: str) -> str:
    return (JOBS / f"{name}.yaml").read_text(encoding="utf-8").replace(
        SHARED, str(CONFIGS / "machines/bench_router.yaml")
    )  # fmt: skip


def as_changed(folder: Path, name: str, *edits: tuple[str, str]) -> Design:
    """The job with its text changed as a reader of the message would change it."""
    text = text_of(name)
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    return design(read_job(folder / "job.yaml"))


def numbers(d: Design) -> dict[tuple[str, str], Finding]:
    """What numbers find not met; features to touch off go out of reach with the rest."""
    told = {(f.of, f.check): f for f in number_findings(d) if not f.check.startswith("datum ")}
    return {key: f for key, f in told.items() if f.verdict is Verdict.NOT_MET}


@pytest.mark.parametrize("name", FAILS_FOR)
def test_a_job_fails_for_the_right_reason(name: str) -> None:
    assert list(numbers(design(read_job(JOBS / f"{name}.yaml")))) == [FAILS_FOR[name]]


@pytest.mark.parametrize(
    ("name", "says", "edit", "short"),
    [
        # 20 of depth and 5 of room
        ("reach_stick_out_too_short", "clears the piece is 25.0 mm",
         ("stick_out: 22", "stick_out: 25"), ("stick_out: 22", "stick_out: 24.9")),
        # 20 of depth, 16 of skirt and 5 of room
        ("reach_hood_too_low", "a stick-out of 41.0 mm lifts it clear",
         ("stick_out: 38", "stick_out: 41"), ("stick_out: 38", "stick_out: 40.9")),
        # 200 less 2 and 38 leave 160; the longest of 170 ± 0.5 is 170.5
        ("reach_piece_too_long", "a piece 10.5 mm shorter passes",
         ("length: 170 ± 0.5", "length: 159.5 ± 0.5"), ("length: 170 ± 0.5", "length: 160 ± 0.5")),
    ],
)  # fmt: skip
def test_what_the_message_says_will_do_does(
    name: str, says: str, edit: tuple[str, str], short: tuple[str, str], tmp_path: Path
) -> None:
    found = numbers(design(read_job(JOBS / f"{name}.yaml")))[FAILS_FOR[name]]
    assert says in found.why
    assert numbers(as_changed(tmp_path, name, edit)) == {}
    assert FAILS_FOR[name] in numbers(as_changed(tmp_path, name, short))


@pytest.mark.parametrize(
    ("name", "number", "enough", "short"),
    [
        ("reach_stick_out_too_short", "label slot.stick_out", 25.0, 24.9),
        ("reach_hood_too_low", "label slot.stick_out", 41.0, 40.9),
        ("reach_piece_too_long", "label slot.stick_out", 27.5, 27.6),
        # on the shortest post of 139.5: its slot's floor at 119.5, less 5
        ("reach_jaw_too_tall", "clamp.jaw_top", 114.5, 114.6),
    ],
)
def test_the_levers_of_a_finding_move_the_right_way(
    name: str, number: str, enough: float, short: float
) -> None:
    job = read_job(JOBS / f"{name}.yaml")
    before = design(job)
    found = numbers(before)[FAILS_FOR[name]]
    now = (
        before.numbers().get(number)
        or before.book_of(found.of, number.split(".")[1], found.governs)[number.split(".")[1]]
    )  # type: ignore[index]
    sign = "+" if enough > now.value else "-"
    assert f"{sign}{number.split('.')[1]}" in found.levers
    assert numbers(design(job, {number: enough})) == {}
    assert FAILS_FOR[name] in numbers(design(job, {number: short}))


def test_a_piece_too_long_is_told_to_hang() -> None:
    found = numbers(design(read_job(JOBS / "reach_piece_too_long.yaml")))
    why = found[FAILS_FOR["reach_piece_too_long"]].why
    assert "hang it on the front face instead" in why
    assert "170.5 mm do not reach the gantry" in why


def test_anchors_line_up_where_the_setup_does_not_ask_for_another_place(tmp_path: Path) -> None:
    assert numbers(as_changed(tmp_path, "clamp_x_off_the_anchors", ("    x: 150\n", ""))) == {}


def only(d: Design, check: str) -> Finding:
    """One finding on the solids, with the backer marked as what it is: meant to be cut."""
    from jigs.solids.scene import Scene

    for _, jig in d.jigs():
        for name in [name for name in jig.parts if name == "backer"]:
            jig.parts[name] = replace(jig.parts[name], sacrificial=True)
    (found,) = check_clearance(d, Scene(d), only=check)
    return found


def test_a_tall_jaw_is_met_on_the_solids_too() -> None:
    """The cutter runs into the jaw, by true distance; lower, the jaw's top is 5 mm below it."""
    job = read_job(JOBS / "reach_jaw_too_tall.yaml")
    check = "cutter clear of all that stands"
    tall = only(design(job), check)
    assert (tall.verdict, tall.value) == (Verdict.NOT_MET, 0.0)
    assert re.search(r"cutter to clamp/(fixed|moving) face at x [\d.]+, y [\d.]+, z ", tall.governs)
    low = only(design(job, {"clamp.jaw_top": 114.5}), check)
    assert (low.verdict, low.value) == (Verdict.MET, pytest.approx(5.0, abs=1e-6))


def test_a_short_stick_out_is_met_on_the_solids_too() -> None:
    """22 less 20 of depth over the post; 25 leave the 5 that are asked."""
    job = read_job(JOBS / "reach_stick_out_too_short.yaml")
    check = "collet nut clear of all that stands"
    near = only(design(job), check)
    assert (near.verdict, near.value) == (Verdict.NOT_MET, pytest.approx(2.0, abs=1e-6))
    assert "nearest is piece; a stick-out of 25.0 mm clears all that stands under it" in near.why
    assert only(design(job, {"label slot.stick_out": 25.0}), check).verdict is Verdict.MET


# Bad input


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("park: [0, 400]", "park: [0, 450]", "cannot park at y = 450 mm"),
        ("park: [0, 400]", "park: [-5, 400]", "x from 0 to 600 mm"),
        ("legs: [-75 to -20, 620 to 675]", "legs: [620 to 675, -75 to -20]", "left leg first"),
        ("dust_hood: {diameter: 90, length: 20}", "dust_hood_below: 5", "there is no dust_hood"),
        ("dust_hood: {diameter: 90, length: 20}",
         "dust_hood: {diameter: 90, length: 20}\n  dust_hood_wall: 45", "less than 45 mm"),
        ("beam_y: 55 to 150", "beam_y: 150 to 55", "the smaller number first"),
        ("park: [0, 400]", "keep_clear: {head: -1}", "must be at least 0"),
    ],
)  # fmt: skip
def test_a_machine_that_cannot_be_is_refused(
    old: str, new: str, says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert MACHINE.count(old) == 1
    Path("machines").mkdir()
    Path("machines/bench_router.yaml").write_text(MACHINE.replace(old, new), encoding="utf-8")
    Path("job.yaml").write_text(JOB, encoding="utf-8")
    result = CliRunner().invoke(main, ["check", "job.yaml"])
    assert result.exit_code == 2, result.output
    assert says in " ".join(result.stderr.split())
    assert "bench_router.yaml" in result.stderr
    assert result.stdout == ""


def test_a_machine_without_gantry_and_park_is_read_and_says_what_it_assumes(
    tmp_path: Path,
) -> None:
    bare = re.sub(r"(?m)^(gantry|park):.*\n", "", MACHINE)
    (tmp_path / "machines").mkdir()
    (tmp_path / "machines/bench_router.yaml").write_text(bare, encoding="utf-8")
    (tmp_path / "job.yaml").write_text(JOB, encoding="utf-8")
    d = design(read_job(tmp_path / "job.yaml"))
    known = d.numbers()
    assert str(known["machine.beam_y"].standing) == "assumed"
    assert "give gantry: legs" in known["machine.legs_x"].source
    assert known["machine.legs_x"].value == (-1000.0, 0.0, 600.0, 1600.0)
    assert not [f for f in check_reach(d) if f.verdict is Verdict.NOT_MET]


def test_what_only_an_assumed_gantry_makes_fail_is_not_judged(tmp_path: Path) -> None:
    """A beam at 143 over a post of 140.5: as wide as is assumed, it comes within 2.5 mm."""
    bare = re.sub(r"(?m)^gantry:.*\n", "", MACHINE).replace("gantry: 160", "gantry: 143")
    (tmp_path / "machine.yaml").write_text(bare, encoding="utf-8")
    text = (JOBS / "clamp_jaws_too_high.yaml").read_text(encoding="utf-8")
    (tmp_path / "job.yaml").write_text(text.replace(SHARED, "machine.yaml"), encoding="utf-8")
    d = design(read_job(tmp_path / "job.yaml"))
    (found,) = [f for f in check_reach(d) if f.check == "pieces pass under the gantry"]
    assert found.verdict is Verdict.NOT_JUDGED
    assert "assumed, it comes within 2.5 mm. Give gantry: {beam_y: ...}" in found.why


@pytest.mark.parametrize(
    ("number", "value", "check", "margin"),
    [
        # no clamp can be sized for such a slot; a dibber of 229 hangs
        ("mark.cut_depth", 230.0, "cut is shallower than the piece is long", 229 - 230),
        ("label slot.cut_width", 5.0, "cut is as wide as its cutter", 5 - 6),
        ("label slot.cut_width", 38.0, "cut lies within the piece's end", 37.5 - 38),
    ],
)
def test_a_cut_outside_the_piece_is_told(
    number: str, value: float, check: str, margin: float, allotment: Design
) -> None:
    told = check_cut(design(allotment.job, {number: value}))
    found = {f.check: f for f in told if f.verdict is Verdict.NOT_MET}
    assert found[check].margin == pytest.approx(margin)


def test_a_datum_out_of_reach_alone(allotment) -> None:
    """The nut stops at 35.5; the mark is cut with it at 35.96, the table is touched at 35."""
    d = design(allotment.job, {"machine.travel_z_least": 35.5})
    failing = {
        f.check: f for f in check_reach(d) if f.verdict is Verdict.NOT_MET and f.of == "marking"
    }
    assert set(failing) == {
        "datum ring table can be reached", "datum ring bore of the fixed half can be reached"
    }  # fmt: skip
    advice = Advice(d, met_checks(number_findings(d)), None)
    for check, finding in failing.items():
        (remedy,) = advice.on(finding)
        again = design(d.job, {**d.changes, remedy.number: remedy.value})
        (cured,) = [f for f in check_reach(again) if f.check == check]
        assert cured.verdict is Verdict.MET
