"""What stands in a scene as solids to draw, and what decides how each of them looks."""

from __future__ import annotations

from collections.abc import Iterable

from jigs.outputs.cad.look import PIECE as PIECE_COLOUR
from jigs.outputs.cad.look import colour_of
from jigs.outputs.cad.seeing import Solid
from jigs.outputs.cad.tree import Colour
from jigs.solids.scene import PIECE, Standing


def colour(standing: Standing) -> Colour:
    """Of its material; the piece has a colour of its own."""
    return PIECE_COLOUR if standing.name == PIECE else colour_of(standing.material)


def solid(standing: Standing, opacity: float = 1.0) -> Solid:
    """A thing as it is drawn."""
    red, green, blue, _ = colour(standing)
    return Solid(standing.form, standing.pose, (red, green, blue, opacity))


def said(standing: Iterable[Standing]) -> tuple[object, ...]:
    """All that decides how things are drawn: names, what they are made from, places, colours."""
    return tuple((s.key, *s.said, colour(s)) for s in standing)
