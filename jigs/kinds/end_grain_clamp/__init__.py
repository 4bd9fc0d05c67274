"""End-grain clamp: two upright jaws on the table that hold a bar on end, drawn together by hand.

::

    seen from above (x away from the fixed jaw)         seen along y

           fixed jaw           moving jaw                     [piece]
          rod ====| |=[spring]==| |=== (knob)            /|   |     |   |\\
     +-----------+| |           | |+-----------+        / |===|=====|===| \\====(knob)
     | (o) rib===|| | [fence]   | ||===rib (o) |     rib  |   |     |   |  rib
     |           || | [piece]   | ||           |      /   |   |     |   |   \\
     | (o) rib===|| | [fence]   | ||===rib (o) |   (o)____|___|     |___|____(o)
     +-----------+| |           | |+-----------+   base   ^0.5        land of the table
          rod ====| |=[spring]==| |=== (knob)

How each part is made. **Bases, faces, ribs, fences**: sheet, flat on the router, dados and slots
first, outlines last. The base's edge sits in a rebate along the foot of the face; each rib stands
in a dado in the face and one in the base, dry to the shoulder, glued and screwed (a screw goes in
while the glue is wet, and pulls). **Knobs**: hardwood or printed. **Drawbolts**: threaded rod, cut
to length, clamped to the fixed face between two nuts. The rest is bought.

The order, or the clamp is over-constrained. Fixed base onto its key, pushed against the stop, its
hold-downs tight: it keeps the zero. Moving base: hold-downs **slack**. Piece in, down on the table,
against the datum fence; free fence up to it, its nuts finger tight: it steadies and carries
nothing, and follows from piece to piece only where depths differ. Drawbolts **turn about**, half a
turn each, until the moving face lies flat on the piece: look at the gap on both sides, nothing
guides that jaw. Then the moving hold-downs. Done the other way the table's friction under the
moving base is lost to the piece.

Two hands. One holds the piece down and against the datum fence, the other turns a drawbolt until
the piece is caught; then both are free. Changing a piece: moving hold-downs slack, both drawbolts
half a turn back (springs push the jaw away; where they would take too much of the grip there are
none, and a hand does it), piece out, chips off the land, next piece in.

Holding. The face beside its ribs is the weakest part and sets the torque on the drawbolts; the
table or the board under the washers sets that on the hold-downs. The fixed base alone carries the
cut into the table. What each figure rests on is a number that can be set: friction, nut factors,
torque by feel, strengths.

Contacts. Both faces on the piece: the clamping pair, the drawbolts' whole force F. Rod's nuts on
the fixed face, knobs' washers on the moving face: F / 2 each. Fences on the piece: steady it, carry
nothing that counts. Piece on the land: weight and the thrust of the cut. Bases on the table:
hold-downs. Key in slot or dowels: guide only, they bring the fixed base back.

Frame of the jig: x from the fixed jaw to the moving one, y towards the datum fence, z up, origin
at the nominal piece's middle and top. `fixed_side` turns it; nothing is ever mirrored.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Literal

from pydantic import BaseModel, Field

from jigs.fields import READ_CONFIG
from jigs.kinds.end_grain_clamp.checks import number_checks
from jigs.kinds.end_grain_clamp.giving import springs_of
from jigs.kinds.end_grain_clamp.gripping import grip_of
from jigs.kinds.end_grain_clamp.holding_down import footing_of, rule
from jigs.kinds.end_grain_clamp.moving import all_moves, all_steps, all_tools
from jigs.kinds.end_grain_clamp.parts import all_parts
from jigs.kinds.end_grain_clamp.running import settings_of, spreads_of
from jigs.kinds.end_grain_clamp.standing import all_poses, bored_for, piece_place
from jigs.kinds.end_grain_clamp.strength import strength_checks
from jigs.kinds.end_grain_clamp.touching import all_contacts, all_rooms
from jigs.kinds.end_grain_clamp.touching_off import all_datums
from jigs.model.batch import Setting, Spread
from jigs.model.finding import Finding
from jigs.model.grip import FaceGrip, Footing, Give
from jigs.model.kind import BoardHole, FromStock, Kind, Offset, Placed
from jigs.model.move import Move, Step, Tool
from jigs.model.number import Book, Number, Standing
from jigs.model.part import Part
from jigs.model.pose import Vec
from jigs.model.reach import Datum
from jigs.model.state import Contact, Room, State


class EndGrainClampOptions(BaseModel):
    """Choices for an end-grain clamp."""

    model_config = READ_CONFIG
    fixed_side: Literal["left", "right", "front", "back"] = Field(
        default="left", description="where the fixed jaw stands, seen from the operator"
    )
    sheet: Annotated[str, FromStock("sheets")] = Field(
        default="", description="of bases, faces and ribs; the first if left out"
    )
    fence_sheet: Annotated[str, FromStock("sheets", like="sheet")] = Field(
        default="", description="of the fences; the same sheet if left out"
    )
    knob_made: Literal["wood", "print"] = Field(
        default="wood", description="knobs of hardwood with inserts, or printed round a nut"
    )
    knob_wood: str = Field(default="beech", description="wood of the knobs")
    print_material: str = Field(default="PETG", description="for printed knobs")
    backer_wood: str = Field(default="spruce", description="of the sacrificial backer")


class EndGrainClamp(Kind):
    """See the module's page."""

    name = "end_grain_clamp"
    title = "end-grain clamp"
    Options = EndGrainClampOptions
    rules = rule
    seen_from: Vec = (1.0, -1.15, 0.8)
    stands = ("table",)

    def offers(self, n: Book) -> Mapping[str, str]:
        """Where the piece stands, how high its end is, and how the jig is turned."""
        return {
            "turn": "turn", "axis_x": "clamp_x", "axis_y": "clamp_y", "end_height": "piece_top",
        }  # fmt: skip

    def facts(self, options: BaseModel) -> Sequence[Number]:
        """How it is turned, and what it is made of."""
        assert isinstance(options, EndGrainClampOptions)
        return [
            Number(name, getattr(options, name), "", Standing.GIVEN, meaning)
            for name, meaning in (
                ("fixed_side", "where the fixed jaw stands"), ("knob_made", "how knobs are made"),
                ("knob_wood", "wood of the knobs"), ("print_material", "of printed knobs"),
                ("backer_wood", "wood of the backer"),
            )
        ]  # fmt: skip

    def parts(self, n: Book) -> Sequence[Part]:
        """Jaws, fences, drawbolts, hold-downs, and what brings the fixed base back."""
        return all_parts(n)

    def poses(self, n: Book, state: State) -> Sequence[Placed]:
        """The fixed side where it is bolted down, the moving side by the piece."""
        return all_poses(n, state)

    def holds_piece(self, n: Book, state: State) -> Offset:
        """Against the fixed face and the datum fence, on the table; midway when open."""
        return piece_place(n, state)

    def contacts(self, n: Book, state: State) -> Sequence[Contact]:
        """The clamping pair, the fences, and all that seats, threads, bites or is glued."""
        return all_contacts(n, state)

    def rooms(self, n: Book, state: State) -> Sequence[Room]:
        """Room for the piece to go in, and for fingers round the knobs."""
        return all_rooms(n, state)

    def moves(self, n: Book) -> Sequence[Move]:
        """Jaws glued up, clamped together on the bench, set down over the studs."""
        return all_moves(n)

    def tools(self, n: Book) -> Sequence[Tool]:
        """Knobs and nuts."""
        return all_tools(n)

    def steps(self, n: Book) -> Sequence[Step]:
        """Changing a piece."""
        return all_steps(n)

    def datums(self, n: Book) -> Sequence[Datum]:
        """Fixed face, datum fence, table."""
        return all_datums(n)

    def own_checks(self, n: Book) -> Sequence[Finding]:
        """What must hold of the clamp's numbers for the whole batch."""
        return [*number_checks(n), *strength_checks(n)]

    def offset_of(self, n: Book, sizes: Mapping[str, float]) -> Offset:
        """Half of what the piece differs by, away from fixed jaw and datum fence; dz at its top."""
        return Offset(
            dx=(sizes["width"] - n.width_nominal) / 2,
            dy=-(sizes["depth"] - n.depth_nominal) / 2,
            dz=sizes["length"] - n.length_nominal if "length" in sizes else None,
        )

    def grips(self, n: Book, sizes: Mapping[str, float]) -> Sequence[FaceGrip]:
        """Both faces on the piece."""
        return [grip_of(n, sizes)]

    def footings(self, n: Book) -> Sequence[Footing]:
        """The fixed base alone; the moving one may be slack."""
        return [footing_of(n)]

    def gives(self, n: Book, sizes: Mapping[str, float]) -> Sequence[Give]:
        """Faces, drawbolts, ribs and the fixed base, towards the moving jaw."""
        return springs_of(n, sizes)

    def settings(self, n: Book, sizes: Mapping[str, float]) -> Sequence[Setting]:
        """Turns to open, torque, fences."""
        return settings_of(n, sizes)

    def spreads(self, n: Book) -> Sequence[Spread]:
        """What was measured, dust at the seats, a leaning face, play of the key."""
        return spreads_of(n)

    def board_holes(self, n: Book) -> Sequence[BoardHole]:
        """Holes for inserts and dowels, where the table is a board to screw into."""
        return bored_for(n)


KIND = EndGrainClamp()
