"""`jigs built`."""

from __future__ import annotations

from pathlib import Path

import click

from jigs.commands.voice import Command, Voice, voiced


@click.command(cls=Command, examples=(
    "jigs built configs/allotment.yaml ring",
    "jigs built configs/allotment.yaml ring --json",
))  # fmt: skip
@click.argument("config", metavar="JOB", type=click.Path(path_type=Path))
@click.argument("jig")
@voiced(json_of="the section")
def built(voice: Voice, config: Path, jig: str) -> None:
    """Print the dimensions of JIG as a `built:` section for the next job of a jig that exists."""
    from jigs.batching import built_text
    from jigs.reading.source import parse

    text = built_text(config, jig)
    if voice.as_json:
        voice.data(parse(text).data)
    else:
        click.echo(text, nl=False)
