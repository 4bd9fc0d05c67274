"""Files and words from a stranger: refused or escaped, in bounded time and memory, in one place.

YAML as such is tried in `tests/reading/test_source.py` (two hundred hostile files), names of files
in `tests/test_publish.py`. Here: CSV, and free text on its way into every file that is written.
"""

from __future__ import annotations

import csv
import io
import json
import random
import time
import tracemalloc
import xml.etree.ElementTree as ElementTree
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import ezdxf
import pypdfium2
import pytest
import yaml
from click.testing import CliRunner

from jigs import publish
from jigs.checks.numbers import number_findings
from jigs.cli import main
from jigs.errors import JigsError, ReadingError, ReadingErrors
from jigs.model.pose import Pose
from jigs.outputs.report import report, told
from jigs.outputs.workshop import write_papers, write_workshop
from jigs.reading.csv_lines import LONGEST_LINE
from jigs.reading.job import read_job
from jigs.sizing import Design, design

from .judging import complain_of, judge
from .mutated import WAYS, mutated
from .work import do_files

CONFIGS = Path(__file__).parents[2] / "configs"
MB = 1_000_000

# ---- measured pieces ----------------------------------------------------------------------------

HEADER = b"id,grip_diameter\n"
HOSTILE_CSV = {
    "50 MB on one line": b"x" * (50 * MB),
    "50 MB of commas": b"," * (50 * MB),
    "50 MB of quotes": b'"' * (50 * MB),
    "50 MB of zero bytes": bytes(50 * MB),
    "a long line below the header": HEADER + b"1," + b"3" * 20_000,
    "a number of 9,000 digits": HEADER + b"1," + b"3" * 9_000,
    "9,000 columns": b"," * 9_000 + b"\n",
    "more than 64 MB": HEADER + b"\n" * (65 * MB),
    "a quote that never closes": HEADER + b'1,"33\n' * 30,
    "UTF-16": "id,grip_diameter\n1,33\n".encode("utf-16"),
    "UTF-16 without its mark": "id,grip_diameter\n1,33\n".encode("utf-16-le"),
    "latin-1": HEADER + "Stück,33\n".encode("latin-1"),
    "control bytes": HEADER + b"1,3\x0b3\n\x1b[2J,33\n",
    "a zero byte": HEADER + b"1,33\0\n",
    "nan": HEADER + b"1,nan\n2,inf\n3,-1\n4,1e400\n",
    "nothing": b"",
    "only the mark of UTF-8": b"\xef\xbb\xbf",
    "another program's file": b"PK\x03\x04" + bytes(range(256)) * 40,
}


@pytest.mark.parametrize("name", HOSTILE_CSV)
def test_a_hostile_csv_is_refused_soon_and_in_few_words(name: str, tmp_path: Path) -> None:
    job, pieces = tmp_path / "job.yaml", tmp_path / "pieces.csv"
    job.write_bytes((Path(__file__).parents[1] / "one_setup.yaml").read_bytes())
    pieces.write_bytes(HOSTILE_CSV[name])
    tracemalloc.start()
    start = time.process_time()
    with pytest.raises((ReadingError, ReadingErrors)) as refused:
        read_job(job, measured={"dibber": pieces})
    took, (_, most) = time.process_time() - start, tracemalloc.get_traced_memory()
    tracemalloc.stop()
    complain_of(refused.value)
    assert took < 1.0
    assert most < 20 * MB, "a file is read line by line"
    assert len(str(refused.value)) < 12_000
    assert "\x1b" not in str(refused.value)
    assert "\0" not in str(refused.value)


def test_a_line_just_short_enough_is_read(tmp_path: Path) -> None:
    job, pieces = tmp_path / "job.yaml", tmp_path / "pieces.csv"
    text = (Path(__file__).parents[1] / "one_setup.yaml").read_text(encoding="utf-8")
    job.write_text(text.replace("machines/", f"{CONFIGS}/machines/"), encoding="utf-8")
    remark = "x" * (LONGEST_LINE - len("1,33,\n"))
    pieces.write_text(f"id,grip_diameter,remark\n1,33,{remark}\n", encoding="utf-8")
    read = read_job(job, measured={"dibber": pieces})
    assert list(read.measured.of["dibber"].sizes["grip_diameter"]) == [33.0]


# ---- free text ----------------------------------------------------------------------------------

NASTY = (
    "</title><script>alert(1)</script>", "<img src=x onerror=alert(2)>", "{{ 7*7 }}{% raw %}",
    "$(rm -rf ~) `id` ; | & > x", "../../../etc/passwd", "C:\\Windows\\con", "nul", "%s %n {0}",
    "\"double\" 'single' \\back\\", "=HYPERLINK(1)", "-->]]>&lt;&#0;", "'); ENDSEC; DATA; #1=X(",
    "0\\nEOF", "Ω ± 漢字 \u202e right to left", "a" * 70,
)  # fmt: skip
"""Markup, shell, paths, devices, formats, formulas, and ends of STEP and DXF sections."""


