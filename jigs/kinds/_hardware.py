"""Bought parts from the tables, and the lengths and sizes of them that can be had.

A shelf says what the user has: rows of (family, size, lengths in mm). A family that it does not
name is bought as sold.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from jigs import tables
from jigs.errors import DesignError, TableError
from jigs.model.part import Bought, Part
from jigs.tables import CompressionSpring
from jigs.units import Units, format_length

Shelf = tuple[tuple[str, str, tuple[float, ...]], ...]
"""Rows of (family, size, lengths in mm); what comes in one length only has no lengths."""

CUT_TO_LENGTH = "threaded rod"
CUT_STEP = 5.0
"""mm; rod is cut to whole steps. Common practice, no source."""

GRACE = 1e-6
"""mm; a length that misses by less than this is that length: summation noise, inch fractions."""


def hex_nut(size: str, id: str = "nut") -> Part:
    """A plain hexagon nut, from z = 0 up."""
    row = tables.hex_nut(size)
    return _bought(id, f"hex nut {size}", "hex nut", size, across_flats=row.across_flats,
                   height=row.height, diameter=_thick(size))  # fmt: skip


def t_slot_nut(throat: float, id: str = "t_slot_nut") -> Part:
    """A nut for the slot with this throat, mm: foot from z = 0 up, neck above."""
    row = tables.t_slot_nut(throat)
    return _bought(id, f"T-slot nut {row.thread} for a slot of {throat:g}", "T-slot nut",
                   f"{row.thread} × {throat:g}", throat=row.throat_width,
                   foot_width=row.foot_width, foot_height=row.foot_height, height=row.height,
                   diameter=_thick(row.thread))  # fmt: skip


def washer(size: str, series: str, id: str = "washer") -> Part:
    """A washer, from z = 0 up."""
    row = tables.washer(size, series)
    return _bought(id, f"washer {size}, {series}", "washer", f"{size} {series}",
                   hole=row.hole_diameter, outer=row.outer_diameter,
                   height=row.thickness)  # fmt: skip


def coach_bolt(size: str, length: float, id: str) -> Part:
    """A coach bolt: domed head below z = 0, square neck and shank above."""
    row, name = tables.coach_bolt(size), _sized(size, length)
    return _bought(id, f"coach bolt {name}", "coach bolt", name, diameter=_thick(size),
                   length=length, head_diameter=row.head_diameter, head_height=row.head_height,
                   neck_width=row.neck_width, neck_depth=row.neck_depth)  # fmt: skip


def hex_bolt(size: str, length: float, id: str) -> Part:
    """A hexagon bolt, threaded in part: head below z = 0, shank above."""
    row, name = tables.hex_bolt(size), _sized(size, length)
    return _bought(id, f"hex bolt {name}, part thread", "hex bolt", name, diameter=_thick(size),
                   length=length, across_flats=row.across_flats, head_height=row.head_height,
                   thread_length=row.thread_length(length))  # fmt: skip


def hex_screw(size: str, length: float, id: str) -> Part:
    """A fully threaded hexagon screw: head below z = 0, shank above."""
    row, name = tables.hex_bolt(size), _sized(size, length)
    return _bought(id, f"hex screw {name}, fully threaded", "hex screw", name,
                   diameter=_thick(size), length=length, across_flats=row.across_flats,
                   head_height=row.head_height)  # fmt: skip


def socket_screw(size: str, length: float, id: str) -> Part:
    """A socket head cap screw: plain head with its socket below z = 0, shank above."""
    row, name = tables.socket_screw(size), _sized(size, length)
    return _bought(id, f"socket screw {name}", "socket screw", name, diameter=_thick(size),
                   length=length, head_diameter=row.head_diameter, head_height=row.head_height,
                   socket_size=row.socket_size, socket_depth=row.socket_depth,
                   thread_length=row.thread_length(length))  # fmt: skip


def t_slot_bolt(size: str, length: float, head_width: float, head_height: float, id: str) -> Part:
    """A T-slot bolt: square head below z = 0, shank above."""
    name = _sized(size, length)
    return _bought(id, f"T-slot bolt {name}", "T-slot bolt", name, diameter=_thick(size),
                   length=length, head_width=head_width, head_height=head_height)  # fmt: skip


def threaded_rod(size: str, length: float, id: str) -> Part:
    """A piece of threaded rod cut to length, from z = 0 up."""
    name = _sized(size, length)
    return _bought(id, f"threaded rod {name}, cut to length", "threaded rod", name,
                   diameter=_thick(size), length=length)  # fmt: skip


def wood_insert(size: str, id: str = "insert") -> Part:
    """A threaded insert for wood, drawn as thick as its hole, from z = 0 up."""
    row = tables.wood_insert(size)
    return _bought(id, f"threaded insert {size}", "insert", size, outer=row.hole_diameter,
                   diameter=_thick(size), length=row.length)  # fmt: skip


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


def spring_for(size: str) -> CompressionSpring:
    """The smallest spring that goes over a bolt of that size."""
    thick = _thick(size)
    for row in tables.rows_of("springs"):
        if isinstance(row, CompressionSpring) and row.inner_diameter > thick:
            return row
    raise DesignError("spring", f"none in the table goes over a bolt of {thick:g} mm", "M8 or less")


def length_for(shelf: Shelf, family: str, size: str, at_least: float) -> float:
    """Return the shortest length that can be had and is not below at_least, mm.

    Parameters: shelf = what the user has; family and size as in `tables.sold_lengths`. Lengths
    come from the shelf if it names the family, else from what is sold. Threaded rod is cut: its
    length is at_least, rounded up to whole 5 mm, from a bar that is long enough.
    Raises: DesignError with what there is and the length that would do; TableError for a family
    that neither the shelf nor the tables know.
    """
    shelved = _is_on(shelf, family)
    there_is = _lengths_on(shelf, family, size) if shelved else _sold(family, size)
    enough = [length for length in there_is if length >= at_least - GRACE]
    if not enough:
        raise _too_short(family, size, at_least, shelved, there_is)
    if _plain(family) == CUT_TO_LENGTH:
        return min(math.ceil((at_least - GRACE) / CUT_STEP) * CUT_STEP, max(enough))
    return min(enough)


def sizes_on(shelf: Shelf, family: str, sizes: Sequence[str]) -> tuple[str, ...]:
    """Return those of the sizes that can be had, in their order.

    All of them if the shelf does not name the family.
    """
    if not _is_on(shelf, family):
        return tuple(sizes)
    there = {_same_size(row[1]) for row in shelf if _plain(row[0]) == _plain(family)}
    return tuple(size for size in sizes if _same_size(size) in there)


def _too_short(
    family: str, size: str, at_least: float, shelved: bool, there_is: Sequence[float]
) -> DesignError:
    if shelved:
        there = f"on the shelf: {_listed(size, there_is)}" if there_is else "none is on the shelf"
    elif there_is:
        there = f"the longest sold is {_shown(size, max(there_is))}"
    else:
        there = f"it is not sold; sizes sold: {', '.join(tables.sold_sizes(family))}"
    reason = f"{_shown(size, at_least)} or longer is needed; {there}"
    return DesignError(f"{family} {size}", reason, _remedy(family, size, at_least, shelved))


def _remedy(family: str, size: str, at_least: float, shelved: bool) -> str:
    sold = _sold(family, size) if _is_sold(family) else ()
    would_do = [length for length in sold if length >= at_least - GRACE]
    if would_do:
        what = f"a {family} {size} of {_shown(size, min(would_do))} (sold)"
        return f"{what} on the shelf, or the family left off the shelf"
    own = f"what you can get of {family} {size} on the shelf, {_shown(size, at_least)} or longer"
    return f"{'less to go through' if sold else 'another size'}, or {own}"


def _sold(family: str, size: str) -> tuple[float, ...]:
    """Lengths sold; none for a size that is not. Raises TableError for an unknown family."""
    sizes = {_same_size(known) for known in tables.sold_sizes(family)}
    return tables.sold_lengths(family, size) if _same_size(size) in sizes else ()


def _is_sold(family: str) -> bool:
    try:
        return bool(tables.sold_sizes(family))
    except TableError:
        return False


def _is_on(shelf: Shelf, family: str) -> bool:
    return any(_plain(row[0]) == _plain(family) for row in shelf)


def _lengths_on(shelf: Shelf, family: str, size: str) -> tuple[float, ...]:
    """Lengths of this family and size, shortest first, also if they stand in several rows."""
    return tuple(sorted({
        length
        for row_family, row_size, lengths in shelf
        if _plain(row_family) == _plain(family) and _same_size(row_size) == _same_size(size)
        for length in lengths
    }))  # fmt: skip


def _plain(family: str) -> str:
    return " ".join(family.lower().split())


def _same_size(size: str) -> str:
    """The plain name of a size; a thread with another pitch stays what it is, and matches none."""
    try:
        return tables.size_name(size).strip().upper()
    except TableError:
        return size.strip().upper()


def _listed(size: str, lengths: Iterable[float]) -> str:
    """Lengths with their unit once: `30, 40 mm`."""
    unit = " in" if _is_inch(size) else " mm"
    return ", ".join(_shown(size, length).removesuffix(unit) for length in lengths) + unit


def _shown(size: str, length: float) -> str:
    return format_length(length, Units.INCH) if _is_inch(size) else f"{round(length, 2):g} mm"


def _sized(size: str, length: float) -> str:
    """Size and length as on the packet: `M8 × 60`, `1/4 × 2 in`."""
    return f"{size} × {format_length(length, Units.INCH) if _is_inch(size) else f'{length:g}'}"


def _is_inch(size: str) -> bool:
    return "/" in size


def _thick(size: str) -> float:
    return tables.thread(size).major_diameter


def _bought(id: str, title: str, family: str, designation: str, **dims: float) -> Part:
    return Part(id, title, Bought(family, designation, "steel", tuple(dims.items())))
