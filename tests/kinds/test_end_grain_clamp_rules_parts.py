"""How large the clamp's parts are and what is cut in them, by hand, for posts, stands and legs.

Posts: sheet 17.6 ± 0.2, dados 4.5 deep, faces 134.5 high over the table and 0.5 above it, ribs 70
deep; cutter of 6. Stands: sheet 14.8, dados 3.5, ribs 45 deep and 74.5 high, on a board.
Sizes of bought parts: DIN 603 (M6: neck 6 by 4), ISO 273; wood screws of 4 and 3.5 have pilots of
2.5.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from jigs.errors import DesignError
from jigs.kinds.end_grain_clamp import fence_parts, parts, ribbing
from jigs.model.number import Book
from jigs.model.part import Cut, Face, Part
from jigs.reading.job import read_job
from jigs.sizing import design

ROOT = Path(__file__).parents[2]
FILES = {"posts": "configs/allotment.yaml", "stands": "configs/skittles.yaml",
         "legs": "configs/stool.yaml", "kings": "tests/shops/clamp_very_small.yaml",
         "feet": "tests/shops/clamp_on_a_riser.yaml",
         "tallies": "tests/shops/clamp_on_a_plate.yaml"}  # fmt: skip
IN_X = {"backer_in_x": 12.0, "backer_in_y": 0.0}


@cache
def job(name: str) -> Any:
    return read_job(ROOT / FILES[name])


def numbers(name: str = "posts", **changes: Any) -> Book:
    d = design(job(name), {f"clamp.{number}": value for number, value in changes.items()})
    return next(jig.n for _, jig in d.jigs() if jig.kind.name == "end_grain_clamp")


@cache
def all_of(name: str) -> dict[str, Part]:
    return {part.id: part for part in parts.all_parts(numbers(name))}


def cuts(part: Part) -> dict[str, Cut]:
    return {cut.name: cut for cut in part.cuts}


# id: bounds of its outline, thickness
POSTS = {
    # 161 and 171 from the face's inner side, less the 13.1 that go into it
    "fixed_base": ((0, -120, 147.9, 120), 17.6),
    "moving_base": ((0, -120, 157.9, 120), 17.6),
    "fixed_face": ((-120, 0, 120, 134), 17.6),
    "moving_face": ((-120, 0, 120, 134), 17.6),
    # tongue 4.5 and 70; from the dado's floor, 13.1, to 124.5
    "rib": ((0, 0, 74.5, 111.4), 17.6),
    # from 2 over the table to 114.5
    "datum_fence": ((0, 0, 46.95, 112.5), 17.6),
    "free_fence": ((-46.95, 0, 0, 112.5), 17.6),
    # 2 narrower than the thinnest post, 1 off the face, 1 lower than the shortest post
    "backer": ((1, 0, 36.5, 138.5), 12),
    # groove 5.9 and 6 into the slot, 10 wide; between washers of 24 at 71, with 12 to spare
    "key": ((0, -5, 11.9, 5), 142 - 24 - 24),
    "stop_block": ((-20, -20, 20, 20), 17.6),
}


@pytest.mark.parametrize("part", POSTS)
def test_a_part_s_size_by_hand(part):
    bounds, thick = POSTS[part]
    made = all_of("posts")[part]
    assert made.outline is not None
    assert made.outline.bounds == pytest.approx(bounds)
    assert made.thickness == pytest.approx(thick)


def test_a_base_s_outer_corners_are_round():
    """10 mm: each takes (1 - pi / 4) 10^2 off the rectangle."""
    outline = all_of("posts")["fixed_base"].outline
    assert outline.area == pytest.approx(147.9 * 240 - 2 * (1 - math.pi / 4) * 100)


def test_a_rib_is_a_rectangle_under_a_slope():
    """Toe 15 and the dado; from there up to 25, or half its foot where that is less."""
    wide = all_of("posts")["rib"].outline
    assert wide.area == pytest.approx(74.5 * 19.5 + (74.5 + 25) / 2 * (111.4 - 19.5))
    # kings: dado 3, rib 30; 64.5 - (11.8 - 3)
    small = all_of("kings")["rib"].outline
    assert small.area == pytest.approx(33 * 18 + (33 + 16.5) / 2 * (55.7 - 18))


@pytest.mark.parametrize(
    ("height", "deep"),
    [
        # toe up to 13.1 + 19.5 = 32.6; top at 124.5; straight between
        (0, 74.5),
        (13.1, 74.5),
        (32.6, 74.5),
        (32.6 + 91.9 / 4, 74.5 - 49.5 / 4),
        (124.5, 25),
        (200, 25),
    ],
)
def test_a_rib_s_depth_at_a_height(height, deep):
    assert ribbing.rib_depth_at(numbers(), height) == pytest.approx(deep)


def test_a_small_rib_s_depth_at_its_top():
    assert ribbing.rib_depth_at(numbers("kings"), 64.5) == pytest.approx(16.5)


@pytest.mark.parametrize(
    ("name", "changes", "base", "face"),
    [
        # 74.5 long: 0.35 and 0.8 of it; 111.4 high: 0.3 and 0.8 of it
        ("posts", {}, (26.075, 59.6), (33.42, 89.12)),
        # 63.2 high: the lower one 8 over screws of 35 that come 23.7 up; 50.56 is not 20 above it
        ("stands", {}, (16.975, 38.8), (31.7,)),
        # 46.9 high: 8 over 6.9; the upper one 10 from the end
        ("posts", {"rib_height": 60.0, "screw_length": 20.0}, (26.075, 59.6), (14.9, 36.9)),
        # 20 apart exactly, and a hair less
        ("posts", {"rib_height": 13.1 + 87, "screw_length": 54.7}, (26.075, 59.6), (49.6, 69.6)),
        ("posts", {"rib_height": 13.1 + 87, "screw_length": 54.8}, (26.075, 59.6), (49.7,)),
    ],
)
def test_places_of_the_screws(name, changes, base, face):
    found = ribbing.rib_screws(numbers(name, **changes))
    assert [at for _, part, at in found if part == "base"] == pytest.approx(base)
    assert [at for _, part, at in found if part == "face"] == pytest.approx(face)


def test_the_pockets_of_a_jaw():
    """Dados 17.9 wide about 11.9 out, rebate 17.4 high over the face's foot; cutter's radius 3.

    They run on by 3 where a square part ends in the wood, and by 3 and 1 over an open edge; the
    rebate by twice that.
    """
    base, face = cuts(all_of("posts")["fixed_base"]), cuts(all_of("posts")["fixed_face"])
    assert base["rib dado 2"].outline.bounds == pytest.approx((-4, 2.95, 77.5, 20.85))
    assert face["rib dado 2"].outline.bounds == pytest.approx((2.95, 17.4 - 4, 20.85, 124 + 3))
    assert face["rebate for the base"].outline.bounds == pytest.approx((-127, -7, 127, 17.4))
    assert face["chip rebate"].outline.bounds == pytest.approx((-127, -7, 127, 3))
    assert face["chip rebate"].depth == 2.9
    assert {c.depth for n, c in base.items() if n.startswith("rib dado")} == {4.5}
    assert face["rib dado 1"].depth == face["rebate for the base"].depth == 4.5
    assert face["rib dado 1"].face is Face.BOTTOM
    assert face["chip rebate"].face is Face.TOP


def test_holes_for_the_fences_bolts():
    """19 and a backer of 12, or 19, and 23.5 from the middle; the face begins 0.5 up."""
    face = cuts(all_of("posts")["fixed_face"])
    for name, y in (("datum", 54.5), ("free", -42.5)):
        for i, z in ((1, 31), (2, 99.5)):
            hole = face[f"{name} fence hole {i}"].outline
            assert hole.centre == pytest.approx((y, z - 0.5))
            assert hole.bounds[2] - hole.bounds[0] == pytest.approx(6.6)


def test_holes_of_the_bases():
    """M8: 9 (ISO 273 medium); the moving one's are 16 long, their middle 131.75 - 13.1 out."""
    fixed, moving = (cuts(all_of("posts")[f"{w}_base"]) for w in ("fixed", "moving"))
    for side, y in (("left", -71), ("right", 71)):
        x0, y0, x1, y1 = fixed[f"hold-down {side}"].outline.bounds
        assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((116.15, y))
        assert (x1 - x0, y1 - y0) == pytest.approx((9, 9))
        x0, y0, x1, y1 = moving[f"hold-down {side}"].outline.bounds
        assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((118.65, y))
        assert (x1 - x0, y1 - y0) == pytest.approx((16, 9))


