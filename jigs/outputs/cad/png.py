"""Pictures as small PNG files: a palette of their own colours, chosen fast, the same each time."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image

_COLOURS = 256  # a third of the bytes of true colour, and no difference that the eye finds
_BITS = 7  # of each of red, green and blue, to tell colours apart before there is a palette
_ROUNDS = 1  # of moving the palette's colours
_LEVEL = 6  # of compression: a palette picture is small before it begins


def png(image: Image.Image) -> bytes:
    """A picture of flat colours and soft shades as PNG."""
    file = io.BytesIO()
    _in_palette(image).save(file, format="PNG", compress_level=_LEVEL)
    return file.getvalue()


def _in_palette(image: Image.Image) -> Image.Image:
    """The picture in few colours: those that cover much, and those that are unlike the rest.

    A colour counts by the root of the area that it covers: soft shadows cover little and show
    every step. Choosing takes some thousand colours, not some million pixels.
    """
    code = _codes(image)
    areas = np.bincount(code.ravel(), minlength=1 << 3 * _BITS)
    there = np.nonzero(areas)[0]
    colours, weights = _colours(there), np.ceil(np.sqrt(areas[there])).astype(np.int64)
    palette = _palette(colours, weights)
    place = np.zeros(len(areas), np.uint8)
    place[there] = _nearest(colours, palette)
    found = Image.fromarray(place[code])
    found.putpalette(np.rint(palette).astype(np.uint8).tobytes())
    return found


def _palette(colours: NDArray[np.uint8], weights: NDArray[np.int64]) -> NDArray[np.float32]:
    """Colours to do with, K x 3: Pillow's choice, each then moved to the middle of its own."""
    strip = Image.fromarray(np.repeat(colours, weights, axis=0)[None])
    chosen = strip.quantize(_COLOURS, dither=Image.Dither.NONE)
    palette = np.array(chosen.getpalette() or [], np.float32).reshape(-1, 3)
    for _ in range(_ROUNDS):
        mine = _nearest(colours, palette)
        share = np.bincount(mine, weights, len(palette))
        for channel in range(3):
            sums = np.bincount(mine, weights * colours[:, channel], len(palette))
            palette[:, channel] = np.where(
                share > 0, sums / np.maximum(share, 1), palette[:, channel]
            )
    return palette


def _nearest(colours: NDArray[np.uint8], palette: NDArray[np.float32]) -> NDArray[np.int64]:
    """Which of a palette is nearest to each colour."""
    across = colours.astype(np.float32) @ palette.T
    return np.asarray(np.argmin((palette**2).sum(axis=1) - 2 * across, axis=1))


def _codes(image: Image.Image) -> NDArray[np.uint32]:
    """Red, green and blue of every pixel as one number."""
    short = np.asarray(image) >> (8 - _BITS)
    code = short[..., 0].astype(np.uint32)
    for channel in (1, 2):
        code <<= _BITS
        code |= short[..., channel]
    return code


def _colours(codes: NDArray[np.int64]) -> NDArray[np.uint8]:
    """Colours by their numbers, N x 3; the brightest is white again."""
    most = (1 << _BITS) - 1
    short = np.stack([codes >> 2 * _BITS, codes >> _BITS & most, codes & most], axis=1)
    full = short << (8 - _BITS) | short >> (2 * _BITS - 8)
    return full.astype(np.uint8)
