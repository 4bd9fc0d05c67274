"""Solids as they are painted: lit, with their edges and outlines, and soft shadows at contacts.

Light and shadow are worked out in numpy, so that the drawing itself is nothing but flat colours:
without a graphics card that takes a fraction of the time.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from jigs.model.pose import Pose, Vec
from jigs.outputs.cad.canvas import Bytes, Cells, Depths, Drawn, draw
from jigs.outputs.cad.facets import Array, Facets
from jigs.outputs.cad.seeing import Frame, Meshes, Solid, View, covered, placed

_TIMES = 2  # a picture is drawn so many times as large as its page, for smooth lines
# How the pictures look: our own choice, tried by eye on screen and on a printed A4 page.
INK = (0.16, 0.15, 0.17)
_FAINT_INK = (0.52, 0.51, 0.54)  # of see-through things: what is behind them has the say
_EDGE_WIDTH, _OUTLINE_WIDTH = 2.0, 3.5  # pixels of the large picture
_AMBIENT, _DIFFUSE = 0.46, 0.78
_LIGHTS: tuple[tuple[Vec, float], ...] = (  # from where (right, up, towards the eye), how strong
    ((-0.50, 1.30, 0.55), 0.55),
    ((1.30, 0.20, 0.70), 0.22),
    ((-0.80, -0.15, 1.00), 0.34),
)
_MARKED = (254, 1, 253)  # lines of see-through things, until they are faint: no material's colour
_NOBODY = 0xFFFFFF  # the white page, read back as a number
_HAIR = 1e-3  # mm: nearer than what is behind it

# Contact shadows: where the surface is hollow, seen across, within a reach.
_SHADOW_REACH = 0.045  # of the depth and breadth of all that is seen
_SHADOW_STEP = 2  # every so many pixels
_SHADOW_RINGS = (0.07, 0.16, 0.28, 0.44, 0.66, 1.0)  # shares of the reach
_SHADOW_TURNS = 6  # lines through a place on each ring
_WEAVE = 2  # so many by so many neighbours look along different lines
_RING_STEP = 7  # of the lines, from ring to ring: any number that shares nothing with their count
_SHADOW_DARKEST = 1.1
_SHADOW_COLOUR = (12, 10, 14)
_SMOOTHLY = Image.Resampling.BILINEAR


@dataclass(frozen=True)
class _Lit:
    """All solids of one opacity, ready to draw."""

    faces: Cells
    lines: tuple[Cells, ...]


def paint(solids: Sequence[Solid], meshes: Meshes, view: View) -> Image.Image:
    """The solids as a picture of the size of the view's page."""
    opaque = _lit([s for s in solids if not s.is_clear], meshes, view, INK)
    drawn = draw([opaque.faces, *opaque.lines], view, _TIMES)
    image = Image.fromarray(drawn.colours).reduce(_TIMES)
    _shade(image, drawn, view)
    for opacity in sorted({s.colour[3] for s in solids if s.is_clear}):
        clear = [s for s in solids if s.colour[3] == opacity]
        frame = covered(clear, meshes, view, (0.0, 0.0, *view.size))
        if frame is not None:
            part = view.part(frame)
            some = _lit(clear, meshes, part, None)
            there = draw([opaque.faces, some.faces, *some.lines], part, _TIMES)
            _lay_over(image, drawn, there, frame, opacity)
    return image


def who_is_seen(solids: Sequence[Solid], meshes: Meshes, view: View) -> NDArray[np.int64]:
    """For every pixel the index of the solid that is seen there; -1 where the page is bare."""
    made = [meshes.of(solid) for solid in solids]
    colours = [
        np.tile(
            np.array((number >> 16, number >> 8 & 255, number & 255), np.uint8),
            (len(made[number].points), 1),
        )
        for number in range(len(solids))
    ]
    seen = draw([_faces(solids, made, colours, view)], view).colours.astype(np.int64)
    number_at: NDArray[np.int64] = seen[..., 0] << 16 | seen[..., 1] << 8 | seen[..., 2]
    return np.where(number_at == _NOBODY, -1, number_at)


