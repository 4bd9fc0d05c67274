"""Height-setting gauge: an arched bar that sits on the table and reaches over the hanging piece.

::

        front view (along y)                      side view (from the right)

      +---------------------------+               +-----------------------------------+
      |  o                     o  | bar_height    |        dowels inside              |
      |          .-----.          |               |                                   |
      +-----+---'       '---+--k--+  flats        +-----------------------------------+
            |<-arch_width ->|  key in slot        |<-overhang->|<----- bearing ------>|
                                                 piece         ^ table's front edge

How it is made. The profile stands in x, z and the bar runs along y, so a three-axis router cannot
cut it from one board lying flat. It is a **stack**: `slices` equal slices of sheet, each with the
arch, the key's groove and two dowel holes cut in one clamping, threaded on two dowels with glue,
pressed together on a flat surface with the flats down, so that all crowns agree. One key of
hardwood is glued into the groove, over the part that lies on the table. Tools: the router, a
cramp, a flat surface. **Printed** (`made: print`) it is one piece without dowels, standing on its
end so that the layers follow the arch; rub the flats on abrasive paper on a flat surface.

The order at the machine. Hands: one keeps the gauge down on the table, the other turns the jack
under the piece until the dome meets the crown. The ring is slack meanwhile and the jack carries
the piece. Then the ring is closed with the free hand's spanner, and the gauge slides off along +y
and is **counted as away** before the spindle may start.

Contacts. Flats on table: the hand's force plus weight. Crown on dome: the push of the jack, kept
small (a newton or two lifts a wooden bar): the hand must feel it. Key in slot: guides only.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Annotated, Literal

from pydantic import BaseModel, Field

from jigs.fields import READ_CONFIG
from jigs.kinds._common import CLEARS_CORNER, SLACK_OF_KEY, drilled, up_to
from jigs.kinds._hardware import dowel_rod
from jigs.mechanics.chord import drop_under_arch, sagitta
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.grip import FaceGrip
from jigs.model.kind import BoardHole, FromStock, Offset, Placed
from jigs.model.number import Book, Number, Rules, Standing
from jigs.model.outline import QUARTER_TURN, Outline
from jigs.model.part import Face, Part, Print, Stack, Strip
from jigs.model.pose import Pose, Vec
from jigs.model.state import Contact, Limit, Phase, Role, Room, State

COMMON = "common practice, no source"
rule = Rules()


@rule(source=COMMON)
def arch_radius(dome_radius: float, axis_x_error: float) -> float:
    """Radius of the arched underside: twice the dome's, so that the crown is met before the rim.

    Flatter still where that costs more than 0.05 mm of height: e^2 / (2 (R - r)), to first order.
    """
    return up_to(max(2 * dome_radius, dome_radius + axis_x_error**2 / (2 * 0.05)), 1)


@rule(source=COMMON)
def arch_width(end_diameter: float) -> float:
    """Width of the arch: the end's diameter and 1.5 mm each side, up to the next 5 mm."""
    return up_to(end_diameter + 3, 5)


@rule(unit="", source="derived: slots along y guide the bar, and nothing else does")
def keyed(table_slots_along: str, table_slot_mouth: float) -> bool:
    """Does a key in a slot of the table guide the gauge? Slots under 5 mm take no key of wood."""
    return table_slots_along == "y" and table_slot_mouth >= 5


@rule(source=COMMON)
def flat_width(keyed: bool) -> float:
    """Width of each flat beside the arch; the right one carries the key."""
    return 30.0 if keyed else 25.0


@rule(source="derived: sagitta of the arch")
def crown_height(arch_radius: float, arch_width: float) -> float:
    """Height of the arch's crown above the table: the height of every piece's end."""
    return sagitta(arch_radius, arch_width)


@rule(source=COMMON)
def bar_width(arch_width: float, flat_width: float) -> float:
    """Width of the bar along x."""
    return arch_width + 2 * flat_width


@rule(source=COMMON)
def bar_height(crown_height: float) -> float:
    """Height of the bar: 40 mm of wood above the crown, up to the next 5 mm."""
    return up_to(crown_height + 40, 5)


