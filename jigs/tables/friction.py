"""Friction between two materials: a middle value and a band, because it is never one number."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.errors import TableError
from jigs.tables._load import Table, plain


@dataclass(frozen=True)
class FrictionPair:
    """Static friction of a pair. Use low for what must hold and high for what must slide."""

    one: str
    other: str
    state: str
    coefficient: float
    low: float
    high: float
    source: str
    reliability: str


FRICTION_PAIRS = Table(
    "friction pairs",
    FrictionPair,
    ("friction.csv",),
    lambda row: f"{row.one} on {row.other} ({row.state})",
)


def friction_pair(one: str, other: str, state: str = "dry") -> FrictionPair:
    """Return the friction of two materials, in either order.

    Parameters: materials `wood`, `board`, `rubber`, `steel`, `aluminium`, `cast iron`,
    `printed plastic`; state `dry`, `waxed`, `lubricated`.
    Raises: TableError. Source: see each row; try a real pair by tilting it.
    """
    wanted = {plain(one), plain(other)}
    for row in FRICTION_PAIRS.rows:
        if {plain(row.one), plain(row.other)} == wanted and plain(row.state) == plain(state):
            return row
    raise TableError(FRICTION_PAIRS.name, f"{one} on {other} ({state})", FRICTION_PAIRS.keys)
