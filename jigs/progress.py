"""Long work shows where it is: a moving bar on a terminal, a plain line for each step elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from collections.abc import Callable


@contextmanager
def progress(stream: TextIO | None = None) -> Iterator[Callable[[str], None]]:
    """Give a function to call with each step as it begins.

    The bar tells that work goes on, and for how long it has; how much is left nobody knows before.
    Parameters: stream = where to show it, stderr if left out.
    """
    shown = stream or sys.stderr
    if not shown.isatty():
        yield lambda step: _line(shown, step)
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    console = Console(file=shown, highlight=False)
    columns = (BarColumn(bar_width=24), TimeElapsedColumn(), TextColumn("{task.description}"))
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task("", total=None)
        yield lambda step: bar.update(task, description=step, refresh=True)


def _line(stream: TextIO, step: str) -> None:
    stream.write(f"  {step} ...\n")
    stream.flush()
