"""What the bars hold: rubber, friction, the grip, the board on the face, and how far all gives."""

from __future__ import annotations

import math
from collections.abc import Mapping

from jigs import tables
from jigs.kinds._strength import GRAVITY_PER_MM3, TIGHTENED, above_zero, cut_acts, of_wood
from jigs.kinds.swing_stop.pulling import rule
from jigs.mechanics import liner_force, plate, stiffness
from jigs.model.grip import Anchor, Band, FaceGrip, Footing, Give
from jigs.model.number import Book, Standing

__all__ = ["bars_at", "footing_of", "grip_of", "rule", "springs_of"]

Positions = tuple[float, ...]

SOFTEST = 40.0
"""Shore A of a rubber whose hardness is not given. Assumed: usual rubber sheet."""

ON_THE_BOARD = 30.0
"""N of piece, bars and hardware on the back board. Assumed."""


# The rubber


@rule(unit="MPa", source="squeeze test as E_c / (1 + 2 S^2); or hardness (Gent 1958) less 30 %; "
      "40 Shore A less 30 % where neither is given", standing=Standing.ASSUMED)  # fmt: skip
def pad_young(liner_hardness: float, liner_test: Positions, liner_thickness: float) -> float:
    """Least Young's modulus of the pads' rubber."""
    if liner_test:
        length, width, force, by = liner_test
        shape = liner_force.shape_factor(length, width, liner_thickness)
        return force / (length * width) * liner_thickness / by / (1 + 2 * shape**2)
    young = liner_force.young_modulus(liner_hardness or SOFTEST)
    return (1 - liner_force.HARDNESS_SCATTER) * young


@rule(unit="N/mm", source="E (1 + 2 (S/2)^2) A / t, the softest rubber: Gent and Lindley")
def pad_stiffness(
    pad_young: float, pad_width: float, bar_height: float, liner_thickness: float
) -> float:
    """Stiffness of one pad, least."""
    above_zero(1.0, pad_young=pad_young)
    shape = liner_force.shape_factor(pad_width, bar_height, liner_thickness)
    modulus = liner_force.holding_modulus(pad_young, shape)
    return modulus * pad_width * bar_height / liner_thickness


@rule(source="both studs' mean pull over the least stiffness; never over 15 % of the rubber")
def pad_squeeze(
    bar_loose: float, bar_tight: float, pad_stiffness: float, liner_thickness: float
) -> float:
    """How far a pad is squeezed when the knobs are tight."""
    by_force = (bar_loose + bar_tight) / pad_stiffness
    return min(by_force, liner_force.greatest_compression(liner_thickness))


# What holds the piece


@rule(unit="", source="table of friction, wood on board, dry: its low end",
      standing=Standing.ASSUMED)  # fmt: skip
def jaw_friction() -> float:
    """Friction of the piece on the back board that is counted on."""
    return tables.friction_pair("wood", "board").low


@rule(unit="", source="table of friction, wood on rubber, low end: no primary source, assumed for "
      "dusty wood", standing=Standing.ASSUMED)  # fmt: skip
def pad_friction() -> float:
    """Friction of the piece on the pads that is counted on."""
    return tables.friction_pair("wood", "rubber").low


@rule(unit="", source="table of friction, board on board, or on the slippier of aluminium and "
      "steel: low end", standing=Standing.ASSUMED)  # fmt: skip
def front_friction(front_anchors: str) -> float:
    """Friction of the back board on the front face that is counted on."""
    return min(pair.low for pair in _surfaces(front_anchors))


def _surfaces(front_anchors: str) -> tuple[tables.FrictionPair, ...]:
    others = ("board",) if front_anchors == "spoilboard" else ("aluminium", "steel")
    return tuple(tables.friction_pair("board", other) for other in others)


def bars_at(n: Book) -> list[tuple[str, float]]:
    """Name of each bar and its middle's z from the work zero, mm, upper first."""
    names = ("bar",) if n.bars == 1 else ("upper bar", "lower bar")
    return [(name, z - n.end_height) for name, z in zip(names, n.stud_z, strict=True)]


