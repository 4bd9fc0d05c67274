"""What was shown about a job: each finding with its figures, its assumptions and a remedy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

NEEDS_BUILD = "needs the solids: jigs build"
"""Why a check was not judged by numbers alone."""


class Verdict(StrEnum):
    """The only three answers there are."""

    MET = "met"
    NOT_MET = "not met"
    NOT_JUDGED = "not judged"


@dataclass(frozen=True, slots=True)
class Remedy:
    """One change that makes the finding met, found by running the check again."""

    number: str
    """Qualified name, `ring.liner_thickness`."""
    value: float
    unit: str
    now: float
    breaks: tuple[str, ...] = ()
    """Checks that are met now and no longer would be."""

    def __str__(self) -> str:
        told = f"{self.number}: {self.value:g} {self.unit} instead of {self.now:g} would do"
        if self.breaks:
            told += f", but then not met: {', '.join(self.breaks)}"
        return told


@dataclass(frozen=True, slots=True)
class Finding:
    """`value` compared with `limit` ("at least" or "at most"), in `unit`."""

    group: str
    check: str
    verdict: Verdict
    of: str = ""
    """Instance or setup that it is about; a kind leaves it to whoever asked."""
    value: float | None = None
    sense: str = "at least"
    limit: float | None = None
    unit: str = "mm"
    governs: str = ""
    """The state or piece that decides."""
    assumes: tuple[str, ...] = ()
    source: str = ""
    why: str = ""
    """For not judged: the reason. For the others: what is compared, in a few words."""
    equation: str = ""
    """What was worked out, for checks that are more than one number against another."""
    reads: tuple[str, ...] = ()
    """Names of the numbers behind the figures: of the jig, its setup or the cut."""
    levers: tuple[str, ...] = ()
    remedies: tuple[Remedy, ...] = ()

    @property
    def margin(self) -> float | None:
        """How far on the right side of the limit, in `unit`; negative when not met."""
        if self.value is None or self.limit is None:
            return None
        return self.value - self.limit if self.sense == "at least" else self.limit - self.value


def at_least(value: float, limit: float, **rest: object) -> Finding:
    """A finding that is met when value >= limit (within a billionth, for summation noise)."""
    verdict = Verdict.MET if value >= limit - 1e-9 else Verdict.NOT_MET
    return Finding(verdict=verdict, value=value, limit=limit, sense="at least", **rest)  # type: ignore[arg-type]


def at_most(value: float, limit: float, **rest: object) -> Finding:
    """A finding that is met when value <= limit (within a billionth, for summation noise)."""
    verdict = Verdict.MET if value <= limit + 1e-9 else Verdict.NOT_MET
    return Finding(verdict=verdict, value=value, limit=limit, sense="at most", **rest)  # type: ignore[arg-type]


def not_judged(why: str, **rest: object) -> Finding:
    """A finding that cannot be answered yet, with the reason."""
    return Finding(verdict=Verdict.NOT_JUDGED, why=why, **rest)  # type: ignore[arg-type]


def worst_of_each(findings: Iterable[Finding]) -> list[Finding]:
    """Of all findings on one check of one thing, the one that decides; in the order they came.

    Not met before not judged before met, then by the least share of the limit that is left.
    """
    worst: dict[tuple[str, str], Finding] = {}
    for finding in findings:
        key = (finding.of, finding.check)
        if key not in worst or _nearness(finding) < _nearness(worst[key]):
            worst[key] = finding
    return list(worst.values())


def _nearness(finding: Finding) -> tuple[int, float]:
    if finding.margin is None or finding.limit is None:
        return (1, 0.0)
    scale = abs(finding.limit) or 1.0
    return (0 if finding.verdict is Verdict.NOT_MET else 2, finding.margin / scale)
