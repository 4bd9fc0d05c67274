"""Make: parts can be cut as they are drawn, with the cutter and from the sheet that there are.

Pure numbers, worked on the outlines themselves. What is judged is each blank: a part of sheet or
board, or each different slice of a stack. One finding for each jig and question: the worst part
governs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from jigs.checks.tongues import COMMON, DERIVED, check_tongues
from jigs.making.as_cut import bounds_of, crossings, holds, left_standing, narrowest, wood_between
from jigs.making.clamping import slices_of
from jigs.making.packing import Box
from jigs.making.rooms import HAIR, boxes_of, rooms_on
from jigs.making.work import ASSUMED_FLUTES, THINNER_SHANK, is_sawn, reach_of, thickness_of
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.outline import Outline, Point
from jigs.model.part import Board, Cut, Does, Face, Part, Sheet, Stack
from jigs.shop.machine import Cutter
from jigs.shop.making import USUAL, routing_cutter
from jigs.sizing import Design, Jig
from jigs.units import Limits

LEFT_STANDING = 0.02
"""mm of wood in a corner that a thumb's push flattens. Common practice, no source."""
WIDER = 0.1
"""mm that a pocket is wider than its cutter, or exactly as wide: else it is neither one pass nor
two. Common practice, no source."""
LEAST_WOOD = 3.0
"""mm of wood between two cuts, and under one. Common practice, no source."""
SMALL = 60.0
"""mm; a part that is smaller both ways comes loose and is thrown. Common practice, no source."""
FLAT = (Face.TOP, Face.BOTTOM)


@dataclass(frozen=True, slots=True)
class Blank:
    """One thing that the router cuts. `thickness` of the sheet or board, mm."""

    part: Part
    outline: Outline
    thickness: Limits
    cutter: Cutter

    @property
    def flat(self) -> list[Cut]:
        """What is cut from above or below."""
        return [c for c in self.part.cuts if c.face in FLAT and c.does is not Does.PRESSED]


def check_make(design: Design) -> list[Finding]:
    """Every finding on how the jigs' parts are cut; none for a jig that the router cuts nothing of.

    Parts on a sheet of which no size is given are not compared with it.
    """
    found: list[Finding] = []
    for _, jig in design.jigs():
        mine = list(_blanks(design, jig))
        if not mine:
            continue
        told = [
            _cutter_goes_in(design, mine), _corners(mine), _flutes(design, mine),
            _wood_between(mine), _wood_under(mine), _on_the_sheet(design, mine),
            *check_tongues(design, jig),
        ]  # fmt: skip
        found += [replace(f, of=jig.name) for f in told if f is not None]
    return found


def _blanks(design: Design, jig: Jig) -> Iterator[Blank]:
    listed = routing_cutter(design.job.machine, design.job.model.making)
    cutter = listed[1] if listed else _BOUGHT
    for part in jig.parts.values():
        if part.outline is None or not isinstance(part.made, Sheet | Stack | Board):
            continue
        thickness = thickness_of(design, part)
        each = [s for _, s, _ in slices_of(part)] if isinstance(part.made, Stack) else [part]
        for blank in each:
            yield Blank(blank, part.outline, thickness, cutter)


_BOUGHT = Cutter(diameter=USUAL, flute_length=ASSUMED_FLUTES, shank=USUAL, length=60.0)
"""What is bought where no straight cutter is listed."""


# The cutter


def _cutter_goes_in(design: Design, mine: Sequence[Blank]) -> Finding | None:
    """The cutter against the narrowest pocket, slot or notch; round ones are drilled or bored."""
    diameter = mine[0].cutter.diameter
    widths: list[tuple[float, str]] = []
    for blank in mine:
        for name, outline, inside in _followed(blank):
            width = narrowest(outline, inside)
            allowed = width if abs(width - diameter) < 1e-6 else width - WIDER
            widths.append((allowed, f"{name} of {blank.part.title}, {width:.2f} mm wide"))
    least, governs = min(widths)
    if math.isinf(least):
        return None
    would_do = min([least, *(2 * r for r in _hollow_radii(mine))])
    return at_most(
        diameter, least, group="make", check="the cutter is small enough for every pocket",
        governs=governs, assumes=_assumed(design, mine), source=COMMON,
        why="as wide as its pocket, or 0.1 mm thinner" if diameter <= least + 1e-9
        else f"no cutter small enough: a straight one of {would_do:.2f} mm at most would do",
    )  # fmt: skip


def _assumed(design: Design, mine: Sequence[Blank]) -> tuple[str, ...]:
    """What the reader must know: a cutter to buy, small parts to hold."""
    told = []
    if routing_cutter(design.job.machine, design.job.model.making) is None:
        told.append(
            f"no straight cutter is listed: one of {USUAL:g} mm with flutes of "
            f"{ASSUMED_FLUTES:g} mm is bought for it"
        )
    small = sorted({b.part.title for b in mine if _is_small(b)})
    if small:
        told.append(f"small parts need tabs, or they are thrown: {'; '.join(small)}")
    return tuple(told)


