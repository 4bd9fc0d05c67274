"""Cut list and hardware list as CSV: one line a part, mm, and inches where the job is in inches."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from jigs.making.blanks import KERF
from jigs.making.lists import CutRow, HardwareRow, cut_rows, hardware_rows
from jigs.making.masses import mass_rows, total_of
from jigs.publish import Publication
from jigs.sizing import Design
from jigs.units import Units, format_length

CUT_LIST = "make/cut list.csv"
HARDWARE = "make/hardware.csv"
MASSES = "make/masses.csv"

_CUT_COLUMNS = (
    "jig", "part", "title", "quantity", "made", "material", "stock", "length mm", "width mm",
    "thickness mm", "grain", "strip length mm", "rough length mm", "rough width mm",
    "rough thickness mm", "note",
)  # fmt: skip
_INCH_COLUMNS = ("length in", "width in", "thickness in", "rough in")
_HARDWARE_COLUMNS = (
    "family", "designation", "material", "quantity", "total length mm", "cut into", "jigs",
)  # fmt: skip
_MASS_COLUMNS = ("jig", "made kg", "bought kg", "total kg", "not counted")


def write_lists(d: Design, out: Publication) -> None:
    """Write the cut list, the hardware list and the masses of the jigs."""
    units = d.job.model.units
    out.write_text(CUT_LIST, cut_list(list(cut_rows(d)), units))
    out.write_text(HARDWARE, hardware_list(hardware_rows(d), units))
    counted = mass_rows(d)
    masses = [
        (row.jig, f"{row.made:.2f}", f"{row.bought:.2f}", f"{row.total:.2f}",
         "; ".join(row.not_counted))
        for row in (*counted, total_of(counted))
    ]  # fmt: skip
    out.write_text(MASSES, _csv(_MASS_COLUMNS, masses))


def cut_list(rows: Iterable[CutRow], units: Units) -> str:
    """The cut list as CSV text; finished sizes, and rough ones of boards and strips."""
    inch = units is Units.INCH
    lines = []
    for row in rows:
        line = [row.jig, row.part, row.title, str(row.quantity), row.made, row.material, row.stock]
        line += [_mm(size) for size in (row.length, row.width, row.thickness)]
        line += [row.grain, _mm(row.length) if row.made == "lining" else ""]
        line += [_mm(size) for size in row.rough] if row.rough else ["", "", ""]
        line.append(row.note)
        if inch:
            line += [_inches(size) for size in (row.length, row.width, row.thickness)]
            line.append(" x ".join(map(_inches, row.rough)) if row.rough else "")
        lines.append(line)
    return _csv(_CUT_COLUMNS + (_INCH_COLUMNS if inch else ()), lines)


def hardware_list(rows: Iterable[HardwareRow], units: Units) -> str:
    """The hardware list as CSV text; what is cut from bar with its pieces and whole length."""
    lines = []
    for row in rows:
        cuts = sum(n for _, n in row.lengths)
        told = " + ".join(f"{n} x {_length(length, units)}" for length, n in row.lengths)
        whole = _mm(row.total_length + KERF * cuts) if row.lengths else ""
        lines.append([row.family, row.designation, row.material, str(row.quantity), whole, told,
                      ", ".join(row.jigs)])  # fmt: skip
    return _csv(_HARDWARE_COLUMNS, lines)


def _length(mm: float, units: Units) -> str:
    return f"{_mm(mm)} mm" if units is Units.MM else f"{_mm(mm)} mm ({format_length(mm, units)})"


def _inches(mm: float) -> str:
    return format_length(mm, Units.INCH)


def _mm(value: float) -> str:
    """To a hundredth, which a caliper tells."""
    return f"{round(value, 2) + 0.0:.8g}"


def _csv(head: Sequence[str], lines: Iterable[Sequence[str]]) -> str:
    """Comma-separated, as in RFC 4180.

    Text that a spreadsheet would take for a formula is set off by an apostrophe.
    """
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(head)
    writer.writerows([[_plain(cell) for cell in line] for line in lines])
    return text.getvalue()


def _plain(cell: str) -> str:
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t") else cell
