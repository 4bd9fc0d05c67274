"""What the jigs weigh: plain arithmetic on outlines and cuts, without the kernel.

What a cut takes beyond the part's edge is counted by its bounding rectangle, threads count as full.
Made parts come out within half a part in a hundred of their solids.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from jigs import tables
from jigs.errors import TableError
from jigs.making.work import pieces_of
from jigs.model.part import (
    Board,
    Bought,
    Cut,
    Does,
    Face,
    Fixed,
    Lining,
    Part,
    Print,
    Sheet,
    Stack,
    Strip,
)
from jigs.sizing import Design

MM3_PER_M3 = 1e9
FACES_UP = (Face.TOP, Face.BOTTOM)
OPPOSITE_FACES = (FACES_UP, (Face.FRONT, Face.BACK), (Face.LEFT, Face.RIGHT))


@dataclass(frozen=True, slots=True)
class Density:
    """kg/m3, and where it is from."""

    value: float
    source: str


DENSITIES = {
    "steel": Density(7850.0, "EN 1991-1-1 table A.4, 77.0 to 78.5 kN/m3; from memory"),
    "aluminium": Density(2700.0, "EN 1991-1-1 table A.4, 27.0 kN/m3; from memory"),
    "petg": Density(1270.0, "common practice, no source: makers' sheets, printed solid"),
    "pla": Density(1240.0, "common practice, no source: makers' sheets, printed solid"),
    "rubber": Density(1100.0, "common practice, no source: 1100 to 1500"),
    "plastic": Density(1250.0, "common practice, no source"),
    "wood": Density(650.0, "common practice, no source: a wood that the tables do not have"),
    "board": Density(700.0, "common practice, no source: a board that the tables do not have"),
}
"""Where the tables of boards and woods say nothing."""


@dataclass(frozen=True, slots=True)
class MassRow:
    """Mass of one jig, kg: what is made, what is bought, and what could not be counted."""

    jig: str
    made: float
    bought: float
    not_counted: tuple[str, ...] = field(default=())

    @property
    def total(self) -> float:
        """Made and bought together, kg."""
        return self.made + self.bought


def mass_rows(d: Design) -> list[MassRow]:
    """Mass of each jig, kg."""
    rows = []
    for _, jig in d.jigs():
        made, bought, unknown = 0.0, 0.0, []
        for part in jig.parts.values():
            mass = part_mass(part)
            if mass is None:
                unknown.append(part.title)
            elif isinstance(part.made, Bought):
                bought += mass * pieces_of(jig, part)
            elif not isinstance(part.made, Fixed):
                made += mass * pieces_of(jig, part)
        rows.append(MassRow(jig.name, made, bought, tuple(unknown)))
    return rows


def total_of(rows: Sequence[MassRow]) -> MassRow:
    """All jigs together, kg, as a row that is called `total`."""
    unknown = dict.fromkeys(f"{row.jig}: {title}" for row in rows for title in row.not_counted)
    return MassRow("total", math.fsum(row.made for row in rows),
                   math.fsum(row.bought for row in rows), tuple(unknown))  # fmt: skip


def part_mass(part: Part) -> float | None:
    """Mass of one part, kg; None where its shape is not known."""
    volume = part_volume(part)
    return None if volume is None else volume * density_of(part).value / MM3_PER_M3


def density_of(part: Part) -> Density:
    """Density of what a part is of, with its source."""
    made = part.made
    if isinstance(made, Sheet | Stack):
        return _board(made.material)
    if isinstance(made, Board | Strip):
        return _wood(made.wood)
    if isinstance(made, Print):
        return DENSITIES.get(made.material.casefold(), DENSITIES["plastic"])
    if isinstance(made, Lining):
        return DENSITIES["rubber"]
    return DENSITIES.get(made.material.casefold()) or _wood(made.material)


def _board(material: str) -> Density:
    try:
        row = tables.board(material)
    except TableError:
        return DENSITIES["board"]
    return Density(row.density, row.source)


def _wood(name: str) -> Density:
    try:
        row = tables.wood(name)
    except TableError:
        return DENSITIES["wood"]
    return Density(row.density, row.source)


def part_volume(part: Part) -> float | None:
    """Volume of one part as designed, mm3; None for what is neither drawn nor sized."""
    if isinstance(part.made, Bought):
        return _bought_volume(part.made)
    if part.outline is None:
        return None
    if isinstance(part.made, Lining):
        return part.outline.area * part.made.strip_width
    taken = math.fsum(_taken(part, cut) for cut in part.cuts if cut.does is not Does.PRESSED)
    return part.outline.area * part.thickness - taken


def sizes_of(part: Part) -> dict[str, float]:
    """Extent of a part along its own x, y and z, mm."""
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    return {"x": x1 - x0, "y": y1 - y0, "z": part.thickness}


def _taken(part: Part, cut: Cut) -> float:
    """What a cut takes, less what a deeper place of the same middle (counterbore, hole) shares."""
    sizes = sizes_of(part)
    through = {Face.TOP: "z", Face.BOTTOM: "z", Face.FRONT: "y", Face.BACK: "y"}.get(cut.face, "x")
    depth = sizes[through] if cut.depth is None else min(cut.depth, sizes[through])
    area = cut.outline.area * _share_inside(part, cut)
    for other in part.cuts:
        if other.depth is not None and other.does is not Does.PRESSED and _round_it(other, cut):
            depth = max(0.0, depth - other.depth)
    return area * depth


def _round_it(wide: Cut, cut: Cut) -> bool:
    """Is one cut round the mouth of the other, on its face or, where it goes through, behind?"""
    behind = cut.depth is None and any(
        {wide.face, cut.face} <= set(pair) for pair in OPPOSITE_FACES
    )
    return (
        (wide.face is cut.face or behind)
        and wide.outline.area > cut.outline.area
        and math.dist(wide.outline.centre, cut.outline.centre) < 1e-6
    )


def _share_inside(part: Part, cut: Cut) -> float:
    """Share of a cut's bounding rectangle within the part's: grooves run out over edges."""
    assert part.outline is not None
    if cut.face not in FACES_UP:
        return 1.0
    a, b = cut.outline.bounds, part.outline.bounds
    wide = min(a[2], b[2]) - max(a[0], b[0])
    tall = min(a[3], b[3]) - max(a[1], b[1])
    return max(0.0, wide) * max(0.0, tall) / ((a[2] - a[0]) * (a[3] - a[1]))


def _bought_volume(made: Bought) -> float | None:
    """Envelope of a bought part from its table sizes, mm3; threads as full rods."""
    size = dict(made.dims)
    if not size:
        return None
    rod = math.pi / 4 * size.get("diameter", 0.0) ** 2
    match made.family:
        case "threaded rod" | "dowel":
            return rod * size["length"]
        case "hex nut":
            return (_hexagon(size["across_flats"]) - rod) * size["height"]
        case "washer":
            return math.pi / 4 * (size["outer"] ** 2 - size["hole"] ** 2) * size["height"]
        case "hex bolt" | "hex screw":
            return _hexagon(size["across_flats"]) * size["head_height"] + rod * size["length"]
        case "socket screw":
            head = math.pi / 4 * size["head_diameter"] ** 2 * size["head_height"]
            socket = _hexagon(size["socket_size"]) * size["socket_depth"]
            return head - socket + rod * size["length"]
        case "coach bolt":
            neck = (size["neck_width"] ** 2 - rod) * size["neck_depth"]
            return _dome(size["head_diameter"], size["head_height"]) + rod * size["length"] + neck
        case "T-slot bolt":
            return size["head_width"] ** 2 * size["head_height"] + rod * size["length"]
        case "T-slot nut":
            foot = size["foot_width"] ** 2 * size["foot_height"]
            neck = size["throat"] * size["foot_width"] * (size["height"] - size["foot_height"])
            return foot + neck - rod * size["height"]
        case "insert":
            return (math.pi / 4 * size["outer"] ** 2 - rod) * size["length"]
        case "wood screw":
            core, head = size["core"] / 2, size["head_diameter"] / 2
            sunk = head - core
            cone = math.pi / 3 * sunk * (head**2 + head * core + core**2)
            return cone + math.pi * core**2 * max(0.0, size["length"] - sunk)
    return None


def _hexagon(across_flats: float) -> float:
    return math.sqrt(3) / 2 * across_flats**2


def _dome(diameter: float, height: float) -> float:
    """A spherical cap (handbook of mathematics): pi h / 6 (3 a^2 + h^2), a = half the diameter."""
    return math.pi * height / 6 * (3 * (diameter / 2) ** 2 + height**2)
