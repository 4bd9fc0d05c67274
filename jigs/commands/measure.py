"""`jigs measure`."""

from __future__ import annotations

from pathlib import Path

import click

from jigs.commands.voice import Command, Voice, voiced


@click.command(
    cls=Command,
    examples=("jigs measure configs/allotment.yaml",),
)
@click.argument("config", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="The HTML file to write.")
@voiced(json_of="the file's name")
def measure(voice: Voice, config: Path, out: Path | None) -> None:
    """Write a sheet to print: where to measure the pieces of JOB, and a line for each."""
    from jigs.batching import write_sheet

    path = write_sheet(config, out)
    if voice.as_json:
        voice.data({"file": path.as_posix()})
    voice.say(f"{path}: print it on A4")
