"""The long run: random jobs, files as accidents leave them, kills; one line for each run.

    python tests/trust/long_run.py --numbers 10000 --kernel 500 --files 5000 --kills 50 --seed 1

It may be ended by SIGTERM: the line then tells what was done. Every item is drawn from
`seed-name-i` alone, so that a single one can be run again: `--from 4711
--numbers 1`. What goes wrong is kept beside the job in `--keep` (a folder; else told only). The
line, with date, seed, counts and seconds, is added to `long_run.txt`. Exit code 1 on any crash.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
sys.path[:0] = [str(ROOT), str(HERE.parent)]
LONGEST = 90.0
"""Seconds of this process's own time for one item; assumed: what takes longer has hung."""

Tally = Counter[str]
Work = Callable[[random.Random, Path], str]


class Hung(BaseException):
    """An item took too long; no handler of the library's may keep it."""


def _ring(*_: object) -> None:
    raise Hung(f"longer than {LONGEST:g} s")


def run(name: str, count: int, first: int, seed: str, work: Work, keep: Path | None) -> Tally:
    """Do one kind of item so many times; what is let out by the library counts as crashed."""
    tally: Tally = Counter()
    signal.signal(signal.SIGVTALRM, _ring)
    asked_to_end = []
    signal.signal(signal.SIGTERM, lambda *_: asked_to_end.append(True))
    with tempfile.TemporaryDirectory(dir=_memory()) as folder:
        for i in range(first, first + count):
            if asked_to_end:
                break
            place = Path(folder) / str(i)
            place.mkdir()
            signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST)
            try:
                tally[work(random.Random(f"{seed}-{name}-{i}"), place)] += 1
            except (Exception, Hung):
                tally["crashed"] += 1
                _tell(name, i, place, keep)
            finally:
                signal.setitimer(signal.ITIMER_VIRTUAL, 0)
                subprocess.run(["rm", "-rf", str(place)], check=True)
            if (i - first + 1) % 500 == 0:
                _say(f"{name} {i - first + 1}: {dict(tally)}")
    return tally


def _memory() -> str | None:
    """A folder in memory where the system has one: a long run writes some ten thousand files."""
    return "/dev/shm" if os.access("/dev/shm", os.W_OK) else None


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def _tell(name: str, i: int, place: Path, keep: Path | None) -> None:
    told = traceback.format_exc()
    _say(f"{name} {i} crashed:\n{told}")
    if keep is not None:
        for file in sorted(p for p in place.rglob("*") if p.suffix in (".yaml", ".csv")):
            target = keep / f"{name} {i} {file.name}"
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(file.read_bytes())
        keep.mkdir(parents=True, exist_ok=True)
        (keep / f"{name} {i}.txt").write_text(told, encoding="utf-8")


def line_of(seed: str, parts: dict[str, tuple[Tally, float]]) -> str:
    """The dated line: what was done, what came of it, how long it took."""
    done = "; ".join(
        f"{name} {sum(tally.values())}: "
        + ", ".join(f"{count} {what}" for what, count in sorted(tally.items()))
        + f" in {seconds:.0f} s"
        for name, (tally, seconds) in parts.items()
    )
    crashed = sum(tally["crashed"] for tally, _ in parts.values())
    today = datetime.now(UTC).strftime("%Y-%m-%d %H:%M")
    return f"{today} UTC, commit {_commit()}, seed {seed}: {done}; {crashed} crashed\n"


def _commit() -> str:
    """Of the repository, with a word where files differ from it."""

    def git(*words: str) -> str:
        done = subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True)
        return done.stdout.strip()

    changed = "" if not git("status", "--porcelain", "--", "jigs") else " and changes"
    return (git("rev-parse", "--short", "HEAD") or "unknown") + changed


def main() -> int:
    """Run what is asked for, and add the line."""
    from trust import work

    ask = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    ask.add_argument("--numbers", type=int, default=0, help="random jobs, numbers only")
    ask.add_argument("--kernel", type=int, default=0, help="random jobs through the kernel")
    ask.add_argument("--files", type=int, default=0, help="mutated files")
    ask.add_argument("--kills", type=int, default=0, help="killed builds")
    ask.add_argument("--seed", default="1", help="any text")
    ask.add_argument("--from", dest="first", type=int, default=0, help="number of the first item")
    ask.add_argument("--keep", type=Path, help="folder for what crashed")
    ask.add_argument("--no-line", action="store_true", help="leave long_run.txt as it is")
    asked = ask.parse_args()
    parts: dict[str, tuple[Tally, float]] = {}
    for name in ("numbers", "kernel", "files", "kills"):
        count: int = getattr(asked, name)
        if count:
            start = time.monotonic()
            do: Work = getattr(work, f"do_{name}")
            tally = run(name, count, asked.first, asked.seed, do, asked.keep)
            parts[name] = tally, time.monotonic() - start
    since = f" from {asked.first}" if asked.first else ""
    line = line_of(f"{asked.seed}{since}", parts)
    _say(line.strip())
    if not asked.no_line and parts:
        with (HERE / "long_run.txt").open("a", encoding="utf-8") as book:
            book.write(line)
    return 1 if any(tally["crashed"] for tally, _ in parts.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
