"""Parts laid out on sheets: distances by shapely, counts by hand, and a second packer.

Polygons are made here from the parts' own outlines, arcs sampled, and moved by shapely.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import pytest
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box

from jigs.making.layout import Layout, Piece, lay_out
from jigs.making.packing import Box, fitting_ways, pack
from jigs.making.work import works_of
from jigs.model.outline import Outline
from jigs.model.part import Part, Sheet, Stack
from jigs.model.state import SHOWN
from jigs.reading.job import read_job
from jigs.shop.making import Making
from jigs.sizing import design
from jigs.units import Limits

ROOT = Path(__file__).parent.parent.parent
JOBS = ("allotment", "skittles", "stool")
SAMPLED = 0.02
"""mm; arcs are sampled every 2 degrees: the sagitta of 1 degree at 80 mm is 0.012 mm."""


def polygon_of(outline: Outline) -> Polygon:
    """A polygon with every arc sampled; centre and radius from chord and sagitta."""
    points = []
    for (x0, y0, bulge), (x1, y1, _) in zip(
        outline.vertices, [*outline.vertices[1:], outline.vertices[0]], strict=True
    ):
        points.append((x0, y0))
        if bulge:
            swept = 4 * math.atan(bulge)
            n = max(2, math.ceil(abs(math.degrees(swept)) / 2))
            cx = (x0 + x1) / 2 - (y1 - y0) / 2 / math.tan(swept / 2)
            cy = (y0 + y1) / 2 + (x1 - x0) / 2 / math.tan(swept / 2)
            points += [
                affinity.rotate(Point(x0, y0), swept * i / n, (cx, cy), use_radians=True).coords[0]
                for i in range(1, n)
            ]
    return Polygon(points)


def placed_polygons(layout: Layout, number: int) -> list[tuple[str, Polygon]]:
    """Where the parts of one sheet are cut: the part's own outline, moved by shapely."""
    found = []
    for placed in layout.sheets[number - 1].placements:
        work = layout.piece(placed).work
        flat = polygon_of(work.part.outline)
        if work.faces[0].up.value == "bottom":
            flat = affinity.scale(flat, 1, -1, origin=(0, work.axis_y))
        if placed.turned:
            flat = affinity.rotate(flat, 90, origin=(0, 0))
        name = f"{placed.jig} {placed.part} {placed.piece}"
        found.append((name, affinity.translate(flat, placed.x, placed.y)))
    return found


@pytest.fixture(params=JOBS)
def job(request, designs):
    return designs(request.param)


def changed(name: str, tmp_path: Path, *changes: tuple[str, str]):
    """A shipped job with some of its text changed, sized."""
    text = (ROOT / f"configs/{name}.yaml").read_text(encoding="utf-8")
    for old, new in (("machine: machines/", f"machine: {ROOT}/configs/machines/"), *changes):
        assert re.search(old, text), old
        text = re.sub(old, new, text)
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    return design(read_job(path))


def test_everything_from_sheet_is_placed_once(job):
    wanted: Counter[str] = Counter()
    for _, jig in job.jigs():
        placed = Counter(p.part for p in jig.poses(SHOWN))
        for part in jig.parts.values():
            if isinstance(part.made, Sheet | Stack):
                slices = part.made.slices if isinstance(part.made, Stack) else 1
                wanted[jig.name] += (placed[part.id] or part.quantity) * slices
    layouts = lay_out(job)
    placements = [p for layout in layouts for sheet in layout.sheets for p in sheet.placements]
    assert Counter(p.jig for p in placements) == wanted
    assert len({(p.jig, p.part, p.piece) for p in placements}) == len(placements)
    assert not any(layout.unplaced for layout in layouts)


def test_pieces_of_the_allotment_by_hand(allotment):
    """13 slices; 2 bases, 2 faces, 4 ribs, 2 fences, stop block; board, shelf, stop block."""
    (layout,) = lay_out(allotment)
    assert len(layout.pieces) == 13 + 11 + 3
    # 600 and 510 of travel, less than 1220 and 610: two blanks, one sheet.
    assert len(layout.sheets) == layout.blanks == 2
    assert layout.whole == (1220.0, 610.0)
    assert "sawn into blanks of" in layout.sawn_first


def test_machine_reaches_every_path_and_blanks_come_out_of_the_sheet(job):
    travel = job.job.machine.travel
    most = sorted((travel.x.most - travel.x.least, travel.y.most - travel.y.least))
    for layout in lay_out(job):
        across, along = sorted((layout.length, layout.width)), sorted(layout.whole)
        assert all(a <= b for a, b in zip(across, along, strict=True))
        assert layout.blanks * layout.length * layout.width <= layout.whole[0] * layout.whole[1]
        for sheet in layout.sheets:
            # The middle of the cutter runs half its diameter outside.
            paths = [p.buffer(layout.cutter / 2).bounds
                     for _, p in placed_polygons(layout, sheet.number)]  # fmt: skip
            spans = sorted((max(p[2] for p in paths) - min(p[0] for p in paths),
                            max(p[3] for p in paths) - min(p[1] for p in paths)))  # fmt: skip
            assert spans[0] <= most[0] + SAMPLED
            assert spans[1] <= most[1] + SAMPLED


