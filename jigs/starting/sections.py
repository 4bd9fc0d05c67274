"""All sections of questions, in the order in which they are put."""

from __future__ import annotations

from collections.abc import Iterator

from jigs.starting.job_questions import BARS, STOCK, TURNED
from jigs.starting.machine_questions import FRONT, HEAD, TABLE
from jigs.starting.questions import START, Question

SECTIONS = (START, TABLE, FRONT, HEAD, TURNED, BARS, STOCK)


def questions() -> Iterator[Question]:
    """Every question, also those that only a flag answers."""
    for section in SECTIONS:
        yield from section.questions
