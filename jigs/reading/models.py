"""The models of a job file and of a machine file."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from jigs.fields import Length, PositiveLength
from jigs.reading.names import Name
from jigs.shop.base import ShopModel
from jigs.shop.machine import Machine
from jigs.shop.making import Making, Printer
from jigs.shop.piece import Piece
from jigs.shop.stock import BoardStock, Cut, LiningStock, OwnWood, SheetStock
from jigs.units import Units


class SetupModel(ShopModel):
    """One placing of jigs and piece on the machine."""

    piece: str = Field(description="name of the piece")
    at: Literal["front face", "table"] = Field(description="where the jigs stand")
    jigs: Annotated[tuple[str, ...], Field(min_length=1)] = Field(
        description="names of the jigs that work together", examples=[["ring", "gauge"]]
    )
    cut: str | Annotated[tuple[str, ...], Field(min_length=1)] | None = Field(
        default=None, description="name of the cut, or names of several"
    )
    x: Length | None = Field(default=None, description="of the piece's axis, machine frame")
    y: Length | None = Field(default=None, description="of the piece's axis, machine frame")

    @property
    def cuts(self) -> tuple[str, ...]:
        """Names of its cuts, none to several."""
        if self.cut is None:
            return ()
        return (self.cut,) if isinstance(self.cut, str) else self.cut


Family = Literal[
    "hex bolt", "hex screw", "coach bolt", "socket screw", "T-slot bolt", "threaded rod"
]
"""What is bought by length."""


class JobModel(ShopModel):
    """The whole job file, but for the machine and the jigs, which are read by their own models."""

    job: str = Field(min_length=1, max_length=80, description="what the batch is")
    revision: str = Field(default="A", max_length=12, description="of this file; stands in reports")
    units: Units = Field(default=Units.MM, description="of lengths without a unit in this file")
    hardware: Literal["metric", "inch"] = Field(
        default="metric", description="series of bolts and nuts that you buy"
    )
    shelf: dict[Family, dict[str, Annotated[tuple[PositiveLength, ...], Field(min_length=1)]]] = (
        Field(
            default_factory=dict,
            description="bolts that you own: family, size, lengths. A family that is not listed "
            "is bought as it is sold",
            examples=[{"coach bolt": {"M6": [40, 60]}}],
        )
    )
    machine: Any = Field(description="a machine, or the path of a machine file")
    pieces: Annotated[dict[Name, Piece], Field(min_length=1)] = Field(
        description="what is to be held, by name"
    )
    sheets: dict[Name, SheetStock] = Field(
        default_factory=dict, description="sheet goods that jigs are cut from, by name"
    )
    boards: dict[Name, BoardStock] = Field(
        default_factory=dict, description="solid wood for blocks, by name"
    )
    woods: dict[Name, OwnWood] = Field(
        default_factory=dict, description="what you know of your own wood, by its name"
    )
    making: Making = Field(default=Making(), description="how parts of jigs are cut")
    printer: Printer | None = Field(default=None, description="your printer, if you have one")
    linings: dict[Name, LiningStock] = Field(
        default_factory=dict, description="rubber that lines a ring, by name"
    )
    cuts: dict[Name, Cut] = Field(
        default_factory=dict, description="what is machined in the end of a piece, by name"
    )
    jigs: Annotated[dict[Name, dict[str, Any]], Field(min_length=1)] = Field(
        description="the jigs to make, by name"
    )
    setups: Annotated[dict[Name, SetupModel], Field(min_length=1)] = Field(
        description="which jigs hold which piece for which cut, by name"
    )


class MachineFile(Machine):
    """A machine in a file of its own."""

    units: Units = Field(default=Units.MM, description="of lengths without a unit in this file")
