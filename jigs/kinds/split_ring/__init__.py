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
behind; insert into the shelf from above, so that load seats it. At the machine: the board onto
the front face (below). Then springs on the drawbolts, moving half, washers, nuts.

How it hangs, by what the front face offers. **Slots along x**: T-slot bolts into the slots, board
over them, key into its slot, washers, nuts; where no T-slot bolt goes in, T-slot nuts with pieces
of rod, flush with the nuts' lower faces. A stop block stays in the slot; the board is pushed
against it. **Threaded holes**: hexagon screws and large washers from the front; two close holes
at opposite corners bring the board back. **A board**: countersunk wood screws from the front;
cramp the board in place, drill the two dowel holes through it into the face in one go, then the
pilots; the dowels are glued into the back board and bring it back.

Two hands. Loading: one hand holds the piece, the other turns the jack up under its foot; from
then on the jack carries it. Setting: one hand on the gauge, one on the jack. Closing: both nuts
by turns, `closing_turns` after first touch, but never beyond `closing_torque`, which the fingers
give: a stiff lining would crush the piece. **Catch the piece before slackening.**

Contacts. Fixed liner and moving liner on the piece: the clamping pair, each with the bolts' whole
force N. Drawbolt heads in the fixed half, washers on the moving half: N / 2 each. Fixed half on
the floor of the dado: weight and the vertical share of the cut. Mounting nuts on the fixed half:
preload. Key in slot: guides. Foot on pad: the piece's weight.

Signs. Work frame: y away from the operator. A piece thinner than the bore seats against the fixed
half, at the machine: the thinner it is, the further its axis lies towards +y.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated

from pydantic import BaseModel, Field

from jigs.fields import READ_CONFIG
from jigs.kinds.split_ring.checks import number_checks
from jigs.kinds.split_ring.fastenings import (
    FASTENINGS,
    corners,
    dowel_contacts,
    face_holes,
)
from jigs.kinds.split_ring.gripping import gives_of, grip_of
from jigs.kinds.split_ring.holding_up import footing_of, rule
from jigs.kinds.split_ring.moving import all_moves, all_steps, all_tools
from jigs.kinds.split_ring.parts import all_parts
from jigs.kinds.split_ring.running import settings_of, spreads_of
from jigs.kinds.split_ring.standing import all_poses, piece_place
from jigs.kinds.split_ring.strength import strength_checks
from jigs.kinds.split_ring.touching_off import all_datums
from jigs.mechanics.liner import axis_offset
from jigs.model.batch import Setting, Spread
from jigs.model.finding import Finding
from jigs.model.grip import Footing, Give, RoundGrip
from jigs.model.kind import BoardHole, FromStock, Kind, Offset, Placed
from jigs.model.move import Move, Step, Tool
from jigs.model.number import Book, Number, Standing
from jigs.model.part import Part
from jigs.model.pose import Vec
from jigs.model.reach import Datum
from jigs.model.state import Contact, Phase, Role, Room, State


class SplitRingOptions(BaseModel):
    """Choices for a split-ring handle clamp."""

    model_config = READ_CONFIG
    wood: str = Field(default="beech", description="of the two halves")
    board: Annotated[str, FromStock("boards")] = Field(
        default="", description="name of the board; the first if left out"
    )
    sheet: Annotated[str, FromStock("sheets")] = Field(
        default="", description="of back board and shelf; the first if left out"
    )
    lining: Annotated[str, FromStock("linings")] = Field(
        default="", description="name of the lining; the first if left out"
    )


OFFERED = (
    "axis_y", "stand_off", "nominal_offset", "lined_radius", "squeeze", "gap", "open_gap",
    "ring_top", "ring_height", "board_width", "hang_z", "hang_washer",
)  # fmt: skip
"""Numbers that other jigs of the setup may ask by the same name."""


