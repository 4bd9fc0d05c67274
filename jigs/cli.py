"""The command line: thin, and the only place that prints or chooses an exit code.

Exit codes: 0 all met, 1 something not met, 2 the input cannot be used.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from jigs.errors import JigsError

if TYPE_CHECKING:
    from jigs.batching import BatchDone
    from jigs.sizing import Design

NEEDS_LIBRARY = {
    "libGL": "libgl1", "libEGL": "libegl1", "libGLU": "libglu1-mesa", "libX11": "libx11-6",
    "libXrender": "libxrender1", "libSM": "libsm6", "libICE": "libice6",
}  # fmt: skip
"""Shared library that the kernel loads -> the Debian package that brings it."""


class Group(click.Group):
    """Turns every error that a user can act on into one message and exit code 2."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except JigsError as error:
            fail(str(error))
        except ImportError as error:
            fail(missing_library(str(error)))


def fail(message: str) -> NoReturn:
    """One message on stderr, exit code 2."""
    click.echo(message, err=True)
    sys.exit(2)


def missing_library(message: str) -> str:
    """Say which Debian package brings a shared library that is not there."""
    for library, package in NEEDS_LIBRARY.items():
        if library in message:
            return f"{message}\n  remedy: apt-get install {package}"
    return message


def _print_version(ctx: click.Context, option: click.Parameter, value: bool) -> None:
    if value:
        from jigs import __version__

        click.echo(f"jigs {__version__}")
        ctx.exit()


@click.group(cls=Group)
@click.option("--version", is_flag=True, expose_value=False, is_eager=True,
              callback=_print_version, help="Show the version and exit.")  # fmt: skip
def main() -> None:
    """Size, check and export clamping jigs from one YAML file.

    Router work throws pieces and breaks cutters: follow the machine's manual and local rules.
    """


