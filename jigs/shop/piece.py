"""The pieces of a batch: sawn bars and turned things, with the limits between which they vary.

A piece's own frame: z up, 0 at the end that is machined, so that the piece lies below zero.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, model_validator

from jigs.fields import (
    READ_CONFIG,
    Length,
    LengthFromZero,
    LimitsField,
    PositiveLength,
    PositiveLimits,
)
from jigs.model.number import Number, Standing
from jigs.model.state import Limit
from jigs.shop.base import ShopModel, Where, fact
from jigs.units import Limits, ValueRefused


class Dome(ShopModel):
    """The rounded end: what a caliper can measure (rise and width), or a radius and width."""

    width: PositiveLength = Field(description="diameter of the dome's rim", examples=[30])
    rise: PositiveLength | None = Field(default=None, description="height of the dome over its rim")
    radius: PositiveLength | None = Field(default=None, description="instead of rise")

    @model_validator(mode="after")
    def _one_of_two(self) -> Dome:
        if (self.rise is None) == (self.radius is None):
            raise ValueRefused("a dome has rise or radius, one of the two", "rise: 4")
        if self.radius is not None and self.radius < self.width / 2:
            raise ValueRefused(
                f"radius {self.radius:g} mm is less than half the width",
                f"at least {self.width / 2:g} mm",
                ("radius",),
            )
        if self.rise is not None and self.rise > self.width / 2:
            raise ValueRefused(
                f"rise {self.rise:g} mm is more than a half ball has",
                f"at most {self.width / 2:g} mm",
                ("rise",),
            )
        return self

    @property
    def sphere_radius(self) -> float:
        """Radius of the dome, mm: r = w^2 / (8 s) + s / 2 from its chord and sagitta."""
        if self.radius is not None:
            return self.radius
        assert self.rise is not None
        return self.width**2 / (8 * self.rise) + self.rise / 2

    @property
    def height(self) -> float:
        """Height of the dome over its rim, mm."""
        if self.rise is not None:
            return self.rise
        r = self.sphere_radius
        return r - math.sqrt(r * r - self.width**2 / 4)


class Body(ShopModel):
    """A block or head further down, possibly off the axis."""

    below: PositiveLength = Field(description="its upper end, from the domed end")
    length: PositiveLength = Field(description="along the axis")
    width: PositiveLength = Field(description="along x")
    depth: PositiveLength = Field(description="along y")
    offset_x: Length = Field(default=0.0, description="of its middle from the axis")
    offset_y: Length = Field(default=0.0, description="of its middle from the axis")


LIMITED = {"turned": ("grip_diameter", "length"), "bar": ("width", "depth", "length")}
"""Sizes of each shape that have limits, by their words."""

SINGLE = {"turned": ("taper", "ovality"), "bar": ()}
"""Sizes of each shape of which only the greatest counts."""


def _or_measured(*words: str) -> ConfigDict:
    """In the JSON schema a size may be left out where pieces are measured."""

    def relax(schema: dict[str, Any]) -> None:
        schema["required"] = [word for word in schema["required"] if word not in words]
        schema["anyOf"] = [{"required": ["measured"]}, {"required": list(words)}]

    return ConfigDict(**READ_CONFIG, json_schema_extra=relax)


class MeasuredFile(ShopModel):
    """A CSV file of measured pieces whose columns have names of their own."""

    file: str = Field(description="path, as seen from the job file", examples=["dibbers.csv"])
    columns: dict[str, str] = Field(
        default_factory=dict,
        description="word of the piece -> name of the column, where they differ",
        examples=[{"grip_diameter": "O at the grip"}],
    )


class MeasuredTurned(ShopModel):
    """One turned piece as measured; what is left out is as the job says."""

    id: str | int = Field(description="what is written on the piece", examples=[1])
    grip_diameter: PositiveLength | None = Field(default=None, description="where the ring holds")
    length: PositiveLength | None = Field(default=None, description="end to end")
    taper: LengthFromZero | None = Field(default=None, description="over the grip")
    ovality: LengthFromZero | None = Field(default=None, description="largest less smallest")


class MeasuredBar(ShopModel):
    """One bar as measured; what is left out is as the job says."""

    id: str | int = Field(description="what is written on the piece", examples=[1])
    width: PositiveLength | None = Field(default=None, description="between the jaws")
    depth: PositiveLength | None = Field(default=None, description="between the fences")
    length: PositiveLength | None = Field(default=None, description="end to end")


_MEASURED = "pieces measured one by one: a CSV file, or a list; limits follow from them"


class Turned(ShopModel):
    """A turned piece that hangs with its domed end up."""

    model_config = _or_measured("grip_diameter", "length")
    shape: Literal["turned"] = Field(description="turned, or bar")
    wood: str = Field(default="beech", description="what the pieces are made of")
    count: int = Field(default=1, ge=1, le=1_000_000, description="pieces in the batch")
    length: PositiveLimits = Field(description="end to end, dome and all", examples=["200 ± 1"])
    grip_diameter: PositiveLimits = Field(
        description="where the ring holds it, over the whole batch", examples=["31.5 to 36"]
    )
    grip_from: LengthFromZero = Field(description="upper end of the grip, from the domed end")
    grip_to: PositiveLength = Field(description="lower end of the grip, from the domed end")
    taper: LengthFromZero = Field(
        default=0.0, description="largest change of diameter over the grip, within one piece"
    )
    ovality: LengthFromZero = Field(default=0.0, description="largest less smallest diameter")
    measured: str | MeasuredFile | tuple[MeasuredTurned, ...] | None = Field(
        default=None, description=_MEASURED, examples=["dibbers.csv"]
    )
    dome: Dome = Field(description="the rounded end", examples=[{"rise": 4, "width": 30}])
    below_grip: tuple[tuple[PositiveLength, PositiveLength], ...] = Field(
        default=(),
        max_length=200,
        description="further down: [distance from the domed end, diameter], in order",
        examples=[[[70, 26], [200, 8]]],
    )
    body: Body | None = Field(default=None, description="a block or head further down")

    @model_validator(mode="after")
    def _in_order(self) -> Turned:
        if self.grip_from < self.dome.height:
            raise ValueRefused(
                f"grip_from {self.grip_from:g} mm lies on the dome, which is "
                f"{self.dome.height:.4g} mm high",
                f"at least {self.dome.height:.4g}",
                ("grip_from",),
            )
        stations = [self.grip_from, self.grip_to, *(z for z, _ in self.below_grip)]
        if any(b <= a for a, b in pairwise(stations)):
            raise ValueRefused(
                "distances from the domed end must grow: grip_from, grip_to, then below_grip",
                f"found {', '.join(f'{z:g}' for z in stations)}",
            )
        if stations[-1] > self.length.least:
            raise ValueRefused(
                f"the profile reaches {stations[-1]:g} mm, the shortest piece is "
                f"{self.length.least:g} mm long",
                "a length at least as great, or a shorter profile",
                ("length",),
            )
        return self

    def diameter(self, limit: Limit) -> float:
        """Grip diameter at least, nominal or maximum material, mm."""
        return _pick(self.grip_diameter, limit)

    def profile(self, limit: Limit) -> tuple[tuple[float, float], ...]:
        """(z, radius) from the dome's rim down to the foot, mm, z negative downwards.

        The foot moves with the length; a stretch below the last listed point keeps its diameter.
        """
        radius = self.diameter(limit) / 2
        points = [
            (-self.dome.height, self.dome.width / 2),
            (-self.grip_from, radius),
            (-self.grip_to, radius),
            *((-z, d / 2) for z, d in self.below_grip),
        ]
        foot = -_pick(self.length, limit)
        if points[-1][0] > foot + 1e-9:
            points.append((foot, points[-1][1]))
        return tuple(p for i, p in enumerate(points) if i == 0 or p != points[i - 1])

    @property
    def widest(self) -> float:
        """Largest diameter that must pass through the ring, mm."""
        below = max((d for _, d in self.below_grip), default=0.0)
        return max(self.grip_diameter.most, below, self.dome.width)

    @property
    def foot_diameter(self) -> float:
        """Diameter at the lower end, mm."""
        return self.below_grip[-1][1] if self.below_grip else self.grip_diameter.most


class Bar(ShopModel):
    """A squared bar that stands on end, or is held along the front face."""

    model_config = _or_measured("width", "depth", "length")
    shape: Literal["bar"] = Field(description="bar, or turned")
    wood: str = Field(default="beech", description="what the pieces are made of")
    count: int = Field(default=1, ge=1, le=1_000_000, description="pieces in the batch")
    width: PositiveLimits = Field(description="between the jaws", examples=["38 ± 0.5"])
    depth: PositiveLimits = Field(description="between the fences", examples=["38 ± 0.5"])
    length: PositiveLimits = Field(description="end to end", examples=["150 ± 0.5"])
    measured: str | MeasuredFile | tuple[MeasuredBar, ...] | None = Field(
        default=None, description=_MEASURED, examples=["posts.csv"]
    )


Piece = Annotated[Turned | Bar, Field(discriminator="shape")]


def sizes_of(piece: Turned | Bar, limit: Limit) -> dict[str, float]:
    """Sizes of a piece at that limit by its own words, mm, as the kinds are asked with them."""
    words = ("grip_diameter",) if isinstance(piece, Turned) else ("width", "depth")
    return {word: _pick(getattr(piece, word), limit) for word in (*words, "length")}


@dataclass(frozen=True)
class Batch:
    """Measured pieces, column by column, mm.

    Parameters: file = name of the CSV file, or of the job file where they are listed there; ids;
    lines = line of each piece; sizes = word -> a value for each piece (the job's where its cell
    is empty); empty = word -> places of those; may_come = word -> limits that the job gives as
    well; notes = what was found and taken so; bad = lines that were left out.
    """

    file: str
    ids: Sequence[str]
    lines: Sequence[int]
    sizes: Mapping[str, Sequence[float]]
    empty: Mapping[str, Sequence[int]] = field(default_factory=dict)
    may_come: Mapping[str, Limits] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    bad: int = 0

    def __len__(self) -> int:
        return len(self.ids)

    def limits(self, word: str) -> Limits:
        """Least and most of a measured size and their middle, mm.

        Where a cell is empty, the piece may be anything that the job says: its limits count too.
        """
        values = self.sizes[word]
        least, most = min(values), max(values)
        if self.empty.get(word) and word in self.may_come:
            least = min(least, self.may_come[word].least)
            most = max(most, self.may_come[word].most)
        return Limits(least, (least + most) / 2, most)

    def where(self, word: str, value: float) -> str:
        """`dibbers.csv:7`, where a value stands; the file alone where none is so."""
        values = self.sizes[word]
        return f"{self.file}:{self.lines[values.index(value)]}" if value in values else self.file

    def row(self, i: int, sizes: Mapping[str, float]) -> dict[str, float]:
        """Sizes of one piece: measured, and for the rest what `sizes` says, mm."""
        return {**sizes, **{word: values[i] for word, values in self.sizes.items()}}


def piece_facts(piece: Turned | Bar, where: Where, batch: Batch | None = None) -> list[Number]:
    """The piece's numbers that sizing rules read; from a batch, those that were measured."""
    known = _facts_of(piece, where)
    return [_measured(f, batch) for f in known] if batch is not None else known


