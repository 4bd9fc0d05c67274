"""What to saw and what to buy: rows for the lists, worked out from the parts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import assert_never

from jigs.making.blanks import (
    KERF,
    SPARE,
    Sizes,
    along_grain,
    blank_of,
    ring_block,
    rough_block,
    rough_size,
)
from jigs.making.holding import half_bore
from jigs.making.masses import sizes_of
from jigs.making.work import pieces_of, thickness_of, works_of
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
from jigs.shop.making import routing_cutter
from jigs.sizing import Design, Jig

CUT_FROM_BAR = ("threaded rod", "dowel")
"""Families that are bought as bars and cut to length."""


@dataclass(frozen=True, slots=True)
class CutRow:
    """One line of the cut list; sizes in mm, finished.

    `rough` = the blank as it is sawn, (length, width, thickness); `planed` = its thickness then.
    """

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
    rough: Sizes | None = None
    note: str = ""
    planed: float = 0.0


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
                yield _glued_up(d, _one_strip(_board_row(d, jig, part, row)))
        for row in ripped_blocks(jig):
            yield _glued_up(d, row)


def _board_row(d: Design, jig: Jig, part: Part, row: CutRow) -> CutRow:
    """Gives a part of board its blank, which depends on whether it is routed."""
    if not isinstance(part.made, Board):
        return row
    making = d.job.model.making
    cutter = routing_cutter(d.job.machine, making)
    (work,) = works_of(jig.name, part, row.quantity, making, cutter, thickness_of(d, part))
    blank = blank_of(part, work.made_by == "router", work.cutter.diameter)
    row = replace(row, rough=blank.rough, planed=blank.planed[2])
    if blank.small:
        small = " x ".join(f"{mm:g}" for mm in blank.small)
        row = _noted(row, f"turned or cut with a plug cutter, {small} mm rough will do")
    return row


def _one_strip(row: CutRow) -> CutRow:
    """Says how long one strip is for several pieces that are alike, with the saw cuts between."""
    if row.rough is None or row.quantity == 1:
        return row
    length, width, thickness = row.rough
    strip = row.quantity * length + (row.quantity - 1) * KERF
    return _noted(row, f"all {row.quantity} from one strip of {strip:g} x {width:g} x "
                       f"{thickness:g} mm rough")  # fmt: skip


def _glued_up(d: Design, row: CutRow) -> CutRow:
    """Says so where a planed blank is thicker than the boards that the user can get."""
    thickest = [b.thickest for b in d.job.model.boards.values()
                if b.thickest and b.wood.casefold() == row.material.casefold()]  # fmt: skip
    if not thickest or row.planed <= max(thickest):
        return row
    layers = math.ceil(row.planed / max(thickest))
    told = f"glue up from {layers} boards, joints along the grain: none is over {max(thickest):g}"
    return _noted(row, f"{told} mm thick")


def _noted(row: CutRow, told: str) -> CutRow:
    return replace(row, note="; ".join(filter(None, (row.note, told))))


def _cut_row(jig: str, part: Part, quantity: int) -> CutRow | None:
    made = part.made
    if isinstance(made, Bought | Fixed) or part.outline is None:
        return None
    sizes = sizes_of(part)
    along = sorted(sizes.values(), reverse=True)

    def row(how: str, material: str, size: Sequence[float], stock: str = "", grain: str = "",
            rough: Sizes | None = None, note: str = "", times: int = 1) -> CutRow:  # fmt: skip
        return CutRow(jig, part.id, part.title, quantity * times, how, material, stock,
                      size[0], size[1], size[2], grain, rough, note,
                      size[2] if rough else 0.0)  # fmt: skip

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
            size = along_grain(sizes, made.grain)
            return row("board", made.wood, size, grain=f"along the length (part's {made.grain})")
        case Strip():
            size = (part.thickness, flat[0], flat[1])
            return row("strip", made.wood, size, grain="along the length", rough=rough_size(size))
        case Print():
            return row("print", made.material, along)
        case Lining():
            liner = _lining_thickness(part.outline, made.strip_length)
            return row("lining", made.material, [made.strip_length, made.strip_width, liner],
                       note=f"strip {made.strip_length:.1f} mm long, bent into place")  # fmt: skip
    assert_never(made)


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
    bore = half_bore(one.outline)
    assert bore is not None
    block = ring_block((one.outline.bounds, two.outline.bounds), max(one.thickness, two.thickness),
                       bore.centre)  # fmt: skip
    grain = one.made.grain
    x, y, z = block.finished
    size = along_grain({"x": x, "y": y, "z": z}, grain)
    cuts = "one cut" if block.gap < 2 * KERF else "two cuts"
    return CutRow(
        jig, f"{one.id} + {two.id}", f"block for {one.title} and {two.title}", 1, "block",
        one.made.wood, "", *size, f"along the length (part's {grain})", rough_block(block, grain),
        f"instead of two boards: {SPARE:g} mm longer at both ends, crosscut off last; bore it "
        f"whole, then rip out the {block.gap:.1f} mm between the halves, {cuts} of a {KERF:g} mm "
        f"saw; plane to the lines; in mm, of the planed block: {block.places}",
        planed=size[2],
    )  # fmt: skip


def _hollow(part: Part) -> tuple[float, float, float] | None:
    """Centre and diameter of a part's half bore, to 0.001 mm."""
    assert part.outline is not None
    bore = half_bore(part.outline)
    if bore is None:
        return None
    (x, y), wide = bore.centre, bore.diameter
    return (round(x, 3) + 0.0, round(y, 3) + 0.0, round(wide, 3))


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
