"""The measure sheet: every number that is wanted has its place, and it fits the paper."""

import re
import shutil
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from jigs.cli import main
from jigs.outputs.measure_sheet import measure_sheet
from jigs.reading.job import read_job

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("name", ["allotment", "skittles", "stool"])
def test_a_place_for_each_number_and_a_line_for_each_piece(name):
    job = read_job(ROOT / f"configs/{name}.yaml")
    text = measure_sheet(job)
    for piece in job.model.pieces.values():
        words = {"turned": ("grip_diameter", "length", "taper", "ovality", "grip_from", "grip_to"),
                 "bar": ("width", "depth", "length")}[piece.shape]  # fmt: skip
        assert all(f"<code>{word}</code>" in text for word in words)
    assert text.count("<section>") == len(job.model.pieces)
    bodies = re.findall(r"<tbody>(.*?)</tbody>", text)
    counts = [piece.count for piece in job.model.pieces.values()]
    assert [body.count("<tr>") for body in bodies] == counts


def test_the_header_that_it_tells_is_read(tmp_path):
    """Typed in with one piece, the file is taken by the job."""
    job = ROOT / "configs/stool.yaml"
    header = re.findall(r"<code>(id,[^<]*)</code>", measure_sheet(read_job(job)))
    knob = next(h for h in header if "grip_diameter" in h)
    path = tmp_path / "knobs.csv"
    path.write_text(f"{knob}\n1,1-3/16,3-1/2,0,0\n2,1-1/8,3-1/2,0,0\n3,1-1/4,3.5,0,0\n")
    limits = read_job(job, measured={"knob": path}).model.pieces["knob"].grip_diameter
    assert (limits.least, limits.most) == pytest.approx((1.125 * 25.4, 1.25 * 25.4))


def test_no_scripts_nothing_from_elsewhere_and_sound_pictures():
    text = measure_sheet(read_job(ROOT / "configs/allotment.yaml"))
    assert not re.search(r"<script|https?://|src=|@import|javascript:", text)
    pictures = re.findall(r"<svg.*?</svg>", text)
    assert len(pictures) == 2
    for picture in pictures:
        root = ElementTree.fromstring(picture)
        _, _, width, height = map(float, root.attrib["viewBox"].split())
        for shape in root.iter():
            for key, value in shape.attrib.items():
                if key in ("x1", "x2", "x"):
                    assert -0.5 <= float(value) <= width + 0.5
                if key in ("y1", "y2", "y"):
                    assert -0.5 <= float(value) <= height + 0.5


def test_names_of_the_user_are_text_not_markup(tmp_path):
    text = (ROOT / "configs/allotment.yaml").read_text(encoding="utf-8")
    machine = (ROOT / "configs/machines/bench_router.yaml").as_posix()
    text = text.replace("machines/bench_router.yaml", machine)
    text = text.replace("job: allotment dibbers", 'job: "<b>&dibbers"  # ')
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    assert "&lt;b&gt;&amp;dibbers" in measure_sheet(read_job(path))


def test_only_a_measure_sheet_is_written_over(tmp_path):
    config, out = str(ROOT / "configs/allotment.yaml"), tmp_path / "sheet.html"
    for _ in range(2):
        assert CliRunner().invoke(main, ["measure", config, "--out", str(out)]).exit_code == 0
    out.write_text("my notes")
    result = CliRunner().invoke(main, ["measure", config, "--out", str(out)])
    assert result.exit_code == 2
    assert "is not a measure sheet" in result.output
    assert out.read_text() == "my notes"
    assert [p.name for p in tmp_path.iterdir()] == ["sheet.html"]


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.mark.slow
def test_it_prints_on_a4_without_overflow(tmp_path):
    """Chromium lays it out 186 mm wide, as A4 leaves; nothing is wider; and it prints pages."""
    from playwright.sync_api import sync_playwright

    page_html = tmp_path / "sheet.html"
    page_html.write_text(measure_sheet(read_job(ROOT / "configs/allotment.yaml")), encoding="utf-8")
    with sync_playwright() as tool:
        options = {"executable_path": CHROMIUM} if CHROMIUM else {}
        browser = tool.chromium.launch(args=["--no-sandbox"], **options)
        page = browser.new_page(viewport={"width": 703, "height": 1000})
        page.goto(page_html.as_uri())
        page.emulate_media(media="print")
        assert page.evaluate("document.documentElement.scrollWidth") <= 703
        pdf = page.pdf(prefer_css_page_size=True)
        browser.close()
    size = re.findall(rb"/MediaBox ?\[0 0 (\d+)[.\d]* (\d+)", pdf)[0]
    assert size in ((b"594", b"841"), (b"595", b"842"))
    assert 2 <= len(re.findall(rb"/Type ?/Page\b(?!s)", pdf)) <= 5
