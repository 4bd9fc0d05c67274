"""Blanks: the wood that a part of board, or both halves of a ring, are made from.

The cut list and the side files of the cuts both take their sizes from here. Allowances are common
practice, no source, unless said otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jigs.model.outline import Point
from jigs.model.part import Board, Part

KERF = 3.0
"""mm of a saw, where a block is ripped or a piece is cut off."""
ROUGH = (10.0, 6.0, 3.0)
"""mm that a board is longer, wider and thicker before it is planed and trimmed."""
SCREW_OUT = 15.0
"""mm outside the outline where no screw or cramp may be; more for a wide cutter."""
GRIP = 10.0
"""mm of wood outside that, for the screws or cramps themselves."""
SPARE = 40.0
"""mm of a ring's block at both ends, for the screws that hold it while it is ripped."""

Sizes = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Blank:
    """A piece of board, mm. `planed` and `rough` = (along the grain, the greater and the lesser of
    the others); `across` = planed, along the part's x and y; `small` = rough, where a round part
    is turned or cut with a plug cutter and needs no waste to hold it by.
    """

    planed: Sizes
    rough: Sizes
    across: tuple[float, float]
    small: Sizes | None = None


@dataclass(frozen=True, slots=True)
class Block:
    """One block for both halves of a ring, mm. x runs along the rip, y across it.

    `finished` = both halves with the wood between them, in x, y and z; `planed` = with its spare
    ends; `bore` = its middle from the left end and the front edge of the planed block; `rip` = the
    middle of the wood between, from the front edge; `gap` = that wood between the halves.
    """

    finished: Sizes
    planed: Sizes
    bore: Point
    rip: float
    gap: float

    @property
    def places(self) -> str:
        """Where the bore's middle and the rip line are, from the edges of the planed block."""
        x, y = self.bore
        length, width, _ = self.planed
        return (
            f"bore's middle {x:.2f} from the left and {length - x:.2f} from the right end, "
            f"{y:.2f} from the front and {width - y:.2f} from the back edge; rip line "
            f"{self.rip:.2f} from the front and {width - self.rip:.2f} from the back edge"
        )


def keep_out(cutter_diameter: float) -> float:
    """mm outside an outline where no screw or cramp may be."""
    return max(SCREW_OUT, cutter_diameter + 9.0)


def along_grain(sizes: dict[str, float], grain: str) -> Sizes:
    """Length along the grain, then the greater and the lesser of the others, mm."""
    low, high = sorted(mm for axis, mm in sizes.items() if axis != grain)
    return (sizes[grain], high, low)


def rough_size(size: Sizes) -> Sizes:
    """Of a planed piece: length, width and thickness with their allowances, mm."""
    return (size[0] + ROUGH[0], size[1] + ROUGH[1], size[2] + ROUGH[2])


def blank_of(part: Part, routed: bool, cutter_diameter: float) -> Blank:
    """Blank of a part of board: the finished part and what it is held by.

    Parameters: routed = it lies on the router, held by the waste round it, in whole mm; else it is
    sawn to size and needs what is trimmed off only.
    """
    assert part.outline is not None
    assert isinstance(part.made, Board)
    x0, y0, x1, y1 = part.outline.bounds
    grain, x, y, z = part.made.grain, x1 - x0, y1 - y0, part.thickness
    finished = along_grain({"x": x, "y": y, "z": z}, grain)
    if not routed:
        return Blank(finished, rough_size(finished), (x, y))
    waste = 2 * (keep_out(cutter_diameter) + GRIP)
    across = (_whole(x + waste), _whole(y + waste))
    planed = along_grain({"x": across[0], "y": across[1], "z": z}, grain)
    thicker = {"x": across[0], "y": across[1], "z": z + ROUGH[2]}
    small = rough_size(finished) if part.outline.is_circle else None
    return Blank(planed, along_grain(thicker, grain), across, small)


def _whole(mm: float) -> float:
    return float(math.ceil(round(mm, 6)))


def ring_block(
    boxes: Sequence[tuple[float, float, float, float]], height: float, centre: Point
) -> Block:
    """The block that two halves, one before the other in y, are bored in and ripped from.

    Parameters: boxes = bounds of both halves; height = along the bore; centre = of the bore.
    """
    low, high = sorted(boxes, key=lambda b: b[1])
    gap = high[1] - low[3]
    # Where the gap is less than the kerf, the block is as much wider.
    wider = max(gap, KERF) - gap
    left = min(b[0] for b in boxes)
    length, width = max(b[2] for b in boxes) - left, high[3] - low[1] + wider
    return Block(
        (length, width, height), (length + 2 * SPARE, width, height),
        (centre[0] - left + SPARE, centre[1] - low[1] + wider / 2),
        (low[3] + high[1]) / 2 - low[1] + wider / 2, gap,
    )  # fmt: skip


def rough_block(block: Block, grain: str) -> Sizes:
    """Of a ring's block before it is planed, along the grain, then across it, mm.

    The spare ends are crosscut off last, so nothing is added to the length.
    """
    x, y, z = block.planed
    return along_grain({"x": x, "y": y + ROUGH[1], "z": z + ROUGH[2]}, grain)
