"""Holding: the piece does not slip, twist, lift or tip out, is not crushed, and gives little.

Reads the grips that a kind declares; knows no jig. Every cut of the setup is asked with its
greatest force from every direction in plan and its pull, over the whole batch. All verdicts rest on
stated assumptions.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from jigs.checks.footing import base_holds, footing_findings
from jigs.errors import TableError
from jigs.mechanics import friction, hand, plate, round_grip, search, stiffness, tipping
from jigs.model.finding import Finding, at_least, at_most, not_judged, worst_of_each
from jigs.model.grip import FaceGrip, Grip, RoundGrip
from jigs.model.number import Book
from jigs.model.state import Limit
from jigs.shop.cutting import Push, cut_words, push_of
from jigs.shop.path import arm_of
from jigs.shop.piece import sizes_of
from jigs.sizing import Design, Jig, Setup
from jigs.tables import wood

ON_THE_GRIP = 1.5
"""Factor on the grip. VDI 3106 style."""

TWIST_ARM = 200.0
"""mm of bar at whose end the twist of the cut is told in kg."""

GIVES_AT_MOST = 0.2
"""mm that the work may give under the cut. Common practice, no source."""

E_OVER_G = 13.0
"""Young's over shear modulus of wood, along the grain: Wood Handbook, Table 5-1, from memory."""

SOURCE = "Coulomb friction and equilibrium; factors 1.5 on the cut and 1.5 on the clamp, VDI 3106"
CUT_LEVERS = ("-pass_depth", "-feed")
CUT_READS = ("cut_force_high", "cut_pull", "cut_acts_at")

ANGLES = tuple(math.pi / 2 * i / 8 for i in range(9))
"""Directions of the cut in plan from the faces' normal, rad."""

Sizes = Mapping[str, float]


@dataclass(frozen=True)
class Case:
    """One cut on one piece in one grip, with the factor on the cut in `push`."""

    setup: Setup
    jig: Jig
    cut: Book
    governs: str
    sizes: Sizes
    grip: Grip
    push: Push
    arm: float
    """Furthest that the cutter touches the piece from its axis, mm."""

    @property
    def lever(self) -> float:
        """From the middle of the grip to where the force of a pass acts, mm."""
        return abs(float(self.cut.cut_acts_at - self.grip.middle))

    @property
    def torque(self) -> float:
        """What the cutter turns the piece with at its furthest, N mm about the upright axis."""
        return self.push.force * self.arm

    @cached_property
    def species(self) -> str:
        """Wood of the piece."""
        return str(self.setup.n.piece_wood)

    def about(self, check: str, *, reads: Sequence[str] = (), **more: Any) -> dict[str, Any]:
        """What every finding of the case says."""
        return {
            "group": "hold", "of": self.jig.name, "check": check,
            "governs": f"{self.cut.owner}, {self.governs}",
            "levers": (*self.grip.levers, *CUT_LEVERS),
            "assumes": (*cut_words(self.cut), *self.grip.assumes),
            "reads": (*CUT_READS, *self.grip.reads, *reads), "unit": "", "source": SOURCE, **more,
        }  # fmt: skip


def check_hold(design: Design) -> list[Finding]:
    """Findings on every grip, base and spring of every setup with a cut."""
    found: list[Finding] = []
    for setup in design.setups:
        batch = [(f"the {limit} piece", sizes_of(setup.piece, limit)) for limit in Limit]
        found += worst_of_each(hold_findings(setup, batch))
        found += worst_of_each(footing_findings(setup))
    return found


