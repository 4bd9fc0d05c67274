"""Room that a part finds on its sheet: the strips at the edges, the machine's reach, own waste.

Quick, so that checks may ask it too: nothing is packed here. A sheet that is larger than the
machine reaches is sawn into equal blanks first. The reach bounds the cutter's paths; the screws in
the strips at the edges, driven by hand, may stand outside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from jigs.making.clamping import clampings_of, slices_of
from jigs.making.packing import Box, fitting_ways
from jigs.making.work import DOWEL, DOWEL_OUT
from jigs.model.outline import Outline
from jigs.model.part import Part, Sheet, Stack
from jigs.shop.making import USUAL, routing_cutter
from jigs.sizing import Design, Jig

ASSUMED_SIZE = (1220.0, 610.0)
"""mm, of a sheet whose size is not given. Common practice, no source: half of a half sheet."""

SCREW_IN = 15.0
"""mm from a holding screw to the sheet's edges. Common practice, no source."""

SCREW_CLEAR = 12.0
"""mm between a holding screw and the nearest cutter's path. Common practice, no source."""

SCREW_EVERY = 300.0
"""mm, at most, from one holding screw to the next along an edge. Common practice, no source."""

WASTE = 28.0
"""mm from the outline of what is turned over to the saw line: room for the screws that hold the
sawn blank, outside the 15 where none may be. Common practice, no source."""

KERF = 3.0
"""mm that a saw takes between two blanks. Common practice, no source."""

Rect = tuple[float, float, float, float]
"""x least, y least, x most, y most, mm."""

HAIR = 0.002
"""mm; sizes are packed in thousandths, rounded up."""


@dataclass(frozen=True, slots=True)
class Room:
    """What one clamping takes, mm: the whole sheet, or one of the equal blanks sawn from it.

    `sheet` = size of the sheet; `blanks` = how many of `size` one sheet gives; `edge` = least
    distance from an outline to the short and to the long edges; `reach` = what outlines may span,
    as far as the machine goes.
    """

    sheet: tuple[float, float]
    size: tuple[float, float]
    blanks: int
    edge: tuple[float, float]
    reach: tuple[float, float]
    gap: float

    @property
    def inside(self) -> tuple[float, float]:
        """Room for outlines, mm: never more than the machine reaches."""
        return (self.size[0] - 2 * self.edge[0], self.size[1] - 2 * self.edge[1])

    def takes(self, box: Box) -> bool:
        """Does a box go in alone?"""
        return bool(fitting_ways(box, self.inside, self.gap))

    def left(self, box: Box) -> float:
        """Room left beside a box that lies alone, mm, the better way round; below 0 = too large."""
        return max(
            min(side - of for side, of in zip(self.inside, box.size(turned), strict=True))
            for turned in box.ways
        )

    def needs(self, box: Box) -> tuple[float, float]:
        """The smaller of the sheets that would do, lying either way, in whole mm, a hair above."""
        ways = [
            tuple(math.ceil(of + 2 * edge + HAIR)
                  for of, edge in zip(box.size(turned), self.edge, strict=True))
            for turned in box.ways
        ]  # fmt: skip
        length, width = min(ways, key=lambda way: (way[0] * way[1], way))
        return (float(length), float(width))

    def beyond_machine(self, box: Box) -> bool:
        """Would no sheet do, because the machine does not reach round the box?"""
        return not any(
            along <= lying[0] and across <= lying[1]
            for along, across in (box.size(turned) for turned in box.ways)
            for lying in (self.reach, self.reach[::-1])
        )

    def remedy(self, box: Box) -> str:
        """What would take a box, in words."""
        size = "{:g} × {:g} mm".format(*self.needs(box))
        if self.beyond_machine(box):
            return f"no sheet would do: it needs a machine that reaches round a sheet of {size}"
        return f"a sheet of {size} would do"


def cutter_of(d: Design) -> float:
    """Diameter of the cutter that follows the outlines, mm."""
    found = routing_cutter(d.job.machine, d.job.model.making)
    return found[1].diameter if found else USUAL


