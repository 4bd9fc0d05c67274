"""Wheel and sdist hold all that is needed, and the installed package works far from the source."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from collections.abc import Sequence
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
KEPT = (
    "jigs",
    "configs",
    "pyproject.toml",
    "README.md",
    "DEVELOPERS.md",
)
LEFT_OUT = shutil.ignore_patterns("__pycache__", "*.egg-info", ".*_cache")
NO_NETWORK = """import socket

def refuse(*args, **rest):
    raise OSError("no network here")

socket.socket.connect = socket.create_connection = socket.getaddrinfo = refuse
"""
"""A sitecustomize: whatever asks for the network fails."""


def run(command: Sequence[str], folder: Path, **environment: str) -> subprocess.CompletedProcess:
    """A command in a folder, with nothing of ours on the path but what is given."""
    clean = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "COV_CORE_SOURCE")}
    return subprocess.run(command, cwd=folder, env={**clean, **environment}, text=True,
                          capture_output=True, encoding="utf-8")  # fmt: skip


@pytest.fixture(scope="module")
def archives(tmp_path_factory) -> tuple[Path, Path]:
    """The sdist from a copy of the tree, and the wheel from the unpacked sdist."""
    folder = tmp_path_factory.mktemp("build")
    tree = folder / "tree"
    tree.mkdir()
    for name in KEPT:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, tree / name, ignore=LEFT_OUT)
        else:
            shutil.copy(ROOT / name, tree / name)
    code = "import sys, hatchling.build as b; print(getattr(b, sys.argv[1])(sys.argv[2]))"
    made = run([sys.executable, "-c", code, "build_sdist", str(folder)], tree)
    assert made.returncode == 0, made.stderr
    sdist = folder / made.stdout.split()[-1]
    with tarfile.open(sdist) as archive:
        archive.extractall(folder / "unpacked", filter="data")
    (source,) = (folder / "unpacked").iterdir()
    made = run([sys.executable, "-c", code, "build_wheel", str(folder)], source)
    assert made.returncode == 0, made.stderr
    return sdist, folder / made.stdout.split()[-1]


@pytest.fixture(scope="module")
def installed(archives, tmp_path_factory) -> Path:
    """The wheel unpacked as an installer does it, with a network that is down beside it."""
    _, wheel = archives
    target = tmp_path_factory.mktemp("site")
    pip = ["-m", "pip", "install", "--quiet", "--no-deps", "--no-index", "--no-compile",
           "--disable-pip-version-check", "--target", str(target), str(wheel)]  # fmt: skip
    done = run([sys.executable, *pip], target)
    assert done.returncode == 0, done.stderr
    (target / "sitecustomize.py").write_text(NO_NETWORK, encoding="utf-8")
    return target


def needed() -> set[str]:
    """Every file of the package in the source tree, and the shipped jobs."""
    there = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "jigs").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    shipped = {
        f"jigs/{path.relative_to(ROOT).as_posix()}"
        for path in (ROOT / "configs").rglob("*")
        if path.is_file()
    }
    return there | shipped


def test_the_wheel_holds_modules_tables_templates_schemas_and_configs(archives):
    _, wheel = archives
    with zipfile.ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if not name.split("/")[0].endswith("-info")}
    assert held == needed()
    assert {"jigs/configs/job.schema.json", "jigs/tables/woods.csv", "jigs/py.typed",
            "jigs/starting/templates/job.yaml"} <= held  # fmt: skip


def test_the_sdist_holds_what_the_wheel_is_built_from(archives):
    sdist, _ = archives
    with tarfile.open(sdist) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    assert {"pyproject.toml", "README.md", "configs/allotment.yaml",
            "configs/machines/bench_router.yaml", "configs/dibbers.csv"} <= names  # fmt: skip


def test_names_and_version_follow_pyproject(archives):
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    sdist, wheel = archives
    assert sdist.name == f"jigs-{project['version']}.tar.gz"
    assert wheel.name == f"jigs-{project['version']}-py3-none-any.whl"


def test_the_installed_package_starts_a_shop_without_source_and_network(installed, tmp_path):
    """From an empty folder, with no way to the source tree and none to the network."""
    here = {"PYTHONPATH": str(installed), "PYTHONDONTWRITEBYTECODE": "1", "PYTHONUTF8": "1"}
    jigs = [sys.executable, "-m", "jigs"]
    where = "import jigs, socket; print(jigs.__file__, socket.getaddrinfo.__name__)"
    place, asks = run([sys.executable, "-c", where], tmp_path, **here).stdout.rsplit(maxsplit=1)
    assert Path(place).is_relative_to(installed)
    assert asks == "refuse"
    for command, says in (
        ("--help", "Begin with `jigs new`"),
        ("--version", "jigs "),
        ("new shop --yes --pieces bars", "by numbers: "),
        ("check shop/allotment_marker_posts.yaml", "allotment marker posts, revision A"),
        ("new trial --example stool", "by numbers: "),
    ):
        done = run([*jigs, *command.split()], tmp_path, **here)
        assert done.returncode == 0, done.stderr
        assert says in done.stdout
        assert "NOT MET" not in done.stdout
    assert (tmp_path / "trial/machines/garage_router.yaml").is_file()
