"""Tables of standards and materials. A name is loaded when it is first used.

    from jigs.tables import clearance_hole, next_length, thread

Every row is a frozen dataclass in mm, N and MPa with `source` and `reliability`; a failed look-up
raises `jigs.errors.TableError` with what there is.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jigs.tables.boards import Board, board
    from jigs.tables.bolts import (
        CoachBolt,
        HexBolt,
        SocketScrew,
        coach_bolt,
        hex_bolt,
        socket_screw,
    )
    from jigs.tables.cutting import CuttingForce, cutting_force
    from jigs.tables.friction import FrictionPair, friction_pair
    from jigs.tables.inserts_screws import (
        CompressionSpring,
        Dowel,
        WoodInsert,
        WoodScrew,
        compression_spring,
        dowel,
        wood_insert,
        wood_screw,
    )
    from jigs.tables.lengths import SoldLengths, next_length, sold_lengths, sold_sizes
    from jigs.tables.metals import Metal, metal
    from jigs.tables.nuts_washers import (
        ClearanceHole,
        HexNut,
        Washer,
        clearance_hole,
        hex_nut,
        washer,
    )
    from jigs.tables.plastics import Plastic, plastic
    from jigs.tables.register import all_tables, rows_of
    from jigs.tables.rubber import FilledRubber, RubberShear, filled_rubber, rubber_shear
    from jigs.tables.t_slots import (
        TSlot,
        TSlotBolt,
        TSlotNut,
        t_slot,
        t_slot_bolt,
        t_slot_bolts,
        t_slot_nut,
    )
    from jigs.tables.threads import (
        PropertyClass,
        Thread,
        designation,
        proof_load,
        property_class,
        size_name,
        thread,
    )
    from jigs.tables.woods import Wood, wood

_HOME = {
    "boards": ("Board", "board"),
    "bolts": (
        "CoachBolt",
        "HexBolt",
        "SocketScrew",
        "coach_bolt",
        "hex_bolt",
        "socket_screw",
    ),
    "cutting": ("CuttingForce", "cutting_force"),
    "friction": ("FrictionPair", "friction_pair"),
    "inserts_screws": (
        "CompressionSpring",
        "Dowel",
        "WoodInsert",
        "WoodScrew",
        "compression_spring",
        "dowel",
        "wood_insert",
        "wood_screw",
    ),
    "lengths": ("SoldLengths", "next_length", "sold_lengths", "sold_sizes"),
    "metals": ("Metal", "metal"),
    "nuts_washers": (
        "ClearanceHole",
        "HexNut",
        "Washer",
        "clearance_hole",
        "hex_nut",
        "washer",
    ),
    "plastics": ("Plastic", "plastic"),
    "register": ("all_tables", "rows_of"),
    "rubber": ("FilledRubber", "RubberShear", "filled_rubber", "rubber_shear"),
    "t_slots": (
        "TSlot",
        "TSlotBolt",
        "TSlotNut",
        "t_slot",
        "t_slot_bolt",
        "t_slot_bolts",
        "t_slot_nut",
    ),
    "threads": (
        "PropertyClass",
        "Thread",
        "designation",
        "proof_load",
        "property_class",
        "size_name",
        "thread",
    ),
    "woods": ("Wood", "wood"),
}
_MODULE_OF = {name: module for module, names in _HOME.items() for name in names}

__all__ = [
    "Board",
    "ClearanceHole",
    "CoachBolt",
    "CompressionSpring",
    "CuttingForce",
    "Dowel",
    "FilledRubber",
    "FrictionPair",
    "HexBolt",
    "HexNut",
    "Metal",
    "Plastic",
    "PropertyClass",
    "RubberShear",
    "SocketScrew",
    "SoldLengths",
    "TSlot",
    "TSlotBolt",
    "TSlotNut",
    "Thread",
    "Washer",
    "Wood",
    "WoodInsert",
    "WoodScrew",
    "all_tables",
    "board",
    "clearance_hole",
    "coach_bolt",
    "compression_spring",
    "cutting_force",
    "designation",
    "dowel",
    "filled_rubber",
    "friction_pair",
    "hex_bolt",
    "hex_nut",
    "metal",
    "next_length",
    "plastic",
    "proof_load",
    "property_class",
    "rows_of",
    "rubber_shear",
    "size_name",
    "socket_screw",
    "sold_lengths",
    "sold_sizes",
    "t_slot",
    "t_slot_bolt",
    "t_slot_bolts",
    "t_slot_nut",
    "thread",
    "washer",
    "wood",
    "wood_insert",
    "wood_screw",
]


def __getattr__(name: str) -> object:
    if name not in _MODULE_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULE_OF[name]}"), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *_MODULE_OF})
