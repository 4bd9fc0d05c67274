"""Cut files of the shipped jobs, read back without the model: by ezdxf, json and csv.

Second witnesses: areas of the drawn arcs by Green's theorem and by shapely; volumes by slicing what
the files say with shapely, against the kernel.
"""

from __future__ import annotations

import csv
import json
import math
import os
import re
import subprocess
import sys
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.math import bulge_to_arc
from shapely import affinity
from shapely.geometry import Point, Polygon, box
from shapely.ops import unary_union

from jigs import publish
from jigs.model.part import Board, Does, Face, Part, Sheet, Stack
from jigs.outputs.cut_files import write_cut_files
from jigs.reading.job import read_job
from jigs.sizing import Design, design

ROOT = Path(__file__).parents[2]
JOBS = ("allotment", "skittles", "stool")
every_job = pytest.mark.parametrize("job", JOBS)
LAYERS = [
    "0 registration", "1 holes", "2 grooves and recesses", "3 inside shapes", "4 outline",
    "5 scale check do not cut",
]  # fmt: skip
SAG = 1e-6
"""mm between an arc and the chords that stand for it here."""


def write(d: Design, folder: Path) -> None:
    with publish.into(folder, publish.Stamp("test")) as out:
        write_cut_files(d, out)


@pytest.fixture(scope="module")
def cut(designs, tmp_path_factory):
    """Folder with the cut files of a job, by the job's name."""
    top = tmp_path_factory.mktemp("cut")

    @cache
    def written(job: str) -> Path:
        write(designs(job), top / job)
        return top / job / "make"

    return written


@dataclass(frozen=True)
class Shape:
    """A closed entity as drawn: points and bulges; a circle as two halves."""

    layer: str
    points: tuple[tuple[float, float, float], ...]

    @property
    def arcs(self):
        """(start, end, centre, first angle, last angle, radius, sign) of each side; ezdxf's."""
        for (x0, y0, b), (x1, y1, _) in pairwise([*self.points, self.points[0]]):
            if b == 0:
                yield (x0, y0), (x1, y1), None, 0.0, 0.0, 0.0, 0
            else:
                centre, a0, a1, r = bulge_to_arc((x0, y0), (x1, y1), b)
                a1 += 2 * math.pi * (a1 < a0)
                yield (x0, y0), (x1, y1), centre, a0, a1, r, 1 if b > 0 else -1

    @property
    def area(self) -> float:
        """Green's theorem: half of x dy - y dx round the edge."""
        parts = []
        for (x0, y0), (x1, y1), centre, a0, a1, r, sign in self.arcs:
            if sign == 0:
                parts.append((x0 * y1 - x1 * y0) / 2)
                continue
            sweep = r * r * (a1 - a0)
            sweep += centre.x * r * (math.sin(a1) - math.sin(a0))
            sweep -= centre.y * r * (math.cos(a1) - math.cos(a0))
            parts.append(sign * sweep / 2)
        return math.fsum(parts)

    @property
    def polygon(self) -> Polygon:
        points = []
        for start, _, centre, a0, a1, r, sign in self.arcs:
            points.append(start)
            if sign:
                n = max(2, math.ceil((a1 - a0) / (2 * math.acos(1 - SAG / r))))
                turns = [a0 + (a1 - a0) * i / n for i in range(1, n)]
                points += [(centre.x + r * math.cos(a), centre.y + r * math.sin(a))
                           for a in (turns if sign > 0 else reversed(turns))]  # fmt: skip
        return Polygon(points)


def shapes(path: Path) -> list[Shape]:
    found = []
    for entity in ezdxf.readfile(path).modelspace():
        if entity.dxftype() == "CIRCLE":
            x, y, _ = entity.dxf.center
            r = entity.dxf.radius
            found.append(Shape(entity.dxf.layer, ((x - r, y, 1.0), (x + r, y, 1.0))))
        elif entity.dxftype() == "LWPOLYLINE":
            found.append(Shape(entity.dxf.layer, tuple(entity.get_points("xyb"))))
    return found


def side_files(folder: Path) -> list[dict[str, Any]]:
    files = [json.loads(p.read_text(encoding="utf-8")) for p in sorted(folder.glob("*/*.json"))]
    assert len(files) > 8
    return files


