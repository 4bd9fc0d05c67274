"""What the searches for a way out share: tables as plain CSV, and what a job is refused with."""

from __future__ import annotations

import csv
from pathlib import Path

from jigs.errors import JigsError
from jigs.reading.job import read_job
from jigs.sizing import design

from .shops import MM_PER_INCH, Tree, text_of

TABLES = Path(__file__).parents[2] / "jigs/tables"


def rows(name: str) -> list[dict[str, str]]:
    """A table, without its remarks."""
    lines = (TABLES / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def sizes(row: dict[str, str], *words: str) -> list[float]:
    """Those columns in mm."""
    found = []
    for word in words:
        if f"{word}_mm" in row:
            found.append(float(row[f"{word}_mm"]))
        else:
            text = row[f"{word}_in"]
            inches = sum(
                float(a) / float(b or 1) for a, _, b in (p.partition("/") for p in text.split("-"))
            )
            found.append(inches * float(MM_PER_INCH))
    return found


def refused(job: Tree, folder: Path) -> str:
    """What a job is refused with; empty if it is sized."""
    file = folder / "job.yaml"
    file.write_text(text_of(job), encoding="utf-8")
    try:
        design(read_job(file))
    except JigsError as error:
        return str(error)
    return ""
