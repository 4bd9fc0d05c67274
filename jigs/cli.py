"""The command line: thin, and the only place that prints or chooses an exit code."""

from __future__ import annotations

from pathlib import Path

import click
import yaml

from jigs import __version__


@click.group()
@click.version_option(__version__, prog_name="jigs")
def main() -> None:
    """Size, check and export clamping jigs from one YAML file."""


@main.command()
@click.argument("config", type=click.Path(path_type=Path))
def build(config: Path) -> None:
    """Build the jigs of CONFIG."""
    job = yaml.safe_load(config.read_text(encoding="utf-8"))
    click.echo(f"{config}: {len(job.get('jigs', {}))} jigs")
