"""Where the files of a start go."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

from jigs.starting.answers import Answers


def file_stem(text: str) -> str:
    """`Marker posts, oak` -> `marker_posts_oak`."""
    kept = "".join(c if c.isascii() and c.isalnum() else " " for c in text.casefold())
    return "_".join(kept.split())[:40].strip("_")


def job_file(a: Answers, name: str = "") -> Path:
    """Where the job goes; `name` = what the batch is called, if that is not answered yet."""
    return a.file or a.folder / f"{file_stem(name or a.text('job'))}.yaml"


def machine_file(a: Answers, name: str = "") -> PurePosixPath:
    """Where the machine is described, as seen from the job file; `name` as for `job_file`."""
    if a.machine is not None:
        return PurePosixPath(a.machine_path)
    return PurePosixPath("machines") / f"{file_stem(name or a.text('machine_name'))}.yaml"
