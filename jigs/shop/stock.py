"""What jigs are made from: sheets, boards and lining."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from jigs.fields import LengthFromZero, PositiveLength, PositiveLimits
from jigs.model.number import Number, Standing
from jigs.shop.base import ShopModel, Where, fact

LEAST_STICK_OUT = 5.0
"""mm of cutter between the piece and the collet nut, where no stick-out is given. Assumed."""


USUAL_FEED = 1500.0
"""mm a minute. Assumed, where none is given."""

USUAL_SPEED = 18_000.0
"""Turns of the spindle a minute. Assumed, where none is given."""


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


class BoardStock(ShopModel):
    """Solid wood for blocks, planed or glued up to size."""

    wood: str = Field(description="kind of wood", examples=["beech"])
    thickest: PositiveLength | None = Field(
        default=None, description="thickness that can be had without gluing up"
    )


class LiningStock(ShopModel):
    """Rubber sheet that lines a ring."""

    material: str = Field(default="rubber", description="what it is sold as")
    thickness: PositiveLength = Field(description="free, not squeezed", examples=[3])
    thickness_tolerance: LengthFromZero = Field(
        default=0.2, description="how far the thickness may be off, either way"
    )
    hardness: float | None = Field(default=None, ge=20, le=95, description="Shore A")


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
    speed: float | None = Field(default=None, gt=0, description="of the spindle, turns a minute")
    pass_depth: PositiveLength | None = Field(default=None, description="of one pass")
    force: float | None = Field(default=None, gt=0, description="N, greatest, if you measured it")
    stick_out: PositiveLength | None = Field(
        default=None, description="from the collet nut's face to the cutter's tip"
    )


def sheet_facts(sheet: SheetStock, where: Where, name: str = "sheet") -> list[Number]:
    """Thickness limits of a sheet that a jig is cut from: `sheet_least` and so on."""
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
    ]  # fmt: skip


def cut_facts(cut: Cut, where: Where) -> list[Number]:
    """Numbers of a cut."""
    return [
        fact("cut_depth", cut.depth, "depth of the cut", where=where("depth")),
        fact("cut_width", cut.width or 0.0, "width of the cut; 0 = the cutter's",
             where=where("width")),
        fact("stick_out", cut.stick_out or 0.0, "from nut to tip; 0 = not given",
             where=where("stick_out")),
        fact("tip_to_nut", cut.stick_out or cut.depth + LEAST_STICK_OUT,
             "from the cutter's tip to the collet nut's face", where=where("stick_out"),
             source="" if cut.stick_out else
             "assumed: the least that clears the piece; set the cutter so, or give stick_out"),
        fact("feed", cut.feed or USUAL_FEED, "feed a minute", where=where("feed")),
        fact("spindle_speed", cut.speed or USUAL_SPEED, "turns of the spindle a minute",
             unit="1/min", where=where("speed")),
        fact("asked_pass", cut.pass_depth or 0.0, "depth of a pass; 0 = not given",
             where=where("pass_depth")),
        fact("force_given", cut.force or 0.0, "measured force; 0 = not given", unit="N",
             where=where("force")),
        fact("cut_does", cut.does, "what the cut makes", unit="", where=where("does")),
        fact("cut_direction", cut.direction, "x = along the piece's width, y = along its depth",
             unit="", where=where("direction")),
    ]  # fmt: skip
