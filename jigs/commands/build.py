"""`jigs build`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from jigs.commands.voice import Command, Voice, voiced


@click.command(cls=Command, examples=(
    "jigs build configs/allotment.yaml",
    "jigs build my_job.yaml --out exports/trial --no-dry-fit --no-pictures",
    "jigs build my_job.yaml --json > build.json",
))  # fmt: skip
@click.argument("config", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the files.")
@click.option("--no-pictures", is_flag=True, help="Leave the pictures out.")
@click.option("--no-dry-fit", is_flag=True, help="Do not try how it goes together: faster.")
@voiced(json_of="what was written, and the report,")
def build(
    voice: Voice, config: Path, out: Path | None, no_pictures: bool, no_dry_fit: bool
) -> None:
    """Build the jigs of JOB: solids, checks, CAD files, pictures, report."""
    from jigs.building import build as run
    from jigs.building import quiet
    from jigs.commands.findings import tell_findings
    from jigs.progress import progress

    with progress() as say:
        built = run(config, out, pictures=not no_pictures, dry_fit=not no_dry_fit,
                    say=quiet if voice.quiet else say)  # fmt: skip
    if voice.as_json:
        voice.data({
            "folder": built.folder.as_posix(), "verdict": str(built.verdict),
            "unchanged": built.unchanged, "written": list(built.written),
            "notes": list(built.notes), "report": built.report,
        })  # fmt: skip
    tell_findings(voice, built.report)
    for note in built.notes:
        voice.say(note)
    if built.unchanged:
        voice.say(f"nothing changed; the files in {built.folder}/ are as they should be")
    else:
        voice.say(f"{len(built.written)} files written to {built.folder}/")
    if voice.verbose:
        for name in built.written:
            voice.say(f"  {name}")
    exit_for(str(built.verdict))


def exit_for(verdict: str) -> None:
    """Exit code 1 where something is not met."""
    sys.exit(1 if verdict == "not met" else 0)
