"""How the back board is held to the front face: torque and pull of what it hangs on, what gives."""

from __future__ import annotations

import math

from jigs import tables
from jigs.kinds._slots import lip_limit, thread_limit
from jigs.kinds._strength import (
    GRAVITY_PER_MM3,
    ON_STRENGTH,
    SPANNER,
    metal_unknown,
    of_board,
    pull_from,
    refuse,
    torque_up_to,
    weakest_class,
)
from jigs.kinds.split_ring.closing import rule
from jigs.kinds.split_ring.fastenings import corners, face_y
from jigs.kinds.split_ring.hanging import BOLTS, NUTS, SCREWS, WOOD_SCREWS
from jigs.mechanics import bolt
from jigs.model.grip import Anchor, Band, Footing
from jigs.model.number import Book, Standing

__all__ = ["first_to_give", "footing_of", "rule"]

LEFT_FOR_THE_CUT = 1.1
"""What the cut may add to a fastening's own pull, as a factor. Assumed; the check counts it."""

OF_THE_MEAN = 0.6
"""Withdrawal of a wood screw that is counted on, as a share of the mean of tests. Assumed."""

DRIVEN_LOOSE, DRIVEN_TIGHT = 0.1, 0.4
"""Pull of a wood screw as driven, as a share of what it takes: wood creeps. Assumed."""

PULL_THROUGH = 70e-6
"""Head pull-through f = 70e-6 rho^2, MPa at kg/m3: EN 1995-1-1, 8.26, nails, from memory."""


@rule(unit="MPa", source="table of boards, the weakest where it does not know yours; none is firm",
      standing=Standing.ASSUMED)  # fmt: skip
def sheet_crushing(sheet_material: str) -> float:
    """What the back board's sheet bears under a washer."""
    return of_board(sheet_material, "compression_flat")


@rule(unit="MPa", source="as you know it, else table of boards, the weaker way; the weakest where "
      "it does not know yours", standing=Standing.TABLE)  # fmt: skip
def sheet_young(sheet_material: str, sheet_stiffness: float) -> float:
    """Young's modulus of the back board's sheet."""
    ways = ("modulus_of_elasticity_along", "modulus_of_elasticity_across")
    return sheet_stiffness or of_board(sheet_material, *ways)


@rule(unit="kg/m3", source="table of boards, the lightest where it does not know yours",
      standing=Standing.TABLE)  # fmt: skip
def sheet_density(sheet_material: str) -> float:
    """Density of the back board's sheet."""
    return of_board(sheet_material, "density")


@rule(unit="", source="ISO 898-1 or SAE J429: the weakest that is sold", standing=Standing.ASSUMED)
def bolt_class(hardware: str) -> str:
    """Property class of drawbolts, mounting bolts, and what the board hangs on."""
    return weakest_class(hardware)


@rule(unit="MPa", source="table of metals: the lower of aluminium and cast iron, since the face's "
      "metal is not known", standing=Standing.ASSUMED)  # fmt: skip
def front_yield() -> float:
    """Yield strength of a slotted or threaded front face."""
    return metal_unknown()


@rule(unit="", source="oven dry mass over volume, as of a light softwood: the board of the front "
      "face is not known", standing=Standing.ASSUMED)  # fmt: skip
def front_board_gravity() -> float:
    """Specific gravity of a wooden front face, for what a wood screw holds in it."""
    return 0.36


@rule(unit="N", source="lips in shear and bending over the head's length; thread stripped, "
      "FED-STD-H28/2B; a wood screw drawn out, Wood Handbook 8-10a, 0.6 of the mean")  # fmt: skip
