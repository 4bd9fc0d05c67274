"""How hard the split ring closes: by turns, by a torque, and what that does to the lining.

The ring is closed **by turns** after first touch, but no further than a torque: whichever comes
first. By turns the squeeze of the linings is known, within what the hand feels as first touch; the
force follows from the rubber and is a wide band. A thin lining that is stiff and sticks to the
piece would press ten times as hard as a soft one that slips: the torque keeps it from crushing.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from jigs import tables
from jigs.errors import DesignError, TableError
from jigs.kinds._hardware import spring_for
from jigs.kinds.split_ring.hanging import rule
from jigs.kinds.split_ring.sizing import squeeze_for
from jigs.mechanics import bolt, liner_force, ring_wall
from jigs.mechanics.liner import contact_half_angle, split_over_linings
from jigs.mechanics.search import crossing
from jigs.model.grip import Band
from jigs.model.number import Book, Standing

__all__ = [
    "AT_THE_BORE",
    "HARDEST",
    "LEAST_ANGLE",
    "SOFTEST",
    "Closed",
    "Lining",
    "bore_compression",
    "closed_on",
    "refuse",
    "rule",
]

SOFTEST, HARDEST = 40.0, 60.0
"""Shore A of a lining whose hardness is not given. Assumed: usual rubber sheet."""

LEAST_ANGLE = 20.0
"""Degrees each side: less is an edge, not a seat. Common practice, no source."""

ACROSS_OVER_ALONG = 0.05
"""Least Young's modulus across the grain over along it: yellow birch .050, Wood Handbook, Table
5-1, from memory."""

AT_THE_BORE = 2.0
"""Factor: friction that pulls both flanks to the seat doubles the stress (`ring_wall`)."""

FOR_THE_SEAT = 1.25
"""What the cut may add to the pressure, as a factor. Assumed; the check counts it."""


def refuse(name: str, value: float, remedy: str) -> float:
    """Return the value if it is above 0, else raise DesignError."""
    if not value > 0:
        raise DesignError(name, f"{name} must be above 0, not {value:g}", remedy)
    return value


@rule(unit="MPa", source="squeeze test as E_c / (1 + 2 S^2); or hardness (Gent 1958) less 30 %; "
      "40 Shore A less 30 % where neither is given", standing=Standing.ASSUMED)  # fmt: skip
def liner_young_least(
    liner_hardness: float, liner_test: tuple[float, ...], liner_thickness: float
) -> float:
    """Least Young's modulus of the lining: for what must hold."""
    if liner_test:
        modulus, shape = _tested(liner_test, liner_thickness)
        return modulus / (1 + 2 * shape**2)
    young = liner_force.young_modulus(liner_hardness or SOFTEST)
    return (1 - liner_force.HARDNESS_SCATTER) * young


@rule(unit="MPa", source="squeeze test as E_c / (1 + 2 (S/2)^2); or hardness (Gent 1958) and 30 %; "
      "60 Shore A and 30 % where neither is given", standing=Standing.ASSUMED)  # fmt: skip
def liner_young_most(
    liner_hardness: float, liner_test: tuple[float, ...], liner_thickness: float
) -> float:
    """Greatest Young's modulus of the lining: for what must not crush or break."""
    if liner_test:
        modulus, shape = _tested(liner_test, liner_thickness)
        return modulus / (1 + 2 * (shape / 2) ** 2)
    young = liner_force.young_modulus(liner_hardness or HARDEST)
    return (1 + liner_force.HARDNESS_SCATTER) * young


@rule(unit="", source="table of friction, wood on rubber, low end: no primary source, assumed for "
      "dusty wood", standing=Standing.ASSUMED)  # fmt: skip
def liner_friction() -> float:
    """Friction of the piece in the lining: for what must hold."""
    return tables.friction_pair("wood", "rubber").low


@rule(unit="turns", source="assumed: felt within an eighth of a turn, either way",
      standing=Standing.ASSUMED)  # fmt: skip
def touch_error() -> float:
    """How far a nut may be off when first touch is felt, from which its turns are counted."""
    return 0.125


@rule(source="turns less what first touch is off; less the mean of taper and ovality, since the "
      "thickest place touches first")  # fmt: skip
