"""What the operator sets on the end-grain clamp for a piece, and what it adds to the errors."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from jigs import tables
from jigs.kinds._common import SLACK_OF_KEY
from jigs.model.batch import Setting, Spread
from jigs.model.number import Book

MEASURED_TO = 0.05
"""mm either way; what a caliper tells on sawn wood. Assumed."""

CHIPS = 0.1
"""mm that dust may keep a piece off fixed face, fence or table. Assumed: blown clean each time."""

FENCE_STEP = 0.5
"""mm; nearer than this the free fence need not be set anew: it only steadies. Assumed."""

FENCE_MINUTES = 0.5
"""To set the free fence anew. Assumed."""

OUT_OF_SQUARE = 0.2
"""mm over the gripped height that a face may lean. Assumed: glued up against a square."""


def settings_of(n: Book, sizes: Mapping[str, float]) -> list[Setting]:
    """Turns of the drawbolts' knobs to open, the free fence, and the height of the end."""
    pitch = _pitch(n.drawbolt_size)
    opens = max(0.0, n.opening - sizes["width"] - n.backer_in_x) / pitch
    fence = round((sizes["depth"] + n.backer_in_y) / FENCE_STEP) * FENCE_STEP
    return [
        Setting("turns back to open", round(opens * 4) / 4, "turns"),
        Setting("torque on the drawbolts' knobs", round(n.drawbolt_torque / 1000, 2), "N m"),
        Setting("distance of the fences", fence, changes=FENCE_MINUTES),
    ]


def spreads_of(n: Book) -> Sequence[Spread]:
    """What may shift a piece in the clamp, mm.

    Half of a measured size's error goes into the middle; chips and a leaning face only push the
    piece away from what it is seated on: one-sided. Play of the key is once for the batch.
    """
    return [
        Spread("width as measured", "x", MEASURED_TO / 2),
        Spread("dust at the fixed face", "x", CHIPS, "one-sided"),
        Spread("fixed face out of square", "x", OUT_OF_SQUARE, each=False),
        Spread("play of what brings the base back", "x", SLACK_OF_KEY / 2, each=False),
        Spread("depth as measured", "y", MEASURED_TO / 2),
        Spread("dust at the datum fence", "y", -CHIPS, "one-sided"),
        Spread("play of what brings the base back", "y", SLACK_OF_KEY / 2, each=False),
        Spread("dust under the piece", "z", CHIPS, "one-sided"),
        Spread("length as measured", "z", MEASURED_TO),
    ]


@cache
def _pitch(size: str) -> float:
    return tables.thread(size).pitch