@rule(source=COMMON)
def overhang(axis_y: float, end_diameter: float) -> float:
    """How far the bar reaches in front of the table: over the whole end and 5 mm more."""
    return up_to(max(0.0, -axis_y) + end_diameter / 2 + 5, 1)


@rule(unit="", source=COMMON)
def slices(made: str, overhang: float, sheet_least: float) -> int:
    """Number of slices: at least twice the overhang rests on the table. 1 if printed."""
    return math.ceil(3 * overhang / sheet_least - 1e-9) if made == "stack" else 1


@rule(source="derived: slices times the measured thickness; printed: thrice the overhang")
def bar_length(made: str, slices: int, sheet_nominal: float, overhang: float) -> float:
    """Length of the bar along y."""
    return slices * sheet_nominal if made == "stack" else up_to(3 * overhang, 5)


@rule(source="derived: length less overhang")
def bearing(bar_length: float, overhang: float) -> float:
    """Length that rests on the table."""
    return bar_length - overhang


@rule(source=COMMON)
def key_width(table_slot_mouth: float) -> float:
    """Width of the key in the table's slot."""
    return max(0.0, table_slot_mouth - SLACK_OF_KEY)


@rule(source="common practice, no source: printed holes and grooves come out small")
def print_clearance() -> float:
    """Allowance on the width of what a printed part takes in."""
    return 0.3


@rule(source="derived: the key; in a printed bar with its allowance")
def groove_width(key_width: float, made: str, print_clearance: float) -> float:
    """Width of the key's groove in the bar."""
    return key_width + print_clearance if made == "print" and key_width else key_width


@rule(source=COMMON)
def key_groove(flat_width: float) -> float:
    """Depth of the key's groove in the bar."""
    return min(8.0, flat_width / 3)


@rule(source=COMMON)
def key_reach(table_slot_lip: float) -> float:
    """How far the key stands into the slot's mouth, clear of the wide part."""
    return max(0.0, min(6.0, table_slot_lip - 2))


@rule(source="derived: middle of the flat")
def key_x(arch_width: float, flat_width: float) -> float:
    """From the piece's axis to the middle of the key."""
    return arch_width / 2 + flat_width / 2


@rule(source=COMMON)
def slot_x(
    table_slots_at: tuple[float, ...], keyed: bool, key_x: float, table_width: float
) -> float:
    """The table's slot that the key runs in: the one that puts the piece nearest the middle."""
    if not keyed:
        return table_width / 2 + key_x
    return min(table_slots_at, key=lambda x: abs(x - key_x - table_width / 2))


@rule(source="derived: the slot less the key's distance")
def gauge_x(slot_x: float, key_x: float) -> float:
    """Where the gauge puts the piece's axis along the table."""
    return slot_x - key_x


@rule(source=COMMON)
def dowel_diameter(flat_width: float) -> float:
    """Dowels that line the slices up."""
    return 10.0 if flat_width >= 24 else 8.0


@rule(source=COMMON)
def aside(axis_x_error: float) -> float:
    """How far to the side the piece's axis may stand under the arch."""
    return axis_x_error


@rule(
    source="assumed: play of key, stop and program together; set by a pencil line without a key",
    standing=Standing.ASSUMED,
)
def axis_x_error(keyed: bool) -> float:
    """Sideways error between gauge and piece."""
    return 0.6 if keyed else 1.5


@rule(source="derived: circle on circle")
def height_error(arch_radius: float, dome_radius: float, aside: float) -> float:
    """How much lower a piece is set that stands aside by that much."""
    return drop_under_arch(arch_radius, dome_radius, aside)


class HeightGaugeOptions(BaseModel):
    """Choices for a height-setting gauge."""

    model_config = READ_CONFIG
    made: Literal["stack", "print"] = Field(
        default="stack", description="slices of sheet on dowels, or printed in one"
    )
    sheet: Annotated[str, FromStock("sheets")] = Field(
        default="", description="name of the sheet; the first if left out"
    )
    key_wood: str = Field(default="beech", description="wood of the key")
    print_material: str = Field(default="PETG", description="for a printed gauge")


