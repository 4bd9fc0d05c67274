"""One build: read, size, make solids, check, write everything under the export folder."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jigs import publish
from jigs.following import files_of
from jigs.model.finding import Verdict
from jigs.provenance import code_digest, open_store, versions

if TYPE_CHECKING:
    from jigs.sizing import Design
    from jigs.solids.store import Solids

Say = Callable[[str], None]
NOTES, READ = "notes", "read"
"""In the manifest: what the user was told; the files that were read, as seen from the job."""

DAY = 86_400
"""Seconds."""


@dataclass(frozen=True)
class Built:
    """What a build did. `report` is the plain data of report.json; `read` = the user's files."""

    folder: Path
    verdict: Verdict
    report: dict[str, Any]
    written: tuple[str, ...]
    unchanged: bool
    notes: tuple[str, ...] = ()
    read: tuple[Path, ...] = ()


class Memory:
    """What a process remembers from one build to the next; most of it in the user's store."""

    def __init__(self) -> None:
        self.kept = open_store()

    @cached_property
    def solids(self) -> Solids:
        """The solids of the last build."""
        from jigs.solids.store import Solids

        return Solids(self.kept)

    def tidy(self) -> None:
        """Save what is new; let go of solids that the last build did not ask for."""
        self.kept.save()
        if "solids" in self.__dict__:
            self.solids.forget_unused()


def quiet(message: str) -> None:
    """Say nothing."""


def build(
    config: Path, out: Path | None = None, *, pictures: bool = True, dry_fit: bool = True,
    papers: bool = True, say: Say = quiet, memory: Memory | None = None,
) -> Built:  # fmt: skip
    """Build a job into `out` (default: exports/<name of the job file>).

    Parameters: pictures, dry_fit, papers (drawings and setup sheet) may be left out; memory = of
    a process that builds again and again.

    Raises ReadingError(s), DesignError, SolidError, ExportError; the folder then stays as it was.
    """
    folder = out or Path("exports") / config.stem
    publish.recover(folder)
    choices = (pictures, dry_fit, papers)
    if (old := _as_before(folder, config, choices)) is not None:
        return old
    with _remembering(memory, config, dry_fit, pictures) as mine:
        # Not at the top: where nothing changed, loading all that reads and works takes longest.
        from jigs.reading.job import read_job
        from jigs.sizing import design

        job = read_job(config)
        say("sizing")
        key = inputs_key(config, files_of(job), choices)
        return _build(design(job), folder, key, mine, pictures, dry_fit, papers, say)


@contextmanager
def _remembering(
    memory: Memory | None, config: Path, dry_fit: bool, pictures: bool
) -> Iterator[Memory]:
    """The memory of this process. Where it builds but once, a second one works ahead of it."""
    from jigs.ahead import working_ahead

    if memory is not None:
        try:
            yield memory
        finally:
            memory.tidy()
        return
    memory = Memory()
    try:
        with working_ahead(config, memory.kept, dry_fit=dry_fit, pictures=pictures):
            yield memory
    finally:
        memory.kept.close()


def _build(
    d: Design, folder: Path, key: str, memory: Memory, pictures: bool, dry_fit: bool, papers: bool,
    say: Say,
) -> Built:  # fmt: skip
    from jigs.batch.running import run_batch
    from jigs.checks.run import check_all
    from jigs.outputs.batch_files import batch_data, write_batch
    from jigs.outputs.cad.files import write_pictures, write_solids
    from jigs.outputs.cad.threemf import write_prints
    from jigs.outputs.report import report_name, report_text, told, verdict_of
    from jigs.outputs.workshop import write_papers, write_workshop
    from jigs.solids.scene import Scene

    say("making solids and checking fit")
    shared = memory.solids
    scene = Scene(d, shared)
    findings = check_all(
        d, lambda other: scene if other is d else Scene(other, shared), dry_fit=dry_fit
    )
    notes: list[str] = []
    with publish.into(folder, publish.Stamp(key, versions())) as out:
        say("writing CAD files")
        write_solids(scene, findings, out)
        write_prints(scene, out, told(findings))
        say("writing what the workshop needs")
        write_workshop(d, out, told(findings), memory.kept)
        if pictures:
            say("drawing pictures")
            notes += write_pictures(scene, out, findings, say)
        runs = run_batch(d) if d.job.measured.of else []
        if runs:
            write_batch(runs, out)
        batch = batch_data(d, runs) if runs else None
        text = report_text(d, findings, scene.rehearsal if dry_fit else None, batch)
        out.write_text(report_name(findings), text)
        if papers:
            say("writing drawings and setup sheet")
            shown = {Path(name).stem: path.read_bytes() for name, path in out.written("pictures")}
            write_papers(d, findings, json.loads(text), out, shown)
        out.describe("verdict", str(verdict_of(findings)))
        out.describe(NOTES, notes)
        out.describe(READ, _seen_from(Path(d.job.source.file).parent, files_of(d.job)))
        out.describe("transforms", {s.name: s.work_zero.matrix() for s in d.setups})
    return Built(
        folder, verdict_of(findings), json.loads(text), out.outcome.written, False, tuple(notes),
        tuple(files_of(d.job)),
    )  # fmt: skip


def inputs_key(config: Path, read: Sequence[Path], choices: Sequence[bool]) -> str:
    """Digest of everything that decides the bytes of a build: files read, code, versions."""
    digest = hashlib.sha256(json.dumps([versions(), choices], sort_keys=True).encode())
    for path in read:
        digest.update(path.name.encode() + b"\0" + path.read_bytes())
    # The sheet and the drawings carry the date of the job file.
    digest.update(str(int(config.stat().st_mtime) // DAY).encode())
    digest.update(code_digest().encode())
    return digest.hexdigest()


def _seen_from(folder: Path, files: Sequence[Path]) -> list[str]:
    """Paths of files as seen from a folder; whole where they lie on another drive."""
    try:
        return [Path(os.path.relpath(file, folder)).as_posix() for file in files]
    except ValueError:
        return [file.as_posix() for file in files]


def _as_before(folder: Path, config: Path, choices: Sequence[bool]) -> Built | None:
    """What was built before, if everything that decides it is as it was.

    The job is not even read: it names the files that it is read from, so while these have the same
    bytes they are the same files.
    """
    manifest = publish.read_manifest(folder)
    names = manifest.extra.get(READ) if manifest else None
    if manifest is None or not isinstance(names, list) or config.name not in names:
        return None  # Another job's, perhaps.
    if manifest.extra.get(NOTES):
        return None  # What had to be left out then, and said so, may be possible now.
    read = [config.parent / str(name) for name in names]
    try:
        key = inputs_key(config, read, choices)
    except OSError:
        return None
    old = _old_report(folder) if publish.unchanged(folder, key) else None
    if old is None:
        return None
    return Built(folder, Verdict(old["verdict"]), old, (), True, read=tuple(read))


def _old_report(folder: Path) -> dict[str, Any] | None:
    for name in ("report.json", "report NOT MET.json"):
        if (folder / name).is_file():
            data: dict[str, Any] = json.loads((folder / name).read_text(encoding="utf-8"))
            return data
    return None
