"""Every file of every shipped job is read by something that did not write it.

Each format has a reader here that is not ours; a file of a kind that has none fails. What a reader
finds is compared where two formats tell the same thing: the volume of a part in STEP, STL and 3MF.
"""

from __future__ import annotations

import csv
import io
import json
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, NoReturn

import ezdxf
import lib3mf  # type: ignore[import-untyped]
import pypdfium2
import pytest
import trimesh
from ezdxf import path as ezpath
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from PIL import Image
from shapely import Polygon  # type: ignore[import-untyped]

CONFIGS = Path(__file__).parents[2] / "configs"
JOBS = sorted(path.stem for path in CONFIGS.glob("*.yaml"))
CHORD = 0.05
"""mm between an arc and its chords, when a curve is made a polygon of."""


def read_step(path: Path) -> float:
    """The kernel alone: every root transferred, solids valid. Returns the volume, mm3."""
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_RetDone
    assert reader.TransferRoots() == reader.NbRootsForTransfer() > 0
    shape, solids = reader.OneShape(), 0
    assert BRepCheck_Analyzer(shape).IsValid()
    found = TopExp_Explorer(shape, TopAbs_SOLID)
    while found.More():
        solids += 1
        found.Next()
    assert solids == 1 or path.parent.name == "setups"
    sums = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, sums)
    return float(sums.Mass())


def read_stl(path: Path) -> float:
    """trimesh: closed, and turned the right way out."""
    mesh = trimesh.load_mesh(path)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    return float(mesh.volume)


def read_3mf(path: Path) -> float:
    """The consortium's own reader, in its strict mode: no warning, mm, a closed mesh."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    volume, found = 0.0, model.GetMeshObjects()
    while found.MoveNext():
        part = found.GetCurrentMeshObject()
        assert part.GetName()
        mesh = trimesh.Trimesh([list(v.Coordinates) for v in part.GetVertices()],
                               [list(t.Indices) for t in part.GetTriangleIndices()],
                               process=False)  # fmt: skip
        assert mesh.is_watertight
        volume += float(mesh.volume)
    return volume


def read_dxf(path: Path) -> float:
    """ezdxf's audit; closed curves are areas to shapely. Returns the sum of those areas, mm2."""
    drawing = ezdxf.readfile(path)
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert drawing.units == ezdxf.units.MM
    entities = list(drawing.modelspace())
    assert entities
    area = 0.0
    for entity in entities:
        closed = entity.dxftype() == "CIRCLE" or (
            entity.dxftype() == "LWPOLYLINE" and entity.closed
        )
        if closed:
            curve = ezpath.make_path(entity)
            shape = Polygon([(p.x, p.y) for p in curve.flattening(CHORD)])
            assert shape.is_valid, entity
            assert shape.area > 0
            area += shape.area
    return area


def read_svg(path: Path) -> float:
    """An XML parser: a picture with a size, and something in it."""
    root = ElementTree.parse(path).getroot()
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    wide, high = (float(v) for v in root.attrib["viewBox"].split()[2:])
    assert wide > 0
    assert high > 0
    drawn = {"path", "line", "polyline", "polygon", "circle", "rect", "text"}
    return float(sum(e.tag.rsplit("}", 1)[-1] in drawn for e in root.iter()))


class Nesting(HTMLParser):
    """A page whose tags close in order; what it would fetch is noted."""

    VOID = frozenset(("meta", "br", "hr", "img", "link", "input", "col", "wbr", "source"))

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.fetched: list[str] = []
        self.words = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in self.VOID:
            self.open.append(tag)
        self.fetched += [
            value
            for name, value in attrs
            if name in ("src", "href") and value and not value.startswith(("data:", "#"))
        ]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """What closes itself leaves nothing open."""

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words += len(data.split())


def read_html(path: Path) -> float:
    """A page that nests, fetches nothing, and holds words."""
    page = Nesting()
    page.feed(path.read_text(encoding="utf-8"))
    page.close()
    assert page.open == []
    assert page.fetched == []
    return float(page.words)


def read_pdf(path: Path) -> float:
    """pdfium: pages of A4 with text on each. Returns how many characters."""
    document = pypdfium2.PdfDocument(path)
    assert len(document)
    count = 0
    for page in document:
        sides = sorted(page.get_size())
        assert sides == pytest.approx([595.3, 841.9], abs=1), "points; ISO 216"
        count += len(page.get_textpage().get_text_range().strip())
    return float(count)


def read_csv(path: Path) -> float:
    """A header and rows as wide as it."""
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    assert len(rows) > 1
    assert {len(row) for row in rows} == {len(rows[0])}
    assert all(cell.strip() for cell in rows[0])
    return float(len(rows) - 1)


def _no_json(word: str) -> NoReturn:
    raise AssertionError(f"{word} is no JSON")


def read_json(path: Path) -> float:
    """JSON as RFC 8259 has it: no NaN, no key twice."""

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        assert len({key for key, _ in pairs}) == len(pairs)
        return dict(pairs)

    text = path.read_text(encoding="utf-8")
    data = json.loads(text, parse_constant=_no_json, object_pairs_hook=once)
    return float(len(data))


def read_png(path: Path) -> float:
    """A picture that decodes to its end and is not of one colour."""
    with Image.open(path) as picture:
        picture.load()
        least, most = picture.convert("L").getextrema()
    return float(most) - float(least)  # type: ignore[arg-type]


READERS: dict[str, Callable[[Path], float]] = {
    ".step": read_step, ".stl": read_stl, ".3mf": read_3mf, ".dxf": read_dxf, ".svg": read_svg,
    ".html": read_html, ".pdf": read_pdf, ".csv": read_csv, ".json": read_json, ".png": read_png,
}  # fmt: skip


@pytest.mark.parametrize("job", JOBS)
def test_every_file_is_read_by_another(job: str, built_jobs: Callable[[str], Any]) -> None:
    folder: Path = built_jobs(job).folder
    files = sorted(p for p in folder.rglob("*") if p.is_file())
    found: dict[str, float] = {}
    for path in files:
        name = path.relative_to(folder).as_posix()
        assert path.suffix in READERS, f"nothing here reads {name}"
        found[name] = READERS[path.suffix](path)
        assert found[name] > 0, f"{name} holds nothing"
    kinds = {path.suffix for path in files}
    assert kinds >= {".step", ".stl", ".dxf", ".svg", ".html", ".pdf", ".csv", ".json"}
    _alike_in_every_format(found)


def _alike_in_every_format(found: dict[str, float]) -> None:
    """A part's volume is the same in STEP, STL and 3MF, but for the chords of its curves."""
    compared = 0
    for name, volume in found.items():
        stem, _, ending = name.rpartition(".")
        if ending == "stl":
            assert volume == pytest.approx(found[f"{stem}.step"], rel=2e-3), name
            compared += 1
        if ending == "3mf":
            part = f"{stem.replace('print/', 'parts/', 1)}.step"
            assert volume == pytest.approx(found[part], rel=2e-3), name
            compared += 1
    assert compared > 8