@main.command()
@click.argument("config", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the files.")
@click.option("--no-pictures", is_flag=True, help="Leave the pictures out.")
@click.option("--no-dry-fit", is_flag=True, help="Do not try how it goes together: faster.")
def build(config: Path, out: Path | None, no_pictures: bool, no_dry_fit: bool) -> None:
    """Build the jigs of CONFIG: solids, checks, CAD files, pictures, report."""
    from jigs.building import build as run
    from jigs.progress import progress

    with progress() as say:
        built = run(config, out, pictures=not no_pictures, dry_fit=not no_dry_fit, say=say)
    _print_report(built.report)
    for note in built.notes:
        click.echo(note)
    if built.unchanged:
        click.echo(f"nothing changed; the files in {built.folder}/ are as they should be")
    else:
        click.echo(f"{len(built.written)} files written to {built.folder}/")
    _exit_for(str(built.verdict))


@main.command()
@click.argument("config", type=click.Path(path_type=Path))
def check(config: Path) -> None:
    """Check CONFIG by numbers alone, without making solids: fast."""
    from jigs.building import check as run
    from jigs.outputs.report import report

    design, findings = run(config)
    data = report(design, findings)
    _print_report(data)
    open_ = data["counts"].get("not judged", 0)
    click.echo(f"{open_} findings need the solids: jigs build {config}")
    sys.exit(1 if data["counts"].get("not met") else 0)


@main.command()
@click.argument("config", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder of the build.")
def pack(config: Path, out: Path | None) -> None:
    """Build CONFIG and pack its files into one zip for a collaborator."""
    from jigs.building import build as run
    from jigs.outputs.pack import write_pack

    built = run(config, out)
    path = write_pack(built.folder, built.folder.with_name(f"{built.folder.name}.zip"))
    click.echo(f"{path}: checks {built.verdict}")
    _exit_for(str(built.verdict))


@main.command()
@click.argument("config", type=click.Path(path_type=Path))
@click.argument("name", required=False)
def explain(config: Path, name: str | None) -> None:
    """Say where each number of CONFIG comes from, or only those called NAME."""
    from jigs.errors import DesignError, nearest
    from jigs.reading.job import read_job
    from jigs.sizing import design

    found = design(read_job(config))
    numbers = found.numbers()
    chosen = [k for k in numbers if name in (None, k, k.split(".")[-1], k.split(".")[0])]
    if not chosen:
        known = sorted({*numbers, *(k.split(".")[-1] for k in numbers)})
        raise DesignError(str(name), f"there is no such number{nearest(str(name), known)}")
    for qualified in chosen:
        _explain(found, qualified)


@main.command()
@click.argument("config", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder for batch.csv and report.")
@click.option("--csv", "csv_files", multiple=True, metavar="[PIECE=]FILE",
              help="Measured pieces to use in the place of the job's.")  # fmt: skip
@click.option("--skip-bad", is_flag=True, help="Go on without the lines that cannot be read.")
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON, no table.")
def batch(
    config: Path, out: Path | None, csv_files: Sequence[str], skip_bad: bool, as_json: bool
) -> None:
    """Offsets, settings and errors for each piece of CONFIG, and which pieces the jigs serve."""
    from jigs.batching import run_job

    parted = [text.rpartition("=") for text in csv_files]
    measured = {piece: Path(file) for piece, _, file in parted}
    done = run_job(config, out, measured, skip_bad=skip_bad)
    if as_json:
        click.echo(done.report_text, nl=False)
    else:
        _print_batch(done)
    sys.exit(0 if done.all_served else 1)


@main.command()
@click.argument("config", type=click.Path(path_type=Path))
@click.argument("jig")
def built(config: Path, jig: str) -> None:
    """Print the dimensions of JIG as a `built:` section for the next job of a jig that exists."""
    from jigs.batching import built_text

    click.echo(built_text(config, jig), nl=False)


@main.command()
@click.argument("config", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="The HTML file to write.")
def measure(config: Path, out: Path | None) -> None:
    """Write a sheet to print: where to measure the pieces of CONFIG, and a line for each."""
    from jigs.batching import write_sheet

    click.echo(f"{write_sheet(config, out)}: print it on A4")


@main.command()
@click.argument("config", type=click.Path(path_type=Path))
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
def view(
    config: Path, setup: str, state: str, piece: str, exploded: bool, section: str | None,
    watched: bool, port: int | None,
) -> None:  # fmt: skip
    """Show the assembly of CONFIG in the previewer, or in a viewer of its own."""
    from jigs.model.state import Limit, Phase, State
    from jigs.outputs.cad.viewing import Choice
    from jigs.outputs.cad.watching import show_once, watch

    shown = State(Phase(state), Limit(piece))
    choice = Choice(setup, shown, exploded, section or "")  # type: ignore[arg-type]
    try:
        (watch if watched else show_once)(config, choice, port, click.echo)
    except KeyboardInterrupt:
        click.echo("")


def _explain(design: Design, qualified: str) -> None:
    n = design.numbers()[qualified]
    value = f"{n.value:.6g}" if isinstance(n.value, float) else f"{n.value}"
    click.echo(f"{qualified} = {value} {n.unit}".rstrip())
    click.echo(f"    {n.meaning}")
    standing = f"{n.standing}" + (f" in {n.where}" if n.where else "")
    click.echo(f"    {standing}" + (f"; source: {n.source}" if n.source else ""))
    if n.instead_of is not None:
        click.echo(f"    in place of {n.instead_of} by rule")
    if n.inputs:
        click.echo(f"    from {', '.join(n.inputs)}")


def _print_batch(done: BatchDone) -> None:
    """The first pieces of each setup as a table, and what there is to say of all."""
    from rich.console import Console
    from rich.table import Table

    from jigs.outputs.batch_table import below, heading, table

    console = Console(highlight=False, width=None if sys.stdout.isatty() else 140)
    for run in done.runs:
        head, lines = table(run)
        shown = Table(title=heading(run), title_justify="left", box=None, pad_edge=False)
        for name in head:
            shown.add_column(name, justify="right")
        for line in lines:
            shown.add_row(*line, style="bold" if line[-1] == "NO" else "")
        console.print(shown)
        for text in below(run):
            console.print(text, markup=False)
    for text in done.bad:
        console.print(f"LEFT OUT {text}", markup=False)
    console.print(f"{done.folder}/: {', '.join(done.files)}. Offsets are in the machine frame, mm.")
    console.print(" ".join(done.cautions))


def _print_report(data: dict[str, Any]) -> None:
    """The findings as a table, what is not met first and with its remedy."""
    from rich.console import Console
    from rich.table import Table

    console = Console(highlight=False, width=None if sys.stdout.isatty() else 110)
    order = {"not met": 0, "not judged": 1, "met": 2}
    table = Table(title=f"{data['job']}, revision {data['revision']}", title_justify="left",
                  box=None, pad_edge=False)  # fmt: skip
    for heading, justify in (
        ("", "left"), ("of", "left"), ("check", "left"), ("found", "right"), ("asked", "right"),
        ("margin", "right"),
    ):  # fmt: skip
        table.add_column(heading, justify=justify)  # type: ignore[arg-type]
    for f in sorted(data["findings"], key=lambda f: order[f["verdict"]]):
        table.add_row(*_row(f), style="bold" if f["verdict"] == "not met" else "")
    console.print(table)
    for f in data["findings"]:
        if f["verdict"] == "not met":
            console.print(f"NOT MET: {f['of']}: {f['check']}. {_advice(f)}", style="bold")
    counts = ", ".join(f"{n} {word}" for word, n in data["counts"].items())
    console.print(f"{counts}. Not covered yet: {', '.join(data['not covered'])}.")
    console.print(f"{data['cautions'][0]} {data['cautions'][1]}")


def _row(f: dict[str, Any]) -> Sequence[str]:
    unit = f.get("unit", "")
    found = f"{f['value']:.2f} {unit}".strip() if "value" in f else ""
    asked = f"{f['sense']} {f['limit']:.2f}" if "limit" in f else ""
    margin = f"{f['margin']:+.2f}" if "margin" in f else ""
    return (f["verdict"], f["of"], f["check"], found, asked, margin)


def _advice(f: dict[str, Any]) -> str:
    remedies = [r["told"] for r in f.get("remedies", ())]
    why = "; ".join(text for text in (f.get("governs", ""), f.get("why", "")) if text)
    if not remedies:
        return f"{why}. No single change that was tried would do.".lstrip(". ")
    return f"{why}. Remedy: {'; or '.join(remedies)}."


def _exit_for(verdict: str) -> NoReturn:
    sys.exit(1 if verdict == "not met" else 0)