def test_waste_of_what_is_turned_over_takes_screws(job):
    for layout in lay_out(job):
        for sheet in layout.sheets:
            own = dict(placed_polygons(layout, sheet.number))
            for placed in sheet.placements:
                if placed.turned_over:
                    part = own[f"{placed.jig} {placed.part} {placed.piece}"]
                    edge = box(*layout.blank(placed)).exterior
                    assert edge.distance(part) >= 28 - SAMPLED


def test_wood_between_parts_and_to_the_edges(job):
    """Between two paths of the cutter the spacing stays, and the margin at the sheet's edges."""
    making = job.job.model.making
    for layout in lay_out(job):
        path = layout.cutter
        for sheet in layout.sheets:
            swept = [(name, p.buffer(path)) for name, p in placed_polygons(layout, sheet.number)]
            for (one, a), (two, b) in combinations(swept, 2):
                assert a.distance(b) >= making.spacing - SAMPLED, (one, two)
            edge = box(0, 0, layout.length, layout.width).exterior
            for name, p in swept:
                assert edge.distance(p) >= making.margin - SAMPLED, name
                assert box(0, 0, layout.length, layout.width).contains(p), name


def test_screws_stand_clear_of_every_path_and_in_all_corners(job):
    """12 mm from the cutter's path, 15 mm from the corner's two edges."""
    for layout in lay_out(job):
        for sheet in layout.sheets:
            swept = [p.buffer(layout.cutter) for _, p in placed_polygons(layout, sheet.number)]
            dowels = [
                affinity.translate(
                    affinity.rotate(Point(x, y), 90 if placed.turned else 0, origin=(0, 0)),
                    placed.x, placed.y,
                ).buffer(d / 2)
                for placed in sheet.placements
                for x, y, d in layout.piece(placed).work.registration
            ]  # fmt: skip
            for at in sheet.screws:
                for p in swept + dowels:
                    assert Point(at).distance(p) >= 12 - SAMPLED, at
            corners = {
                (x, y) for x in (15.0, layout.length - 15) for y in (15.0, layout.width - 15)
            }
            assert corners <= set(sheet.screws)


def test_dowels_of_what_is_turned_over_lie_in_its_own_waste(job):
    for layout in lay_out(job):
        for sheet in layout.sheets:
            parts = placed_polygons(layout, sheet.number)
            blanks = []
            for placed in sheet.placements:
                if not placed.turned_over:
                    continue
                blank = box(*layout.blank(placed))
                blanks.append(blank)
                for x, y, d in layout.piece(placed).work.registration:
                    hole = Point(placed.point((x, y))).buffer(d / 2)
                    assert blank.contains(hole)
                    assert all(not hole.intersects(p) for _, p in parts)
                own = f"{placed.jig} {placed.part} {placed.piece}"
                for name, p in parts:
                    assert blank.contains(p) if name == own else not blank.intersects(p)
            for a, b in combinations(blanks, 2):
                assert a.intersection(b).area < 1e-3


def test_rest_is_free_and_yield_is_right(job):
    for layout in lay_out(job):
        for sheet in layout.sheets:
            parts = [p for _, p in placed_polygons(layout, sheet.number)]
            share = sum(p.area for p in parts) / layout.length / layout.width
            assert sheet.share_used == pytest.approx(share, rel=1e-3)
            if sheet.rest:
                assert not any(box(*sheet.rest).intersects(p.buffer(layout.cutter - SAMPLED))
                               for p in parts)  # fmt: skip


def shelves(sizes: list[tuple[float, float]], room: tuple[float, float], gap: float) -> int:
    """Sheets that first-fit decreasing height takes, longer sides lying.

    Method: Coffman, Garey, Johnson, Tarjan, SIAM J. Comput. 9 (1980), from memory.
    """
    sheets: list[list[list[float]]] = []
    room = (max(room), min(room))
    lying = sorted(((max(s), min(s)) for s in sizes), key=lambda s: -s[1])
    for a, b in lying:
        for rows in sheets:
            row = next((r for r in rows if r[0] + a <= room[0] and b <= r[1]), None)
            if row is not None:
                row[0] += a + gap
                break
            if sum(r[1] + gap for r in rows) + b <= room[1]:
                rows.append([a + gap, b])
                break
        else:
            sheets.append([[a + gap, b]])
    return len(sheets)


