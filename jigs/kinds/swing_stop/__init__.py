"""Swing stop and front-face clamp: bars across a hanging piece, on studs in the front face.

::

    one bar, below a ring, from above               two bars, from the front      from the right

    ============ front face ============             :  table                      |=|
      ||[==== ring's back board ====]||              [..|..|  |....] back board   _|=|[]
    ==##=[    packer and shims    ]=##== lock nuts   [==O==|  |==O=] upper bar   ==|=|[]##|==o
      ||    +--------------+        ||               [..| s|  |....]               |=|[]-pad
      ||    | body, hangs  |        ||  studs        [..| i|  |....] <- piece      |=|[]
      ||    +--------------+        ||               [==O=d|  |==O=] lower bar   ==|=|[]##|==o
    [ o |       rubber pad        | o ] bar             | e|  |                    |=|[]
     (knob)                      (knob)                 |  |__|                      |[]
                                                        |__|__] end stop             |==

What it is for. **One bar** keeps the body of a piece that hangs in a ring from swinging; the ring
holds. **Two bars** hold a long bar by themselves: for pieces too tall to stand under the gantry.

How each part is made. **Bars**: a squared stick of hardwood, grain along x; one stud hole, and on
the right an open slot from below, drilled and sawn, or both on the router. **Pads**: rubber sheet,
glued on with contact adhesive. **Shims**: cut with knife, snips or a fine saw, one pattern for
all; the thickness written on each. **Packer**: of board, planed. **Back board**: sheet, on the
router; the dado on its front, screw holes from behind; key glued into its groove. **Side stop**: a
straight stick, longer than board and face: glued into the dado, screwed from behind, set by a
square held on the table before its glue dries. **End stop**: a block on end, glued and screwed to
the stick's right side: end grain bears the piece's foot. **Studs**: threaded rod, or T-slot bolts
where they are sold long enough.

The order. Studs into the face (heads into the slots' ends first; T-slot nuts fixed on their rods
with thread-locking compound, flush with the nuts' lower faces, or the rod jacks the slot open).
With two bars: the board over the studs, key in the upper slot, pushed against the stop block.
Washers and lock nuts, with a spanner: with one bar against the face itself, so that studs stand
stiff. Bars, washers, knobs.

Two hands. **One bar**: bar backed off by `back_off`, piece into the ring and onto its jack; one
hand hangs packer and shims on the studs behind the body (they hang by themselves), the ring is
closed, then the bar is pushed up, both knobs with two fingers: it steadies, it does not clamp.
**Two
bars**: knobs slack, the piece down behind the bars onto the end stop, pushed left against the side
stop; one hand holds it there, the other turns a knob of the upper bar until it is caught; then both
hands turn the knobs, by turns, lower bar last. Too little room above: slacken more, swing the bars
up about their left studs, and take the piece out in front. **Hold the piece before slackening.**
Studs stick out at hip height: cap them.

Contacts. Pads on the piece, two studs' pull each; piece on back board, the same from behind; piece
on end stop, its weight; on side stop, nothing that counts. Lock nuts on board or face: preload. One
bar: body on the foremost shim, as the pad presses.

Signs. Work frame: x right, y away from the operator, z up, origin at the nominal piece's end. A
thinner piece in a ring lies further towards +y, so less is left behind its body. What rounded shims
leave, or push, tilts the piece about the ring's middle; its end goes the other way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Literal

from pydantic import BaseModel, Field

from jigs.fields import READ_CONFIG, PositiveLength
from jigs.kinds.swing_stop.checks import all_checks, top_error
from jigs.kinds.swing_stop.clamping import footing_of, grip_of, rule, springs_of
from jigs.kinds.swing_stop.moving import all_moves, all_steps, all_tools
from jigs.kinds.swing_stop.parts import all_parts
from jigs.kinds.swing_stop.shimming import MOST, WITHIN, rest_after, told
from jigs.kinds.swing_stop.standing import (
    all_poses,
    bored_for,
    piece_offset,
    placed_by_stops,
    room_behind,
    stack_for,
)
from jigs.kinds.swing_stop.touching import all_contacts, all_rooms
from jigs.kinds.swing_stop.words import NONE_LISTED, NOTHING, does_without
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


class SwingStopOptions(BaseModel):
    """Choices for a swing stop or front-face clamp."""

    model_config = READ_CONFIG
    bars: Literal[1, 2] = Field(
        default=1,
        description="1 steadies the body of a piece in a ring; 2 hold a bar alone",
    )
    wood: str = Field(default="beech", description="of bars, packer and key")
    sheet: Annotated[str, FromStock("sheets")] = Field(
        default="", description="of back board and stops; the first if left out"
    )
    lining: Annotated[str, FromStock("linings")] = Field(
        default="", description="of the pads; the first if left out"
    )
    shims: Annotated[tuple[PositiveLength, ...], Field(min_length=1, max_length=MOST)] = Field(
        default=(0.5, 1.0, 2.0, 4.0, 8.0),
        description="thicknesses of the shims that you own, one each; twice where you have two",
    )
    knob_made: Literal["wood", "print"] = Field(
        default="wood", description="knobs of hardwood with inserts, or printed round a nut"
    )
    knob_wood: str = Field(default="beech", description="wood of the knobs")
    print_material: str = Field(default="PETG", description="for printed knobs")


_WORDS = (
    ("bars", "bars across the piece"), ("wood", "wood of bars, packer and key"),
    ("knob_made", "how knobs are made"), ("knob_wood", "wood of the knobs"),
    ("print_material", "of printed knobs"),
)  # fmt: skip


class SwingStop(Kind):
    """See the module's page."""

    name = "swing_stop"
    title = "swing stop"
    Options = SwingStopOptions
    rules = rule
    seen_from: Vec = (1.0, -1.25, 0.7)
    stands = ("front face",)

    def offers(self, n: Book) -> Mapping[str, str]:
        """With two bars, where the piece hangs; and nothing for what it does without."""
        without = does_without(n.bars)
        if n.bars == 1:
            return without
        hangs = {"axis_y": "hold_axis_y", "end_height": "hold_end_height"}
        return {**without, **hangs, **({"axis_x": "hold_axis_x"} if n.front_hole_columns else {})}

    def facts(self, options: BaseModel) -> Sequence[Number]:
        """Its choices, the set of shims, and what stands for what is not there."""
        assert isinstance(options, SwingStopOptions)
        own = "shims" in options.model_fields_set
        return [
            *(Number(name, getattr(options, name), "", Standing.GIVEN, meaning)
              for name, meaning in _WORDS),
            Number("shim_set", tuple(sorted(options.shims)), "mm",
                   Standing.GIVEN if own else Standing.ASSUMED, "shims that you own, one each",
                   source="" if own else "assumed: each twice the last"),
            Number(NOTHING, 0.0, "mm", Standing.RULE, "what the other number of bars would have",
                   source="derived"),
            Number(NONE_LISTED, (), "mm", Standing.RULE, "the same, of a list", source="derived"),
        ]  # fmt: skip

    def parts(self, n: Book) -> Sequence[Part]:
        """Bars, pads, studs, knobs; shims, or the back board with its stops."""
        return all_parts(n)

    def poses(self, n: Book, state: State) -> Sequence[Placed]:
        """Studs and board by the machine, bars by the piece, shims by its diameter."""
        return all_poses(n, state)

    def holds_piece(self, n: Book, state: State) -> Offset:
        """With two bars against side stop, board and end stop; one bar decides nothing."""
        return piece_offset(n, state)

    def contacts(self, n: Book, state: State) -> Sequence[Contact]:
        """Pads on the piece, what is behind it, and all that seats, threads, bites or is glued."""
        return all_contacts(n, state)

    def rooms(self, n: Book, state: State) -> Sequence[Room]:
        """Room for the piece to go in, and between bars and lock nuts."""
        return all_rooms(n, state)

    def moves(self, n: Book) -> Sequence[Move]:
        """Put together, onto the face, and worked."""
        return all_moves(n)

    def tools(self, n: Book) -> Sequence[Tool]:
        """Knobs, lock nuts, the stops' screws."""
        return all_tools(n)

    def steps(self, n: Book) -> Sequence[Step]:
        """Changing a piece."""
        return all_steps(n)

    def own_checks(self, n: Book) -> Sequence[Finding]:
        """What must hold of its numbers for the whole batch."""
        return all_checks(n)

    def offset_of(self, n: Book, sizes: Mapping[str, float]) -> Offset:
        """With two bars: half of what width and depth differ by, and the length; else none."""
        if n.bars == 1:
            return Offset()
        length = sizes.get("length", n.length_nominal)
        at = placed_by_stops(n, sizes["width"], sizes["depth"], length)
        return at if "length" in sizes else Offset(at.dx, at.dy, None)

    def grips(self, n: Book, sizes: Mapping[str, float]) -> Sequence[FaceGrip]:
        """Two bars hold; one only steadies."""
        return [grip_of(n, sizes)] if n.bars == 2 else []

    def footings(self, n: Book) -> Sequence[Footing]:
        """The back board of two bars."""
        return [footing_of(n)] if n.bars == 2 else []

    def gives(self, n: Book, sizes: Mapping[str, float]) -> Sequence[Give]:
        """Pads, bars and studs of two bars."""
        return springs_of(n, sizes) if n.bars == 2 else []

    def settings(self, n: Book, sizes: Mapping[str, float]) -> Sequence[Setting]:
        """With one bar: the shims to hang, and how far they miss."""
        if n.bars == 2:
            return []
        stack = stack_for(n, sizes["grip_diameter"])
        rest = rest_after(n.shim_set, room_behind(n, sizes["grip_diameter"]) - n.packer)
        return [
            Setting("shims", value=sum(stack), told=f"({told(stack)})", changes=0.5),
            Setting("left open behind the body", value=round(rest, 3) + 0.0),
        ]

    def spreads(self, n: Book) -> Sequence[Spread]:
        """Rounded shims put the end aside along y; a back board comes back within its play."""
        if n.bars == 1:
            size = top_error(n, max(WITHIN, n.shim_rest))
            return [Spread("shims rounded", "y", size, "even", True, ("shim_rest", "packer"))]
        return [
            Spread(f"back board comes back, {axis}", axis, COMES_BACK, "even", False)
            for axis in ("x", "z")
        ]  # fmt: skip

    def datums(self, n: Book) -> Sequence[Datum]:
        """Edges of the back board; with one bar the ring and the gauge have them."""
        if n.bars == 1:
            return []
        by = {True: "key and stop block"}.get(bool(n.board_key_width), "dowels or close holes")
        top, left = float(n.back_top), -float(n.back_width) / 2
        check = "a light mark on scrap, measured from the piece's sides"
        return [
            Datum("upper edge of the back board", "edge", (0.0, float(n.surface_at), top),
                  ("y", "z"), (float(n.surface_at), top), COMES_BACK, by, check),
            Datum("left edge of the back board", "edge", (left + 2.0, float(n.surface_at), top),
                  ("x",), (left,), COMES_BACK, by, check),
        ]  # fmt: skip

    def board_holes(self, n: Book) -> Sequence[BoardHole]:
        """Holes for inserts and dowels where the front face is a board."""
        return bored_for(n)


COMES_BACK = 0.1
"""mm each way: half the key's slack, or a dowel's. Common practice, no source."""

KIND = SwingStop()
