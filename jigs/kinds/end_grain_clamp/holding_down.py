"""How the clamp is held down on the table: torque and pull of the hold-downs, and what gives first.

Both sets have two hold-downs each, tightened alike. Slots are judged by their lips, holes by their
threads, a board by what an insert pulls out of it; then the studs. Washers must leave no dent in
the bases; the moving one's stand over slots.
"""

from __future__ import annotations

import math

from jigs import tables
from jigs.kinds._slots import insert_limit, lip_limit, thread_limit
from jigs.kinds._strength import (
    GRAVITY_PER_MM3,
    ON_STRENGTH,
    TIGHTENED,
    above_zero,
    board_unknown,
    metal_unknown,
    pull_from,
    torque_up_to,
)
from jigs.kinds.end_grain_clamp.gripping import rule
from jigs.kinds.end_grain_clamp.standing import fixed_x, hold_places
from jigs.mechanics import hand
from jigs.model.grip import Anchor, Band, Footing
from jigs.model.number import Book, Standing
from jigs.model.state import Limit, Phase, State

__all__ = ["footing_of", "rule"]

Positions = tuple[float, ...]

LEFT_FOR_THE_CUT = 1.2
"""What the cut may add to a hold-down's own pull, as a factor. Assumed; the check counts it."""


# What the table takes


@rule(unit="MPa", source="table of metals: the lower of aluminium and cast iron, since the table's "
      "metal is not known", standing=Standing.ASSUMED)  # fmt: skip
def table_yield() -> float:
    """Yield strength of a slotted or threaded table."""
    return metal_unknown()


@rule(unit="MPa", source="rolling shear of the weakest board of the table: the board's kind is not "
      "known", standing=Standing.ASSUMED)  # fmt: skip
def spoilboard_shear() -> float:
    """Shear strength of a spoilboard round an insert."""
    return board_unknown()


@rule(unit="N", source="lips in shear and bending over the head's length; threads: "
      "FED-STD-H28/2B; shear of the cylinder round an insert")  # fmt: skip
def table_limit(
    hold_by: str, hold_size: str, hold_throat: float, hold_below: float,
    table_slot_profile: Positions, table_yield: float, spoilboard_shear: float,
) -> float:  # fmt: skip
    """Pull of one hold-down at which the table gives."""
    above_zero(98.0, table_yield=table_yield)
    above_zero(1.0, spoilboard_shear=spoilboard_shear)
    if hold_by == "insert":
        return insert_limit(hold_size, spoilboard_shear)
    if hold_by == "threaded hole":
        return thread_limit(hold_size, hold_below, table_yield)
    head = (tables.t_slot_bolt(hold_throat).head_width_min if hold_by == "T-slot bolt"
            else tables.t_slot_nut(hold_throat).foot_width)  # fmt: skip
    return lip_limit(table_slot_profile, head, table_yield)


@rule(unit="N", source="F = sigma A, even under what of the washer does not lie over the slot")
def hold_dent(
    sheet_crushing: float, hold_washer: float, hold_hole: float, base_slot: float
) -> float:
    """Pull of one hold-down at which its washer leaves a dent in the moving base."""
    above_zero(3.0, sheet_crushing=sheet_crushing)
    # As where the bolt stands at an end of its slot, which then runs to the washer's rim.
    open_along = min(base_slot - hold_hole, hold_washer / 2)
    over_slot = math.pi / 4 * hold_hole**2 + open_along * hold_hole
    return sheet_crushing * (math.pi / 4 * hold_washer**2 - over_slot)


@rule(
    unit="N",
    source="proof stress times stress area, ISO 898-1 or SAE J429",
    standing=Standing.TABLE,
)
def stud_limit(hold_size: str, bolt_class: str) -> float:
    """Proof load of one hold-down's stud."""
    return tables.proof_load(hold_size, bolt_class)


@rule(unit="N", source="the lesser of table and studs")
def hold_limit(table_limit: float, stud_limit: float) -> float:
    """Pull of one hold-down at which the first thing gives."""
    return min(table_limit, stud_limit)


# How hard it is held down


@rule(unit="N mm", source="c D^2 up to 63 mm, c 1 N/mm: see mechanics of the hand",
      standing=Standing.ASSUMED)  # fmt: skip
def hold_hand_torque(hold_knob_diameter: float) -> float:
    """What a hand gives to a hold-down's knob with no great effort."""
    return hand.knob_torque(hold_knob_diameter)


@rule(
    unit="N mm",
    source="what a hand gives; no dent if the bolt comes out tightest; what gives first over 1.5 "
    "and a fifth left for the cut",
    standing=Standing.ASSUMED,
)
def hold_torque(
    hold_limit: float, hold_dent: float, hold_size: str, hold_hand_torque: float,
    torque_by_feel: float, nut_factor_tight: float,
) -> float:  # fmt: skip
    """Torque to turn each hold-down's knob with, by feel."""
    most = min(hold_limit / ON_STRENGTH / LEFT_FOR_THE_CUT, hold_dent)
    return min(hold_hand_torque, torque_up_to(most, torque_by_feel, nut_factor_tight, hold_size))


