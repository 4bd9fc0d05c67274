"""A socket goes over so much bolt and no more; then a flat spanner must have its room."""

import numpy as np
import pytest
import trimesh

from jigs.kinds._moving import stands_out
from jigs.solids.sweep import merged
from jigs.solids.swing import free_swing

AT, AXIS = np.zeros(3), np.array([0.0, 0.0, 1.0])
ACROSS, TALL = 13.0, 6.5


def well(radius, around):
    """Four walls round a hexagon, that far from its axis; those not in `around` are left out."""
    walls = []
    for i in around:
        wall = trimesh.creation.box((4.0, 400.0, 30.0))
        wall.apply_translation((radius + 2.0, 0.0, -5.0))
        wall.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2 * i, (0, 0, 1)))
        walls.append(merged(np.asarray(wall.vertices, float), np.asarray(wall.faces, np.int64)))
    return walls


@pytest.mark.parametrize(("beyond", "swing"), [(0.0, 360.0), (35.0, 360.0), (35.1, 0.0)])
def test_in_a_well_only_a_socket_turns(beyond, swing):
    """Walls 13 from the axis: a socket of 0.75 x 13 + 2 goes in, a head of 1.1 x 13 does not."""
    assert free_swing(well(13.0, range(4)), AT, AXIS, ACROSS, TALL, beyond) == swing


def test_over_a_long_bolt_beside_one_wall_a_flat_spanner_is_swung():
    """A wall 15 from the axis, half the handle 6.5 wide: free where |sin| x 156 + 6.5 |cos| < 15,
    so for a half turn and a little more."""
    swing = free_swing(well(15.0, [0]), AT, AXIS, ACROSS, TALL, 60.0)
    assert 180 < swing < 200
    assert free_swing(well(15.0, [0]), AT, AXIS, ACROSS, TALL) == 360


def test_a_bolt_that_ends_in_its_nut_stands_out_by_nothing():
    assert stands_out((0, -10, 0), (0, -1, 0), (5, -8, 3)) == 0
    assert stands_out((0, -10, 0), (0, -1, 0), (5, -52, 3)) == 42
