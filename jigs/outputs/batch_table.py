"""The batch as lines for the terminal: notes, what is not served, the first rows, errors, order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from jigs.batch.care import care_of
from jigs.batch.running import SetupRun
from jigs.outputs.batch_files import notes_of, why_counts

FIRST = 20
"""Rows and names that are shown; the rest is counted."""


def heading(run: SetupRun) -> str:
    """One line above the table."""
    served = sum(row.refusal is None for row in run.rows)
    jigs = ", ".join(jig.name for jig in run.setup.jigs)
    return (f"{run.setup.name}: {len(run.rows)} pieces of {run.setup.model.piece} in {jigs}; "
            f"{served} served, {len(run.rows) - served} not")  # fmt: skip


def table(run: SetupRun) -> tuple[list[str], list[list[str]]]:
    """Headings and the first rows, in the order to run them: what a woodworker sets and enters."""
    varied = changing(run)
    named = [f"{jig}: {name} ({unit})" if unit else f"{jig}: {name}" for jig, name, unit in varied]
    words = list(run.rows[0].sizes)[:3]
    head = ["piece", *words, "dx", "dy", "dz", *named, "centre ±", "served"]
    lines = []
    for place in run.order.places[:FIRST]:
        row = run.rows[place]
        values = {(jig, s.name, s.unit): s.value for jig, s in row.settings}
        lines.append([
            row.id, *(f"{row.sizes[w]:.2f}" for w in words), *(f"{v:+.2f}" for v in row.offset),
            *("" if (v := values.get(key)) is None else f"{v:g}" for key in varied),
            "" if row.centre is None else f"{row.centre:.2f}",
            "yes" if row.refusal is None else "NO",
        ])  # fmt: skip
    return head, lines


def changing(run: SetupRun) -> list[tuple[str, str, str]]:
    """Settings that differ from piece to piece; what is always the same is told once."""
    seen: dict[tuple[str, str, str], set[float | None]] = {}
    for row in run.rows:
        for jig, s in row.settings:
            seen.setdefault((jig, s.name, s.unit), set()).add(s.value)
    return [key for key, values in seen.items() if len(values) > 1]


def same_for_all(run: SetupRun) -> list[str]:
    """Settings that are the same for every piece."""
    varied = set(changing(run))
    return [
        f"{jig}: {s.name} {'' if s.value is None else f'{s.value:g} {s.unit} '}{s.told}".rstrip()
        for jig, s in run.rows[0].settings
        if (jig, s.name, s.unit) not in varied
    ]


def below(run: SetupRun) -> Iterator[str]:
    """What stands below the table."""
    if len(run.rows) > FIRST:
        yield f"... and {len(run.rows) - FIRST} more in batch.csv"
    for told in same_for_all(run):
        yield f"for every piece: {told}"
    if run.order.minutes < run.order.as_listed:
        yield (f"in this order changing the settings takes {run.order.minutes:g} minutes, "
               f"{run.order.as_listed:g} as listed")  # fmt: skip
    for b in run.budgets:
        yield (f"error along {b.axis}: {b.drawn[95.0].low:+.2f} to {b.drawn[95.0].high:+.2f} mm "
               f"on 95 % of pieces, at worst {b.worst.low:+.2f} to {b.worst.high:+.2f}; "
               f"most of it: {b.dominant}")  # fmt: skip
    for care in care_of(run.setup):
        yield f"care: {care.told} ({care.every.standing})"
    yield from notes_of(run)
    yield from _odd(run)
    yield from _not_served(run)
    if run.loose:
        names = ", ".join(f"{x.jig}.{x.number}" for x in run.loose)
        yield (f"these still follow the new batch: {names}. Measure them too, or keep the numbers "
               "of the old job: jigs built OLD.yaml JIG")  # fmt: skip


def _odd(run: SetupRun) -> Iterator[str]:
    for told in _first([o.told for o in run.odd]):
        yield f"LOOK AT {told}"
    if run.without:
        yield f"  {run.without}"
    for told in _first([o.told for o in run.outside]):
        yield f"OUTSIDE {told}"


def _not_served(run: SetupRun) -> Iterator[str]:
    for reason, count, refusal in why_counts(run):
        ids = [
            row.id for row in run.rows
            if row.refusal is not None
            and f"{row.refusal.finding.of}: {row.refusal.finding.check}" == reason
        ]  # fmt: skip
        f = refusal.finding
        why = f" ({f.why})" if f.why else ""
        more = f" and {count - FIRST} more" if count > FIRST else ""
        yield f"NOT SERVED: {_pieces(ids[:FIRST])}{more}: {reason}{why}"
        worst = run.rows[refusal.worst].id
        for remedy in refusal.remedies:
            yield f"  for piece {worst}, the furthest out: {remedy}"
        if not refusal.remedies:
            yield "  no single change that was tried would serve it"
    word, groups = run.anew
    if groups:
        told = ", ".join(f"{g.least:g} to {g.most:g} ({len(g.places)})" for g in groups)
        what = "one jig" if len(groups) == 1 else f"{len(groups)} jigs"
        yield f"{what}, made anew by rule, would serve the batch: {word} {told}"
    for word, (low, high) in run.serving.ranges.items():
        yield f"of this batch the jigs serve {word} {low:g} to {high:g} mm"


def _pieces(ids: Sequence[str]) -> str:
    return f"piece {ids[0]}" if len(ids) == 1 else f"pieces {', '.join(ids)}"


def _first(lines: Sequence[str]) -> list[str]:
    if len(lines) <= FIRST:
        return list(lines)
    return [*lines[:FIRST], f"{len(lines) - FIRST} more, in the report"]
