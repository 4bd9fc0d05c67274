"""Sizing rules of how the back board hangs on the front face: slots, threaded holes, or a board.

All three are put in the same words: fastenings at four corners, left and right of the axis
(`hang_x`), in an upper and a lower row (`hang_z`). Slots along x list the rows, a grid lists rows
and columns, a board lists nothing.
"""

from __future__ import annotations

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._anchoring import Slot, SlotHold, slot_hold
from jigs.kinds._common import SLACK_OF_KEY, up_to
from jigs.kinds._hardware import Shelf, length_for, sizes_on
from jigs.kinds.split_ring.sizing import COMMON, end_beyond_grip, rule
from jigs.model.number import Standing

__all__ = [
    "BITE_IN_WOOD", "BOLTS", "DOWEL", "EDGE", "NUTS", "SCREWS", "WOOD_SCREWS", "border",
    "least_reach", "rule",
]  # fmt: skip

BOLTS = "T-slot bolts"
NUTS = "T-slot nuts and rod"
SCREWS = "hex screws"
WOOD_SCREWS = "wood screws"

BITE = 1.5
"""Diameters of thread that a screw engages in a front face of metal. Common practice, no source."""

BITE_IN_WOOD = 2.0
"""Diameters of thread that a wood screw bites. Common practice, no source."""

DOWEL = 8.0
"""mm, of the two dowels that bring the board back. Common practice, no source."""

EDGE = 15.0
"""mm from a fastening's middle to the nearest edge of board or face. Common practice, no source."""

LEAST_BEARING = 16.0
"""mm across: room for a driver and wood round a screw's head. Common practice, no source."""

_T_SLOT_THREADS = ("M6", "M8", "M10", "M12", "1/4", "5/16", "3/8", "1/2")
"""Larger bolts are no use on a board of sheet."""

_NUT_THREADS = ("M4", "M5", "M6", "M8", "M10", "M12")

_COUNTERSUNK = (5.0, 4.5, 4.0, 3.5)


@rule(unit="", source="what the front face offers; T-slot nuts where no T-slot bolt goes in",
      settable=False)  # fmt: skip
def hang_by(
    front_slot_profile: tuple[float, ...],
    front_hole_thread: str, hardware: str, shelf: Shelf,
) -> str:  # fmt: skip
    """What holds the back board to the front face."""
    if front_slot_profile:
        hold = _hold(hardware, shelf, front_slot_profile)
        return BOLTS if hold.by == "T-slot bolt" else NUTS
    return SCREWS if front_hole_thread else WOOD_SCREWS


@rule(source="the largest that the slot takes: ASME B5.1M (bolts), DIN 508 (nuts)",
      standing=Standing.TABLE)  # fmt: skip
def hang_throat(
    front_slot_profile: tuple[float, ...], hardware: str,
    shelf: Shelf,
) -> float:  # fmt: skip
    """Throat that the T-slot bolts or nuts are made for; 0 without slots."""
    if not front_slot_profile:
        return 0.0
    return _hold(hardware, shelf, front_slot_profile).throat


@rule(source="ASME B5.1M, DIN 508", standing=Standing.TABLE)
def hang_head_width(
    front_slot_profile: tuple[float, ...], hardware: str,
    shelf: Shelf,
) -> float:  # fmt: skip
    """Width of the T-slot bolts' heads or of the nuts' feet; 0 without slots."""
    if not front_slot_profile:
        return 0.0
    return _hold(hardware, shelf, front_slot_profile).head_width


@rule(source="ASME B5.1M, DIN 508", standing=Standing.TABLE)
def hang_head_height(
    front_slot_profile: tuple[float, ...], hardware: str,
    shelf: Shelf,
) -> float:  # fmt: skip
    """Height of the T-slot bolts' heads or of the nuts' feet; 0 without slots."""
    if not front_slot_profile:
        return 0.0
    return _hold(hardware, shelf, front_slot_profile).head_height


@rule(unit="", source="ASME B5.1M, DIN 508; the holes' thread; the thickest wood screw that bites "
      "two diameters", standing=Standing.TABLE)  # fmt: skip
