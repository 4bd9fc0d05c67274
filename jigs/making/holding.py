"""How a part is held while it is cut, and how it is made, in plain words. Tabs where it needs them.

A part is held by the waste round it until its outline is cut; then by tabs, or by screws through
holes that it has anyway. All distances here are common practice, no source, unless said otherwise.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from operator import itemgetter

from jigs.making.blanks import KERF, SPARE, blank_of, keep_out, ring_block, rough_block
from jigs.model.outline import Outline, Point, Side
from jigs.model.part import Board, Face, Part, Stack
from jigs.shop.making import Making
from jigs.units import Limits

SMALL = 60.0
"""mm: a part that fits into a square of this is always held by tabs."""
LONG = 600.0
"""mm of outline: beyond that four tabs, else three."""
HEAD_ROOM = 20.0
"""mm from the middle of a holding screw to any cut: half a washer and the collet nut."""
SCREW_HOLES = (3.5, 13.0)
"""mm: holes that a wood screw with a washer can hold a part by."""
TAB_STEP = 2.0
"""mm between places looked at for a tab."""
_SAME = 1e-6


@dataclass(frozen=True, slots=True)
class Tab:
    """A bridge left under the outline: its middle on the outline, width and height, mm."""

    at: Point
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Clamped:
    """A part as it lies when its outline is cut, in the coordinates of that file.

    Parameters: hollow = where nothing or too little is left for a tab; holes = plain holes right
    through, made in this clamping; cuts = all that is cut in its flat faces.
    """

    outline: Outline
    hollow: tuple[Outline, ...]
    holes: tuple[tuple[str, Outline], ...]
    cuts: tuple[Outline, ...]


def held(
    part: Clamped, making: Making, cutter_diameter: float, thickness: Limits, turned: bool
) -> tuple[tuple[Tab, ...], tuple[str, ...]]:
    """Tabs, and how the part is held, a line each."""
    keep = keep_out(cutter_diameter)
    x0, y0, x1, y1 = part.outline.bounds
    words = [
        f"in the waste no screw or cramp within {keep:g} mm of the outline: none in "
        f"x {x0 - keep:.1f} to {x1 + keep:.1f}, y {y0 - keep:.1f} to {y1 + keep:.1f}",
        f"over a spoilboard: what goes through reaches up to "
        f"{thickness.spread + making.over_cut:.2f} mm into it",
    ]
    if turned:
        words.append(
            "turn over about the line through both dowels: left stays left; the dowels stand in "
            "two holes of the same distance in a fresh place of the spoilboard, 8 mm deep, no "
            "higher than the sheet; the second file's zero is set on them, and then the "
            "spoilboard must not move; screw the waste down outside the keep-out"
        )
    small = max(x1 - x0, y1 - y0) <= SMALL
    screws = () if small else _screws(part)
    if screws:
        names = ", ".join(f"'{name}'" for name in screws)
        words.append(f"no tabs: after the holes stop the spindle, screw the part down with washers "
                     f"through {names}, then go on, travelling above their heads")  # fmt: skip
        return (), tuple(words)
    tabs = _tabs(part, making, cutter_diameter, thickness)
    words.append(f"{len(tabs)} tabs of {tabs[0].width:g} x {tabs[0].height:g} mm hold it in the "
                 "waste: saw them through with the spindle stopped, then plane them off"
                 if tabs else "no room for tabs: bed it on double-sided tape")  # fmt: skip
    if small:
        words.append("a small part: double-sided tape under it as well; never hold it by hand")
    return tabs, tuple(words)


def _screws(part: Clamped) -> tuple[str, ...]:
    """Names of the two plain holes furthest apart that screws can hold the part by, or none."""
    x0, y0, x1, y1 = part.outline.bounds
    fit = [
        (name, hole.centre) for name, hole in part.holes
        if SCREW_HOLES[0] <= 2 * hole.sides[0].radius <= SCREW_HOLES[1]
        and _away(hole.centre, part.outline) >= HEAD_ROOM
        and all(c == hole or _away(hole.centre, c) >= HEAD_ROOM for c in part.cuts)
    ]  # fmt: skip
    pairs = [(math.dist(p, q), a, b) for (a, p), (b, q) in combinations(fit, 2)]
    furthest = max(pairs, key=lambda pair: pair[0], default=(0.0, "", ""))
    return furthest[1:] if furthest[0] >= max(x1 - x0, y1 - y0) / 2 else ()


def _away(p: Point, outline: Outline) -> float:
    """Distance from a point to an outline; arcs by their chords' sagitta, on the safe side."""
    return min(_to_line(p, s) - abs(s.bulge) * s.chord / 2 for s in outline.sides)