def sheet_of(d: Design, part: Part) -> tuple[str, str]:
    """(name of the user's sheet or empty, material) that a part is cut from."""
    made = part.made
    assert isinstance(made, Sheet | Stack)
    if made.stock in d.job.model.sheets:
        return made.stock, d.job.model.sheets[made.stock].material
    for name, sheet in d.job.model.sheets.items():
        if sheet.material.casefold() == made.material.casefold():
            return name, sheet.material
    return "", made.material


def beside_of(d: Design) -> float:
    """How far the saw line round a turned part may stand outside what is packed, mm."""
    making = d.job.model.making
    return min(making.spacing / 2, making.margin) + cutter_of(d)


def footprint_of(outline: Outline, turned_over: bool, cutter: float, beside: float) -> Rect:
    """What a part takes of the sheet, mm: its outline, and its dowels and waste if turned over.

    Parameters: cutter = its diameter; beside = what `beside_of` finds, both mm.
    """
    x0, y0, x1, y1 = outline.bounds
    if not turned_over:
        return (x0, y0, x1, y1)
    waste = max(0.0, WASTE - beside)
    dowel = max(waste, DOWEL_OUT + DOWEL / 2, cutter + DOWEL + 2.0)
    return (x0 - dowel, y0 - waste, x1 + dowel, y1 + waste)


def box_of(footprint: Rect, part: Part) -> Box:
    """The footprint's size; where the part has a grain, that must lie along the sheet."""
    x0, y0, x1, y1 = footprint
    grain = getattr(part.made, "grain", "")
    ways = {"x": (False,), "y": (True,)}.get(grain, (False, True))
    return Box(round(x1 - x0, 6), round(y1 - y0, 6), ways)


def boxes_of(d: Design, jig: Jig) -> Iterator[tuple[Part, str, Box]]:
    """What each part, or each different slice, takes of which of the user's sheets."""
    cutter, beside = cutter_of(d), beside_of(d)
    for part in jig.parts.values():
        if part.outline is None or not isinstance(part.made, Sheet | Stack):
            continue
        blanks = [s for _, s, _ in slices_of(part)] if isinstance(part.made, Stack) else [part]
        for blank in blanks:
            turned = len(clampings_of(blank)) > 1
            footprint = footprint_of(part.outline, turned, cutter, beside)
            yield blank, sheet_of(d, part)[0], box_of(footprint, blank)


def rooms_on(d: Design, stock: str, boxes: Sequence[Box]) -> list[Room]:
    """The sheet, or the blanks that it may be sawn into so that the machine reaches all of each.

    All take the same boxes, each alone, and no other way takes more; that with most room is first.
    Parameters: stock = name of the sheet, empty for one of assumed size.
    """
    making, cutter = d.job.model.making, cutter_of(d)
    given = d.job.model.sheets[stock].size if stock else None
    sheet = given or ASSUMED_SIZE
    edge = (max(making.margin, SCREW_IN + SCREW_CLEAR) + cutter, making.margin + cutter)
    gap = making.spacing + 2 * cutter
    travel = d.job.machine.travel
    # The cutter's middle goes half its diameter outside an outline, on both sides.
    reach = (
        travel.x.most - travel.x.least - cutter, travel.y.most - travel.y.least - cutter,
    )  # fmt: skip
    rooms = [
        Room(sheet, (along, across), many * more, edge, lying, gap)
        for lying in (reach, reach[::-1])
        for along, many in _sawn(sheet[0], lying[0] + 2 * edge[0])
        for across, more in _sawn(sheet[1], lying[1] + 2 * edge[1])
    ]
    different = sorted(set(boxes), key=lambda box: (box.along, box.across, box.ways))
    taken = {room: [room.takes(box) for box in different] for room in rooms}
    ordered = sorted(taken, key=lambda room: (-sum(taken[room]), -_area(room)))
    return [room for room in ordered if taken[room] == taken[ordered[0]]]


def _sawn(side: float, most: float) -> list[tuple[float, int]]:
    """Lengths of blanks and how many there are: as long as may be, or the whole side shared."""
    if side <= most + 1e-9:
        return [(side, 1)]
    shared = math.ceil((side + KERF) / (most + KERF))
    return [
        (float(math.floor(most)), math.floor((side + KERF) / (most + KERF))),
        (float(math.floor((side - (shared - 1) * KERF) / shared)), shared),
    ]


def _area(room: Room) -> float:
    return room.blanks * max(0.0, room.inside[0]) * max(0.0, room.inside[1])
