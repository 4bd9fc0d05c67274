"""How every command speaks: what goes to stdout, what to stderr, how much, and in which form.

Answers go to stdout; progress, questions and refusals to stderr. With `--json` stdout holds one
JSON value and nothing else. Colour and bold are for a terminal; NO_COLOR (no-color.org) is heard.
"""

from __future__ import annotations

import functools
import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from rich.console import Console

WIDTH = 110
"""Columns of a table where there is no terminal to ask."""

_F = TypeVar("_F", bound=Callable[..., Any])


@dataclass(frozen=True)
class Voice:
    """How much is said: `quiet` = only what is not met, `verbose` = all there is to say."""

    as_json: bool = False
    quiet: bool = False
    verbose: bool = False

    def say(self, text: str) -> None:
        """Say something that is left out where little is to be said."""
        if not (self.as_json or self.quiet):
            click.echo(text)

    def tell(self, text: str) -> None:
        """Say something that is only left out where JSON is wanted."""
        if not self.as_json:
            click.echo(text)

    def data(self, data: Any) -> None:
        """Print the one JSON value, plain ASCII where the output takes no more."""
        unicode = "utf" in (sys.stdout.encoding or "").casefold()
        click.echo(json.dumps(data, indent=1, ensure_ascii=not unicode))

    def console(self, width: int = WIDTH) -> Console:
        """Where tables are printed: as wide as the terminal, or `width` where there is none."""
        return console(width)


def console(width: int = WIDTH) -> Console:
    """A console on stdout that styles its text on a terminal only."""
    from rich.console import Console

    terminal = sys.stdout.isatty()
    return Console(
        highlight=False, width=None if terminal else width, force_terminal=terminal, markup=False,
        soft_wrap=False, emoji=False,
    )  # fmt: skip


def voiced(*, json_of: str = "") -> Callable[[_F], _F]:
    """Give a command `--quiet`, `--verbose` and, where `json_of` names what it prints, `--json`.

    The command gets a Voice as its first argument.
    """

    def wrap(call: _F) -> _F:
        @functools.wraps(call)
        def run(*args: Any, quiet: bool, verbose: bool, as_json: bool = False, **rest: Any) -> Any:
            if quiet and verbose:
                raise click.UsageError("--quiet and --verbose do not go together")
            return call(Voice(as_json, quiet, verbose), *args, **rest)

        options = [
            click.option("-q", "--quiet", is_flag=True, help="Say only what is not met."),
            click.option("-v", "--verbose", is_flag=True, help="Say all there is to say."),
        ]
        if json_of:
            options.insert(0, click.option("--json", "as_json", is_flag=True,
                                           help=f"Print {json_of} as JSON on stdout."))  # fmt: skip
        for option in reversed(options):
            run = option(run)
        return run  # type: ignore[return-value]

    return wrap


class Command(click.Command):
    """A command whose help ends with examples."""

    def __init__(self, *args: Any, examples: Sequence[str] = (), **rest: Any) -> None:
        super().__init__(*args, **rest)
        self.examples = tuple(examples)

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the examples, a line each, as they are typed."""
        if self.examples:
            with formatter.section("Examples"):
                for example in self.examples:
                    formatter.write(f"{'':{formatter.current_indent}}{example}\n")