def _measured(known: Number, batch: Batch) -> Number:
    word, _, end = known.name.rpartition("_")
    if known.name in batch.sizes:
        word = known.name
    elif word not in batch.sizes or end not in ("least", "nominal", "most"):
        return known
    assert isinstance(known.value, float)
    at = batch.file if end == "nominal" else batch.where(word, known.value)
    return replace(known, standing=Standing.MEASURED, source="", where=at)


def _facts_of(piece: Turned | Bar, where: Where) -> list[Number]:
    length = [
        fact("length_least", piece.length.least, "shortest piece", where=where("length")),
        fact("length_nominal", piece.length.nominal, "nominal piece", where=where("length")),
        fact("length_most", piece.length.most, "longest piece", where=where("length")),
        fact("piece_wood", piece.wood, "wood of the pieces", unit="", where=where("wood")),
        fact("piece_across", _across(piece), "widest across at the end", where=where("width")),
        fact("piece_count", piece.count, "pieces in the batch", unit="", where=where("count")),
    ]
    return length + (
        _turned_facts(piece, where) if isinstance(piece, Turned) else _bar_facts(piece, where)
    )


def _across(piece: Turned | Bar) -> float:
    if isinstance(piece, Turned):
        return piece.dome.width
    return max(piece.width.most, piece.depth.most)


