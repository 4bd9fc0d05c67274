"""How the time of a job grows with the number of something, the kernel loaded before: prints JSON.

python tests/bench/growing.py ribs JOB OUT       checks and CAD files, 2 to 20 ribs of its clamp
python tests/bench/growing.py holes JOB OUT      the same, 80 to 1280 holes in the machine's table
python tests/bench/growing.py pieces JOB OUT     its batch, 20 to 2000 measured pieces

Each prints (number, seconds). Nothing is kept from one number to the next.
"""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import cadquery  # noqa: F401  (loaded before anything is timed)
import yaml
from inside import seconds

from jigs.batching import run_job
from jigs.checks.clearance import check_clearance
from jigs.checks.fit import check_fit
from jigs.checks.numbers import number_findings
from jigs.kept import Kept
from jigs.model.state import SHOWN
from jigs.outputs.cad import files
from jigs.reading.job import Job, read_job
from jigs.shop.piece import Turned
from jigs.sizing import Changes, Design, design
from jigs.solids.scene import Scene
from jigs.solids.store import Solids

Found = Iterator[tuple[int, float]]


def ribs(job: Path, out: Path) -> Found:
    """With the number of parts that stand."""
    read = read_job(job)
    for many in (2, 4, 8, 14, 20):
        changes = with_ribs(many)
        parts = sum(len(jig.poses(SHOWN)) for _, jig in design(read, changes).jigs())
        yield parts, least(partial(resized, read, changes, out))


def resized(job: Job, changes: Changes, out: Path) -> None:
    """Sized, checked and written."""
    worked_out(design(job, changes), out)


def with_ribs(many: int) -> Changes:
    """Ribs 45 mm apart, and a jaw that holds them all between its drawbolts."""
    at = tuple(45.0 * (i - (many - 1) / 2) for i in range(many))
    return {"clamp.ribs": many, "clamp.rib_at": at, "clamp.drawbolt_y": at[-1] + 75.0}


def holes(job: Path, out: Path) -> Found:
    """With the number of holes in the table, which nothing is fastened to."""
    data = yaml.safe_load(job.read_text(encoding="utf-8"))
    table, path = data["machine"]["table"], out / "job.yaml"
    for columns, rows in ((10, 8), (15, 12), (20, 16), (30, 24), (40, 32)):
        pitch = table["width"] / columns
        table["fixing"] |= {
            "pitch": pitch, "first": [pitch / 2, pitch / 2], "columns": columns, "rows": rows,
        }  # fmt: skip
        path.write_text(yaml.safe_dump(data, allow_unicode=True), encoding="utf-8")
        yield columns * rows, least(lambda: worked_out(design(read_job(path)), out))


def pieces(job: Path, out: Path) -> Found:
    """With the number of pieces, each of its own size, of the first turned piece."""
    model = read_job(job).model
    name, piece = next((n, p) for n, p in model.pieces.items() if isinstance(p, Turned))
    grip, length, r = piece.grip_diameter, piece.length, random.Random(1)
    table = out / "pieces.csv"
    for many in (20, 63, 200, 632, 2000):
        rows = (
            f"{i},{r.uniform(grip.least, grip.most):.2f},{r.uniform(length.least, length.most):.2f}"
            for i in range(many)
        )
        told = "\n".join(["id,grip_diameter [mm],length [mm]", *rows, ""])
        table.write_text(told, encoding="utf-8")
        yield many, least(lambda: run_job(job, out / "batch", {name: table}))


def worked_out(d: Design, out: Path) -> None:
    """Checks, but for the dry fit, and CAD files.

    Not the remedies: how many there are to try is a matter of what is not met.
    """
    scene = Scene(d, Solids(Kept()))
    number_findings(d)
    check_fit(d, scene)
    check_clearance(d, scene)
    for file in files.cad_files(scene):
        (out / "file").write_bytes(file.found_or_made(scene.kept))


def least(work: Callable[[], object]) -> float:
    """Seconds of the quicker of two runs."""
    return min(seconds(work) for _ in range(2))


if __name__ == "__main__":
    what, job, out = sys.argv[1:]
    Path(out).mkdir(parents=True, exist_ok=True)
    grown = {"ribs": ribs, "holes": holes, "pieces": pieces}[what](Path(job), Path(out))
    sys.stdout.write(json.dumps(list(grown)) + "\n")
