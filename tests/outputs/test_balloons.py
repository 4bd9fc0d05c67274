"""Numbers of exploded views: clear of the drawing and of each other, leader lines untangled.

Shapely is the witness; the shipped jigs are looked at pixel by pixel.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPoint, Point

from jigs.outputs.cad.apart import apart, together
from jigs.outputs.cad.balloons import Balloon, place, ring_round
from jigs.outputs.cad.composition import SIZE
from jigs.outputs.cad.exploded_page import CLEAR, RADIUS, compose_exploded
from jigs.outputs.cad.painting import who_is_seen
from jigs.outputs.cad.seeing import Meshes

WIDE, TALL = 800.0, 500.0
inside = st.tuples(st.floats(20, WIDE - 20), st.floats(20, TALL - 20))
CORNERS = np.array([(0.0, 0.0), (WIDE, 0.0), (WIDE, TALL), (0.0, TALL)])


def round_a_board(anchors) -> list[Balloon]:
    named = {str(number): at for number, at in enumerate(anchors, 1)}
    return place(named, ring_round(CORNERS, CLEAR), RADIUS)


def assert_well_placed(balloons, drawing) -> None:
    circles = [Point(b.at).buffer(b.radius, 64) for b in balloons]
    lines = [LineString([b.foot, b.anchor]) for b in balloons]
    for circle in circles:
        assert not circle.intersects(drawing)
    for a, b in itertools.combinations(range(len(balloons)), 2):
        assert not circles[a].intersects(circles[b])
        assert not lines[a].crosses(lines[b])
    for a, b in itertools.permutations(range(len(balloons)), 2):
        assert not lines[a].intersects(circles[b])


@settings(max_examples=60, deadline=None)
@given(st.lists(inside, min_size=1, max_size=26, unique_by=lambda p: (round(p[0]), round(p[1]))))
def test_wherever_the_parts_are(anchors):
    balloons = round_a_board(anchors)
    assert [b.label for b in balloons] == [str(n) for n in range(1, len(anchors) + 1)]
    assert [b.anchor for b in balloons] == anchors
    assert_well_placed(balloons, MultiPoint(CORNERS).convex_hull)


def test_parts_in_a_heap_fan_out():
    heap = [(400 + 3 * math.cos(i), 250 + 3 * math.sin(i)) for i in range(24)]
    assert_well_placed(round_a_board(heap), MultiPoint(CORNERS).convex_hull)


def test_parts_in_a_row_at_the_rim():
    row = [(790.0, 20.0 + 18 * i) for i in range(26)]
    assert_well_placed(round_a_board(row), MultiPoint(CORNERS).convex_hull)


def test_a_lone_part_has_its_number_straight_beyond_it():
    (balloon,) = round_a_board([(700.0, 250.0)])
    assert balloon.at[1] == pytest.approx(250.0, abs=1.0)
    assert balloon.at[0] == pytest.approx(WIDE + CLEAR, rel=0.15)
    assert balloon.foot == pytest.approx((balloon.at[0] - RADIUS, 250.0), abs=1.0)


def test_more_numbers_than_the_ring_holds_make_it_larger():
    small = np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)])
    anchors = {str(i): (20.0 + i / 10, 20.0) for i in range(30)}
    balloons = place(anchors, ring_round(small, CLEAR), RADIUS)
    apart_by = min(math.dist(a.at, b.at) for a, b in itertools.combinations(balloons, 2))
    assert apart_by >= 2 * RADIUS


@pytest.mark.parametrize("job", ["allotment", "stool", "skittles"])
def test_on_the_shipped_jigs_no_number_hides_anything_and_each_points_at_its_part(
    job, designs, scenes
):
    meshes = Meshes()
    for setup, jig in designs(job).jigs():
        drawn = apart(scenes(job), together(scenes(job), setup, jig))
        page = compose_exploded(drawn, jig.frame.rotate(jig.kind.seen_from), SIZE, meshes)
        numbers = [balloon.label for balloon in page.balloons]
        assert sorted(map(int, numbers)) == sorted(set(drawn.numbers)), "each once, none left out"
        rows = {row.label: row.text for row in page.rows}
        assert not any("not seen" in text for text in rows.values())
        for drawing in page.drawings:
            seen = who_is_seen(drawing.solids, meshes, drawing.view)
            for balloon in drawing.balloons:
                assert_clear(balloon, seen, drawing.frame)
                x, y = (round(v) for v in balloon.anchor)
                beside = seen[y - 2 : y + 3, x - 2 : x + 3].ravel()
                assert int(balloon.label) in {drawn.numbers[i] for i in beside if i >= 0}
            for a, b in itertools.combinations(drawing.balloons, 2):
                assert math.dist(a.at, b.at) > 2 * RADIUS
                assert not LineString([a.foot, a.anchor]).crosses(LineString([b.foot, b.anchor]))


def assert_clear(balloon, seen, frame) -> None:
    """The circle lies on bare paper, within its part of the page."""
    y, x = np.ogrid[: seen.shape[0], : seen.shape[1]]
    circle = (x - balloon.at[0]) ** 2 + (y - balloon.at[1]) ** 2 <= balloon.radius**2
    assert circle.sum() > 1000, "on the page as a whole"
    assert (seen[circle] == -1).all()
    left, top, right, bottom = frame
    assert left <= balloon.at[0] - RADIUS
    assert balloon.at[0] + RADIUS <= right
    assert top <= balloon.at[1] - RADIUS
    assert balloon.at[1] + RADIUS <= bottom
