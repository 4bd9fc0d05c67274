"""Drawings: what is seen, what is said, that nothing lies over text, and the same bytes each time.

The second witness of the views is the kernel's own removal of hidden lines (HLRBRep) on the solids
of the same parts, which are built elsewhere; that of the figures are the parts' own cuts.
"""

from __future__ import annotations

import hashlib
import io
import math
import subprocess
import sys
from collections import defaultdict
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import cadquery as cq
import ezdxf
import pypdfium2
import pytest
from OCP.BRepLib import BRepLib
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape

from jigs.checks.run import check_all
from jigs.model.finding import Verdict, at_least
from jigs.model.outline import Outline
from jigs.model.part import Bought, Cut, Does, Face, Fixed, Lining, Part, Sheet
from jigs.outputs.drawings import drawings, write_drawings
from jigs.outputs.drawings.flat import Solid, seen_from_top
from jigs.outputs.drawings.frame import INNER
from jigs.outputs.drawings.page import SCALES, Task, sheets_of
from jigs.outputs.drawings.paper import A4, Pen, Round, Stroke, Text, overlap, samples, wrapped
from jigs.outputs.drawings.pdf import pdf_of
from jigs.outputs.drawings.svg import svg_of
from jigs.outputs.drawings.tasks import NOTHING, block_of, tasks_of
from jigs.outputs.drawings.views import views_of
from jigs.publish import Stamp, into
from jigs.reading.job import read_job
from jigs.sizing import design
from jigs.units import Units, format_length

ROOT = Path(__file__).parents[2]
JOBS = ("allotment", "skittles", "stool")
SHOPS = sorted((ROOT / "tests/shops").glob("*.yaml"))
MET = [at_least(2.0, 1.0, group="fit", check="room", of="ring")]
NOT_MET = [at_least(0.0, 1.0, group="fit", check="room", of="ring")]


@pytest.fixture(scope="module")
def sheets(designs):
    """The sheets of a shipped job, with all its findings met."""
    return {name: drawings(designs(name), MET) for name in JOBS}


def made(d):
    return [
        (jig.name, part)
        for _, jig in d.jigs()
        for part in jig.parts.values()
        if part.outline is not None and not isinstance(part.made, Bought | Fixed)
    ]


def mm(value):
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


# ---- what is seen -------------------------------------------------------------------------------

LOOKING = {
    Face.TOP: ((0, 0, 1), (1, 0, 0)),
    Face.LEFT: ((-1, 0, 0), (0, 0, 1)),
    Face.RIGHT: ((1, 0, 0), (0, 0, -1)),
    Face.BACK: ((0, 1, 0), (1, 0, 0)),
    Face.FRONT: ((0, -1, 0), (1, 0, 0)),
}


def kernel_length(solid, face):
    """Length of all lines that the kernel sees, but for smooth joints."""
    towards, right = LOOKING[face]
    algorithm = HLRBRep_Algo()
    algorithm.Add(solid.wrapped)
    frame = gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*towards), gp_Dir(*right))
    algorithm.Projector(HLRAlgo_Projector(frame))
    algorithm.Update()
    algorithm.Hide()
    shapes = HLRBRep_HLRToShape(algorithm)
    length = 0.0
    for compound in (shapes.VCompound(), shapes.OutLineVCompound()):
        if compound is not None and not compound.IsNull():
            BRepLib.BuildCurves3d_s(compound)
            length += sum(edge.Length() for edge in cq.Shape.cast(compound).Edges())
    return length


def drawn_length(view):
    lines = sum(edge.side.length for edge in view.edges if not edge.hidden)
    return lines + sum(2 * math.pi * r for _, r, hidden in view.rounds if not hidden)


def as_drawn(part):
    """Edges are eased in words, necks are pressed in, linings drawn flat: the solid has these."""
    pressed = any(cut.does is Does.PRESSED for cut in part.cuts)
    return not (pressed or part.eased or isinstance(part.made, Lining))


@pytest.mark.parametrize("name", JOBS)
def test_views_show_what_the_kernel_sees(designs, scenes, name):
    compared = 0
    for jig, part in made(designs(name)):
        if not as_drawn(part):
            continue
        solid = scenes(name).part(jig, part)
        for face, view in views_of(part).items():
            if face is not Face.TOP and part.id.startswith("knob"):
                continue  # the kernel draws one line at the foot of a lobe, and none across from it
            assert drawn_length(view) == pytest.approx(kernel_length(solid, face), abs=0.05), (
                part.id, face,
            )  # fmt: skip
            compared += 1
    assert compared >= 20


