"""One thing to time, and the table of all that was timed."""

from __future__ import annotations

import json
import math
import os
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
FLOOR, IMPORT = "floor", "import cadquery"
COLD, EVERYTHING, UNCHANGED = "build, cold", "build, everything, cold", "build, unchanged"
FIELD, WARM = "build, one field changed", "the same, in a watch session"
DRY, DRY_AGAIN = "dry fit, cold", "dry fit, one jig changed"
CHECK, BATCH, HELP = "check", "batch", "--help"
PICTURES, VIEW = "pictures, solids known", "view --watch, one field changed"
RIBS, HOLES, PIECES = "2 to 20 ribs", "80 to 1280 holes in a part", "20 to 2000 pieces"
SHOWN, TOLD = "view --watch, shown", "view --watch, told what is not met"
GROWS_WITH = {RIBS: "parts that stand", HOLES: "holes", PIECES: "pieces"}
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
POWERS = {RIBS: 1.2}
"""Case -> greatest power of the number that the time may grow with."""


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


def copied(work: Path) -> dict[str, str]:
    """The environment of every case. A copy of the package is run: an edit during the run would
    make every build a new one."""
    if not (work / "package").exists():
        shutil.copytree(ROOT / "jigs", work / "package/jigs")
    return {**os.environ, "PYTHONPATH": str(work / "package")}


def jigs(*words: object) -> list[str]:
    """A command line of the library's."""
    return [sys.executable, "-m", "jigs", *map(str, words)]


def script(name: str, *words: object) -> list[str]:
    """A script that stands beside this one."""
    return [sys.executable, str(HERE / name), *map(str, words)]


HEAD = f"{'':46}{'of floor':>10}{'of import':>11}{'peak, MB':>10}   bar"


def table(timed: list[Case], against: list[Case]) -> list[str]:
    """One line for each case: ratios, the bar where there is one, peak memory.

    Parameters: against = floor and import, timed in the same run.
    """
    medians = {case.name: statistics.median(case.seconds) for case in [*timed, *against]}
    peaks = {case.name: max(case.peaks, default=0.0) for case in [*timed, *against]}
    lines = []
    for case in timed:
        mine, bars = medians[case.name], []
        if case.name in BARS:
            other, greatest = BARS[case.name]
            bars.append(_bar(mine / medians[other], greatest, other))
        if case.name in PEAKS:
            share = peaks[case.name] / peaks[IMPORT]
            bars.append(_bar(share, PEAKS[case.name], f"the peak of {IMPORT}"))
        lines.append(
            f"{case.name:46}{mine / medians[FLOOR]:10.2f}{mine / medians[IMPORT]:11.2f}"
            f"{peaks[case.name]:10.0f}   {'; '.join(bars)}".rstrip()
        )
    return lines


def _bar(found: float, greatest: float, against: str) -> str:
    kept = "kept" if found <= greatest else "NOT kept"
    return f"{found:.2f}, at most {greatest} of {against}: {kept}"


def growth(name: str, found: list[list[float]]) -> str:
    """The power of a number that the time grows with, by least squares on logarithms.

    Parameters: found = (number, seconds).
    """
    points = [(math.log(number), math.log(took)) for number, took in found]
    x, y = (statistics.fmean(p[i] for p in points) for i in (0, 1))
    power = sum((a - x) * (b - y) for a, b in points) / sum((a - x) ** 2 for a, _ in points)
    bar = ""
    if name in POWERS:
        bar = f"; at most {POWERS[name]}: {'kept' if power <= POWERS[name] else 'NOT kept'}"
    times = found[-1][1] / found[0][1]
    return (
        f"{name}: time grows with the {power:.2f}th power, to {times:.1f} times from "
        f"{found[0][0]:g} to {found[-1][0]:g} {GROWS_WITH[name]}{bar}"
    )
