"""A YAML file as plain data, with the line and column of every key and every value.

Files may come from a stranger, so nothing is built but mappings, lists, text, numbers, true/false
and null, and sizes are capped (here the file's, in `nodes` the rest).
"""

from __future__ import annotations

import re
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn, cast

import yaml

from jigs.errors import Place, ReadingError, nearest
from jigs.reading.nodes import Composer, Expander, Keys, Mark, Tree, place_of

LARGEST_FILE = 1_000_000
"""Bytes; assumed: a hundred times the largest job that we can think of."""


@dataclass(frozen=True)
class Source:
    """What a file says and where it says it.

    Parameters: file as the user named it; data = the plain tree; key_marks, value_marks = where
    the key and the value of each key path stand (a value that came through an alias stands where
    its anchor is).
    """

    file: str
    data: dict[str, Tree]
    key_marks: Mapping[Keys, Mark] = field(repr=False)
    value_marks: Mapping[Keys, Mark] = field(repr=False)

    def has(self, keys: Keys) -> bool:
        """Say whether there is a value at this key path."""
        return keys in self.value_marks

    def at(self, keys: Keys) -> Tree:
        """Return the data at a key path. Raises ReadingError if there is none."""
        tree: Tree = self.data
        for depth, key in enumerate(keys):
            if not self.has(keys[: depth + 1]):
                there_is = [str(name) for name in tree] if isinstance(tree, dict) else []
                raise ReadingError(
                    self.place(keys[:depth]),
                    f"the key '{key}' is missing{nearest(str(key), there_is)}",
                    self.found(keys[:depth]),
                    f"a key '{key}' here",
                )
            tree = cast("dict[str | int, Tree]", tree)[key]
        return tree

    def place(self, keys: Keys, *, of_key: bool = False) -> Place:
        """Return where the value (or the key) of a key path stands; the nearest above, if none."""
        marks = self.key_marks if of_key else self.value_marks
        for length in range(len(keys), -1, -1):
            if mark := marks.get(keys[:length]) or self.value_marks.get(keys[:length]):
                return place_of(self.file, mark.line, mark.column, keys)
        return place_of(self.file, 0, 0, keys)

    def found(self, keys: Keys) -> str:
        """Return what stands at a key path, as the user wrote it, cut to one short line."""
        if not self.has(keys):
            return ""
        return _described(self.at(keys), self.value_marks[keys].text)


def load(path: Path | str) -> Source:
    """Read a YAML file.

    Parameters: path as the user typed it (messages repeat it). Returns the data with its places.
    Raises ReadingError: one, with line, key path, what was found and what would be right.
    """
    file = str(path)
    return parse(_decoded(_bytes_of(Path(path), file), file), file)


def parse(text: str, file: str = "(text)") -> Source:
    """Read YAML text; `file` is only for messages. Returns and raises as `load` does."""
    text = text.removeprefix("\ufeff")
    _refuse_control_characters(text, file)
    composer = Composer(text, file)
    try:
        root = composer.document()
    except yaml.MarkedYAMLError as error:
        composer.refuse_syntax(error)
    except (yaml.YAMLError, ValueError, OverflowError):
        # PyYAML lets a few ValueErrors through: "\U00110000", or %YAML with 5,000 digits
        problem = "this is not valid YAML: an escape or a version that is out of range"
        composer.refuse(problem, composer.mark, "plain text in the value that follows here")
    if root is None or (root.kind == "scalar" and root.value is None):
        raise ReadingError(place_of(file, 1, 1, ()), "the file is empty", "nothing", _RIGHT_TOP)
    if root.kind != "mapping":
        found = _described(root.value, root.mark.text) if root.kind == "scalar" else "a list"
        raise ReadingError(
            place_of(file, root.mark.line, root.mark.column, ()),
            "the top of the file is not a mapping",
            found,
            _RIGHT_TOP,
        )
    expander = Expander(file)
    data = expander.tree(root, (), None)
    return Source(file, cast("dict[str, Tree]", data), expander.key_marks, expander.value_marks)


_RIGHT_TOP = "lines of the form `key: value`"


def _described(value: object, text: str) -> str:
    if isinstance(value, dict):
        names = list(value)
        return f"a mapping with {', '.join(names[:12]) or 'no keys'}" + ", ..." * (len(names) > 12)
    if isinstance(value, list):
        return f"a list of {len(value)}"
    return text or ("nothing" if value is None else str(value)[:60])


# ---- the bytes ----------------------------------------------------------------------------------


def _bytes_of(path: Path, file: str) -> bytes:
    def refuse(problem: str, found: str, right: str) -> NoReturn:
        raise ReadingError(Place(file), problem, found, right)

    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            inside = sorted(entry.name for entry in path.glob("*.y*ml"))[:6]
            refuse("this is a folder", "a folder", ", ".join(inside) or "the YAML file in it")
        if not stat.S_ISREG(status.st_mode):
            refuse("this is not a plain file", "a device or pipe", "the path of a YAML file")
        if status.st_size > LARGEST_FILE:
            refuse("the file is too large", f"{status.st_size:,} bytes", _RIGHT_SIZE)
        with path.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        refuse(f"there is no such file{_near_file(path)}", "nothing", "the path of a YAML file")
    except (OSError, ValueError) as error:  # ValueError: a path with a NUL in it
        reason = getattr(error, "strerror", None) or str(error)
        refuse("the file cannot be read", reason, "a file that you may read")
    if len(content) > LARGEST_FILE:  # it grew since it was measured
        refuse("the file is too large", f"over {LARGEST_FILE:,} bytes", _RIGHT_SIZE)
    return content


_RIGHT_SIZE = f"at most {LARGEST_FILE:,} bytes"


def _near_file(path: Path) -> str:
    try:
        names = sorted(entry.name for entry in path.parent.iterdir() if entry.is_file())
    except (OSError, ValueError):
        return ""
    return nearest(path.name, names)


def _decoded(content: bytes, file: str) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start]
        line = before.count(b"\n") + 1
        column = len(before.rpartition(b"\n")[2].decode("utf-8")) + 1
        wide = content.startswith((b"\xff\xfe", b"\xfe\xff"))
        raise ReadingError(
            place_of(file, line, column, ()),
            "the file is not in UTF-8",
            "UTF-16" if wide else f"byte 0x{content[error.start]:02x}",
            "save the file as UTF-8",
        ) from None


# YAML 1.2.2 section 5.1, printable characters, less U+0085, U+2028 and U+2029, which a parser may
# count as line ends and an editor does not: the lines in messages would then be wrong.
_REFUSED_CHARACTER = "[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"


def _refuse_control_characters(text: str, file: str) -> None:
    match = re.search(_REFUSED_CHARACTER, text)
    if match:
        before = text[: match.start()]
        raise ReadingError(
            place_of(file, before.count("\n") + 1, len(before.rpartition("\n")[2]) + 1, ()),
            "a character that does not print",
            f"U+{ord(match[0]):04X}",
            "plain text; remove this character",
        )
