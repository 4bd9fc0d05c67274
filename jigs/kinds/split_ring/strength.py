"""What the tightest closing does to the ring's own parts: bending, crushing, bolts, mounting.

Worst over the batch: the diameters are sampled, both ends included. The halves are made with their
grain along x, which is the span between the drawbolts (see `parts.half`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from jigs import tables
from jigs.errors import TableError
from jigs.kinds._strength import ON_STRENGTH, cut_lift, cut_push, cut_reads
from jigs.kinds.split_ring.gripping import closing_words, grip_of, lever_of
from jigs.kinds.split_ring.loading import AT_THE_BORE, bore_compression, cut_share
from jigs.mechanics import bolt, ring_wall, round_grip
from jigs.model.finding import Finding, at_least, not_judged
from jigs.model.grip import RoundGrip
from jigs.model.number import Book

SAMPLES = 9

READS = ("stopped_tight", "squeeze_most", "liner_young_most", "closing_torque", "ring_height")
LEVERS = ("-closing_torque", "+ring_height")


@dataclass(frozen=True)
class Worst:
    """The hardest closed piece of the batch, and the greatest pressure of any.

    The cut is counted: all of it unloads one half and loads the other, above all at its upper edge.
    """

    diameter: float
    force: float
    """Of the loaded half with the cut, as if its upper edge's load lay on all of its height [N]."""
    pressure: float
    """At the seat with the cut [MPa]."""
    softest: float
    """Least closing force of any [N]."""

    @property
    def governs(self) -> str:
        """Words for a finding."""
        return f"a piece of {self.diameter:.4g} mm, closed at the tight end, under the cut"


def strength_checks(n: Book) -> Sequence[Finding]:
    """Findings on the halves, the drawbolts and the mounting bolts."""
    least, most = n.grip_diameter_least, n.grip_diameter_most
    if most > 2 * n.lined_radius:
        why = f"a piece of {most:g} mm wedges in a lined bore of {2 * n.lined_radius:g} mm"
        return [not_judged(why, group="strength", check="the ring stands its closing")]
    sampled = [least + (most - least) * i / (SAMPLES - 1) for i in range(SAMPLES)]
    worst = _worst(n, sampled)
    return [*_halves(n, worst), *_drawbolts(n, worst), *_mounting(n)]


def _worst(n: Book, diameters: Sequence[float]) -> Worst:
    grips = [(d, grip_of(n, {"grip_diameter": d})) for d in diameters]
    # Where the torque stops them all at one force, the one that is pressed hardest.
    diameter, hardest = max(grips, key=lambda at: (round(at[1].force.high, 3), at[1].pressure.high))
    share = cut_share(cut_push(n), lever_of(n), n.ring_height)
    return Worst(
        diameter, hardest.force.high + share, max(_pressed(n, grip) for _, grip in grips),
        min(grip.force.low for _, grip in grips),
    )  # fmt: skip


def _pressed(n: Book, grip: RoundGrip) -> float:
    """Greatest pressure at the seat, tightest closing and cut, MPa: the ring's as the piece's."""
    return round_grip.greatest_pressure(
        grip.pressure.high, grip.force.high, cut_push(n), lever_of(n), grip.half_angle, grip.tall,
        cut_lift(n), grip.radius, grip.lip_angle,
    )  # fmt: skip


def _about(n: Book, worst: Worst, check: str, **more: Any) -> dict[str, Any]:
    return {
        "group": "strength", "check": check, "unit": "", "governs": worst.governs,
        "assumes": (*closing_words(n), f"clear {n.wood}, what 19 pieces in 20 reach"),
        "levers": LEVERS, "why": "strength over stress", **more,
        "reads": (*more.get("reads", READS), *cut_reads(n)),
    }  # fmt: skip


