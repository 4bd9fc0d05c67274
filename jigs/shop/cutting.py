"""The force of a cut: what a cutter does to the piece, in a band, from the cut and the wood.

The band runs from the least to the greatest specific cutting force of the table; what must hold is
asked with the high end (for side edges in end grain with the middle of 90-90, which is higher). A
force that the user has measured goes before all of it.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from jigs.errors import TableError
from jigs.mechanics import cutting
from jigs.model.grip import ON_THE_CUT
from jigs.model.number import Book, Number, Rules, Standing
from jigs.tables import cutting_force, wood

RADIAL = 0.5
"""Radial over tangential force. Assumed: 0.3 to 0.7 is usual for sharp edges in wood."""

LEAST_CHIP = 0.05
"""mm: the table of specific cutting forces holds for chips of 0.05 to 0.2 mm."""

cut_rule = Rules()


LEAST_STICK_OUT = 5.0
"""mm of cutter between the piece and the collet nut, where no stick-out is given. Assumed."""


@cut_rule(source="assumed: the least that clears the piece; set the cutter so, or give stick_out",
          standing=Standing.ASSUMED)  # fmt: skip
def stick_out(cut_depth: float) -> float:
    """From the collet nut's face to the cutter's tip."""
    return cut_depth + LEAST_STICK_OUT


@cut_rule(unit="mm/min", source="assumed, where none is given", standing=Standing.ASSUMED)
def feed() -> float:
    """Feed of the cutter."""
    return 1500.0


@cut_rule(unit="1/min", source="assumed, where none is given", standing=Standing.ASSUMED)
def spindle_speed() -> float:
    """Speed of the spindle."""
    return 18_000.0


@cut_rule(source="half the cutter's diameter a pass, a mark 0.5 mm; the whole depth where that is "
          "less", standing=Standing.ASSUMED)  # fmt: skip
def pass_depth(cut_depth: float, cutter_diameter: float, cut_does: str) -> float:
    """Depth of one pass along the cutter's axis."""
    return min(cut_depth, 0.5 if cut_does == "mark" else cutter_diameter / 2)


@cut_rule(source="derived: the middle of the first pass, the longest lever")
def cut_acts_at(pass_depth: float, cut_depth: float) -> float:
    """Where the force of a pass acts: z from the piece's end, negative."""
    return -min(pass_depth, cut_depth) / 2


@cut_rule(source="derived: a slot takes the whole cutter; a tenon what stands beside it")
def width_of_cut(
    cut_does: str, cut_width: float, cutter_diameter: float, piece_across: float
) -> float:
    """Width that the cutter takes off beside its path, at most its diameter."""
    beside = (piece_across - cut_width) / 2 if cut_does == "tenon" and cut_width else math.inf
    return min(cutter_diameter, max(beside, 0.1))


@cut_rule(source="feed over speed and cutting edges")
def chip(feed: float, spindle_speed: float, flutes: float) -> float:
    """Feed of each cutting edge."""
    return cutting.chip_load(feed, spindle_speed, int(flutes))


@cut_rule(source="the thinnest chip that the table of cutting forces holds for: 0.05 mm",
          standing=Standing.ASSUMED)  # fmt: skip
def chip_counted(chip: float) -> float:
    """Chip that the force is worked out with: a thinner one rubs, and asks for no less."""
    return max(chip, LEAST_CHIP)


@cut_rule(unit="", source="the piece's wood, its group, or dense hardwood for what is not listed",
          standing=Standing.ASSUMED)  # fmt: skip
def wood_cut(piece_wood: str) -> str:
    """Name under which the piece's wood stands in the table of specific cutting forces."""
    names = [piece_wood]
    with contextlib.suppress(TableError):
        names.append(wood(piece_wood).name)
    for name in names:
        with contextlib.suppress(TableError):
            return cutting_force(name, "0-90").material
    return "dense hardwood"


@cut_rule(unit="MPa", source="table of specific cutting forces, edge across the grain (0-90)",
          standing=Standing.ASSUMED)  # fmt: skip
def specific_force(wood_cut: str) -> float:
    """Force over the chip's section that the side edges meet, middle of the band."""
    return cutting_force(wood_cut, "0-90").specific_force


