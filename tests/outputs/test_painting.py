"""Painting: depths and tiles by hand, shadows where things touch, meshes, small PNG files."""

from __future__ import annotations

import io
import itertools
import math
from dataclasses import dataclass

import cadquery as cq
import numpy as np
import pytest
from PIL import Image

from jigs.kept import Kept
from jigs.model.pose import Pose
from jigs.outputs.cad import canvas, seeing
from jigs.outputs.cad.facets import facets, packed, unpacked
from jigs.outputs.cad.painting import paint, who_is_seen
from jigs.outputs.cad.png import png
from jigs.outputs.cad.seeing import Meshes, Solid, View, view_of

BIRCH, GLASS = (0.86, 0.72, 0.52, 1.0), (0.60, 0.75, 0.90, 0.35)
FROM_ABOVE, SLANTING = (0.0, 0.0, 1.0), (1.0, -1.25, 0.85)
SIZE = (400, 300)


@dataclass(frozen=True)
class Made:
    """A shape, and what it is made from."""

    shape: cq.Shape
    mark: str = ""


def board(height: float = 10.0) -> cq.Shape:
    return cq.Workplane().box(120, 80, height, centered=(True, True, False)).val()


def peg(radius: float = 15.0, length: float = 30.0) -> cq.Shape:
    return cq.Workplane().circle(radius).extrude(length).val()


def solid(shape: cq.Shape, *, z: float = 0.0, colour=BIRCH) -> Solid:
    return Solid(Made(shape), Pose.to(0, 0, z), colour)


def painted(solids, view: View) -> np.ndarray:
    return np.asarray(paint(solids, Meshes(), view)).astype(int)


# -- meshes ---------------------------------------------------------------------------------------


def test_a_box_has_twelve_edges_twelve_folds_and_eight_outer_corners():
    mesh = facets(board())
    assert len(mesh.triangles) == 12
    assert len(mesh.edges) == len(mesh.folds) == 12
    assert len(np.unique(mesh.outer, axis=0)) == 8
    for leaves in mesh.leaves:
        assert leaves[0] @ leaves[1] == pytest.approx(0.0, abs=1e-9)


def test_facing_is_outwards():
    mesh = facets(peg())
    corners = mesh.points[mesh.triangles]
    outwards = corners.mean(axis=1) - (0.0, 0.0, 15.0)
    assert (np.einsum("ti,ti->t", mesh.facing, outwards) > 0).all()
    turned = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    assert (np.einsum("ti,ti->t", mesh.facing, turned) > 0).all()
    assert (np.einsum("ni,ni->n", mesh.normals, mesh.points - (0.0, 0.0, 15.0)) > 0).all()


def test_a_round_thing_has_no_edge_along_its_seam():
    mesh = facets(peg())
    along = mesh.points[mesh.edges[:, 1]] - mesh.points[mesh.edges[:, 0]]
    assert np.abs(along[:, 2]).max() == pytest.approx(0.0, abs=1e-9)
    rims = np.linalg.norm(along, axis=1).sum()
    assert rims == pytest.approx(2 * 2 * math.pi * 15, rel=0.01)


def test_every_triangle_lies_within_the_outer_corners():
    """Witness: support in 50 directions of all corners of the triangles."""
    mesh = facets(peg().fuse(board()))
    rng = np.random.default_rng(7)
    ways = rng.normal(size=(50, 3))
    assert (mesh.points @ ways.T).max(axis=0) == pytest.approx((mesh.outer @ ways.T).max(axis=0))


def test_meshes_are_the_same_when_found_and_are_made_once(tmp_path, monkeypatch):
    made = []
    monkeypatch.setattr(seeing, "facets", lambda shape: made.append(shape) or facets(shape))
    one = Solid(Made(peg(), "a peg of 30 x 30"), Pose(), BIRCH)
    kept = Kept(tmp_path / "kept.sqlite", "test")
    first = Meshes(kept).of(one)
    kept.close()
    again = Kept(tmp_path / "kept.sqlite", "test")
    second = Meshes(again).of(one)
    again.close()
    assert len(made) == 1
    for name in ("points", "normals", "triangles", "edges", "folds", "leaves", "outer"):
        assert (getattr(first, name) == getattr(second, name)).all(), name
    bare = Meshes()
    assert bare.of(solid(made[0])) is bare.of(solid(made[0])), "one shape, one mesh"


def test_what_is_kept_of_a_mesh_is_finer_than_any_pixel():
    mesh = facets(peg())
    same = unpacked(packed(mesh))
    assert same.points == pytest.approx(mesh.points, abs=1e-5)
    assert (same.triangles == mesh.triangles).all()


# -- drawing --------------------------------------------------------------------------------------


def test_depths_are_distances_towards_the_eye():
    """From above: the peg's top lies 30 mm nearer than the board's, whatever is drawn around."""
    meshes = Meshes()
    solids = [solid(board()), solid(peg(), z=10)]
    view = view_of(solids, meshes, FROM_ABOVE, SIZE)
    cells = []
    for one in solids:
        mesh = meshes.of(one)
        grey = np.full(mesh.points.shape, 128, np.uint8)
        cells.append(canvas.Cells(seeing.placed(mesh.points, one.pose), mesh.triangles, grey))
    depths = canvas.draw(cells, view).depths()
    x, y = (round(v) for v in view.to_page((0.0, 0.0, 0.0)))
    i, j = (round(v) for v in view.to_page((-50.0, 0.0, 0.0)))
    assert depths[y, x] - depths[j, i] == pytest.approx(30.0, abs=0.01)
    assert depths[0, 0] < -1e6, "bare paper is far behind"


