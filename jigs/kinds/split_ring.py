"""Split-ring handle clamp: a lined ring on a back board, hung on the front face, axis upright.

::

    seen from above (y away from the operator)          seen from the right

    ================= front face ===============        |##|        z = 0, the piece's end
    [############### back board ###############]        |##|[== ring ==]
       [------------ fixed half ------------]           |##|   |  |
       |  (o)  |   .---------.     |  (o)   |  <- mount |##|   |  | piece
       |       |  /  liner    \\   |        |           |##|   \\/
       ==== gap   |   piece    |   gap ======           |##|   (pad)
               |  \\           /   |                     |##|=====|==== shelf
               [-- moving half ----]                    |##|     T jack
                 drawbolt nut                           +--+

How each part is made. **Halves**: from one planed board, grain along x (the span between the
bolts), thickness of the board = height of the ring; outline and half bore on the router from
above, or bored whole and ripped; the bolt holes run in y, so they are drilled on a pillar drill
with the half standing on its split face against a fence, counterbores first. **Back board** and
**shelf**: sheet, flat on the router; the two dados on the board's front; counterbores and screw
holes from its back (turn it over on two dowels). **Pad**: a disc of board with a blind hole
below and a dish above. **Liner**: a strip of rubber sheet, glued into the bore with contact
adhesive, trimmed flush with the split faces. Everything else is bought.

The order. Off the machine: drawbolts into the fixed half from behind (the back board will trap
their heads), mounting bolts into the back board from behind (the machine will trap theirs), key
glued into its groove, fixed half into the dado, washers, nuts; shelf into its dado, screws from
behind; insert into the shelf from above, so that load seats it. At the machine: T-slot bolts into
the slots, board over them, key into its slot, washers, nuts. Then springs on the drawbolts, moving
half, washers, nuts.

Two hands. Loading: one hand holds the piece, the other turns the jack up under its foot; from
then on the jack carries it. Setting: one hand on the gauge, one on the jack. Closing: one spanner,
both nuts by turns, `closing_turns` after first touch. **Catch the piece before slackening.**

Contacts. Fixed liner and moving liner on the piece: the clamping pair, each with the bolts' whole
force N. Drawbolt heads in the fixed half, washers on the moving half: N / 2 each. Fixed half on
the floor of the dado: weight and the vertical share of the cut. Mounting nuts on the fixed half:
preload. Key in slot: guides. Foot on pad: the piece's weight.

Signs. Work frame: y away from the operator. A piece thinner than the bore seats against the fixed
half, at the machine: the thinner it is, the further its axis lies towards +y.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from pydantic import BaseModel, Field

from jigs import tables
from jigs.errors import DesignError
from jigs.fields import READ_CONFIG
from jigs.kinds._common import (
    SLACK_OF_KEY,
    coach_bolt,
    drilled,
    hex_nut,
    hex_screw,
    t_slot_bolt,
    up_to,
    washer,
    wood_insert,
    wood_screw,
)
from jigs.mechanics.liner import axis_offset, contact_half_angle, lip_angle, strip_length
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.kind import Offset, Placed
from jigs.model.number import Book, Number, Rules, Standing
from jigs.model.outline import Outline, arc_bulge
from jigs.model.part import Board, Bought, Cut, Does, Face, Lining, Part, Sheet
from jigs.model.pose import Pose
from jigs.model.state import Contact, Phase, Role, Room, State

COMMON = "common practice, no source"
rule = Rules()


# The bore, its lining, and how far it closes


@rule(source=COMMON)
def bore_clearance(bore_tolerance: float, liner_tolerance: float) -> float:
    """Clearance on radius between lining and thickest piece; never less than the tolerances."""
    return max(0.5, bore_tolerance + liner_tolerance)


@rule(source="assumed: a routed or drilled bore in solid wood, on radius")
def bore_tolerance() -> float:
    """How far the radius of the bore may be off."""
    return 0.15


@rule(source="derived: half the thickest piece, lining, clearance")
def bore_radius(grip_diameter_most: float, liner_thickness: float, bore_clearance: float) -> float:
    """Radius of the bore in the wood."""
    return grip_diameter_most / 2 + liner_thickness + bore_clearance


@rule(source="derived")
def lined_radius(bore_radius: float, liner_thickness: float) -> float:
    """Radius inside the lining."""
    return bore_radius - liner_thickness


@rule(source='"average design limits are 15 % compression" (Designing with rubber)')
def squeeze(liner_thickness: float) -> float:
    """Deepest compression of each lining when closed: 15 % of its thickness."""
    return 0.15 * liner_thickness


@rule(unit="turns", source="derived: both linings, over the thread's pitch")
def closing_turns(squeeze: float, drawbolt_size: str) -> float:
    """Turns of each drawbolt nut after first touch."""
    return 2 * squeeze / tables.thread(drawbolt_size).pitch


@rule(source="derived: what the thinnest piece needs, 1 mm left, and the tolerances")
def gap(
    grip_diameter_least: float, grip_diameter_most: float, bore_clearance: float, squeeze: float,
    bore_tolerance: float, liner_tolerance: float,
) -> float:  # fmt: skip
    """Gap between the split faces when both bores share one centre."""
    spread = grip_diameter_most - grip_diameter_least
    need = spread + 2 * bore_clearance + 2 * squeeze + 1 + 2 * (bore_tolerance + liner_tolerance)
    return up_to(need, 0.1)


@rule(source="derived: at the seat")
def nominal_offset(lined_radius: float, grip_diameter_nominal: float, squeeze: float) -> float:
    """From the fixed bore's centre to the nominal piece's axis, closed."""
    return axis_offset(lined_radius, grip_diameter_nominal / 2, squeeze)


@rule(source="derived: the widest part passes with 1 mm each side")
def open_gap(widest: float, lined_radius: float, gap: float) -> float:
    """Gap between the split faces to which the ring is opened for loading."""
    return up_to(max(gap, widest + 2 - 2 * lined_radius + gap), 0.5)


# Height of the ring and where it hangs


@rule(source=COMMON)
def ring_drop(grip_from: float, end_height: float) -> float:
    """Ring's top below the table: 2 mm for the gauge, more where the grip starts lower."""
    return max(2.0, grip_from + 2 - end_height)


