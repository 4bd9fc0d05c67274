"""Each shipped job is read, sized, built and checked once per run, and shared."""

import os
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from jigs.ahead import PROCESSES
from jigs.kept import WHERE

ROOT = Path(__file__).parent.parent
CONFIGS = sorted((ROOT / "configs").glob("*.yaml"))


@pytest.fixture(scope="session", autouse=True)
def kept_for_the_run(tmp_path_factory) -> None:
    """What is worked out in one run of the tests is kept for that run alone.

    Builds in tests stay in one process: the tests themselves are spread over the cores.
    """
    mine = tmp_path_factory.getbasetemp()
    shared = mine.parent if "PYTEST_XDIST_WORKER" in os.environ else mine
    os.environ[WHERE] = str(shared / "kept")
    os.environ[PROCESSES] = "1"


@pytest.fixture(scope="session")
def shared_store(kept_for_the_run):
    """That store, for solids of a test's own; both processes of the run find what is in it."""
    from jigs.provenance import open_store

    with (kept := open_store()).saving_every(1.0):
        yield kept


@pytest.fixture(scope="session")
def designs() -> Callable:
    """A shipped job, sized, by its name."""
    from jigs.reading.job import read_job
    from jigs.sizing import design

    return cache(lambda name: design(read_job(ROOT / f"configs/{name}.yaml")))


@pytest.fixture(scope="session")
def scenes(designs, shared_store) -> Callable:
    """The solids of a shipped job, by its name."""
    from jigs.solids.scene import Scene
    from jigs.solids.store import Solids

    return cache(lambda name: Scene(designs(name), Solids(shared_store)))


@pytest.fixture(scope="session")
def built_jobs(tmp_path_factory) -> Callable:
    """A shipped job as `jigs build` leaves it, without pictures, by its name."""
    from jigs.building import build

    folder = tmp_path_factory.mktemp("exports")
    return cache(
        lambda name: build(ROOT / f"configs/{name}.yaml", folder / name, pictures=False)
    )  # fmt: skip


@pytest.fixture(scope="session")
def allotment(designs):
    """The allotment's job, sized."""
    return designs("allotment")


@pytest.fixture(scope="session")
def scene(scenes):
    """Its solids."""
    return scenes("allotment")


@pytest.fixture(scope="session")
def built(built_jobs):
    """Its build."""
    return built_jobs("allotment")
