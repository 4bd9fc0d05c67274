"""Holes in the edges of parts: drilled square with a drill and a stop, for no router reaches them.

A hole's place is given from two edges or faces of the part that a square or a ruler can be laid on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from jigs.model.outline import Point, Side
from jigs.model.part import Board, Cut, Does, Face, Part, Sheet, Stack, Strip

EDGES = (Face.FRONT, Face.BACK, Face.LEFT, Face.RIGHT)
LONG_BIT = 10.0
"""Diameters deep: beyond that a usual twist drill's flutes are too short (from memory: DIN 338
gives a 3 mm drill 33 mm of flutes, a 9 mm drill 81 mm)."""
SOLD = (10, 12, 13, 14, 15, 16, 18, 20, 22, 24, 25, 26, 28, 30, 32, 35)
"""mm, diameters of flat-bottomed bits that are sold. Common practice, no source."""
_SAME = 1e-6

FACE_WORDS = {
    Face.FRONT: "front edge (least y)", Face.BACK: "back edge (greatest y)",
    Face.LEFT: "left edge (least x)", Face.RIGHT: "right edge (greatest x)",
}  # fmt: skip
_OPPOSITE = {Face.FRONT: Face.BACK, Face.BACK: Face.FRONT,
             Face.LEFT: Face.RIGHT, Face.RIGHT: Face.LEFT}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Drilled:
    """One drilled cylinder, mm.

    Parameters: at = along the face's two axes, in the part's own (x, z or y, z); depth = from the
    face, for a hole that goes through the whole length to the other side; edges = (edge, distance)
    twice; counterbore = wide and flat-bottomed, for a head, washer or spring.
    """

    face: Face
    name: str
    diameter: float
    depth: float
    through: bool
    at: Point
    edges: tuple[tuple[str, float], tuple[str, float]]
    counterbore: bool
    meets: str = ""

    @property
    def place(self) -> str:
        """The place in plain words."""
        return ", ".join(f"{away:.2f} from the {edge}" for edge, away in self.edges)


def drilled_holes(part: Part) -> tuple[Drilled, ...]:
    """Every hole of a wooden part that lies in the plane of its sheet, in the part's order."""
    if part.outline is None or not isinstance(part.made, Sheet | Stack | Board | Strip):
        return ()
    cuts = [c for c in part.cuts if c.face in EDGES and c.does is not Does.PRESSED]
    return tuple(_drilled(part, cut) for cut in cuts)


def _drilled(part: Part, cut: Cut) -> Drilled:
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    across = (y1 - y0) if cut.face in (Face.FRONT, Face.BACK) else (x1 - x0)
    at = cut.outline.centre
    a, _, b, _ = cut.outline.bounds
    return Drilled(
        cut.face, cut.name, b - a, across if cut.depth is None else cut.depth, cut.depth is None,
        at, (_along(part, cut.face, at[0]), _up(part, at[1])), cut.does is not Does.HOLE,
        cut.meets,
    )  # fmt: skip


def _up(part: Part, z: float) -> tuple[str, float]:
    """From the nearer of the two flat faces; the lower one where both are as near."""
    if z <= part.thickness / 2 + _SAME:
        return "bottom face", z
    return "top face", part.thickness - z


def _along(part: Part, face: Face, u: float) -> tuple[str, float]:
    """From the nearer end of the straight edge that the hole is drilled in.

    An end that is an end of the part as well goes before one that is not: there a stop can be set.
    """
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    low, high = (x0, x1) if face in (Face.FRONT, Face.BACK) else (y0, y1)
    words = ("left", "right") if face in (Face.FRONT, Face.BACK) else ("front", "back")
    ends = [_ends(side, face) for side in part.outline.sides if _lies_on(side, face, part)]
    first, last = next(((a, b) for a, b in ends if a - _SAME <= u <= b + _SAME), (low, high))
    found = [(abs(first - low) > _SAME, u - first, words[0]),
             (abs(last - high) > _SAME, last - u, words[1])]  # fmt: skip
    inside, away, word = min(found)
    edge = "edge" if word in ("front", "back") else "end"
    return (f"{word} end of that flat" if inside else f"{word} {edge}"), away


def _lies_on(side: Side, face: Face, part: Part) -> bool:
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    axis, value = {Face.FRONT: (1, y0), Face.BACK: (1, y1),
                   Face.LEFT: (0, x0), Face.RIGHT: (0, x1)}[face]  # fmt: skip
    return not side.bulge and all(abs(p[axis] - value) < _SAME for p in (side.start, side.end))


def _ends(side: Side, face: Face) -> tuple[float, float]:
    axis = 0 if face in (Face.FRONT, Face.BACK) else 1
    low, high = sorted((side.start[axis], side.end[axis]))
    return low, high


COLUMNS = (
    "jig", "part", "pieces", "hole", "drilled into", "diameter (mm)", "depth (mm)", "through",
    "counterbore first: flat-bottomed bit (mm)", "counterbore depth (mm)",
    "first measure from", "first measure (mm)", "second measure from", "second measure (mm)",
    "square and stop", "takes",
)  # fmt: skip


