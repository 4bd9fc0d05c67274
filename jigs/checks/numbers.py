"""Every finding that numbers alone can tell."""

from __future__ import annotations

from dataclasses import replace

from jigs.checks.cut import check_cut
from jigs.checks.hold import check_hold
from jigs.checks.make import check_make
from jigs.checks.place import check_place
from jigs.checks.printing import check_printing
from jigs.checks.reach import check_reach
from jigs.model.finding import Finding
from jigs.refusing import refused_as_numbers
from jigs.sizing import Design

OF_A_GROUP = {
    "make": check_make, "hold": check_hold, "strength": check_hold, "place": check_place,
    "reach": check_reach, "cut": check_cut, "print": check_printing,
}  # fmt: skip
"""Which of the general checks tell findings of a group, beside what each kind tells itself."""


def number_findings(d: Design) -> list[Finding]:
    """Every finding that numbers alone can tell."""
    found = own_findings(d)
    with refused_as_numbers(*(jig.n for _, jig in d.jigs())):
        found += check_place(d) + check_reach(d) + check_cut(d) + check_printing(d)
        return found + check_hold(d) + check_make(d)


def own_findings(d: Design) -> list[Finding]:
    """What each kind asks of its own numbers."""
    found: list[Finding] = []
    for _, jig in d.jigs():
        with refused_as_numbers(jig.n):
            found += [replace(f, of=jig.name) for f in jig.kind.own_checks(jig.n)]
    return found


def findings_like(d: Design, like: Finding) -> list[Finding]:
    """The findings on the same check of the same thing."""
    told = own_findings(d)
    if like.group in OF_A_GROUP:
        told += OF_A_GROUP[like.group](d)
    return [f for f in told if (f.of, f.check) == (like.of, like.check)]
