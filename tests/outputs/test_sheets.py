"""Sheets and fit coupons as files: read back by ezdxf, places by shapely, pictures as XML."""

from __future__ import annotations

import hashlib
import json
import math
import os
import re
import subprocess
import sys
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from ezdxf import path as dxf_path
from shapely import affinity
from shapely.geometry import Polygon, box

from jigs.outputs.lists import write_lists
from jigs.outputs.sheets import write_coupons, write_sheets
from jigs.publish import Stamp, into
from jigs.reading.job import read_job
from jigs.sizing import design

ROOT = Path(__file__).parent.parent.parent
JOBS = ("allotment", "skittles", "stool")
WORKING = ["0 registration", "1 holes", "2 grooves and recesses", "3 inside shapes", "4 outline"]
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def folder(designs, tmp_path_factory):
    """Every shipped job's sheets, coupons and lists."""
    top = tmp_path_factory.mktemp("sheets")
    for name in JOBS:
        with into(top / name, Stamp("test")) as out:
            write_sheets(designs(name), out)
            write_coupons(designs(name), out)
            write_lists(designs(name), out)
    return top


def sheets(folder: Path, name: str) -> list[Path]:
    return sorted((folder / name / "make/sheets").glob("*.dxf"))


def side(path: Path) -> dict:
    return json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))


def shapes(path: Path, layer: str) -> list[Polygon]:
    """Closed shapes of a layer in the file's order, arcs flattened by ezdxf to 0.01 mm."""
    space = ezdxf.readfile(path).modelspace()
    found = []
    for entity in space.query(f'*[layer=="{layer}"]'):
        if entity.dxftype() != "LINE":
            found.append(Polygon([(p.x, p.y) for p in dxf_path.make_path(entity).flattening(0.01)]))
    return found


@pytest.mark.parametrize("name", JOBS)
def test_files_audit_clean_and_hold_closed_shapes(folder, name):
    paths = [*sheets(folder, name), *(folder / name / "make").glob("fit coupon *.dxf")]
    assert len(paths) >= 2
    for path in paths:
        drawing = ezdxf.readfile(path)
        audit = drawing.audit()
        assert not audit.errors
        assert not audit.fixes
        assert drawing.header["$INSUNITS"] == 4
        for entity in drawing.modelspace():
            assert entity.dxftype() in ("LWPOLYLINE", "CIRCLE") or entity.dxf.layer[0] == "5"
            assert entity.dxftype() != "LWPOLYLINE" or entity.closed


@pytest.mark.parametrize("name", JOBS)
def test_side_file_counts_what_the_cut_file_holds(folder, name):
    for path in sheets(folder, name):
        data = side(path)
        space = ezdxf.readfile(path).modelspace()
        for layer in WORKING:
            steps = [s for s in data["steps"] if s["layer"] == layer]
            assert [s["number"] for s in steps] == list(range(1, len(steps) + 1))
            assert len(space.query(f'*[layer=="{layer}"]')) == len(steps)
        assert len(space.query('*[layer=="7 screws do not cut"]')) == len(data["screws"])
        over = [part for part in data["parts"] if part["then turn over"]]
        assert len(space.query('*[layer=="8 saw lines do not cut"]')) == len(over)
        (edge,) = shapes(path, "6 sheet edge do not cut")
        assert edge.bounds == pytest.approx((0, 0, *data["size"]))


@pytest.mark.parametrize("name", JOBS)
def test_outlines_stand_where_the_side_file_says(folder, designs, name):
    """What is not turned over has its outline there: as designed, moved by shapely."""
    parts = {(jig.name, p.id): p for _, jig in designs(name).jigs() for p in jig.parts.values()}
    for path in sheets(folder, name):
        data = side(path)
        drawn = shapes(path, "4 outline")
        cut_out = [part for part in data["parts"] if not part["then turn over"]]
        assert len(drawn) == len(cut_out)
        for shape, told in zip(drawn, cut_out, strict=True):
            outline = parts[told["jig"], told["part"].split(" slice")[0]].outline
            assert shape.area == pytest.approx(outline.area, rel=1e-3)
            flip = -1 if told["up"] == "bottom" else 1
            x0, y0, x1, y1 = outline.bounds
            flat = affinity.scale(box(x0, y0, x1, y1), 1, flip, origin=(0, 0))
            turned = affinity.rotate(flat, 90 if told["turned"] else 0, origin=(0, 0))
            moved = affinity.translate(turned, *told["at"])
            assert shape.bounds == pytest.approx(moved.bounds, abs=0.02)


