"""Friction against rigid bodies that slide point by point."""

from __future__ import annotations

import inspect
import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from jigs.mechanics import bolt, cutting, friction, hand, tipping

ANGLES = np.linspace(0, 2 * np.pi, 1441)


def grid_of(length, width, steps=240):
    x = (np.arange(steps) + 0.5) / steps - 0.5
    return np.meshgrid(x * length, x * width)


def test_friction_of_bhandari_9_21():
    """Bhandari Ex. 9.21: torque 1 591 549.4 N mm, R_f 88.1, mu .15, 6 bolts: 20 072.51 N each. The
    bolts as hold-downs of a base that turns."""
    held = friction.base_twist_capacity(0.15, [20_072.51] * 6, [88.1] * 6)
    assert held == pytest.approx(1_591_549.4, rel=1e-4)


@pytest.mark.parametrize("shape", [(1, 1), (1, 3), (20, 150), (38, 80), (150, 20)])
def test_mean_distance_by_numeric_integration(shape):
    """Second witness: midpoint rule on 240 x 240 cells."""
    x, y = grid_of(*shape)
    exact = friction.mean_distance_in_rectangle(*shape)
    assert exact == pytest.approx(float(np.hypot(x, y).mean()), rel=1e-4)
    bound = friction.patch_torque_lower_bound(0.3, 500, *shape)
    held = friction.patch_torque(0.3, 500, *shape)
    assert held == pytest.approx(150 * exact)
    assert 0.92 * held < bound <= held


def test_mean_distance_of_the_unit_square():
    """(sqrt 2 + asinh 1) / 6 = 0.382598, the known mean distance from a square's centre."""
    assert friction.mean_distance_in_rectangle(1, 1) == pytest.approx(0.3825978, abs=1e-7)


def test_a_disc_like_square_is_near_the_pivot_formula():
    """2/3 mu P r, uniform pressure (adaptivebooks.org, pivot friction): a square of equal area has
    a little more arm than the disc."""
    disc = 2 / 3 * 0.3 * 500 * math.sqrt(40 * 40 / math.pi)
    assert 1.0 < friction.patch_torque(0.3, 500, 40, 40) / disc < 1.03


def slip_states(x, y, centres):
    """Force and torque of a patch of even pressure that turns about each centre (mu N = 1)."""
    for cx, cy in centres:
        u, v = -(y - cy), x - cx
        speed = np.maximum(np.hypot(u, v), 1e-12)
        fx, fy = (u / speed).mean(), (v / speed).mean()
        yield math.hypot(fx, fy), abs(float((x * v / speed - y * u / speed).mean()))


@pytest.mark.parametrize("shape", [(1, 1), (0.2, 1)])
def test_straight_sum_is_inside_every_slip_state(shape):
    """Second witness: slide the patch about many centres; none slips below the straight line."""
    x, y = grid_of(*shape, steps=60)
    centres = [
        (d * math.cos(a), d * math.sin(a))
        for d in (0, 0.1, 0.3, 0.6, 1, 3, 20)
        for a in np.linspace(0, 2 * np.pi, 13)
    ]
    capacity = friction.patch_torque(1, 1, *shape)
    for force, torque in slip_states(x, y, centres):
        assert friction.slip_and_twist(force, 1.0, torque, capacity) >= 1 - 2e-3


def test_the_ellipse_is_unsafe_for_two_narrow_patches():
    """Two points 1 apart pushed across their line: a state slips at 0.5 + 0.5, where the ellipse
    still shows 0.71."""
    # One point at its limit, the other just carrying nothing: force 1/2, torque 1/2 of the most.
    force, torque = 0.5, 0.5 * 0.5
    assert friction.slip_and_twist(force, 1.0, torque, 0.5) == 1.0
    assert math.hypot(force / 1.0, torque / 0.5) < 0.72


def holds(mu, clamping, angle, force, pull, torque, width):
    """Can friction on two faces balance the cut? A search over how the two faces share it, the
    pressure's shift along the faces left out (mid-plane forces f1, f2 at -w/2, +w/2)."""
    along = force * abs(math.sin(angle))
    limits = mu * clamping, mu * (clamping - force * abs(math.cos(angle)))
    first, second = along / 2 + torque / width, along / 2 - torque / width
    share = np.linspace(0, 1, 401)
    for heavy, light in (limits, limits[::-1]):
        one = np.hypot(first, pull * share) <= heavy + 1e-9
        two = np.hypot(second, pull * (1 - share)) <= light + 1e-9
        if not (one & two).any():
            return False
    return True


@settings(max_examples=60)
@given(
    st.floats(0.1, 0.9),
    st.floats(5, 200),
    st.floats(0, 100),
    st.floats(0, 4000),
    st.floats(20, 90),
)
def test_least_clamping_holds_across_the_faces(mu, force, pull, torque, width):
    """Side force along the faces (no unloading): the search agrees that the least N holds."""
    least = friction.least_clamping(mu, force, math.pi / 2, pull, torque, width)
    assert holds(mu, least * 1.001, math.pi / 2, force, pull, torque, width)


