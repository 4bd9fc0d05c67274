"""A round piece between two lined half bores that press it with N each, and what the cut asks.

x runs along the split, y across it, z up along the piece. The side force F comes from an angle in
plan, measured from y: P_y = F |cos| unloads one half, P_x = F |sin| pushes along the split. It acts
at the lever L above the ring's middle; the pull Z acts a off the axis, T is a torque about the
axis. Symbols: r radius of the piece, B half angle of contact, b height of the contact, mu friction.

What is counted, each a state of pressure and friction that keeps its limits point by point:

* The closing is soft: P_y takes its whole force from one half and gives the other none. So the weak
  half keeps N - P_y, both together S = 2 N - P_y, and nothing is held once P_y reaches N.
* One half is locked against tipping about x. P_y L moves its pressure up or down by
  e = (P_y L + Z a |cos|) / (N - P_y); only the height b' = b - 2 e about that point counts on.
* The seats' shape carries P_x up to S tan(B / 3): pressure that grows evenly across the seat (it
  ends at 0 on one edge) leans by B / 3. A contact that swings further round the bore would hold
  more, but the piece has then moved by tenths of a millimetre: not counted.
* What is left, R_x, and the torque go into friction round the piece, the pull into friction along
  it, half in each half: hypot(R_x + T / r, Z) <= 2 mu' (N - P_y). mu' = mu / sqrt(1 + mu^2), the
  sine of the friction angle: friction at a seat that leans changes its pressure by that much.
* The moment about y, P_x L and its companions: first by the shape, which may press above the middle
  one way and below it the other, (S tan(B / 3) - P_x) b' / 6; the rest by friction that turns each
  seat about its own middle, mu' S hypot(3 r B / 8, b' / 4). 3 B / 8 is the mean angle of a parabola
  of pressure, the most gathered that a lining gives.
* Slip and turning are added as plain numbers: a convex set holds the chord between two states.

Everything is in proportion to (F, Z, T) together. Unsourced: the whole model is derived, from
Coulomb, equilibrium and the middle third. Against a bold search over pressures and friction of all
cells of both seats (`tests/mechanics/test_round_grip.py`) it asks for 1.3 to 4.2 times the force.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from jigs.mechanics import limits, search
from jigs.mechanics.tipping import greatest_pressure as edge_rise

LEANS = 1 / 3
"""Part of the half angle by which even pressure may lean with no edge lifted (middle third)."""

PARABOLA = 3 / 8
"""Mean distance from the middle of a parabola of pressure, over its half width."""

_COARSE = 48
_FINE = 24
_CLOSE = 1e-12


def least_closing_at(
    angle: float, friction: float, side_force: float, pull: float, torque: float, lever: float,
    radius: float, half_angle: float, height: float, pull_arm: float = 0.0,
) -> float:  # fmt: skip
    """Least closing force per half that holds a side force at one angle in plan, N.

    Parameters: angle from y [rad], friction mu, side_force F [N], pull Z [N], torque T [N mm],
    lever L, radius r [mm], half_angle B [rad], height b, pull_arm a [mm]. Raises ValueError unless
    mu, r, b > 0, 0 <= B <= pi / 2 and the rest are 0 or more. Source: derived, see the module.
    """
    _need(friction, side_force, pull, torque, lever, radius, half_angle, height, pull_arm)
    if not math.isfinite(angle):
        raise ValueError(f"an angle must be a number, not {angle:g}")
    return _where_one(*_use(angle, friction, side_force, pull, torque, lever, radius, half_angle,
                            height, pull_arm), 0.0)  # fmt: skip


def least_closing(
    friction: float, side_force: float, pull: float, torque: float, lever: float,
    radius: float, half_angle: float, height: float, pull_arm: float = 0.0,
) -> float:  # fmt: skip
    """Least closing force per half that holds the side force from **every** direction in plan, N.

    `least_closing_at` over a quarter turn in 48 steps, the highest refined. It never asks for less
    than tipping about x does (`least_closing_against_tipping` with one half locked). Parameters,
    errors and source: as there. In proportion to (side_force, pull, torque) together.
    """

    def needed(angle: float, at_least: float) -> float:
        """What that angle asks for, or `at_least` where it asks for no more."""
        asked = _use(angle, friction, side_force, pull, torque, lever, radius, half_angle, height,
                     pull_arm)  # fmt: skip
        return _where_one(*asked, at_least)

    _need(friction, side_force, pull, torque, lever, radius, half_angle, height, pull_arm)
    step, worst, most = math.pi / 2 / _COARSE, 0.0, 0.0
    for i in range(_COARSE + 1):
        if (asked := needed(i * step, most)) > most:
            worst, most = i * step, asked
    for i in range(1 - _FINE, _FINE):
        angle = min(max(worst + i * step / _FINE, 0.0), math.pi / 2)
        most = needed(angle, most)
    return most


def least_closing_against_tipping(
    side_force: float, lever: float, height: float, locked: int,
    pull: float = 0.0, pull_arm: float = 0.0,
) -> float:  # fmt: skip
    """Least closing force per half at which the piece does not tip across the split, N.

    M = F L + Z a. One half locked: (N - F) b / 2 = M, N = F + 2 M / b. Both: (2 N - F) b / 2 = M,
    N = F / 2 + M / b, and no less than F. Parameters: side_force F, pull Z [N], lever L, height b,
    pull_arm a [mm], locked = halves that cannot turn with the piece, 1 or 2. Raises ValueError
    otherwise. Source: derived, as `tipping.tipping_limit`, the weak half less what the force took.
    """
    limits.need_positive(height=height)
    limits.need_not_negative(side_force=side_force, lever=lever, pull=pull, pull_arm=pull_arm)
    if locked not in (1, 2):
        raise ValueError("one or both of two halves are locked")
    moment = side_force * lever + pull * pull_arm
    if locked == 1:
        return side_force + 2 * moment / height
    return max(side_force, side_force / 2 + moment / height)


def greatest_pressure(
    pressure: float, closing: float, side_force: float, lever: float, half_angle: float,
    height: float, pull: float = 0.0, pull_arm: float = 0.0, lip_angle: float = 0.0,
) -> float:  # fmt: skip
    """Greatest pressure of a seat on the piece while the cut pushes from any direction, MPa.

    p (1 + P_y / N) (rise at the edge for e = M / (N + P_y), no tension) (rise of a lean), where the
    seat's top leans by l = P_x (1 + 6 L / b) / (2 N): a contact with room before the lips swings
    round with no rise, one at the lips rises by 3 l / B, to twice at most. inf where it tips.
    Parameters: pressure p at the seat with no cut [MPa], closing N per half, side_force, pull Z
    [N], lever L, height b, pull_arm a [mm], half_angle B, lip_angle (0: at the lips) [rad]; p and N
    at their tight ends. Raises ValueError unless N, b > 0. Source: derived; the edge's rise as
    `tipping.greatest_pressure`.
    """
    limits.need_positive(closing=closing, height=height)
    limits.need_not_negative(
        pressure=pressure, side_force=side_force, lever=lever, pull=pull, pull_arm=pull_arm,
        half_angle=half_angle,
    )  # fmt: skip

    def at(angle: float) -> float:
        across, along = side_force * math.cos(angle), side_force * math.sin(angle)
        loaded = closing + across
        aside = (across * lever + pull * pull_arm) / loaded
        if aside >= height / 2:
            return math.inf
        leans = along * (1 + 6 * lever / height) / (2 * closing)
        swings = half_angle + leans <= lip_angle
        third = LEANS * half_angle
        rise = 1.0 if swings else (1 + leans / third if leans < third else 2.0)
        return pressure * loaded / closing * edge_rise(1.0, height, 1 / height, aside) * rise

    return max(at(math.pi / 2 * i / _COARSE) for i in range(_COARSE + 1))


def shear_stiffness(
    young: float, radius: float, half_angle: float, liner: float, height: float
) -> float:
    """Resistance of one half's lining to being dragged along the split, N/mm.

    (G b r / t) (B + sin B cos B), G = E / 3: the lining is glued to the wood and the piece sticks
    to it; only the part of the drag that runs along the lining. It adds to
    `liner_force.sideways_stiffness`. Parameters: young E [MPa], radius r, liner t, height b [mm],
    half_angle B [rad]. Limits: nothing slips. Source: derived; simple shear, rubber that keeps its
    volume (Poisson's ratio 1/2).
    """
    limits.need_positive(young=young, radius=radius, liner=liner, height=height)
    limits.need_not_negative(half_angle=half_angle)
    spread = half_angle + math.sin(half_angle) * math.cos(half_angle)
    return young / 3 * height * radius / liner * spread


def _need(
    friction: float, side_force: float, pull: float, torque: float, lever: float, radius: float,
    half_angle: float, height: float, pull_arm: float,
) -> None:  # fmt: skip
    limits.need_positive(friction=friction, radius=radius, height=height)
    limits.need_not_negative(
        side_force=side_force, pull=pull, torque=torque, lever=lever, half_angle=half_angle,
        pull_arm=pull_arm,
    )  # fmt: skip
    if half_angle > math.pi / 2:
        raise ValueError("a half bore touches over no more than a quarter turn each side")


def _use(
    angle: float, friction: float, side_force: float, pull: float, torque: float, lever: float,
    radius: float, half_angle: float, height: float, pull_arm: float,
) -> tuple[Callable[[float], float], float]:  # fmt: skip
    """How much of what is held is used at a closing force, and up to where nothing is held, N."""
    across, along = side_force * abs(math.cos(angle)), side_force * abs(math.sin(angle))
    nods = across * lever + pull * pull_arm * abs(math.cos(angle))
    rolls = along * lever + pull * pull_arm * abs(math.sin(angle))
    slope, rubs = math.tan(half_angle * LEANS), friction / math.hypot(1.0, friction)

    def used(closing: float) -> float:
        weak, both = closing - across, 2 * closing - across
        if weak <= 0:
            return math.inf
        aside = nods / weak
        bears = height - 2 * aside
        if bears <= 0:
            return math.inf
        shape = both * slope
        slides = max(0.0, along - shape)
        slip = math.hypot(slides + torque / radius, pull) / (2 * rubs * weak)
        # The weak half's share of the side force acts that far from the middle.
        moment = rolls + aside * (along * weak / both + torque / (2 * radius))
        turns = max(0.0, moment - max(0.0, shape - along) * bears / 6)
        arm = math.hypot(PARABOLA * radius * half_angle, bears / 4)
        return slip + turns / (rubs * both * arm)

    return used, across + 2 * nods / height


def _where_one(used: Callable[[float], float], none: float, least: float) -> float:
    """The closing force, no less than `least`, at which a use that falls with it comes to 1.

    Up to `none` nothing is held at all.
    """
    low = max(none * (1 + _CLOSE), least)
    if used(low + _CLOSE) <= 1:
        return low

    def held(closing: float) -> float:
        asked = used(closing)
        return min(1 / asked - 1, 1.0) if asked else 1.0

    high = 2 * low or 1.0
    while held(high) < 0:
        high *= 2
    return search.crossing(held, low, high)