@pytest.mark.parametrize(
    ("name", "bounds"),
    [
        # at the hold-downs, 129.25 - 13.1, between them; the key 94 long and 3 for the cutter
        ("posts", (116.15 - 5, -50, 116.15 + 5, 50)),
        # along the clamp: behind the hold-down on the free side, half way to the face
        ("legs", None),
    ],
)
def test_the_key_s_groove(name, bounds):
    n = numbers(name)
    groove = cuts(all_of(name)["fixed_base"])["key groove"]
    if bounds is None:
        # 108 from the face, sheet 17.856; washer 18.644: 108 - 17.856 - 18.644 - 24 = 47.5 long
        middle, long = (17.85620 + 108) / 2 - (17.85620 - 4.5), 47.50020
        wide, cutter = 0.3 * 25.4 - 0.2, 25.4 / 8
        bounds = (middle - long / 2 - cutter, -76.2 - wide / 2,
                  middle + long / 2 + cutter, -76.2 + wide / 2)  # fmt: skip
    assert groove.outline.bounds == pytest.approx(bounds, abs=1e-4)
    assert groove.depth == n.key_groove
    assert parts.key_length(numbers("posts", hold_washer=110.0)) == 20  # a short one will do


def test_the_key_s_groove_has_corners_that_its_cutter_leaves():
    """Radius 3; a slot of 7.42 is cut with less than 3.175 at its ends, nearly half its width."""
    for name, wide, long, r in (("posts", 10, 100, 3), ("legs", 7.42, 53.8502, 3.175)):
        outline = cuts(all_of(name)["fixed_base"])["key groove"].outline
        assert outline.area == pytest.approx(wide * long - (4 - math.pi) * r * r, rel=1e-4)
    narrow = numbers("legs", key_width=4.0)
    outline = cuts(parts.base(narrow, fixed=True))["key groove"].outline
    assert outline.area == pytest.approx(4 * 53.8502 - (4 - math.pi) * 1.96**2, rel=1e-4)