@pytest.mark.parametrize("name", JOBS)
def test_nothing_is_cut_outside_its_own_place(folder, name):
    """Every shape, with the cutter beside it, keeps off the outlines and blanks of the others."""
    for path in sheets(folder, name):
        data = side(path)
        blanks = [box(*part["saw out"]) for part in data["parts"] if part["saw out"]]
        outlines = shapes(path, "4 outline")
        for layer in WORKING[:4]:
            for shape in shapes(path, layer):
                homes = [home for home in [*blanks, *outlines] if home.buffer(3.5).contains(shape)]
                assert len(homes) == 1
        for one, other in combinations(outlines, 2):
            assert one.distance(other) >= data["least between outlines"] - 0.03


@pytest.mark.parametrize("name", JOBS)
def test_steps_say_how_deep(folder, name):
    """Blind cuts stop in the wood, through cuts go through the thickest sheet and a little over."""
    most = {"allotment": 17.8, "skittles": 15.0, "stool": 18.0086}[name]
    for path in sheets(folder, name):
        for step in side(path)["steps"]:
            if step["through"]:
                assert most < step["depth"] < most + 10
            elif step["layer"] != "0 registration":
                assert 0 < step["depth"] < most


def test_tabs_lie_on_outlines(folder):
    assert any(side(path)["tabs"] for path in sheets(folder, "allotment"))
    for path in sheets(folder, "allotment"):
        outlines = shapes(path, "4 outline")
        tabs = side(path)["tabs"]
        for tab in tabs:
            point = box(*tab["at"], *tab["at"]).centroid
            assert min(o.exterior.distance(point) for o in outlines) < 0.05


def texts(root: ElementTree.Element) -> list[tuple[str, Polygon]]:
    """Every text of a picture with the box that its type fills, from its attributes."""
    found = []

    def read(element: ElementTree.Element, turn: tuple[float, float, float] | None) -> None:
        if match := re.match(r"rotate\((\S+) (\S+) (\S+)\)", element.get("transform", "")):
            turn = tuple(map(float, match.groups()))
        for child in element:
            read(child, turn)
        if element.tag != f"{SVG}text":
            return
        height = float(element.get("font-size"))
        wide = 0.57 * height * len(element.text)  # DejaVu Sans, lower case: 0.55 on the average
        x, y = float(element.get("x")), float(element.get("y"))
        left = x if element.get("text-anchor") == "start" else x - wide / 2
        filled = box(left, y - 0.76 * height, left + wide, y + 0.2 * height)
        if turn:
            filled = affinity.rotate(filled, turn[0], origin=turn[1:])
        found.append((element.text, filled))

    read(root, None)
    return found


@pytest.mark.parametrize("name", JOBS)
def test_picture_names_every_piece_and_no_two_texts_meet(folder, name):
    for path in sheets(folder, name):
        root = ElementTree.parse(path.with_suffix(".svg")).getroot()
        page = [float(v) for v in root.get("viewBox").split()]
        found = texts(root)
        for text, filled in found:
            assert box(page[0], page[1], page[0] + page[2], page[1] + page[3]).contains(filled), (
                text
            )
        for (one, a), (two, b) in combinations(found, 2):
            assert a.intersection(b).area < 1e-9, (one, two)
        data = side(path)
        words = [text for text, _ in found]
        over = sum(1 for part in data["parts"] if part["then turn over"])
        assert words.count("TURN OVER") == over
        labels = [g for g in root.iter(f"{SVG}g") if g.get("font-family") is None]
        assert len(labels) == len(data["parts"])
        for part in data["parts"]:
            first = part["title"].split(",")[0].split()[-1]
            assert any(first in (t.text or "") for g in labels for t in g), part["title"]


