"""Everything that the workshop needs besides solids: cut files, sheets, lists, drawings, setup."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from jigs.kept import Kept
from jigs.model.finding import Finding
from jigs.outputs.cut_files import write_cut_files
from jigs.outputs.lists import write_lists
from jigs.outputs.sheets import write_coupons, write_sheets
from jigs.publish import Publication
from jigs.sizing import Design


def write_workshop(d: Design, out: Publication, checks: str, kept: Kept | None = None) -> None:
    """Cut files, side files, drill list, sheets laid out, coupons, cut list, hardware, masses.

    What is cut carries the verdict in its name where it is not met; the coupons, which only try a
    joint, do not. Parameters: kept = where what was made before is found.
    """
    write_cut_files(d, out, checks, kept)
    write_sheets(d, out, checks, kept)
    write_coupons(d, out, kept)
    write_lists(d, out)


def write_papers(
    d: Design,
    findings: Sequence[Finding],
    report: Mapping[str, Any],
    out: Publication,
    pictures: Mapping[str, bytes],
) -> None:
    """Drawings of all that is made, and the setup sheet.

    Parameters: report = the plain data of the same build's report; pictures = name without ending
    -> PNG, empty where the build has none.
    """
    # What writes PDF and fills templates takes a while to load, and a build may leave papers out.
    from jigs.outputs.drawings import write_drawings
    from jigs.outputs.setup_sheet import write_setup_sheet

    write_drawings(d, findings, out)
    write_setup_sheet(d, findings, report, out, pictures)
