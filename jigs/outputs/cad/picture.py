"""A picture of the parts as they stand: off-screen, no display needed, the same bytes each time."""

from __future__ import annotations

import ctypes
import sys
from dataclasses import dataclass
from pathlib import Path

import cadquery as cq

from jigs.errors import ExportError
from jigs.model.pose import Vec
from jigs.outputs.cad.composition import SIZE, Composition, Drawing, whole
from jigs.outputs.cad.page import painted
from jigs.outputs.cad.seeing import Meshes, Solid, view_of
from jigs.outputs.cad.tree import Group, leaves

NO_GL_NOTE = (
    "no picture: this computer offers no off-screen OpenGL; on Debian and Ubuntu the packages "
    "libegl1 libegl-mesa0 libgl1-mesa-dri bring it"
)


def write_picture(
    root: Group,
    path: Path,
    *,
    direction: Vec = (1.0, -1.25, 0.85),
    size: tuple[int, int] = SIZE,
    title: str = "",
    skip: frozenset[str] = frozenset(),
    meshes: Meshes | None = None,
) -> str | None:
    """Write a PNG of the tree, seen without perspective and filling the page.

    Parameters: direction = from the parts towards the eye, any length; size = width and height,
    pixels; title = a line of text at the foot, if any; skip = names of solids or groups to leave
    out; meshes = of other pictures of the same solids. The shapes are meshed as copies: later mesh
    exports are not affected.
    Returns: None, or a one-line note when there is no off-screen OpenGL and so nothing was written.
    Raises: ExportError when nothing is left to draw.
    """
    solids = solids_of(root, skip)
    if not solids:
        raise ExportError(f"{path.name}: nothing to draw in '{root.name}'")
    if not gl_ok():
        return NO_GL_NOTE
    meshes = meshes or Meshes()
    view = view_of(solids, meshes, direction, size)
    drawing = Drawing(tuple(solids), view, whole(size))
    path.write_bytes(painted(Composition(size, (drawing,), title), meshes).png())
    return None


@dataclass(frozen=True)
class _Bare:
    """A shape of which nobody tells what it is made from."""

    shape: cq.Shape
    mark: str = ""


def solids_of(root: Group, skip: frozenset[str] = frozenset()) -> list[Solid]:
    """Everything of a tree in its place, but what has a name to skip, or is in such a group."""
    return [
        Solid(_Bare(leaf.shape), pose, leaf.colour)
        for names, leaf, pose in leaves(root)
        if skip.isdisjoint(names)
    ]


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
