"""Lobed knob with a thread in it: turns a hold-down or a drawbolt by hand.

::

     from above            cut through
       .--.              insert or nut, from the top
     .'    '.            +---+=====+---+
    |   ()   |           |   |     |   | knob_height
     '.    .'            |   +-| |-+   |   the load pulls the thread down onto its seat
       '--'              +-----| |-----+

How it is made. Wood: a disc of hardwood board; lobes, clearance hole and insert hole on the router
in one clamping from above, a screwed insert from the top. Printed: lying on its bearing face; a
hexagon nut drops into its recess from the top. Either way the pull of the bolt seats the thread;
put in from below it would be drawn out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from jigs import tables
from jigs.kinds._common import drilled, up_to
from jigs.kinds._hardware import hex_nut, wood_insert
from jigs.model.kind import Placed
from jigs.model.outline import Outline, Point, arc_bulge
from jigs.model.part import Board, Cut, Does, Face, Part, Print
from jigs.model.pose import Pose
from jigs.model.state import Contact, Role

LOBES = 6

PRINT_CLEARANCE = 0.3
"""mm on a diameter or width of a printed part that takes another part: printed holes come out
small. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Knob:
    """A knob for a thread, made of wood or printed ("print"). All lengths in mm."""

    size: str
    made: str

    @property
    def diameter(self) -> float:
        """Over the lobes: six times the thread, up to the next 5 (common practice, no source)."""
        return up_to(6 * tables.thread(self.size).major_diameter, 5)

    @property
    def thread_length(self) -> float:
        """Of its insert (DIN 7965), or of the nut in a printed one (ISO 4032, ASME B18.2.2)."""
        if self.made == "print":
            return tables.hex_nut(self.size).height
        return tables.wood_insert(self.size).length

    @property
    def height(self) -> float:
        """Under the thread as much as a nut is high, 6 at least (common practice, no source)."""
        return up_to(self.thread_length + max(6.0, tables.hex_nut(self.size).height), 1)

    @property
    def id(self) -> str:
        """Name of the part, fit for a file."""
        return f"knob_{self.size.replace('/', '-')}"

    def parts(self, wood: str, plastic: str) -> list[Part]:
        """The knob, and what carries its thread."""
        printed, thread = self.made == "print", f"{self.id}_thread"
        hole = tables.clearance_hole(self.size).hole_medium + (PRINT_CLEARANCE if printed else 0)
        body = Part(
            self.id, f"knob {self.size}", Print(plastic) if printed else Board(wood, "x"),
            lobed(self.diameter), self.height,
            (drilled("clearance hole", Face.BOTTOM, 0, 0, hole, meets="stud"), self._seat()),
        )  # fmt: skip
        return [body, hex_nut(self.size, thread) if printed else wood_insert(self.size, thread)]

    def _seat(self) -> Cut:
        """The recess from the top that the insert or nut sits in."""
        if self.made == "print":
            across = tables.hex_nut(self.size).across_flats + PRINT_CLEARANCE
            return Cut("nut recess", Face.TOP, Outline.polygon(0, 0, across), Does.RECESS,
                       self.thread_length, "nut")  # fmt: skip
        hole = tables.wood_insert(self.size).hole_diameter
        return drilled("insert hole", Face.TOP, 0, 0, hole, self.thread_length, Does.RECESS,
                       "insert")  # fmt: skip

    def place(self, name: str, at: Pose, group: str) -> list[Placed]:
        """On a seat: `at` has its origin on the seat and its z along the stud, away from it."""
        up = at @ Pose.to(0, 0, self.height - self.thread_length)
        return [
            Placed(f"{name} knob", self.id, at, group),
            Placed(f"{name} knob thread", f"{self.id}_thread", up, group),
        ]

    @staticmethod
    def contacts(name: str, seat: str, stud: str) -> list[Contact]:
        """What it touches: its seat, its thread, and the stud in that thread."""
        return [
            Contact(f"{name} knob", seat, Role.SEATS),
            Contact(f"{name} knob thread", f"{name} knob", Role.SEATS),
            Contact(f"{name} knob thread", stud, Role.THREADS),
        ]


def lobed(diameter: float) -> Outline:
    """Round lobes with smooth hollows for the fingers between; no point beyond the diameter.

    Lobe and hollow are tangent: the hollow's centre lies on the ray between two lobes and on the
    line from the lobe's centre through their common point.
    """
    step, lobe = 2 * math.pi / LOBES, 0.22 * diameter / 2
    ring = diameter / 2 - lobe
    sin, cos, tan = math.sin(_LOBE_HALF), math.cos(_LOBE_HALF), math.tan(step / 2)
    reach = ring * tan / (sin - tan * cos)
    away = math.hypot(ring + reach * cos, reach * sin)
    points: list[tuple[float, ...]] = []
    for i in range(LOBES):
        first, last, onward = (
            _on_lobe(ring, lobe, angle, turn)
            for angle, turn in (
                (i * step, -_LOBE_HALF), (i * step, _LOBE_HALF), ((i + 1) * step, -_LOBE_HALF)
            )
        )  # fmt: skip
        centre, hollow = _polar(ring, i * step), _polar(away, (i + 0.5) * step)
        points.append((*first, arc_bulge(first, last, centre, left=True)))
        points.append((*last, arc_bulge(last, onward, hollow, left=False)))
    return Outline.of(points)


_LOBE_HALF = 1.4
"""rad: half the angle over which a lobe is round."""


def _polar(radius: float, angle: float) -> Point:
    return (radius * math.cos(angle), radius * math.sin(angle))


def _on_lobe(ring: float, lobe: float, angle: float, turn: float) -> Point:
    """A point of the lobe that stands at `angle`, seen at `turn` from its centre."""
    (x, y), (dx, dy) = _polar(ring, angle), _polar(lobe, angle + turn)
    return (x + dx, y + dy)
