"""What jigs are made from: sheets, boards and lining."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import Field, field_validator, model_validator

from jigs.errors import TableError
from jigs.fields import LengthFromZero, PositiveLength, PositiveLimits
from jigs.model.number import Number, Standing
from jigs.shop.base import ShopModel, Where, fact
from jigs.tables import wood
from jigs.units import ValueRefused


class SheetStock(ShopModel):
    """Sheet goods. `measured` is the real thickness and decides; nominal is what it is sold as."""

    material: str = Field(description="for example birch plywood", examples=["birch plywood"])
    nominal: PositiveLength = Field(description="thickness it is sold as", examples=[18])
    measured: PositiveLimits | None = Field(
        default=None, description="thickness by caliper", examples=["17.6 ± 0.2"]
    )
    size: tuple[PositiveLength, PositiveLength] | None = Field(
        default=None, description="length and width of a sheet", examples=[[1220, 610]]
    )
    bending_strength: float | None = Field(
        default=None, gt=0, le=500, description="MPa, the weaker way, if you know it"
    )
    stiffness: float | None = Field(
        default=None, gt=0, le=100_000, description="MPa, the weaker way, if you know it"
    )


class BoardStock(ShopModel):
    """Solid wood for blocks, planed or glued up to size."""

    wood: str = Field(description="kind of wood", examples=["beech"])
    thickest: PositiveLength | None = Field(
        default=None, description="thickness that can be had without gluing up"
    )


class OwnWood(ShopModel):
    """A wood of the user's own: what is left out is taken from the wood that it is like.

    Strengths are what the wood bears for certain, not averages.
    """

    like: str = Field(description="a wood of the tables", examples=["ash"])
    density: float | None = Field(default=None, gt=0, le=2000, description="kg/m3")
    bending_strength: float | None = Field(default=None, gt=0, le=500, description="MPa")
    crushing_strength: float | None = Field(
        default=None, gt=0, le=200, description="MPa, across the grain"
    )
    stiffness: float | None = Field(default=None, gt=0, le=50_000, description="MPa, along")

    @field_validator("like")
    @classmethod
    def _is_known(cls, like: str) -> str:
        try:
            wood(like)
        except TableError as unknown:
            raise ValueRefused(str(unknown), "a wood of the tables, the nearest to yours") from None
        return like

    def values(self) -> tuple[tuple[str, float], ...]:
        """What is known, by its key."""
        return tuple((key, value) for key, value in self if key != "like" and value is not None)


def own_woods(woods: Mapping[str, OwnWood]) -> tuple[tuple[str, str, tuple[Any, ...]], ...]:
    """(name, like, ((key, value), ...)) of every wood of the user's own."""
    return tuple((name, own.like, own.values()) for name, own in woods.items())


class SqueezeTest(ShopModel):
    """A strip of the lining pressed flat between two boards: how far, under what force."""

    length: PositiveLength = Field(description="of the strip", examples=[50])
    width: PositiveLength = Field(description="of the strip", examples=[30])
    force: float = Field(gt=0, le=1e5, description="N; 9.81 for each kilogram", examples=[400])
    by: PositiveLength = Field(description="how far it was squeezed", examples=[0.3])


class LiningStock(ShopModel):
    """Rubber sheet that lines a ring."""

    material: str = Field(default="rubber", description="what it is sold as")
    thickness: PositiveLength = Field(description="free, not squeezed", examples=[3])
    thickness_tolerance: LengthFromZero = Field(
        default=0.2, description="how far the thickness may be off, either way"
    )
    hardness: float | None = Field(default=None, ge=20, le=80, description="Shore A")
    squeeze_test: SqueezeTest | None = Field(
        default=None, description="measured by you: goes before the hardness"
    )

    @model_validator(mode="after")
    def _squeezed_in_part(self) -> LiningStock:
        test = self.squeeze_test
        if test is not None and test.by >= 0.5 * self.thickness:
            raise ValueRefused(
                f"squeezed by {test.by:g} mm of {self.thickness:g} mm",
                f"a squeeze of less than half, {self.thickness / 2:g} mm: press less",
                ("squeeze_test", "by"),
            )
        return self


