"""How hard the end-grain clamp grips: torque, pull of the drawbolts, friction, and the grip itself.

The face between drawbolt and rib is the weakest part, far weaker than the bolt: the torque on the
knobs follows from it, and is little.
"""

from __future__ import annotations

from collections.abc import Mapping

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._hardware import spring_for
from jigs.kinds._strength import (
    BY_FEEL,
    DRY,
    LUBRICATED,
    ON_STRENGTH,
    TIGHTENED,
    pull_from,
    torque_up_to,
    weakest_class,
)
from jigs.kinds.end_grain_clamp.boarding import above_zero, rule
from jigs.kinds.end_grain_clamp.sizing import FACE_CLEAR
from jigs.mechanics import bolt, hand, plate
from jigs.model.grip import ON_THE_CUT, Band, FaceGrip
from jigs.model.number import Book, Standing

__all__ = ["grip_of", "rule"]

# How a hand tightens


@rule(unit="", source="how far a torque set by feel is off, either way, as a share",
      standing=Standing.ASSUMED)  # fmt: skip
def torque_by_feel() -> float:
    """Scatter of a torque by feel."""
    return BY_FEEL


@rule(unit="", source="nut factor K, Shigley Table 8-15: black and dry", standing=Standing.ASSUMED)
def nut_factor_loose() -> float:
    """Nut factor that gives the loosest bolt."""
    return DRY


@rule(unit="", source="nut factor K, Shigley Table 8-15: lubricated", standing=Standing.ASSUMED)
def nut_factor_tight() -> float:
    """Nut factor that gives the tightest bolt."""
    return LUBRICATED


@rule(unit="", source="ISO 898-1 or SAE J429: the weakest that is sold", standing=Standing.ASSUMED)
def bolt_class(hardware: str) -> str:
    """Property class of rods, studs and bolts."""
    return weakest_class(hardware)


# What one drawbolt may pull


@rule(source="derived: not all of a tall face bends")
def bending_height(
    jaw_top: float, drawbolt_height: float, drawbolt_y: float, rib_at: tuple[float, ...]
) -> float:
    """Height of the face that one drawbolt bends."""
    above, below = jaw_top - drawbolt_height, drawbolt_height - FACE_CLEAR
    return plate.height_that_bends(drawbolt_y - max(rib_at), above, below)


@rule(unit="mm3", source="b t^2 / 6 at the dado, the thinnest sheet")
def face_modulus(bending_height: float, sheet_least: float, dado_depth: float) -> float:
    """Section modulus of the face beside a rib."""
    return plate.section_modulus(bending_height, sheet_least - dado_depth)


@rule(unit="N", source="F = sigma W / (y_bolt - y_rib)")
def face_limit(
    face_strength: float, face_modulus: float, drawbolt_y: float, rib_at: tuple[float, ...]
) -> float:
    """Pull of one drawbolt at which its face breaks beside a rib."""
    above_zero(20.0, face_strength=face_strength)
    return plate.drawbolt_force_limit(face_strength, face_modulus, drawbolt_y, max(rib_at))


@rule(unit="N", source="F = sigma pi/4 (D^2 - d^2), even under the washer")
def drawbolt_dent(sheet_crushing: float, drawbolt_washer: float, drawbolt_hole: float) -> float:
    """Pull of one drawbolt at which its washers leave a dent in the faces."""
    above_zero(3.0, sheet_crushing=sheet_crushing)
    return sheet_crushing / bolt.washer_pressure(1.0, drawbolt_washer, drawbolt_hole)


@rule(source="a sixth of the gripped height: the pressure just leaves one edge. The moving jaw is "
      "free to lean until its hold-downs are tight, so hardly more can be",
      standing=Standing.ASSUMED)  # fmt: skip
def off_centre(jaw_top: float, grip_from: float) -> float:
    """How far above or below the drawbolts the piece's pressure may lie."""
    return (jaw_top - grip_from) / 6


@rule(unit="N", source="the couple of both pulls off centre turns the tongues about the end "
      "pressed on its dado's floor; eccentric shear, Shigley 8-12 and 9-3")  # fmt: skip
def glue_limit(
    glue_strength: float, off_centre: float, rib_depth: float, rib_height: float,
    sheet_nominal: float, dado_depth: float, ribs: int,
) -> float:  # fmt: skip
    """Pull of each drawbolt at which a rib's glue parts, in the base or in the face."""
    above_zero(1.0, glue_strength=glue_strength)
    shears = (
        plate.glue_shear_about_heel(2.0 * off_centre, length, dado_depth, ribs)
        for length in (rib_depth + dado_depth, rib_height - sheet_nominal)
    )
    return glue_strength / max(shears)


@rule(unit="N", source="the couple of both pulls off centre as two forces a rib's depth apart, on "
      "the edge as one tongue")  # fmt: skip
