"""`jigs batch`."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from jigs.commands.voice import Command, Voice, voiced

if TYPE_CHECKING:
    from jigs.batching import BatchDone

_WIDTH = 140
"""Columns of the table where there is no terminal: it has one for each setting."""


@click.command(cls=Command, examples=(
    "jigs batch my_job.yaml",
    "jigs batch configs/allotment.yaml --csv dibber=configs/dibbers.csv",
    "jigs batch configs/allotment.yaml --csv dibber=configs/dibbers.csv --json > batch.json",
))  # fmt: skip
@click.argument("config", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder for batch.csv and report.")
@click.option("--csv", "csv_files", multiple=True, metavar="[PIECE=]FILE",
              help="Measured pieces to use in the place of the job's.")  # fmt: skip
@click.option("--skip-bad", is_flag=True, help="Go on without the lines that cannot be read.")
@voiced(json_of="the batch report")
def batch(
    voice: Voice, config: Path, out: Path | None, csv_files: Sequence[str], skip_bad: bool
) -> None:
    """Offsets, settings and errors for each piece of JOB, and which pieces the jigs serve."""
    from jigs.batching import run_job

    parted = [text.rpartition("=") for text in csv_files]
    measured = {piece: Path(file) for piece, _, file in parted}
    done = run_job(config, out, measured, skip_bad=skip_bad)
    if voice.as_json:
        import json

        voice.data(json.loads(done.report_text))
    elif voice.quiet:
        _tell_unserved(voice, done)
    else:
        _tell_batch(voice, done)
    sys.exit(0 if done.all_served else 1)


def _tell_unserved(voice: Voice, done: BatchDone) -> None:
    for run in done.runs:
        for row in run.rows:
            if row.refusal is not None:
                voice.tell(f"NOT SERVED: {run.setup.name}: {row.id}: {row.refusal}")


def _tell_batch(voice: Voice, done: BatchDone) -> None:
    """The first pieces of each setup as a table, and what there is to say of all."""
    from rich.table import Table

    from jigs.outputs.batch_table import below, heading, table

    console = voice.console(_WIDTH)
    for run in done.runs:
        head, lines = table(run)
        shown = Table(title=heading(run), title_justify="left", box=None, pad_edge=False)
        for name in head:
            shown.add_column(name, justify="right")
        for line in lines:
            shown.add_row(*line, style="bold" if line[-1] == "NO" else "")
        console.print(shown)
        for text in below(run):
            console.print(text)
    for text in done.bad:
        console.print(f"LEFT OUT {text}")
    console.print(f"{done.folder}/: {', '.join(done.files)}. Offsets are in the machine frame, mm.")
    console.print(" ".join(done.cautions))