def squeeze_least(
    squeeze: float, touch_error: float, drawbolt_size: str, taper: float, ovality: float
) -> float:
    """Compression of each lining at its loosest, mean over the ring's height."""
    lost = touch_error * tables.thread(drawbolt_size).pitch / 2 + (taper + ovality) / 4
    return max(0.0, squeeze - lost)


@rule(source="turns and what first touch is off")
def squeeze_most(
    squeeze: float, touch_error: float, drawbolt_size: str, liner_thickness: float,
    liner_tolerance: float,
) -> float:  # fmt: skip
    """Compression of each lining at its tightest."""
    refuse("squeeze", squeeze, "about 15 % of the lining's thickness")
    most = squeeze + touch_error * tables.thread(drawbolt_size).pitch / 2
    if most >= liner_thickness - liner_tolerance:
        raise DesignError(
            "squeeze_most",
            f"a lining of {liner_thickness - liner_tolerance:g} mm cannot be squeezed by {most:g}",
            "less squeeze, or a thicker lining",
        )
    return most


@rule(unit="", source="Shigley 8-15: black and dry", standing=Standing.TABLE)
def nut_factor_loose() -> float:
    """Nut factor K of the drawbolts, T = K F d: for what must hold."""
    return 0.30


@rule(unit="", source="Shigley 8-15: lubricated", standing=Standing.TABLE)
def nut_factor_tight() -> float:
    """Nut factor K of the drawbolts: for what must not crush or break."""
    return 0.18


@rule(unit="", source="assumed: by feel, either way, as a share", standing=Standing.ASSUMED)
def torque_by_feel() -> float:
    """How far a torque set by feel is off."""
    return 0.3


@rule(unit="N", source="rate and free length from the table of springs, assumed; depth of its "
      "recesses and the gap left", standing=Standing.ASSUMED)  # fmt: skip
def spring_force(drawbolt_size: str, least_gap_left: float, spring_recess_depth: float) -> float:
    """Push of each opening spring, closed on the thinnest piece."""
    row = spring_for(drawbolt_size)
    return row.rate * max(0.0, row.free_length - least_gap_left - 2 * spring_recess_depth)


@rule(unit="MPa", source="compression across the grain, what 19 pieces in 20 reach (Wood "
      "Handbook); the weakest wood where the table does not know yours")  # fmt: skip
def seat_strength(piece_wood: str, wood: str, own_woods: tuple[Any, ...]) -> float:
    """What the weaker wood bears at the seat: the piece's or the ring's."""
    return min(_sure(name, own_woods, "compression_perpendicular") for name in (piece_wood, wood))


@rule(unit="MPa", source="compression along the grain, what 19 pieces in 20 reach (Wood "
      "Handbook); the weakest wood where the table does not know yours")  # fmt: skip
def halves_strength(wood: str, own_woods: tuple[Any, ...]) -> float:
    """What the halves bear in their bore, where closing bends them and the seat presses them."""
    return _sure(wood, own_woods, "compression_parallel")


@rule(source="derived: the thinner of both halves")
def wall_least(moving_wall: float, fixed_depth: float, gap: float, bore_radius: float) -> float:
    """Wood behind the bore at the seat."""
    return min(moving_wall, fixed_depth + gap / 2 - bore_radius)


@rule(unit="N", source="what the wood bears for certain: at the seat over 1.25 for the cut, in the "
      "bore over 2 for friction on its flanks; stiffest lining, worst piece")  # fmt: skip
def closing_limit(
    seat_strength: float, halves_strength: float, grip_diameter_least: float,
    grip_diameter_most: float, bore_radius: float, bore_tolerance: float, liner_thickness: float,
    liner_tolerance: float, gap: float, ring_height: float, liner_young_most: float,
    squeeze_most: float, bolt_x: float, wall_least: float,
) -> float:  # fmt: skip
    """Closing force of each half that the piece and the halves take."""
    place = (bolt_x, bore_radius, wall_least, ring_height)

    def force_at_limit(radius: float, lined: float, thick: float) -> float:
        rubber = Lining(max(lined, radius), radius, gap, thick, ring_height, liner_young_most)

        def used(squeezed: float) -> float:
            force, pressure = rubber.force(squeezed), rubber.pressure(squeezed)
            bore = AT_THE_BORE * bore_compression(force, pressure, *place) / halves_strength
            return max(pressure * FOR_THE_SEAT / seat_strength, bore)

        return rubber.force(rubber.where(used, 1.0, squeeze_most))

    return min(
        force_at_limit(diameter / 2, *corner)
        for diameter in (grip_diameter_least, grip_diameter_most)
        for corner in corners_of(bore_radius, bore_tolerance, liner_thickness, liner_tolerance)
    )


