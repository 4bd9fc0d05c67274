"""A job judged by numbers alone: what `jigs check` runs, and loads nothing more than it needs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from jigs.checks.run import check_all
from jigs.model.finding import Finding
from jigs.reading.job import read_job
from jigs.sizing import Design, design


def check(config: Path) -> tuple[Design, Sequence[Finding]]:
    """Size a job and judge what numbers alone can tell. Loads no kernel.

    Raises ReadingError(s), DesignError.
    """
    d = design(read_job(config))
    return d, check_all(d)
