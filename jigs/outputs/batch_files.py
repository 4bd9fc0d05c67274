"""batch.csv, and the batch as plain data for report.json."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from jigs.batch.budget import AxisBudget, Ends
from jigs.batch.care import care_of
from jigs.batch.grouping import grouped, within
from jigs.batch.running import Row, SetupRun
from jigs.batch.serving import Refusal
from jigs.model.batch import Setting
from jigs.publish import Publication
from jigs.sizing import Design

BATCH = "batch.csv"

SAME_LENGTH = 0.1
"""mm; lengths no further apart share one height of the work zero. Common practice, no source."""

_FIXED = ("order", "setup", "piece")
_OFFSETS = ("dx mm", "dy mm", "dz mm")
_ENDS = ("centre within mm (95 %)", "height from mm (95 %)", "height to mm (95 %)", "served",
         "why not", "what would serve it")  # fmt: skip


def write_batch(runs: Sequence[SetupRun], out: Publication) -> None:
    """Publish batch.csv."""
    out.write_text(BATCH, batch_csv(runs))


def batch_csv(runs: Sequence[SetupRun]) -> str:
    """Every piece of every setup in the order to run them; units stand in the header, mm.

    Offsets are in the machine frame, from the work zero. Text that a spreadsheet would take for a
    formula is set off by an apostrophe. Comma-separated, as in RFC 4180.
    """
    sizes = list(dict.fromkeys(word for run in runs for word in run.rows[0].sizes))
    named = list(dict.fromkeys(_columns_of(run) for run in runs))
    settings = list(dict.fromkeys(name for names in named for name in names))
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow((*_FIXED, *(f"{w} mm" for w in sizes), *_OFFSETS, *settings, *_ENDS))
    for run in runs:
        writer.writerows(_lines(run, sizes, settings))
    return text.getvalue()


def _columns_of(run: SetupRun) -> tuple[str, ...]:
    return tuple(_heading(jig, s) for jig, s in run.rows[0].settings)


def _heading(jig: str, s: Setting) -> str:
    return f"{jig}: {s.name}" + (f" ({s.unit})" if s.unit and s.value is not None else "")


def _lines(run: SetupRun, sizes: Sequence[str], settings: Sequence[str]) -> Iterator[list[str]]:
    last: tuple[tuple[str, Setting], ...] | None = None
    told: list[str] = []
    for number, place in enumerate(run.order.places, 1):
        row = run.rows[place]
        if row.settings is not last:
            values = {_heading(jig, s): _value(s) for jig, s in row.settings}
            told, last = [values.get(name, "") for name in settings], row.settings
        yield [
            str(number), run.setup.name, _plain(row.id),
            *(_mm(row.sizes[w]) if w in row.sizes else "" for w in sizes),
            *map(_mm, row.offset), *told, _mm(row.centre),
            _mm(row.height.low if row.height else None),
            _mm(row.height.high if row.height else None), *_verdict(row.refusal),
        ]  # fmt: skip


def _value(s: Setting) -> str:
    if s.value is None:
        return _plain(s.told)
    return f"{s.value:g}" + (f" {s.told}" if s.told else "")


def _verdict(refusal: Refusal | None) -> list[str]:
    if refusal is None:
        return ["yes", "", ""]
    return ["no", _plain(why_not(refusal)), _plain("; or ".join(refusal.remedies))]


def why_not(refusal: Refusal) -> str:
    """Why a piece is not served, in one line."""
    f = refusal.finding
    if f.value is None or f.limit is None:
        return f"{f.of}: {f.check}: {f.why}"
    told = f"{f.of}: {f.check} {f.value:.2f} {f.unit}".rstrip()
    return f"{told}, {f.sense} {f.limit:.2f} is asked"


def _mm(value: float | None) -> str:
    """To a hundredth, which is what a caliper and a program tell apart."""
    return "" if value is None else f"{round(value, 2) + 0.0:.8g}"


def _plain(cell: str) -> str:
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t") else cell


# ---- the section of report.json -----------------------------------------------------------------


def batch_data(d: Design, runs: Sequence[SetupRun]) -> list[dict[str, Any]]:
    """The batch of every setup as plain data; each piece by itself stands in batch.csv."""
    return [run_data(d, run) for run in runs]


def run_data(d: Design, run: SetupRun) -> dict[str, Any]:
    """One setup's batch: counts, odd pieces, pieces not served, errors, order, groups, care."""
    data: dict[str, Any] = {
        "setup": run.setup.name,
        "piece": run.setup.model.piece,
        "measured in": run.batch.file if run.batch else "",
        "pieces": len(run.rows),
        "notes": list(notes_of(run)),
        "odd": [o.told for o in run.odd],
        "without the odd": run.without,
        "outside what the job gives": [o.told for o in run.outside],
        "served": sum(row.refusal is None for row in run.rows),
        "served range": {w: list(map(_tidy, ends)) for w, ends in run.serving.ranges.items()},
        "not served": [refusal_data(run, row) for row in run.rows if row.refusal is not None][:200],
        "jigs that exist": list(run.built),
        "still follow the new batch": [
            {"number": f"{x.jig}.{x.number}", "from": list(x.follows)} for x in run.loose
        ],
        "jigs made anew by rule": [
            {"from": _tidy(g.least), "to": _tidy(g.most), "pieces": len(g.places)}
            for g in run.anew[1]
        ],
        "errors": [budget_data(b) for b in run.budgets],
        "minutes for changes, in this order": _tidy(run.order.minutes),
        "minutes for changes, as listed": _tidy(run.order.as_listed),
        "groups of one length": groups_of_length(run),
        "care": [
            {"every": c.every.value, "told": c.told, "standing": str(c.every.standing),
             "source": c.every.source}
            for c in care_of(run.setup)
        ],
    }  # fmt: skip
    return {k: v for k, v in data.items() if v not in ("", [], {})}


