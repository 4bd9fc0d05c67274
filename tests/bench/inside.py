"""What the benchmark times inside one process, the kernel loaded before: prints JSON.

python tests/bench/inside.py watch JOB OUT CHANGED...    each changed job, in a warm process
python tests/bench/inside.py view JOB CHANGED...         the same on screen: shown, checks told
python tests/bench/inside.py dry JOB [NUMBER=VALUE]      all moves, with what the store holds
python tests/bench/inside.py pictures JOB                all pictures, with what the store holds
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import cadquery  # noqa: F401  (loaded before anything is timed)

from jigs.building import Memory, build
from jigs.checks.dry_fit import check_dry_fit
from jigs.errors import JigsError
from jigs.outputs.cad import show
from jigs.outputs.cad.pictures import pictures as all_pictures
from jigs.outputs.cad.tree import Group
from jigs.outputs.cad.viewing import Choice
from jigs.outputs.cad.watching import Watch
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


def saved(job: Path, changed: list[Path]) -> Iterator[None]:
    """The job as each changed one has it, and afterwards as it was."""
    own = job.read_text(encoding="utf-8")
    for path in changed:
        job.write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
        yield
        job.write_text(own, encoding="utf-8")


def watch(job: Path, out: Path, changed: list[Path]) -> list[float]:
    """Seconds from each save to written files, in a session that goes on."""
    memory, found = Memory(), []

    def rebuild() -> None:
        build(job, out, pictures=False, dry_fit=False, papers=False, memory=memory)

    rebuild()
    for _ in saved(job, changed):
        try:
            found.append(seconds(rebuild))
        except JigsError:
            continue
    return found


class Wall:
    """Stands for a screen: what is put on it is made ready for a viewer, and thrown away."""

    def __init__(self) -> None:
        self._copies: show.Copies = {}

    def put(self, tree: Group) -> None:
        """Nobody looks."""
        show.assembly(tree, self._copies)

    def tend(self) -> None:
        """Nobody opens pages here."""


def view(job: Path, changed: list[Path]) -> list[tuple[float, float]]:
    """Seconds from each save until it is shown, and until what is not met is told as well."""
    wall: Any = Wall()
    watched, found = Watch(job, Choice(), wall, lambda said: None), []
    watched.refresh()
    for _ in saved(job, changed):
        begun = time.perf_counter()
        if watched.refresh():
            shown = time.perf_counter() - begun
            watched.files.settle()  # what follows would wait for the files otherwise
            assert watched._unchecked is not None
            took = seconds(lambda: watched._check(watched._unchecked))  # type: ignore[arg-type]
            found.append((shown, shown + took))
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


def pictures(job: Path) -> list[float]:
    """Seconds of drawing all pictures; none is kept."""
    scene = Scene(design(read_job(job)), Solids(open_store()))
    return [seconds(lambda: [painting.paint() for painting in all_pictures(scene)])]


if __name__ == "__main__":
    what, named, *rest = sys.argv[1:]
    own = Path(named)
    answer: object = None
    match what:
        case "watch":
            answer = watch(own, Path(rest[0]), [Path(path) for path in rest[1:]])
        case "view":
            answer = view(own, [Path(path) for path in rest])
        case "dry":
            answer = dry(own, rest[0] if rest else "")
        case "pictures":
            answer = pictures(own)
    sys.stdout.write(json.dumps(answer) + "\n")
