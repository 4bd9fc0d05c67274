"""Sheet goods: density, stiffness and bending strength, with how far each row can be trusted."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.tables._load import Table


@dataclass(frozen=True)
class Board:
    """A board. Moduli and strengths in MPa, density in kg/m3; along = grain of the outer plies."""

    name: str
    also: tuple[str, ...]
    density: float
    modulus_of_elasticity_along: float
    modulus_of_elasticity_across: float
    bending_strength_along: float
    bending_strength_across: float
    source: str
    reliability: str


BOARDS = Table("boards", Board, ("boards.csv",), lambda row: row.name, lambda row: row.also)


def board(name: str) -> Board:
    """Return a board by its everyday name: `birch plywood`, `MDF`.

    Raises: TableError. Source: see each row; few of them are firm.
    """
    return BOARDS.find(name)
