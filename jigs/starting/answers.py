"""What has been answered so far, and lengths worked out from it for what is offered next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from jigs.fields import LengthReader
from jigs.shop.machine import Machine
from jigs.starting.forms import Answer
from jigs.units import MM_PER_INCH, Units, parse_limits


@dataclass
class Answers:
    """Answers by the key of their question.

    Parameters: folder = where the files will go; file = the job file, if the user named it;
    machine, machine_path = a machine that is described already, and its path as seen from the job
    file.
    """

    folder: Path
    file: Path | None = None
    machine: Machine | None = None
    machine_path: str = ""
    values: dict[str, Answer] = field(default_factory=dict)

    @property
    def units(self) -> Units:
        """The unit of lengths that are typed without one."""
        return Units(self.text("units")) if "units" in self.values else Units.MM

    @property
    def inch(self) -> bool:
        """Are lengths in inches?"""
        return self.units is Units.INCH

    @property
    def turned(self) -> bool:
        """Are there turned pieces?"""
        return self.text("pieces") in ("turned", "both")

    @property
    def bars(self) -> bool:
        """Are there squared blanks?"""
        return self.text("pieces") in ("bars", "both")

    def text(self, key: str) -> str:
        """The answer to a question that asks for one value; empty before it was asked."""
        found = self.values.get(key, "")
        assert isinstance(found, str)
        return found

    def part(self, key: str, name: str) -> str:
        """One of several values of an answer."""
        found = self.values[key]
        assert isinstance(found, Mapping)
        return found[name]

    def mm(self, key: str, name: str = "") -> float:
        """A length that was answered, mm."""
        written = self.part(key, name) if name else self.text(key)
        return LengthReader().read(written, self.units)

    def least(self, key: str) -> float:
        """The lower limit of an answer with limits, mm."""
        return parse_limits(self.text(key), self.units).least

    def written(self, mm: float) -> str:
        """A length worked out, as it will stand in the file, without a unit."""
        value = mm / MM_PER_INCH if self.inch else mm
        text = f"{value:.4f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text

    def either(self, mm: str, inch: str) -> str:
        """What is offered in one unit or the other."""
        return inch if self.inch else mm