# -- surfaces and lines ---------------------------------------------------------------------------


def _lit(solids: Sequence[Solid], meshes: Meshes, view: View, ink: Vec | None) -> _Lit:
    made = [meshes.of(solid) for solid in solids]
    colours = [_colours(mesh, solid, view) for mesh, solid in zip(made, solids, strict=True)]
    byte = _MARKED if ink is None else tuple(round(value * 255) for value in ink)
    poses = [solid.pose for solid in solids]
    edges = [placed(m.points[m.edges], pose) for m, pose in zip(made, poses, strict=True)]
    outlines = [_outline(mesh, pose, view) for mesh, pose in zip(made, poses, strict=True)]
    lines = (_strokes(edges, byte, _EDGE_WIDTH), _strokes(outlines, byte, _OUTLINE_WIDTH))
    return _Lit(_faces(solids, made, colours, view), lines)


def _faces(
    solids: Sequence[Solid], made: Sequence[Facets], colours: Sequence[Bytes], view: View
) -> Cells:
    """Triangles of all solids in their places: those that face the eye, for no other is seen."""
    count, corners = 0, [np.zeros((0, 3), np.int64)]
    points, bare = [np.zeros((0, 3))], np.zeros((0, 3), np.uint8)
    for solid, mesh in zip(solids, made, strict=True):
        towards = view.towards @ np.array(solid.pose.turn)
        corners.append(mesh.triangles[mesh.facing @ towards > 0] + count)
        points.append(placed(mesh.points, solid.pose))
        count += len(mesh.points)
    return Cells(np.concatenate(points), np.concatenate(corners), np.concatenate([bare, *colours]))


def _colours(mesh: Facets, solid: Solid, view: View) -> Bytes:
    """Of every corner of a solid, lit by far lamps that stand still about the eye."""
    turned = mesh.normals @ np.array(solid.pose.turn).T
    light = np.full(len(turned), _AMBIENT)
    for (right, up, towards), strength in _LIGHTS:
        lamp = right * view.right + up * view.up + towards * view.towards
        light += _DIFFUSE * strength * np.clip(turned @ (lamp / np.linalg.norm(lamp)), 0, None)
    bright = np.clip(light[:, None] * np.array(solid.colour[:3]) * 255, 0, 255)
    lit: Bytes = np.rint(bright).astype(np.uint8)
    return lit


def _outline(mesh: Facets, pose: Pose, view: View) -> Array:
    """Where a solid turns away from the eye, K x 2 x 3, mm."""
    towards = view.towards @ np.array(pose.turn)
    facing = mesh.leaves @ towards > 0
    turns = facing[:, 0] != facing[:, 1]
    return placed(mesh.points[mesh.folds[turns]], pose)


def _strokes(pieces: Sequence[Array], colour: tuple[int, ...], width: float) -> Cells:
    points = np.concatenate([np.zeros((0, 2, 3)), *pieces]).reshape(-1, 3)
    ends = np.arange(len(points)).reshape(-1, 2)
    return Cells(points, ends, np.tile(np.array(colour, np.uint8), (len(points), 1)), width)


# -- what lets the rest through -------------------------------------------------------------------


