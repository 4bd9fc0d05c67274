"""What the checks of strength share between kinds: factors, what a hand tightens, what things bear.

The rules stay with each kind, since their numbers mean different bolts; the figures and formulas
behind them stand here once.
"""

from __future__ import annotations

from typing import Any

from jigs import tables
from jigs.errors import DesignError, TableError
from jigs.mechanics import bolt, hand
from jigs.model.grip import ON_THE_CUT
from jigs.model.number import Book

ON_STRENGTH = 1.5
"""Factor on whatever may break. VDI 3106 style."""

BY_FEEL = 0.3
"""How far a torque set by feel is off, either way, as a share. Assumed."""

DRY, LUBRICATED = 0.30, 0.18
"""Nut factors K of the loosest and of the tightest bolt. Shigley, Table 8-15."""

TIGHTENED = ("torque_by_feel", "nut_factor_loose", "nut_factor_tight")
"""Numbers behind every pull that a hand gives to a nut or knob."""

SPANNER = 13.0
"""N mm for each mm3 of d^3: a short spanner with one hand, 6.7 N m at M8. Assumed."""

GRAVITY_PER_MM3 = hand.STANDARD_GRAVITY / 1e9
"""N for a mm3 at 1 kg/m3."""


def refuse(name: str, value: float, remedy: str) -> float:
    """Return the value if it is above 0, else raise DesignError."""
    if not value > 0:
        raise DesignError(name, f"{name} must be above 0, not {value:g}", remedy)
    return value


def above_zero(like: float, **values: float) -> None:
    """Refuse a friction, force or strength that is not above 0. Raises DesignError."""
    for name, value in values.items():
        refuse(name, value, f"{name}: {like:g}, or leave it out")


# How a hand tightens


def pull_from(torque: float, feel: float, nut_factor: float, size: str, end: int) -> float:
    """Pull of a bolt at the loose (-1) or tight (+1) end of a torque by feel, N: T / (K d).

    Parameters: torque [N mm], feel = its scatter as a share, size of the thread. Raises
    DesignError. Source: Shigley 8-27.
    """
    if not 0 <= feel < 1:
        raise DesignError("torque_by_feel", f"torque_by_feel is a share, not {feel:g}",
                          f"torque_by_feel: {BY_FEEL:g}")  # fmt: skip
    diameter = tables.thread(size).major_diameter
    return bolt.preload_from_torque((1 + end * feel) * torque, nut_factor, diameter)


def torque_up_to(most: float, feel: float, nut_factor: float, size: str) -> float:
    """Torque by feel whose tightest bolt pulls no more than `most` N, N mm."""
    above_zero(LUBRICATED, nut_factor_tight=nut_factor)
    diameter = tables.thread(size).major_diameter
    return bolt.torque_for_preload(most, nut_factor, diameter) / (1 + feel)


def weakest_class(hardware: str) -> str:
    """Property class of bolts of that series of which nothing is known: the weakest sold.

    Source: ISO 898-1, SAE J429.
    """
    return "4.6" if hardware == "metric" else "grade 2"


# What things bear


def metal_unknown() -> float:
    """Yield strength of a table or face of a metal that is not known, MPa: the lower of two."""
    return min(tables.metal(name).yield_strength for name in ("aluminium", "cast iron"))


def board_unknown() -> float:
    """Shear strength round an insert of a board that is not known, MPa: rolling shear, weakest."""
    boards = [row for row in tables.rows_of("boards") if isinstance(row, tables.Board)]
    return min(row.rolling_shear for row in boards)


def of_board(material: str, *fields: str) -> float:
    """The least of those fields of a board; of all boards where the table does not know it."""
    try:
        rows = [tables.board(material)]
    except TableError:
        rows = [row for row in tables.rows_of("boards") if isinstance(row, tables.Board)]
    return min(float(getattr(row, field)) for row in rows for field in fields)


def of_wood(name: str, own: tuple[Any, ...], field: str) -> float:
    """What that wood reaches for certain; the least of all woods where no table knows it."""
    try:
        rows = [tables.wood(name, own)]
    except TableError:
        rows = [row for row in tables.rows_of("woods") if isinstance(row, tables.Wood)]
    return min(row.sure(field) for row in rows)


# What the cut asks of a kind's own parts


def cut_acts(n: Book) -> float:
    """Highest place at which a cut of the setup pushes: z from the piece's end, mm; 0 uncut."""
    return float(n.cut_acts_highest) if n.finds("cut_acts_highest") else 0.0


def cut_push(n: Book) -> float:
    """Greatest force in plan of any cut of the setup with its factor, N; 0 where none is made."""
    return float(ON_THE_CUT * n.cut_force_most) if n.finds("cut_force_most") else 0.0


def cut_lift(n: Book) -> float:
    """Greatest pull of any cut along its cutter with its factor, N; 0 where none is made."""
    return float(ON_THE_CUT * n.cut_pull_most) if n.finds("cut_pull_most") else 0.0


CUT_READS = ("cut_force_most", "cut_pull_most", "cut_acts_highest")


def cut_reads(n: Book) -> tuple[str, ...]:
    """Names of the numbers behind what the cut asks; none where the setup has no cut."""
    return CUT_READS if n.finds("cut_force_most") else ()
