"""A jig as boxes, worked out from what its parts say of themselves: a witness without the kernel.

Every part is boxes about its own axes (quarter turns keep them boxes), every cut a box that is
taken out of it. What touches must then share a plane, what goes through must have a hole about its
axis. No sizing rule is called.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import pairwise, product

from shapely.geometry import Point, Polygon

from jigs.model.outline import Outline
from jigs.model.part import Bought, Cut, Face, Part
from jigs.model.pose import Pose, Vec

NEAR = 1e-6
"""mm: sums of a dozen numbers differ by less."""

SHANKS = {"coach bolt", "T-slot bolt", "threaded rod", "dowel", "wood screw"}


@dataclass(frozen=True)
class Box:
    """From `low` to `high` along x, y and z, mm."""

    low: Vec
    high: Vec

    def placed(self, pose: Pose) -> Box:
        """The same box elsewhere; quarter turns only."""
        a, b = pose.apply(self.low), pose.apply(self.high)
        low, high = zip(*(sorted(pair) for pair in zip(a, b, strict=True)), strict=True)
        return Box(low, high)

    def overlap(self, other: Box) -> Vec:
        """How far both lie over each other along each axis; negative = apart, mm."""
        pairs = zip(self.low, self.high, other.low, other.high, strict=True)
        x, y, z = (min(b, d) - max(a, c) for a, b, c, d in pairs)
        return (x, y, z)

    def meets(self, other: Box) -> bool:
        """Do they share more than a face?"""
        return min(self.overlap(other)) > NEAR


def about_z(across: float, low: float, high: float) -> Box:
    """Round or square about z, mm."""
    return Box((-across / 2, -across / 2, low), (across / 2, across / 2, high))


@cache
def boxes_of(part: Part) -> list[Box]:
    """What a part fills, in its own frame; bought ones from the sizes they are sold by."""
    if part.outline is not None:
        x0, y0, x1, y1 = part.outline.bounds
        return [Box((x0, y0, 0.0), (x1, y1, part.thickness))]
    assert isinstance(part.made, Bought)
    b = dict(part.made.dims)
    match part.made.family:
        case "washer" | "insert":
            return [about_z(b["outer"], 0.0, b.get("height", b.get("length", 0.0)))]
        case "hex nut":
            return [about_z(b["across_flats"], 0.0, b["height"])]
        case "T-slot nut":
            foot, neck = b["foot_width"] / 2, b["throat"] / 2
            return [
                about_z(2 * foot, 0.0, b["foot_height"]),
                Box((-neck, -foot, b["foot_height"]), (neck, foot, b["height"])),
            ]
        case "wood screw":
            return [about_z(b["core"], 0.0, b["length"])]
        case "spring":
            return []
    head = b.get("head_diameter", b.get("head_width", 0.0))
    found = [about_z(b["diameter"], 0.0, b["length"])]
    return found + ([about_z(head, -b["head_height"], 0.0)] if head else [])


@cache
def cut_box(part: Part, cut: Cut) -> Box:
    """What a cut takes away, in the part's frame: its outline's bounds, from face to depth."""
    u0, v0, u1, v1 = cut.outline.bounds
    (whole,) = boxes_of(part)
    axis = {Face.LEFT: 0, Face.RIGHT: 0, Face.FRONT: 1, Face.BACK: 1}.get(cut.face, 2)
    low, high = whole.low[axis], whole.high[axis]
    if cut.depth is not None:
        if cut.face in (Face.TOP, Face.BACK, Face.RIGHT):
            low = high - cut.depth
        else:
            high = low + cut.depth
    spans = [(u0, u1), (v0, v1)]
    spans.insert(axis, (low, high))
    return Box(*zip(*spans, strict=True))


@cache
def polygon(outline: Outline) -> Polygon:
    """The outline as straight lines, arcs by 32 chords."""
    points: list[tuple[float, float]] = []
    for side in outline.sides:
        points.append(side.start)
        if side.bulge:
            (cx, cy), step = side.centre, side.angle / 32
            points += [_turned(side.start, cx, cy, i * step) for i in range(1, 32)]
    return Polygon(points)


def _turned(p: tuple[float, float], cx: float, cy: float, angle: float) -> tuple[float, float]:
    x, y = p[0] - cx, p[1] - cy
    cos, sin = math.cos(angle), math.sin(angle)
    return (cx + x * cos - y * sin, cy + x * sin + y * cos)


@dataclass(frozen=True)
class Standing:
    """One placed part."""

    name: str
    part: Part
    pose: Pose

    @cached_property
    def boxes(self) -> list[Box]:
        """What it fills, in the jig's frame."""
        return [box.placed(self.pose) for box in boxes_of(self.part)]

    @property
    def family(self) -> str:
        """Of a bought part; empty for one that is made."""
        return self.part.made.family if isinstance(self.part.made, Bought) else ""

    @cached_property
    def cut_boxes(self) -> list[Box]:
        """What is cut out of it, in the jig's frame."""
        return [cut_box(self.part, cut).placed(self.pose) for cut in self.part.cuts]

    @cached_property
    def planes(self) -> list[tuple[int, int, float, Box]]:
        """(axis, side it looks to, place, box) of every face and of every floor of a cut."""
        return list(self._planes())

    def _planes(self) -> Iterator[tuple[int, int, float, Box]]:
        for box in self.boxes:
            for axis in range(3):
                yield axis, -1, box.low[axis], box
                yield axis, 1, box.high[axis], box
        for cut in self.part.cuts:
            if cut.depth is None:
                continue
            box = cut_box(self.part, cut).placed(self.pose)
            for axis in range(3):  # a floor looks the other way: into the cut
                yield axis, 1, box.low[axis], box
                yield axis, -1, box.high[axis], box