def heaviest(setup: Setup, cut: Book) -> float | None:
    """How many times heavier the cut may be before something lets go, all factors kept.

    None where nothing in the setup holds. The strength of what holds is another matter: the
    findings on it do not grow with the cut in proportion.
    """
    arm = arm_of(cut, setup.piece)
    cases = [
        Case(setup, jig, cut, str(limit), sizes, grip, push_of(cut), arm)
        for jig in setup.jigs
        for limit in Limit
        for sizes in [sizes_of(setup.piece, limit)]
        for grip in jig.kind.grips(jig.n, sizes)
    ]
    bases = [base for jig in setup.jigs for base in jig.kind.footings(jig.n)]
    if not cases:
        return None
    # Grips hold in proportion; bases do not quite, for their weight and the cutter's pull.
    held = min(min(_slips(c).value or 0.0, _tips(c).value or 0.0) for c in cases) / ON_THE_GRIP

    def too_much(scale: float) -> float:
        """What the bases are asked over what they hold, less 1: nearly a straight line."""
        push = push_of(cut, scale)
        holds = min((base_holds(b, cut.cut_acts_at, push, arm) for b in bases), default=math.inf)
        return 1 / holds - 1 if holds > 0 else math.inf

    if too_much(held) <= 0:
        return held
    return search.crossing(too_much, 0.0, held, close=1e-9)


def hold_findings(setup: Setup, batch: Sequence[tuple[str, Sizes]]) -> Iterator[Finding]:
    """Every finding on every piece of a batch: (what to call it, its sizes)."""
    for cut in setup.cuts:
        push, arm = push_of(cut), arm_of(cut, setup.piece)
        for jig in setup.jigs:
            for name, sizes in batch:
                for grip in jig.kind.grips(jig.n, sizes):
                    yield from _judge(Case(setup, jig, cut, name, sizes, grip, push, arm))


def _judge(case: Case) -> Iterator[Finding]:
    yield _slips(case)
    yield _tips(case)
    yield _crushed(case)
    yield _given(case)


def least_force(case: Case) -> float:
    """Least force of each side that holds the case against slip, twist and lift, N."""
    grip, push = case.grip, case.push
    if isinstance(grip, FaceGrip):
        return friction.least_clamping_all_round(
            grip.friction.low, push.force, push.pull, case.torque, grip.apart,
            case.lever, case.arm, math.hypot(grip.along, grip.tall),
        )  # fmt: skip
    return round_grip.least_closing(
        grip.friction.low, push.force, push.pull, case.torque, case.lever, grip.radius,
        grip.half_angle, grip.tall, case.arm,
    )  # fmt: skip


def _on_a_scale(kilograms: float) -> str:
    """What a scale shows: grams where it is little."""
    return f"{kilograms:.1f} kg" if kilograms >= 1.0 else f"{1000 * kilograms:.0f} g"


def _slips(case: Case) -> Finding:
    grip = case.grip
    words = (
        "(hypot(F_t, Z) + (F_t L + Z a) / (d / 4)) / (mu (2 N - F_n)) + M / (mu w (N - F_n)) <= 1"
        if isinstance(grip, FaceGrip)
        else "friction of both halves against push, pull and turning, the seats' shape aside"
    )
    test = hand.pull_reading(case.push.force)
    turn = hand.twist_reading(case.torque, TWIST_ARM)
    return at_least(
        grip.force.low / least_force(case), ON_THE_GRIP,
        **case.about(
            f"{grip.name} hold against slip, twist and lift", equation=f"N / N_least; {words}",
            why=f"loosest grip over the least that holds; before the first cut it must stand a "
            f"pull of {_on_a_scale(test)} at the cutter's height from every side, and a twist of "
            f"{_on_a_scale(turn)} on an arm of {TWIST_ARM:g} mm",
        ),
    )  # fmt: skip


def _tips(case: Case) -> Finding:
    grip, push = case.grip, case.push
    least = round_grip.least_closing_against_tipping(
        push.force, case.lever, grip.tall, grip.locked, push.pull, case.arm
    )
    return at_least(
        grip.force.low / least, ON_THE_GRIP,
        **case.about(
            f"{grip.name} hold against tipping",
            equation="N / N_least; (N - F) h / 2 carries F L + Z a where one side is locked",
            why=f"{case.lever:.0f} mm from the cut to the grip's middle",
        ),
    )  # fmt: skip


