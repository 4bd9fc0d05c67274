"""Advice on what is not met: the one change that would do, found by running the check again."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from jigs.checks.clearance import check_clearance
from jigs.checks.dry_fit import GROUP as DRY_FIT
from jigs.checks.dry_fit import check_dry_fit
from jigs.checks.fit import check_fit
from jigs.checks.geometry import Geometry
from jigs.checks.numbers import findings_like, number_findings
from jigs.errors import JigsError
from jigs.model.finding import Finding, Remedy, Verdict
from jigs.sizing import Design, design

GeometryOf = Callable[[Design], Geometry]
Met = frozenset[tuple[str, str]]
"""(of, check) of what is met."""


def met_checks(findings: Iterable[Finding]) -> Met:
    """What of these findings is met."""
    return frozenset((f.of, f.check) for f in findings if f.verdict is Verdict.MET)


@dataclass(frozen=True)
class Advice:
    """Advice on the findings of a design. `met` = what numbers alone find met in it."""

    design: Design
    met: Met
    geometry_of: GeometryOf | None

    def on(self, finding: Finding) -> tuple[Remedy, ...]:
        """Changes of one number that make it met: those that break nothing first, then by size."""
        found = [r for lever in finding.levers if (r := self._pull(finding, lever)) is not None]
        return tuple(sorted(found, key=lambda r: (len(r.breaks), abs(r.value / r.now - 1))))

    def _pull(self, finding: Finding, lever: str) -> Remedy | None:
        """Move one number in the lever's direction until the check is met; None if it never is."""
        sign, name = (1 if lever[0] == "+" else -1), lever[1:]
        book = self.design.book_of(finding.of, name, finding.governs)
        number = book[name] if book else None
        if book is None or number is None or isinstance(number.value, str | bool | tuple):
            return None
        qualified, now = f"{book.owner}.{name}", float(number.value)
        whole = isinstance(number.value, int)
        if not now:
            return None

        def met(value: float) -> bool:
            return (value > 0 or now < 0) and self._is_met(finding, qualified, _as(value, whole))

        step = sign * step_of(now, number.unit, whole)
        if findings_like(self.design, finding):
            value = least_change(now, step, met)
        else:
            # How far a move lacks says nothing of how far a number does.
            lacks = finding.margin or 0.0 if finding.group != DRY_FIT else max(2.0, 0.05 * now)
            value = next(filter(met, guesses(now, step, lacks)), None)
        if value is None:
            return None
        return Remedy(
            qualified, value, number.unit, now, self._broken(qualified, _as(value, whole))
        )

    def _changed(self, qualified: str, value: float | int) -> Design:
        return design(self.design.job, {**self.design.changes, qualified: value})

    def _is_met(self, finding: Finding, qualified: str, value: float | int) -> bool:
        try:
            again = self._again(self._changed(qualified, value), finding)
        except (JigsError, ValueError):
            return False
        return bool(again) and all(f.verdict is Verdict.MET for f in again)

    def _again(self, d: Design, like: Finding) -> list[Finding]:
        found = findings_like(d, like)
        if found or self.geometry_of is None:
            return found
        geometry = self.geometry_of(d)
        if like.group == DRY_FIT:
            again = check_dry_fit(d, geometry.rehearsal, like.of, like.check)
            return [f for f in again if f.check == like.check]
        again = check_fit(d, geometry, like.check) + check_clearance(d, geometry, like.check)
        return [f for f in again if f.of == like.of]

    def _broken(self, qualified: str, value: float | int) -> tuple[str, ...]:
        """What numbers told as met and no longer do; solids are not tried for it."""
        try:
            still = met_checks(number_findings(self._changed(qualified, value)))
        except (JigsError, ValueError) as error:
            return (f"the design itself ({error})",)
        return tuple(f"{of}: {check}" for of, check in sorted(self.met - still))


def step_of(now: float, unit: str, whole: bool) -> float:
    """How fine a number is moved: 0.1 mm, 1 of what is counted, else a hundredth of its size."""
    if whole:
        return 1.0
    if unit == "mm":
        return 0.1
    return float(10 ** math.floor(math.log10(abs(now)) - 1))


def guesses(now: float, step: float, lacks: float) -> list[float]:
    """Few values to try where each try means solids: what is lacking, and up to eight times that.

    On the grid of `step`.
    """
    lacks = max(abs(lacks), abs(step))
    return [
        round(now + math.copysign(math.ceil(share * lacks / abs(step) - 1e-9), step) * abs(step), 9)
        for share in (1.0, 2.0, 4.0, 8.0)
    ]


def least_change(now: float, step: float, met: Callable[[float], bool]) -> float | None:
    """The value nearest to `now`, on the grid of `step`, at which `met`; None if there is none.

    Doubles the distance until it is met, up to three times the number, then halves back.
    """

    def at(steps: int) -> float:
        grid = math.floor(now / abs(step) + 1e-9) if step > 0 else math.ceil(now / abs(step) - 1e-9)
        return round((grid + math.copysign(steps, step)) * abs(step), 9)

    furthest = max(math.ceil(2 * abs(now / step)), 40)
    low, high = 0, 1
    if step < 0 < now:  # no further down than to the last value above nothing
        furthest = min(furthest, math.ceil(now / abs(step) - 1e-9) - 1)
    if furthest < 1:
        return None
    while not met(at(high)):
        if high >= furthest:
            return None
        low, high = high, min(2 * high, furthest)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if met(at(middle)) else (middle, high)
    return at(high)


def _as(value: float, whole: bool) -> float | int:
    return int(value) if whole else value
