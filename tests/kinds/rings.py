"""Rings on slots, a board, holes and narrow slots, and books with some numbers exchanged."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from jigs.reading.job import read_job
from jigs.sizing import Jig, design

ROOT = Path(__file__).parents[2]
JOBS = {
    "slots": ROOT / "configs/allotment.yaml",
    "board": ROOT / "tests/shops/front_board.yaml",
    "holes": ROOT / "tests/shops/front_holes.yaml",
    "nuts": ROOT / "tests/shops/front_narrow_slots.yaml",
}


class Changed:
    """A book with some of its numbers exchanged, for what reads it."""

    def __init__(self, book: Any, **values: Any) -> None:
        self._book, self._values = book, values

    def __getattr__(self, name: str) -> Any:
        """The exchanged number, or that of the book."""
        return self._values[name] if name in self._values else getattr(self._book, name)


@cache
def sized_rings() -> dict[str, Jig]:
    """The ring of each job."""
    found = {}
    for name, path in JOBS.items():
        d = design(read_job(path))
        found[name] = next(jig for _, jig in d.jigs() if jig.kind.name == "split_ring")
    return found


def with_(n: Any, **values: Any) -> Any:
    """A book with these numbers instead of its own."""
    return Changed(n, **values)
