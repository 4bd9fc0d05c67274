"""Specific cutting force k_c of wood and board by direction: a middle value and a wide band.

For solid wood every value is assumed (no published table was found in the open); a verdict that
rests on one says so, and a measured value of the user's own goes before it.
"""

from __future__ import annotations

from dataclasses import dataclass

from jigs.errors import TableError
from jigs.tables._load import Table, plain

DIRECTIONS = ("90-90", "90-0", "0-90")
ANY_DIRECTION = "any"


@dataclass(frozen=True)
class CuttingForce:
    """Specific cutting force in MPa (N per mm2 of chip). Use high for what must hold.

    `direction` names the angle of the edge and of its travel against the grain (McKenzie's
    notation, as in FAO 0886-A2): `90-90` end grain, `0-90`, `90-0`; boards have `any`.
    """

    material: str
    also: tuple[str, ...]
    direction: str
    specific_force: float
    low: float
    high: float
    source: str
    reliability: str

    @property
    def is_assumed(self) -> bool:
        """True where the middle value has no source at all."""
        return self.reliability == "assumed"


CUTTING_FORCES = Table(
    "specific cutting forces",
    CuttingForce,
    ("cutting.csv",),
    lambda row: f"{row.material} {row.direction}",
    lambda row: tuple(f"{name} {row.direction}" for name in row.also),
)


def cutting_force(material: str, direction: str) -> CuttingForce:
    """Return the specific cutting force of a material cut in a direction.

    Parameters: material = a wood (`beech`), a group (`dense hardwood`) or a board (`plywood`);
    direction = `90-90`, `90-0` or `0-90`; a board answers to every direction.
    Returns: low, middle and high in MPa. Raises: TableError. Source: see each row.
    """
    asked = f"{material} {direction}"
    if plain(direction) not in DIRECTIONS:
        raise TableError("cutting directions", asked, DIRECTIONS)
    for row in CUTTING_FORCES.rows:
        names = {plain(row.material), *(plain(name) for name in row.also)}
        if plain(material) in names and row.direction in (plain(direction), ANY_DIRECTION):
            return row
    raise TableError(CUTTING_FORCES.name, asked, CUTTING_FORCES.keys)