def hang_size(
    front_slot_profile: tuple[float, ...],
    front_hole_thread: str, front_board_depth: float, sheet_least: float, sheet_most: float,
    hardware: str, shelf: Shelf,
) -> str:  # fmt: skip
    """Size of what the back board hangs on: a thread, or a wood screw's diameter."""
    if front_slot_profile:
        return _hold(hardware, shelf, front_slot_profile).size
    if front_hole_thread:
        return tables.size_name(front_hole_thread)
    for diameter in _COUNTERSUNK:
        bites = _longest_in(diameter, sheet_least, front_board_depth) - sheet_most
        if bites >= BITE_IN_WOOD * diameter:
            return f"{diameter:g}"
    raise DesignError(
        "hang_size",
        f"no wood screw goes through a sheet of {sheet_most:g} mm and bites two diameters into a "
        f"board that allows {front_board_depth:g} mm, less 2 mm",
        "a thicker board on the front face, or a thinner sheet for the back board",
    )


@rule(source="ISO 7093 (large washers), or wide inch washers; a wood screw's head",
      standing=Standing.TABLE)  # fmt: skip
def hang_washer(hang_size: str, hang_by: str) -> float:
    """Outer diameter of what bears on the back board: washers, or the wood screws' heads."""
    if hang_by == WOOD_SCREWS:
        return tables.wood_screw(float(hang_size)).head_diameter
    return tables.washer(hang_size, "large").outer_diameter


@rule(
    standing=Standing.ASSUMED, source="assumed: two and a half diameters of thread; measure yours"
)
def thread_depth(front_hole_thread: str) -> float:
    """How deep a screw may go into the front face's threaded holes; 0 without holes."""
    return 2.5 * tables.thread(front_hole_thread).major_diameter if front_hole_thread else 0.0


@rule(source="grip, washer, nut, two threads; 1.5 diameters of thread; the board's depth less "
      "2 mm; next length to be had", standing=Standing.TABLE)  # fmt: skip
def hang_length(
    hang_by: str, hang_size: str, hang_head_height: float, front_slot_lip: float,
    front_board_depth: float, thread_depth: float, sheet_least: float, sheet_most: float,
    shelf: Shelf,
) -> float:  # fmt: skip
    """Length of the bolts, rods or screws; none can reach the floor of its slot or hole."""
    if hang_by == WOOD_SCREWS:
        return _longest_in(float(hang_size), sheet_least, front_board_depth)
    if hang_by == SCREWS:
        under = sheet_most + tables.washer(hang_size, "large").thickness
        return length_for(
            shelf, "hex screw", hang_size, under + least_reach(hang_size, thread_depth)
        )
    need = front_slot_lip + sheet_most + end_beyond_grip(hang_size)
    if hang_by == NUTS:
        # Flush with the nut's lower face: a rod that goes on would jack nut against slot floor.
        return length_for(shelf, "threaded rod", hang_size, need + hang_head_height)
    return length_for(shelf, "T-slot bolt", hang_size, need)


@rule(source="derived: from the axis, beside the fixed half and its washers")
def hang_clear(fixed_width: float, hang_washer: float) -> float:
    """Least distance from the axis to the fastenings."""
    return fixed_width / 2 + border(hang_washer)


@rule(source="derived: midway between two columns of the grid, nearest to the table's middle")
def hang_axis(
    front_hole_columns: tuple[float, ...], hang_clear: float, table_width: float
) -> float:
    """Where the grid of the front face puts the piece's axis; the table's middle without a grid."""
    if not front_hole_columns:
        return table_width / 2
    left, right = _columns(front_hole_columns, hang_clear, table_width)
    return (left + right) / 2


@rule(source="derived: beside the fixed half; on a grid, the next columns about the axis")
def hang_x(
    front_hole_columns: tuple[float, ...], hang_clear: float, table_width: float, axis_x: float
) -> float:
    """From the axis to the fastenings."""
    if not front_hole_columns:
        return hang_clear
    about = [
        (right - left) / 2
        for left in front_hole_columns
        for right in front_hole_columns
        if abs((left + right) / 2 - axis_x) < 0.05 and right - left >= 2 * hang_clear - 1e-9
    ]
    left, right = _columns(front_hole_columns, hang_clear, table_width)
    return min(about, default=(right - left) / 2)


