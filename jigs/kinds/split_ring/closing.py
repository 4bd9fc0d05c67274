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
from jigs.errors import DesignError
from jigs.kinds._hardware import spring_for
from jigs.kinds._strength import (
    BY_FEEL,
    DRY,
    LUBRICATED,
    of_wood,
    pull_from,
    refuse,
    torque_up_to,
)
from jigs.kinds.split_ring.hanging import rule
from jigs.kinds.split_ring.loading import AT_THE_BORE, bore_compression, cut_share, lever_to
from jigs.kinds.split_ring.sizing import squeeze_for
from jigs.mechanics import liner_force, round_grip
from jigs.mechanics.liner import contact_half_angle, lip_angle_at_piece, split_over_linings
from jigs.mechanics.search import crossing
from jigs.model.grip import ON_THE_CUT, Band
from jigs.model.number import Book, Standing

__all__ = [
    "HARDEST",
    "LEAST_ANGLE",
    "SOFTEST",
    "Closed",
    "Lining",
    "closed_on",
    "loosely_pressed",
    "rule",
]

SOFTEST, HARDEST = 40.0, 60.0
"""Shore A of a lining whose hardness is not given. Assumed: usual rubber sheet."""

LEAST_ANGLE = 20.0
"""Degrees each side: less is an edge, not a seat. Common practice, no source."""


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
    return DRY


@rule(unit="", source="Shigley 8-15: lubricated", standing=Standing.TABLE)
def nut_factor_tight() -> float:
    """Nut factor K of the drawbolts: for what must not crush or break."""
    return LUBRICATED


@rule(unit="", source="assumed: by feel, either way, as a share", standing=Standing.ASSUMED)
def torque_by_feel() -> float:
    """How far a torque set by feel is off."""
    return BY_FEEL


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
    return min(of_wood(name, own_woods, "compression_perpendicular")
               for name in (piece_wood, wood))  # fmt: skip


@rule(unit="MPa", source="compression along the grain, what 19 pieces in 20 reach (Wood "
      "Handbook); the weakest wood where the table does not know yours")  # fmt: skip
def halves_strength(wood: str, own_woods: tuple[Any, ...]) -> float:
    """What the halves bear in their bore, where closing bends them and the seat presses them."""
    return of_wood(wood, own_woods, "compression_parallel")


@rule(source="derived: the thinner of both halves")
def wall_least(moving_wall: float, fixed_depth: float, gap: float, bore_radius: float) -> float:
    """Wood behind the bore at the seat."""
    return min(moving_wall, fixed_depth + gap / 2 - bore_radius)


@rule(
    unit="N",
    source="what the wood bears for certain under closing and cut together: at the "
    "seat, in the bore over 2 for friction on its flanks; stiffest lining, worst piece",
)
def closing_limit(
    seat_strength: float, halves_strength: float, grip_diameter_least: float,
    grip_diameter_most: float, bore_radius: float, bore_tolerance: float, liner_thickness: float,
    liner_tolerance: float, gap: float, ring_height: float, liner_young_most: float,
    squeeze_most: float, bolt_x: float, wall_least: float, ring_top: float, cut_force_most: float,
    cut_pull_most: float, cut_acts_highest: float,
) -> float:  # fmt: skip
    """Closing force of each half that the piece and the halves take."""
    place = (bolt_x, bore_radius, wall_least, ring_height)
    push, lift = ON_THE_CUT * cut_force_most, ON_THE_CUT * cut_pull_most
    lever = lever_to(cut_acts_highest, ring_top, ring_height)
    share = cut_share(push, lever, ring_height)

    def force_at_limit(radius: float, lined: float, thick: float) -> float:
        rubber = Lining(max(lined, radius), radius, gap, thick, ring_height, liner_young_most)

        def used(squeezed: float) -> float:
            force, pressure = rubber.force(squeezed), rubber.pressure(squeezed)
            if pressure == 0:
                return 0.0
            # A seat that is hardly closed tips under the cut: the check of tipping says so.
            if force <= 2 * (push * lever + lift * radius) / ring_height:
                return pressure / seat_strength
            lip = lip_angle_at_piece(rubber.lined, radius, squeezed, gap)
            pressed = round_grip.greatest_pressure(
                pressure, force, push, lever, rubber.half_angle(squeezed), ring_height, lift,
                radius, lip,
            )  # fmt: skip
            bore = AT_THE_BORE * bore_compression(force + share, pressed, *place) / halves_strength
            return max(pressed / seat_strength, bore)

        return rubber.force(rubber.where(used, 1.0, squeeze_most))

    return min(
        force_at_limit(diameter / 2, *corner)
        for diameter in (grip_diameter_least, grip_diameter_most)
        for corner in corners_of(bore_radius, bore_tolerance, liner_thickness, liner_tolerance)
    )


