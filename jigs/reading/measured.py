"""Measured pieces from a CSV file: one line a piece, columns by name, every bad line named.

Nothing is guessed in silence: what separates cells, a comma that stands for the decimal point, a
column that is not used and a cell that is left empty are all told in the notes. A line that cannot
be read is an error with its line and column, and the other lines are kept.
"""

from __future__ import annotations

import csv
import re
from array import array
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path, PurePath

from jigs.errors import Place, ReadingError, nearest
from jigs.fields import LengthReader
from jigs.reading.csv_lines import cells_of, column_of, lines_of
from jigs.shop.piece import Batch
from jigs.units import Limits, Units, ValueRefused, parse_length

MOST_TOLD = 20
"""Bad lines that are told one by one; the rest is counted."""

LONGEST_ID = 60
"""Characters; assumed."""

LONGEST_SHOWN = 200
"""Characters of what was found that a message repeats."""

SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}

_HEADER = re.compile(r"(?P<name>.*?)\s*(?:[\[(]\s*(?P<unit>[^\])]*?)\s*[\])])?")
_PLAIN = re.compile(r"[0-9]{1,5}(?:\.[0-9]{0,9})?")
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+(?:\s*[^\W\d]+)?")


@dataclass(frozen=True)
class Wanted:
    """What is looked for in a file.

    Parameters: limited = words whose size must be above 0; single = words from 0 up; said = what
    the job says of a word: its limits (for a single size all three are equal); columns = word ->
    the user's own name of its column; units = of cells without a unit.
    """

    limited: tuple[str, ...]
    single: tuple[str, ...]
    said: Mapping[str, Limits]
    columns: Mapping[str, str]
    units: Units

    @property
    def words(self) -> tuple[str, ...]:
        """All words but `id`."""
        return (*self.limited, *self.single)


@dataclass(frozen=True)
class Read:
    """A batch, and the errors of the lines that are not in it: `more` beyond those told."""

    batch: Batch
    errors: tuple[ReadingError, ...] = ()
    more: int = 0


@dataclass(frozen=True)
class _Column:
    at: int
    word: str
    read: Callable[[str], float]


@dataclass
class _Rows:
    """What has been read so far."""

    ids: dict[str, int] = field(default_factory=dict)
    sizes: dict[str, array[float]] = field(default_factory=dict)
    empty: dict[str, list[int]] = field(default_factory=dict)
    errors: list[ReadingError] = field(default_factory=list)
    more: int = 0
    decimal_comma: bool = False

    def refuse(self, error: ReadingError) -> None:
        if len(self.errors) < MOST_TOLD:
            self.errors.append(error)
        else:
            self.more += 1


def read_csv(path: Path, wanted: Wanted) -> Read:
    """Read the measured pieces of a CSV file.

    Returns the good lines as a Batch, and the errors of the others. Raises ReadingError where the
    file as a whole cannot be used: not there, empty, not in UTF-8, too large, a column missing.
    """
    file = str(path)
    lines = lines_of(path, file)
    first = next(((n, text) for n, text in lines if text.strip()), None)
    if first is None:
        raise ReadingError(
            Place(file, 1, 1), "the file is empty", "nothing",
            f"a header such as id, {', '.join(wanted.words)}, and a line for each piece",
        )  # fmt: skip
    number, header = first
    separator = _separator(header, wanted)
    notes = [f"{PurePath(file).name}: cells are separated by {SEPARATORS[separator]}"]
    head = _Head(file, number, header, separator, wanted)
    columns, id_at = head.columns(notes)
    rows = _Rows(sizes={c.word: array("d") for c in columns}, empty={c.word: [] for c in columns})
    reader = _Reader(file, separator, head.width, id_at, columns, wanted, rows)
    for number, text in lines:
        reader.line(number, text)
    batch = _batch(PurePath(file).name, rows, wanted, notes)
    return Read(batch, tuple(rows.errors), rows.more)


