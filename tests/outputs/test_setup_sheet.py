"""The setup sheet: what comes first, that every number is the design's, and that it prints."""

from __future__ import annotations

import json
import math
import os
import re
import shutil
import subprocess
import sys
from dataclasses import replace
from html import unescape
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from jigs.checks.run import check_all
from jigs.model.finding import Finding, Verdict, at_least, not_judged
from jigs.model.state import Limit
from jigs.outputs.report import report
from jigs.outputs.setup_sheet import (
    CAUTIONS,
    mass_told,
    setup_sheet,
    torque_told,
    write_setup_sheet,
)
from jigs.outputs.setup_sheet_plan import anchors_of, front_plan, table_plan
from jigs.publish import Stamp, into
from jigs.reading.job import read_job
from jigs.shop.piece import Bar
from jigs.sizing import design
from jigs.units import Units, format_length

ROOT = Path(__file__).parents[2]
JOBS = ("allotment", "skittles", "stool")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or ""


def judged(d):
    """What numbers alone can tell; the rest of the findings need the solids."""
    return [f for f in check_all(d) if f.verdict is not Verdict.NOT_JUDGED]


@pytest.fixture(scope="module")
def jobs(designs):
    return {name: (designs(name), judged(designs(name))) for name in JOBS}


def html_of(d, findings, pictures=None, **more):
    return setup_sheet(d, findings, report(d, findings), pictures, **more)


def words_of(html):
    """The words of a page as they are read: no styles, no tags, single spaces."""
    body = re.sub(r"(?s)<style>.*?</style>", " ", html)
    return re.sub(r"\s+", " ", unescape(re.sub(r"(?s)<[^>]*>", " ", body)))


def mm(value):
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


# ---- what it says -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", JOBS)
def test_cautions_come_first_and_are_whole(jobs, name):
    words = words_of(html_of(*jobs[name]))
    for caution in CAUTIONS:
        assert caution in words
    for later in ("Checks:", "Where it stands", "Put it together", "Every check"):
        assert words.index(CAUTIONS[-1]) < words.index(later)
    for must in ("Eye and ear protection", "dust extraction and a mask", "gloves", "Isolate",
                 "Emergency stop", "stand to the side", "Catch the piece", "pull and twist",
                 "on scrap at reduced feed", "push sticks", "creep", "estimates",
                 "machine's manual and local rules", "competent person", "guards"):  # fmt: skip
        assert must in words, must


@pytest.mark.parametrize("name", JOBS)
def test_numbers_are_the_designs(jobs, name):
    """Work zero, datums, cutters, torques, turns, offsets, holes: read back from the page."""
    d, findings = jobs[name]
    words = words_of(html_of(d, findings))
    inch = d.job.model.units is Units.INCH
    lengths = []
    for setup in d.setups:
        lengths += setup.work_zero.at
        for cut in setup.cuts:
            lengths += [cut.stick_out, cut.cut_depth, cut.pass_depth, cut.cutter_diameter]
            assert f"{cut.feed:.0f}" in words
            assert f"{cut.spindle_speed:.0f}" in words
        for jig in setup.jigs:
            lengths += [v for datum in jig.kind.datums(jig.n) for v in datum.from_zero]
            lengths += [v for hole in jig.board_holes for v in setup.work_zero.apply(hole.at)]
            for step in jig.kind.steps(jig.n):
                assert step.says in words
                assert not step.turns or f"{step.turns:+.2f}" in words
            for number in jig.n.values():
                if number.name in ("closing_torque", "drawbolt_torque", "hold_torque"):
                    assert f"{number.value / 1000:.2f} N m" in words
    for value in lengths:
        assert f"{mm(value)} mm" in words, value
        assert not inch or format_length(value, Units.INCH) in words


