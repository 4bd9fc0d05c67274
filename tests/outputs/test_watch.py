"""Watching a job: what is made anew, what is said, what stays on screen. No viewer is needed."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from jigs.errors import ExportError, ReadingError
from jigs.outputs.cad import show, watching
from jigs.outputs.cad.marks import BALL, not_met
from jigs.outputs.cad.tree import Group, leaves
from jigs.outputs.cad.viewing import Choice
from jigs.outputs.cad.watching import Files, Screen, Watch
from jigs.reading.job import read_job
from jigs.sizing import design
from jigs.solids.scene import Scene
from jigs.solids.store import Solids

ROOT = Path(__file__).parent.parent.parent


@dataclass
class Wall:
    """Stands for a screen: keeps what was put on it."""

    shown: list[Group] = field(default_factory=list)

    def put(self, tree: Group) -> None:
        self.shown.append(tree)

    def tend(self) -> None:
        """Nobody opens pages here."""

    def close(self) -> None:
        """Nothing was started."""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "configs", tmp_path / "configs")
    return tmp_path / "configs/allotment.yaml"


@pytest.fixture
def said() -> list[str]:
    return []


def watch(job: Path, said: list[str]) -> tuple[Watch, Wall]:
    wall = Wall()
    screen: Any = wall
    return Watch(job, Choice(), screen, said.append), wall


def put_in(job: Path, old: str, new: str) -> None:
    text = job.read_text(encoding="utf-8")
    assert old in text
    job.write_text(text.replace(old, new), encoding="utf-8")


def names_of(tree: Group) -> set[str]:
    return {"/".join(path) for path, _, _ in leaves(tree)}


def test_only_what_changed_is_made_anew(job, said):
    watched, wall = watch(job, said)
    assert watched.refresh()
    first = {path: leaf.shape for path, leaf, _ in leaves(wall.shown[0])}
    put_in(job, "revision: A", "revision: B")
    built = watched.solids.built
    assert watched.refresh()
    assert watched.solids.built == built
    assert said[-1].endswith(" 0 solids made")
    put_in(job, "length: 230 ± 1", "length: 240 ± 1")
    assert watched.refresh()
    assert len(wall.shown) == 3
    anew = {path for path, leaf, _ in leaves(wall.shown[2]) if leaf.shape is not first.get(path)}
    parts = {path[-1] for path in anew if "cutter's way" not in path}
    # By hand: a longer dibber stands on a shelf that is lower, so the board is longer as well.
    assert "piece" in parts
    assert "back board" in parts
    assert not parts & {"fixed half", "moving half", "table", "bar"}


def test_a_part_that_keeps_its_name_and_changes_is_another_part(allotment):
    solids = Solids()
    parts = {}
    for changes in ({}, {"ring.gap": 9.0}):
        d = design(allotment.job, changes)
        jig = d.setups[0].jigs[0]
        parts[len(parts)] = solids.part(jig.parts["fixed_half"])
    assert parts[0].Volume() > parts[1].Volume() + 100, "mm³: the wider gap is cut off it"
    again = design(allotment.job, {}).setups[0].jigs[0].parts["fixed_half"]
    assert solids.part(again) is parts[0]


def test_what_is_not_used_any_more_is_let_go(allotment):
    solids = Solids()
    part = allotment.setups[0].jigs[0].parts["shelf"]
    first = solids.part(part)
    solids.forget_unused()
    assert solids.part(part) is first
    solids.forget_unused()
    solids.forget_unused()
    assert solids.part(part) is not first


def test_an_error_is_told_with_its_line_and_the_last_model_stays(job, said):
    watched, wall = watch(job, said)
    watched.refresh()
    put_in(job, "kind: split_ring", "kind: split_rink")
    assert not watched.refresh()
    assert len(wall.shown) == 1
    assert "allotment.yaml:" in said[-1]
    assert "split_ring" in said[-1], "what would be right"
    assert said[-1].endswith("the last good model stays on screen")
    put_in(job, "kind: split_rink", "kind: split_ring")
    assert watched.refresh()
    assert len(wall.shown) == 2


def test_text_that_is_no_yaml_and_a_file_that_is_gone(job, said):
    watched, wall = watch(job, said)
    watched.refresh()
    good = job.read_text(encoding="utf-8")
    for broken in ("jigs: [", "\x00", ""):
        job.write_text(broken, encoding="utf-8")
        assert not watched.refresh()
    job.unlink()
    assert not watched.refresh()
    job.write_text(good, encoding="utf-8")
    assert watched.refresh()
    assert len(wall.shown) == 2


def test_every_file_of_the_job_is_looked_at(job, said):
    watched, _ = watch(job, said)
    watched.refresh()
    assert not watched.files.changed()
    put_in(job.parent / "machines/bench_router.yaml", "name:", "name:  ")
    assert watched.files.changed()
    watched.files.settle()
    assert not watched.files.changed()
    job.unlink()
    assert watched.files.changed()


def test_a_file_that_comes_back_has_changed(tmp_path):
    path = tmp_path / "job.yaml"
    files = Files(path)
    files.follow(())
    assert not files.changed()
    path.write_text("a", encoding="utf-8")
    assert files.changed()
    files.settle()
    path.write_text("ab", encoding="utf-8")
    assert files.changed()


def test_a_save_while_the_checks_run_ends_them(job, said):
    watched, wall = watch(job, said)
    watched.refresh()
    scene = watched._unchecked
    assert scene is not None
    put_in(job, "revision: A", "revision: B")
    watched._check(scene)
    assert watched._unchecked is scene, "still to be checked, or replaced by the next refresh"
    assert len(wall.shown) == 1


def test_the_loop_shows_marks_what_is_not_met_and_ends(job, said):
    put_in(job, "fixed_side: left", "fixed_side: left\n    set: {opening: 37}")
    wall = Wall()
    screen: Any = wall
    watched = Watch(job, Choice("slotting"), screen, said.append)
    turns = iter([True, True, False])
    watched.run(lambda: next(turns))
    assert len(wall.shown) == 2, "first the model, then with its marks"
    new = names_of(wall.shown[1]) - names_of(wall.shown[0])
    assert new
    assert all("/not met/" in name for name in new)
    assert any(line.startswith("NOT MET: slotting: nothing overlaps unmeant") for line in said)


def test_a_clash_is_marked_by_its_two_parts_where_they_clash(allotment, shared_store):
    d = design(allotment.job, {"clamp.opening": 37.0})
    scene, setup = Scene(d, Solids(shared_store)), d.setups[1]
    findings, marks = not_met(scene, setup)
    (clash,) = [f for f in findings if f.check == "nothing overlaps unmeant"]
    assert marks is not None
    (group,) = [g for g in marks.members if g.name.endswith(clash.check)]
    assert isinstance(group, Group)
    one, other = group.members
    state = clash.governs.split(", ")[1]
    assert {one.name, other.name} == {
        f"{thing}, {state}" for thing in clash.governs.split(", ")[0].split(" in ")
    }
    solids = [leaf.shape.moved(show.location(leaf.pose)) for leaf in (one, other)]
    assert solids[0].intersect(solids[1]).Volume() > 1.0, "mm³: they do share space"
    _, elsewhere = not_met(scene, d.setups[0])
    assert elsewhere is None, "the other setup has nothing to mark"


def test_a_ball_lies_where_something_comes_too_near(shared_store):
    d = design(read_job(ROOT / "tests/jobs/reach_jaw_too_tall.yaml"))
    setup = d.setups[0]
    findings, marks = not_met(Scene(d, Solids(shared_store)), setup)
    (near,) = [f for f in findings if f.check == "cutter clear of all that stands"]
    assert marks is not None
    ((ball,),) = [g.members for g in marks.members if isinstance(g, Group)]
    at = setup.work_zero.apply(ball.pose.at)
    told = ", ".join(f"{axis} {value:.1f}" for axis, value in zip("xyz", at, strict=True))
    assert near.governs.endswith(told)
    assert ball.shape.BoundingBox().xlen == pytest.approx(2 * BALL, rel=1e-3)


def test_a_file_that_was_never_there_is_an_error_at_once(tmp_path, said):
    with pytest.raises(ReadingError, match=r"nothing\.yaml"):
        watching.watch(tmp_path / "nothing.yaml", Choice(), None, said.append)
    assert said == []


def test_a_viewer_that_cannot_be_had_again_is_told_and_tried_later(monkeypatch, said):
    gone = show.ShowResult(4711, "http://127.0.0.1:4711/viewer", None, False)
    monkeypatch.setattr(show, "connect", lambda port: gone)
    screen = Screen(4711, said.append)
    assert said == ["open http://127.0.0.1:4711/viewer (Ctrl-C ends)"]

    def refuse(port):
        raise ExportError(f"port {port} does not answer as a previewer does")

    monkeypatch.setattr(show, "connect", refuse)
    monkeypatch.setattr(show, "alive", lambda viewer: False)
    screen.tend()
    screen.tend()
    assert said[1] == "the viewer at port 4711 ended; starting another"
    assert said[2].startswith("port 4711 does not answer as a previewer does\n  trying again in")
    assert len(said) == 3, "not at every turn"
    screen.close()
