"""Words on parts: within the wood, clear of the cuts, upright and readable."""

import pytest
from shapely.geometry import LineString, Point, box

from jigs.making.engraving import AROUND, HEIGHTS, engrave
from jigs.model.outline import Outline


def test_words_lie_inside_and_clear_of_cuts():
    board = Outline.rectangle(0, 0, 120, 80)
    holes = [Outline.circle(60, 40, 20), Outline.rectangle(10, 10, 40, 30)]
    found = engrave(board, holes, ("FIXED FACE", "UP"))
    assert found.height == HEIGHTS[0]
    busy = Point(60, 40).buffer(10).union(box(10, 10, 40, 30))
    for stroke in found.strokes:
        line = LineString(stroke)
        assert box(0, 0, 120, 80).buffer(-AROUND + 1e-6).contains(line)
        assert line.distance(busy) >= AROUND - 1e-6


def test_an_l_has_its_foot_below():
    """An L: one upright and one foot to the right of it, at its lower end."""
    strokes = engrave(Outline.rectangle(0, 0, 60, 60), [], ("L",)).strokes
    points = [p for stroke in strokes for p in stroke]
    left, low = min(x for x, _ in points), min(y for _, y in points)
    top = max(y for _, y in points)
    assert {round(x - left, 6) for x, y in points if y == top} == {0}
    assert max(x for x, y in points if y == low) > left + 2


@pytest.mark.parametrize(("wide", "height"), [(60, 8), (36, 6), (29, 5), (24, 4)])
def test_smaller_parts_get_smaller_letters(wide, height):
    assert engrave(Outline.rectangle(0, 0, wide, 40), [], ("FENCE",)).height == height


def test_no_room_no_words():
    assert engrave(Outline.rectangle(0, 0, 12, 12), [], ("MOVING JAW",)) is None
    assert engrave(Outline.rectangle(0, 0, 90, 90), [], ()) is None


def test_round_outlines_keep_their_words_inside():
    disc = Outline.circle(0, 0, 60)
    for stroke in engrave(disc, [], ("PAD",)).strokes:
        assert all(x * x + y * y < 30**2 for x, y in stroke)
