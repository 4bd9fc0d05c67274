"""One small reader for all tables: a CSV in this folder becomes a tuple of frozen dataclasses.

A CSV opens with comment lines (`# source: ...`, `# reliability: ...`, `# note: ...`). A column is
named after the field that it fills, with its unit behind it: `head_height_mm`, `head_height_in`,
`proof_stress_ksi`. Units are turned into mm, N, N/mm and MPa once, here. Several values in one
cell stand apart by spaces (numbers) or semicolons (words).
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Generic, Protocol, TypeVar, get_type_hints

from jigs.errors import TableError
from jigs.units import MM_PER_INCH

FOLDER = Path(__file__).parent

N_PER_LBF = 4.4482216152605
"""Exact by definition: 0.453 592 37 kg x 9.806 65 m/s2 (NIST SP 811, Appendix B.8)."""

MPA_PER_PSI = N_PER_LBF / MM_PER_INCH**2

UNITS: dict[str, float] = {
    "mm": 1.0,
    "in": MM_PER_INCH,
    "mm2": 1.0,
    "in2": MM_PER_INCH**2,
    "N": 1.0,
    "lbf": N_PER_LBF,
    "MPa": 1.0,
    "psi": MPA_PER_PSI,
    "ksi": 1e3 * MPA_PER_PSI,
    "Mpsi": 1e6 * MPA_PER_PSI,
    "Npermm": 1.0,
    "kgperm3": 1.0,
    "ShoreA": 1.0,
    "IRHD": 1.0,
}
"""Unit behind a column's name -> factor to mm, mm2, N, MPa, N/mm, kg/m3, degrees of hardness."""

RELIABILITIES = ("seen", "memory", "assumed", "common practice")
"""seen = read in a stored text that the source names; memory = from memory, not confirmed;
assumed = a stand-in, enter your own; common practice = a habit of the trade without a source."""


class Sourced(Protocol):
    """What every row has: where it comes from and how far it can be trusted."""

    @property
    def source(self) -> str: ...

    @property
    def reliability(self) -> str: ...


Row = TypeVar("Row", bound=Sourced)


@dataclass(frozen=True)
class Table(Generic[Row]):
    """Rows of one kind from one or more CSV files, found by a key.

    Parameters: name as an error shows it; row = the dataclass; files in this folder;
    key = the name of a row; also = further names a user may type.
    """

    name: str
    row: type[Row]
    files: tuple[str, ...]
    key: Callable[[Row], str]
    also: Callable[[Row], tuple[str, ...]] = lambda row: ()

    @property
    def rows(self) -> tuple[Row, ...]:
        """All rows, files in their order."""
        return tuple(row for file in self.files for row in read_rows(self.row, file))

    @property
    def keys(self) -> tuple[str, ...]:
        """The name of each row, in the order of the table."""
        return tuple(self.key(row) for row in self.rows)

    def find(self, asked: str) -> Row:
        """Return the row of that name, capitals and outer spaces ignored.

        Raises: TableError with what there is.
        """
        wanted = plain(asked)
        for row in self.rows:
            if wanted in {plain(name) for name in (self.key(row), *self.also(row))}:
                return row
        raise TableError(self.name, asked, self.keys)


def plain(name: str) -> str:
    """Return a name as it is compared: lower case, single spaces."""
    return " ".join(name.lower().split())


@cache
def read_header(file: str) -> dict[str, str]:
    """Return the comment lines of a CSV: {"source": ..., "reliability": ..., "note": ...}."""
    header: dict[str, str] = {}
    for line in _lines(file):
        if not line.startswith("#"):
            break
        name, _, text = line.removeprefix("#").partition(":")
        earlier = header.get(name.strip())
        header[name.strip()] = f"{earlier} {text.strip()}" if earlier else text.strip()
    return header


@cache
def read_rows(row: type[Row], file: str) -> tuple[Row, ...]:
    """Return the rows of one CSV, units converted.

    Raises: ValueError if the file and the dataclass do not agree (a fault of ours, not the user's).
    """
    header = read_header(file)
    reader = csv.DictReader(line for line in _lines(file) if not line.startswith("#"))
    columns = {name: _field_and_factor(name) for name in reader.fieldnames or ()}
    types = {key: str(kind) for key, kind in get_type_hints(row).items()}
    common: dict[str, object] = {
        key: header[key] for key in ("source", "reliability") if key in header
    }
    made = []
    for cells in reader:
        values = dict(common)
        for name, (field, factor) in columns.items():
            values[field] = _value(cells[name].strip(), types[field], factor)
        if values["reliability"] not in RELIABILITIES:
            raise ValueError(f"{file}: reliability '{values['reliability']}' is not a known word")
        made.append(row(**values))
    return tuple(made)


def _lines(file: str) -> list[str]:
    return (FOLDER / file).read_text(encoding="utf-8").splitlines()


def _field_and_factor(column: str) -> tuple[str, float | None]:
    field, _, unit = column.rpartition("_")
    return (field, UNITS[unit]) if field and unit in UNITS else (column, None)


def _value(cell: str, kind: str, factor: float | None) -> object:
    if "tuple" in kind:
        parts = cell.split(";") if "str" in kind else cell.split()
        inner = "str" if "str" in kind else "float"
        return tuple(_value(part.strip(), inner, factor) for part in parts if part.strip())
    if "float" in kind:
        return float(_exact(cell)) * (1.0 if factor is None else factor)
    return cell


def _exact(cell: str) -> Fraction:
    """Read `0.5`, `5/8` or `1-1/2` as one number."""
    whole, dash, part = cell.rpartition("-")
    return Fraction(whole) + Fraction(part) if dash and whole else Fraction(cell)
