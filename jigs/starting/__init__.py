"""A start for one's own shop: questions in plain words, then a commented job and machine file.

`questions.py` says what is asked and what is offered, `forms.py` how an answer is read, `asking.py`
goes through them, `filling.py` puts the answers into the templates and has each part checked by the
reader of job files, `writing.py` writes without ever taking the place of a file.
"""

from jigs.starting.answers import Answers
from jigs.starting.asking import Asker, ask_all
from jigs.starting.examples import example_files, examples
from jigs.starting.filling import files_of
from jigs.starting.questions import Question, Section
from jigs.starting.sections import SECTIONS
from jigs.starting.writing import refuse_closed, refuse_existing, write_new

__all__ = [
    "SECTIONS", "Answers", "Asker", "Question", "Section", "ask_all", "example_files", "examples",
    "files_of", "refuse_closed", "refuse_existing", "write_new",
]  # fmt: skip
