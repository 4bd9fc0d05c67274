"""Slots of the front face that the table's edge hides are refused when the machine is read."""

from __future__ import annotations

from pathlib import Path

import pytest

from jigs.errors import ReadingError
from jigs.reading.job import read_job

ROOT = Path(__file__).parents[2]
JOB = (ROOT / "tests/one_setup.yaml").read_text(encoding="utf-8")
MACHINE = (ROOT / "configs/machines/bench_router.yaml").read_text(encoding="utf-8")
AT = "at: [-90, -190, -290]"
FACE = "  y: 0\n  z: -360 to -30\n"


def read(folder: Path, at: str, y: str = "0", along: str = "x") -> str:
    """The bench router with such slots: 17 wide, 16.5 deep, under a table 30 thick."""
    assert MACHINE.count(AT) == MACHINE.count(FACE) == 1
    before, after = MACHINE.split(AT)
    before = before.replace(FACE, f"  y: {y}\n  z: -360 to 40\n")
    head, _, rest = before.rpartition("along: x")
    machine = f"{head}along: {along}{rest}at: [{at}]{after}"
    (folder / "machines").mkdir(exist_ok=True)
    (folder / "machines/bench_router.yaml").write_text(machine, encoding="utf-8")
    (folder / "job.yaml").write_text(JOB, encoding="utf-8")
    read_job(folder / "job.yaml")
    return machine


@pytest.mark.parametrize("z", ["-38.4", "-30", "-15", "0", "8.4"])
@pytest.mark.parametrize("y", ["0", "25", "-16.4"])
def test_a_slot_that_runs_into_the_tables_edge_is_refused(z: str, y: str, tmp_path: Path) -> None:
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, f"{z}, -190, -290", y)
    error = caught.value
    written = (tmp_path / "machines/bench_router.yaml").read_text(encoding="utf-8").splitlines()
    (line,) = [i for i, text in enumerate(written, start=1) if f"at: [{z}," in text]
    assert error.place.line == line
    assert f"{error.place.file}".endswith("bench_router.yaml")
    assert "front_face.fixing.at" in str(error)
    assert error.problem == f"the slot at {z} mm lies behind the table's edge, 30 mm thick"
    assert "-38.5 mm or lower" in error.right
    assert "-16.5 or less" in error.right


@pytest.mark.parametrize(
    ("at", "y"),
    [
        ("-38.5, -190", "0"),  # just below the edge
        ("8.5, -190", "0"),  # just above the table, and below it
        ("-15, -190", "-16.5"),  # a face in front of the edge, by all that its slots are deep
        ("-15, -190", "-40"),
    ],
)
def test_a_slot_beside_the_edge_is_read(at: str, y: str, tmp_path: Path) -> None:
    assert f"at: [{at}]" in read(tmp_path, at, y)


def test_upright_slots_are_no_matter_of_height(tmp_path: Path) -> None:
    """They are listed along x; the jigs that need rows say so."""
    assert "along: y" in read(tmp_path, "10, 100, 200", "0", "y")