def _halves(n: Book, worst: Worst) -> list[Finding]:
    names = ("back of the halves in tension", "bore of the halves in compression",
             "wood behind the lining", "wood under washers and bolt heads")  # fmt: skip
    try:
        row = tables.wood(n.wood, n.own_woods)
    except TableError as unknown:
        why = f"{unknown}; woods: {{{n.wood}: {{like: ...}}}}"
        return [not_judged(group="strength", check=name, why=why) for name in names]
    bending, along, across = (
        row.sure(field)
        for field in ("modulus_of_rupture", "compression_parallel", "compression_perpendicular")
    )
    place = (n.bolt_x, n.bore_radius, n.wall_least, n.ring_height)
    back = ring_wall.back_stress(worst.force, *place, grain_along_span=True)
    bore = bore_compression(worst.force, worst.pressure, *place)
    pull = worst.force / 2
    rim = min(n.washer_diameter, tables.coach_bolt(n.drawbolt_size).head_diameter)
    bearing = ring_wall.washer_bearing(pull, rim, n.drawbolt_hole)
    walls = (*READS, "bolt_x", "bore_radius", "wall_least")
    return [
        at_least(bending / back, ON_STRENGTH, **_about(
            n, worst, names[0], reads=walls, levers=(*LEVERS, "+wall"),
            equation="strength along the grain over 6 (N s / 2) / (b h^2), N of closing and cut",
            source="beam, spreading not counted; modulus of rupture, Wood Handbook")),
        at_least(along / bore, AT_THE_BORE, **_about(
            n, worst, names[1], reads=walls, levers=(*LEVERS, "+wall"),
            equation="compression along the grain over (curved beam and p sqrt(E / E_across))",
            source="Winkler and Bach; half plane under pressure; 2 for friction on the flanks")),
        at_least(across / worst.pressure, 1.0, **_about(
            n, worst, names[2], equation="compression across the grain over the seat's pressure",
            source="Wood Handbook", why="above 1 it leaves no dent")),
        at_least(across / bearing, 1.0, **_about(
            n, worst, names[3], reads=(*READS, "washer_diameter", "drawbolt_hole"),
            levers=("-closing_torque",), why="above 1 they leave no dent",
            equation="compression across the grain over (N / 2) / (pi / 4 (D^2 - d^2))",
            source="Wood Handbook; mean pressure")),
    ]  # fmt: skip


def _drawbolts(n: Book, worst: Worst) -> list[Finding]:
    pull = worst.force / 2 + n.spring_force
    proof = tables.proof_load(n.drawbolt_size, n.bolt_class)
    diameter = tables.thread(n.drawbolt_size).major_diameter
    low = bolt.torque_for_preload(worst.softest / 2 + n.spring_force, n.nut_factor_tight, diameter)
    told = (
        f"proof load over pull; {low / 1000:.2g} to {n.closing_torque / 1000:.2g} N m on the nut "
        f"is felt where the turns are done"
    )
    return [
        at_least(proof / pull, ON_STRENGTH, **_about(
            n, worst, "drawbolts below proof load", why=told, levers=("-closing_torque",),
            reads=(*READS, "spring_force", "bolt_class", "nut_factor_tight"),
            equation="S_p A_s over (N / 2 + spring)", source="ISO 898-1 or SAE J429",
            assumes=(*closing_words(n), f"bolts of class {n.bolt_class}"))),
    ]  # fmt: skip


def _mounting(n: Book) -> list[Finding]:
    """The cut pulls the fixed half off its back board and pries it over its upper or lower edge."""
    force, lever = cut_push(n), lever_of(n)
    if not force:
        return []
    moment = force * lever + cut_lift(n) * n.grip_diameter_most / 2
    pried = force + 2 * moment / n.ring_height
    each = pried / 2
    row = tables.coach_bolt(n.drawbolt_size)
    area = 1 / ring_wall.washer_bearing(1.0, row.head_diameter, n.drawbolt_hole)
    limits = {
        "the bolts": tables.proof_load(n.drawbolt_size, n.bolt_class),
        "the back board under their heads": n.sheet_crushing * area,
    }
    first = min(limits, key=lambda name: limits[name])
    return [
        at_least(
            limits[first] / each, ON_STRENGTH, unit="", group="strength",
            check="mounting bolts hold the fixed half", governs="cut away from the machine",
            equation="least strength over F (1 + 2 L / b) / 2", source="ISO 898-1; equilibrium",
            why=f"first to give: {first}; {lever:.0f} mm from the cut to the ring's middle",
            assumes=(f"force of the heaviest cut {n.cut_force_most:.1f} N, 1.5 times",
                     f"bolts of class {n.bolt_class}"),
            reads=(*cut_reads(n), "ring_height", "ring_top", "bolt_class", "sheet_crushing"),
            levers=("+ring_height", "-ring_drop"),
        )
    ]  # fmt: skip
