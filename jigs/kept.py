"""What was worked out before, kept for the next process: solids, measures, sweeps, files.

Every answer stands under the digest of all that it was worked out from, and of what worked it out:
nothing is ever looked up by a name. Bytes that do not agree with their own digest count as not
there. A store that cannot be read or written costs time, nothing else.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import math
import os
import sqlite3
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

WHERE = "JIGS_KEPT"
"""Environment variable: the folder of the store, or `off`."""

MOST_BYTES = 400_000_000
MOST_DAYS = 60
DAY = 86_400
_ADDRESS = " at 0x"
_TABLE = """CREATE TABLE IF NOT EXISTS kept (
    key TEXT PRIMARY KEY, used INTEGER NOT NULL, seal BLOB NOT NULL, value BLOB NOT NULL)"""


def digest(*said: object) -> str:
    """Hex digest of what frozen descriptions, numbers and words say of themselves.

    Raises TypeError for an object that only tells its address.
    """
    text = repr(said)
    if _ADDRESS in text:
        raise TypeError(f"not a description: {text[:200]}")
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


class Kept:
    """Answers by what they were worked out from. Without a file they last as long as the process.

    Parameters: file = where the store lies, made when first written; made_by = digest of all that
    works answers out: code, versions, kind of machine.
    """

    def __init__(self, file: Path | None = None, made_by: str = "") -> None:
        self._file, self._made_by = file, made_by
        self._save_every, self._saved_at = math.inf, time.monotonic()
        self._known: dict[str, Any] = {}
        self._new: dict[str, bytes] = {}
        self._seen: set[str] = set()
        self._base: sqlite3.Connection | None = None
        self._broken = file is None

    @property
    def lasts(self) -> bool:
        """Will another process find what this one keeps?"""
        return not self._broken

    def answer(self, kind: str, said: tuple[object, ...], work_out: Callable[[], Any]) -> Any:
        """An answer that JSON can hold (numbers exactly): found, or worked out and kept."""
        key = self._key(kind, said)
        if key not in self._known:
            found = self._look(key)
            if found is None:
                self._known[key] = work_out()
                if self.lasts:
                    self._add(key, json.dumps(self._known[key]).encode())
            else:
                self._known[key] = json.loads(found)
        return self._known[key]

    def bytes_of(
        self, kind: str, said: tuple[object, ...], make: Callable[[], bytes | None]
    ) -> bytes | None:
        """Bytes: found, or made and kept. None is not kept."""
        if not self.lasts:
            return make()
        key = self._key(kind, said)
        found = self._new.get(key) or self._look(key)
        if found is None:
            found = make()
            if found is not None:
                self._add(key, found)
        return found

    def holds(self, kind: str, said: tuple[object, ...]) -> bool:
        """Is there an answer to be found?"""
        return self.lasts and self._look(self._key(kind, said)) is not None

    @contextlib.contextmanager
    def saving_every(self, seconds: float) -> Iterator[None]:
        """While another process waits for answers, what is new is saved that often."""
        before, self._save_every = self._save_every, seconds
        try:
            yield
        finally:
            self._save_every = before

    def _add(self, key: str, value: bytes) -> None:
        self._new[key] = value
        if time.monotonic() - self._saved_at > self._save_every:
            self.save()

    def _key(self, kind: str, said: tuple[object, ...]) -> str:
        return digest(kind, self._made_by, *said)

    def _look(self, key: str) -> bytes | None:
        base = self._open()
        if base is None:
            return None
        with self._careful():
            row = base.execute("SELECT seal, value FROM kept WHERE key = ?", (key,)).fetchone()
            if row is not None and row[0] == _seal(key, row[1]):
                self._seen.add(key)
                return bytes(row[1])
        return None

    def save(self) -> None:
        """Write what is new."""
        base = self._open() if self._new else None
        if base is not None:
            today = _today()
            with self._careful(), base:
                base.executemany(
                    "INSERT OR REPLACE INTO kept VALUES (?, ?, ?, ?)",
                    [(key, today, _seal(key, value), value) for key, value in self._new.items()],
                )
            self._new.clear()
        self._saved_at = time.monotonic()

    def close(self) -> None:
        """Save, let go of what nobody asked for in a long time, and of the file."""
        self.save()
        base = self._open() if self._seen else self._base
        if base is not None:
            today = _today()
            with self._careful(), base:
                base.executemany(
                    "UPDATE kept SET used = ? WHERE key = ? AND used < ?",
                    [(today, key, today) for key in self._seen],
                )
                base.execute("DELETE FROM kept WHERE used < ?", (today - MOST_DAYS,))
                self._make_room(base)
            self._seen.clear()
        if self._base is not None:
            self._base.close()
            self._base = None

    def _make_room(self, base: sqlite3.Connection) -> None:
        """Drop the longest unused first until the store is of fair size."""
        held = base.execute("SELECT SUM(LENGTH(value)) FROM kept").fetchone()[0] or 0
        if held > MOST_BYTES:
            rows = base.execute("SELECT key, LENGTH(value) FROM kept ORDER BY used").fetchall()
            for key, size in rows:
                base.execute("DELETE FROM kept WHERE key = ?", (key,))
                held -= size
                if held <= MOST_BYTES / 2:
                    break

    def _open(self) -> sqlite3.Connection | None:
        if self._base is None and not self._broken:
            assert self._file is not None
            with self._careful():
                self._file.parent.mkdir(parents=True, exist_ok=True)
                self._base = sqlite3.connect(self._file, timeout=2.0)
                self._base.execute("PRAGMA journal_mode = WAL")
                self._base.execute("PRAGMA synchronous = OFF")
                self._base.execute(_TABLE)
        return None if self._broken else self._base

    @contextlib.contextmanager
    def _careful(self) -> Iterator[None]:
        """A store that does not work is done without; one that is no store is thrown away."""
        try:
            yield
        except (sqlite3.Error, OSError) as error:
            self._broken = True
            torn = isinstance(error, sqlite3.DatabaseError) and not isinstance(
                error, sqlite3.OperationalError
            )
            if self._base is not None:
                with contextlib.suppress(sqlite3.Error):
                    self._base.close()
                self._base = None
            if torn and self._file is not None:
                with contextlib.suppress(OSError):
                    self._file.unlink()


def _today() -> int:
    return int(time.time()) // DAY


def _seal(key: str, value: bytes) -> bytes:
    """Ties a value to its key, so that neither a torn nor a misplaced one is taken."""
    return hashlib.sha256(key.encode() + b"\0" + value).digest()


def store_file() -> Path | None:
    """Where this user's store lies; None where it is switched off."""
    named = os.environ.get(WHERE, "")
    if named.casefold() == "off":
        return None
    folder = Path(named) if named else user_cache_path("jigs", appauthor=False)
    return folder / "kept.sqlite"
