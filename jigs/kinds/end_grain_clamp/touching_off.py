"""From what the clamp's work zero is found: the fixed face and the datum fence.

The face's top serves for z: high up, where a spindle comes to; the table between tall jaws is out
of its reach. Its height above the table is measured once, as built (`jaw_top`).
"""

from __future__ import annotations

from jigs.kinds.end_grain_clamp.standing import fixed_x
from jigs.model.number import Book
from jigs.model.reach import Datum

REFITTED = {"key": 0.15, "dowels": 0.1}
"""mm, each way, as the base goes back against its stop or onto its dowels. Assumed."""

BY_HAND = 0.5
"""mm, each way, where nothing brings it back. Assumed."""


def all_datums(n: Book) -> tuple[Datum, ...]:
    """The upper edge of the fixed face for x and z, of the datum fence for y."""
    back = REFITTED.get(n.located_by, BY_HAND)
    by = {"key": "key and stop block", "dowels": "dowels"}.get(n.located_by, "close holes")
    x, y, table = fixed_x(n), n.depth_nominal / 2, -n.piece_top
    return (
        Datum("fixed face", "edge", (x - n.sheet_nominal / 2, 0.0, table + n.jaw_top), ("x", "z"),
              (x, table + n.jaw_top), back, by,
              "cut a scrap of known length: the walls beside the cut alike, its depth as asked",
              free=4.0),
        Datum("datum fence", "edge",
              (x + n.fence_thick / 2, y + n.backer_in_y + n.fence_width / 2, table + n.fence_top),
              ("y",), (y,), back, by, "turn the scrap half round and touch the cut: it must agree",
              free=4.0),
    )  # fmt: skip
