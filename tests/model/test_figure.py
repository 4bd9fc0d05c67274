"""Figures against outlines, with shapely as the witness: what is told for certain is so."""

from __future__ import annotations

import math
import random

import pytest
import shapely

from jigs.model.figure import Figure, holds
from jigs.model.outline import Outline

WITHIN = 0.005
SLACK = 1e-3
"""mm: shapely's arcs are chords."""


def polygon(outline: Outline) -> shapely.Polygon:
    """The outline with each arc as many chords."""
    points: list[tuple[float, float]] = []
    for side in outline.sides:
        points.append(side.start)
        if side.bulge:
            (cx, cy), r = side.centre, side.radius
            first = math.atan2(side.start[1] - cy, side.start[0] - cx)
            turns = (first + side.angle * i / 400 for i in range(1, 400))
            points += [(cx + r * math.cos(a), cy + r * math.sin(a)) for a in turns]
    return shapely.Polygon(points)


def drawn_outline(rng: random.Random) -> Outline:
    """One that jigs have: plate, slot, hole, T-slot, ring half, hexagon."""
    w, h, r = rng.uniform(6, 40), rng.uniform(6, 40), rng.uniform(1, 2.9)
    x, y = rng.uniform(-5, 5), rng.uniform(-5, 5)
    match rng.randrange(6):
        case 0:
            return Outline.rectangle(x - w / 2, y - h / 2, x + w / 2, y + h / 2, rng.choice([0, r]))
        case 1:
            return Outline.slot((x - w / 2, y), (x + w / 2, rng.choice([y, y + 4])), h / 3)
        case 2:
            return Outline.circle(x, y, h)
        case 3:
            neck, room = w / 5, h / 3
            return Outline.of([
                (-w, -h), (w, -h), (w, h), (neck, h), (neck, h - 4), (2 * neck, h - 4),
                (2 * neck, h - 4 - room), (-2 * neck, h - 4 - room), (-2 * neck, h - 4),
                (-neck, h - 4), (-neck, h), (-w, h),
            ]).shifted(x, y)  # fmt: skip
        case 4:
            radius = min(w, h) / 3
            return Outline.of(
                [
                    (-w, 0),
                    (-radius, 0, -math.tan(math.pi / 4)),
                    (radius, 0),
                    (w, 0),
                    (w, h),
                    (-w, h),
                ]
            ).shifted(x, y)
    return Outline.polygon(x, y, h)


def drawn_figure(rng: random.Random) -> tuple[Figure, shapely.Polygon]:
    """A disc, a rectangle or a hexagon, anyhow turned, and the same in shapely."""
    x, y, size = rng.uniform(-30, 30), rng.uniform(-30, 30), rng.uniform(0.5, 14)
    if rng.random() < 0.4:
        return Figure(((x, y),), size), shapely.Point(x, y).buffer(size, quad_segs=400)
    if rng.random() < 0.5:
        box = Figure.rectangle((x, x + size), (y, y + rng.uniform(0.5, 14)))
    else:
        hexagon = Outline.polygon(0, 0, size)
        sin = rng.uniform(0, 0.8)
        cos = math.sqrt(1 - sin * sin)
        box = Figure(tuple(
            (x + u * cos - v * sin, y + u * sin + v * cos)
            for u, v, _ in hexagon.vertices
        ))  # fmt: skip
    return box, shapely.Polygon(box.points)


@pytest.mark.parametrize("seed", range(12))
def test_inside_and_beside_are_certain_and_seldom_doubtful(seed: int) -> None:
    """What is said holds in shapely; what holds there with 0.05 mm to spare is said."""
    rng = random.Random(seed)
    said = {"inside": 0, "beside": 0}
    doubtful = 0
    for _ in range(250):
        outline = drawn_outline(rng)
        figure, witness = drawn_figure(rng)
        area, small = polygon(outline), witness.buffer(-WITHIN - SLACK)
        inside, beside = figure.is_inside(outline, WITHIN), figure.is_beside(outline, WITHIN)
        assert not (inside and beside)
        if inside:
            said["inside"] += 1
            assert area.contains(small)
        if beside:
            said["beside"] += 1
            assert not area.intersects(small)
        clear = area.buffer(-0.05).contains(witness) or area.distance(witness) > 0.05
        doubtful += clear and not (inside or beside)
    assert said["inside"] > 10
    assert said["beside"] > 100
    assert doubtful <= 2


@pytest.mark.parametrize("seed", range(4))
def test_a_point_is_inside_where_shapely_says_so(seed: int) -> None:
    """Middles too, which lie on chords of circles and slots."""
    rng = random.Random(f"point {seed}")
    for _ in range(300):
        outline = drawn_outline(rng)
        area = polygon(outline)
        points = [(rng.uniform(-40, 40), rng.uniform(-40, 40)), outline.centre]
        for point in points:
            if area.boundary.distance(shapely.Point(point)) > 0.01:
                assert holds(outline, point) == area.contains(shapely.Point(point))


def test_a_disc_that_fills_its_hole_is_inside_it_and_one_a_skin_larger_is_not() -> None:
    """A bolt in a thread of its own diameter."""
    hole = Outline.circle(3, 4, 8)
    assert Figure(((3.0, 4.0),), 4.0).is_inside(hole, WITHIN)
    assert not Figure(((3.0, 4.0),), 4.0 + 2 * WITHIN).is_inside(hole, WITHIN)
    assert not Figure(((3.0 + 2 * WITHIN, 4.0),), 4.0).is_inside(hole, WITHIN)


def test_a_square_neck_in_a_slot() -> None:
    """It may stand anywhere between the round ends, but not in them: its corners would bite."""
    slot = Outline.slot((0.0, 0.0), (20.0, 0.0), 6.4)

    def neck(x: float) -> Figure:
        return Figure.rectangle((x - 3, x + 3), (-3.0, 3.0))

    assert neck(10.0).is_inside(slot, WITHIN)
    assert not neck(0.0).is_inside(slot, WITHIN)
    assert not neck(20.0).is_inside(slot, WITHIN)
    # The arc about (0, 0) is 3 mm off the middle line at x = -sqrt(3.2^2 - 3^2) = -1.114: there
    # the neck's corner meets it, when the neck's middle stands 3 mm further in.
    least = 3.0 - math.sqrt(3.2**2 - 3.0**2)
    assert neck(least + 0.1).is_inside(slot, WITHIN)
    assert not neck(least - 0.02).is_inside(slot, WITHIN)
