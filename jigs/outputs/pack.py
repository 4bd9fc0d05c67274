"""One zip for a collaborator: a finished export folder and a page that explains it.

The same folder gives the same bytes: files sorted, dates and permissions fixed.
"""

from __future__ import annotations

import contextlib
import json
import os
import textwrap
import zipfile
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath
from typing import Any

from jigs.errors import ExportError
from jigs.publish import MANIFEST, read_manifest, verify

README = "README.txt"
REPORTS = ("report.json", "report NOT MET.json")

_DRAWINGS = "drawings"
_MARK = b"jigs pack"
_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest that a zip can hold
_PLAIN_FILE = 0o100644 << 16
_UNIX = 3
_WIDE = 78

_KINDS = {
    ".step": "solids (STEP, ISO 10303-21): parts, and the jigs on the machine",
    ".stl": "meshes of single parts (STL), for looking at and for printing",
    ".3mf": "print files (3MF)",
    ".html": "setup sheet (HTML): open it in a browser, print it, read it first",
    ".dxf": "cut files (DXF), flat; layers in working order",
    ".svg": "pictures of the sheets (SVG), open them in a browser",
    ".csv": "lists (CSV): what to saw, drill and buy",
    ".png": "pictures (PNG)",
    ".pdf": "documents (PDF)",
    ".json": "side files, report and manifest (JSON)",
}


_DRAWN = {
    ".pdf": "drawings, all in one (PDF), A4, first angle; sizes stand in them",
    ".svg": "drawings (SVG), one a part, the same as in the PDF",
    ".dxf": "drawings (DXF), one a part, in mm of paper: not to cut from",
}
"""Files in the folder of drawings."""