class Cut(ShopModel):
    """What is to be machined in the end of a piece."""

    does: Literal["mark", "slot", "tenon", "hole"] = Field(description="what the cut makes")
    cutter: str = Field(description="name of one of the machine's cutters")
    depth: PositiveLength = Field(description="from the piece's end", examples=[1])
    width: PositiveLength | None = Field(default=None, description="across; for a mark, its size")
    direction: Literal["x", "y"] = Field(
        default="x", description="of a slot: x = along the piece's width, y = along its depth"
    )
    feed: PositiveLength | None = Field(default=None, description="a minute", examples=[1500])
    spindle_speed: float | None = Field(default=None, gt=0, description="turns a minute")
    pass_depth: PositiveLength | None = Field(default=None, description="of one pass")
    specific_force: float | None = Field(
        default=None,
        gt=0,
        le=1000,
        description="MPa, force over the chip's section, if you know it",
    )
    force: float | None = Field(default=None, gt=0, description="N, greatest, if you measured it")
    stick_out: PositiveLength | None = Field(
        default=None, description="from the collet nut's face to the cutter's tip"
    )


def sheet_facts(sheet: SheetStock, where: Where, name: str = "sheet") -> list[Number]:
    """Of a sheet that a jig is cut from: `sheet_material`, `sheet_least` and so on."""
    return [
        fact(f"{name}_material", sheet.material, "sheet", unit="", where=where("material")),
        fact(f"{name}_bending_strength", sheet.bending_strength or 0.0,
             "bending strength; 0 = as in the table", unit="MPa", where=where("bending_strength")),
        fact(f"{name}_stiffness", sheet.stiffness or 0.0, "modulus; 0 = as in the table",
             unit="MPa", where=where("stiffness")),
        *_thickness_facts(sheet, where, name),
    ]  # fmt: skip


def _thickness_facts(sheet: SheetStock, where: Where, name: str) -> list[Number]:
    if sheet.measured is None:
        at = where("nominal")
        nominal = sheet.nominal
        note = "nominal thickness taken as real; measure yours. common practice, no source"
        return [
            fact(f"{name}_{word}", nominal, "sheet thickness", where=at,
                 standing=Standing.ASSUMED, source=note)
            for word in ("least", "nominal", "most")
        ]  # fmt: skip
    return [
        fact(f"{name}_{word}", getattr(sheet.measured, word), f"{word} sheet thickness",
             where=where("measured"), standing=Standing.MEASURED)
        for word in ("least", "nominal", "most")
    ]  # fmt: skip


def lining_facts(lining: LiningStock, where: Where) -> list[Number]:
    """Thickness of the lining."""
    return [
        fact("liner_thickness", lining.thickness, "free thickness of the lining",
             where=where("thickness")),
        fact("liner_tolerance", lining.thickness_tolerance, "thickness tolerance of the lining",
             where=where("thickness_tolerance")),
        fact("liner_hardness", lining.hardness or 0.0, "hardness of the lining; 0 = not given",
             unit="Shore A", where=where("hardness")),
        fact("liner_test", _test_of(lining.squeeze_test),
             "squeeze test: length, width, force, squeezed by; empty = none", unit="mm, mm, N, mm",
             where=where("squeeze_test"),
             standing=Standing.MEASURED if lining.squeeze_test else None),
    ]  # fmt: skip


def _test_of(test: SqueezeTest | None) -> tuple[float, ...]:
    return (test.length, test.width, test.force, test.by) if test else ()


def cut_facts(cut: Cut, where: Where) -> list[Number]:
    """Numbers of a cut."""
    return [
        fact("cut_depth", cut.depth, "depth of the cut", where=where("depth")),
        fact("cut_width", cut.width or 0.0, "width of the cut; 0 = the cutter's",
             where=where("width")),
        fact("cut_does", cut.does, "what the cut makes", unit="", where=where("does")),
        fact("cut_direction", cut.direction, "x = along the piece's width, y = along its depth",
             unit="", where=where("direction")),
    ]  # fmt: skip


def cut_given(cut: Cut, where: Where) -> dict[str, Number]:
    """What the user says of a cut in the place of a rule."""
    as_it_stands = ("stick_out", "feed", "spindle_speed", "pass_depth")
    said = {
        **{key: (key,) for key in as_it_stands},
        "specific_force": ("specific_force", "specific_force_high"),
        "force": ("cut_force", "cut_force_high"),
    }  # fmt: skip
    return {
        name: Number(name, value, standing=_SAID_IS.get(key, Standing.GIVEN), where=where(key))
        for key, names in said.items()
        if (value := getattr(cut, key)) is not None
        for name in names
    }


_SAID_IS = {"specific_force": Standing.MEASURED, "force": Standing.MEASURED}
