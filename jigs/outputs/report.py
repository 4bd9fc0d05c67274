"""report.json: the job, its numbers with their trace, its parts, setups and findings."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from typing import Any

from jigs.checks.dry_fit import fitted
from jigs.checks.hold import TWIST_ARM, heaviest
from jigs.checks.reach import where_to_stand
from jigs.checks.rehearsing import Rehearsing
from jigs.mechanics import hand
from jigs.model.finding import Finding, Remedy, Verdict
from jigs.model.move import Step
from jigs.model.number import Book, Number
from jigs.model.part import Part
from jigs.model.reach import Datum
from jigs.model.state import SHOWN, Limit, Phase, State
from jigs.shop.cutting import push_of
from jigs.shop.path import arm_of
from jigs.sizing import Design, Jig, Setup
from jigs.units import Units

NOT_COVERED = (
    "wear and creep",
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


def report(
    design: Design, findings: Sequence[Finding], rehearsal: Rehearsing | None = None,
    batch: Any = None,
) -> dict[str, Any]:  # fmt: skip
    """The whole report as plain data, lengths in mm.

    `rehearsal`: the dry fit, if there was one; `batch`: rows of measured pieces, if any.
    """
    return {
        **summary(design, findings),
        "setups": [setup_data(s, design.job.model.units) for s in design.setups],
        "assembly": assembly_data(design, rehearsal),
        **({"batch": batch} if batch is not None else {}),
        "parts": [row for _, jig in design.jigs() for row in parts_list(jig)],
        "numbers": {name: number_data(n) for name, n in design.numbers().items()},
    }


def summary(design: Design, findings: Sequence[Finding]) -> dict[str, Any]:
    """The head of the report: what was checked, and every finding."""
    model = design.job.model
    return {
        "job": model.job,
        "revision": model.revision,
        "machine": design.job.machine.name,
        "verdict": str(verdict_of(findings)),
        "counts": dict(sorted(Counter(str(f.verdict) for f in findings).items())),
        "not covered": list(NOT_COVERED),
        "cautions": list(CAUTIONS),
        "findings": [finding_data(design, f) for f in findings],
    }


def setup_data(setup: Setup, units: Units) -> dict[str, Any]:
    """Where a setup stands, what the program must add for a piece, and where to drill."""
    return {
        "name": setup.name,
        "piece": setup.model.piece,
        "at": setup.model.at,
        "jigs": [j.name for j in setup.jigs],
        "jigs turned, deg": setup.n.turn,
        "work zero in the machine frame": [_tidy(v) for v in setup.work_zero.at],
        "cuts": [cut_data(setup, cut) for cut in setup.cuts],
        "where to stand": where_to_stand(setup, units),
        "datums": [
            datum_data(jig, datum) for jig in setup.jigs for datum in jig.kind.datums(jig.n)
        ],
        "changing a piece": [
            step_data(step) for jig in setup.jigs for step in jig.kind.steps(jig.n)
        ],
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


def cut_data(setup: Setup, cut: Book) -> dict[str, Any]:
    """A cut's force, the test before it, and the heaviest cut that is held."""
    push = push_of(cut)
    data: dict[str, Any] = {
        "name": cut.owner,
        "greatest force, N": _tidy(cut.cut_force_high),
        "pull along the cutter, N": _tidy(cut.cut_pull),
        "pull that must not move the piece, kg at the cutter's height": _tidy(
            hand.pull_reading(push.force)
        ),
        f"twist that must not turn the piece, kg at the end of {TWIST_ARM:g} mm": _tidy(
            hand.twist_reading(push.force * arm_of(cut, setup.piece), TWIST_ARM)
        ),
    }
    scale = heaviest(setup, cut)
    if scale is not None:
        data["held up to"] = {
            "force, N": _tidy(scale * cut.cut_force_high),
            "or a pass of, mm": _tidy(scale * cut.pass_depth),
            "or a feed of, mm/min": _tidy(scale * cut.feed),
        }
    return data


def assembly_data(design: Design, rehearsal: Rehearsing | None) -> dict[str, list[str]]:
    """Each jig's steps of putting together, in the order that the dry fit found."""
    if rehearsal is None:
        return {}
    return {
        jig.name: [move.says for move in fitted(setup, jig, rehearsal).assembly]
        for setup, jig in design.jigs()
    }


def datum_data(jig: Jig, datum: Datum) -> dict[str, Any]:
    """A feature to find the work zero by."""
    return {
        "jig": jig.name, "feature": f"{datum.name} ({datum.feature})", "gives": list(datum.gives),
        "from the work zero": [_tidy(v) for v in datum.from_zero],
        "comes back within": datum.comes_back, "by": datum.by, "check": datum.check,
    }  # fmt: skip


def step_data(step: Step) -> dict[str, Any]:
    """One step of changing a piece; empty fields are left out."""
    data = {
        "step": step.says, "hands": list(step.hands), "carried by": step.carried_by,
        "turns": _tidy(step.turns), "counted as away": step.removes,
    }  # fmt: skip
    return {k: v for k, v in data.items() if v not in ("", 0.0, [])}


def report_text(
    design: Design, findings: Sequence[Finding], rehearsal: Rehearsing | None = None,
    batch: Any = None,
) -> str:  # fmt: skip
    """The report as JSON text, the same in every process."""
    return (
        json.dumps(report(design, findings, rehearsal, batch), indent=1, ensure_ascii=False) + "\n"
    )


def finding_data(design: Design, f: Finding) -> dict[str, Any]:
    """A finding as plain data; empty fields are left out."""
    data = {
        "group": f.group, "check": f.check, "of": f.of, "verdict": str(f.verdict),
        "value": _tidy(f.value), "sense": f.sense, "limit": _tidy(f.limit), "unit": f.unit,
        "margin": _tidy(f.margin), "governs": f.governs, "why": f.why, "source": f.source,
        "assumes": list(f.assumes),
        "equation": f.equation, "reads": [read_data(design, f, name) for name in f.reads],
        "remedies": [remedy_data(r) for r in f.remedies],
    }  # fmt: skip
    return {k: v for k, v in data.items() if v not in ("", None, [])}


def read_data(design: Design, f: Finding, name: str) -> dict[str, Any]:
    """One number behind a finding: who has it, its value and its standing.

    Raises KeyError for a name that nobody has: a fault of whoever declared the finding.
    """
    book = design.book_of(f.of, name, f.governs)
    if book is None:
        raise KeyError(f"{f.of}: {f.check} reads {name}")
    n = book[name]
    return {
        "name": f"{book.owner}.{name}", "value": _tidy(n.value), "unit": n.unit,
        "standing": str(n.standing),
    }  # fmt: skip


def remedy_data(r: Remedy) -> dict[str, Any]:
    """A remedy as plain data, and in words."""
    data = {
        "number": r.number, "value": r.value, "unit": r.unit, "now": _tidy(r.now),
        "breaks": list(r.breaks), "told": str(r),
    }  # fmt: skip
    return {k: v for k, v in data.items() if v not in ("", [])}


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