def write_pack(folder: Path, out_zip: Path, report: Mapping[str, Any] | None = None) -> Path:
    """Zip what a build left in a folder, with a README.txt; returns the zip's path.

    Files of the user in that folder stay out. A zip of ours in the same place is replaced, any
    other file is not.

    Parameters: report = the plain data of the build's report; read from the folder if left out.
    Raises: ExportError if the folder is not what its build left, if it has no report, or if the zip
    cannot be written.
    """
    _refuse_edited(folder)
    manifest = read_manifest(folder)
    assert manifest is not None
    names = sorted([*manifest.files, MANIFEST])
    if out_zip.resolve().is_relative_to(folder.resolve()):
        raise ExportError(f"{out_zip}: lies in the folder to be packed\n  remedy: another place")
    _refuse_foreign(out_zip)
    text = readme(report if report is not None else _report(folder, names), names)
    partial = out_zip.with_name(f".{out_zip.name}.part")
    try:
        out_zip.parent.mkdir(parents=True, exist_ok=True)
        with zipfile.ZipFile(partial, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.comment = _MARK
            _add(archive, README, text.encode())
            for name in names:
                _add(archive, name, (folder / name).read_bytes())
        os.replace(partial, out_zip)
    except OSError as error:
        raise ExportError(
            f"{out_zip}: could not be written: {error.strerror}\n  remedy: another place"
        ) from error
    finally:
        with contextlib.suppress(OSError):
            partial.unlink()
    return out_zip


def readme(report: Mapping[str, Any], names: Sequence[str]) -> str:
    """The page for a collaborator, plain text. Parameters: names = the files in the zip."""
    return "\n".join([
        f"{report['job']}", f"revision {report['revision']}, for the machine: {report['machine']}",
        "", *_verdict(report), *_frames(report), *_names(names), *_cautions(report),
    ]) + "\n"  # fmt: skip


def _verdict(report: Mapping[str, Any]) -> Iterator[str]:
    counts = ", ".join(f"{n} {word}" for word, n in report["counts"].items())
    yield from _head(f"CHECKS: {str(report['verdict']).upper()}")
    yield from _told(f"Findings: {counts}. All of them stand in the report with their figures.")
    wrong = [f for f in report["findings"] if f["verdict"] == "not met"]
    if wrong:
        yield from _told("Do not build or use these jigs before this is put right:")
    for finding in wrong:
        yield from _item(f"{finding.get('of', '')}: {finding['check']}".removeprefix(": "))
    yield ""
    yield from _told("Not covered at all by these checks:")
    for what in report["not covered"]:
        yield from _item(what)
    yield ""


def _frames(report: Mapping[str, Any]) -> Iterator[str]:
    yield from _head("UNITS AND ORIGINS")
    yield from _told(
        "All files are in millimetres, whatever unit the job was written in; angles are in degrees."
    )
    for line in (
        "parts: each in its own frame. The outline lies in x, y; z runs through the thickness.",
        "setups: origin at the work zero, where the nominal piece, clamped, has its axis and its "
        "end; x to the right, y away from the operator, z up.",
        "setups on the machine: origin at the table's front left corner on its surface, axes the "
        "same way. manifest.json (extra, transforms) has the matrix from one to the other.",
        "cut files: as seen from the face that is up; a file 'turned over' is mirrored in y. The "
        "side file of the same name says depth, cutter and face. Check the 100 mm line.",
    ):
        yield from _item(line)
    for setup in report["setups"]:
        at = ", ".join(f"{value:g}" for value in setup["work zero in the machine frame"])
        yield from _item(f"work zero of setup {setup['name']} on the machine: {at} mm")
    yield ""


def _names(names: Sequence[str]) -> Iterator[str]:
    yield from _head("FILES")
    yield from _told(
        "A file is called after its part, in a folder called after its jig: parts/<jig>/<part>, "
        "make/<jig>/<part>, print/<jig>/<part>, drawings/<jig>/<part>. A name that ends in NOT MET "
        "or NOT JUDGED says what the checks say. manifest.json lists each with its sha256."
    )
    paths = [PurePosixPath(name) for name in names]
    for drawn, kinds in ((True, _DRAWN), (False, _KINDS)):
        counts = Counter(p.suffix for p in paths if (p.parts[0] == _DRAWINGS) == drawn)
        for suffix, what in kinds.items():
            if counts[suffix]:
                yield from _item(f"{counts[suffix]} {what}")
    yield ""


def _cautions(report: Mapping[str, Any]) -> Iterator[str]:
    yield from _head("CAUTIONS")
    for caution in report["cautions"]:
        yield from _item(caution)


def _head(text: str) -> list[str]:
    return [text, "-" * len(text)]


def _told(text: str) -> list[str]:
    return textwrap.wrap(text, _WIDE, break_on_hyphens=False)


def _item(text: str) -> list[str]:
    return textwrap.wrap(
        text, _WIDE, initial_indent="* ", subsequent_indent="  ", break_on_hyphens=False
    )


def _refuse_edited(folder: Path) -> None:
    wrong = verify(folder)
    if wrong:
        listed = "".join(f"\n  {line}" for line in wrong[:10])
        more = f"\n  and {len(wrong) - 10} more" if len(wrong) > 10 else ""
        raise ExportError(
            f"{folder}: is not what its build left:{listed}{more}\n  remedy: build it again"
        )


def _refuse_foreign(out_zip: Path) -> None:
    """A file that no pack of ours wrote stays."""
    if not os.path.lexists(out_zip):
        return
    try:
        with zipfile.ZipFile(out_zip) as archive:
            if archive.comment == _MARK and not out_zip.is_symlink():
                return
    except (OSError, zipfile.BadZipFile):
        pass
    raise ExportError(f"{out_zip}: is there already and no pack of ours\n  remedy: another name")


def _report(folder: Path, names: Sequence[str]) -> Mapping[str, Any]:
    """The build's own report: one that the manifest does not list may be of an earlier build."""
    for name in REPORTS:
        if name in names:
            data: Mapping[str, Any] = json.loads((folder / name).read_text(encoding="utf-8"))
            return data
    raise ExportError(f"{folder}: has no report\n  remedy: build it again")


def _add(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    entry = zipfile.ZipInfo(name, _DATE)
    entry.create_system, entry.external_attr = _UNIX, _PLAIN_FILE
    entry.compress_type = zipfile.ZIP_DEFLATED
    archive.writestr(entry, data)
