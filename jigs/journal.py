"""All-or-nothing exchange of files in a folder, told in a journal before it happens.

    folder/.jigs-staging/new/...        what a build has written and not yet placed
    folder/.jigs-staging/old/...        what had to give way, until the exchange has ended
    folder/.jigs-staging/journal.json   there: the exchange has begun and has to be ended

Files are only ever renamed between these places and the folder, so both directions stay open at
every moment and need no disk space. Names are relative paths with forward slashes. Functions raise
OSError as it comes unless they say otherwise; publish.py turns it into ExportError.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import shutil
import stat
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from jigs.errors import ExportError

STAGING = ".jigs-staging"
ABSENT = ""
FOLDER = "a folder"
LINK = "a link"
OTHER = "not a plain file"

# Windows' directory junctions are links that lstat does not report as such; the value is
# IO_REPARSE_TAG_MOUNT_POINT of the Windows SDK (winnt.h), which Python has on Windows only.
_JUNCTION = 0xA0000003


@dataclass(frozen=True)
class Swap:
    """One file's exchange: sha256 before and after; ABSENT stands for no file."""

    name: str
    old: str
    new: str


@dataclass(frozen=True)
class Plan:
    """A whole exchange.

    Parameters: head = the file that describes the others: first to go, last to come;
    swaps = the others; made = folders that the exchange has to make.
    """

    head: Swap
    swaps: tuple[Swap, ...]
    made: tuple[str, ...]


def staged(folder: Path) -> Path:
    """Return where new files wait."""
    return folder / STAGING / "new"


def journal_of(folder: Path) -> Path:
    """Return the journal's path."""
    return folder / STAGING / "journal.json"


def is_link(path: Path) -> bool:
    """Tell whether the path is a symbolic link or a junction. A path that is not there is none."""
    try:
        info = os.lstat(path)
    except (FileNotFoundError, NotADirectoryError):
        return False
    return stat.S_ISLNK(info.st_mode) or getattr(info, "st_reparse_tag", 0) == _JUNCTION


def look(root: Path, name: str) -> str:
    """Return the sha256 of root/name, or ABSENT, FOLDER, LINK or OTHER. No link is followed."""
    path = root
    for part in name.split("/"):
        path = path / part
        if is_link(path):
            return LINK
    try:
        mode = os.lstat(path).st_mode
    except (FileNotFoundError, NotADirectoryError):
        return ABSENT
    if stat.S_ISDIR(mode):
        return FOLDER
    if not stat.S_ISREG(mode):
        return OTHER
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def write(path: Path, data: bytes) -> None:
    """Write a file in the staging folder. `flush` makes it outlive a power cut."""
    # O_BINARY exists on Windows only and keeps its \n from becoming \r\n.
    flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0)
    handle = os.open(path, flags, 0o666)
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]
    finally:
        os.close(handle)


def flush(path: Path) -> None:
    """Wait until a file's bytes are on the disk."""
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def carry_out(folder: Path, plan: Plan) -> None:
    """Exchange the files of a plan whose new files are all staged; on any error undo it.

    Raises: OSError or whatever interrupted it, with the folder as it was; ExportError if it could
    not be undone either, with the journal left for `finish`.
    """
    try:
        _begin(folder, plan)
        _run(folder, plan)
        _end(folder)
    except BaseException as error:
        if os.path.lexists(journal_of(folder)):
            try:
                _run(folder, _inverse(plan), undoing=True)
                _end(folder)
            except OSError as second:
                raise ExportError(
                    f"{folder}: writing was interrupted ({reason(error)}) and could not be undone "
                    f"({reason(second)})\n  remedy: {remedy(second)}; "
                    "the next command ends what is half done"
                ) from error
        raise


def finish(folder: Path) -> bool:
    """End an exchange that was interrupted: forward if that can be done, else back.

    Returns: True if the new files stand, False if the old ones do.
    Raises: ExportError if a file changed since, or files were taken out of the staging folder.
    """
    plan = _read(folder)
    changed = _changed_since(folder, plan)
    if changed:
        raise ExportError(
            f"{folder}: a build was interrupted, and since then these changed:{listing(changed)}\n"
            "  remedy: move or rename them, then run the command again"
        )
    backward = _inverse(plan)
    if _can_run(folder, plan):
        try:
            _run(folder, plan)
            _end(folder)
        except OSError:
            if not (os.path.lexists(journal_of(folder)) and _can_run(folder, backward, True)):
                raise
        else:
            return True
    elif not _can_run(folder, backward, undoing=True):
        raise ExportError(
            f"{folder}: a build was interrupted and files of it are missing from {STAGING}\n"
            f"  remedy: move what you want to keep out of {folder}, delete it and build again"
        )
    _run(folder, backward, undoing=True)
    _end(folder)
    return False


def drop_staging(folder: Path) -> None:
    """Remove the staging folder with all that is in it."""
    if os.path.lexists(folder / STAGING):
        shutil.rmtree(folder / STAGING)


def parents(name: str) -> list[str]:
    """Return the folders of a name, the outermost first: a/b/c -> [a, a/b]."""
    parts = name.split("/")[:-1]
    return ["/".join(parts[: count + 1]) for count in range(len(parts))]


def settle(root: Path, names: Iterable[str]) -> None:
    """Wait until the renames in the folders of these files are on the disk."""
    # Windows cannot open a folder; there the renames are written through by the file system.
    if os.name == "nt":
        return
    inner = {parent for name in names for parent in parents(name)}
    for folder in [root / parent for parent in sorted(inner)] + [root]:
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            except OSError as error:
                # Some network file systems know no fsync of a folder and say EINVAL.
                if error.errno != errno.EINVAL:
                    raise
            finally:
                os.close(handle)