@pytest.mark.parametrize("name", JOBS)
def test_every_finding_stands_with_figures_and_assumptions(jobs, name):
    d, findings = jobs[name]
    words = words_of(html_of(d, findings))
    for f in findings:
        assert f"{f.of}: {f.check}" in words
        for value in (f.value, f.limit, f.margin):
            assert value is None or f"{mm(value)} {f.unit}".rstrip() in words
        for assumed in f.assumes:
            assert " ".join(assumed.split()) in words


@pytest.mark.parametrize("name", JOBS)
def test_numbers_of_assumptions_lead_to_their_words(jobs, name):
    """Each is told once; a row's A1, A2 and so on lead to what the finding assumes, no other."""
    d, findings = jobs[name]
    html = html_of(d, findings)
    listed = {number: unescape(words) for number, words in
              re.findall(r"<li><b>(A\d+)</b>(.*?)</li>", html)}  # fmt: skip
    assert len(set(listed.values())) == len(listed) > 10
    rows = [unescape(row) for row in re.findall(r"<tr><td><b>.*?</tr>", html)]
    assert len(rows) == len(findings)
    for f in findings:
        row = next(r for r in rows if r.startswith(f"<tr><td><b>{f.of}:</b> {f.check}")
                   and (not f.why or f.why in r) and f.governs in r)  # fmt: skip
        numbers = re.findall(r"\[(A[^\]]*)\]</td>", row)
        told = [listed[number] for number in " ".join(numbers).split()]
        assert told == list(f.assumes), f.check


@pytest.mark.parametrize("name", JOBS)
def test_what_was_assumed_is_what_findings_read(jobs, name):
    d, findings = jobs[name]
    data = report(d, findings)
    assumed = {r["name"] for f in data["findings"] for r in f.get("reads", ())
               if r["standing"] == "assumed"}  # fmt: skip
    words = words_of(html_of(d, findings))
    part = words[words.index("What was assumed") : words.index("Hardware")]
    assert assumed
    assert all(name in part for name in assumed)


def test_hardware_and_cut_list_are_those_of_the_lists(jobs):
    from jigs.making.lists import cut_rows, hardware_rows

    d, findings = jobs["allotment"]
    words = words_of(html_of(d, findings))
    part = words[words.rindex("Hardware") :]
    for row in hardware_rows(d):
        assert f"{row.quantity} {row.family} {row.designation}" in part
    for row in cut_rows(d):
        assert f"{row.jig}: {row.title}" in part
        assert f"{mm(row.length)} × {mm(row.width)} × {mm(row.thickness)}" in part


def test_assembly_is_in_the_reports_order(jobs):
    d, findings = jobs["allotment"]
    data = report(d, findings) | {"assembly": {"ring": ["liner into its half", "halves together"]}}
    words = words_of(setup_sheet(d, findings, data))
    assert words.index("liner into its half") < words.index("halves together")
    assert "clamp : the order was not worked out" in words


def test_not_met_is_said_at_the_top_and_in_the_name(tmp_path):
    d = design(read_job(ROOT / "tests/jobs/gap_too_small.yaml"))
    findings = judged(d)
    wrong = [f for f in findings if f.verdict is Verdict.NOT_MET]
    assert wrong
    with into(tmp_path / "out", Stamp("key")) as out:
        write_setup_sheet(d, findings, report(d, findings), out)
    (path,) = (tmp_path / "out").glob("*.html")
    assert path.name == "setup sheet NOT MET.html"
    words = words_of(path.read_text(encoding="utf-8"))
    assert "checks: NOT MET" in words[:200], "the running header"
    top = words[: words.index("Setup marking")]
    assert "Do not build or use" in top
    for f in wrong:
        assert f"NOT MET: {f.of}: {f.check}" in top
        for part in (f"margin {mm(f.margin)} {f.unit}".rstrip(), f.governs, f.why, *f.assumes):
            assert " ".join(part.split()) in top
    table = words[words.index("Every check") :]
    assert "stands in full on the first page" in table
    assert not any(f"{f.of}: {f.check} " in table for f in wrong), "the table holds what is met"


