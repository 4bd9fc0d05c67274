"""What several kinds use: round holes, keys, and rounding as a maker rounds."""

from __future__ import annotations

import math

from jigs.model.outline import Outline
from jigs.model.part import Cut, Does, Face

CLEARS_CORNER = 1.07
"""A chamfer that much larger than the radius left in a corner clears it: its ends lie beyond the
radius (derived)."""

FINGERS = 10.0
"""mm round what fingers turn. Common practice, no source."""

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
