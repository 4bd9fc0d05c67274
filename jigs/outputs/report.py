"""report.json: the job, its numbers with their trace, its parts, setups and findings."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from typing import Any

from jigs.model.finding import Finding, Verdict
from jigs.model.number import Number
from jigs.model.part import Part
from jigs.model.state import SHOWN, Limit, Phase, State
from jigs.sizing import Design, Jig, Setup

NOT_COVERED = (
    "holding force and strength of ring and gauge", "stiffness under the cut",
    "reach and clearance of cutter, collet nut and gantry",
    "order of assembly and loading (dry fit)", "wear and creep",
)  # fmt: skip
"""What this version does not judge at all: every report says so, or met is read as more."""

CAUTIONS = (
    "Forces and fits are worked out on stated assumptions; the check is a help, not a guarantee.",
    "Follow the machine's manual and local rules; ask a competent person where in doubt.",
    "Count gauge and spanners as removed before the spindle may start.",
    "Catch the piece before slackening the ring. Isolate the spindle before reaching in.",
)


def verdict_of(findings: Sequence[Finding]) -> Verdict:
    """Not met if anything is not met; else not judged if anything is not judged; else met."""
    verdicts = {f.verdict for f in findings}
    for verdict in (Verdict.NOT_MET, Verdict.NOT_JUDGED):
        if verdict in verdicts:
            return verdict
    return Verdict.MET


def told(findings: Sequence[Finding]) -> str:
    """The verdict in the words that stand in files: loud where something is not met."""
    verdict = verdict_of(findings)
    return "NOT MET: see the report" if verdict is Verdict.NOT_MET else str(verdict)


def report_name(findings: Sequence[Finding]) -> str:
    """Name of the report file: it says NOT MET where something is."""
    return "report NOT MET.json" if verdict_of(findings) is Verdict.NOT_MET else "report.json"


def report(design: Design, findings: Sequence[Finding]) -> dict[str, Any]:
    """The whole report as plain data, lengths in mm."""
    model = design.job.model
    return {
        "job": model.job,
        "revision": model.revision,
        "machine": design.job.machine.name,
        "verdict": str(verdict_of(findings)),
        "counts": dict(sorted(Counter(str(f.verdict) for f in findings).items())),
        "not covered": list(NOT_COVERED),
        "cautions": list(CAUTIONS),
        "findings": [finding_data(f) for f in findings],
        "setups": [setup_data(s) for s in design.setups],
        "parts": [row for _, jig in design.jigs() for row in parts_list(jig)],
        "numbers": {name: number_data(n) for name, n in design.numbers().items()},
    }


def setup_data(setup: Setup) -> dict[str, Any]:
    """Where a setup stands, what the program must add for a piece, and where to drill."""
    return {
        "name": setup.name,
        "piece": setup.model.piece,
        "at": setup.model.at,
        "jigs": [j.name for j in setup.jigs],
        "jigs turned, deg": setup.n.turn,
        "work zero in the machine frame": [_tidy(v) for v in setup.work_zero.at],
        "offsets from the work zero, machine x y z": {
            str(limit): [_tidy(v) for v in setup.piece_pose(State(Phase.CLOSED, limit)).at]
            for limit in Limit
        },
        "holes to drill, machine frame": [
            {
                "jig": jig.name, "into": hole.into, "for": hole.meets,
                "at": [_tidy(v) for v in setup.work_zero.apply(hole.at)],
                "diameter": hole.diameter, "depth": hole.depth,
            }
            for jig in setup.jigs
            for hole in jig.board_holes
        ],
    }  # fmt: skip


def report_text(design: Design, findings: Sequence[Finding]) -> str:
    """The report as JSON text, the same in every process."""
    return json.dumps(report(design, findings), indent=1, ensure_ascii=False) + "\n"


def finding_data(f: Finding) -> dict[str, Any]:
    """A finding as plain data; empty fields are left out."""
    data = {
        "group": f.group, "check": f.check, "of": f.of, "verdict": str(f.verdict),
        "value": _tidy(f.value), "sense": f.sense, "limit": _tidy(f.limit), "unit": f.unit,
        "margin": _tidy(f.margin), "governs": f.governs, "why": f.why, "source": f.source,
        "assumes": list(f.assumes),
        "remedies": [
            {"number": r.number, "value": r.value, "unit": r.unit, "now": _tidy(r.now)}
            for r in f.remedies
        ],
    }  # fmt: skip
    return {k: v for k, v in data.items() if v not in ("", None, [])}


def number_data(n: Number) -> dict[str, Any]:
    """A number as plain data with its trace; empty fields are left out."""
    data = {
        "value": _tidy(n.value), "unit": n.unit, "standing": str(n.standing),
        "meaning": n.meaning, "from": list(n.inputs), "source": n.source, "where": n.where,
        "instead of": _tidy(n.instead_of),
    }  # fmt: skip
    return {k: v for k, v in data.items() if v not in ("", None, [])}


def parts_list(jig: Jig) -> list[dict[str, Any]]:
    """Every different part of a jig, with how many there are and how it is made."""
    counts = Counter(p.part for p in jig.poses(SHOWN))
    return [
        {
            "jig": jig.name,
            "part": part.id,
            "title": part.title,
            "quantity": counts[part.id] or part.quantity,
            "made": made_text(part),
        }
        for part in jig.parts.values()
    ]


def made_text(part: Part) -> str:
    """How a part is made, in a few words."""
    made = part.made
    word = type(made).__name__.lower()
    stuff = getattr(made, "material", "") or getattr(made, "wood", "")
    if word == "stack":
        return f"stack of {made.slices} slices, {stuff}"  # type: ignore[union-attr]
    if word == "lining":
        return f"lining, {stuff}, strip {made.strip_length:.1f} × {made.strip_width:g} mm"  # type: ignore[union-attr]
    return f"{word}, {stuff}"


def _tidy(value: Any) -> Any:
    """Twelve digits: enough for any maker, and the same on every machine."""
    if isinstance(value, float):
        return float(f"{value:.12g}") + 0.0
    if isinstance(value, tuple):
        return [_tidy(v) for v in value]
    return value
