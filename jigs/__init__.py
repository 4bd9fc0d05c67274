"""Parametric clamping jigs for machining the ends of handled wooden things on a CNC router.

    >>> import jigs
    >>> job = jigs.read_job("configs/allotment.yaml")
    >>> design = jigs.design(job)
    >>> design.numbers()["ring.bore_radius"].value
    21.5
    >>> [f.check for f in jigs.check(design, solids=False) if f.verdict is jigs.Verdict.NOT_MET]
    []

Lengths are in mm, forces in N, moments in N mm, stresses in MPa, angles in rad. Functions return
values and raise what derives from `JigsError`; nothing prints, nothing exits.

Importing `jigs` loads neither the kernel nor the models: each name does when it is first used, and
the kernel only where a docstring says "loads the kernel".
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jigs.errors import (
    DesignError,
    ExportError,
    JigsError,
    ReadingError,
    ReadingErrors,
    SolidError,
    TableError,
)

if TYPE_CHECKING:
    from jigs.building import Built as Built
    from jigs.comparing import Difference as Difference
    from jigs.model.finding import Finding as Finding
    from jigs.model.finding import Remedy as Remedy
    from jigs.model.finding import Verdict as Verdict
    from jigs.model.number import Number as Number
    from jigs.model.number import Standing as Standing
    from jigs.model.number import Value as Value
    from jigs.model.part import Part as Part
    from jigs.outputs.cad.show import ShowResult
    from jigs.outputs.cad.tree import Group as Group
    from jigs.reading.job import Job as Job
    from jigs.sizing import Design as Design
    from jigs.sizing import Jig as Jig
    from jigs.sizing import Setup as Setup
    from jigs.solids.scene import Scene as Scene
    from jigs.units import Units as Units

__all__ = [
    "DesignError", "ExportError", "JigsError", "ReadingError", "ReadingErrors", "SolidError",
    "TableError", "__version__", "assembly", "build", "check", "compare", "design", "parts",
    "read_job", "scene", "show",
]  # fmt: skip

_HOME = {
    "Built": "building", "Difference": "comparing", "Finding": "model.finding",
    "Remedy": "model.finding", "Verdict": "model.finding", "Number": "model.number",
    "Standing": "model.number", "Value": "model.number", "Part": "model.part",
    "Job": "reading.job", "Design": "sizing", "Jig": "sizing", "Setup": "sizing",
    "Units": "units", "Scene": "solids.scene", "Group": "outputs.cad.tree",
}  # fmt: skip
"""Type -> its module, loaded at first use. Scene and Group load the kernel."""


def __getattr__(name: str) -> Any:
    if name == "__version__":
        from importlib.metadata import version

        return version("jigs")
    if name in _HOME:
        return getattr(import_module(f"jigs.{_HOME[name]}"), name)
    raise AttributeError(f"module 'jigs' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__, *_HOME})


def read_job(path: str | Path) -> Job:
    """Read and check a job file and the files that it names: machine, measured pieces.

    Parameters: path = of the YAML file. Returns the Job: models in mm and rad, each value with its
    place in the file. Raises ReadingError, or ReadingErrors if there are several, with file, line,
    key path, what was found and what would be right.

        >>> jigs.read_job("configs/allotment.yaml").model.pieces["dibber"].grip_diameter
        Limits(least=31.5, nominal=33.75, most=36.0)
    """
    from jigs.reading.job import read_job as read

    return read(Path(path))


def design(job: Job, changes: dict[str, Any] | None = None) -> Design:
    """Size every jig of a job.

    Parameters: changes = qualified number -> value to try in its place, mm, N, rad as the number
    is. Returns the Design: setups, jigs with their parts, and `numbers()`, each with its standing,
    source and inputs. Raises DesignError where no jig can be sized, with the number and a remedy.
    Source: the rule of each number names it, `jigs explain` shows it.

        >>> job = jigs.read_job("configs/allotment.yaml")
        >>> jigs.design(job, {"ring.gap": 8.5}).numbers()["ring.gap"].value
        8.5
    """
    from jigs.sizing import design as resolve

    return resolve(job, changes)


def check(design: Design, *, solids: bool = True) -> list[Finding]:
    """All findings of a design: met, not met with the changes that would cure it, or not judged.

    Parameters: solids = make the solids and judge fit, reach and the dry fit on them (loads the
    kernel); False = only what numbers tell, the rest is "not judged". Returns Findings: `value`
    against `limit` in `unit`, with equation, assumptions and source. Raises DesignError,
    SolidError.
    """
    from jigs.checks.run import check_all

    if not solids:
        return check_all(design)
    from jigs.solids.scene import Scene

    return check_all(design, Scene)


def compare(before: Design, after: Design) -> Difference:
    """What changes between two designs: findings, parts, hardware, numbers, weightiest first.

    By numbers alone; lengths in mm. Raises DesignError.

        >>> job = jigs.read_job("configs/stool.yaml")
        >>> found = jigs.compare(jigs.design(job), jigs.design(job, {"gauge.bar_length": 240.0}))
        >>> [(part.jig, part.what) for part in found.parts]
        [('gauge', 'changed')]
    """
    from jigs.checks.run import check_all
    from jigs.comparing import compare as run

    return run(before, check_all(before), after, check_all(after))


def parts(design: Design, jig: str) -> dict[str, Part]:
    """Every different part of a jig by its id: blank, outline and cuts, mm, in the part's frame.

    Raises DesignError where there is no such jig.

        >>> d = jigs.design(jigs.read_job("configs/allotment.yaml"))
        >>> jigs.parts(d, "clamp")["fixed_face"].thickness
        17.6
    """
    jigs_of = {found.name: found for _, found in design.jigs()}
    return dict(_named(jigs_of, jig, "jig").parts)


def scene(design: Design) -> Scene:
    """The solids of a design, made as they are asked for. Loads the kernel.

    `scene.standing(setup, state)` gives each solid with its pose in the work frame: origin at the
    work zero, x right, y away from the operator, z up; mm. Raises SolidError where one cannot be
    made.
    """
    from jigs.solids.scene import Scene

    return Scene(design)


def assembly(design: Design, setup: str) -> Group:
    """Jigs and piece of a setup as a tree of named, coloured CadQuery solids. Loads the kernel.

    Origin at the work zero, mm; the state is first touch with the nominal piece. Raises
    DesignError where there is no such setup, SolidError where a solid cannot be made.
    """
    from jigs.outputs.cad.trees import setup_tree

    chosen = _named({s.name: s for s in design.setups}, setup, "setup")
    return setup_tree(scene(design), chosen)


def show(tree: Group | Design, setup: str = "", *, port: int | None = None) -> ShowResult:
    """Show a tree, or a setup of a design on the machine, in the previewer. Loads the kernel.

    Parameters: tree = of `assembly`, or a Design; setup = of a Design, the first if left out; port
    = of a viewer that is running, else OCP_PORT, 3939, or a viewer of its own. Returns port,
    address and process; `close()` ends a viewer that was started for it. Raises ExportError where
    none can be reached, DesignError where there is no such setup.
    """
    from jigs.outputs.cad.show import show as send
    from jigs.outputs.cad.tree import Group
    from jigs.outputs.cad.viewing import Choice, model

    if not isinstance(tree, Group):
        tree = model(scene(tree), Choice(setup))
    return send(tree, port=port)


def build(
    path: str | Path, out: str | Path | None = None, *, pictures: bool = True, dry_fit: bool = True
) -> Built:
    """Build a job into a folder, as `jigs build` does. Loads the kernel.

    Parameters: path = of the job file; out = folder, exports/<name of the job file> if left out;
    pictures, dry_fit = False leaves them out. Returns folder, verdict, report and what was
    written. Raises ReadingError(s), DesignError, SolidError, ExportError; the folder then stays as
    it was.
    """
    from jigs.building import build as run

    return run(Path(path), Path(out) if out else None, pictures=pictures, dry_fit=dry_fit)


def _named(known: dict[str, Any], name: str, what: str) -> Any:
    from jigs.errors import nearest

    if name not in known:
        raise DesignError(name, f"there is no such {what}{nearest(name, list(known))}",
                          f"one of: {', '.join(known)}")  # fmt: skip
    return known[name]
