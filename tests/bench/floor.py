"""The floor of every build time: read ready-made solids, write the same STEP and STL files.

    python tests/bench/floor.py SOLIDS OUT

SOLIDS is a folder that bench.py wrote beforehand: each different solid as binary BREP, and
index.json, which says for every file of a build what solids it holds, in which places. Written
with what CadQuery itself offers, and nothing else is done: no sizing, no checks, no fixed bytes.
"""

from __future__ import annotations

import json
import os
import sys
from itertools import count
from pathlib import Path
from typing import Any

# The mesher that jigs uses too. The kernel's usual one takes far longer over a face with hundreds
# of holes, and a slow floor would flatter us.
os.environ.setdefault("CSF_MeshAlgo", "delabella")

import cadquery as cq


def write_all(solids: Path, out: Path) -> None:
    """Write every STEP and STL file that the index names."""
    index = json.loads((solids / "index.json").read_text(encoding="utf-8"))
    shapes = [cq.Shape.importBin(str(solids / name)) for name in index["solids"]]
    for file in index["files"]:
        path = out / file["path"]
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.suffix == ".stl":
            mesh = {"tolerance": file["tolerance"], "angularTolerance": file["angle"]}
            shapes[file["solid"]].exportStl(str(path), **mesh, relative=False)
        elif "solid" in file["root"]:
            cq.exporters.export(shapes[file["root"]["solid"]], str(path))
        else:
            _assembly(file["root"], shapes, count()).export(str(path))


def _assembly(node: dict[str, Any], shapes: list[cq.Shape], number: count[int]) -> cq.Assembly:
    """A group with all that is in it. Names get a number: CadQuery wants each one once."""
    group = cq.Assembly(name=f"{node['name']} {next(number)}", loc=_location(node["matrix"]))
    for member in node["members"]:
        if "solid" in member:
            group.add(
                shapes[member["solid"]],
                name=f"{member['name']} {next(number)}",
                loc=_location(member["matrix"]),
                color=cq.Color(*member["colour"]),
            )
        else:
            group.add(_assembly(member, shapes, number))
    return group


def _location(matrix: list[list[float]]) -> cq.Location:
    x, _, z, at = (tuple(column) for column in zip(*matrix[:3], strict=True))
    return cq.Location(cq.Plane(at, x, z))


if __name__ == "__main__":
    write_all(Path(sys.argv[1]), Path(sys.argv[2]))
