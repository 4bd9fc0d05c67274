"""A picture of the parts as they stand: off-screen, no display needed, the same bytes each time."""

from __future__ import annotations

import ctypes
import importlib.util
import math
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cadquery as cq
import numpy as np
from PIL import Image, ImageDraw, ImageFont
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

from jigs.errors import ExportError
from jigs.model.pose import Pose, Vec
from jigs.outputs.cad.facets import Array, Facets, facets
from jigs.outputs.cad.tree import Colour, Group, leaves

NO_GL_NOTE = (
    "no picture: this computer offers no off-screen OpenGL; on Debian and Ubuntu the packages "
    "libegl1 libegl-mesa0 libgl1-mesa-dri bring it"
)

# How the pictures look: our own choice, tried by eye on screen and on a printed A4 page.
_PAGE = (1.0, 1.0, 1.0)
_INK = (0.16, 0.15, 0.17)
_EDGE_WIDTH, _OUTLINE_WIDTH = 2.0, 3.4  # of the doubled picture, so half of it in the file
_AMBIENT, _DIFFUSE, _SPECULAR, _SPECULAR_POWER = 0.46, 0.78, 0.05, 24.0
_LIGHTS: tuple[tuple[Vec, float], ...] = (  # from where (right, up, towards the eye), how strong
    ((-0.50, 1.30, 0.55), 0.55),
    ((1.30, 0.20, 0.70), 0.22),
    ((-0.80, -0.15, 1.00), 0.34),
)
_MARGIN = 1.10
_DOUBLED = 2
_OVERSCAN = 0.03  # contact shadows darken the rim of the rendered image; that rim is cut off
_SHADOW_REACH, _SHADOW_BIAS, _SHADOW_SAMPLES = 0.045, 0.001, 16
_TITLE_HEIGHT = 0.024  # of the picture's height
_COLOURS = 256  # a palette: a third of the bytes, and no difference that the eye finds


@dataclass(frozen=True)
class _View:
    """An eye looking along -towards, and the box that it must show, mm."""

    right: Array
    up: Array
    towards: Array
    centre: Array
    half_width: float
    half_height: float
    reach: float


def write_picture(
    root: Group,
    path: Path,
    *,
    direction: Vec = (1.0, -1.25, 0.85),
    size: tuple[int, int] = (1600, 1200),
    title: str = "",
    skip: frozenset[str] = frozenset(),
) -> str | None:
    """Write a PNG of the tree, seen without perspective and filling the page.

    Parameters: direction = from the parts towards the eye, any length; size = width and height,
    pixels; title = a line of text at the foot, if any; skip = names of solids or groups to leave
    out. The shapes are meshed as copies: later mesh exports are not affected.
    Returns: None, or a one-line note when there is no off-screen OpenGL and so nothing was written.
    Raises: ExportError when nothing is left to draw.
    """
    solids = [
        (leaf.shape, pose, leaf.colour)
        for names, leaf, pose in leaves(root)
        if skip.isdisjoint(names)
    ]
    if not solids:
        raise ExportError(f"{path.name}: nothing to draw in '{root.name}'")
    if not gl_ok():
        return NO_GL_NOTE
    image = _draw(solids, direction, size)
    if title:
        _write_title(image, title)
    palette = image.quantize(_COLOURS, dither=Image.Dither.NONE)
    palette.save(path, format="PNG", optimize=True)
    return None


def gl_ok() -> bool:
    """Say whether a picture can be drawn here. Linux needs EGL, others bring their own window."""
    return egl_ok() if sys.platform.startswith("linux") else True


def egl_ok() -> bool:
    """Say whether EGL starts up without a display.

    VTK ends the whole process where it does not, so we ask the library first.
    """
    surfaceless = 0x31DD  # EGL_PLATFORM_SURFACELESS_MESA, Khronos EGL registry
    try:
        egl = ctypes.CDLL("libEGL.so.1")
        egl.eglGetPlatformDisplay.restype = ctypes.c_void_p
        egl.eglGetPlatformDisplay.argtypes = [ctypes.c_uint, ctypes.c_void_p, ctypes.c_void_p]
        egl.eglInitialize.argtypes = [ctypes.c_void_p] * 3
        display = egl.eglGetPlatformDisplay(surfaceless, None, None)
        return bool(display) and bool(egl.eglInitialize(display, None, None))
    except (OSError, AttributeError):
        return False


def _draw(
    solids: list[tuple[cq.Shape, Pose, Colour]], direction: Vec, size: tuple[int, int]
) -> Image.Image:
    renderer = vtkRenderer()
    renderer.SetBackground(*_PAGE)
    meshes = facets(shape for shape, _, _ in solids)
    points = np.concatenate([_placed(meshes[shape].points, pose) for shape, pose, _ in solids])
    view = _view(points, direction, size[0] / size[1])
    _aim(renderer, view)
    _light(renderer, view)
    for shape, pose, colour in sorted(solids, key=lambda solid: _paint_order(solid, view)):
        _add(renderer, meshes[shape], _matrix(pose), colour)
    _shade_contacts(renderer, view)
    renderer.ResetCameraClippingRange()
    return _grab(renderer, size)


