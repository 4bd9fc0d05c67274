"""Writing new files: all of them or none, never half a file, never in the place of another."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Mapping
from pathlib import Path

from jigs.errors import ExportError


def refuse_existing(paths: Iterable[Path], remedy: str = "another name, or another folder") -> None:
    """Raise ExportError, with the remedy, if there is something at one of the paths already."""
    for path in paths:
        if os.path.lexists(path):
            raise ExportError(f"{path}: is there already, and stays as it is\n  remedy: {remedy}")


def refuse_closed(folder: Path) -> None:
    """Raise ExportError if files cannot be put into a folder that is there, or is to be made."""
    above = folder
    while not above.exists() and above != above.parent:
        above = above.parent
    if not above.is_dir():
        raise _cannot(folder, f"{above} is not a folder")
    if not os.access(above, os.W_OK | os.X_OK):
        raise _cannot(folder, "Permission denied")


def write_new(files: Mapping[Path, bytes]) -> None:
    """Write files that are not there yet, through temporary names; folders are made as needed.

    Raises ExportError; whatever goes wrong, nothing of it is left.
    """
    refuse_existing(files)
    made: list[Path] = []
    undo = contextlib.ExitStack()
    try:
        with undo:
            for path, content in files.items():
                _make_folders(path.parent, undo)
                made.append(_beside(path, content, undo))
            for beside, path in zip(made, files, strict=True):
                _into_place(beside, path)
                undo.callback(path.unlink)
            undo.pop_all()
    except OSError as error:
        raise _cannot(next(iter(files)).parent, error.strerror or str(error)) from error


def _make_folders(folder: Path, undo: contextlib.ExitStack) -> None:
    missing = [one for one in (folder, *folder.parents) if not one.exists()]
    for one in reversed(missing):
        one.mkdir()
        undo.callback(_remove_empty, one)


def _remove_empty(folder: Path) -> None:
    """A folder of ours goes again; one that somebody has put a file into stays."""
    with contextlib.suppress(OSError):
        folder.rmdir()


def _beside(path: Path, content: bytes, undo: contextlib.ExitStack) -> Path:
    """Write under a name that nobody reads, down to the disk."""
    beside = path.with_name(f".{path.name}.{os.getpid()}.new")
    with beside.open("xb") as stream:
        undo.callback(beside.unlink, missing_ok=True)
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    return beside


def _into_place(beside: Path, path: Path) -> None:
    """Give a file its name, unless somebody has taken that since: a link never replaces."""
    try:
        os.link(beside, path)
    except FileExistsError:
        refuse_existing([path])
        raise
    except OSError:  # a file system without links
        refuse_existing([path])
        os.rename(beside, path)
    else:
        beside.unlink()


def _cannot(folder: Path, reason: str) -> ExportError:
    return ExportError(
        f"{folder}: no files can be written there ({reason})\n  remedy: name another folder"
    )