def renamed(data: dict[str, Any], nasty: str) -> dict[str, Any]:
    """A job with that text wherever text is free; materials keep their meaning in the tables."""
    data["job"], data["revision"] = nasty, nasty[:12]
    machine = data["machine"]
    machine["name"] = nasty
    cutters = {name: f"{nasty[:40]} {i}" for i, name in enumerate(machine["cutters"])}
    machine["cutters"] = {cutters[name]: cutter for name, cutter in machine["cutters"].items()}
    for cut in data["cuts"].values():
        cut["cutter"] = cutters[cut["cutter"]]
    for lining in data["linings"].values():
        lining["material"] = nasty
    for jig in data["jigs"].values():
        if jig["kind"] == "end_grain_clamp":
            jig["backer_wood"] = nasty
    return data


def plain(data: dict[str, Any]) -> dict[str, Any]:
    """The same with a plain word in all those places."""
    return renamed(data, "plain words")


def skittles() -> dict[str, Any]:
    """The shipped job with its machine written into it."""
    data = yaml.safe_load((CONFIGS / "skittles.yaml").read_bytes())
    machine = yaml.safe_load((CONFIGS / data["machine"]).read_bytes())
    machine.pop("units")
    data["machine"] = machine
    return dict(data)


def published(data: dict[str, Any], folder: Path) -> Path:
    """Everything that is written without the kernel, in `folder`/out."""
    job = folder / "job.yaml"
    job.write_text(yaml.safe_dump(data, allow_unicode=True, sort_keys=False), encoding="utf-8")
    made: Design = design(read_job(job))
    findings = number_findings(made)
    with publish.into(folder / "out", publish.Stamp("nasty")) as out:
        write_workshop(made, out, told(findings))
        write_papers(made, findings, report(made, findings), out, {})
    return folder / "out"


