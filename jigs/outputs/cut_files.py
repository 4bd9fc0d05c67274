"""Cut files: what the router follows, with a side file of depths, and the drill list.

A DXF says where, in its layers in which order; the side file says how deep, from which face, with
what, and how the part is held. Together they say all that is cut.
"""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from itertools import pairwise
from typing import Any

from jigs.kept import Kept
from jigs.making.drilling import COLUMNS, Drilled, drill_list
from jigs.making.engraving import DEPTH as ENGRAVED
from jigs.making.engraving import Engraving, engrave, marks_told
from jigs.making.work import FaceWork, Layer, Step, Work, pieces_of, works
from jigs.model.outline import Outline
from jigs.model.part import Board
from jigs.outputs.dxf import Line, kept_dxf
from jigs.publish import Publication
from jigs.sizing import Design

DRILL_LIST = "make/drill list.csv"
SCALE_LENGTH = 100.0
"""mm, of the line that a user measures to see that nothing was scaled."""
SCALE_BELOW = 10.0
"""mm between all that is cut and that line."""
SCALE_TICK = 3.0
"""mm, half the length of the ticks at its ends."""
_DIGITS = 9


def marked(name: str, checks: str) -> str:
    """A file's name, with the verdict before its ending unless all is met.

    Whoever finds a cut file alone on a stick reads it there. Parameters: checks = the verdict in
    the words of `report.told`; "not asked" and "met" leave a name as it is.
    """
    loud = next((word for word in ("NOT MET", "NOT JUDGED") if checks.upper().startswith(word)), "")
    if not loud:
        return name
    stem, dot, ending = name.rpartition(".")
    return f"{stem} {loud}{dot}{ending}"


def write_cut_files(
    d: Design, out: Publication, checks: str = "not asked", kept: Kept | None = None
) -> None:
    """One DXF for each face that is worked, a side file for each part, and the drill list.

    Names of DXF and side files carry the verdict where it is not met: see `marked`. Parameters:
    kept = where DXF files made before are found.
    """
    revision = f"REV {d.job.model.revision}"
    for drawn in works(d):
        marks = marks_told(drawn.part.marks, d.job.model.units)
        work = replace(drawn, part=replace(drawn.part, marks=marks))
        engraved: Engraved = None
        if d.job.model.making.engrave == "marks":
            engraved = engraving_of(work, revision)
        for face in work.faces:
            name = marked(f"make/{work.jig}/{work.file(face)}", checks)
            outlines = [(str(step.layer), step.outline) for step in face.steps]
            lines = [(str(Layer.SCALE), line) for line in scale_lines(face)]
            if isinstance(engraved, Engraving) and face is work.faces[-1]:
                lines += [(str(Layer.MARKS), line) for line in _segments(engraved)]
            out.write_bytes(name, kept_dxf(kept or Kept(), outlines, lines, name))
        text = json.dumps(
            side_file(work, checks, engraved), indent=1, ensure_ascii=False, allow_nan=False
        )
        out.write_text(marked(f"make/{work.jig}/{work.name}.json", checks), text + "\n")
    out.write_text(DRILL_LIST, drill_list_text(d))


Engraved = Engraving | tuple[str, ...] | None
"""Words as strokes; words that fit nowhere, to write by hand; or none wanted."""


def engraving_of(work: Work, revision: str) -> Engraved:
    """What a part is, its marks and the job's revision, on the face that is cut last."""
    face = work.faces[-1]
    outline = next((s.outline for s in face.steps if s.layer is Layer.OUTLINE), None)
    if outline is None:
        return None
    marks = [mark for mark in work.part.marks if mark not in work.part.title.upper()]
    words = (work.part.title.upper(), *marks, revision)
    busy = [s.outline for s in face.steps if s.layer is not Layer.OUTLINE]
    for other in work.faces[:-1]:
        busy += [_turned_over(s.outline, work.axis_y) for s in other.steps if s.through]
    return engrave(outline, busy, words) or words


def _turned_over(outline: Outline, axis: float) -> Outline:
    return Outline.of([(x, 2 * axis - y, -bulge) for x, y, bulge in outline.vertices])