def _crushed(case: Case) -> Finding:
    grip, push = case.grip, case.push
    about = case.about(
        f"{grip.name} do not crush the piece", levers=(), reads=("piece_wood",),
        equation="strength across the grain over the greatest pressure, tightest grip and cut",
        source="Wood Handbook, compression across the grain: what 19 pieces in 20 reach",
    )  # fmt: skip
    if isinstance(grip, FaceGrip):
        pressure = max(_face_pressure(case, grip, angle) for angle in ANGLES)
    else:
        pressure = round_grip.greatest_pressure(
            grip.pressure.high, grip.force.high, push.force, case.lever, grip.half_angle,
            grip.tall, push.pull, case.arm, grip.lip_angle,
        )  # fmt: skip
    try:
        strength = wood(case.species, case.setup.n.own_woods).sure("compression_perpendicular")
    except TableError as unknown:
        return not_judged(f"{unknown}; woods: {{{case.species}: {{like: ...}}}}", **about)
    return at_least(strength / pressure, 1.0, why="above 1 it leaves no dent", **about)


def _face_pressure(case: Case, grip: FaceGrip, angle: float) -> float:
    """Greatest pressure of the tightest faces on the piece under a cut from that side, MPa."""
    push, force = case.push, grip.force.high
    across = push.force * math.cos(angle)
    up = (across * case.lever + push.pull * case.arm) / (force + across)
    try:
        aside = friction.pressure_shift(
            grip.friction.low, force, push.force, angle, push.pull, grip.apart
        )
    except ValueError:  # it slips: the check of slip says so
        aside = 0.0
    # Beyond two fifths of a side the check of tipping has said what there is to say.
    return tipping.greatest_pressure_two_ways(
        force, grip.tall, grip.along, min(up, 0.4 * grip.tall), min(aside, 0.4 * grip.along)
    )


def _given(case: Case) -> Finding:
    """The piece's own stick-out and every spring of the jig in series, at the cutter."""
    about = case.about(
        f"{case.grip.name} give little under the cut", levers=CUT_LEVERS, reads=("piece_wood",),
        unit="mm", source="0.2 mm is common practice, no source",
        equation="F (1 / k_piece + sum of 1 / k), beams and springs in series",
    )  # fmt: skip
    try:
        piece = _stick_out(case)
    except TableError as unknown:
        return not_judged(f"{unknown}; woods: {{{case.species}: {{like: ...}}}}", **about)
    springs = {"the piece's end": piece}
    for give in case.jig.kind.gives(case.jig.n, case.sizes):
        springs[give.name] = give.stiffness
        about["reads"] = (*about["reads"], *give.reads)
    softest = min(springs, key=lambda name: springs[name])
    force = case.cut.cut_force_high
    deep = stiffness.deflection(force, stiffness.series(*springs.values()))
    return at_most(
        deep, GIVES_AT_MOST, **about,
        why=f"under {force:.0f} N; softest is {softest}; contact and play are not counted, so "
        "compare rather than trust",
    )  # fmt: skip


def _stick_out(case: Case) -> float:
    """Stiffness of the piece above its grip, N/mm."""
    species = wood(case.species, case.setup.n.own_woods)
    young = species.sure("modulus_of_elasticity")
    length = max(0.0, case.cut.cut_acts_at - case.grip.high)
    if isinstance(case.grip, RoundGrip):
        r = case.grip.radius
        moment, area = math.pi * r**4 / 4, math.pi * r**2
    else:
        wide, thick = case.sizes["width"], case.sizes["depth"]
        moment = plate.second_moment(max(wide, thick), min(wide, thick))
        area = wide * thick
    return stiffness.cantilever(length, young, moment, young / E_OVER_G, area)