def _lay_over(
    image: Image.Image, behind: Drawn, there: Drawn, frame: Frame, opacity: float
) -> None:
    """Lay what is seen through over a part of a picture: its nearest surface, and its lines."""
    left, top, right, bottom = (round(value) * _TIMES for value in frame)
    before = there.depths() > behind.depths()[top:bottom, left:right] + np.float32(_HAIR)
    lines = (there.colours == np.array(_MARKED, np.uint8)).all(axis=2)
    surface = Image.fromarray((before & ~lines) * np.uint8(round(opacity * 255)))
    at = (left // _TIMES, top // _TIMES)
    image.paste(Image.fromarray(there.colours).reduce(_TIMES), at, surface.reduce(_TIMES))
    ink = tuple(round(value * 255) for value in _FAINT_INK)
    size = (there.colours.shape[1] // _TIMES, there.colours.shape[0] // _TIMES)
    drawn = Image.fromarray(lines * np.uint8(255)).reduce(_TIMES)
    image.paste(ink, (*at, at[0] + size[0], at[1] + size[1]), drawn)


# -- shadows at contacts --------------------------------------------------------------------------


def _shade(image: Image.Image, drawn: Drawn, view: View) -> None:
    """Darken a picture in hollows and at contacts."""
    step = _SHADOW_STEP
    shadows = _shadows(drawn.depths(step * _TIMES), view.per_pixel * step, view.reach)
    spread = Image.fromarray(shadows)
    spread = spread.resize((spread.width * step, spread.height * step), _SMOOTHLY)
    mask = Image.new("L", image.size)
    mask.paste(spread, (0, 0))
    image.paste(_SHADOW_COLOUR, (0, 0), mask)


def _shadows(depths: Depths, pitch: float, width: float) -> Bytes:
    """How dark it is at each place, 0 = not at all.

    Looks from each place both ways along a line: where both ends together lie nearer to the eye
    than a plane would have them, the place is hollow. An end that is too far before or behind
    tells nothing of a contact and does not count. Neighbours look along different lines, and are
    then blended.
    Parameters: pitch = mm between two places; width = of the whole scene, mm.
    """
    reach = width * _SHADOW_REACH
    rim = math.ceil(reach / pitch) + 1
    padded = np.pad(depths, rim, mode="edge")
    hollow = np.zeros_like(depths)
    for row, column in np.ndindex(_WEAVE, _WEAVE):
        here = depths[row::_WEAVE, column::_WEAVE]
        found = np.zeros_like(here)
        for down, along, radius in _looks(reach, row * _WEAVE + column):
            y, x = round(down / pitch), round(along / pitch)
            one, other = (
                padded[rim + row + way * y :: _WEAVE, rim + column + way * x :: _WEAVE][
                    : here.shape[0], : here.shape[1]
                ]
                - here
                for way in (1, -1)
            )
            rise = one + other
            furthest = np.maximum(np.abs(one, out=one), np.abs(other, out=other), out=one)
            furthest *= np.float32(-2 / reach)
            furthest += 2
            rise *= np.float32(0.5 / radius)
            found += np.clip(rise, 0, 1, out=rise) * np.clip(furthest, 0, 1, out=furthest)
        hollow[row::_WEAVE, column::_WEAVE] = found
    hollow *= _SHADOW_DARKEST / (len(_SHADOW_RINGS) * _SHADOW_TURNS)
    dark: Bytes = np.rint(255 * np.minimum(_spread(_blended(hollow)), 1)).astype(np.uint8)
    return dark


def _looks(reach: float, which: int) -> Iterator[tuple[float, float, float]]:
    """Down, along and across from a place to one end of each line that it looks along, mm."""
    sets = _WEAVE * _WEAVE * len(_SHADOW_RINGS)
    for ring, share in enumerate(_SHADOW_RINGS):
        for turn in range(_SHADOW_TURNS):
            part = (which * len(_SHADOW_RINGS) + ring * _RING_STEP) % sets / sets
            angle = math.pi * (turn + part) / _SHADOW_TURNS
            radius = share * reach
            yield radius * math.sin(angle), radius * math.cos(angle), radius


def _blended(field: Depths) -> Depths:
    """Each place with its eight neighbours, so that every line of the weave counts alike."""
    padded = np.pad(field, 1, mode="edge")
    tall = padded[:-2] + 2 * padded[1:-1] + padded[2:]
    blended: Depths = (tall[:, :-2] + 2 * tall[:, 1:-1] + tall[:, 2:]) / 16
    return blended


def _spread(field: Depths) -> Depths:
    """Each place as dark as the darkest about it, so that no bright rim is left along outlines."""
    for before, after in (np.s_[:-1, :], np.s_[1:, :]), (np.s_[:, :-1], np.s_[:, 1:]):
        wider = field.copy()
        np.maximum(wider[before], field[after], out=wider[before])
        np.maximum(wider[after], field[before], out=wider[after])
        field = wider
    return field