def touch(a: Standing, b: Standing) -> bool:
    """Do they share a plane, face to face, over some area?"""
    for axis, side, at, box in a.planes:
        for axis_b, side_b, at_b, box_b in b.planes:
            if axis == axis_b and side == -side_b and abs(at - at_b) < NEAR:
                over = box.overlap(box_b)
                if all(over[i] > NEAR for i in range(3) if i != axis):
                    return True
    return False


def in_cuts(a: Standing, b: Standing) -> bool:
    """Is all that both fill taken out of one of them by its cuts?"""
    for one, two in product(a.boxes, b.boxes):
        if not one.meets(two):
            continue
        low = [max(p) for p in zip(one.low, two.low, strict=True)]
        high = [min(p) for p in zip(one.high, two.high, strict=True)]
        cuts = [cut for cut in (*a.cut_boxes, *b.cut_boxes) if cut.meets(one) and cut.meets(two)]
        ends = [
            sorted({low[i], high[i], *(e for c in cuts for e in (c.low[i], c.high[i])
                                       if low[i] < e < high[i])})
            for i in range(3)
        ]  # fmt: skip
        for cell in product(*(pairwise(axis) for axis in ends)):
            middle = [(p + q) / 2 for p, q in cell]
            thin = min(q - p for p, q in cell) < NEAR
            if not thin and not any(
                all(c.low[i] < middle[i] < c.high[i] for i in range(3)) for c in cuts
            ):
                return False
    return True


def coaxial(a: Standing, b: Standing) -> bool:
    """Do their z axes lie on one line?"""
    d, e = a.pose.rotate((0.0, 0.0, 1.0)), b.pose.rotate((0.0, 0.0, 1.0))
    off = [q - p for p, q in zip(a.pose.at, b.pose.at, strict=True)]
    along = sum(o * c for o, c in zip(off, d, strict=True))
    across = sum((o - along * c) ** 2 for o, c in zip(off, d, strict=True)) ** 0.5
    parallel = abs(abs(sum(x * y for x, y in zip(d, e, strict=True))) - 1) < NEAR
    return parallel and across < NEAR


def hole_about(host: Standing, shank: Standing) -> tuple[float, list[Cut]]:
    """(what of the shank within the part runs in wood, mm; the cuts it runs in).

    A cut counts where the shank's axis runs along its depth, and in the middle of a round hole or
    within any other outline. A shank that passes beside the outline, in an open slot, is free.
    """
    inside = host.pose.inverse() @ shank.pose
    axis = next(i for i in range(3) if abs(inside.rotate((0.0, 0.0, 1.0))[i]) > 0.5)
    body = boxes_of(shank.part)[0].placed(inside)
    (whole,) = boxes_of(host.part)
    low, high = max(body.low[axis], whole.low[axis]), min(body.high[axis], whole.high[axis])
    u, v = (inside.at[i] for i in range(3) if i != axis)
    beside = polygon(host.part.outline).distance(Point(u, v)) if host.part.outline else 0.0
    if axis == 2 and beside >= body.high[0] - u - NEAR:
        return 0.0, []
    free, cuts = [], []
    for cut in host.part.cuts:
        across = {Face.LEFT: 0, Face.RIGHT: 0, Face.FRONT: 1, Face.BACK: 1}.get(cut.face, 2)
        if across != axis or not polygon(cut.outline).contains(Point(u, v)):
            continue
        if cut.outline.is_circle and Point(cut.outline.centre).distance(Point(u, v)) > NEAR:
            continue
        box = cut_box(host.part, cut)
        free.append((box.low[axis], box.high[axis]))
        cuts.append(cut)
    at = low
    for start, end in sorted(free):
        if start <= at + NEAR:
            at = max(at, end)
    return max(0.0, high - at) if free else high - low, cuts