class Census(HTMLParser):
    """Counts the tags of a page; attributes that could run something are noted."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: Counter[str] = Counter()
        self.acts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.acts += [name for name, _ in attrs if name.startswith("on")]


def census(path: Path) -> Counter[str]:
    """How many of each kind of element a file holds, read by what did not write it."""
    match path.suffix:
        case ".html":
            page = Census()
            page.feed(path.read_text(encoding="utf-8"))
            assert page.acts == []
            return page.tags
        case ".svg":
            return Counter(str(e.tag) for e in ElementTree.parse(path).iter())
        case ".dxf":
            drawing = ezdxf.readfile(path)
            assert not drawing.audit().has_errors
            return Counter(e.dxftype() for e in drawing.modelspace())
        case ".json":
            json.loads(path.read_text(encoding="utf-8"))
            return Counter()
        case ".csv":
            rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
            assert not any(cell[:1] in "=+@\t" for row in rows for cell in row if cell)
            return Counter({"rows": len(rows), "cells": sum(map(len, rows))})
        case ".pdf":
            return Counter({"pages": len(pypdfium2.PdfDocument(path))})
    raise AssertionError(f"what is {path.name}?")


@pytest.fixture(scope="module")
def tame(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Counter[str]]:
    """What the files hold where every free text is a plain word."""
    folder = published(plain(skittles()), tmp_path_factory.mktemp("tame"))
    return {p.relative_to(folder).as_posix(): census(p) for p in _files(folder)}


def _files(folder: Path) -> list[Path]:
    return sorted(p for p in folder.rglob("*") if p.is_file())


MAY_WRAP = {"tspan", "text", "br", "MTEXT", "TEXT", "LINE", "path", "polyline", "g"}
"""Elements of which longer text may need another number, in drawings and pictures."""


def test_text_stays_text_in_every_file(tame: dict[str, Counter[str]], tmp_path: Path) -> None:
    nasty = f"{NASTY[0]} {NASTY[11]} {NASTY[13][:12]}"
    inside = tmp_path / "shop"
    inside.mkdir()
    folder = published(renamed(skittles(), nasty), inside)
    found = {p.relative_to(folder).as_posix(): census(p) for p in _files(folder)}
    assert set(found) == set(tame), "no text of the user's but a name is in the name of a file"
    for name, elements in found.items():
        changed = {e for e in elements | tame[name] if elements[e] != tame[name][e]}
        kinds = {e.rsplit("}", 1)[-1] for e in changed}
        assert kinds <= MAY_WRAP, (name, {e: (elements[e], tame[name][e]) for e in changed})
    html = (
        (folder / "setup sheet.html").read_text(encoding="utf-8")
        if (folder / "setup sheet.html").exists()
        else next(folder.glob("setup sheet*.html")).read_text(encoding="utf-8")
    )
    assert "<script>alert" not in html
    assert {p.name for p in tmp_path.iterdir()} == {"shop"}
    assert {p.name for p in inside.iterdir()} <= {"job.yaml", "out", ".out.lock"}


def test_text_stays_text_in_step(tmp_path: Path) -> None:
    """A box with such a name and description, read by the bare kernel: one solid."""
    import cadquery as cq
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader

    from jigs.outputs.cad.step import write_step
    from jigs.outputs.cad.tree import Group, Leaf

    for i, nasty in enumerate(NASTY):
        path = tmp_path / f"{i}.step"
        box = cq.Workplane().box(1, 2, 3).val()
        leaf = Leaf(nasty, nasty, box, Pose(), (0.5, 0.5, 0.5, 1.0))
        write_step(Group(nasty, (leaf,)), path, f"{nasty}\n{nasty}")
        reader = STEPControl_Reader()
        assert reader.ReadFile(str(path)) == IFSelect_RetDone
        assert reader.TransferRoots() == 1
        assert cq.Shape.cast(reader.OneShape()).Volume() == pytest.approx(6, rel=1e-9)


@pytest.mark.parametrize("nasty", NASTY)
def test_such_a_name_is_no_name(nasty: str, tmp_path: Path) -> None:
    """Names become files: what is no plain word is refused, whatever it names."""
    for section in ("pieces", "jigs", "setups", "sheets", "linings", "cuts"):
        data = skittles()
        first, *_ = data[section]
        data[section][nasty] = data[section].pop(first)
        job = tmp_path / "job.yaml"
        job.write_text(yaml.safe_dump(data, allow_unicode=True), encoding="utf-8")
        with pytest.raises(JigsError, match=r"name|print|there is no|a key of this length") as no:
            read_job(job)
        complain_of(no.value)


def test_a_machine_elsewhere_is_read_and_nothing_of_it_is_shown(tmp_path: Path) -> None:
    """The path of a machine may lead anywhere that the user may read; it is only read as YAML."""
    secret = tmp_path / "secret"
    secret.write_text("root:x:0:0:root\n" * 3, encoding="utf-8")
    job = tmp_path / "shop/job.yaml"
    job.parent.mkdir()
    data = skittles()
    data["machine"] = "../secret"
    job.write_text(yaml.safe_dump(data), encoding="utf-8")
    before = {p: p.stat().st_mtime_ns for p in tmp_path.rglob("*")}
    result = CliRunner().invoke(main, ["check", str(job)])
    assert result.exit_code == 2
    assert {p: p.stat().st_mtime_ns for p in tmp_path.rglob("*")} == before


def test_a_sheet_to_measure_is_not_written_through_a_link(tmp_path: Path) -> None:
    mine, link = tmp_path / "mine.html", tmp_path / "sheet.html"
    mine.write_text("my own page", encoding="utf-8")
    link.symlink_to(mine)
    job = CONFIGS / "allotment.yaml"
    result = CliRunner().invoke(main, ["measure", str(job), "--out", str(link)])
    assert result.exit_code == 2
    assert mine.read_text(encoding="utf-8") == "my own page"


# ---- accidents ----------------------------------------------------------------------------------


def test_damaged_files_are_read_or_refused(tmp_path: Path) -> None:
    """A sample of what the long run does by the thousand."""
    told: Counter[str] = Counter()
    for i in range(25):
        folder = tmp_path / str(i)
        folder.mkdir()
        told[do_files(random.Random(f"damaged {i}"), folder)] += 1
    assert sum(n for what, n in told.items() if what.endswith("refused")) >= 8
    assert sum(told.values()) == 25


def test_every_way_of_damage_does_some() -> None:
    """Else five thousand files would be the same file."""
    data = (CONFIGS / "allotment.yaml").read_bytes()
    for way in WAYS:
        assert any(way(random.Random(i), data) != data for i in range(5)), way.__name__
    assert len({mutated(random.Random(i), data) for i in range(50)}) > 45


def test_a_refusal_of_a_shop_drawn_at_random_has_place_and_reason(tmp_path: Path) -> None:
    """`judge` itself: a job that cannot be is refused, and the judge says so."""
    job = tmp_path / "job.yaml"
    data = skittles()
    data["linings"]["rubber"]["thickness"] = 0.05
    job.write_text(yaml.safe_dump(data), encoding="utf-8")
    outcome = judge(job)
    assert outcome.kind == "refused"
    assert outcome.said
