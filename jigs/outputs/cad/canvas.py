"""Coloured triangles and lines drawn with VTK: off-screen, no light, the same bytes each time.

All pictures of a process share one window of a fixed size, and a page is drawn in tiles of that
size: what a picture costs in memory does not grow with the page.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules import vtkRenderingOpenGL2 as opengl
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkFloatArray, vtkPoints, vtkUnsignedCharArray
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkRenderingCore import (
    vtkActor,
    vtkMapper,
    vtkPolyDataMapper,
    vtkRenderer,
    vtkRenderWindow,
)

from jigs.outputs.cad.facets import Array, Whole
from jigs.outputs.cad.seeing import View

Bytes = NDArray[np.uint8]
Depths = NDArray[np.float32]

PAPER = (255, 255, 255)
_BARE = np.float32(-1e9)  # mm: bare paper lies that far behind the view's centre
_TILE = (1600, 1200)
"""Pixels of the window."""

_SPARE = 1.0  # mm, before and behind all that is drawn


@dataclass(frozen=True)
class Cells:
    """Triangles (three corners) or lines (two).

    Parameters: points = N x 3, mm; corners = M x 3 or M x 2, indices of points; colours = of each
    point, N x 3; width = of lines, pixels.
    """

    points: Array
    corners: Whole
    colours: Bytes
    width: float = 0.0


@dataclass(frozen=True)
class Drawn:
    """What was drawn.

    Parameters: colours = H x W x 3; shares = H x W, of the way from the nearest to the furthest of
    what is drawn, 1 = bare paper; reach = how far those two lie before the view's centre, mm.
    """

    colours: Bytes
    shares: Depths
    reach: tuple[float, float]

    def depths(self, step: int = 1) -> Depths:
        """How far what is seen lies before the view's centre, mm, at every so many pixels."""
        share = self.shares[step // 2 :: step, step // 2 :: step]
        near, far = self.reach
        return np.where(share < 1, np.float32(near) - share * np.float32(near - far), _BARE)


def draw(cells: Sequence[Cells], view: View, times: int = 1) -> Drawn:
    """Draw cells on white paper, `times` as large as the view's page."""
    width, height = view.size[0] * times, view.size[1] * times
    colours = np.empty((height, width, 3), np.uint8)
    shares = np.empty((height, width), np.float32)
    renderer = _renderer(cells, view)
    reach = _reach(cells, view)
    window = _window()
    window.AddRenderer(renderer)
    try:
        for left, top in _tiles(width, height):
            _aim(renderer, view, times, (left, top), reach)
            window.Render()
            wide, high = min(_TILE[0], width - left), min(_TILE[1], height - top)
            here = np.s_[top : top + high, left : left + wide]
            colours[here], shares[here] = _read(window, wide, high)
    finally:
        window.RemoveRenderer(renderer)
        renderer.ReleaseGraphicsResources(window)
    return Drawn(colours, shares, reach)


@cache
def _window() -> Any:
    """The window that all pictures are drawn in."""
    # Named outright: the default choice would open an X window, and crash where there is none.
    linux = sys.platform.startswith("linux")
    window = opengl.vtkEGLRenderWindow() if linux else vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetSize(*_TILE)
    vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()
    vtkMapper.SetResolveCoincidentTopologyPolygonOffsetParameters(1, 1)
    vtkMapper.SetResolveCoincidentTopologyLineOffsetParameters(-1, -1)
    return window


def _tiles(width: int, height: int) -> Iterator[tuple[int, int]]:
    """Left and top of each tile, pixels of the large picture."""
    for top in range(0, height, _TILE[1]):
        for left in range(0, width, _TILE[0]):
            yield left, top


def _reach(cells: Sequence[Cells], view: View) -> tuple[float, float]:
    """How far what is drawn lies before the view's centre, nearest and furthest, mm."""
    ways = [(some.points - view.centre) @ view.towards for some in cells if len(some.points)]
    low = min((float(way.min()) for way in ways), default=0.0)
    high = max((float(way.max()) for way in ways), default=0.0)
    return high + _SPARE, low - _SPARE


def _renderer(cells: Sequence[Cells], view: View) -> Any:
    renderer = vtkRenderer()
    renderer.SetBackground(*(byte / 255 for byte in PAPER))
    for some in cells:
        if not len(some.corners):
            continue
        actor = vtkActor()
        mapper = vtkPolyDataMapper()
        mapper.SetInputData(_data(some, view))
        actor.SetMapper(mapper)
        actor.GetProperty().LightingOff()
        if some.width:
            actor.GetProperty().SetLineWidth(some.width)
        renderer.AddActor(actor)
    return renderer


def _data(cells: Cells, view: View) -> Any:
    """Cells as VTK has them, about the view's centre: near zero its short numbers are exact."""
    data, points, array = vtkPolyData(), vtkPoints(), vtkCellArray()
    points.SetData(numpy_to_vtk((cells.points - view.centre).astype(np.float32), deep=1))
    data.SetPoints(points)
    count = cells.corners.shape[1]
    array.SetData(count, numpy_to_vtkIdTypeArray(cells.corners.ravel().astype(np.int64), deep=1))
    if count == 3:
        data.SetPolys(array)
    else:
        data.SetLines(array)
    data.GetPointData().SetScalars(numpy_to_vtk(np.ascontiguousarray(cells.colours), deep=1))
    return data


def _aim(
    renderer: Any, view: View, times: int, corner: tuple[int, int], reach: tuple[float, float]
) -> None:
    """Look at the tile with that upper left corner."""
    right = (corner[0] + _TILE[0] / 2) / times - view.size[0] / 2
    up = view.size[1] / 2 - (corner[1] + _TILE[1] / 2) / times
    middle = (right * view.right + up * view.up) * view.per_pixel
    near, far = reach
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetFocalPoint(*(middle + view.towards * far))
    camera.SetPosition(*(middle + view.towards * (near + _SPARE)))
    camera.SetViewUp(*view.up)
    camera.SetParallelScale(view.per_pixel * _TILE[1] / times / 2)
    camera.SetClippingRange(_SPARE, near + _SPARE - far)


def _read(window: Any, wide: int, high: int) -> tuple[Bytes, Depths]:
    """Colours and shares of the upper left part of the window."""
    area = (0, _TILE[1] - high, wide - 1, _TILE[1] - 1)
    seen, far = vtkUnsignedCharArray(), vtkFloatArray()
    window.GetPixelData(*area, 0, seen, 0)
    window.GetZbufferData(*area, far)
    colours = vtk_to_numpy(seen).reshape(high, wide, 3)
    return colours[::-1], vtk_to_numpy(far).reshape(high, wide)[::-1]