@rule(unit="N mm", source="T = K F d (Shigley 8-27), so that the tightest bolt stays within what "
      "the piece takes; down to whole 0.01 N m", standing=Standing.ASSUMED)  # fmt: skip
def closing_torque(
    closing_limit: float, nut_factor_tight: float, torque_by_feel: float, drawbolt_size: str
) -> float:
    """Torque on each drawbolt's nut at which to stop, even if the turns are not done."""
    most = torque_up_to(closing_limit / 2, torque_by_feel, nut_factor_tight, drawbolt_size)
    return max(10.0, math.floor(most / 10) * 10.0)


@rule(unit="N", source="T = K F d, K and torque at their loose ends, less the springs")
def stopped_loose(
    closing_torque: float, nut_factor_loose: float, torque_by_feel: float, drawbolt_size: str,
    spring_force: float,
) -> float:  # fmt: skip
    """Closing force of each half where the torque stops it, at its loosest."""
    refuse("closing_torque", closing_torque, "what the fingers give, about 300 N mm")
    pull = pull_from(closing_torque, torque_by_feel, nut_factor_loose, drawbolt_size, -1)
    return 2 * max(0.0, pull - spring_force)


@rule(unit="N", source="T = K F d, K and torque at their tight ends; springs not counted")
def stopped_tight(
    closing_torque: float, nut_factor_tight: float, torque_by_feel: float, drawbolt_size: str
) -> float:
    """Closing force of each half where the torque stops it, at its tightest."""
    return 2 * pull_from(closing_torque, torque_by_feel, nut_factor_tight, drawbolt_size, +1)


@rule(source="derived: fewest linings in one bore that each touch over 20 deg each side and keep "
      "the clearance, in whole 0.1 mm", settable=False)  # fmt: skip
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
        if value <= 0:
            return 0.0
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
    loose = loosely_pressed(n, radius)
    for (yields, loosest), (grabs, shallow) in zip(loose[::2], loose[1::2], strict=True):
        tightest = grabs.where(grabs.force, n.stopped_tight, n.squeeze_most)
        soft.append(yields.force(loosest))
        stiff.append(grabs.force(tightest))
        least.append((yields.pressure(loosest), grabs.half_angle(shallow)))
        most.append(grabs.pressure(tightest))
    return Closed(
        _band(min(soft), max(stiff)), _band(min(p for p, _ in least), max(most)),
        min(angle for _, angle in least),
    )  # fmt: skip


def loosely_pressed(n: Book, radius: float) -> list[tuple[Lining, float]]:
    """What the lining may be on a piece of that radius, mm, and its compression at its loosest.

    At each corner of bore and lining first the softest that yields, then the stiffest that grabs.
    """
    found = []
    for lined, thick in corners_of(
        n.bore_radius, n.bore_tolerance, n.liner_thickness, n.liner_tolerance
    ):
        # A bore at its least may be no larger than the piece: then it fits, and is not refused.
        place = (max(lined, radius), radius, n.gap, thick, n.ring_height)
        yields = Lining(*place, n.liner_young_least, crushing=False)
        grabs = Lining(*place, n.liner_young_most)
        found += [
            (lining, lining.where(lining.force, n.stopped_loose, n.squeeze_least))
            for lining in (yields, grabs)
        ]
    return found


def corners_of(
    bore: float, bore_tolerance: float, liner: float, liner_tolerance: float
) -> list[tuple[float, float]]:
    """Lined radius and thickness of the lining at the ends of both tolerances, mm."""
    return [
        (bore + off - thick, thick)
        for off in (-bore_tolerance, bore_tolerance)
        for thick in (liner - liner_tolerance, liner + liner_tolerance)
    ]


def _band(low: float, high: float) -> Band:
    """The ends scatter by factors, so the middle is their geometric mean."""
    return Band(low, math.sqrt(low * high), high)


def _tested(test: tuple[float, ...], thickness: float) -> tuple[float, float]:
    """Modulus in compression E_c = F t / (A s) and shape factor of the user's squeeze test."""
    length, width, force, squeezed = test
    modulus = force * thickness / (length * width * squeezed)
    return modulus, liner_force.shape_factor(length, width, thickness)