def _turned_facts(piece: Turned, where: Where) -> list[Number]:
    grip, at = piece.grip_diameter, where("grip_diameter")
    dome = where("dome")
    body = piece.body
    return [
        fact("grip_diameter_least", grip.least, "thinnest piece at the grip", where=at),
        fact("grip_diameter_nominal", grip.nominal, "nominal piece at the grip", where=at),
        fact("grip_diameter_most", grip.most, "thickest piece at the grip", where=at),
        fact("grip_from", piece.grip_from, "upper end of the grip", where=where("grip_from")),
        fact("grip_to", piece.grip_to, "lower end of the grip", where=where("grip_to")),
        fact("taper", piece.taper, "diameter change over the grip", where=where("taper")),
        fact("ovality", piece.ovality, "largest less smallest diameter", where=where("ovality")),
        fact("end_diameter", piece.dome.width, "rim of the dome", where=dome),
        Number(
            "dome_radius",
            piece.dome.sphere_radius,
            "mm",
            Standing.RULE,
            "radius of the dome",
            (),
            "derived: r = w^2 / (8 s) + s / 2 (chord and sagitta)",
            dome,
        ),
        fact("dome_height", piece.dome.height, "height of the dome over its rim", where=dome),
        fact("widest", piece.widest, "widest part that must pass the ring", where=at),
        fact(
            "foot_diameter",
            piece.foot_diameter,
            "diameter at the foot",
            where=where("below_grip") or at,
        ),
        fact(
            "body_half_depth",
            body.depth / 2 + body.offset_y if body else 0.0,
            "from the axis to the back of the body",
            where=where("body") or at,
        ),
        *_body_facts(body, where("body") or at),
    ]


def _body_facts(body: Body | None, at: str) -> list[Number]:
    """Where a block further down lies and how large it is; all 0 where there is none."""
    words = {
        "below": "its upper end, from the domed end", "length": "along the axis",
        "width": "along x", "depth": "along y", "offset_x": "of its middle from the axis",
        "offset_y": "of its middle from the axis",
    }  # fmt: skip
    return [
        fact(f"body_{word}", getattr(body, word) if body else 0.0, f"body: {meaning}; 0 = none",
             where=at)
        for word, meaning in words.items()
    ]  # fmt: skip


def _bar_facts(piece: Bar, where: Where) -> list[Number]:
    facts = []
    for name, limits in (("width", piece.width), ("depth", piece.depth)):
        for word in ("least", "nominal", "most"):
            facts.append(
                fact(f"{name}_{word}", getattr(limits, word), f"{word} {name}", where=where(name))
            )
    return facts


def _pick(limits: Limits, limit: Limit) -> float:
    return float(getattr(limits, limit.value))


__all__ = [
    "LIMITED", "SINGLE", "Bar", "Batch", "Body", "Dome", "LimitsField", "Piece", "Turned",
    "piece_facts", "sizes_of",
]  # fmt: skip
