"""Hardware for wood: screwed inserts, wood screws, dowels, and springs that open a jaw."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.tables._load import Table
from jigs.tables.threads import size_name


@dataclass(frozen=True)
class WoodInsert:
    """A screwed insert with a machine thread inside. Lengths in mm."""

    size: str
    length: float
    outer_diameter: float
    hole_diameter: float
    source: str
    reliability: str


@dataclass(frozen=True)
class WoodScrew:
    """A countersunk wood screw. Lengths in mm."""

    diameter: float
    head_diameter: float
    core_diameter: float
    pilot_hole: float
    lengths: tuple[float, ...]
    source: str
    reliability: str


@dataclass(frozen=True)
class Dowel:
    """A dowel, as cut pins or as rod. Lengths in mm."""

    diameter: float
    pin_lengths: tuple[float, ...]
    rod_length: float
    source: str
    reliability: str


@dataclass(frozen=True)
class CompressionSpring:
    """A spring that slides on a bolt. Lengths in mm, rate in N/mm. Assumed: enter your own."""

    size: str
    inner_diameter: float
    wire_diameter: float
    active_coils: float
    total_coils: float
    free_length: float
    solid_length: float
    rate: float
    source: str
    reliability: str

    @property
    def outer_diameter(self) -> float:
        """Outside of the coil, in mm."""
        return self.inner_diameter + 2 * self.wire_diameter


WOOD_INSERTS = Table(
    "wood inserts",
    WoodInsert,
    ("wood_inserts.csv", "wood_inserts_inch.csv"),
    lambda row: row.size,
)
WOOD_SCREWS = Table("wood screws", WoodScrew, ("wood_screws.csv",), lambda row: f"{row.diameter:g}")
DOWELS = Table("dowels", Dowel, ("dowels.csv",), lambda row: f"{row.diameter:g}")
SPRINGS = Table("springs", CompressionSpring, ("springs.csv",), lambda row: row.size)


def wood_insert(size: str) -> WoodInsert:
    """Return the screwed insert with this thread.

    Raises: TableError. Source: DIN 7965; inch: common practice, no source, measure yours.
    """
    return WOOD_INSERTS.find(size_name(size))


def wood_screw(diameter: float) -> WoodScrew:
    """Return the wood screw of this diameter in mm.

    Raises: TableError. Source: memory of DIN 7505; makes differ.
    """
    return WOOD_SCREWS.find(f"{diameter:g}")


def dowel(diameter: float) -> Dowel:
    """Return the dowel of this diameter in mm. Raises: TableError. Source: common practice."""
    return DOWELS.find(f"{diameter:g}")


def compression_spring(size: str) -> CompressionSpring:
    """Return a typical spring for a bolt of this size.

    Raises: TableError. Source: assumed, typical; enter your own.
    """
    return SPRINGS.find(size_name(size))
