"""Numbers, rules and their trace."""

import pytest

from jigs.errors import DesignError
from jigs.model.number import Book, Number, Rules, Standing


@pytest.fixture
def rules():
    rule = Rules()

    @rule(source="derived")
    def area(width: float, height: float) -> float:
        """Width times height.

        More is said here.
        """
        return width * height

    @rule(source="common practice, no source")
    def height(width: float) -> float:
        """Half the width."""
        return width / 2

    return rule


def test_a_rule_reads_its_parameters_and_leaves_a_trace(rules):
    book = Book("plate", [Number("width", 8.0, standing=Standing.GIVEN)], rules)
    area = book["area"]
    assert (area.value, area.inputs, area.meaning) == (
        32.0,
        ("width", "height"),
        "Width times height.",
    )
    assert book["height"].standing is Standing.RULE


def test_a_value_in_place_of_a_rule_is_used_by_the_others_and_tells_what_it_replaced(rules):
    mine = Number("height", 10.0, standing=Standing.BUILT, where="job.yaml:3")
    book = Book("plate", [Number("width", 8.0)], rules, {"height": mine})
    assert book.area == 80.0
    assert book["height"].instead_of == 4.0
    assert book["height"].standing is Standing.BUILT


def test_a_name_that_no_rule_has_is_refused_with_the_nearest(rules):
    with pytest.raises(DesignError, match="did you mean 'height'"):
        Book("plate", [], rules, {"heigth": Number("heigth", 1.0)})


def test_numbers_that_wait_for_each_other_are_named():
    rule = Rules()

    @rule(source="derived")
    def a(b: float) -> float:
        """A."""
        return b

    @rule(source="derived")
    def b(a: float) -> float:
        """B."""
        return a

    with pytest.raises(DesignError, match="a <- b <- a"):
        Book("knot", [], rule)["a"]


def test_books_ask_outwards_and_nearest_wins(rules):
    outer = Book("outer", [Number("width", 100.0), Number("depth", 5.0)])
    book = Book("plate", [Number("width", 2.0)], rules, {}, [outer])
    assert (book.width, book.depth) == (2.0, 5.0)
    with pytest.raises(KeyError):
        book["weight"]


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_number_is_finite(value):
    with pytest.raises(DesignError, match="comes out as"):
        Number("x", value)
