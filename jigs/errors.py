"""Every error that the library raises on purpose: typed, with the place and the remedy.

The library raises; only the command line prints and chooses an exit code.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches


class JigsError(Exception):
    """Base of all errors that a user can act on."""


@dataclass(frozen=True)
class Place:
    """Where in a file a value stands.

    Parameters: file as the user named it; line and column counted from 1 (0 = not known);
    keys = the key path, for example ("jigs", "ring", "set", "height").
    """

    file: str = ""
    line: int = 0
    column: int = 0
    keys: tuple[str | int, ...] = ()

    def __str__(self) -> str:
        spot = self.file
        if self.line:
            spot += f":{self.line}"
        path = key_path(self.keys)
        return ", ".join(part for part in (spot, path) if part)


def key_path(keys: Sequence[str | int]) -> str:
    """Write a key path as the user would read it: `pieces.dibber.dome`, `slots[2]`."""
    text = ""
    for key in keys:
        if isinstance(key, int):
            text += f"[{key}]"
        else:
            text += f".{key}" if text else str(key)
    return text


def nearest(word: str, known: Sequence[str]) -> str:
    """Return ` (did you mean 'x'?)` for a near miss, else an empty string."""
    match = get_close_matches(word, known, n=1, cutoff=0.6)
    return f" (did you mean '{match[0]}'?)" if match else ""


class ReadingError(JigsError):
    """The input is not what it should be. Carries place, what was found, what would be right."""

    def __init__(self, place: Place, problem: str, found: str = "", right: str = "") -> None:
        self.place, self.problem, self.found, self.right = place, problem, found, right
        lines = [f"{place}: {problem}" if str(place) else problem]
        if found:
            lines.append(f"  found: {found}")
        if right:
            lines.append(f"  right: {right}")
        super().__init__("\n".join(lines))


class ReadingErrors(JigsError):
    """Several reading errors of one file, so that the user mends them in one go."""

    def __init__(self, errors: Sequence[ReadingError]) -> None:
        self.errors = tuple(errors)
        super().__init__("\n".join(str(error) for error in errors))


class TableError(JigsError):
    """A table has no such row. Names the table, what was asked for and what there is."""

    def __init__(self, table: str, asked: str, there_is: Sequence[str]) -> None:
        self.table, self.asked, self.there_is = table, asked, tuple(there_is)
        super().__init__(
            f"{table} has no '{asked}'{nearest(asked, self.there_is)}; "
            f"there is: {', '.join(self.there_is)}"
        )


class DesignError(JigsError):
    """No jig can be sized from these numbers. Names the number, the reason and what would do."""

    def __init__(self, what: str, reason: str, remedy: str = "") -> None:
        self.what, self.reason, self.remedy = what, reason, remedy
        super().__init__(f"{what}: {reason}" + (f"\n  remedy: {remedy}" if remedy else ""))


class SolidError(JigsError):
    """The kernel could not make a solid. Names the part and the step."""

    def __init__(self, part: str, step: str, reason: str) -> None:
        self.part, self.step, self.reason = part, step, reason
        super().__init__(f"part '{part}', {step}: {reason}")


class ExportError(JigsError):
    """A file could not be written, or would have overwritten something that is not ours."""
