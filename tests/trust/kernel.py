"""A random job through the kernel: solids valid and single, findings answered, files read back."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import trimesh

from jigs import publish
from jigs.checks.run import check_all
from jigs.errors import JigsError
from jigs.model.finding import Finding, Verdict
from jigs.outputs.cad.files import write_solids
from jigs.sizing import Design
from jigs.solids.scene import Scene

from .judging import Wrong, answered, complain_of

BARE_READER = """
import sys
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
for path in sys.argv[1:]:
    reader = STEPControl_Reader()
    if reader.ReadFile(path) != IFSelect_RetDone or not reader.TransferRoots():
        sys.exit(f"{path}: not read")
    shape, solids = reader.OneShape(), 0
    found = TopExp_Explorer(shape, TopAbs_SOLID)
    while found.More():
        solids += 1
        found.Next()
    if not solids or not BRepCheck_Analyzer(shape).IsValid():
        sys.exit(f"{path}: {solids} solids, valid: {BRepCheck_Analyzer(shape).IsValid()}")
    print(solids)
"""
"""Only OCP: nothing of the library's, nothing of CadQuery's. Prints the solids of each file."""


def judge_solids(made: Design, folder: Path, *, files: bool) -> str:
    """Build the solids of a design, check all but the dry fit, and read files back if asked to.

    Returns met, not met or refused, or that an overlap is told, alone or with other things that
    are not met. Raises Wrong, or whatever the library let out.
    """
    try:
        scene = Scene(made)
        findings = check_all(made, lambda d: scene if d is made else Scene(d), dry_fit=False)
    except JigsError as error:
        complain_of(error)
        return "refused"
    valid_and_single(scene)
    for f in findings:
        answered(f)
    if files:
        read_back(scene, findings, folder / "out")
    bad = [f.check for f in findings if f.verdict is Verdict.NOT_MET]
    if any("overlap" in check for check in bad):
        return "overlap told" if len(bad) > 1 else "overlap alone told"
    return "not met" if bad else "met"


def valid_and_single(scene: Scene) -> None:
    """Every part that has a solid has one, and a valid one. Raises Wrong."""
    for _, jig in scene.design.jigs():
        for part in jig.parts.values():
            shape = scene.part(jig.name, part)
            if shape is None:
                continue
            if not shape.isValid() or len(shape.Solids()) != 1 or shape.Volume() <= 0:
                raise Wrong(f"{jig.name}.{part.id}: {len(shape.Solids())} solids")


def read_back(scene: Scene, findings: Sequence[Finding], folder: Path) -> None:
    """STEP by the bare kernel in a process of its own, STL by trimesh. Raises Wrong."""
    with publish.into(folder, publish.Stamp("random")) as out:
        write_solids(scene, findings, out)
    steps = sorted(folder.rglob("*.step"))
    done = subprocess.run([sys.executable, "-c", BARE_READER, *map(str, steps)],
                          capture_output=True, text=True)  # fmt: skip
    if done.returncode or len(done.stdout.split()) != len(steps):
        raise Wrong(f"STEP: {done.stderr[-400:]}")
    for path in folder.rglob("*.stl"):
        mesh = trimesh.load_mesh(path)
        if not mesh.is_watertight or mesh.volume <= 0:
            raise Wrong(f"{path.name}: watertight {mesh.is_watertight}, {mesh.volume:g} mm3")
