"""How long builds and checks take, as ratios: nothing here passes or fails.

    python tests/bench/bench.py [configs/allotment.yaml] [--repeat 5]

Every case runs in fresh processes of one and the same run, in turn with all others, so that a busy
computer slows them alike; what counts is the ratio of the medians, never the seconds.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest import mock

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
FLOOR, IMPORT = "floor", "import cadquery"
BARS = {  # case -> (measured against, greatest ratio)
    "build, no pictures": (FLOOR, 2.5),
    "build, unchanged": (FLOOR, 0.2),
    "check": (IMPORT, 0.5),
    "--help": (IMPORT, 0.15),
}
_FIELD = re.compile(r"(?m)^( +length: *)(\d+)")


@dataclass
class Case:
    """One thing to time. `ready` runs before each timing and is not timed."""

    name: str
    command: list[str]
    ready: Callable[[], None] = lambda: None
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
            self.command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=environment,
            cwd=environment["PYTHONPATH"],  # `-m jigs` looks where it stands before anywhere else
        )  # fmt: skip
        assert process.stderr is not None
        said = process.stderr.read().decode()
        _, status, usage = os.wait4(process.pid, 0)
        self.seconds.append(time.perf_counter() - begun)
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode not in (0, 1) or "Traceback" in said:
            raise SystemExit(f"{self.name} ended with {process.returncode}:\n{said}")
        unit = 1 if sys.platform == "darwin" else 1024  # bytes there, kilobytes elsewhere
        self.peaks.append(usage.ru_maxrss * unit / 1e6)


def _environment(work: Path) -> dict[str, str]:
    """A copy of the package is run: an edit during the run would make every build a new one."""
    if not (work / "package").exists():
        shutil.copytree(ROOT / "jigs", work / "package/jigs")
    return {**os.environ, "PYTHONPATH": str(work / "package")}


# -- what there is to time ------------------------------------------------------------------------


def cases(config: Path, work: Path) -> list[Case]:
    """All cases in the order of the table; `work` holds the solids and takes the files."""
    python = sys.executable
    own = work / "job" / config.name
    shutil.copytree(config.parent, own.parent)
    kept, fresh, changing = work / "kept", work / "fresh", work / "changing"
    turns = _turns(own.read_text(encoding="utf-8"))

    def forget() -> None:
        shutil.rmtree(fresh, ignore_errors=True)

    def change() -> None:
        turns.reverse()
        changed.write_text(turns[0], encoding="utf-8")

    changed = own.with_name(f"changed {own.name}")
    floor = [python, str(HERE / "floor.py"), str(work / "solids"), str(fresh)]
    return [
        Case(FLOOR, floor, forget),
        Case(IMPORT, [python, "-c", "import cadquery"]),
        Case("build, no pictures", _build(own, fresh), forget),
        Case("build with pictures", _jigs("build", own, "--out", fresh), forget),
        Case("build, unchanged", _build(own, kept)),
        Case("build, one field changed", _build(changed, changing), change),
        Case("check", _jigs("check", own)),
        Case("--help", _jigs("--help")),
    ]


def _jigs(*words: object) -> list[str]:
    return [sys.executable, "-m", "jigs", *map(str, words)]


def _build(config: Path, out: Path) -> list[str]:
    return _jigs("build", config, "--no-pictures", "--out", out)


def _turns(text: str) -> list[str]:
    """The job as it is, and with its first length 1 longer."""
    longer = _FIELD.sub(lambda found: f"{found[1]}{int(found[2]) + 1}", text, count=1)
    if longer == text:
        raise SystemExit("the job file has no line 'length: <number>' to change")
    return [text, longer]


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

    def step(_scene: Any, name: str, _title: str, _said: Any, tree: Any, *_: object) -> None:
        written.append({"path": f"{name}.step", "root": node(tree())})

    def stl(shape: Any, name: str, tolerance: float, angle: float) -> bytes:
        mesh = {"tolerance": tolerance, "angle": angle}
        written.append({"path": name, "solid": number(shape), **mesh})
        return b""

    with mock.patch.multiple(files, _write_step=step, stl_bytes=stl):
        files.write_solids(Scene(design(read_job(config))), [], mock.Mock())
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
    head = f"{'':26}{'of floor':>10}{'of import':>11}{'peak, MB':>10}   bar"
    lines = [head]
    for case in timed:
        mine = medians[case.name]
        bar = ""
        if case.name in BARS:
            against, greatest = BARS[case.name]
            kept = "kept" if mine / medians[against] <= greatest else "NOT kept"
            bar = f"at most {greatest} of {against}: {kept}"
        lines.append(
            f"{case.name:26}{mine / medians[FLOOR]:10.2f}{mine / medians[IMPORT]:11.2f}"
            f"{max(case.peaks):10.0f}   {bar}".rstrip()
        )
    return lines


def main() -> None:
    """Prepare, time in turn, print."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    options.add_argument("config", nargs="?", type=Path, default=ROOT / "configs/allotment.yaml")
    options.add_argument("--repeat", type=int, default=5, help="timings of each case (default 5)")
    options.add_argument("--solids-to", type=Path, help=argparse.SUPPRESS)
    chosen = options.parse_args()
    config = chosen.config.resolve()
    if chosen.solids_to:
        write_solids(config, chosen.solids_to)
        return
    with tempfile.TemporaryDirectory() as name:
        environment = _environment(Path(name))
        prepare = [sys.executable, __file__, str(config), "--solids-to", f"{name}/solids"]
        subprocess.run(prepare, env=environment, check=True)
        timed = cases(config, Path(name))
        for case in timed:
            case.run(environment)
            case.forget()
        for _ in range(chosen.repeat):
            for case in timed:
                case.run(environment)
    sys.stdout.write("\n".join([f"{config.name}, medians of {chosen.repeat}", *table(timed), ""]))


if __name__ == "__main__":
    main()
