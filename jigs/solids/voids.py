"""A proof, from descriptions alone, that two things share nothing: a bolt in its hole, a key in
its slot, a rib in its dado.

One of the two is held by straight bars (a bolt: head, neck, shank; a made part: its blank). Each
bar, cut to lengths where the other changes, must lie in a hole of the other or beside its outline.
No kernel is asked, and what is not shown this way is measured.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from jigs.model.figure import Figure
from jigs.model.outline import Outline
from jigs.model.pose import Pose, Vec

_CLOSE = 1e-7
"""mm, or of a direction's 1: noise of summation."""

Span = tuple[float, float]
ACROSS = ((1, 2), (0, 2), (0, 1))
"""The two axes across each axis, in the order in which outlines on faces use them."""


@dataclass(frozen=True, slots=True)
class Straight:
    """A figure swept along an axis (0, 1, 2), mm. A disc may taper to `last_radius`."""

    axis: int
    span: Span
    figure: Figure
    last_radius: float | None = None

    def between(self, low: float, high: float) -> Straight:
        """A length of it."""
        if self.last_radius is None:
            return Straight(self.axis, (low, high), self.figure)
        (z0, z1), r0 = self.span, self.figure.radius
        slope = (self.last_radius - r0) / (z1 - z0)
        first = replace(self.figure, radius=r0 + slope * (low - z0))
        return Straight(self.axis, (low, high), first, r0 + slope * (high - z0))

    def seen_along(self, axis: int) -> tuple[Span, Figure]:
        """Its span along an axis, and the figure that holds it across that axis."""
        if axis == self.axis:
            return self.span, self._widest
        spans = self.spans
        return spans[axis], Figure.rectangle(*(spans[i] for i in ACROSS[axis]))

    @property
    def _widest(self) -> Figure:
        if self.last_radius is None:
            return self.figure
        return replace(self.figure, radius=max(self.figure.radius, self.last_radius))

    @property
    def spans(self) -> tuple[Span, Span, Span]:
        """Its bounds along the three axes."""
        found = {axis: self._widest.extent(i) for i, axis in enumerate(ACROSS[self.axis])}
        found[self.axis] = self.span
        return found[0], found[1], found[2]

    @property
    def is_box(self) -> bool:
        """Do all its faces lie square to the axes?"""
        points = self.figure.points
        corners = {(round(x, 7), round(y, 7)) for x, y in points}
        return len(points) == 4 and all(len({c[i] for c in corners}) == 2 for i in (0, 1))

    def moved(self, pose: Pose) -> Straight | None:
        """It in another frame; None where its axis runs askew there."""
        column = [row[self.axis] for row in pose.turn]
        axis = next((i for i in range(3) if abs(column[i]) > 1 - _CLOSE), None)
        if axis is None:
            return None
        ends = [self._placed(pose, end) for end in self.span]
        low, high = (end[0][axis] for end in ends)
        flat = [(p[ACROSS[axis][0]], p[ACROSS[axis][1]]) for p in ends[0]]
        first, last = self.figure.radius, self.last_radius
        if low > high:
            low, high = high, low
            if last is not None:
                first, last = last, first
        return Straight(axis, (low, high), Figure(_turning_left(flat), first), last)

    def _placed(self, pose: Pose, at: float) -> list[Vec]:
        found = []
        for u, v in self.figure.points:
            point = [0.0, 0.0, 0.0]
            point[self.axis] = at
            point[ACROSS[self.axis][0]], point[ACROSS[self.axis][1]] = u, v
            found.append(pose.apply((point[0], point[1], point[2])))
        return found


def _turning_left(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*points, points[0]]))
    return tuple(points if twice >= 0 else points[::-1])


@dataclass(frozen=True, slots=True)
class Void:
    """Nothing of the thing is here: an outline swept along an axis."""

    axis: int
    span: Span
    outline: Outline

    @property
    def spans(self) -> tuple[Span, Span, Span]:
        """Its bounds along the three axes."""
        x0, y0, x1, y1 = self.outline.bounds
        u, v = ACROSS[self.axis]
        found = {self.axis: self.span, u: (x0, x1), v: (y0, y1)}
        return found[0], found[1], found[2]