def parts_of(d: Design) -> dict[tuple[str, str], Part]:
    return {
        (jig.name, part.id): part for _, jig in d.jigs() for part in jig.parts.values()
        if isinstance(part.made, Sheet | Stack | Board)
    }  # fmt: skip


def in_part(side: dict[str, Any], face: dict[str, Any], polygon: Polygon) -> Polygon:
    """From the file's coordinates to the part's own."""
    if not face["mirrored"]:
        return polygon
    return affinity.scale(polygon, 1, -1, origin=(0, side["axis_y"]))


def drawn(outline: Any) -> Polygon:
    return Shape("", outline.vertices).polygon


@every_job
def test_audit_is_clean_and_layers_are_in_working_order(job, cut):
    files = sorted(cut(job).glob("*/*.dxf"))
    assert len(files) > 12
    for path in files:
        document = ezdxf.readfile(path)
        audit = document.audit()
        assert not audit.errors, path.name
        assert not audit.fixes, path.name
        layers = [entity.dxf.layer for entity in document.modelspace()]
        assert layers == sorted(layers), path.name
        assert set(layers) <= set(LAYERS), path.name
        assert {document.layers.get(layer).color for layer in layers} == {7}


@every_job
def test_everything_is_closed_but_the_scale_check(job, cut):
    for path in sorted(cut(job).glob("*/*.dxf")):
        for entity in ezdxf.readfile(path).modelspace():
            if entity.dxf.layer == LAYERS[-1]:
                assert entity.dxftype() == "LINE"
            else:
                assert entity.dxftype() == "CIRCLE" or entity.closed, path.name


@every_job
def test_scale_check_is_100_long_and_clear_below(job, cut):
    for path in sorted(cut(job).glob("*/*.dxf")):
        line, *ticks = ezdxf.readfile(path).modelspace().query("LINE")
        start, end = line.dxf.start, line.dxf.end
        assert (end - start).magnitude == pytest.approx(100, abs=1e-8)
        assert start.y == end.y
        assert [tick.dxf.start.x for tick in ticks] == [start.x, end.x]
        lowest = min(shape.polygon.bounds[1] for shape in shapes(path))
        assert 3 < lowest - max(t.dxf.end.y for t in ticks) < 10


@every_job
def test_each_made_part_of_sheet_or_board_has_its_files(job, cut, designs):
    sides = side_files(cut(job))
    assert {(s["jig"], s["part"]) for s in sides} == parts_of(designs(job)).keys()
    named = {f"{s['jig']}/{face['file']}" for s in sides for face in s["faces"]}
    found = {p.relative_to(cut(job)).as_posix() for p in cut(job).glob("*/*.dxf")}
    assert named == found
    assert not list(cut(job).parent.glob("parts/**/*.dxf"))


@every_job
def test_steps_are_the_entities_of_the_file(job, cut):
    for side in side_files(cut(job)):
        for face in side["faces"]:
            entities = shapes(cut(job) / side["jig"] / face["file"])
            assert [e.layer for e in entities] == [s["layer"] for s in face["steps"]]
            count: dict[str, int] = {}
            for step in face["steps"]:
                count[step["layer"]] = count.get(step["layer"], 0) + 1
                assert step["number"] == count[step["layer"]]


@every_job
def test_areas_and_places_agree_with_the_model(job, cut, designs):
    """Also of parts that are turned over: mapped back, everything lies where the model has it."""
    seen = 0
    for side in side_files(cut(job)):
        part = parts_of(designs(job))[side["jig"], side["part"]]
        outlines = {c.name: c.outline for c in part.cuts} | {"outline": part.outline}
        for face in side["faces"]:
            entities = shapes(cut(job) / side["jig"] / face["file"])
            for entity, step in zip(entities, face["steps"], strict=True):
                if step["layer"] == LAYERS[0]:
                    continue
                outline = outlines[step["name"]]
                where = f"{part.id}: {step['name']}"
                assert entity.area == pytest.approx(outline.area, rel=1e-9), where
                mapped = in_part(side, face, entity.polygon)
                assert mapped.area == pytest.approx(outline.area, rel=1e-4), where
                off = mapped.symmetric_difference(drawn(outline)).area
                assert off < 1e-5 * outline.length, where
                seen += 1
    assert seen > 60


