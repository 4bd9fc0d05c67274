"""A jig drawn apart: every unit shifted along its own way out, just far enough to be seen whole.

Moves are followed in the order of putting together. For each pair of parts the last move that takes
one without the other parts them; it must carry its unit clear of all that it leaves behind. All
moves after that one take both or neither, so what was parted stays parted.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from jigs.model.move import Move
from jigs.model.pose import Pose, Vec

Box = tuple[float, float, float, float, float, float]
Array = NDArray[np.float64]

GAP_SHARE = 0.035
"""Of the jig's diagonal, between what was parted. Our own choice, tried by eye."""

_BESIDE = 0.5  # mm of overlap across the way that still counts as beside each other


@dataclass(frozen=True)
class _Way:
    """The last leg of a move, and the legs before it, in the frame of the boxes."""

    along: Array
    across: tuple[Array, Array]
    before: Array


def exploded(
    moves: Sequence[Move], boxes: Mapping[str, Box], frame: Pose, gap: float | None = None
) -> dict[str, Vec]:
    """How far each part is shifted.

    Parameters: moves = in the order of putting together, units with all that is glued to them;
    boxes = bounds of every placed part by its name, mm; frame = the frame of the moves in that of
    the boxes; gap = left between parts that were parted, mm.
    Returns: a shift for every part, mm; zero for the one that all others leave.
    """
    names = list(boxes)
    if not names:
        return {}
    moves = _member_by_member(moves, boxes, frame)
    units = [np.array([name in move.unit for name in names]) for move in moves]
    parted = _parting(units)
    corners = np.array([_corners(boxes[name]) for name in names])
    spread = gap if gap is not None else _diagonal(corners) * GAP_SHARE
    shifts = np.zeros((len(names), 3))
    for index, (move, unit) in enumerate(zip(moves, units, strict=True)):
        way = _way(move, frame)
        if way is None or not unit.any():
            continue
        here = corners + (shifts + unit[:, None] * way.before)[:, None, :]
        pairs = (parted == index) & unit[:, None] & ~unit[None, :]
        shifts[unit] += way.before + way.along * _need(corners, here, way, pairs, spread)
    return {
        name: (float(x), float(y), float(z)) for name, (x, y, z) in zip(names, shifts, strict=True)
    }


def _member_by_member(moves: Sequence[Move], boxes: Mapping[str, Box], frame: Pose) -> list[Move]:
    """The moves, and after each one whose unit no other move parts those that draw it apart.

    A nut and its washer are one unit; the one that comes off first is drawn further out.
    """
    with_it = {name: frozenset(m.name for m in moves if name in m.unit) for name in boxes}
    found = []
    for move in moves:
        found.append(move)
        way = _way(move, frame)
        unit = [name for name in boxes if name in move.unit]
        if way is None or len({with_it[name] for name in unit}) != 1:
            continue
        middle = {n: float(np.mean(_corners(boxes[n]), axis=0) @ way.along) for n in unit}
        row = sorted(unit, key=lambda name: middle[name])
        found += [
            replace(move, unit=tuple(row[first:]), legs=move.legs[-1:])
            for first in range(1, len(row))
        ]
    return found


def _parting(units: Sequence[NDArray[np.bool_]]) -> NDArray[np.int64]:
    """For each pair the last move that takes one of them without the other; -1 for none."""
    count = len(units[0]) if units else 0
    parted = np.full((count, count), -1)
    for index, unit in enumerate(units):
        parted[unit[:, None] != unit[None, :]] = index
    return parted


def _way(move: Move, frame: Pose) -> _Way | None:
    legs = [np.array(frame.rotate(leg)) for leg in move.legs]
    length = float(np.linalg.norm(legs[-1])) if legs else 0.0
    if length == 0.0:
        return None
    along = legs[-1] / length
    other = np.eye(3)[int(np.argmin(np.abs(along)))]
    first = np.cross(along, other)
    first /= np.linalg.norm(first)
    before: Array = np.sum(legs[:-1], axis=0) if legs[:-1] else np.zeros(3)
    return _Way(along, (first, np.cross(along, first)), before)


def _need(rest: Array, here: Array, way: _Way, pairs: NDArray[np.bool_], gap: float) -> float:
    """How far the unit must go at least, mm.

    It goes past all that is beside it; but it may stop short of what lay further out from the
    first: a pad comes up from its screw, and not past the ring above.
    Parameters: rest, here = corners of all parts where they were, and where they are by now.
    """
    beside = pairs.copy()
    for axis in way.across:
        low, high = _extent(here, axis)
        beside &= np.minimum(high[:, None], high) - np.maximum(low[:, None], low) > _BESIDE
    low, high = _extent(here, way.along)
    first, last = _extent(rest, way.along)
    outer = (first[None, :] > last[:, None] - _BESIDE)[beside]
    enters = np.where(outer, (low[None, :] - gap - high[:, None])[beside], -math.inf)
    leaves = (high[None, :] + gap - low[:, None])[beside]
    need = 0.0
    for index in np.argsort(enters, kind="stable"):
        if enters[index] < need:
            need = max(need, float(leaves[index]))
    return need


def _extent(corners: Array, axis: Array) -> tuple[Array, Array]:
    along = corners @ axis
    return along.min(axis=1), along.max(axis=1)


def _corners(box: Box) -> list[Vec]:
    x0, y0, z0, x1, y1, z1 = box
    return [(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (z0, z1)]


def _diagonal(corners: Array) -> float:
    flat = corners.reshape(-1, 3)
    return math.dist(flat.min(axis=0), flat.max(axis=0))
