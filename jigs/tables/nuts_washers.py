"""Hexagon nuts, plain washers and clearance holes."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.errors import TableError
from jigs.tables._load import Table, plain
from jigs.tables.threads import size_name


@dataclass(frozen=True)
class HexNut:
    """A hexagon nut. Lengths in mm; height is the largest. across_flats_old = DIN 934 stock."""

    size: str
    across_flats: float
    across_flats_old: float
    height: float
    height_min: float
    source: str
    reliability: str


@dataclass(frozen=True)
class Washer:
    """A plain washer. Lengths in mm; thickness nominal, thickness_max the upper limit."""

    size: str
    series: str
    hole_diameter: float
    outer_diameter: float
    thickness: float
    thickness_max: float
    source: str
    reliability: str


@dataclass(frozen=True)
class ClearanceHole:
    """Holes that a bolt passes through. Diameters in mm: fine H12, medium H13, coarse H14."""

    size: str
    hole_fine: float
    hole_medium: float
    hole_coarse: float
    source: str
    reliability: str


HEX_NUTS = Table("hex nuts", HexNut, ("hex_nuts.csv", "hex_nuts_inch.csv"), lambda row: row.size)
WASHERS = Table(
    "washers",
    Washer,
    ("washers.csv", "washers_inch.csv"),
    lambda row: f"{row.size} {row.series}",
)
CLEARANCE_HOLES = Table(
    "clearance holes",
    ClearanceHole,
    ("clearance_holes.csv", "clearance_holes_inch.csv"),
    lambda row: row.size,
)


def hex_nut(size: str) -> HexNut:
    """Return the hexagon nut of a size: ISO 4032, inch ASME B18.2.2.

    Raises: TableError.
    """
    return HEX_NUTS.find(size_name(size))


def washer(size: str, series: str = "normal") -> Washer:
    """Return the plain washer of a size.

    Parameters: series = `normal` (ISO 7089), `large` (ISO 7093), `extra large` (ISO 7094); inch
    (ASME B18.21.1): type A narrow, type A wide, type B wide.
    Raises: TableError; if the size is known it lists the series of that size.
    """
    name = size_name(size)
    of_size = [row for row in WASHERS.rows if plain(row.size) == plain(name)]
    if not of_size:
        sizes = dict.fromkeys(row.size for row in WASHERS.rows)
        raise TableError(WASHERS.name, size, list(sizes))
    for row in of_size:
        if plain(row.series) == plain(series):
            return row
    raise TableError(f"{WASHERS.name} {of_size[0].size}", series, [row.series for row in of_size])


def clearance_hole(size: str) -> ClearanceHole:
    """Return the clearance holes of a size: ISO 273, inch ASME B18.2.8.

    Raises: TableError.
    """
    return CLEARANCE_HOLES.find(size_name(size))
