"""A CSV file line by line, with bounds on its size; nothing is known of what it says."""

from __future__ import annotations

import csv
import stat
from collections.abc import Iterator
from pathlib import Path

from jigs.errors import Place, ReadingError

LARGEST_LINES = 1_000_000
"""Lines of a file; assumed: no shop runs so many pieces."""

LONGEST_LINE = 10_000
"""Bytes of a line; assumed: a page of remarks beside the sizes of one piece."""

LARGEST_BYTES = 64_000_000
"""Of a file; assumed: that many lines of 64 characters."""


def lines_of(path: Path, file: str) -> Iterator[tuple[int, str]]:
    """Number and text of each line; one line in memory at a time."""
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise ReadingError(Place(file), "this is not a plain file", "a folder or device",
                               "the path of a CSV file")  # fmt: skip
        if status.st_size > LARGEST_BYTES:
            raise ReadingError(Place(file), "the file is too large", f"{status.st_size:,} bytes",
                               f"at most {LARGEST_BYTES:,} bytes")  # fmt: skip
        with path.open("rb") as stream:
            # Never a whole line that somebody made 50 MB long.
            lines = iter(lambda: stream.readline(LONGEST_LINE + 1), b"")
            for number, line in enumerate(lines, 1):
                if len(line) > LONGEST_LINE:
                    raise ReadingError(
                        Place(file, number, 1), "this line is too long",
                        f"more than {LONGEST_LINE:,} bytes", "one line for each piece",
                    )  # fmt: skip
                if number > LARGEST_LINES:
                    raise ReadingError(
                        Place(file, number, 1), "the file has too many lines",
                        f"more than {LARGEST_LINES:,}", f"at most {LARGEST_LINES:,}: several files",
                    )  # fmt: skip
                yield number, _decoded(line, number, file)
    except FileNotFoundError:
        raise ReadingError(Place(file), "there is no such file", "nothing",
                           "the path of a CSV file") from None  # fmt: skip
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ReadingError(
            Place(file), "the file cannot be read", reason, "a file that you may read"
        ) from error


def _decoded(line: bytes, number: int, file: str) -> str:
    try:
        text = line.decode("utf-8-sig" if number == 1 else "utf-8").rstrip("\r\n")
    except UnicodeDecodeError as error:
        column = len(line[: error.start].decode("utf-8")) + 1
        wide = line.startswith((b"\xff\xfe", b"\xfe\xff"))
        raise ReadingError(
            Place(file, number, column), "the file is not in UTF-8",
            "UTF-16" if wide else f"byte 0x{line[error.start]:02x}",
            "save it as CSV in UTF-8",
        ) from None  # fmt: skip
    if "\0" in text or "\r" in text:
        raise ReadingError(
            Place(file, number, min(len(text.split(c)[0]) for c in "\0\r" if c in text) + 1),
            "a character that does not belong into a CSV file",
            "a zero byte" if "\0" in text else "a carriage return within a line",
            "save it as CSV in UTF-8, with plain line ends",
        )  # fmt: skip
    return text


def cells_of(text: str, separator: str) -> list[str]:
    """The cells of one line. Raises csv.Error where a quote does not close."""
    if '"' not in text:
        return text.split(separator)
    return next(csv.reader((text,), delimiter=separator, strict=True))


def column_of(text: str, separator: str, cell: int) -> int:
    """Column, from 1, at which a cell begins."""
    quoted, passed = False, 0
    for at, character in enumerate(text):
        if passed == cell:
            return at + 1
        if character == '"':
            quoted = not quoted
        elif character == separator and not quoted:
            passed += 1
    return len(text) + 1
