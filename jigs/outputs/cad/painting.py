"""Solids as they are painted with VTK: off-screen, no perspective, the same bytes each time."""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import cadquery as cq
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from vtkmodules import vtkRenderingOpenGL2 as opengl
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkFiltersCore import vtkCleanPolyData
from vtkmodules.vtkFiltersHybrid import vtkPolyDataSilhouette
from vtkmodules.vtkRenderingCore import (
    vtkActor,
    vtkLight,
    vtkMapper,
    vtkPolyDataMapper,
    vtkRenderer,
    vtkRenderWindow,
    vtkWindowToImageFilter,
)

from jigs.model.pose import Pose, Vec
from jigs.outputs.cad.facets import Array, Facets, facets
from jigs.outputs.cad.tree import Colour

Point = tuple[float, float]
Frame = tuple[float, float, float, float]
"""Left, top, right and bottom of a part of the page, pixels."""

# How the pictures look: our own choice, tried by eye on screen and on a printed A4 page.
_PAGE = (1.0, 1.0, 1.0)
INK = (0.16, 0.15, 0.17)
_FAINT_INK = (0.52, 0.51, 0.54)  # of see-through things: what is behind them has the say
_EDGE_WIDTH, _OUTLINE_WIDTH = 1.5, 2.6  # of the picture before it is made smaller
_AMBIENT, _DIFFUSE, _SPECULAR, _SPECULAR_POWER = 0.46, 0.78, 0.05, 24.0
_LIGHTS: tuple[tuple[Vec, float], ...] = (  # from where (right, up, towards the eye), how strong
    ((-0.50, 1.30, 0.55), 0.55),
    ((1.30, 0.20, 0.70), 0.22),
    ((-0.80, -0.15, 1.00), 0.34),
)
_MARGIN = 1.10
_TIMES = 1.5  # larger than the page, for smooth lines; the shadows' cost grows with its square
_OVERSCAN = 0.03  # contact shadows darken the rim of the rendered image; that rim is cut off
_SHADOW_REACH, _SHADOW_BIAS, _SHADOW_SAMPLES = 0.045, 0.001, 16
_HAIR = 4  # pixels of paper that outlines may need round what is drawn
_NOBODY = 0xFFFFFF  # the white page, read back as a number


@dataclass(frozen=True)
class Solid:
    """One thing to paint, in its place, mm."""

    shape: cq.Shape
    pose: Pose
    colour: Colour


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


class Meshes:
    """Triangles and lines of solids, kept from picture to picture."""

    def __init__(self) -> None:
        self._kept: dict[cq.Shape, Facets] = {}

    def of(self, shapes: Iterable[cq.Shape]) -> dict[cq.Shape, Facets]:
        """Facets of every different shape."""
        unlike = list(dict.fromkeys(shapes))
        for shape in unlike:
            if shape not in self._kept:
                self._kept[shape] = facets(shape)
        return {shape: self._kept[shape] for shape in unlike}


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
    made = meshes.of(solid.shape for solid in solids)
    points = np.concatenate([_placed(made[s.shape].points, s.pose) for s in solids])
    return _view(points, direction, size, within or _inside(size))


def outline_of(solids: Sequence[Solid], meshes: Meshes, view: View) -> Array:
    """Corners of all triangles as they lie on the page, N x 2, pixels."""
    made = meshes.of(solid.shape for solid in solids)
    points = np.concatenate([_placed(made[s.shape].points, s.pose) for s in solids])
    seen = (points - view.centre) @ np.array([view.right, -view.up]).T / view.per_pixel
    drawing: Array = seen + np.array(view.size) / 2
    return drawing


def covered(solids: Sequence[Solid], meshes: Meshes, view: View, frame: Frame) -> Frame | None:
    """The part of a frame that the solids lie in, with a hair round it; None where none do."""
    drawing = outline_of(solids, meshes, view)
    low = np.maximum(np.floor(drawing.min(axis=0)) - _HAIR, frame[:2])
    high = np.minimum(np.ceil(drawing.max(axis=0)) + _HAIR, frame[2:])
    if (high <= low).any():
        return None
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))


