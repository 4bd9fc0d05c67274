"""The jig on the machine: its bases do not slide, turn or rock, and no fastening gives.

Reads the footings that a kind declares. The cut pushes from every direction in plan and pulls
upward; what the base takes of it is resolved in the plane that it stands on (u, v) and away from
it (w). Keys, dowels and stops guide; they are not counted as holding.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from jigs.mechanics import friction
from jigs.model.finding import Finding, at_least
from jigs.model.grip import Footing
from jigs.model.number import Book
from jigs.shop.cutting import Push, cut_words, push_of
from jigs.shop.path import arm_of
from jigs.sizing import Jig, Setup

ON_THE_BASE = 1.5
"""Factor on friction and hold-downs of a base. VDI 3106 style."""

DIRECTIONS = 24
SOURCE = "Coulomb friction and equilibrium; factors 1.5 on the cut and 1.5 on the base, VDI 3106"


@dataclass(frozen=True, slots=True)
class Load:
    """A force on a base: along u and v, away from the plane (w), N, acting at u, v, w, mm."""

    u: float
    v: float
    away: float
    at_u: float
    at_v: float
    height: float


def footing_findings(setup: Setup) -> Iterator[Finding]:
    """Findings on every base of the setup under every cut."""
    for cut in setup.cuts:
        arm = arm_of(cut, setup.piece)
        for jig in setup.jigs:
            for base in jig.kind.footings(jig.n):
                yield from _judge(jig, cut, base, arm)


def base_holds(base: Footing, acts_at: float, push: Push, arm: float) -> float:
    """Factor by which a base is held against sliding, turning and rocking, over what is asked.

    Parameters: acts_at = z of the force, arm = furthest from the work zero in plan [mm].
    """
    loads = _all_loads(base, acts_at, push, arm)
    return min(min(stays(base, load), keeps_down(base, load)) for load in loads) / ON_THE_BASE


def _all_loads(base: Footing, acts_at: float, push: Push, arm: float) -> list[Load]:
    return [
        load
        for angle in _angles()
        for aside in (-arm, arm)
        for load in _loads(base, acts_at, push, angle, aside)
    ]


def _judge(jig: Jig, cut: Book, base: Footing, arm: float) -> Iterator[Finding]:
    loads = _all_loads(base, cut.cut_acts_at, push_of(cut), arm)
    about: dict[str, Any] = {
        "of": jig.name, "unit": "", "source": SOURCE, "levers": base.levers, "governs": cut.owner,
        "assumes": (*cut_words(cut), *base.assumes),
        "reads": ("cut_force_high", "cut_pull", "cut_acts_at", *base.reads),
    }  # fmt: skip
    yield at_least(
        min(stays(base, load) for load in loads), ON_THE_BASE, group="hold",
        check=f"{base.name} neither slides nor turns on the {base.plane}", **about,
        equation="1 / (F / (mu (sum of pulls + W - Z)) + M / (mu sum of pull times distance))",
        why="friction under the hold-downs over what the cut asks; key and stop not counted",
    )  # fmt: skip
    yield at_least(
        min(keeps_down(base, load) for load in loads), ON_THE_BASE, group="hold",
        check=f"{base.name} does not rock on the {base.plane}", **about,
        equation="sum of pull times distance from the edge over F h + Z x, every edge",
        why="hold-downs and weight over what the cut asks, about the worst edge",
    )  # fmt: skip
    pulls = [base.pull.high + pulled(base, load) for load in loads]
    yield at_least(
        base.most / max(pulls), ON_THE_BASE, group="strength",
        check=f"{base.name}'s fastenings hold in the {base.plane}", **about,
        equation="least strength over (pull as tightened + M x / sum of x^2)",
        why=f"first to give: {base.gives}",
    )  # fmt: skip


def _angles() -> list[float]:
    return [2 * math.pi * i / DIRECTIONS for i in range(DIRECTIONS)]


def _loads(base: Footing, acts_at: float, push: Push, angle: float, aside: float) -> list[Load]:
    """What the base takes of the cut from that side, with the cutter's pull and without.

    The force acts `aside` of the work zero, square to its own direction: it turns the base most.
    """
    x, y = push.force * math.cos(angle) * base.share, push.force * math.sin(angle) * base.share
    at_x, at_y = -aside * math.sin(angle), aside * math.cos(angle)
    loads = []
    for lift in (0.0, push.pull * base.share):
        if base.plane == "table":
            loads.append(Load(x, y, lift, at_x, at_y, acts_at - base.level))
        else:
            # The base stands in front of the plane: away from it is towards the operator.
            loads.append(Load(x, lift, -y, at_x, acts_at, base.level - at_y))
    return loads


def stays(base: Footing, load: Load) -> float:
    """By how much friction is more than the load asks, slide and turn together."""
    weight = base.weight if base.plane == "table" else 0.0
    pulls = [base.pull.low] * len(base.anchors)
    hung = 0.0 if base.plane == "table" else base.weight
    slide = math.hypot(load.u, abs(load.v) + hung)
    grip = friction.base_slide_capacity(base.friction.low, pulls, weight, max(load.away, 0.0))
    u0 = math.fsum(a.u for a in base.anchors) / len(base.anchors)
    v0 = math.fsum(a.v for a in base.anchors) / len(base.anchors)
    turn = abs(load.v * (load.at_u - u0) - load.u * (load.at_v - v0))
    arms = [math.hypot(a.u - u0, a.v - v0) for a in base.anchors]
    # What pulls the base off takes the same share of every anchor's press.
    pressed = math.fsum(pulls) + weight
    left = max(0.0, pressed - max(load.away, 0.0)) / pressed if pressed else 0.0
    held = left * friction.base_twist_capacity(base.friction.low, pulls, arms)
    used = (slide / grip if grip else math.inf) if slide else 0.0
    if turn:
        used += turn / held if held else math.inf
    return 1 / used if used else math.inf


def keeps_down(base: Footing, load: Load) -> float:
    """By how much hold-downs and weight are more than the load asks, about the worst edge."""
    least = math.inf
    weight = base.weight if base.plane == "table" else 0.0
    for edge in _edges(base):
        arms = [edge.from_here(a.u, a.v) for a in base.anchors]
        righting = friction.righting_moment(
            [base.pull.low] * len(arms), arms, weight, edge.width / 2
        )
        turning = edge.turning(load) + _hangs_over(base, edge)
        if turning > 0:
            least = min(least, righting / turning)
    return least


def pulled(base: Footing, load: Load) -> float:
    """What the worst edge's moment and the pull add to the hardest pulled anchor, N.

    As if nothing were pressed on: the upper end, since a joint that stays shut adds less.
    """
    most = 0.0
    for edge in _edges(base):
        arms = [edge.from_here(a.u, a.v) for a in base.anchors]
        turning = edge.turning(load) + _hangs_over(base, edge)
        if turning > 0 and any(arms):
            most = max(most, friction.greatest_anchor_pull(turning, arms))
    return most


def _hangs_over(base: Footing, edge: Edge) -> float:
    """What the weight of a base that hangs in front turns over its lower edge, N mm.

    Its middle is taken as far in front of the plane as the piece's axis.
    """
    return base.weight * base.level if base.plane != "table" and edge.out_v < 0 else 0.0


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge of a base: its outward direction in the plane, its place along it, the width."""

    out_u: float
    out_v: float
    place: float
    width: float

    def from_here(self, u: float, v: float) -> float:
        """How far inside the edge a point lies, mm; 0 for one beyond it."""
        return max(0.0, self.place - (self.out_u * u + self.out_v * v))

    def turning(self, load: Load) -> float:
        """Moment over the edge, N mm: the push over it at its height, and what pulls away."""
        pushed = self.out_u * load.u + self.out_v * load.v
        arm = self.place - (self.out_u * load.at_u + self.out_v * load.at_v)
        return pushed * load.height + load.away * arm


def _edges(base: Footing) -> tuple[Edge, ...]:
    u0, u1, v0, v1 = base.reach
    return (
        Edge(1, 0, u1, u1 - u0), Edge(-1, 0, -u0, u1 - u0),
        Edge(0, 1, v1, v1 - v0), Edge(0, -1, -v0, v1 - v0),
    )  # fmt: skip
