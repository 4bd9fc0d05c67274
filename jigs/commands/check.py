"""`jigs check`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from jigs.commands.voice import Command, Voice, voiced


@click.command(cls=Command, examples=(
    "jigs check configs/allotment.yaml",
    "jigs check configs/allotment.yaml --verbose",
    "jigs check configs/allotment.yaml --json > findings.json",
))  # fmt: skip
@click.argument("config", metavar="JOB", type=click.Path(path_type=Path))
@voiced(json_of="the report")
def check(voice: Voice, config: Path) -> None:
    """Check JOB by numbers alone, without making solids: fast."""
    from jigs.checking import check as run
    from jigs.commands.findings import tell_findings, waiting
    from jigs.outputs.report import report, summary

    design, findings = run(config)
    data = (report if voice.as_json else summary)(design, findings)
    if voice.as_json:
        voice.data(data)
    tell_findings(voice, data)
    voice.say(f"{waiting(data)} findings need the solids: jigs build {config}")
    sys.exit(1 if data["counts"].get("not met") else 0)
