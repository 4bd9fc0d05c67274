"""Every file and every row loads, knows its source, and a failed look-up says what there is."""

from __future__ import annotations

import dataclasses
import math
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from jigs import tables
from jigs.errors import TableError
from jigs.tables import _load, register

CSV_FILES = sorted(file.name for file in _load.FOLDER.glob("*.csv"))
ROWS = [(name, row) for name, rows in tables.all_tables().items() for row in rows]
KEYED = [
    value
    for module in (getattr(register, name) for name in dir(register))
    if getattr(module, "__name__", "").startswith("jigs.tables.")
    for value in vars(module).values()
    if isinstance(value, _load.Table)
]


@pytest.mark.parametrize("file", CSV_FILES)
def test_every_file_names_source_and_unit(file: str) -> None:
    header = _load.read_header(file)
    assert len(header["source"]) > 5
    text = (_load.FOLDER / file).read_text(encoding="utf-8").splitlines()
    columns = next(line for line in text if not line.startswith("#")).split(",")
    assert text[0].startswith("# source: ")
    assert "reliability" in header or "reliability" in columns
    numeric = [name for name in columns if name.rpartition("_")[2] in _load.UNITS]
    assert numeric or file == "friction.csv", "a table of numbers has units in its headings"


def test_every_file_is_read_by_a_registered_table() -> None:
    assert {file for table in KEYED for file in table.files} == set(CSV_FILES)
    assert {table.name for table in KEYED} == set(tables.all_tables())


@pytest.mark.parametrize("table", KEYED, ids=lambda table: table.name)
def test_keys_find_their_own_row(table: _load.Table[_load.Sourced]) -> None:
    several_per_name = {"property classes"}
    for key, row in zip(table.keys, table.rows, strict=True):
        found = table.find(f"  {key.upper()} ")
        assert found == row or (table.name in several_per_name and table.key(found) == key)
    if table.name not in several_per_name:
        assert len(set(table.keys)) == len(table.keys)


@pytest.mark.parametrize(("name", "row"), ROWS)
def test_every_row_is_frozen_sourced_and_positive(name: str, row: _load.Sourced) -> None:
    assert row.source
    assert row.reliability in _load.RELIABILITIES
    assert dataclasses.is_dataclass(row)
    with pytest.raises(dataclasses.FrozenInstanceError):
        row.source = ""
    for field, value in dataclasses.asdict(row).items():
        numbers = value if isinstance(value, tuple) else (value,)
        for number in numbers:
            if isinstance(number, float) and field != "above_diameter":
                assert math.isfinite(number), (name, field)
                assert number > 0, (name, field)


def test_every_least_is_below_its_most() -> None:
    """`x_min` < `x` (or `x_max`), `x` < `x_max`, wherever a row has both."""
    compared = 0
    for name, row in ROWS:
        values = dataclasses.asdict(row)  # type: ignore[call-overload]
        for field, most in values.items():
            least = None
            if field.endswith("_max"):
                stem = field.removesuffix("_max")
                least = values.get(stem, values.get(f"{stem}_min"))
            elif f"{field}_min" in values:
                least = values[f"{field}_min"]
            if least is not None:
                compared += 1
                assert least < most, (name, field, values)
    assert compared > 100


