"""Numbers that can be read back: every one knows where it came from.

A **rule** is a plain typed function; its parameter names are the names of the numbers it reads.
`Book` resolves names to numbers lazily, records the trace, and lets a given, measured or built
value take the place of a rule's result.
"""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any, TypeVar

from jigs.errors import DesignError, TableError, nearest

Value = float | int | str | bool | tuple[Any, ...]
Rule = Callable[..., Any]
_R = TypeVar("_R", bound=Rule)


class Standing(StrEnum):
    """Where a number comes from."""

    GIVEN = "given"
    MEASURED = "measured"
    BUILT = "built"
    RULE = "by rule"
    TABLE = "from a table"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class Number:
    """One named value with its unit, standing and trace.

    `inputs` are the names that the rule read; `source` is a standard, a handbook, "derived" for
    exact geometry, or "common practice, no source"; `where` is the place in the user's file.
    """

    name: str
    value: Value
    unit: str = "mm"
    standing: Standing = Standing.RULE
    meaning: str = ""
    inputs: tuple[str, ...] = ()
    source: str = ""
    where: str = ""
    instead_of: Value | None = None
    """What the rule would have said, where the user's value replaced it."""

    def __post_init__(self) -> None:
        values = self.value if isinstance(self.value, tuple) else (self.value,)
        for value in values:
            if isinstance(value, float) and not math.isfinite(value):
                raise DesignError(
                    self.name,
                    f"comes out as {value}",
                    f"look at what it is made from: {', '.join(self.inputs)}",
                )


@dataclass(frozen=True, slots=True)
class RuleCard:
    """A rule as the resolver and `jigs explain` see it."""

    name: str
    call: Rule
    inputs: tuple[str, ...]
    unit: str
    meaning: str
    source: str
    standing: Standing
    settable: bool = True


@dataclass
class Rules:
    """The sizing rules of one kind of jig, collected by decorating plain functions."""

    cards: dict[str, RuleCard] = field(default_factory=dict)

    def __call__(
        self,
        unit: str = "mm",
        *,
        source: str,
        standing: Standing = Standing.RULE,
        settable: bool = True,
    ) -> Callable[[_R], _R]:
        """Register a function as the rule for the number of the same name.

        The first paragraph of its docstring is the number's meaning. `settable` says whether the
        user may put a value in its place: not where it merely tells what piece and machine are.
        """

        def register(call: _R) -> _R:
            name = call.__name__
            if name in self.cards:
                raise TypeError(f"two rules for {name}")
            meaning = " ".join((inspect.getdoc(call) or "").split("\n\n")[0].split())
            inputs = tuple(inspect.signature(call).parameters)
            self.cards[name] = RuleCard(
                name, call, inputs, unit, meaning, source, standing, settable
            )
            return call

        return register


class Book(Mapping[str, Number]):
    """The numbers of one jig, piece or setup: facts, rules, and who may be asked next.

    `facts` stand as they are. `replaced` are the user's values for names that have a rule.
    `outer` are asked, in order, for names that are not known here.
    """

    def __init__(
        self,
        owner: str,
        facts: Iterable[Number] = (),
        rules: Rules | None = None,
        replaced: Mapping[str, Number] | None = None,
        outer: Iterable[Book] = (),
    ) -> None:
        self.owner = owner
        self._facts = {number.name: number for number in facts}
        self._cards = dict(rules.cards) if rules else {}
        self._replaced = dict(replaced or {})
        self.outer = list(outer)
        self._known: dict[str, Number] = {}
        self._busy: list[str] = []
        for name in self._replaced:
            if name not in self._cards:
                raise DesignError(
                    f"{owner}.{name}", f"there is no such number{nearest(name, list(self._cards))}"
                )

    def __iter__(self) -> Iterator[str]:
        yield from self._facts
        yield from self._cards

    def __len__(self) -> int:
        return len(self._facts) + len(self._cards)

    def __contains__(self, name: object) -> bool:
        return name in self._facts or name in self._cards

    def __getitem__(self, name: str) -> Number:
        if name in self._known:
            return self._known[name]
        if name in self._facts:
            number = self._facts[name]
        elif name in self._cards:
            number = self._resolve(self._cards[name])
        else:
            number = self._ask_outer(name)
        self._known[name] = number
        return number

    def __getattr__(self, name: str) -> Any:
        """The bare value: `n.bore_radius`."""
        if name.startswith("_"):
            raise AttributeError(name)
        try:
            return self[name].value
        except KeyError:
            raise AttributeError(f"{self.owner} has no number '{name}'") from None

    def finds(self, name: str) -> bool:
        """Is the name known here or to anybody who is asked next?"""
        return name in self or any(book.finds(name) for book in self.outer)

    def _ask_outer(self, name: str) -> Number:
        for book in self.outer:
            if book.finds(name):
                return book[name]
        raise KeyError(name)

    def _resolve(self, card: RuleCard) -> Number:
        if card.name in self._busy:
            ring = [*self._busy[self._busy.index(card.name) :], card.name]
            raise DesignError(self.owner, f"these numbers wait for each other: {' <- '.join(ring)}")
        self._busy.append(card.name)
        try:
            return self._apply(card)
        finally:
            self._busy.pop()

    def _apply(self, card: RuleCard) -> Number:
        by_hand = self._replaced.get(card.name)
        try:
            value = self._call(card)
        except DesignError:
            if by_hand is None:
                raise
            value = None
        if by_hand is not None:
            self._same_length(card, by_hand, value)
            return replace(
                by_hand, unit=card.unit, meaning=card.meaning, inputs=card.inputs, instead_of=value
            )
        return Number(
            card.name, value, card.unit, card.standing, card.meaning, card.inputs, card.source
        )

    def _same_length(self, card: RuleCard, by_hand: Number, value: Any) -> None:
        """A list in the place of a rule's list has as many values."""
        lists = isinstance(by_hand.value, tuple) and isinstance(value, tuple)
        if lists and len(by_hand.value) != len(value):  # type: ignore[arg-type]
            place = f" ({by_hand.where})" if by_hand.where else ""
            raise DesignError(
                f"{self.owner}.{card.name}",
                f"has {len(by_hand.value)} values{place}, and {len(value)} are wanted",  # type: ignore[arg-type]
                f"{len(value)} values, by rule {', '.join(f'{v:g}' for v in value)}",
            )

    def _call(self, card: RuleCard) -> Any:
        """Run the rule; whatever goes wrong in it names the number and what it was made from."""
        inputs = {name: self[name].value for name in card.inputs}
        try:
            return card.call(**inputs)
        except DesignError as error:
            places = [self[name].where for name in inputs if self[name].where]
            known = f" ({', '.join(dict.fromkeys(places))})" if places else ""
            raise DesignError(
                f"{self.owner}.{card.name}", error.reason + known, error.remedy
            ) from error
        except (ArithmeticError, ValueError, LookupError, TypeError, TableError) as error:
            told = ", ".join(self._told(name) for name in inputs)
            raise DesignError(f"{self.owner}.{card.name}", f"{error} ({told})") from error

    def _told(self, name: str) -> str:
        """`grip_to = 62 in allotment.yaml:18`, for messages."""
        number = self[name]
        return f"{name} = {number.value}" + (f" in {number.where}" if number.where else "")
