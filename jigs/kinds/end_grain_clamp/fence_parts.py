"""The two fences of the end-grain clamp and the sacrificial backer, with the cuts that make them.

Fence: x away from the piece, y up from its foot, z away from the fixed face (TOP).
"""

from __future__ import annotations

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._common import drilled, up_to
from jigs.kinds._hardware import GRACE, wood_screw
from jigs.kinds.end_grain_clamp.ribbing import rib_screws
from jigs.model.number import Book
from jigs.model.outline import Outline
from jigs.model.part import Board, Cut, Does, Face, Part, Sheet, Stack

BACKER_SCREW = 3.5
"""mm, diameter of the two screws of the backer: it is changed often. Common practice, no source."""

SCREWS_APART = 3.0
"""mm of wood between a screw of the backer and the head of one into a rib. Common practice, no
source."""


def fence_bolt_y(n: Book, side: int) -> float:
    """y of a fence's bolts in the jig's frame: datum side +1, free side -1, mm."""
    backer = n.backer_in_y if side > 0 else 0.0
    return float(side * (n.depth_nominal / 2 + backer + n.fence_bolt_at))


def free_fence(n: Book) -> Part:
    """Slides on two coach bolts whose heads are sunk in it; the piece is at x = 0, it at x < 0."""
    # The square neck does not go into the round of the slot's end.
    reach = n.fence_travel / 2 + n.fence_slot / 2
    cuts = []
    for i, z in enumerate(n.fence_bolts_z, 1):
        y = z - n.fence_foot
        ends = ((-n.fence_bolt_at - reach, y), (-n.fence_bolt_at + reach, y))
        cuts += [
            Cut(f"slot {i}", Face.BOTTOM, Outline.slot(*ends, n.fence_slot), Does.INSIDE,
                meets="fence_bolt"),
            Cut(f"sunk slot {i}", Face.TOP, Outline.slot(*ends, n.fence_recess), Does.RECESS,
                n.fence_recess_depth, "fence_bolt"),
        ]  # fmt: skip
    return _fence(n, "free_fence", (-n.fence_width, 0.0), cuts)


def datum_fence(n: Book) -> Part:
    """Stays where its two coach bolts put it: round holes, their square necks pulled in."""
    neck = tables.coach_bolt(n.fence_bolt_size)
    hole = tables.clearance_hole(n.fence_bolt_size).hole_fine
    x, w = n.fence_bolt_at, neck.neck_width / 2
    cuts = []
    for i, z in enumerate(n.fence_bolts_z, 1):
        y = z - n.fence_foot
        cuts += [
            drilled(f"hole {i}", Face.BOTTOM, x, y, hole, meets="fence_bolt"),
            drilled(f"head recess {i}", Face.TOP, x, y, n.fence_recess, n.fence_recess_depth,
                    Does.COUNTERBORE, "fence_bolt"),
            Cut(f"neck {i}", Face.TOP, Outline.rectangle(x - w, y - w, x + w, y + w),
                Does.PRESSED, n.fence_recess_depth + neck.neck_depth, "fence_bolt"),
        ]  # fmt: skip
    if n.backer_in_y:
        pilot = tables.wood_screw(BACKER_SCREW).pilot_hole
        cuts += [
            drilled(f"backer pilot {i}", Face.LEFT, z - n.fence_foot, n.fence_thick / 2, pilot,
                    backer_bite(n), meets="backer_screw")
            for i, z in enumerate(backer_screws_z(n), 1)
        ]  # fmt: skip
    return _fence(n, "datum_fence", (0.0, n.fence_width), cuts)


def _fence(n: Book, id: str, reach: tuple[float, float], cuts: list[Cut]) -> Part:
    outline = Outline.rectangle(reach[0], 0, reach[1], n.fence_top - n.fence_foot)
    sheet, layers = n.fence_sheet_material, n.fence_layers
    word = id.replace("_", " ")
    one = Sheet(sheet, n.fence_sheet_name)
    made = one if layers == 1 else Stack(sheet, layers, n.fence_sheet_name)
    marks = (word.upper(), "UP")
    return Part(id, word, made, outline, n.fence_thick, tuple(cuts), marks=marks)


def backer_parts(n: Book) -> list[Part]:
    """The sacrificial backer and its screws; none where no slot leaves the piece.

    x along the face or fence that it is screwed to, y up, z towards the piece (TOP).
    """
    if not n.backer:
        return []
    wide = (n.depth_least if n.backer_in_x else n.width_least) - 2
    row = tables.wood_screw(BACKER_SCREW)
    hole = BACKER_SCREW + 0.5
    x = 0.0 if n.backer_in_x else n.fence_thick / 2
    left = -wide / 2 if n.backer_in_x else 1.0
    cuts = []
    for i, height in enumerate(backer_screws_z(n), 1):
        z = height - n.under_fences
        cuts += [
            drilled(f"screw {i}", Face.TOP, x, z, hole, meets="backer_screw"),
            drilled(f"screw head {i}", Face.TOP, x, z, row.head_diameter + 0.5,
                    (row.head_diameter - hole) / 2, Does.COUNTERBORE, "backer_screw"),
        ]  # fmt: skip
    return [
        Part("backer", "sacrificial backer", Board(n.backer_wood, "y"),
             Outline.rectangle(left, 0, left + wide, n.end_least - n.under_fences - 1), n.backer,
             tuple(cuts), sacrificial=True),
        wood_screw(BACKER_SCREW, backer_screw_length(n), "backer_screw"),
    ]  # fmt: skip


def backer_screws_z(n: Book) -> tuple[float, ...]:
    """Heights of the backer's screws above the table: below the cut's floor, between bolts, mm."""
    if n.backer_in_x:
        highest = min(n.jaw_top, n.end_least - n.cut_depth) - 15
        foot = n.under_fences
        return (_beside_ribs(n, foot + 0.35 * (highest - foot)), _beside_ribs(n, highest))
    low, high = n.fence_bolts_z
    if high - low < 3 * (n.fence_recess / 2 + 4):
        return ((low + high) / 2,)
    return ((2 * low + high) / 3, (low + 2 * high) / 3)


def _beside_ribs(n: Book, height: float) -> float:
    """That height, or the next below it that is clear of the screws into a rib behind it, mm."""
    head = tables.wood_screw(n.screw_diameter).head_diameter
    clear = (head + BACKER_SCREW) / 2 + SCREWS_APART
    if min(abs(y) for y in n.rib_at) >= clear:
        return height
    under_dado = n.sheet_nominal - n.dado_depth
    heads = [z + under_dado for _, part, z in rib_screws(n) if part == "face"]
    for at in sorted(heads, reverse=True):
        if abs(height - at) < clear:
            height = at - clear
    return height


def backer_screw_length(n: Book) -> float:
    """The longest screw that stays within a face, or that bites 25 mm of a fence's edge, mm."""
    reach = n.sheet_least - n.dado_depth - 1 if n.backer_in_x else 25.0
    lengths = tables.wood_screw(BACKER_SCREW).lengths
    longest = n.backer + reach
    fits = [length for length in lengths if length <= longest + GRACE]
    if not fits:
        raise DesignError(
            f"{n.owner}.backer",
            f"no {BACKER_SCREW:g} mm screw is short enough for the backer: at most {longest:g} mm",
            f"a thicker sheet, or a backer that is {up_to(lengths[0] - longest, 0.1):g} mm thicker",
        )
    return max(fits)


def backer_bite(n: Book) -> float:
    """Depth of the pilot holes for the backer's screws, mm."""
    return backer_screw_length(n) - float(n.backer) + 1
