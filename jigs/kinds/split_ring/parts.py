"""Parts of the split-ring handle clamp, each with the cuts that make it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jigs import tables
from jigs.kinds._common import drilled
from jigs.kinds._hardware import (
    coach_bolt,
    hex_nut,
    hex_screw,
    washer,
    wood_insert,
    wood_screw,
)
from jigs.kinds.split_ring.board_sizing import (
    DISH_DEPTH,
    KEY_GROOVE,
    PAD_HOLE,
    SHELF_BEVEL,
    SHELF_SCREW,
)
from jigs.kinds.split_ring.fastenings import (
    FASTENINGS,
    corners,
    dowel_cuts,
    dowel_part,
    screw_sink,
)
from jigs.mechanics.liner import strip_length
from jigs.model.number import Book
from jigs.model.outline import Outline, arc_bulge
from jigs.model.part import Board, Bought, Cut, Does, Face, Lining, Part, Sheet, Stack, Strip
from jigs.model.relief import pocket_for_square


def all_parts(n: Book) -> Sequence[Part]:
    """Ring, lining, board, shelf, jack and hardware."""
    return [
        half(n, "fixed_half", +1),
        half(n, "moving_half", -1),
        liner(n),
        back_board(n),
        shelf(n),
        pad(n),
        *finding_back(n),
        coach_bolt(n.drawbolt_size, n.drawbolt_length, "drawbolt"),
        coach_bolt(n.drawbolt_size, n.mount_length, "mounting_bolt"),
        washer(n.drawbolt_size, "large", "washer"),
        hex_nut(n.drawbolt_size, "nut"),
        *FASTENINGS[n.hang_by].parts(n),
        wood_insert(n.jack_size, "insert"),
        hex_screw(n.jack_size, n.jack_length, "jack_screw"),
        wood_screw(SHELF_SCREW, n.shelf_screw, "shelf_screw"),
        Part("spring", f"opening spring for {n.drawbolt_size}",
             Bought("spring", f"for {n.drawbolt_size}", "steel"), quantity=2),
    ]  # fmt: skip


def finding_back(n: Book) -> list[Part]:
    """What brings the board back to the same place: key and stop block in slots, else dowels."""
    if not n.board_key_width:
        return [dowel_part(n)] if n.dowel_reach else []
    key, stop = n.board_key_width / 2, n.stop_width / 2
    hole = tables.clearance_hole(n.hang_size).hole_fine
    return [
        Part("board_key", "key of the back board", Strip(n.wood),
             Outline.rectangle(0, -key, KEY_GROOVE + n.board_key_reach, key), n.hang_x),
        Part("stop_block", "stop block, stays in the slot", Sheet(n.sheet_material, n.sheet_name),
             Outline.rectangle(-stop, -stop, stop, stop), n.sheet_nominal,
             (drilled("hole", Face.BOTTOM, 0, 0, hole, meets="stop"),)),
    ]  # fmt: skip


def half(n: Book, id: str, sign: int) -> Part:
    """A half, bore's centre at the origin; the fixed one behind it, the moving one in front."""
    fixed = sign > 0
    w = (n.fixed_width if fixed else n.moving_width) / 2
    split = n.gap / 2
    depth = n.stand_off + n.dado_depth if fixed else n.bore_radius + n.moving_wall
    chord = math.sqrt(n.bore_radius**2 - split**2)
    bulge = arc_bulge((-chord, split), (chord, split), (0.0, 0.0), left=False)
    outline = Outline.of(
        [
            (-w, split),
            (-chord, split, bulge),
            (chord, split),
            (w, split),
            (w, depth),
            (-w, depth),
        ]
    )
    z = n.ring_height / 2
    back = Face.BACK if fixed else Face.FRONT
    split_face = Face.FRONT if fixed else Face.BACK
    cuts: list[Cut] = []
    bolt = tables.coach_bolt(n.drawbolt_size)
    for side, s in (("left", -1), ("right", 1)):
        cuts.append(drilled(f"drawbolt hole {side}", back, s * n.bolt_x, z, n.drawbolt_hole,
                            meets=f"drawbolt {side}"))  # fmt: skip
        cuts.append(drilled(f"spring recess {side}", split_face, s * n.bolt_x, z, n.spring_recess,
                            n.spring_recess_depth, Does.RECESS, "spring"))  # fmt: skip
        if fixed:
            cuts.append(
                drilled(
                    f"head recess {side}",
                    back,
                    s * n.bolt_x,
                    z,
                    n.head_recess,
                    n.head_recess_depth,
                    Does.COUNTERBORE,
                    f"drawbolt {side}",
                )
            )
            cuts.append(Cut(f"neck {side}", back, _square(s * n.bolt_x, z, bolt.neck_width),
                            Does.PRESSED, n.head_recess_depth + bolt.neck_depth,
                            f"drawbolt {side}"))  # fmt: skip
            cuts.append(drilled(f"mounting hole {side}", back, s * n.mount_x, z, n.drawbolt_hole,
                                meets=f"mounting bolt {side}"))  # fmt: skip
    return Part(
        id, f"{'fixed' if fixed else 'moving'} half", Board(n.wood, "x"),
        outline if fixed else _about_x(outline), n.ring_height, tuple(cuts),
        eased=0.0 if fixed else 1.0, marks=("FIXED" if fixed else "MOVING", "UP",
               f"{n.grip_diameter_least:g}-{n.grip_diameter_most:g} MM"),
    )  # fmt: skip