def bore_compression(
    force: float, pressure: float, bolt_x: float, bore_radius: float, wall: float, height: float
) -> float:
    """Compression along the grain in the bore at the seat, MPa: `ring_wall.bore_stress`."""
    return -ring_wall.bore_stress(
        force, bolt_x, bore_radius, wall, height, pressure, along_span=1.0,
        across_span=ACROSS_OVER_ALONG,
    )  # fmt: skip


@rule(unit="N mm", source="T = K F d (Shigley 8-27), so that the tightest bolt stays within what "
      "the piece takes; down to whole 0.01 N m", standing=Standing.ASSUMED)  # fmt: skip
def closing_torque(
    closing_limit: float, nut_factor_tight: float, torque_by_feel: float, drawbolt_size: str
) -> float:
    """Torque on each drawbolt's nut at which to stop, even if the turns are not done."""
    diameter = tables.thread(drawbolt_size).major_diameter
    tight = bolt.torque_for_preload(closing_limit / 2, nut_factor_tight, diameter)
    return max(10.0, math.floor(tight / (1 + torque_by_feel) / 10) * 10.0)


@rule(unit="N", source="T = K F d, K and torque at their loose ends, less the springs")
def stopped_loose(
    closing_torque: float, nut_factor_loose: float, torque_by_feel: float, drawbolt_size: str,
    spring_force: float,
) -> float:  # fmt: skip
    """Closing force of each half where the torque stops it, at its loosest."""
    refuse("closing_torque", closing_torque, "what the fingers give, about 300 N mm")
    diameter = tables.thread(drawbolt_size).major_diameter
    torque = (1 - torque_by_feel) * closing_torque
    pull = bolt.preload_from_torque(torque, nut_factor_loose, diameter)
    return 2 * max(0.0, pull - spring_force)


@rule(unit="N", source="T = K F d, K and torque at their tight ends; springs not counted")
def stopped_tight(
    closing_torque: float, nut_factor_tight: float, torque_by_feel: float, drawbolt_size: str
) -> float:
    """Closing force of each half where the torque stops it, at its tightest."""
    diameter = tables.thread(drawbolt_size).major_diameter
    torque = (1 + torque_by_feel) * closing_torque
    return 2 * bolt.preload_from_torque(torque, nut_factor_tight, diameter)


@rule(source="derived: fewest linings in one bore that each touch over 20 deg each side and keep "
      "the clearance, in whole 0.1 mm")  # fmt: skip
def liner_groups(
    bore_radius: float, bore_clearance: float, gap: float, grip_diameter_least: float,
    grip_diameter_most: float, liner_tolerance: float,
) -> tuple[Any, ...]:  # fmt: skip
    """From, to and lining of each group that the batch would have to be split into."""
    return split_over_linings(
        bore_radius, bore_clearance, gap, grip_diameter_least, grip_diameter_most,
        math.radians(LEAST_ANGLE), lambda liner: squeeze_for(liner, liner_tolerance), 0.1,
    )  # fmt: skip


