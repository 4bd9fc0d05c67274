"""What the operator sets on the split ring for a piece, and what the ring adds to the errors.

Closed by turns the squeeze is the same on every piece, so the axis follows from the diameter alone
(`offset_of`); what first touch and the torque leave open moves the axis along y only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from jigs import tables
from jigs.kinds.split_ring.closing import Lining
from jigs.mechanics.liner import axis_offset
from jigs.model.batch import Setting, Spread
from jigs.model.number import Book

SLACK_OF_STOP = 0.2
"""mm either way along x: the board pushed against its stop, or on its dowels. Common practice, no
source."""

ENTERED = 0.005
"""mm; the diameter as measured is a hundredth's reading. Assumed."""

PART_OF_A_TURN = 8
"""Turns are told in eighths: what a hand sees."""


def settings_of(n: Book, sizes: Mapping[str, float]) -> list[Setting]:
    """Turns from the stop of the nuts to first touch, turns after it, and the height of the jack.

    The turns after first touch and the torque are the same for every piece: no change.
    """
    diameter = sizes["grip_diameter"]
    opens = turns_to_open(n, diameter) - n.closing_turns
    return [
        Setting("gap at first touch", round(gap_touching(n, diameter), 2)),
        Setting("turns back to open", _eighths(opens), "turns"),
        Setting("turns after first touch", round(n.closing_turns, 2), "turns",
                f"or stop at {n.closing_torque / 1000:.2g} N m"),
        Setting("jack up, against the nominal piece",
                _eighths((n.length_nominal - sizes["length"]) / _pitch(n.jack_size)),
                "turns"),
        Setting("liner", n.liner_thickness, told=n.lining_material, changes=10.0),
    ]  # fmt: skip


def gap_touching(n: Book, diameter: float) -> float:
    """Gap between the split faces when both linings just touch a piece of that diameter, mm."""
    return float(n.gap - 2 * axis_offset(n.lined_radius, diameter / 2, 0.0))


def turns_to_open(n: Book, diameter: float) -> float:
    """Turns of each nut from closed on a piece of that diameter to the gap for loading."""
    opens = max(0.0, n.open_gap - gap_touching(n, diameter)) / _pitch(n.drawbolt_size)
    return float(opens + n.closing_turns)


def spreads_of(n: Book) -> Sequence[Spread]:
    """What may shift a piece's axis in the ring, mm.

    Along y: first touch as felt, a stiff lining on which the torque ends the closing before the
    turns are done (one direction: away from the machine), out of roundness, taper, and the bore and
    the lining as they came out (once for the batch: a trial mark shows them). Along x: the stop or
    the dowels.
    """
    return [
        Spread("first touch as felt", "y", n.squeeze_most - n.squeeze, "even",
               reads=("squeeze_most", "squeeze", "touch_error")),
        Spread("torque reached before the turns", "y", -_not_squeezed(n), "one-sided",
               reads=("squeeze", "stopped_loose", "liner_young_most")),
        Spread("out of round in the ring, along y", "y", n.ovality / 4, "even", reads=("ovality",)),
        Spread("out of round in the ring, along x", "x", n.ovality / 4, "even", reads=("ovality",)),
        Spread("taper over the grip", "y", n.taper / 4, "even", reads=("taper",)),
        Spread("diameter as measured", "y", ENTERED, "even"),
        Spread("bore as cut", "y", n.bore_tolerance, "even", each=False, reads=("bore_tolerance",)),
        Spread("lining as sold", "y", n.liner_tolerance, "even", each=False,
               reads=("liner_tolerance",)),
        Spread("stop or dowels that bring the board back", "x", SLACK_OF_STOP / 2, "even",
               each=False),
    ]  # fmt: skip


def _not_squeezed(n: Book) -> float:
    """Squeeze that is missing where the stiffest lining stops the loosest torque, mm."""
    lining = Lining(
        n.lined_radius, min(n.lined_radius, n.grip_diameter_nominal / 2), n.gap,
        n.liner_thickness, n.ring_height, n.liner_young_most,
    )  # fmt: skip
    return float(n.squeeze) - _squeezed_by(lining, n.stopped_loose, n.squeeze)


@cache
def _squeezed_by(lining: Lining, force: float, most: float) -> float:
    return lining.where(lining.force, force, most)


@cache
def _pitch(size: str) -> float:
    return tables.thread(size).pitch


def _eighths(turns: float) -> float:
    return round(turns * PART_OF_A_TURN) / PART_OF_A_TURN
