"""What to saw and what to buy: rows for the lists, worked out from the parts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import assert_never

from jigs.making.masses import sizes_of
from jigs.making.work import pieces_of
from jigs.model.outline import Outline
from jigs.model.part import (
    Board,
    Bought,
    Fixed,
    Lining,
    Part,
    Print,
    Sheet,
    Stack,
    Strip,
)
from jigs.sizing import Design, Jig

ROUGH = (10.0, 6.0, 3.0)
"""mm that a board is longer, wider and thicker before it is planed and trimmed. Common practice,
no source."""

KERF = 3.0
"""mm of a saw, where a block is ripped. Common practice, no source."""

CUT_FROM_BAR = ("threaded rod", "dowel")
"""Families that are bought as bars and cut to length."""


@dataclass(frozen=True, slots=True)
class CutRow:
    """One line of the cut list; sizes in mm, finished; `rough` = (length, width, thickness)."""

    jig: str
    part: str
    title: str
    quantity: int
    made: str
    material: str
    stock: str
    length: float
    width: float
    thickness: float
    grain: str = ""
    rough: tuple[float, float, float] | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class HardwareRow:
    """One line of the hardware list: the same thing bought, over the whole job.

    `lengths` = (length in mm, pieces) of what is cut from bar.
    """

    family: str
    designation: str
    material: str
    quantity: int
    jigs: tuple[str, ...]
    lengths: tuple[tuple[float, int], ...] = ()

    @property
    def total_length(self) -> float:
        """Of what is cut from bar, mm, without saw cuts."""
        return math.fsum(length * n for length, n in self.lengths)


def cut_rows(d: Design) -> Iterator[CutRow]:
    """Every part that is made, and the blocks that two parts are ripped from."""
    for _, jig in d.jigs():
        for part in jig.parts.values():
            row = _cut_row(jig.name, part, pieces_of(jig, part))
            if row is not None:
                yield _glued_up(d, row)
        for row in ripped_blocks(jig):
            yield _glued_up(d, row)


def _glued_up(d: Design, row: CutRow) -> CutRow:
    """Says so where a blank is thicker than the boards that the user can get."""
    thickest = [b.thickest for b in d.job.model.boards.values()
                if b.thickest and b.wood.casefold() == row.material.casefold()]  # fmt: skip
    if row.rough is None or not thickest or row.rough[2] <= max(thickest):
        return row
    layers = math.ceil(row.rough[2] / max(thickest))
    told = f"glue up from {layers} boards, joints along the grain: none is over {max(thickest):g}"
    return replace(row, note="; ".join(filter(None, (row.note, f"{told} mm thick"))))


def _cut_row(jig: str, part: Part, quantity: int) -> CutRow | None:
    made = part.made
    if isinstance(made, Bought | Fixed) or part.outline is None:
        return None
    sizes = sizes_of(part)
    along = sorted(sizes.values(), reverse=True)

    def row(how: str, material: str, size: list[float], stock: str = "", grain: str = "",
            rough: tuple[float, float, float] | None = None, note: str = "",
            times: int = 1) -> CutRow:  # fmt: skip
        return CutRow(jig, part.id, part.title, quantity * times, how, material, stock,
                      size[0], size[1], size[2], grain, rough, note)  # fmt: skip

    flat = sorted((sizes["x"], sizes["y"]), reverse=True)
    match made:
        case Sheet():
            grain = str(getattr(made, "grain", ""))
            return row("sheet", made.material, [*flat, part.thickness], made.stock, grain)
        case Stack():
            one = part.thickness / made.slices
            note = f"{made.slices} slices each, glued up {part.thickness:.1f} mm"
            return row("stack", made.material, [*flat, one], made.stock, note=note,
                       times=made.slices)  # fmt: skip
        case Board():
            size = _along_grain(sizes, made.grain)
            return row("board", made.wood, size, grain=f"along the length (part's {made.grain})",
                       rough=rough_size(size))  # fmt: skip
        case Strip():
            size = [part.thickness, *flat]
            return row("strip", made.wood, size, grain="along the length", rough=rough_size(size))
        case Print():
            return row("print", made.material, along)
        case Lining():
            liner = _lining_thickness(part.outline, made.strip_length)
            return row("lining", made.material, [made.strip_length, made.strip_width, liner],
                       note=f"strip {made.strip_length:.1f} mm long, bent into place")  # fmt: skip
    assert_never(made)


def rough_size(size: list[float]) -> tuple[float, float, float]:
    """Blank for a planed board or strip: length, width and thickness with their allowances, mm."""
    return (size[0] + ROUGH[0], size[1] + ROUGH[1], size[2] + ROUGH[2])


def ripped_blocks(jig: Jig) -> Iterator[CutRow]:
    """The other way of making two halves: one block, bored whole, then ripped.

    Two boards of one jig whose hollows are arcs of one circle; the wood between them is ripped out.
    """
    halves = [p for p in jig.parts.values() if isinstance(p.made, Board) and _hollow(p) is not None]
    for i, one in enumerate(halves):
        for two in halves[i + 1 :]:
            if one.made == two.made and _hollow(one) == _hollow(two):
                yield _block(jig.name, one, two)


def _block(jig: str, one: Part, two: Part) -> CutRow:
    assert isinstance(one.made, Board)
    assert one.outline is not None
    assert two.outline is not None
    boxes = [one.outline.bounds, two.outline.bounds]
    low, high = sorted(boxes, key=lambda b: b[1])
    gap = high[1] - low[3]
    # Where the gap is less than the kerf, the block is as much wider.
    between = max(gap, KERF)
    sizes = {
        "x": max(b[2] for b in boxes) - min(b[0] for b in boxes),
        "y": high[3] - low[1] + between - gap,
        "z": max(one.thickness, two.thickness),
    }
    size = _along_grain(sizes, one.made.grain)
    cuts = "one cut" if gap < 2 * KERF else "two cuts"
    return CutRow(
        jig, f"{one.id} + {two.id}", f"block for {one.title} and {two.title}", 1, "block",
        one.made.wood, "", size[0], size[1], size[2],
        f"along the length (part's {one.made.grain})", rough_size(size),
        f"instead of two boards: bore it whole, then rip out the {gap:.1f} mm between the halves, "
        f"{cuts} of a {KERF:g} mm saw; plane to the lines",
    )  # fmt: skip


def _hollow(part: Part) -> tuple[float, float, float] | None:
    """Centre and radius of the arc that hollows a part's outline, to 0.001 mm."""
    assert part.outline is not None
    arcs = [side for side in part.outline.sides if side.bulge < 0]
    if len(arcs) != 1:
        return None
    (x, y), r = arcs[0].centre, arcs[0].radius
    return (round(x, 3) + 0.0, round(y, 3) + 0.0, round(r, 3))


