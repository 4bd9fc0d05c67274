"""The machine: table, front face, travel, what moves above the work, and its cutters.

Machine frame: origin at the table's front left corner on its surface; x right along the gantry,
y away from the operator, z up. All lengths in mm.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from jigs.fields import IntervalField, Length, LengthFromZero, PositiveLength
from jigs.model.number import Number
from jigs.shop.base import ShopModel, Where, fact
from jigs.shop.gantry import Gantry, KeepClear, clear_facts, gantry_facts
from jigs.units import Interval, ValueRefused


class SlotProfile(ShopModel):
    """A T-slot as measured: the narrow mouth, its lip, and the wide room for the head below."""

    mouth: PositiveLength = Field(description="width of the opening", examples=[10.2])
    lip: PositiveLength = Field(description="depth of the narrow part", examples=[9])
    wide: PositiveLength = Field(description="width of the room below the lip", examples=[17])
    room: PositiveLength = Field(description="height of that room", examples=[7.5])

    @model_validator(mode="after")
    def _wide_below(self) -> SlotProfile:
        if self.wide <= self.mouth:
            raise ValueRefused(
                f"wide is {self.wide:g} mm, the mouth {self.mouth:g} mm",
                "a T-slot is wider below its mouth",
                ("wide",),
            )
        return self


class Slots(ShopModel):
    """T-slots at listed positions."""

    anchors: Literal["slots"] = Field(description="slots, holes or spoilboard")
    along: Literal["x", "y"] = Field(description="the direction in which the slots run")
    at: Annotated[tuple[Length, ...], Field(min_length=1, max_length=100)] = Field(
        description="positions of the slots' middles across their direction",
        examples=[[60, 120, 180]],
    )
    profile: SlotProfile = Field(description="the slot's section, measured")


class Holes(ShopModel):
    """A grid of threaded holes or inserts."""

    anchors: Literal["holes"] = Field(description="slots, holes or spoilboard")
    thread: str = Field(description="size of the thread", examples=["M6", "1/4"])
    pitch: PositiveLength = Field(description="distance between holes, both ways", examples=[50])
    first: tuple[Length, Length] = Field(
        description="x and y of the front left hole; of a front face, x and z of the lower left"
    )
    columns: int = Field(ge=1, le=500, description="holes along x")
    rows: int = Field(ge=1, le=500, description="holes along y")


class Spoilboard(ShopModel):
    """A board to screw into, anywhere."""

    anchors: Literal["spoilboard"] = Field(description="slots, holes or spoilboard")
    thickness: PositiveLength = Field(description="how deep a screw may go", examples=[18])


Anchors = Annotated[Slots | Holes | Spoilboard, Field(discriminator="anchors")]


class Table(ShopModel):
    """The table that work stands on."""

    width: PositiveLength = Field(description="along x", examples=[600])
    depth: PositiveLength = Field(description="along y", examples=[400])
    thickness: PositiveLength = Field(description="of the table's front edge", examples=[30])
    fixing: Anchors = Field(description="how this face holds a jig: slots, holes or spoilboard")

    @model_validator(mode="after")
    def _slots_on_the_table(self) -> Table:
        if isinstance(self.fixing, Slots):
            across = self.depth if self.fixing.along == "x" else self.width
            _refuse_slots_beyond(self.fixing, Interval(0.0, across), "the table")
            deep = self.fixing.profile.lip + self.fixing.profile.room
            if deep >= self.thickness:
                raise ValueRefused(
                    f"its slots are {deep:g} mm deep, the table {self.thickness:g} mm thick",
                    f"a thickness above {deep:g} mm",
                    ("thickness",),
                )
        return self


def _refuse_slots_beyond(slots: Slots, room: Interval, of: str) -> None:
    """Every slot lies within its surface, and none runs into the next."""
    half = slots.profile.wide / 2
    at = sorted(slots.at)
    for position in at:
        if position - half <= room.least or position + half >= room.most:
            raise ValueRefused(
                f"the slot at {position:g} mm is not on {of}, which goes from {room.least:g} to "
                f"{room.most:g} mm",
                f"positions from {room.least + half:g} to {room.most - half:g} mm",
                ("fixing", "at"),
            )
    for one, other in pairwise(at):
        if other - one <= 2 * half:
            raise ValueRefused(
                f"the slots at {one:g} and {other:g} mm run into each other",
                f"more than {2 * half:g} mm between them",
                ("fixing", "at"),
            )


def _refuse_slots_behind(table: Table, face: FrontFace, slots: Slots) -> None:
    """No slot of the front face runs into the table's edge: nothing could hang there."""
    half, deep = slots.profile.wide / 2, slots.profile.lip + slots.profile.room
    # Slots of a face that stands so far out that they end before the edge may go up past it.
    behind = [z for z in slots.at if -table.thickness - half < z < half] if face.y > -deep else []
    for z in behind:
        raise ValueRefused(
            f"the slot at {z:g} mm lies behind the table's edge, {table.thickness:g} mm thick",
            f"positions of {-table.thickness - half:g} mm or lower; or y: {-deep:g} or less, for a "
            "face that stands in front of the edge",
            ("front_face", "fixing", "at"),
        )


