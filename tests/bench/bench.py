"""How long builds and checks take, as ratios: nothing here passes or fails.

    python tests/bench/bench.py [configs/allotment.yaml] [--repeat 5] [--fields 12 | all]

Every case runs in fresh processes of one and the same run, in turn with all others, so that a busy
computer slows them alike; what counts is the ratio of the medians, never the seconds. A build is
cold with a store of its own that is empty; each numeric field of the job is changed in turn, with
the store and the files of the unchanged job; `--fields` of them are taken, spread over the job.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest import mock

import yaml

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
FLOOR, IMPORT = "floor", "import cadquery"
COLD, EVERYTHING, UNCHANGED = "build, cold", "build, everything, cold", "build, unchanged"
FIELD, WARM = "build, one field changed", "the same, in a watch session"
DRY, DRY_AGAIN, RIBS = "dry fit, cold", "dry fit, one jig changed", "2 to 20 ribs"
CHECK, HELP = "check", "--help"
BARS = {  # case -> (measured against, greatest ratio)
    COLD: (FLOOR, 1.5),
    EVERYTHING: (FLOOR, 6.0),
    UNCHANGED: (FLOOR, 0.2),
    f"{FIELD}: median": (FLOOR, 0.9),
    f"{FIELD}: worst": (FLOOR, 1.5),
    f"{WARM}: median": (FLOOR, 0.3),
    DRY: (FLOOR, 3.0),
    DRY_AGAIN: (FLOOR, 1.0),
    CHECK: (IMPORT, 0.4),
    HELP: (IMPORT, 0.15),
}
PEAKS = {COLD: 1.3, EVERYTHING: 2.5}
"""Case -> greatest peak memory, as a share of that of `import cadquery`."""
CAD_ONLY = ("--no-dry-fit", "--no-pictures", "--no-papers")
_NUMBER = re.compile(r"(?<![\w.])\d+(?:\.(\d+))?")


class CannotBe(SystemExit):
    """A command did not end well: with a changed field, the job may be none."""


@dataclass
class Case:
    """One thing to time. `ready` runs before each timing and is not timed; `inside`: it prints
    its own seconds; `store` = the folder of what is kept."""

    name: str
    command: list[str]
    ready: Callable[[], None] = lambda: None
    store: str = "off"
    inside: bool = False
    seconds: list[float] = field(default_factory=list)
    peaks: list[float] = field(default_factory=list)

    def forget(self) -> None:
        """Drop what was taken: a first run fills caches and the folders of the rebuilds."""
        self.seconds.clear()
        self.peaks.clear()

    def run(self, environment: dict[str, str]) -> None:
        """Run once in a fresh process; keep the seconds and the peak memory, MB."""
        self.ready()
        begun = time.perf_counter()
        process = subprocess.Popen(
            self.command, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            env={**environment, "JIGS_KEPT": self.store},
            cwd=environment["PYTHONPATH"],  # `-m jigs` looks where it stands before anywhere else
        )  # fmt: skip
        assert process.stdout is not None
        assert process.stderr is not None
        said, wrong = process.stdout.read().decode(), process.stderr.read().decode()
        _, status, usage = os.wait4(process.pid, 0)
        took = [time.perf_counter() - begun]
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode not in (0, 1) or "Traceback" in wrong:
            raise CannotBe(f"{self.name} ended with {process.returncode}:\n{wrong}")
        self.seconds += json.loads(said.splitlines()[-1]) if self.inside else took
        unit = 1 if sys.platform == "darwin" else 1024  # bytes there, kilobytes elsewhere
        self.peaks.append(usage.ru_maxrss * unit / 1e6)


def _environment(work: Path) -> dict[str, str]:
    """A copy of the package is run: an edit during the run would make every build a new one."""
    if not (work / "package").exists():
        shutil.copytree(ROOT / "jigs", work / "package/jigs")
    return {**os.environ, "PYTHONPATH": str(work / "package")}


# -- what there is to time ------------------------------------------------------------------------


def cases(config: Path, work: Path) -> list[Case]:
    """Everything but the changed fields, in the order of the table."""
    python = sys.executable
    own = work / "job" / config.name
    shutil.copytree(config.parent, own.parent)
    kept, fresh, store = work / "kept", work / "fresh", work / "cold store"

    def forget() -> None:
        shutil.rmtree(fresh, ignore_errors=True)
        shutil.rmtree(store, ignore_errors=True)

    def inside(what: str, *words: object) -> list[str]:
        return [python, str(HERE / "inside.py"), what, str(own), *map(str, words)]

    floor = [python, str(HERE / "floor.py"), str(work / "solids"), str(fresh)]
    jig = "ring.squeeze=0.5" if "split_ring" in own.read_text(encoding="utf-8") else ""
    return [
        Case(FLOOR, floor, forget),
        Case(IMPORT, [python, "-c", "import cadquery"]),
        Case(COLD, _jigs("build", own, *CAD_ONLY, "--out", fresh), forget, str(store)),
        Case(EVERYTHING, _jigs("build", own, "--out", fresh), forget, str(store)),
        Case(UNCHANGED, _jigs("build", own, *CAD_ONLY, "--out", kept), store=str(work / "store")),
        Case(DRY, inside("dry"), forget, str(store), inside=True),
        *([Case(DRY_AGAIN, inside("dry", jig), store=str(store), inside=True)] if jig else []),
        Case(CHECK, _jigs("check", own)),
        Case(HELP, _jigs("--help")),
    ]


def _jigs(*words: object) -> list[str]:
    return [sys.executable, "-m", "jigs", *map(str, words)]


# -- each numeric field in turn ------------------------------------------------------------------


def changed_jobs(text: str) -> Iterator[tuple[str, str]]:
    """Name of each numeric field of a job, and the job with that field a fiftieth larger."""
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    for name, node in _scalars(root, ""):
        start, end = node.start_mark.index, node.end_mark.index
        found = _NUMBER.search(text, start, end)
        if found is None or not _NUMBER.match(text, start + (text[start] in "\"'")):
            continue
        places = len(found[1] or "")
        step = max(float(found[0]) / 50, 10.0**-places)
        larger = f"{float(found[0]) + step:.{places}f}"
        yield name, text[: found.start()] + larger + text[found.end() :]


def _scalars(node: yaml.Node, path: str) -> Iterator[tuple[str, yaml.ScalarNode]]:
    if isinstance(node, yaml.ScalarNode):
        yield path, node
    elif isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            yield from _scalars(value, f"{path}.{key.value}".lstrip("."))
    elif isinstance(node, yaml.SequenceNode):
        for i, value in enumerate(node.value):
            yield from _scalars(value, f"{path}[{i}]")


def time_fields(
    own: Path, work: Path, environment: dict[str, str], most: int
) -> tuple[dict[str, float], list[float], list[str]]:
    """Seconds of each changed field in a new process, in a watch session; and the refused."""
    jobs = list(changed_jobs(own.read_text(encoding="utf-8")))
    jobs = jobs[:: max(1, len(jobs) // most)][:most]
    took: dict[str, float] = {}
    refused, taken = [], []
    for i, (name, text) in enumerate(jobs):
        path = own.with_name(f"changed {i} {own.name}")
        path.write_text(text, encoding="utf-8")
        for folder in ("store", "kept"):
            shutil.rmtree(work / f"now {folder}", ignore_errors=True)
            shutil.copytree(work / folder, work / f"now {folder}")
        build = _jigs("build", path, *CAD_ONLY, "--out", work / "now kept")
        case = Case(name, build, store=str(work / "now store"))
        try:
            case.run(environment)
        except CannotBe:
            refused.append(name)
            continue
        took[name] = case.seconds[0]
        taken.append(path)
    inside = [sys.executable, str(HERE / "inside.py"), "watch", str(own), str(work / "kept")]
    warm = Case(WARM, [*inside, *map(str, taken)], store=str(work / "store"), inside=True)
    warm.run(environment)
    return took, warm.seconds, refused


# -- the solids of the floor ----------------------------------------------------------------------


def write_solids(config: Path, folder: Path) -> None:
    """Write the job's solids and the index of what a build puts into which file.

    Runs in a process of its own: a child starts with the peak memory of its parent, so the kernel
    must not be loaded where the peaks are taken.
    """
    from jigs.outputs.cad import files
    from jigs.reading.job import read_job
    from jigs.sizing import design
    from jigs.solids.scene import Scene

    solids: dict[int, Any] = {}
    written: list[dict[str, Any]] = []

    def number(shape: Any) -> int:
        solids.setdefault(id(shape), shape)
        return list(solids).index(id(shape))

    def node(of: Any) -> dict[str, Any]:
        told = {"name": of.name, "matrix": of.pose.matrix()}
        if hasattr(of, "shape"):
            return {**told, "solid": number(of.shape), "colour": of.colour}
        return {**told, "members": [node(member) for member in of.members]}

    def step(root: Any, name: str) -> str:
        written.append({"path": name, "root": node(root)})
        return ""

    def stl(shape: Any, name: str, tolerance: float, angle: float) -> bytes:
        mesh = {"tolerance": tolerance, "angle": angle}
        written.append({"path": name, "solid": number(shape), **mesh})
        return b""

    with mock.patch.multiple(files, step_body=step, stl_bytes=stl):
        for file in files.cad_files(Scene(design(read_job(config)))):
            file.make()
    folder.mkdir(parents=True)
    names = [f"{i}.brep" for i in range(len(solids))]
    for name, shape in zip(names, solids.values(), strict=True):
        shape.exportBin(str(folder / name))
    index = json.dumps({"solids": names, "files": written}, indent=1)
    (folder / "index.json").write_text(index, encoding="utf-8")


# -- the table ------------------------------------------------------------------------------------


def table(timed: list[Case]) -> list[str]:
    """One line for each case: ratios, the bar where there is one, peak memory."""
    medians = {case.name: statistics.median(case.seconds) for case in timed}
    peaks = {case.name: max(case.peaks, default=0.0) for case in timed}
    lines = [f"{'':42}{'of floor':>10}{'of import':>11}{'peak, MB':>10}   bar"]
    for case in timed:
        mine, bars = medians[case.name], []
        if case.name in BARS:
            against, greatest = BARS[case.name]
            bars.append(_bar(mine / medians[against], greatest, against))
        if case.name in PEAKS:
            share = peaks[case.name] / peaks[IMPORT]
            bars.append(_bar(share, PEAKS[case.name], f"the peak of {IMPORT}"))
        lines.append(
            f"{case.name:42}{mine / medians[FLOOR]:10.2f}{mine / medians[IMPORT]:11.2f}"
            f"{peaks[case.name]:10.0f}   {'; '.join(bars)}".rstrip()
        )
    return lines


def _bar(found: float, greatest: float, against: str) -> str:
    kept = "kept" if found <= greatest else "NOT kept"
    return f"{found:.2f}, at most {greatest} of {against}: {kept}"


def main() -> None:
    """Prepare, time in turn, print."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    options.add_argument("config", nargs="?", type=Path, default=ROOT / "configs/allotment.yaml")
    options.add_argument("--repeat", type=int, default=5, help="timings of each case (default 5)")
    options.add_argument("--fields", default="12", help="how many fields to change, or all")
    options.add_argument("--solids-to", type=Path, help=argparse.SUPPRESS)
    chosen = options.parse_args()
    config = chosen.config.resolve()
    if chosen.solids_to:
        write_solids(config, chosen.solids_to)
        return
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        environment = _environment(work)
        prepare = [sys.executable, __file__, str(config), "--solids-to", f"{name}/solids"]
        subprocess.run(prepare, env={**environment, "JIGS_KEPT": "off"}, check=True)
        timed = cases(config, work)
        own = work / "job" / config.name
        # The first run, not counted, fills caches, the store and the folder of the rebuilds.
        for case in timed:
            case.run(environment)
            case.forget()
        for _ in range(chosen.repeat):
            for case in timed:
                case.run(environment)
        sys.stdout.write(
            "\n".join([f"{config.name}, medians of {chosen.repeat}", *table(timed), ""])
        )
        sys.stdout.flush()
        most = 10_000 if chosen.fields == "all" else int(chosen.fields)
        took, warm, refused = time_fields(own, work, environment, most)
        slowest = max(took, key=lambda field: took[field])
        rest = [
            Case(f"{FIELD}: median", [], seconds=[statistics.median(took.values())]),
            Case(f"{FIELD}: worst", [], seconds=[took[slowest]]),
            Case(f"{WARM}: median", [], seconds=[statistics.median(warm)]),
        ]
        lines = table([*timed, *rest])[len(timed) + 1 :]
        said = f"{len(took)} fields changed, {len(refused)} refused; the slowest: {slowest}"
        sys.stdout.write("\n".join([*lines, said, ""]))
        sys.stdout.flush()
        if "end_grain_clamp" in own.read_text(encoding="utf-8"):
            command = [sys.executable, str(HERE / "inside.py"), "ribs", str(own)]
            ribs = Case(RIBS, [*command, str(work / "ribs")], inside=True)
            ribs.run(environment)
            sys.stdout.write(f"{growth(ribs.seconds)}\n")


def growth(found: list[Any]) -> str:
    """The power of the number of parts that the time grows with, by least squares."""
    points = [(math.log(parts), math.log(took)) for parts, took in found]
    x, y = (statistics.fmean(p[i] for p in points) for i in (0, 1))
    power = sum((a - x) * (b - y) for a, b in points) / sum((a - x) ** 2 for a, _ in points)
    kept = "kept" if power <= 1.2 else "NOT kept"
    return f"{RIBS}: time grows with the {power:.2f}th power of the parts; at most 1.2: {kept}"


if __name__ == "__main__":
    main()
