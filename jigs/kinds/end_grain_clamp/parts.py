"""Parts of the end-grain clamp, each with the cuts that make it.

Frames of the parts. Face: x along the jaw, y up from its foot, z from its back to the side that
holds the piece (TOP). Base: x outward from its edge in the face, y along the jaw, z up. Rib: x
outward from the face's dado, y up from the base's dado, z across.
"""

from __future__ import annotations

from collections.abc import Sequence

from jigs import tables
from jigs.kinds._common import drilled
from jigs.kinds._hardware import (
    coach_bolt,
    dowel_rod,
    hex_nut,
    t_slot_bolt,
    t_slot_nut,
    threaded_rod,
    washer,
    wood_insert,
    wood_screw,
)
from jigs.kinds._knob import Knob
from jigs.kinds.end_grain_clamp.fence_parts import (
    BACKER_SCREW,
    backer_bite,
    backer_parts,
    backer_screws_z,
    datum_fence,
    fence_bolt_y,
    free_fence,
)
from jigs.kinds.end_grain_clamp.ribbing import RIB_TOE, RIB_TOP, rib_length, rib_screws
from jigs.kinds.end_grain_clamp.sizing import CHIP_REBATE, FACE_CLEAR
from jigs.model.number import Book
from jigs.model.outline import QUARTER_TURN, Outline
from jigs.model.part import Bought, Cut, Does, Face, Part, Sheet, Strip
from jigs.model.relief import BEYOND, pocket_for_square

DOWEL = 8.0
"""mm: dowels that bring a base back to its holes in a board. Common practice, no source."""

DOWEL_DEEP = 12.0
"""mm of a dowel in the machine's board."""

_BASE_CORNER = 10.0


def all_parts(n: Book) -> Sequence[Part]:
    """Jaws, fences, drawbolts, hold-downs, and what brings the fixed base back."""
    knobs = {k.id: k for k in (drawbolt_knob(n), hold_knob(n))}
    return [
        base(n, fixed=True),
        base(n, fixed=False),
        face(n, fixed=True),
        face(n, fixed=False),
        rib(n),
        datum_fence(n),
        free_fence(n),
        *backer_parts(n),
        *(part for knob in knobs.values() for part in knob.parts(n.knob_wood, n.print_material)),
        threaded_rod(n.drawbolt_size, n.drawbolt_length, "drawbolt"),
        washer(n.drawbolt_size, "large", "drawbolt_washer"),
        hex_nut(n.drawbolt_size, "drawbolt_nut"),
        *springs(n),
        coach_bolt(n.fence_bolt_size, n.fence_bolt_length, "fence_bolt"),
        washer(n.fence_bolt_size, "large", "fence_washer"),
        hex_nut(n.fence_bolt_size, "fence_nut"),
        wood_screw(n.screw_diameter, n.screw_length, "rib_screw"),
        *hold_parts(n),
        *locating_parts(n),
    ]  # fmt: skip


def springs(n: Book) -> list[Part]:
    """Open the jaw; listed, not drawn: their length changes with the state."""
    if not n.springs:
        return []
    return [Part("spring", f"opening spring for {n.drawbolt_size}",
                 Bought("spring", f"for {n.drawbolt_size}"), quantity=n.springs)]  # fmt: skip


def drawbolt_knob(n: Book) -> Knob:
    """The knob on each drawbolt."""
    return Knob(n.drawbolt_size, n.knob_made)


def hold_knob(n: Book) -> Knob:
    """The knob on each hold-down."""
    return Knob(n.hold_size, n.knob_made)


