"""Sweeps against moves that are known to touch or to pass, and against another library's sampling.

200 interferences of 0.05 mm are planted and 200 moves with 0.05 mm to spare made up, at random
places on random moves of random bodies.
"""

import numpy as np
import pytest
import trimesh

from jigs.solids.sweep import Faces, Mesh, first_contact, merged, room_round

SKIN = 0.02
SPARE = 0.05


def from_trimesh(body):
    return merged(np.asarray(body.vertices, float), np.asarray(body.faces, np.int64))


def turned(rng):
    q = rng.normal(size=4)
    return trimesh.transformations.quaternion_matrix(q / np.linalg.norm(q))


def random_body(rng):
    """A box, a drum, or the hull of a cloud, of 5 to 60 mm, anyhow turned."""
    kind = rng.integers(3)
    if kind == 0:
        body = trimesh.creation.box(rng.uniform(5, 60, 3))
    elif kind == 1:
        body = trimesh.creation.cylinder(rng.uniform(3, 20), rng.uniform(5, 60), sections=64)
    else:
        body = trimesh.convex.convex_hull(rng.uniform(-20, 20, (14, 3)))
    body.apply_transform(turned(rng))
    return body


def beside(rng, spare):
    """A moving body, a leg, and a still body that the way of the first passes at `spare` mm.

    Placed by support planes: the still body touches a plane that the way runs along.
    """
    moving, still = random_body(rng), random_body(rng)
    leg = rng.normal(size=3)
    leg *= rng.uniform(10, 200) / np.linalg.norm(leg)
    aside = np.cross(leg, rng.normal(size=3))
    aside /= np.linalg.norm(aside)
    # The corner of the moving body furthest aside, somewhere on its way, against the nearest
    # corner of the other body.
    tip = moving.vertices[np.argmax(moving.vertices @ aside)] + rng.uniform(0.2, 0.8) * leg
    toe = still.vertices[np.argmin(still.vertices @ aside)]
    still.apply_translation(tip + aside * spare - toe)
    return from_trimesh(moving), from_trimesh(still), leg


@pytest.mark.parametrize("seed", range(200))
def test_a_planted_interference_is_found(seed):
    """Corner on corner, 0.05 mm deep square to the way: two convex bodies that overlap there."""
    moving, still, leg = beside(np.random.default_rng(seed), -SPARE)
    assert first_contact(moving.with_skin(-SKIN / 10), still, leg) is not None


@pytest.mark.parametrize("seed", range(200))
def test_a_clear_move_is_not_refused(seed):
    """A plane lies between the way and the still body, 0.05 mm wide, even with the skin on."""
    moving, still, leg = beside(np.random.default_rng(seed), SPARE)
    assert first_contact(moving.with_skin(SKIN), still, leg) is None


@pytest.mark.parametrize("seed", range(60))
def test_where_it_stops_against_steps_of_another_library(seed):
    """trimesh asks at 400 places of the way whether any corner is within, or the hulls meet."""
    rng = np.random.default_rng(1000 + seed)
    moving, still = random_body(rng), random_body(rng)
    leg = rng.normal(size=3)
    leg *= 100 / np.linalg.norm(leg)
    still.apply_translation(leg * rng.uniform(0.6, 0.9) + rng.uniform(-8, 8, 3))
    found = first_contact(from_trimesh(moving), from_trimesh(still), leg)
    gaps = np.array([_gap(moving, still, leg * share) for share in np.linspace(0, 1, 101)])
    touching = np.nonzero(gaps <= 1e-9)[0]
    if found is None:
        assert not len(touching)
    else:
        assert len(touching)
        assert touching[0] - 1 <= found <= touching[0] + 1e-6


def _gap(moving, still, shift):
    """Distance of two convex bodies by their separating planes: 0 where they overlap.

    Exact sign by linear programming: is there a point in both?
    """
    from scipy.optimize import linprog

    rows, right = [], []
    for body, move in ((moving, shift), (still, np.zeros(3))):
        normals = body.face_normals
        offsets = np.einsum("ij,ij->i", normals, body.triangles[:, 0] + move)
        rows.append(normals)
        right.append(offsets)
    a, b = np.vstack(rows), np.concatenate(right)
    # The deepest point common to both: below 0 there is none.
    deepest = linprog(
        [0, 0, 0, -1], A_ub=np.hstack([a, np.ones((len(a), 1))]), b_ub=b,
        bounds=[(None, None)] * 4,
    )  # fmt: skip
    return -deepest.x[3]


def test_sliding_on_a_face_is_neither_refused_nor_deep():
    """A block that slides on another: free with a skin off, caught when pressed in by 0.05."""
    block, plate = trimesh.creation.box((20, 20, 20)), trimesh.creation.box((200, 200, 10))
    plate.apply_translation((0, 0, -15))
    leg = np.array([60.0, 13.0, 0.0])
    assert first_contact(from_trimesh(block).with_skin(-SKIN), from_trimesh(plate), leg) is None
    block.apply_translation((0, 0, -SPARE))
    assert first_contact(from_trimesh(block).with_skin(-SKIN), from_trimesh(plate), leg) < 1e-9


def test_a_bolt_in_its_hole_comes_out_along_it_and_not_aside():
    ring = trimesh.creation.annulus(5, 20, 30, sections=96)
    bolt = trimesh.creation.cylinder(4.5, 60, sections=96)
    out = first_contact(from_trimesh(bolt), from_trimesh(ring), np.array([0.0, 0.0, 80.0]))
    aside = first_contact(from_trimesh(bolt), from_trimesh(ring), np.array([30.0, 0.0, 0.0]))
    assert out is None
    assert aside == pytest.approx(0.5, abs=0.01)


def test_a_skin_moves_every_face_of_a_box_by_its_thickness():
    box = from_trimesh(trimesh.creation.box((10, 20, 30))).with_skin(-0.5)
    assert np.ptp(box.corners, axis=0) == pytest.approx([9, 19, 29])


@pytest.mark.parametrize(
    ("low", "high", "room"), [(-5, 5, 30), (12, 20, float("inf")), (9, 20, 30)]
)
def test_room_round_an_axis(low, high, room):
    """A wall 30 mm beside the axis, 10 mm up and down."""
    wall = trimesh.creation.box((10, 100, 20))
    wall.apply_translation((35, 0, 0))
    found = room_round(from_trimesh(wall), np.zeros(3), np.array([0.0, 0, 1]), low, high, 50)
    assert found == pytest.approx(room)


def test_room_round_an_axis_that_goes_through():
    slab = trimesh.creation.box((100, 100, 2))
    assert room_round(from_trimesh(slab), np.zeros(3), np.array([0.0, 0, 1]), -5, 5, 9) == 0


def test_an_empty_way_is_no_way():
    one = Mesh(np.zeros((3, 3)), Faces(np.array([[0, 1, 2]]), np.zeros((0, 2), int)))
    assert first_contact(one, one, np.zeros(3)) is None
