"""Woods at 12 % moisture content: averages of small clear specimens, not design values."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.tables._load import Table

MOISTURE = 0.12
WATER_DENSITY = 1000.0


@dataclass(frozen=True)
class Wood:
    """A species. Strengths and modulus in MPa, side_hardness (Janka) in N."""

    name: str
    also: tuple[str, ...]
    species: str
    specific_gravity: float
    modulus_of_rupture: float
    modulus_of_elasticity: float
    compression_parallel: float
    compression_perpendicular: float
    shear_parallel: float
    side_hardness: float
    source: str
    reliability: str

    @property
    def density(self) -> float:
        """kg/m3 at 12 %: the specific gravity is oven-dry mass over volume at 12 %.

        Source: Wood Handbook, ch. 4 (density from specific gravity and moisture content).
        """
        return self.specific_gravity * WATER_DENSITY * (1 + MOISTURE)


WOODS = Table("woods", Wood, ("woods.csv",), lambda row: row.name, lambda row: row.also)


def wood(name: str) -> Wood:
    """Return a wood by its everyday name: `ash`, `hard maple`, `red oak`.

    Raises: TableError. Source: Wood Handbook, FPL-GTR-282 Table 5-3b (American species).
    """
    return WOODS.find(name)
