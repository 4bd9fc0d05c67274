"""T-slots of machine tables, their nuts and their bolts, named by the width of the throat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from jigs.errors import TableError
from jigs.tables._load import Table


@dataclass(frozen=True)
class TSlot:
    """A T-slot in mm: throat (narrow, on top), recess (wide, below), depth of the whole slot.

    ->| throat |<-
    ───┐      ┌───   ─┬─
       │      │       │ neck
    ┌──┘      └──┐    │   ─┬─ depth
    │            │    │    │ recess depth
    └────────────┘   ─┴─  ─┴─
    ->|  recess  |<-
    """

    throat_width: float
    bolt: str
    recess_width_min: float
    recess_width_max: float
    recess_depth_min: float
    recess_depth_max: float
    depth_min: float
    depth_max: float
    throat_tolerance: float
    throat_tolerance_locating: float
    pitches: tuple[float, ...]
    source: str
    reliability: str

    @property
    def neck_min(self) -> float:
        """Least height of the throat above the recess, in mm."""
        return self.depth_min - self.recess_depth_max

    @property
    def neck_max(self) -> float:
        """Greatest height of the throat above the recess, in mm."""
        return self.depth_max - self.recess_depth_min


@dataclass(frozen=True)
class TSlotNut:
    """A T-slot nut in mm: foot (square, in the recess), height = foot and neck together."""

    throat_width: float
    thread: str
    foot_width: float
    foot_height: float
    height: float
    source: str
    reliability: str


@dataclass(frozen=True)
class TSlotBolt:
    """The square head of a T-slot bolt in mm; head_width and head_height are the largest.

    series = `metric` or `inch`: the thread's, and the slot's that it is made for.
    """

    throat_width: float
    thread: str
    series: str
    head_width: float
    head_width_min: float
    head_height: float
    head_height_min: float
    source: str
    reliability: str


T_SLOTS = Table("T-slots", TSlot, ("t_slots.csv",), lambda row: f"{row.throat_width:g}")
T_SLOT_NUTS = Table(
    "T-slot nuts", TSlotNut, ("t_slot_nuts.csv",), lambda row: f"{row.throat_width:g}"
)
T_SLOT_BOLTS = Table(
    "T-slot bolts",
    TSlotBolt,
    ("t_slot_bolts.csv", "t_slot_bolts_inch.csv"),
    lambda row: f"{row.throat_width:g}",
)


def t_slot(throat_width: float) -> TSlot:
    """Return the standard slot with this throat, in mm.

    Raises: TableError. Source: BS 2485, ISO 299.
    """
    return T_SLOTS.find(f"{throat_width:g}")


def t_slot_nut(throat_width: float) -> TSlotNut:
    """Return the nut for the slot with this throat, in mm.

    Raises: TableError. Source: DIN 508.
    """
    return T_SLOT_NUTS.find(f"{throat_width:g}")


def t_slot_bolt(throat_width: float) -> TSlotBolt:
    """Return the bolt head for the slot with this throat, in mm (an inch one: 9/32 in = 7.14375).

    Raises: TableError. Source: ASME B5.1M; DIN 787 heads are the same, its threads are thicker.
    """
    return T_SLOT_BOLTS.find(f"{throat_width:g}")


def t_slot_bolts(series: Literal["metric", "inch"]) -> tuple[TSlotBolt, ...]:
    """Return the bolts of a series, smallest first, to choose from for a slot that was measured.

    Raises: TableError for another series. Source: ASME B5.1M.
    """
    rows = tuple(row for row in T_SLOT_BOLTS.rows if row.series == series)
    if not rows:
        known = dict.fromkeys(row.series for row in T_SLOT_BOLTS.rows)
        raise TableError(f"{T_SLOT_BOLTS.name} by series", series, list(known))
    return tuple(sorted(rows, key=lambda row: row.throat_width))