class SplitRing(Kind):
    """See the module's page."""

    name = "split_ring"
    title = "split-ring handle clamp"
    Options = SplitRingOptions
    rules = rule
    seen_from: Vec = (1.0, -1.25, 0.85)
    stands = ("front face",)

    def offers(self, n: Book) -> Mapping[str, str]:
        """How far in front of the table the piece hangs; and its x, where a grid decides it."""
        given = {name: name for name in OFFERED}
        return {**given, "axis_x": "hang_axis"} if n.front_hole_columns else given

    def facts(self, options: BaseModel) -> Sequence[Number]:
        """What it is made of."""
        assert isinstance(options, SplitRingOptions)
        return [Number("wood", options.wood, "", Standing.GIVEN, "wood of the halves")]

    def parts(self, n: Book) -> Sequence[Part]:
        """Ring, lining, board, shelf, jack and hardware."""
        return all_parts(n)

    def poses(self, n: Book, state: State) -> Sequence[Placed]:
        """Fixed things by the machine, the moving half by the piece that it closes on."""
        return all_poses(n, state)

    def holds_piece(self, n: Book, state: State) -> Offset:
        """Against the fixed half when touching or closed; midway when the ring is open."""
        return piece_place(n, state)

    def contacts(self, n: Book, state: State) -> Sequence[Contact]:
        """The clamping pair with its squeeze, and everything that seats, threads or bites."""
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
            meant += _bolted(f"drawbolt {side}", "fixed half", "moving half")
            meant += _bolted(f"mounting bolt {side}", "back board", "fixed half")
            meant += [
                Contact(f"shelf screw {side}", "shelf", Role.BITES),
                Contact(f"shelf screw {side}", "back board", Role.SEATS),
            ]
        return [
            *meant,
            *_hung(n),
            Contact("fixed half", "back board", Role.SEATS),
            Contact("back board", "front face", Role.SEATS),
            Contact("shelf", "back board", Role.SEATS),
            Contact("insert", "shelf", Role.BITES),
            Contact("jack screw", "insert", Role.THREADS),
            Contact("jack screw", "pad", Role.SUPPORTS),
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

    def moves(self, n: Book) -> Sequence[Move]:
        """Put together off the machine, hung, and worked."""
        return all_moves(n)

    def tools(self, n: Book) -> Sequence[Tool]:
        """Nuts with a spanner, the jack by hand."""
        return all_tools(n)

    def steps(self, n: Book) -> Sequence[Step]:
        """Changing a piece."""
        return all_steps(n)

    def datums(self, n: Book) -> Sequence[Datum]:
        """The bore, and the table."""
        return all_datums(n)

    def own_checks(self, n: Book) -> Sequence[Finding]:
        """What must hold of the ring's numbers for the whole batch."""
        return [*number_checks(n), *strength_checks(n)]

    def offset_of(self, n: Book, sizes: Mapping[str, float]) -> Offset:
        """dy of a piece of that grip diameter, closed: e(r) - e(r nominal)."""
        e = axis_offset(n.lined_radius, sizes["grip_diameter"] / 2, n.squeeze)
        return Offset(dx=0.0, dy=e - n.nominal_offset, dz=None)

    def grips(self, n: Book, sizes: Mapping[str, float]) -> Sequence[RoundGrip]:
        """The two lined halves, closed by turns, on a piece of that grip diameter."""
        return [grip_of(n, sizes)]

    def footings(self, n: Book) -> Sequence[Footing]:
        """The back board on the front face."""
        return [footing_of(n)]

    def gives(self, n: Book, sizes: Mapping[str, float]) -> Sequence[Give]:
        """Lining and back board."""
        return gives_of(n, sizes)

    def settings(self, n: Book, sizes: Mapping[str, float]) -> Sequence[Setting]:
        """Turns to open and to close, the jack, the liner."""
        return settings_of(n, sizes)

    def spreads(self, n: Book) -> Sequence[Spread]:
        """Squeeze, out of round, taper, bore and lining, along y; stop along x."""
        return spreads_of(n)

    def board_holes(self, n: Book) -> Sequence[BoardHole]:
        """Pilot and dowel holes where the front face is a board; none in slots or threads."""
        return face_holes(n)


def _bolted(bolt: str, under_head: str, under_nut: str) -> list[Contact]:
    """A coach bolt: its neck bites in, its head seats; washer and nut at the other end."""
    nut, ring = bolt.replace("bolt", "bolt nut"), bolt.replace("bolt", "bolt washer")
    if bolt.startswith("mounting"):
        nut, ring = bolt.replace("bolt", "nut"), bolt.replace("bolt", "washer")
    return [
        Contact(bolt, under_head, Role.BITES, note="square neck, and head on its counterbore"),
        Contact(bolt, nut, Role.THREADS),
        Contact(ring, under_nut, Role.SEATS),
        Contact(nut, ring, Role.SEATS),
    ]


def _hung(n: Book) -> list[Contact]:
    """The fastenings, and what brings the board back: stop and key in slots, or dowels."""
    way = FASTENINGS[n.hang_by]
    meant = [touch for at in corners(n) for touch in way.contacts(at.name, "back board")]
    if not n.board_key_width:
        return meant + dowel_contacts(n)
    return [
        *meant,
        *way.contacts("of the stop", "stop block"),
        Contact("stop block", "front face", Role.SEATS),
        Contact("back board", "stop block", Role.SEATS, note="pushed against it each time"),
        Contact("board key", "back board", Role.GLUED),
        Contact("board key", "front face", Role.GUIDES),
    ]


KIND = SplitRing()