def plate(*cuts, size=(100.0, 60.0), thick=12.0):
    return Part("plate", "plate", Sheet("plywood"), Outline.rectangle(0, 0, *size), thick, cuts)


def lengths(edges):
    found = defaultdict(float)
    for edge in edges:
        found[edge.hidden] += edge.side.length
    return found


def test_groove_that_runs_out_ends_at_the_edge():
    groove = Cut("dado", Face.TOP, Outline.rectangle(-5, 20, 70, 32), Does.GROOVE, 4.0)
    found = lengths(seen_from_top(Solid(plate(groove))))
    assert found[False] == pytest.approx(320 + 2 * 70 + 12)
    assert found[True] == 0


def test_cut_from_below_is_hidden_and_a_hole_is_not():
    recess = Cut("recess", Face.BOTTOM, Outline.circle(50, 30, 20), Does.COUNTERBORE, 5.0)
    hole = Cut("hole", Face.BOTTOM, Outline.circle(50, 30, 8), Does.HOLE)
    found = lengths(seen_from_top(Solid(plate(recess, hole))))
    assert found[False] == pytest.approx(320 + 8 * math.pi)
    assert found[True] == pytest.approx(20 * math.pi)


def test_grooves_that_meet_have_no_line_between_them():
    one = Cut("one", Face.TOP, Outline.rectangle(10, 20, 60, 30), Does.GROOVE, 4.0)
    other = Cut("other", Face.TOP, Outline.rectangle(40, 20, 80, 30), Does.GROOVE, 4.0)
    found = lengths(seen_from_top(Solid(plate(one, other))))
    assert found[False] == pytest.approx(320 + 2 * (70 + 10))


def test_first_angle_puts_each_view_on_the_far_side():
    drill = Cut("pilot", Face.LEFT, Outline.circle(20, 6, 3), Does.HOLE, 20.0)
    below = Cut("pilot 2", Face.BACK, Outline.circle(40, 6, 3), Does.HOLE, 20.0)
    views = views_of(plate(drill, below))
    assert set(views) == {Face.TOP, Face.LEFT, Face.BACK}
    left, back = views[Face.LEFT], views[Face.BACK]
    assert left.place((20.0, 12.0)) == (12.0, 20.0), "the first view's face lies to the right"
    assert back.place((40.0, 12.0)) == (40.0, -12.0), "the first view's face lies below"
    (sheet,) = sheets_of(task_of(plate(drill, below)))
    rounds = [e for e in sheet.entities if isinstance(e, Round) and e.pen is Pen.VISIBLE]
    first = views_box(sheet)
    assert any(r.centre[0] > first[2] for r in rounds)
    assert any(r.centre[1] < first[1] for r in rounds)


def views_box(sheet):
    """The largest rectangle of four visible lines: the first view of a plate."""
    lines = [e.side for e in sheet.entities if isinstance(e, Stroke) and e.pen is Pen.VISIBLE]
    across = [s for s in lines if s.start[1] == s.end[1] and s.start[1] > 60 and s.length < 170]
    longest = max(s.length for s in across)
    xs = [x for s in across if s.length > longest - 0.01 for x in (s.start[0], s.end[0])]
    ys = sorted(s.start[1] for s in across if s.length > longest - 0.01)
    return (min(xs), ys[-2], max(xs), ys[-1])


def task_of(part, notes=("a note",), units=Units.MM, job="step stools"):
    d = design(read_job(ROOT / "configs/allotment.yaml"))
    block = replace(block_of(d, MET), job=job, part=part.title, jig="clamp", quantity="1")
    return Task("clamp/plate", part, block, notes, "", units)


# ---- the page -----------------------------------------------------------------------------------