def test_not_judged_is_said_too(allotment):
    findings = check_all(allotment)
    words = words_of(html_of(allotment, findings))
    assert "checks: not judged" in words[:200]
    assert "NOT JUDGED , needs the solids: jigs build: marking: nothing overlaps unmeant; " in words
    assert words.index("NOT JUDGED ,") < words.index("Setup marking")
    assert all(f"{f.of}: {f.check}" in words for f in findings)


def test_torque_in_plain_words(jobs):
    n = jobs["allotment"][0].setups[0].jigs[0].n
    told = torque_told(replace(n["closing_torque"], value=490.3325), Units.MM)
    assert (told["torque"], told["pull"], told["how"]) == ("0.49", "0.50 kg", "by fingers")
    firm = torque_told(replace(n["closing_torque"], value=1500.0), Units.MM)
    assert "knob" in firm["how"]
    strong = torque_told(replace(n["closing_torque"], value=9000.0), Units.MM)
    assert "spanner, one hand" in strong["how"]


def test_what_is_not_tightened_is_not_listed(jobs):
    """The skittles' board hangs on wood screws: its bolts' torque is 0 and no instruction."""
    d, findings = jobs["skittles"]
    assert any(jig.n.hang_torque == 0 for _, jig in d.jigs() if jig.name == "ring")
    words = words_of(html_of(d, findings))
    assert "0.00 N m" not in words[words.index("Tighten") : words.index("Find the work zero")]


# ---- pull and twist -----------------------------------------------------------------------------

G = 9.80665
"""m/s2, standard gravity (3rd General Conference on Weights and Measures, 1901)."""


@pytest.mark.parametrize(("kilograms", "told", "in_inches"), [
    (12.345, "12 kg", "12 kg (27 lb)"), (1.83, "1.8 kg", "1.8 kg (4.0 lb)"),
    (0.4123, "0.41 kg", "0.41 kg (0.91 lb)"), (0.0264, "26 g", "26 g"), (0.0021, "2.1 g", "2.1 g"),
])  # fmt: skip
def test_what_a_scale_shows(kilograms, told, in_inches):
    assert mass_told(kilograms, Units.MM) == told
    assert mass_told(kilograms, Units.INCH) == in_inches


@pytest.mark.parametrize("name", JOBS)
def test_twist_is_a_pull_at_a_stated_bar(jobs, name):
    """Force of the cut at its furthest point of the piece, told at 200 mm: worked out here."""
    d, findings = jobs[name]
    words = words_of(html_of(d, findings))
    for setup in d.setups:
        for cut in setup.cuts:
            data = next(c for s in report(d, findings)["setups"] for c in s["cuts"]
                        if c["name"] == cut.owner)  # fmt: skip
            pull = next(v for k, v in data.items() if k.startswith("pull that must"))
            twist = next(v for k, v in data.items() if k.startswith("twist that must"))
            arm = twist * 200.0 / pull
            piece = setup.piece
            reach = (math.hypot(piece.width.most, piece.depth.most) / 2 if isinstance(piece, Bar)
                     else max(r for _, r in piece.profile(Limit.MOST)))  # fmt: skip
            assert 0 < arm <= reach + 1e-6, "the cutter pushes at the piece, not beside it"
            units = d.job.model.units
            assert f"{mass_told(twist, units)} at the end of a bar of 200 mm" in words
            assert f"({twist * G * 0.2:.2g} N m)" in words
            little = "less than a luggage scale tells" in words_of_cut(words, cut.owner)
            assert little == (twist < 0.1)


def words_of_cut(words, name):
    """What the sheet says about pull and twist of a cut."""
    start = words.index(f" {name} : spindle isolated")
    return words[start : words.index("worked out", start)]


def test_hand_twist_is_not_called_a_test(jobs):
    words = words_of(html_of(*jobs["allotment"]))
    assert "Do not judge by a whole hand's twist" in words
    assert "with both hands" not in words


# ---- the plans ----------------------------------------------------------------------------------


