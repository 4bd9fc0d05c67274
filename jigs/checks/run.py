"""All checks of a design, and for what is not met the one change that would do."""

from __future__ import annotations

from dataclasses import replace

from jigs.checks.advice import Advice, GeometryOf, met_checks
from jigs.checks.clearance import check_clearance
from jigs.checks.dry_fit import check_dry_fit
from jigs.checks.fit import check_fit
from jigs.checks.numbers import number_findings
from jigs.model.finding import Finding, Verdict
from jigs.sizing import Design


def check_all(
    d: Design, geometry_of: GeometryOf | None = None, *, dry_fit: bool = True
) -> list[Finding]:
    """Every finding. Without `geometry_of`, those that need solids are not judged.

    `dry_fit` off: moves, tools and hands are not judged either.
    """
    numbers = number_findings(d)
    geometry = geometry_of(d) if geometry_of else None
    findings = numbers + check_fit(d, geometry) + check_clearance(d, geometry)
    findings += check_dry_fit(d, geometry.rehearsal if geometry and dry_fit else None)
    advice = Advice(d, met_checks(numbers), geometry_of)
    return [
        replace(f, remedies=advice.on(f)) if f.verdict is Verdict.NOT_MET else f for f in findings
    ]
