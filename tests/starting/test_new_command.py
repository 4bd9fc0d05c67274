"""`jigs new` from the terminal and by flags: two files that check clean, or say what is lacking."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result

from jigs.cli import main
from jigs.errors import DesignError
from jigs.reading.job import read_job

CONFIGS = Path(__file__).parents[2] / "configs"


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def new(*words: str, typed: str | None = None) -> Result:
    return CliRunner().invoke(main, ["new", *words], input=typed)


def all_below(folder: Path) -> set[str]:
    return {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.parametrize(
    "flags",
    [
        "--pieces both",
        "--pieces both --units inch --table-fixing holes",
        "--pieces turned --table-fixing spoilboard",
        "--pieces bars --table-fixing holes --joint tenon",
        "--pieces bars --units inch --table-fixing spoilboard --joint hole",
    ],
)
def test_what_is_offered_checks_clean(here: Path, flags: str):
    done = new("shop", "--yes", "--json", *flags.split())
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    assert said["report"]["verdict"] == "not judged"
    assert "not met" not in said["report"]["counts"]
    assert said["report"]["counts"]["met"] > 60
    assert set(said["files"]) == {f"shop/{name}" for name in all_below(here / "shop")}
    assert said["job"] in said["files"]


def test_the_files_say_what_was_answered_and_why(here: Path):
    """Positions of the slots by hand: 50, and 75 further each, off a table of 500."""
    done = new(
        "shop", "--yes", "--table", "500, 380, 25", "--table-slots", "50, 75, 6", "--job",
        "pegs: 1st #batch", "--front-slots", "85, 90, 3",
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    job = Path("shop/pegs_1st_batch.yaml").read_text(encoding="utf-8")
    machine = Path("shop/machines/bench_router.yaml").read_text(encoding="utf-8")
    assert yaml.safe_load(job)["job"] == "pegs: 1st #batch"
    read = yaml.safe_load(machine)
    assert read["table"]["fixing"]["at"] == [50, 125, 200, 275, 350, 425]
    assert read["front_face"]["fixing"]["at"] == [-85, -175, -265]
    assert read["front_face"]["z"] == "-360 to -25"
    for text in (job, machine):
        assert text.startswith("# yaml-language-server: $schema=")
        assert sum("  # " in line for line in text.splitlines()) > 10
        assert all(line == line.rstrip() for line in text.splitlines())
    schema = Path("shop/job.schema.json").read_bytes()
    assert schema == (CONFIGS / "job.schema.json").read_bytes()


def test_a_person_at_the_terminal(here: Path):
    """Bars in inches on a plate with holes; one answer with a wrong unit; Enter for the rest."""
    typed = ["inch", "bars", "oak pegs", "plate router", "24, 18, 3/4", "holes", "5/16"]
    typed += ["", "0 to 24", "0 to 18", "1/2 to 8", "6 lbs", "6-1/2"]
    done = new(typed="\n".join(typed) + "\n" * 30)
    assert done.exit_code == 0, done.output
    assert "'lbs' is not a unit of length that is read here" in done.stderr
    assert "Your machine: the table" in done.stderr
    assert "next: put your own measures into the files, then jigs build oak_pegs.yaml" in (
        done.stdout
    )
    job = read_job(Path("oak_pegs.yaml"))
    assert job.machine.name == "plate router"
    assert job.machine.under_gantry == pytest.approx(165.1)
    assert job.machine.table.fixing.anchors == "holes"


def test_what_is_not_met_is_said_with_its_remedy(here: Path):
    done = new("--yes", "--pieces", "bars", "--joint-depth", "20, 10")
    assert done.exit_code == 1
    told = " ".join(done.stdout.split())
    assert "NOT MET: clamp: faces hold against slip, twist and lift." in told
    assert "Remedy: slot.pass_depth" in told
    assert "next: change allotment_marker_posts.yaml, then jigs check" in told
    assert "allotment_marker_posts.yaml" in all_below(here)


def test_what_no_jig_can_be_sized_for_is_written_and_said(here: Path):
    """No slot behind the back board: the answers are kept, and the reader is told where to look."""
    done = new("--yes", "--pieces", "turned", "--front-slots", "90, 300, 1")
    assert done.exit_code == 1
    assert "Something is lacking before a jig can be sized" in done.stdout
    assert "front slots" in done.stdout
    assert "allotment_dibbers.yaml" in all_below(here)


@pytest.mark.parametrize("typed", ["", "mm\nboth\n", "mm\nboth\npegs\n\n\n"])
def test_stopped_half_way_nothing_is_written(here: Path, typed: str):
    done = new("shop", typed=typed)
    assert done.exit_code == 2
    assert "stopped: nothing was written" in done.stderr
    assert done.stdout == ""
    assert list(here.iterdir()) == []


@pytest.mark.parametrize("when", ["click.prompt", "os.fsync"])
def test_ctrl_c_at_a_question_or_while_writing(here: Path, monkeypatch, when: str):
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(when, interrupted)
    done = new("shop", typed="\n" * 60)
    assert done.exit_code == 2
    assert "stopped: nothing was written" in done.stderr
    assert list(here.iterdir()) == []


def test_nothing_is_overwritten(here: Path):
    assert new("--yes", "--pieces", "bars").exit_code == 0
    before = {name: (here / name).read_bytes() for name in all_below(here)}
    by_name = new("--yes", "--pieces", "bars")
    by_machine = new("--yes", "--pieces", "bars", "--job", "more posts")
    by_file = new("allotment_marker_posts.yaml")
    by_example = new(".", "--example", "allotment")
    for done, file in (
        (by_name, "allotment_marker_posts.yaml"), (by_machine, "bench_router.yaml"),
        (by_file, "allotment_marker_posts.yaml"), (by_example, "bench_router.yaml"),
    ):  # fmt: skip
        assert done.exit_code == 2
        assert file in done.stderr
        assert "is there already" in done.stderr
    assert "--machine" in by_machine.stderr
    assert {name: (here / name).read_bytes() for name in all_below(here)} == before


def unchecked(_: Path) -> None:
    raise DesignError("ring", "is not looked at in this test")


def test_a_second_job_on_the_same_machine(here: Path, monkeypatch: pytest.MonkeyPatch):
    """Its cutters are chosen from the machine's; one without a front face takes bars only."""
    assert new("shop", "--yes").exit_code == 0
    there = "shop/machines/bench_router.yaml"
    done = new("shop/later/pegs.yaml", "--yes", "--machine", there)
    assert done.exit_code == 0, done.output
    job = read_job(Path("shop/later/pegs.yaml"))
    assert job.model.machine == "../machines/bench_router.yaml"
    assert job.model.cuts["mark"].cutter == "ball 6"
    assert job.model.cuts["slot"].cutter == "straight 6"
    text = Path(there).read_text(encoding="utf-8")
    bare = text[: text.index("front_face:")] + text[text.index("travel:") :]
    Path("bare.yaml").write_text(bare, encoding="utf-8")
    monkeypatch.setattr("jigs.checking.check", unchecked)
    assert new("b.yaml", "--yes", "--machine", "bare.yaml").exit_code == 1
    assert list(read_job(Path("b.yaml")).model.setups) == ["jointing"]
    refused = new("c.yaml", "--yes", "--machine", "bare.yaml", "--pieces", "turned")
    assert refused.exit_code == 2
    assert "--pieces" in refused.stderr
    chosen = new("d.yaml", "--yes", "--machine", "bare.yaml", "--joint-with", "ball 7")
    assert chosen.exit_code == 2
    assert "did you mean 'ball 6'?" in chosen.stderr


@pytest.mark.parametrize("name", ["allotment", "skittles", "stool"])
def test_an_example_is_the_shipped_job(here: Path, name: str):
    done = new("trial", "--example", name, "--quiet")
    assert (done.exit_code, done.output) == (0, "")
    for file in all_below(here / "trial"):
        assert (here / "trial" / file).read_bytes() == (CONFIGS / file).read_bytes()
    assert f"{name}.yaml" in all_below(here / "trial")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--example", "stol"), "did you mean 'stool'?"),
        (("--example", "stool", "--units", "mm"), "with nothing else"),
        (("--yes", "--machine", "none.yaml"), "there is no such file"),
        (("file", "--yes"), "file is not a folder"),
        (("file/deeper", "--example", "stool"), "file is not a folder"),
        (("--yes", "--turned-count", "0"), "--turned-count"),
        (("--yes", "--quiet", "--verbose"), "do not go together"),
        (("--yes", "--nonsense", "1"), "No such option"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(
    here: Path, words: tuple[str, ...], says: str
):
    Path("file").write_bytes(b"")
    done = new(*words)
    assert done.exit_code == 2
    assert says in done.stderr
    assert all_below(here) == {"file"}