def _to_line(p: Point, side: Side) -> float:
    (ax, ay), (bx, by) = side.start, side.end
    dx, dy = bx - ax, by - ay
    share = ((p[0] - ax) * dx + (p[1] - ay) * dy) / (dx * dx + dy * dy)
    share = min(1.0, max(0.0, share))
    return math.dist(p, (ax + share * dx, ay + share * dy))


def _tabs(
    part: Clamped, making: Making, cutter_diameter: float, thickness: Limits
) -> tuple[Tab, ...]:
    """Evenly round the outline, on straight stretches; on round ones only where all is round."""
    clear = making.tab_width / 2 + cutter_diameter
    height = min(making.tab_height, thickness.least / 2)
    wanted = 4 if part.outline.length > LONG else 3
    sides = part.outline.sides
    for chosen in (
        [s for s in sides if s.bulge == 0],
        [s for s in sides if s.bulge >= 0],
        list(sides),
    ):
        for off_corners in (clear, making.tab_width / 2):
            places = [
                place for place in _places(sides, chosen, off_corners)
                if not any(_near(place.at, hollow, clear) for hollow in part.hollow)
            ]  # fmt: skip
            spots = _spread(places, part.outline.length, wanted)
            if spots:
                return tuple(Tab(spot.at, making.tab_width, height) for spot in spots)
    return ()


@dataclass(frozen=True, slots=True)
class _Place:
    """A place for a tab: way along the outline, point, and how far from its side's middle, mm."""

    way: float
    at: Point
    aside: float


def _places(sides: Sequence[Side], chosen: Sequence[Side], off_corners: float) -> list[_Place]:
    """A place every few mm from each side's middle; off corners, but not off smooth joints."""
    found = []
    start = 0.0
    for i, side in enumerate(sides):
        before, after = sides[i - 1], sides[(i + 1) % len(sides)]
        low = 0.0 if before in chosen and _smooth(before, side) else off_corners
        high = 0.0 if after in chosen and _smooth(side, after) else off_corners
        if side in chosen:
            half = side.length / 2
            for k in range(math.ceil((low - half) / TAB_STEP), int((half - high) / TAB_STEP) + 1):
                at = _point(side, (half + k * TAB_STEP) / side.length)
                found.append(_Place(start + half + k * TAB_STEP, at, abs(k * TAB_STEP)))
        start += side.length
    return found


def _smooth(first: Side, then: Side) -> bool:
    """Do two sides that follow each other meet without a corner?"""
    turn = _heading(then) - then.angle / 2 - _heading(first) - first.angle / 2
    return abs(math.remainder(turn, 2 * math.pi)) < _SAME


def _heading(side: Side) -> float:
    return math.atan2(side.end[1] - side.start[1], side.end[0] - side.start[0])


def _point(side: Side, share: float) -> Point:
    (ax, ay), (bx, by) = side.start, side.end
    if side.bulge == 0:
        return (ax + share * (bx - ax), ay + share * (by - ay))
    (cx, cy), turn = side.centre, side.angle * share
    dx, dy = ax - cx, ay - cy
    cos, sin = math.cos(turn), math.sin(turn)
    return (cx + dx * cos - dy * sin, cy + dx * sin + dy * cos)


def _near(p: Point, outline: Outline, by: float) -> bool:
    x0, y0, x1, y1 = outline.bounds
    return x0 - by < p[0] < x1 + by and y0 - by < p[1] < y1 + by