def liner(n: Book) -> Part:
    """The strip in place, for the fixed half; the moving half takes it turned round."""
    split, outer, inner = n.gap / 2, n.bore_radius, n.lined_radius
    xo, xi = math.sqrt(outer**2 - split**2), math.sqrt(inner**2 - split**2)
    zero = (0.0, 0.0)
    outline = Outline.of([
        (xi, split), (xo, split, arc_bulge((xo, split), (-xo, split), zero, left=True)),
        (-xo, split), (-xi, split, arc_bulge((-xi, split), (xi, split), zero, left=False)),
    ])  # fmt: skip
    made = Lining(n.lining_material, strip_length(outer, n.liner_thickness, n.gap), n.ring_height)
    return Part("liner", "liner", made, outline, n.ring_height)


def back_board(n: Book) -> Part:
    """Back board: x across, y up, z towards the operator; its front is the TOP face."""
    w = n.board_width / 2
    top, foot = n.ring_top, n.board_foot
    middle = top - n.ring_height / 2
    shelf_low = n.shelf_top - n.shelf_thickness
    bolt = tables.coach_bolt(n.drawbolt_size)
    cuts = [
        Cut("ring dado", Face.TOP,
            pocket_for_square(-n.fixed_width / 2, top - n.ring_height, n.fixed_width / 2, top,
                              n.routed_corner, n.corner_relief, ("high",)),
            Does.GROOVE, n.dado_depth, "fixed half"),
        Cut("shelf dado", Face.TOP,
            pocket_for_square(-n.shelf_width / 2, shelf_low, n.shelf_width / 2,
                              shelf_low + n.shelf_dado_width, n.routed_corner, n.corner_relief),
            Does.GROOVE, n.dado_depth, "shelf"),
        *_key_groove(n), *dowel_cuts(n),
    ]  # fmt: skip
    for side, s in (("left", -1), ("right", 1)):
        cuts += [
            drilled(f"mounting hole {side}", Face.BOTTOM, s * n.mount_x, middle, n.drawbolt_hole,
                    meets=f"mounting bolt {side}"),
            drilled(f"head recess {side}", Face.BOTTOM, s * n.mount_x, middle, n.head_recess,
                    n.head_recess_depth, Does.COUNTERBORE, f"mounting bolt {side}"),
            Cut(f"neck {side}", Face.BOTTOM, _square(s * n.mount_x, middle, bolt.neck_width),
                Does.PRESSED, n.head_recess_depth + bolt.neck_depth, f"mounting bolt {side}"),
            drilled(f"screw hole {side}", Face.BOTTOM, s * n.shelf_width / 3,
                    shelf_low + n.sheet_nominal / 2, 5.5, meets=f"shelf screw {side}"),
            drilled(f"screw head {side}", Face.BOTTOM, s * n.shelf_width / 3,
                    shelf_low + n.sheet_nominal / 2, 10.5, screw_sink(SHELF_SCREW),
                    Does.COUNTERBORE, f"shelf screw {side}"),
        ]  # fmt: skip
    cuts += [cut for at in corners(n) for cut in FASTENINGS[n.hang_by].cuts(n, at)]
    return Part("back_board", "back board", Sheet(n.sheet_material, n.sheet_name),
                Outline.rectangle(-w, foot, w, top, corner=0), n.sheet_nominal, tuple(cuts),
                eased=1.0, marks=("UP",))  # fmt: skip


