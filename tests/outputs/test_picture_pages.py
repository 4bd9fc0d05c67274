"""The pictures of a build: which there are, what is on them, and what happens without OpenGL."""

from __future__ import annotations

import hashlib
import math
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from jigs.checks.dry_fit import GOES_TOGETHER, GROUP, check_dry_fit
from jigs.errors import ExportError
from jigs.kept import Kept
from jigs.model.finding import Verdict, not_judged
from jigs.model.state import Limit, State
from jigs.outputs.cad import picture, pictures, renders
from jigs.outputs.cad.composition import Composition
from jigs.outputs.cad.files import write_pictures
from jigs.outputs.cad.look import MEETS, STOPPED
from jigs.outputs.cad.moving_page import changeover, compose_motion, stopped
from jigs.outputs.cad.page import Page, painted
from jigs.outputs.cad.seeing import Meshes
from jigs.sizing import design
from jigs.solids.rehearse import Rehearsal
from jigs.solids.scene import Scene
from jigs.solids.store import Form, Solids

ROOT = Path(__file__).parent.parent.parent
SMALL = (400, 300)
EYE = (1.0, -1.25, 0.85)


NO_DRY_FIT = [not_judged("switched off", group=GROUP, of="clamp", check=GOES_TOGETHER)]


def allotment_opening(d) -> float:
    """The clamp's opening as it is now, mm."""
    ((_, clamp),) = [(s, j) for s, j in d.jigs() if j.name == "clamp"]
    return clamp.n.opening


