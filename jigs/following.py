"""The files that a job is read from, followed while they are edited."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jigs.reading.job import Job

Stamp = tuple[int, int] | None
"""Time of the last change, ns, and size; None for a file that is not there."""

POLL = 0.15
"""Seconds between two looks at the files."""

_SETTLE = 0.03  # s: an editor may empty a file before it writes it


@dataclass
class Files:
    """The files that a job is read from, and how they were when last looked at."""

    config: Path
    _stamps: dict[Path, Stamp] = field(default_factory=dict)

    def follow(self, paths: Iterable[Path]) -> None:
        """Look at these from now on, and at the job's own file."""
        known = dict.fromkeys((self.config, *paths))
        self._stamps = {path: self._stamps.get(path, stamp(path)) for path in known}

    def changed(self) -> bool:
        """Say whether any file is not as it was when last settled."""
        return any(stamp(path) != before for path, before in self._stamps.items())

    def settle(self) -> None:
        """Wait until nothing changes any more, and take that as how the files are."""
        while True:
            self._stamps = {path: stamp(path) for path in self._stamps}
            time.sleep(_SETTLE)
            if not self.changed():
                return


def stamp(path: Path) -> Stamp:
    """How a file is now."""
    try:
        told = path.stat()
    except OSError:
        return None
    return (told.st_mtime_ns, told.st_size)


def files_of(job: Job) -> list[Path]:
    """Every file that a job was read from."""
    named = {job.source.file, job.machine_source.file, *(str(f) for f in job.measured.files)}
    return [Path(name) for name in sorted(named)]


def every_change(files: Files) -> Iterator[None]:
    """Now, and each time that a file was changed and came to rest."""
    while True:
        yield
        while not files.changed():
            time.sleep(POLL)
        files.settle()
