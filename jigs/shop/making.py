"""How the user makes jigs: the cutter for their parts, relief of corners, layout, the printer."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from jigs.fields import LengthFromZero, PositiveLength
from jigs.model.number import Number, Standing
from jigs.shop.base import ShopModel, Where, fact
from jigs.shop.machine import Cutter, Machine

USUAL = 6.0
"""mm, diameter of the cutter that sheet parts are usually cut with. Common practice, no source."""


class Making(ShopModel):
    """How parts are cut from sheet and board on this machine."""

    cutter: str | None = Field(
        default=None,
        description="a straight cutter of the machine; the nearest to 6 mm if left out",
    )
    corner_relief: Literal["overrun", "dog-bone", "T-bone"] = Field(
        default="overrun",
        description="how an inside corner lets a square part in: the groove runs on; a round ear "
        "across the corner; a round ear along one side",
    )
    engrave: Literal["nothing", "marks"] = Field(
        default="nothing", description="names, marks and revision, cut lightly into each part"
    )
    over_cut: LengthFromZero = Field(
        default=0.3, description="how far cuts that go through reach into the spoilboard"
    )
    spacing: PositiveLength = Field(default=8.0, description="of wood between parts on a sheet")
    margin: LengthFromZero = Field(default=10.0, description="of wood to the sheet's edges")
    tab_width: PositiveLength = Field(default=8.0, description="of the tabs that hold a part")
    tab_height: PositiveLength = Field(default=2.0, description="of the tabs that hold a part")


class Printer(ShopModel):
    """A printer for plastic."""

    volume: tuple[PositiveLength, PositiveLength, PositiveLength] = Field(
        description="what it can print: x, y, z", examples=[[220, 220, 250]]
    )
    wall: PositiveLength = Field(default=1.2, description="the thinnest wall that it prints well")


def routing_cutter(machine: Machine, making: Making) -> tuple[str, Cutter] | None:
    """The cutter that parts are cut with; None where the machine lists no straight one."""
    if making.cutter is not None:
        return making.cutter, machine.cutters[making.cutter]
    straight = [(name, c) for name, c in machine.cutters.items() if c.shape == "straight"]
    return min(straight, key=lambda nc: abs(nc[1].diameter - USUAL), default=None)


def making_facts(machine: Machine, making: Making, where: Where) -> list[Number]:
    """Numbers of the making that sizing rules read."""
    found = routing_cutter(machine, making)
    diameter = found[1].diameter if found else USUAL
    return [
        fact("routed_corner", diameter / 2, "radius that the cutter leaves in an inside corner",
             where=where("cutter"),
             standing=Standing.GIVEN if found else Standing.ASSUMED,
             source="" if found else "assumed: a straight cutter of 6 mm, bought for it"),
        fact("corner_relief", making.corner_relief, "how inside corners let a square part in",
             unit="", where=where("corner_relief")),
    ]  # fmt: skip
