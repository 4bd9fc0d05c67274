"""What changes between two jobs, what weighs most first; nothing where nothing does."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from jigs import checking
from jigs.checks.numbers import number_findings
from jigs.cli import main
from jigs.comparing import Difference, compare
from jigs.outputs.difference import difference_data, difference_lines
from jigs.sizing import design
from jigs.units import Units

ROOT = Path(__file__).parents[1]
ALLOTMENT = ROOT / "configs/allotment.yaml"
RISER = ROOT / "tests/shops/clamp_on_a_riser.yaml"


@pytest.fixture(scope="module")
def found(allotment):
    """What numbers tell of the shipped job, without remedies, worked out once."""
    return number_findings(allotment)


@pytest.fixture(scope="module", autouse=True)
def checked():
    """The command's own check, once for each text of a job."""
    run, known = checking.check, {}

    def once(config: Path):
        text = config.read_text(encoding="utf-8")
        if text not in known:
            known[text] = run(config)
        return known[text]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(checking, "check", once)
        yield


@pytest.fixture
def against(allotment, found):
    """The shipped job against itself with numbers changed."""

    def changed(**changes: object) -> Difference:
        named = {name.replace("__", "."): value for name, value in changes.items()}
        other = design(allotment.job, named)
        return compare(allotment, found, other, number_findings(other))

    return changed


@pytest.fixture
def edited(tmp_path, monkeypatch):
    """Two edits of a shipped or a stranger's job, beside each other."""
    monkeypatch.chdir(tmp_path)

    def edit(path: Path, *pairs: tuple[str, str]) -> tuple[Path, Path]:
        text = path.read_text(encoding="utf-8")
        machines = (ROOT / "configs/machines").as_posix()
        before = text.replace("machines/", f"{machines}/")
        after = before
        for old, new in pairs:
            assert after.count(old) == 1, old
            after = after.replace(old, new)
        for name, content in (("a.yaml", before), ("b.yaml", after)):
            Path(name).write_text(content, encoding="utf-8")
        return Path("a.yaml"), Path("b.yaml")

    return edit


def diff(*words: str):
    return CliRunner().invoke(main, ["diff", "a.yaml", "b.yaml", *words])


def test_nothing_changes_between_a_job_and_itself(against):
    same = against()
    assert same.nothing
    assert not same.breaks
    assert list(difference_lines(same, Units.MM)) == []


def test_a_gap_that_is_too_small_is_newly_not_met_and_stands_first(against):
    """By rule the gap is 8.1; 7.1 of the travel is needed, so 3 lacks 4."""
    change = against(ring__gap=3.0)
    first = change.findings[0]
    assert first.turn == "newly not met"
    assert first.now.check == "gap left when closed"
    assert first.after.margin - first.before.margin == pytest.approx(3.0 - 8.1)
    assert change.breaks
    gap = next(c for c in change.numbers if c.name == "ring.gap")
    assert (gap.before.value, gap.after.value, gap.unit) == (pytest.approx(8.1), 3.0, "mm")
    assert gap.by_hand
    assert change.numbers[0].by_hand
    about, text = next(iter(difference_lines(change, Units.MM)))
    assert about == "newly not met"
    assert text.startswith("ring: gap left when closed, margin +")


def test_the_other_way_round_it_is_newly_met(allotment, found):
    other = design(allotment.job, {"ring.gap": 3.0})
    back = compare(other, number_findings(other), allotment, found)
    assert back.findings[0].turn == "newly met"
    assert not back.breaks


def test_sizes_of_parts_and_their_cuts_are_told(against):
    """A stack of three slices instead of what the rule says; the ring stays as it is."""
    wide = against(ring__board_width=240.0)
    boards = [c for c in wide.parts if (c.jig, c.part) == ("ring", "back_board")]
    (board,) = boards
    assert board.what == "changed"
    assert board.after.size[0] == pytest.approx(240.0)
    assert board.after.size[0] - board.before.size[0] == pytest.approx(240 - 218)
    assert {c.jig for c in wide.parts} == {"ring"}


def test_a_jig_that_comes_brings_its_parts_and_its_questions(edited):
    """Without the riser the spindle cannot come down: that is newly met by it."""
    edited(RISER, ("  riser: {kind: riser}\n", ""), ("[riser, clamp]", "[clamp]"))
    found = json.loads(CliRunner().invoke(main, ["diff", "b.yaml", "a.yaml", "--json"]).stdout)
    came = [p for p in found["parts"] if p["what"] == "added"]
    assert [(p["jig"], p["part"]) for p in came] == [("riser", "riser")]
    assert came[0]["before"] is None
    assert came[0]["after"]["size"][2] == pytest.approx(35.2)
    turns = {f["check"]: f["turn"] for f in found["findings"]}
    assert turns["collet nut within travel in z, lowered"] == "newly met"
    assert turns["the riser cannot slip under faces and fences"] == "newly asked"
    dowels = [h for h in found["hardware"] if h["what"].startswith("dowel")]
    assert [(h["before"], h["after"]) for h in dowels] == [(0, 2)]
    gone = json.loads(diff("--json").stdout)
    assert {p["what"] for p in gone["parts"] if p["jig"] == "riser"} == {"removed"}
    assert diff().exit_code == 1


def test_the_terminal_tells_in_the_units_of_the_job(edited):
    """1-1/2 in to 1-5/8 in; the file is in inches, so are the lines."""
    edited(ROOT / "configs/stool.yaml", ("width: 1-1/2 ± 1/64  ", "width: 1-5/8 ± 1/64  "))
    done = diff()
    line = next(x for x in done.stdout.splitlines() if "leg.width_nominal" in x)
    assert line.split() == ["you", "changed", "leg.width_nominal:", "1-1/2", "in", "->", "1-5/8",
                            "in"]  # fmt: skip
    assert " mm" not in done.stdout.replace("N mm", "")


def test_quiet_verbose_and_exit_codes(edited):
    edited(ALLOTMENT, ("    kind: split_ring\n", "    kind: split_ring\n    set: {gap: 3}\n"))
    loud, plain, quiet = diff("--verbose"), diff(), diff("--quiet")
    assert loud.exit_code == plain.exit_code == quiet.exit_code == 1
    assert len(loud.stdout.splitlines()) > len(plain.stdout.splitlines())
    assert all(line.startswith("newly NOT MET") for line in quiet.stdout.splitlines())
    assert "newly NOT MET    ring: gap left when closed" in plain.stdout
    assert "Remedy: ring.gap" in plain.stdout
    Path("b.yaml").write_text(Path("a.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    same = diff()
    assert (same.exit_code, same.stdout) == (0, "nothing changes\n")
    Path("b.yaml").write_text("jobb: 3\n", encoding="utf-8")
    refused = diff("--json")
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "b.yaml" in refused.stderr


def test_the_json_holds_plain_data_with_stable_keys(against):
    data = difference_data(against(ring__gap=3.0))
    assert json.loads(json.dumps(data)) == data
    assert list(data) == ["findings", "parts", "hardware", "numbers"]
    assert list(data["findings"][0]) == ["of", "check", "turn", "unit", "before", "after"]
    assert list(data["numbers"][0]) == ["name", "unit", "by hand", "before", "after"]
