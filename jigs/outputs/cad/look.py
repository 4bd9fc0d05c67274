"""Colours of materials: near the real thing, and told apart in a grey print."""

from __future__ import annotations

from jigs.outputs.cad.tree import Colour

_MATERIALS: dict[str, Colour] = {
    "plywood": (0.87, 0.76, 0.56, 1.0),
    "mdf": (0.66, 0.53, 0.40, 1.0),
    "beech": (0.80, 0.57, 0.36, 1.0),
    "maple": (0.90, 0.78, 0.60, 1.0),
    "oak": (0.72, 0.56, 0.36, 1.0),
    "birch": (0.88, 0.77, 0.58, 1.0),
    "rubber": (0.34, 0.34, 0.37, 1.0),
    "steel": (0.62, 0.65, 0.68, 1.0),
    "aluminium": (0.80, 0.82, 0.83, 1.0),
    "PETG": (0.25, 0.45, 0.50, 1.0),
}
_WOOD: Colour = (0.78, 0.62, 0.42, 1.0)
PIECE: Colour = (0.55, 0.31, 0.20, 1.0)
"""The work itself: darker than any jig."""

GHOST = 0.30
"""Opacity of a thing where it will be."""

STOPPED: Colour = (0.86, 0.38, 0.14, 1.0)
MEETS: Colour = (0.20, 0.38, 0.66, 1.0)
"""What stops, and what it meets: told apart by words too, and as light and dark in a grey print."""


def colour_of(material: str) -> Colour:
    """Colour of a material by the word in its name; a wood where none is known."""
    for word, colour in _MATERIALS.items():
        if word in material:
            return colour
    return _WOOD
