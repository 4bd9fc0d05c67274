"""Plastics as filament printers lay them: stiffness, and strength along and across the layers."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.tables._load import Table


@dataclass(frozen=True)
class Plastic:
    """A printed plastic, solid. Modulus and strengths in MPa, density in kg/m3; low ends.

    `strength_along` pulls along the layers, `strength_across` pulls them apart. Short loads only:
    plastic creeps under a standing one.
    """

    name: str
    also: tuple[str, ...]
    density: float
    modulus_of_elasticity: float
    strength_along: float
    strength_across: float
    source: str
    reliability: str


PLASTICS = Table("plastics", Plastic, ("plastics.csv",), lambda row: row.name, lambda row: row.also)


def plastic(name: str) -> Plastic:
    """Return a plastic by the name on its spool: `PETG`, `PLA`.

    Raises: TableError. Source: see each row; test a printed strip.
    """
    return PLASTICS.find(name)
