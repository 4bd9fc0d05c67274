"""Pictures: something is on them, the same bytes every time, and no crash without OpenGL."""

from __future__ import annotations

import ctypes
import hashlib
import subprocess
import sys
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from PIL import Image

from jigs.errors import ExportError
from jigs.model.pose import Pose
from jigs.outputs.cad import picture
from jigs.outputs.cad.tree import Group, Leaf

BIRCH, STEEL, BLUE, GLASS = (
    (0.86, 0.72, 0.52, 1.0),
    (0.62, 0.65, 0.69, 1.0),
    (0.30, 0.45, 0.62, 1.0),
    (0.60, 0.75, 0.90, 0.35),
)
SMALL = (400, 300)


def dibber_on_a_board() -> Group:
    board = cq.Workplane().box(120, 80, 12, centered=(True, True, False)).val()
    ring = cq.Workplane().circle(20).circle(10).extrude(15).val()
    dibber = cq.Workplane().circle(9.5).extrude(70).faces(">Z").edges().fillet(3).val()
    bolt = cq.Workplane().polygon(6, 12).extrude(6).val()
    guard = cq.Workplane().box(120, 3, 40, centered=(True, True, False)).val()
    loose = Group(
        "loose",
        (
            Leaf("dibber", "dibber", dibber, Pose(), BIRCH),
            Leaf("bolt", "bolt", bolt, Pose.to(40, 10, 0), STEEL),
        ),
        Pose.to(0, 0, 12),
    )
    return Group(
        "jig",
        (
            Leaf("board", "board", board, Pose(), BIRCH),
            Leaf("ring", "ring", ring, Pose.to(0, 0, 12), BLUE),
            loose,
            Leaf("guard", "guard", guard, Pose.to(0, -35, 12), GLASS),
        ),
    )


def pixels(path: Path) -> np.ndarray:
    return np.asarray(Image.open(path).convert("RGB")).astype(int)


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("picture") / "jig.png"
    assert picture.write_picture(dibber_on_a_board(), path, size=SMALL, title="Ø19 × 70") is None
    return path


def test_the_picture_shows_parts_on_a_white_page(drawn: Path) -> None:
    seen = pixels(drawn)
    assert seen.shape == (300, 400, 3)
    assert (seen[:3] == 255).all()
    covered = (seen.sum(axis=2) < 740).mean()
    assert 0.25 < covered < 0.75
    assert len(np.unique(seen.reshape(-1, 3), axis=0)) > 100


def test_parts_have_their_colours_and_the_guard_lets_the_board_through(drawn: Path) -> None:
    red, _, blue = np.moveaxis(pixels(drawn), 2, 0)
    assert ((red - blue) > 50).mean() > 0.05, "no birch seen"
    assert ((blue - red) > 40).mean() > 0.02, "no blue ring seen"
    bare = pixels_without(drawn, "guard")
    through = np.abs(pixels(drawn) - bare).sum(axis=2) > 12
    assert through.mean() > 0.05, "the guard changes nothing"
    board_behind = through & (bare[..., 0] - bare[..., 2] > 50)
    assert (red - blue)[board_behind].mean() > 5, "the guard hides the board"


def pixels_without(drawn: Path, name: str) -> np.ndarray:
    path = drawn.with_name(f"without_{name}.png")
    # The size of the scene does not change: the guard stands within the board's outline.
    note = picture.write_picture(
        dibber_on_a_board(), path, size=SMALL, title="Ø19 × 70", skip=frozenset({name})
    )
    assert note is None
    return pixels(path)


def test_the_parts_fill_the_page_whatever_the_direction(tmp_path: Path) -> None:
    for name, direction in (("top", (0, 0, 1)), ("front", (0, -1, 0)), ("side", (1, 0, 0))):
        path = tmp_path / f"{name}.png"
        picture.write_picture(dibber_on_a_board(), path, direction=direction, size=(200, 150))
        rows, columns = np.nonzero(pixels(path).sum(axis=2) < 740)
        across, high = np.ptp(columns) / 200, np.ptp(rows) / 150
        assert 0.85 < max(across, high) < 0.95
        assert columns.min() + columns.max() == pytest.approx(199, abs=2)
        assert rows.min() + rows.max() == pytest.approx(149, abs=2)


def test_the_same_bytes_from_another_process_without_a_display(drawn: Path) -> None:
    code = (
        "import sys, importlib.util as u; from pathlib import Path\n"
        "spec = u.spec_from_file_location('scene', sys.argv[1])\n"
        "scene = u.module_from_spec(spec); spec.loader.exec_module(scene)\n"
        "scene.picture.write_picture(scene.dibber_on_a_board(), Path(sys.argv[2]),"
        " size=scene.SMALL, title='Ø19 × 70')\n"
    )
    other = drawn.with_name("other.png")
    done = subprocess.run(
        [sys.executable, "-c", code, __file__, str(other)],
        capture_output=True,
        text=True,
        env=bare_environment(),
        timeout=60,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert digest(other) == digest(drawn)


def bare_environment() -> dict[str, str]:
    # A display that does not exist, and another string hash: neither may matter.
    return {"PYTHONPATH": ":".join(sys.path), "PYTHONHASHSEED": "7", "DISPLAY": ":77"}


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def test_without_opengl_a_note_and_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(picture, "egl_ok", lambda: False)
    note = picture.write_picture(dibber_on_a_board(), tmp_path / "jig.png")
    assert note is not None
    assert "libegl1 libegl-mesa0 libgl1-mesa-dri" in note
    assert "\n" not in note
    assert list(tmp_path.iterdir()) == []


def test_a_missing_library_is_a_plain_no(monkeypatch: pytest.MonkeyPatch) -> None:
    def absent(name: str) -> None:
        raise OSError(f"{name}: cannot open shared object file")

    monkeypatch.setattr(ctypes, "CDLL", absent)
    assert picture.egl_ok() is False


def test_nothing_left_to_draw_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match="nothing to draw in 'jig'"):
        picture.write_picture(dibber_on_a_board(), tmp_path / "x.png", skip=frozenset({"jig"}))


def test_a_picture_leaves_the_shapes_unmeshed(tmp_path: Path) -> None:
    drawn_before, fresh = dibber_on_a_board(), dibber_on_a_board()
    picture.write_picture(drawn_before, tmp_path / "x.png", size=(80, 60))
    files = []
    for name, group in (("before", drawn_before), ("fresh", fresh)):
        ring = group.members[1]
        assert isinstance(ring, Leaf)
        files.append(tmp_path / f"{name}.stl")
        cq.exporters.export(cq.Workplane(ring.shape), str(files[-1]), tolerance=0.3)
    assert files[0].read_bytes() == files[1].read_bytes()
