"""Something not met: files are written and say so everywhere."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from jigs import publish
from jigs.cli import main, missing_library

ROOT = Path(__file__).parent.parent.parent


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """A build of the job whose gap is too small."""
    out = tmp_path_factory.mktemp("exports") / "gap"
    job = ROOT / "tests/jobs/gap_too_small.yaml"
    done = CliRunner().invoke(main, ["build", str(job), "--out", str(out), "--no-pictures"])
    return done, out


def test_exit_code_and_terminal(marked):
    done, _ = marked
    assert done.exit_code == 1
    assert "NOT MET: ring: gap left when closed" in done.output
    assert "Remedy: ring.gap" in done.output


def test_the_report_is_named_so_and_the_files_are_there(marked):
    _, out = marked
    assert (out / "report NOT MET.json").is_file()
    assert not (out / "report.json").exists()
    assert publish.verify(out) == []
    assert (out / "parts/ring/fixed_half.stl").is_file()


def test_every_step_file_says_so_in_its_header(marked):
    _, out = marked
    files = list(out.rglob("*.step"))
    assert files
    for path in files:
        header = path.read_text(encoding="latin-1").split("ENDSEC;")[0]
        assert "NOT MET" in header.replace("\n", "")


def test_building_again_says_the_same_without_building(marked):
    _, out = marked
    job = ROOT / "tests/jobs/gap_too_small.yaml"
    done = CliRunner().invoke(main, ["build", str(job), "--out", str(out), "--no-pictures"])
    assert done.exit_code == 1
    assert "nothing changed" in done.output


def test_a_missing_system_library_names_its_debian_package():
    message = "libGL.so.1: cannot open shared object file: No such file or directory"
    assert "apt-get install libgl1" in missing_library(message)
    assert missing_library("No module named 'x'") == "No module named 'x'"