def _paint_order(solid: tuple[cq.Shape, Pose, Colour], view: _View) -> float:
    """Put see-through solids last, far before near: the contact shadows rule out depth peeling."""
    shape, pose, colour = solid
    if colour[3] >= 1:
        return -math.inf
    middle = shape.BoundingBox().center
    return float(np.dot(pose.apply((middle.x, middle.y, middle.z)), view.towards))


# -- the scene ------------------------------------------------------------------------------------


def _placed(points: Array, pose: Pose) -> Array:
    placed: Array = points @ np.array(pose.turn).T + np.array(pose.at)
    return placed


def _matrix(pose: Pose) -> Any:
    matrix = vtkMatrix4x4()
    matrix.DeepCopy([value for row in pose.matrix() for value in row])
    return matrix


def _view(points: Array, direction: Vec, aspect: float) -> _View:
    towards = np.array(direction, float)
    towards /= np.linalg.norm(towards)
    upright = np.array((0.0, 1.0, 0.0) if abs(towards[2]) > 0.999 else (0.0, 0.0, 1.0))
    right = np.cross(upright, towards)
    right /= np.linalg.norm(right)
    up = np.cross(towards, right)
    seen = points @ np.array([right, up, towards]).T
    low, high = seen.min(axis=0), seen.max(axis=0)
    middle, half = (low + high) / 2, (high - low) / 2
    half_height = max(half[1], half[0] / aspect, 1e-3)
    return _View(
        right,
        up,
        towards,
        middle @ np.array([right, up, towards]),
        half_height * aspect,
        half_height,
        float(np.linalg.norm(high - low)),
    )


def _aim(renderer: Any, view: _View) -> None:
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetFocalPoint(*view.centre)
    camera.SetPosition(*(view.centre + view.towards * view.reach * 2))
    camera.SetViewUp(*view.up)
    camera.SetParallelScale(view.half_height * _MARGIN * (1 + 2 * _OVERSCAN))


def _light(renderer: Any, view: _View) -> None:
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
    _ink(edges, _EDGE_WIDTH)
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
    _ink(around, _OUTLINE_WIDTH)


def _actor(renderer: Any, matrix: Any) -> Any:
    actor = vtkActor()
    actor.SetMapper(vtkPolyDataMapper())
    actor.SetUserMatrix(matrix)
    renderer.AddActor(actor)
    return actor


def _ink(actor: Any, width: float) -> None:
    actor.GetProperty().SetColor(*_INK)
    actor.GetProperty().SetLineWidth(width)
    actor.GetProperty().LightingOff()


def _shade_contacts(renderer: Any, view: _View) -> None:
    shadows = opengl.vtkSSAOPass()
    shadows.SetRadius(view.reach * _SHADOW_REACH)
    shadows.SetBias(view.reach * _SHADOW_BIAS)
    shadows.SetKernelSize(_SHADOW_SAMPLES)
    shadows.BlurOn()
    shadows.SetDelegatePass(opengl.vtkRenderStepsPass())
    renderer.SetPass(shadows)


# -- the image ------------------------------------------------------------------------------------


def _grab(renderer: Any, size: tuple[int, int]) -> Image.Image:
    width, height = size
    rim = (math.ceil(width * _OVERSCAN), math.ceil(height * _OVERSCAN))
    vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()
    vtkMapper.SetResolveCoincidentTopologyPolygonOffsetParameters(1, 1)
    vtkMapper.SetResolveCoincidentTopologyLineOffsetParameters(-1, -1)
    # Named outright: the default choice would open an X window, and crash where there is none.
    linux = sys.platform.startswith("linux")
    window = opengl.vtkEGLRenderWindow() if linux else vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetAlphaBitPlanes(1)
    window.SetSize((width + 2 * rim[0]) * _DOUBLED, (height + 2 * rim[1]) * _DOUBLED)
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
    left, top = rim[0] * _DOUBLED, rim[1] * _DOUBLED
    kept = pixels[top : top + height * _DOUBLED, left : left + width * _DOUBLED]
    image = Image.fromarray(np.ascontiguousarray(kept))
    window.Finalize()
    return image.reduce(_DOUBLED)


def _write_title(image: Image.Image, title: str) -> None:
    height = max(round(image.height * _TITLE_HEIGHT), 8)
    ink = tuple(round(value * 255) for value in _INK)
    place = (round(height * 1.2), image.height - round(height * 1.2))
    ImageDraw.Draw(image).text(place, title, fill=ink, font=_font(height), anchor="ls")


def _font(height: int) -> Any:
    """Take the face that comes with matplotlib, which VTK requires: it has × and ± and accents."""
    found = importlib.util.find_spec("matplotlib")
    if found is not None and found.origin:
        face = Path(found.origin).parent / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
        if face.is_file():
            return ImageFont.truetype(str(face), height)
    return ImageFont.load_default(height)
