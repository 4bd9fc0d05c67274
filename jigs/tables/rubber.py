"""Rubber by hardness: moduli scatter by about 30 % at one hardness, so every figure is a band.

The formula for what lies between the rows is `jigs.mechanics.liner_force.young_modulus`.
"""

from __future__ import annotations

from dataclasses import dataclass

from jigs.tables._load import Table


@dataclass(frozen=True)
class RubberShear:
    """Shear modulus in MPa at a hardness in Shore A."""

    hardness: float
    shear_modulus: float
    source: str
    reliability: str


@dataclass(frozen=True)
class FilledRubber:
    """Filled natural rubber at a hardness in IRHD (near Shore A). Moduli in MPa.

    shape_coefficient is k in Ea = E0 (1 + 2 k S^2); 1 would be unfilled.
    """

    hardness: float
    young_modulus: float
    shear_modulus: float
    shape_coefficient: float
    source: str
    reliability: str


RUBBER_SHEAR = Table(
    "rubber hardness", RubberShear, ("rubber_shear.csv",), lambda row: f"{row.hardness:g}"
)
FILLED_RUBBERS = Table(
    "filled rubber", FilledRubber, ("rubber_filled.csv",), lambda row: f"{row.hardness:g}"
)


def rubber_shear(hardness: float) -> RubberShear:
    """Return the tabulated shear modulus at 30, 40 ... 80 Shore A.

    Raises: TableError for a hardness between the rows.
    """
    return RUBBER_SHEAR.find(f"{hardness:g}")


def filled_rubber(hardness: float) -> FilledRubber:
    """Return the row of filled natural rubber at 40, 45 ... 75 IRHD.

    Raises: TableError for a hardness between the rows. Source: Lindley, from memory.
    """
    return FILLED_RUBBERS.find(f"{hardness:g}")