def edge_limit(
    glue_strength: float, off_centre: float, rib_depth: float, dado_depth: float,
    jaw_length: float, base_width: float,
) -> float:  # fmt: skip
    """Pull of each drawbolt at which a base's edge is torn out of its face's rebate."""
    above_zero(1.0, glue_strength=glue_strength)
    upright = 2.0 * off_centre / rib_depth
    return glue_strength / plate.glue_shear(
        upright, 0.0, min(jaw_length, base_width), dado_depth, 1
    )


@rule(unit="N", source="cantilever and rectangle in shear, as if the ribs alone took both pulls at "
      "the drawbolts' height: an upper figure")  # fmt: skip
def rib_limit(
    face_strength: float, sheet_shear: float, drawbolt_height: float, sheet_nominal: float,
    dado_depth: float, sheet_least: float, rib_depth: float, ribs: int,
) -> float:  # fmt: skip
    """Pull of each drawbolt at which the ribs break at their foot."""
    above_zero(20.0, face_strength=face_strength)
    above_zero(4.0, sheet_shear=sheet_shear)
    lever = drawbolt_height - (sheet_nominal - dado_depth)
    bends = plate.rib_bending(2.0, lever, sheet_least, rib_depth, ribs)
    shears = plate.rib_shear(2.0, sheet_least, rib_depth, ribs)
    return min(face_strength / bends, sheet_shear / shears)


@rule(
    unit="N",
    source="proof stress times stress area, ISO 898-1 or SAE J429",
    standing=Standing.TABLE,
)
def rod_limit(drawbolt_size: str, bolt_class: str) -> float:
    """Proof load of one drawbolt."""
    return tables.proof_load(drawbolt_size, bolt_class)


@rule(unit="N", source="F H / h (1 / 2 + a / (2 y)), 1.5 on the cut: a soft clamp hands the cut's "
      "whole force to one face and its bolts, the piece a lever about its foot",
      standing=Standing.ASSUMED)  # fmt: skip
def drawbolt_cut(
    cut_force_most: float, cut_acts_highest: float, length_most: float, depth_most: float,
    drawbolt_height: float, drawbolt_y: float, rise: float,
) -> float:  # fmt: skip
    """What the heaviest cut adds to the pull of the drawbolt nearer to it."""
    arm = drawbolt_height - rise
    if arm <= 0:
        raise DesignError(
            "drawbolt_height", f"the drawbolts pass {drawbolt_height:g} mm above the table, the "
            f"piece begins at {rise:g} mm", f"drawbolt_height: {rise + length_most / 2:g}",
        )  # fmt: skip
    lever = max(1.0, (length_most + cut_acts_highest) / arm)
    return ON_THE_CUT * cut_force_most * lever * (1 + depth_most / 2 / drawbolt_y) / 2


@rule(unit="N", source="the weakest of faces, ribs and glue over 1.5, or the proof load, less what "
      "the cut adds; no dent")  # fmt: skip
def drawbolt_limit(
    face_limit: float, drawbolt_dent: float, glue_limit: float, edge_limit: float,
    rib_limit: float, rod_limit: float, drawbolt_cut: float,
) -> float:  # fmt: skip
    """Greatest pull to which one drawbolt may be tightened."""
    breaks = min(face_limit, glue_limit, edge_limit, rib_limit)
    return max(1.0, min(min(breaks / ON_STRENGTH, rod_limit) - drawbolt_cut, drawbolt_dent))


# What it pulls


@rule(unit="N mm", source="c D^2 up to 63 mm, c 1 N/mm: see mechanics of the hand",
      standing=Standing.ASSUMED)  # fmt: skip
def hand_torque(knob_diameter: float) -> float:
    """What a hand gives to a drawbolt's knob with no great effort."""
    return hand.knob_torque(knob_diameter)


@rule(unit="N mm", source="the same, c 3 N/mm: a strong hand's single greatest effort",
      standing=Standing.ASSUMED)  # fmt: skip
def hand_torque_most(knob_diameter: float) -> float:
    """The most that a hand gives to a drawbolt's knob."""
    return hand.knob_torque(knob_diameter, hand.HIGH)


@rule(
    unit="N mm",
    source="what a hand gives, but no more than the jaws take if the bolt comes out tightest",
    standing=Standing.ASSUMED,
)
def drawbolt_torque(
    drawbolt_limit: float, drawbolt_size: str, hand_torque: float, torque_by_feel: float,
    nut_factor_tight: float,
) -> float:  # fmt: skip
    """Torque to turn each drawbolt's knob with, by feel."""
    most = torque_up_to(drawbolt_limit, torque_by_feel, nut_factor_tight, drawbolt_size)
    return min(hand_torque, most)


@rule(unit="N", source="T = K F d (Shigley 8-27), the torque short and the nut dry")
def drawbolt_loose(
    drawbolt_torque: float, drawbolt_size: str, torque_by_feel: float, nut_factor_loose: float
) -> float:
    """Pull of a drawbolt at its loosest: for what must hold."""
    above_zero(500.0, drawbolt_torque=drawbolt_torque)
    above_zero(0.3, nut_factor_loose=nut_factor_loose)
    return pull_from(drawbolt_torque, torque_by_feel, nut_factor_loose, drawbolt_size, -1)


