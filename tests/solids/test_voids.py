"""Proofs from descriptions alone, with the kernel's own solids as the witness."""

from __future__ import annotations

import random

import cadquery as cq
import numpy as np
import pytest

from jigs.model.part import Bought, Part
from jigs.model.pose import Pose
from jigs.model.state import all_states
from jigs.solids.depth import overlap_depth
from jigs.solids.described import described
from jigs.solids.shapes import location, swept
from jigs.solids.skin import Body
from jigs.solids.voids import ACROSS, Described, Straight, Void, stays_out
from jigs.tolerance import TOLERANCE

WITHIN = TOLERANCE.overlap / 4
JOBS = ("allotment", "stool", "skittles")


def things(scene):
    """Each different thing of a job with its description, where it has one."""
    found = {}
    for setup in scene.design.setups:
        for state in all_states():
            for standing in scene.standing(setup, state):
                found[standing.form.mark] = standing
    return [(s, of) for s in found.values() if (of := described(s.form.of)) is not None]


def depth_inside(figure, points):
    """How far points lie inside a disc or convex polygon, mm; negative outside."""
    if figure.is_disc:
        return figure.radius - np.linalg.norm(points - figure.points[0], axis=1)
    corners = np.array(figure.points)
    along = np.roll(corners, -1, axis=0) - corners
    normals = np.stack([along[:, 1], -along[:, 0]], axis=1)
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    return ((corners * normals).sum(axis=1) - points @ normals.T).min(axis=1)


def held_by(bar: Straight, points):
    """Which points lie in a bar, give or take a hair."""
    along = points[:, bar.axis]
    low, high = bar.span
    across = depth_inside(bar.figure, points[:, list(ACROSS[bar.axis])])
    if bar.last_radius is not None:
        across += (bar.last_radius - bar.figure.radius) * (along - low) / (high - low)
    return (across >= -1e-6) & (along >= low - 1e-6) & (along <= high + 1e-6)


def corners_of(shape: cq.Shape):
    """Points on a solid's skin."""
    return np.array([p.toTuple() for p in shape.copy().tessellate(0.05, 0.3)[0]])


@pytest.mark.parametrize("job", JOBS)
def test_bars_hold_all_of_a_thing_and_its_voids_nothing_of_it(scenes, job) -> None:
    """Points on the solids lie in the bars; solids of the voids share nothing with them."""
    found = things(scenes(job))
    assert len(found) > 40
    for standing, of in found:
        points = corners_of(standing.shape)
        assert np.any([held_by(bar, points) for bar in of.held], axis=0).all(), standing.key
        box = standing.shape.BoundingBox()
        for void in of.voids[:6]:
            taken = solid_of(void, (box.xmin, box.ymin, box.zmin), (box.xmax, box.ymax, box.zmax))
            left = standing.shape.intersect(taken)
            assert sum(s.Volume() for s in left.Solids()) < 1e-3, (standing.key, void)


def solid_of(void: Void, least, most) -> cq.Solid:
    """A void as a solid, as far as the bounds of its thing go and 1 mm further."""
    low = max(void.span[0], least[void.axis] - 1)
    high = min(void.span[1], most[void.axis] + 1)
    u, v = ACROSS[void.axis]

    def lift(x: float, y: float) -> tuple[float, float, float]:
        point = [0.0, 0.0, 0.0]
        point[void.axis], point[u], point[v] = low, x, y
        return (point[0], point[1], point[2])

    along = [0.0, 0.0, 0.0]
    along[void.axis] = high - low
    return swept(void.outline, lift, (along[0], along[1], along[2]))


@pytest.mark.parametrize("job", JOBS)
def test_what_is_proven_apart_is_apart_by_the_kernel(scenes, job) -> None:
    """Neighbours that are pushed about at random, from a hair to 6 mm, along one to three axes."""
    scene, rng = scenes(job), random.Random(f"apart {job}")
    state = next(iter(all_states()))
    pairs = [
        (a, b)
        for setup in scene.design.setups
        for standing in [scene.standing(setup, state)]
        for i, a in enumerate(standing)
        for b in standing[i + 1 :]
        if neighbours(scene.box_of(a), scene.box_of(b))
    ]
    proven, open_still = 0, 0
    for a, b in rng.sample(pairs, 60):
        one, two = described(a.form.of), described(b.form.of)
        if one is None or two is None:
            continue
        push = [rng.choice([0.0, 0.0, 0.03, 0.3, 6.0]) * rng.choice([-1, 1]) for _ in range(3)]
        pose = b.pose.inverse() @ a.pose.shifted(*push)
        if stays_out(one, two, pose, WITHIN):
            proven += 1
            placed = a.shape.moved(location(pose))
            assert overlap_depth(Body(lambda p=placed: p), Body(lambda s=b.shape: s)) <= 0.02, (
                a.key, b.key, push
            )  # fmt: skip
        else:
            open_still += 1
    assert proven > 5
    assert open_still > 8


def neighbours(a, b) -> bool:
    """Do two boxes overlap?"""
    return all(a[i] < b[i + 3] and b[i] < a[i + 3] for i in range(3))


def test_every_pair_but_what_sinks_in_and_what_is_curved_is_proven(scenes) -> None:
    """Of a shipped job's neighbours that share nothing, all but a few need no kernel."""
    scene, state = scenes("allotment"), next(iter(all_states()))
    left = []
    for setup in scene.design.setups:
        for overlap in scene.overlaps(setup, state):
            assert overlap.depth > TOLERANCE.overlap
        standing = scene.standing(setup, state)
        for i, a in enumerate(standing):
            for b in standing[i + 1 :]:
                if neighbours(scene.box_of(a), scene.box_of(b)) and not proven(a, b):
                    left.append((a.key, b.key))
    assert len(left) <= 12, left


def proven(a, b) -> bool:
    """One way or the other?"""
    one, two = described(a.form.of), described(b.form.of)
    assert one is not None
    assert two is not None
    pose = b.pose.inverse() @ a.pose
    return stays_out(one, two, pose, WITHIN) or stays_out(two, one, pose.inverse(), WITHIN)


def bolt(**sizes: float) -> Described:
    """A coach bolt, head below z = 0."""
    dims = {"diameter": 8.0, "length": 60.0, "head_diameter": 20.0, "head_height": 4.5,
            "neck_width": 8.0, "neck_depth": 5.0} | sizes  # fmt: skip
    found = described(Part("bolt", "bolt", Bought("coach bolt", "M8", dims=tuple(dims.items()))))
    assert found is not None
    return found


def test_a_bolt_askew_is_not_judged() -> None:
    """Nothing is said where its axis runs across the other's axes."""
    nut = Part("nut", "nut", Bought("washer", "M8", dims=(("hole", 9.0), ("outer", 24.0),
                                                          ("height", 2.0))))  # fmt: skip
    washer = described(nut)
    assert washer is not None
    assert stays_out(bolt(), washer, Pose.to(0, 0, -10), WITHIN)
    assert not stays_out(bolt(), washer, Pose.turned("x", 1) @ Pose.to(0, 0, -10), WITHIN)
    assert not stays_out(bolt(neck_width=9.0), washer, Pose.to(0, 0, -1), WITHIN)