def _engraved(work: Work, engraved: Engraved, checks: str) -> dict[str, Any] | None:
    if engraved is None:
        return None
    if isinstance(engraved, tuple):
        return {"by hand, there is no room to engrave": list(engraved)}
    return {
        "file": marked(work.file(work.faces[-1]), checks),
        "layer": str(Layer.MARKS),
        "words": list(engraved.words),
        "depth": ENGRAVED,
    }


def _segments(engraving: Engraving) -> list[Line]:
    return [pair for stroke in engraving.strokes for pair in pairwise(stroke)]


def drill_list_text(d: Design) -> str:
    """The drill list as CSV (RFC 4180), units in its header."""
    parts = [
        (jig.name, part, pieces_of(jig, part)) for _, jig in d.jigs() for part in jig.parts.values()
    ]
    text = io.StringIO()
    csv.writer(text).writerows([COLUMNS, *drill_list(parts)])
    return text.getvalue()


def scale_lines(face: FaceWork) -> list[Line]:
    """A line of 100 mm a little below all that is cut, with a tick at each end."""
    boxes = [step.outline.bounds for step in face.steps]
    x, y = min(b[0] for b in boxes), min(b[1] for b in boxes) - SCALE_BELOW
    end = x + SCALE_LENGTH
    return [
        ((x, y), (end, y)),
        *(((at, y - SCALE_TICK), (at, y + SCALE_TICK)) for at in (x, end)),
    ]


def side_file(work: Work, checks: str = "not asked", engraved: Engraved = None) -> dict[str, Any]:
    """Plain data of the side file; lengths in mm."""
    grain = work.part.made.grain if isinstance(work.part.made, Board) else None
    return {
        "checks": checks,
        "part": work.name,
        "jig": work.jig,
        "title": work.part.title,
        "material": work.material,
        "stock": work.stock,
        "grain": grain,
        "made": work.made,
        "made_by": work.made_by,
        "pieces": work.pieces,
        "slices": work.slices,
        "thickness": {
            "least": _mm(work.thickness.least),
            "nominal": _mm(work.thickness.nominal),
            "most": _mm(work.thickness.most),
        },
        "cutter": {
            "name": work.cutter.name,
            "diameter": _mm(work.cutter.diameter),
            "flute_length": _mm(work.cutter.flute_length),
        },
        "axis_y": _mm(work.axis_y),
        "registration": {
            "axis_y": _mm(work.axis_y),
            "holes": [[_mm(value) for value in hole] for hole in work.registration],
        }
        if work.registration
        else None,
        "faces": [_face(work, face, checks) for face in work.faces],
        "drill": [_drilled(hole) for hole in work.drill],
        "engraving": _engraved(work, engraved, checks),
        "eased": _mm(work.part.eased),
        "marks": list(work.part.marks),
        "hold": list(work.hold),
        "how": list(work.how),
    }


def _face(work: Work, face: FaceWork, checks: str) -> dict[str, Any]:
    return {
        "file": marked(work.file(face), checks),
        "up": face.up.value,
        "mirrored": "about y" if face.mirrored else False,
        "steps": [_step(step) for step in face.steps],
        "tabs": [
            {
                "at": [_mm(value) for value in tab.at],
                "width": _mm(tab.width),
                "height": _mm(tab.height),
            }
            for tab in face.tabs
        ],
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "layer": str(step.layer),
        "number": step.number,
        "name": step.name,
        "does": step.does,
        "depth": _mm(step.depth),
        "through": step.through,
        "meets": step.meets,
        "tool": step.tool,
    }


def _drilled(hole: Drilled) -> dict[str, Any]:
    return {
        "face": hole.face.value,
        "name": hole.name,
        "diameter": _mm(hole.diameter),
        "depth": _mm(hole.depth),
        "through": hole.through,
        "at": [_mm(value) for value in hole.at],
        "from": hole.place,
        "counterbore": hole.counterbore,
        "meets": hole.meets,
    }


def _mm(value: float) -> float:
    """Away with the last bits, which differ from one processor to the next, and with minus zero."""
    return round(float(value), _DIGITS) + 0.0
