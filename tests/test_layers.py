"""Imports run one way, and numbers never load the kernel."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "jigs"
KERNEL = {"cadquery", "OCP", "vtkmodules", "ocp_vscode", "ocp_viewer"}
NEVER = {
    "tables": {
        "mechanics",
        "model",
        "shop",
        "kinds",
        "reading",
        "sizing",
        "checks",
        "solids",
        "outputs",
    },
    "mechanics": {
        "tables",
        "model",
        "shop",
        "kinds",
        "reading",
        "sizing",
        "checks",
        "solids",
        "outputs",
    },
    "model": {
        "tables",
        "mechanics",
        "shop",
        "kinds",
        "reading",
        "sizing",
        "checks",
        "solids",
        "outputs",
    },
    "shop": {"kinds", "reading", "sizing", "checks", "solids", "outputs"},
    "kinds": {"shop", "reading", "sizing", "checks", "solids", "outputs"},
    "reading": {"sizing", "checks", "batch", "solids", "outputs"},
    "checks": {"batch", "solids", "outputs"},
    "making": {"checks", "batch", "solids", "outputs"},
    "batch": {"solids", "outputs", "building", "batching", "cli"},
    "solids": {"outputs", "building", "cli"},
    "outputs": {"building", "batching", "cli", "commands", "starting"},
    "starting": {"solids", "outputs", "building", "batching", "cli", "commands"},
    "kept.py": {"solids", "checks", "outputs", "reading", "model", "kinds", "sizing"},
}
MAY_LOAD_KERNEL = ("solids", "outputs/cad")


def imports(path):
    """Every module that a file imports, at the top or inside a function."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


MODULES = sorted(PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_imports_run_one_way(path):
    here = path.relative_to(PACKAGE).as_posix()
    layer = here.split("/")[0]
    for name in imports(path):
        top = name.split(".")
        if top[0] in KERNEL:
            assert here.startswith(MAY_LOAD_KERNEL), f"{here} imports {name}"
        if top[0] == "jigs" and len(top) > 1:
            assert top[1] not in NEVER.get(layer, set()), f"{here} imports {name}"


def test_modules_stay_readable():
    """One screenful of files; a room of its own for each thing."""
    long = [p.name for p in MODULES if len(p.read_text(encoding="utf-8").splitlines()) > 420]
    assert long == []


@pytest.mark.parametrize("arguments", [["--help"], ["check", "configs/allotment.yaml"],
                                       ["explain", "configs/allotment.yaml", "gap"]])  # fmt: skip
def test_numbers_load_no_kernel(arguments):
    code = (
        "import sys\nfrom click.testing import CliRunner\nfrom jigs.cli import main\n"
        f"result = CliRunner().invoke(main, {arguments!r})\n"
        "assert result.exit_code == 0, result.output\n"
        f"print(sorted(set(sys.modules) & {KERNEL!r}))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=PACKAGE.parent
    )
    assert done.stdout.strip() == "[]", done.stdout + done.stderr
