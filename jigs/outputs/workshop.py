"""Everything that the workshop needs besides solids: cut files, sheets, lists, the fit coupon."""

from __future__ import annotations

from jigs.outputs.cut_files import write_cut_files
from jigs.outputs.lists import write_lists
from jigs.outputs.sheets import write_coupons, write_sheets
from jigs.publish import Publication
from jigs.sizing import Design


def write_workshop(d: Design, out: Publication, checks: str) -> None:
    """Cut files, side files, drill list, sheets laid out, coupons, cut list, hardware, masses."""
    write_cut_files(d, out, checks)
    write_sheets(d, out)
    write_coupons(d, out)
    write_lists(d, out)
