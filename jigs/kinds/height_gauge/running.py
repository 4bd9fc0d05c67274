"""What the height gauge adds to the errors: nothing is set on it from piece to piece."""

from __future__ import annotations

from collections.abc import Sequence

from jigs.model.batch import Spread
from jigs.model.number import Book

CROWN_AS_CUT = 0.1
"""mm either way, the crown of the arch over the table: a routed or printed arch. Assumed."""

TABLE_AS_FLAT = 0.1
"""mm either way, the table under the bar. Common practice, no source."""

TOUCH = 0.05
"""mm that the hand leaves between dome and crown. Assumed."""


def spreads_of(n: Book) -> Sequence[Spread]:
    """Errors of the end's height, mm. One-sided: a drop is below, a rise above.

    Standing aside under the arch sets the piece too low, a touch too early does as well; a pushed
    overhang bends up and sets it too high. The crown is once for the batch: a trial cut shows it.
    """
    return [
        Spread("standing aside under the arch", "z", -n.height_error, "one-sided",
               reads=("height_error", "aside")),
        Spread("felt before it touches", "z", -TOUCH, "one-sided"),
        Spread("overhang bent by the push", "z", n.bending_rise, "one-sided",
               reads=("bending_rise",)),
        Spread("crown as cut", "z", CROWN_AS_CUT, "even", each=False),
        Spread("flatness of the table", "z", TABLE_AS_FLAT, "even", each=False),
    ]  # fmt: skip
