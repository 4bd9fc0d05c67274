"""All tables by name, for whoever wants to list them (documents, schema, tests)."""

from __future__ import annotations

from jigs.errors import TableError
from jigs.tables import (
    boards,
    bolts,
    cutting,
    friction,
    inserts_screws,
    lengths,
    metals,
    nuts_washers,
    plastics,
    rubber,
    t_slots,
    threads,
    woods,
)
from jigs.tables._load import Sourced, plain


def all_tables() -> dict[str, tuple[Sourced, ...]]:
    """Return every table: its name as errors show it -> its rows."""
    return {
        table.name: table.rows
        for table in (
            threads.THREADS,
            threads.PROPERTY_CLASSES,
            bolts.HEX_BOLTS,
            bolts.SOCKET_SCREWS,
            bolts.COACH_BOLTS,
            nuts_washers.HEX_NUTS,
            nuts_washers.WASHERS,
            nuts_washers.CLEARANCE_HOLES,
            lengths.LENGTHS,
            t_slots.T_SLOTS,
            t_slots.T_SLOT_NUTS,
            t_slots.T_SLOT_BOLTS,
            inserts_screws.WOOD_INSERTS,
            inserts_screws.WOOD_SCREWS,
            inserts_screws.DOWELS,
            inserts_screws.SPRINGS,
            woods.WOODS,
            boards.BOARDS,
            plastics.PLASTICS,
            metals.METALS,
            rubber.RUBBER_SHEAR,
            rubber.FILLED_RUBBERS,
            friction.FRICTION_PAIRS,
            cutting.CUTTING_FORCES,
        )
    }


def rows_of(table: str) -> tuple[Sourced, ...]:
    """Return the rows of one table by its name, for example `hex nuts`.

    Raises: TableError with the names of all tables.
    """
    tables = all_tables()
    for name, rows in tables.items():
        if plain(name) == plain(table):
            return rows
    raise TableError("the register of tables", table, list(tables))
