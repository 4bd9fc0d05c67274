"""The setup sheet: one self-contained HTML file per job, for A4 paper, without scripts.

Everything on it comes from the design and the report of the same build; the pictures only show.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from jigs.batch.running import SetupRun
from jigs.checks.hold import TWIST_ARM
from jigs.mechanics.hand import STANDARD_GRAVITY
from jigs.model.finding import Finding, Verdict
from jigs.model.number import Number, Standing
from jigs.outputs.cut_files import marked
from jigs.outputs.drawings.tasks import job_file_date
from jigs.outputs.report import told as verdict_told
from jigs.outputs.setup_sheet_lists import (
    Report,
    assumed,
    batch,
    checks_met,
    cut_list,
    finding_told,
    hardware,
    signed,
    size_told,
    unjudged,
)
from jigs.outputs.setup_sheet_plan import anchors_of, front_plan, jig_fill, table_plan
from jigs.publish import Publication
from jigs.sizing import Design, Jig, Setup
from jigs.units import MM_PER_INCH, Units

NAME = "setup sheet.html"

CAUTIONS = (
    "Router work throws pieces and breaks cutters. Eye and ear protection, always; dust extraction "
    "and a mask: dust of hardwood and MDF harms, while the jig is made as well.",
    "No gloves, loose sleeves, strings or loose hair near the spindle.",
    "Isolate the spindle, do not just stop it, before reaching in: at every change of a piece and "
    "of a cutter. Emergency stop within reach. Never leave it running alone.",
    "Work in front of the table: stand to the side. Nobody at the front edge while the machine can "
    "move. Mind what nips between gantry and clamp, and studs that stick out at hip height.",
    "Catch the piece before you slacken the ring. Count gauge and spanners as away before the "
    "spindle may start.",
    "Before the first cut: pull and twist each piece by hand. First run in the air, then on scrap "
    "at reduced feed. Stop at the first slip or squeal.",
    "While the jig is made: small blocks are ripped, bored and drilled into their edges in a "
    "holder, with push sticks. Printed parts creep: check them again after some weeks.",
    "Do not alter guards, and do not drill the machine itself.",
    "Forces are estimates on stated assumptions; the checks are a help, not a guarantee. The "
    "machine's manual and local rules go first (ISO 19085 on woodworking machines, ISO 12100 on "
    "risk assessment). Ask a competent person where in doubt.",
)

TOUCH = {
    "edge": "touch the edge with a probe or an edge finder, and count half its diameter; for z its "
    "top, with a strip of paper",
    "pin": "touch the pin on opposite sides; the middle counts",
    "bore": "touch the bore on opposite sides; the middle counts",
    "crown": "lower the probe onto the crown until it just touches",
    "face": "lower the cutter until a strip of paper on the face just drags",
}  # fmt: skip

FINGERS, FIRM = 700.0, 2500.0
"""N mm up to which fingers do, and up to which a hand on a knob or a short spanner held near its
head does. Common practice, no source."""

LEVER = 100.0
"""mm of spanner at whose end a torque is told in kg as well."""

LEAST_ON_A_SCALE = 0.1
"""kg below which a luggage scale shows nothing that counts. Common practice, no source."""

POUND = 0.45359237
"""kg, exact: agreed in 1959; NIST SP 811 (2008), appendix B.8."""

PICTURE_QUALITY, MARGIN = 82, 8
WHOLE, APART, MOVING = 1000, 1600, 700
"""Pixels that pictures are wide: of a whole, of what is taken apart with its list, of a move."""


def write_setup_sheet(
    d: Design, findings: Sequence[Finding], report: Report, out: Publication,
    pictures: Mapping[str, bytes] | None = None, runs: Sequence[SetupRun] | None = None,
) -> None:  # fmt: skip
    """Write `setup sheet.html`; its name carries the verdict where it is not met.

    Parameters: see `setup_sheet`.
    """
    text = setup_sheet(d, findings, report, pictures, runs)
    out.write_text(marked(NAME, verdict_told(findings)), text)


def setup_sheet(
    d: Design, findings: Sequence[Finding], report: Report,
    pictures: Mapping[str, bytes] | None = None, runs: Sequence[SetupRun] | None = None,
) -> str:  # fmt: skip
    """The sheet as the text of one HTML file.

    Parameters: report = the plain data of the same build's report; pictures = name without ending,
    such as "ring" or "marking on the machine" -> PNG or SVG; runs = the batch worked out; left
    out, it is worked out here where pieces were measured.
    """
    if runs is None:
        runs = _measured_runs(d)
    units = d.job.model.units
    shown = {name: _data_uri(data, _wide(name)) for name, data in sorted((pictures or {}).items())}
    of_setup = {s["name"]: s for s in report["setups"]}
    text: str = template().render(
        job=d.job.model.job, revision=d.job.model.revision, machine=d.job.machine.name,
        dated=job_file_date(d), checks=verdict_told(findings), counts=report["counts"],
        verdict=report["verdict"], cautions=CAUTIONS, not_covered=report["not covered"],
        wrong=[finding_told(f, units) for f in findings if f.verdict is Verdict.NOT_MET],
        unjudged=unjudged(findings, units),
        setups=[_setup(d, s, of_setup[s.name], report, shown) for s in d.setups],
        met=checks_met(findings, units),
        assumed=assumed(d, report), cut_list=cut_list(d), hardware=hardware(d),
        batches=[batch(d, run) for run in runs], inch=units is Units.INCH,
        any_picture=bool(shown),
    )  # fmt: skip
    return text


@cache
def template() -> Any:
    """The page, with all values escaped unless they are our own drawings."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folder = Path(__file__).parent / "templates"
    return Environment(
        loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    ).get_template("setup_sheet.html")  # fmt: skip


