"""`jigs view`."""

from __future__ import annotations

from pathlib import Path

import click

from jigs.commands.voice import Command, Voice, voiced


@click.command(cls=Command, examples=(
    "jigs view configs/allotment.yaml",
    "jigs view configs/allotment.yaml --watch",
    "jigs view configs/allotment.yaml --setup slotting --exploded",
    "jigs view configs/allotment.yaml --section x --state closed --piece least",
))  # fmt: skip
@click.argument("config", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--setup", default="", help="Name of the setup to show; the first if left out.")
@click.option("--state", type=click.Choice(["open", "first touch", "closed"]),
              default="first touch", help="Stage of changing a piece.")  # fmt: skip
@click.option("--piece", type=click.Choice(["least", "nominal", "most"]), default="nominal",
              help="Which piece of the batch.")  # fmt: skip
@click.option("--exploded", is_flag=True, help="Jigs drawn apart, without piece and machine.")
@click.option("--section", type=click.Choice(["x", "y", "z"]),
              help="Cut open by a plane through the work zero, square to that axis.")  # fmt: skip
@click.option("--watch", "watched", is_flag=True, help="Show every change of the files on saving.")
@click.option("--port", type=click.IntRange(1, 65535), help="Port of a viewer that is running.")
@voiced()
def view(
    voice: Voice, config: Path, setup: str, state: str, piece: str, exploded: bool,
    section: str | None, watched: bool, port: int | None,
) -> None:  # fmt: skip
    """Show the assembly of JOB in the previewer, or in a viewer of its own."""
    from jigs.model.state import Limit, Phase, State
    from jigs.outputs.cad.viewing import Choice
    from jigs.outputs.cad.watching import show_once, watch

    shown = State(Phase(state), Limit(piece))
    choice = Choice(setup, shown, exploded, section or "")  # type: ignore[arg-type]
    try:
        (watch if watched else show_once)(config, choice, port, voice.say)
    except KeyboardInterrupt:
        click.echo("")
