"""Plans for the setup sheet, as SVG: the table from above and the front face from the front.

Every part is drawn as the shadow of its own outline; what reaches into the machine is an anchor.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape

from jigs.model.outline import Outline, Point
from jigs.model.part import Bought, Fixed, Part
from jigs.model.pose import Pose, Vec
from jigs.model.state import Limit, Phase, State
from jigs.shop.machine import FrontFace, Holes, Slots, Table, face_width
from jigs.shop.piece import Bar
from jigs.sizing import Design, Jig, Setup

Box = tuple[float, float, float, float]

CLOSED = State(Phase.CLOSED, Limit.NOMINAL)
WIDE, HALF, HIGH = 178.0, 88.0, 92.0
"""mm of paper that a plan may take: alone, beside another, and in height."""

_TEXT = 3.9
"""mm, 11 points."""

_ARROW = 11.0
"""mm of paper, the arrows at the work zero."""

_INTO = 0.5
_ARC = math.radians(15)
_FILLS = ("#dfe8f2", "#f3e6cf", "#dcebdc", "#eee0ea")


@dataclass(frozen=True)
class Anchor:
    """What holds a jig in the machine: where it goes in, machine frame, mm."""

    jig: str
    name: str
    at: Vec


def anchors_of(setup: Setup) -> list[Anchor]:
    """Bolts, screws, inserts and dowels that reach into the table or the front face."""
    found: dict[tuple[float, ...], Anchor] = {}
    for jig in setup.jigs:
        for placed in jig.poses(CLOSED):
            made = jig.parts[placed.part].made
            if not isinstance(made, Bought):
                continue
            pose = setup.work_zero @ placed.pose
            tip = pose.apply((0.0, 0.0, dict(made.dims).get("length", 0.0)))
            if any(_within(setup, end) for end in (pose.at, tip)):
                place = _mouth(setup, pose.at)
                found.setdefault(
                    tuple(round(v, 3) for v in place), Anchor(jig.name, placed.name, place)
                )
    return list(found.values())


def _within(setup: Setup, p: Vec) -> bool:
    if setup.model.at == "table":
        return p[2] < -_INTO
    return bool(p[1] > setup.n.front_y + _INTO)


def _mouth(setup: Setup, p: Vec) -> Vec:
    """Straight below or behind, on the machine's surface."""
    if setup.model.at == "table":
        return (p[0], p[1], 0.0)
    return (p[0], setup.n.front_y, p[2])


def table_plan(d: Design, setup: Setup) -> str:
    """The table from above, with everything of the setup on it, in front of it and beside it."""
    machine = d.job.machine
    bed = (0.0, 0.0, machine.table.width, machine.table.depth)
    beside = machine.front_face is not None and setup.model.at == "front face"
    page = _Page(_shadows(setup, lambda p: (p[0], p[1])), bed, setup.work_zero.at[:2],
                 HALF if beside else WIDE)  # fmt: skip
    page.add(_rect(bed, 'class="bed"'))
    page.shapes += _fixing(machine.table, bed)
    page.parts()
    page.piece(_piece(d, setup, lambda p: (p[0], p[1])))
    if setup.model.at == "table":
        page.anchors([a.at[:2] for a in anchors_of(setup)])
    page.zero(setup.work_zero.at[:2], "x", "y")
    return page.svg(f"plan of the table, {setup.name}", "front of the machine this side")


def front_plan(d: Design, setup: Setup) -> str:
    """The front face from the front; empty where the setup is not on it."""
    face = d.job.machine.front_face
    if face is None or setup.model.at != "front face":
        return ""
    wide = face_width(d.job.machine)
    box = (wide.least, face.z.least, wide.most, face.z.most)
    zero = (setup.work_zero.at[0], setup.work_zero.at[2])
    page = _Page(_shadows(setup, lambda p: (p[0], p[2])), box, zero, HALF)
    page.add(_rect(box, 'class="bed"'))
    page.shapes += _fixing(face, box)
    page.parts()
    page.piece(_piece(d, setup, lambda p: (p[0], p[2])))
    page.anchors([(a.at[0], a.at[2]) for a in anchors_of(setup)])
    page.zero(zero, "x", "z")
    return page.svg(f"front face, {setup.name}", "seen from the front", "top line: the table")


