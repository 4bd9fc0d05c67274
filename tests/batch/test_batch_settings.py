"""What the kinds say is to be set for a piece, and what they add to the errors: by hand."""

import math

import pytest

from jigs.model.state import Limit
from jigs.shop.piece import sizes_of
from jigs.sizing import Design


def jig_of(d: Design, name: str):
    return next(jig for _, jig in d.jigs() if jig.name == name)


def values(jig, sizes):
    return {s.name: s.value for s in jig.kind.settings(jig.n, sizes)}


@pytest.mark.parametrize(
    ("diameter", "gap"),
    [
        # gap 8.1, lined radius 18.5, pitch of M8 1.25, opens to n.open_gap
        (36.0, 8.1 - 2 * 0.5),
        (33.75, 8.1 - 2 * 1.625),
        (31.5, 8.1 - 2 * 2.75),
    ],
)  # fmt: skip
def test_the_rings_gap_and_turns(allotment, diameter, gap):
    ring = jig_of(allotment, "ring")
    found = values(ring, {"grip_diameter": diameter, "length": 231.0})
    assert found["gap at first touch"] == pytest.approx(gap)
    opens = (ring.n.open_gap - gap) / 1.25
    assert abs(found["turns back to open"] - opens) <= 1 / 16 + 1e-9
    assert found["turns back to open"] * 8 == round(found["turns back to open"] * 8)
    assert found["turns after first touch"] == pytest.approx(2 * 0.42 / 1.25, abs=0.005)
    # a piece 1 mm longer: the jack (M6, pitch 1) goes down one turn
    assert found["jack up, against the nominal piece"] == pytest.approx(-1.0)


def test_the_clamps_turns_and_fences(allotment):
    """Opening 38.5 + 3 = 41.5; 3.5 mm on a 38 mm piece, M8: 2.8 turns, told in quarters."""
    clamp = jig_of(allotment, "clamp")
    found = values(clamp, {"width": 38.0, "depth": 38.1, "length": 140.0})
    assert found["turns back to open"] == 2.75
    assert found["distance of the fences"] == 38.0 + clamp.n.backer_in_y


def test_the_rings_spreads(allotment):
    """An eighth of a turn of M8 on two linings: 0.125 * 1.25 / 2; ovality 0.2 is 0.05 in radius."""
    ring = jig_of(allotment, "ring")
    sizes = {s.name: s for s in ring.kind.spreads(ring.n)}
    assert sizes["first touch as felt"].size == pytest.approx(0.078125)
    assert sizes["out of round in the ring, along y"].size == pytest.approx(0.05)
    assert sizes["taper over the grip"].size == pytest.approx(0.075)
    torque = sizes["torque reached before the turns"]
    assert torque.shape == "one-sided"
    assert -0.42 <= torque.size <= 0
    assert not sizes["bore as cut"].each


def test_the_gauges_spreads_are_drops_and_a_rise(allotment):
    """Aside by 0.6 under the arch: e^2 / (2 (R - r)) to first order, below."""
    gauge = jig_of(allotment, "gauge")
    sizes = {s.name: s.size for s in gauge.kind.spreads(gauge.n)}
    first_order = 0.6**2 / (2 * (gauge.n.arch_radius - gauge.n.dome_radius))
    assert sizes["standing aside under the arch"] == pytest.approx(-first_order, rel=0.01)
    assert sizes["overhang bent by the push"] > 0


@pytest.mark.parametrize("name", ["allotment", "skittles", "stool"])
def test_every_kind_reads_numbers_that_are_there(name, designs):
    for setup, jig in designs(name).jigs():
        for spread in jig.kind.spreads(jig.n):
            assert math.isfinite(spread.size)
            assert all(jig.n.finds(read) for read in spread.reads), spread.name
        for limit in Limit:
            for setting in jig.kind.settings(jig.n, sizes_of(setup.piece, limit)):
                assert setting.value is None or math.isfinite(setting.value)
