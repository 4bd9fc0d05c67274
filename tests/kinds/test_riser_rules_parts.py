"""The riser's parts, where they stand, what they touch and how they go in, by hand and as boxes.

Block: 25.7 by 25.7 from -12.7 to 13, two sheets of 17.6; dowels of 6. Plate: sheet 11.8, width
33.7, from -42.5 to 42.5, key of 14 in the slot at -25 or 25, 6 into it, groove 3.9 deep.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from jigs.kinds.riser import KIND
from jigs.model.part import Bought, Cut, Does, Face, Part, Sheet, Stack, Strip
from jigs.model.state import SHOWN, Contact, Role, all_states
from jigs.reading.job import read_job
from jigs.sizing import Jig, design

from .boxes import Standing, cut_box, hole_about, in_cuts, touch

SHOPS = Path(__file__).parents[1] / "shops"
JOBS: dict[str, tuple[str, dict[str, Any]]] = {
    "block": ("clamp_on_a_riser", {}),
    "one layer": ("clamp_on_a_riser", {"riser.layers": 1}),
    "plate": ("clamp_on_a_plate", {}),
    "thick plate": ("clamp_on_a_plate", {"plate.layers": 2, "plate.key_groove": 5.0}),
}


@pytest.fixture(scope="module")
def jigs() -> dict[str, Jig]:
    found = {}
    for name, (shop, changes) in JOBS.items():
        d = design(read_job(SHOPS / f"{shop}.yaml"), changes)
        found[name] = next(jig for _, jig in d.jigs() if jig.kind.name == "riser")
    return found


def parts_of(jig: Jig) -> dict[str, Part]:
    return {part.id: part for part in KIND.parts(jig.n)}


def standing(jig: Jig) -> dict[str, Standing]:
    parts = parts_of(jig)
    return {p.name: Standing(p.name, parts[p.part], p.pose) for p in KIND.poses(jig.n, SHOWN)}


def cuts(part: Part) -> dict[str, Cut]:
    return {cut.name: cut for cut in part.cuts}


def told(jig: Jig) -> list[Contact]:
    return list(KIND.contacts(jig.n, SHOWN))


@pytest.mark.parametrize(
    ("job", "bounds", "thick", "made"),
    [
        ("block", (-12.85, -12.7, 12.85, 13), 35.2, Stack),
        ("one layer", (-12.85, -12.7, 12.85, 13), 17.6, Sheet),
        ("plate", (-16.85, -42.5, 16.85, 42.5), 11.8, Sheet),
        ("thick plate", (-16.85, -42.5, 16.85, 42.5), 23.6, Stack),
    ],
)
def test_the_risers_size(jigs, job, bounds, thick, made):
    riser = parts_of(jigs[job])["riser"]
    assert riser.outline is not None
    assert riser.outline.bounds == pytest.approx(bounds)
    assert riser.thickness == pytest.approx(thick)
    assert isinstance(riser.made, made)
    assert riser.eased == 1
    assert riser.marks == ("RISER", "UP")
    if isinstance(riser.made, Stack):
        assert riser.made.slices == 2


@pytest.mark.parametrize("job", JOBS)
def test_where_it_stands(jigs, job):
    """Nominal feet 80 and tallies 120 long stand on it, a millimetre from the fixed face."""
    jig = jigs[job]
    at = standing(jig)
    (box,) = at["riser"].boxes
    length, width = (80, 28) if jig.n.made == "block" else (120, 36)
    assert box.high[2] == pytest.approx(-length)
    assert box.low[0] == pytest.approx(-width / 2 + 1)
    assert (box.low[1], box.high[1]) == pytest.approx(jig.n.riser_reach)
    assert all(KIND.poses(jig.n, state) == KIND.poses(jig.n, SHOWN) for state in all_states())


@pytest.mark.parametrize("job", JOBS)
def test_dowels_stand_in_their_holes_below_the_top(jigs, job):
    """A block's go right through, half a millimetre short; a plate's begin 2 mm above its key."""
    jig = jigs[job]
    at = standing(jig)
    dowels = [s for name, s in at.items() if name.startswith("dowel")]
    assert len(dowels) == (2 if jig.n.layers == 2 else 0)
    riser = at["riser"]
    for dowel in dowels:
        (box,) = dowel.boxes
        left, holes = hole_about(riser, dowel)
        assert left == pytest.approx(0, abs=1e-9)
        (hole,) = holes
        x0, _, x1, _ = hole.outline.bounds
        assert isinstance(dowel.part.made, Bought)
        assert x1 - x0 == dowel.part.made["diameter"] == jig.n.dowel_diameter
        assert riser.boxes[0].high[2] - box.high[2] == pytest.approx(0.5)
        foot = 0.0 if jig.n.made == "block" else jig.n.key_groove + 2
        assert box.low[2] - riser.boxes[0].low[2] == pytest.approx(foot)
        assert hole.face is Face.TOP
        assert cut_box(riser.part, hole).low[2] == pytest.approx(foot)
        assert (hole.depth is None) == (foot == 0)
    if dowels:
        assert dowels[0].pose.at[0] != dowels[1].pose.at[0]
        assert dowels[0].pose.at[1] != dowels[1].pose.at[1]
        middle = sum(d.pose.at[1] for d in dowels) / 2
        assert middle == pytest.approx(sum(jig.n.riser_reach) / 2)


@pytest.mark.parametrize("job", ["plate", "thick plate"])
def test_the_key_fills_its_groove_and_stands_in_the_slot(jigs, job):
    jig = jigs[job]
    at = standing(jig)
    (key,), (riser,) = at["key"].boxes, at["riser"].boxes
    table, slot = -(120 + jig.n.rise), jig.n.key_y
    assert abs(slot) == pytest.approx(25)
    assert key.low == pytest.approx((riser.low[0], slot - 7, table - 6))
    assert key.high == pytest.approx((riser.high[0], slot + 7, table + jig.n.key_groove))
    groove = cuts(at["riser"].part)["key groove"]
    assert (groove.face, groove.does, groove.meets) == (Face.BOTTOM, Does.GROOVE, "key")
    x0, y0, x1, y1 = groove.outline.bounds
    # Run out at both ends by the cutter of 6, all of it, and a millimetre.
    assert (x0, x1) == pytest.approx((-16.85 - 7, 16.85 + 7))
    assert (y0, y1) == pytest.approx((slot - 7, slot + 7))
    assert in_cuts(at["key"], at["riser"])
    assert touch(at["key"], at["riser"])
    # Turned, not mirrored.
    turned = [at["key"].pose.rotate(axis) for axis in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    assert np.linalg.det(turned) == pytest.approx(1)
    made = at["key"].part.made
    assert isinstance(made, Strip)
    assert made.wood == "beech"


@pytest.mark.parametrize("job", JOBS)
def test_what_touches_what(jigs, job):
    pairs = {(c.a, c.b): c.role for c in told(jigs[job])}
    wanted = {("piece", "riser"): Role.SEATS, ("riser", "table"): Role.SEATS}
    if "plate" in job:
        wanted |= {("key", "table"): Role.GUIDES, ("key", "riser"): Role.GLUED}
    assert pairs == wanted


WAYS: dict[str, dict[str, tuple[float, float, float]]] = {
    # up by its height and 5, a plate's key out of the slot first; dowels as far as it is high
    "block": {"riser": (0, 0, 40.2), "dowel 1": (0, 0, 40.2), "dowel 2": (0, 0, 40.2)},
    "one layer": {"riser": (0, 0, 22.6)},
    "plate": {"riser": (0, 0, 22.8), "key": (0, 0, -14.9)},
    "thick plate": {"riser": (0, 0, 34.6), "key": (0, 0, -16), "dowel 1": (0, 0, 28.6),
                    "dowel 2": (0, 0, 28.6)},
}  # fmt: skip


@pytest.mark.parametrize("job", JOBS)
def test_ways_out(jigs, job):
    moves = {move.name: move for move in KIND.moves(jigs[job].n)}
    assert set(moves) == set(WAYS[job])
    for name, way in WAYS[job].items():
        (leg,) = moves[name].legs
        assert leg == pytest.approx(way)
        assert moves[name].when == ("at the machine" if name == "riser" else "gluing")
    assert set(moves["riser"].unit) == set(standing(jigs[job]))


def test_what_it_offers_and_adds(jigs):
    """A sheet of ± 0.2 a layer; measured as glued up 0.05; dust 0.1 once for the batch."""
    n = jigs["block"].n
    assert KIND.offers(n) == {"rise": "rise", "under_fences": "under_fences"}
    thick, dust = KIND.spreads(n)
    assert (thick.axis, thick.size, thick.each) == ("z", pytest.approx(0.4), False)
    assert (dust.axis, dust.size, dust.shape, dust.each) == ("z", 0.1, "one-sided", False)
    assert KIND.spreads(jigs["plate"].n)[0].size == pytest.approx(0.2)
    assert KIND.holds_piece(n, SHOWN) == KIND.offset_of(n, {})
    assert (KIND.rooms(n, SHOWN), len(KIND.steps(n))) == ([], 1)


@pytest.mark.parametrize("how", ["built", "measured"])
def test_its_height_as_measured_is_told_within_a_caliper(tmp_path, how):
    text = (SHOPS / "clamp_on_a_riser.yaml").read_text()
    words = {"built": "built: {rise: 35.36}", "measured": "set: {rise: 35.36}"}[how]
    path = tmp_path / "job.yaml"
    path.write_text(text.replace("{kind: riser}", f"{{kind: riser, {words}}}"))
    d = design(read_job(path))
    n = next(jig.n for _, jig in d.jigs() if jig.kind.name == "riser")
    assert n.rise == 35.36
    assert KIND.spreads(n)[0].size == pytest.approx(0.05 if how == "built" else 0.4)