def face(n: Book, *, fixed: bool) -> Part:
    """A jaw's upright face; the moving one takes the backer's screws where a slot leaves there."""
    half, top = n.jaw_length / 2, n.jaw_top - FACE_CLEAR
    rabbet = n.dado_width - FACE_CLEAR
    # Wide enough for the cutter, whose round corners stand outside the wood.
    over = 2 * n.routed_corner + BEYOND
    end = half + over
    w = n.dado_width / 2
    cuts = [
        Cut("rebate for the base", Face.BOTTOM, Outline.rectangle(-end, -over, end, rabbet),
            Does.GROOVE, n.dado_depth, "base"),
        Cut("chip rebate", Face.TOP, Outline.rectangle(-end, -over, end, CHIP_REBATE),
            Does.GROOVE, n.chip_rebate),
    ]  # fmt: skip
    for i, y in enumerate(n.rib_at, 1):
        dado = pocket_for_square(y - w, rabbet, y + w, n.rib_height - FACE_CLEAR, n.routed_corner,
                                 n.corner_relief, ("low",), "y")  # fmt: skip
        cuts.append(Cut(f"rib dado {i}", Face.BOTTOM, dado, Does.GROOVE, n.dado_depth, "rib"))
        for name, part, at in rib_screws(n):
            if part == "face":
                z = at + n.sheet_nominal - n.dado_depth - FACE_CLEAR
                cuts += _countersunk(n, f"{name} {i}", Face.TOP, y, z)
    z = n.drawbolt_height - FACE_CLEAR
    for side, s in (("left", -1), ("right", 1)):
        cuts.append(drilled(f"drawbolt hole {side}", Face.BOTTOM, s * n.drawbolt_y, z,
                            n.drawbolt_hole, meets="drawbolt"))  # fmt: skip
    if fixed:
        hole = tables.clearance_hole(n.fence_bolt_size).hole_medium
        # Turned half round with its jaw, the fixed face has its x along the jig's y.
        for name, y in (("datum", fence_bolt_y(n, +1)), ("free", fence_bolt_y(n, -1))):
            cuts += [
                drilled(f"{name} fence hole {i}", Face.BOTTOM, y, z - FACE_CLEAR, hole,
                        meets="fence bolt")
                for i, z in enumerate(n.fence_bolts_z, 1)
            ]  # fmt: skip
    elif n.backer_in_x:
        pilot = tables.wood_screw(BACKER_SCREW).pilot_hole
        cuts += [
            drilled(f"backer pilot {i}", Face.TOP, 0.0, z - FACE_CLEAR, pilot,
                    backer_bite(n), meets="backer_screw")
            for i, z in enumerate(backer_screws_z(n), 1)
        ]  # fmt: skip
    word = "fixed" if fixed else "moving"
    return Part(f"{word}_face", f"{word} face", Sheet(n.sheet_material, n.sheet_name),
                Outline.rectangle(-half, 0, half, top), n.sheet_nominal, tuple(cuts),
                marks=(word.upper(), "UP", f"{n.width_least:g}-{n.width_most:g} MM"))  # fmt: skip


def base(n: Book, *, fixed: bool) -> Part:
    """A jaw's base; its inner edge goes into the face's rebate."""
    edge = n.sheet_nominal - n.dado_depth
    end = (n.fixed_base_end if fixed else n.moving_base_end) - edge
    half, r, turn = n.base_width / 2, _BASE_CORNER, QUARTER_TURN
    outline = Outline.of([
        (0, -half), (end - r, -half, turn), (end, -half + r), (end, half - r, turn),
        (end - r, half), (0, half),
    ])  # fmt: skip
    cuts: list[Cut] = []
    for i, y in enumerate(n.rib_at, 1):
        cuts.append(Cut(f"rib dado {i}", Face.TOP, _stopped(n, y), Does.GROOVE, n.dado_depth,
                        "rib"))  # fmt: skip
        for name, part, at in rib_screws(n):
            if part == "base":
                cuts += _countersunk(n, f"{name} {i}", Face.BOTTOM, at, y)
    for side, s in (("left", -1), ("right", 1)):
        y = s * n.hold_y
        if fixed:
            hole = Outline.circle(n.hold_fixed - edge, y, n.fixed_hole)
        else:
            at, reach = n.base_slot_at - edge, (n.base_slot - n.hold_hole) / 2
            hole = Outline.slot((at - reach, y), (at + reach, y), n.hold_hole)
        does = Does.HOLE if hole.is_circle else Does.INSIDE
        cuts.append(Cut(f"hold-down {side}", Face.BOTTOM, hole, does, meets="hold-down"))
    if fixed:
        cuts += _locating_cuts(n, edge)
    word = "fixed" if fixed else "moving"
    return Part(f"{word}_base", f"{word} base", Sheet(n.sheet_material, n.sheet_name), outline,
                n.sheet_nominal, tuple(cuts), marks=(word.upper(),))  # fmt: skip


def _stopped(n: Book, y: float) -> Outline:
    """A dado open at the base's inner edge and stopped at the rib's toe."""
    w = n.dado_width / 2
    return pocket_for_square(0, y - w, rib_length(n), y + w, n.routed_corner, n.corner_relief,
                             ("left",))  # fmt: skip


def _countersunk(n: Book, name: str, side: Face, x: float, y: float) -> list[Cut]:
    """Clearance hole for a wood screw, sunk until its head bears on the hole's edge."""
    head, hole = tables.wood_screw(n.screw_diameter).head_diameter, n.screw_diameter + 0.5
    return [
        drilled(f"screw {name}", side, x, y, hole, meets="rib_screw"),
        drilled(f"screw head {name}", side, x, y, head + 0.5, (head - hole) / 2,
                Does.COUNTERBORE, "rib_screw"),
    ]  # fmt: skip


