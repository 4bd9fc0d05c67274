"""Journalled writing of a job's output folder: the whole new publication or the whole old one.

    with publish.into(Path("exports/dibber"), Stamp(key, versions)) as out:
        write_step(solid, out.path("parts/ring/fixed_half.step"))
        out.write_text("parts.csv", text)
        out.describe("transforms", poses)
    print(out.outcome.written)

manifest.json is the last file to be written and the first to go, so that it never describes a
file that differs. A file that the manifest does not list, or that was edited since, is the user's
and is never touched. What an interruption leaves is ended by `recover`, or by the next `into`.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from filelock import FileLock, Timeout

from jigs import journal
from jigs.errors import ExportError
from jigs.manifest import (
    MANIFEST,
    Entry,
    Manifest,
    Stamp,
    check_name,
    is_hash,
    os_errors,
    read_manifest,
    unchanged,
    verify,
)

__all__ = [
    "LOCK_SECONDS",
    "MANIFEST",
    "Entry",
    "Manifest",
    "Outcome",
    "Publication",
    "Recovery",
    "Stamp",
    "check_name",
    "into",
    "read_manifest",
    "recover",
    "unchanged",
    "verify",
]
LOCK_SECONDS = 2.0


class Recovery(StrEnum):
    """What `recover` found and did, in words for the user."""

    NOTHING = "nothing was left over"
    COMPLETED = "an interrupted build was completed"
    ROLLED_BACK = "an interrupted build was undone"
    CLEANED = "unfinished files of an interrupted build were removed"


@dataclass(frozen=True)
class Outcome:
    """What a publication did, each a sorted tuple of relative paths.

    Parameters: written = new or replaced; unchanged = had the same bytes and were left alone;
    removed = no longer made; kept = no longer made, but edited by the user and so left alone;
    recovered = what was left over before.
    """

    written: tuple[str, ...]
    unchanged: tuple[str, ...]
    removed: tuple[str, ...]
    kept: tuple[str, ...]
    recovered: Recovery


class Publication:
    """The files of one build, gathered beside the old ones until all are there. See `into`."""

    def __init__(self, folder: Path, stamp: Stamp, recovered: Recovery) -> None:
        self._folder, self._stamp, self._recovered = folder, stamp, recovered
        self._staged = journal.staged(folder)
        self._names: dict[str, str] = {}
        self._extra: dict[str, object] = {}
        self._outcome: Outcome | None = None

    @property
    def outcome(self) -> Outcome:
        """What the publication did. Raises RuntimeError before it has ended well."""
        if self._outcome is None:
            raise RuntimeError("the publication has not ended")
        return self._outcome

    def written(self, folder: str) -> Iterator[tuple[str, Path]]:
        """What this build has put into one of its folders so far: name, and where it is staged."""
        for name in self._names.values():
            if name.startswith(f"{folder}/"):
                yield name, self._staged / name

    def path(self, name: str) -> Path:
        """Return where to write the file that will be published as `name`; its folder is made.

        Parameters: name = path inside the folder with forward slashes, one writer each.
        Raises: ExportError for a name that is not safe on every system or is taken.
        """
        check_name(name)
        folded = unicodedata.normalize("NFC", name).casefold()
        if folded in self._names:
            raise ExportError(
                f"'{name}' is already written as '{self._names[folded]}' in the same build"
            )
        target = self._staged / name
        with os_errors(self._folder):
            target.parent.mkdir(parents=True, exist_ok=True)
        self._names[folded] = name
        return target

    def write_bytes(self, name: str, data: bytes) -> None:
        """Publish these bytes under a name. Raises as `path` does."""
        target = self.path(name)
        with os_errors(self._folder):
            journal.write(target, data)

    def write_text(self, name: str, text: str) -> None:
        """Publish a text in UTF-8; line ends stay as they are. Raises as `path` does."""
        self.write_bytes(name, text.encode())

    def describe(self, name: str, value: object) -> None:
        """Put a JSON value of the caller's under `extra` in the manifest.

        Raises: ExportError, on leaving `into`, if it is no JSON or names this machine's folder.
        """
        self._extra[name] = value

    def _commit(self) -> None:
        new = self._manifest()
        old = read_manifest(self._folder) or Manifest(Stamp(""), {}, {})
        plan, outcome = self._plan(old.files, new)
        if plan.swaps or plan.head.old != plan.head.new:
            journal.write(self._staged / MANIFEST, new.dump())
            journal.carry_out(self._folder, plan)
        else:
            journal.drop_staging(self._folder)
        self._outcome = outcome

    def _manifest(self) -> Manifest:
        files: dict[str, Entry] = {}
        for name in sorted(self._names.values()):
            found = journal.look(self._staged, name)
            if not is_hash(found):
                what = "nothing was" if found == journal.ABSENT else f"{found} was"
                raise ExportError(f"'{name}' was announced, but {what} written")
            files[name] = Entry(found, os.lstat(self._staged / name).st_size)
        strays = sorted(set(_files_in(self._staged)) - set(files))
        if strays:
            raise ExportError(
                f"files were written without being announced:{journal.listing(strays)}"
            )
        manifest = Manifest(self._stamp, files, self._extra)
        # Doubled backslashes are how JSON writes a Windows path.
        here = json.dumps(str(self._folder), ensure_ascii=False)[1:-1]
        if here in manifest.dump().decode():
            raise ExportError(f"{MANIFEST}: would name a folder of this machine: {self._folder}")
        return manifest

    def _plan(self, old: Mapping[str, Entry], new: Manifest) -> tuple[journal.Plan, Outcome]:
        stale = {name: journal.look(self._folder, name) for name in old if name not in new.files}
        leaving = [name for name in sorted(stale) if stale[name] == old[name].sha256]
        kept = [name for name in sorted(stale) if stale[name] not in ("", old[name].sha256)]
        there = {name: journal.look(self._folder, name) for name in new.files}
        same = [name for name in there if there[name] == new.files[name].sha256]
        coming = [name for name in there if name not in same]
        self._refuse_foreign(coming, there, old, set(leaving))
        swaps = [journal.Swap(name, stale[name], journal.ABSENT) for name in leaving]
        for name in coming:
            before = journal.ABSENT if there[name] == journal.FOLDER else there[name]
            swaps.append(journal.Swap(name, before, new.files[name].sha256))
        plan = journal.Plan(
            head=journal.Swap(
                MANIFEST,
                journal.look(self._folder, MANIFEST),
                hashlib.sha256(new.dump()).hexdigest(),
            ),
            swaps=tuple(swaps),
            made=tuple(
                parent
                for parent in sorted({above for name in coming for above in journal.parents(name)})
                if not (self._folder / parent).is_dir()
            ),
        )
        outcome = Outcome(
            written=tuple(coming),
            unchanged=tuple(same),
            removed=tuple(leaving),
            kept=tuple(kept),
            recovered=self._recovered,
        )
        return plan, outcome

    def _refuse_foreign(
        self,
        coming: list[str],
        there: Mapping[str, str],
        old: Mapping[str, Entry],
        leaving: set[str],
    ) -> None:
        """Raise unless every path to be written is free or holds what the last build left."""
        foreign: set[str] = set()
        for name in coming:
            now = there[name]
            if now == journal.FOLDER:
                foreign.update(_foreign_in(self._folder, name, leaving))
            elif now != journal.ABSENT and (name not in old or now != old[name].sha256):
                foreign.add(f"{name} ({now})" if now == journal.LINK else name)
            for parent in journal.parents(name):
                above = self._folder / parent
                if parent not in leaving and os.path.lexists(above) and not above.is_dir():
                    foreign.add(parent)
        if foreign:
            raise ExportError(
                f"{self._folder}: these are not what the last build left, and this build would "
                f"write over them:{journal.listing(sorted(foreign))}\n"
                "  remedy: move or rename them, then build again; nothing was changed"
            )


@contextlib.contextmanager
def into(folder: Path, stamp: Stamp, wait: float = LOCK_SECONDS) -> Iterator[Publication]:
    """Publish a folder as a whole: on leaving the block all files are in place, or none is.

    First ends what an interrupted build left. An error inside the block, or while the files are
    put in place, leaves the folder as it was. Files with the same bytes are not written again.

    Parameters: folder = where the files go, made if absent; stamp = what they are made from;
    wait = how long to wait for another build, in seconds.
    Raises: ExportError with the path, the reason and the remedy.
    """
    folder = _checked(folder)
    with _alone(folder, wait), os_errors(folder, only_inside=True):
        recovered = _recover(folder)
        fresh = not folder.exists()
        out = Publication(folder, stamp, recovered)
        try:
            with os_errors(folder):
                journal.staged(folder).mkdir(parents=True)
            yield out
            with os_errors(folder):
                out._commit()
        except BaseException:
            _abandon(folder, fresh)
            raise


def recover(folder: Path, wait: float = LOCK_SECONDS) -> Recovery:
    """End what an interrupted build left in a folder: complete it, or undo it if files are lost.

    Cheap when nothing is left over, so every command calls it first.

    Raises: ExportError if another build is at work, or if the user has to decide.
    """
    folder = _checked(folder)
    if not os.path.lexists(folder / journal.STAGING):
        return Recovery.NOTHING
    with _alone(folder, wait):
        return _recover(folder)


def _checked(folder: Path) -> Path:
    """Return the absolute folder. A link in its own place is refused; those above it are not."""
    target = Path(os.path.abspath(folder))
    with os_errors(target):
        if journal.is_link(target) or journal.is_link(target / journal.STAGING):
            raise ExportError(
                f"{folder}: nothing is written through a link\n"
                "  remedy: put a plain folder in its place, or name the folder it points to"
            )
        if not target.name or (os.path.lexists(target) and not target.is_dir()):
            raise ExportError(f"{folder}: is no folder to write into\n  remedy: name another one")
    return target


@contextlib.contextmanager
def _alone(folder: Path, wait: float) -> Iterator[None]:
    """Hold the folder's lock. It stands beside the folder, which may not be there yet."""
    lock = FileLock(folder.parent / f".{folder.name}.lock", timeout=wait)
    with os_errors(folder):
        folder.parent.mkdir(parents=True, exist_ok=True)
        try:
            lock.acquire()
        except Timeout as error:
            raise ExportError(
                f"{folder}: another build is writing here\n  remedy: run again when it has ended"
            ) from error
    try:
        yield
    finally:
        lock.release()


