"""Words of the swing stop that all its modules share, and how it does without what is not there.

A rule reads what it needs by name. With one bar there is a ring and a turned piece, with two a bar
and no ring: so that one set of rules serves both, the jig itself answers for what the other case
would have, with nothing (0, or an empty list). Whatever a piece or another jig has goes first.
"""

from __future__ import annotations

from collections.abc import Mapping

from jigs.model.number import Rules

COMMON = "common practice, no source"
NOTHING, NONE_LISTED = "nothing", "none_listed"

rule = Rules()

_OF_A_RING = (
    "stand_off", "nominal_offset", "lined_radius", "squeeze", "gap", "open_gap", "ring_top",
    "ring_height", "board_width", "hang_washer", "grip_diameter_least", "grip_diameter_nominal",
    "grip_diameter_most", "body_half_depth", "body_below", "body_length", "body_width",
    "body_depth", "body_offset_x", "body_offset_y",
)  # fmt: skip
_OF_A_BAR = tuple(
    f"{side}_{word}" for side in ("width", "depth") for word in ("least", "nominal", "most")
)


def does_without(bars: int) -> Mapping[str, str]:
    """Names that a swing stop with so many bars has no use for -> its number that is nothing."""
    if bars == 1:
        return dict.fromkeys(_OF_A_BAR, NOTHING)
    return {**dict.fromkeys(_OF_A_RING, NOTHING), "hang_z": NONE_LISTED}
