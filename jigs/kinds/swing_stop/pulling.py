"""How hard the bars press: torque on lock nuts and knobs, pull of studs, what gives first."""

from __future__ import annotations

import math
from typing import Any

from jigs import tables
from jigs.kinds import _front
from jigs.kinds._slots import insert_limit, lip_limit, thread_limit
from jigs.kinds._strength import (
    BY_FEEL,
    DRY,
    LUBRICATED,
    ON_STRENGTH,
    SPANNER,
    above_zero,
    board_unknown,
    metal_unknown,
    of_board,
    of_wood,
    pull_from,
    torque_up_to,
    weakest_class,
)
from jigs.kinds.swing_stop.boarding import rule
from jigs.mechanics import bolt, hand, plate
from jigs.model.number import Standing

__all__ = ["rule"]

Positions = tuple[float, ...]

FOR_THE_CUT = 1.25
"""What the cut may add to the pressure, as a factor. Assumed; the check counts it."""

LEFT_FOR_THE_CUT = 1.2
"""What the cut may add to a stud's own pull, as a factor. Assumed; the check counts it."""

SNUG = 300.0
"""N mm on each knob of a stop that steadies and does not clamp: two fingers. Assumed."""

# How a hand tightens


@rule(unit="", source="how far a torque set by feel is off, either way, as a share",
      standing=Standing.ASSUMED)  # fmt: skip
def torque_by_feel() -> float:
    """Scatter of a torque by feel."""
    return BY_FEEL


@rule(unit="", source="nut factor K, Shigley Table 8-15: black and dry", standing=Standing.ASSUMED)
def nut_factor_loose() -> float:
    """Nut factor that gives the loosest stud."""
    return DRY


@rule(unit="", source="nut factor K, Shigley Table 8-15: lubricated", standing=Standing.ASSUMED)
def nut_factor_tight() -> float:
    """Nut factor that gives the tightest stud."""
    return LUBRICATED


@rule(unit="", source="ISO 898-1 or SAE J429: the weakest that is sold", standing=Standing.ASSUMED)
def bolt_class(hardware: str) -> str:
    """Property class of the studs."""
    return weakest_class(hardware)


def _pull(torque: float, feel: float, factor: float, size: str, end: int) -> float:
    """Pull of a stud at the loose (-1) or tight (+1) end of a torque by feel, N."""
    above_zero(1000.0, torque=torque)
    above_zero(0.2, nut_factor=factor)
    return pull_from(torque, feel, factor, size, end)


# What gives


@rule(unit="MPa", source="table of metals: the lower of aluminium and cast iron, since the face's "
      "metal is not known", standing=Standing.ASSUMED)  # fmt: skip
def front_yield() -> float:
    """Yield strength of a slotted or threaded front face."""
    return metal_unknown()


@rule(unit="MPa", source="rolling shear of the weakest board of the table: the board's kind is not "
      "known", standing=Standing.ASSUMED)  # fmt: skip
def front_board_shear() -> float:
    """Shear strength of a front face of board, round an insert."""
    return board_unknown()


@rule(unit="N", source="lips in shear and bending; thread stripped, FED-STD-H28/2B; shear of the "
      "cylinder round an insert; proof load, ISO 898-1 or SAE J429")  # fmt: skip
def stud_limit(
    stud_by: str, stud_size: str, stud_head: Positions, stud_below: float,
    front_slot_profile: Positions, front_yield: float, front_board_shear: float, bolt_class: str,
) -> float:  # fmt: skip
    """Pull of one stud at which it, or the face that it holds on to, gives."""
    above_zero(98.0, front_yield=front_yield)
    above_zero(1.0, front_board_shear=front_board_shear)
    match stud_by:
        case _front.INSERT:
            face = insert_limit(stud_size, front_board_shear)
        case _front.THREADED:
            face = thread_limit(stud_size, stud_below, front_yield)
        case _:
            face = lip_limit(front_slot_profile, stud_head[1], front_yield)
    return min(face, tables.proof_load(stud_size, bolt_class))


@rule(unit="MPa", source="table of boards, the weakest where it does not know yours; none is firm",
      standing=Standing.ASSUMED)  # fmt: skip
def sheet_crushing(sheet_material: str) -> float:
    """What the back board's sheet bears under a washer."""
    return of_board(sheet_material, "compression_flat")


@rule(unit="kg/m3", source="table of boards, the lightest where it does not know yours",
      standing=Standing.TABLE)  # fmt: skip
def sheet_density(sheet_material: str) -> float:
    """Density of the back board's sheet."""
    return of_board(sheet_material, "density")


@rule(unit="MPa", source="bending, what 19 pieces in 20 reach (Wood Handbook); the weakest "
      "wood where the table does not know it")  # fmt: skip
def bar_strength(wood: str, own_woods: tuple[Any, ...]) -> float:
    """Bending strength of the bars' wood, along the grain."""
    return of_wood(wood, own_woods, "modulus_of_rupture")


@rule(unit="MPa", source="compression across the grain, what 19 pieces in 20 reach (Wood Handbook)")
def bar_crushing(wood: str, own_woods: tuple[Any, ...]) -> float:
    """What the bars' wood bears under a washer."""
    return of_wood(wood, own_woods, "compression_perpendicular")


@rule(unit="MPa", source="compression across the grain, what 19 pieces in 20 reach (Wood Handbook)")
def piece_crushing(piece_wood: str, own_woods: tuple[Any, ...]) -> float:
    """What the piece's wood bears under a pad."""
    return of_wood(piece_wood, own_woods, "compression_perpendicular")


