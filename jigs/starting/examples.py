"""The shipped jobs, to start from: in the installed package, or beside it in the source tree."""

from __future__ import annotations

import re
from pathlib import Path

from jigs.errors import DesignError, nearest

_PACKAGE = Path(__file__).parents[1]
_NAMED = re.compile(r"^ *(?:machine|measured): *([\w./-]+\.(?:yaml|csv)) *(?:#.*)?$", re.MULTILINE)
_SCHEMA = re.compile(r"\$schema=([\w./-]+\.json)")


def configs() -> Path:
    """The folder of the shipped jobs. Raises DesignError if the package came without it."""
    for folder in (_PACKAGE / "configs", _PACKAGE.parent / "configs"):
        if (folder / "job.schema.json").is_file():
            return folder
    raise DesignError("examples", "this installation has none", "install jigs again")


def examples() -> list[str]:
    """Names of the shipped jobs."""
    return sorted(path.stem for path in configs().glob("*.yaml"))


def example_files(name: str, folder: Path) -> dict[Path, bytes]:
    """The job of that name and the files that it names: path below `folder` -> content.

    The schemas that an editor completes from are left out where they are there already. Raises
    DesignError where there is no such job.
    """
    if name not in examples():
        there_is = examples()
        raise DesignError(name, f"there is no such example{nearest(name, there_is)}",
                          f"one of: {', '.join(there_is)}")  # fmt: skip
    found: dict[Path, bytes] = {}
    for path in _named_by(configs() / f"{name}.yaml"):
        target = folder / path.relative_to(configs())
        if path.suffix != ".json" or not target.exists():
            found[target] = path.read_bytes()
    return found


def _named_by(path: Path) -> list[Path]:
    """A shipped file and those that it names, and so on."""
    text = path.read_text(encoding="utf-8")
    names = [*_NAMED.findall(text), *_SCHEMA.findall(text)]
    beside = [path.parent / name for name in names]
    deeper = [one for file in beside for one in _named_by(file) if file.suffix == ".yaml"]
    return list(dict.fromkeys([path, *beside, *deeper]))
