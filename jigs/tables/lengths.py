"""Lengths in which bolts, screws and rod are sold."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.errors import TableError
from jigs.tables._load import Table, plain
from jigs.tables.threads import size_name

ROUNDING = 1e-6
"""mm; assumed: a length that misses a sold one by less than this is that length."""


@dataclass(frozen=True)
class SoldLengths:
    """Lengths of one family and size, in mm, shortest first."""

    family: str
    size: str
    lengths: tuple[float, ...]
    source: str
    reliability: str


LENGTHS = Table(
    "sold lengths",
    SoldLengths,
    ("lengths.csv", "lengths_inch.csv"),
    lambda row: f"{row.family} {row.size}",
)


def sold_lengths(family: str, size: str) -> tuple[float, ...]:
    """Return the lengths sold, in mm, shortest first.

    Parameters: family = `hex bolt` (part thread), `hex screw` (threaded to the head),
    `socket screw`, `coach bolt`, `T-slot bolt`, `threaded rod` (bars); size = `M8`, `1/4`.
    Raises: TableError. Source: steps of ISO 888; what one shop stocks is common practice.
    """
    of_family = _of_family(family)
    name = size_name(size)
    for row in of_family:
        if plain(row.size) == plain(name):
            return row.lengths
    raise TableError(
        f"{LENGTHS.name} of {of_family[0].family}", size, [row.size for row in of_family]
    )


def sold_sizes(family: str) -> tuple[str, ...]:
    """Return the sizes in which a family is sold, smallest first, metric before inch.

    Raises: TableError with the families there are.
    """
    return tuple(row.size for row in _of_family(family))


def next_length(family: str, size: str, at_least: float) -> float:
    """Return the shortest sold length that is not below at_least, all in mm.

    Raises: TableError with the lengths there are, if none is long enough or the size is unknown.
    """
    there_is = sold_lengths(family, size)
    for length in there_is:
        if length >= at_least - ROUNDING:
            return length
    raise TableError(
        f"{LENGTHS.name} of {family} {size}",
        f"{at_least:.1f} mm or longer",
        [f"{length:g}" for length in there_is],
    )


def _of_family(family: str) -> list[SoldLengths]:
    of_family = [row for row in LENGTHS.rows if plain(row.family) == plain(family)]
    if not of_family:
        families = dict.fromkeys(row.family for row in LENGTHS.rows)
        raise TableError(LENGTHS.name, family, list(families))
    return of_family
