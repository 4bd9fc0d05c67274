"""`jigs explain`."""

from __future__ import annotations

from pathlib import Path

import click

from jigs.commands.voice import Command, Voice, voiced
from jigs.model.number import Number


@click.command(cls=Command, examples=(
    "jigs explain configs/allotment.yaml ring.gap",
    "jigs explain configs/allotment.yaml ring",
    "jigs explain configs/allotment.yaml --json > numbers.json",
))  # fmt: skip
@click.argument("config", metavar="JOB", type=click.Path(path_type=Path))
@click.argument("name", required=False)
@voiced(json_of="the numbers")
def explain(voice: Voice, config: Path, name: str | None) -> None:
    """Say where each number of JOB comes from, or only those called NAME.

    NAME is a number (gap), a number of one jig (ring.gap), or all of one jig (ring).
    """
    from jigs.errors import DesignError, nearest
    from jigs.outputs.report import number_data
    from jigs.reading.job import read_job
    from jigs.sizing import design

    numbers = design(read_job(config)).numbers()
    chosen = [k for k in numbers if name in (None, k, k.split(".")[-1], k.split(".")[0])]
    if not chosen:
        known = sorted({*numbers, *(k.split(".")[-1] for k in numbers)})
        raise DesignError(str(name), f"there is no such number{nearest(str(name), known)}")
    if voice.as_json:
        voice.data({"numbers": {key: number_data(numbers[key]) for key in chosen}})
        return
    for qualified in chosen:
        _explain(voice, qualified, numbers[qualified])


def _explain(voice: Voice, qualified: str, n: Number) -> None:
    value = f"{n.value:.6g}" if isinstance(n.value, float) else f"{n.value}"
    voice.tell(f"{qualified} = {value} {n.unit}".rstrip())
    if voice.quiet:
        return
    voice.tell(f"    {n.meaning}")
    standing = f"{n.standing}" + (f" in {n.where}" if n.where else "")
    voice.tell(f"    {standing}" + (f"; source: {n.source}" if n.source else ""))
    if n.instead_of is not None:
        voice.tell(f"    in place of {n.instead_of} by rule")
    if n.inputs:
        voice.tell(f"    from {', '.join(n.inputs)}")