@given(st.floats(0.05, 0.9), st.floats(1, 300), st.floats(0, 300))
def test_worst_angle_against_all_angles(mu, force, pull):
    """Second witness: every quarter degree by the forces themselves."""
    slide = np.hypot(force * np.sin(ANGLES), pull)
    unload = force * np.abs(np.cos(ANGLES))
    needed = np.maximum((slide / mu + unload) / 2, unload)
    assert friction.least_clamping_all_round(mu, force, pull) == pytest.approx(
        float(needed.max()), rel=1e-4
    )
    demand = slide + mu * unload
    angle = friction.worst_angle(mu, force, pull)
    there = math.hypot(force * math.sin(angle), pull) + mu * force * math.cos(angle)
    assert there == pytest.approx(float(demand.max()), rel=1e-4)


@settings(max_examples=50)
@given(
    st.floats(0.1, 0.8),
    st.floats(1, 200),
    st.floats(0, 100),
    st.floats(0, 5000),
    st.floats(0, math.pi / 2),
)
def test_at_the_least_clamping_the_use_is_one(mu, force, pull, torque, angle):
    """Second witness: halve on N with the forces written out."""
    width = 38.0
    slide, unload = math.hypot(force * math.sin(angle), pull), force * math.cos(angle)

    def use(clamping):
        return slide / (mu * (2 * clamping - unload)) + torque / (mu * width * (clamping - unload))

    low, high = unload * (1 + 1e-12) + 1e-9, unload + 1e6
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if use(middle) > 1 else (low, middle)
    found = friction.least_clamping(mu, force, angle, pull, torque, width)
    assert found == pytest.approx(high, rel=1e-6, abs=1e-6)


@given(st.floats(0.1, 0.8), st.floats(1, 200), st.floats(0, 100), st.floats(0, 5000))
@example(0.57735, 1.0, 0.0, 0.0)  # two peaks of one height: straight on, and at 60 degrees
@example(0.57735, 100.0, 0.0, 0.1)
def test_all_round_is_at_least_every_direction(mu, force, pull, torque):
    all_round = friction.least_clamping_all_round(mu, force, pull, torque, 38)
    for angle in np.linspace(0, math.pi / 2, 37):
        one = friction.least_clamping(mu, force, float(angle), pull, torque, 38)
        assert one <= all_round * (1 + 1e-9)
    assert friction.factor_held(2 * all_round, all_round) == pytest.approx(2)
    double = friction.least_clamping_all_round(mu, 2 * force, 2 * pull, 2 * torque, 38)
    assert double == pytest.approx(2 * all_round)  # homogeneous: the factor is on the whole cut


@given(st.floats(0.05, 0.8), st.floats(0, 0.8), st.floats(0.02, 1.55), st.floats(1, 3))
def test_pressure_shift_against_all_shares(mu, pull, angle, more):
    """Second witness: try every way to share the side force between the faces, take moments."""
    force, width = 100.0, 40.0
    clamping = more * friction.least_clamping_all_round(mu, force, pull * force)
    unload, along = force * math.cos(angle), force * math.sin(angle)
    strong, weak = mu * clamping, mu * (clamping - unload)
    lifted = pull * force / (strong + weak)  # the pull, as a part of each face's limit
    left = math.sqrt(max(0.0, 1 - lifted**2))
    second = np.linspace(-weak * left, weak * left, 4001)
    first = along - second
    possible = first <= strong * left + 1e-6 * force
    moments = np.abs(first - second)[possible] * width / 2
    found = friction.pressure_shift(mu, clamping, force, angle, pull * force, width)
    assert found == pytest.approx(
        float(moments.min()) / (2 * clamping - unload), abs=2e-3 * width * mu
    )
    assert found < 0.16 * width


def test_capacities_by_hand():
    """mu .3, N 1000, F_n 200: 0.3 x 1800; couple 0.3 x 800 x 40; open faces hold nothing."""
    assert friction.slip_capacity(0.3, 1000, 200) == pytest.approx(540)
    assert friction.twist_capacity(0.3, 1000, 200, 40) == pytest.approx(9600)
    assert friction.slip_capacity(0.3, 1000, 1000) == 0
    assert friction.twist_capacity(0.3, 1000, 1200, 40) == 0


def test_base_against_a_free_body():
    """By hand: four hold-downs of 500, weight 20, lift 60, mu .2; edge 0, anchors at 30 and 130."""
    assert friction.base_slide_capacity(0.2, [500] * 4, 20, 60) == pytest.approx(0.2 * 1960)
    assert friction.base_slide_capacity(0.2, [10], 0, 60) == 0
    righting = friction.righting_moment([500, 500], [30, 130], 20, 80)
    assert righting == pytest.approx(15_000 + 65_000 + 1600)
    assert friction.overturning_moment(150, 120, 60, 80) == pytest.approx(18_000 + 4800)