def _is_small(blank: Blank) -> bool:
    x0, y0, x1, y1 = bounds_of(blank.outline)
    return max(x1 - x0, y1 - y0) < SMALL


def _followed(blank: Blank) -> Iterator[tuple[str, Outline, bool]]:
    """Name, outline and whether it is cut from within, of all that the cutter itself follows."""
    yield "outline", blank.outline, False
    for cut in blank.flat:
        if not cut.outline.is_circle:
            yield cut.name, cut.outline, True


def _hollow_radii(mine: Sequence[Blank]) -> list[float]:
    """Radii of the arcs into which the cutter must fit, mm."""
    return [
        side.radius
        for blank in mine
        for _, outline, inside in _followed(blank)
        for side in outline.sides
        if side.bulge and (side.bulge > 0) == inside
    ]


def _corners(mine: Sequence[Blank]) -> Finding:
    """Wood left standing in the inside corners of what takes another part, and of the outlines.

    Where the cutter does not go in at all, another finding says so.
    """
    worst, governs = 0.0, "every corner"
    for blank in mine:
        left: list[tuple[str, Point, float]] = [
            ("outline", p, d) for p, d in left_standing(blank.outline, _diameter(blank), False)
        ]
        for cut in blank.flat:
            if cut.meets and cut.does is not Does.HOLE and not cut.outline.is_circle:
                left += [(cut.name, p, d) for p, d in _left_in(blank, cut)]
        for name, (x, y), deep in left:
            if worst < deep < math.inf:
                worst, governs = deep, f"{name} of {blank.part.title}, at x {x:.1f}, y {y:.1f}"
    return at_most(
        worst, LEFT_STANDING, group="make", check="the cutter reaches every inside corner",
        governs=governs, source=DERIVED,
        why="wood left standing beyond the drawn line; relieve the corner or take a thinner cutter",
    )  # fmt: skip


def _diameter(blank: Blank) -> float:
    return blank.cutter.diameter


def _left_in(blank: Blank, cut: Cut) -> Iterator[tuple[Point, float]]:
    """What a cut leaves standing in the wood, and no other cut from the same face takes away."""
    others = [
        c.outline for c in blank.flat
        if c is not cut and c.face is cut.face and (c.depth or math.inf) >= (cut.depth or math.inf)
    ]  # fmt: skip
    at_edge = crossings(cut.outline, blank.outline)
    at_others = [p for o in others for p in crossings(cut.outline, o)]
    found = left_standing(cut.outline, _diameter(blank), True, (*at_others, *at_edge))
    first_at_edge = len(found) - len(at_edge)
    for i, (p, left) in enumerate(found):
        in_wood = i >= first_at_edge or holds(blank.outline, p)
        if left > 0 and in_wood and not any(holds(o, p) for o in others):
            yield p, left


def _flutes(design: Design, mine: Sequence[Blank]) -> Finding | None:
    """What goes right through against the cutting edges; boards that are sawn are told."""
    cutter = mine[0].cutter
    sawn: list[Blank] = []
    routed: list[Blank] = []
    for b in mine:
        (sawn if is_sawn(b.part, b.thickness, cutter.flute_length) else routed).append(b)
    if not routed:
        return None
    over = design.job.model.making.over_cut
    depth, deepest = max(((_through(b, over), b) for b in routed), key=lambda found: found[0])
    return at_least(
        reach_of(cutter), depth, group="make", check="flutes reach through sheet and board",
        governs=f"{deepest.part.title}, {deepest.thickness.most:g} mm at most",
        assumes=tuple(sorted({
            f"{b.part.title}, {b.thickness.most:g} mm thick, is sawn and bored, not routed"
            for b in sawn
        })),
        source=COMMON,
        why=f"flutes of {depth:.1f} mm would do, or a shank {THINNER_SHANK:g} mm thinner than the "
        "cutter; cutting from both faces is not planned",
    )  # fmt: skip


def _through(blank: Blank, over_cut: float) -> float:
    """How deep flutes must cut, mm. A board's over-cut is left out: planed, it lies flat where a
    sheet bows, and only by the over-cut does a shank as thick as the cutter enter the kerf."""
    return blank.thickness.most + (0.0 if isinstance(blank.part.made, Board) else over_cut)


# The wood


def _wood_between(mine: Sequence[Blank]) -> Finding | None:
    """The thinnest wood between two cuts, and between a cut and the edge or a face."""
    least, governs = min(
        ((wood, f"{b.part.title}: {words}") for b in mine for wood, words in [_thinnest(b)]),
    )
    if math.isinf(least):
        return None
    return at_least(
        least, LEAST_WOOD, group="make", check="wood between cuts and to the edge",
        governs=governs, source=COMMON, why="thinner wood breaks out",
    )  # fmt: skip