@rule(source="common practice: 40 mm, or what the grip leaves less 2 mm")
def ring_height(grip_to: float, ring_drop: float, end_height: float) -> float:
    """Height of the ring along the piece."""
    return min(40.0, math.floor(grip_to - 2 - end_height - ring_drop))


@rule(source="derived: end height and drop, below the piece's end")
def ring_top(end_height: float, ring_drop: float) -> float:
    """Top of the ring in the work frame."""
    return -(end_height + ring_drop)


# Bolts


@rule(unit="", source=COMMON)
def drawbolt_size(hardware: str) -> str:
    """Size of the drawbolts and of the bolts that hold the fixed half."""
    return "M8" if hardware == "metric" else "5/16"


@rule(source="ISO 7093 (large washers), or wide inch washers", standing=Standing.TABLE)
def washer_diameter(drawbolt_size: str) -> float:
    """Outer diameter of the large washers."""
    return tables.washer(drawbolt_size, "large").outer_diameter


@rule(source="ISO 273 medium", standing=Standing.TABLE)
def drawbolt_hole(drawbolt_size: str) -> float:
    """Clearance hole of the drawbolts."""
    return tables.clearance_hole(drawbolt_size).hole_medium


@rule(source="coach head and 1.5 mm; DIN 603 or ASME B18.5", standing=Standing.TABLE)
def head_recess(drawbolt_size: str) -> float:
    """Diameter of the counterbores for the coach heads."""
    return up_to(tables.coach_bolt(drawbolt_size).head_diameter + 1.5, 0.5)


@rule(source="head height and 1 mm", standing=Standing.TABLE)
def head_recess_depth(drawbolt_size: str) -> float:
    """Depth of those counterbores."""
    return up_to(tables.coach_bolt(drawbolt_size).head_height + 1, 0.5)


@rule(source=COMMON)
def bolt_x(bore_radius: float, drawbolt_hole: float) -> float:
    """From the axis to each drawbolt: 8 mm of wood beside the bore."""
    return up_to(bore_radius + 8 + drawbolt_hole / 2, 1)


@rule(source=COMMON)
def moving_width(bolt_x: float, washer_diameter: float) -> float:
    """Width of the moving half: the washers have wood round them."""
    return 2 * up_to(bolt_x + washer_diameter / 2 + 3, 1)


@rule(source=COMMON)
def mount_x(moving_width: float, washer_diameter: float) -> float:
    """From the axis to each mounting bolt, outside the moving half: a spanner fits."""
    return up_to(moving_width / 2 + washer_diameter / 2 + 3, 1)


@rule(source=COMMON)
def fixed_width(mount_x: float, washer_diameter: float) -> float:
    """Width of the fixed half."""
    return 2 * up_to(mount_x + washer_diameter / 2 + 3, 1)


@rule(source=COMMON)
def wall(bore_radius: float) -> float:
    """Wood behind the bore at the seat."""
    return up_to(max(18.0, bore_radius), 1)


@rule(source=COMMON)
def dado_depth(sheet_least: float) -> float:
    """Depth of the dados in the back board: a quarter of the sheet."""
    return round(sheet_least / 4 * 2) / 2


@rule(source="derived: the largest of body, wall and bolt heads")
def stand_off(
    body_half_depth: float, nominal_offset: float, bore_radius: float, wall: float, gap: float,
    head_recess_depth: float, dado_depth: float, lined_radius: float, grip_diameter_least: float,
    squeeze: float,
) -> float:  # fmt: skip
    """From the back board's surface to the bore's centre (A0)."""
    furthest = axis_offset(lined_radius, grip_diameter_least / 2, squeeze)
    body = body_half_depth + furthest + 1 if body_half_depth else 0.0
    heads = gap / 2 + head_recess_depth + 20 - dado_depth
    return up_to(max(body, bore_radius + wall - dado_depth, heads), 0.5)


@rule(source="derived: front face, back board, stand-off, nominal offset")
def axis_y(front_y: float, sheet_nominal: float, stand_off: float, nominal_offset: float) -> float:
    """The nominal piece's axis in the machine frame."""
    return front_y - sheet_nominal - stand_off + nominal_offset


