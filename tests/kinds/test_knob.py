"""Knobs: sizes worked by hand from the standards, outline and solid by other means."""

from __future__ import annotations

import math

import pytest
from shapely import Polygon
from shapely.affinity import rotate

from jigs.kinds._knob import LOBES, Knob, lobed
from jigs.model.pose import Pose
from jigs.solids.build import part_solid

SIZES = [
    # thread, made, diameter: 6 d up to 5; height: thread and max(6, nut), up to 1
    ("M5", "wood", 30, 18),  # DIN 7965: 12; 12 + 6
    ("M6", "wood", 40, 21),  # 36; 15 + 6
    ("M8", "wood", 50, 25),  # 48; 18 + 6.8 (ISO 4032) = 24.8
    ("M10", "wood", 60, 34),  # 25 + 8.4 = 33.4
    ("1/4", "wood", 40, 19),  # 38.1; 12.7 + 6 = 18.7
    ("5/16", "wood", 50, 22),  # 47.6; 14.29 + 6.93 (ASME B18.2.2: 0.273) = 21.2
    ("3/8", "wood", 60, 25),  # 57.2; 15.88 + 8.56 (0.337) = 24.4
    ("M5", "print", 30, 11),  # nut 4.7 + 6 = 10.7
    ("M6", "print", 40, 12),  # 5.2 + 6 = 11.2
    ("M8", "print", 50, 14),  # 6.8 + 6.8 = 13.6
    ("3/8", "print", 60, 18),  # 8.56 + 8.56 = 17.1
]


@pytest.mark.parametrize(("size", "made", "diameter", "height"), SIZES)
def test_diameter_and_height(size, made, diameter, height):
    knob = Knob(size, made)
    assert (knob.diameter, knob.height) == (diameter, height)


def traced(diameter: float) -> Polygon:
    """The outline as many short chords, from its vertices and bulges."""
    points = []
    vertices = lobed(diameter).vertices
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices, [*vertices[1:], vertices[0]], strict=True):
        angle, chord = 4 * math.atan(bulge), math.hypot(x1 - x0, y1 - y0)
        along = math.atan2(y1 - y0, x1 - x0)
        radius = chord / (2 * math.sin(angle / 2))
        heading = along - angle / 2
        cx, cy = x0 - radius * math.sin(heading), y0 + radius * math.cos(heading)
        start = math.atan2(y0 - cy, x0 - cx)
        points += [
            (cx + abs(radius) * math.cos(start + angle * i / 60),
             cy + abs(radius) * math.sin(start + angle * i / 60))
            for i in range(60)
        ]  # fmt: skip
    return Polygon(points)


@pytest.mark.parametrize("diameter", [30, 40, 50, 60])
def test_six_round_lobes_within_the_diameter(diameter):
    shape = traced(diameter)
    assert shape.is_valid
    radii = [math.hypot(x, y) for x, y in shape.exterior.coords[:-1]]
    assert max(radii) == pytest.approx(diameter / 2, abs=1e-9)
    assert min(radii) > 0.6 * diameter / 2  # fingers do not meet the insert
    peaks = [
        i for i, r in enumerate(radii) if r >= radii[i - 1] and r > radii[(i + 1) % len(radii)]
    ]
    assert len(peaks) == LOBES == 6


def test_a_sixth_of_a_turn_changes_nothing():
    shape = traced(50)
    turned = rotate(shape, 60, origin=(0, 0))
    assert shape.symmetric_difference(turned).area < 1e-6 * shape.area


def test_lobe_and_hollow_go_over_into_each_other_without_a_corner():
    coords = list(traced(50).exterior.coords)[:-1]
    for i, (x, y) in enumerate(coords):
        (x0, y0), (x1, y1) = coords[i - 1], coords[(i + 1) % len(coords)]
        before, after = math.atan2(y - y0, x - x0), math.atan2(y1 - y, x1 - x)
        corner = (after - before + math.pi) % (2 * math.pi) - math.pi
        assert abs(corner) < 0.06  # a chord's own turn is at most 2 * 1.4 / 60


@pytest.mark.parametrize(
    ("size", "made", "hole", "seat_area", "seat_depth"),
    [
        # ISO 273 medium 9; DIN 7965 insert in a hole of 14.5, 18 long
        ("M8", "wood", 9.0, math.pi / 4 * 14.5**2, 18.0),
        # 0.3 wider, printed: 6.9; hexagon 10.3 across flats, area s^2 sqrt(3) / 2; nut 5.2
        ("M6", "print", 6.9, 10.3**2 * math.sqrt(3) / 2, 5.2),
        # ASME B18.2.8 normal 9/32 in; hole 3/8 in, insert 1/2 in
        ("1/4", "wood", 9 / 32 * 25.4, math.pi / 4 * (3 / 8 * 25.4) ** 2, 12.7),
    ],
)
def test_the_solid_is_the_outline_less_hole_and_seat(size, made, hole, seat_area, seat_depth):
    knob = Knob(size, made)
    body, _ = knob.parts("beech", "PETG")
    below = knob.height - seat_depth
    expected = traced(knob.diameter).area * knob.height
    expected -= math.pi / 4 * hole**2 * below + seat_area * seat_depth
    assert part_solid(body).Volume() == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize("made", ["wood", "print"])
def test_the_thread_ends_flush_with_the_top_and_is_pulled_onto_its_seat(made):
    knob = Knob("M8", made)
    at = Pose.to(10, 20, 30) @ Pose.turned("y", 90)
    body, thread = knob.place("hold-down", at, "moving")
    x, y, z = thread.pose.at
    assert (y, z) == pytest.approx((20, 30))
    assert x + knob.thread_length == pytest.approx(10 + knob.height)
    box = part_solid(knob.parts("beech", "PETG")[1]).BoundingBox()
    assert (box.zmin, box.zmax) == pytest.approx((0, knob.thread_length), abs=1e-6)
    assert body.pose == at


def test_wood_carries_an_insert_and_a_print_carries_a_nut():
    made = {m: Knob("M6", m).parts("maple", "PETG") for m in ("wood", "print")}
    assert made["wood"][1].made.family == "insert"
    assert made["print"][1].made.family == "hex nut"
    assert made["wood"][0].made.wood == "maple"
    assert made["print"][0].made.material == "PETG"
