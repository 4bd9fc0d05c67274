"""Descriptions of things for `voids.py`: what holds them, and where nothing of them is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from jigs.model.figure import Figure
from jigs.model.kind import BoardHole
from jigs.model.outline import Outline
from jigs.model.part import Bought, Face, Part
from jigs.model.pose import Pose
from jigs.shop.form import Round, Square
from jigs.solids.voids import Described, Span, Straight, Void


def described(of: object) -> Described | None:
    """What is known of a thing by its frozen description (`Form.of`); None where nothing is."""
    match of:
        case Part(made=Bought() as made):
            return _bought(made)
        case Part():
            return _made(of)
        case (Part() as board, tuple() as holes, Pose() as frame):
            return _bored(board, holes, frame)
        case Square(width=w, depth=d, length=h):
            return _block(Outline.rectangle(-w / 2, -d / 2, w / 2, d / 2), (-h, 0.0))
        case Round(profile=profile, body=None):
            return _of_rounds(_rounds(profile))
    return None


def _made(part: Part) -> Described | None:
    """A made part: its blank, and its cuts."""
    if part.outline is None:
        return None
    x0, y0, x1, y1 = part.outline.bounds
    sizes = ((x0, x1), (y0, y1), (0.0, part.thickness))
    voids = tuple(_cut_void(cut.face, cut.depth, cut.outline, sizes) for cut in part.cuts)
    held = Straight(2, sizes[2], Figure.rectangle(sizes[0], sizes[1]))
    return Described((held,), Void(2, sizes[2], part.outline), voids)


def _cut_void(face: Face, depth: float | None, outline: Outline, sizes: Sequence[Span]) -> Void:
    axis = {Face.LEFT: 0, Face.RIGHT: 0, Face.FRONT: 1, Face.BACK: 1}.get(face, 2)
    low, high = sizes[axis]
    if depth is None:
        return Void(axis, (-math.inf, math.inf), outline)
    if face in (Face.LEFT, Face.FRONT, Face.BOTTOM):
        return Void(axis, (-math.inf, low + depth), outline)
    return Void(axis, (high - depth, math.inf), outline)


def _bored(board: Part, holes: Sequence[BoardHole], frame: Pose) -> Described | None:
    """A board of the machine with holes in it."""
    plain = _made(board)
    if plain is None:
        return None
    bores = []
    for hole in holes:
        depth = (-hole.depth, 1.0) if hole.into == "table" else (-1.0, hole.depth)
        axis, (u, v) = (2, (0, 1)) if hole.into == "table" else (1, (0, 2))
        middle = Figure(((hole.at[u], hole.at[v]),), hole.diameter / 2)
        at = hole.at[axis]
        bore = Straight(axis, (at + depth[0], at + depth[1]), middle).moved(frame)
        if bore is not None:
            ((x, y),) = bore.figure.points
            bores.append(Void(bore.axis, bore.span, Outline.circle(x, y, hole.diameter)))
    return replace(plain, voids=(*plain.voids, *bores))


def _block(outline: Outline, span: Span) -> Described:
    x0, y0, x1, y1 = outline.bounds
    held = Straight(2, span, Figure.rectangle((x0, x1), (y0, y1)))
    return Described((held,), Void(2, span, outline))


def _rounds(profile: Sequence[tuple[float, float]]) -> list[Straight]:
    """A turned piece: a disc for the dome, and a taper from each point of its profile down."""
    top, radius = profile[0]
    found = [_round(top, 0.0, radius, radius)]
    for (z1, r1), (z0, r0) in pairwise(profile):
        if z1 > z0:
            found.append(_round(z0, z1, r0, r1))
    return found


def _round(low: float, high: float, first: float, last: float) -> Straight:
    """A round bar on the z axis, mm."""
    return Straight(2, (low, high), Figure(((0.0, 0.0),), first), last if last != first else None)


def _bought(made: Bought) -> Described | None:
    """A bought part by its table sizes, as `hardware.py` draws it."""
    sizes = dict(made.dims)
    if not sizes:
        return None
    bars = _bars_of(made.family, sizes)
    return _of_rounds(bars, sizes[_BORES[made.family]] if made.family in _BORES else 0.0)


_BORES = {"T-slot nut": "diameter", "hex nut": "diameter", "washer": "hole", "insert": "diameter"}
"""Family of bought parts with a hole through -> the name of its diameter."""


def _bars_of(family: str, b: dict[str, float]) -> list[Straight]:
    length = b.get("length", b.get("height", 0.0))
    match family:
        case "washer" | "insert":
            return [_round(0.0, length, b["outer"] / 2, b["outer"] / 2)]
        case "hex nut":
            return [_prism((0.0, length), Outline.polygon(0, 0, b["across_flats"]))]
        case "T-slot nut":
            foot, neck = b["foot_width"] / 2, b["throat"] / 2
            return [
                _prism((0.0, b["foot_height"]), Outline.rectangle(-foot, -foot, foot, foot)),
                _prism((b["foot_height"], length), Outline.rectangle(-neck, -foot, neck, foot)),
            ]
        case "wood screw":
            head, core = b["head_diameter"] / 2, b["core"] / 2
            return [_round(0.0, head - core, head, core), _round(head - core, length, core, core)]
    shank = [_round(0.0, length, b["diameter"] / 2, b["diameter"] / 2)]
    if "head_height" not in b:
        return shank
    under = (-b["head_height"], 0.0)
    if "across_flats" in b:
        return [_prism(under, Outline.polygon(0, 0, b["across_flats"])), *shank]
    if "head_width" in b:
        w = b["head_width"] / 2
        return [_prism(under, Outline.rectangle(-w, -w, w, w)), *shank]
    if "neck_width" in b:
        w = b["neck_width"] / 2
        shank.append(_prism((0.0, b["neck_depth"]), Outline.rectangle(-w, -w, w, w)))
    return [_round(*under, b["head_diameter"] / 2, b["head_diameter"] / 2), *shank]


def _prism(span: Span, outline: Outline) -> Straight:
    return Straight(2, span, Figure(tuple((x, y) for x, y, _ in outline.vertices)))


def _of_rounds(bars: Sequence[Straight], bore: float = 0.0) -> Described:
    """What is held by bars along z; its blank is the circle that holds them all."""
    reach = max(math.hypot(*p) + max(b.figure.radius, b.last_radius or 0.0)
                for b in bars for p in b.figure.points)  # fmt: skip
    span = (min(b.span[0] for b in bars), max(b.span[1] for b in bars))
    voids = (Void(2, (-math.inf, math.inf), Outline.circle(0, 0, bore)),) if bore else ()
    return Described(tuple(bars), Void(2, span, Outline.circle(0, 0, 2 * reach)), voids)