def grip_of(n: Book, sizes: Mapping[str, float]) -> FaceGrip:
    """Back board and both pads on a piece of those sizes, mm.

    Both pads' pressure is taken as one face from the lower pad's foot to the upper pad's top, with
    what the board alone resists: it cannot turn, the bars may. Friction is the lesser of both
    sides.
    """
    (_, upper), (_, lower) = bars_at(n)
    loose, tight = 4 * n.bar_loose, 4 * n.bar_tight
    above_zero(0.3, jaw_friction=n.jaw_friction, pad_friction=n.pad_friction)
    mu = min(n.jaw_friction, n.pad_friction)
    pair = tables.friction_pair("wood", "board")
    return FaceGrip(
        name="bars", force=Band(loose, (loose + tight) / 2, tight),
        friction=Band(mu, max(mu, pair.coefficient), max(mu, pair.high)),
        low=lower - n.bar_height / 2, high=upper + n.bar_height / 2, locked=1,
        apart=sizes["depth"], along=min(sizes["width"], n.pad_width), normal=(0.0, 1.0, 0.0),
        assumes=(
            f"{n.bar_torque / 1000:.1f} N m on each of four knobs, by feel within "
            f"{100 * n.torque_by_feel:.0f} %",
            f"nut factor {n.nut_factor_tight:g} to {n.nut_factor_loose:g}",
            f"friction {mu:g} (the lesser of wood on board and wood on rubber, dusty)",
            "side stop and end stop are not counted",
        ),
        reads=("bar_torque", *TIGHTENED, "bar_loose", "bar_tight", "jaw_friction", "pad_friction",
               "stud_z", "bar_height"),
        levers=("+bar_torque", "+bar_height"),
    )  # fmt: skip


def footing_of(n: Book) -> Footing:
    """The back board on the front face, held by the lock nuts; it carries the whole cut.

    The bars' pull goes from stud to bar to piece to board and back: it presses the board on as
    much as it pulls the studs, and is counted in the studs only.
    """
    half, high = (
        n.back_width / 2,
        max(n.front_friction, *(p.high for p in _surfaces(n.front_anchors))),
    )
    above_zero(0.2, front_friction=n.front_friction)
    face = "board" if n.front_anchors == "spoilboard" else "aluminium or steel"
    weight = n.back_width * (n.back_top - n.back_foot) * n.sheet_nominal * n.sheet_density
    return Footing(
        name="back board", plane="front face", level=float(n.face_at),
        reach=(-half, half, max(n.back_foot, n.front_bottom - n.end_height),
               min(n.back_top, n.front_top - n.end_height)),
        anchors=tuple(Anchor(side * n.stud_x, z) for _, z in bars_at(n) for side in (-1, 1)),
        pull=Band(n.lock_loose, math.sqrt(n.lock_loose * n.lock_tight), n.lock_tight + n.bar_tight),
        most=n.stud_limit, gives="the stud, or what it holds on to",
        friction=Band(n.front_friction, (n.front_friction + high) / 2, high),
        weight=weight * GRAVITY_PER_MM3 + ON_THE_BOARD,
        assumes=(
            f"{n.lock_torque / 1000:.1f} N m on each lock nut, by feel within "
            f"{100 * n.torque_by_feel:.0f} %",
            f"friction {n.front_friction:g} (board on {face}, dry; low end)",
            f"piece, bars and hardware weigh {ON_THE_BOARD:g} N",
        ),
        reads=("lock_torque", *TIGHTENED, "lock_loose", "lock_tight", "bar_tight", "stud_limit",
               "front_friction", "sheet_density"),
        levers=("+lock_torque", "-bar_torque"),
    )  # fmt: skip


def springs_of(n: Book, sizes: Mapping[str, float]) -> list[Give]:
    """Towards the operator: pads, bars and studs, each as felt at the cutter.

    The piece is a stiff lever on both bars: the upper one gives as if the lower were its pivot,
    and the other way round. Towards the machine the board backs it, which is stiffer.
    """
    (_, upper), (_, lower) = bars_at(n)
    apart, over = upper - lower, cut_acts(n) - upper
    spring = stiffness.series(n.pad_stiffness, _bar(n), _studs(n, sizes))
    reads = ("pad_young", "pad_stiffness", "bar_thick", "stud_x", "stud_z")
    felt = [Give("the upper pad, bar and studs",
                 stiffness.seen_from(spring, apart, apart + over), reads)]  # fmt: skip
    if over > 0:
        felt.append(Give("the lower pad, bar and studs",
                         stiffness.seen_from(spring, apart, over), reads))  # fmt: skip
    return felt


def _bar(n: Book) -> float:
    """A bar between its studs under a force in its middle, N/mm."""
    young = of_wood(n.wood, n.own_woods, "modulus_of_elasticity")
    moment = plate.second_moment(n.bar_height, n.bar_thick)
    return stiffness.beam_in_middle(2 * n.stud_x, young, moment)


def _studs(n: Book, sizes: Mapping[str, float]) -> float:
    """Both studs of a bar from the lock nut to the knob, N/mm."""
    long = sizes["depth"] + n.liner_thickness + n.bar_thick
    area = tables.thread(n.stud_size).tensile_stress_area
    one = stiffness.rod(tables.metal("steel").modulus_of_elasticity, area, long)
    return stiffness.parallel(one, one)
