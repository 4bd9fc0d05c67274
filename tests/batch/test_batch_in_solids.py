"""The true solid, placed at the piece's offset, sinks into the linings by the stated squeeze."""

import random

import pytest

from jigs.model.pose import Pose
from jigs.model.state import Limit, Phase, State
from jigs.solids.depth import overlap_depth
from jigs.solids.shapes import cylinder, location
from jigs.solids.skin import Body

DRAW = random.Random(20)
DIAMETERS = [round(DRAW.uniform(31.5, 36.0), 2) for _ in range(20)]


@pytest.fixture(scope="module")
def fixed_liner(scene, allotment):
    """The fixed half's lining where it stands in the work frame: it does not move."""
    setup = allotment.setups[0]
    state = State(Phase.CLOSED, Limit.NOMINAL)
    (one,) = [s for s in scene.standing(setup, state) if s.name == "fixed liner"]
    return Body(lambda: one.placed)


@pytest.mark.parametrize("diameter", DIAMETERS)
def test_it_sinks_in_by_the_squeeze(diameter, fixed_liner, allotment):
    """A plain cylinder stands for the grip: no rule of the ring is asked but for the offset."""
    ring = allotment.setups[0].jigs[0]
    at = ring.kind.offset_of(ring.n, {"grip_diameter": diameter, "length": 230.0})
    piece = cylinder(diameter, -62.0, -9.0).moved(location(Pose.to(0.0, at.dy, 0.0)))
    sunk = overlap_depth(Body(lambda: piece), fixed_liner)
    assert sunk == pytest.approx(ring.n.squeeze, abs=0.01)
