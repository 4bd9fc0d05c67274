"""Going through the questions with somebody who answers well, badly, or not at all."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import pytest

from jigs.errors import ReadingError
from jigs.starting import Answers, Question, ask_all
from jigs.starting.sections import SECTIONS, questions


@dataclass
class Person:
    """Types the answers kept for a question, then takes what is offered."""

    answers: dict[str, list[str]] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    offered: dict[str, str] = field(default_factory=dict)

    def section(self, title: str) -> None:
        assert title in {section.title for section in SECTIONS}

    def ask(self, question: Question, offered: str) -> str:
        self.asked.append(question.key)
        self.offered[question.key] = offered
        mine = self.answers.get(question.key, [])
        return mine.pop(0) if mine else offered

    def refuse(self, why: str) -> None:
        self.refused.append(why)


def answered(person: Person | None, flags: dict[str, str] | None = None) -> Answers:
    return ask_all(Answers(Path("shop")), flags or {}, person)


def test_few_questions_are_put_and_none_twice():
    person = Person()
    answered(person)
    assert len(person.asked) == len(set(person.asked)) <= 40
    assert person.refused == []


def test_only_what_comes_up_is_asked():
    person = Person({"pieces": ["bars"], "table_fixing": ["holes"]})
    a = answered(person)
    assert {"table_thread", "table_holes"} <= set(person.asked)
    assert not {"front", "grip", "lining", "mark_cutter", "table_slots"} & set(person.asked)
    assert "taper" not in a.values


def test_a_wrong_answer_is_asked_again_with_the_reason():
    person = Person({"under_gantry": ["16 kg", "-5", "150"], "units": ["feet", "mm"]})
    a = answered(person)
    assert a.text("under_gantry") == "150"
    assert a.text("units") == "mm"
    assert [why for why in person.refused if "'kg' is not a unit" in why]
    assert [why for why in person.refused if "must be above" in why]
    assert person.asked.count("under_gantry") == 3


def test_answers_that_do_not_go_together_are_asked_again_with_what_was_typed():
    """The slots, nine of them from 60 on, run off a table 300 wide."""
    person = Person({"table": ["300, 400, 30"], "table_slots": ["60, 60, 9", "60, 60, 4"]})
    a = answered(person)
    (why,) = person.refused
    assert "is not on the table" in why
    assert "in brackets" in why
    assert person.offered["table"] == "300, 400, 30"
    assert a.part("table_slots", "how many") == "4"


def test_what_is_offered_follows_the_answers_before():
    person = Person({"table": ["900, 700, 40"]})
    answered(person)
    assert person.offered["travel_x"] == "0 to 900"
    assert person.offered["table_slots"] == "60, 60, 14"
    assert person.offered["front"].startswith("40, ")
    assert person.offered["front_slots"] == "100, 100, 3"


def test_flags_are_not_asked_again():
    person = Person()
    a = answered(person, {"pieces": "bars", "bar_width": "40 ± 0.2", "bar_count": "8"})
    assert not {"pieces", "bar_width", "bar_count"} & set(person.asked)
    assert a.text("bar_width") == "40 ± 0.2"
    assert a.text("bar_count") == "8"


def test_a_flag_that_clashes_is_put_as_a_question():
    person = Person({"table_slots": ["60, 60, 4"]})
    a = answered(person, {"table": "300, 400, 30", "table_slots": "60, 60, 9"})
    assert len(person.refused) == 1
    assert a.part("table_slots", "how many") == "4"


@pytest.mark.parametrize(
    ("flags", "place", "says"),
    [
        ({"under_gantry": "5 kg"}, "--under-gantry", "'kg' is not a unit"),
        ({"grip": "2, 62"}, "--grip", "lies on the dome"),
        ({"table_thread": "M6"}, "--table-thread", "does not come up"),
        ({"pieces": "bars", "grip": "9, 62"}, "--grip", "does not come up"),
        ({"turned_name": "ring"}, "--turned-name", "name of a jig"),
        ({"turned_name": "post"}, "The squared blanks", "same name"),
        ({"machine_name": "¿?"}, "--machine-name", "cannot be a name"),
        ({"job": "con"}, "--job", "Windows"),
        ({"turned_length": "50 ± 1"}, "--turned-length", "must grow"),
        ({"bar_wood": "unobtainium"}, "--bar-wood", "has no 'unobtainium'"),
        ({"front_slots": "20, 100, 3"}, "--front-slots", "front face"),
        ({"table": "600, 400, 10"}, "--table", "deep"),
    ],
)
def test_without_anybody_to_ask_a_wrong_flag_is_an_error_with_its_name(
    flags: dict[str, str], place: str, says: str
):
    with pytest.raises(ReadingError) as refused:
        answered(None, flags)
    assert place in str(refused.value.place)
    assert says in refused.value.problem


def test_every_question_has_words_a_flag_and_an_offer_that_its_form_takes():
    keys = [question.key for question in questions()]
    assert len(keys) == len(set(keys))
    for fixing in ("slots", "holes", "spoilboard"):
        for units in ("mm", "inch"):
            flags = {"units": units, "table_fixing": fixing}
            a = answered(None, flags)
            assert set(a.values) <= set(keys)
    assert all(question.words.endswith("?") for question in questions())
