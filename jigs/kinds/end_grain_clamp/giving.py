"""How far the clamp gives under the cut: plain beams and rods, each as felt at the cutter.

The softest direction is towards the moving jaw, with nothing behind that jaw but the drawbolts: the
force goes through the moving face, the rods and the fixed face into the ribs and the fixed base.
The fixed face follows the piece as it is relieved, and the moving base's hold-downs help once they
are tight: neither is counted. Glue, play and the table itself are taken as stiff.
"""

from __future__ import annotations

from collections.abc import Mapping

from jigs import tables
from jigs.errors import DesignError
from jigs.kinds._strength import above_zero, cut_acts
from jigs.kinds.end_grain_clamp.ribbing import rib_depth_at
from jigs.mechanics import plate, stiffness
from jigs.model.grip import Give
from jigs.model.number import Book

__all__ = ["springs_of"]


def springs_of(n: Book, sizes: Mapping[str, float]) -> tuple[Give, ...]:
    """The springs in series between the piece and the table, for a piece of those sizes, mm.

    The piece turns about its foot, so a spring at the drawbolts' height is felt further up less.
    """
    if n.drawbolt_height <= n.rise:
        raise DesignError(
            "drawbolt_height", f"the drawbolts pass {n.drawbolt_height:g} mm above the table, the "
            f"piece begins at {n.rise:g} mm", f"drawbolt_height: {(n.rise + n.jaw_top) / 2:g}",
        )  # fmt: skip
    arm = n.drawbolt_height - n.rise
    cutter = max(sizes["length"] + cut_acts(n), arm)

    def felt(spring: float) -> float:
        return stiffness.seen_from(spring, arm, cutter)

    above_zero(200.0, sheet_shear_modulus=n.sheet_shear_modulus)
    reads = ("sheet_young", "drawbolt_height")
    faces = stiffness.series(_face(n), _face(n))
    return (
        Give("the faces out to the drawbolts", felt(faces), (*reads, "drawbolt_y", "sheet_least")),
        Give("the drawbolts", felt(_rods(n, sizes)), ("drawbolt_size",)),
        Give("the ribs", felt(_ribs(n)), (*reads, "sheet_shear_modulus", "rib_depth")),
        Give("the fixed base up to its hold-downs", _base(n) / (n.rise + cutter) ** 2,
             ("sheet_young", "hold_fixed", "base_width", "sheet_least")),
    )  # fmt: skip


def _face(n: Book) -> float:
    """One face under both drawbolts, N/mm: two arms over the outer ribs, bent between them too.

    With equal loads at both ends the middle part bends evenly, which an arm over an edge shows if
    it is held back three half distances behind: P a^2 (a + 3 r) / (3 E I).
    """
    rib = max(n.rib_at)
    arm = n.drawbolt_y - rib
    moment = plate.second_moment(n.bending_height, n.sheet_least)
    one = 1 / plate.overhang_deflection(1.0, arm, 3 * rib, n.sheet_young, moment)
    return stiffness.parallel(one, one)


def _rods(n: Book, sizes: Mapping[str, float]) -> float:
    """Both rods between their nuts and their knobs, N/mm."""
    long = sizes["width"] + n.backer_in_x + 2 * n.sheet_nominal
    area = tables.thread(n.drawbolt_size).tensile_stress_area
    one = stiffness.rod(tables.metal("steel").modulus_of_elasticity, area, long)
    return stiffness.parallel(one, one)


def _ribs(n: Book) -> float:
    """The ribs as cantilevers from the base, as deep all the way as at the drawbolts, N/mm."""
    foot = n.sheet_nominal - n.dado_depth
    deep = rib_depth_at(n, n.drawbolt_height)
    moment = n.ribs * plate.second_moment(n.sheet_least, deep)
    area = n.ribs * n.sheet_least * deep
    return stiffness.cantilever(
        n.drawbolt_height - foot, n.sheet_young, moment, n.sheet_shear_modulus, area
    )


def _base(n: Book) -> float:
    """The fixed base turned at its inner edge, held by its hold-downs, N mm/rad.

    The ribs stiffen the first part of it and are not counted.
    """
    span = n.hold_fixed - (n.sheet_nominal - n.dado_depth)
    moment = plate.second_moment(n.base_width, n.sheet_least)
    return stiffness.turned_at_end(span, n.sheet_young, moment)