def _key_groove(n: Book) -> list[Cut]:
    """The groove for the key, run on at its ends for the cutter, which is thinner than the key."""
    if not n.board_key_width:
        return []
    half, z = n.board_key_width / 2, n.hang_z[0] - n.end_height
    corner = min(n.routed_corner, 0.98 * half)
    end = n.hang_x / 2 + corner
    return [
        Cut("key groove", Face.BOTTOM, Outline.rectangle(-end, z - half, end, z + half, corner),
            Does.GROOVE, KEY_GROOVE, "board key")
    ]  # fmt: skip


def shelf(n: Book) -> Part:
    """Shelf: y towards the operator is negative; origin on the floor of its dado."""
    w, d, b = n.shelf_width / 2, n.shelf_depth, SHELF_BEVEL
    jack = -(n.stand_off + n.dado_depth - n.nominal_offset)
    row = tables.wood_insert(n.jack_size)
    cuts = [drilled("insert hole", Face.TOP, 0, jack, row.hole_diameter, meets="insert")]
    pilot = tables.wood_screw(SHELF_SCREW).pilot_hole
    bite = n.shelf_screw - n.sheet_nominal + n.dado_depth
    cuts += [
        drilled(f"pilot hole {side}", Face.BACK, s * n.shelf_width / 3, n.sheet_nominal / 2,
                pilot, bite + 2, meets=f"shelf screw {side}")
        for side, s in (("left", -1), ("right", 1))
    ]  # fmt: skip
    outline = Outline.of([
        (-w, 0), (-w, b - d), (b - w, -d), (w - b, -d), (w, b - d), (w, 0),
    ])  # fmt: skip
    layers = n.shelf_layers
    made = (
        Sheet(n.sheet_material, n.sheet_name)
        if layers == 1
        else Stack(n.sheet_material, layers, n.sheet_name)
    )
    return Part("shelf", "shelf", made, outline, n.shelf_thickness, tuple(cuts))


def pad(n: Book) -> Part:
    """A disc that stands on the jack screw and takes the piece's foot in its dish."""
    thread = tables.thread(n.jack_size).major_diameter
    return Part(
        "pad", "pad of the jack", Board(n.wood, "z"), Outline.circle(0, 0, n.pad_diameter),
        n.pad_height,
        (drilled("blind hole", Face.BOTTOM, 0, 0, thread + 0.5, PAD_HOLE, meets="jack screw"),
         drilled("dish", Face.TOP, 0, 0, n.dish_diameter, DISH_DEPTH, Does.RECESS, "piece")),
    )  # fmt: skip


def _square(x: float, y: float, width: float) -> Outline:
    return Outline.rectangle(x - width / 2, y - width / 2, x + width / 2, y + width / 2)


def _about_x(outline: Outline) -> Outline:
    """Front and back exchanged: a half turn in the sheet and left and right exchanged."""
    return Outline.of([(-x, -y, b) for x, y, b in outline.mirrored().vertices])