def rib(n: Book) -> Part:
    """A rib: upright edge in the face's dado, foot in the base's."""
    length, tall = rib_length(n), n.rib_height - (n.sheet_nominal - n.dado_depth)
    toe = RIB_TOE + n.dado_depth
    outline = Outline.of([
        (0, 0), (length, 0), (length, toe), (min(RIB_TOP, length / 2), tall), (0, tall)
    ])  # fmt: skip
    pilot, middle = tables.wood_screw(n.screw_diameter).pilot_hole, n.sheet_nominal / 2
    # What a screw passes before it meets the rib is what is left of the sheet under the dado.
    deep = n.screw_length - (n.sheet_nominal - n.dado_depth) + 1
    cuts = [
        drilled(f"pilot {name}", Face.FRONT if part == "base" else Face.LEFT, at, middle, pilot,
                deep, meets="rib_screw")
        for name, part, at in rib_screws(n)
    ]  # fmt: skip
    return Part(
        "rib", "rib", Sheet(n.sheet_material, n.sheet_name), outline, n.sheet_nominal, tuple(cuts)
    )


def hold_parts(n: Book) -> list[Part]:
    """Studs and washers of the hold-downs, and what they are screwed into."""
    size = n.hold_size
    parts = [_stud(n, n.hold_length, "hold_stud"), washer(size, "large", "hold_washer")]
    if n.hold_by == "T-slot nut":
        parts.append(t_slot_nut(n.hold_throat, "hold_nut"))
    if n.hold_by == "insert":
        parts.append(wood_insert(size, "hold_insert"))
    return parts


def _stud(n: Book, length: float, id: str) -> Part:
    """A T-slot bolt, or a piece of rod in whatever else holds it."""
    if n.hold_by != "T-slot bolt":
        return threaded_rod(n.hold_size, length, id)
    row = tables.t_slot_bolt(n.hold_throat)
    return t_slot_bolt(n.hold_size, length, row.head_width, row.head_height, id)


def locating_parts(n: Book) -> list[Part]:
    """Key and stop, or dowels; none where fine holes do it."""
    if n.located_by == "dowels":
        return [dowel_rod(DOWEL, n.sheet_nominal + DOWEL_DEEP, "dowel")]
    if n.located_by != "key":
        return []
    size, w = n.hold_size, n.stop_width / 2
    hole = tables.clearance_hole(size).hole_fine
    return [
        Part("key", "key of the fixed base", Strip(n.knob_wood),
             Outline.rectangle(0, -n.key_width / 2, n.key_groove + n.key_reach, n.key_width / 2),
             key_length(n)),
        Part("stop_block", "stop block, stays in the slot", Sheet(n.sheet_material, n.sheet_name),
             Outline.rectangle(-w, -w, w, w), n.sheet_nominal,
             (drilled("hole", Face.BOTTOM, 0, 0, hole, meets="stop_bolt"),)),
        _stud(n, n.stop_length, "stop_bolt"),
        hex_nut(size, "stop_nut"),
    ]  # fmt: skip


def key_length(n: Book) -> float:
    """Length of the key, between the fixed hold-downs or behind one of them, mm."""
    free = 2 * n.hold_y if not n.slides_along else n.hold_fixed - n.sheet_nominal
    return float(max(20.0, free - n.hold_washer - 24))


def key_middle(n: Book) -> tuple[float, float]:
    """Middle of the key in the jaw's frame: outward from the face's inner side, along the jaw."""
    if not n.slides_along:
        return (n.hold_fixed, 0.0)
    return ((n.sheet_nominal + n.hold_fixed) / 2, -n.hold_y)


def dowel_places(n: Book) -> list[tuple[float, float]]:
    """Middles of the dowels in the jaw's frame, near the base's far corners."""
    return [(n.fixed_base_end - 14.0, s * (n.base_width / 2 - 14.0)) for s in (-1, 1)]


def _locating_cuts(n: Book, edge: float) -> list[Cut]:
    """Groove for the key in the underside, or holes for the dowels."""
    if n.located_by == "dowels":
        return [
            drilled(f"dowel hole {i}", Face.BOTTOM, x - edge, y, DOWEL, meets="dowel")
            for i, (x, y) in enumerate(dowel_places(n), 1)
        ]
    if n.located_by != "key":
        return []
    (x, y), half, r = key_middle(n), key_length(n) / 2, n.routed_corner
    across = n.key_width / 2
    corner = min(r, 0.98 * across)
    if n.slides_along:
        groove = Outline.rectangle(x - half - r, y - across, x + half + r, y + across, corner)
    else:
        groove = Outline.rectangle(x - across, y - half - r, x + across, y + half + r, corner)
    return [
        Cut("key groove", Face.BOTTOM, groove.shifted(-edge, 0), Does.GROOVE, n.key_groove, "key")
    ]
