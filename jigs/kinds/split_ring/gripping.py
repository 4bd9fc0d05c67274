"""How the split ring grips a piece, and how far it gives: what the checks of holding read."""

from __future__ import annotations

from collections.abc import Mapping

from jigs import tables
from jigs.kinds._strength import cut_acts, refuse
from jigs.kinds.split_ring.closing import HARDEST, SOFTEST, Lining, closed_on, loosely_pressed
from jigs.kinds.split_ring.loading import lever_to
from jigs.mechanics import liner_force, round_grip, stiffness
from jigs.mechanics.liner import lip_angle_at_piece
from jigs.model.grip import Band, Give, RoundGrip
from jigs.model.number import Book

ELASTIC_SHEAR = 1 / 20
"""Shear over Young's modulus of sheet goods, for bending of short boards. Assumed."""

BARELY = 0.001
"""mm; a lining that is not pressed at all still has a stiffness: next to nothing."""

A_SPANNER = 1000.0
"""N mm; below it the fingers do, without a spanner. Assumed."""


def grip_of(n: Book, sizes: Mapping[str, float]) -> RoundGrip:
    """The two lined halves on a piece of those sizes."""
    diameter = sizes["grip_diameter"]
    closed = closed_on(n, diameter)
    pair = tables.friction_pair("wood", "rubber")
    mu = refuse("liner_friction", n.liner_friction, "0.5, or what a tilted board shows")
    lip = lip_angle_at_piece(n.lined_radius, diameter / 2, n.squeeze, n.gap)
    return RoundGrip(
        "lined halves", closed.force,
        Band(mu, max(mu, pair.coefficient), max(mu, pair.high)),
        n.ring_top - n.ring_height, n.ring_top,
        # The moving half hangs on two bolts at one height and rocks on them; the fixed half lies
        # in its dado, drawn against the back board.
        1,
        (
            *closing_words(n),
            f"friction {mu:g} (wood on rubber; dusty, the table's low end is {pair.low:g})",
            "the moving half is kept in place along the split by its bolts",
        ),
        ("squeeze_least", "squeeze_most", "closing_turns", "touch_error", "closing_torque",
         "stopped_loose", "stopped_tight", "liner_young_least",
         "liner_young_most", "liner_thickness", "liner_tolerance", "bore_radius", "bore_tolerance",
         "gap", "ring_height", "ring_top", "liner_friction"),
        ("+squeeze", "+closing_torque", "+ring_height", "+liner_thickness", "-touch_error"),
        diameter / 2, closed.half_angle, lip, closed.pressure,
    )  # fmt: skip


def gives_of(n: Book, sizes: Mapping[str, float]) -> list[Give]:
    """Lining and back board, each as felt at the cutter: the softest of what the lining may be.

    Soft rubber squeezed as the loosest turns do, or stiff rubber on which the loosest torque ends
    the closing early, so that little of it touches: the one that gives more. The lining across the
    split: both halves shift, the fixed one alone resists tilting. Along the split: the fixed half
    alone, since the moving one has play on its bolts; the piece sticks to the lining. The
    drawbolts, a hundred times stiffer, are not in the path of the fixed seat.
    """
    pressed = loosely_pressed(n, sizes["grip_diameter"] / 2)
    soft = min(_felt(lining, deep, lever_of(n)) for lining, deep in pressed)
    reads = ("liner_young_least", "liner_young_most", "squeeze_least", "stopped_loose",
             "liner_thickness", "ring_height", "ring_top")  # fmt: skip
    return [Give("lining of the ring", soft, reads), *_board_gives(n)]


def _felt(lining: Lining, deep: float, lever: float) -> float:
    """One lining at that compression, felt at the cutter, across or along, N/mm: the weaker."""
    deep, b = max(deep, BARELY), lining.height
    place = (lining.lined, lining.radius, deep, lining.gap, lining.thick, b)
    modulus = liner_force.holding_modulus(lining.young, liner_force.contact_shape_factor(*place))
    one = liner_force.closing_stiffness(*place, modulus)
    half = lining.half_angle(deep)
    drag = round_grip.shear_stiffness(lining.young, lining.radius, half, lining.thick, b)
    along = liner_force.sideways_stiffness(*place, modulus) + drag
    across = stiffness.at_lever(2 * one, stiffness.tilting(one, b), lever)
    return min(across, stiffness.at_lever(along, stiffness.tilting(along, b), lever))


def lever_of(n: Book) -> float:
    """From the ring's middle up to where the highest cut pushes, mm."""
    return lever_to(cut_acts(n), n.ring_top, n.ring_height)


def _board_gives(n: Book) -> list[Give]:
    """The back board bends above its upper fastenings; pushed at the machine it lies on the face.

    Taken as reaching to the cutter, which is a little softer than the stiff ring and piece there.
    """
    upper = max(n.hang_z) - n.end_height
    if n.ring_top - n.ring_height / 2 <= upper:
        return []
    area = n.board_width * n.sheet_least
    moment = area * n.sheet_least**2 / 12
    reach = cut_acts(n) - upper
    bends = stiffness.cantilever(reach, n.sheet_young, moment, n.sheet_young * ELASTIC_SHEAR, area)
    return [
        Give(
            "back board above its fastenings", bends, ("board_width", "sheet_least", "sheet_young")
        )
    ]


def _rubber_words(n: Book) -> str:
    band = f"modulus {n.liner_young_least:.2g} to {n.liner_young_most:.2g} MPa"
    if n.liner_test:
        return f"{band} (measured by your squeeze test)"
    if n.liner_hardness:
        return f"{band} ({n.liner_hardness:g} Shore A, within 30 %)"
    return f"{band} ({SOFTEST:g} to {HARDEST:g} Shore A assumed: give the lining's hardness)"


def closing_words(n: Book) -> tuple[str, ...]:
    """What the closing force rests on."""
    fingers = " (fingers, no spanner)" if n.closing_torque < A_SPANNER else ""
    return (
        f"each nut {n.closing_turns:.2g} turns after first touch, felt within {n.touch_error:g} "
        f"turn, but no further than {n.closing_torque / 1000:.2g} N m by feel within "
        f"{n.torque_by_feel:.0%}{fingers}",
        _rubber_words(n),
    )