@every_job
def test_each_cut_is_made_once_from_a_face_where_it_can_be(job, cut, designs):
    for side in side_files(cut(job)):
        part = parts_of(designs(job))[side["jig"], side["part"]]
        made = [(s["name"], face["up"], s["through"]) for face in side["faces"]
                for s in face["steps"] if s["layer"] != LAYERS[0]]  # fmt: skip
        flat = [c for c in part.cuts
                if c.face in (Face.TOP, Face.BOTTOM) and c.does is not Does.PRESSED]  # fmt: skip
        assert sorted(n for n, _, _ in made) == sorted([c.name for c in flat] + ["outline"])
        assert side["faces"][-1]["steps"][-1]["name"] == "outline"
        by_name = {c.name: c for c in flat}
        for name, up, through in made:
            if not through:
                assert by_name[name].face == up, f"{part.id}: {name}"
        for c in flat:
            if c.does is Does.COUNTERBORE:
                holes = [h.name for h in flat if h.does is Does.HOLE
                         and math.dist(h.outline.centre, c.outline.centre) < 1e-6]  # fmt: skip
                ups = {up for name, up, _ in made if name in [c.name, *holes]}
                assert len(holes) == 1
                assert len(ups) == 1, f"{part.id}: {c.name}"


@every_job
def test_depths_are_as_cut(job, cut, designs):
    over = designs(job).job.model.making.over_cut
    for side in side_files(cut(job)):
        assert {"router", "bandsaw"} >= {side["made_by"].split()[0]}
        most, least = side["thickness"]["most"], side["thickness"]["least"]
        for face in side["faces"]:
            for step in face["steps"]:
                if step["layer"] == LAYERS[0]:
                    continue
                if not step["through"]:
                    assert 0 < step["depth"] < least
                elif side["made_by"] == "router":
                    assert step["depth"] == pytest.approx(most + over)
                else:
                    assert step["depth"] == pytest.approx(most)


@every_job
def test_round_holes_that_the_cutter_cannot_follow_are_drilled(job, cut):
    tools = set()
    for side in side_files(cut(job)):
        for face in side["faces"]:
            entities = shapes(cut(job) / side["jig"] / face["file"])
            for entity, step in zip(entities, face["steps"], strict=True):
                x0, _, x1, _ = entity.polygon.bounds
                is_round = len(entity.points) == 2 and entity.points[0][2] == 1
                small = is_round and x1 - x0 <= side["cutter"]["diameter"] + 1e-4
                drilled = small or step["does"] == "registration"
                assert step["tool"] == ("drill" if drilled else "cutter"), step["name"]
                tools.add(step["tool"])
    assert "cutter" in tools


@every_job
def test_dowels_stand_in_the_waste_on_the_line_that_is_kept(job, cut):
    turned = 0
    for side in side_files(cut(job)):
        if len(side["faces"]) == 1:
            assert side["registration"] is None
            continue
        turned += 1
        first, last = side["faces"]
        assert {first["up"], last["up"]} == {"top", "bottom"}
        edge = shapes(cut(job) / side["jig"] / last["file"])[-1].polygon
        for face in side["faces"]:
            holes = [s for s in shapes(cut(job) / side["jig"] / face["file"])
                     if s.layer == LAYERS[0]]  # fmt: skip
            for hole, (x, y, d) in zip(holes, side["registration"]["holes"], strict=True):
                assert hole.polygon.centroid.coords[0] == pytest.approx((x, y), abs=1e-6)
                assert y == side["registration"]["axis_y"] == side["axis_y"]
                path = side["cutter"]["diameter"]
                assert Point(x, y).distance(edge) - d / 2 - path > 1.9
    assert turned >= 5


@every_job
def test_tabs_lie_on_the_outline_where_there_is_wood(job, cut):
    with_tabs = 0
    for side in side_files(cut(job)):
        last = side["faces"][-1]
        entities = shapes(cut(job) / side["jig"] / last["file"])
        outline = entities[-1].polygon
        x0, y0, x1, y1 = outline.bounds
        small = max(x1 - x0, y1 - y0) <= 60
        if not last["tabs"]:
            words = " ".join(side["hold"])
            assert not small or side["made_by"] != "router"
            assert "screw the part down" in words or side["made_by"] != "router"
            continue
        with_tabs += 1
        assert len(last["tabs"]) >= 3
        hollow = hollows(cut(job), side)
        for tab in last["tabs"]:
            at = Point(tab["at"])
            assert outline.exterior.distance(at) < 1e-4
            reach = at.buffer(tab["width"] / 2)
            assert not any(reach.intersects(h) for h in hollow), f"{side['part']}: {tab}"
    assert with_tabs >= 5