@dataclass(frozen=True)
class Lining:
    """One half's lining with a piece in it, mm; young [MPa], at its stiffest (see `crushing`)."""

    lined: float
    radius: float
    gap: float
    thick: float
    height: float
    young: float
    crushing: bool = True

    def force(self, squeezed: float) -> float:
        """Closing force at that compression, N."""
        if squeezed == 0:
            return 0.0
        return liner_force.closing_force(*self._place(squeezed), self._modulus(squeezed))

    def pressure(self, squeezed: float) -> float:
        """Pressure at the seat, MPa."""
        if squeezed == 0:
            return 0.0
        return liner_force.greatest_pressure(self._modulus(squeezed), squeezed, self.thick)

    def half_angle(self, squeezed: float) -> float:
        """Half angle of contact, rad."""
        return contact_half_angle(self.lined, self.radius, squeezed, self.gap) if squeezed else 0.0

    def where(self, what: Callable[[float], float], value: float, most: float) -> float:
        """The compression, up to `most`, at which force or pressure reaches a value, mm."""
        if what(most) <= value:
            return most
        # Force grows with about the power 3/2: so it is near a straight line.
        return crossing(lambda deep: (what(deep) / value) ** (2 / 3) - 1, 0.0, most)

    def _place(self, squeezed: float) -> tuple[float, float, float, float, float, float]:
        return self.lined, self.radius, squeezed, self.gap, self.thick, self.height

    def _modulus(self, squeezed: float) -> float:
        shape = liner_force.contact_shape_factor(*self._place(squeezed))
        confined = liner_force.crushing_modulus if self.crushing else liner_force.holding_modulus
        return confined(self.young, shape)


@dataclass(frozen=True)
class Closed:
    """What the ring does to a piece of one diameter.

    force = of each half [N]; pressure = at the seat [MPa]; half_angle = of contact, at its least
    [rad].
    """

    force: Band
    pressure: Band
    half_angle: float


def closed_on(n: Book, diameter: float) -> Closed:
    """Close the ring on a piece of that diameter, mm, over all corners of bore and lining.

    Raises DesignError for a piece that is larger than the lined bore.
    """
    radius = diameter / 2
    if radius > n.lined_radius:
        raise DesignError(
            "grip_diameter",
            f"a piece of {diameter:g} mm wedges at the lips of a lined bore of "
            f"{2 * n.lined_radius:g} mm",
            f"a thinner lining, or another ring for pieces over {2 * n.lined_radius:g} mm",
        )
    soft, stiff, least, most = [], [], [], []
    for lined, thick in corners_of(
        n.bore_radius, n.bore_tolerance, n.liner_thickness, n.liner_tolerance
    ):
        # A bore at its least may be no larger than the piece: then it fits, and is not refused.
        place = (max(lined, radius), radius, n.gap, thick, n.ring_height)
        yields = Lining(*place, n.liner_young_least, crushing=False)
        grabs = Lining(*place, n.liner_young_most)
        loosest = yields.where(yields.force, n.stopped_loose, n.squeeze_least)
        tightest = grabs.where(grabs.force, n.stopped_tight, n.squeeze_most)
        shallow = grabs.where(grabs.force, n.stopped_loose, n.squeeze_least)
        soft.append(yields.force(loosest))
        stiff.append(grabs.force(tightest))
        least.append((yields.pressure(loosest), grabs.half_angle(shallow)))
        most.append(grabs.pressure(tightest))
    return Closed(
        _band(min(soft), max(stiff)), _band(min(p for p, _ in least), max(most)),
        min(angle for _, angle in least),
    )  # fmt: skip


def corners_of(
    bore: float, bore_tolerance: float, liner: float, liner_tolerance: float
) -> list[tuple[float, float]]:
    """Lined radius and thickness of the lining at the ends of both tolerances, mm."""
    return [
        (bore + off - thick, thick)
        for off in (-bore_tolerance, bore_tolerance)
        for thick in (liner - liner_tolerance, liner + liner_tolerance)
    ]


def _sure(name: str, own_woods: tuple[Any, ...], field: str) -> float:
    """What that wood reaches; the least of all woods where no table knows it."""
    try:
        rows = [tables.wood(name, own_woods)]
    except TableError:
        rows = [row for row in tables.rows_of("woods") if isinstance(row, tables.Wood)]
    return min(row.sure(field) for row in rows)


def _band(low: float, high: float) -> Band:
    """The ends scatter by factors, so the middle is their geometric mean."""
    return Band(low, math.sqrt(low * high), high)


def _tested(test: tuple[float, ...], thickness: float) -> tuple[float, float]:
    """Modulus in compression E_c = F t / (A s) and shape factor of the user's squeeze test."""
    length, width, force, squeezed = test
    modulus = force * thickness / (length * width * squeezed)
    return modulus, liner_force.shape_factor(length, width, thickness)