def front_limit(
    hang_by: str, hang_size: str, hang_head_width: float, hang_length: float, sheet_most: float,
    front_slot_profile: tuple[float, ...], front_yield: float, front_board_gravity: float,
) -> float:  # fmt: skip
    """Pull of one fastening at which the front face gives."""
    refuse("front_yield", front_yield, "98 MPa")
    refuse("front_board_gravity", front_board_gravity, "0.36")
    if hang_by == WOOD_SCREWS:
        bite = hang_length - sheet_most
        drawn = bolt.screw_withdrawal(front_board_gravity, float(hang_size), bite)
        return OF_THE_MEAN * drawn
    if hang_by == SCREWS:
        engaged = hang_length - sheet_most - tables.washer(hang_size, "large").thickness
        return thread_limit(hang_size, engaged, front_yield)
    return lip_limit(front_slot_profile, hang_head_width, front_yield)


@rule(unit="N", source="F = sigma pi/4 (D^2 - d^2), even under the washer; a wood screw's head "
      "pulled through, EN 1995-1-1, from memory")  # fmt: skip
def hang_bearing_limit(
    hang_by: str, hang_size: str, hang_washer: float, sheet_crushing: float, sheet_density: float
) -> float:
    """Pull of one fastening at which the back board gives under it."""
    if hang_by == WOOD_SCREWS:
        return PULL_THROUGH * sheet_density**2 * hang_washer**2
    hole = tables.clearance_hole(hang_size).hole_medium
    refuse("sheet_crushing", sheet_crushing, "3 MPa")
    return sheet_crushing / bolt.washer_pressure(1.0, hang_washer, hole)


@rule(unit="N", source="proof load, ISO 898-1 or SAE J429; a wood screw is as strong as its wood",
      standing=Standing.TABLE)  # fmt: skip
def hang_proof(hang_by: str, hang_size: str, bolt_class: str, front_limit: float) -> float:
    """Pull at which one of the bolts, rods or screws itself gives."""
    return front_limit if hang_by == WOOD_SCREWS else tables.proof_load(hang_size, bolt_class)


@rule(unit="N", source="the least of front face, back board and bolt")
def hang_limit(front_limit: float, hang_bearing_limit: float, hang_proof: float) -> float:
    """Pull of one fastening at which the first thing gives."""
    return min(front_limit, hang_bearing_limit, hang_proof)


@rule(unit="N mm", source="a short spanner with one hand, but no more than leaves 1.5 and a tenth "
      "for the cut to what gives first; 0 for wood screws", standing=Standing.ASSUMED)  # fmt: skip
def hang_torque(
    hang_by: str, hang_size: str, hang_limit: float, nut_factor_tight: float, torque_by_feel: float
) -> float:
    """Torque on each of what the back board hangs on, by feel."""
    if hang_by == WOOD_SCREWS:
        return 0.0
    diameter = tables.thread(hang_size).major_diameter
    most = hang_limit / ON_STRENGTH / LEFT_FOR_THE_CUT
    tight = torque_up_to(most, torque_by_feel, nut_factor_tight, hang_size)
    return min(SPANNER * diameter**3, math.floor(tight / 10) * 10.0)


@rule(unit="N", source="T = K F d (Shigley 8-27), torque short and nut dry; a tenth of what a wood "
      "screw takes", standing=Standing.ASSUMED)  # fmt: skip
def hang_loose(
    hang_by: str, hang_size: str, hang_torque: float, hang_limit: float, nut_factor_loose: float,
    torque_by_feel: float,
) -> float:  # fmt: skip
    """Pull of one fastening at its loosest."""
    if hang_by == WOOD_SCREWS:
        return DRIVEN_LOOSE * hang_limit
    refuse("hang_torque", hang_torque, "1000 N mm, or leave it out")
    return pull_from(hang_torque, torque_by_feel, nut_factor_loose, hang_size, -1)


@rule(unit="N", source="T = K F d (Shigley 8-27), torque over and nut lubricated; four tenths of "
      "what a wood screw takes", standing=Standing.ASSUMED)  # fmt: skip
def hang_tight(
    hang_by: str, hang_size: str, hang_torque: float, hang_limit: float, nut_factor_tight: float,
    torque_by_feel: float,
) -> float:  # fmt: skip
    """Pull of one fastening at its tightest."""
    if hang_by == WOOD_SCREWS:
        return DRIVEN_TIGHT * hang_limit
    return pull_from(hang_torque, torque_by_feel, nut_factor_tight, hang_size, +1)


