"""DXF R2010 (AC1024) of closed outlines and plain lines, mm, the same bytes on every run."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jigs.errors import ExportError
from jigs.kept import Kept
from jigs.model.outline import Outline, Point

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_BLACK_OR_WHITE = 7  # DXF colour index: whatever shows on the ground; layers tell, not colours
_METRIC = 1
_COORDINATE_DIGITS = 9
_BULGE_DIGITS = 14


Line = tuple[Point, Point]
"""A straight line that is not cut: start and end, mm."""


def write_outline_dxf(
    outlines: Iterable[tuple[str, Outline]], path: Path, lines: Iterable[tuple[str, Line]] = ()
) -> None:
    """Write what `outline_dxf` makes. Raises: ExportError if the file cannot be written."""
    made = outline_dxf(outlines, lines, path.name)
    try:
        path.write_bytes(made)
    except OSError as error:
        raise ExportError(f"{path.name}: the DXF could not be written: {error}") from error


def kept_dxf(
    kept: Kept,
    outlines: Iterable[tuple[str, Outline]],
    lines: Iterable[tuple[str, Line]],
    name: str,
) -> bytes:
    """What `outline_dxf` makes, found where it was made before."""
    shapes = ([*outlines], [*lines])
    made = kept.bytes_of("dxf", shapes, lambda: outline_dxf(*shapes, name))
    assert made is not None
    return made


def outline_dxf(
    outlines: Iterable[tuple[str, Outline]], lines: Iterable[tuple[str, Line]], name: str
) -> bytes:
    """Outlines, each on its layer: layers in the order of their names, then as given.

    A full circle becomes a CIRCLE, all else one closed LWPOLYLINE with bulges, so that arcs stay
    true arcs.

    Parameters: outlines = (layer, outline), mm; a layer's name starts with its place in the order
    of work, such as "1 holes" or "4 outline"; lines = (layer, line), after the outlines of their
    layer; name = of the file, for messages.
    Raises: ExportError if a layer's name is not allowed in a DXF.
    """
    import ezdxf  # half a second of imports that a check on numbers does not need
    from ezdxf.lldxf.validator import is_valid_layer_name

    drawing = ezdxf.new("R2010", units=ezdxf.units.MM)
    drawing.header["$MEASUREMENT"] = _METRIC
    space = drawing.modelspace()
    shapes: list[tuple[str, Outline | Line]] = [*outlines, *lines]
    for layer, shape in sorted(shapes, key=itemgetter(0)):
        if not is_valid_layer_name(layer):
            raise ExportError(
                f"{name}: a DXF cannot have a layer '{layer}'"
                '\n  remedy: leave out the letters < > / \\ " : ; ? * = | `'
            )
        if layer not in drawing.layers:
            drawing.layers.add(layer, color=_BLACK_OR_WHITE)
        _add(space, shape, layer)
    text = io.StringIO()
    with without_dates(drawing):
        drawing.write(text)
    encoded: bytes = drawing.encode(text.getvalue())
    return encoded


def _add(space: Any, shape: Outline | Line, layer: str) -> None:
    attributes = {"layer": layer}
    if not isinstance(shape, Outline):
        start, end = (tuple(_rounded(value) for value in point) for point in shape)
        space.add_line(start, end, dxfattribs=attributes)
        return
    if shape.is_circle:
        centre = tuple(_rounded(value) for value in shape.centre)
        radius = _rounded(shape.sides[0].chord / 2)
        space.add_circle(centre, radius, dxfattribs=attributes)
        return
    vertices = [(_rounded(x), _rounded(y), round(b, _BULGE_DIGITS)) for x, y, b in shape.vertices]
    space.add_lwpolyline(vertices, format="xyb", close=True, dxfattribs=attributes)


def _rounded(value: float) -> float:
    """Away with the last bits, which differ from one processor to the next, and with minus zero."""
    return round(value, _COORDINATE_DIGITS) + 0.0


@contextmanager
def without_dates(drawing: Drawing) -> Iterator[None]:
    """Fixed dates, identifiers and makers, and classes in a fixed order, while a file is saved."""
    import ezdxf

    made_by = drawing.ezdxf_metadata()
    made_by["CREATED_BY_EZDXF"] = made_by["WRITTEN_BY_EZDXF"] = "jigs"
    for name in sorted(drawing.entitydb.dxf_types_in_use()):
        drawing.classes.add_class(name)
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
