"""Holding: the piece does not slip, twist, lift or tip out of the jig, and is not crushed.

Reads the grips that a kind declares; knows no jig. All verdicts rest on stated assumptions.
"""

from __future__ import annotations

from typing import Any

from jigs.errors import TableError
from jigs.mechanics import friction, hand, tipping
from jigs.model.finding import Finding, at_least, not_judged
from jigs.model.grip import FaceGrip
from jigs.model.state import Limit
from jigs.sizing import Design, Jig, Setup
from jigs.tables import wood

ON_THE_CUT = 1.5
"""Factor on the force of the cut. VDI 3106 style."""

ON_THE_GRIP = 1.5
"""Factor on the grip. VDI 3106 style."""

SOURCE = "Coulomb friction and equilibrium; factors 1.5 on the cut and 1.5 on the clamp, VDI 3106"


def check_hold(design: Design) -> list[Finding]:
    """Findings on every grip of every setup with a cut: the piece that decides governs."""
    found = []
    for setup in design.setups:
        if setup.model.cut is None:
            continue
        for jig in setup.jigs:
            cases = [(limit, g) for limit in Limit for g in jig.kind.grips(jig.n, limit)]
            if cases:
                found += [
                    min(worst, key=_use)
                    for worst in zip(*(_judge(setup, jig, limit, g) for limit, g in cases),
                                     strict=True)
                ]  # fmt: skip
    return found


def _use(finding: Finding) -> float:
    """How near a finding is to its limit: the least share of it; what is not judged comes first."""
    if finding.value is None or not finding.limit:
        return 0.0
    return finding.value / finding.limit


def _judge(setup: Setup, jig: Jig, limit: Limit, grip: FaceGrip) -> list[Finding]:
    n = setup.n
    force, pull = ON_THE_CUT * n.cut_force_high, ON_THE_CUT * n.cut_pull
    # The cutter pushes aside at the piece's edge at most: a torque about its upright axis.
    torque = force * max(grip.along, grip.apart) / 2
    least = friction.least_clamping_all_round(grip.friction.low, force, pull, torque, grip.apart)
    lever = -n.cut_depth / 2 - grip.middle
    capacity = tipping.tipping_limit(grip.force.low, grip.tall, grip.locked)
    e = min(force * lever / (grip.force.high + force), 0.4 * grip.tall)
    pressure = tipping.greatest_pressure(grip.force.high, grip.tall, grip.along, e)
    about = {
        "group": "hold", "of": jig.name, "governs": f"the {limit} piece",
        "assumes": (_cut_words(setup), *grip.assumes), "levers": grip.levers,
    }  # fmt: skip
    pull_test = hand.pull_reading(force)
    crushing = {**about, "check": f"{grip.name} do not crush the piece", "levers": ()}
    return [
        at_least(grip.force.low / least, ON_THE_GRIP, unit="", source=SOURCE,
                 check=f"{grip.name} hold against slip, twist and lift",
                 why=f"loosest grip over the least that holds; before the first cut it must "
                 f"stand a pull of {pull_test:.1f} kg at the cutter's height", **about),
        at_least(capacity / (force * lever), ON_THE_GRIP, unit="", source=SOURCE,
                 check=f"{grip.name} hold against tipping",
                 why=f"{lever:.0f} mm from the cut to the grip's middle", **about),
        _crushed(n.piece_wood, pressure, crushing),
    ]  # fmt: skip


def _crushed(species: str, pressure: float, about: dict[str, Any]) -> Finding:
    try:
        strength = wood(species).compression_perpendicular
    except TableError as unknown:
        return not_judged(str(unknown), **about)
    return at_least(
        strength / pressure, ON_THE_GRIP, unit="", why="strength over pressure, tightest grip",
        source="Wood Handbook, compression across the grain; averages of clear wood", **about,
    )  # fmt: skip


def _cut_words(setup: Setup) -> str:
    n = setup.n
    if n.force_given:
        return f"force of the cut {n.force_given:g} N, measured"
    return (
        f"force of the cut {n.cut_force_high:.0f} N at most: {_as_cut(n.piece_wood, n.wood_cut)}, "
        f"{n.depth_of_pass:g} mm a pass, feed {n.feed:g} mm/min, {n.spindle_speed:g} 1/min"
    )


def _as_cut(species: str, listed: str) -> str:
    return f"{species} (cut like {listed})"