def test_dowels_stand_near_the_base_s_far_corners():
    """8 mm, 14 from either edge of a base that ends at 121 and is 196 wide; 12 into the board."""
    n = numbers("stands")
    assert parts.dowel_places(n) == [(107, -84), (107, 84)]
    made = cuts(parts.base(n, fixed=True))
    for i, y in ((1, -84), (2, 84)):
        assert made[f"dowel hole {i}"].outline.centre == pytest.approx((107 - 11.3, y))
    assert made["dowel hole 1"].outline.bounds[2] - made["dowel hole 1"].outline.bounds[0] == 8
    assert dict(all_of("stands")["dowel"].made.dims) == {"diameter": 8, "length": 14.8 + 12}


def test_the_free_fence_slides_its_whole_travel():
    """Necks of 6 in slots of 6.4: the straight part takes 7 of travel and the neck, and no less."""
    made = cuts(all_of("posts")["free_fence"])
    for i, z in ((1, 29), (2, 97.5)):
        slot, sunk = made[f"slot {i}"].outline, made[f"sunk slot {i}"].outline
        assert slot.centre == sunk.centre == pytest.approx((-23.5, z))
        x0, y0, x1, y1 = slot.bounds
        assert y1 - y0 == pytest.approx(6.4)
        assert (x1 - x0) - 6.4 == pytest.approx(7 + 6.4)
        x0, y0, x1, y1 = sunk.bounds
        assert y1 - y0 == 17.5
        assert (x1 - x0) - 17.5 == pytest.approx(7 + 6.4)
        assert made[f"sunk slot {i}"].depth == 4.5


def test_the_datum_fence_is_held_by_its_necks():
    made = cuts(all_of("posts")["datum_fence"])
    for i, z in ((1, 29), (2, 97.5)):
        hole, recess, neck = (made[f"{what} {i}"] for what in ("hole", "head recess", "neck"))
        assert hole.outline.centre == recess.outline.centre == pytest.approx((23.5, z))
        assert neck.outline.bounds == pytest.approx((20.5, z - 3, 26.5, z + 3))
        assert (recess.depth, neck.depth) == (4.5, 8.5)


# The backer


@pytest.mark.parametrize(
    ("name", "changes", "heights"),
    [
        # fence's bolts at 31 and 99.5: thirds between them
        ("posts", {}, (31 + 68.5 / 3, 31 + 2 * 68.5 / 3)),
        # too near together for two, three times 8.75 + 4 apart: one midway
        ("posts", {"fence_bolts_z": (31.0, 69.2)}, (50.1,)),
        ("posts", {"fence_bolts_z": (31.0, 69.25)}, (31 + 38.25 / 3, 31 + 2 * 38.25 / 3)),
        # on the moving face: 15 under the cut's floor, 119.5, and 0.35 up to there
        ("posts", IN_X, (0.35 * 104.5, 104.5)),
        ("posts", {**IN_X, "jaw_top": 100.0}, (0.35 * 85, 85)),
        # a rib in the middle: 8.75 below each of its screws, heads of 8 and 3.5 and 3 between
        ("posts", {**IN_X, "ribs": 3}, (0.35 * 104.5, 13.1 + 89.12 - 8.75)),
        ("posts", {**IN_X, "ribs": 1, "screw_length": 36.0}, (0.35 * 104.5, 13.1 + 89.12 - 8.75)),
        ("posts", {**IN_X, "ribs": 3, "rib_height": 110.0}, (13.1 + 29.9 - 8.75, 104.5)),
        ("posts", {**IN_X, "rib_at": (-8.75, 8.75)}, (0.35 * 104.5, 104.5)),
        ("posts", {**IN_X, "rib_at": (-8.7, 8.7)}, (0.35 * 104.5, 13.1 + 89.12 - 8.75)),
    ],
)
def test_where_a_backer_is_screwed_on(name, changes, heights):
    assert fence_parts.backer_screws_z(numbers(name, **changes)) == pytest.approx(heights)


