"""A jig that is made: which of its numbers are in its parts, and which follow the piece by rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, cast

from jigs.errors import JigsError
from jigs.model.number import Book, Number, Standing, Value
from jigs.sizing import Design, Jig, Setup
from jigs.units import Units

BY_HAND = (Standing.GIVEN, Standing.MEASURED, Standing.BUILT)


class _Noting:
    """A book that notes which numbers it is asked for, not those behind them."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self.noted: dict[str, None] = {}

    def __getitem__(self, name: str) -> Number:
        self.noted[name] = None
        return self._book[name]

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        self.noted[name] = None
        return getattr(self._book, name)

    def __contains__(self, name: object) -> bool:
        return name in self._book

    def finds(self, name: str) -> bool:
        """Is the name known to the book?"""
        return self._book.finds(name)


def made_numbers(jig: Jig) -> tuple[str, ...]:
    """The jig's own numbers that its parts are made by, in the order of its rules."""
    noting = _Noting(jig.n)
    tuple(jig.kind.parts(cast(Book, noting)))
    return tuple(name for name in jig.kind.rules.cards if name in noting.noted)


def dimensions(jig: Jig) -> tuple[str, ...]:
    """Those of its made numbers without which a part would look otherwise, found by trying.

    The rest says where parts stand, or is worked out from the others.
    """
    as_is = _rounded(tuple(jig.kind.parts(jig.n)))

    def shapes_a_part(name: str) -> bool:
        other = Book(jig.name, [_moved(jig.n[name])], outer=[jig.n])
        try:
            return bool(_rounded(tuple(jig.kind.parts(other))) != as_is)
        except (JigsError, ArithmeticError, ValueError, LookupError, TypeError):
            return True

    return tuple(name for name in made_numbers(jig) if shapes_a_part(name))


def _rounded(value: Any) -> Any:
    """Plain data to a millionth: a part that has only summation noise is the same part."""
    if isinstance(value, float):
        return round(value, 6) + 0.0
    if isinstance(value, tuple | list):
        return tuple(_rounded(v) for v in value)
    if is_dataclass(value):
        return tuple(_rounded(getattr(value, f.name)) for f in fields(value))
    return value


def _moved(n: Number) -> Number:
    """The number a little larger; words and truths made others."""
    value = n.value
    if isinstance(value, bool):
        return replace(n, value=not value)
    if isinstance(value, int):
        return replace(n, value=value + 1)
    if isinstance(value, float):
        return replace(n, value=value + 0.01)
    if isinstance(value, tuple):
        return replace(n, value=tuple(v + 0.01 if isinstance(v, float) else v for v in value))
    return replace(n, value=f"{value} of another size")


@dataclass(frozen=True)
class Trace:
    """Follows numbers of a setup down to the sizes of its piece."""

    setup: Setup

    def reaches(
        self, jig: Jig, name: str, stops: frozenset[tuple[str, str]], *, nominal: bool
    ) -> tuple[str, ...]:
        """Sizes of the piece that a number follows from by rule.

        Parameters: stops = (jig, number) that are taken as they are; nominal = whether sizes of
        the nominal piece count, which only say where the work zero is.
        """
        found: dict[str, None] = {}
        self._walk(jig.n, name, stops, found, {(jig.n.owner, name)})
        return tuple(size for size in found if nominal or not size.endswith("_nominal"))

    def _walk(
        self, book: Book, name: str, stops: frozenset[tuple[str, str]], found: dict[str, None],
        seen: set[tuple[str, str]],
    ) -> None:  # fmt: skip
        number = book[name]
        if number.standing in BY_HAND:
            return
        for asked in number.inputs:
            place = self._owner(book, asked)
            if place is None or (place[0].owner, place[1]) in seen | stops:
                continue
            owner, theirs = place
            seen.add((owner.owner, theirs))
            if owner.owner == self.setup.model.piece:
                if owner[theirs].unit == "mm":
                    found[theirs] = None
            else:
                self._walk(owner, theirs, stops, found, seen)

    def _owner(self, book: Book, name: str) -> tuple[Book, str] | None:
        """Who answers for a name that a book asks for, and by what name."""
        if name in book and book is not self.setup.n:
            return book, name
        for outer in self.setup.n.outer:
            if outer.finds(name):
                return next(((b, name) for b in _with_outer(outer) if name in b), None)
        for jig in self.setup.jigs:
            offers = jig.kind.offers(jig.n)
            if name in offers:
                return jig.n, offers[name]
        return None