def test_tiles_of_a_large_page_fit_together():
    """What is drawn on a part of the page alone is what lies there on the whole one."""
    meshes, size = Meshes(), (2000, 1500)
    solids = [solid(board()), solid(peg(), z=10)]
    whole_view = view_of(solids, meshes, SLANTING, size)
    whole = who_is_seen(solids, meshes, whole_view)
    for left, top in ((900, 1000), (1400, 600)):  # across the rims of the window, 1600 by 1200
        part = who_is_seen(solids, meshes, whole_view.part((left, top, left + 500, top + 400)))
        there = whole[top : top + 400, left : left + 500]
        assert 0.2 < (there >= 0).mean() < 1.0, "a rim of the board is there"
        assert (part != there).mean() < 1e-3


def test_nothing_that_was_drawn_before_changes_a_picture():
    solids = [solid(board()), solid(peg(), z=10), solid(board(3.0), z=45, colour=GLASS)]
    view = view_of(solids, Meshes(), SLANTING, SIZE)
    first = painted(solids, view)
    painted([solid(peg(40.0))], view_of([solid(peg(40.0))], Meshes(), FROM_ABOVE, (900, 700)))
    assert (painted(solids, view) == first).all()


# -- shadows --------------------------------------------------------------------------------------


def bright_at(picture: np.ndarray, view: View, point) -> float:
    x, y = (round(v) for v in view.to_page(point))
    return float(picture[y - 1 : y + 2, x - 1 : x + 2].mean())


def test_a_board_is_darker_at_the_foot_of_a_peg_and_nowhere_else():
    solids = [solid(board()), solid(peg(), z=10)]
    view = view_of(solids, Meshes(), SLANTING, SIZE)
    both, alone = painted(solids, view), painted(solids[:1], view)
    foot, away = (17.0, -17.0 / 4, 10.0), (50.0, -30.0, 10.0)
    assert bright_at(both, view, foot) < 0.9 * bright_at(alone, view, foot)
    assert bright_at(both, view, away) == pytest.approx(bright_at(alone, view, away), abs=1.5)
    for x, y in itertools.product((-40.0, 0.0, 40.0), (-25.0, 0.0, 25.0)):
        plain = bright_at(alone, view, (x, y, 10.0))
        assert plain == pytest.approx(bright_at(alone, view, away), abs=1.5), "flat: no shadow"


def test_what_is_far_in_front_throws_no_shadow():
    solids = [solid(board()), solid(peg(15.0, 5.0), z=100)]
    view = view_of(solids, Meshes(), FROM_ABOVE, SIZE)
    both = painted(solids, view)
    beside, away = (22.0, 0.0, 10.0), (50.0, 30.0, 10.0)
    assert bright_at(both, view, beside) == pytest.approx(bright_at(both, view, away), abs=1.5)


def test_of_clear_things_only_the_nearest_surface_counts():
    """Two panes one behind the other let through as much as one."""
    view = view_of([solid(board())], Meshes(), FROM_ABOVE, SIZE)
    one = painted([solid(board()), solid(board(1.0), z=30, colour=GLASS)], view)
    panes = [solid(board(1.0), z=z, colour=GLASS) for z in (30, 40)]
    two = painted([solid(board()), *panes], view)
    bare = painted([solid(board())], view)
    middle = (0.0, 0.0, 10.0)
    assert bright_at(two, view, middle) == pytest.approx(bright_at(one, view, middle), abs=1.0)
    assert abs(bright_at(one, view, middle) - bright_at(bare, view, middle)) > 2.0


# -- files ----------------------------------------------------------------------------------------


def back(data: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(data)) as image:
        assert image.format == "PNG"
        return np.asarray(image.convert("RGB")).astype(int)


def test_white_stays_white_and_few_colours_stay_near():
    plain = np.zeros((60, 80, 3), np.uint8) + np.uint8(255)
    plain[10:30, 10:30] = (137, 120, 88)
    plain[30:50, 40:70] = (40, 38, 43)
    seen = back(png(Image.fromarray(plain)))
    assert (seen[:5] == 255).all()
    assert np.abs(seen - plain).max() <= 1, "seven bits of each"


def test_soft_shades_of_many_colours_stay_within_what_the_eye_finds():
    across = np.linspace(60, 250, 500)[None, :, None] * np.ones((200, 1, 1))
    tints = np.repeat([(1.0, 0.85, 0.6), (0.8, 0.9, 1.0), (0.5, 0.3, 0.2), (0.3, 0.6, 0.7)], 50, 0)
    shades = np.rint(across * tints[:, None, :]).astype(np.uint8)
    off = np.abs(back(png(Image.fromarray(shades))) - shades)
    assert off.mean() < 1.0
    assert np.percentile(off, 99) <= 4


def test_a_picture_takes_far_fewer_bytes_than_in_true_colour():
    solids = [solid(board()), solid(peg(), z=10)]
    image = paint(solids, Meshes(), view_of(solids, Meshes(), SLANTING, (800, 600)))
    true_colour = io.BytesIO()
    image.save(true_colour, format="PNG", compress_level=6)
    assert len(png(image)) < 0.6 * len(true_colour.getvalue())