@rule(source="derived: from the split face to the floor of the dado")
def fixed_depth(stand_off: float, dado_depth: float, gap: float) -> float:
    """Wood that a drawbolt passes in the fixed half, counterbore and all."""
    return stand_off + dado_depth - gap / 2


@rule(source="the wall, thickened until a bolt of a length that is sold has no thread to spare")
def moving_wall(
    wall: float, bore_radius: float, gap: float, fixed_depth: float, head_recess_depth: float,
    open_gap: float, drawbolt_size: str,
) -> float:  # fmt: skip
    """Wood before the bore in the moving half, under the nuts."""
    grip = fixed_depth - head_recess_depth + open_gap + bore_radius + wall - gap / 2
    need = grip + _end(drawbolt_size)
    spare = tables.next_length("coach bolt", drawbolt_size, need) - need
    return wall + math.floor(spare)


@rule(source="derived")
def moving_depth(bore_radius: float, moving_wall: float, gap: float) -> float:
    """Wood that a drawbolt passes in the moving half."""
    return bore_radius + moving_wall - gap / 2


@rule(source="grip at full opening, washer, nut, two threads; next length sold",
      standing=Standing.TABLE)  # fmt: skip
def drawbolt_length(
    fixed_depth: float, head_recess_depth: float, open_gap: float, moving_depth: float,
    drawbolt_size: str,
) -> float:  # fmt: skip
    """Length of the drawbolts, so that the nut is still on when the ring is open."""
    grip = fixed_depth - head_recess_depth + open_gap + moving_depth
    return tables.next_length("coach bolt", drawbolt_size, grip + _end(drawbolt_size))


@rule(source="grip, washer, nut, two threads; next length sold", standing=Standing.TABLE)
def mount_length(
    sheet_most: float, dado_depth: float, head_recess_depth: float, fixed_depth: float,
    drawbolt_size: str,
) -> float:  # fmt: skip
    """Length of the bolts that hold the fixed half to the back board."""
    grip = sheet_most - dado_depth - head_recess_depth + fixed_depth
    return tables.next_length("coach bolt", drawbolt_size, grip + _end(drawbolt_size))


# Springs


@rule(source="spring over its bolt and 2 mm", standing=Standing.TABLE)
def spring_recess(drawbolt_size: str) -> float:
    """Diameter of the recesses that take the springs."""
    row = tables.compression_spring(drawbolt_size)
    return up_to(row.inner_diameter + 2 * row.wire_diameter + 1.5, 0.5)


@rule(source="solid length shared by both halves, less the gap left; and 0.5 mm",
      standing=Standing.TABLE)  # fmt: skip
def spring_recess_depth(drawbolt_size: str, least_gap_left: float) -> float:
    """Depth of those recesses in each half: the spring never goes solid."""
    row = tables.compression_spring(drawbolt_size)
    return up_to(max(1.0, (row.solid_length - least_gap_left) / 2 + 0.5), 0.5)


@rule(source="derived: g - 2 e of the thinnest piece")
def least_gap_left(
    gap: float, lined_radius: float, grip_diameter_least: float, squeeze: float
) -> float:
    """Gap left between the split faces, closed on the thinnest piece."""
    return gap - 2 * axis_offset(lined_radius, grip_diameter_least / 2, squeeze)


# Back board, shelf and jack


@rule(source=COMMON)
def board_width(fixed_width: float, washer_diameter: float) -> float:
    """Width of the back board: the hanging bolts stand beside the fixed half."""
    return fixed_width + 2 * up_to(washer_diameter + 6, 1)


@rule(source="derived: in the middle of the border")
def hang_x(board_width: float, washer_diameter: float) -> float:
    """From the axis to the hanging bolts."""
    return board_width / 2 - up_to(washer_diameter / 2 + 3, 1)


@rule(source="the first and last slot that the board covers")
def hang_z(
    front_slots_at: tuple[float, ...], front_slots_along: str, end_height: float,
    shelf_top: float, sheet_nominal: float, ring_drop: float,
) -> tuple[float, ...]:  # fmt: skip
    """Slots that the back board hangs on, in the machine frame."""
    if front_slots_along != "x":
        raise DesignError("hang_z", "the front face's slots run upright",
                          "a front face with slots along x")  # fmt: skip
    top, low = -ring_drop - 15, shelf_top + end_height - sheet_nominal
    covered = [z for z in front_slots_at if low - 80 <= z <= top]
    if len(covered) < 2:
        raise DesignError(
            "hang_z",
            f"only {len(covered)} of the front slots at "
            f"{', '.join(f'{z:g}' for z in front_slots_at)} lie behind the back board, "
            f"which reaches from {top + 15:.0f} to {low - 80:.0f}",
            f"two slots between {low - 80:.0f} and {top:.0f}",
        )
    return (covered[-1], covered[0])


@rule(source=COMMON)
def board_foot(
    hang_z: tuple[float, ...], end_height: float, shelf_top: float, sheet_nominal: float
) -> float:
    """Lower edge of the back board in the work frame."""
    lowest_slot = hang_z[1] - end_height
    return -up_to(-min(lowest_slot - 25, shelf_top - sheet_nominal - 20), 5)


