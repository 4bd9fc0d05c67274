"""Sizing rules of what the ring stands on: back board, shelf and jack."""

from __future__ import annotations

import math

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._common import up_to
from jigs.kinds._hardware import Shelf, length_for
from jigs.kinds.split_ring.hanging import border
from jigs.kinds.split_ring.sizing import COMMON, can_be_had, rule
from jigs.model.number import Standing

__all__ = ["DISH_DEPTH", "KEY_GROOVE", "PAD_HOLE", "SHELF_BEVEL", "SHELF_SCREW", "rule"]

KEY_GROOVE = 6.0
"""mm deep in the back of the board."""

DISH_DEPTH = 3.0
"""mm deep in the top of the pad, for the piece's foot."""

PAD_HOLE = 10.0
"""mm deep in the underside of the pad, for the jack screw's end."""


SHELF_SCREW = 5.0
"""mm; diameter of the shelf's wood screws."""

SHELF_BEVEL = 20.0
"""mm taken off the shelf's front corners, both ways."""

_JACKS = ("M8", "M6", "M5")


@rule(source=COMMON)
def board_width(hang_x: float, hang_washer: float) -> float:
    """Width of the back board: 3 mm of it outside the washers of the fastenings."""
    return 2 * (hang_x + border(hang_washer))


@rule(source=COMMON)
def board_foot(
    hang_z: tuple[float, ...], end_height: float, shelf_top: float, shelf_thickness: float
) -> float:
    """Lower edge of the back board in the work frame."""
    lowest_row = hang_z[1] - end_height
    return -up_to(-min(lowest_row - 25, shelf_top - shelf_thickness - 20), 5)


@rule(unit="", source="the fewest that hold an insert (DIN 7965) with 2 mm of wood under it, and "
      "whose screw can be had long enough")  # fmt: skip
def shelf_layers(sheet_least: float, sheet_nominal: float, jack_travel: float, shelf: Shelf) -> int:
    """Layers of sheet, glued face to face, that the shelf is made of."""
    for layers in (1, 2, 3):
        if _jacks(layers, sheet_least, sheet_nominal, jack_travel, shelf):
            return layers
    return math.ceil((tables.wood_insert("M6").length + 2) / sheet_least)


MOST_LAYERS = 12
"""Assumed: nobody glues more into a shelf; a number beyond it is a slip of the pen."""


@rule(source="derived")
def shelf_thickness(shelf_layers: int, sheet_nominal: float) -> float:
    """Thickness of the shelf."""
    if not 1 <= shelf_layers <= MOST_LAYERS:
        raise DesignError("shelf_layers", f"{shelf_layers} layers make no shelf",
                          f"shelf_layers: 1 to {MOST_LAYERS}, or a thicker sheet")  # fmt: skip
    return shelf_layers * sheet_nominal


@rule(unit="", source="the largest insert that the shelf can hold", standing=Standing.TABLE)
def jack_size(
    shelf_layers: int, sheet_least: float, sheet_nominal: float, jack_travel: float, shelf: Shelf
) -> str:
    """Size of the jack screw under the piece: metric inserts, as sold for wood."""
    thick = shelf_layers * sheet_least
    to_be_had = _jacks(shelf_layers, sheet_least, sheet_nominal, jack_travel, shelf)
    sizes = to_be_had or _held(thick)
    if not sizes:
        raise DesignError("jack_size", f"a shelf {thick:g} mm thick holds no insert with 2 mm of "
                          "wood under it", f"shelf_layers: {shelf_layers + 1}")  # fmt: skip
    return sizes[0]


@rule(source=COMMON)
def jack_travel(length_least: float, length_most: float) -> float:
    """How far the jack screw reaches: the batch's lengths and 10 mm."""
    return up_to(length_most - length_least + 10, 1)


@rule(source="derived: the foot wanders with the diameter of the grip; 4 mm more to find it")
def dish_diameter(
    foot_diameter: float, open_gap: float, gap: float, nominal_offset: float
) -> float:
    """Diameter of the dish that takes the piece's foot."""
    return up_to(foot_diameter + 2 * (nominal_offset + (open_gap - gap) / 2) + 4, 1)


@rule(source=COMMON)
def pad_diameter(dish_diameter: float) -> float:
    """Diameter of the pad under the piece's foot."""
    return max(30.0, up_to(dish_diameter + 10, 1))


@rule(source=COMMON)
def pad_height(foot_diameter: float) -> float:
    """Height of the pad: dish above, blind hole below, wood between."""
    return 20.0


@rule(source="derived: longest piece, pad, jack at its lowest with 4 mm to spare")
def shelf_top(length_most: float, pad_height: float, jack_travel: float) -> float:
    """Top of the shelf in the work frame."""
    return -(length_most + pad_height - DISH_DEPTH + 4 + jack_travel / 2)


@rule(source="shelf, travel and blind hole; next length to be had", standing=Standing.TABLE)
def jack_length(shelf_thickness: float, jack_travel: float, jack_size: str, shelf: Shelf) -> float:
    """Length of the jack screw."""
    return length_for(shelf, "hex screw", jack_size, _jack_need(shelf_thickness, jack_travel))


@rule(source=COMMON)
def shelf_depth(stand_off: float, pad_diameter: float, dado_depth: float) -> float:
    """Depth of the shelf from the floor of its dado."""
    return up_to(stand_off + pad_diameter / 2 + 10 + dado_depth, 1)


@rule(source=COMMON)
def shelf_width(moving_width: float) -> float:
    """Width of the shelf."""
    return up_to(max(80.0, moving_width * 0.8), 1)


@rule(source="the longest up to 60 mm that leaves 10 mm of wood before its tip",
      standing=Standing.TABLE)  # fmt: skip
def shelf_screw(
    shelf_depth: float, shelf_width: float, sheet_nominal: float, dado_depth: float
) -> float:
    """Length of the wood screws that hold the shelf from behind."""
    bevelled = max(0.0, shelf_width / 3 + 3 - (shelf_width / 2 - SHELF_BEVEL))
    room = sheet_nominal - dado_depth + shelf_depth - bevelled - 10
    sold = tables.wood_screw(SHELF_SCREW).lengths
    if room < min(sold):
        deeper = math.ceil(shelf_depth + min(sold) - room)
        raise DesignError("shelf_screw", f"a shelf {shelf_depth:g} mm deep takes no screw that is "
                          "sold", f"shelf_depth: {deeper}")  # fmt: skip
    return max(at for at in sold if at <= min(60.0, room))


@rule(source="largest sheet and 0.1 mm")
def shelf_dado_width(shelf_layers: int, sheet_most: float) -> float:
    """Width of the shelf's dado."""
    return shelf_layers * sheet_most + 0.1


def _jacks(
    layers: int, sheet_least: float, sheet_nominal: float, travel: float, shelf: Shelf
) -> list[str]:
    """Sizes of jack screw that so many layers hold and that can be had, largest first."""
    need = _jack_need(layers * sheet_nominal, travel)
    return [s for s in _held(layers * sheet_least) if can_be_had(shelf, "hex screw", s, need)]


def _held(thickness: float) -> list[str]:
    """Sizes whose insert goes into a shelf of that thickness, mm, largest first."""
    return [s for s in _JACKS if tables.wood_insert(s).length + 2 <= thickness]


def _jack_need(thickness: float, travel: float) -> float:
    """Shelf, travel and the pad's blind hole, mm; 4 to spare below, 6 above."""
    return thickness + travel + 4 + PAD_HOLE + 6