def _measured_runs(d: Design) -> Sequence[SetupRun]:
    if not d.job.measured.of:
        return ()
    from jigs.batch.running import run_batch

    return run_batch(d)


def _wide(name: str) -> int:
    if name.endswith(" apart"):
        return APART
    return MOVING if ", " in name else WHOLE


def _data_uri(data: bytes, wide: int) -> str:
    """A picture small enough to print, inside the page; a line view as it is."""
    if data.lstrip().startswith(b"<"):
        return "data:image/svg+xml;base64," + base64.b64encode(data).decode("ascii")
    from PIL import Image

    image = _without_margins(Image.open(io.BytesIO(data)).convert("RGB"))
    image.thumbnail((wide, wide))
    made = io.BytesIO()
    image.save(made, "JPEG", quality=PICTURE_QUALITY)
    return "data:image/jpeg;base64," + base64.b64encode(made.getvalue()).decode("ascii")


def _without_margins(image: Any) -> Any:
    """A picture without the white around it, so that what is on it comes out larger."""
    from PIL import ImageChops

    x0, y0, x1, y1 = ImageChops.invert(image).getbbox() or (0, 0, *image.size)
    return image.crop((max(0, x0 - MARGIN), max(0, y0 - MARGIN),
                       min(image.width, x1 + MARGIN), min(image.height, y1 + MARGIN)))  # fmt: skip


# ---- one setup ----------------------------------------------------------------------------------


def _setup(
    d: Design, setup: Setup, data: Report, report: Report, pictures: Mapping[str, str]
) -> dict[str, Any]:
    from markupsafe import Markup

    units = d.job.model.units
    return {
        "name": setup.name, "piece": setup.model.piece, "at": setup.model.at,
        "jigs": [{"name": j.name, "title": j.kind.title, "fill": jig_fill(setup, j)}
                 for j in setup.jigs],
        "picture": pictures.get(f"{setup.name} on the machine"),
        "small": [(j.name, pictures[j.name]) for j in setup.jigs if j.name in pictures],
        "apart": {j.name: pictures.get(f"{j.name} apart", "") for j in setup.jigs},
        "moving": [(name, picture) for name, picture in pictures.items()
                   if name.startswith(tuple(f"{j.name}, " for j in setup.jigs))],
        "table_plan": Markup(table_plan(d, setup)),
        "front_plan": Markup(front_plan(d, setup)),
        "zero": [size_told(v, units) for v in data["work zero in the machine frame"]],
        "anchors": [
            {"jig": a.jig, "name": a.name, "at": [size_told(v, units) for v in a.at]}
            for a in anchors_of(setup)
        ],
        "holes": [
            {**h, "at": [size_told(v, units) for v in h["at"]],
             "diameter": size_told(h["diameter"], units), "depth": size_told(h["depth"], units)}
            for h in data["holes to drill, machine frame"]
        ],
        "datums": [datum for jig in setup.jigs for datum in _datums(jig, units)],
        "cuts": [_cut(d, setup, cut, units) for cut in data["cuts"]],
        "assembly": [(jig.name, report["assembly"].get(jig.name, [])) for jig in setup.jigs],
        "torques": [t for jig in setup.jigs for t in _torques(jig, units)],
        "turns": [t for jig in setup.jigs for t in _turns(jig)],
        "steps": data["changing a piece"],
        "away": list(dict.fromkeys(s["counted as away"] for s in data["changing a piece"]
                                   if "counted as away" in s)),
        "stand": data["where to stand"],
        "in_front": size_told(data["where to stand"][
            "moves in front of the table's edge by, mm"], units),
        "offsets": [(limit, [signed(v, units) for v in at]) for limit, at in
                    data["offsets from the work zero, machine x y z"].items()],
    }  # fmt: skip