class HeightGauge:
    """See the module's page."""

    name = "height_gauge"
    title = "height-setting gauge"
    Options = HeightGaugeOptions
    rules = rule
    seen_from: Vec = (0.75, -1.25, -0.45)
    stands = ("front face", "table")

    def offers(self, n: Book) -> Mapping[str, str]:
        """The height of every piece's end; and its x, where a key in a slot decides it."""
        given = {"end_height": "crown_height"}
        return {**given, "axis_x": "gauge_x"} if n.keyed else given

    def facts(self, options: BaseModel) -> Sequence[Number]:
        """How it is made, and of what."""
        assert isinstance(options, HeightGaugeOptions)
        return [
            Number("made", options.made, "", Standing.GIVEN, "how the bar is made"),
            Number("key_wood", options.key_wood, "", Standing.GIVEN, "wood of the key"),
            Number("print_material", options.print_material, "", Standing.GIVEN, "print material"),
        ]

    def parts(self, n: Book) -> Sequence[Part]:
        """Bar, dowels and, on a slotted table, the key."""
        made = (
            Stack(n.sheet_material, n.slices, n.sheet_name)
            if n.made == "stack"
            else Print(n.print_material)
        )
        bar = Part(
            "bar", "gauge bar", made, self._profile(n), n.bar_length,
            tuple(
                drilled(f"dowel hole {side}", Face.BOTTOM, x, y, n.dowel_diameter, meets="dowel")
                for side, x, y in self._dowels(n)
            ) if n.made == "stack" else (),
            eased=1.0, marks=("COUNT ME AWAY BEFORE THE SPINDLE STARTS",),
        )  # fmt: skip
        parts = [bar]
        if n.made == "stack":
            parts.append(dowel_rod(n.dowel_diameter, n.bar_length, "dowel"))
        if n.keyed:
            parts.append(Part("key", "key", Strip(n.key_wood), _key(n), n.bearing - 10))
        return parts

    def poses(self, n: Book, state: State) -> Sequence[Placed]:
        """On the table while the height is set, away at all other times."""
        if state.phase is not Phase.SETTING:
            return []
        table = -n.end_height
        # The part's z runs along -y in the work frame: turned so, its x stays x and its y is up.
        upright = Pose.turned("x", 90)
        back = -n.axis_y + n.bearing
        placed = [Placed("bar", "bar", Pose.to(0, back, table) @ upright)]
        if n.made == "stack":
            placed += [
                Placed(f"dowel {side}", "dowel", Pose.to(x, back, table + y) @ upright)
                for side, x, y in self._dowels(n)
            ]
        if n.keyed:
            low = table - n.key_reach
            placed.append(Placed("key", "key", Pose.to(n.key_x, back - 5, low) @ upright))
        return placed

    def holds_piece(self, n: Book, state: State) -> Offset:
        """The crown sets every piece's end to the same height."""
        return Offset(dz=0.0)

    def contacts(self, n: Book, state: State) -> Sequence[Contact]:
        """What touches while the height is set."""
        if state.phase is not Phase.SETTING:
            return []
        meant = [
            Contact("bar", "table", Role.SEATS, note="held down by hand"),
            Contact("bar", "piece", Role.SUPPORTS, note="dome at the crown"),
        ]
        if n.keyed:
            meant += [
                Contact("key", "table", Role.GUIDES, note="slides along the slot"),
                Contact("key", "bar", Role.GLUED),
            ]
        return meant

    def rooms(self, n: Book, state: State) -> Sequence[Room]:
        """Nothing beyond the general rule that nothing overlaps."""
        return []

    def own_checks(self, n: Book) -> Sequence[Finding]:
        """The crown before the rim, enough bearing, and the error it may make."""
        rim = math.asin(min(1.0, n.end_diameter / (2 * n.dome_radius)))
        lean = math.asin(min(1.0, n.aside / max(1e-9, n.arch_radius - n.dome_radius)))
        stack = n.made == "stack"
        return [
            at_least(n.arch_radius - n.dome_radius, 5.0, group="fit",
                     check="arch flatter than dome", source=COMMON, levers=("+arch_radius",),
                     why="or the dome's rim touches before its crown"),
            at_most(math.degrees(lean), math.degrees(rim), group="fit", unit="deg",
                    check="crown touches before the rim", source="derived",
                    why="with the piece standing aside", levers=("+arch_radius",)),
            at_least(n.arch_width - n.end_diameter, 2.0, group="fit",
                     check="arch wider than the end", source=COMMON, levers=("+arch_width",),
                     why="or a flat comes down on the dome"),
            at_least(n.bearing / n.overhang, 2.0, group="fit", check="bearing to overhang",
                     unit="", why="a bar that tips sets the wrong height", source=COMMON,
                     levers=("+slices" if stack else "+bar_length",)),
            at_most(n.bearing, n.table_depth, group="place", check="bar fits on the table",
                    source="derived", levers=("-slices" if stack else "-bar_length",)),
            at_most(n.height_error, 0.1, group="budget",
                    check="height error from standing aside",
                    source="error derived; 0.1 mm is common practice, no source",
                    assumes=(f"{n.aside:g} mm aside", *_creeps(n)),
                    levers=("+arch_radius", "-aside")),
            *self._key_check(n),
        ]  # fmt: skip

    def _key_check(self, n: Book) -> list[Finding]:
        """Where the user fixed the piece's x, the key must still find a slot."""
        if not n.keyed:
            return []
        off = min(abs(n.axis_x + n.key_x - slot) for slot in n.table_slots_at)
        return [
            at_most(off, 0.05, group="place", check="key meets a slot of the table",
                    source="derived", why="the piece's x, fixed by the job or by what it hangs "
                    "on, puts the key beside the slot")
        ]  # fmt: skip

    def offset_of(self, n: Book, sizes: Mapping[str, float]) -> Offset:
        """The height does not depend on the piece."""
        return Offset(dz=0.0)

    def grips(self, n: Book, limit: Limit) -> Sequence[FaceGrip]:
        """None: the hand holds the gauge, the ring the piece."""
        return []

    def board_holes(self, n: Book) -> Sequence[BoardHole]:
        """None: it is held down by hand."""
        return []

    def _dowels(self, n: Book) -> list[tuple[str, float, float]]:
        x = n.bar_width / 2 - max(15.0, n.dowel_diameter * 1.5)
        return [("left", -x, n.bar_height - 15), ("right", x, n.bar_height - 15)]

    def _profile(self, n: Book) -> Outline:
        """The arch, and the key's groove in the right flat, seen along +y with y up."""
        half, w, h = n.arch_width / 2, n.bar_width / 2, n.bar_height
        # From chord and crown, so that a crown measured as built is the crown that is drawn:
        # the bulge of an arc is its sagitta over half its chord.
        points: list[tuple[float, ...]] = [(-w, 0), (-half, 0, -n.crown_height / half), (half, 0)]
        if n.keyed:
            left, right = n.key_x - n.groove_width / 2, n.key_x + n.groove_width / 2
            deep, r = n.key_groove, n.routed_corner * _narrow(n)
            turn = -QUARTER_TURN
            points += [
                (left, 0), (left, deep - r, turn), (left + r, deep), (right - r, deep, turn),
                (right, deep - r), (right, 0),
            ]  # fmt: skip
        return Outline.of([*points, (w, 0), (w, h), (-w, h)])


def _key(n: Book) -> Outline:
    """The key's section, chamfered to clear the routed corners of its groove."""
    w, d, c = (
        n.key_width / 2,
        n.key_groove + n.key_reach,
        CLEARS_CORNER * n.routed_corner * _narrow(n),
    )
    return Outline.of([(-w, 0), (w, 0), (w, d - c), (w - c, d), (c - w, d), (-w, d - c)])


def _narrow(n: Book) -> float:
    """1; less for a key too narrow for a 6 mm cutter: its groove wants a thinner one."""
    return float(min(1.0, 0.45 * n.key_width / n.routed_corner))


def _creeps(n: Book) -> tuple[str, ...]:
    """A caution that belongs to a printed bar."""
    if n.made != "print":
        return ()
    return (f"printed in {n.print_material}; plastic creeps: check the crown before each batch",)


KIND = HeightGauge()