class FrontFace(ShopModel):
    """The upright face below the table's front edge, where tall work hangs."""

    y: Length = Field(default=0.0, description="of the face; 0 = flush with the table's edge")
    z: IntervalField = Field(description="from the lowest to the highest point of the face")
    x: IntervalField | None = Field(default=None, description="its width; the table's if left out")
    fixing: Anchors = Field(description="how this face holds a jig: slots, holes or spoilboard")
    free_below: LengthFromZero | None = Field(
        default=None, description="from the table's surface down to bench or floor"
    )

    @model_validator(mode="after")
    def _slots_on_the_face(self) -> FrontFace:
        if isinstance(self.fixing, Slots) and self.fixing.along == "x":
            _refuse_slots_beyond(self.fixing, self.z, "the front face")
        return self


class Travel(ShopModel):
    """Where the tip of the spindle's collet nut can go, in the machine frame."""

    x: IntervalField = Field(description="along the gantry", examples=["0 to 600"])
    y: IntervalField = Field(description="below 0 = in front of the table", examples=["-90 to 400"])
    z: IntervalField = Field(description="0 = the table's surface", examples=["-60 to 110"])


class RoundBody(ShopModel):
    """A round thing on the spindle's axis."""

    diameter: PositiveLength = Field(description="across")
    length: PositiveLength = Field(description="along the spindle's axis")


class BoxBody(ShopModel):
    """A square thing round the spindle: x, y of its sides from the axis, z from the nut's face."""

    x: IntervalField = Field(description="its sides along x, from the spindle's axis")
    y: IntervalField = Field(description="its sides along y, from the spindle's axis")
    z: IntervalField = Field(description="its lower and upper end, from the nut's lower face")


class Spindle(ShopModel):
    """What moves above the work, measured from the collet nut's lower face upwards."""

    collet_nut: RoundBody = Field(description="the nut that holds the cutter")
    body: RoundBody = Field(description="the spindle above the nut")
    carriage: BoxBody | None = Field(default=None, description="what carries the spindle")
    dust_hood: RoundBody | None = Field(default=None, description="skirt round the cutter")
    dust_hood_below: Length = Field(
        default=0.0, description="how far the skirt hangs below the nut's face"
    )
    dust_hood_wall: PositiveLength = Field(
        default=5.0, description="thickness of the skirt, brushes and all, from outside inwards"
    )

    @model_validator(mode="after")
    def _skirt_of_a_hood(self) -> Spindle:
        hood = self.dust_hood
        if hood is None and self.dust_hood_below:
            raise ValueRefused(
                f"dust_hood_below is {self.dust_hood_below:g} mm, and there is no dust_hood",
                "dust_hood: {diameter: 90, length: 20}, for example, or leave both out",
                ("dust_hood_below",),
            )
        if hood is not None and 2 * self.dust_hood_wall >= hood.diameter:
            raise ValueRefused(
                f"dust_hood_wall is {self.dust_hood_wall:g} mm, the hood {hood.diameter:g} mm "
                "across",
                f"less than {hood.diameter / 2:g} mm",
                ("dust_hood_wall",),
            )
        return self


class Cutter(ShopModel):
    """One cutter."""

    shape: Literal["straight", "ball", "v"] = Field(
        default="straight", description="flat at the tip, half a ball, or a point"
    )
    diameter: PositiveLength = Field(description="over the cutting edges", examples=[6])
    flute_length: PositiveLength = Field(description="of the cutting edges", examples=[25])
    shank: PositiveLength = Field(description="diameter that the collet holds", examples=[6])
    length: PositiveLength = Field(description="end to end", examples=[60])
    helix: float = Field(
        default=30.0, ge=0, lt=60, description="of the cutting edges, deg; 0 = straight flutes"
    )
    flutes: int = Field(default=2, ge=1, le=12, description="number of cutting edges")