@pytest.mark.parametrize(
    ("find", "asked", "there_is"),
    [
        (lambda: tables.thread("M7"), "M7", ("M6", "M8", "1/4")),
        (lambda: tables.thread("M8x1"), "M8x1", ("M8x1.25", "1/4-20 UNC")),
        (lambda: tables.thread("1/4-28"), "1/4-28", ("1/4-20 UNC",)),
        (lambda: tables.hex_bolt("M20"), "M20", ("M16", "1/2")),
        (lambda: tables.socket_screw("M20"), "M20", ("M16", "5/8")),
        (lambda: tables.coach_bolt("M4"), "M4", ("M5", "1/4")),
        (lambda: tables.hex_nut("8"), "8", ("M8",)),
        (lambda: tables.washer("M7"), "M7", ("M6", "M8")),
        (lambda: tables.washer("M4", "extra large"), "extra large", ("normal", "large")),
        (lambda: tables.washer("M8", "penny"), "penny", ("normal", "large", "extra large")),
        (lambda: tables.clearance_hole("M7"), "M7", ("M6", "M8")),
        (lambda: tables.property_class("9.8", 8.0), "9.8", ("8.8", "grade 5")),
        (lambda: tables.property_class("grade 5", 30.0), "30 mm", ("0 to 25.4 mm",)),
        (lambda: tables.t_slot(9.0), "9", ("8", "10")),
        (lambda: tables.t_slot_nut(9.0), "9", ("8", "10")),
        (lambda: tables.t_slot_bolt(9.0), "9", ("8", "10")),
        (lambda: tables.wood_insert("M16"), "M16", ("M12",)),
        (lambda: tables.wood_screw(4.2), "4.2", ("4", "4.5")),
        (lambda: tables.dowel(9.0), "9", ("8", "10")),
        (lambda: tables.compression_spring("M5"), "M5", ("M6",)),
        (lambda: tables.wood("teak"), "teak", ("ash", "walnut")),
        (lambda: tables.board("OSB"), "OSB", ("MDF", "birch plywood")),
        (lambda: tables.rubber_shear(45.0), "45", ("40", "50")),
        (lambda: tables.filled_rubber(90.0), "90", ("75",)),
        (lambda: tables.plastic("PVC"), "PVC", ("PLA", "PETG")),
        (lambda: tables.metal("brass"), "brass", ("steel", "aluminium", "cast iron")),
        (lambda: tables.friction_pair("wood", "ice"), "wood on ice (dry)", ("wood on wood (dry)",)),
        (lambda: tables.rows_of("gaskets"), "gaskets", ("hex nuts",)),
    ],
)
def test_failed_look_up_lists_what_there_is(
    find: Callable[[], object], asked: str, there_is: tuple[str, ...]
) -> None:
    with pytest.raises(TableError) as caught:
        find()
    assert caught.value.asked == asked
    assert set(there_is) <= set(caught.value.there_is)
    for name in there_is:
        assert name in str(caught.value)
    assert caught.value.table in str(caught.value)


def test_a_near_miss_is_suggested() -> None:
    with pytest.raises(TableError, match="did you mean 'walnut'"):
        tables.wood("wallnut")


def test_public_names_are_all_there() -> None:
    for name in tables.__all__:
        assert getattr(tables, name).__name__ == name
    assert set(tables.__all__) <= set(dir(tables))
    with pytest.raises(AttributeError, match="no_such_name"):
        tables.no_such_name  # noqa: B018


@pytest.mark.parametrize(
    ("text", "mm"),
    [("5/8", 0.625), ("1-1/2", 1.5), ("2-3/4", 2.75), ("0.594", 0.594), ("36", 36.0)],
)
def test_inch_lengths_are_turned_once(text: str, mm: float) -> None:
    assert _load._value(text, "float", 25.4) == pytest.approx(mm * 25.4, abs=1e-12)


def test_a_reliability_word_of_its_own_is_refused(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "odd.csv").write_text("# source: me\n# reliability: sure\ndiameter_mm\n6\n")
    monkeypatch.setattr(_load, "FOLDER", tmp_path)
    with pytest.raises(ValueError, match="'sure' is not a known word"):
        _load.read_rows(tables.Dowel, "odd.csv")


IMPORT_COST = """
import sys, time
import jigs
before = set(sys.modules)
start = time.perf_counter()
import jigs.tables
print((time.perf_counter() - start) * 1e3)
print(*sorted(set(sys.modules) - before))
jigs.tables.thread("M8")
print(*sorted(set(sys.modules) & {"numpy", "pandas", "cadquery", "OCP", "vtkmodules"}))
"""


def test_importing_costs_next_to_nothing() -> None:
    """Best of three fresh processes, so that a busy machine does not spoil the figure."""
    runs = [
        subprocess.run(
            [sys.executable, "-c", IMPORT_COST], capture_output=True, text=True, check=True
        ).stdout.split("\n")
        for _ in range(3)
    ]
    assert min(float(run[0]) for run in runs) < 10.0
    assert "jigs.tables._load" not in runs[0][1].split()
    assert runs[0][2] == "", "a look-up loads the standard library only"
