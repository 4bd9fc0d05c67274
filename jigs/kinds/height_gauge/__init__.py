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

The order at the machine. Hands: one keeps the gauge down on the table, flat on the bar just
behind the table's front edge, the other turns the jack under the piece until the dome meets the
crown. The ring is slack meanwhile and the jack carries the piece. Then the ring is closed with the
free hand's spanner, and the gauge slides off along +y and is **counted as away** before the
spindle may start.

Contacts. Flats on table: the hand's force plus weight. Crown on dome: the push of the jack, kept
small (two to four newtons lift a bar that nobody holds): the hand must feel it. It bends the
overhang up, across the glue lines, which the dowels back up. Key in slot: guides only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Literal

from pydantic import BaseModel, Field

from jigs.fields import READ_CONFIG
from jigs.kinds.height_gauge.checks import number_checks
from jigs.kinds.height_gauge.moving import all_moves, all_steps
from jigs.kinds.height_gauge.parts import all_contacts, all_parts, all_poses
from jigs.kinds.height_gauge.pressing import rule
from jigs.kinds.height_gauge.running import spreads_of
from jigs.model.batch import Spread
from jigs.model.finding import Finding
from jigs.model.kind import FromStock, Kind, Offset, Placed
from jigs.model.move import Move, Step
from jigs.model.number import Book, Number, Standing
from jigs.model.part import Part
from jigs.model.pose import Vec
from jigs.model.state import Contact, Room, State


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


class HeightGauge(Kind):
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
        return all_parts(n)

    def poses(self, n: Book, state: State) -> Sequence[Placed]:
        """On the table while the height is set, away at all other times."""
        return all_poses(n, state)

    def holds_piece(self, n: Book, state: State) -> Offset:
        """The crown sets every piece's end to the same height."""
        return Offset(dz=0.0)

    def contacts(self, n: Book, state: State) -> Sequence[Contact]:
        """What touches while the height is set."""
        return all_contacts(n, state)

    def rooms(self, n: Book, state: State) -> Sequence[Room]:
        """Nothing beyond the general rule that nothing overlaps."""
        return []

    def moves(self, n: Book) -> Sequence[Move]:
        """Onto the table, over the piece and off again."""
        return all_moves(n)

    def steps(self, n: Book) -> Sequence[Step]:
        """What it asks of a change of piece."""
        return all_steps(n)

    def own_checks(self, n: Book) -> Sequence[Finding]:
        """The crown before the rim, enough bearing, the hand that presses, and the error."""
        return number_checks(n)

    def offset_of(self, n: Book, sizes: Mapping[str, float]) -> Offset:
        """The height does not depend on the piece."""
        return Offset(dz=0.0)

    def spreads(self, n: Book) -> Sequence[Spread]:
        """Errors of the height: drops have one direction, the crown is once for the batch."""
        return spreads_of(n)


KIND = HeightGauge()
