"""A second process that works ahead of a build, from its end: what it finds lands in the store.

A build asks the store before it works anything out. So the two need not talk: they meet where
both have come to. Started before anything is known of the job, so that both load the kernel at the
same time; not by a process that has loaded it and builds again and again.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from jigs.errors import JigsError
from jigs.kept import Kept

if TYPE_CHECKING:
    from jigs.sizing import Design

PROCESSES = "JIGS_PROCESSES"
"""Environment variable: how many processes a build may use, 1 or 2."""

SAVE_EVERY = 0.1
"""Seconds."""


@contextlib.contextmanager
def working_ahead(
    config: Path, kept: Kept, *, dry_fit: bool, pictures: bool
) -> Iterator[subprocess.Popen[bytes] | None]:
    """While the block runs, a second process works from the build's end, where there are two."""
    if not (kept.lasts and processes() > 1):
        yield None
        return
    wanted = [*(["dry fit"] if dry_fit else []), *(["pictures"] if pictures else [])]
    nothing = subprocess.DEVNULL
    # The folder is ours: a process that is killed leaves behind what it was writing.
    with TemporaryDirectory() as scratch:
        helper = subprocess.Popen(
            [sys.executable, "-m", __name__, str(config), scratch, *wanted],
            stdin=nothing, stdout=nothing, stderr=nothing,
        )  # fmt: skip
        try:
            with kept.saving_every(SAVE_EVERY):
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


def work_from_the_end(config: Path, scratch: Path, *, dry_fit: bool, pictures: bool) -> None:
    """Work out what a build of the job asks for, the last first. Errors are the build's to tell.

    Parameters: scratch = a folder to write in; what counts lands in the store.
    """
    from jigs.provenance import open_store
    from jigs.reading.job import read_job
    from jigs.sizing import design

    kept = open_store()
    with contextlib.suppress(JigsError), kept.saving_every(SAVE_EVERY):
        d = design(read_job(config))
        _workshop(d, kept, scratch)
        _with_the_kernel(d, kept, dry_fit, pictures)
    kept.close()


def _workshop(d: Design, kept: Kept, scratch: Path) -> None:
    """What needs no kernel comes first: the build is loading it."""
    from jigs.outputs.workshop import write_workshop
    from jigs.publish import Stamp, into

    with into(scratch / "ahead", Stamp("", {})) as out:
        write_workshop(d, out, "not asked", kept)
    kept.save()


def _with_the_kernel(d: Design, kept: Kept, dry_fit: bool, pictures: bool) -> None:
    from jigs.checks.clearance import check_clearance
    from jigs.checks.dry_fit import check_dry_fit
    from jigs.checks.fit import check_fit
    from jigs.outputs.cad.files import cad_files
    from jigs.outputs.cad.pictures import pictures as all_pictures
    from jigs.solids.scene import Scene
    from jigs.solids.store import Solids

    scene = Scene(d, Solids(kept))
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


if __name__ == "__main__":
    file, folder, *wanted = sys.argv[1:]
    work_from_the_end(
        Path(file), Path(folder), dry_fit="dry fit" in wanted, pictures="pictures" in wanted
    )
