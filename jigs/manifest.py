"""manifest.json: what a publication consists of, the names it may use, and whether it still stands.

Written and replaced by publish.py only; this module reads and compares.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path

from jigs import journal
from jigs.errors import ExportError

MANIFEST = "manifest.json"

_FORMAT = 1
_SHA256 = re.compile(r"[0-9a-f]{64}")
# Source for both: Microsoft, "Naming Files, Paths, and Namespaces" (Win32 documentation), typed
# from memory. Refused everywhere, so that a folder made on one system can be copied to any other.
_FORBIDDEN = set('<>:"|?*\\')
_RESERVED = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9¹²³])", re.IGNORECASE)
# Unicode's general categories of control characters, surrogates, line and paragraph separators.
_UNPRINTED = {"Cc", "Cs", "Zl", "Zp"}


@dataclass(frozen=True)
class Stamp:
    """What a publication was made from.

    Parameters: key = digest of everything that decides the bytes, see `unchanged`;
    versions = name of each program and library that decides them -> its version.
    """

    key: str
    versions: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Entry:
    """One published file: hex sha256 of its bytes and their number."""

    sha256: str
    size: int


@dataclass(frozen=True)
class Manifest:
    """What manifest.json says: the stamp, the files by relative path, and the caller's own JSON."""

    stamp: Stamp
    files: Mapping[str, Entry]
    extra: Mapping[str, object]

    def dump(self) -> bytes:
        """Return the bytes of manifest.json: the same in every process and on every machine."""
        raw = {
            "format": _FORMAT,
            "key": self.stamp.key,
            "versions": dict(self.stamp.versions),
            "files": {name: asdict(entry) for name, entry in self.files.items()},
            "extra": dict(self.extra),
        }
        try:
            text = json.dumps(raw, sort_keys=True, indent=1, ensure_ascii=False, allow_nan=False)
            return (text + "\n").encode()
        except (TypeError, ValueError) as error:
            raise ExportError(f"{MANIFEST}: cannot be written as JSON: {error}") from error


def read_manifest(folder: Path) -> Manifest | None:
    """Return a folder's manifest, or None if it has none.

    Raises: ExportError if manifest.json is there but is not one of ours.
    """
    path = folder / MANIFEST
    if not os.path.lexists(path):
        return None
    if journal.is_link(path):
        raise ExportError(f"{path}: is a link\n  remedy: move or remove it")
    try:
        with os_errors(folder):
            return _parse(json.loads(path.read_bytes()))
    except (ValueError, KeyError, TypeError, AttributeError, ExportError) as error:
        raise ExportError(
            f"{path}: not a manifest that this version can read ({journal.reason(error)})\n"
            "  remedy: move or rename it, and the files that the build is to write again"
        ) from error


def verify(folder: Path) -> list[str]:
    """Compare a folder with its manifest.

    Returns: one line a difference, empty if there is none; files that the manifest does not list
    are the user's and no difference. Raises: ExportError for an unreadable manifest.
    """
    if os.path.lexists(folder / journal.STAGING):
        return ["an interrupted build was left behind"]
    manifest = read_manifest(folder)
    if manifest is None:
        return [f"{MANIFEST}: missing"]
    with os_errors(folder):
        lines = (_difference(folder, name, entry) for name, entry in manifest.files.items())
        return sorted(line for line in lines if line)


def unchanged(folder: Path, inputs_key: str) -> bool:
    """Tell whether a folder holds, whole and unedited, what was published under this key."""
    try:
        manifest = read_manifest(folder)
        return manifest is not None and manifest.stamp.key == inputs_key and not verify(folder)
    except ExportError:
        return False


def check_name(name: str) -> None:
    """Raise ExportError unless a relative path is safe inside a folder, on every system."""
    for part in name.split("/"):
        if part in ("", ".", ".."):
            problem = "is not a path inside the folder"
        elif any(c in _FORBIDDEN or unicodedata.category(c) in _UNPRINTED for c in part):
            problem = "has a character that not every system allows in a name"
        elif part[-1] in ". " or _RESERVED.fullmatch(part.split(".")[0].rstrip()):
            problem = f"has a part that Windows does not allow as a name: '{part}'"
        else:
            continue
        raise ExportError(f"file name {name!r} {problem}")
    if name.split("/")[0].casefold() in (MANIFEST, journal.STAGING):
        raise ExportError(f"file name {name!r} is kept for the publication itself")


def is_hash(text: object) -> bool:
    """Tell whether this is a sha256 in lower-case hex."""
    return isinstance(text, str) and bool(_SHA256.fullmatch(text))


@contextlib.contextmanager
def os_errors(folder: Path, only_inside: bool = False) -> Iterator[None]:
    """Turn errors of the operating system into ExportError, with path, reason and remedy.

    Parameters: only_inside = let those pass that name a path outside the folder.
    """
    try:
        yield
    except OSError as error:
        named = error.filename
        if (
            only_inside
            and named is not None
            and not Path(os.fsdecode(named)).is_relative_to(folder)
        ):
            raise
        raise ExportError(
            f"{folder}: files cannot be read or written: {journal.reason(error)}\n"
            f"  remedy: {journal.remedy(error)}"
        ) from error


def _parse(raw: object) -> Manifest:
    if not isinstance(raw, dict) or raw.get("format") != _FORMAT:
        raise ValueError(f"no object with 'format': {_FORMAT}")
    files = {name: Entry(**entry) for name, entry in raw["files"].items()}
    for name, entry in files.items():
        check_name(name)
        if not is_hash(entry.sha256) or type(entry.size) is not int:
            raise ValueError(f"'{name}' has no sha256 and size")
    key, versions, extra = raw["key"], raw["versions"], raw["extra"]
    if not (isinstance(key, str) and isinstance(versions, dict) and isinstance(extra, dict)):
        raise ValueError("'key', 'versions' or 'extra' is of the wrong type")
    return Manifest(Stamp(key, versions), files, extra)


def _difference(folder: Path, name: str, entry: Entry) -> str:
    found = journal.look(folder, name)
    if found == journal.ABSENT:
        return f"{name}: missing"
    if not is_hash(found):
        return f"{name}: is {found}"
    size = os.lstat(folder / name).st_size
    if size != entry.size:
        return f"{name}: has {size} bytes, not {entry.size}"
    return "" if found == entry.sha256 else f"{name}: has other bytes"
