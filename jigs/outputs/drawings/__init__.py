"""Drawings of all that is made: one sheet a part, as PDF, SVG and DXF from the same entities.

Views, sizes and tables come from the parts' own outlines and cuts, not from solids or pictures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from jigs.model.finding import Finding
from jigs.outputs.cut_files import marked
from jigs.outputs.drawings.dxf import write_sheet_dxf
from jigs.outputs.drawings.frame import INNER, draw_frame
from jigs.outputs.drawings.page import sheets_of
from jigs.outputs.drawings.paper import Sheet, Text, wrapped
from jigs.outputs.drawings.pdf import pdf_of
from jigs.outputs.drawings.svg import svg_of
from jigs.outputs.drawings.tasks import NOTHING, block_of, tasks_of
from jigs.outputs.report import told
from jigs.publish import Publication
from jigs.sizing import Design

FOLDER = "drawings"


def drawings(d: Design, findings: Sequence[Finding]) -> list[Sheet]:
    """Every sheet of a job, in the order of jigs and parts; one that says so if there is none.

    Raises ExportError for a part that is too large to be drawn.
    """
    tasks = list(tasks_of(d, findings))
    drawn = [(task.block, sheets_of(task)) for task in tasks]
    if not drawn:
        drawn = [(replace(block_of(d, findings), part="none"), [_nothing()])]
    total = sum(len(sheets) for _, sheets in drawn)
    found: list[Sheet] = []
    for block, sheets in drawn:
        for sheet in sheets:
            draw_frame(
                sheet, replace(block, scale=sheet.scale, page=f"{len(found) + 1} of {total}")
            )
            found.append(sheet)
    return found


def write_drawings(d: Design, findings: Sequence[Finding], out: Publication) -> list[Sheet]:
    """Write `drawings/drawings.pdf` with every sheet, and each as SVG and DXF; returns them.

    Names carry the verdict where it is not met, as those of cut files do.
    """
    checks = told(findings)
    sheets = drawings(d, findings)
    model = d.job.model
    title = f"{model.job}, revision {model.revision}, checks: {checks}"
    out.write_bytes(marked(f"{FOLDER}/drawings.pdf", checks), pdf_of(sheets, title))
    for sheet in sheets:
        name = f"{FOLDER}/{sheet.name}"
        out.write_text(marked(f"{name}.svg", checks), svg_of(sheet))
        write_sheet_dxf(sheet, out.path(marked(f"{name}.dxf", checks)))
    return sheets


def _nothing() -> Sheet:
    sheet = Sheet("nothing to draw", "nothing to draw", scale="none")
    middle = (INNER[0] + INNER[2]) / 2
    for i, line in enumerate(wrapped(NOTHING, 5.0, 160.0)):
        sheet.entities.append(Text((middle, 200.0 - 8.0 * i), line, 5.0, "middle"))
    return sheet