Onto = Callable[[Vec], Point]
"""From the machine frame onto a plan."""


@dataclass(frozen=True)
class _Shadow:
    jig: int
    name: str
    points: tuple[Point, ...]


def _shadows(setup: Setup, onto: Onto) -> list[_Shadow]:
    """Shadows of the made parts, jig by jig; those of the machine's own parts are not drawn."""
    found = []
    for i, jig in enumerate(setup.jigs):
        for placed in jig.poses(CLOSED):
            part = jig.parts[placed.part]
            if not _has_shadow(part):
                continue
            pose = setup.work_zero @ placed.pose
            found.append(_Shadow(i, f"{jig.name}: {placed.name}", _shadow(part, pose, onto)))
    return found


def _has_shadow(part: Part) -> bool:
    return part.outline is not None and not isinstance(part.made, Bought | Fixed)


def _shadow(part: Part, pose: Pose, onto: Onto) -> tuple[Point, ...]:
    assert part.outline is not None
    corners = [(x, y, z) for x, y in _corners(part.outline) for z in (0.0, part.thickness)]
    return tuple(_hull([onto(pose.apply(c)) for c in corners]))


def _corners(outline: Outline) -> Iterator[Point]:
    """Corners, and points along arcs close enough for a picture."""
    for side in outline.sides:
        yield side.start
        if side.bulge:
            (cx, cy), r = side.centre, side.radius
            first = math.atan2(side.start[1] - cy, side.start[0] - cx)
            n = max(2, math.ceil(abs(side.angle) / _ARC))
            for i in range(1, n):
                turn = first + side.angle * i / n
                yield (cx + r * math.cos(turn), cy + r * math.sin(turn))


def _hull(points: Iterable[Point]) -> list[Point]:
    """The convex hull, counter-clockwise (Andrew's monotone chain)."""
    ordered = sorted({(round(x, 4), round(y, 4)) for x, y in points})
    if len(ordered) < 3:
        return ordered

    def half(walk: Iterable[Point]) -> list[Point]:
        found: list[Point] = []
        for p in walk:
            while len(found) > 1 and _turn(found[-2], found[-1], p) <= 0:
                found.pop()
            found.append(p)
        return found[:-1]

    return half(ordered) + half(reversed(ordered))


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _piece(d: Design, setup: Setup, onto: Onto) -> tuple[Point, ...]:
    """The nominal piece's shadow."""
    piece, pose = setup.piece, setup.work_zero @ setup.piece_pose(CLOSED)
    if isinstance(piece, Bar):
        half, side = piece.width.nominal / 2, piece.depth.nominal / 2
        corners = [(x, y, z) for x in (-half, half) for y in (-side, side)
                   for z in (0.0, -piece.length.nominal)]  # fmt: skip
    else:
        corners = [(r * math.cos(a * _ARC), r * math.sin(a * _ARC), z)
                   for z, r in piece.profile(Limit.NOMINAL) for a in range(24)]  # fmt: skip
    return tuple(_hull([onto(pose.apply(c)) for c in corners]))


def _fixing(of: Table | FrontFace, box: Box) -> list[str]:
    """Slots and holes of a surface."""
    x0, y0, x1, y1 = box
    fixing = of.fixing
    if isinstance(fixing, Slots):
        half = fixing.profile.mouth / 2
        lines = [(x0, at - half, x1, at + half) if fixing.along == "x" else
                 (at - half, y0, at + half, y1) for at in fixing.at]  # fmt: skip
        return [_rect(line, 'class="slot"') for line in lines]
    if isinstance(fixing, Holes):
        x, y = fixing.first
        return [
            f'<circle cx="{_n(x + i * fixing.pitch)}" cy="{_n(-(y + j * fixing.pitch))}" r="3" '
            'class="slot"/>'
            for i in range(fixing.columns) for j in range(fixing.rows)
        ]  # fmt: skip
    return []


