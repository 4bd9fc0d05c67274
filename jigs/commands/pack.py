"""`jigs pack`."""

from __future__ import annotations

from pathlib import Path

import click

from jigs.commands.build import exit_for
from jigs.commands.voice import Command, Voice, voiced


@click.command(
    cls=Command,
    examples=("jigs pack configs/allotment.yaml",),
)
@click.argument("config", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder of the build.")
@voiced(json_of="file and verdict")
def pack(voice: Voice, config: Path, out: Path | None) -> None:
    """Build JOB and pack its files into one zip for a collaborator."""
    from jigs.building import build as run
    from jigs.building import quiet
    from jigs.outputs.pack import write_pack
    from jigs.progress import progress

    with progress() as say:
        built = run(config, out, say=quiet if voice.quiet else say)
    path = write_pack(built.folder, built.folder.with_name(f"{built.folder.name}.zip"))
    if voice.as_json:
        voice.data({"file": path.as_posix(), "verdict": str(built.verdict)})
    voice.tell(f"{path}: checks {built.verdict}")
    exit_for(str(built.verdict))
