"""Rubber by hardness: moduli scatter by about 30 % at one hardness, so every figure is a band."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.errors import TableError
from jigs.tables._load import Table

SCATTER = 0.30
"""Hardness to modulus scatters by +-30 %: published notes (the source of rubber_shear.csv)."""

GENT_LEAST, GENT_MOST = 20.0, 80.0
"""Shore A; assumed: the formula runs away towards 100, and the tables end at 80."""


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


def gent_modulus(hardness: float) -> float:
    """Return Young's modulus of rubber in MPa from its hardness in Shore A; +-30 %.

    E = 0.0981 (56 + 7.62336 S) / (0.137505 (254 - 2.54 S)). Limits: 20 to 80 Shore A.
    Raises: TableError outside them. Source: A. N. Gent, On the relation between indentation
    hardness and Young's modulus, Rubber Chem. Technol. 31 (1958) 896.
    """
    if not GENT_LEAST <= hardness <= GENT_MOST:
        range_text = f"{GENT_LEAST:g} to {GENT_MOST:g} Shore A"
        raise TableError("rubber modulus by hardness", f"{hardness:g}", [range_text])
    return 0.0981 * (56 + 7.62336 * hardness) / (0.137505 * (254 - 2.54 * hardness))


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
