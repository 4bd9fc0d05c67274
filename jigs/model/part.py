"""Parts as they are made: a blank, an outline and the cuts in it.

A part's own frame: the outline lies in x, y and is swept along z from 0 to `thickness`. Cuts come
in from a face of that blank; the coordinates on a face are always the part's own axes that lie in
it (x, y on top and bottom; x, z on front and back; y, z on left and right), so that nothing is
ever seen mirrored.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from jigs.errors import DesignError
from jigs.model.outline import Outline


class Face(StrEnum):
    """The side of the blank that the cutter or drill comes in from."""

    TOP = "top"  # z = thickness
    BOTTOM = "bottom"  # z = 0
    FRONT = "front"  # least y
    BACK = "back"  # greatest y
    LEFT = "left"  # least x
    RIGHT = "right"  # greatest x


class Does(StrEnum):
    """What a cut is for, in the words of the trade."""

    HOLE = "hole"
    COUNTERBORE = "counterbore"
    GROOVE = "groove"
    RECESS = "recess"
    INSIDE = "inside shape"
    PRESSED = "pressed in by what meets it, not cut"


@dataclass(frozen=True, slots=True)
class Cut:
    """Material taken away: an outline on a face, to a depth (None = right through), mm.

    `meets` names the part that goes in.
    """

    name: str
    face: Face
    outline: Outline
    does: Does
    depth: float | None = None
    meets: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Cut from a sheet on the router. `stock` = its name among the user's sheets."""

    material: str
    stock: str = ""


@dataclass(frozen=True, slots=True)
class Board:
    """Sawn or routed from a planed board; grain runs along the named axis of the part."""

    wood: str
    grain: str = "x"


@dataclass(frozen=True, slots=True)
class Stack:
    """Equal slices of sheet, dowelled and glued face to face along the part's z."""

    material: str
    slices: int
    stock: str = ""


@dataclass(frozen=True, slots=True)
class Strip:
    """Sawn and planed to the outline's section, then cut to length along the part's z."""

    wood: str


@dataclass(frozen=True, slots=True)
class Print:
    """Printed, in the orientation of the part's own z."""

    material: str


@dataclass(frozen=True, slots=True)
class Lining:
    """A strip cut from lining sheet and bent into place; the outline is its shape in place."""

    material: str
    strip_length: float
    strip_width: float


@dataclass(frozen=True, slots=True)
class Bought:
    """Bought as it is. `family` chooses the shape; `dims` are its table sizes, mm."""

    family: str
    designation: str
    material: str = "steel"
    dims: tuple[tuple[str, float], ...] = ()

    def __getitem__(self, name: str) -> float:
        return dict(self.dims)[name]


@dataclass(frozen=True, slots=True)
class Fixed:
    """Part of the machine: there already, neither made nor bought."""

    material: str = "aluminium"


Made = Sheet | Board | Strip | Stack | Print | Lining | Bought | Fixed


@dataclass(frozen=True, slots=True)
class Part:
    """One part; poses name each place where one of them stands.

    `quantity` is for parts that are listed but not drawn.
    """

    id: str
    title: str
    made: Made
    outline: Outline | None = None
    thickness: float = 0.0
    cuts: tuple[Cut, ...] = ()
    eased: float = 0.0
    """Chamfer on the long outer edges that a hand meets, mm."""
    marks: tuple[str, ...] = field(default=())
    """Words written on the part: FIXED, MOVING, UP."""
    quantity: int = 1
    sacrificial: bool = False
    """Meant to be cut into: a backer, for example."""

    def __post_init__(self) -> None:
        if self.outline is not None and self.thickness <= 0:
            raise DesignError(
                self.id,
                f"comes out {self.thickness:g} mm thick",
                "look at what was set by hand, and at the piece's grip",
            )
