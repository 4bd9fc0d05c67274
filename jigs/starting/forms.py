"""How an answer is read: the reader's own units code decides, the words stay as they were typed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from jigs.errors import TableError, nearest
from jigs.fields import IntervalReader, LengthReader, LimitsReader, Reader
from jigs.units import Units, ValueRefused

Answer = str | Mapping[str, str]
"""One text, or the texts of several values by their names; each as it will stand in the file."""

_LONGEST = 80


class Form(Protocol):
    """What kind of answer is wanted."""

    @property
    def shown(self) -> str:
        """The form in a word or two, for the help of a flag."""
        ...

    def take(self, text: str, units: Units) -> Answer:
        """Return the answer. Raises ValueRefused with the reason and what would be right."""
        ...


@dataclass(frozen=True)
class Value:
    """One length, range or length with limits, read as the job file will read it."""

    reader: Reader

    @property
    def shown(self) -> str:
        """An example of it."""
        return {LengthReader: "LENGTH", LimitsReader: "LIMITS", IntervalReader: "RANGE"}.get(
            type(self.reader), "VALUE"
        )

    def take(self, text: str, units: Units) -> str:
        """Return the text. Raises ValueRefused."""
        self.reader.read(text, units)
        return text


@dataclass(frozen=True)
class Whole:
    """A whole number within bounds."""

    least: int = 1
    most: int = 1_000_000

    @property
    def shown(self) -> str:
        """The form in a word."""
        return "COUNT"

    def take(self, text: str, units: Units) -> str:
        """Return the number's text. Raises ValueRefused."""
        right = f"a whole number from {self.least} to {self.most:,}, without a unit"
        if not re.fullmatch(r"[0-9]{1,9}", text):
            raise ValueRefused(f"'{text}' is not a whole number", right)
        if not self.least <= int(text) <= self.most:
            raise ValueRefused(f"{text} is out of range", right)
        return str(int(text))


@dataclass(frozen=True)
class Amount:
    """A plain number within bounds, of something that is not a length."""

    least: float
    most: float
    of: str

    @property
    def shown(self) -> str:
        """The form in a word."""
        return "NUMBER"

    def take(self, text: str, units: Units) -> str:
        """Return the number's text. Raises ValueRefused."""
        right = f"{self.of}: a number from {self.least:g} to {self.most:g}, without a unit"
        if not re.fullmatch(r"[0-9]+(\.[0-9]+)?", text):
            raise ValueRefused(f"'{text}' is not a plain number", right)
        if not self.least <= float(text) <= self.most:
            raise ValueRefused(f"{text} is out of range", right)
        return text


@dataclass(frozen=True)
class Several:
    """Values that are measured together, with commas between them."""

    forms: Mapping[str, Form]

    @property
    def shown(self) -> str:
        """The names of the values."""
        return ",".join(name.upper() for name in self.forms)

    def take(self, text: str, units: Units) -> Mapping[str, str]:
        """Return the texts by name. Raises ValueRefused."""
        parts = [part.strip() for part in re.split(r"[,;×]| x ", text)]
        names = list(self.forms)
        wanted = f"{len(names)} values, in this order: {', '.join(names)}"
        if len(parts) != len(names):
            found = f"{len(parts)} value{'s' * (len(parts) != 1)} in '{text}'"
            raise ValueRefused(found, f"{wanted}; a comma parts them, the decimal sign is a point")
        taken: dict[str, str] = {}
        for name, part in zip(names, parts, strict=True):
            try:
                answer = self.forms[name].take(part, units)
            except ValueRefused as refused:
                raise ValueRefused(f"{name}: {refused.problem}", refused.right) from None
            assert isinstance(answer, str)
            taken[name] = answer
        return taken


@dataclass(frozen=True)
class Choice:
    """One of a few words; the beginning of one will do."""

    words: Sequence[str]

    @property
    def shown(self) -> str:
        """The words."""
        return "|".join(self.words)

    def take(self, text: str, units: Units) -> str:
        """Return the word. Raises ValueRefused with the nearest."""
        meant = text.casefold()
        exact = [word for word in self.words if word.casefold() == meant]
        begun = [word for word in self.words if meant and word.casefold().startswith(meant)]
        found = exact or begun
        if len(found) != 1:
            raise ValueRefused(
                f"'{text}' is not one of the choices{nearest(text, self.words)}",
                ", ".join(self.words),
            )
        return found[0]


@dataclass(frozen=True)
class Words:
    """Free words that may be checked further."""

    check: Callable[[str], object] = str
    right: str = "a few words"

    @property
    def shown(self) -> str:
        """The form in a word."""
        return "TEXT"

    def take(self, text: str, units: Units) -> str:
        """Return the text. Raises ValueRefused."""
        if not 0 < len(text) <= _LONGEST or not text.isprintable():
            raise ValueRefused(
                f"{len(text)} characters, or some that do not print",
                f"{self.right}: 1 to {_LONGEST} plain characters",
            )
        try:
            self.check(text)
        except TableError as unknown:
            raise ValueRefused(str(unknown), self.right) from None
        return text


LENGTH = Value(LengthReader(above=0.0))
FROM_ZERO = Value(LengthReader(at_least=0.0))
LIMITS = Value(LimitsReader(above=0.0))
RANGE = Value(IntervalReader())


def lengths(*names: str) -> Several:
    """Several lengths above zero, by name."""
    return Several(dict.fromkeys(names, LENGTH))