def hollows(folder: Path, side: dict[str, Any]) -> list[Polygon]:
    """Where the last face, turned down the other way, has no wood for a tab: in its own file."""
    found = []
    last = side["faces"][-1]
    for face in side["faces"]:
        entities = shapes(folder / side["jig"] / face["file"])
        for entity, step in zip(entities, face["steps"], strict=True):
            if step["layer"] in (LAYERS[0], LAYERS[4]):
                continue
            if face is last and not step["through"]:
                continue
            own = in_part(side, face, entity.polygon)
            found.append(in_part(side, last, own))
    return found


@every_job
def test_what_the_files_say_has_the_volume_of_the_solid(job, cut, designs, scenes):
    for side in side_files(cut(job)):
        part = parts_of(designs(job))[side["jig"], side["part"]]
        kernel = scenes(job).part(side["jig"], part).Volume()
        told = flat_volume(cut(job), side, part) - edge_volume(cut(job), side, part)
        assert told == pytest.approx(kernel, rel=1e-6), part.id


def flat_cuts(
    folder: Path, side: dict[str, Any], part: Part
) -> tuple[Polygon, list[tuple[Polygon, float, float]]]:
    """Outline, and each cut in the flat faces with the heights between which it takes away."""
    whole = side["slices"] * side["thickness"]["nominal"]
    cuts, edge = [], None
    for face in side["faces"]:
        entities = shapes(folder / side["jig"] / face["file"])
        for entity, step in zip(entities, face["steps"], strict=True):
            polygon = in_part(side, face, entity.polygon)
            if step["layer"] == LAYERS[4]:
                edge = polygon
            elif step["layer"] != LAYERS[0]:
                assert side["slices"] == 1 or step["through"]
                depth = whole if step["through"] else step["depth"]
                low = whole - depth if face["up"] == "top" else 0.0
                cuts.append((polygon, low, low + depth))
    assert edge is not None
    for c in part.cuts:
        if c.does is Does.PRESSED and c.face in (Face.TOP, Face.BOTTOM):
            low = whole - (c.depth or whole) if c.face is Face.TOP else 0.0
            cuts.append((drawn(c.outline), low, low + (c.depth or whole)))
    return edge, cuts


def flat_volume(folder: Path, side: dict[str, Any], part: Part) -> float:
    """The outline less its cuts and eased edges, slab by slab; Simpson's rule, exact for planes."""
    edge, cuts = flat_cuts(folder, side, part)
    whole, eased = side["slices"] * side["thickness"]["nominal"], side["eased"]
    heights = {0.0, whole, eased, whole - eased}
    heights |= {z for _, low, high in cuts for z in (low, high)}
    edges = hand_edges(edge, part)

    def area(z: float, gone: Any) -> float:
        inset = max(0.0, eased - min(z, whole - z))
        strips = [strip(a, b, inset, edge) for a, b in edges] if inset > 0 else []
        return edge.difference(unary_union([gone, *strips])).area

    total = []
    for low, high in pairwise(sorted(z for z in heights if -1e-9 <= z <= whole + 1e-9)):
        if high - low < 1e-9:
            continue
        middle = (low + high) / 2
        gone = unary_union([p for p, a, b in cuts if a < middle < b])
        if eased and (high <= eased + 1e-9 or low >= whole - eased - 1e-9):
            mean = (area(low, gone) + 4 * area(middle, gone) + area(high, gone)) / 6
        else:
            mean = edge.difference(gone).area
        total.append(mean * (high - low))
    return math.fsum(total)


