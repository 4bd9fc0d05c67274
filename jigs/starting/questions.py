"""What is asked, in this order, and what is offered: an invented shop that goes together.

What is offered follows from what was answered before, so that a table of another size gets its
slots, and the travel its table. None of it is a measure of anybody's machine.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from jigs.reading.names import usable_name
from jigs.starting.answers import Answers
from jigs.starting.forms import Answer, Choice, Form, Words
from jigs.starting.paths import file_stem, job_file, machine_file
from jigs.units import MM_PER_INCH, ValueRefused

Offer = Callable[[Answers], str]
When = Callable[[Answers], bool]
Allows = Callable[[Answers, Answer], None]


def always(_: Answers) -> bool:
    """Whatever was answered before."""
    return True


def anything(_: Answers, answer: Answer) -> None:
    """Allow every answer that could be read."""


@dataclass(frozen=True)
class Question:
    """One question.

    Parameters: key = of the answer; with hyphens it is the flag; words = the question; hint = how
    it is measured or what follows from it; form = how the answer is read; offer = what is offered;
    when = whether it is put at all; asked = False where only a flag changes what is offered;
    allows = raises ValueRefused for an answer that can be read and yet not be used.
    """

    key: str
    words: str
    form: Form | Callable[[Answers], Form]
    offer: Offer
    hint: str = ""
    when: When = always
    asked: bool = True
    allows: Allows = anything

    def form_for(self, answers: Answers) -> Form:
        """How the answer is read, given the answers so far."""
        return self.form(answers) if callable(self.form) else self.form

    @property
    def flag(self) -> str:
        """`--table-slots`."""
        return "--" + self.key.replace("_", "-")


@dataclass(frozen=True)
class Section:
    """Questions that belong together; `part` = the template that they fill and that is checked."""

    title: str
    questions: tuple[Question, ...]
    part: str = ""
    when: When = field(default=always)


def same(mm: str, inch: str) -> Offer:
    """Offer one of two texts, by the unit."""
    return lambda a: a.either(mm, inch)


def word(text: str) -> Offer:
    """Offer the same in both units."""
    return lambda _: text


def title(text: str) -> str:
    """What a batch is called must leave the name of a file. Raises ValueRefused."""
    return usable_name(file_stem(text))


def job_name_is_free(a: Answers, answer: Answer) -> None:
    """Refuse a batch's name whose file is there already."""
    assert isinstance(answer, str)
    path = job_file(a, answer)
    if path.exists():
        raise ValueRefused(f"{path} is there already", "another name for the batch")


def machine_name_is_free(a: Answers, answer: Answer) -> None:
    """Refuse a machine's name whose file is there already."""
    assert isinstance(answer, str)
    path = job_file(a).parent / machine_file(a, answer)
    if path.exists():
        raise ValueRefused(f"{path} is there already",
                           f"another name, or begin with --machine {path}")  # fmt: skip


_BATCHES = {
    "turned": ("allotment dibbers", "step stool knobs"),
    "bars": ("allotment marker posts", "step stool legs"),
    "both": ("allotment dibbers and marker posts", "step stool legs and knobs"),
}


def _pieces_there_are(a: Answers) -> Form:
    front = a.machine is None or a.machine.front_face is not None
    return Choice(("turned", "bars", "both") if front else ("bars",))


START = Section(
    "The batch",
    (
        Question("units", "Do you measure in mm or in inch?", Choice(("mm", "inch")), word("mm"),
                 "any length may still be given in the other: 1-1/2 in, 38 mm"),
        Question("pieces", "What has ends to be machined: turned, bars or both?",
                 _pieces_there_are,
                 lambda a: "both" if a.machine is None or a.machine.front_face else "bars",
                 "turned = handles with a domed end, which get a mark; they hang in front of the "
                 "table in a split ring, and a gauge sets their height. bars = squared blanks, "
                 "which get a joint in the end; they stand on the table in an end-grain clamp"),
        Question("job", "What do you call the batch?",
                 Words(title, "a name with a letter first: the file is named after it"),
                 lambda a: a.either(*_BATCHES[a.text("pieces")]), allows=job_name_is_free),
        Question("hardware", "Which bolts can you buy: metric or inch?",
                 Choice(("metric", "inch")), same("metric", "inch"), asked=False),
    ),
)  # fmt: skip


def without_machine(a: Answers) -> bool:
    """Is the machine still to be described?"""
    return a.machine is None


def fitting(key: str, *words: str) -> When:
    """Was one of these ways of fixing answered?"""
    return lambda a: a.text(key) in words


def every(a: Answers, length: float, mm: float, inch: float) -> str:
    """`60, 60, 9`: as many as lie within a length at that spacing, from one spacing on."""
    pitch = inch * MM_PER_INCH if a.inch else mm
    count = max(1, int((length - 0.5 * pitch) / pitch))
    return f"{a.written(pitch)}, {a.written(pitch)}, {count}"


def grid(a: Answers, width: float, depth: float) -> str:
    """`25, 25, 50, 12, 8`: a grid of holes over a face, half a spacing in from its edges."""
    pitch = 2 * MM_PER_INCH if a.inch else 50.0
    columns, rows = (max(1, int(size / pitch)) for size in (width, depth))
    return f"{a.written(pitch / 2)}, {a.written(pitch / 2)}, {a.written(pitch)}, {columns}, {rows}"