def listing(names: Iterable[str]) -> str:
    """Write names one a line, for an error message."""
    return "".join(f"\n    {name}" for name in names)


def reason(error: BaseException) -> str:
    """Say in short why something failed."""
    if isinstance(error, OSError) and error.strerror:
        where = f"{error.filename}: " if error.filename is not None else ""
        return f"{where}{error.strerror}"
    return str(error) or type(error).__name__


def remedy(error: OSError) -> str:
    """Say what the user can do about an error of the operating system."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return "make room on the disk"
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return "see that you may write there and that no other program has the file open"
    if error.errno == errno.EXDEV:
        return "choose a folder that has no other disk mounted inside it"
    if error.errno == errno.EEXIST:
        return "move or rename it, then run the command again"
    return "see that the disk is there and sound"


def _begin(folder: Path, plan: Plan) -> None:
    for swap in (*plan.swaps, plan.head):
        if swap.new:
            flush(staged(folder) / swap.name)
    settle(staged(folder), [swap.name for swap in plan.swaps])
    draft = journal_of(folder).with_suffix(".draft")
    write(draft, json.dumps(asdict(plan), sort_keys=True).encode())
    flush(draft)
    settle(folder / STAGING, ())
    os.replace(draft, journal_of(folder))
    settle(folder / STAGING, ())
    settle(folder, ())


def _end(folder: Path) -> None:
    os.unlink(journal_of(folder))
    # From here on the exchange stands: what fails now is litter, which the next command removes.
    with contextlib.suppress(OSError):
        settle(folder / STAGING, ())
        drop_staging(folder)


def _read(folder: Path) -> Plan:
    try:
        raw = json.loads(journal_of(folder).read_bytes())
        return Plan(
            head=Swap(**raw["head"]),
            swaps=tuple(Swap(**swap) for swap in raw["swaps"]),
            made=tuple(raw["made"]),
        )
    except (ValueError, KeyError, TypeError) as error:
        raise ExportError(
            f"{journal_of(folder)}: not a journal that this version can read\n"
            f"  remedy: move what you want to keep out of {folder}, delete it and build again"
        ) from error


def _inverse(plan: Plan) -> Plan:
    return Plan(
        head=Swap(plan.head.name, plan.head.new, plan.head.old),
        swaps=tuple(Swap(swap.name, swap.new, swap.old) for swap in reversed(plan.swaps)),
        made=plan.made,
    )


def _stores(folder: Path, undoing: bool) -> tuple[Path, Path]:
    """Return where outgoing files go and where incoming files wait."""
    new, old = staged(folder), folder / STAGING / "old"
    return (new, old) if undoing else (old, new)


def _can_run(folder: Path, plan: Plan, undoing: bool = False) -> bool:
    _, incoming = _stores(folder, undoing)
    return all(
        swap.new in (look(folder, swap.name), look(incoming, swap.name))
        for swap in (*plan.swaps, plan.head)
        if swap.new
    )


def _changed_since(folder: Path, plan: Plan) -> list[str]:
    # A folder in the place of a file is let through: the files in it may be about to leave, and
    # the system refuses to rename a file over a folder that stays.
    return [
        swap.name
        for swap in (*plan.swaps, plan.head)
        if look(folder, swap.name) not in (ABSENT, FOLDER, swap.old, swap.new)
    ]


def _run(folder: Path, plan: Plan, undoing: bool = False) -> None:
    """Bring the folder from old to new, from wherever between the two it stands."""
    outgoing, incoming = _stores(folder, undoing)
    head = plan.head
    if head.old != head.new and head.old and look(folder, head.name) == head.old:
        _move(folder, outgoing, head.name)
        settle(folder, ())
    leaving = [swap for swap in plan.swaps if not swap.new]
    for swap in leaving:
        _exchange(folder, swap, outgoing, incoming)
    _prune(folder, leaving, only=plan.made if undoing else None)
    for swap in plan.swaps:
        if swap.new:
            _exchange(folder, swap, outgoing, incoming)
    settle(folder, [swap.name for swap in plan.swaps])
    if head.new and look(folder, head.name) != head.new:
        _move(incoming, folder, head.name)
    settle(folder, ())


def _exchange(folder: Path, swap: Swap, outgoing: Path, incoming: Path) -> None:
    now = look(folder, swap.name)
    if now == swap.new:
        return
    if swap.old and now == swap.old:
        _move(folder, outgoing, swap.name)
    elif swap.new and now not in (ABSENT, FOLDER):
        raise FileExistsError(
            errno.EEXIST, "changed by somebody else in the meantime", str(folder / swap.name)
        )
    if swap.new:
        _move(incoming, folder, swap.name)


def _move(source: Path, target: Path, name: str) -> None:
    (target / name).parent.mkdir(parents=True, exist_ok=True)
    os.replace(source / name, target / name)


def _prune(folder: Path, leaving: Sequence[Swap], only: Sequence[str] | None) -> None:
    """Remove the folders that files have left, if nothing else is in them."""
    left = {parent for swap in leaving for parent in parents(swap.name)}
    for parent in sorted(left, key=lambda name: -name.count("/")):
        if only is not None and parent not in only:
            continue
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            if not any(_entries(folder / parent)):
                os.rmdir(folder / parent)


def _entries(folder: Path) -> Iterator[str]:
    with os.scandir(folder) as entries:
        yield from (entry.name for entry in entries)
