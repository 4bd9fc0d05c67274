"""What jigs are made from: sheets, boards and lining."""

from __future__ import annotations

from pydantic import Field

from jigs.fields import LengthFromZero, PositiveLength, PositiveLimits
from jigs.model.number import Number, Standing
from jigs.shop.base import ShopModel, Where, fact


class SheetStock(ShopModel):
    """Sheet goods. `measured` is the real thickness and decides; nominal is what it is sold as."""

    material: str = Field(description="for example birch plywood", examples=["birch plywood"])
    nominal: PositiveLength = Field(description="thickness it is sold as", examples=[18])
    measured: PositiveLimits | None = Field(default=None, examples=["17.6 ± 0.2"])
    size: tuple[PositiveLength, PositiveLength] | None = Field(
        default=None, description="length and width of a sheet", examples=[[1220, 610]]
    )


class BoardStock(ShopModel):
    """Solid wood for blocks, planed or glued up to size."""

    wood: str = Field(examples=["beech"])
    thickest: PositiveLength | None = Field(
        default=None, description="thickness that can be had without gluing up"
    )


class LiningStock(ShopModel):
    """Rubber sheet that lines a ring."""

    material: str = "rubber"
    thickness: PositiveLength = Field(examples=[3])
    thickness_tolerance: LengthFromZero = 0.2
    hardness: float | None = Field(default=None, ge=20, le=95, description="Shore A")


class Cut(ShopModel):
    """What is to be machined in the end of a piece."""

    does: str = Field(pattern="^(mark|slot|tenon|hole)$", description="mark, slot, tenon or hole")
    cutter: str = Field(description="name of one of the machine's cutters")
    depth: PositiveLength
    width: PositiveLength | None = Field(default=None, description="across; for a mark, its size")
    direction: str = Field(default="x", pattern="^[xy]$", description="of a slot or tenon")
    stick_out: PositiveLength | None = Field(
        default=None, description="from the collet nut's face to the cutter's tip"
    )


def sheet_facts(sheet: SheetStock, where: Where) -> list[Number]:
    """Thickness limits of the sheet that a jig is cut from."""
    if sheet.measured is None:
        at = where("nominal")
        nominal = sheet.nominal
        note = "nominal thickness taken as real; measure yours. common practice, no source"
        return [
            fact(f"sheet_{word}", nominal, "sheet thickness", where=at,
                 standing=Standing.ASSUMED, source=note)
            for word in ("least", "nominal", "most")
        ]  # fmt: skip
    return [
        fact(f"sheet_{word}", getattr(sheet.measured, word), f"{word} sheet thickness",
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