def _datums(jig: Jig, units: Units) -> Iterator[dict[str, Any]]:
    for datum in jig.kind.datums(jig.n):
        yield {
            "jig": jig.name, "name": datum.name, "how": TOUCH[datum.feature],
            "set": [f"{axis} to {signed(v, units)}"
                    for axis, v in zip(datum.gives, datum.from_zero, strict=True)],
            "back": size_told(datum.comes_back, units), "by": datum.by, "check": datum.check,
        }  # fmt: skip


def _cut(d: Design, setup: Setup, data: Report, units: Units) -> dict[str, Any]:
    book = next(cut for cut in setup.cuts if cut.owner == data["name"])
    held = data.get("held up to")
    return {
        "name": data["name"], "cutter": d.job.model.cuts[data["name"]].cutter,
        "diameter": size_told(book.cutter_diameter, units),
        "stick_out": size_told(book.stick_out, units),
        "depth": size_told(book.cut_depth, units), "pass": size_told(book.pass_depth, units),
        "feed": _feed(book.feed, units), "speed": f"{book.spindle_speed:.0f}",
        "force": f"{data['greatest force, N']:.1f}",
        "pull": mass_told(_value_of(data, "pull that must"), units),
        "twist": _twist(_value_of(data, "twist that must"), units),
        "held": None if held is None else {
            "force": f"{held['force, N']:.1f}", "pass": size_told(held["or a pass of, mm"], units),
            "feed": _feed(held["or a feed of, mm/min"], units, " mm"),
        },
    }  # fmt: skip


def _value_of(data: Report, name: str) -> float:
    return float(data[next(key for key in data if key.startswith(name))])


def _feed(value: float, units: Units, unit: str = "") -> str:
    """mm a minute, and inches a minute beside it where the job is in inches."""
    return f"{value:.0f}{unit}" + (
        f" ({value / MM_PER_INCH:.0f} in)" if units is Units.INCH else ""
    )


def mass_told(kilograms: float, units: Units) -> str:
    """What a scale shows: grams where it is little, and pounds where the job is in inches."""
    if kilograms < LEAST_ON_A_SCALE:
        return f"{1000 * kilograms:.{1 if kilograms < 0.01 else 0}f} g"
    pounds = f" ({_counting(kilograms / POUND)} lb)" if units is Units.INCH else ""
    return f"{_counting(kilograms)} kg{pounds}"


def _counting(value: float) -> str:
    """Figures that count on a scale."""
    return f"{value:.{0 if value >= 10 else 1 if value >= 1 else 2}f}"


def _twist(kilograms: float, units: Units) -> dict[str, Any]:
    """The twist of the cut as a pull on a bar; whether a luggage scale can tell it."""
    return {
        "pull": mass_told(kilograms, units), "arm": size_told(TWIST_ARM, units),
        "torque": f"{kilograms * STANDARD_GRAVITY * TWIST_ARM / 1000:.2g}",
        "on_a_scale": kilograms >= LEAST_ON_A_SCALE,
    }  # fmt: skip


def _torques(jig: Jig, units: Units) -> Iterator[dict[str, str]]:
    """What is to be tightened how hard: numbers of the jig that say so, not what a hand can do."""
    for number in jig.n.values():
        named = number.name.endswith("torque") and "hand" not in number.name
        if number.unit == "N mm" and named and number.value:  # 0 = there is nothing to tighten
            yield {"jig": jig.name, "what": number.meaning.rstrip("."),
                   **torque_told(number, units)}  # fmt: skip


def torque_told(number: Number, units: Units) -> dict[str, str]:
    """A torque in N m, in kg at the end of a spanner, and in plain words."""
    value = float(number.value)  # type: ignore[arg-type]
    if value < FINGERS:
        how = "by fingers"
    elif value < FIRM:
        how = "by hand, firmly: a knob, or a spanner held near its head"
    else:
        how = "a spanner, one hand, without jerking"
    kilograms = value / LEVER / STANDARD_GRAVITY
    return {"torque": f"{value / 1000:.2f}", "pull": mass_told(kilograms, units), "how": how,
            "standing": str(number.standing)}  # fmt: skip


def _turns(jig: Jig) -> Iterator[dict[str, str]]:
    for number in jig.n.values():
        if number.unit == "turns" and number.standing is not Standing.ASSUMED:
            yield {"jig": jig.name, "what": number.meaning.rstrip("."),
                   "turns": f"{float(number.value):.2f}"}  # type: ignore[arg-type]  # fmt: skip
