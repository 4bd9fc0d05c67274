"""Room for a spanner on a hexagon: how far it can be swung before it meets something.

A flat spanner is a handle 12 flats long and one flat wide behind a head of 1.1 flats' radius; a
socket is a drum of 0.75 flats and 2 mm that stands 60 mm along the axis and takes in no more than
35 mm of bolt. All common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from jigs.solids.sweep import Array, Mesh, clipped, room_round, seen_along

HEAD = 1.1
LONG = 12.0
WIDE = 1.0
SOCKET, SOCKET_WALL, SOCKET_TALL = 0.75, 2.0, 60.0
SOCKET_TAKES = 35.0

_SPACING = 1.0  # mm between the points by which outlines are told: less than any handle's width


def farthest_reach(across: float) -> float:
    """Nothing further than that from a hexagon is in the way of any spanner on it, mm."""
    return math.hypot(LONG * across, SOCKET_TALL + SOCKET_TAKES)


def free_swing(
    meshes: Sequence[Mesh], at: Array, axis: Array, across: float, tall: float,
    stands_out: float = 0.0,
) -> float:  # fmt: skip
    """Widest free turn, deg: 360 where a socket goes on; 0 where no spanner does.

    Parameters: at = middle of the hexagon's outer face, axis = outwards, across = flats, tall =
    height of the hexagon, stands_out = of the bolt beyond the outer face [mm].
    """
    low, high = -0.9 * tall, -0.1 * tall
    socket = SOCKET * across + SOCKET_WALL
    if stands_out <= SOCKET_TAKES and _is_free(meshes, at, axis, low, SOCKET_TALL, socket):
        return 360.0
    if not _is_free(meshes, at, axis, low, high, HEAD * across):
        return 0.0
    blocked = np.zeros(360, bool)
    for mesh in meshes:
        for outline in _sections(mesh, at, axis, low, high, LONG * across):
            _mark(blocked, outline, across)
    return _longest_run(~blocked)


def _is_free(
    meshes: Sequence[Mesh], at: Array, axis: Array, low: float, high: float, radius: float
) -> bool:
    return all(room_round(m, at, axis, low, high, radius) == np.inf for m in meshes)


def _sections(
    mesh: Mesh, at: Array, axis: Array, low: float, high: float, within: float
) -> list[Array]:
    """Outlines of what lies between two heights, one for each triangle, seen along the axis."""
    cut = (clipped(t, low, high)[:, :2] for t in seen_along(mesh, at, axis, low, high, within))
    return [outline for outline in cut if len(outline)]


def _mark(blocked: np.ndarray, outline: Array, across: float) -> None:
    """Block every direction in which the handle would lie over a point of the outline."""
    one, two = outline, np.roll(outline, -1, axis=0)
    steps = max(2, int(np.linalg.norm(two - one, axis=1).max() / _SPACING) + 2)
    share = np.linspace(0, 1, steps)[:, None, None]
    points = (one + share * (two - one)).reshape(-1, 2)
    away = np.linalg.norm(points, axis=1)
    points, away = points[away <= LONG * across], away[away <= LONG * across]
    half = np.degrees(np.arcsin(np.minimum(1.0, WIDE * across / 2 / np.maximum(away, 1e-9))))
    towards = np.degrees(np.arctan2(points[:, 1], points[:, 0]))
    for angle, width in set(zip(np.round(towards), np.ceil(half), strict=True)):
        blocked[np.arange(int(angle - width), int(angle + width) + 1) % 360] = True


def _longest_run(free: np.ndarray) -> float:
    """Length of the longest run of free degrees round the circle."""
    if free.all():
        return 360.0
    start = int(np.argmin(free))
    longest = run = 0
    for is_free in np.roll(free, -start):
        run = run + 1 if is_free else 0
        longest = max(longest, run)
    return float(longest)
