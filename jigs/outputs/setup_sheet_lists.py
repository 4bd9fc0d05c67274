"""The lists of the setup sheet: every check, what was assumed, what is bought and made, the pieces.

Each is plain data for the page; figures come as they are printed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from jigs.batch.running import SetupRun
from jigs.making.lists import cut_rows, hardware_rows
from jigs.model.finding import Finding, Verdict
from jigs.model.number import Standing
from jigs.outputs.batch_table import changing, same_for_all
from jigs.outputs.drawings.rows import mm
from jigs.sizing import Design
from jigs.units import Units, format_length

Report = Mapping[str, Any]

SIGNS = {"at least": "≥", "at most": "≤"}


def checks_met(findings: Sequence[Finding], units: Units) -> dict[str, Any]:
    """What is met, in groups, as rows of one table; what is assumed once, in the order of numbers.

    A row names its assumptions by number: A1 is the first.
    """
    met = [f for f in findings if f.verdict is Verdict.MET]
    ranked = sorted(met, key=lambda f: f.group)
    numbered = list(dict.fromkeys(words for f in ranked for words in f.assumes))
    groups = []
    for group, members in groupby(ranked, key=lambda f: f.group):
        rows = [finding_told(f, units) for f in members]
        for row in rows:
            row["assumes"] = [f"A{numbered.index(words) + 1}" for words in row["assumes"]]
        groups.append({"name": group, "rows": rows})
    return {"groups": groups, "assumes": numbered}


def unjudged(findings: Sequence[Finding], units: Units) -> dict[str, list[dict[str, Any]]]:
    """What is not judged, by the reason."""
    found: dict[str, list[dict[str, Any]]] = {}
    for f in findings:
        if f.verdict is Verdict.NOT_JUDGED:
            found.setdefault(f.why, []).append(finding_told(f, units))
    return found


def finding_told(f: Finding, units: Units) -> dict[str, Any]:
    """A finding as it is printed."""
    return {
        "of": f.of, "check": f.check, "why": f.why,
        "value": value_told(f.value, f.unit, units), "limit": value_told(f.limit, f.unit, units),
        "sense": f.sense, "sign": SIGNS.get(f.sense, f.sense),
        "margin": value_told(f.margin, f.unit, units), "governs": f.governs,
        "assumes": list(f.assumes), "remedies": [str(r) for r in f.remedies],
    }  # fmt: skip


def value_told(value: float | None, unit: str, units: Units) -> str:
    """A figure with its unit; inches in brackets."""
    if value is None:
        return ""
    inches = ""
    if unit == "mm" and units is Units.INCH:
        inches = f" ({format_length(value, Units.INCH).removesuffix(' in')})"
    return f"{mm(value)} {unit}".rstrip() + inches


def size_told(value: float, units: Units) -> str:
    """In mm, and in inches beside it where the job is in inches."""
    if units is Units.MM:
        return f"{mm(value)} mm"
    return f"{mm(value)} mm ({format_length(value, Units.INCH)})"


def signed(value: float, units: Units) -> str:
    """A length that is entered, with its sign."""
    sign = "+" if float(mm(value)) > 0 else ""
    return f"{sign}{size_told(value, units)}"


def assumed(d: Design, report: Report) -> list[dict[str, str]]:
    """Numbers that any finding reads and nobody has measured or given."""
    found: dict[str, dict[str, str]] = {}
    numbers = d.numbers()
    units = d.job.model.units
    for finding in report["findings"]:
        for read in finding.get("reads", ()):
            if read["standing"] != str(Standing.ASSUMED) or read["name"] in found:
                continue
            value, unit = read["value"], read["unit"]
            figure = isinstance(value, int | float)
            number = numbers.get(read["name"])
            found[read["name"]] = {
                "name": read["name"],
                "value": value_told(value, unit, units) if figure else _plain(value),
                "meaning": number.meaning if number else "",
                "source": number.source if number else "",
            }  # fmt: skip
    return list(found.values())


def _plain(value: Any) -> str:
    """What is not one figure: a list in words, not in brackets."""
    if isinstance(value, list):
        return ", ".join(_plain(v) for v in value) or "nothing given"
    return mm(value) if isinstance(value, float) else str(value)


def cut_list(d: Design) -> list[dict[str, Any]]:
    """What is made, at its finished size."""
    inch = d.job.model.units is Units.INCH
    found = []
    for r in cut_rows(d):
        sizes = (r.length, r.width, r.thickness)
        found.append({
            "jig": r.jig, "title": r.title, "quantity": r.quantity, "made": r.made,
            "material": f"{r.material}{f', {r.stock}' if r.stock else ''}",
            "size": [mm(v) for v in sizes],
            "inches": [format_length(v, Units.INCH).removesuffix(" in") for v in sizes]
            if inch else [],
            "grain": r.grain, "note": r.note,
        })  # fmt: skip
    return found


def hardware(d: Design) -> list[dict[str, Any]]:
    """What is bought."""
    units = d.job.model.units
    return [
        {"family": r.family, "designation": r.designation, "material": r.material,
         "quantity": r.quantity, "jigs": ", ".join(r.jigs),
         "lengths": " + ".join(f"{n} × {size_told(v, units)}" for v, n in r.lengths)}
        for r in hardware_rows(d)
    ]  # fmt: skip


def batch(d: Design, run: SetupRun) -> dict[str, Any]:
    """The pieces in the order to run them: what to enter and to set for each."""
    units = d.job.model.units
    columns = changing(run)
    rows = []
    for place in run.order.places:
        row = run.rows[place]
        values = {(jig, s.name, s.unit): s for jig, s in row.settings}
        rows.append({
            "id": row.id, "offset": [signed(v, units) for v in row.offset],
            "settings": [_setting(values.get(key)) for key in columns],
            "refusal": "" if row.refusal is None else
            f"{row.refusal.finding.of}: {row.refusal.finding.check}",
        })  # fmt: skip
    return {
        "setup": run.setup.name, "piece": run.setup.model.piece,
        "columns": [f"{jig}: {name}{f' ({unit})' if unit else ''}" for jig, name, unit in columns],
        "rows": rows, "same": same_for_all(run),
    }  # fmt: skip


def _setting(setting: Any) -> str:
    if setting is None:
        return ""
    return setting.told if setting.value is None else mm(setting.value)
