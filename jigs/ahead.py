"""A second process that works ahead of a build, from its end: what it finds lands in the store.

A build asks the store before it works anything out. So the two need not talk: they meet where
both have come to. Started only where most of a job is new, and where there is a second core.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from jigs.errors import JigsError
from jigs.kept import Kept, digest
from jigs.model.part import Bought
from jigs.sizing import Design

PROCESSES = "JIGS_PROCESSES"
"""Environment variable: how many processes a build may use, 1 or 2."""

MOSTLY_NEW = 0.5
"""Share of the parts whose solids must be new: loading the kernel a second time takes as long."""

SAVE_EVERY = 0.1
"""Seconds."""


@contextlib.contextmanager
def working_ahead(
    d: Design, kept: Kept, *, dry_fit: bool, pictures: bool
) -> Iterator[subprocess.Popen[bytes] | None]:
    """While the block runs, a second process works from the build's end, where that pays."""
    if not (kept.lasts and processes() > 1 and is_mostly_new(d, kept)):
        yield None
        return
    wanted = [*(["dry fit"] if dry_fit else []), *(["pictures"] if pictures else [])]
    nothing = subprocess.DEVNULL
    helper = subprocess.Popen(
        [sys.executable, "-m", __name__, d.job.source.file, *wanted],
        stdin=nothing, stdout=nothing, stderr=nothing,
    )  # fmt: skip
    try:
        yield helper
    finally:
        helper.kill()
        helper.wait()


def processes() -> int:
    """How many processes a build may use."""
    named = os.environ.get(PROCESSES, "")
    if named.isdecimal():
        return int(named)
    with contextlib.suppress(AttributeError):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def is_mostly_new(d: Design, kept: Kept) -> bool:
    """Are most solids of the made parts not in the store?"""
    made = [p for _, j in d.jigs() for p in j.parts.values() if not isinstance(p.made, Bought)]
    new = sum(not kept.holds("solid", (digest(part),)) for part in made)
    return new > MOSTLY_NEW * len(made)


def work_from_the_end(config: Path, *, dry_fit: bool, pictures: bool) -> None:
    """Work out what a build of the job asks for, the last first. Errors are the build's to tell."""
    from jigs.checks.clearance import check_clearance
    from jigs.checks.dry_fit import check_dry_fit
    from jigs.checks.fit import check_fit
    from jigs.outputs.cad.files import cad_files
    from jigs.outputs.cad.pictures import pictures as all_pictures
    from jigs.provenance import open_store
    from jigs.reading.job import read_job
    from jigs.sizing import design
    from jigs.solids.scene import Scene
    from jigs.solids.store import Solids

    d, kept = design(read_job(config)), open_store(SAVE_EVERY)
    scene = Scene(d, Solids(kept))
    with contextlib.suppress(JigsError):
        for painting in reversed(all_pictures(scene) if pictures else []):
            painting.found_or_painted(kept)
            kept.save()
        for file in reversed(cad_files(scene)):
            file.found_or_made(kept)
            kept.save()
        if dry_fit:
            for _, jig in reversed(list(d.jigs())):
                check_dry_fit(d, scene.rehearsal, jig.name)
        backwards = replace(d, setups=d.setups[::-1])
        check_clearance(backwards, scene)
        check_fit(backwards, scene)
    kept.close()


if __name__ == "__main__":
    file, *wanted = sys.argv[1:]
    work_from_the_end(Path(file), dry_fit="dry fit" in wanted, pictures="pictures" in wanted)