def _spread(places: Sequence[_Place], length: float, wanted: int) -> list[_Place]:
    """The places that come nearest to even steps round a closed way; none if two would be near.

    Of equally even ones those nearest to the middles of their sides.
    """
    ways = [place.way for place in places]
    best: tuple[tuple[float, float], list[_Place]] = ((math.inf, 0.0), [])
    for first in places:
        spots, worst = [first], 0.0
        for k in range(1, wanted):
            target = (first.way + k * length / wanted) % length
            # The places stand in order round the way: one of the two beside the target is nearest.
            after = bisect_left(ways, target)
            beside = (places[after - 1], places[after % len(places)])
            away, nearest = min(
                ((_round_to(place.way, target, length), place) for place in beside),
                key=itemgetter(0),
            )
            worst = max(worst, away)
            spots.append(nearest)
        cost = (round(worst, 6), round(sum(spot.aside for spot in spots), 6))
        if cost < best[0]:
            best = (cost, spots)
    spots = best[1]
    apart = [_round_to(a.way, b.way, length) for a, b in combinations(spots, 2)]
    if len(spots) < wanted or min(apart) < length / wanted / 4:
        return []
    return sorted(spots, key=lambda spot: spot.way)


def _round_to(a: float, b: float, length: float) -> float:
    away = abs(a - b) % length
    return min(away, length - away)


NOT_ON_THE_ROUTER = (
    "too thick for the cutter: cramp it in a vice or on a pillar drill's table, never by hand"
)


def how_made(
    part: Part, slices: int, routed: bool, thickness: Limits, cutter: tuple[float, float],
    others: Sequence[Part], up: Sequence[Face],
) -> tuple[str, ...]:  # fmt: skip
    """How the part is made, a line each. `cutter` = diameter and flute length, mm."""
    assert part.outline is not None
    if not routed:
        return tuple(_by_saw(part, cutter, others))
    faces = " up, then ".join(face.value for face in up)
    words = [f"on the router, {faces} up, outline last"]
    if isinstance(part.made, Stack):
        words = [f"{slices} slices on the router, {faces} up, outline last; glue them face to face "
                 "on their dowels, arrows one way, on a flat bed"]  # fmt: skip
    if isinstance(part.made, Board):
        blank = blank_of(part, routed, cutter[0])
        wide, tall = blank.across
        words.append(f"blank planed to {part.thickness:.2f}, at least {wide:.0f} x {tall:.0f}, "
                     f"{_grain(part.made)}; rough {_sizes(blank.rough)}")  # fmt: skip
        if blank.small:
            words.append(
                "or turned on a lathe, or cut with a plug cutter on a pillar drill, the blank "
                "cramped down, and drilled from both ends about one axis: rough "
                f"{_sizes(blank.small)} will do"
            )
    if thickness.most > cutter[1] + _SAME:
        words.append(
            f"{thickness.most:.2f} is more than the flutes' {cutter[1]:.2f}: small passes, clear "
            "the chips; the shank must be 0.2 mm thinner than the cutter"
        )
    if part.eased:
        words.append(f"ease the long outer edges by {part.eased:g} with a plane, after the router"
                     + (" and gluing up" if isinstance(part.made, Stack) else ""))  # fmt: skip
    return tuple(words)


def _sizes(rough: tuple[float, float, float]) -> str:
    return " x ".join(f"{mm:.2f}" for mm in rough) + " (along the grain first)"


def _grain(made: Board) -> str:
    if made.grain == "z":
        return "grain through the thickness: cut it off the end of a board"
    return f"grain along {made.grain}"


def _by_saw(part: Part, cutter: tuple[float, float], others: Sequence[Part]) -> list[str]:
    """A block too thick for the cutter; a half bore in it is made with its other half, or alone."""
    assert part.outline is not None
    assert isinstance(part.made, Board)
    x0, y0, x1, y1 = part.outline.bounds
    words = [
        f"{part.thickness:.2f} is more than the router's flutes of {cutter[1]:.2f} reach: not "
        "routed in one piece; the DXF is for a template of 6 mm sheet",
        f"block planed to {part.thickness:.2f}, {x1 - x0:.2f} x {y1 - y0:.2f}, {_grain(part.made)}"
        f"; rough {_sizes(blank_of(part, False, cutter[0]).rough)}",
    ]
    bore = half_bore(part.outline)
    if bore is None:
        words.append(
            "bandsaw it 1 to 2 outside the line, then trim it to the template with a "
            "bearing-guided bit, in passes, from both faces; grip the block in a holder"
        )
    else:
        words += _ring_words(part, bore, others)
    if part.eased:
        words.append(f"ease the long outer edges by {part.eased:g} with a plane, last")
    return words