def notes_of(run: SetupRun) -> list[str]:
    """What was found in the file and taken so."""
    if run.batch is None:
        return ["no pieces were measured: shown are the least, nominal and largest that may come"]
    notes = list(run.batch.notes)
    if run.batch.bad:
        notes.append(f"{run.batch.file}: {run.batch.bad} lines left out")
    if run.setup.piece.count != len(run.batch):
        notes.append(
            f"{len(run.batch)} pieces are measured, the job counts {run.setup.piece.count}"
        )
    return notes


def groups_of_length(run: SetupRun) -> list[dict[str, Any]]:
    """The fewest groups of lengths that each share one height, where the height follows them."""
    if not run.batch or len({row.offset[2] for row in run.rows}) == 1:
        return []
    groups = grouped([row.sizes["length"] for row in run.rows], within(SAME_LENGTH))
    return [{"from": _tidy(g.least), "to": _tidy(g.most), "pieces": len(g.places)} for g in groups]


def refusal_data(run: SetupRun, row: Row) -> dict[str, Any]:
    """A piece that is not served: which, why, and what would serve it."""
    assert row.refusal is not None
    return {
        "piece": row.id, "sizes": {w: _tidy(v) for w, v in row.sizes.items()},
        "why": why_not(row.refusal), "judged alone": row.refusal.alone,
        "remedies": list(row.refusal.remedies), "remedies for": run.rows[row.refusal.worst].id,
    }  # fmt: skip


def why_counts(run: SetupRun) -> list[tuple[str, int, Refusal]]:
    """Each reason for which pieces are not served: (of and check, how many, one of them)."""
    refused = [row.refusal for row in run.rows if row.refusal is not None]
    counts = Counter((r.finding.of, r.finding.check) for r in refused)
    first = {(r.finding.of, r.finding.check): r for r in reversed(refused)}
    return [(f"{of}: {check}", n, first[of, check]) for (of, check), n in counts.most_common()]


def budget_data(b: AxisBudget) -> dict[str, Any]:
    """An axis's errors as plain data, mm in the machine frame."""
    return {
        "axis": b.axis, "worst case": _ends(b.worst),
        "root-sum-square": {f"{p:g} %": _ends(e) for p, e in b.squares.items()},
        "Monte-Carlo": {f"{p:g} %": _ends(e) for p, e in b.drawn.items()},
        "same for the whole batch, 95 %": _ends(b.batch),
        "dominant": b.dominant, "its share of the mean square": _tidy(round(b.share, 4)),
    }  # fmt: skip


def _ends(e: Ends) -> list[float]:
    return [_tidy(round(e.low, 4)), _tidy(round(e.high, 4))]


def _tidy(value: float) -> float:
    return float(f"{value:.12g}") + 0.0


__all__ = ["BATCH", "batch_csv", "batch_data", "notes_of", "why_counts", "why_not", "write_batch"]