class Machine(ShopModel):
    """A CNC router."""

    name: str = Field(min_length=1, max_length=80, description="what you call it")
    table: Table = Field(description="the surface that work stands on")
    front_face: FrontFace | None = Field(
        default=None, description="the upright face below the table's front edge, if it has one"
    )
    travel: Travel = Field(description="where the tip of the collet nut can go")
    under_gantry: PositiveLength = Field(description="from the table's surface to the beam")
    gantry: Gantry | None = Field(
        default=None, description="beam and legs that carry the spindle, measured"
    )
    park: tuple[Length, Length] | None = Field(
        default=None,
        description="x and y where the spindle waits while a piece is changed; left out, the "
        "corner of the travel at the back that is furthest from the work",
        examples=[[0, 400]],
    )
    keep_clear: KeepClear = Field(
        default=KeepClear(), description="room kept between what moves and what stands"
    )
    spindle: Spindle = Field(description="what moves above the work")
    cutters: dict[str, Cutter] = Field(default_factory=dict, description="your cutters, by name")

    @model_validator(mode="after")
    def _parks_within_travel(self) -> Machine:
        for axis, at, along in zip(
            "xy", self.park or (), (self.travel.x, self.travel.y), strict=False
        ):
            if not along.least <= at <= along.most:
                raise ValueRefused(
                    f"the spindle cannot park at {axis} = {at:g} mm, which is out of its travel",
                    f"{axis} from {along.least:g} to {along.most:g} mm",
                    ("park",),
                )
        return self

    @model_validator(mode="after")
    def _front_slots_below_the_table(self) -> Machine:
        face = self.front_face
        if face and isinstance(face.fixing, Slots) and face.fixing.along == "x":
            _refuse_slots_behind(self.table, face, face.fixing)
        return self


def face_width(machine: Machine) -> Interval:
    """The x extent of the front face; the table's where it is not given, mm."""
    face = machine.front_face
    return face.x if face and face.x else Interval(0.0, machine.table.width)


def machine_facts(machine: Machine, where: Where) -> list[Number]:
    """The machine's numbers that sizing rules read."""
    table = machine.table
    facts = [
        fact("table_width", table.width, "table along x", where=where("table.width")),
        fact("table_depth", table.depth, "table along y", where=where("table.depth")),
        fact("table_thickness", table.thickness, "table's front edge",
             where=where("table.thickness")),
        fact("under_gantry", machine.under_gantry, "table to beam", where=where("under_gantry")),
        fact("table_anchors", table.fixing.anchors, "how the table holds a jig", unit="",
             where=where("table.fixing.anchors")),
    ]  # fmt: skip
    facts += _fixing_facts("table", table.fixing, lambda key: where(f"table.fixing.{key}"))
    facts += _travel_facts(machine, where)
    facts += gantry_facts(machine.gantry, table.width, where)
    facts += clear_facts(machine.keep_clear, where)
    facts += _spindle_facts(machine.spindle, lambda key: where(f"spindle.{key}"))
    if machine.front_face:
        facts += _front_facts(machine, where)
    return facts


def _travel_facts(machine: Machine, where: Where) -> list[Number]:
    return [
        *(
            fact(f"travel_{axis}_{end}", getattr(getattr(machine.travel, axis), end),
                 f"{word} the collet nut goes along {axis}", where=where(f"travel.{axis}"))
            for axis in "xyz" for end, word in (("least", "lowest"), ("most", "highest"))
        ),
        fact("park", machine.park or (), "x, y where the spindle waits; empty = at the back, in "
             "the corner of the travel furthest from the work", where=where("park")),
    ]  # fmt: skip