def assert_legible(sheet):
    """No text runs over text, a line, or the paper's edge."""
    texts = [e for e in sheet.entities if isinstance(e, Text) and e.words]
    points = [p for e in sheet.entities if not isinstance(e, Text) for p in samples(e)]
    cells = defaultdict(list)
    for x, y in points:
        cells[int(x // 10), int(y // 10)].append((x, y))
    for i, text in enumerate(texts):
        x0, y0, x1, y1 = text.box
        assert min(x0 - 10, y0 - 5, A4[0] - 9 - x1, A4[1] - 5 - y1) >= 0, text
        for other in texts[i + 1 :]:
            assert not overlap(text.box, other.box), (sheet.name, text.words, other.words)
        for i in range(int(x0 // 10), int(x1 // 10) + 1):
            for j in range(int(y0 // 10), int(y1 // 10) + 1):
                for x, y in cells[i, j]:
                    assert not (x0 < x < x1 and y0 + 0.1 < y < y1 - 0.1), (sheet.name, text.words)


@pytest.mark.parametrize("name", JOBS)
def test_nothing_lies_over_text(sheets, name):
    for sheet in sheets[name]:
        assert_legible(sheet)


@pytest.mark.parametrize("path", SHOPS, ids=lambda p: p.stem)
def test_nothing_lies_over_text_in_other_shops(path):
    for sheet in drawings(design(read_job(path)), NOT_MET):
        assert_legible(sheet)
        assert any("NOT MET" in text.words for text in sheet.texts)


@pytest.mark.parametrize("name", JOBS)
def test_every_cut_is_numbered_on_a_view(sheets, name):
    """Each row of a table has its number once in the table and once at the cut."""
    for sheet in sheets[name]:
        counts = {key.split()[1] for key in sheet.figures if key.startswith("cut ")}
        drawn = [text.words for text in sheet.texts]
        for number in counts:
            tags = [t for t in sheet.texts if t.words == number and t.size == 3.2]
            assert tags, (sheet.name, number, drawn)


@pytest.mark.parametrize("name", JOBS)
def test_numbers_lie_nearest_to_their_own_hole(sheets, name):
    """Places of holes from the table and the corner marked 0: no number stands nearer to another.

    Holes in the first view only, which say x, y and a diameter.
    """
    compared = 0
    for sheet in sheets[name]:
        corner = next((t.at for t in sheet.texts if (t.words, t.size) == ("0", 3.2)), None)
        if corner is None:
            continue
        k = 1 / float(sheet.scale.split(":")[1])
        holes = {}
        for key in sheet.figures:
            if not key.startswith("cut "):
                continue
            number = key.split()[1]
            at = [sheet.figures.get(f"cut {number} {word}") for word in ("x", "y", "diameter")]
            if None not in at:
                holes[number] = (corner[0] + 2.0 + at[0] * k, corner[1] + 4.2 + at[1] * k)
        for number, place in holes.items():
            (tag,) = [t for t in sheet.texts if t.words == number and t.size == 3.2]
            away = {other: math.dist((tag.at[0], tag.at[1] + 0.9), p) for other, p in holes.items()}
            assert min(away, key=away.get) == number, (sheet.name, number, place)
            compared += 1
    assert compared > 15


@pytest.mark.parametrize("name", JOBS)
def test_letters_are_as_tall_as_the_standard_asks(sheets, name):
    """ISO 3098-1: capitals of 1.8 mm and more. DejaVu's are 1493 of 2048 units tall."""
    for sheet in sheets[name]:
        for text in sheet.texts:
            assert text.size * 1493 / 2048 >= 1.8, (sheet.name, text.words)


def test_table_on_a_sheet_of_its_own_hangs_from_the_frame(sheets):
    """No strip is left above it, unless a warning stands there."""
    own = [sheet for sheet in sheets["allotment"] if " table " in sheet.name]
    assert own
    for sheet in own:
        head = next(t for t in sheet.texts if t.words == "no.")
        assert INNER[3] - head.box[3] < 2.5


def test_short_table_stands_below_the_views_of_a_long_part(sheets):
    """A bar of many slices: side by side, at 1 : 2.5, so that one sheet tells all."""
    for name in ("allotment", "stool"):
        names = [sheet.name for sheet in sheets[name]]
        assert "gauge/bar" in names
        assert "gauge/bar table 1" not in names


@pytest.mark.parametrize("name", JOBS)
def test_scale_is_from_the_list_and_true(designs, sheets, name):
    """The widest dimension line is as long as its figure at the scale that is stated."""
    for sheet in sheets[name]:
        if sheet.scale == "none":
            continue
        scale = float(sheet.scale.split(":")[1])
        assert scale in SCALES
        wide = max(v for k, v in sheet.figures.items() if k.startswith("x "))
        lines = [e.side.length for e in sheet.entities
                 if isinstance(e, Stroke) and e.pen in (Pen.DIMENSION, Pen.VISIBLE)]  # fmt: skip
        assert any(abs(length - wide / scale) < 1e-6 for length in lines) or any(
            isinstance(e, Round) and abs(2 * e.radius - wide / scale) < 1e-6 for e in sheet.entities
        ), sheet.name


# ---- what is said -------------------------------------------------------------------------------


def texts_of(folder, jig, part):
    """Every text of a part's DXF files, joined."""
    files = [folder / f"drawings/{jig}/{part.id}.dxf",
             *folder.glob(f"drawings/{jig}/{part.id} table *.dxf")]  # fmt: skip
    return [e.dxf.text for f in files for e in ezdxf.readfile(f).modelspace().query("TEXT")]


@pytest.fixture(scope="module")
def published(designs, tmp_path_factory):
    folder = tmp_path_factory.mktemp("drawn")
    for name in JOBS:
        with into(folder / name, Stamp("key")) as out:
            write_drawings(designs(name), MET, out)
    return folder


@pytest.mark.parametrize("name", JOBS)
def test_dxf_says_the_designs_numbers(designs, published, name):
    """Sizes, places, diameters and depths of every cut, worked out here from the part alone."""
    d = designs(name)
    inch = d.job.model.units is Units.INCH
    for jig, part in made(d):
        words = " | ".join(texts_of(published / name, jig, part))
        if isinstance(part.made, Lining):
            assert mm(part.made.strip_length) in words
            continue
        x0, y0, x1, y1 = part.outline.bounds
        figures = [x1 - x0, y1 - y0, part.thickness]
        for cut in part.cuts:
            if cut.does is Does.PRESSED:
                continue
            if cut.depth is not None and cut.depth < part.thickness:
                figures.append(cut.depth)
            if cut.outline.is_circle:
                figures.append(cut.outline.bounds[2] - cut.outline.bounds[0])
                u, w = cut.outline.centre
                figures.append(u - (y0 if cut.face in (Face.LEFT, Face.RIGHT) else x0))
                figures.append(w - y0 if cut.face in (Face.TOP, Face.BOTTOM) else w)
        for value in figures:
            assert mm(value) in words, (part.id, value)
            if inch:
                assert format_length(value, Units.INCH).removesuffix(" in") in words, part.id
        assert part.title.split()[0] in words
        assert "ISO 2768-1" in words
        assert d.job.model.job in words


def test_title_block_says_material_quantity_revision_and_date(designs, published):
    d = designs("allotment")
    words = texts_of(published / "allotment", "clamp", d.setups[1].jigs[0].parts["rib"])
    assert {"rib", "clamp", "4", "birch plywood, sheet ply", "A", "met", "1 : 2"} <= set(words)
    assert "17.6 as measured, 17.4 to 17.8" in words
    assert any(word.startswith("20") and word.count("-") == 2 for word in words), "a date"


def test_pdf_has_a_page_a_sheet_with_text_that_can_be_read(sheets):
    pdf = pypdfium2.PdfDocument(pdf_of(sheets["allotment"], "allotment"))
    assert len(pdf) == len(sheets["allotment"])
    assert [round(v) for v in pdf[0].get_size()] == [595, 842]
    told = pdf[0].get_textpage().get_text_range()
    for words in ("fixed half", "158", "drawbolt hole left", "allotment dibbers"):
        assert words in told


def test_pdf_draws_its_arcs(sheets):
    """Seen as a picture: ink stands where the arcs of the model are."""
    sheet = sheets["allotment"][0]
    page = pypdfium2.PdfDocument(pdf_of([sheet], "x"))[0]
    scale = 4.0
    image = page.render(scale=scale).to_pil().convert("L")
    arcs = [e.side for e in sheet.entities
            if isinstance(e, Stroke) and e.side.bulge and e.pen is Pen.VISIBLE]  # fmt: skip
    assert arcs
    for arc in arcs:
        for x, y in samples(Stroke(Pen.VISIBLE, arc)):
            px = round(x * 72 / 25.4 * scale), round((A4[1] - y) * 72 / 25.4 * scale)
            assert image.getpixel(px) < 128, (x, y)


def test_svg_is_well_formed_and_of_a4(sheets):
    for sheet in sheets["stool"]:
        root = ElementTree.fromstring(svg_of(sheet))
        assert (root.get("width"), root.get("height")) == ("210mm", "297mm")


# ---- the same bytes, the verdict, odd input ------------------------------------------------------


def test_same_bytes_from_run_to_run(tmp_path):
    code = (
        "import hashlib, sys\nfrom pathlib import Path\n"
        "from jigs.reading.job import read_job\nfrom jigs.sizing import design\n"
        "from jigs.publish import Stamp, into\nfrom jigs.outputs.drawings import write_drawings\n"
        "folder = Path(sys.argv[1])\n"
        "with into(folder, Stamp('key')) as out:\n"
        "    write_drawings(design(read_job(Path('configs/skittles.yaml'))), [], out)\n"
        "for f in sorted(p for p in folder.rglob('*.*') if p.is_file()):\n"
        "    print(f.relative_to(folder), hashlib.sha256(f.read_bytes()).hexdigest())\n"
    )
    runs = [
        subprocess.run([sys.executable, "-c", code, str(tmp_path / seed)], cwd=ROOT, check=True,
                       capture_output=True, text=True,
                       env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)}).stdout
        for seed in ("1", "2")
    ]  # fmt: skip
    assert runs[0] == runs[1]
    assert runs[0].count(".svg") == runs[0].count(".dxf") > 10
    assert "drawings.pdf" in runs[0]


def test_name_and_page_say_not_met(designs, tmp_path):
    with into(tmp_path / "out", Stamp("key")) as out:
        write_drawings(designs("skittles"), NOT_MET, out)
    names = [p.name for p in (tmp_path / "out/drawings").rglob("*.*")]
    assert all(" NOT MET." in name for name in names), names
    pdf = pypdfium2.PdfDocument((tmp_path / "out/drawings/drawings NOT MET.pdf").read_bytes())
    for page in pdf:
        assert "CHECKS NOT MET" in page.get_textpage().get_text_range()


def test_not_judged_is_said_too(allotment):
    unjudged = [f for f in check_all(allotment) if f.verdict is Verdict.NOT_JUDGED][:1]
    for sheet in drawings(allotment, unjudged)[:2]:
        assert any(text.words.startswith("CHECKS NOT JUDGED") for text in sheet.texts)


LONG = "<script>alert(1)</script> & $(rm -rf ~) `x` 'y' \"z\" a job name as long as is allowed"[:80]


def test_markup_and_long_names_are_escaped_and_wrapped():
    task = task_of(replace(plate(), title="W" * 80), job=LONG)
    (sheet,) = sheets_of(task)
    from jigs.outputs.drawings.frame import draw_frame

    draw_frame(sheet, replace(task.block, scale=sheet.scale, page="1 of 1"))
    assert_legible(sheet)
    words = "".join(ElementTree.fromstring(svg_of(sheet)).itertext())
    assert "<script>alert(1)</script>" in words, "as text, not as an element"
    assert "<script" not in svg_of(sheet)
    assert pypdfium2.PdfDocument(pdf_of([sheet], LONG))[0].get_textpage().get_text_range()


def test_long_table_goes_on_sheets_of_its_own():
    cuts = [
        Cut(f"hole {i}-{j}", Face.TOP, Outline.circle(12 * i + 6, 11 * j + 5, 4), Does.HOLE)
        for i in range(8) for j in range(6)
    ]  # fmt: skip
    pages = sheets_of(task_of(plate(*cuts)))
    assert len(pages) == 3
    assert pages[0].scale == "1 : 1"
    said = [t.words for page in pages[1:] for t in page.texts]
    assert all(f"hole {i}-{j}" in said for i in range(8) for j in range(6))
    for page in pages:
        assert_legible(page)


def test_job_with_nothing_to_draw_says_so(allotment, monkeypatch):
    monkeypatch.setattr("jigs.outputs.drawings.tasks_of", lambda d, f: iter(()))
    (sheet,) = drawings(allotment, MET)
    assert " ".join(wrapped(NOTHING, 5.0, 160.0)) == NOTHING
    assert NOTHING.split()[0] in " ".join(t.words for t in sheet.texts)
    assert len(pypdfium2.PdfDocument(pdf_of([sheet], "x"))) == 1


def test_every_made_part_has_a_sheet_and_nothing_bought_has(designs):
    d = designs("allotment")
    names = {task.name for task in tasks_of(d, MET)}
    assert names == {f"{jig}/{part.id}" for jig, part in made(d)}


def test_long_words_are_broken_within_their_width():
    for line in wrapped("x" * 200 + " short", 3.0, 40.0):
        assert Text((0, 0), line, 3.0).width <= 40.0


def test_pdf_bytes_do_not_depend_on_the_day(sheets):
    """The same in one process, some text apart from the clock: no date, no random identifier."""
    one, two = (hashlib.sha256(pdf_of(sheets["skittles"], "x")).hexdigest() for _ in range(2))
    assert one == two
    assert len(io.BytesIO(pdf_of(sheets["skittles"], "x")).getvalue()) < 400_000
