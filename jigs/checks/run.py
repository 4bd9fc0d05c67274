"""All checks of a design, and for what is not met the one change that would do."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from jigs.checks.cut import check_cut
from jigs.checks.fit import check_fit
from jigs.checks.geometry import Geometry
from jigs.checks.hold import check_hold
from jigs.checks.make import check_make
from jigs.checks.place import check_place
from jigs.checks.printing import check_printing
from jigs.errors import DesignError, JigsError
from jigs.model.finding import Finding, Remedy, Verdict
from jigs.sizing import Design, design

GeometryOf = Callable[[Design], Geometry]


def check_all(d: Design, geometry_of: GeometryOf | None = None) -> list[Finding]:
    """Every finding. Without `geometry_of`, those that need solids are not judged.

    Remedies are found by running the same check again on the changed job.
    """
    findings = _judge(d, geometry_of)
    return [
        replace(f, remedies=_remedies(d, f, geometry_of)) if f.verdict is Verdict.NOT_MET else f
        for f in findings
    ]


def _judge(d: Design, geometry_of: GeometryOf | None) -> list[Finding]:
    found = own_findings(d) + check_place(d) + check_cut(d) + check_printing(d)
    found += check_hold(d) + check_make(d)
    return found + check_fit(d, geometry_of(d) if geometry_of else None)


def own_findings(d: Design) -> list[Finding]:
    """What each kind asks of its own numbers."""
    found: list[Finding] = []
    for _, jig in d.jigs():
        try:
            found += [replace(f, of=jig.name) for f in jig.kind.own_checks(jig.n)]
        except (ArithmeticError, ValueError) as error:
            raise DesignError(
                jig.name, f"its numbers do not make a jig ({error})", "look at what was set by hand"
            ) from error
    return found


def _remedies(d: Design, finding: Finding, geometry_of: GeometryOf | None) -> tuple[Remedy, ...]:
    found = (_remedy(d, finding, lever, geometry_of) for lever in finding.levers)
    return tuple(r for r in found if r is not None)


def _remedy(
    d: Design, finding: Finding, lever: str, geometry_of: GeometryOf | None
) -> Remedy | None:
    """Move one number in the lever's direction until the check is met; None if it never is.

    A change that makes another number check fail is no remedy.
    """
    sign, name = (1 if lever[0] == "+" else -1), lever[1:]
    jig = next((jig for _, jig in d.jigs() if jig.name == finding.of), None)
    if jig is None or not jig.n.finds(name):
        return None
    number = jig.n[name]
    if not isinstance(number.value, int | float) or isinstance(number.value, bool):
        return None
    qualified, now = f"{jig.name}.{name}", float(number.value)
    step = 1.0 if isinstance(number.value, int) else (0.1 if number.unit == "mm" else 0.01)

    def changed(value: float) -> Design:
        tried = int(value) if isinstance(number.value, int) else value
        return design(d.job, {**d.changes, qualified: tried})

    def met(value: float) -> bool:
        if value <= 0 < now:
            return False
        try:
            again = _judge_one(changed(value), finding, geometry_of)
        except (JigsError, ValueError):
            return False
        return bool(again) and all(f.verdict is Verdict.MET for f in again)

    def at(steps: int) -> float:
        grid = math.floor(now / step + 1e-9) if sign > 0 else math.ceil(now / step - 1e-9)
        return round((grid + sign * steps) * step, 6)

    furthest = max(math.ceil(2 * abs(now) / step), 40)
    low, high = 0, 1
    while not met(at(high)):
        if high >= furthest or (at(high) <= 0 < now):
            return None
        low, high = high, min(2 * high, furthest)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if met(at(middle)) else (middle, high)
    if not _open(changed(at(high))) <= _open(d):
        return None
    return Remedy(qualified, at(high), number.unit, now)


def _open(d: Design) -> set[tuple[str, str]]:
    """Number checks that are not met."""
    return {(f.of, f.check) for f in own_findings(d) if f.verdict is Verdict.NOT_MET}


def _judge_one(d: Design, like: Finding, geometry_of: GeometryOf | None) -> list[Finding]:
    told = own_findings(d) + (check_make(d) if like.group == "make" else [])
    told += check_hold(d) if like.group == "hold" else []
    own = [f for f in told if (f.of, f.check) == (like.of, like.check)]
    if own or geometry_of is None:
        return own
    fit = check_fit(d, geometry_of(d), only=like.check)
    return [f for f in fit if f.of == like.of]
