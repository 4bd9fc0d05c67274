"""Cut file, side file and picture of every sheet, and the fit coupons that are cut first.

What is worked on its first face only is cut out of the sheet. What must be turned over is cut on
its first face and sawn out with its waste; its other file finishes it on the two dowels, in a fresh
place of the spoilboard. A sheet larger than the machine reaches is sawn into blanks first.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from itertools import groupby
from typing import Any

from jigs.kept import Kept
from jigs.making.coupon import Coupon, Ladder, coupons
from jigs.making.layout import Layout, Placement, SheetPlan, lay_out
from jigs.making.work import DOWEL_IN, Layer, Step, Work
from jigs.model.outline import Outline
from jigs.outputs import cut_files
from jigs.outputs.dxf import kept_dxf
from jigs.outputs.sheet_picture import picture, turning_over
from jigs.publish import Publication
from jigs.sizing import Design

EDGE = "6 sheet edge do not cut"
SCREWS = "7 screws do not cut"
SAW = "8 saw lines do not cut"

SCREW_DRAWN = 5.0
"""mm, diameter of the circle at a holding screw."""


def write_sheets(
    d: Design, out: Publication, checks: str = "not asked", kept: Kept | None = None
) -> tuple[Layout, ...]:
    """Write `make/sheets/<sheet> <n>` as .dxf, .json and .svg; returns what was laid out.

    Names carry the verdict where it is not met: see `cut_files.marked`.
    """
    kept = kept or Kept()
    layouts = lay_out(d, kept)
    told = f"{d.job.model.job}, revision {d.job.model.revision}"
    for layout in layouts:
        for plan in layout.sheets:
            name = f"make/sheets/{file_name(layout.name)} {plan.number}"
            dxf, side, svg = (cut_files.marked(f"{name}{end}", checks)
                              for end in (".dxf", ".json", ".svg"))  # fmt: skip
            out.write_bytes(dxf, kept_dxf(kept, sheet_outlines(layout, plan), [], dxf))
            out.write_text(side, _text(side_file(layout, plan, checks)))
            out.write_text(svg, picture(layout, plan, told))
    return layouts


def file_name(sheet: str) -> str:
    """Fit for a file: a sheet that is called after its material may be called anything."""
    return re.sub(r"[^\w -]+", "-", sheet)


def write_coupons(d: Design, out: Publication, kept: Kept | None = None) -> tuple[Coupon, ...]:
    """Write `make/fit coupon <sheet>` as .dxf and .json for each sheet with dados."""
    made = coupons(d)
    for coupon in made:
        face = coupon.work.faces[0]
        name = f"make/{coupon.work.name}"
        outlines = [(str(step.layer), step.outline) for step in face.steps]
        scale = [(str(Layer.SCALE), line) for line in cut_files.scale_lines(face)]
        out.write_bytes(f"{name}.dxf", kept_dxf(kept or Kept(), outlines, scale, name))
        data = {
            **cut_files.side_file(coupon.work),
            "use": list(coupon.use),
            "rows from the top": [_row(row) for row in coupon.ladders],
        }
        out.write_text(f"{name}.json", _text(data))
    return made


def _row(row: Ladder) -> dict[str, Any]:
    return {
        "does": row.does.value,
        "takes": row.of,
        "asked for": row.asked,
        "sizes from the notch": list(row.sizes),
        "middles": [list(at) for at in row.at],
        "depth": row.depth,
        "the size that fits goes to": list(row.goes_to),
    }


def sheet_outlines(layout: Layout, plan: SheetPlan) -> list[tuple[str, Outline]]:
    """Layer and outline of all that stands in a sheet's cut file, in working order."""
    drawn = [(str(step.layer), placed.place(step.outline))
             for placed, step in _steps(layout, plan)]  # fmt: skip
    drawn.append((EDGE, Outline.rectangle(0, 0, layout.length, layout.width)))
    drawn += [(SCREWS, Outline.circle(x, y, SCREW_DRAWN)) for x, y in plan.screws]
    drawn += [
        (SAW, Outline.rectangle(*layout.blank(placed)))
        for placed in plan.placements
        if placed.turned_over
    ]
    return drawn


