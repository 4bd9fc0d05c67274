"""What several kinds use: bought parts from the tables, and rounding as a maker rounds."""

from __future__ import annotations

import math

from jigs import tables
from jigs.errors import DesignError
from jigs.model.outline import Outline
from jigs.model.part import Bought, Cut, Does, Face, Part
from jigs.tables import CompressionSpring

ROUTED_CORNER = 3.0
"""mm; radius that a 6 mm cutter leaves in an inside corner."""

KEY_CHAMFER = 3.2
"""mm; clears such a corner: the chamfer's ends lie beyond the corner's radius (derived)."""

SLACK_OF_KEY = 0.2
"""mm; a key slides in its slot without shake. Common practice, no source."""


def up_to(value: float, step: float) -> float:
    """Round up to the next step, with a billionth of grace for summation noise."""
    return round(math.ceil(value / step - 1e-9) * step, 9)


def drilled(
    name: str, face: Face, x: float, y: float, diameter: float, depth: float | None = None,
    does: Does = Does.HOLE, meets: str = "",
) -> Cut:  # fmt: skip
    """A round hole, mm."""
    return Cut(name, face, Outline.circle(x, y, diameter), does, depth, meets)


def hex_nut(size: str, id: str = "nut") -> Part:
    """A plain hexagon nut, from z = 0 up."""
    row, thread = tables.hex_nut(size), tables.thread(size)
    return _bought(id, f"hex nut {size}", "hex nut", size, across_flats=row.across_flats,
                   height=row.height, diameter=thread.major_diameter)  # fmt: skip


def washer(size: str, series: str, id: str = "washer") -> Part:
    """A washer, from z = 0 up."""
    row = tables.washer(size, series)
    return _bought(
        id,
        f"washer {size}, {series}",
        "washer",
        f"{size} {series}",
        hole=row.hole_diameter,
        outer=row.outer_diameter,
        height=row.thickness,
    )


def coach_bolt(size: str, length: float, id: str) -> Part:
    """A coach bolt: domed head below z = 0, square neck and shank above."""
    row, thread = tables.coach_bolt(size), tables.thread(size)
    return _bought(id, f"coach bolt {size} × {length:g}", "coach bolt", f"{size} × {length:g}",
                   diameter=thread.major_diameter, length=length, head_diameter=row.head_diameter,
                   head_height=row.head_height, neck_width=row.neck_width,
                   neck_depth=row.neck_depth)  # fmt: skip


def hex_screw(size: str, length: float, id: str) -> Part:
    """A fully threaded hexagon screw: head below z = 0, shank above."""
    row, thread = tables.hex_bolt(size), tables.thread(size)
    return _bought(id, f"hex screw {size} × {length:g}, fully threaded", "hex screw",
                   f"{size} × {length:g}", diameter=thread.major_diameter, length=length,
                   across_flats=row.across_flats, head_height=row.head_height)  # fmt: skip


def spring_for(size: str) -> CompressionSpring:
    """The smallest spring that goes over a bolt of that size."""
    thick = tables.thread(size).major_diameter
    for row in tables.rows_of("springs"):
        if isinstance(row, CompressionSpring) and row.inner_diameter > thick:
            return row
    raise DesignError("spring", f"none in the table goes over a bolt of {thick:g} mm", "M8 or less")


def t_slot_bolt(size: str, length: float, head_width: float, head_height: float, id: str) -> Part:
    """A T-slot bolt: square head below z = 0, shank above."""
    thread = tables.thread(size)
    return _bought(id, f"T-slot bolt {size} × {length:g}", "T-slot bolt", f"{size} × {length:g}",
                   diameter=thread.major_diameter, length=length, head_width=head_width,
                   head_height=head_height)  # fmt: skip


def wood_insert(size: str, id: str = "insert") -> Part:
    """A threaded insert for wood, from z = 0 up."""
    row, thread = tables.wood_insert(size), tables.thread(size)
    return _bought(id, f"threaded insert {size}", "insert", size, outer=row.hole_diameter,
                   diameter=thread.major_diameter, length=row.length)  # fmt: skip


def wood_screw(diameter: float, length: float, id: str) -> Part:
    """A countersunk wood screw, drawn with its core: head's face at z = 0, tip above."""
    row = tables.wood_screw(diameter)
    return _bought(id, f"wood screw {diameter:g} × {length:g}", "wood screw",
                   f"{diameter:g} × {length:g}", diameter=diameter, length=length,
                   head_diameter=row.head_diameter, core=row.pilot_hole)  # fmt: skip


def dowel_rod(diameter: float, length: float, id: str) -> Part:
    """A length of dowel rod, from z = 0 up."""
    return Part(id, f"dowel {diameter:g} × {length:g}",
                Bought("dowel", f"{diameter:g} × {length:g}", "beech",
                       (("diameter", diameter), ("length", length))))  # fmt: skip


def _bought(id: str, title: str, family: str, designation: str, **dims: float) -> Part:
    return Part(id, title, Bought(family, designation, "steel", tuple(dims.items())))
