"""A difference between two jobs as plain data, and as lines in the units of the job."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any

from jigs.comparing import (
    Blank,
    CutPlace,
    Difference,
    FindingChange,
    NumberChange,
    PartChange,
)
from jigs.model.finding import Finding
from jigs.model.number import Number, Value
from jigs.units import MM_PER_INCH, Units, format_length

FIRST = 40
"""Numbers by rule that are shown unless all are asked for; the rest is counted."""


def difference_data(found: Difference) -> dict[str, Any]:
    """The whole difference as plain data, lengths in mm."""
    return {
        "findings": [_finding_data(change) for change in found.findings],
        "parts": [_part_data(change) for change in found.parts],
        "hardware": [
            {"what": c.designation, "before": c.before, "after": c.after} for c in found.hardware
        ],
        "numbers": [
            {"name": c.name, "unit": c.unit, "by hand": c.by_hand, "before": _plain(c.before),
             "after": _plain(c.after)}
            for c in found.numbers
        ],
    }  # fmt: skip


def _finding_data(change: FindingChange) -> dict[str, Any]:
    now = change.now
    return {
        "of": now.of, "check": now.check, "turn": change.turn, "unit": now.unit,
        "before": _judged(change.before), "after": _judged(change.after),
    }  # fmt: skip


def _judged(finding: Finding | None) -> dict[str, Any] | None:
    if finding is None:
        return None
    return {
        "verdict": str(finding.verdict), "value": finding.value, "limit": finding.limit,
        "margin": finding.margin, "remedies": [str(remedy) for remedy in finding.remedies],
    }  # fmt: skip


def _part_data(change: PartChange) -> dict[str, Any]:
    return {
        "jig": change.jig, "part": change.part, "title": change.title, "what": change.what,
        "before": _fields(change.before),
        "after": _fields(change.after), "outline of another form": change.shape,
        "cuts": [
            {"name": cut.name, "before": _fields(cut.before),
             "after": _fields(cut.after)}
            for cut in change.cuts
        ],
    }  # fmt: skip


def _fields(place: Blank | CutPlace | None) -> dict[str, Any] | None:
    if place is None:
        return None
    return {k: list(v) if isinstance(v, tuple) else v for k, v in asdict(place).items()}


def _plain(number: Number | None) -> Any:
    if number is None:
        return None
    return list(number.value) if isinstance(number.value, tuple) else number.value


def difference_lines(
    found: Difference, units: Units, *, every: bool = False
) -> Iterator[tuple[str, str]]:
    """(what it is about, what to say) for each change, the weightiest first.

    Parameters: units = of lengths; every = also moved margins and all numbers by rule.
    """
    for change in found.findings:
        if every or change.turn != "margin moved":
            yield change.turn, _finding_line(change, units)
    moved = sum(change.turn == "margin moved" for change in found.findings)
    if moved and not every:
        tightest = next(c for c in found.findings if c.turn == "margin moved")
        yield "margins", f"{moved} moved; now the tightest: {_finding_line(tightest, units)}"
    for part in found.parts:
        yield f"part {part.what}", _part_line(part, units)
        for cut in part.cuts if every else ():
            yield "", f"{cut.name}: {_place(cut.before, units)} -> {_place(cut.after, units)}"
    for bought in found.hardware:
        yield "to buy", f"{bought.designation}: {bought.before} -> {bought.after}"
    by_rule = [c for c in found.numbers if not c.by_hand]
    for number in found.numbers:
        if number.by_hand:
            yield "you changed", _number_line(number, units)
    for number in by_rule if every else by_rule[:FIRST]:
        yield "follows", _number_line(number, units)
    if not every and len(by_rule) > FIRST:
        yield "follows", f"and {len(by_rule) - FIRST} more numbers: --verbose lists them"


def _finding_line(change: FindingChange, units: Units) -> str:
    now = change.now
    text = f"{now.of}: {now.check}"
    margins = [_margin(f, units) for f in (change.before, change.after)]
    if margins != ["none", "none"]:
        text += f", margin {margins[0]} -> {margins[1]}"
    if change.turn in ("newly not met", "still not met") and now.remedies:
        text += f". Remedy: {'; or '.join(str(remedy) for remedy in now.remedies)}"
    return text


def _part_line(change: PartChange, units: Units) -> str:
    was, now = change.before, change.after
    told = [_count(b) + _size(b.size, units) for b in (was, now) if b is not None]
    if was is not None and now is not None:
        told = []
        if _count(was) != _count(now):
            told.append(f"{_count(was)} -> {_count(now)}")
        if was.size != now.size:
            told.append(f"{_size(was.size, units)} ->{_size(now.size, units)}".strip())
        elif change.shape:
            told.append("outline of another form")
        if change.cuts:
            told.append(f"{len(change.cuts)} cut{'s' * (len(change.cuts) > 1)} otherwise")
    return f"{change.jig}/{change.part}: {'; '.join(told)}"


def _count(blank: Blank) -> str:
    return f"{blank.quantity} of {blank.made}"


def _size(size: tuple[float, ...], units: Units) -> str:
    return f" {_lengths(size, ' x ', units)}" if size else ""


def _lengths(values: Sequence[float], between: str, units: Units) -> str:
    """`38.00 x 12.00 mm`: the unit once, after the last."""
    unit = " mm" if units is Units.MM else " in"
    return between.join(_length(v, units).removesuffix(unit) for v in values) + unit


def _place(cut: CutPlace | None, units: Units) -> str:
    if cut is None:
        return "none"
    deep = "through" if cut.depth is None else f"{_length(cut.depth, units)} deep"
    middle = _lengths(cut.middle, ", ", units)
    return f"{_lengths(cut.size, ' x ', units)} at {middle}, {deep}, {cut.face}"


def _number_line(change: NumberChange, units: Units) -> str:
    pair = (change.before, change.after)
    shown = ["none" if n is None else _shown(n.value, change.unit, units) for n in pair]
    if shown[0] == shown[1]:  # less than the figures show, or only somebody else says it
        shown = [_exactly(n) for n in pair]
    return f"{change.name}: {shown[0]} -> {shown[1]}"


def _exactly(n: Number | None) -> str:
    if n is None:
        return "none"
    value = f"{n.value:.7g} {n.unit}".rstrip() if isinstance(n.value, float) else f"{n.value}"
    return f"{value}, {n.standing}"


def _margin(finding: Finding | None, units: Units) -> str:
    if finding is None or finding.margin is None:
        return "none"
    if finding.unit == "mm":
        # Not as a fraction: what lacks 0.02 mm would come out as nothing.
        if units is Units.INCH:
            return f"{finding.margin / MM_PER_INCH:+.3f} in"
        return f"{finding.margin:+.2f} mm"
    return f"{finding.margin:+.2f} {finding.unit}".rstrip()


def _shown(value: Value, unit: str, units: Units) -> str:
    if isinstance(value, tuple):
        inner = ", ".join(_shown(v, unit, units) for v in value)
        return f"({inner})"
    if isinstance(value, bool) or not isinstance(value, float | int):
        return f"{value}"
    return _length(value, units) if unit == "mm" else f"{value:.5g} {unit}".rstrip()


def _length(mm: float, units: Units) -> str:
    """A length to 0.01 mm, or as inches are written."""
    return f"{mm:.2f} mm" if units is Units.MM else format_length(mm, units)