@dataclass(frozen=True, slots=True)
class HalfBore:
    """Half of a round bore that is open along x: its centre and diameter, and how far the flat
    faces beside it stand back from its centre, mm."""

    centre: Point
    diameter: float
    back: float


def half_bore(outline: Outline) -> HalfBore | None:
    """The greatest hollow arc between two flats along x that lie in one line, if there is one."""
    sides = outline.sides
    found = []
    for i, side in enumerate(sides):
        flats = (sides[i - 1], sides[(i + 1) % len(sides)])
        level = side.start[1]
        in_line = all(f.bulge == 0 and abs(p[1] - level) < _SAME
                      for f in flats for p in (f.start, f.end))  # fmt: skip
        if side.bulge < -0.5 and in_line:
            found.append(HalfBore(side.centre, 2 * side.radius, abs(level - side.centre[1])))
    return max(found, key=lambda b: b.diameter, default=None)


def _ring_words(part: Part, bore: HalfBore, others: Sequence[Part]) -> list[str]:
    """Both ways of making a split ring's half."""
    assert part.outline is not None
    assert isinstance(part.made, Board)
    gap = 2 * bore.back
    other = next((p for p in others if p is not part and _same_bore(p, bore)), None)
    x0, y0, x1, y1 = part.outline.bounds
    middle = 2 * bore.centre[1]
    mate = other.outline.bounds if other and other.outline else (x0, middle - y1, x1, middle - y0)
    thick = max(part.thickness, other.thickness if other else 0.0)
    block = ring_block((part.outline.bounds, mate), thick, bore.centre)
    x, y, z = block.planed
    kerf = min(KERF, gap)
    return [
        f"way 1, bored and then ripped: one block planed to {x:.2f} x {y:.2f} x {z:.2f} for "
        f"{part.id} and {other.id if other else 'its other half'}, of which {SPARE:g} at both ends "
        f"are spare; rough {_sizes(rough_block(block, part.made.grain))}; {block.places}",
        f"way 1, bore {bore.diameter:.2f} right through while there is wood all round: block "
        "cramped on waste on the pillar drill, hole cutter or boring head, then to size",
        "way 1, holes without a recess in the faces beside the bore are drilled before ripping, "
        "while the block stands square; the other ones after it: plane those faces, drill the "
        "recess, then the hole through it; scribe the finished ends first, the drill list counts "
        "from them; last crosscut each half to its length",
        f"way 1, kerf: the faces beside the bore stand back {bore.back:.2f} each, together "
        f"{gap:.2f}; the saw takes its kerf out of that (no wider than {gap:.2f}), and the rest is "
        f"planed off, half on each side: with a kerf of {kerf:.1f}, {(gap - kerf) / 2:.2f} each",
        "way 1, hold it while it is ripped: screw both spare ends, on both sides of the rip line, "
        "down to a longer carrier board that runs along the fence; the blade goes into the carrier "
        "but never through its far end, so both halves stay held until the saw stands; hands on "
        "the carrier, push block, a wedge in the kerf if it closes on the blade",
        f"way 2, two halves: bandsaw each 1 to 2 outside the line, plane the flat faces, cramp "
        f"both halves on a flat waste board with a spacer of {gap:.2f} between them, and bore "
        f"{bore.diameter:.2f} through the middle of the spacer in one go",
        "way 2, or trim bore and edges to the template with a bearing-guided bit, in passes, from "
        "both faces; grip the block in a holder",
        "sawing and boring small blocks hurts people: the machine's manual and local rules come "
        "first",
    ]  # fmt: skip


def _same_bore(part: Part, bore: HalfBore) -> bool:
    if part.outline is None or not isinstance(part.made, Board):
        return False
    other = half_bore(part.outline)
    return (
        other is not None
        and math.dist(other.centre, bore.centre) < _SAME
        and abs(other.diameter - bore.diameter) < _SAME
    )
