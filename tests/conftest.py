"""Each shipped job is read, sized, built and checked once per run, and shared."""

from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
CONFIGS = sorted((ROOT / "configs").glob("*.yaml"))


@pytest.fixture(scope="session")
def allotment():
    """The shipped job, sized."""
    from jigs.reading.job import read_job
    from jigs.sizing import design

    return design(read_job(ROOT / "configs/allotment.yaml"))


@pytest.fixture(scope="session")
def scene(allotment):
    """Its solids."""
    from jigs.solids.scene import Scene

    return Scene(allotment)


@pytest.fixture(scope="session")
def built(tmp_path_factory):
    """The shipped job as `jigs build` leaves it, without pictures."""
    from jigs.building import build

    return build(
        ROOT / "configs/allotment.yaml", tmp_path_factory.mktemp("exports") / "allotment",
        pictures=False,
    )  # fmt: skip