def _along_grain(sizes: dict[str, float], grain: str) -> list[float]:
    """Length along the grain, then the greater and the lesser of the others."""
    rest = sorted((mm for axis, mm in sizes.items() if axis != grain), reverse=True)
    return [sizes[grain], *rest]


def _lining_thickness(outline: Outline, strip: float) -> float:
    """Of a strip that lies in place as this outline, mm: its area over its length."""
    arcs = sorted((side.length for side in outline.sides if side.bulge), reverse=True)[:2]
    return outline.area / (math.fsum(arcs) / len(arcs) if arcs else strip)


def hardware_rows(d: Design) -> list[HardwareRow]:
    """What is bought, added up over the job; what is cut from bar by size, with its lengths."""
    found: dict[tuple[str, str, str], list[tuple[str, int, float | None]]] = {}
    for _, jig in d.jigs():
        for part in jig.parts.values():
            if not isinstance(part.made, Bought):
                continue
            made, bar = part.made, part.made.family in CUT_FROM_BAR
            name = made.designation.split(" × ")[0] if bar else made.designation
            key = (made.family, name, made.material)
            length = made["length"] if bar else None
            found.setdefault(key, []).append((jig.name, pieces_of(jig, part), length))
    rows = []
    for (family, designation, material), uses in sorted(found.items()):
        pieces: dict[float, int] = {}
        for _, n, length in uses:
            if length is not None:
                pieces[round(length, 3)] = pieces.get(round(length, 3), 0) + n
        rows.append(
            HardwareRow(family, designation, material, sum(n for _, n, _ in uses),
                        tuple(dict.fromkeys(jig for jig, _, _ in uses)),
                        tuple(sorted(pieces.items(), reverse=True)))
        )  # fmt: skip
    return rows