def test_anchors_are_where_slots_are(jobs):
    """Bolts of the clamp stand in the table's slots, those of the ring in the front face's."""
    d, _ = jobs["allotment"]
    ring, clamp = d.setups
    slots = d.job.machine.table.fixing.at
    assert len(anchors_of(clamp)) == 5
    assert all(min(abs(a.at[0] - s) for s in slots) < 1e-6 for a in anchors_of(clamp))
    rows = d.job.machine.front_face.fixing.at
    assert len(anchors_of(ring)) == 5
    assert all(min(abs(a.at[2] - s) for s in rows) < 1e-6 for a in anchors_of(ring))


@pytest.mark.parametrize("name", JOBS)
def test_plans_hold_all_they_draw(jobs, name):
    """Every polygon lies within the view box, and each jig of the setup has its own."""
    d, _ = jobs[name]
    for setup in d.setups:
        plans = [table_plan(d, setup), front_plan(d, setup)]
        assert bool(plans[1]) == (setup.model.at == "front face")
        for svg in filter(None, plans):
            x, y, wide, high = map(float, re.search(r'viewBox="([^"]*)"', svg)[1].split())
            for points in re.findall(r'points="([^"]*)"', svg):
                for point in points.split():
                    a, b = map(float, point.split(","))
                    assert x <= a <= x + wide
                    assert y <= b <= y + high
        assert all(f"<title>{jig.name}: " in plans[0] for jig in setup.jigs if jig.name != "gauge")


# ---- the file -----------------------------------------------------------------------------------


def test_nothing_is_fetched_or_run(jobs, tmp_path):
    Image.new("RGB", (3000, 2000), "red").save(tmp_path / "a.png")
    html = html_of(*jobs["allotment"], {"ring": (tmp_path / "a.png").read_bytes()})
    assert "<script" not in html
    assert not re.search(r"https?:|//|@import|url\(|<link|onload", html.split("base64,")[0])
    assert re.findall(r'src="([^"]{0,22})', html) == ["data:image/jpeg;base64"]
    assert len(html) < 400_000, "a large picture is made smaller"


