"""`jigs build`."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from jigs.commands.voice import Command, Voice, voiced
from jigs.errors import JigsError

if TYPE_CHECKING:
    from jigs.building import Built


@click.command(cls=Command, examples=(
    "jigs build configs/allotment.yaml",
    "jigs build my_job.yaml --out exports/trial --no-dry-fit --no-pictures",
    "jigs build my_job.yaml --watch --no-pictures",
    "jigs build my_job.yaml --json > build.json",
))  # fmt: skip
@click.argument("config", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the files.")
@click.option("--no-pictures", is_flag=True, help="Leave the pictures out.")
@click.option("--no-dry-fit", is_flag=True, help="Do not try how it goes together: faster.")
@click.option("--no-papers", is_flag=True, help="Leave drawings and setup sheet out: faster.")
@click.option("--watch", "watched", is_flag=True, help="Build again at each save of the files.")
@voiced(json_of="what was written, and the report,")
def build(
    voice: Voice, config: Path, out: Path | None, no_pictures: bool, no_dry_fit: bool,
    no_papers: bool, watched: bool,
) -> None:  # fmt: skip
    """Build the jigs of JOB: solids, checks, CAD files, pictures, report."""
    from jigs.building import Memory, quiet
    from jigs.building import build as run
    from jigs.progress import progress

    memory = Memory() if watched else None

    def once() -> Built:
        with progress() as say:
            return run(config, out, pictures=not no_pictures, dry_fit=not no_dry_fit,
                       papers=not no_papers, say=quiet if voice.quiet else say,
                       memory=memory)  # fmt: skip

    if watched:
        _at_each_save(voice, config, once)
        return
    built = once()
    _tell(voice, built)
    exit_for(str(built.verdict))


def _at_each_save(voice: Voice, config: Path, once: Callable[[], Built]) -> None:
    """Build now and whenever a file changes, until interrupted; what is wrong is said."""
    from jigs.following import Files, every_change

    files = Files(config)
    files.follow(())
    try:
        for _ in every_change(files):
            begun = time.monotonic()
            try:
                built = once()
            except JigsError as error:
                voice.tell(f"{error}\n  the files of the last good build stay")
                continue
            files.follow(built.read)
            _tell(voice, built)
            voice.say(f"after {time.monotonic() - begun:.1f} s; waiting for a change (Ctrl-C ends)")
    except KeyboardInterrupt:
        voice.say("")


def _tell(voice: Voice, built: Built) -> None:
    """Say what a build did."""
    from jigs.commands.findings import tell_findings

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


def exit_for(verdict: str) -> None:
    """Exit code 1 where something is not met."""
    sys.exit(1 if verdict == "not met" else 0)
