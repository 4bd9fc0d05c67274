"""Metals that jigs and machine tables are of: stiffness, yield and tensile strength."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.tables._load import Table


@dataclass(frozen=True)
class Metal:
    """A metal. Modulus and strengths in MPa, density in kg/m3; the weakest usual grade.

    `yield_strength` is the 0.2 % proof stress of aluminium and the 0.1 % one of cast iron.
    """

    name: str
    also: tuple[str, ...]
    density: float
    modulus_of_elasticity: float
    yield_strength: float
    tensile_strength: float
    source: str
    reliability: str


METALS = Table("metals", Metal, ("metals.csv",), lambda row: row.name, lambda row: row.also)


def metal(name: str) -> Metal:
    """Return a metal by its everyday name: `steel`, `aluminium`, `cast iron`.

    Raises: TableError. Source: see each row.
    """
    return METALS.find(name)
