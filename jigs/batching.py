"""Running a batch from files: read, size, work out every piece, write what the operator needs."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from jigs import publish
from jigs.batch.freezing import built_section
from jigs.batch.pieces import outliers
from jigs.batch.running import SetupRun, run_batch
from jigs.errors import DesignError, ExportError, nearest
from jigs.outputs.batch_files import BATCH, batch_data, write_batch
from jigs.outputs.measure_sheet import MARK, measure_sheet
from jigs.outputs.report import CAUTIONS
from jigs.provenance import versions
from jigs.reading.job import Job, read_job
from jigs.sizing import Design, design

REPORT = "batch report.json"


@dataclass(frozen=True)
class BatchDone:
    """What running a batch found and wrote; `bad` = lines that were left out, in words."""

    design: Design
    runs: tuple[SetupRun, ...]
    report_text: str
    folder: Path
    files: tuple[str, ...]
    bad: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def all_served(self) -> bool:
        """Do the jigs serve every piece of every setup?"""
        return all(row.refusal is None for run in self.runs for row in run.rows)


def run_job(
    config: Path,
    out: Path | None = None,
    csv: Mapping[str, Path] | None = None,
    *,
    skip_bad: bool = False,
) -> BatchDone:
    """Work out a job's batch and write batch.csv and a report, numbers only.

    Parameters: out = folder (default: exports/<name of the job file> batch); csv = measured pieces
    in the place of the job's own, by piece; skip_bad = go on with the good lines. Raises
    ReadingError(s), DesignError, ExportError.
    """
    job = read_job(config, skip_bad=skip_bad, measured=csv)
    d = _sized(job)
    runs = tuple(run_batch(d))
    data = {
        "job": job.model.job, "revision": job.model.revision, "cautions": list(CAUTIONS),
        "left out": list(job.measured.bad), "batch": batch_data(d, runs),
    }  # fmt: skip
    text = json.dumps(data, indent=1, ensure_ascii=False) + "\n"
    folder = out or Path("exports") / f"{config.stem} batch"
    key = hashlib.sha256(text.encode()).hexdigest()
    with publish.into(folder, publish.Stamp(key, versions())) as files:
        write_batch(runs, files)
        files.write_text(REPORT, text)
    return BatchDone(d, runs, text, folder, (BATCH, REPORT), job.measured.bad, CAUTIONS)


def _sized(job: Job) -> Design:
    """The job's design; where there is none, odd pieces are the first thing to look at."""
    try:
        return design(job)
    except DesignError as error:
        odd = [o.told for batch in job.measured.of.values() for o in outliers(batch)]
        if not odd:
            raise
        remedy = "; ".join((*odd[:5], "measure again, or leave it out"))
        raise DesignError(error.what, error.reason, remedy) from error


def built_text(config: Path, jig: str) -> str:
    """A `built:` section of a jig's dimensions. Raises DesignError where there is no such jig."""
    d = design(read_job(config))
    jigs = {j.name: (setup, j) for setup, j in d.jigs()}
    if jig not in jigs:
        raise DesignError(jig, f"there is no such jig{nearest(jig, list(jigs))}",
                          f"one of: {', '.join(jigs)}")  # fmt: skip
    return built_section(d, *jigs[jig])


def write_sheet(config: Path, out: Path | None = None) -> Path:
    """Write the measure sheet of a job; the file that was there is replaced if it is one.

    Returns its path (default: exports/<name of the job file> measure sheet.html). Raises
    ReadingError(s), ExportError.
    """
    path = out or Path("exports") / f"{config.stem} measure sheet.html"
    text = measure_sheet(read_job(config))
    try:
        if path.exists() and MARK not in path.read_text(encoding="utf-8", errors="replace"):
            raise ExportError(f"{path}: is not a measure sheet\n  remedy: name another file")
        path.parent.mkdir(parents=True, exist_ok=True)
        beside = path.with_name(f".{path.name}.new")
        beside.write_text(text, encoding="utf-8")
        os.replace(beside, path)
    except OSError as error:
        reason = error.strerror or str(error)
        raise ExportError(
            f"{path}: cannot be written ({reason})\n  remedy: another --out"
        ) from error
    return path
