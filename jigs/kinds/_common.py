"""What several kinds use: round holes, keys, and rounding as a maker rounds."""

from __future__ import annotations

import math

from jigs.model.outline import Outline
from jigs.model.part import Cut, Does, Face

ROUTED_CORNER = 3.0
"""mm; radius that a 6 mm cutter leaves in an inside corner."""

KEY_CHAMFER = 3.2
"""mm; clears such a corner: the chamfer's ends lie beyond the corner's radius (derived)."""

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
