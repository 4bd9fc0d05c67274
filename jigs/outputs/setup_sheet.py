"""The setup sheet: one self-contained HTML file per job, for A4 paper, without scripts.

Everything on it comes from the design and the report of the same build; the pictures only show.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any

from jigs.batch.running import SetupRun
from jigs.making.lists import cut_rows, hardware_rows
from jigs.mechanics.hand import STANDARD_GRAVITY
from jigs.model.finding import Finding, Verdict
from jigs.model.number import Number, Standing
from jigs.outputs.batch_table import changing, same_for_all
from jigs.outputs.cut_files import marked
from jigs.outputs.drawings.rows import mm
from jigs.outputs.drawings.tasks import job_file_date
from jigs.outputs.report import told as verdict_told
from jigs.outputs.setup_sheet_plan import anchors_of, front_plan, jig_fill, table_plan
from jigs.publish import Publication
from jigs.sizing import Design, Jig, Setup
from jigs.units import Units, format_length

NAME = "setup sheet.html"
Report = Mapping[str, Any]

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

PICTURE_QUALITY = 82
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
        wrong=[_finding(f, units) for f in findings if f.verdict is Verdict.NOT_MET],
        unjudged=_unjudged(findings),
        setups=[_setup(d, s, of_setup[s.name], report, shown) for s in d.setups],
        groups=_groups(findings, units),
        assumed=_assumed(d, report), cut_list=_cut_list(d), hardware=_hardware(d),
        batches=[_batch(d, run) for run in runs], inch=units is Units.INCH,
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

    image = Image.open(io.BytesIO(data)).convert("RGB")
    image.thumbnail((wide, wide))
    made = io.BytesIO()
    image.save(made, "JPEG", quality=PICTURE_QUALITY)
    return "data:image/jpeg;base64," + base64.b64encode(made.getvalue()).decode("ascii")


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
        "zero": [_size(v, units) for v in data["work zero in the machine frame"]],
        "anchors": [
            {"jig": a.jig, "name": a.name, "at": [_size(v, units) for v in a.at]}
            for a in anchors_of(setup)
        ],
        "holes": [
            {**h, "at": [_size(v, units) for v in h["at"]],
             "diameter": _size(h["diameter"], units), "depth": _size(h["depth"], units)}
            for h in data["holes to drill, machine frame"]
        ],
        "datums": [datum for jig in setup.jigs for datum in _datums(jig, units)],
        "cuts": [_cut(d, setup, cut, units) for cut in data["cuts"]],
        "assembly": [(jig.name, report["assembly"].get(jig.name, [])) for jig in setup.jigs],
        "torques": [t for jig in setup.jigs for t in _torques(jig)],
        "turns": [t for jig in setup.jigs for t in _turns(jig)],
        "steps": data["changing a piece"],
        "away": list(dict.fromkeys(s["counted as away"] for s in data["changing a piece"]
                                   if "counted as away" in s)),
        "stand": data["where to stand"],
        "offsets": [(limit, [_signed(v, units) for v in at]) for limit, at in
                    data["offsets from the work zero, machine x y z"].items()],
    }  # fmt: skip


def _datums(jig: Jig, units: Units) -> Iterator[dict[str, Any]]:
    for datum in jig.kind.datums(jig.n):
        yield {
            "jig": jig.name, "name": datum.name, "how": TOUCH[datum.feature],
            "set": [f"{axis} to {_signed(v, units)}"
                    for axis, v in zip(datum.gives, datum.from_zero, strict=True)],
            "back": _size(datum.comes_back, units), "by": datum.by, "check": datum.check,
        }  # fmt: skip


def _cut(d: Design, setup: Setup, data: Report, units: Units) -> dict[str, Any]:
    book = next(cut for cut in setup.cuts if cut.owner == data["name"])
    held = data.get("held up to")
    return {
        "name": data["name"], "cutter": d.job.model.cuts[data["name"]].cutter,
        "diameter": _size(book.cutter_diameter, units), "stick_out": _size(book.stick_out, units),
        "depth": _size(book.cut_depth, units), "pass": _size(book.pass_depth, units),
        "feed": f"{book.feed:.0f}", "speed": f"{book.spindle_speed:.0f}",
        "force": f"{data['greatest force, N']:.1f}", "pull": _pull(data),
        "held": None if held is None else {
            "force": f"{held['force, N']:.1f}", "pass": _size(held["or a pass of, mm"], units),
            "feed": f"{held['or a feed of, mm/min']:.0f}",
        },
    }  # fmt: skip


def _pull(data: Report) -> str:
    return f"{data[next(k for k in data if k.startswith('pull that must'))]:.1f}"


def _torques(jig: Jig) -> Iterator[dict[str, str]]:
    """What is to be tightened how hard: numbers of the jig that say so, not what a hand can do."""
    for number in jig.n.values():
        if number.unit == "N mm" and number.name.endswith("torque") and "hand" not in number.name:
            yield {"jig": jig.name, "what": number.meaning.rstrip("."), **torque_told(number)}


def torque_told(number: Number) -> dict[str, str]:
    """A torque in N m, in kg at the end of a spanner, and in plain words."""
    value = float(number.value)  # type: ignore[arg-type]
    if value < FINGERS:
        how = "by fingers"
    elif value < FIRM:
        how = "by hand, firmly: a knob, or a spanner held near its head"
    else:
        how = "a spanner, one hand, without jerking"
    kilograms = value / LEVER / STANDARD_GRAVITY
    return {"torque": f"{value / 1000:.2f}", "pull": f"{kilograms:.2f}", "how": how,
            "standing": str(number.standing)}  # fmt: skip


def _turns(jig: Jig) -> Iterator[dict[str, str]]:
    for number in jig.n.values():
        if number.unit == "turns" and number.standing is not Standing.ASSUMED:
            yield {"jig": jig.name, "what": number.meaning.rstrip("."),
                   "turns": f"{float(number.value):.2f}"}  # type: ignore[arg-type]  # fmt: skip


# ---- findings and lists -------------------------------------------------------------------------


def _groups(findings: Sequence[Finding], units: Units) -> list[dict[str, Any]]:
    """Findings by group; in each what is not met first, then what is not judged.

    What several of them assume is told once below the group, by number.
    """
    order = (Verdict.NOT_MET, Verdict.NOT_JUDGED, Verdict.MET)
    ranked = sorted(findings, key=lambda f: (f.group, order.index(f.verdict)))
    found = []
    for group, members in groupby(ranked, key=lambda f: f.group):
        rows = [_finding(f, units) for f in members]
        told_once = list(dict.fromkeys(words for row in rows for words in row["assumes"]))
        for row in rows:
            row["assumes"] = [f"A{told_once.index(words) + 1}" for words in row["assumes"]]
        found.append({"name": group, "rows": rows, "assumes": told_once})
    return found


def _unjudged(findings: Sequence[Finding]) -> dict[str, list[str]]:
    """What is not judged, by the reason."""
    found: dict[str, list[str]] = {}
    for f in findings:
        if f.verdict is Verdict.NOT_JUDGED:
            found.setdefault(f.why, []).append(f"{f.of}: {f.check}")
    return found


def _finding(f: Finding, units: Units) -> dict[str, Any]:
    return {
        "of": f.of, "check": f.check, "verdict": str(f.verdict), "why": f.why,
        "value": _value(f.value, f.unit, units), "limit": _value(f.limit, f.unit, units),
        "sense": f.sense, "margin": _value(f.margin, f.unit, units), "governs": f.governs,
        "assumes": list(f.assumes), "remedies": [str(r) for r in f.remedies],
    }  # fmt: skip


def _value(value: float | None, unit: str, units: Units) -> str:
    """A figure with its unit; inches in brackets."""
    if value is None:
        return ""
    inches = ""
    if unit == "mm" and units is Units.INCH:
        inches = f" ({format_length(value, Units.INCH).removesuffix(' in')})"
    return f"{mm(value)} {unit}".rstrip() + inches


def _size(value: float, units: Units) -> str:
    """In mm, and in inches beside it where the job is in inches."""
    return (
        f"{mm(value)} mm"
        if units is Units.MM
        else (f"{mm(value)} mm ({format_length(value, Units.INCH)})")
    )


def _signed(value: float, units: Units) -> str:
    sign = "+" if float(mm(value)) > 0 else ""
    return f"{sign}{_size(value, units)}"


def _assumed(d: Design, report: Report) -> list[dict[str, str]]:
    """Numbers that any finding reads and nobody has measured or given."""
    found: dict[str, dict[str, str]] = {}
    numbers = d.numbers()
    units = d.job.model.units
    for finding in report["findings"]:
        for read in finding.get("reads", ()):
            if read["standing"] != str(Standing.ASSUMED) or read["name"] in found:
                continue
            value, unit = read["value"], read["unit"]
            words = _value(value, unit, units) if isinstance(value, int | float) else str(value)
            number = numbers.get(read["name"])
            found[read["name"]] = {
                "name": read["name"], "value": words,
                "meaning": number.meaning if number else "",
                "source": number.source if number else "",
            }  # fmt: skip
    return list(found.values())


def _cut_list(d: Design) -> list[dict[str, Any]]:
    inch = d.job.model.units is Units.INCH
    found = []
    for r in cut_rows(d):
        sizes = (r.length, r.width, r.thickness)
        found.append({
            "jig": r.jig, "title": r.title, "quantity": r.quantity, "made": r.made,
            "material": f"{r.material}{f', {r.stock}' if r.stock else ''}",
            "size": [mm(v) for v in sizes],
            "inches": [format_length(v, Units.INCH) for v in sizes] if inch else [],
            "grain": r.grain, "note": r.note,
        })  # fmt: skip
    return found


def _hardware(d: Design) -> list[dict[str, Any]]:
    units = d.job.model.units
    return [
        {"family": r.family, "designation": r.designation, "material": r.material,
         "quantity": r.quantity, "jigs": ", ".join(r.jigs),
         "lengths": " + ".join(f"{n} × {_size(v, units)}" for v, n in r.lengths)}
        for r in hardware_rows(d)
    ]  # fmt: skip


def _batch(d: Design, run: SetupRun) -> dict[str, Any]:
    """The pieces in the order to run them: what to enter and to set for each."""
    units = d.job.model.units
    columns = changing(run)
    rows = []
    for place in run.order.places:
        row = run.rows[place]
        values = {(jig, s.name, s.unit): s for jig, s in row.settings}
        rows.append({
            "id": row.id, "offset": [_signed(v, units) for v in row.offset],
            "settings": [_setting(values.get(key)) for key in columns],
            "refusal": "" if row.refusal is None else
            f"{row.refusal.finding.of}: {row.refusal.finding.check}",
        })  # fmt: skip
    return {
        "setup": run.setup.name, "piece": run.setup.model.piece,
        "columns": [f"{jig}: {name}{f' ({unit})' if unit else ''}" for jig, name, unit in columns],
        "rows": rows, "same": same_for_all(run),
    }  # fmt: skip


def _setting(setting: Any) -> str:
    if setting is None:
        return ""
    return setting.told if setting.value is None else mm(setting.value)
