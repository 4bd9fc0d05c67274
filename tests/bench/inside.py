"""What the benchmark times inside one process, the kernel loaded before: prints JSON.

python tests/bench/inside.py watch JOB OUT CHANGED...    each changed job, in a warm process
python tests/bench/inside.py dry JOB [NUMBER=VALUE]      all moves, with what the store holds
python tests/bench/inside.py ribs JOB OUT                checks and CAD files, 2 to 20 ribs
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path

import cadquery  # noqa: F401  (loaded before anything is timed)

from jigs.building import Memory, build
from jigs.checks.clearance import check_clearance
from jigs.checks.dry_fit import check_dry_fit
from jigs.checks.fit import check_fit
from jigs.checks.numbers import number_findings
from jigs.errors import JigsError
from jigs.kept import Kept
from jigs.model.state import SHOWN
from jigs.outputs.cad import files
from jigs.provenance import open_store
from jigs.reading.job import read_job
from jigs.sizing import design
from jigs.solids.scene import Scene
from jigs.solids.store import Solids


def seconds(work: Callable[[], object]) -> float:
    """How long a piece of work takes."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def watch(job: Path, out: Path, changed: list[Path]) -> list[float]:
    """Seconds from each save to written files, in a session that goes on."""
    memory, own = Memory(), job.read_text(encoding="utf-8")

    def rebuild() -> None:
        build(job, out, pictures=False, dry_fit=False, papers=False, memory=memory)

    rebuild()
    found = []
    for path in changed:
        job.write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
        try:
            found.append(seconds(rebuild))
        except JigsError:
            continue
        finally:
            job.write_text(own, encoding="utf-8")
    return found


def dry(job: Path, change: str) -> list[float]:
    """Seconds of the dry fit; the unchanged job's answers are kept for the next run."""
    name, _, value = change.partition("=")
    d = design(read_job(job), {name: float(value)} if change else {})
    kept = open_store()
    scene = Scene(d, Solids(kept))
    took = seconds(lambda: check_dry_fit(d, scene.rehearsal))
    if not change:
        kept.close()
    return [took]


def ribs(job: Path, out: Path) -> list[tuple[int, float]]:
    """Parts that stand, and seconds of sizing, checks and CAD files, nothing kept."""
    read = read_job(job)
    found = []
    for many in (2, 4, 8, 14, 20):

        def run(many: int = many) -> None:
            d = design(read, with_ribs(many))
            scene = Scene(d, Solids(Kept()))
            # Not the remedies: how many there are to try is a matter of what is not met.
            number_findings(d)
            check_fit(d, scene)
            check_clearance(d, scene)
            for file in files.cad_files(scene):
                (out / "file").write_bytes(file.found_or_made(scene.kept))

        out.mkdir(parents=True, exist_ok=True)
        took = min(seconds(run) for _ in range(2))
        d = design(read, with_ribs(many))
        parts = sum(len(jig.poses(SHOWN)) for _, jig in d.jigs())
        found.append((parts, took))
    return found


def with_ribs(many: int) -> dict[str, object]:
    """Ribs 45 mm apart, and a jaw that holds them all between its drawbolts."""
    at = tuple(45.0 * (i - (many - 1) / 2) for i in range(many))
    return {"clamp.ribs": many, "clamp.rib_at": at, "clamp.drawbolt_y": at[-1] + 75.0}


if __name__ == "__main__":
    what, job, *rest = sys.argv[1:]
    answer: object
    if what == "watch":
        answer = watch(Path(job), Path(rest[0]), [Path(path) for path in rest[1:]])
    elif what == "dry":
        answer = dry(Path(job), rest[0] if rest else "")
    else:
        answer = ribs(Path(job), Path(rest[0]))
    sys.stdout.write(json.dumps(answer) + "\n")
