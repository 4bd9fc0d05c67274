"""How long builds and checks take, as ratios: nothing here passes or fails.

    python tests/bench/bench.py [configs/allotment.yaml] [--repeat 5] [--fields 12 | all]
                                [--only NAME ...]

Every case runs in fresh processes of one and the same run, in turn with all others, so that a busy
computer slows them alike; what counts is the ratio of the medians, never the seconds. A build is
cold with a store of its own that is empty; each numeric field of the job is changed in turn, with
the store and the files of the unchanged job; `--fields` of them are taken, spread over the job.
`--only` takes beginnings of names; what the ratios are against is timed with them. Growth is timed
within one process.
"""

from __future__ import annotations

import argparse
import json
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any
from unittest import mock

from changes import spread, time_in_turn
from timing import (
    BATCH,
    CAD_ONLY,
    CHECK,
    COLD,
    DRY,
    DRY_AGAIN,
    EVERYTHING,
    FIELD,
    FLOOR,
    HEAD,
    HELP,
    HOLES,
    IMPORT,
    PICTURES,
    PIECES,
    RIBS,
    ROOT,
    SHOWN,
    TOLD,
    UNCHANGED,
    VIEW,
    WARM,
    Case,
    copied,
    growth,
    jigs,
    script,
    table,
)

NO_PAPER = ("--no-pictures", "--no-papers")


class Bench:
    """One run over one job."""

    def __init__(self, config: Path, work: Path, only: Sequence[str]) -> None:
        """`only` = beginnings of the names of cases; empty for all."""
        self.work, self.environment, self.only = work, copied(work), only
        self.own = work / "job" / config.name
        shutil.copytree(config.parent, self.own.parent)
        self.text = self.own.read_text(encoding="utf-8")

    def asks(self, name: str) -> bool:
        """Is that case wanted?"""
        said = name.lstrip("-")
        return not self.only or any(said.startswith(wanted) for wanted in self.only)

    # in turn

    def cases(self) -> list[Case]:
        """Everything that is timed in turn and asked for, in the order of the table."""
        own, kept, fresh = self.own, self.work / "kept", self.work / "fresh"
        cold, warm, seen = (str(self.work / f) for f in ("cold store", "store", "seen store"))

        def forget() -> None:
            shutil.rmtree(fresh, ignore_errors=True)
            shutil.rmtree(cold, ignore_errors=True)

        def dry_before() -> None:
            if not self.asks(DRY) or not Path(cold).exists():
                forget()
                Case("", script("inside.py", "dry", own), store=cold).run(self.environment)

        def see() -> None:
            if not Path(seen).exists():
                Case("", jigs("build", own, *NO_PAPER, "--out", fresh), forget, seen).run(
                    self.environment
                )

        changed = "ring.squeeze=0.5" if "split_ring" in self.text else ""
        measured = ("--csv", f"dibber={own.parent}/dibbers.csv") if "dibber:" in self.text else ()
        all_cases = [
            Case(COLD, jigs("build", own, *CAD_ONLY, "--out", fresh), forget, cold),
            Case(EVERYTHING, jigs("build", own, "--out", fresh), forget, cold),
            Case(UNCHANGED, jigs("build", own, *CAD_ONLY, "--out", kept), store=warm),
            Case(DRY, script("inside.py", "dry", own), forget, cold, inside=True),
            *([Case(DRY_AGAIN, script("inside.py", "dry", own, changed), dry_before, cold,
                    inside=True)] if changed else []),
            Case(PICTURES, script("inside.py", "pictures", own), see, seen, inside=True),
            Case(CHECK, jigs("check", own)),
            *([Case(BATCH, jigs("batch", own, *measured, "--out", fresh), forget)]
              if measured else []),
            Case(HELP, jigs("--help")),
        ]  # fmt: skip
        return [case for case in all_cases if self.asks(case.name)]

    def against(self) -> list[Case]:
        """What the ratios are against."""
        fresh = self.work / "fresh"
        floor = script("floor.py", self.work / "solids", fresh)
        return [
            Case(FLOOR, floor, lambda: shutil.rmtree(fresh, ignore_errors=True)),
            Case(IMPORT, [sys.executable, "-c", "import cadquery"]),
        ]

    def in_turn(self, repeat: int) -> list[Case]:
        """Time them, print them; returns what the ratios are against."""
        against, timed = self.against(), self.cases()
        every = [*against, *timed]
        # The first run, not counted, fills caches, the store and the folder of the rebuilds.
        for case in every:
            case.run(self.environment)
            case.forget()
        for _ in range(repeat):
            for case in every:
                case.run(self.environment)
        tell([HEAD, *table(every, against)])
        return against

    # once

    def later(self, fields: int, against: list[Case]) -> None:
        """Changed fields: in a new process each, in a watch session, on screen."""
        jobs = spread(self.text, fields)
        if any(map(self.asks, (FIELD, WARM, VIEW))):
            unchanged = jigs("build", self.own, *CAD_ONLY, "--out", self.work / "kept")
            Case(UNCHANGED, unchanged, store=str(self.work / "store")).run(self.environment)
            shutil.copytree(self.work / "store", self.work / "view store")
        if self.asks(FIELD):
            took, refused = time_in_turn(jobs, self.own, self.work, self.environment)
            slowest = max(took, key=lambda name: took[name])
            told = [
                Case(f"{FIELD}: median", [], seconds=[statistics.median(took.values())]),
                Case(f"{FIELD}: worst", [], seconds=[took[slowest]]),
            ]
            tell(table(told, against))
            tell([f"{len(took)} fields changed, {refused} refused; the slowest: {slowest}"])
        paths = [self.own.with_name(f"changed {i} {self.own.name}") for i in range(len(jobs))]
        for path, (_, text) in zip(paths, jobs, strict=True):
            path.write_text(text, encoding="utf-8")
        store = str(self.work / "store")
        if self.asks(WARM):
            words = ("watch", self.own, self.work / "kept", *paths)
            warm = Case(f"{WARM}: median", script("inside.py", *words), store=store, inside=True)
            warm.run(self.environment)
            tell(table([warm], against))
        if self.asks(VIEW):
            words = ("view", self.own, *paths)
            own_store = str(self.work / "view store")
            view = Case(VIEW, script("inside.py", *words), store=own_store, inside=True)
            view.run(self.environment)
            shown, checked = zip(*view.seconds, strict=True)
            told = [
                Case(f"{SHOWN}: median", [], seconds=[*shown]),
                Case(f"{SHOWN}: worst", [], seconds=[max(shown)]),
                Case(f"{TOLD}: median", [], seconds=[*checked]),
            ]
            tell(table(told, against))

    def grown(self) -> Iterator[str]:
        """How times grow."""
        holed = ROOT / "tests/shops/front_holes.yaml"
        jobs = {
            RIBS: ("ribs", self.own if "end_grain_clamp" in self.text else None),
            HOLES: ("holes", holed),
            PIECES: ("pieces", self.own if "turned" in self.text else None),
        }
        for name, (what, job) in jobs.items():
            if job is not None and self.asks(name):
                words = (what, job, self.work / what)
                case = Case(name, script("growing.py", *words), inside=True)
                case.run(self.environment)
                yield growth(name, case.seconds)  # type: ignore[arg-type]  # pairs, there


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