def test_no_more_sheets_than_a_second_packer_and_no_fewer_than_the_area(job):
    for layout in lay_out(job):
        sizes = [(p.box.along, p.box.across) for p in layout.pieces]
        room = (layout.length - 2 * layout.edge[0], layout.width - 2 * layout.edge[1])
        least = sum((a + layout.gap) * (b + layout.gap) for a, b in sizes) / (
            (room[0] + layout.gap) * (room[1] + layout.gap)
        )
        assert math.ceil(least) <= len(layout.sheets) <= shelves(sizes, room, layout.gap)


@pytest.mark.parametrize("seed", range(12))
def test_many_boxes_against_shelves(seed):
    """Sizes from a small generator of our own, so that every machine tries the same."""
    values = [(seed * 7919 + i * 104729) % 997 for i in range(60)]
    sizes = [(30 + values[2 * i] % 260, 25 + values[2 * i + 1] % 200) for i in range(30)]
    room, gap = (560.0, 380.0), 14.0
    rooms = pack([Box(a, b) for a, b in sizes], room, gap)
    assert len(rooms) <= shelves([(float(a), float(b)) for a, b in sizes], room, gap)
    assert sorted(p.index for packed in rooms for p in packed) == list(range(30))
    for packed in rooms:
        rects = []
        for p in packed:
            a, b = sizes[p.index][::-1] if p.turned else sizes[p.index]
            rects.append(box(p.x, p.y, p.x + a, p.y + b))
            assert rects[-1].bounds[2] <= room[0] + 1e-6
            assert rects[-1].bounds[3] <= room[1] + 1e-6
        assert all(a.distance(b) >= gap - 1e-6 for a, b in combinations(rects, 2))


@dataclass(frozen=True)
class Veneered(Sheet):
    """Sheet whose face has a grain."""

    grain: str = "x"


@pytest.mark.parametrize(("grain", "turned"), [("x", False), ("y", True)])
def test_grain_lies_along_the_sheet(grain, turned):
    part = Part("door", "door", Veneered("oak veneered", "ply", grain),
                Outline.rectangle(0, 0, 90, 200), 18.0)  # fmt: skip
    (work,) = works_of("cabinet", part, 2, Making(), None, Limits(18, 18, 18))
    bound = [Piece(work, i).box for i in (1, 2)]
    free = [Box(a, a / 2) for a in (300.0, 200.0, 120.0, 90.0)]
    rooms = pack([*bound, *free], (600.0, 300.0), 20.0)
    found = {p.index: p.turned for packed in rooms for p in packed}
    assert len(found) == 6
    assert found[0] is turned
    assert found[1] is turned


def test_a_long_part_across_the_grain_fits_no_narrow_sheet():
    assert fitting_ways(Box(90, 400, (False,)), (600, 300), 20) == ()
    assert fitting_ways(Box(90, 400), (600, 300), 20) == (True,)


def test_part_too_large_is_told_with_the_sheet_that_would_do(tmp_path):
    small = changed("allotment", tmp_path, (r"size: \[1220, 610\]", "size: [350, 300]"))
    (layout,) = lay_out(small)
    told = {u.part: u for u in layout.unplaced}
    # 309 mm high, 218 wide; waste 28, of which 4 + 6 lie in the gap: 345 and 254. The strips at the
    # edges are 27 + 6 and 10 + 6 on each side: 345 + 66, 254 + 32, and up to the next mm.
    assert set(told) == {"back_board"}
    board = told["back_board"]
    assert board.has == (350.0, 300.0)
    assert board.needs == (412.0, 287.0)
    would = "size: [{:g}, {:g}]".format(*board.needs)
    again = changed("allotment", tmp_path, (r"size: \[1220, 610\]", would))
    assert "back_board" not in {u.part for u in lay_out(again)[0].unplaced}


def test_sheet_without_a_size_is_laid_out_on_an_assumed_one(tmp_path):
    (layout,) = lay_out(changed("allotment", tmp_path, (r", size: \[1220, 610\]", "")))
    assert layout.assumed
    assert layout.whole == (1220.0, 610.0)
    assert len(layout.sheets) == 2


def test_more_spacing_takes_more_room(tmp_path):
    """Spacing and margin come from the job: the same parts, 40 mm apart."""
    wide = changed("allotment", tmp_path,
                   (r"\ncuts:", "\nmaking: {spacing: 40, margin: 25}\n\ncuts:"))  # fmt: skip
    (layout,) = lay_out(wide)
    for sheet in layout.sheets:
        parts = [p for _, p in placed_polygons(layout, sheet.number)]
        for a, b in combinations(parts, 2):
            assert a.distance(b) >= 40 + 2 * layout.cutter - SAMPLED
        for p in parts:
            assert LineString([(0, 0), (layout.length, 0)]).distance(p) >= 25 + layout.cutter - 0.02