class _Page:
    """One plan: machine mm, y up, put upside down for SVG."""

    def __init__(
        self, shadows: Sequence[_Shadow], bed: Box, zero: Sequence[float], wide_most: float
    ) -> None:
        self.shadows = shadows
        self.shapes: list[str] = []
        xs = [bed[0], bed[2], *(p[0] for s in shadows for p in s.points)]
        ys = [bed[1], bed[3], *(p[1] for s in shadows for p in s.points)]
        x0, y0, x1, y1 = min(xs), min(ys), max(xs), max(ys)
        self.unit = 1.0
        for _ in range(3):  # the arrows at the work zero are as long on every plan, in mm of paper
            reach = (_ARROW + _TEXT) * self.unit
            self.box = (min(x0, zero[0]), min(y0, zero[1]),
                        max(x1, zero[0] + reach), max(y1, zero[1] + reach))  # fmt: skip
            wide, high = self.box[2] - self.box[0], self.box[3] - self.box[1]
            self.unit = max(wide / (wide_most - 12), high / (HIGH - 22))

    def add(self, shape: str) -> None:
        self.shapes.append(shape)

    def parts(self) -> None:
        for shadow in self.shadows:
            fill = _FILLS[shadow.jig % len(_FILLS)]
            self.add(f'<polygon points="{_points(shadow.points)}" class="part" fill="{fill}">'
                     f"<title>{escape(shadow.name)}</title></polygon>")  # fmt: skip

    def piece(self, points: Sequence[Point]) -> None:
        self.add(f'<polygon points="{_points(points)}" class="piece"/>')

    def anchors(self, places: Iterable[Sequence[float]]) -> None:
        for number, (x, y) in enumerate(places, 1):
            r = 1.5 * self.unit
            self.add(f'<circle cx="{_n(x)}" cy="{_n(-y)}" r="{_n(r)}" fill="#000"/>')
            self._text(x - 1.1 * len(f"{number}") * self.unit, y + 2.4 * self.unit, f"{number}")

    def zero(self, at: Sequence[float], along: str, up: str) -> None:
        (x, y), long, u = at, _ARROW * self.unit, self.unit
        right = f"M{_n(x + long)} {_n(-y)}l{_n(-2 * u)} {_n(-u)}v{_n(2 * u)}z"
        upper = f"M{_n(x)} {_n(-y - long)}l{_n(-u)} {_n(2 * u)}h{_n(2 * u)}z"
        self.add(f'<path d="M{_n(x)} {_n(-y)}h{_n(long)}M{_n(x)} {_n(-y)}v{_n(-long)}" '
                 f'class="zero" stroke-width="{_n(0.6 * u)}"/>'
                 f'<path d="{right}{upper}"/>')  # fmt: skip
        self._text(x + long + 1.2 * u, y - 1.3 * u, along)
        self._text(x - 1.3 * u, y + long + 1.2 * u, up)

    def _text(self, x: float, y: float, words: str) -> None:
        self.add(f'<text x="{_n(x)}" y="{_n(-y)}" font-size="{_n(_TEXT * self.unit)}" '
                 f'stroke-width="{_n(0.9 * self.unit)}">{escape(words)}</text>')  # fmt: skip

    def svg(self, title: str, *below: str) -> str:
        u, (x0, y0, x1, y1) = self.unit, self.box
        side, foot = 6 * u, (1 + 5 * len(below)) * u
        for i, line in enumerate(below):
            self._text(x0, y0 - (6 + 5 * i) * u, line)
        view = (x0 - side, -y1 - side, x1 - x0 + 2 * side, y1 - y0 + 2 * side + foot)
        thin = _n(0.25 * u)
        return (
            f'<svg role="img" aria-label="{escape(title)}" viewBox="{" ".join(map(_n, view))}" '
            f'width="{_n(view[2] / u)}mm" height="{_n(view[3] / u)}mm" stroke-width="{thin}">'
            f"{''.join(self.shapes)}</svg>"
        )


def jig_fill(setup: Setup, jig: Jig) -> str:
    """The tint of a jig on the plans of its setup; empty for one that is away while it is cut."""
    if not any(_has_shadow(jig.parts[placed.part]) for placed in jig.poses(CLOSED)):
        return ""
    return _FILLS[list(setup.jigs).index(jig) % len(_FILLS)]


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{_n(x)},{_n(-y)}" for x, y in points)


def _rect(box: Box, style: str) -> str:
    x0, y0, x1, y1 = box
    return (f'<rect x="{_n(x0)}" y="{_n(-y1)}" width="{_n(x1 - x0)}" height="{_n(y1 - y0)}" '
            f"{style}/>")  # fmt: skip


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
