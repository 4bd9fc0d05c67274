"""What carries the spindle over the table, where it waits, and what room is kept round it.

What the user does not give is assumed, and says so: findings that only an assumption makes fail
are not judged, and name what to measure.
"""

from __future__ import annotations

from pydantic import Field, model_validator

from jigs.fields import IntervalField, LengthFromZero
from jigs.model.number import Number
from jigs.shop.base import ShopModel, Where, fact
from jigs.units import Interval, ValueRefused

BEAM_ASSUMED = Interval(-150.0, 150.0)
"""mm: y of a beam that was not measured, from the spindle's axis. Assumed, wider than beams are."""

BESIDE = 1000.0
"""mm on each side of the table that legs take where they were not measured. Assumed."""


class Gantry(ShopModel):
    """The beam over the table and its two legs; both go along y with the spindle."""

    beam_y: IntervalField | None = Field(
        default=None,
        description="front and back of the beam along y, from the spindle's axis; above 0 = "
        "behind it",
        examples=["60 to 160"],
    )
    legs: tuple[IntervalField, IntervalField] | None = Field(
        default=None,
        description="x of the left and of the right leg, machine frame",
        examples=[["-70 to -20", "620 to 670"]],
    )

    @model_validator(mode="after")
    def _left_then_right(self) -> Gantry:
        if self.legs is not None and self.legs[0].most >= self.legs[1].least:
            raise ValueRefused(
                f"the left leg ends at {self.legs[0].most:g} mm, the right one begins at "
                f"{self.legs[1].least:g} mm",
                "the left leg first, with the table between the two",
                ("legs",),
            )
        return self


class KeepClear(ShopModel):
    """Room that is kept between what moves and what stands."""

    cutter: LengthFromZero = Field(
        default=2.0, description="of cutter and shank from what is not to be cut"
    )
    head: LengthFromZero = Field(
        default=5.0, description="of nut, spindle, hood, carriage, beam and legs from everything"
    )
    loading: LengthFromZero = Field(
        default=20.0, description="of the parked head from a piece on its way in or out"
    )


def gantry_facts(gantry: Gantry | None, table_width: float, where: Where) -> list[Number]:
    """Beam and legs: `beam_y` (front, back), `legs_x` (left from, to, right from, to), mm."""
    beam = gantry.beam_y if gantry else None
    legs = gantry.legs if gantry else None
    beam_y = beam or BEAM_ASSUMED
    left, right = legs or (Interval(-BESIDE, 0.0), Interval(table_width, table_width + BESIDE))
    return [
        fact("beam_y", (beam_y.least, beam_y.most), "the beam's y from the spindle's axis",
             where=where("gantry.beam_y"),
             source="" if beam else "assumed: give gantry: beam_y"),
        fact("legs_x", (left.least, left.most, right.least, right.most), "the legs' x",
             where=where("gantry.legs"),
             source="" if legs else "assumed: all that is beside the table; give gantry: legs"),
    ]  # fmt: skip


def clear_facts(keep: KeepClear, where: Where) -> list[Number]:
    """Room kept: `cutter_clear`, `head_clear`, `loading_clear`, mm."""
    return [
        fact(f"{what}_clear", getattr(keep, what), f"room kept: {meaning}",
             where=where(f"keep_clear.{what}"))
        for what, meaning in (
            ("cutter", "cutter and shank from what is not to be cut"),
            ("head", "nut, spindle, hood, carriage and gantry from everything"),
            ("loading", "parked head from a piece on its way"),
        )
    ]  # fmt: skip
