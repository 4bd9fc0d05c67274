"""What moves: cutter, shank, nut, spindle, hood and carriage; the gantry; and what each sweeps.

Heights of the head's bodies are from the cutter's tip upwards, mm. A sweep is upright and convex
in plan, so it is exact: what a body covers while the tip goes anywhere over an area, between two
heights.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from jigs.model.number import Book
from jigs.model.outline import Point
from jigs.shop.path import Area

FAR = 1000.0
"""mm: as good as without end. Assumed."""

THINNEST = 0.1
"""mm: a narrower place within a skirt counts as none. Assumed: nobody relies on it."""

CUTTER, SHANK, NUT, SPINDLE = "cutter", "shank", "collet nut", "spindle"
HOOD, CARRIAGE, BEAM, LEGS = "dust hood", "carriage", "gantry beam", "gantry legs"
GANTRY = (BEAM, LEGS)


@dataclass(frozen=True, slots=True)
class HeadBody:
    """A body on the spindle: round (`radius`) or a box (`sides`: x, x, y, y from the axis), mm.

    `hollow` = inner radius of a skirt that is open below.
    """

    name: str
    low: float
    high: float
    radius: float = 0.0
    sides: tuple[float, float, float, float] | None = None
    hollow: float = 0.0


@dataclass(frozen=True, slots=True)
class Tips:
    """The tip goes anywhere over an area, from `low` to `high`, mm, in the work frame."""

    area: Area
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Sweep:
    """What a body covers: an area from `low` to `high`, mm, in the work frame.

    `hollow` = (middle, radius) of discs: where they all lie over each other is never touched.
    """

    body: str
    area: Area
    low: float
    high: float
    hollow: tuple[tuple[Point, float], ...] = ()

    @property
    def box(self) -> tuple[float, float, float, float, float, float]:
        """Its bounds: three least, three most, mm."""
        x0, y0, x1, y1 = self.area.bounds
        return (x0, y0, self.low, x1, y1, self.high)

    def lifted(self, by: float) -> Sweep:
        """The same further up, mm."""
        return Sweep(self.body, self.area, self.low + by, self.high + by, self.hollow)

    def holds(self, x: float, y: float, z: float) -> bool:
        """Does a point lie inside?"""
        within = self.low < z < self.high and self.area.holds((x, y))
        return within and not (
            self.hollow and all(Area((c,), r).apart((x, y)) <= 0 for c, r in self.hollow)
        )


def head_bodies(machine: Book, cut: Book, stick_out: float) -> list[HeadBody]:
    """The bodies on the spindle with that cutter, and that far from tip to nut, mm.

    The shank is left out where the flutes reach into the collet. The hood counts as a full disc
    above the nut's face; below it, it is a skirt.
    """
    n, nut = machine, stick_out
    flutes = min(cut.flute_length, nut)
    top = nut + n.collet_nut_length
    found = [HeadBody(CUTTER, 0.0, flutes, cut.cutter_diameter / 2)]
    if flutes < nut:
        found.append(HeadBody(SHANK, flutes, nut, cut.shank / 2))
    found += [
        HeadBody(NUT, nut, top, n.collet_nut_diameter / 2),
        HeadBody(SPINDLE, top, top + n.spindle_length, n.spindle_diameter / 2),
    ]
    if n.dust_hood_diameter:
        found += _hood(n, nut)
    if n.carriage:
        x0, x1, y0, y1, z0, z1 = n.carriage
        found.append(HeadBody(CARRIAGE, nut + z0, nut + z1, sides=(x0, x1, y0, y1)))
    return found


def _hood(n: Book, nut: float) -> Iterator[HeadBody]:
    low, radius = nut - n.dust_hood_below, n.dust_hood_diameter / 2
    high = low + n.dust_hood_length
    if low < nut:
        inner = radius - n.dust_hood_wall
        yield HeadBody(HOOD, low, min(nut, high), radius, hollow=inner)
    if high > nut:
        yield HeadBody(HOOD, max(low, nut), high, radius)


def swept(body: HeadBody, tips: Tips) -> Sweep:
    """What a body on the spindle covers while the tip goes over those places."""
    area = tips.area
    over = area.spread(*body.sides) if body.sides is not None else area.around(body.radius)
    inner = body.hollow - area.rounding
    x0, y0, x1, y1 = area.bounds
    # Discs about all corners share no place where the area is too wide: nothing stays untouched.
    shared = inner > 0 and max(area.corners_from(((x0 + x1) / 2, (y0 + y1) / 2))) < inner - THINNEST
    hollow = tuple((corner, inner) for corner in area.corners) if shared else ()
    return Sweep(body.name, over, tips.low + body.low, tips.high + body.high, hollow)


def gantry_sweeps(machine: Book, zero: Sequence[float], tips: Iterable[Tips]) -> list[Sweep]:
    """What beam and legs cover as they go along y with the tip; `zero` = the work zero, mm."""
    ys = [y for t in tips for y in (t.area.bounds[1], t.area.bounds[3])]
    front, back = machine.beam_y
    y0, y1 = min(ys) + front, max(ys) + back
    x, _, z = zero
    under = machine.under_gantry - z
    left, left_end, right, right_end = (at - x for at in machine.legs_x)
    return [
        Sweep(BEAM, Area.rectangle(left, y0, right_end, y1), under, under + FAR),
        Sweep(LEGS, Area.rectangle(left, y0, left_end, y1), under - FAR, under),
        Sweep(LEGS, Area.rectangle(right, y0, right_end, y1), under - FAR, under),
    ]