def _batch(name: str, rows: _Rows, wanted: Wanted, notes: list[str]) -> Batch:
    if rows.decimal_comma:
        notes.append(f"{name}: a comma between figures is taken as the decimal point")
    for word, places in rows.empty.items():
        if places:
            said = wanted.said[word]
            notes.append(
                f"{name}: {len(places)} of {len(rows.ids)} cells of {word} are empty: taken as the "
                f"job says, {said.nominal:g} mm"
            )
    return Batch(
        name, tuple(rows.ids), tuple(rows.ids.values()), rows.sizes,
        {word: tuple(places) for word, places in rows.empty.items() if places},
        {word: limits for word, limits in wanted.said.items() if word in rows.sizes},
        tuple(notes), len(rows.errors) + rows.more,
    )  # fmt: skip


# ---- the header ---------------------------------------------------------------------------------


def _folded(name: str) -> str:
    return re.sub(r"[\s_-]+", "_", name.strip().strip('"').strip()).lower()


def _names(header: str, separator: str) -> list[tuple[str, str]]:
    """Name and unit of every column; the unit is empty where there is none."""
    try:
        cells = cells_of(header, separator)
    except csv.Error:
        cells = header.split(separator)
    found = []
    for cell in cells:
        match = _HEADER.fullmatch(cell.strip())
        found.append((match["name"], match["unit"] or "") if match else (cell.strip(), ""))
    return found


def _separator(header: str, wanted: Wanted) -> str:
    """The one that leaves the most columns that we know; a comma where none is needed."""
    known = {"id", *wanted.words, *map(_folded, wanted.columns.values())}

    def columns_known(separator: str) -> int:
        return sum(_folded(name) in known for name, _ in _names(header, separator))

    return max(SEPARATORS, key=lambda s: (columns_known(s), header.count(s)))


@dataclass(frozen=True)
class _Head:
    file: str
    line: int
    text: str
    separator: str
    wanted: Wanted

    @property
    def names(self) -> list[tuple[str, str]]:
        return _names(self.text, self.separator)

    @property
    def width(self) -> int:
        return len(self.names)

    def refuse(self, problem: str, found: str, right: str, cell: int = 0) -> ReadingError:
        column = column_of(self.text, self.separator, cell)
        return _error(self.file, self.line, column, problem, found, right)

    def columns(self, notes: list[str]) -> tuple[list[_Column], int]:
        """The columns that are read, and where the ids stand. Adds to the notes."""
        wanted, at = self.wanted, {}
        own = {_folded(name): word for word, name in wanted.columns.items()}
        unused = []
        for i, (name, unit) in enumerate(self.names):
            word = own.get(_folded(name), _folded(name))
            if word not in ("id", *wanted.words):
                unused.append(name)
                continue
            if word in at:
                raise self.refuse(f"two columns are '{word}'", name, "only one of them", i)
            at[word] = (i, unit)
        self._need(at, unused)
        if used := [name for name in unused if name]:
            notes.append(f"{PurePath(self.file).name}: not used: {', '.join(used)}")
        found = [
            _Column(i, word, self._reader(word, i, unit))
            for word, (i, unit) in at.items() if word != "id"
        ]  # fmt: skip
        return found, at["id"][0]

    def _need(self, at: Mapping[str, tuple[int, str]], unused: Sequence[str]) -> None:
        wanted, there = self.wanted, ", ".join(name for name, _ in self.names)
        for word, name in wanted.columns.items():
            if word not in at:
                raise self.refuse(f"there is no column '{name}', which the job names for {word}",
                                  there, f"a column {name}")  # fmt: skip
        lacks = [w for w in wanted.limited if w not in at and w not in wanted.said]
        for word in ["id", *lacks]:
            if word not in at:
                near = nearest(word, unused)
                also = "" if word == "id" else f", and the job gives no {word}"
                right = f"a column '{word}'" + ("" if word == "id" else f", or {word} in the job")
                raise self.refuse(f"there is no column '{word}'{near}{also}", there, right)
        if len(at) == 1:
            raise self.refuse("no column is a size of the piece", there,
                              f"one of {', '.join(wanted.words)}")  # fmt: skip

    def _reader(self, word: str, cell: int, unit: str) -> Callable[[str], float]:
        units = self.wanted.units
        try:
            per_unit = parse_length(f"1 {unit}" if unit else 1, units)
        except ValueRefused as refused:
            raise self.refuse(refused.problem, unit, refused.right, cell) from None
        bounds = (
            LengthReader(above=0.0) if word in self.wanted.limited else LengthReader(at_least=0)
        )
        plain = per_unit == 1.0

        @lru_cache(maxsize=100_000)
        def read(text: str) -> float:
            if plain and _PLAIN.fullmatch(text) and 0 < float(text) < 10_000:
                return float(text)
            bare = unit and not re.search(r"[^\W\d_]|[\"°%]", text)
            return float(bounds.read(f"{text} {unit}" if bare else text, units))

        return read