def test_anchor_pull_against_springs():
    """Second witness: a rigid base hinged on its edge, on three springs, rotated a little."""
    distances, stiffness, turn = [30.0, 90.0, 150.0], 1000.0, 1e-3
    pulls = [stiffness * turn * x for x in distances]
    moment = sum(p * x for p, x in zip(pulls, distances, strict=True))
    assert friction.greatest_anchor_pull(moment, distances) == pytest.approx(max(pulls))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: friction.slip_capacity(0, 100, 0), "friction must be above 0"),
        (lambda: friction.slip_capacity(math.nan, 100, 0), "friction must be above 0"),
        (lambda: friction.slip_capacity(0.3, -1, 0), "clamping must be 0 or more"),
        (lambda: friction.slip_and_twist(10, 0, 0, 5), "a face has opened"),
        (lambda: friction.least_clamping(0.3, 10, 0.1, 0, 50), "needs the width"),
        (lambda: friction.least_clamping(0.3, 10, 0.1, 0, 50, 0), "needs the width"),
        (lambda: friction.least_clamping(0, 10, 0.1), "friction must be above 0"),
        (lambda: friction.pressure_shift(0.3, 100, 90, 1.5), "slip before"),
        (lambda: friction.worst_angle(0.3, 0), "side force must be above 0"),
        (lambda: friction.factor_held(100, 0), "least clamping must be above 0"),
        (lambda: friction.mean_distance_in_rectangle(0, 1), "length must be above 0"),
        (lambda: friction.greatest_anchor_pull(10, [0.0]), "no anchor stands away"),
        (lambda: friction.base_slide_capacity(0.2, [5, -1]), "hold down 2 must be 0"),
        (lambda: friction.righting_moment([5], [-1]), "distance 1 must be 0"),
    ],
)
def test_limits_are_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_nothing_asked_needs_nothing():
    assert friction.slip_and_twist(0, 0, 0, 0) == 0
    assert friction.least_clamping(0.3, 0, 0.5) == 0


def public_functions():
    for module in (bolt, cutting, friction, hand, tipping):
        for name, function in vars(module).items():
            if inspect.isfunction(function) and not name.startswith("_"):
                yield pytest.param(function, id=f"{module.__name__.split('.')[-1]}.{name}")


SAMPLES = {"int": 2, "float": 0.4, "Sequence[float]": [0.4, 0.4]}


@pytest.mark.parametrize("function", list(public_functions()))
def test_what_is_no_number_is_refused_everywhere(function):
    """Each argument in turn is nan, then infinite where that means nothing: never a nan comes back.

    The other arguments are 0.4, which some functions refuse as well: a refusal is fine."""
    arguments = inspect.signature(function).parameters
    for spoilt in arguments:
        for bad in (math.nan, math.inf):
            values = {name: SAMPLES[a.annotation] for name, a in arguments.items()}
            values[spoilt] = [0.4, bad] if isinstance(values[spoilt], list) else bad
            try:
                found = function(**values)
            except ValueError:
                continue
            assert not math.isnan(bad), f"{spoilt} as nan gave {found}"
            assert not math.isnan(found)


def test_every_public_function_says_where_it_comes_from():
    for parameter in public_functions():
        [function] = parameter.values
        text = " ".join((function.__doc__ or "").split())
        assert "Source" in text or "source" in text or "Assumed" in text, parameter.id


@pytest.mark.parametrize("mu", [0.2, 0.5])
@pytest.mark.parametrize("lever", [5, 30, 90])
@pytest.mark.parametrize(("tall", "along"), [(80, 38), (40, 60), (120, 20)])
def test_a_lever_over_the_patches_against_a_linear_programme(mu, lever, tall, along):
    """Second witness: points of even pressure on both faces, each with a many-sided friction cone
    inside Coulomb's; the largest factor on the loads that some set of forces balances. The formula
    asks for no less clamping, and for less than twice as much."""
    force, pull = 60.0, 20.0
    aside = 12.0
    clamping = friction.least_clamping(
        mu, force, math.pi / 2, pull, 0, 38, lever, aside, math.hypot(tall, along)
    )
    ys, zs = (np.linspace(-s / 2, s / 2, 2 * n + 1)[1::2] for s, n in ((along, 6), (tall, 6)))
    spots = np.array([(y, z) for y in ys for z in zs] * 2)
    each = mu * 2 * clamping / len(spots)
    fan = np.linspace(0, 2 * math.pi, 24, endpoint=False)
    # Unknown: along y and z at each spot, and the factor; the centre of the patch is the origin.
    n = len(spots)
    balance = np.zeros((3, 2 * n + 1))
    balance[0, 0:n], balance[1, n:-1] = 1, 1
    balance[2, 0:n], balance[2, n:-1] = -spots[:, 1], spots[:, 0]
    balance[:, -1] = force, pull, -(force * lever + pull * aside)
    cones = [np.hstack([np.cos(a) * np.eye(n), np.sin(a) * np.eye(n), np.zeros((n, 1))])
             for a in fan]  # fmt: skip
    reach = each * math.cos(math.pi / len(fan))
    found = linprog(
        np.r_[np.zeros(2 * n), -1], A_ub=np.vstack(cones), b_ub=np.full(n * len(fan), reach),
        A_eq=balance, b_eq=np.zeros(3), bounds=[(None, None)] * (2 * n) + [(0, None)],
    )  # fmt: skip
    assert found.success
    assert 0.98 <= found.x[-1] < 2