@rule(unit="N", source="T = K F d (Shigley 8-27), the torque over and the nut lubricated")
def drawbolt_tight(
    drawbolt_torque: float, drawbolt_size: str, torque_by_feel: float, nut_factor_tight: float
) -> float:
    """Pull of a drawbolt at its tightest: for what must not crush or break."""
    return pull_from(drawbolt_torque, torque_by_feel, nut_factor_tight, drawbolt_size, +1)


@rule(unit="", source="common practice, no source: one on each drawbolt, if it fits and takes no "
      "more than a tenth of the loosest pull", standing=Standing.ASSUMED)  # fmt: skip
def springs(drawbolt_size: str, spring_room: float, drawbolt_loose: float) -> int:
    """Springs that open the jaw; without them a hand does."""
    row = spring_for(drawbolt_size)
    fits = row.solid_length <= spring_room
    return 2 if fits and _push(drawbolt_size, spring_room) <= 0.1 * drawbolt_loose else 0


def _push(size: str, room: float) -> float:
    row = spring_for(size)
    return row.rate * max(0.0, row.free_length - room)


@rule(unit="N", source="rate times squeeze of all springs, on the thinnest piece",
      standing=Standing.ASSUMED)  # fmt: skip
def spring_push(drawbolt_size: str, spring_room: float, springs: int) -> float:
    """What the opening springs take off the drawbolts' pull."""
    if springs not in (0, 1, 2):
        raise DesignError("springs", f"there is no room for {springs} springs", "springs: 0 or 2")
    return springs * _push(drawbolt_size, spring_room)


# What holds the piece


@rule(
    unit="", source="table of friction, wood on board, dry: its low end", standing=Standing.ASSUMED
)
def jaw_friction() -> float:
    """Friction of the piece on the faces that is counted on."""
    return tables.friction_pair("wood", "board").low


@rule(unit="", source="table of friction, wood on board, dry", standing=Standing.ASSUMED)
def jaw_friction_middle(jaw_friction: float) -> float:
    """Friction of the piece on the faces, as published."""
    above_zero(0.3, jaw_friction=jaw_friction)
    return max(jaw_friction, tables.friction_pair("wood", "board").coefficient)


@rule(
    unit="", source="table of friction, wood on board, dry: its high end", standing=Standing.ASSUMED
)
def jaw_friction_high(jaw_friction_middle: float) -> float:
    """Greatest friction of the piece on the faces."""
    return max(jaw_friction_middle, tables.friction_pair("wood", "board").high)


def grip_of(n: Book, sizes: Mapping[str, float]) -> FaceGrip:
    """The two faces on a piece of those sizes, mm, pulled together by both drawbolts.

    Springs and the moving base's weight on the table take their part at the loose end. One side
    counts as locked, the fixed one: the moving set is free to yaw and pitch until its own
    hold-downs are tight, and a check must not rest on the last knob being turned.
    """
    lost = n.spring_push + n.base_friction_high * n.moving_weight
    loose, tight = max(0.0, 2 * n.drawbolt_loose - lost), 2 * n.drawbolt_tight
    backer = n.depth_least - 2 if n.backer_in_x else sizes["depth"]
    end = sizes["length"] + n.rise
    return FaceGrip(
        name="faces", force=Band(loose, (loose + tight) / 2, tight),
        friction=Band(n.jaw_friction, n.jaw_friction_middle, n.jaw_friction_high),
        low=n.grip_from - end, high=min(0.0, n.jaw_top - end),
        locked=1, apart=sizes["width"], along=min(sizes["depth"], backer), normal=(1.0, 0.0, 0.0),
        assumes=(
            f"{n.drawbolt_torque / 1000:.1f} N m on each drawbolt's knob, by feel within "
            f"{100 * n.torque_by_feel:.0f} %",
            f"nut factor {n.nut_factor_tight:g} to {n.nut_factor_loose:g}",
            f"friction {n.jaw_friction:g} (wood on board, dry; low end)",
            f"springs and the jaw's weight take {lost:.0f} N", _in_order(n),
        ),
        reads=("drawbolt_torque", *TIGHTENED, "drawbolt_loose", "drawbolt_tight", "jaw_friction",
               "spring_push", "base_friction_high", "moving_weight", "jaw_top"),
        levers=("+drawbolt_torque", "-torque_by_feel", "-springs", "+jaw_top"),
    )  # fmt: skip


def _in_order(n: Book) -> str:
    """What the order of tightening is worth."""
    drag, pull = n.hold_down_drag, 2 * n.drawbolt_loose
    took = "all of it" if drag >= pull else f"{drag:.0f} N of it"
    return (
        f"moving hold-downs last: done first, the table's friction under them, up to {drag:.0f} N, "
        f"could take {took} ({pull:.0f} N at the loosest)"
    )