def _spindle_facts(spindle: Spindle, where: Where) -> list[Number]:
    nut, hood, box = spindle.collet_nut, spindle.dust_hood, spindle.carriage
    sides = (
        (box.x.least, box.x.most, box.y.least, box.y.most, box.z.least, box.z.most) if box else ()
    )
    return [
        fact("collet_nut_diameter", nut.diameter, "collet nut", where=where("collet_nut")),
        fact("collet_nut_length", nut.length, "collet nut", where=where("collet_nut")),
        fact("spindle_diameter", spindle.body.diameter, "spindle body", where=where("body")),
        fact("spindle_length", spindle.body.length, "spindle body", where=where("body")),
        fact("carriage", sides, "its x, y from the spindle's axis, z from the nut's face; empty = "
             "not given", where=where("carriage")),
        fact("dust_hood_diameter", hood.diameter if hood else 0.0, "dust hood; 0 = none",
             where=where("dust_hood")),
        fact("dust_hood_length", hood.length if hood else 0.0, "dust hood; 0 = none",
             where=where("dust_hood")),
        fact("dust_hood_wall", spindle.dust_hood_wall, "thickness of the hood's skirt",
             where=where("dust_hood_wall")),
        fact("dust_hood_below", spindle.dust_hood_below, "how far the hood hangs below the nut",
             where=where("dust_hood_below")),
    ]  # fmt: skip


def _front_facts(machine: Machine, where: Where) -> list[Number]:
    face = machine.front_face
    assert face is not None
    width = face_width(machine)
    at = where("front_face")
    return [
        fact("front_y", face.y, "the front face's y", where=where("front_face.y") or at),
        fact("front_top", face.z.most, "top of the front face", where=where("front_face.z")),
        fact("front_bottom", face.z.least, "foot of the front face", where=where("front_face.z")),
        fact("front_left", width.least, "left end of the front face", where=at),
        fact("front_right", width.most, "right end of the front face", where=at),
        fact("front_free_below", face.free_below or 0.0, "from the table's surface to the bench",
             where=where("front_face.free_below")),
        fact("front_anchors", face.fixing.anchors, "how the front face holds a jig", unit="",
             where=where("front_face.fixing.anchors")),
        *_fixing_facts("front", face.fixing, lambda key: where(f"front_face.fixing.{key}")),
    ]  # fmt: skip


def _fixing_facts(prefix: str, fixing: Anchors, where: Where) -> list[Number]:
    """Slots, holes and spoilboard in the same words: what there is none of is 0 or empty."""
    slots = fixing if isinstance(fixing, Slots) else None
    holes = fixing if isinstance(fixing, Holes) else None
    board = fixing if isinstance(fixing, Spoilboard) else None
    at, p = where("anchors"), slots.profile if slots else None
    sizes = {
        what: (getattr(p, what) if p else 0.0, where(f"profile.{what}") or at)
        for what in ("mouth", "lip", "wide", "room")
    }
    columns, rows = _grid(holes) if holes else ((), ())
    return [
        fact(f"{prefix}_slots_along", slots.along if slots else "none",
             "direction of the slots", unit="", where=where("along") or at),
        fact(f"{prefix}_slots_at", tuple(sorted(slots.at)) if slots else (),
             "positions of the slots", where=where("at") or at),
        *(
            fact(f"{prefix}_slot_{what}", size, f"{what} of the slot; 0 = no slot", where=place)
            for what, (size, place) in sizes.items()
        ),
        fact(f"{prefix}_slot_profile", (p.mouth, p.lip, p.wide, p.room) if p else (),
             "mouth, lip, wide, room of the slot; empty = no slot", where=where("profile") or at),
        fact(f"{prefix}_hole_thread", holes.thread if holes else "", "thread of the holes",
             unit="", where=where("thread") or at),
        fact(f"{prefix}_hole_columns", columns, "holes along x", where=where("first") or at),
        fact(f"{prefix}_hole_rows", rows, "holes across x", where=where("first") or at),
        fact(f"{prefix}_board_depth", board.thickness if board else 0.0,
             "how deep a screw may go in; 0 = no board", where=where("thickness") or at),
    ]  # fmt: skip


def _grid(holes: Holes) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Positions of the columns and rows of holes, mm."""
    x, y = holes.first
    return (
        tuple(x + i * holes.pitch for i in range(holes.columns)),
        tuple(y + i * holes.pitch for i in range(holes.rows)),
    )


def cutter_facts(cutter: Cutter, where: Where) -> list[Number]:
    """Numbers of the cutter that a setup uses."""
    return [
        fact("cutter_diameter", cutter.diameter, "cutter", where=where("diameter")),
        fact("flute_length", cutter.flute_length, "cutting length", where=where("flute_length")),
        fact("shank", cutter.shank, "shank of the cutter", where=where("shank")),
        fact("cutter_length", cutter.length, "whole length", where=where("length")),
        fact("flutes", cutter.flutes, "cutting edges", unit="", where=where("flutes")),
        fact("helix", cutter.helix, "of the cutting edges", unit="deg", where=where("helix")),
    ]
