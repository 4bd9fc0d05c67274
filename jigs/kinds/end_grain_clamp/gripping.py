"""How hard the end-grain clamp grips, and what its faces take: sizing rules and own checks.

The face between drawbolt and rib is the weakest part, far weaker than the bolt: the torque on the
knobs follows from it, and is little.
"""

from __future__ import annotations

from collections.abc import Sequence

from jigs import tables
from jigs.kinds.end_grain_clamp.placing import rule
from jigs.kinds.end_grain_clamp.sizing import CHIP_REBATE, COMMON, FACE_CLEAR
from jigs.mechanics import bolt, hand, plate
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.grip import Band, FaceGrip
from jigs.model.number import Book, Standing
from jigs.model.state import Limit

__all__ = ["grip_of", "rule", "strength_checks"]

BY_FEEL = 0.3
"""How far a torque set by feel is off, either way, as a share. Assumed."""

LOOSE_NUT, TIGHT_NUT = 0.30, 0.18
"""Nut factors K: black and dry gives the loosest bolt, lubricated the tightest (Shigley 8-15)."""

ON_THE_CLAMP = 1.5
"""Factor on strength of wood and board. VDI 3106 style."""


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


@rule(unit="N", source="F = sigma W / (y_bolt - y_rib), strength of the board over 1.5")
def drawbolt_limit(
    sheet_material: str, face_modulus: float, drawbolt_y: float, rib_at: tuple[float, ...]
) -> float:
    """Greatest pull of one drawbolt that its face takes."""
    row = tables.board(sheet_material)
    strength = min(row.bending_strength_along, row.bending_strength_across) / ON_THE_CLAMP
    return plate.drawbolt_force_limit(strength, face_modulus, drawbolt_y, max(rib_at))


@rule(
    unit="N mm",
    source="what a hand gives, but no more than the face takes if the bolt comes out tightest",
    standing=Standing.ASSUMED,
)
def drawbolt_torque(drawbolt_limit: float, drawbolt_size: str, knob_diameter: float) -> float:
    """Torque to turn each drawbolt's knob with, by feel."""
    diameter = tables.thread(drawbolt_size).major_diameter
    most = bolt.torque_for_preload(drawbolt_limit, TIGHT_NUT, diameter) / (1 + BY_FEEL)
    return min(hand.knob_torque(knob_diameter), most)


@rule(unit="N", source="T = K F d (Shigley 8-27), K 0.30, torque 30 % short")
def drawbolt_loose(drawbolt_torque: float, drawbolt_size: str) -> float:
    """Pull of a drawbolt at its loosest: for what must hold."""
    diameter = tables.thread(drawbolt_size).major_diameter
    return bolt.preload_from_torque((1 - BY_FEEL) * drawbolt_torque, LOOSE_NUT, diameter)


@rule(unit="N", source="T = K F d (Shigley 8-27), K 0.18, torque 30 % over")
def drawbolt_tight(drawbolt_torque: float, drawbolt_size: str) -> float:
    """Pull of a drawbolt at its tightest: for what must not crush or break."""
    diameter = tables.thread(drawbolt_size).major_diameter
    return bolt.preload_from_torque((1 + BY_FEEL) * drawbolt_torque, TIGHT_NUT, diameter)


def grip_of(n: Book, limit: Limit) -> FaceGrip:
    """The two faces on the piece, with both drawbolts' pull; moving hold-downs slack."""
    loose, tight = 2 * n.drawbolt_loose, 2 * n.drawbolt_tight
    pair = tables.friction_pair("wood", "board")
    length = n[f"length_{limit.value}"].value
    assert isinstance(length, float)
    return FaceGrip(
        "faces", Band(loose, (loose + tight) / 2, tight),
        Band(pair.low, pair.coefficient, pair.high),
        n[f"width_{limit.value}"].value, n[f"depth_{limit.value}"].value,  # type: ignore[arg-type]
        FACE_CLEAR + CHIP_REBATE - length, n.jaw_top - length, (1.0, 0.0, 0.0), 1,
        (
            f"{n.drawbolt_torque / 1000:.1f} N m on each knob, by feel within 30 %",
            f"friction {pair.low:g} to {pair.high:g} (wood on board, dry)",
            "moving hold-downs tightened last",
        ),
        ("+drawbolt_torque",),
    )  # fmt: skip


def strength_checks(n: Book) -> Sequence[Finding]:
    """What the tightest bolts do to faces, ribs and rods."""
    tight = n.drawbolt_tight
    row = tables.board(n.sheet_material)
    strength = min(row.bending_strength_along, row.bending_strength_across)
    moment = plate.face_moment_at(tight, n.drawbolt_y, max(n.rib_at))
    edge = n.sheet_nominal - n.dado_depth
    lever = n.drawbolt_height - edge
    ribs = plate.rib_bending(2 * tight, lever, n.sheet_least, n.rib_depth, n.ribs)
    thread = tables.thread(n.drawbolt_size)
    grade = "4.6" if n.drawbolt_size.startswith("M") else "grade 2"
    proof = bolt.proof_load(tables.property_class(grade, thread.major_diameter).proof_stress,
                            thread.tensile_stress_area)  # fmt: skip
    assumes = (f"{n.drawbolt_torque / 1000:.1f} N m on each knob, at most 30 % over",)
    source = "Handbook of Finnish Plywood or as in the table of boards; VDI 3106 style factor 1.5"
    return [
        at_least(strength / plate.bending_stress(moment, n.face_modulus), ON_THE_CLAMP, unit="",
                 group="strength", check="faces bend between drawbolt and rib", source=source,
                 assumes=assumes, levers=("-drawbolt_torque",), why="strength over stress"),
        at_least(strength / ribs, ON_THE_CLAMP, group="strength", unit="", source=source,
                 check="ribs stand up to the drawbolts", assumes=assumes,
                 levers=("-drawbolt_torque", "+rib_depth"), why="strength over stress"),
        at_most(tight, proof, group="strength", unit="N", check="drawbolts below proof load",
                source="ISO 898-1 class 4.6 or SAE J429 grade 2", assumes=assumes,
                levers=("-drawbolt_torque",)),
        at_most(n.drawbolt_torque, hand.knob_torque(n.knob_diameter, hand.HIGH), group="hold",
                unit="N mm", check="a hand gives the torque", source=COMMON,
                levers=("-drawbolt_torque",), assumes=("hand torque by knob size",)),
    ]  # fmt: skip
