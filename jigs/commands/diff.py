"""`jigs diff`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from jigs.commands.voice import Command, Voice, voiced


@click.command(cls=Command, examples=(
    "jigs diff configs/allotment.yaml my_edit.yaml",
    "jigs diff before.yaml after.yaml --verbose",
    "jigs diff before.yaml after.yaml --json > changes.json",
))  # fmt: skip
@click.argument("before", metavar="A", type=click.Path(path_type=Path))
@click.argument("after", metavar="B", type=click.Path(path_type=Path))
@voiced(json_of="the difference")
def diff(voice: Voice, before: Path, after: Path) -> None:
    """What changes from job A to job B: findings, parts, what to buy, numbers. By numbers alone.

    Exit code 1 where something is not met in B that was met in A.
    """
    from jigs.checking import check
    from jigs.comparing import compare
    from jigs.outputs.difference import difference_data, difference_lines

    old, new = (check(config) for config in (before, after))
    found = compare(*old, *new)
    if voice.as_json:
        voice.data(difference_data(found))
    elif found.nothing:
        voice.say("nothing changes")
    else:
        lines = difference_lines(found, new[0].job.model.units, every=voice.verbose)
        for about, text in lines:
            if not voice.quiet or about in ("newly not met", "still not met"):
                _tell(voice, about, text)
    sys.exit(1 if found.breaks else 0)


def _tell(voice: Voice, about: str, text: str) -> None:
    if about in ("newly not met", "still not met"):
        about = about.replace("not met", "NOT MET")
    voice.tell(f"{about:<17}{text}")