@rule(unit="N", source="F = sigma W / (x_stud - w / 4): beam on two studs, the pad's pressure even")
def bar_bends(
    bar_strength: float, bar_height: float, bar_thick: float, stud_x: float, pad_width: float
) -> float:
    """Pull of each stud at which a bar breaks in its middle."""
    above_zero(50.0, bar_strength=bar_strength)
    return bar_strength * plate.section_modulus(bar_height, bar_thick) / (stud_x - pad_width / 4)


@rule(unit="N", source="F = sigma A, A under the washer less an open slot to its middle")
def washer_dent(bar_crushing: float, stud_washer: float, stud_hole: float) -> float:
    """Pull of one stud at which its washer leaves a dent in the bar."""
    above_zero(3.0, bar_crushing=bar_crushing)
    half_round = math.pi / 8 * stud_hole**2
    bears = math.pi / 4 * stud_washer**2 - half_round - stud_hole * stud_washer / 2
    return bar_crushing * bears


@rule(unit="N", source="F = sigma w h / 2: two studs press one pad, evenly")
def pad_dent(piece_crushing: float, pad_width: float, bar_height: float) -> float:
    """Pull of each stud at which a pad leaves a dent in the piece."""
    above_zero(3.0, piece_crushing=piece_crushing)
    return piece_crushing * pad_width * bar_height / 2


@rule(unit="N", source="what breaks over 1.5, a fifth left for the cut in the studs beside what "
      "their lock nuts pull; no dent, a quarter left for the cut under the pad")  # fmt: skip
def bar_limit(
    bar_bends: float, washer_dent: float, pad_dent: float, stud_limit: float, lock_tight: float
) -> float:
    """Greatest pull of one stud that bar, piece and stud take."""
    studs = stud_limit / ON_STRENGTH / LEFT_FOR_THE_CUT - lock_tight
    return min(bar_bends / ON_STRENGTH / FOR_THE_CUT, washer_dent, pad_dent / FOR_THE_CUT, studs)


# The lock nuts


@rule(unit="N", source="F = sigma pi/4 (D^2 - d^2), even under the washer, on the back board")
def lock_dent(sheet_crushing: float, stud_washer: float, stud_hole: float) -> float:
    """Pull of one lock nut at which its washer leaves a dent in the back board."""
    above_zero(3.0, sheet_crushing=sheet_crushing)
    return sheet_crushing / bolt.washer_pressure(1.0, stud_washer, stud_hole)


@rule(unit="N mm", source="a short spanner with one hand; no dent in the back board; half of what "
      "the stud takes, over 1.5", standing=Standing.ASSUMED)  # fmt: skip
def lock_torque(
    bars: int, stud_size: str, lock_dent: float, stud_limit: float, torque_by_feel: float,
    nut_factor_tight: float,
) -> float:  # fmt: skip
    """Torque on each lock nut, by feel."""
    most = stud_limit / ON_STRENGTH / 2
    if bars == 2:
        most = min(most, lock_dent)
    spanner = SPANNER * tables.thread(stud_size).major_diameter ** 3
    return min(spanner, torque_up_to(most, torque_by_feel, nut_factor_tight, stud_size))


@rule(unit="N", source="T = K F d (Shigley 8-27), the torque short and the nut dry")
def lock_loose(
    lock_torque: float, stud_size: str, torque_by_feel: float, nut_factor_loose: float
) -> float:
    """Pull of a lock nut at its loosest."""
    return _pull(lock_torque, torque_by_feel, nut_factor_loose, stud_size, -1)


@rule(unit="N", source="T = K F d (Shigley 8-27), the torque over and the nut lubricated")
def lock_tight(
    lock_torque: float, stud_size: str, torque_by_feel: float, nut_factor_tight: float
) -> float:
    """Pull of a lock nut at its tightest."""
    return _pull(lock_torque, torque_by_feel, nut_factor_tight, stud_size, +1)


# The bars' own pull


@rule(unit="N mm", source="c D^2 up to 63 mm, c 1 N/mm: see mechanics of the hand",
      standing=Standing.ASSUMED)  # fmt: skip
def hand_torque(knob_diameter: float) -> float:
    """What a hand gives to a knob with no great effort."""
    return hand.knob_torque(knob_diameter)


@rule(unit="N mm", source="the same, c 3 N/mm: a strong hand's single greatest effort",
      standing=Standing.ASSUMED)  # fmt: skip
def hand_torque_most(knob_diameter: float) -> float:
    """The most that a hand gives to a knob."""
    return hand.knob_torque(knob_diameter, hand.HIGH)


@rule(unit="N mm", source="one bar: two fingers, it steadies; two: what a hand gives, but no more "
      "than bar, piece and stud take if it comes out tightest",
      standing=Standing.ASSUMED)  # fmt: skip
def bar_torque(
    bars: int, bar_limit: float, stud_size: str, hand_torque: float, torque_by_feel: float,
    nut_factor_tight: float,
) -> float:  # fmt: skip
    """Torque on each knob, by feel."""
    most = torque_up_to(bar_limit, torque_by_feel, nut_factor_tight, stud_size)
    return min(hand_torque if bars == 2 else SNUG, most)


@rule(unit="N", source="T = K F d (Shigley 8-27), the torque short and the nut dry")
def bar_loose(
    bar_torque: float, stud_size: str, torque_by_feel: float, nut_factor_loose: float
) -> float:
    """Pull of a stud on its bar at its loosest: for what must hold."""
    return _pull(bar_torque, torque_by_feel, nut_factor_loose, stud_size, -1)


@rule(unit="N", source="T = K F d (Shigley 8-27), the torque over and the nut lubricated")
def bar_tight(
    bar_torque: float, stud_size: str, torque_by_feel: float, nut_factor_tight: float
) -> float:
    """Pull of a stud on its bar at its tightest: for what must not crush or break."""
    return _pull(bar_torque, torque_by_feel, nut_factor_tight, stud_size, +1)
