"""`jigs new`: asks at the terminal, or takes flags; the questions stand in `jigs/starting/`."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import click

from jigs.commands.voice import Command, Voice, voiced
from jigs.errors import JigsError
from jigs.starting.answers import Answers
from jigs.starting.questions import Question
from jigs.starting.sections import questions


def _with_flags(call: Callable[..., None]) -> Callable[..., None]:
    """Give the command a flag for each question."""
    for question in reversed(list(questions())):
        form = question.form_for(Answers(Path()))
        told = question.words if question.asked else f"{question.words} (By flag only.)"
        call = click.option(question.flag, question.key, metavar=form.shown or "NAME", help=told)(
            call
        )
    return call


@click.command(cls=Command, examples=(
    "jigs new",
    "jigs new my_shop",
    "jigs new second_batch.yaml --machine machines/bench_router.yaml",
    "jigs new trial --yes --units inch --pieces bars --bar-width '1-3/4 ± 1/64'",
    "jigs new trial --example stool",
))  # fmt: skip
@click.argument("target", metavar="[FOLDER|FILE]", required=False, default=".",
                type=click.Path(path_type=Path))  # fmt: skip
@click.option("--yes", is_flag=True, help="Take what is offered for all that no flag answers.")
@click.option("--machine", "machine", metavar="FILE", type=click.Path(path_type=Path),
              help="A machine that is described already: its questions are left out.")  # fmt: skip
@click.option("--example", metavar="NAME",
              help="Copy a shipped job instead: allotment, skittles or stool.")  # fmt: skip
@_with_flags
@voiced(json_of="the files written, and the report,")
def new(
    voice: Voice, target: Path, yes: bool, machine: Path | None, example: str | None,
    **flags: str | None,
) -> None:  # fmt: skip
    """Write a job and a machine file for your own shop, from a few questions.

    FOLDER takes both files, here if left out; FILE.yaml is the job. Nothing is ever overwritten.
    Lengths are read as in a job file: 36, 36 mm, 1-7/16 in; several in one answer have commas.
    """
    from jigs.starting import files_of, write_new

    file = target if target.suffix in (".yaml", ".yml") else None
    folder = target.parent if file else target
    given = {key: text for key, text in flags.items() if text is not None}
    try:
        if example is not None:
            files = _example(example, folder, file, given, machine)
        else:
            files = files_of(_answered(folder, file, machine, given, yes))
        write_new(files)
    except (click.Abort, KeyboardInterrupt):
        click.echo("\nstopped: nothing was written", err=True)
        sys.exit(2)
    _tell(voice, files)


def _example(
    name: str, folder: Path, file: Path | None, given: Mapping[str, str], machine: Path | None
) -> dict[Path, bytes]:
    from jigs.starting import example_files, refuse_closed

    if given or machine or file:
        raise click.UsageError("--example goes with a FOLDER and with nothing else")
    refuse_closed(folder)
    return example_files(name, folder)


def _answered(
    folder: Path, file: Path | None, machine: Path | None, given: Mapping[str, str], yes: bool
) -> Answers:
    from jigs.starting import ask_all, refuse_closed, refuse_existing
    from jigs.starting.given import with_machine

    refuse_closed(folder)
    if file:
        refuse_existing([file])
    known = Answers(folder, file)
    if machine is not None:
        with_machine(known, machine)
    return ask_all(known, given, None if yes else Terminal())


class Terminal:
    """Puts the questions on stderr, so that stdout stays free for the answer."""

    def __init__(self) -> None:
        self._begun = False

    def section(self, title: str) -> None:
        """A heading; before the first one, how to answer."""
        if not self._begun:
            click.echo("Enter takes what stands in brackets. Ctrl-C stops, and nothing is written.",
                       err=True)  # fmt: skip
            self._begun = True
        click.echo(f"\n{click.style(title, bold=True)}", err=True)

    def ask(self, question: Question, offered: str) -> str:
        """The question with its hint, and what is offered in brackets."""
        if question.hint:
            for line in textwrap.wrap(f"({question.hint})", 96):
                click.echo(f"  {line}", err=True)
        answer: Any = click.prompt(question.words, default=offered, err=True)
        return str(answer)

    def refuse(self, why: str) -> None:
        """The reason why it is asked again."""
        click.echo(f"  {why}", err=True)


def _tell(voice: Voice, files: Mapping[Path, bytes]) -> None:
    """What was written, and what numbers alone tell of it."""
    from jigs.checking import check
    from jigs.commands.findings import tell_findings, waiting
    from jigs.outputs.report import report

    job = next(iter(files))
    for path in files:
        voice.say(f"written: {path}")
    report_data: dict[str, Any] | None = None
    lacking = ""
    try:
        report_data = report(*check(job))
    except JigsError as error:
        lacking = str(error)
    if voice.as_json:
        voice.data({"files": [path.as_posix() for path in files], "job": job.as_posix(),
                    "lacking": lacking, "report": report_data})  # fmt: skip
    if report_data is None:
        voice.tell(f"Something is lacking before a jig can be sized:\n{lacking}")
        sys.exit(1)
    not_met = report_data["counts"].get("not met", 0)
    tell_findings(Voice(voice.as_json, quiet=not voice.verbose, verbose=voice.verbose),
                  report_data)  # fmt: skip
    voice.say(" ".join(report_data["cautions"][:2]))
    counts = ", ".join(f"{n} {word}" for word, n in report_data["counts"].items())
    voice.say(f"by numbers: {counts}; {waiting(report_data)} need the solids")
    if not_met:
        voice.say(f"next: change {job}, then jigs check {_typed(job)}")
    else:
        voice.say(f"next: put your own measures into the files, then jigs build {_typed(job)}")
    sys.exit(1 if not_met else 0)


def _typed(path: Path) -> str:
    """A path as it is typed: in quotes where it has spaces."""
    return f'"{path}"' if " " in str(path) else str(path)
