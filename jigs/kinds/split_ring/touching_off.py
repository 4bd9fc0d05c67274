"""From what the ring's work zero is found: its bore, and the table.

Touched off with the ring open and no piece in it: the sides of the fixed lining give x, its seat y.
"""

from __future__ import annotations

from jigs.model.number import Book
from jigs.model.reach import Datum

REFITTED = 0.15
"""mm, each way: play of key and stop, or of dowels, as the board goes back. Assumed."""


def all_datums(n: Book) -> tuple[Datum, ...]:
    """The bore for x and y, the table for z."""
    by = "key and stop block" if n.board_key_width else "dowels or close holes"
    return (
        Datum("bore of the fixed half", "bore", (0.0, -n.nominal_offset, n.ring_top), ("x", "y"),
              (0.0, -n.nominal_offset), REFITTED, by,
              "mark a scrap dibber: the mark must lie in the middle of its end",
              free=min(5.0, n.lined_radius - 1)),
        Datum("table", "face", (0.0, 30.0 - n.axis_y, -n.end_height), ("z",), (-n.end_height,),
              0.0, "the machine", "z 0 must just touch the end of a piece that the gauge has set"),
    )  # fmt: skip
