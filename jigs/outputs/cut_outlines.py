"""Which parts are made, and the plain outline of those that are cut from sheet."""

from __future__ import annotations

from jigs.model.outline import Outline
from jigs.model.part import Bought, Does, Face, Fixed, Part, Sheet, Stack
from jigs.outputs.dxf import write_outline_dxf
from jigs.publish import Publication
from jigs.sizing import Design


def write_outlines(d: Design, out: Publication) -> None:
    """A plain outline DXF of every part that is cut from sheet: what goes right through it."""
    for _, jig in d.jigs():
        for part in jig.parts.values():
            if isinstance(part.made, Sheet | Stack) and part.outline is not None:
                path = out.path(f"parts/{jig.name}/{part.id}.dxf")
                write_outline_dxf(through_cuts(part), path)


def through_cuts(part: Part) -> list[tuple[str, Outline]]:
    """Layer and outline of the part's edge and of all that goes right through its thickness."""
    assert part.outline is not None
    layers = [("4 outline", part.outline)]
    for cut in part.cuts:
        if cut.face in (Face.TOP, Face.BOTTOM) and cut.depth is None:
            layers.append(("1 holes" if cut.does is Does.HOLE else "3 inside shapes", cut.outline))
    return layers


def made_parts(d: Design) -> list[tuple[str, Part]]:
    """Every part that is made rather than bought, with its jig's name."""
    return [
        (jig.name, part)
        for _, jig in d.jigs()
        for part in jig.parts.values()
        if not isinstance(part.made, Bought | Fixed)
    ]