@rule(source="the first row, and the one nearest to the shelf, that the board covers")
def hang_z(
    front_slots_at: tuple[float, ...], front_slots_along: str, front_hole_rows: tuple[float, ...],
    front_top: float, front_bottom: float, end_height: float, shelf_top: float,
    shelf_thickness: float, ring_drop: float,
) -> tuple[float, ...]:  # fmt: skip
    """Upper and lower row of the fastenings, in the machine frame."""
    if front_slots_along == "y":
        raise DesignError(
            "hang_z",
            "the slots of the front face stand upright",
            "a front face with slots along x, with threaded holes, or a board",
        )
    top, shelf_low = -ring_drop - EDGE, shelf_top + end_height - shelf_thickness
    rows = front_slots_at or front_hole_rows
    if not rows:
        upper = min(top, front_top - EDGE)
        return (upper, min(upper, max(shelf_low, front_bottom + EDGE)))
    there = sorted(z for z in rows if front_bottom <= z <= min(top, front_top))
    if len(there) < 2:
        of = "front slots" if front_slots_at else "rows of holes"
        raise DesignError(
            "hang_z",
            f"only {len(there)} of the {of} at {', '.join(f'{z:g}' for z in rows)} lie behind "
            f"the back board, which reaches from {top + EDGE:.0f} to {front_bottom:.0f} at most",
            f"two {'slots' if front_slots_at else 'rows'} between {front_bottom:.0f} and {top:.0f}",
        )
    # A board that goes far below its shelf only for a row is the last resort.
    near = [z for z in there if z >= shelf_low - 80]
    covered = near if len(near) >= 2 else there
    return (covered[-1], min(covered[:-1], key=lambda z: abs(z - shelf_low)))


@rule(source=COMMON)
def board_key_width(front_slot_mouth: float) -> float:
    """Width of the key behind the back board, in the upper slot; 0 without slots."""
    return max(0.0, front_slot_mouth - SLACK_OF_KEY)


@rule(source=COMMON)
def board_key_reach(front_slot_lip: float) -> float:
    """How far that key stands into the slot's mouth, clear of the wide part."""
    return max(0.0, min(6.0, front_slot_lip - 2))


@rule(source=COMMON)
def stop_width(hang_washer: float, front_slot_mouth: float) -> float:
    """Width of the stop block that stays in the upper slot, left of the board: it fixes X."""
    return up_to(hang_washer + 16, 5) if front_slot_mouth > 0 else 0.0


@rule(source="common practice, no source: 15 mm, or the board's depth less 2 mm")
def dowel_reach(front_board_depth: float) -> float:
    """How deep the two dowels that bring the board back go into the face; 0 without a board."""
    return max(0.0, min(15.0, front_board_depth - 2))


def border(washer: float) -> float:
    """From a fastening to the edge of the board or to the fixed half: its washer and 3 mm."""
    return up_to(max(washer, LEAST_BEARING) / 2 + 3, 1)


def least_reach(size: str, depth: float) -> float:
    """Thread that a screw must engage, mm: 1.5 diameters, or as deep as the hole allows."""
    return min(BITE * tables.thread(size).major_diameter, depth)


def _hold(hardware: str, shelf: Shelf, profile: tuple[float, ...]) -> SlotHold:
    slot = Slot(*profile)
    try:
        bolts = sizes_on(shelf, "T-slot bolt", _T_SLOT_THREADS)
        return slot_hold(hardware, slot, bolts, sizes_on(shelf, "threaded rod", _NUT_THREADS))
    except DesignError as error:
        raise DesignError("hang_by", error.reason, error.remedy) from error


def _longest_in(diameter: float, sheet_least: float, depth: float) -> float:
    """The longest wood screw of a diameter that stays 2 mm within the board; 0 if there is none."""
    sold = tables.wood_screw(diameter).lengths
    return max((at for at in sold if at <= sheet_least + depth - 2 + 1e-9), default=0.0)


def _columns(columns: tuple[float, ...], clear: float, table_width: float) -> tuple[float, float]:
    """The nearest pair of columns that lets the ring in between, nearest to the table's middle."""
    pairs = [
        (left, right) for left in columns for right in columns if right - left >= 2 * clear - 1e-9
    ]
    if not pairs:
        raise DesignError(
            "hang_x",
            f"the columns of holes reach from {columns[0]:g} to {columns[-1]:g}, and the ring "
            f"needs two that are {2 * clear:.0f} mm apart",
            f"a grid that is {2 * clear:.0f} mm wide or more",
        )
    return min(
        pairs, key=lambda p: (round(p[1] - p[0], 6), abs((p[0] + p[1]) / 2 - table_width / 2), p[0])
    )
