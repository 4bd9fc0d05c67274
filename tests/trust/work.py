"""One item of the long run each: draw, judge, and say in a word or two what came of it."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any, NoReturn

import yaml

from jigs.errors import JigsError
from jigs.outputs.report import report_text
from jigs.reading.job import read_job

from .judging import Outcome, as_given, complain_of, judge
from .killed import kill_at, kill_the_command
from .mutated import mutated
from .shops import shop, text_of, written
from .wide import widened

ROOT = Path(__file__).resolve().parents[2]
CONFIGS = ROOT / "configs"
JOBS = ("allotment", "skittles", "stool")


def judge_plausible(r: random.Random, file: Path) -> Outcome:
    """Draw a plausible job, in mm or in inches, and judge it by its numbers."""
    inches = r.random() < 0.3
    file.write_text(text_of(shop(r, inches=inches), inches=inches), encoding="utf-8")
    return judge(file)


def judge_widened(r: random.Random, file: Path) -> Outcome:
    """Draw a job over the whole valid range, judge it, and hold it to what was written."""
    job = written(shop(r, inches=False), False)
    drawn = dict(widened(r, job))
    job["units"] = "mm"
    file.write_text(yaml.safe_dump(job, allow_unicode=True, sort_keys=False), encoding="utf-8")
    outcome = judge(file)
    if outcome.design is not None:
        for keys, value in drawn.items():
            written_over = any(
                other != keys and (other[: len(keys)] == keys or keys[: len(other)] == other)
                for other in drawn
            )
            if not written_over and not (isinstance(value, dict) and "least" not in value):
                as_given(outcome.design, keys, value)
    return outcome


def reported(outcome: Outcome) -> Any:
    """The report as a strict reader of JSON takes it; None of a refusal."""
    if outcome.design is None:
        return None
    return json.loads(report_text(outcome.design, outcome.findings), parse_constant=_no_json)


def _no_json(word: str) -> NoReturn:
    raise AssertionError(f"{word} in the report")


def do_numbers(r: random.Random, folder: Path) -> str:
    """A job by its numbers: every other one plausible, every other one from edge to edge."""
    plausible = r.random() < 0.5
    outcome = (judge_plausible if plausible else judge_widened)(r, folder / "job.yaml")
    reported(outcome)
    kind = "refused in the end" if "do not make a jig" in outcome.said else outcome.kind
    return f"{'plausible' if plausible else 'wide'} {kind}"


def do_kernel(r: random.Random, folder: Path) -> str:
    """A plausible job through the kernel: solids, findings, and a share of the files read back."""
    from .kernel import judge_solids

    outcome = judge_plausible(r, folder / "job.yaml")
    if outcome.design is None:
        return "refused"
    return judge_solids(outcome.design, folder, files=r.random() < 0.2)


def do_files(r: random.Random, folder: Path) -> str:
    """A shipped job with one of its files damaged."""
    name = r.choice(JOBS)
    damaged = r.choice(("job", "job", "machine", "csv"))
    job = (CONFIGS / f"{name}.yaml").read_bytes()
    data = yaml.safe_load(job)
    machine = (CONFIGS / data["machine"]).read_bytes()
    csv = (CONFIGS / "dibbers.csv").read_bytes()
    if damaged == "job":
        job = mutated(r, job)
    elif damaged == "machine":
        machine = mutated(r, machine)
    else:
        csv = mutated(r, csv)
    (folder / "machines").mkdir()
    (folder / data["machine"]).write_bytes(machine)
    (folder / "job.yaml").write_bytes(job)
    (folder / "pieces.csv").write_bytes(csv)
    if damaged != "csv":
        return f"{damaged} {judge(folder / 'job.yaml').kind}"
    turned = next(n for n, piece in data["pieces"].items() if piece["shape"] == "turned")
    return f"csv {_read_with(folder, turned, skip_bad=r.random() < 0.5)}"


def _read_with(folder: Path, piece: str, *, skip_bad: bool) -> str:
    """Read a job with measured pieces from a file beside it."""
    try:
        read_job(folder / "job.yaml", skip_bad=skip_bad, measured={piece: folder / "pieces.csv"})
    except JigsError as error:
        complain_of(error)
        return "refused"
    return "read"


def do_kills(r: random.Random, folder: Path) -> str:
    """A build killed at some moment; one in ten is the real command."""
    if r.random() < 0.1:
        return kill_the_command(r, folder / "command")
    return kill_at(r, folder / "job")
