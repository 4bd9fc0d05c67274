"""Answers are read by the reader's own units code, and refused with a reason."""

from __future__ import annotations

import pytest

from jigs import tables
from jigs.starting.forms import (
    LENGTH,
    LIMITS,
    RANGE,
    Amount,
    Choice,
    Several,
    Whole,
    Words,
    lengths,
)
from jigs.units import Units, ValueRefused

TABLE = lengths("width", "depth", "thickness")
HOLES = Several({"spacing": LENGTH, "rows": Whole(1, 500)})


@pytest.mark.parametrize(
    ("form", "text", "taken"),
    [
        (LENGTH, "1-1/2 in", "1-1/2 in"),
        (LIMITS, "31.5 to 36", "31.5 to 36"),
        (RANGE, "-110 to 400", "-110 to 400"),
        (TABLE, "600, 400, 30", {"width": "600", "depth": "400", "thickness": "30"}),
        (TABLE, "600 x 400 mm × 1-1/2 in", {"width": "600", "depth": "400 mm",
                                            "thickness": "1-1/2 in"}),
        (HOLES, "50;8", {"spacing": "50", "rows": "8"}),
        (Choice(("slots", "holes", "spoilboard")), "SP", "spoilboard"),
        (Whole(), "007", "7"),
        (Amount(20, 80, "Shore A"), "52.5", "52.5"),
    ],
)  # fmt: skip
def test_what_is_typed_stays_as_it_was_typed(form, text, taken):
    assert form.take(text, Units.MM) == taken


@pytest.mark.parametrize(
    ("form", "text", "says"),
    [
        (LENGTH, "5 kg", "'kg' is not a unit of length"),
        (LENGTH, "0", "must be above"),
        (LENGTH, "25 m", "'m' is not a unit of length"),
        (LENGTH, "21000", "must be at most"),
        (LENGTH, "12,5", "the decimal sign is a point"),
        (LENGTH, "", "there is no number"),
        (LIMITS, "36 to 31.5", "above the most"),
        (LIMITS, "31.5 - 36", "one side only"),
        (RANGE, "600", "not a range"),
        (TABLE, "600, 400", "2 values"),
        (TABLE, "600, 400, nought", "thickness: 'nought'"),
        (TABLE, "600, -400, 30", "depth: must be above"),
        (HOLES, "50, 8.5", "rows: '8.5' is not a whole number"),
        (HOLES, "50, 501", "rows: 501 is out of range"),
        (Choice(("slots", "holes", "spoilboard")), "s", "not one of the choices"),
        (Choice(("slots", "holes", "spoilboard")), "slot s", "did you mean 'slots'"),
        (Choice(("x", "y")), "", "not one of the choices"),
        (Words(tables.thread, "a thread"), "M7.3", "has no 'M7.3'"),
        (Words(tables.wood, "a wood"), "balsawood", "has no 'balsawood'"),
        (Words(), "bell\x07", "do not print"),
        (Words(), "", "0 characters"),
        (Amount(20, 80, "Shore A"), "90", "out of range"),
        (Amount(20, 80, "Shore A"), "50 A", "not a plain number"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_the_reason(form, text, says):
    with pytest.raises(ValueRefused) as refused:
        form.take(text, Units.MM)
    assert says in refused.value.problem
    assert refused.value.right
