"""What decides the bytes of a build besides the user's files: this code and its libraries."""

from __future__ import annotations

import hashlib
import os
import platform
import sys
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from jigs import __version__
from jigs.kept import Kept, digest, store_file

LIBRARIES = (
    "cadquery",
    "cadquery-ocp",
    "ezdxf",
    "vtk",
    "pillow",
    "reportlab",
    "jinja2",
    "numpy",
    "pydantic",
    "pyyaml",
    "rectpack",
    "hershey-fonts",
    "matplotlib",
)
"""Of matplotlib the typeface that stands in pictures and drawings."""

MESHER = "CSF_MeshAlgo"
"""Environment variable of the kernel's: which mesher. Ours is named in `kernel.py`."""


@cache
def versions() -> dict[str, str]:
    """Versions of this library and of all that decide the bytes."""
    found = {"jigs": __version__}
    for name in LIBRARIES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "none"
    return found


@cache
def code_digest() -> str:
    """Digest of every module, table and template of this library."""
    package, found = Path(__file__).parent, hashlib.sha256()
    for path in sorted(p for ending in ("py", "csv", "html") for p in package.rglob(f"*.{ending}")):
        found.update(path.relative_to(package).as_posix().encode() + b"\0" + path.read_bytes())
    return found.hexdigest()


def open_store() -> Kept:
    """The user's store of what this code, with these libraries, worked out on such a machine."""
    mesher = os.environ.get(MESHER, "delabella")
    machine = (sys.platform, platform.machine(), platform.python_version(), mesher)
    return Kept(store_file(), digest(versions(), code_digest(), machine))
