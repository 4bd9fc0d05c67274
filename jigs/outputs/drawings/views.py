"""The views of a part, first-angle (ISO 5456-2): square onto its top, and onto edges that tell.

Seen from the left stands to the right of the first view, seen from the back edge below it, and so
on: each on the side away from the eye.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from jigs.making.as_cut import holds
from jigs.model.outline import Outline, Point, Side
from jigs.model.part import Cut, Face, Part
from jigs.outputs.drawings.flat import Edge, Solid, flat_cuts, outside, pieces, seen_from_top
from jigs.outputs.drawings.rows import is_slot
from jigs.outputs.drawings.sides import (
    EDGE_FACES,
    SideView,
    edge_cuts,
    reach_of,
    seen_from,
    wider_about,
)

_SAME = 1e-4


@dataclass(frozen=True)
class View:
    """A view in mm of the part, as it lies on the paper.

    `crosses` = (centre, radius) that get crossed centre lines; `axes` = centre lines; `low`, `high`
    = corners of its extent; `place` maps the part's (x, y) or (s, z) onto it.
    """

    face: Face
    edges: tuple[Edge, ...]
    rounds: tuple[tuple[Point, float, bool], ...]
    crosses: tuple[tuple[Point, float], ...]
    axes: tuple[tuple[Point, Point], ...]
    low: Point
    high: Point
    place: Callable[[Point], Point]

    @property
    def size(self) -> Point:
        """Across and up, mm."""
        return (self.high[0] - self.low[0], self.high[1] - self.low[1])


def is_long(part: Part) -> bool:
    """Is it longer along z than its outline is wide and high, with nothing drilled into edges?"""
    assert part.outline is not None
    return part.thickness > max(_size(part.outline)) and not edge_cuts(part)


def views_of(part: Part, down: bool = False) -> dict[Face, View]:
    """The views that the part needs, by the face that is seen; `Face.TOP` is the first.

    Parameters: down = of a long part the view that lies below the first, not the one beside it.
    """
    solid = Solid(part)
    views = {Face.TOP: _first(solid)}
    for seen in _sides_to_see(solid, down):
        views[seen.face] = _side(solid, seen)
    return views


def _sides_to_see(solid: Solid, down: bool) -> list[SideView]:
    """Edges with holes in them; else the left edge, and the back or front one where it tells."""
    drilled = edge_cuts(solid.part)
    needed = [f for f in EDGE_FACES if any(c.face is f for c in drilled)]
    through = {c.face for c in drilled if c.depth is None}
    for near, far in ((Face.LEFT, Face.RIGHT), (Face.BACK, Face.FRONT)):
        if near in needed and far in needed and through & {near, far}:
            needed.remove(far)  # its circles show as hidden ones
    found = [seen_from(solid, face) for face in needed]
    pairs = ((Face.LEFT, Face.RIGHT), (Face.BACK, Face.FRONT))
    for pair in pairs[:: -1 if down else 1]:
        if any(face in needed for face in pair):
            continue
        if found and is_long(solid.part):
            continue  # two long views would take the page
        one = seen_from(solid, pair[0])
        best = one if one.notched else seen_from(solid, pair[1])
        if best.notched or not found:
            found.append(best if best.notched else one)
    return found


def _size(outline: Outline) -> Point:
    x0, y0, x1, y1 = outline.bounds
    return (x1 - x0, y1 - y0)


def _first(solid: Solid) -> View:
    x0, y0, x1, y1 = solid.outline.bounds
    edges = [*seen_from_top(solid), *_drilled_lines(solid)]
    return View(
        Face.TOP, tuple(edges), (), tuple(_crosses(solid)), tuple(_axes(solid)), (x0, y0), (x1, y1),
        lambda p: p,
    )  # fmt: skip


def _crosses(solid: Solid) -> Iterator[tuple[Point, float]]:
    """One cross for all circles about a centre, for the largest of them."""
    found: dict[tuple[float, float], float] = {}
    rounds = [c.outline for c in flat_cuts(solid.part) if c.outline.is_circle]
    if solid.outline.is_circle:
        rounds.append(solid.outline)
    for outline in rounds:
        x, y = (round(v, 4) for v in outline.centre)
        r = (outline.bounds[2] - outline.bounds[0]) / 2
        found[x, y] = max(r, found.get((x, y), 0.0))
    yield from sorted(found.items())


def _drilled_lines(solid: Solid) -> Iterator[Edge]:
    """Hidden walls and floors of what is drilled into edges, within the outline."""
    cuts = edge_cuts(solid.part)
    for cut in cuts:
        for side in _walls(cut, solid.outline):
            for piece in pieces([side], [*solid.outline.sides, *_ends_of_wider(cut, cuts, solid)]):
                along = piece.middle[0 if cut.face in (Face.LEFT, Face.RIGHT) else 1]
                wider = wider_about(cut, cuts, solid.outline)
                if holds(solid.outline, piece.middle) and not any(
                    a - _SAME < along < b + _SAME for a, b in wider
                ):
                    yield Edge(piece, True)


def _ends_of_wider(cut: Cut, cuts: Sequence[Cut], solid: Solid) -> Iterator[Side]:
    """Lines across the way of a cut, where a wider one about its axis ends."""
    x0, y0, x1, y1 = solid.outline.bounds
    for a, b in wider_about(cut, cuts, solid.outline):
        for at in (a, b):
            if cut.face in (Face.LEFT, Face.RIGHT):
                yield Side((at, y0 - 1), (at, y1 + 1))
            else:
                yield Side((x0 - 1, at), (x1 + 1, at))


def _walls(cut: Cut, outline: Outline) -> Iterator[Side]:
    """Both walls, and the floor of a blind one."""
    u0, _, u1, _ = cut.outline.bounds
    a, b = reach_of(cut, outline)
    floor = b if cut.face in (Face.FRONT, Face.LEFT) else a
    across = cut.face in (Face.LEFT, Face.RIGHT)

    def side(p: Point, q: Point) -> Side:
        return Side(p[::-1], q[::-1]) if across else Side(p, q)

    yield side((u0, a), (u0, b))
    yield side((u1, a), (u1, b))
    if cut.depth is not None:
        yield side((u0, floor), (u1, floor))


def _axes(solid: Solid) -> Iterator[tuple[Point, Point]]:
    found: dict[tuple[bool, float], tuple[float, float]] = {}
    for cut in edge_cuts(solid.part):
        a, b = reach_of(cut, solid.outline)
        key = (cut.face in (Face.LEFT, Face.RIGHT), round(cut.outline.centre[0], 4))
        low, high = found.get(key, (a, b))
        found[key] = (min(a, low), max(b, high))
    for (across, u), (a, b) in sorted(found.items()):
        yield ((a, u), (b, u)) if across else ((u, a), (u, b))
    for cut in flat_cuts(solid.part):
        if not cut.outline.is_circle and not outside(cut.outline, solid.outline):
            yield from _slot_axis(cut.outline)


def _slot_axis(outline: Outline) -> Iterator[tuple[Point, Point]]:
    """The long axis of what has two half circles for its ends."""
    if is_slot(outline):
        ends = [s for s in outline.sides if s.bulge]
        yield ends[0].centre, ends[1].centre


def _side(solid: Solid, seen: SideView) -> View:
    x0, y0, x1, y1 = solid.outline.bounds
    t = solid.thickness
    s0, s1 = (x0, x1) if seen.face in (Face.FRONT, Face.BACK) else (y0, y1)

    def place(p: Point) -> Point:
        s, z = p
        return {Face.LEFT: (z, s), Face.RIGHT: (-z, s), Face.FRONT: (s, z),
                Face.BACK: (s, -z)}[seen.face]  # fmt: skip

    corners = [place((s0, 0.0)), place((s1, t))]
    edges = [Edge(Side(place(e.side.start), place(e.side.end)), e.hidden) for e in seen.edges]
    largest: dict[Point, float] = {}
    for c, r, _ in seen.rounds:
        largest[c] = max(r, largest.get(c, 0.0))
    return View(
        seen.face, tuple(edges), tuple((place(c), r, h) for c, r, h in seen.rounds),
        tuple((place(c), r) for c, r in largest.items()),
        tuple((place(a), place(b)) for a, b in seen.axes),
        (min(c[0] for c in corners), min(c[1] for c in corners)),
        (max(c[0] for c in corners), max(c[1] for c in corners)), place,
    )  # fmt: skip
