"""Which blanks a part is cut from, and from which faces, in which order."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from jigs.model.part import Cut, Does, Face, Part, Stack

_SAME = 1e-6


def clampings_of(part: Part) -> list[tuple[Face, list[Cut]]]:
    """The faces that are worked, in order, each with its cuts; the outline belongs to the last."""
    flat = [c for c in part.cuts
            if c.face in (Face.TOP, Face.BOTTOM) and c.does is not Does.PRESSED]  # fmt: skip
    blind = [c for c in flat if not goes_through(c, part)]
    worked = [face for face in (Face.BOTTOM, Face.TOP) if any(c.face is face for c in blind)]
    if len(worked) < 2:
        return [(worked[0] if worked else Face.TOP, flat)]
    sides = {id(c): {c.face} if c in blind else partners_of(c, blind) for c in flat}
    bound = {face: sum(sides[id(c)] == {face} for c in flat) for face in worked}
    first = min(worked, key=lambda face: bound[face])
    last = Face.TOP if first is Face.BOTTOM else Face.BOTTOM
    return [
        (first, [c for c in flat if sides[id(c)] == {first}]),
        (last, [c for c in flat if sides[id(c)] != {first}]),
    ]


def goes_through(cut: Cut, part: Part) -> bool:
    """Does the cut leave nothing at its bottom?"""
    return cut.depth is None or cut.depth >= part.thickness - _SAME


def partners_of(hole: Cut, blind: Sequence[Cut]) -> set[Face]:
    """The faces with a counterbore or recess about the same axis."""
    return {
        c.face for c in blind
        if c.does in (Does.COUNTERBORE, Does.RECESS)
        and math.dist(c.outline.centre, hole.outline.centre) < _SAME
    }  # fmt: skip


def slices_of(part: Part) -> list[tuple[str, Part, int]]:
    """Name, blank and count of each different slice of a stack, from the bottom up.

    A slice has its share of each cut: a cut that goes through it, or reaches into it.
    """
    assert isinstance(part.made, Stack)
    n, t = part.made.slices, part.thickness / part.made.slices
    runs: list[tuple[tuple[Cut, ...], list[int]]] = []
    for i in range(n):
        cuts = tuple(c for cut in part.cuts if (c := _share(cut, part.thickness, i * t, t)))
        if runs and runs[-1][0] == cuts:
            runs[-1][1].append(i)
        else:
            runs.append((cuts, [i]))
    return [
        (_slice_name(part.id, slices, n), replace(part, thickness=t, cuts=cuts), len(slices))
        for cuts, slices in runs
    ]


def _share(cut: Cut, whole: float, low: float, t: float) -> Cut | None:
    """What a slice from `low` up, t thick, has of a cut into the whole stack."""
    if cut.face not in (Face.TOP, Face.BOTTOM):
        return None
    if cut.depth is None:
        return cut
    reach = cut.depth - (low if cut.face is Face.BOTTOM else whole - low - t)
    if reach <= _SAME:
        return None
    return replace(cut, depth=None if reach >= t - _SAME else reach)


def _slice_name(part: str, slices: list[int], n: int) -> str:
    if len(slices) == n:
        return part
    first, last = slices[0] + 1, slices[-1] + 1
    if first == 1 or last == n:
        end = "bottom" if first == 1 else "top"
        return f"{part} slice {end}" if len(slices) == 1 else f"{part} slices {end} {len(slices)}"
    return f"{part} slice {first}" if first == last else f"{part} slices {first} to {last}"