def _steps(layout: Layout, plan: SheetPlan) -> list[tuple[Placement, Step]]:
    """Every step of every first face: layer by layer, within one piece by piece."""
    steps = [
        (placed, step)
        for placed in plan.placements
        for step in layout.piece(placed).work.faces[0].steps
    ]
    return sorted(steps, key=lambda of: of[1].layer)


def side_file(layout: Layout, plan: SheetPlan, checks: str = "not asked") -> dict[str, Any]:
    """What the cut file of a sheet cannot say, as plain data; lengths in mm."""
    return {
        "sheet": layout.name,
        "number": plan.number,
        "of": len(layout.sheets),
        "material": layout.material,
        "size": [layout.length, layout.width],
        "size assumed": layout.assumed,
        "whole sheet": list(layout.whole),
        "sawn first": layout.sawn_first or None,
        "not placed": [
            {"jig": lost.jig, "part": lost.part, "what would do": lost.remedy}
            for lost in layout.unplaced
        ],
        "turning over": list(turning_over()) if any(p.turned_over for p in plan.placements) else [],
        "cutter diameter": layout.cutter,
        "least between outlines": layout.gap,
        "share used": round(plan.share_used, 4),
        "rest": [round(v, 3) for v in plan.rest] if plan.rest else None,
        "screws": [list(at) for at in plan.screws],
        "parts": [_part(layout, placed, checks) for placed in plan.placements],
        "steps": list(_numbered(layout, plan)),
        "tabs": list(_tabs(layout, plan)),
    }


def _part(layout: Layout, placed: Placement, checks: str) -> dict[str, Any]:
    work = layout.piece(placed).work
    files = [
        cut_files.marked(f"make/{placed.jig}/{work.file(face)}", checks) for face in work.faces
    ]
    return {
        "jig": placed.jig,
        "part": placed.part,
        "title": work.part.title,
        "piece": placed.piece,
        "of": placed.of,
        "at": [placed.x, placed.y],
        "turned": placed.turned,
        "file": files[0],
        "up": str(work.faces[0].up),
        "then turn over": files[1] if placed.turned_over else None,
        "saw out": [round(v, 3) for v in layout.blank(placed)] if placed.turned_over else None,
        "second zero": _second_zero(work) if placed.turned_over else None,
    }


def _second_zero(work: Work) -> dict[str, Any]:
    """Where the second file's own origin lies: its dowels in its own coordinates, mm."""
    (left, right) = work.registration
    return {
        "dowels in the second file": [list(left[:2]), list(right[:2])],
        "dowel diameter": left[2],
        "from dowel to dowel": round(right[0] - left[0], 6),
        "deep in the spoilboard": DOWEL_IN,
    }


def _numbered(layout: Layout, plan: SheetPlan) -> Iterator[dict[str, Any]]:
    """The steps as they follow each other on each layer of the cut file, counted from 1."""
    for layer, group in groupby(_steps(layout, plan), key=lambda of: of[1].layer):
        for number, (placed, step) in enumerate(group, 1):
            yield {
                "layer": str(layer), "number": number, "jig": placed.jig, "part": placed.part,
                "piece": placed.piece, "name": step.name, "does": step.does,
                "depth": round(step.depth, 6), "through": step.through, "tool": step.tool,
                "meets": step.meets,
            }  # fmt: skip


def _tabs(layout: Layout, plan: SheetPlan) -> Iterator[dict[str, Any]]:
    """Tabs of what is cut out of the sheet."""
    for placed in plan.placements:
        if placed.turned_over:
            continue
        for tab in layout.piece(placed).work.faces[0].tabs:
            at = placed.point(tab.at)
            yield {
                "jig": placed.jig, "part": placed.part, "piece": placed.piece,
                "at": [round(v, 6) + 0.0 for v in at], "width": tab.width, "height": tab.height,
            }  # fmt: skip


def _text(data: dict[str, Any]) -> str:
    return json.dumps(data, indent=1, ensure_ascii=False) + "\n"
