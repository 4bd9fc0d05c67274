"""The shipped ring's numbers, worked by hand: grip 31.5 to 36, liner 3 ± 0.2, sheet 17.6."""

import math

import pytest

from jigs.model.state import Limit, Phase, State

HAND = {
    "bore_radius": 36 / 2 + 3 + 0.5,
    "lined_radius": 18.5,
    "squeeze": 0.42,  # 15 % of 3 - 0.2
    "closing_turns": 2 * 0.42 / 1.25,  # M8 coarse, pitch 1.25
    "gap": 8.1,  # 4.5 + 2*0.5 + 2*0.42 + 1 + 2*(0.15 + 0.2)
    "nominal_offset": 2.045,  # 18.5 - 16.875 + 0.42
    "least_gap_left": 8.1 - 2 * (18.5 - 15.75 + 0.42),
    "washer_diameter": 24,  # ISO 7093, M8
    "drawbolt_hole": 9,  # ISO 273 medium, M8
    "drawbolt_length": 100,
    "hang_length": 40,
}


@pytest.fixture
def ring(allotment):
    return next(jig for _, jig in allotment.jigs() if jig.name == "ring")


@pytest.mark.parametrize(("name", "value"), HAND.items())
def test_numbers_worked_by_hand(ring, name, value):
    assert ring.n[name].value == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(("diameter", "dy"), [(31.5, 1.125), (33.75, 0.0), (36, -1.125)])
def test_a_thinner_piece_sits_nearer_to_the_machine(ring, diameter, dy):
    """Its radius is 1.125 less, so the fixed seat lets its axis come 1.125 closer (+y)."""
    assert ring.kind.offset_of(ring.n, {"grip_diameter": diameter}).dy == pytest.approx(
        dy, abs=1e-9
    )


@pytest.mark.parametrize("limit", list(Limit))
@pytest.mark.parametrize(("phase", "sunk"), [(Phase.SETTING, 0.0), (Phase.CLOSED, 0.42)])
def test_both_linings_meet_the_piece_alike(ring, limit, phase, sunk):
    """From the poses alone: seats lie R from their bore's centre, the piece r from its axis."""
    state = State(phase, limit)
    places = {p.name: p.pose for p in ring.poses(state)}
    axis = ring.kind.holds_piece(ring.n, state).dy
    r = ring.n[f"grip_diameter_{limit.value}"].value / 2
    fixed_seat = places["fixed liner"].apply((0, 18.5, 0))[1]
    moving_seat = places["moving liner"].apply((0, 18.5, 0))[1]
    assert (axis + r) - fixed_seat == pytest.approx(sunk, abs=1e-9)
    assert moving_seat - (axis - r) == pytest.approx(sunk, abs=1e-9)


def test_the_gap_left_is_the_distance_of_the_split_faces(ring):
    """From the poses and the halves' outlines."""
    state = State(Phase.CLOSED, Limit.LEAST)
    places = {p.name: p.pose for p in ring.poses(state)}
    fixed, moving = ring.parts["fixed_half"].outline, ring.parts["moving_half"].outline
    face = places["fixed half"].apply((0, fixed.bounds[1], 0))[1]
    other = places["moving half"].apply((0, moving.bounds[3], 0))[1]
    assert face - other == pytest.approx(ring.n.least_gap_left, abs=1e-9)


def test_the_half_bore_is_a_bore(ring):
    """Area of the fixed half = rectangle less a circular segment of the bore (textbook formula)."""
    half = ring.parts["fixed_half"].outline
    x0, y0, x1, y1 = half.bounds
    r, h = 21.5, 21.5 - 8.1 / 2
    segment = r * r * math.acos((r - h) / r) - (r - h) * math.sqrt(2 * r * h - h * h)
    assert half.area == pytest.approx((x1 - x0) * (y1 - y0) - segment, rel=1e-9)


def test_every_placed_part_is_a_listed_part_and_names_are_unique(allotment):
    for _, jig in allotment.jigs():
        for phase in Phase:
            placed = jig.poses(State(phase, Limit.NOMINAL))
            assert {p.part for p in placed} <= set(jig.parts)
            assert len({p.name for p in placed}) == len(placed)
