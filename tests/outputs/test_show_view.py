"""What the viewer is given: states, drawn apart, cut open, the cutter's way, each name once."""

from __future__ import annotations

import pytest

from jigs.checks.moves import moves
from jigs.errors import DesignError
from jigs.model.state import SHOWN, Limit, Phase, State
from jigs.outputs.cad.show import assembly, location
from jigs.outputs.cad.tree import leaves
from jigs.outputs.cad.viewing import CUTTER_GROUP, Choice, model, names

JOB = "allotment dibbers and marker posts"


def placed(tree):
    """Every solid where it stands in the machine frame, by its path."""
    return {"/".join(path): leaf.shape.moved(location(pose)) for path, leaf, pose in leaves(tree)}


@pytest.mark.parametrize("job", ["allotment", "stool", "skittles"])
@pytest.mark.parametrize("exploded", [False, True])
def test_every_name_stands_once(job, exploded, designs, scenes):
    for setup in designs(job).setups:
        tree = model(scenes(job), Choice(setup.name, exploded=exploded))
        found = names(tree)
        assert len(found) == len(set(found)) > 5
        assert assembly(tree).name == designs(job).job.model.job


@pytest.mark.parametrize("phase", list(Phase))
def test_a_state_has_the_parts_that_are_there_then(phase, allotment, scene):
    found = names(model(scene, Choice(state=State(phase, Limit.LEAST))))
    assert any(f"{JOB}/marking/gauge/" in name for name in found) == (phase is Phase.SETTING)
    assert f"{JOB}/marking/piece" in found
    assert f"{JOB}/machine/table" in found


def test_the_piece_is_the_one_that_is_asked_for_and_lets_light_through(allotment, scene):
    """Grip diameters of the batch, read off the job's own file."""
    widths = {}
    for limit in Limit:
        tree = model(scene, Choice(state=State(Phase.CLOSED, limit)))
        (piece,) = [leaf for path, leaf, _ in leaves(tree) if path[-1] == "piece"]
        assert piece.colour[3] < 1
        widths[limit] = piece.shape.BoundingBox().xlen
    assert widths[Limit.LEAST] == pytest.approx(31.5, abs=0.5)
    assert widths[Limit.MOST] == pytest.approx(36, abs=0.5)


def test_drawn_apart_there_are_the_jigs_alone(allotment, scene):
    found = names(model(scene, Choice(exploded=True)))
    assert {name.split("/")[1] for name in found} == {"marking"}
    parts = {name.split("/")[-1] for name in found}
    assert parts == {p.name for jig in allotment.setups[0].jigs for p in jig.poses(SHOWN)}


@pytest.mark.parametrize(("axis", "index", "kept"), [("x", 0, -1), ("y", 1, 1), ("z", 2, -1)])
def test_cut_open_nothing_stands_beyond_the_plane_and_half_is_left(
    axis, index, kept, allotment, scene
):
    setup = allotment.setups[1]
    whole = placed(model(scene, Choice("slotting")))
    cut = placed(model(scene, Choice("slotting", section=axis)))
    zero = setup.work_zero.at[index]
    for shape in cut.values():
        box = shape.BoundingBox()
        low, high = (box.xmin, box.ymin, box.zmin)[index], (box.xmax, box.ymax, box.zmax)[index]
        assert (high <= zero + 1e-3) if kept < 0 else (low >= zero - 1e-3)
    for name, shape in whole.items():
        rest = cut[name].Volume() if name in cut else 0.0
        box = shape.BoundingBox()
        low, high = (box.xmin, box.ymin, box.zmin)[index], (box.xmax, box.ymax, box.zmax)[index]
        if (high <= zero) if kept < 0 else (low >= zero):
            assert rest == pytest.approx(shape.Volume()), f"{name} lies on the side that stays"
        else:
            assert rest < shape.Volume()
    if axis != "z":
        piece = f"{JOB}/slotting/piece"
        assert cut[piece].Volume() == pytest.approx(whole[piece].Volume() / 2, rel=0.05)


def test_the_cutter_is_where_the_slot_is_cut(allotment, scene):
    """By hand: a straight 6 mm cutter, 20 deep, in the end of a post of 38 by 38."""
    setup = allotment.setups[1]
    shapes = placed(model(scene, Choice("slotting", state=State(Phase.CLOSED, Limit.NOMINAL))))
    cutter = shapes[f"{JOB}/{CUTTER_GROUP}/cut label slot/cutter"]
    box = cutter.BoundingBox()
    x, y, top = setup.work_zero.at
    assert (box.xmin, box.xmax) == pytest.approx((x - 3, x + 3), abs=1e-3)
    assert box.zmin == pytest.approx(top - 20, abs=1e-3)
    assert box.ylen > 38
    assert cutter.isInside((x, y, top - 10))
    assert {m.cut.owner for m in moves(setup)} == {"label slot"}


def test_a_setup_that_is_not_there(scene):
    with pytest.raises(DesignError, match=r"no such setup \(did you mean 'marking'\?\)"):
        model(scene, Choice("markin"))


def test_copies_of_an_earlier_model_are_used_again_and_the_rest_dropped(allotment, scene):
    copies = {}
    assembly(model(scene, Choice()), copies)
    before = dict(copies)
    assembly(model(scene, Choice(state=State(Phase.CLOSED, Limit.NOMINAL))), copies)
    assert 0 < len(copies) < len(before)
    same = [shape for shape in copies if shape in before]
    assert all(copies[shape] is before[shape] for shape in same)
