"""Each numeric field of a job changed in turn, and how long a build of it takes then."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import yaml
from timing import CAD_ONLY, CannotBe, Case, jigs

_NUMBER = re.compile(r"(?<![\w.])\d+(?:\.(\d+))?")


def spread(text: str, most: int) -> list[tuple[str, str]]:
    """So many of the changed jobs, spread over the job."""
    jobs = list(changed_jobs(text))
    return jobs[:: max(1, len(jobs) // most)][:most]


def changed_jobs(text: str) -> Iterator[tuple[str, str]]:
    """Name of each numeric field of a job, and the job with that field a fiftieth larger."""
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    assert root is not None
    for name, node in _scalars(root, ""):
        start, end = node.start_mark.index, node.end_mark.index
        found = _NUMBER.search(text, start, end)
        if found is None or not _NUMBER.match(text, start + (text[start] in "\"'")):
            continue
        places = len(found[1] or "")
        step = max(float(found[0]) / 50, 10.0**-places)
        larger = f"{float(found[0]) + step:.{places}f}"
        yield name, text[: found.start()] + larger + text[found.end() :]


def _scalars(node: yaml.Node, path: str) -> Iterator[tuple[str, yaml.ScalarNode]]:
    if isinstance(node, yaml.ScalarNode):
        yield path, node
    elif isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            yield from _scalars(value, f"{path}.{key.value}".lstrip("."))
    elif isinstance(node, yaml.SequenceNode):
        for i, value in enumerate(node.value):
            yield from _scalars(value, f"{path}[{i}]")


def time_in_turn(
    jobs: list[tuple[str, str]], own: Path, work: Path, environment: dict[str, str]
) -> tuple[dict[str, float], int]:
    """Seconds that a build takes with each field changed, in a new process that finds store and
    files of the unchanged job; and how many were refused."""
    took: dict[str, float] = {}
    for i, (name, text) in enumerate(jobs):
        path = own.with_name(f"changed {i} {own.name}")
        path.write_text(text, encoding="utf-8")
        for folder in ("store", "kept"):
            shutil.rmtree(work / f"now {folder}", ignore_errors=True)
            shutil.copytree(work / folder, work / f"now {folder}")
        build = jigs("build", path, *CAD_ONLY, "--out", work / "now kept")
        case = Case(name, build, store=str(work / "now store"))
        try:
            case.run(environment)
        except CannotBe:
            continue
        took[name] = case.seconds[0]
    return took, len(jobs) - len(took)
