"""Lengths and angles as people write them, turned into mm and rad. The only file that knows 25.4.

Nothing here knows a file or a line: a refusal is a `ValueRefused` (a ValueError), and the reading
layer adds the place.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from jigs.errors import nearest

MM_PER_INCH = 25.4
"""Exact: a 36th of the yard of 0.9144 m agreed in 1959; NIST SP 811 (2008), appendix B.8."""

FINEST_INCH_FRACTION = 64
"""Common practice, no source: rules and drill sets in inches go down to 1/64."""

FRACTION_REACH = 0.05
"""mm; assumed: closer than this to a 1/64 is no difference on a router, so write the fraction."""

LARGEST_NUMBER = 1e9
"""Assumed: far above any number of a wood shop; keeps exact arithmetic short."""


class ValueRefused(ValueError):
    """A value is not what it should be.

    Parameters: problem = what is wrong; right = what would be right; keys = the keys below the
    value that is being read, if one of those is to blame (a check of a whole mapping uses this).
    """

    def __init__(self, problem: str, right: str = "", keys: tuple[str | int, ...] = ()) -> None:
        self.problem, self.right, self.keys = problem, right, keys
        super().__init__(f"{problem}; right: {right}" if right else problem)


class Units(StrEnum):
    """The unit of a length that is written without one."""

    MM = "mm"
    INCH = "inch"


@dataclass(frozen=True)
class Interval:
    """A range of a length in mm, ends included."""

    least: float
    most: float

    def __post_init__(self) -> None:
        if not self.least <= self.most:
            raise ValueRefused(
                f"the least ({self.least:g} mm) is above the most ({self.most:g} mm)",
                "the smaller number first",
            )

    @property
    def spread(self) -> float:
        """Most minus least, in mm."""
        return self.most - self.least


@dataclass(frozen=True)
class Limits:
    """A length with its limits of size (ISO 286-1: upper and lower), in mm."""

    least: float
    nominal: float
    most: float

    def __post_init__(self) -> None:
        if not self.least <= self.nominal <= self.most:
            raise ValueRefused(
                f"least {self.least:g}, nominal {self.nominal:g} and most {self.most:g} mm "
                "do not rise in this order",
                "least <= nominal <= most",
            )

    @property
    def spread(self) -> float:
        """Most minus least, in mm."""
        return self.most - self.least


_MM_PER_UNIT = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1)),
    "cm": Fraction(10),
    **dict.fromkeys(("in", "inch", "inches", '"'), Fraction(str(MM_PER_INCH))),
}
_DEGREE_NAMES = ("deg", "degree", "degrees", "°")
# Patterns stay text until they are used: compiling them all costs 6 ms of every start.
_NUMBER = (
    r"(?:[0-9]+(?:-|[ ])[0-9]+/[0-9]+|[0-9]+/[0-9]+"
    r"|(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,2})?)"
)
_UNIT = r"(?:[^\W\d_]+|[\"°%])"
_BARE = rf"{_NUMBER}(?: ?{_UNIT})?"
_SIGNED = rf"[+-]?{_BARE}"
_QUANTITY = rf"(?P<sign>[+-]?)(?P<number>{_NUMBER})(?: ?(?P<unit>{_UNIT}))?"
_PLUS_MINUS = rf"({_SIGNED}) ?(?:±|\+/-|\+-) ?({_BARE})"
_TWO_SIDED = rf"({_SIGNED}) ?([+-]) ?({_BARE}) ?([+-]) ?({_BARE})"
_ONE_SIDED = rf"({_SIGNED}) ?([+-]) ?({_BARE})"
_FROM_TO = rf"({_SIGNED}) to ({_SIGNED})"
_TYPOGRAPHY = str.maketrans({"−": "-", "–": "-", "″": '"', "”": '"', "“": '"', "⁄": "/"})
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_LONGEST_TEXT = 100
LENGTH_PATTERN = rf"^[+-]?{_NUMBER}( ?(mm|cm|in|inch|inches|\"))?$"
"""For a JSON schema (ECMA 262): the usual writings. `parse_length` takes a few more."""

_RIGHT_LENGTH = '38, 38.5 mm, 1-1/2 in or 3/4"'
_RIGHT_LIMITS = "150 ± 0.5, 150 +0.2 -0.5, 31.5 to 36, or a mapping such as {least: 31.5, most: 36}"
_RIGHT_INTERVAL = "0 to 600, or [0, 600]"
_RIGHT_ANGLE = "30 or 30 deg"


def parse_length(value: int | float | str, units: Units) -> float:
    """Read one length.

    Parameters: value = a number, or text such as `38 mm`, `1-1/2 in`, `3/4"`; units = what a
    value without a unit is in. Returns mm. Raises ValueRefused (a ValueError).
    """
    number, unit = _quantity(value, _RIGHT_LENGTH)
    return _millimetres(number, unit, units)


def parse_limits(value: int | float | str | Mapping[str, object], units: Units) -> Limits:
    """Read a length with its limits.

    Parameters: value = a number (all three equal), text such as `150 ± 0.5`, `150 +0.2 -0.5`,
    `31.5 to 36` (nominal in the middle), or a mapping {nominal, tolerance}, {nominal, plus,
    minus} or {least, most[, nominal]}; units = what a part without a unit is in, if no other part
    of the text has one. Returns mm. Raises ValueRefused (a ValueError).
    """
    if isinstance(value, Mapping):
        return _limits_of_mapping(value, units)
    if not isinstance(value, str):
        return _limits_about(_quantity(value, _RIGHT_LIMITS), None, None, units)
    text = _tidy(value, _RIGHT_LIMITS)
    if match := re.fullmatch(_FROM_TO, text):
        low, high = (_quantity(part, _RIGHT_LIMITS) for part in match.groups())
        shared = high[1] or low[1]
        ends = [_exact_millimetres(number, unit or shared, units) for number, unit in (low, high)]
        return _limits_between(*ends)
    if match := re.fullmatch(_PLUS_MINUS, text):
        size, both = (_quantity(part, _RIGHT_LIMITS) for part in match.groups())
        return _limits_about(size, both, both, units)
    if match := re.fullmatch(_TWO_SIDED, text):
        return _limits_two_sided(match, units)
    if re.fullmatch(_QUANTITY, text):
        return _limits_about(_quantity(text, _RIGHT_LIMITS), None, None, units)
    if match := re.fullmatch(_ONE_SIDED, text):
        right = f"{text} -0" if match[2] == "+" else f"{text} +0, or {match[1]} to {match[3]}"
        raise ValueRefused(f"'{text}' gives one side only", f"both sides: {right}")
    raise _not_readable(text, "a length with limits", _RIGHT_LIMITS)


def parse_interval(value: object, units: Units) -> Interval:
    """Read a range such as `0 to 600`, `-80 to 400 mm` or [0, 600].

    Parameters: units = what a number without a unit is in. Returns mm. Raises ValueRefused.
    """
    if isinstance(value, str):
        text = _tidy(value, _RIGHT_INTERVAL)
        match = re.fullmatch(_FROM_TO, text)
        if not match:
            raise _not_readable(text, "a range", _RIGHT_INTERVAL)
        parts = [_quantity(part, _RIGHT_INTERVAL) for part in match.groups()]
        shared = parts[1][1] or parts[0][1]
        return Interval(*(_millimetres(number, unit or shared, units) for number, unit in parts))
    if isinstance(value, (list, tuple)) and len(value) == 2:
        return Interval(*(float(_exact_part(i, part, units)) for i, part in enumerate(value)))
    raise ValueRefused(f"{_shown(value)} is not a range", _RIGHT_INTERVAL)


def parse_angle(value: int | float | str) -> float:
    """Read an angle in degrees: 30, `30 deg`, `22.5°`. Returns rad. Raises ValueRefused."""
    number, unit = _quantity(value, _RIGHT_ANGLE)
    if unit and unit.lower() not in _DEGREE_NAMES:
        raise ValueRefused(f"'{unit}' is not a unit of angle that is read here", _RIGHT_ANGLE)
    return math.radians(float(number))


def parse_fraction(value: int | float | str) -> float:
    """Read a share, such as 0.15, 1/3 or `15 %`. Returns the plain number. Raises ValueRefused."""
    number, unit = _quantity(value, "0.15 or 15 %")
    if unit and unit != "%":
        raise ValueRefused(f"'{unit}' stands after a number that has no unit", "0.15 or 15 %")
    return float(number / 100 if unit else number)


def format_length(mm: float, units: Units) -> str:
    """Write a length for people.

    Parameters: mm. Returns `38.0 mm` (to 0.001), or in inches `1-1/2 in` where a 1/64 lies within
    0.05 mm, else thousandths: `1.512 in`.
    """
    if units is Units.MM:
        text = f"{mm:.3f}".rstrip("0")
        text += "0" if text.endswith(".") else ""
        return f"{'0.0' if text == '-0.0' else text} mm"
    inches = mm / MM_PER_INCH
    nearest_part = round(inches * FINEST_INCH_FRACTION)
    if abs(inches - nearest_part / FINEST_INCH_FRACTION) * MM_PER_INCH > FRACTION_REACH:
        return f"{inches:.3f} in"
    return f"{_mixed(Fraction(nearest_part, FINEST_INCH_FRACTION))} in"


def _mixed(number: Fraction) -> str:
    sign = "-" if number < 0 else ""
    whole, rest = divmod(abs(number), 1)
    parts = [str(part) for part in (whole, rest) if part]
    return sign + "-".join(parts) if parts else "0"


_Quantity = tuple[Fraction, str]


def _millimetres(number: Fraction, unit: str, units: Units) -> float:
    return float(_exact_millimetres(number, unit, units))


def _exact_millimetres(number: Fraction, unit: str, units: Units) -> Fraction:
    factor = _MM_PER_UNIT.get(unit.lower() if unit else units.value)
    if factor is None:
        meant = nearest(unit, list(_MM_PER_UNIT))
        raise ValueRefused(
            f"'{unit}' is not a unit of length that is read here{meant}",
            'mm, cm, in or "',
        )
    return number * factor


def _quantity(value: object, right: str) -> _Quantity:
    """Read a number and its unit ("" = none), exactly: 0.1 is one tenth, not the nearest float."""
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise ValueRefused(f"{_shown(value)} is not a number", right)
    if not isinstance(value, str):
        if not abs(value) <= LARGEST_NUMBER:
            raise ValueRefused(f"{_shown(value)} is not a size that can be made", right)
        return Fraction(str(value)), ""
    text = _tidy(value, right)
    match = re.fullmatch(_QUANTITY, text)
    if not match:
        raise _not_readable(text, "a number with or without a unit", right)
    number = _number(match["number"])
    if number > LARGEST_NUMBER:
        raise ValueRefused(f"'{text}' is not a size that can be made", right)
    return (-number if match["sign"] == "-" else number), match["unit"] or ""


def _number(text: str) -> Fraction:
    if "/" not in text:
        return Fraction(text)
    *whole, ratio = re.split(r"[ -]", text)
    over, under = (int(part) for part in ratio.split("/"))
    if under == 0:
        raise ValueRefused(f"'{text}' divides by nought", "a fraction such as 1/2")
    if whole and over >= under:
        raise ValueRefused(
            f"the fraction in '{text}' is not below one", "a whole number and a part: 1-1/2"
        )
    return Fraction(over, under) + (int(whole[0]) if whole else 0)


def _tidy(text: str, right: str) -> str:
    if len(text) > _LONGEST_TEXT:
        raise ValueRefused(f"a text of {len(text)} characters is not a number", right)
    for sign, ratio in _VULGAR.items():
        text = text.replace(sign, f" {ratio} ")
    return " ".join(text.translate(_TYPOGRAPHY).split())


def _not_readable(text: str, what: str, right: str) -> ValueRefused:
    if re.search(r"[0-9],[0-9]", text):
        decimal = text.count(",") == 1 and "." not in text
        mended = text.replace(",", "." if decimal else "")
        return ValueRefused(
            f"'{text}' has a comma in a number; the decimal sign is a point", mended
        )
    if "," in text:
        return ValueRefused(f"'{text}' has a comma in it", right)
    if re.fullmatch(r"[+-]?\.?(inf|nan|infinity)", text.lower()):
        return ValueRefused(f"'{text}' is not a size that can be made", right)
    if re.fullmatch(r"[0-9.]+ ?(?:'|ft|feet|foot).*", text):
        return ValueRefused("feet are not read here", f"inches or millimetres: {_RIGHT_LENGTH}")
    two = re.fullmatch(r"-?([0-9]+(?:\.[0-9]+)?) ?(?:-|\.\.+) ?-?([0-9]+(?:\.[0-9]+)?)", text)
    if two:
        low, high = two.groups()
        return ValueRefused(f"'{text}' is not {what}", f"{low} to {high}, if a range is meant")
    return ValueRefused(f"'{text}' is not {what}" if text else "there is no number", right)


def _shown(value: object) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return f"'{str(value).lower()}'"
    if isinstance(value, (list, tuple)):
        return f"a list of {len(value)}"
    if isinstance(value, Mapping):
        return "a mapping"
    if isinstance(value, int):
        return "so large a number" if abs(value) > LARGEST_NUMBER else str(value)
    return str(value)[:_LONGEST_TEXT]


def _limits_two_sided(match: re.Match[str], units: Units) -> Limits:
    size_text, sign_1, text_1, sign_2, text_2 = match.groups()
    if sign_1 == sign_2:
        raise ValueRefused(
            f"'{match[0]}' has both tolerances on one side", "one plus and one minus: 150 +0.2 -0.5"
        )
    size, first, second = (_quantity(part, _RIGHT_LIMITS) for part in (size_text, text_1, text_2))
    stated = second[1] or first[1] or size[1]
    size, first, second = ((number, unit or stated) for number, unit in (size, first, second))
    plus, minus = (first, second) if sign_1 == "+" else (second, first)
    return _limits_about(size, plus, minus, units)


def _limits_about(
    size: _Quantity, plus: _Quantity | None, minus: _Quantity | None, units: Units
) -> Limits:
    zero = (Fraction(0), "")
    parts = (size, plus or zero, minus or zero)
    stated = next((unit for _, unit in reversed(parts) if unit), "")
    nominal, up, down = (
        _exact_millimetres(number, unit or stated, units) for number, unit in parts
    )
    return Limits(float(nominal - down), float(nominal), float(nominal + up))


def _limits_between(least: Fraction, most: Fraction) -> Limits:
    Interval(float(least), float(most))  # its message for a wrong order speaks of two numbers
    return Limits(float(least), float((least + most) / 2), float(most))


_MAPPING_FORMS = (
    ("nominal", "tolerance"),
    ("nominal", "plus", "minus"),
    ("least", "most"),
    ("least", "most", "nominal"),
)


def _limits_of_mapping(value: Mapping[str, object], units: Units) -> Limits:
    known = sorted({key for form in _MAPPING_FORMS for key in form})
    for key in value:
        if key not in known:
            raise ValueRefused(
                f"unknown key '{key}'{nearest(str(key), known)}", _forms_text(), (str(key),)
            )
    if not any(set(form) == set(value) for form in _MAPPING_FORMS):
        keys = ", ".join(value) or "none"
        raise ValueRefused(f"these keys do not go together: {keys}", _forms_text())
    read = {key: _exact_part(key, part, units) for key, part in value.items()}
    if "least" not in read:
        up = read.get("plus", read.get("tolerance", Fraction(0)))
        down = read.get("minus", read.get("tolerance", Fraction(0)))
        nominal = read["nominal"]
        return Limits(float(nominal - down), float(nominal), float(nominal + up))
    if "nominal" in read:
        return Limits(*(float(read[key]) for key in ("least", "nominal", "most")))
    return _limits_between(read["least"], read["most"])


def _exact_part(key: str | int, part: object, units: Units) -> Fraction:
    try:
        size = _exact_millimetres(*_quantity(part, _RIGHT_LENGTH), units)
    except ValueRefused as refused:
        raise ValueRefused(refused.problem, refused.right, (key,)) from None
    if key in ("plus", "minus", "tolerance") and size < 0:
        raise ValueRefused(f"'{key}' is below 0", "how far, without a sign", (key,))
    return size


def _forms_text() -> str:
    return " or ".join("{" + ", ".join(form) + "}" for form in _MAPPING_FORMS)