def luminance(colour):
    """WCAG 2.1, relative luminance of #rrggbb."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [v / 12.92 if v <= 0.03928 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_type_is_large_and_dark_enough(jobs):
    """11 points and more, 8 where every check is listed; black on every ground: 4.5 : 1."""
    html = html_of(*jobs["allotment"])
    style = html[html.index("<style>") : html.index("</style>")]
    sizes = {rule.split("{")[0].strip(): float(size) for rule in style.split("}")
             for size in re.findall(r"([\d.]+)pt", rule)}  # fmt: skip
    assert sizes.pop(".fine") >= 8
    assert min(sizes.values()) >= 11
    body = html[html.index("</style>") :]
    fine = [m.start() for m in re.finditer('class="fine', body)]
    assert len(fine) == 3
    assert all(at > body.index("<h2>Every check") for at in fine), "what is read at the machine"
    assert all(at < body.index("<h2>Hardware") for at in fine)
    assert not re.search(r"font-size:\s*[\d.]+(px|em|%|rem)", style)
    colours = set(re.findall(r"(?<!-)\bcolor:\s*(#\w+)", style))
    assert colours == {"#000", "#fff"}
    grounds = set(re.findall(r'(?:fill|background)(?:="|:\s*)(#[0-9a-f]{6})', html)) | {"#ffffff"}
    for ground in grounds:
        assert (luminance(ground) + 0.05) / 0.05 >= 4.5, ground


def test_same_bytes_from_run_to_run(tmp_path):
    code = (
        "from pathlib import Path\nfrom jigs.reading.job import read_job\n"
        "from jigs.sizing import design\nfrom jigs.outputs.report import report\n"
        "from jigs.outputs.setup_sheet import setup_sheet\n"
        "d = design(read_job(Path('configs/skittles.yaml')))\n"
        "print(setup_sheet(d, [], report(d, [])))\n"
    )
    runs = [
        subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True,
                       env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)}).stdout
        for seed in ("1", "2")
    ]  # fmt: skip
    assert runs[0] == runs[1]
    assert len(runs[0]) > 20_000


# ---- odd input ----------------------------------------------------------------------------------

NASTY = "</title><script>alert(1)</script>{{ 7*7 }} $(rm -rf ~) `x` & \"quotes\" 'and' more xxxxxxx"


def nasty(tmp_path):
    text = (ROOT / "configs/allotment.yaml").read_text(encoding="utf-8")
    text = text.replace("job: allotment dibbers and marker posts", f"job: {json.dumps(NASTY[:80])}")
    text = text.replace("machines/", f"{ROOT}/configs/machines/")
    (tmp_path / "nasty.yaml").write_text(text, encoding="utf-8")
    return design(read_job(tmp_path / "nasty.yaml"))


def test_markup_and_shell_text_stay_text(tmp_path):
    d = nasty(tmp_path)
    why = not_judged("<img src=x onerror=alert(1)>", group="fit", check="<b>bold</b>", of="ring")
    html = html_of(d, [why])
    assert "<script" not in html
    assert "<img" not in html
    assert "<b>bold" not in html
    assert "{{ 7*7 }}" in words_of(html), "is not worked out"
    assert "<img src=x onerror=alert(1)>" in unescape(html)


def with_pieces(tmp_path, count):
    """The allotment with so many measured dibbers."""
    text = (ROOT / "configs/allotment.yaml").read_text(encoding="utf-8")
    text = text.replace("    wood: ash\n", "    wood: ash\n    measured: pieces.csv\n")
    text = text.replace("machines/", f"{ROOT}/configs/machines/").replace("count: 24", "count: 600")
    lines = [f"d{i},{31.6 + 4.2 * i / count:.2f}" for i in range(count)]
    csv = "\n".join(("id,grip_diameter [mm]", *lines)) + "\n"
    (tmp_path / "pieces.csv").write_text(csv, encoding="utf-8")
    (tmp_path / "many.yaml").write_text(text, encoding="utf-8")
    return design(read_job(tmp_path / "many.yaml"))


def test_five_hundred_pieces_stand_in_a_table_whose_head_repeats(tmp_path):
    html = html_of(with_pieces(tmp_path, 500), [])
    table = html[html.index("Pieces: dibber") : html.index("Every check")]
    words = words_of(table)
    assert all(f" d{i} " in words for i in range(500))
    assert "<thead>" in table
    assert "thead { display: table-header-group; }" in html


# ---- printed ------------------------------------------------------------------------------------


def printed(html, folder):
    """The page printed by a browser: PDF, requests, console, and how far it reaches beside."""
    from playwright.sync_api import sync_playwright

    (folder / "sheet.html").write_text(html, encoding="utf-8")
    requests, console = [], []
    with sync_playwright() as p:
        browser = p.chromium.launch(executable_path=CHROMIUM, headless=True)
        page = browser.new_page(viewport={"width": 688, "height": 1000})  # 182 mm at 96 dpi
        page.on("request", lambda r: requests.append(r.url))
        page.on("console", lambda m: console.append(m.text))
        page.goto((folder / "sheet.html").as_uri())
        page.emulate_media(media="print")
        beyond = page.evaluate(
            """() => [...document.querySelectorAll('body *')].filter(e => {
              const b = e.getBoundingClientRect();
              return b.width && (b.right > 689 || b.left < -1 || e.scrollWidth > e.clientWidth + 1
                && getComputedStyle(e).display != 'inline' && !e.closest('svg'));
            }).map(e => e.tagName + ' ' + e.textContent.slice(0, 40))"""
        )
        pdf = page.pdf(path=folder / "sheet.pdf", prefer_css_page_size=True, print_background=True)
        browser.close()
    fetched = [url for url in requests if not url.startswith(("data:", "file:"))]
    return pypdfium2.PdfDocument(pdf), fetched, console, beyond


def assert_prints(html, folder, verdict):
    """A4, nothing beside the paper, the verdict on every page, rows whole; returns the pages."""
    pdf, fetched, console, beyond = printed(html, folder)
    assert (fetched, console, beyond) == ([], [], [])
    texts = [page.get_textpage().get_text_range() for page in pdf]
    assert [round(v) for v in pdf[0].get_size()] == [595, 842]
    for i, text in enumerate(texts):
        assert f"checks: {verdict}" in text, f"page {i + 1}"
        assert f"{i + 1} / {len(texts)}" in text
    return texts


@pytest.mark.slow
@pytest.mark.parametrize("name", JOBS)
def test_prints_on_a4(jobs, built_jobs, tmp_path, name):
    """With every finding of a build and a picture wherever the sheet takes one: few pages."""
    d, _ = jobs[name]
    data = built_jobs(name).report
    findings = [finding_of(f) for f in data["findings"]]
    assert CHROMIUM, "a browser is needed: chromium"
    Image.new("RGB", (1600, 1200), "grey").save(tmp_path / "a.png")
    jigs = [j.name for _, j in d.jigs()]
    names = [*jigs, *(f"{s.name} on the machine" for s in d.setups), *(f"{j} apart" for j in jigs),
             *(f"{j}, {way}" for j in jigs for way in ("opens", "comes out"))]  # fmt: skip
    png = (tmp_path / "a.png").read_bytes()
    html = setup_sheet(d, findings, data, dict.fromkeys(names, png))
    assert html.count("<img") == len(names)
    texts = assert_prints(html, tmp_path, "met")
    assert len(texts) <= 22, "the shop's own pictures need 20"
    for text in texts[:-1]:
        assert len(text.split()) > 15, "no page for a line or two"
    feet = [foot for foot in feet_of_headings(tmp_path / "sheet.pdf") if foot < 26 / 25.4 * 72]
    assert not feet, "a heading left alone at the foot of a page"


HEADINGS = ("Where it stands", "Where to stand", "Cutters", "Offsets to enter, from the work zero",
            "Put it together, in this order", "Tighten", "Find the work zero", "Change a piece",
            "Pull and twist, before the first cut", "Every check", "What was assumed", "Hardware",
            "What these checks assume", "Cut list, finished sizes")  # fmt: skip


def feet_of_headings(path):
    """How high above the paper's lower edge each heading stands, points."""
    found = []
    for page in pypdfium2.PdfDocument(path):
        words = page.get_textpage()
        for heading in HEADINGS:
            search = words.search(heading + "\r\n", match_case=True)
            while place := search.get_next():
                found.append(words.get_charbox(place[0])[1])
    assert len(found) >= len(HEADINGS)
    return found


def finding_of(data):
    """A finding as it was before it was written into the report."""
    plain = {k: v for k, v in data.items() if k in ("group", "check", "of", "value", "sense",
             "limit", "unit", "governs", "why", "source", "equation")}  # fmt: skip
    return Finding(verdict=Verdict(data["verdict"]), assumes=tuple(data.get("assumes", ())),
                   **{"unit": ""} | plain)  # fmt: skip


@pytest.mark.slow
def test_prints_five_hundred_pieces_and_a_long_name(tmp_path):
    d = with_pieces(tmp_path, 500)
    texts = assert_prints(html_of(d, judged(d)), tmp_path, "met")
    pages = [text for text in texts if re.search(r"\bd\d+\b", text)]
    assert len(pages) > 5
    assert all("ring:" in page and "piece" in page for page in pages), "the head on every page"


@pytest.mark.slow
def test_prints_markup_as_text(tmp_path):
    d = nasty(tmp_path)
    wrong = at_least(0.0, 1.0, group="fit", check="x" * 300, of="ring")
    texts = assert_prints(html_of(d, [wrong]), tmp_path, "NOT MET")
    assert "alert(1)" in texts[0]