def _recover(folder: Path) -> Recovery:
    if not os.path.lexists(folder / journal.STAGING):
        return Recovery.NOTHING
    with os_errors(folder):
        if os.path.lexists(journal.journal_of(folder)):
            done = Recovery.COMPLETED if journal.finish(folder) else Recovery.ROLLED_BACK
        else:
            done = Recovery.CLEANED
        journal.drop_staging(folder)
        # An empty folder was made by the build that was interrupted, or holds nothing to lose.
        with contextlib.suppress(OSError):
            folder.rmdir()
    return done


def _abandon(folder: Path, fresh: bool) -> None:
    """Remove what an unsuccessful build has staged, unless an exchange waits to be ended."""
    if os.path.lexists(journal.journal_of(folder)):
        return
    with contextlib.suppress(OSError):
        journal.drop_staging(folder)
        if fresh:
            folder.rmdir()


def _files_in(folder: Path) -> Iterator[str]:
    for root, _, names in os.walk(folder):
        for name in names:
            yield (Path(root) / name).relative_to(folder).as_posix()


def _foreign_in(folder: Path, name: str, leaving: set[str]) -> Iterator[str]:
    """Yield what keeps folder/name, a folder, from giving way to a file of that name."""
    for root, folders, names in os.walk(folder / name):
        here = Path(root).relative_to(folder)
        inside = {(here / item).as_posix() for item in names}
        inside |= {(here / item).as_posix() for item in folders if (Path(root) / item).is_symlink()}
        yield from sorted(inside - leaving)
        if not names and not folders:
            yield here.as_posix()