def _thinnest(blank: Blank) -> tuple[float, str]:
    """Wood in mm, and between what: cuts that share a depth, a cut and the edge or a face."""
    least, words = math.inf, ""
    for a, b in combinations(blank.flat, 2):
        if _boxes_apart(a.outline, b.outline) >= least:
            continue
        if _share_depth(a, b, blank.thickness.least) and not _meet(a.outline, b.outline):
            least, words = min(
                (least, words), (wood_between(a.outline, b.outline), f"{a.name} and {b.name}")
            )
    for cut in blank.flat:
        if _near_edge(cut.outline, blank.outline, least) and _within(cut.outline, blank.outline):
            least, words = min(
                (least, words), (wood_between(cut.outline, blank.outline), f"{cut.name} and edge")
            )
    for cut in blank.part.cuts:
        if cut.face not in FLAT and cut.does is not Does.PRESSED:
            low, high = _across_thickness(cut)
            wood = min(low, blank.thickness.least - high)
            least, words = min((least, words), (wood, f"{cut.name} and a face"))
    return least, words


def _across_thickness(cut: Cut) -> tuple[float, float]:
    """From where to where an edge's hole reaches across the thickness, mm."""
    _, low, _, high = bounds_of(cut.outline)
    return low, high


def _within(cut: Outline, edge: Outline) -> bool:
    return all(holds(edge, (x, y)) for x, y, _ in cut.vertices)


def _share_depth(a: Cut, b: Cut, thickness: float) -> bool:
    """Do two cuts reach into a common layer of the wood?"""
    if a.face is b.face or a.depth is None or b.depth is None:
        return True
    return a.depth + b.depth > thickness


def _boxes_apart(a: Outline, b: Outline) -> float:
    ax0, ay0, ax1, ay1 = bounds_of(a)
    bx0, by0, bx1, by1 = bounds_of(b)
    return math.hypot(max(0.0, bx0 - ax1, ax0 - bx1), max(0.0, by0 - ay1, ay0 - by1))


def _near_edge(cut: Outline, edge: Outline, least: float) -> bool:
    """May the cut come nearer to an edge than this? Not certain for edges that are not straight."""
    if any(s.bulge for s in edge.sides) or len(edge.vertices) != 4:
        return True
    x0, y0, x1, y1 = bounds_of(cut)
    a0, b0, a1, b1 = bounds_of(edge)
    return min(x0 - a0, y0 - b0, a1 - x1, b1 - y1) < least


def _meet(a: Outline, b: Outline) -> bool:
    """Do two cuts run into each other, or lie within each other?"""
    return (
        any(holds(a, (x, y)) for x, y, _ in b.vertices)
        or any(holds(b, (x, y)) for x, y, _ in a.vertices)
        or bool(crossings(a, b))
    )


def _wood_under(mine: Sequence[Blank]) -> Finding | None:
    """The thinnest floor under a cut, less what is cut into it from the other face."""
    floors: list[tuple[float, str]] = []
    for blank in mine:
        title, thick = blank.part.title, blank.thickness.least
        blind = [(c, c.depth) for c in blank.flat
                 if c.depth is not None and c.depth < blank.part.thickness - 1e-6]  # fmt: skip
        floors += [(thick - depth, f"{title}: {cut.name}") for cut, depth in blind]
        for (a, deep), (b, other) in combinations(blind, 2):
            if a.face is not b.face and _meet(a.outline, b.outline):
                floors.append((thick - deep - other, f"{title}: between {a.name} and {b.name}"))
    if not floors:
        return None
    least, governs = min(floors)
    return at_least(
        least, LEAST_WOOD, group="make", check="wood left under grooves and recesses",
        governs=governs, source=COMMON, why="where the sheet is thinnest",
        levers=("-dado_depth",),
    )  # fmt: skip


# The sheet


def _on_the_sheet(design: Design, mine: Sequence[Blank]) -> Finding | None:
    """Room left beside the part that lies worst, alone on its sheet or on a blank sawn from it.

    On a sheet without a size only what an assumed one does not take is told.
    """
    asked = {blank.part.id for blank in mine}
    boxes: dict[str, list[Box]] = {}
    here: list[tuple[Part, str, Box]] = []
    for _, jig in design.jigs():
        for part, stock, box in boxes_of(design, jig):
            boxes.setdefault(stock, []).append(box)
            if part.id in asked and any(part == blank.part for blank in mine):
                here.append((part, stock, box))
    rooms = {stock: rooms_on(design, stock, all_on) for stock, all_on in boxes.items()}
    judged: list[tuple[float, str, str]] = []
    for part, stock, box in here:
        room = max(rooms[stock], key=lambda room: room.left(box))
        takes = room.takes(box)
        sized = stock in design.job.model.sheets and design.job.model.sheets[stock].size
        if not sized and takes:
            continue
        left = max(0.0, room.left(box)) if takes else min(room.left(box), -HAIR)
        judged.append((left, f"{part.title} on {stock or 'a sheet'}", room.remedy(box)))
    if not judged:
        return None
    left, governs, remedy = min(judged)
    return at_least(
        left, 0.0, group="make", check="parts lie on their sheet", governs=governs, source=DERIVED,
        why=f"{remedy}; strips for screws, the cutter's path and the waste of what is turned over "
        "are counted, and what the machine reaches",
    )  # fmt: skip
