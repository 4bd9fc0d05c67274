"""How the height gauge goes together and is worked: moves and steps."""

from __future__ import annotations

from collections.abc import Sequence

from jigs.kinds._moving import off
from jigs.kinds.height_gauge.parts import all_poses
from jigs.model.move import Move, Step
from jigs.model.number import Book
from jigs.model.pose import Vec
from jigs.model.state import SHOWN, Phase

BACK: Vec = (0.0, 1.0, 0.0)
UP: Vec = (0.0, 0.0, 1.0)
DOWN: Vec = (0.0, 0.0, -1.0)


def all_moves(n: Book) -> list[Move]:
    """Dowels and key into the bar; onto the table; and off it along the table."""
    unit = [p.name for p in all_poses(n, SHOWN)]
    reach = n.key_reach if n.keyed else 0.0
    moves = [
        off("gauge", unit, UP, reach + 20.0, "gauge down onto the table, its key in the slot",
            "at the machine", Phase.SETTING),
        Move("the gauge slides off", tuple(unit),
             ((0.0, n.overhang + 10.0, 0.0), (0.0, 0.0, 60.0)), "gauge from behind over the piece",
             "changeover", Phase.SETTING, Phase.CLOSED, ("+ring_drop", "+crown_height")),
    ]  # fmt: skip
    if n.made == "stack":
        moves += [
            off(f"dowel {side}", [f"dowel {side}"], BACK, n.bar_length,
                f"slices onto dowel {side}, glued, flats down on a flat surface", "gluing",
                Phase.SETTING)
            for side in ("left", "right")
        ]  # fmt: skip
    if n.keyed:
        moves.append(
            off("key", ["key"], DOWN, n.key_groove + n.key_reach, "key glued into its groove",
                "gluing", Phase.SETTING)
        )  # fmt: skip
    return moves


def all_steps(n: Book) -> Sequence[Step]:
    """What the gauge asks of a change of piece."""
    return (
        Step("gauge from behind over the piece, pressed down on the table",
             ("presses the gauge down",)),
        Step("gauge back along the table, off and away", ("the gauge",), removes="the gauge"),
    )  # fmt: skip