# ---- the lines ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Reader:
    file: str
    separator: str
    width: int
    id_at: int
    columns: list[_Column]
    wanted: Wanted
    rows: _Rows

    def line(self, number: int, text: str) -> None:
        """Take one line in, or its error."""
        if not text.strip(f" {self.separator}"):
            return
        try:
            cells = cells_of(text, self.separator)
        except csv.Error as error:
            column = text.rfind('"') + 1
            self._refuse(
                number, column, f"a quote is not closed ({error})", text[:40], 'a closing "'
            )
            return
        if len(cells) != self.width:
            self._refuse_width(number, text, len(cells))
            return
        values = self._values(number, text, cells)
        name = cells[self.id_at].strip()
        if values is None or not self._is_new(number, text, name):
            return
        at = len(self.rows.ids)
        self.rows.ids[name] = number
        for one, value in zip(self.columns, values, strict=True):
            if value is None:
                self.rows.empty[one.word].append(at)
                value = self.wanted.said[one.word].nominal
            self.rows.sizes[one.word].append(value)

    def _values(self, number: int, text: str, cells: list[str]) -> list[float | None] | None:
        values: list[float | None] = []
        for column in self.columns:
            cell = cells[column.at].strip()
            try:
                values.append(self._value(column, cell))
            except ValueRefused as refused:
                at = column_of(text, self.separator, column.at)
                self._refuse(
                    number, at, f"{column.word}: {refused.problem}", cell or "an empty cell",
                    refused.right,
                )  # fmt: skip
                return None
        return values

    def _value(self, column: _Column, cell: str) -> float | None:
        if not cell:
            if column.word not in self.wanted.said:
                raise ValueRefused("there is no number, and the job gives none",
                                   f"a number here, or {column.word} in the job")  # fmt: skip
            return None
        if "," in cell:
            if self.separator == ",":
                right = f"{cell.replace(',', '.')}, or semicolons between cells"
                raise ValueRefused("a comma within a number, where commas separate cells", right)
            if _DECIMAL_COMMA.fullmatch(cell):
                self.rows.decimal_comma = True
                cell = cell.replace(",", ".")
        return column.read(cell)

    def _is_new(self, number: int, text: str, name: str) -> bool:
        at = column_of(text, self.separator, self.id_at)
        if not name or len(name) > LONGEST_ID:
            what = "there is no id" if not name else f"an id of {len(name)} characters"
            self._refuse(number, at, what, name[:LONGEST_ID] or "an empty cell",
                         "what is written on the piece")  # fmt: skip
            return False
        if name in self.rows.ids:
            self._refuse(number, at, f"the id '{name}' stands in line {self.rows.ids[name]} too",
                         name, "an id of its own for each piece")  # fmt: skip
            return False
        return True

    def _refuse_width(self, number: int, text: str, cells: int) -> None:
        right = f"{self.width} cells, as in the header"
        if cells > self.width and self.separator == "," and re.search(r"[0-9],[0-9]", text):
            right += "; a decimal comma cannot be told from the commas between cells: write points"
        at = column_of(text, self.separator, min(cells, self.width))
        self._refuse(number, at, f"{cells} cells, where the header has {self.width}", text[:60],
                     right)  # fmt: skip

    def _refuse(self, number: int, column: int, problem: str, found: str, right: str) -> None:
        self.rows.refuse(_error(self.file, number, column, problem, found, right))


def _error(file: str, line: int, column: int, problem: str, found: str, right: str) -> ReadingError:
    """An error that tells its column too: lines of a CSV file are long."""
    shown = found if len(found) <= LONGEST_SHOWN else f"{found[: LONGEST_SHOWN - 3]}..."
    return ReadingError(Place(file, line, column), f"column {column}: {problem}", shown, right)