def paint(solids: Sequence[Solid], meshes: Meshes, view: View) -> Image.Image:
    """The solids as a picture of the size of the view."""
    renderer = _renderer(view)
    _light(renderer, view)
    made = meshes.of(solid.shape for solid in solids)
    for solid in sorted(solids, key=lambda solid: _paint_order(solid, view)):
        _add(renderer, made[solid.shape], _matrix(solid.pose), solid.colour)
    _shade_contacts(renderer, view)
    renderer.ResetCameraClippingRange()
    large = Image.fromarray(_grab(renderer, view.size, _TIMES))
    return large.resize(view.size, Image.Resampling.BOX)


def who_is_seen(solids: Sequence[Solid], meshes: Meshes, view: View) -> NDArray[np.int64]:
    """For every pixel the index of the solid that is seen there; -1 where the page is bare."""
    renderer = _renderer(view)
    made = meshes.of(solid.shape for solid in solids)
    for number, solid in enumerate(solids):
        surface = _actor(renderer, _matrix(solid.pose))
        surface.GetMapper().SetInputData(made[solid.shape].faces)
        surface.GetProperty().LightingOff()
        code = (number >> 16, number >> 8 & 255, number & 255)
        surface.GetProperty().SetColor(*(byte / 255 for byte in code))
    renderer.ResetCameraClippingRange()
    red, green, blue = np.moveaxis(_grab(renderer, view.size, 1).astype(np.int64), 2, 0)
    number_at: NDArray[np.int64] = red << 16 | green << 8 | blue
    return np.where(number_at == _NOBODY, -1, number_at)


def _inside(size: tuple[int, int]) -> Frame:
    across, high = (length * (1 - 1 / _MARGIN) / 2 for length in size)
    return (across, high, size[0] - across, size[1] - high)


def _renderer(view: View) -> Any:
    renderer = vtkRenderer()
    renderer.SetBackground(*_PAGE)
    _aim(renderer, view)
    return renderer


def _paint_order(solid: Solid, view: View) -> float:
    """Put see-through solids last, far before near: the contact shadows rule out depth peeling."""
    if solid.colour[3] >= 1:
        return -math.inf
    middle = solid.shape.BoundingBox().center
    return float(np.dot(solid.pose.apply((middle.x, middle.y, middle.z)), view.towards))


# -- the scene ------------------------------------------------------------------------------------


def _placed(points: Array, pose: Pose) -> Array:
    placed: Array = points @ np.array(pose.turn).T + np.array(pose.at)
    return placed


def _matrix(pose: Pose) -> Any:
    matrix = vtkMatrix4x4()
    matrix.DeepCopy([value for row in pose.matrix() for value in row])
    return matrix


def _view(points: Array, direction: Vec, size: tuple[int, int], within: Frame) -> View:
    towards = np.array(direction, float)
    towards /= np.linalg.norm(towards)
    upright = np.array((0.0, 1.0, 0.0) if abs(towards[2]) > 0.999 else (0.0, 0.0, 1.0))
    right = np.cross(upright, towards)
    right /= np.linalg.norm(right)
    axes = np.array([right, np.cross(towards, right), towards])
    seen = points @ axes.T
    low, high = seen.min(axis=0), seen.max(axis=0)
    left, top, end, bottom = within
    wide, tall, _ = high - low
    per_pixel = max(wide / (end - left), tall / (bottom - top), 1e-6)
    aside = (size[0] / 2 - (left + end) / 2, (top + bottom) / 2 - size[1] / 2, 0.0)
    middle = (low + high) / 2 + per_pixel * np.array(aside)
    reach = float(np.linalg.norm(high - low))
    return View(axes[0], axes[1], towards, middle @ axes, per_pixel, size, reach)


def _aim(renderer: Any, view: View) -> None:
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetFocalPoint(*view.centre)
    camera.SetPosition(*(view.centre + view.towards * view.reach * 2))
    camera.SetViewUp(*view.up)
    high = view.size[1] + 2 * _rim(view.size)[1]
    camera.SetParallelScale(view.per_pixel * high / 2)


def _rim(size: tuple[int, int]) -> tuple[int, int]:
    return (math.ceil(size[0] * _OVERSCAN), math.ceil(size[1] * _OVERSCAN))


