"""Where solids lie on a page: the eye, no perspective, and meshes kept from picture to picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import cadquery as cq
import numpy as np

from jigs.kept import Kept
from jigs.model.pose import Pose, Vec
from jigs.outputs.cad.facets import Array, Facets, facets, packed, unpacked
from jigs.outputs.cad.tree import Colour

Point = tuple[float, float]
Frame = tuple[float, float, float, float]
"""Left, top, right and bottom of a part of the page, pixels."""

_MARGIN = 1.10
_HAIR = 4  # pixels of paper that outlines may need round what is drawn


class Formed(Protocol):
    """What has a shape in its own frame, mm, and a mark that tells what it is made from."""

    @property
    def shape(self) -> cq.Shape:
        """The solid, made when it is asked for."""
        ...

    @property
    def mark(self) -> str:
        """The same for all that are made alike; empty where nobody knows what it is made from."""
        ...


@dataclass(frozen=True)
class Solid:
    """One thing to paint, in its place, mm."""

    form: Formed
    pose: Pose
    colour: Colour

    @property
    def shape(self) -> cq.Shape:
        """The solid in its own frame."""
        return self.form.shape

    @property
    def is_clear(self) -> bool:
        """Does it let what is behind it through?"""
        return self.colour[3] < 1


@dataclass(frozen=True)
class View:
    """An eye looking along -towards at a page of some size.

    `per_pixel` = mm of the world under one pixel; `centre` lies under the middle of the page.
    """

    right: Array
    up: Array
    towards: Array
    centre: Array
    per_pixel: float
    size: tuple[int, int]
    reach: float

    def to_page(self, point: Sequence[float]) -> Point:
        """Where a point of the world lies on the page, pixels from its upper left corner."""
        off = np.asarray(point, float) - self.centre
        x = self.size[0] / 2 + float(off @ self.right) / self.per_pixel
        y = self.size[1] / 2 - float(off @ self.up) / self.per_pixel
        return (x, y)

    def part(self, frame: Frame) -> View:
        """The view of a part of the page alone, as if that were the page."""
        left, top, right, bottom = (round(value) for value in frame)
        x = (left + right) / 2 - self.size[0] / 2
        y = self.size[1] / 2 - (top + bottom) / 2
        centre = self.centre + (self.right * x + self.up * y) * self.per_pixel
        return replace(self, centre=centre, size=(right - left, bottom - top))

    def shrunk(self, times: int) -> View:
        """The same on a page so many times smaller."""
        size = (self.size[0] // times, self.size[1] // times)
        return replace(self, per_pixel=self.per_pixel * times, size=size)


class Meshes:
    """Triangles and lines of solids, each made once and shared by all pictures.

    Parameters: kept = where they outlast the process, if they do.
    """

    def __init__(self, kept: Kept | None = None) -> None:
        self._kept = kept or Kept()
        self._made: dict[object, Facets] = {}

    def of(self, solid: Solid) -> Facets:
        """Facets of a solid, in its own frame. They are the same whether made or found."""
        mark = solid.form.mark
        key = mark or solid.shape  # the shape itself, not its address: so it lives as long
        if key not in self._made:
            self._made[key] = unpacked(self._packed(solid, mark))
        return self._made[key]

    def _packed(self, solid: Solid, mark: str) -> bytes:
        def make() -> bytes:
            return packed(facets(solid.shape))

        return (self._kept.bytes_of("facets", (mark,), make) if mark else None) or make()


def view_of(
    solids: Sequence[Solid],
    meshes: Meshes,
    direction: Vec,
    size: tuple[int, int],
    within: Frame | None = None,
) -> View:
    """The view that shows all the solids.

    Parameters: direction = from the solids towards the eye, any length; size = of the page,
    pixels; within = the part of the page that they must stay in, None = all but a margin.
    """
    return view_of_points(corners(solids, meshes), direction, size, within)


def view_of_points(
    points: Array, direction: Vec, size: tuple[int, int], within: Frame | None = None
) -> View:
    """The view that shows all the points, N x 3, mm; as `view_of`."""
    towards = np.array(direction, float)
    towards /= np.linalg.norm(towards)
    upright = np.array((0.0, 1.0, 0.0) if abs(towards[2]) > 0.999 else (0.0, 0.0, 1.0))
    right = np.cross(upright, towards)
    right /= np.linalg.norm(right)
    axes = np.array([right, np.cross(towards, right), towards])
    seen = axes @ points.T  # rows are long: numpy finds the least of each at once
    low, high = seen.min(axis=1), seen.max(axis=1)
    left, top, end, bottom = within or _inside(size)
    wide, tall, _ = high - low
    per_pixel = max(wide / (end - left), tall / (bottom - top), 1e-6)
    aside = (size[0] / 2 - (left + end) / 2, (top + bottom) / 2 - size[1] / 2, 0.0)
    middle = (low + high) / 2 + per_pixel * np.array(aside)
    reach = float(np.linalg.norm(high - low))
    return View(axes[0], axes[1], towards, middle @ axes, per_pixel, size, reach)


def outline_of(solids: Sequence[Solid], meshes: Meshes, view: View) -> Array:
    """Corners of all that bends as they lie on the page, N x 2, pixels."""
    return drawn_points(corners(solids, meshes), view)


def drawn_points(points: Array, view: View) -> Array:
    """Points as they lie on the page, N x 2, pixels."""
    axes = np.array([view.right, -view.up]) / view.per_pixel
    drawing: Array = axes @ points.T + (np.array(view.size) / 2 - axes @ view.centre)[:, None]
    return drawing.T


def covered(solids: Sequence[Solid], meshes: Meshes, view: View, frame: Frame) -> Frame | None:
    """The part of a frame that the solids lie in, with a hair round it; None where none do."""
    drawing = outline_of(solids, meshes, view)
    low = np.maximum(np.floor(drawing.min(axis=0)) - _HAIR, frame[:2])
    high = np.minimum(np.ceil(drawing.max(axis=0)) + _HAIR, frame[2:])
    if (high <= low).any():
        return None
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))


def corners(solids: Sequence[Solid], meshes: Meshes) -> Array:
    """Corners of all that bends in its place, N x 3, mm: none of them lies further out."""
    return np.concatenate([placed(meshes.of(s).outer, s.pose) for s in solids])


def placed(points: Array, pose: Pose) -> Array:
    """Points of a thing in its place, mm."""
    moved: Array = points @ np.array(pose.turn).T + np.array(pose.at)
    return moved


def _inside(size: tuple[int, int]) -> Frame:
    across, high = (length * (1 - 1 / _MARGIN) / 2 for length in size)
    return (across, high, size[0] - across, size[1] - high)
