"""Woods at 12 % moisture content: averages of small clear specimens, not design values."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from jigs.tables._load import Table

MOISTURE = 0.12
VARIATION = {
    "modulus_of_rupture": 0.16, "modulus_of_elasticity": 0.22, "compression_parallel": 0.18,
    "compression_perpendicular": 0.28, "shear_parallel": 0.14,
}  # fmt: skip
"""Coefficients of variation of clear wood. Wood Handbook, Table 5-6, from memory."""

ONE_IN_TWENTY = 1.645
"""Standard deviations below the average under which one piece in twenty lies (normal)."""

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
    said: frozenset[str] = frozenset()
    """Fields that the user knows for certain."""

    def sure(self, field: str) -> float:
        """What 19 pieces in 20 reach, MPa: the average less 1.645 standard deviations.

        A value of the user's own stands as it is. Source: Wood Handbook, coefficients of variation
        from memory; normal distribution.
        """
        value = float(getattr(self, field))
        return value if field in self.said else value * (1 - ONE_IN_TWENTY * VARIATION[field])

    @property
    def density(self) -> float:
        """kg/m3 at 12 %: the specific gravity is oven-dry mass over volume at 12 %.

        Source: Wood Handbook, ch. 4 (density from specific gravity and moisture content).
        """
        return self.specific_gravity * WATER_DENSITY * (1 + MOISTURE)


_KEYS = {
    "bending_strength": "modulus_of_rupture", "stiffness": "modulus_of_elasticity",
    "crushing_strength": "compression_perpendicular",
}  # fmt: skip
"""Key in the user's file -> field."""

WOODS = Table("woods", Wood, ("woods.csv",), lambda row: row.name, lambda row: row.also)


OwnWoods = tuple[tuple[str, str, tuple[tuple[str, float], ...]], ...]
"""(name, the wood of the tables that it is like, ((key, value), ...)) of the user's own woods."""


def wood(name: str, own: OwnWoods = ()) -> Wood:
    """Return a wood by its everyday name: `ash`, `hard maple`, `red oak`; the user's own first.

    Raises: TableError. Source: Wood Handbook, FPL-GTR-282 Table 5-3b (American species).
    """
    for mine, like, values in own:
        if mine.casefold() == name.casefold():
            return _as_said(WOODS.find(like), mine, dict(values))
    return WOODS.find(name)


def _as_said(row: Wood, name: str, values: dict[str, float]) -> Wood:
    fields: dict[str, Any] = {_KEYS[key]: value for key, value in values.items() if key in _KEYS}
    if "density" in values:
        fields["specific_gravity"] = values["density"] / (WATER_DENSITY * (1 + MOISTURE))
    words = f"as you know it; the rest like {row.name}: {row.source}"
    return replace(row, name=name, also=(), source=words, said=frozenset(fields), **fields)