@pytest.mark.parametrize("name", JOBS)
def test_labels_are_large_enough_to_read(folder, name):
    """8 pixels or more where the sheet is 1200 pixels wide: the picture's own size."""
    for path in sheets(folder, name):
        root = ElementTree.parse(path.with_suffix(".svg")).getroot()
        scale = float(root.get("width")) / float(root.get("viewBox").split()[2])
        assert min(float(t.get("font-size")) for t in root.iter(f"{SVG}text")) * scale > 7.9


def test_arcs_of_the_picture_are_those_of_the_cut_file(folder):
    """Length of an outline in the picture, walked by its arcs, against the cut file's."""
    for path in sheets(folder, "allotment"):
        root = ElementTree.parse(path.with_suffix(".svg")).getroot()
        drawn = sorted(
            round(sum(_lengths(p.get("d"))), 1)
            for p in root.iter(f"{SVG}path")
            if "Z" in p.get("d")
        )
        for shape in shapes(path, "4 outline"):
            assert min(abs(shape.exterior.length - length) for length in drawn) < 0.3


@pytest.mark.parametrize("name", JOBS)
def test_side_file_says_what_is_sawn_first_and_where_the_second_zero_is(folder, name):
    for path in sheets(folder, name):
        data = side(path)
        assert data["not placed"] == []
        assert "sawn into blanks of" in data["sawn first"]
        for part in data["parts"]:
            if not part["then turn over"]:
                assert part["second zero"] is None
                continue
            zero = part["second zero"]
            left, right = zero["dowels in the second file"]
            assert math.dist(left, right) == pytest.approx(zero["from dowel to dowel"])
            assert zero["deep in the spoilboard"] == 8
            second = path.parent.parent.parent / part["then turn over"]
            assert second.name.endswith("turned over.dxf")


def _lengths(d: str) -> list[float]:
    """Lengths of the sides of a path of M, L, A and Z."""
    found, at = [], (0.0, 0.0)
    for letter, numbers in re.findall(r"([MLA])([^MLAZ]*)", d):
        values = [float(v) for v in numbers.split()]
        to = (values[-2], values[-1])
        chord = math.dist(at, to)
        if letter == "L":
            found.append(chord)
        if letter == "A":
            swept = 2 * math.asin(min(1.0, chord / 2 / values[0]))
            found.append(values[0] * (2 * math.pi - swept if values[3] else swept))
        at = to
    return found


COUPONS = [("allotment", 17.6), ("skittles", 14.8), ("stool", 17.8562)]


@pytest.mark.parametrize(("name", "thickness"), COUPONS)
def test_coupon_has_the_ladders(folder, name, thickness):
    """Widths and diameters measured in the cut file, from the notch on."""
    path = folder / name / "make/fit coupon ply.dxf"
    data = side(path)
    (outline,) = shapes(path, "4 outline")
    dados = sorted(shapes(path, "2 grooves and recesses"), key=lambda s: s.bounds[0])
    widths = [s.bounds[2] - s.bounds[0] for s in dados]
    steps = [-0.2, -0.1, 0, 0.1, 0.2, 0.3, 0.4]
    assert widths == pytest.approx([thickness + step for step in steps], abs=1e-3)
    top = outline.bounds[3]
    assert all(s.bounds[3] > top for s in dados)  # open at the upper edge
    bores = shapes(path, "1 holes")
    rows = data["rows from the top"]
    assert len(bores) == 6 * (len(rows) - 1)
    space = ezdxf.readfile(path).modelspace()
    circles = {(round(c.dxf.center.x, 3), round(c.dxf.center.y, 3)): 2 * c.dxf.radius
               for c in space.query('CIRCLE[layer=="1 holes"]')}  # fmt: skip
    for row in rows[1:]:
        sizes = [circles[round(x, 3), round(y, 3)] for x, y in row["middles"]]
        assert sizes == pytest.approx(row["sizes from the notch"])
        assert sizes == pytest.approx([row["asked for"] + step for step in steps[:6]])
        xs = [x for x, _ in row["middles"]]
        assert xs == sorted(xs)
    for one, other in combinations([*dados, *bores], 2):
        assert one.distance(other) > 5
    assert all(outline.buffer(-5).contains(bore) for bore in bores)
    notch = box(*outline.bounds).difference(outline)
    assert notch.centroid.x < 4  # at the left edge, the small end
    assert notch.area == pytest.approx(math.pi * 4**2 / 2, rel=0.01)


