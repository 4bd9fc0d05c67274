"""The cut itself: within the piece's end, and within what the cutter can do."""

from __future__ import annotations

from typing import Any

from jigs.model.finding import Finding, at_least, at_most, worst_of_each
from jigs.model.number import Book, Standing
from jigs.sizing import Design, Setup

COMMON = "common practice, no source"


def check_cut(design: Design) -> list[Finding]:
    """Findings on each cut of each setup."""
    return [
        f
        for setup in design.setups
        for f in worst_of_each([f for n in setup.cuts for f in _of_cut(setup, n)])
    ]


def _of_cut(setup: Setup, n: Book) -> list[Finding]:
    piece = setup.n
    about: dict[str, Any] = {"of": setup.name, "governs": n.owner}
    found = [
        at_least(n.flute_length if n.shank > n.cutter_diameter - 0.2 else n.cutter_length,
                 n.cut_depth, check="cutter reaches the depth", **about, group="cut",
                 source="derived; a shank 0.2 mm thinner than the cutter does not rub "
                 "(common practice, no source)", why="or its shank rubs")
    ]  # fmt: skip
    across = n.cut_width or n.cutter_diameter
    end = (
        piece.end_diameter
        if piece.finds("end_diameter")
        else min(piece.width_least, piece.depth_least)
    )
    found.append(
        at_most(across, end, check="cut lies within the piece's end", **about, group="cut",
                source="derived", why="on the thinnest piece")
    )  # fmt: skip
    found.append(
        at_most(n.cut_depth, piece.length_least, check="cut is shallower than the piece is long",
                **about, group="cut", source="derived", why="on the shortest piece",
                reads=("cut_depth", "length_least"))
    )  # fmt: skip
    if n.cut_width and n.cut_does in ("slot", "hole"):
        found.append(
            at_least(n.cut_width, n.cutter_diameter, check="cut is as wide as its cutter",
                     **about, group="cut", source="derived", levers=("+cut_width",),
                     why="or it comes out wider: give the cutter's width, or a thinner cutter",
                     reads=("cut_width", "cutter_diameter"))
        )  # fmt: skip
    if n["stick_out"].standing is not Standing.ASSUMED:
        found.append(
            at_most(n.stick_out, n.cutter_length - 2 * n.shank, group="cut", **about,
                    check="enough shank in the collet", source=COMMON,
                    why="at least twice its diameter is held")
        )  # fmt: skip
    return found