@dataclass(frozen=True, slots=True)
class Described:
    """What is known of a thing without the kernel, in its own frame; see `described.py`.

    `held` = straight bars that hold all of it; `blank` = an outline with its span along z that
    holds it too; `voids` = where nothing of it is.
    """

    held: tuple[Straight, ...]
    blank: Void
    voids: tuple[Void, ...] = ()

    def stops(self, axis: int) -> list[float]:
        """Where along an axis something begins or ends."""
        ends = [end for void in (self.blank, *self.voids) for end in void.spans[axis]]
        if axis != self.blank.axis:
            ends += [vertex[axis] for vertex in self.blank.outline.vertices]
        return [end for end in ends if math.isfinite(end)]


def stays_out(thing: Described, other: Described, pose: Pose, within: float) -> bool:
    """Does a thing, but for a skin of `within`, mm, share nothing with another?

    `pose` = the thing in the other's frame. True says for certain that nothing overlaps deeper
    than the skin; False says nothing.
    """
    pair = _Pair(thing, other, pose, pose.inverse(), within)
    return bool(thing.held) and all(pair.clears(bar.moved(pose)) for bar in thing.held)


@dataclass(frozen=True, slots=True)
class _Pair:
    """A thing in another's frame, and the way back."""

    thing: Described
    other: Described
    pose: Pose
    back: Pose
    within: float

    def clears(self, bar: Straight | None) -> bool:
        """Does a bar, in the other's frame, share nothing with both things?"""
        if bar is None:
            return False
        spans = [
            (max(low, least) + self.within, min(high, most) - self.within)
            for (low, high), (least, most) in zip(bar.spans, self.other.blank.spans, strict=True)
        ]
        if any(low >= high for low, high in spans):
            return True
        if not bar.is_box:
            return self._is_void(bar.between(*spans[bar.axis]), (bar.axis,))
        u, v = ACROSS[2]
        whole = Straight(2, spans[2], Figure.rectangle(spans[u], spans[v]))
        return self._is_void(whole, (0, 1, 2))

    def _is_void(self, bar: Straight, axes: tuple[int, ...]) -> bool:
        """Is the bar void, as a whole or cut along one axis after the other?"""
        if self._lies_in_one(bar):
            return True
        for i, axis in enumerate(axes):
            lengths = self._cut(bar, axis)
            if len(lengths) > 1:
                return all(self._is_void(length, axes[i + 1 :]) for length in lengths)
        return False

    def _lies_in_one(self, bar: Straight) -> bool:
        """Does it lie in one hole, or beside the outline, of the other or of the thing itself?"""
        if _is_free(bar, self.other, self.within):
            return True
        own = bar.moved(self.back) if bar.is_box else None
        return own is not None and _is_free(own, self.thing, self.within)

    def _cut(self, bar: Straight, axis: int) -> list[Straight]:
        """The bar in lengths: where along an axis one of the two begins or ends."""
        low, high = bar.spans[axis]
        there = self.other.stops(axis)
        if bar.is_box:
            row = self.pose.turn[axis]
            own = max(range(3), key=lambda i: abs(row[i]))
            there += [row[own] * x + self.pose.at[axis] for x in self.thing.stops(own)]
        at = sorted({x for x in there if low + _CLOSE < x < high - _CLOSE})
        stops = [low, *at, high]
        return [_length(bar, axis, a, b) for a, b in pairwise(stops) if b - a > _CLOSE]


def _length(bar: Straight, axis: int, low: float, high: float) -> Straight:
    """The stretch of a bar, a box where it is cut across its axis, between two stops."""
    if axis == bar.axis:
        return bar.between(low, high)
    spans = list(bar.spans)
    spans[axis] = (low, high)
    return Straight(2, spans[2], Figure.rectangle(spans[0], spans[1]))


def _is_free(bar: Straight, of: Described, within: float) -> bool:
    """Does a bar, in the frame of a thing, lie in one of its voids or beside its blank?"""
    (low, high), figure = bar.seen_along(of.blank.axis)
    least, most = of.blank.span
    if high <= least + within or low >= most - within:
        return True
    in_one = any(_is_in(bar, void, within) for void in of.voids)
    return in_one or figure.is_beside(of.blank.outline, within)


def _is_in(bar: Straight, void: Void, within: float) -> bool:
    bounds = zip(bar.spans, void.spans, strict=True)
    if any(low < least - within or high > most + within for (low, high), (least, most) in bounds):
        return False
    (low, high), figure = bar.seen_along(void.axis)
    least, most = void.span
    along = least - _CLOSE <= low and high <= most + _CLOSE
    return along and figure.is_inside(void.outline, within)
