"""The kernel is loaded without the library that draws, and that library is there when asked for."""

from __future__ import annotations

import subprocess
import sys


def run(code: str) -> str:
    """What a fresh interpreter prints."""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout


def test_solids_load_less_than_half_of_the_drawing_library() -> None:
    """CadQuery alone loads every module of it."""
    count = "print(sum(m.startswith('vtkmodules') for m in sys.modules))"
    plain = int(run(f"import sys, cadquery; {count}"))
    ours = int(run(f"import sys, jigs.solids.scene; {count}"))
    assert 0 < ours < plain / 2


def test_the_drawing_library_is_whole_when_it_is_used() -> None:
    """Each way in which Python code comes to a module's names."""
    assert (
        run(
            "import jigs.solids, cadquery as cq, importlib.util\n"
            "assert importlib.util.find_spec('vtk') is not None\n"
            "import vtk as before; from vtk import vtkSphereSource as named\n"
            "names = {}; exec('from vtk import *', names)\n"
            "import vtk as after\n"
            "assert before.vtkCubeSource is after.vtkCubeSource is names['vtkCubeSource']\n"
            "assert named is after.vtkSphereSource and after.__file__\n"
            "print(cq.Workplane().box(1, 1, 1).val().toVtkPolyData(0.1).GetNumberOfPolys())"
        ).strip()
        == "12"
    )