@rule(unit="N", source="T = K F d (Shigley 8-27), the torque short and the nut dry")
def hold_loose(
    hold_torque: float, hold_size: str, torque_by_feel: float, nut_factor_loose: float
) -> float:
    """Pull of a hold-down at its loosest."""
    above_zero(500.0, hold_torque=hold_torque)
    return pull_from(hold_torque, torque_by_feel, nut_factor_loose, hold_size, -1)


@rule(unit="N", source="T = K F d (Shigley 8-27), the torque over and the nut lubricated")
def hold_tight(
    hold_torque: float, hold_size: str, torque_by_feel: float, nut_factor_tight: float
) -> float:
    """Pull of a hold-down at its tightest."""
    return pull_from(hold_torque, torque_by_feel, nut_factor_tight, hold_size, +1)


def _surfaces(anchors: str) -> tuple[tables.FrictionPair, ...]:
    """What the table may be: a board, or a metal that nobody told."""
    others = ("board",) if anchors == "spoilboard" else ("aluminium", "steel")
    return tuple(tables.friction_pair("board", other) for other in others)


@rule(unit="", source="table of friction, board on a spoilboard, or on the slippier of aluminium "
      "and steel: low end", standing=Standing.ASSUMED)  # fmt: skip
def base_friction(table_anchors: str) -> float:
    """Friction of the bases on the table that is counted on."""
    return min(pair.low for pair in _surfaces(table_anchors))


@rule(unit="", source="the same at its high end", standing=Standing.ASSUMED)
def base_friction_high(table_anchors: str, base_friction: float) -> float:
    """Friction of the bases on the table where it is in the way."""
    above_zero(0.2, base_friction=base_friction)
    return max(base_friction, *(pair.high for pair in _surfaces(table_anchors)))


@rule(unit="N", source="derived: base, face and ribs, no cuts or hardware")
def moving_weight(
    sheet_density: float, sheet_nominal: float, moving_base_end: float, base_width: float,
    jaw_length: float, jaw_top: float, rib_depth: float, rib_height: float, ribs: int,
) -> float:  # fmt: skip
    """Weight of the moving jaw."""
    areas = moving_base_end * base_width + jaw_length * jaw_top + ribs * rib_depth * rib_height
    return sheet_density * areas * sheet_nominal * GRAVITY_PER_MM3


@rule(unit="N", source="Coulomb: high friction under the tightest hold-downs and the weight")
def hold_down_drag(base_friction_high: float, hold_tight: float, moving_weight: float) -> float:
    """What tightening the moving hold-downs first could take from the drawbolts."""
    return base_friction_high * (2 * hold_tight + moving_weight)


def first_to_give(n: Book) -> str:
    """What gives first under a hold-down's pull."""
    if n.stud_limit < n.table_limit:
        return "the stud"
    in_table = {"insert": "the insert in its board", "threaded hole": "the table's thread"}
    return in_table.get(n.hold_by, "the lip of the slot")


def footing_of(n: Book) -> Footing:
    """The fixed base on the table: it carries the whole cut, alone.

    The moving base helps once its hold-downs are tight; it may be slack, so it is not counted. The
    drawbolts' pull goes from face to piece to face and back through the rods: it is inside the
    clamp, and neither base feels it. Only the base's own weight counts, which acts at its middle.
    """
    edge = fixed_x(n) - (n.sheet_nominal - n.dado_depth)
    end, half = fixed_x(n) - n.fixed_base_end, n.base_width / 2
    places = hold_places(n, State(Phase.CLOSED, Limit.NOMINAL))
    area = (edge - end) * n.base_width
    words = "a spoilboard" if n.table_anchors == "spoilboard" else "aluminium or steel"
    loose, tight = n.hold_loose, n.hold_tight
    high = n.base_friction_high
    return Footing(
        name="fixed base", plane="table", level=-float(n.piece_top), reach=(end, edge, -half, half),
        anchors=tuple(Anchor(x, y) for name, x, y in places if name.startswith("fixed")),
        pull=Band(loose, (loose + tight) / 2, tight), most=n.hold_limit, gives=first_to_give(n),
        friction=Band(n.base_friction, (n.base_friction + high) / 2, high),
        weight=n.sheet_density * area * n.sheet_least * GRAVITY_PER_MM3, share=1.0,
        assumes=(
            f"{n.hold_torque / 1000:.1f} N m on each hold-down's knob, by feel within "
            f"{100 * n.torque_by_feel:.0f} %",
            f"friction {n.base_friction:g} (board on {words}, dry; low end)",
            "the moving base's hold-downs help and are not counted",
            f"first to give: {first_to_give(n)}, at {n.hold_limit:.0f} N a hold-down",
        ),
        reads=("hold_torque", *TIGHTENED, "hold_loose", "hold_tight", "base_friction",
               "hold_limit"),
        levers=("+hold_torque", "-hold_torque", "+fixed_base_end", "+base_width"),
    )  # fmt: skip
