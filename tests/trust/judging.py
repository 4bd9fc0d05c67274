"""What becomes of a job: it is built on paper, or refused with a place and a reason."""

from __future__ import annotations

import math
import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from jigs.checks.numbers import number_findings
from jigs.errors import (
    DesignError,
    JigsError,
    ReadingError,
    ReadingErrors,
    SolidError,
    TableError,
)
from jigs.model.finding import Finding, Verdict
from jigs.reading.job import read_job
from jigs.sizing import Design, design
from jigs.units import Interval, Limits

SLOWEST_REFUSAL = 1.0
"""Seconds of this process's own time: the issue's limit."""


class Wrong(AssertionError):
    """A job that neither builds nor is refused as it should be."""


@dataclass
class Outcome:
    """`kind` is met, not met or refused; `said` is the refusal."""

    kind: str
    said: str = ""
    error: JigsError | None = None
    design: Design | None = None
    findings: list[Finding] = field(default_factory=list)


def judge(file: Path) -> Outcome:
    """Read, size and check a job by its numbers. Raises Wrong, or whatever the library let out."""
    start = time.process_time()
    try:
        made = design(read_job(file))
        findings = number_findings(made)
    except JigsError as error:
        took = time.process_time() - start
        if took > SLOWEST_REFUSAL:
            raise Wrong(f"refused only after {took:.2f} s: {error}") from error
        complain_of(error)
        return Outcome("refused", str(error), error)
    sound(made, findings)
    bad = any(f.verdict is Verdict.NOT_MET for f in findings)
    return Outcome("not met" if bad else "met", "", None, made, findings)


def complain_of(error: JigsError) -> None:
    """A refusal names a place and a reason, and where it is of a file its line."""
    if isinstance(error, ReadingErrors):
        if not error.errors:
            raise Wrong("no errors among several")
        for one in error.errors:
            complain_of(one)
    elif isinstance(error, ReadingError):
        if not (error.place.file and error.problem and error.right):
            raise Wrong(f"no place, reason or remedy: {error}")
    elif isinstance(error, DesignError):
        if not (error.what and error.reason):
            raise Wrong(f"no place or reason: {error}")
    elif isinstance(error, SolidError):
        if not (error.part and error.step and error.reason):
            raise Wrong(f"no part, step or reason: {error}")
    elif not isinstance(error, TableError):
        raise Wrong(f"an error of no kind of its own: {error!r}")
    if "Traceback" in str(error) or "object at 0x" in str(error):
        raise Wrong(f"words of the machine: {error}")


def sound(made: Design, findings: Iterable[Finding]) -> None:
    """Every number is finite, every finding answered. Raises Wrong."""
    for name, number in made.numbers().items():
        for value in _flat(number.value):
            if isinstance(value, float) and not math.isfinite(value):
                raise Wrong(f"{name} is {number.value}")
    for f in findings:
        answered(f)


def answered(f: Finding) -> None:
    """A verdict with finite figures, or a reason. Raises Wrong."""
    if not (f.group and f.check and f.of):
        raise Wrong(f"nothing is said to be found: {f}")
    for figure in (f.value, f.limit):
        if figure is not None and not math.isfinite(figure):
            raise Wrong(f"{f.of}, {f.check}: {f.value} against {f.limit}")
    if f.verdict is Verdict.NOT_JUDGED:
        if not f.why:
            raise Wrong(f"{f.of}, {f.check}: not judged, and no reason")
        return
    if f.value is None or f.limit is None:
        if not (f.why or f.governs):
            raise Wrong(f"{f.of}, {f.check}: {f.verdict} of nothing")
        return
    margin = f.value - f.limit if f.sense == "at least" else f.limit - f.value
    if (f.verdict is Verdict.MET) != (margin >= -1e-6):
        raise Wrong(f"{f.of}, {f.check}: {f.verdict} at {f.value} against {f.limit} ({f.sense})")


def _flat(value: Any) -> Iterable[Any]:
    if isinstance(value, tuple | list):
        for one in value:
            yield from _flat(one)
    elif isinstance(value, Interval | Limits):
        yield from (value.least, value.most)
    else:
        yield value


def as_given(made: Design, keys: tuple[str | int, ...], value: Any) -> None:
    """What the user wrote is what is worked with: nothing is cut to size in silence. Raises Wrong.

    Parameters: keys, value = a field of a job in mm, and what was written there.
    """
    held: Any
    if keys[0] == "jigs" and len(keys) == 4:
        number = made.numbers()[f"{keys[1]}.{keys[3]}"]
        held = number.value
    elif keys[0] == "jigs":
        held = getattr(made.job.instances[str(keys[1])].options, str(keys[2]))
    else:
        held = made.job.machine if keys[0] == "machine" else made.job.model
        for key in keys[1:] if keys[0] == "machine" else keys:
            is_list = isinstance(held, dict | tuple)
            held = held[key] if is_list else getattr(held, str(key))
    if isinstance(value, dict):
        value = (value["least"], value["most"])
    wrote, has = list(_flat(value)), list(_flat(held))
    if len(wrote) != len(has) or not all(map(_alike, wrote, has)):
        raise Wrong(f"{keys} was written as {value}, and {held} is worked with")


def _alike(one: Any, other: Any) -> bool:
    if isinstance(one, bool) or not isinstance(one, int | float):
        return bool(one == other)
    return math.isclose(one, other, rel_tol=1e-12, abs_tol=1e-12)