def hand_edges(edge: Polygon, part: Part) -> list[tuple[Any, Any]]:
    """Straight sides on the bounds of the outline that meet no arc: what a hand takes hold of."""
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    sides = part.outline.sides
    on_arcs = {p for s in sides if s.bulge for p in (s.start, s.end)}
    found = []
    for s in sides:
        (ax, ay), (bx, by) = s.start, s.end
        outer = (ax == bx and ax in (x0, x1)) or (ay == by and ay in (y0, y1))
        if outer and not s.bulge and not {s.start, s.end} & on_arcs:
            found.append((s.start, s.end))
    return found


def strip(a: Any, b: Any, inset: float, edge: Polygon) -> Polygon:
    """What an eased edge takes at a height where it is `inset` deep."""
    (ax, ay), (bx, by) = a, b
    length = math.dist(a, b)
    nx, ny = -(by - ay) / length * inset, (bx - ax) / length * inset
    found = Polygon([a, b, (bx + nx, by + ny), (ax + nx, ay + ny)])
    assert edge.intersection(found).area == pytest.approx(found.area, rel=1e-6)
    return found


def edge_volume(folder: Path, side: dict[str, Any], part: Part) -> float:
    """What is drilled and pressed into the edges; nothing of it is cut from elsewhere as well."""
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    edge, cuts = flat_cuts(folder, side, part)
    full = edge.difference(unary_union([p for p, _, _ in cuts]))
    total = 0.0
    takes: dict[str, list[Polygon]] = {"front": [], "left": []}
    for faces, low, high in ((("front", "back"), y0, y1), (("left", "right"), x0, x1)):
        bored = [(h["face"], Point(h["at"]).buffer(h["diameter"] / 2, quad_segs=4000), h["depth"])
                 for h in side["drill"] if h["face"] in faces]  # fmt: skip
        bored += [(c.face.value, drawn(c.outline), c.depth) for c in part.cuts
                  if c.does is Does.PRESSED and c.face.value in faces]  # fmt: skip
        runs = [(section, low, low + depth) if face == faces[0] else (section, high - depth, high)
                for face, section, depth in bored]  # fmt: skip
        for section, a, b in runs:
            u0, _, u1, _ = section.bounds
            plan = box(u0, a, u1, b) if faces[0] == "front" else box(a, u0, b, u1)
            assert full.intersection(plan).area == pytest.approx(plan.area, rel=1e-9), part.id
            takes[faces[0]].append(plan)
        ways = sorted({w for _, a, b in runs for w in (a, b)})
        for a, b in pairwise(ways):
            here = [s for s, first, last in runs if first < (a + b) / 2 < last]
            total += unary_union(here).area * (b - a)
    crossing = [p.intersection(q).area for p in takes["front"] for q in takes["left"]]
    assert not any(crossing), part.id
    return total


@every_job
def test_drill_list_names_every_hole_in_an_edge(job, cut, designs):
    with (cut(job) / "drill list.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    bits = []
    for row in rows:
        for column in ("diameter (mm)", "counterbore first: flat-bottomed bit (mm)"):
            if row[column]:
                asked = re.sub(r"bit \d+ \(([\d.]+) or larger\)", r"\1", row[column])
                bits.append((row["jig"], row["part"], f"{float(asked):.2f}"))
    expected: list[tuple[str, str, str]] = []
    for (jig, name), part in parts_of(designs(job)).items():
        flat = (Face.TOP, Face.BOTTOM)
        bored = [c for c in part.cuts if c.face not in flat and c.does is not Does.PRESSED]
        expected += [(jig, name, f"{2 * c.outline.sides[0].radius:.2f}") for c in bored]
    assert sorted(bits) == sorted(expected)
    assert len(rows) >= 10
    assert all(row["square and stop"] and row["first measure from"] for row in rows)


def test_bytes_do_not_depend_on_the_process(cut, tmp_path):
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    subprocess.run(
        [sys.executable, __file__, "allotment", str(tmp_path / "again")],
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)}, check=True,
    )  # fmt: skip
    first, again = cut("allotment"), tmp_path / "again" / "make"
    names = sorted(p.relative_to(first).as_posix() for p in first.rglob("*.*"))
    assert names == sorted(p.relative_to(again).as_posix() for p in again.rglob("*.*"))
    assert len(names) > 30
    for name in names:
        assert (first / name).read_bytes() == (again / name).read_bytes(), name


if __name__ == "__main__":
    write(design(read_job(ROOT / f"configs/{sys.argv[1]}.yaml")), Path(sys.argv[2]))
