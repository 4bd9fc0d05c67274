"""Second witness for the clamp's fit: sections of meshed solids, not the kernel's common solids.

Every made part and the piece are meshed and cut by planes across x, y and z. Where two sections
share more than a strip of 0.05 mm, the parts overlap by more than that.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest
import shapely
import trimesh
from trimesh.intersections import mesh_plane

from jigs.model.part import Bought
from jigs.model.state import Limit, Phase, State

DEEP = 0.05
"""mm: what is allowed. Meshes of round holes are off by less than 0.01."""

STEP = 11.3
"""mm between planes, and nowhere at a whole number, where faces lie."""

STATES = [
    State(Phase.CLOSED, Limit.LEAST), State(Phase.CLOSED, Limit.MOST), State(Phase.OPEN, Limit.MOST)
]  # fmt: skip


@cache
def facets(shape) -> trimesh.Trimesh:
    """A mesh of a copy: a meshed solid would give its bounds by the mesh."""
    points, triangles = shape.copy().tessellate(0.01, 0.15)
    return trimesh.Trimesh([p.toTuple() for p in points], triangles)


def meshed(scene, setup, jig, state, only=()) -> dict[str, trimesh.Trimesh]:
    """What is made, and the piece, in its place in the work frame; or `only` the named of these."""
    made = {p.name for p in jig.poses(state) if not isinstance(jig.parts[p.part].made, Bought)}
    found = {}
    for s in scene.standing(setup, state):
        mine = s.jig in ("", jig.name) and (s.name in made or s.name == "piece")
        if mine and (not only or s.name in only):
            mesh = facets(s.shape).copy()
            found[s.name] = mesh.apply_transform(np.array(s.pose.matrix()))
    return found


def section(mesh: trimesh.Trimesh, axis: int, at: float) -> shapely.Geometry:
    """The area that a plane across an axis cuts out of a mesh."""
    normal = np.eye(3)[axis]
    lines = mesh_plane(mesh, plane_normal=normal, plane_origin=at * normal)
    flat = np.round(np.delete(lines, axis, axis=2), 6)
    return shapely.build_area(shapely.multilinestrings(flat))


def deep_overlaps(meshes: dict[str, trimesh.Trimesh]) -> set[tuple[str, str]]:
    """Pairs whose sections share a strip wider than what is allowed."""
    found = set()
    low = np.min([m.bounds[0] for m in meshes.values()], axis=0)
    high = np.max([m.bounds[1] for m in meshes.values()], axis=0)
    for axis in range(3):
        for at in np.arange(low[axis] + 0.3137, high[axis], STEP):
            there = {n: m for n, m in meshes.items() if m.bounds[0][axis] < at < m.bounds[1][axis]}
            near = [
                (a, b)
                for a, b in combinations(there, 2)
                if np.all(there[a].bounds[0] < there[b].bounds[1])
                and np.all(there[b].bounds[0] < there[a].bounds[1])
            ]
            cut = {n: section(there[n], axis, at) for n in {n for pair in near for n in pair}}
            found |= {
                (a, b) for a, b in near
                if not cut[a].intersection(cut[b]).buffer(-DEEP / 2).is_empty
            }  # fmt: skip
    return found


@pytest.fixture(params=["allotment", "skittles", "stool"])
def clamp(request, designs, scenes):
    """Solids, setup and jig of a shipped clamp."""
    setup, jig = next(
        (s, j) for s, j in designs(request.param).jigs() if j.kind.name == "end_grain_clamp"
    )
    return scenes(request.param), setup, jig


@pytest.mark.parametrize("state", STATES, ids=str)
def test_no_made_part_stands_in_another(clamp, state):
    meshes = meshed(*clamp, state)
    assert len(meshes) > 15
    assert deep_overlaps(meshes) == set()


def test_the_sections_hold_the_volume_of_the_mesh(clamp):
    """The witness looks at all there is: areas times their distance make the volume."""
    mesh = meshed(*clamp, STATES[0], ["fixed face"])["fixed face"]
    low, high = mesh.bounds[:, 0]
    planes = np.linspace(low, high, 80)
    middles = [(a + b) / 2 for a, b in pairwise(planes)]
    volume = sum(section(mesh, 0, at).area for at in middles) * (planes[1] - planes[0])
    assert volume == pytest.approx(mesh.volume, rel=0.02)


@pytest.mark.parametrize(
    ("name", "shift", "into"),
    [
        ("moving face", (-0.2, 0, 0), "piece"),
        ("free fence", (0, 0.2, 0), "piece"),
        ("fixed rib 1", (0, 0, -0.2), "fixed base"),
    ],
)
def test_the_witness_sees_a_fifth_of_a_millimetre(clamp, name, shift, into):
    pair = meshed(*clamp, STATES[1], [name, into])
    pair[name].apply_translation(shift)
    assert {frozenset(p) for p in deep_overlaps(pair)} == {frozenset(pair)}
