"""Words on parts: ranges stand in the units of the job, rounded as a rule or calliper is read."""

import re
from fractions import Fraction

import pytest

from jigs.making.engraving import engrave, marks_told
from jigs.model.finding import at_least
from jigs.model.outline import Outline
from jigs.outputs.drawings import drawings
from jigs.units import Units

MET = [at_least(2.0, 1.0, group="fit", check="room", of="ring")]


@pytest.mark.parametrize(("mark", "in_mm", "in_inches"), [
    ("28.575-31.75 MM", "28.6-31.8 MM", "1-1/8 TO 1-1/4 IN"),
    ("37.7031-38.4969 MM", "37.7-38.5 MM", "1-31/64 TO 1-33/64 IN"),
    ("31.5-36 MM", "31.5-36 MM", "1.240 TO 1.417 IN"),
    ("UP", "UP", "UP"), ("COUNT ME AWAY", "COUNT ME AWAY", "COUNT ME AWAY"),
])  # fmt: skip
def test_ranges_are_told_in_the_units_of_the_job(mark, in_mm, in_inches):
    """By hand: 37.7031 mm are 1.48437 in = 1-31/64; 31.5 mm are 1.2402 in, no 64th within 0.05."""
    assert marks_told((mark,), Units.MM) == (in_mm,)
    assert marks_told((mark,), Units.INCH) == (in_inches,)


def inches(words):
    """1-31/64 as mm: read here with fractions alone."""
    return float(sum(Fraction(part) for part in words.split("-")) * Fraction(254, 10))


@pytest.mark.parametrize("name", ["allotment", "skittles", "stool"])
def test_drawings_say_the_range_that_the_part_serves(designs, name):
    d = designs(name)
    notes = [" ".join(t.words for t in sheet.texts) for sheet in drawings(d, MET)]
    clamp = next(jig for _, jig in d.jigs() if jig.name == "clamp")
    face = next(note for note in notes if "fixed face" in note)
    told = re.search(r"Write on it: FIXED; UP; (\S+?)(?:-| TO )(\S+) (MM|IN)\.", face)
    least, most, unit = told.groups()
    assert (unit == "IN") == (d.job.model.units is Units.INCH)
    read = inches if unit == "IN" else float
    assert read(least) == pytest.approx(clamp.n.width_least, abs=0.051)
    assert read(most) == pytest.approx(clamp.n.width_most, abs=0.051)


def test_a_fraction_can_be_engraved():
    """Every letter of a range in inches has strokes: the words are wider than without it."""
    board = Outline.rectangle(0, 0, 200, 60)

    def wide(words):
        xs = [x for stroke in engrave(board, [], (words,)).strokes for x, _ in stroke]
        return max(xs) - min(xs)

    assert wide("1/8 TO 1/4 IN") > wide("18 TO 1/4 IN") > wide("18 TO 14 IN")