@pytest.mark.parametrize(
    ("changes", "length"),
    [
        # 12 of backer and 25 of a fence's edge: 37, sold 35; a backer of 15 takes 40
        ({}, 35),
        ({"backer": 15.0, "backer_in_y": 15.0}, 40),
        # into a face: 17.4 - 4.5 - 1 = 11.9 of it; sold 20
        (IN_X, 20),
        ({**IN_X, "backer": 13.1}, 25),
        ({**IN_X, "backer": 13.0}, 20),
    ],
)
def test_a_backer_s_screws(changes, length):
    n = numbers(**changes)
    assert fence_parts.backer_screw_length(n) == length
    assert fence_parts.backer_bite(n) == pytest.approx(length - n.backer + 1)


def test_a_screw_that_would_come_through_a_face_is_refused_with_what_would_do():
    """3.9 and 11.9 are 15.8; the shortest sold is 16."""
    with pytest.raises(DesignError, match=r"at most 15.8 mm") as refused:
        fence_parts.backer_screw_length(numbers(**{**IN_X, "backer": 3.9}))
    assert "0.2 mm thicker" in refused.value.remedy
    with pytest.raises(DesignError) as refused:  # half a tenth short: told as a tenth
        fence_parts.backer_screw_length(numbers(**{**IN_X, "backer": 4.05}))
    assert "0.1 mm thicker" in refused.value.remedy
    assert fence_parts.backer_screw_length(numbers(**{**IN_X, "backer": 4.1})) == 16


def test_a_backer_on_the_moving_face_stands_in_its_middle():
    n = numbers(**IN_X)
    backer = next(p for p in fence_parts.backer_parts(n) if p.id == "backer")
    assert backer.outline.bounds == pytest.approx((-17.75, 0, 17.75, 138.5))
    assert [c.outline.centre[0] for c in backer.cuts] == [0, 0, 0, 0]
    lifted = numbers("feet")  # a riser of 35.2; nothing under the fences
    backer = next(p for p in fence_parts.backer_parts(lifted) if p.id == "backer")
    assert backer.outline.bounds == pytest.approx((1, 0, 1 + 25.7, 114.9 - 1))
    assert not fence_parts.backer_parts(numbers("stands"))


@pytest.mark.parametrize(
    ("way", "bounds", "heights"),
    [
        # up to 1 under the shortest, 131.3; 2 narrower than 35.7; a third between bolts at 31, 111
        (
            {"backer_in_x": 0.0, "backer_in_y": 12.0},
            (1, 0, 34.7, 118.5),
            (31 + 80 / 3, 111 - 80 / 3),
        ),
        # 0.35 of 11.8 to 111, 46.5, comes on the rib's lower screw, 30.9 over 13.1: 8.75 below it
        ({"backer_in_x": 12.0}, (-6.35, 0, 6.35, 118.5), (0.3 * 102.9 + 13.1 - 8.75, 111)),
    ],
)
def test_a_backer_stands_on_the_plate_under_the_fences(way, bounds, heights):
    """A plate of 11.8; jaws of 126, one rib."""
    n = numbers("tallies", backer=12.0, **way)
    assert fence_parts.backer_screws_z(n) == pytest.approx(heights)
    backer = next(p for p in fence_parts.backer_parts(n) if p.id == "backer")
    assert backer.outline.bounds == pytest.approx(bounds)
    holes = sorted({round(cut.outline.centre[1], 6) for cut in backer.cuts})
    assert holes == pytest.approx([z - 11.8 for z in heights])


def test_only_the_backer_is_meant_to_be_cut_into():
    assert [part.id for part in all_of("posts").values() if part.sacrificial] == ["backer"]


def test_a_fence_of_two_layers_is_a_stack():
    two = numbers(fence_layers=2)
    assert fence_parts.free_fence(two).thickness == 35.2
    assert fence_parts.free_fence(two).made.slices == 2
    assert not hasattr(fence_parts.free_fence(numbers()).made, "slices")
