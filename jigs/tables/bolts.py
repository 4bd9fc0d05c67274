"""Hexagon bolts and screws, socket screws, coach bolts: heads and thread lengths."""

from __future__ import annotations

import math
from dataclasses import dataclass

from jigs.tables._load import Table
from jigs.tables.threads import size_name, thread
from jigs.units import MM_PER_INCH

SHORT_UP_TO = 125.0
MIDDLE_UP_TO = 200.0
"""mm: ISO 4014 and DIN 603 print b up to 125, above 125 to 200 and above 200."""

SHORT_INCH_UP_TO = 6 * MM_PER_INCH
"""mm (6 in): ASME B18.2.1 and B18.5."""


@dataclass(frozen=True)
class HexBolt:
    """A hexagon head. Lengths in mm. across_flats_old = stock to DIN 931/933, still sold."""

    size: str
    across_flats: float
    across_flats_old: float
    head_height: float
    head_height_max: float
    thread_length_short: float
    thread_length_middle: float
    thread_length_long: float
    source: str
    reliability: str

    @property
    def widest_corners(self) -> float:
        """Across the sharp corners of the older, wider head, in mm (flats x 2/sqrt 3)."""
        return self.across_flats_old * 2 / math.sqrt(3)

    def thread_length(self, length: float) -> float:
        """Return the threaded length of a part-thread bolt of this length, in mm.

        A bolt not longer than that is threaded to the head. Source: ISO 4014, ASME B18.2.1.
        """
        return min(length, _thread_length(self, length))


@dataclass(frozen=True)
class CoachBolt:
    """A round head with a square neck. Lengths in mm, nominal; the _max are the upper limits."""

    size: str
    head_diameter: float
    head_diameter_max: float
    head_height: float
    head_height_max: float
    neck_width: float
    neck_width_max: float
    neck_depth: float
    neck_depth_max: float
    thread_length_short: float
    thread_length_middle: float
    thread_length_long: float
    source: str
    reliability: str

    def thread_length(self, length: float) -> float:
        """Return the threaded length of a bolt of this length (under the head), in mm.

        A short bolt is threaded up to its neck. Source: DIN 603, ASME B18.5.
        """
        return min(max(length - self.neck_depth, 0.0), _thread_length(self, length))


@dataclass(frozen=True)
class SocketScrew:
    """A cylindrical head with a hexagon socket. Lengths in mm; head sizes are the largest.

    head_diameter is of a plain head, head_diameter_knurled of a knurled one (the larger).
    """

    size: str
    head_diameter: float
    head_diameter_knurled: float
    head_height: float
    socket_size: float
    socket_depth: float
    thread_length_basic: float
    source: str
    reliability: str

    def thread_length(self, length: float) -> float:
        """Return the threaded length of a screw of this length (under the head), in mm.

        A screw not longer than that is threaded to the head. Source: ISO 4762, ASME B18.3.
        """
        return min(length, self.thread_length_basic)


HEX_BOLTS = Table("hex bolts", HexBolt, ("hex_bolts.csv", "hex_bolts_inch.csv"), lambda r: r.size)
COACH_BOLTS = Table(
    "coach bolts", CoachBolt, ("coach_bolts.csv", "coach_bolts_inch.csv"), lambda r: r.size
)

SOCKET_SCREWS = Table(
    "socket screws", SocketScrew, ("socket_screws.csv", "socket_screws_inch.csv"), lambda r: r.size
)


def hex_bolt(size: str) -> HexBolt:
    """Return the hexagon bolt (ISO 4014) or screw (ISO 4017; inch: ASME B18.2.1) of a size.

    Raises: TableError.
    """
    return HEX_BOLTS.find(size_name(size))


def coach_bolt(size: str) -> CoachBolt:
    """Return the coach bolt of a size: DIN 603 / ISO 8677, inch ASME B18.5.

    Raises: TableError.
    """
    return COACH_BOLTS.find(size_name(size))


def socket_screw(size: str) -> SocketScrew:
    """Return the socket head cap screw of a size: ISO 4762, inch ASME B18.3.

    Raises: TableError.
    """
    return SOCKET_SCREWS.find(size_name(size))


def _thread_length(row: HexBolt | CoachBolt, length: float) -> float:
    inch = thread(row.size).is_inch
    if length <= (SHORT_INCH_UP_TO if inch else SHORT_UP_TO):
        return row.thread_length_short
    return row.thread_length_middle if length <= MIDDLE_UP_TO else row.thread_length_long
