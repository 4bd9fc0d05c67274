"""Poses against numpy's matrices."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jigs.model.pose import Pose

lengths = st.floats(-500, 500)
turns = st.tuples(st.sampled_from("xyz"), st.floats(-400, 400))
poses = st.builds(
    lambda t, x, y, z: Pose.to(x, y, z) @ Pose.turned(*t), turns, lengths, lengths, lengths
)


@given(poses, poses, lengths, lengths, lengths)
def test_placing_twice_is_the_product_of_the_matrices(a, b, x, y, z):
    expected = np.array(a.matrix()) @ np.array(b.matrix()) @ [x, y, z, 1]
    assert (a @ b).apply((x, y, z)) == pytest.approx(expected[:3], abs=1e-6)


@given(poses)
def test_the_inverse_is_the_inverse_matrix(pose):
    expected = np.linalg.inv(np.array(pose.matrix()))
    assert np.array(pose.inverse().matrix()) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("axis", "point", "lands"),
    [("x", (0, 1, 0), (0, 0, 1)), ("y", (0, 0, 1), (1, 0, 0)), ("z", (1, 0, 0), (0, 1, 0))],
)
def test_quarter_turns_follow_the_right_hand_exactly(axis, point, lands):
    assert Pose.turned(axis, 90).apply(point) == lands