def _with_outer(book: Book) -> Iterator[Book]:
    yield book
    for outer in book.outer:
        yield from _with_outer(outer)


def all_made(setup: Setup) -> frozenset[tuple[str, str]]:
    """(jig, number) of every made number of a setup."""
    return frozenset((jig.name, name) for jig in setup.jigs for name in made_numbers(jig))


def frozen(setup: Setup) -> dict[str, Value]:
    """Qualified numbers that keep jigs as they are whatever the piece: for `design(changes=)`.

    What is made and would follow the piece; counts from which a frozen list follows; and torques,
    which the operator is told once for the batch.
    """
    trace, stops = Trace(setup), all_made(setup)
    kept: dict[str, Value] = {}
    for jig in setup.jigs:
        made = {name for owner, name in stops if owner == jig.name}
        for name, card in jig.kind.rules.cards.items():
            told = card.unit == "N mm" and name.endswith("torque") and card.settable
            if name not in made and not told:
                continue
            if trace.reaches(jig, name, stops - {(jig.name, name)}, nominal=False):
                kept[f"{jig.name}.{name}"] = jig.n[name].value
                kept.update(_counts_behind(jig, name))
    return kept


def _counts_behind(jig: Jig, name: str) -> dict[str, Value]:
    """Whole numbers that say how many values a list has."""
    if not isinstance(jig.n[name].value, tuple):
        return {}
    return {
        f"{jig.name}.{asked}": jig.n[asked].value
        for asked in jig.n[name].inputs
        if asked in jig.kind.rules.cards and isinstance(jig.n[asked].value, int)
    }


@dataclass(frozen=True)
class Loose:
    """A dimension of a built jig that still follows the new batch, and the sizes it follows."""

    jig: str
    number: str
    value: Value
    follows: tuple[str, ...]


def still_following(setup: Setup) -> list[Loose]:
    """Of jigs with measured numbers, the dimensions that still follow the piece by rule."""
    trace = Trace(setup)
    loose = []
    for jig in setup.jigs:
        if not is_built(jig):
            continue
        for name in dimensions(jig):
            follows = trace.reaches(jig, name, frozenset(), nominal=True)
            if follows and jig.n[name].standing not in BY_HAND:
                loose.append(Loose(jig.name, name, jig.n[name].value, follows))
    return loose


def is_built(jig: Jig) -> bool:
    """Has any of the jig's numbers been measured on the jig that exists?"""
    return any(jig.n[name].standing is Standing.BUILT for name in jig.n)


def built_section(d: Design, setup: Setup, jig: Jig) -> str:
    """A `built:` section with every dimension of the present design that follows the piece.

    What is worked out from the other dimensions alone is left out. Lengths in mm, as text with a
    unit where the job is in inches. To be pasted below the jig in the next job, each value replaced
    by what is measured.
    """
    trace, cards = Trace(setup), jig.kind.rules.cards
    inch = d.job.model.units is Units.INCH
    lines = ["built:"]
    sizes = dimensions(jig)
    for name in sizes:
        others = frozenset((jig.name, other) for other in sizes if other != name)
        worked_out = cards[name].source.startswith("derived") and not trace.reaches(
            jig, name, others, nominal=True
        )
        follows = trace.reaches(jig, name, frozenset(), nominal=True)
        if cards[name].settable and follows and not worked_out:
            n = jig.n[name]
            lines.append(f"  {name}: {_as_yaml(n.value, n.unit, inch)}  # {n.meaning}")
    if "liner_thickness" in jig.n:
        n = jig.n["liner_thickness"]
        lines.append(f"  liner_thickness: {_as_yaml(n.value, n.unit, inch)}  # {n.meaning}")
    return "\n".join(lines) + "\n"


def _as_yaml(value: Value, unit: str, inch: bool) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, tuple):
        return "[" + ", ".join(_as_yaml(v, unit, inch) for v in value) + "]"
    if isinstance(value, str):
        return f"'{value}'"
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return f"{text} mm" if inch and unit == "mm" else text


__all__ = [
    "Loose", "Trace", "all_made", "built_section", "dimensions", "frozen", "is_built",
    "made_numbers", "still_following",
]  # fmt: skip