def tell(lines: Sequence[str]) -> None:
    """At once: what follows takes long."""
    sys.stdout.write("\n".join([*lines, ""]))
    sys.stdout.flush()


def main() -> None:
    """Prepare, time in turn, print."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    options.add_argument("config", nargs="?", type=Path, default=ROOT / "configs/allotment.yaml")
    options.add_argument("--repeat", type=int, default=5, help="timings of each case (default 5)")
    options.add_argument("--fields", default="12", help="how many fields to change, or all")
    options.add_argument("--only", nargs="+", default=[], metavar="NAME", help="of cases")
    options.add_argument("--solids-to", type=Path, help=argparse.SUPPRESS)
    chosen = options.parse_args()
    config = chosen.config.resolve()
    if chosen.solids_to:
        write_solids(config, chosen.solids_to)
        return
    with tempfile.TemporaryDirectory() as name:
        bench = Bench(config, Path(name), chosen.only)
        only_growth = chosen.only and not any(map(bench.asks, (FIELD, WARM, VIEW)))
        if bench.cases() or not only_growth:
            prepare = [sys.executable, __file__, str(config), "--solids-to", f"{name}/solids"]
            off = {**bench.environment, "JIGS_KEPT": "off"}
            subprocess.run(prepare, env=off, check=True)
            tell([f"{config.name}, medians of {chosen.repeat}"])
            against = bench.in_turn(chosen.repeat)
            bench.later(10_000 if chosen.fields == "all" else int(chosen.fields), against)
        for line in bench.grown():
            tell([line])


if __name__ == "__main__":
    main()