@rule(unit="", source="the thread that goes through the slot's mouth", standing=Standing.TABLE)
def hang_size(front_slot_mouth: float, hardware: str) -> str:
    """Size of the T-slot bolts that the back board hangs on."""
    sizes = (
        ("M4", "M5", "M6", "M8", "M10", "M12")
        if hardware == "metric"
        else ("1/4", "5/16", "3/8", "1/2")
    )
    fitting = [s for s in sizes if tables.thread(s).major_diameter <= front_slot_mouth - 0.4]
    if not fitting:
        raise DesignError("hang_size", f"no bolt goes through a mouth of {front_slot_mouth:g} mm",
                          "a slot of 5 mm or more")  # fmt: skip
    return fitting[-1]


@rule(source="measured slot, 1 mm of play")
def hang_head_width(front_slot_wide: float, hang_size: str) -> float:
    """Width of the T-slot bolts' heads: slides in the room below the lip."""
    return min(front_slot_wide - 1, 2.2 * tables.thread(hang_size).major_diameter)


@rule(source="measured slot, 1 mm of play")
def hang_head_height(front_slot_room: float, hang_size: str) -> float:
    """Height of the T-slot bolts' heads."""
    return min(front_slot_room - 1, 0.8 * tables.thread(hang_size).major_diameter)


@rule(source="lip, sheet, washer, nut, two threads; next length sold", standing=Standing.TABLE)
def hang_length(front_slot_lip: float, sheet_most: float, hang_size: str) -> float:
    """Length of the T-slot bolts; the head hangs under the lip, so none can jack the slot."""
    grip = front_slot_lip + sheet_most
    return tables.next_length("hex screw", hang_size, grip + _end(hang_size))


@rule(source=COMMON)
def board_key_width(front_slot_mouth: float) -> float:
    """Width of the key behind the back board, in the upper slot."""
    return front_slot_mouth - SLACK_OF_KEY


@rule(unit="", source="the largest insert that the shelf can hold", standing=Standing.TABLE)
def jack_size(sheet_least: float, hardware: str) -> str:
    """Size of the jack screw under the piece."""
    sizes = ("M8", "M6", "M5", "M4")
    for size in sizes:
        if tables.wood_insert(size).length <= sheet_least - 2:
            return size
    raise DesignError("jack_size", f"no insert fits a sheet of {sheet_least:g} mm",
                      "a sheet of 12 mm or more")  # fmt: skip


@rule(source=COMMON)
def jack_travel(length_least: float, length_most: float) -> float:
    """How far the jack screw reaches: the batch's lengths and 10 mm."""
    return up_to(length_most - length_least + 10, 1)


@rule(source="derived: the foot wanders with the diameter of the grip; 4 mm more to find it")
def dish_diameter(
    foot_diameter: float, open_gap: float, gap: float, nominal_offset: float
) -> float:
    """Diameter of the dish that takes the piece's foot."""
    return up_to(foot_diameter + 2 * (nominal_offset + (open_gap - gap) / 2) + 4, 1)


@rule(source=COMMON)
def pad_diameter(dish_diameter: float) -> float:
    """Diameter of the pad under the piece's foot."""
    return max(30.0, up_to(dish_diameter + 10, 1))


@rule(source=COMMON)
def pad_height(foot_diameter: float) -> float:
    """Height of the pad: dish above, blind hole below, wood between."""
    return 20.0


@rule(source="derived: longest piece, pad, jack at its lowest with 4 mm to spare")
def shelf_top(length_most: float, pad_height: float, jack_travel: float) -> float:
    """Top of the shelf in the work frame."""
    return -(length_most + pad_height - 3 + 4 + jack_travel / 2)


@rule(source="shelf, travel and blind hole; next length sold", standing=Standing.TABLE)
def jack_length(sheet_nominal: float, jack_travel: float, jack_size: str) -> float:
    """Length of the jack screw."""
    return tables.next_length("hex screw", jack_size, sheet_nominal + jack_travel + 4 + 10 + 6)


@rule(source=COMMON)
def shelf_depth(stand_off: float, pad_diameter: float, dado_depth: float) -> float:
    """Depth of the shelf from the floor of its dado."""
    return up_to(stand_off + pad_diameter / 2 + 10 + dado_depth, 1)


@rule(source=COMMON)
def shelf_width(moving_width: float) -> float:
    """Width of the shelf."""
    return up_to(max(80.0, moving_width * 0.8), 1)


def _end(size: str) -> float:
    """Washer, nut and two threads beyond the grip, mm."""
    thread, nut = tables.thread(size), tables.hex_nut(size)
    return tables.washer(size, "large").thickness + nut.height + 2 * thread.pitch


class SplitRingOptions(BaseModel):
    """Choices for a split-ring handle clamp."""

    model_config = READ_CONFIG
    wood: str = Field(default="beech", description="of the two halves")
    sheet: str = Field(default="", description="of back board and shelf; the first if left out")
    lining: str = Field(default="", description="name of the lining; the first if left out")


