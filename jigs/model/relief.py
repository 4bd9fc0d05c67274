"""Pockets that a part with square corners goes into, although the cutter that makes them is round.

Three ways, all common practice: the pocket **runs on** by the cutter's radius, with round corners
beyond the part; a round ear across each corner (**dog-bone**); a round ear beyond each corner along
the pocket (**T-bone**).
"""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import Literal

from jigs.model.outline import QUARTER_TURN, Outline

Relief = Literal["overrun", "dog-bone", "T-bone"]
Vertices = list[tuple[float, ...]]

BETWEEN_EARS = 0.5
"""mm of straight side that must be left between two ears."""

BEYOND = 1.0
"""mm, and the cutter's radius, that a pocket reaches over an edge where it is open: the round
corners that the cutter leaves at its mouth then stand outside the wood."""


def pocket_for_square(
    x0: float, y0: float, x1: float, y1: float, radius: float, relief: Relief,
    open_at: Collection[str] = (), along: Literal["x", "y"] = "x",
) -> Outline:  # fmt: skip
    """The pocket for a part that fills the rectangle, mm.

    Parameters: radius = of the cutter; open_at = sides (left, right, low, high) where the pocket
    runs out over an edge; along = the direction in which overrun and T-bones reach beyond the part.
    Ears that would meet are no ears: such a narrow pocket runs on instead.
    """
    closed = {side: side not in open_at for side in ("left", "right", "low", "high")}
    across = (y1 - y0) if along == "x" else (x1 - x0)
    ears = 4 * radius
    if relief == "dog-bone":
        across, ears = min(x1 - x0, y1 - y0), 2 * math.sqrt(2) * radius
    if relief == "overrun" or across < ears + BETWEEN_EARS:
        if along == "x":
            x0, x1 = x0 - radius * closed["left"], x1 + radius * closed["right"]
        else:
            y0, y1 = y0 - radius * closed["low"], y1 + radius * closed["high"]
        relief = "overrun"
    over = radius + BEYOND
    x0, x1 = x0 - over * (not closed["left"]), x1 + over * (not closed["right"])
    y0, y1 = y0 - over * (not closed["low"]), y1 + over * (not closed["high"])
    points: Vertices = []
    for corner, first, second, sx, sy in (
        ((x0, y0), "left", "low", 1, 1), ((x1, y0), "low", "right", -1, 1),
        ((x1, y1), "right", "high", -1, -1), ((x0, y1), "high", "left", 1, -1),
    ):  # fmt: skip
        if closed[first] and closed[second]:
            points += _corner(corner, sx, sy, radius, relief, along)
        else:
            points.append(corner)
    return Outline.of(points)


def _corner(
    corner: tuple[float, float], sx: int, sy: int, r: float, relief: Relief, along: str
) -> Vertices:
    """Vertices round one corner, counter-clockwise; sx, sy point into the pocket."""
    x, y = corner
    reach = math.sqrt(2) * r if relief == "dog-bone" else r
    along_x, along_y = (x + sx * reach, y), (x, y + sy * reach)
    # Going round counter-clockwise, corners low-left and high-right are met from the upright side.
    start, end = (along_y, along_x) if sx == sy else (along_x, along_y)
    if relief == "overrun":
        return [(*start, QUARTER_TURN), end]
    if relief == "dog-bone":
        return [(*start, 1.0), end]
    ear = (x, y + sy * 2 * r) if along == "x" else (x + sx * 2 * r, y)
    corner_first = (along == "x") != (sx == sy)
    first, last = (corner, ear) if corner_first else (ear, corner)
    return [(*first, 1.0), last]
