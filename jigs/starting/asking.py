"""Going through the questions: flags first, then whoever is asked, and again what cannot be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from jigs.errors import Place, ReadingError
from jigs.starting.answers import Answers
from jigs.starting.filling import check_part
from jigs.starting.forms import Answer
from jigs.starting.questions import Question, Section
from jigs.starting.sections import SECTIONS
from jigs.units import ValueRefused


class Asker(Protocol):
    """Whoever answers: a person at a terminal."""

    def section(self, title: str) -> None:
        """Say what the next questions are about."""
        ...

    def ask(self, question: Question, offered: str) -> str:
        """Put a question and return the answer; what is offered where nothing is typed."""
        ...

    def refuse(self, why: str) -> None:
        """Say why an answer is asked for again."""
        ...


def ask_all(a: Answers, flags: Mapping[str, str], asker: Asker | None) -> Answers:
    """Answer every question, from flags, by asking, or by what is offered (asker = None).

    Parameters: a = what is known beforehand; it is filled and returned; flags = texts by the
    question's key. Raises ReadingError for a flag or an offer that cannot be, and for a flag whose
    question does not come up.
    """
    for section in SECTIONS:
        if section.when(a):
            _Round(section, a, flags, asker).answer()
    idle = [question for section in SECTIONS for question in section.questions
            if question.key in flags and question.key not in a.values]  # fmt: skip
    if idle:
        raise ReadingError(
            Place(idle[0].flag), "this does not come up with the other answers",
            flags[idle[0].key], "leave it out",
        )  # fmt: skip
    return a


@dataclass
class _Round:
    """One section; asked anew, with the answers as what is offered, until they go together."""

    section: Section
    a: Answers
    flags: Mapping[str, str]
    asker: Asker | None
    before: dict[str, str] = field(default_factory=dict)

    def answer(self) -> None:
        """Ask until the answers go together. Raises ReadingError where nobody can be asked."""
        if self.asker is not None and any(self._puts(q) for q in self.section.questions):
            self.asker.section(self.section.title)
        while not self._go_together():
            self.before = {
                question.key: _as_typed(self.a.values[question.key])
                for question in self.section.questions if question.key in self.a.values
            }  # fmt: skip

    def _go_together(self) -> bool:
        for question in self.section.questions:
            self.a.values.pop(question.key, None)
        for question in self.section.questions:
            if question.when(self.a):
                self.a.values[question.key] = self._one(question)
        try:
            if self.section.part:
                check_part(self.a, self.section.part)
        except ValueRefused as refused:
            given = [q.flag for q in self.section.questions if q.key in self.flags]
            if self.asker is None or not any(self._puts(q) for q in self.section.questions):
                place = Place(", ".join(given) or self.section.title)
                raise ReadingError(place, refused.problem, right=refused.right) from None
            self.asker.refuse(f"{_told(refused)}. Once more, with your answers in brackets:")
            return False
        return True

    def _puts(self, question: Question) -> bool:
        """Is it put to whoever is asked? After a clash, what came by flag is put as well."""
        by_flag = question.key in self.flags and not self.before
        return question.asked and not by_flag and question.when(self.a)

    def _one(self, question: Question) -> Answer:
        offered = self.before.get(question.key) or question.offer(self.a)
        if self.asker is not None and self._puts(question):
            return self._asked(question, offered, self.asker)
        text = self.flags.get(question.key, offered).strip()
        try:
            return self._read(question, text)
        except ValueRefused as refused:
            place = Place(question.flag)
            raise ReadingError(place, refused.problem, text, refused.right) from None

    def _asked(self, question: Question, offered: str, asker: Asker) -> Answer:
        while True:
            try:
                return self._read(question, asker.ask(question, offered).strip())
            except ValueRefused as refused:
                asker.refuse(_told(refused))

    def _read(self, question: Question, text: str) -> Answer:
        taken = question.form_for(self.a).take(text, self.a.units)
        question.allows(self.a, taken)
        return taken


def _as_typed(answer: Answer) -> str:
    return answer if isinstance(answer, str) else ", ".join(answer.values())


def _told(refused: ValueRefused) -> str:
    return f"{refused.problem}; right: {refused.right}" if refused.right else refused.problem
