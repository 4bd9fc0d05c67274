"""Sheet goods: density, stiffness and strength, with how far each row can be trusted."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.tables._load import Table


@dataclass(frozen=True)
class Board:
    """A board. Moduli and strengths in MPa, density in kg/m3; along = grain of the outer plies.

    Square to the sheet (flat): `compression_flat` under a washer, `tension_flat` that pulls the
    layers apart (internal bond), `modulus_flat`. `panel_shear` shears the sheet in its own plane,
    `rolling_shear` slides its layers on each other, with `rolling_modulus`. These six have a
    source of their own, `source_flat`; none of them is firm.
    """

    name: str
    also: tuple[str, ...]
    density: float
    modulus_of_elasticity_along: float
    modulus_of_elasticity_across: float
    bending_strength_along: float
    bending_strength_across: float
    source: str
    reliability: str
    compression_flat: float
    tension_flat: float
    modulus_flat: float
    panel_shear: float
    rolling_shear: float
    rolling_modulus: float
    source_flat: str
    reliability_flat: str


BOARDS = Table("boards", Board, ("boards.csv",), lambda row: row.name, lambda row: row.also)


def board(name: str) -> Board:
    """Return a board by its everyday name: `birch plywood`, `MDF`.

    Raises: TableError. Source: see each row; few of them are firm.
    """
    return BOARDS.find(name)