class SplitRing:
    """See the module's page."""

    name = "split_ring"
    title = "split-ring handle clamp"
    Options = SplitRingOptions
    rules = rule
    offers: Mapping[str, str] = {"axis_y": "axis_y"}

    def facts(self, options: BaseModel) -> Sequence[Number]:
        """What it is made of."""
        assert isinstance(options, SplitRingOptions)
        return [Number("wood", options.wood, "", Standing.GIVEN, "wood of the halves")]

    def parts(self, n: Book) -> Sequence[Part]:
        """Ring, lining, board, shelf, jack and hardware."""
        return [
            self._half(n, "fixed_half", +1),
            self._half(n, "moving_half", -1),
            self._liner(n),
            self._board(n),
            self._shelf(n),
            Part("board_key", "key of the back board", Board(n.wood, "z"),
                 Outline.rectangle(0, -n.board_key_width / 2, self._key_depth(n), n.board_key_width / 2),
                 n.hang_x),
            self._pad(n),
            coach_bolt(n.drawbolt_size, n.drawbolt_length, "drawbolt"),
            coach_bolt(n.drawbolt_size, n.mount_length, "mounting_bolt"),
            washer(n.drawbolt_size, "large", "washer"),
            hex_nut(n.drawbolt_size, "nut"),
            t_slot_bolt(n.hang_size, n.hang_length, n.hang_head_width, n.hang_head_height,
                        "t_slot_bolt"),
            washer(n.hang_size, "large", "hanging_washer"),
            hex_nut(n.hang_size, "hanging_nut"),
            wood_insert(n.jack_size, "insert"),
            hex_screw(n.jack_size, n.jack_length, "jack_screw"),
            wood_screw(5, 60, "shelf_screw"),
            Part("spring", f"opening spring for {n.drawbolt_size}",
                 Bought("spring", f"for {n.drawbolt_size}", "steel")),
        ]  # fmt: skip

    def poses(self, n: Book, state: State) -> Sequence[Placed]:
        """Fixed things by the machine, the moving half by the piece that it closes on."""
        y_fixed, y_moving = self._bores(n, state)
        bottom = n.ring_top - n.ring_height
        middle = n.ring_top - n.ring_height / 2
        along_out, along_in = Pose.turned("x", 90), Pose.turned("x", -90)
        placed = [
            Placed("fixed half", "fixed_half", Pose.to(0, y_fixed, bottom), "fixed"),
            Placed("fixed liner", "liner", Pose.to(0, y_fixed, bottom), "fixed"),
            Placed("moving half", "moving_half", Pose.to(0, y_moving, bottom), "moving"),
            Placed("moving liner", "liner",
                   Pose.to(0, y_moving, bottom) @ Pose.turned("z", 180), "moving"),
        ]  # fmt: skip
        floor = y_fixed + n.stand_off + n.dado_depth
        face = y_fixed + n.stand_off + n.sheet_nominal
        seat = floor - n.head_recess_depth
        front = y_moving - (n.bore_radius + n.moving_wall)
        thick = tables.washer(n.drawbolt_size, "large").thickness
        for side, sign in (("left", -1), ("right", 1)):
            x = sign * n.bolt_x
            placed += [
                Placed(f"drawbolt {side}", "drawbolt", Pose.to(x, seat, middle) @ along_out, "fixed"),
                Placed(f"drawbolt washer {side}", "washer", Pose.to(x, front, middle) @ along_out, "moving"),
                Placed(f"drawbolt nut {side}", "nut", Pose.to(x, front - thick, middle) @ along_out, "moving"),
            ]  # fmt: skip
            x = sign * n.mount_x
            step = y_fixed + n.gap / 2
            placed += [
                Placed(f"mounting bolt {side}", "mounting_bolt",
                       Pose.to(x, face - n.head_recess_depth, middle) @ along_out, "fixed"),
                Placed(f"mounting washer {side}", "washer", Pose.to(x, step, middle) @ along_out, "fixed"),
                Placed(f"mounting nut {side}", "nut", Pose.to(x, step - thick, middle) @ along_out, "fixed"),
            ]  # fmt: skip
        return [
            *placed,
            *self._board_poses(n, y_fixed, face, along_out),
            *self._jack_poses(n, state, y_fixed, along_in),
        ]

    def holds_piece(self, n: Book, state: State) -> Offset:
        """Against the fixed half when touching or closed; midway when the ring is open."""
        y_fixed, y_moving = self._bores(n, state)
        if state.phase is Phase.OPEN:
            return Offset(dx=0.0, dy=(y_fixed + y_moving) / 2)
        return Offset(dx=0.0, dy=y_fixed + self._offset(n, state))

    def contacts(self, n: Book, state: State) -> Sequence[Contact]:
        """The clamping pair with its squeeze, and everything that seats or threads."""
        neck = self._neck_bite(n)
        meant = [
            Contact(f"{half} liner", f"{half} half", Role.GLUED) for half in ("fixed", "moving")
        ]
        if state.phase is not Phase.OPEN:
            depth = n.squeeze if state.phase is Phase.CLOSED else 0.0
            meant += [
                Contact(f"{half} liner", "piece", Role.CLAMPS, depth)
                for half in ("fixed", "moving")
            ]
            meant.append(Contact("pad", "piece", Role.SUPPORTS))
        for side in ("left", "right"):
            meant += [
                Contact(f"drawbolt {side}", "fixed half", Role.BITES, neck, "square neck"),
                Contact(f"mounting bolt {side}", "back board", Role.BITES, neck, "square neck"),
                Contact(f"drawbolt {side}", f"drawbolt nut {side}", Role.THREADS),
                Contact(f"mounting bolt {side}", f"mounting nut {side}", Role.THREADS),
                Contact(f"shelf screw {side}", "shelf", Role.BITES, 0.0, "drawn at its pilot hole"),
            ]
        return [
            *meant,
            Contact("fixed half", "back board", Role.SEATS),
            Contact("back board", "front face", Role.SEATS),
            Contact("board key", "front face", Role.GUIDES),
            Contact("shelf", "back board", Role.SEATS),
        ]

    def rooms(self, n: Book, state: State) -> Sequence[Room]:
        """Room for the piece to go in, and for the gauge over the ring."""
        if state.phase is Phase.OPEN:
            return [
                Room(f"{half} liner", "piece", 0.5, "the piece goes in by hand", ("+open_gap",))
                for half in ("fixed", "moving")
            ]
        needed = [
            Room("piece", "back board", 1.0, "only the ring holds the piece", ("+stand_off",))
        ]
        if state.phase is Phase.CLOSED:
            needed.append(
                Room("fixed half", "moving half", 0.5, "or the halves meet before they grip",
                     ("+gap", "+liner_thickness"))
            )  # fmt: skip
        return needed

    def own_checks(self, n: Book) -> Sequence[Finding]:
        """What must hold of the ring's numbers for the whole batch."""
        least = n.grip_diameter_least / 2
        angle = contact_half_angle(n.lined_radius, least, n.squeeze, n.gap)
        lip = math.degrees(lip_angle(n.lined_radius, n.gap))
        governs = f"the thinnest piece, {n.grip_diameter_least:g} mm"
        hang = tables.thread(n.hang_size)
        return [
            at_least(math.degrees(angle), 20.0, group="fit", check="lining touches over", of=self.name,
                     unit="deg each side", governs=governs, source="derived; 20 deg is common practice",
                     why="less is an edge, not a seat", levers=("+liner_thickness", "+squeeze")),
            at_least(n.least_gap_left, 1.0, group="fit", check="gap left when closed", of=self.name,
                     governs=governs, source="derived", levers=("+gap",),
                     why="or the halves meet before they grip"),
            at_least(lip, 60.0, group="fit", check="reach of the lining", of=self.name, source=COMMON,
                     unit="deg each side", why="so that the lips do not bite",
                     levers=("-gap", "+liner_thickness")),
            at_least(n.bore_clearance, n.bore_tolerance + n.liner_tolerance, group="fit",
                     check="clearance to the thickest piece", of=self.name, source="derived",
                     why="a piece larger than the lined bore wedges at the lips",
                     levers=("+bore_clearance",)),
            at_most(n.squeeze / n.liner_thickness * 100, 15.0, group="hold", unit="%",
                    check="squeeze of the lining", of=self.name,
                    source='"average design limits are 15 % compression" (Designing with rubber)',
                    levers=("-squeeze", "+liner_thickness")),
            at_most((n.taper + n.ovality) / 2, n.squeeze, group="fit", of=self.name,
                    check="taper and ovality taken up", source="derived",
                    why="the lining must touch over the whole height",
                    levers=("+squeeze", "+liner_thickness")),
            at_least(n.ring_height, n.washer_diameter + 10, group="fit", of=self.name,
                     check="height takes the washers", source=COMMON, levers=("+ring_height",)),
            at_most(n.grip_from + 2, n.end_height + n.ring_drop, group="fit", of=self.name,
                    check="lining starts within the grip", source=COMMON, levers=("+ring_drop",)),
            at_most(n.end_height + n.ring_drop + n.ring_height, n.grip_to - 2, group="fit",
                    of=self.name, check="lining ends within the grip", source=COMMON,
                    levers=("-ring_height", "-ring_drop")),
            at_least(n.ring_drop, 2.0, group="fit", check="ring below the table", of=self.name,
                     source=COMMON, why="the gauge lies over it", levers=("+ring_drop",)),
            at_least(tables.coach_bolt(n.drawbolt_size).thread_length(n.drawbolt_length),
                     self._thread_needed(n), group="fit", check="drawbolt thread reaches", of=self.name,
                     why="or the nut runs out of thread before the ring closes",
                     source="DIN 603 thread length", governs=governs, levers=("-open_gap",)),
            at_least(n.hang_head_width, n.front_slot_mouth + 3, group="place", of=self.name,
                     check="T-slot head wider than the mouth", source=COMMON),
            at_least(hang.major_diameter, 5.0, group="place", of=self.name, unit="mm thread",
                     check="hanging bolts", source=COMMON),
            at_least(n.board_foot + n.end_height, n.front_bottom, group="place", of=self.name,
                     check="back board ends above the face's foot", source="derived"),
            at_least(n.front_right - n.front_left, n.board_width, group="place", of=self.name,
                     check="back board fits the face's width", source="derived"),
        ]  # fmt: skip

    def offset_of(self, n: Book, diameter: float) -> Offset:
        """dy of a piece of that diameter from the work zero, closed: e(r) - e(r nominal)."""
        e = axis_offset(n.lined_radius, diameter / 2, n.squeeze)
        return Offset(dx=0.0, dy=e - n.nominal_offset, dz=None)

    # Where things are

    def _offset(self, n: Book, state: State) -> float:
        """From the fixed bore's centre to the axis of this state's piece."""
        diameter = n[f"grip_diameter_{state.piece.value}"].value
        assert isinstance(diameter, float)
        depth = n.squeeze if state.phase is Phase.CLOSED else 0.0
        return axis_offset(n.lined_radius, diameter / 2, depth)

    def _bores(self, n: Book, state: State) -> tuple[float, float]:
        """y of the two bores' centres in the work frame."""
        fixed = -n.nominal_offset
        if state.phase is Phase.OPEN:
            return fixed, fixed - (n.open_gap - n.gap)
        return fixed, fixed + 2 * self._offset(n, state)

    def _key_depth(self, n: Book) -> float:
        return 6.0 + float(min(6.0, n.front_slot_lip - 2))

    def _neck_bite(self, n: Book) -> float:
        """How deep the corners of a coach bolt's square neck press into the round hole."""
        neck = tables.coach_bolt(n.drawbolt_size).neck_width
        return max(0.0, neck * math.sqrt(2) / 2 - n.drawbolt_hole / 2)

    def _thread_needed(self, n: Book) -> float:
        """From the bolt's end back to the nut's inner face, closed on the thinnest piece."""
        grip = n.fixed_depth - n.head_recess_depth + n.least_gap_left + n.moving_depth
        return float(n.drawbolt_length - grip - tables.washer(n.drawbolt_size, "large").thickness)

    def _board_poses(self, n: Book, y_fixed: float, face: float, out: Pose) -> list[Placed]:
        front = y_fixed + n.stand_off
        seat = tables.washer(n.hang_size, "large").thickness
        placed = [
            Placed("back board", "back_board", Pose.to(0, face, 0) @ out, "fixed"),
            Placed("board key", "board_key",
                   Pose((-n.hang_x / 2, face - 6, n.hang_z[0] - n.end_height))
                   @ Pose.turned("y", 90) @ Pose.turned("z", 90), "fixed"),
        ]  # fmt: skip
        for row, slot in zip(("upper", "lower"), n.hang_z, strict=True):
            z = slot - n.end_height
            for side, sign in (("left", -1), ("right", 1)):
                x = sign * n.hang_x
                placed += [
                    Placed(f"T-slot bolt {row} {side}", "t_slot_bolt",
                           Pose.to(x, face + n.front_slot_lip, z) @ out, "hanging"),
                    Placed(f"hanging washer {row} {side}", "hanging_washer",
                           Pose.to(x, front, z) @ out, "hanging"),
                    Placed(f"hanging nut {row} {side}", "hanging_nut",
                           Pose.to(x, front - seat, z) @ out, "hanging"),
                ]  # fmt: skip
        return placed

    def _jack_poses(self, n: Book, state: State, y_fixed: float, into: Pose) -> list[Placed]:
        length = n[f"length_{state.piece.value}"].value
        assert isinstance(length, float)
        floor = y_fixed + n.stand_off + n.dado_depth
        below = n.shelf_top - n.sheet_nominal
        pad_top = -length + 3
        tip = pad_top - n.pad_height + 10
        placed = [
            Placed("shelf", "shelf", Pose.to(0, floor, below), "shelf"),
            Placed("insert", "insert",
                   Pose.to(0, 0, n.shelf_top) @ Pose.turned("x", 180), "shelf"),
            Placed("jack screw", "jack_screw", Pose.to(0, 0, tip - n.jack_length), "shelf"),
            Placed("pad", "pad", Pose.to(0, 0, pad_top - n.pad_height), "shelf"),
        ]  # fmt: skip
        head = y_fixed + n.stand_off + n.sheet_nominal
        for side, sign in (("left", -1), ("right", 1)):
            placed.append(
                Placed(f"shelf screw {side}", "shelf_screw",
                       Pose.to(sign * n.shelf_width / 3, head, below + n.sheet_nominal / 2)
                       @ Pose.turned("x", 90), "shelf")
            )  # fmt: skip
        return placed

    # Parts with cuts

    def _half(self, n: Book, id: str, sign: int) -> Part:
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
        for side, s in (("left", -1), ("right", 1)):
            cuts.append(drilled(f"drawbolt hole {side}", back, s * n.bolt_x, z, n.drawbolt_hole,
                                meets=f"drawbolt {side}"))  # fmt: skip
            cuts.append(drilled(f"spring recess {side}", split_face, s * n.bolt_x, z, n.spring_recess,
                                n.spring_recess_depth, Does.RECESS, "spring"))  # fmt: skip
            if fixed:
                cuts.append(drilled(f"head recess {side}", back, s * n.bolt_x, z, n.head_recess,
                                    n.head_recess_depth, Does.COUNTERBORE, f"drawbolt {side}"))  # fmt: skip
                cuts.append(drilled(f"mounting hole {side}", back, s * n.mount_x, z, n.drawbolt_hole,
                                    meets=f"mounting bolt {side}"))  # fmt: skip
        return Part(
            id, f"{'fixed' if fixed else 'moving'} half", Board(n.wood, "x"),
            outline if fixed else _about_x(outline), n.ring_height, tuple(cuts),
            eased=0.0 if fixed else 1.0, marks=("FIXED" if fixed else "MOVING", "UP"),
        )  # fmt: skip

    def _liner(self, n: Book) -> Part:
        """The strip in place, for the fixed half; the moving half takes it turned round."""
        split, outer, inner = n.gap / 2, n.bore_radius, n.lined_radius
        xo, xi = math.sqrt(outer**2 - split**2), math.sqrt(inner**2 - split**2)
        zero = (0.0, 0.0)
        outline = Outline.of([
            (xi, split), (xo, split, arc_bulge((xo, split), (-xo, split), zero, left=True)),
            (-xo, split), (-xi, split, arc_bulge((-xi, split), (xi, split), zero, left=False)),
        ])  # fmt: skip
        made = Lining(
            n.lining_material, strip_length(outer, n.liner_thickness, n.gap), n.ring_height
        )
        return Part("liner", "liner", made, outline, n.ring_height)

    def _board(self, n: Book) -> Part:
        """Back board: x across, y up, z towards the operator; its front is the TOP face."""
        w = n.board_width / 2
        top, foot = n.ring_top, n.board_foot
        middle = top - n.ring_height / 2
        cuts = [
            Cut("ring dado", Face.TOP, Outline.rectangle(-w, top - n.ring_height, w, top + 1),
                Does.GROOVE, n.dado_depth, "fixed half"),
            Cut("shelf dado", Face.TOP,
                Outline.rectangle(-n.shelf_width / 2, n.shelf_top - n.sheet_nominal,
                                  n.shelf_width / 2, n.shelf_top),
                Does.GROOVE, n.dado_depth, "shelf"),
            Cut("key groove", Face.BOTTOM,
                Outline.rectangle(-n.hang_x / 2, n.hang_z[0] - n.end_height - n.board_key_width / 2,
                                  n.hang_x / 2, n.hang_z[0] - n.end_height + n.board_key_width / 2),
                Does.GROOVE, 6.0, "board key"),
        ]  # fmt: skip
        for side, s in (("left", -1), ("right", 1)):
            cuts += [
                drilled(f"mounting hole {side}", Face.BOTTOM, s * n.mount_x, middle, n.drawbolt_hole,
                        meets=f"mounting bolt {side}"),
                drilled(f"head recess {side}", Face.BOTTOM, s * n.mount_x, middle, n.head_recess,
                        n.head_recess_depth, Does.COUNTERBORE, f"mounting bolt {side}"),
                drilled(f"screw hole {side}", Face.BOTTOM, s * n.shelf_width / 3,
                        n.shelf_top - n.sheet_nominal / 2, 5.5, meets=f"shelf screw {side}"),
                drilled(f"screw head {side}", Face.BOTTOM, s * n.shelf_width / 3,
                        n.shelf_top - n.sheet_nominal / 2, 10.5, 3.5, Does.COUNTERBORE,
                        f"shelf screw {side}"),
            ]  # fmt: skip
            for row, slot in zip(("upper", "lower"), n.hang_z, strict=True):
                hole = tables.clearance_hole(n.hang_size).hole_medium
                cuts.append(drilled(f"hanging hole {row} {side}", Face.BOTTOM, s * n.hang_x,
                                    slot - n.end_height, hole, meets="t_slot_bolt"))  # fmt: skip
        return Part("back_board", "back board", Sheet(n.sheet_material),
                    Outline.rectangle(-w, foot, w, top, corner=0), n.sheet_nominal, tuple(cuts),
                    eased=1.0, marks=("UP",))  # fmt: skip

    def _shelf(self, n: Book) -> Part:
        """Shelf: y towards the operator is negative; origin on the floor of its dado."""
        w, d = n.shelf_width / 2, n.shelf_depth
        jack = -(n.stand_off + n.dado_depth - n.nominal_offset)
        row = tables.wood_insert(n.jack_size)
        cuts = [drilled("insert hole", Face.TOP, 0, jack, row.hole_diameter, meets="insert")]
        cuts += [
            drilled(f"pilot hole {side}", Face.BACK, s * n.shelf_width / 3, n.sheet_nominal / 2,
                    tables.wood_screw(5).pilot_hole, 50, meets=f"shelf screw {side}")
            for side, s in (("left", -1), ("right", 1))
        ]  # fmt: skip
        outline = Outline.of([
            (-w, 0), (-w, -d + 20), (-w + 20, -d), (w - 20, -d), (w, -d + 20), (w, 0),
        ])  # fmt: skip
        return Part(
            "shelf", "shelf", Sheet(n.sheet_material), outline, n.sheet_nominal, tuple(cuts)
        )

    def _pad(self, n: Book) -> Part:
        thread = tables.thread(n.jack_size).major_diameter
        return Part(
            "pad", "pad of the jack", Board(n.wood, "z"), Outline.circle(0, 0, n.pad_diameter),
            n.pad_height,
            (drilled("blind hole", Face.BOTTOM, 0, 0, thread + 0.5, 10.0, meets="jack screw"),
             drilled("dish", Face.TOP, 0, 0, n.dish_diameter, 3.0, Does.RECESS, "piece")),
        )  # fmt: skip


def _about_x(outline: Outline) -> Outline:
    """Front and back exchanged: a half turn in the sheet and left and right exchanged."""
    return Outline.of([(-x, -y, b) for x, y, b in outline.mirrored().vertices])


KIND = SplitRing()