def drill_list(parts: Iterable[tuple[str, Part, int]]) -> list[tuple[str, ...]]:
    """Rows under COLUMNS, as text: one for each hole, with the counterbore that belongs to it.

    A recess about the far mouth of a through hole has its own row before it: once the hole is
    there, the flat-bottomed bit finds no centre. Parameters: parts = (jig's name, part, how many
    pieces).
    """
    return [
        _row(jig, part, pieces, hole, bore, first)
        for jig, part, pieces in parts
        for hole, bore, first in _in_order(drilled_holes(part))
    ]


def flat_bit(diameter: float) -> str:
    """The flat-bottomed bit for a recess, mm: of its size, or the next one that is sold."""
    bit = next((size for size in SOLD if size >= diameter - _SAME), None)
    if bit is None:
        return f"{diameter:g} or larger: hole cutter or router, no such bit is sold"
    if abs(bit - diameter) < _SAME:
        return _mm(diameter)
    return f"bit {bit} ({round(diameter, 2):g} or larger)"


def _in_order(
    holes: tuple[Drilled, ...],
) -> Iterator[tuple[Drilled | None, Drilled | None, bool]]:
    """(hole, its counterbore, is it a recess that goes before a hole?), as they are drilled."""
    pairs = list(_with_counterbores(holes))
    alone = [bore for hole, bore in pairs if hole is None and bore is not None]
    for hole, bore in pairs:
        if hole is None:
            continue
        far = [b for b in alone if hole.through and b.face is _OPPOSITE[hole.face]
               and math.dist(b.at, hole.at) < _SAME]  # fmt: skip
        for recess in far:
            alone.remove(recess)
            yield None, recess, True
        yield hole, bore, False
    yield from ((None, bore, False) for bore in alone)


def _with_counterbores(
    holes: tuple[Drilled, ...],
) -> Iterator[tuple[Drilled | None, Drilled | None]]:
    """Each hole with the wider one about it from the same face; wider ones alone come alone."""
    taken: set[int] = set()
    for hole in holes:
        if hole.counterbore:
            continue
        about = next((i for i, b in enumerate(holes) if b.counterbore and b.face is hole.face
                      and i not in taken and math.dist(b.at, hole.at) < _SAME), None)  # fmt: skip
        if about is not None:
            taken.add(about)
        yield hole, None if about is None else holes[about]
    yield from ((None, b) for i, b in enumerate(holes) if b.counterbore and i not in taken)


def _row(
    jig: str,
    part: Part,
    pieces: int,
    hole: Drilled | None,
    bore: Drilled | None,
    first_of_two: bool,
) -> tuple[str, ...]:
    one = hole or bore
    assert one is not None
    (first, first_away), (second, second_away) = one.edges
    deep = ("", "") if bore is None else (flat_bit(bore.diameter), _mm(bore.depth))
    drill = ("", "", "") if hole is None else (
        _mm(hole.diameter), _mm(hole.depth), "yes" if hole.through else "no"
    )  # fmt: skip
    return (
        jig, part.id, str(pieces), one.name, FACE_WORDS[one.face], *drill, *deep,
        first, _mm(first_away), second, _mm(second_away),
        _set_up(part, hole, bore, first_of_two), one.meets,
    )  # fmt: skip


def _set_up(part: Part, hole: Drilled | None, bore: Drilled | None, first_of_two: bool) -> str:
    """How the part stands and what stops the drill, as one line."""
    one = hole or bore
    assert one is not None
    foot = _OPPOSITE[one.face]
    rests = FACE_WORDS[foot].split(" (")[0]
    words = ["before the hole through it"] if first_of_two else []
    words += [f"stand it on its {rests}, flat face against a square fence"
             if _stands(part, foot, one.at[0]) else
             "hold it in a vice, the edge set level with a square"]  # fmt: skip
    if bore is not None:
        words.append(f"flat-bottomed bit first, stop at {_mm(bore.depth)}")
    if hole is not None and hole.through:
        words.append("drill through into waste, cramped under it")
    elif hole is not None:
        words.append(f"stop at {_mm(hole.depth)}")
    if hole is not None and hole.depth > LONG_BIT * hole.diameter:
        words.append("long-series drill, or halfway from both sides" if hole.through
                     else "long-series drill; draw it out often")  # fmt: skip
    if isinstance(part.made, Stack):
        words.append("after gluing up")
    return "; ".join(words)


def _stands(part: Part, foot: Face, u: float) -> bool:
    """Is there a straight edge below the drill to stand on, at least half the part long?"""
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    whole = (x1 - x0) if foot in (Face.FRONT, Face.BACK) else (y1 - y0)
    flats = [_ends(side, foot) for side in part.outline.sides if _lies_on(side, foot, part)]
    on_it = any(low < u < high for low, high in flats)
    return on_it and sum(high - low for low, high in flats) >= whole / 2


def _mm(value: float) -> str:
    """Two places: finer than a rule and a drill will do."""
    return f"{value:.2f}"
