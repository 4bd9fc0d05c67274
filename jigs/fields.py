"""Types for the fields of models that are read from YAML: lengths, limits, angles, shares.

Each reads what a person writes and holds what the library works with (mm, rad). A length without a
unit is in the unit that the validation context names (`{"units": Units.INCH}`); mm without one.
Defaults in a model are not read: they are in mm and rad already.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from pydantic import ConfigDict, Field, GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from jigs import units as written
from jigs.units import Interval, Limits, Units, ValueRefused, format_length

LARGEST_LENGTH = 20_000.0
"""mm; assumed: nothing in a wood shop is longer, so a larger number is a slip of the pen."""

LARGEST_ANGLE = 2.0 * math.pi
"""rad; assumed: one turn."""

READ_CONFIG = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
"""For every model that is read: unknown keys are refused, and what was read stays as it is."""


class Reader(ABC):
    """A marker for `Annotated`: how a value is read, and what a JSON schema says of it."""

    examples: ClassVar[tuple[object, ...]]
    description: ClassVar[str]

    @abstractmethod
    def read(self, value: Any, units: Units) -> object:
        """Return what the model holds. Raises ValueRefused (a ValueError)."""

    @abstractmethod
    def forms(self) -> list[dict[str, Any]]:
        """Return the JSON schemas of which a value has to fit one."""

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        def read(value: Any, info: ValidationInfo) -> object:
            context = info.context or {}
            return self.read(value, Units(context.get("units", Units.MM)))

        return core_schema.with_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        examples = list(self.examples)
        return {"anyOf": self.forms(), "description": self.description, "examples": examples}


@dataclass(frozen=True)
class LengthBounds:
    """Bounds of a length in mm; `above` leaves its own value out, the others take theirs in."""

    at_least: float = -LARGEST_LENGTH
    at_most: float = LARGEST_LENGTH
    above: float = -math.inf

    def check(self, mm: float, units: Units, what: str = "") -> None:
        """Raise ValueRefused, in the user's unit, if a length lies outside."""
        if not mm > self.above:
            self._refuse(f"must be above {format_length(self.above, units)}", mm, units, what)
        if not mm >= self.at_least:
            self._refuse(f"must be at least {format_length(self.at_least, units)}", mm, units, what)
        if not mm <= self.at_most:
            self._refuse(f"must be at most {format_length(self.at_most, units)}", mm, units, what)

    def _refuse(self, rule: str, mm: float, units: Units, what: str) -> None:
        least = f"from {format_length(self.at_least, units)}"
        if self.above >= self.at_least:
            least = f"above {format_length(self.above, units)}"
        edges = f"{least} to {format_length(self.at_most, units)}"
        subject = f"{what}, {format_length(mm, units)}, " if what else ""
        raise ValueRefused(f"{subject}{rule}", f"a length {edges}")


@dataclass(frozen=True)
class LengthReader(LengthBounds, Reader):
    """Reads a length into a float in mm."""

    examples = (38, "38 mm", "1-1/2 in")
    description = "a length: a number in the unit of the file, or text with a unit"

    def read(self, value: Any, units: Units) -> float:
        """Return mm. Raises ValueRefused."""
        mm = written.parse_length(value, units)
        self.check(mm, units)
        return mm

    def forms(self) -> list[dict[str, Any]]:
        """Return a number, or text with a unit."""
        return [{"type": "number"}, {"type": "string", "pattern": written.LENGTH_PATTERN}]


@dataclass(frozen=True)
class LimitsReader(LengthBounds, Reader):
    """Reads a length with limits into Limits in mm."""

    examples = ("150 ± 0.5", "31.5 to 36", "150 +0.2 -0.5", 38)
    description = "a length with its limits: text, a number (no tolerance) or a mapping"

    def read(self, value: Any, units: Units) -> Limits:
        """Return Limits in mm. Raises ValueRefused."""
        limits = value if isinstance(value, Limits) else written.parse_limits(value, units)
        self.check(limits.least, units, "the least")
        self.check(limits.most, units, "the most")
        return limits

    def forms(self) -> list[dict[str, Any]]:
        """Return a number, text, or one of the mappings."""
        length = {"type": ["number", "string"]}
        mappings = [
            {
                "type": "object",
                "properties": dict.fromkeys((*needed, *free), length),
                "required": list(needed),
                "additionalProperties": False,
            }
            for needed, free in (
                (("nominal", "tolerance"), ()),
                (("nominal", "plus", "minus"), ()),
                (("least", "most"), ("nominal",)),
            )
        ]
        return [{"type": "number"}, {"type": "string"}, *mappings]


@dataclass(frozen=True)
class IntervalReader(LengthBounds, Reader):
    """Reads a range of lengths into an Interval in mm."""

    examples = ("0 to 600", [0, 600], "-80 to 400")
    description = "a range of lengths, ends included"

    def read(self, value: Any, units: Units) -> Interval:
        """Return an Interval in mm. Raises ValueRefused."""
        interval = value if isinstance(value, Interval) else written.parse_interval(value, units)
        self.check(interval.least, units, "the least")
        self.check(interval.most, units, "the most")
        return interval

    def forms(self) -> list[dict[str, Any]]:
        """Return text such as `0 to 600`, or a list of two lengths."""
        pair = {
            "type": "array",
            "items": {"anyOf": LengthReader().forms()},
            "minItems": 2,
            "maxItems": 2,
        }
        return [{"type": "string", "pattern": " to "}, pair]


@dataclass(frozen=True)
class AngleReader(Reader):
    """Reads an angle in degrees into a float in rad, within one turn either way."""

    examples = (30, "22.5 deg")
    description = "an angle in degrees"

    def read(self, value: Any, units: Units) -> float:
        """Return rad. Raises ValueRefused."""
        angle = written.parse_angle(value)
        if not abs(angle) <= LARGEST_ANGLE:
            raise ValueRefused("must be within one turn", "-360 to 360 degrees")
        return angle

    def forms(self) -> list[dict[str, Any]]:
        """Return a number, or text with `deg`."""
        pattern = r"^[+-]?[0-9.]+ ?(deg|degrees|°)?$"
        return [{"type": "number", "minimum": -360, "maximum": 360}, _text(pattern)]


@dataclass(frozen=True)
class ShareReader(Reader):
    """Reads a share from 0 to 1, ends included."""

    examples = (0.15, "15 %")
    description = "a share from 0 to 1"

    def read(self, value: Any, units: Units) -> float:
        """Return the plain number. Raises ValueRefused."""
        share = written.parse_fraction(value)
        if not 0.0 <= share <= 1.0:
            raise ValueRefused("must be 0 to 1, no unit", "0.15 or 15 %, for example")
        return share

    def forms(self) -> list[dict[str, Any]]:
        """Return a number from 0 to 1, or a percentage."""
        return [{"type": "number", "minimum": 0, "maximum": 1}, _text(r"^[0-9.]+ ?%$")]


def _text(pattern: str) -> dict[str, Any]:
    return {"type": "string", "pattern": pattern}


Length = Annotated[float, LengthReader()]
PositiveLength = Annotated[float, LengthReader(above=0.0)]
LengthFromZero = Annotated[float, LengthReader(at_least=0.0)]
LimitsField = Annotated[Limits, LimitsReader()]
PositiveLimits = Annotated[Limits, LimitsReader(above=0.0)]
IntervalField = Annotated[Interval, IntervalReader()]
Angle = Annotated[float, AngleReader()]
Fraction01 = Annotated[float, ShareReader()]

# strict: `true` is not 1 and "3" is not 3
WholeNumber = Annotated[int, Field(strict=True)]
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