@cut_rule(unit="MPa", source="side edges: the larger of 0-90 at its high end and 90-90 in the "
          "middle; a plunge or a mark cuts with its whole floor: 90-90 at its high end",
          standing=Standing.ASSUMED)  # fmt: skip
def specific_force_high(wood_cut: str, cut_does: str) -> float:
    """The same for what must hold."""
    floor = cutting_force(wood_cut, "90-90")
    if cut_does in ("hole", "mark"):
        return floor.high
    return max(cutting_force(wood_cut, "0-90").high, floor.specific_force)


@cut_rule(unit="N", source="k_c a_p f_z times the greatest sum of teeth; radial part 0.5, assumed",
          standing=Standing.ASSUMED)  # fmt: skip
def cut_force(
    specific_force: float, pass_depth: float, width_of_cut: float,
    cutter_diameter: float, chip_counted: float, flutes: float,
) -> float:  # fmt: skip
    """Greatest force of the cutter in plan, from any direction, middle of the band."""
    return _peak(specific_force, pass_depth, width_of_cut, cutter_diameter, chip_counted, flutes)


@cut_rule(unit="N", source="the same at the high end of the specific cutting force",
          standing=Standing.ASSUMED)  # fmt: skip
def cut_force_high(
    specific_force_high: float, pass_depth: float, width_of_cut: float,
    cutter_diameter: float, chip_counted: float, flutes: float,
) -> float:  # fmt: skip
    """Greatest force of the cutter in plan, high end: for what must hold."""
    return _peak(
        specific_force_high, pass_depth, width_of_cut, cutter_diameter, chip_counted, flutes
    )


def _peak(
    specific: float, depth: float, width: float, diameter: float, chip: float, flutes: float
) -> float:
    tangential = cutting.greatest_tangential_force(
        specific, depth, width, diameter, chip, int(flutes)
    )
    radial = cutting.radial_force(tangential, RADIAL)
    return cutting.force_in_plan(tangential, radial)


@cut_rule(unit="N", source="F tan(helix)")
def cut_pull(cut_force_high: float, helix: float) -> float:
    """Pull of a spiral cutter along its axis."""
    return cutting.axial_pull(cut_force_high, math.radians(helix))


def heaviest_facts(cuts: Sequence[Book]) -> list[Number]:
    """The most that any cut of a setup asks, for what must bear them all."""
    most = {
        "cut_force_most": ("cut_force_high", "greatest force in plan of any cut"),
        "cut_pull_most": ("cut_pull", "greatest pull of any cut along the cutter"),
        "cut_acts_highest": ("cut_acts_at", "highest place at which a force acts"),
    }
    found = []
    for name, (of, meaning) in most.items():
        numbers = [cut[of] for cut in cuts]
        if numbers:
            greatest = max(numbers, key=_size)
            found.append(replace(greatest, name=name, meaning=meaning, inputs=(of,)))
    return found


def _size(number: Number) -> float:
    assert isinstance(number.value, int | float)
    return float(number.value)


@dataclass(frozen=True, slots=True)
class Push:
    """What a cut asks of what holds the piece: force in plan from any side, and pull upward, N."""

    force: float
    pull: float


def push_of(cut: Book, scale: float = 1.0) -> Push:
    """The cut's greatest force and pull, with the factor on the cut; `scale` of a heavier cut."""
    return Push(scale * ON_THE_CUT * cut.cut_force_high, scale * ON_THE_CUT * cut.cut_pull)


def cut_words(cut: Book) -> tuple[str, ...]:
    """What the force of a cut rests on, in a few words."""
    number = cut["cut_force_high"]
    if number.standing is not Standing.ASSUMED:
        return (f"force of the cut {cut.cut_force_high:g} N, {number.standing}",)
    return (
        f"force of the cut {cut.cut_force_high:.0f} N at most: {cut.piece_wood} (cut like "
        f"{cut.wood_cut}), {cut.pass_depth:g} mm a pass, feed {cut.feed:g} mm/min, "
        f"{cut.spindle_speed:g} 1/min"
        + (f"; a chip of {cut.chip_counted:g} mm counted" if cut.chip_counted > cut.chip else ""),
    )