@rule(unit="", source="table of friction, board on board, or on the slippier of aluminium and "
      "steel: low end", standing=Standing.ASSUMED)  # fmt: skip
def front_friction(hang_by: str) -> float:
    """Friction of the back board on the front face that is counted on."""
    return min(pair.low for pair in _surfaces(hang_by))


@rule(unit="N", source="derived: board, shelf and both halves as full blocks, and 10 N of hardware "
      "and piece, assumed", standing=Standing.ASSUMED)  # fmt: skip
def hung_weight(
    sheet_density: float, sheet_nominal: float, board_width: float, board_foot: float,
    ring_top: float, shelf_width: float, shelf_depth: float, shelf_thickness: float,
    ring_height: float, fixed_width: float, fixed_depth: float, moving_width: float,
    moving_depth: float,
) -> float:  # fmt: skip
    """Weight that hangs on the front face."""
    sheet = board_width * (ring_top - board_foot) * sheet_nominal
    sheet += shelf_width * shelf_depth * shelf_thickness
    halves = ring_height * (fixed_width * fixed_depth + moving_width * moving_depth)
    return (sheet * sheet_density + halves * _HEAVY_WOOD) * GRAVITY_PER_MM3 + 10.0


_HEAVY_WOOD = 800.0
"""kg/m3 of the halves. Assumed: a heavy hardwood."""


def footing_of(n: Book) -> Footing:
    """The back board on the front face: it carries the whole cut and hangs by friction alone."""
    w = n.board_width / 2
    low, high = n.hang_loose, n.hang_tight
    pairs = _surfaces(n.hang_by)
    mu = refuse("front_friction", n.front_friction, "0.2")
    face = "board" if n.hang_by == WOOD_SCREWS else "aluminium or steel"
    first = first_to_give(n)
    drawn = (
        f"wood screws pull {low:.0f} to {high:.0f} N as driven"
        if n.hang_by == WOOD_SCREWS
        else f"{n.hang_torque / 1000:.2g} N m on each of the {n.hang_by}, by feel within "
        f"{n.torque_by_feel:.0%}"
    )
    return Footing(
        name="back board", plane="front face", level=face_y(n),
        reach=(-w, w, max(n.board_foot, n.front_bottom - n.end_height),
               min(n.ring_top, n.front_top - n.end_height)),
        anchors=tuple(Anchor(at.x, at.z) for at in corners(n)),
        pull=Band(low, math.sqrt(low * high), high), most=n.hang_limit, gives=first,
        friction=Band(mu, max(mu, *(p.coefficient for p in pairs)),
                      max(mu, *(p.high for p in pairs))),
        weight=n.hung_weight,
        assumes=(drawn, f"friction {mu:g} (board on {face}, dry; low end)",
                 f"{first} first to give, at {n.hang_limit:.0f} N"),
        reads=("hang_torque", "hang_loose", "hang_tight", "hang_limit", "nut_factor_loose",
               "nut_factor_tight", "torque_by_feel", "front_friction", "hung_weight"),
        levers=("+hang_torque", "-hang_torque"),
    )  # fmt: skip


def first_to_give(n: Book) -> str:
    """What gives first under the pull of one fastening."""
    in_face = {
        BOLTS: "the slot's lips", NUTS: "the slot's lips", SCREWS: "the face's thread",
        WOOD_SCREWS: "the wood round the screws",
    }  # fmt: skip
    limits = {
        in_face[n.hang_by]: n.front_limit, "the back board under them": n.hang_bearing_limit,
        "the bolts": n.hang_proof,
    }  # fmt: skip
    return min(limits, key=lambda name: limits[name])


def _surfaces(hang_by: str) -> tuple[tables.FrictionPair, ...]:
    others = ("board",) if hang_by == WOOD_SCREWS else ("aluminium", "steel")
    return tuple(tables.friction_pair("board", other) for other in others)
