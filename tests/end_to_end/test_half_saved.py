"""An editor that has saved half a file: one clear error, or a job that says what is lacking."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from jigs.cli import main
from jigs.errors import ReadingError, ReadingErrors
from jigs.reading.job import read_job

CONFIGS = Path(__file__).parents[2] / "configs"
JOB = (CONFIGS / "allotment.yaml").read_bytes()
MACHINE = (CONFIGS / "machines/bench_router.yaml").read_bytes()


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("machines").mkdir()
    Path("job.yaml").write_bytes(JOB)
    Path("machines/bench_router.yaml").write_bytes(MACHINE)
    return tmp_path


@pytest.mark.parametrize(("file", "whole"), [("job.yaml", JOB),
                                             ("machines/bench_router.yaml", MACHINE)])  # fmt: skip
def test_cut_off_anywhere_it_is_a_reading_error_with_its_place(shop: Path, file: str, whole: bytes):
    """At 24 places, in the middle of words and of signs of two bytes; the last line may go."""
    refused = 0
    for end in range(0, len(whole) - 90, len(whole) // 24):
        Path(file).write_bytes(whole[:end])
        with pytest.raises((ReadingError, ReadingErrors)) as error:
            read_job(Path("job.yaml"))
        first = error.value.errors[0] if isinstance(error.value, ReadingErrors) else error.value
        assert Path(first.place.file).name == Path(file).name or file == "job.yaml"
        assert first.right
        refused += 1
    assert refused >= 20


def test_the_command_names_file_and_line(shop: Path):
    half = JOB[: JOB.index(b"linings:") + 30]
    Path("job.yaml").write_bytes(half)
    done = CliRunner().invoke(main, ["check", "job.yaml"])
    assert done.exit_code == 2
    assert done.stdout == ""
    assert f"job.yaml:{half.count(chr(10).encode()) + 1}" in done.stderr
    assert "Traceback" not in done.stderr


def test_an_empty_file_and_one_full_of_nothing(shop: Path):
    for content in (b"", b"\n\n", b"\0" * 400):
        Path("job.yaml").write_bytes(content)
        done = CliRunner().invoke(main, ["check", "job.yaml"])
        assert done.exit_code == 2
        assert "job.yaml" in done.stderr