def _light(renderer: Any, view: View) -> None:
    renderer.AutomaticLightCreationOff()
    for (right, up, towards), strength in _LIGHTS:
        light = vtkLight()
        light.SetLightTypeToSceneLight()
        light.SetPositional(0)
        light.SetFocalPoint(*view.centre)
        place = right * view.right + up * view.up + towards * view.towards
        light.SetPosition(*(view.centre + place * view.reach))
        light.SetIntensity(strength)
        renderer.AddLight(light)


def _add(renderer: Any, mesh: Facets, matrix: Any, colour: Colour) -> None:
    surface = _actor(renderer, matrix)
    surface.GetMapper().SetInputData(mesh.faces)
    look = surface.GetProperty()
    look.SetColor(*colour[:3])
    look.SetOpacity(colour[3])
    look.SetInterpolationToPhong()
    look.SetAmbient(_AMBIENT)
    look.SetDiffuse(_DIFFUSE)
    look.SetSpecular(_SPECULAR)
    look.SetSpecularPower(_SPECULAR_POWER)
    look.SetBackfaceCulling(colour[3] < 1)
    edges = _actor(renderer, matrix)
    edges.GetMapper().SetInputData(mesh.edges)
    ink = INK if colour[3] >= 1 else _FAINT_INK
    _ink(edges, ink, _EDGE_WIDTH)
    welded = vtkCleanPolyData()
    welded.SetInputData(mesh.faces)
    welded.SetTolerance(1e-6)
    outline = vtkPolyDataSilhouette()
    outline.SetInputConnection(welded.GetOutputPort())
    outline.SetEnableFeatureAngle(0)
    outline.SetProp3D(surface)
    outline.SetCamera(renderer.GetActiveCamera())  # at once: without it VTK floods stderr
    around = _actor(renderer, matrix)
    around.GetMapper().SetInputConnection(outline.GetOutputPort())
    _ink(around, ink, _OUTLINE_WIDTH)


def _actor(renderer: Any, matrix: Any) -> Any:
    actor = vtkActor()
    actor.SetMapper(vtkPolyDataMapper())
    actor.SetUserMatrix(matrix)
    renderer.AddActor(actor)
    return actor


def _ink(actor: Any, colour: Vec, width: float) -> None:
    actor.GetProperty().SetColor(*colour)
    actor.GetProperty().SetLineWidth(width)
    actor.GetProperty().LightingOff()


def _shade_contacts(renderer: Any, view: View) -> None:
    shadows = opengl.vtkSSAOPass()
    shadows.SetRadius(view.reach * _SHADOW_REACH)
    shadows.SetBias(view.reach * _SHADOW_BIAS)
    shadows.SetKernelSize(_SHADOW_SAMPLES)
    shadows.BlurOn()
    shadows.SetDelegatePass(opengl.vtkRenderStepsPass())
    renderer.SetPass(shadows)


def _grab(renderer: Any, size: tuple[int, int], times: float) -> NDArray[np.uint8]:
    """Render at so many times the page's size; returns rows, columns, red green blue."""
    width, height = size
    rim = _rim(size)
    vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()
    vtkMapper.SetResolveCoincidentTopologyPolygonOffsetParameters(1, 1)
    vtkMapper.SetResolveCoincidentTopologyLineOffsetParameters(-1, -1)
    # Named outright: the default choice would open an X window, and crash where there is none.
    linux = sys.platform.startswith("linux")
    window = opengl.vtkEGLRenderWindow() if linux else vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetAlphaBitPlanes(1)
    window.SetSize(*(round((w + 2 * r) * times) for w, r in zip(size, rim, strict=True)))
    window.AddRenderer(renderer)
    window.Render()
    reader = vtkWindowToImageFilter()
    reader.SetInput(window)
    reader.SetInputBufferTypeToRGB()
    reader.ReadFrontBufferOff()
    reader.ShouldRerenderOff()
    reader.Update()
    data = reader.GetOutput()
    across, high, _ = data.GetDimensions()
    pixels = vtk_to_numpy(data.GetPointData().GetScalars()).reshape(high, across, 3)[::-1]
    left, top = round(rim[0] * times), round(rim[1] * times)
    kept = pixels[top : top + round(height * times), left : left + round(width * times)]
    image = np.ascontiguousarray(kept)
    window.Finalize()
    return image