class Folder:
    """Stands for a publication: writes straight into a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, name: str) -> Path:
        target = self.folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        return target

    def write_bytes(self, name: str, data: bytes) -> None:
        self.path(name).write_bytes(data)


def test_which_pictures_there_are(scenes):
    names = [w.name for w in pictures.pictures(scenes("skittles"))]
    assert names == [
        "ring", "ring apart", "gauge", "dotting on the machine", "ring, the ring opens",
        "ring, the piece comes out upwards", "gauge, the gauge slides off", "clamp", "clamp apart",
        "drilling on the machine", "clamp, the moving jaw opens",
        "clamp, the piece comes out upwards",
    ]  # fmt: skip


def test_what_a_picture_shows_tells_all_that_decides_it(allotment, scene):
    """A clamp that opens wider changes the pictures that it is on, and no other."""
    told = {p.name: repr(p.shows) for p in pictures.pictures(scene, NO_DRY_FIT)}
    again = {p.name: repr(p.shows) for p in pictures.pictures(Scene(allotment), NO_DRY_FIT)}
    assert told == again, "the same from another scene of the same design"
    assert not any(" at 0x" in text for text in told.values())
    assert len(set(told.values())) == len(told)
    wider = Scene(design(allotment.job, {"clamp.opening": allotment_opening(allotment) + 1.0}))
    changed = {p.name: repr(p.shows) for p in pictures.pictures(wider, NO_DRY_FIT)}
    assert changed.keys() == told.keys()
    other = {name for name in told if told[name] != changed[name]}
    assert {"clamp, the moving jaw opens", "clamp, the piece comes out upwards"} <= other
    assert not {name for name in other if name.startswith(("ring", "gauge", "marking"))}


def test_a_kept_picture_is_not_drawn_again(designs, tmp_path, monkeypatch):
    kept = Kept(tmp_path / "kept.sqlite", "test")
    write_pictures(Scene(designs("skittles"), Solids(kept)), Folder(tmp_path / "one"), NO_DRY_FIT)
    kept.close()

    def refuse(*_: object) -> None:
        raise AssertionError("drawn again")

    monkeypatch.setattr(pictures, "painted", refuse)
    monkeypatch.setattr(Form, "shape", property(refuse))
    again = Kept(tmp_path / "kept.sqlite", "test")
    scene = Scene(designs("skittles"), Solids(again))
    write_pictures(scene, Folder(tmp_path / "two"), NO_DRY_FIT)
    again.close()
    first, second = (
        {p.name: p.read_bytes() for p in (tmp_path / folder / "pictures").iterdir()}
        for folder in ("one", "two")
    )
    assert first == second
    assert len(first) == 12


def test_without_a_dry_fit_nothing_is_swept(designs, monkeypatch):
    def refuse(*_: object) -> None:
        raise AssertionError("swept")

    monkeypatch.setattr(Rehearsal, "stops", refuse)
    scene = Scene(designs("skittles"))
    wanted = {p.name: p for p in pictures.pictures(scene, NO_DRY_FIT)}
    assert wanted["clamp apart"].shows != wanted["ring apart"].shows
    with pytest.raises(AssertionError, match="swept"):
        repr({p.name: p for p in pictures.pictures(scene)}["clamp apart"].shows)


def motion_named(setup, name):
    (found,) = [m for m in changeover(setup) if m.move.name == name]
    return found


def test_a_move_has_its_unit_where_it_starts_and_where_it_ends(allotment, scene):
    setup = allotment.setups[0]
    motion = motion_named(setup, "the gauge slides off")
    page = compose_motion(scene, motion, EYE, SMALL, Meshes())
    (drawing,) = page.drawings
    (bar,) = [s for s in scene.standing(setup, State(motion.move.at, Limit.NOMINAL))
              if s.key == "gauge/bar"]  # fmt: skip
    mine = [solid for solid in drawing.solids if solid.shape is bar.shape]
    assert [solid.colour[3] < 1 for solid in mine] == [False, True]
    way = np.subtract(mine[1].pose.at, mine[0].pose.at)
    assert way == pytest.approx(np.sum(motion.move.legs, axis=0))
    assert page.title == "gauge: the gauge slides off, 143.0 mm"
    assert len(page.arrow) == 3, "back along the table, then up"
    (x0, y0), (x1, y1), (x2, y2) = page.arrow
    assert x1 > x0
    assert y1 < y0, "away from the operator is to the right and up on the page"
    assert x2 == pytest.approx(x1)
    assert y2 < y1


def test_a_short_way_has_an_arrow_that_can_be_seen(allotment, scene):
    motion = motion_named(allotment.setups[0], "the ring opens")
    assert motion.move.travel < 8
    page = compose_motion(scene, motion, EYE, SMALL, Meshes())
    assert math.dist(*page.arrow) > 100


def test_a_move_that_stops_is_drawn_at_that_moment(allotment, shared_store, tmp_path):
    """The gauge meets the ring, which stands too high for it."""
    d = design(allotment.job, {"ring.ring_drop": -6.0})
    scene, meshes = Scene(d, Solids(shared_store)), Meshes()
    findings = check_dry_fit(d, scene.rehearsal, only="gauge")
    assert any(f.verdict is Verdict.NOT_MET for f in findings)
    wanted = {w.name: w for w in pictures.pictures(scene, findings)}
    page = wanted["gauge, the gauge slides off STOPS"].compose(meshes, True)
    (motion,) = [m for m in stopped(d.setups[0], scene.rehearsal) if m.jig.name == "gauge"]
    assert motion.stop is not None
    assert "STOPS: gauge/bar meets ring/" in page.title
    assert f"after {motion.stop.after:.1f} mm of 143.0 mm" in page.title
    colours = [solid.colour for solid in page.drawings[0].solids]
    assert colours.count(STOPPED) == colours.count(MEETS) == 1
    assert all(c[3] < 0.5 for c in colours if c not in (STOPPED, MEETS))
    path = tmp_path / "stop.png"
    path.write_bytes(painted(page, meshes).png())
    red, _, blue = np.moveaxis(np.asarray(Image.open(path).convert("RGB")).astype(int), 2, 0)
    assert ((red - blue) > 60).mean() > 0.01, "what stops is seen"
    assert ((blue - red) > 30).mean() > 0.005, "what it meets is seen"


def test_how_far_a_stopped_move_came_is_where_it_is_drawn(allotment, scene):
    motion = motion_named(allotment.setups[0], "the gauge slides off")
    (first, second) = motion.move.legs
    from jigs.checks.rehearsing import Stop

    stop = Stop("gauge/bar", "table", first[1] + 10.0)
    page = compose_motion(scene, replace(motion, stop=stop), EYE, SMALL, Meshes())
    state = State(motion.move.at, Limit.NOMINAL)
    (bar,) = [s for s in scene.standing(allotment.setups[0], state) if s.key == "gauge/bar"]
    (drawn,) = [s for s in page.drawings[0].solids if s.shape is bar.shape]
    assert np.subtract(drawn.pose.at, bar.pose.at) == pytest.approx((0.0, first[1], 10.0))
    assert second[2] > 10


def test_without_opengl_line_views_and_one_note(scenes, tmp_path, monkeypatch):
    monkeypatch.setattr(picture, "gl_ok", lambda: False)
    scene, said = scenes("skittles"), []
    notes = write_pictures(scene, Folder(tmp_path), NO_DRY_FIT, said.append)
    assert notes == [pictures.NO_GL_NOTE]
    assert "libegl1" in notes[0]
    files = sorted(p.name for p in (tmp_path / "pictures").iterdir())
    assert files == sorted(f"{w.name}.svg" for w in pictures.pictures(scene))
    assert len(said) == len(files)
    for file in (tmp_path / "pictures").iterdir():
        root = ElementTree.fromstring(file.read_text(encoding="utf-8"))
        width, height = float(root.get("width")), float(root.get("height"))
        numbers = [
            (float(x), float(y))
            for path in root.iter("{http://www.w3.org/2000/svg}path")
            for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path.get("d"))
        ]
        inside = [0 <= x <= width and 0 <= y <= height for x, y in numbers]
        assert len(numbers) > 200, file.name
        assert sum(inside) > 0.5 * len(inside), file.name
        assert "font" not in file.read_text(encoding="utf-8")


def test_a_line_view_has_every_number_of_the_parts_list_once(scenes, monkeypatch):
    scene = scenes("skittles")
    wanted = {w.name: w for w in pictures.pictures(scene)}
    page = wanted["ring apart"].compose(Meshes(), False)
    assert len(page.drawings) == 1
    labels = sorted(int(balloon.label) for balloon in page.balloons)
    not_drawn = {int(row.label) for row in page.rows if "not drawn" in row.text}
    assert labels == sorted({int(row.label) for row in page.rows} - not_drawn)


def test_the_same_bytes_from_another_process(tmp_path):
    code = (
        "import sys; from pathlib import Path\n"
        "from jigs.outputs.cad import pictures; from jigs.outputs.cad.seeing import Meshes\n"
        "from jigs.outputs.cad.page import painted; from jigs.outputs.cad.lines import line_view\n"
        "from jigs.reading.job import read_job; from jigs.sizing import design\n"
        "from jigs.solids.scene import Scene\n"
        "scene = Scene(design(read_job(Path('configs/allotment.yaml'))))\n"
        "wanted = {w.name: w for w in pictures.pictures(scene)}\n"
        "page = wanted['gauge apart'].compose(Meshes(), True)\n"
        "Path(sys.argv[1]).write_bytes(painted(page, Meshes()).png())\n"
        "Path(sys.argv[1] + '.svg').write_text(line_view(page))\n"
    )
    files = [tmp_path / "one.png", tmp_path / "two.png"]
    for seed, path in enumerate(files):
        env = {"PYTHONPATH": ":".join(sys.path), "PYTHONHASHSEED": str(seed), "DISPLAY": ":77"}
        subprocess.run([sys.executable, "-c", code, str(path)], env=env, cwd=ROOT, check=True)
    for suffix in ("", ".svg"):
        one, two = (hashlib.sha256(Path(f"{p}{suffix}").read_bytes()).hexdigest() for p in files)
        assert one == two


def test_a_long_title_is_made_to_fit():
    """Letters of 8 pixels are the least: 60 of them fit a page of 400, as they do here."""
    page = Page(SMALL)
    page.title("clamp: the moving jaw opens, 38 mm, and the piece comes out of it")
    ink = np.asarray(page.finished().convert("L")) < 128
    columns = np.nonzero(ink.any(axis=0))[0]
    assert columns.min() > 5
    assert columns.max() < SMALL[0] - 5


def test_nothing_is_painted_beside_the_page():
    painted_page = painted(Composition(SMALL, ()), Meshes()).finished()
    assert painted_page.size == SMALL
    assert painted_page.getcolors() == [(SMALL[0] * SMALL[1], (255, 255, 255))]


def test_readmes_pictures_come_from_one_command(tmp_path):
    shots = (renders.Shot("skittles", "gauge", "gauge"),)
    (path,) = renders.write_renders(ROOT / "configs", tmp_path, shots)
    assert path == tmp_path / "gauge.png"
    with Image.open(path) as image:
        assert max(image.size) <= 900
    assert path.stat().st_size <= renders.MOST_BYTES
    unknown = (renders.Shot("skittles", "gauge from inside", "gauge"),)
    with pytest.raises(ExportError, match="no picture 'gauge from inside'; there is: ring"):
        list(renders.write_renders(ROOT / "configs", tmp_path, unknown))


def test_every_shot_of_readme_is_one_that_is_committed():
    for shot in renders.SHOTS:
        path = ROOT / f"renders/{shot.name}.png"
        assert path.stat().st_size <= renders.MOST_BYTES
        with Image.open(path) as image:
            assert max(image.size) <= 900
