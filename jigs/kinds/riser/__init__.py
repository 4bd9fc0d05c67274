"""Riser: a block or a foot plate on the table, under a piece that stands in the end-grain clamp.

::

      block: seen from above                     plate: seen from the moving jaw, along x

        |        fence        |                       |fence|  piece  |fence|
     ===|---------------------|===                    |     |         |     |
        | .-----------------. |                       |_____|         |_____|   2 mm
     f  | |   o             | |  m                 ._________________________.
     i  | |       riser     | |  o              ___|_________________________|___  table
     x  | |             o   | |  v                    |___|    |_key_|    |___|
     e  | '-----------------' |  e                             a slot
     d ===|-------------------|=== d              |<- 10 ->|mouth|<- 10 ->|
        |        fence        |

What for. A **short piece** whose end lies lower than the spindle comes: the block raises it by as
many sheets as that takes. A piece that is **narrower than a slot** which runs from jaw to jaw, or
whose edges stand over one: the plate bridges the mouth and bears 10 mm beyond it on both sides.

How it is made. Equal layers of sheet cut in one clamping, drilled for two dowels, glued face to
face on them and pressed on a flat bed; a single layer needs no dowel. Arrises eased, so that chips
find a place beside its foot. A plate has a groove underneath for a hardwood key.

How it is held: by the box that the clamp itself makes, not by tape and not by a screw. The block is
1 mm smaller all round than the smallest piece and stands between both faces and both fences, which
reach lower than its top: it cannot get out, and wherever it lies in its box a closed clamp has it
wholly under the piece. Tape would creep and add its thickness; screws would need holes in the
table. It bears the piece's weight and the thrust of the cut, straight down, and no side force: the
jaws carry that. A plate reaches further than the fences, so they end above it; its key in the slot
that it bridges keeps it from going along y, the faces from going along x.

The order at the machine. Table wiped, riser laid down, pressed at each corner: it must not rock;
then the clamp comes down over its studs with the riser in its box. Changing a piece: brush the
riser and the corner round it, one hand; the riser stays. Its height is measured once, as glued up
(`rise`): it goes one to one into the height of the piece's end.

Frame: as the clamp's; the riser lies still in every state.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Literal

from pydantic import BaseModel, Field

from jigs.fields import READ_CONFIG
from jigs.kinds.riser.checks import number_checks
from jigs.kinds.riser.parts import all_contacts, all_moves, all_parts, all_poses
from jigs.kinds.riser.sizing import rule
from jigs.model.batch import Spread
from jigs.model.finding import Finding
from jigs.model.kind import FromStock, Kind, Offset, Placed
from jigs.model.move import Move, Step
from jigs.model.number import Book, Number, Standing
from jigs.model.part import Part
from jigs.model.pose import Vec
from jigs.model.state import Contact, Room, State

MEASURED_TO = 0.05
"""mm either way; what a caliper tells of a glued-up stack. Assumed."""

CHIPS = 0.1
"""mm that dust may keep it off the table. Assumed: wiped clean when it is laid down."""


class RiserOptions(BaseModel):
    """Choices for a riser."""

    model_config = READ_CONFIG
    made: Literal["block", "plate"] = Field(
        default="block",
        description="a block inside the clamp's box, or a plate that bridges a slot under it",
    )
    sheet: Annotated[str, FromStock("sheets")] = Field(
        default="", description="name of the sheet; the first if left out"
    )
    key_wood: str = Field(default="beech", description="wood of a plate's key")


class Riser(Kind):
    """See the module's page."""

    name = "riser"
    title = "riser"
    Options = RiserOptions
    rules = rule
    seen_from: Vec = (1.0, -1.15, 0.8)
    stands = ("table",)

    def offers(self, n: Book) -> Mapping[str, str]:
        """How high the piece's foot stands, and what lies under the fences."""
        return {"rise": "rise", "under_fences": "under_fences"}

    def facts(self, options: BaseModel) -> Sequence[Number]:
        """How it is made, and of what."""
        assert isinstance(options, RiserOptions)
        return [
            Number("made", options.made, "", Standing.GIVEN, "block or plate"),
            Number("key_wood", options.key_wood, "", Standing.GIVEN, "wood of the key"),
        ]

    def parts(self, n: Book) -> Sequence[Part]:
        """The riser, its dowels, and a plate's key."""
        return all_parts(n)

    def poses(self, n: Book, state: State) -> Sequence[Placed]:
        """The same in all states: it stays where it was laid."""
        return all_poses(n)

    def holds_piece(self, n: Book, state: State) -> Offset:
        """The clamp decides."""
        return Offset()

    def contacts(self, n: Book, state: State) -> Sequence[Contact]:
        """Piece on riser, riser on table; the key guides."""
        return all_contacts(n)

    def rooms(self, n: Book, state: State) -> Sequence[Room]:
        """Nothing beyond the general rule that nothing overlaps."""
        return []

    def moves(self, n: Book) -> Sequence[Move]:
        """Glued up on its dowels; straight down onto the table."""
        return all_moves(n)

    def steps(self, n: Book) -> Sequence[Step]:
        """What it asks of a change of piece."""
        return (Step("brush the riser and the table round it; it stays, and must not rock",
                     ("a brush",)),)  # fmt: skip

    def own_checks(self, n: Book) -> Sequence[Finding]:
        """High enough, boxed in, under the piece, flat on metal."""
        return number_checks(n)

    def offset_of(self, n: Book, sizes: Mapping[str, float]) -> Offset:
        """The clamp decides."""
        return Offset()

    def spreads(self, n: Book) -> Sequence[Spread]:
        """Its thickness goes one to one into the height of the piece's end, once for the batch."""
        measured = n["rise"].standing in (Standing.MEASURED, Standing.BUILT)
        off_by = MEASURED_TO if measured else n.layers * (n.sheet_most - n.sheet_least) / 2
        return [
            Spread("thickness of the riser", "z", off_by, each=False, reads=("rise",)),
            Spread("dust under the riser", "z", CHIPS, "one-sided", each=False),
        ]


KIND = Riser()
