"""A sheet to print before a batch: where to measure the pieces, how, and a line for each of them.

One HTML file with its pictures in it, for A4 paper, without scripts; widths are given in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from jigs.model.state import Limit
from jigs.reading.job import Job
from jigs.shop.piece import LIMITED, SINGLE, Bar, Turned
from jigs.units import Units, format_length

MARK = '<meta name="description" content="jigs measure sheet">'

MOST_ROWS = 400
"""Lines for pieces; beyond, print the sheet twice. Assumed: ten pages."""

HIGH, WIDE = 150.0, 74.0
"""mm of paper for a sketch."""

_STYLE = """
@page { size: A4 portrait; margin: 14mm 12mm; }
* { box-sizing: border-box; }
body { font: 10pt/1.35 Georgia, "Liberation Serif", serif; color: #000; margin: 0 auto;
  max-width: 186mm; }
h1 { font-size: 15pt; margin: 0 0 1mm; }
h2 { font-size: 12pt; margin: 5mm 0 2mm; border-bottom: 0.4mm solid #000; }
p { margin: 1mm 0 2mm; }
section + section { break-before: page; }
.both { display: flex; gap: 5mm; align-items: flex-start; }
.both svg { flex: none; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 0.2mm solid #000; padding: 0.8mm 1.5mm; text-align: left; vertical-align: top;
  overflow-wrap: anywhere; }
th { font-weight: bold; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
.rows td { height: 7mm; }
.rows td:first-child { width: 18mm; }
.fill { min-width: 18mm; }
td code, th code, .now { white-space: nowrap; }
.small { font-size: 8.5pt; }
code { font-family: "Liberation Mono", monospace; font-size: 9pt; }
svg text { font: 3.4px Georgia, "Liberation Serif", serif; }
"""

_HOW = {
    "grip_diameter": "caliper, across the grip, twice at right angles; write the mean",
    "ovality": "the larger of these two less the smaller",
    "taper": "diameter at the upper end of the grip less that at its lower end, without a sign",
    "length": "end to end, the end that is machined against a stop; a rule tells half a millimetre",
    "width": "caliper, between the faces that the jaws press, at the middle of the gripped height",
    "depth": "caliper, the other way, between the fences",
}
_ONCE = {
    "grip_from": "from the domed end to where the grip begins",
    "grip_to": "from the domed end to where the grip ends",
    "dome.width": "caliper across the rim of the dome",
    "dome.rise": "depth gauge from the top of the dome to its rim",
    "below_grip": "further down: distance from the domed end, and diameter there, in pairs",
    "body": "a block or head: where it begins, its length, width, depth, and how far off the axis",
}


def measure_sheet(job: Job) -> str:
    """The sheet of a job as the text of one HTML file."""
    model = job.model
    sections = "".join(
        _section(name, piece, model.units) for name, piece in model.pieces.items()
    )  # fmt: skip
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">\n'
        f"{MARK}\n<title>Measure sheet: {escape(model.job)}</title>\n"
        f"<style>{_STYLE}</style></head>\n"
        f"<body>\n<h1>Measure sheet: {escape(model.job)}</h1>\n"
        f"<p>Revision {escape(model.revision)}. Lengths in {_unit(model.units)} unless you write "
        "another unit beside the number. Number each piece in pencil, on the part that is not "
        "machined. Measured by ____________ on ____________</p>\n"
        f"{sections}</body></html>\n"
    )


def _unit(units: Units) -> str:
    return "mm" if units is Units.MM else "inches"


def _section(name: str, piece: Turned | Bar, units: Units) -> str:
    sketch = _turned(piece) if isinstance(piece, Turned) else _bar(piece)
    words = f"<div>{_of_each(piece)}{_of_all(piece, units)}</div>"
    return (
        f"<section>\n<h2>{escape(name)}: {piece.shape}, {escape(piece.wood)}</h2>\n"
        f'<div class="both">{sketch}{words}</div>\n'
        f"{_lines(piece, units)}</section>\n"
    )


def _words(piece: Turned | Bar) -> tuple[str, ...]:
    return (*LIMITED[piece.shape], *SINGLE[piece.shape])


def _of_each(piece: Turned | Bar) -> str:
    rows = "".join(
        f"<tr><td><b>{_letter(piece, word)}</b></td><td><code>{word}</code></td>"
        f"<td>{_HOW[word]}</td></tr>"
        for word in _words(piece)
    )
    return (
        "<p>Of <b>each piece</b>, into the table below:</p>"
        f'<table class="small"><tr><th></th><th>word</th><th>how</th></tr>{rows}</table>'
    )


def _of_all(piece: Turned | Bar, units: Units) -> str:
    """What the job wants once for all pieces; there is a place for each."""
    if not isinstance(piece, Turned):
        return ""
    now = {
        "grip_from": format_length(piece.grip_from, units),
        "grip_to": format_length(piece.grip_to, units),
        "dome.width": format_length(piece.dome.width, units),
        "dome.rise": format_length(piece.dome.height, units),
        "below_grip": f"{len(piece.below_grip)} pairs" if piece.below_grip else "none",
        "body": "yes" if piece.body else "none",
    }
    rows = "".join(
        f"<tr><td><b>{_letter(piece, word)}</b></td><td><code>{word}</code></td><td>{how}</td>"
        f'<td class="now">{escape(now[word])}</td><td class="fill"></td></tr>'
        for word, how in _ONCE.items()
    )
    return (
        "<p>Of the <b>whole batch</b>, on three pieces; write what holds for all:</p>"
        '<table class="small"><tr><th></th><th>word</th><th>how</th><th>in the job</th>'
        f"<th>measured</th></tr>{rows}</table>"
    )


def _lines(piece: Turned | Bar, units: Units) -> str:
    words = _words(piece)
    unit = "mm" if units is Units.MM else "in"
    head = "".join(f"<th>{_letter(piece, word)} <code>{word}</code></th>" for word in words)
    blank = "<td></td>" * (len(words) + 1)
    rows = "".join(f"<tr><td>{i + 1}</td>{blank}</tr>" for i in range(min(piece.count, MOST_ROWS)))
    more = ""
    if piece.count > MOST_ROWS:
        more = f"<p>{piece.count - MOST_ROWS} pieces more than lines: print this page again.</p>"
    columns = ",".join(("id", *(f"{word} [{unit}]" for word in words)))
    return (
        '<p class="small">Type the table into a CSV file whose first line is '
        f"<code>{columns}</code>, and name the file in the job: <code>measured: pieces.csv</code>. "
        "A cell left empty is taken as the job says.</p>"
        f'<table class="rows"><thead><tr><th>id</th>{head}<th>note</th></tr></thead>'
        f"<tbody>{rows}</tbody></table>{more}"
    )


_LETTERS = {
    "turned": {"length": "A", "grip_diameter": "B", "grip_from": "C", "grip_to": "D",
               "dome.width": "E", "dome.rise": "F"},
    "bar": {"length": "A", "width": "B", "depth": "C"},
}  # fmt: skip


def _letter(piece: Turned | Bar, word: str) -> str:
    return _LETTERS[piece.shape].get(word, "")


# ---- the sketches -------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Paper:
    """Lines and letters on mm of paper, y downwards."""

    width: float
    height: float

    def svg(self, shapes: Sequence[str], title: str) -> str:
        return (
            f'<svg width="{self.width:g}mm" height="{self.height:g}mm" role="img" '
            f'aria-label="{title}" viewBox="0 0 {self.width:g} {self.height:g}" '
            f'fill="none" stroke="#000" stroke-width="0.35">{"".join(shapes)}</svg>'
        )


def _line(x1: float, y1: float, x2: float, y2: float, thin: bool = True) -> str:
    width = ' stroke-width="0.18"' if thin else ""
    return f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}"{width}/>'


def _text(x: float, y: float, text: str) -> str:
    return (f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="middle" fill="#000" stroke="none" '
            f'font-weight="bold">{text}</text>')  # fmt: skip


def _upright(x: float, y1: float, y2: float, edge: float, letter: str) -> Iterator[str]:
    """A dimension along the piece: extension lines from its edge, arrows as short strokes."""
    for y in (y1, y2):
        yield _line(edge, y, x + 1.5, y)
        yield _line(x - 1, y + 1, x + 1, y - 1, thin=False)
    yield _line(x, y1, x, y2)
    middle = (y1 + y2) / 2
    yield (f'<rect x="{x - 2:.2f}" y="{middle - 2.2:.2f}" width="4" height="4.4" fill="#fff" '
           'stroke="none"/>')  # fmt: skip
    yield _text(x, middle + 1.2, letter)


def _across(y: float, x1: float, x2: float, letter: str) -> Iterator[str]:
    """A dimension across the piece, its letter to the left."""
    for x in (x1, x2):
        yield _line(x - 1, y + 1, x + 1, y - 1, thin=False)
    yield _line(x1 - 6, y, x2, y)
    yield _text(x1 - 8, y + 1.2, letter)


def _turned(piece: Turned) -> str:
    """The profile to scale, domed end up, with the places of the dimensions."""
    profile = piece.profile(Limit.NOMINAL)
    length = -profile[-1][0]
    scale = min((HIGH - 20) / length, 34.0 / max(2 * r for _, r in profile))
    axis, top = 32.0, 12.0

    def at(z: float, r: float) -> tuple[float, float]:
        return axis + r * scale, top - z * scale

    right = [at(z, r) for z, r in profile]
    left = [(2 * axis - x, y) for x, y in reversed(right)]
    arc = piece.dome.sphere_radius * scale
    (x0, y0), (x1, y1) = right[0], left[-1]
    path = " ".join(f"L{x:.2f} {y:.2f}" for x, y in (*right[1:], *left))
    rim_y, foot = y0, top + length * scale
    edge = axis + max(r for _, r in profile) * scale
    grip = at(-(piece.grip_from + piece.grip_to) / 2, piece.diameter(Limit.NOMINAL) / 2)
    shapes = [
        f'<path d="M{x1:.2f} {y1:.2f} A{arc:.2f} {arc:.2f} 0 0 1 {x0:.2f} {y0:.2f} {path} Z"/>',
        f'<line x1="{axis}" y1="{top - 5}" x2="{axis}" y2="{foot + 5:.2f}" stroke-width="0.15" '
        'stroke-dasharray="5 1.2 1 1.2"/>',
        *_upright(edge + 28, top, foot, axis, "A"),
        *_across(grip[1], 2 * axis - grip[0], grip[0], "B"),
        *_upright(edge + 8, top, top + piece.grip_from * scale, edge - 2, "C"),
        *_upright(edge + 18, top, top + piece.grip_to * scale, edge - 2, "D"),
        *_across(rim_y, x1, x0, "E"),
        _line(axis, top, x1 - 16, top), _line(x1 - 14, top - 4, x1 - 14, rim_y + 4),
        _text(x1 - 14, top - 5.5, "F"),
    ]  # fmt: skip
    return _Paper(WIDE, HIGH).svg(shapes, "turned piece with the places to measure")


def _bar(piece: Bar) -> str:
    """Front and end of a squared bar to scale."""
    width, depth, length = (limits.nominal for limits in (piece.width, piece.depth, piece.length))
    scale = min((HIGH - 60) / length, 34.0 / width, 34.0 / depth)
    w, d, h = width * scale, depth * scale, length * scale
    x, top = 26.0, 12.0
    below = top + h + 14
    shapes = [
        f'<rect x="{x}" y="{top}" width="{w:.2f}" height="{h:.2f}"/>',
        f'<rect x="{x}" y="{below:.2f}" width="{w:.2f}" height="{d:.2f}"/>',
        _line(x, below, x + w, below + d), _line(x, below + d, x + w, below),
        *_upright(x + w + 12, top, top + h, x + w, "A"),
        *_across(top + h / 2, x, x + w, "B"),
        *_upright(x + w + 12, below, below + d, x + w, "C"),
        _text(x + w / 2, below + d + 6, "end, from above"),
    ]  # fmt: skip
    return _Paper(WIDE, min(HIGH, below + d + 10)).svg(shapes, "bar with the places to measure")
