"""A batch too wide for one ring: the fewest rings made anew, each of which a check finds met."""

from pathlib import Path

import pytest

import jigs
from jigs.batch.anew import jigs_anew
from jigs.batch.serving import nominal_sizes
from jigs.errors import DesignError
from jigs.model.finding import Verdict
from jigs.reading.job import read_job
from jigs.sizing import design

ALLOTMENT = Path(__file__).parents[2] / "configs/allotment.yaml"
WIDE = [31.0 + 0.5 * i for i in range(27)]
"""31 to 44 mm: a dome 30 mm wide passes each ring."""


@pytest.fixture(scope="module")
def groups(allotment):
    setup = allotment.setups[0]
    pieces = [{**nominal_sizes(setup.piece), "grip_diameter": d} for d in WIDE]
    word, found = jigs_anew(allotment, setup, pieces)
    assert word == "grip_diameter"
    return found


def is_met(diameters, tmp_path):
    """The shipped job with these dibbers, read and checked as a user would."""
    rows = "".join(f"{i},{d},230,0.3,0.2\n" for i, d in enumerate(diameters))
    path = tmp_path / "some.csv"
    path.write_text("id,grip_diameter,length,taper,ovality\n" + rows)
    try:
        findings = jigs.check(design(read_job(ALLOTMENT, measured={"dibber": path})), solids=False)
    except DesignError:
        return False
    about = [f for f in findings if f.of in ("ring", "gauge", "marking")]
    return not any(f.verdict is Verdict.NOT_MET and f.group not in ("make", "print") for f in about)


def test_every_piece_has_a_ring_that_is_met(groups, tmp_path):
    assert len(groups) >= 2
    assert sorted(i for g in groups for i in g.places) == list(range(len(WIDE)))
    for g in groups:
        assert is_met([WIDE[i] for i in g.places], tmp_path)


def test_none_could_take_one_more(groups, tmp_path):
    for g in groups[:-1]:
        assert not is_met([WIDE[i] for i in (*g.places, g.places[-1] + 1)], tmp_path)
