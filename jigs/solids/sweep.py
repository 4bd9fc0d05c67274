"""Sweeps of meshes: how far a body goes before it meets another, exact for the triangles.

Along a straight line two closed meshes first meet where a corner of one runs into a face of the
other, or an edge into an edge: all three are looked for in the plane square to the line. The moving
body is first made thinner or thicker by a skin, so that what slides along a face neither is refused
for a rounding error nor scrapes deeper than the skin.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_SAME = 6  # decimals of mm: corners nearer than that are one
_FLAT = 0.02  # share of the largest: normals that differ by less span no further direction
_SMOOTH = 1e-3  # sine of the angle between two faces that are one flat face
_THIN = 1e-12  # mm2: triangles and crossings below it have no direction


@dataclass(frozen=True, eq=False)
class Faces:
    """Which corners make a triangle, [m, 3], outward, and the edges that stick out, [k, 2].

    The same wherever a body stands. Two bodies that move straight meet at corners and at edges
    that stick out, never along a line in a flat face or in a hollow.
    """

    triangles: Index
    edges: Index


@dataclass(frozen=True, eq=False)
class Mesh:
    """Corners [n, 3] in mm and the faces between them, of a closed body."""

    corners: Array
    faces: Faces

    @property
    def triangles(self) -> Index:
        """Corners of each triangle, [m, 3]."""
        return self.faces.triangles

    @property
    def edges(self) -> Index:
        """Edges that stick out, [k, 2]."""
        return self.faces.edges

    @cached_property
    def bounds(self) -> Array:
        """Least and greatest corner, [2, 3]."""
        return np.array([self.corners.min(axis=0), self.corners.max(axis=0)])

    @cached_property
    def outward(self) -> Array:
        """Where each corner goes as every face moves outward by 1 mm, [n, 3].

        Each corner's shift d has n . d = 1 for every face there, by least squares.
        """
        a, b, c = (self.corners[self.triangles[:, i]] for i in range(3))
        normals = np.cross(b - a, c - a)
        size = np.linalg.norm(normals, axis=1)
        kept = size > _THIN
        unit = normals[kept] / size[kept, None]
        outer = np.zeros((len(self.corners), 3, 3))
        right = np.zeros((len(self.corners), 3))
        for i in range(3):
            at = self.triangles[kept, i]
            np.add.at(outer, at, unit[:, :, None] * unit[:, None, :])
            np.add.at(right, at, unit)
        shift: Array = np.einsum(
            "nij,nj->ni", np.linalg.pinv(outer, rcond=_FLAT, hermitian=True), right
        )
        return shift

    def moved(self, rotation: Array, shift: Array) -> Mesh:
        """The body turned, then shifted."""
        return Mesh(self.corners @ rotation.T + shift, self.faces)

    def shifted(self, shift: Array) -> Mesh:
        """The body moved."""
        return Mesh(self.corners + shift, self.faces)

    def with_skin(self, thickness: float) -> Mesh:
        """Every face moved outward by a skin (inward below 0); corners where the faces meet."""
        return Mesh(self.corners + thickness * self.outward, self.faces)


def merged(corners: Array, triangles: Index) -> Mesh:
    """A mesh in which corners at one place are one, and triangles without area are gone."""
    _, first, back = np.unique(
        np.round(corners, _SAME), axis=0, return_index=True, return_inverse=True
    )
    t = back.reshape(-1)[triangles]
    t = t[(t[:, 0] != t[:, 1]) & (t[:, 1] != t[:, 2]) & (t[:, 2] != t[:, 0])]
    own = corners[first]
    return Mesh(own, Faces(t, _edges_out(own, t)))


def _edges_out(corners: Array, triangles: Index) -> Index:
    """Edges at which a body sticks out: both faces fall away from each other there.

    An edge that has not exactly two faces counts as well.
    """
    a, b, c = (corners[triangles[:, i]] for i in range(3))
    normals = np.cross(b - a, c - a)
    size = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = np.divide(normals, size, out=np.zeros_like(normals), where=size > _THIN)
    ends = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    facing = np.concatenate([triangles[:, 2], triangles[:, 0], triangles[:, 1]])
    owner = np.tile(np.arange(len(triangles)), 3)
    edges, which, count = np.unique(
        np.sort(ends, axis=1), axis=0, return_inverse=True, return_counts=True
    )
    order = np.argsort(which.reshape(-1), kind="stable")
    start = np.concatenate([[0], np.cumsum(count)[:-1]])
    one, two = order[start], order[start + np.minimum(1, count - 1)]
    below = np.einsum("ij,ij->i", normals[owner[one]], corners[facing[two]] - corners[ends[one, 0]])
    reach = np.linalg.norm(corners[facing[two]] - corners[ends[one, 0]], axis=1)
    out: Index = edges[(below < -_SMOOTH * reach) | (count != 2)]
    return out


def first_contact(moving: Mesh, still: Mesh, leg: Array) -> float | None:
    """How far `moving` goes along `leg` before it meets `still`, mm; None where it passes.

    0 where they overlap from the start. Parameters: leg = direction and length, mm.
    """
    travel = float(np.linalg.norm(leg))
    if travel == 0 or _apart(moving, still, leg):
        return None
    turn = towards_z(leg / travel)
    m, s = moving.corners @ turn.T, still.corners @ turn.T
    ahead, behind = np.array([0.0, 0.0, travel]), np.array([0.0, 0.0, np.inf])
    m_box, s_box = (m.min(axis=0), m.max(axis=0) + ahead), (s.min(axis=0) - ahead, s.max(axis=0))
    # A corner looks past the end of the way as well: whether it is within shows there.
    m_tri = _near(m, moving.triangles, s_box[0] - behind, s_box[1])
    s_tri = _near(s, still.triangles, m_box[0], m_box[1] + behind)
    met = [
        *_corner_hits(m[_within(m, *s_box)], s[s_tri], 1.0, travel),
        *_corner_hits(s[_within(s, *m_box)], m[m_tri], -1.0, travel),
        *_edge_hits(m[_near(m, moving.edges, *s_box)], s[_near(s, still.edges, *m_box)], travel),
    ]
    return min(met, default=None)


def _apart(moving: Mesh, still: Mesh, leg: Array) -> bool:
    """Do the boxes stay apart all along?"""
    low = np.minimum(moving.bounds[0], moving.bounds[0] + leg)
    high = np.maximum(moving.bounds[1], moving.bounds[1] + leg)
    return bool(np.any(low > still.bounds[1]) or np.any(high < still.bounds[0]))


def towards_z(direction: Array) -> Array:
    """A rotation whose third row is the direction."""
    aside = np.eye(3)[np.argmin(np.abs(direction))]
    x = np.cross(aside, direction)
    x /= np.linalg.norm(x)
    return np.array([x, np.cross(direction, x), direction])


def _near(points: Array, pieces: Index, low: Array, high: Array) -> Index:
    """Triangles or edges whose boxes meet a box."""
    at = points[pieces]
    return pieces[np.all((at.max(axis=1) >= low) & (at.min(axis=1) <= high), axis=1)]


def _within(points: Array, low: Array, high: Array) -> Any:
    """Which points lie in a box."""
    return np.all((points >= low) & (points <= high), axis=1)


def _corner_hits(p: Array, tri: Array, sense: float, travel: float) -> Array:
    """Distances at which corners, going `sense` along z, run into triangles; 0 for inside."""
    low, high = tri[:, :, :2].min(axis=1), tri[:, :, :2].max(axis=1)
    over = np.ones((len(p), len(tri)), bool)
    for axis in (0, 1):
        over &= p[:, None, axis] >= low[None, :, axis]
        over &= p[:, None, axis] <= high[None, :, axis]
    i, j = np.nonzero(over)
    a, b, c = tri[j, 0], tri[j, 1], tri[j, 2]
    q = p[i]
    area = _cross(b - a, c - a)
    flat = np.abs(area) > _THIN
    u = np.divide(_cross(q - a, c - a), area, out=np.full(len(q), -1.0), where=flat)
    v = np.divide(_cross(b - a, q - a), area, out=np.full(len(q), -1.0), where=flat)
    inside = (u >= 0) & (v >= 0) & (u + v <= 1)
    gap = sense * (a[:, 2] + u * (b[:, 2] - a[:, 2]) + v * (c[:, 2] - a[:, 2]) - q[:, 2])
    hit = np.nonzero(inside & (gap >= 0))[0]
    # Where the first face that a corner meets is one that it leaves by, it was within all along.
    order = hit[np.lexsort((gap[hit], i[hit]))]
    first = order[np.unique(i[order], return_index=True)[1]]
    leaves = sense * area[first] > 0
    found: Array = np.where(leaves, 0.0, gap[first])[leaves | (gap[first] <= travel)]
    return found


def _edge_hits(one: Array, two: Array, travel: float) -> Array:
    """Distances at which edges of the moving body run into edges of the other."""
    low1, high1 = one[:, :, :2].min(axis=1), one[:, :, :2].max(axis=1)
    low2, high2 = two[:, :, :2].min(axis=1), two[:, :, :2].max(axis=1)
    over = np.ones((len(one), len(two)), bool)
    for axis in (0, 1):
        over &= low1[:, None, axis] <= high2[None, :, axis]
        over &= high1[:, None, axis] >= low2[None, :, axis]
    i, j = np.nonzero(over)
    a, b, c, d = one[i, 0], one[i, 1], two[j, 0], two[j, 1]
    area = _cross(b - a, d - c)
    cross = np.abs(area) > _THIN
    u = np.divide(_cross(c - a, d - c), area, out=np.full(len(a), -1.0), where=cross)
    v = np.divide(_cross(c - a, b - a), area, out=np.full(len(a), -1.0), where=cross)
    gap = c[:, 2] + v * (d[:, 2] - c[:, 2]) - a[:, 2] - u * (b[:, 2] - a[:, 2])
    hit = (u >= 0) & (u <= 1) & (v >= 0) & (v <= 1) & (gap >= 0) & (gap <= travel)
    found: Array = gap[hit]
    return found


def _cross(a: Array, b: Array) -> Array:
    """z of the cross product of the plane parts."""
    return a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]


def room_round(mesh: Mesh, at: Array, axis: Array, low: float, high: float, within: float) -> float:
    """Least distance of a body from an axis, between two heights along it, mm.

    inf where nothing is nearer than `within`. Parameters: at, axis = a point of it and its
    direction; low, high from that point, mm.
    """
    touched = seen_along(mesh, at, axis, low, high, within)
    nearest = min((_from_axis(clipped(t, low, high)) for t in touched), default=float("inf"))
    return nearest if nearest < within else float("inf")


def seen_along(mesh: Mesh, at: Array, axis: Array, low: float, high: float, within: float) -> Array:
    """Triangles [m, 3, 3], axis along z, that may lie between two heights and near the axis."""
    turn = towards_z(axis / np.linalg.norm(axis))
    reach = np.hypot(within, max(abs(low), abs(high)))
    if np.any(mesh.bounds[0] > at + reach) or np.any(mesh.bounds[1] < at - reach):
        return np.zeros((0, 3, 3))
    points = (mesh.corners - at) @ turn.T
    tri = points[mesh.triangles]
    least, most = tri.min(axis=1), tri.max(axis=1)
    gap = np.maximum(0.0, np.maximum(least[:, :2], -most[:, :2]))
    near = np.hypot(gap[:, 0], gap[:, 1]) < within
    found: Array = tri[near & (most[:, 2] >= low) & (least[:, 2] <= high)]
    return found


def clipped(polygon: Array, low: float, high: float) -> Array:
    """The part of a polygon between two heights."""
    for sign, limit in ((1.0, low), (-1.0, -high)):
        inside = sign * polygon[:, 2] - limit
        kept: list[Array] = []
        for k in range(len(polygon)):
            one, two = polygon[k], polygon[(k + 1) % len(polygon)]
            f, g = inside[k], inside[(k + 1) % len(polygon)]
            if f >= 0:
                kept.append(one)
            if f * g < 0:
                kept.append(one + (two - one) * (f / (f - g)))
        polygon = np.array(kept).reshape(-1, 3)
        if not len(polygon):
            break
    return polygon


def _from_axis(polygon: Array) -> float:
    """Least distance of a plane figure from the origin of the plane, seen along z."""
    if not len(polygon):
        return float("inf")
    flat = polygon[:, :2]
    one, two = flat, np.roll(flat, -1, axis=0)
    turns = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    if len(flat) > 2 and (np.all(turns > _THIN) or np.all(turns < -_THIN)):
        return 0.0
    along = two - one
    length = np.einsum("ij,ij->i", along, along)
    share = np.divide(-np.einsum("ij,ij->i", one, along), length, out=np.zeros(len(one)),
                      where=length > 0)  # fmt: skip
    foot = one + np.clip(share, 0, 1)[:, None] * along
    return float(np.linalg.norm(foot, axis=1).min())
