"""Rules that faults drawn at random showed to be untested: numbers worked by hand."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jigs.kinds.end_grain_clamp.holding_down import footing_of
from jigs.kinds.riser.sizing import dowel_from_middle
from jigs.kinds.split_ring import board_sizing, sizing
from jigs.kinds.swing_stop import boarding
from jigs.sizing import Design

SHELF = (("threaded rod", "M8", (50.0,)), ("T-slot bolt", "M8", (63.0,)))


@pytest.mark.parametrize(
    ("call", "by_hand"),
    [
        # corners take 60 / 3 + 3 - (30 - 20) = 13; 18 - 4.5 + 40 - 13 - 10 = 30.5; 30 is sold
        (lambda: board_sizing.shelf_screw(40, 60, 18, 4.5), 30),
        # 100 mm of shelf, nothing off: as long as they are let, 60
        (lambda: board_sizing.shelf_screw(100, 240, 18, 4.5), 60),
        # 22.5 + 8 + 4.5 = 35, and a tenth more is 36
        (lambda: sizing.bolt_x(22.5, 9.0), 35),
        (lambda: sizing.bolt_x(22.6, 9.0), 36),
        # 15 + 17.8 + washer, nut and two threads of M8, some 11.5: rod is cut to 45, the bolt is
        # the one on the shelf
        (lambda: boarding.stop_length("T-slot nut", "M8", 15, 17.8, SHELF), 45),
        (lambda: boarding.stop_length("T-slot bolt", "M8", 15, 17.8, SHELF), 63),
    ],
)
def test_a_rule_by_hand(call: Callable[[], float], by_hand: float) -> None:
    assert call() == by_hand


def test_a_riser_too_small_for_a_dowel_has_it_in_the_middle() -> None:
    assert dowel_from_middle(10, (-5, 5), 8) == (0, 0)


def test_the_middle_of_a_band_lies_between_its_ends(allotment: Design) -> None:
    """Pull of a hold-down: loose and tight are worked out, the middle is their mean."""
    *_, (_, clamp) = allotment.jigs()
    pull = footing_of(clamp.n).pull
    assert pull.middle == pytest.approx((clamp.n.hold_loose + clamp.n.hold_tight) / 2)
    assert pull.low < pull.middle < pull.high
