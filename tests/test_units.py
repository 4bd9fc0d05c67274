"""Lengths as people write them. Expected values are typed by hand or exact fractions."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jigs.units import (
    Interval,
    Limits,
    Units,
    ValueRefused,
    format_length,
    parse_angle,
    parse_fraction,
    parse_interval,
    parse_length,
    parse_limits,
)

MM, INCH = Units.MM, Units.INCH


@pytest.mark.parametrize(
    ("value", "units", "mm"),
    [
        (38, MM, 38.0),
        (-3.5, MM, -3.5),
        (0, INCH, 0.0),
        (1.5, INCH, 38.1),
        ("38", MM, 38.0),
        ("+38", MM, 38.0),
        (" 38 ", MM, 38.0),
        ("38.", MM, 38.0),
        (".5", MM, 0.5),
        ("010", MM, 10.0),
        ("1e2", MM, 100.0),
        ("38 mm", INCH, 38.0),
        ("38mm", INCH, 38.0),
        ("38 MM", INCH, 38.0),
        ("38 millimetres", INCH, 38.0),
        ("3.8 cm", MM, 38.0),
        ("1-1/2 in", MM, 38.1),
        ("1 1/2 in", MM, 38.1),
        ("1-1/2", INCH, 38.1),
        ("1½ in", MM, 38.1),
        ('1 1/2"', MM, 38.1),
        ("1 1⁄2 ″", MM, 38.1),
        ("-1-1/2 in", MM, -38.1),
        ("−1-1/2 in", MM, -38.1),
        ('3/4"', MM, 19.05),
        ("3/4”", MM, 19.05),
        ("¾ in", MM, 19.05),
        ("0.75 inch", MM, 19.05),
        ("3/2 inches", MM, 38.1),
        ("1/64 in", MM, 0.396875),
        ("1/2", MM, 0.5),
    ],
)
def test_a_length_is_read(value: int | float | str, units: Units, mm: float) -> None:
    assert parse_length(value, units) == mm


@pytest.mark.parametrize(
    ("value", "says", "right"),
    [
        ("38,5", "decimal sign is a point", "38.5"),
        ("1,234.5", "decimal sign is a point", "1234.5"),
        ("1,234,567", "decimal sign is a point", "1234567"),
        (", 5", "comma", "38.5 mm"),
        (True, "'true' is not a number", "38.5 mm"),
        (None, "nothing is not a number", "38.5 mm"),
        ([38], "a list of 1", "38.5 mm"),
        ({"a": 1}, "a mapping", "38.5 mm"),
        (math.nan, "nan is not a size", "38.5 mm"),
        (math.inf, "inf is not a size", "38.5 mm"),
        (-math.inf, "-inf is not a size", "38.5 mm"),
        pytest.param(10**5000, "so large a number", "38.5 mm", id="5000 digits"),
        (1e300, "not a size", "38.5 mm"),
        ("nan", "not a size", "38.5 mm"),
        (".inf", "not a size", "38.5 mm"),
        ("1e99", "not a size", "38.5 mm"),
        ("9" * 101, "101 characters", "38.5 mm"),
        ("", "no number", "38.5 mm"),
        ("thick", "'thick' is not a number", "38.5 mm"),
        ("1 2", "is not a number", "38.5 mm"),
        ("1 - 1/2", "is not a number", "38.5 mm"),
        ("38 mm mm", "is not a number", "38.5 mm"),
        ("٣٨", "is not a number", "38.5 mm"),
        ("10-20", "is not a number", "10 to 20"),
        ("10..20", "is not a number", "10 to 20"),
        ("1-3/2 in", "not below one", "1-1/2"),
        ("1/0 in", "divides by nought", "1/2"),
        ("6 ft", "'ft' is not a unit of length", "mm, cm, in"),
        ("6'", "feet", "inches"),
        ("38 mmm", "did you mean 'mm'?", "mm, cm, in"),
        ("38 m", "'m' is not a unit of length", "mm, cm, in"),
        ("38 deg", "'deg' is not a unit of length", "mm, cm, in"),
        ("__import__('os')", "is not a number", "38.5 mm"),
    ],
)
def test_what_is_no_length_is_refused(value: object, says: str, right: str) -> None:
    with pytest.raises(ValueRefused) as caught:
        parse_length(value, MM)  # type: ignore[arg-type]
    assert says in caught.value.problem
    assert right in caught.value.right
    assert isinstance(caught.value, ValueError)
    assert "; right: " in str(caught.value)


@settings(deadline=None)
@given(
    whole=st.integers(1, 60),
    power=st.integers(1, 6),
    part=st.integers(0, 63),
    minus=st.booleans(),
    form=st.sampled_from(["{}-{} in", '{} {}"', "{}-{} inches"]),
)
def test_mixed_fractions_are_exact(
    whole: int, power: int, part: int, minus: bool, form: str
) -> None:
    under = 2**power
    over = part % under
    exact = (whole + Fraction(over, under)) * Fraction(254, 10) * (-1 if minus else 1)
    text = ("-" if minus else "") + form.format(whole, f"{over}/{under}")
    assert parse_length(text, MM) == float(exact)


@settings(deadline=None)
@given(mm=st.floats(-20_000, 20_000), units=st.sampled_from(Units))
def test_a_written_length_reads_back(mm: float, units: Units) -> None:
    # written to 0.001 mm; in inches to a 1/64 within 0.05 mm, else to 0.001 in
    reach = 0.0005 if units is MM else 0.05
    assert abs(parse_length(format_length(mm, units), units) - mm) <= reach + 1e-9


@settings(deadline=None)
@given(thousandths=st.integers(-20_000_000, 20_000_000))
def test_a_length_to_a_thousandth_reads_back_the_same(thousandths: int) -> None:
    mm = float(Fraction(thousandths, 1000))
    assert parse_length(format_length(mm, MM), INCH) == mm


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        (38.0, MM, "38.0 mm"),
        (2.075, MM, "2.075 mm"),
        (19.05, MM, "19.05 mm"),
        (-0.0001, MM, "0.0 mm"),
        (100.0, MM, "100.0 mm"),
        (38.1, INCH, "1-1/2 in"),
        (-38.1, INCH, "-1-1/2 in"),
        (19.05, INCH, "3/4 in"),
        (25.4, INCH, "1 in"),
        (0.0, INCH, "0 in"),
        (0.396875, INCH, "1/64 in"),
        (38.149, INCH, "1-1/2 in"),  # 0.049 off
        (38.151, INCH, "1.502 in"),  # 0.051 off
        (38.4048, INCH, "1.512 in"),
    ],
)
def test_a_length_is_written(mm: float, units: Units, text: str) -> None:
    assert format_length(mm, units) == text


@pytest.mark.parametrize(
    ("value", "units", "least", "nominal", "most"),
    [
        (150, MM, 150.0, 150.0, 150.0),
        ("150 mm", INCH, 150.0, 150.0, 150.0),
        ("150 ± 0.5", MM, 149.5, 150.0, 150.5),
        ("150±0.5", MM, 149.5, 150.0, 150.5),
        ("150 +- 0.5", MM, 149.5, 150.0, 150.5),
        ("150 +/-0.5", MM, 149.5, 150.0, 150.5),
        ("150 ± 0", MM, 150.0, 150.0, 150.0),
        ("17.6 ± 0.2", MM, 17.4, 17.6, 17.8),
        ("150 +0.2 -0.5", MM, 149.5, 150.0, 150.2),
        ("150 -0.5 +0.2", MM, 149.5, 150.0, 150.2),
        ("150 + 0.2 - 0.5 mm", INCH, 149.5, 150.0, 150.2),
        ("150 +0.2 -0", MM, 150.0, 150.0, 150.2),
        ("31.5 to 36", MM, 31.5, 33.75, 36.0),
        ("31.5 mm to 36 mm", INCH, 31.5, 33.75, 36.0),
        ("31.5 to 36 mm", INCH, 31.5, 33.75, 36.0),
        ("1 to 2 in", MM, 25.4, 38.1, 50.8),
        ("1-1/2 in ± 1/64 in", MM, 37.703125, 38.1, 38.496875),
        ("1-1/2 ± 1/64 in", MM, 37.703125, 38.1, 38.496875),
        ("1-1/2 in ± 1/64", MM, 37.703125, 38.1, 38.496875),
        ("1-1/2 ± 1/64", INCH, 37.703125, 38.1, 38.496875),
        ("1-1/2 in ± 0.5 mm", MM, 37.6, 38.1, 38.6),
        ("1-1/2 -1/32 +1/64 in", MM, 37.30625, 38.1, 38.496875),
        ("1 -1/2 +1/4", MM, 0.5, 1.0, 1.25),
        ({"nominal": 150, "tolerance": 0.5}, MM, 149.5, 150.0, 150.5),
        ({"nominal": "1-1/2", "tolerance": "0.5 mm"}, INCH, 37.6, 38.1, 38.6),
        ({"nominal": 150, "plus": 0.2, "minus": 0.5}, MM, 149.5, 150.0, 150.2),
        ({"least": 31.5, "most": 36}, MM, 31.5, 33.75, 36.0),
        ({"least": 31.5, "most": "36 mm", "nominal": 34}, MM, 31.5, 34.0, 36.0),
    ],
)
def test_limits_are_read(
    value: int | str | dict[str, object], units: Units, least: float, nominal: float, most: float
) -> None:
    limits = parse_limits(value, units)
    assert (limits.least, limits.nominal, limits.most) == (least, nominal, most)
    assert limits.spread == pytest.approx(most - least, abs=1e-12)


@pytest.mark.parametrize(
    ("value", "says", "right"),
    [
        ("36 to 31.5", "the least (36 mm) is above the most (31.5 mm)", "smaller number first"),
        ("150 +0.5", "one side only", "150 +0.5 -0"),
        ("150 - 0.5", "one side only", "150 to 0.5"),
        ("150 +0.2 +0.5", "both tolerances on one side", "+0.2 -0.5"),
        ("150 ± -0.5", "is not a length with limits", "150 ± 0.5"),
        ("150 ± 0,5", "decimal sign is a point", "150 ± 0.5"),
        ("150 ± 0.5 ± 0.5", "is not a length with limits", "150 ± 0.5"),
        ("150 ± 0.5 ft", "'ft' is not a unit", "mm, cm, in"),
        ("about 150", "is not a length with limits", "31.5 to 36"),
        ("x" * 5000, "5000 characters", "31.5 to 36"),
        (False, "'false' is not a number", "31.5 to 36"),
        (math.nan, "nan", "31.5 to 36"),
        ([31.5, 36], "a list of 2", "{least: 31.5, most: 36}"),
        ({"nominal": 150, "tolerence": 1}, "did you mean 'tolerance'?", "{nominal, tolerance}"),
        ({"nominal": 150}, "do not go together: nominal", "{least, most}"),
        ({}, "do not go together: none", "{least, most}"),
        ({"nominal": 1, "tolerance": 1, "plus": 1}, "do not go together", "{nominal, tolerance}"),
        ({"nominal": 150, "tolerance": -1}, "'tolerance' is below 0", "without a sign"),
        ({"nominal": 150, "plus": 1, "minus": "-1 mm"}, "'minus' is below 0", "without a sign"),
        ({"nominal": 150, "tolerance": [1]}, "a list of 1", "38.5 mm"),
        ({"least": 1, "most": 5, "nominal": 7}, "do not rise in this order", "least <= nominal"),
        ({"least": 5, "most": 1}, "the least (5 mm) is above the most (1 mm)", "smaller"),
    ],
)
def test_what_is_no_limits_is_refused(value: object, says: str, right: str) -> None:
    with pytest.raises(ValueRefused) as caught:
        parse_limits(value, MM)  # type: ignore[arg-type]
    assert says in caught.value.problem
    assert right in caught.value.right


def test_a_refusal_within_a_mapping_names_the_key() -> None:
    with pytest.raises(ValueRefused) as caught:
        parse_limits({"least": 3, "most": "4,5"}, MM)
    assert caught.value.keys == ("most",)


@pytest.mark.parametrize(("least", "nominal", "most"), [(2, 1, 3), (1, 4, 3), (1, math.nan, 3)])
def test_limits_out_of_order_cannot_be_made(least: float, nominal: float, most: float) -> None:
    with pytest.raises(ValueRefused, match="do not rise"):
        Limits(least, nominal, most)


@pytest.mark.parametrize(
    ("value", "units", "least", "most"),
    [
        ("0 to 600", MM, 0.0, 600.0),
        ("-80 to 400", MM, -80.0, 400.0),
        ("-80 to -20 mm", INCH, -80.0, -20.0),
        ("-1/2 to 1-1/2 in", MM, -12.7, 38.1),
        ("5 to 5", MM, 5.0, 5.0),
        ([0, 600], MM, 0.0, 600.0),
        (["1 in", 30], MM, 25.4, 30.0),
        ((1, 2), INCH, 25.4, 50.8),
    ],
)
def test_an_interval_is_read(value: object, units: Units, least: float, most: float) -> None:
    assert parse_interval(value, units) == Interval(least, most)


@pytest.mark.parametrize(
    ("value", "says", "right", "keys"),
    [
        ("600 to 0", "is above the most", "smaller number first", ()),
        ([600, 0], "is above the most", "smaller number first", ()),
        ("0-600", "is not a range", "0 to 600", ()),
        (600, "600 is not a range", "[0, 600]", ()),
        (None, "nothing is not a range", "[0, 600]", ()),
        ([1, 2, 3], "a list of 3", "[0, 600]", ()),
        ([0, True], "'true' is not a number", "38.5 mm", (1,)),
        (["0,5", 600], "decimal sign is a point", "0.5", (0,)),
    ],
)
def test_what_is_no_interval_is_refused(
    value: object, says: str, right: str, keys: tuple[int, ...]
) -> None:
    with pytest.raises(ValueRefused) as caught:
        parse_interval(value, MM)
    assert says in caught.value.problem
    assert right in caught.value.right
    assert caught.value.keys == keys


@pytest.mark.parametrize(
    ("value", "rad"),
    [
        (180, 3.141592653589793),
        ("90 deg", 1.5707963267948966),
        ("-90°", -1.5707963267948966),
        ("45 degrees", 0.7853981633974483),
        (0, 0.0),
    ],
)
def test_an_angle_is_read(value: int | str, rad: float) -> None:
    assert parse_angle(value) == pytest.approx(rad, rel=1e-15)


@pytest.mark.parametrize("value", ["30 mm", "30 rad", "steep", True, math.inf, "30° 15'", "22,5"])
def test_what_is_no_angle_is_refused(value: int | str) -> None:
    with pytest.raises(ValueRefused):
        parse_angle(value)


@pytest.mark.parametrize(
    ("value", "share"), [(0.15, 0.15), ("15 %", 0.15), ("15%", 0.15), ("1/4", 0.25), (1, 1.0)]
)
def test_a_share_is_read(value: int | float | str, share: float) -> None:
    assert parse_fraction(value) == share


def test_a_share_has_no_unit() -> None:
    with pytest.raises(ValueRefused, match="no unit"):
        parse_fraction("15 mm")


def outcome(parse: Callable[..., object], value: str) -> object:
    """Return what a parser reads, or its refusal."""
    try:
        return parse(value, MM)
    except ValueRefused as refused:
        return refused


@settings(deadline=None)
@given(value=st.text(max_size=40) | st.text("0123456789 .,-+/±to inm\"'", max_size=20))
def test_any_text_is_read_or_refused(value: str) -> None:
    parsers: tuple[Callable[..., object], ...] = (parse_length, parse_limits, parse_interval)
    for parse in parsers:
        result = outcome(parse, value)
        assert isinstance(result, float | Limits | Interval | ValueRefused)
        assert not isinstance(result, ValueRefused) or result.right
