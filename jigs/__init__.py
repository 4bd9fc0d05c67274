"""Parametric clamping jigs for machining the ends of handled wooden things on a CNC router.

    import jigs
    job = jigs.read_job("configs/allotment.yaml")
    design = jigs.design(job)
    print(design.numbers()["ring.bore_radius"].value)
    findings = jigs.check(design)
    tree = jigs.assembly(design, "marking")

Importing `jigs` loads neither the kernel nor the models; each name does when it is first used.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from jigs.model.finding import Finding
    from jigs.outputs.cad.tree import Group
    from jigs.reading.job import Job
    from jigs.sizing import Design

__all__ = ["__version__", "assembly", "build", "check", "design", "read_job"]


def __getattr__(name: str) -> Any:
    if name == "__version__":
        from importlib.metadata import version

        return version("jigs")
    raise AttributeError(f"module 'jigs' has no attribute {name!r}")


def read_job(path: str | Path) -> Job:
    """Read a job file. Raises ReadingError or ReadingErrors with the place and the remedy."""
    from jigs.reading.job import read_job as read

    return read(Path(path))


def design(job: Job, changes: dict[str, Any] | None = None) -> Design:
    """Size every jig of a job; `changes` puts values in the place of numbers ("ring.gap": 8.5).

    Lengths in mm. Raises DesignError where no jig can be sized.
    """
    from jigs.sizing import design as resolve

    return resolve(job, changes)


def check(design: Design, *, solids: bool = True) -> list[Finding]:
    """All findings of a design; with solids=False those that numbers alone can answer."""
    from jigs.checks.run import check_all

    if not solids:
        return check_all(design)
    from jigs.solids.scene import Scene

    return check_all(design, Scene)


def assembly(design: Design, setup: str) -> Group:
    """Jigs and piece of a setup as a tree of named, coloured CadQuery solids at the work zero."""
    from jigs.outputs.cad.trees import setup_tree
    from jigs.solids.scene import Scene

    chosen = next(s for s in design.setups if s.name == setup)
    return setup_tree(Scene(design), chosen)


def build(path: str | Path, out: str | Path | None = None, *, pictures: bool = True) -> Any:
    """Build a job into a folder, as `jigs build` does. Returns what was written and found."""
    from jigs.building import build as run

    return run(Path(path), Path(out) if out else None, pictures=pictures)
