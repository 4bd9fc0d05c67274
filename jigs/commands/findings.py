"""The findings of a job as a table, what is not met first and with its remedies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from jigs.commands.voice import Voice
from jigs.model.finding import NEEDS_BUILD

_ORDER = {"not met": 0, "not judged": 1, "met": 2}
_COLUMNS = (("", "left"), ("of", "left"), ("check", "left"), ("found", "right"),
            ("asked", "right"), ("margin", "right"))  # fmt: skip


def tell_findings(voice: Voice, data: Mapping[str, Any]) -> None:
    """Print a report's findings: all of them, or with `quiet` only those that are not met.

    What waits for the solids is counted and listed only with `verbose`.
    """
    if voice.as_json:
        return
    console = voice.console()
    if not voice.quiet:
        console.print(_table(data, all_of_them=voice.verbose))
    for f in data["findings"]:
        if f["verdict"] == "not met":
            told = f"NOT MET: {f['of']}: {f['check']}. {advice(f)}"
            console.print(told, style="bold red", soft_wrap=False)
            if voice.verbose:
                for line in _grounds(f):
                    console.print(f"    {line}")
        elif _left_open(f) and not voice.quiet:
            console.print(f"not judged: {f['of']}: {f['check']}. {f.get('why', '')}.")
    if not voice.quiet:
        counts = ", ".join(f"{n} {word}" for word, n in data["counts"].items())
        console.print(f"{counts}. Not covered yet: {', '.join(data['not covered'])}.")
        console.print(f"{data['cautions'][0]} {data['cautions'][1]}")


def _left_open(f: Mapping[str, Any]) -> bool:
    """Not judged, and a build would not judge it either."""
    return f["verdict"] == "not judged" and NEEDS_BUILD not in f.get("why", "")


def waiting(data: Mapping[str, Any]) -> int:
    """How many findings wait for the solids."""
    return sum(NEEDS_BUILD in f.get("why", "") for f in data["findings"])


def advice(f: Mapping[str, Any]) -> str:
    """Why it is not met, and what would cure it."""
    remedies = [r["told"] for r in f.get("remedies", ())]
    why = "; ".join(text for text in (f.get("governs", ""), f.get("why", "")) if text)
    if not remedies:
        return f"{why}. No single change that was tried would do.".lstrip(". ")
    return f"{why}. Remedy: {'; or '.join(remedies)}."


def _table(data: Mapping[str, Any], *, all_of_them: bool) -> Any:
    from rich.table import Table

    table = Table(title=f"{data['job']}, revision {data['revision']}", title_justify="left",
                  box=None, pad_edge=False)  # fmt: skip
    for heading, justify in _COLUMNS:
        table.add_column(heading, justify=justify)  # type: ignore[arg-type]
    for f in sorted(data["findings"], key=lambda f: _ORDER[f["verdict"]]):
        if all_of_them or NEEDS_BUILD not in f.get("why", ""):
            table.add_row(*_row(f), style="bold" if f["verdict"] == "not met" else "")
    return table


def _row(f: Mapping[str, Any]) -> Sequence[str]:
    unit = f.get("unit", "")
    found = f"{f['value']:.2f} {unit}".strip() if "value" in f else ""
    asked = f"{f['sense']} {f['limit']:.2f}" if "limit" in f else ""
    margin = f"{f['margin']:+.2f}" if "margin" in f else ""
    return (f["verdict"], f["of"], f["check"], found, asked, margin)


def _grounds(f: Mapping[str, Any]) -> Iterator[str]:
    """Equation, numbers behind it with their standing, assumptions and source."""
    if "equation" in f:
        yield f["equation"]
    for read in f.get("reads", ()):
        yield f"{read['name']} = {read['value']} {read['unit']} ({read['standing']})".strip()
    if "assumes" in f:
        yield f"assumes: {'; '.join(f['assumes'])}"
    if "source" in f:
        yield f"source: {f['source']}"