@pytest.mark.parametrize(("name", "thickness"), COUPONS)
def test_coupon_dados_are_a_third_deep(folder, name, thickness):
    data = side(folder / name / "make/fit coupon ply.dxf")
    (face,) = data["faces"]
    depths = {s["depth"] for s in face["steps"] if s["layer"] == "2 grooves and recesses"}
    assert list(depths) == pytest.approx([thickness / 3], abs=0.05)


@pytest.mark.parametrize("name", JOBS)
def test_what_the_coupon_measures_goes_into_the_job(folder, designs, name, tmp_path):
    """Each line `jigs: clamp: built: {dado_width: ...}` is taken, and the jig follows it."""
    data = side(folder / name / "make/fit coupon ply.dxf")
    lines = [
        (line, row["sizes from the notch"][3])
        for row in data["rows from the top"]
        for line in row["the size that fits goes to"]
        if line.startswith("jigs: ")
    ]
    assert len(lines) >= 1
    assert not any("hole" in line for line, _ in lines)  # bolts go through with play
    text = (ROOT / f"configs/{name}.yaml").read_text(encoding="utf-8")
    text = text.replace("machine: machines/", f"machine: {ROOT}/configs/machines/")
    built: dict[str, list[str]] = {}
    for line, size in lines:
        jig, number = re.fullmatch(r"jigs: (\w+): built: \{(\w+): \.\.\.\}", line).groups()
        built.setdefault(jig, []).append(f"{number}: {size} mm")
    for jig, numbers in built.items():
        entry = f"built: {{{', '.join(numbers)}}}"
        text = text.replace(f"  {jig}:\n    kind:", f"  {jig}:\n    {entry}\n    kind:")
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    jigs = {jig.name: jig for _, jig in design(read_job(path)).jigs()}
    for jig, numbers in built.items():
        for number, size in (entry.split(": ") for entry in numbers):
            assert jigs[jig].n[number].value == pytest.approx(float(size.split()[0]))
            assert str(jigs[jig].n[number].standing) == "built"


DIGEST = """
import hashlib, sys, tempfile
from pathlib import Path
from jigs.outputs.lists import write_lists
from jigs.outputs.sheets import write_coupons, write_sheets
from jigs.publish import Stamp, into
from jigs.reading.job import read_job
from jigs.sizing import design
with tempfile.TemporaryDirectory() as top:
    folder = Path(top) / "out"
    job = design(read_job(Path("configs/skittles.yaml")))
    with into(folder, Stamp("test")) as out:
        write_sheets(job, out); write_coupons(job, out); write_lists(job, out)
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.name != "manifest.json":
            print(path.name, hashlib.sha256(path.read_bytes()).hexdigest())
"""


def test_same_bytes_whatever_the_hash_seed(folder):
    here = sorted(
        f"{path.name} {hashlib.sha256(path.read_bytes()).hexdigest()}"
        for path in (folder / "skittles").rglob("*")
        if path.is_file() and path.name != "manifest.json"
    )
    assert len(here) == len(sheets(folder, "skittles")) * 3 + 2 + 3
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", DIGEST], capture_output=True, text=True, cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)}, check=True,
        )  # fmt: skip
        assert sorted(done.stdout.split("\n")[:-1]) == here
