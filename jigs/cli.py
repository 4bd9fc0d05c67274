"""The command line: thin, and with `jigs/commands/` the only place that prints or exits.

Exit codes: 0 all met, 1 something not met, 2 the input cannot be used and nothing was touched.
"""

from __future__ import annotations

import gc
import sys
from importlib import import_module
from typing import Any, NoReturn

import click

from jigs.errors import JigsError, nearest

NEEDS_LIBRARY = {
    "libGL": "libgl1", "libEGL": "libegl1", "libGLU": "libglu1-mesa", "libX11": "libx11-6",
    "libXrender": "libxrender1", "libSM": "libsm6", "libICE": "libice6",
}  # fmt: skip
"""Shared library that the kernel loads -> the Debian package that brings it."""

# A command makes much and drops little: looking for rings of it early costs a twentieth of a check.
gc.set_threshold(50_000, 10, 10)

COMMANDS = {
    "new": "Write a job for your own shop and machine.",
    "check": "Check a job by numbers alone: fast.",
    "explain": "Say where each number of a job comes from.",
    "build": "Make solids, check everything, write all files.",
    "view": "Show the assembly in the previewer.",
    "diff": "Say what changes from one job to another.",
    "measure": "Write a sheet to print for measuring the pieces.",
    "batch": "Offsets and settings of each measured piece.",
    "built": "Dimensions of a jig that is cut.",
    "pack": "Build, and put everything into one zip.",
}
"""In the order of the work; each is `jigs/commands/<name>.py`, loaded only when it is asked for."""


class Group(click.Group):
    """Loads a command when it is asked for; turns what a user can act on into one message."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command:
        """The command of that name; a near miss is named."""
        if cmd_name not in COMMANDS:
            ctx.fail(f"There is no command '{cmd_name}'{nearest(cmd_name, list(COMMANDS))}.")
        found: click.Command = getattr(import_module(f"jigs.commands.{cmd_name}"), cmd_name)
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without loading them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def invoke(self, ctx: click.Context) -> Any:
        """Run; an error that a user can act on is one message on stderr and exit code 2."""
        _print_what_the_terminal_can()
        try:
            return super().invoke(ctx)
        except JigsError as error:
            fail(str(error))
        except ImportError as error:
            fail(missing_library(str(error)))
        except KeyboardInterrupt:
            fail("\nstopped")


def _print_what_the_terminal_can() -> None:
    """A sign that the terminal's character set lacks becomes `?` and is no reason to stop."""
    for stream in (sys.stdout, sys.stderr):
        encoding = getattr(stream, "encoding", None) or ""
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None and "utf" not in encoding.casefold():
            reconfigure(errors="replace")


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

    Begin with `jigs new`, or with `jigs new trial --example allotment`.

    Exit codes: 0 all met, 1 something not met, 2 the input cannot be used.

    Router work throws pieces and breaks cutters: follow the machine's manual and local rules.
    """
