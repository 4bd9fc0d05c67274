"""What is drawn: every part that somebody makes or checks by hand, and the words beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from jigs.making.engraving import marks_told
from jigs.making.lists import cut_rows
from jigs.making.work import pieces_of, thickness_of
from jigs.model.finding import Finding
from jigs.model.outline import Outline
from jigs.model.part import Board, Bought, Fixed, Lining, Part, Print, Sheet, Stack, Strip
from jigs.outputs.drawings.flat import flat_cuts
from jigs.outputs.drawings.frame import Block
from jigs.outputs.drawings.page import Task
from jigs.outputs.drawings.rows import mm, told
from jigs.outputs.report import told as verdict_told
from jigs.sizing import Design, Jig
from jigs.units import Units

ROUTED, BY_HAND = "ISO 2768-1 m", "ISO 2768-1 c"
"""Classes medium and coarse: written for metal, and common practice on drawings of wood too."""

NOTHING = "Nothing to draw: no part of this job is made by hand or on the router."


def tasks_of(d: Design, findings: Sequence[Finding]) -> Iterator[Task]:
    """A task for each different part that is made, jig by jig."""
    for _, jig in d.jigs():
        for part in jig.parts.values():
            if part.outline is not None and not isinstance(part.made, Bought | Fixed):
                yield _task(d, jig, part, findings)


def job_file_date(d: Design) -> str:
    """The day on which the job file was last changed, ISO 8601, UTC."""
    file = Path(d.job.source.file)
    if not file.is_file():
        return "not from a file"
    return datetime.fromtimestamp(file.stat().st_mtime, UTC).date().isoformat()


def block_of(d: Design, findings: Sequence[Finding]) -> Block:
    """A title block with what is the same for the whole job."""
    model = d.job.model
    checks = verdict_told(findings)
    units = "mm" if model.units is Units.MM else "mm (inches)"
    return Block(
        job=model.job, part="", jig="", revision=model.revision, quantity="", material="",
        thickness="", units=units, tolerance="", dated=job_file_date(d), checks=checks,
        loud=checks != "met",
    )  # fmt: skip


def _task(d: Design, jig: Jig, part: Part, findings: Sequence[Finding]) -> Task:
    units = d.job.model.units
    shown = _flat_lining(d, jig, part) if isinstance(part.made, Lining) else part
    by_hand = isinstance(part.made, Strip | Lining)
    block = replace(
        block_of(d, findings), part=part.title, jig=jig.name, quantity=str(pieces_of(jig, part)),
        material=_material(part), thickness=_thickness(d, shown, units),
        tolerance=BY_HAND if by_hand else ROUTED,
    )  # fmt: skip
    grain = _grain(part)
    return Task(f"{jig.name}/{part.id}", shown, block, tuple(_notes(part, shown, units)), grain,
                units)  # fmt: skip


def _flat_lining(d: Design, jig: Jig, part: Part) -> Part:
    """A lining as it is cut from its sheet: flat, before it is bent into place."""
    row = next(r for r in cut_rows(d) if r.jig == jig.name and r.part == part.id)
    return replace(part, outline=Outline.rectangle(0, 0, row.length, row.width),
                   thickness=row.thickness, cuts=())  # fmt: skip


def _material(part: Part) -> str:
    match part.made:
        case Sheet(material, stock):
            return f"{material}, sheet {stock}" if stock else material
        case Stack(material, slices, stock):
            return f"{material}{f', sheet {stock}' if stock else ''}, {slices} slices glued"
        case Board(wood):
            return f"{wood}, planed board"
        case Strip(wood):
            return f"{wood}, sawn and planed to the section"
        case Print(material):
            return f"{material}, printed"
        case Lining(material):
            return f"{material}, cut flat"
    return ""


def _thickness(d: Design, part: Part, units: Units) -> str:
    limits = thickness_of(d, part)
    band = f"{mm(limits.least)} to {mm(limits.most)}"
    match part.made:
        case Sheet():
            measured = limits.least != limits.most
            whole = f"{told(limits.nominal, units)} as measured, {band}"
            return whole if measured else f"{told(limits.nominal, units)}, measure it"
        case Stack(_, slices):
            return f"{told(part.thickness, units)} = {slices} slices of {band}"
        case Strip():
            return f"section as drawn, {told(part.thickness, units)} long"
        case Print():
            return f"{told(part.thickness, units)} high as printed"
    return told(part.thickness, units)


def _runs_out(outline: Outline, part: Part) -> bool:
    """Does a groove run out over an edge, or have relieved corners?"""
    assert part.outline is not None
    a, b = outline.bounds, part.outline.bounds
    beyond = a[0] < b[0] or a[1] < b[1] or a[2] > b[2] or a[3] > b[3]
    return not outline.is_circle and (beyond or len(outline.sides) > 4)


def _grain(part: Part) -> str:
    if isinstance(part.made, Board):
        return part.made.grain
    return "z" if isinstance(part.made, Strip) else ""


def _notes(part: Part, shown: Part, units: Units) -> Iterator[str]:
    made = part.made
    if part.cuts:
        yield ("x and y from the corner marked 0, z from the bottom face. Top = the face seen in "
               "the first view, bottom = the face behind it.")  # fmt: skip
    if units is Units.INCH:
        yield "In brackets: inches."
    if isinstance(made, Board):
        words = {"x": "left to right", "y": "upwards", "z": "through the thickness"}
        yield f"Grain runs {words.get(made.grain, made.grain)} in the first view."
    if isinstance(made, Strip):
        yield "Grain runs along the length. The first view is the section."
    if isinstance(made, Stack):
        each = told(part.thickness / made.slices, units)
        yield f"{made.slices} equal slices of {each}, dowelled and glued face to face."
    if isinstance(made, Lining):
        yield "Drawn flat, as it is cut. It is bent into place; measure the sheet's thickness."
    if isinstance(made, Print):
        yield "Printed with the first view's top face up; the print file has the shape."
    if part.eased:
        yield f"Long outer edges that a hand meets eased by {told(part.eased, units)}."
    if part.marks:
        yield f"Write on it: {'; '.join(marks_told(part.marks, units))}."
    if part.sacrificial:
        yield "Is cut into while in use: make spare ones."
    if any(_runs_out(cut.outline, shown) for cut in flat_cuts(shown)):
        yield "Sizes of a groove end at the part's edge, and take in the relief of its corners."
