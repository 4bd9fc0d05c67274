"""The round grip against a search over pressures and friction of all cells of both seats.

Witness: each seat is cut into cells. Its pressure may be any mixture of Winkler beds under a piece
that is shifted and tilted (no pull), its friction anything within Coulomb's cone cell by cell. A
linear programme looks for the heaviest cut that these can balance, with the soft closing and the
rocking moving half. It knows nothing of the closed formulas.
"""

from __future__ import annotations

import inspect
import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from scipy.sparse import coo_matrix, csr_matrix, hstack, vstack

from jigs.mechanics import liner, liner_force, round_grip

FACETS, ACROSS, UP = 12, 14, 9
TOO_CAREFUL = 4.3
"""No named case asks for more than this many times what the search asks, which may press on the
edges alone, as hard as it likes, and so is a bold one."""


class Seats:
    """Both seats of a ring whose closing force per half is 1 N."""

    def __init__(self, lined, radius, squeeze, gap, height):
        self.radius, self.height = radius, height
        self.half = liner.contact_half_angle(lined, radius, squeeze, gap)
        self.offset = liner.axis_offset(lined, radius, squeeze)
        lip = liner.lip_angle_at_piece(lined, radius, squeeze, gap)
        reach = min(lip, 1.7 * self.half)
        psi = (np.arange(ACROSS) + 0.5) / ACROSS * 2 * reach - reach
        # Rows as of the trapezium rule: the outer ones lie on the seat's edges and count half.
        z = np.linspace(-height / 2, height / 2, UP)
        self.psi, self.z = (grid.ravel() for grid in np.meshgrid(psi, z))
        self.weight = np.where(np.abs(self.z) > 0.499 * height, 0.5, 1.0)
        self.beds = self._beds(lined, squeeze)

    def _beds(self, lined, squeeze):
        """Pressures of the beds, each with a resultant of 1 N across the split."""
        free = self.offset * (np.cos(self.psi) - (1 - squeeze / self._reduced(lined, squeeze)))
        aside = self.offset * math.tan(self.half / 3)
        up = self.z / (self.height / 2)
        found = []
        for shift, roll, nod in itertools.product((-1, 0, 1), (-1, 0, 1), (-4, -1, 0, 1, 4)):
            moved = (shift + roll * up) * aside * np.sin(self.psi)
            bed = np.maximum(free + moved + nod * squeeze * up * np.cos(self.psi), 0)
            found.append(bed)
        for edge, shift in itertools.product((-1, 1), (-1, 0, 1)):
            bed = np.maximum(free + shift * aside * np.sin(self.psi), 0)
            found.append(np.where(edge * up > 0.999, bed, 0))
        found = [bed * self.weight / (bed * self.weight @ np.cos(self.psi)) for bed in found]
        return np.array(found).T

    def _reduced(self, lined, squeeze):
        return 2 * self.offset * self.radius / (2 * lined + squeeze)

    def forces(self, side):
        """What 1 N of pressure, round and upward friction in each cell do to the piece: (x, y, z,
        about x, about y, about z), one column a cell."""
        sine, cosine, zero = np.sin(self.psi), side * np.cos(self.psi), np.zeros_like(self.psi)
        at = np.array([self.radius * sine, self.radius * cosine, self.z])
        ways = ([-sine, -cosine, zero], [np.cos(self.psi), -side * sine, zero],
                [zero, zero, zero + 1])  # fmt: skip
        return [np.vstack([way, np.cross(at.T, np.array(way).T).T]) for way in ways]

    def heaviest(self, mu, push, across):
        """How many times the push (6 numbers, `across` unloads a half) 1 N of closing holds."""
        rows, friction, totals = [], [], []
        for side in (1, -1):
            normal, round_, axial = self.forces(side)
            pressed = normal @ self.beds
            rows.append((pressed, round_, axial))
            friction.append(self._cones(mu))
            totals.append(side)
        balance = np.hstack([np.hstack(parts) for parts in rows] + [push[:, None]])
        beds, cells = self.beds.shape[1], len(self.psi)
        width = beds + 2 * cells
        # The half that the push unloads carries 1 - across; the moving one rocks about x.
        weak = -1 if push[1] > 0 else 1
        extra, right = [], []
        for i, side in enumerate(totals):
            pressed, round_, _ = rows[i]
            line = np.zeros(2 * width + 1)
            line[i * width : i * width + beds] = -side * pressed[1]
            line[i * width + beds : i * width + beds + cells] = -side * round_[1]
            line[-1] = across if side == weak else 0.0
            extra.append(line)
            right.append(1.0)
        line = np.zeros(2 * width + 1)
        line[width : width + beds] = (self.z * np.cos(self.psi)) @ self.beds
        extra.append(line)
        right.append(0.0)
        equal = vstack([csr_matrix(balance[[0, 2, 3, 4, 5]]), csr_matrix(np.array(extra))])
        blank = csr_matrix(friction[0].shape)
        column = csr_matrix((friction[0].shape[0], 1))
        below = vstack([hstack([friction[0], blank, column]), hstack([blank, friction[1], column])])
        bounds = ([(0, None)] * beds + [(None, None)] * (2 * cells)) * 2 + [(0, None)]
        aim = np.zeros(2 * width + 1)
        aim[-1] = -1
        found = linprog(aim, A_ub=below, b_ub=np.zeros(below.shape[0]), A_eq=equal,
                        b_eq=np.r_[np.zeros(5), right], bounds=bounds, method="highs")  # fmt: skip
        assert found.status == 0, found.message
        return -found.fun

    def _cones(self, mu):
        """Rows that hold (round, upward) friction of every cell within mu p, polygon inside."""
        beds, cells = self.beds.shape[1], len(self.psi)
        turn = 2 * np.pi * np.arange(FACETS) / FACETS
        inside = mu * math.cos(math.pi / FACETS)
        blocks = []
        for cosine, sine in zip(np.cos(turn), np.sin(turn), strict=True):
            each = np.arange(cells)
            traction = coo_matrix(
                (np.r_[np.full(cells, cosine), np.full(cells, sine)],
                 (np.r_[each, each], np.r_[each, each + cells])), (cells, 2 * cells)
            )  # fmt: skip
            blocks.append(hstack([csr_matrix(-inside * self.beds), traction]))
        assert blocks[0].shape == (cells, beds + 2 * cells)
        return vstack(blocks).tocsr()


def push_of(angle, force, pull, arm, lever, off, way):
    """The cut as six numbers; `way` = signs of across, along, torque and of the pull's place."""
    x, y = way[1] * force * math.sin(angle), way[0] * force * math.cos(angle)
    at = way[3] * off * np.array([math.sin(angle) * way[1], math.cos(angle) * way[0]])
    nods = -lever * y + at[1] * pull
    rolls = lever * x - at[0] * pull
    return np.array([x, y, pull, nods, rolls, way[2] * force * arm])


def compared(case, angle, way=(1, 1, 1, 1)):
    """(model, search): how many times the cut 1 N of closing holds."""
    lined, radius, squeeze, gap, height, mu, pull, arm, lever, off = case
    seats = Seats(lined, radius, squeeze, gap, height)
    least = round_grip.least_closing_at(
        angle, mu, 1.0, pull, arm, lever, radius, seats.half, height, off
    )
    found = seats.heaviest(mu, push_of(angle, 1.0, pull, arm, lever, off, way), math.cos(angle))
    return 1 / least, found


CASES = {
    # lined, radius, squeeze, gap, height, mu, pull, arm of the torque, lever, off
    "dibber, thinnest": (18.5, 15.75, 0.42, 8.1, 40, 0.5, 0.58, 15.75, 30, 15.75),
    "dibber, thickest": (18.5, 18.0, 0.42, 8.1, 40, 0.5, 0.58, 18, 30, 18),
    "little pin": (11.5, 10, 0.285, 5.1, 34, 0.5, 0.58, 10, 26, 10),
    "slippery": (18.5, 16, 0.4, 8, 40, 0.2, 0.58, 16, 30, 16),
    "sticky": (18.5, 16, 0.4, 8, 40, 0.9, 0.3, 16, 30, 16),
    "low ring": (18.5, 16, 0.4, 8, 15, 0.5, 0.58, 16, 30, 16),
    "tall ring": (18.5, 16, 0.4, 8, 80, 0.5, 0.58, 16, 45, 16),
    "far above": (18.5, 16, 0.4, 8, 40, 0.5, 0.58, 16, 120, 16),
    "close": (18.5, 16, 0.4, 8, 40, 0.5, 0.58, 16, 5, 16),
    "on the axis": (18.5, 16, 0.4, 8, 40, 0.5, 0.0, 0, 30, 0),
    "pull alone nearly": (18.5, 16, 0.4, 8, 40, 0.5, 20.0, 0, 30, 2),
    "lips bite": (16.2, 16, 0.9, 8, 40, 0.5, 0.58, 16, 30, 16),
    "an edge of contact": (22, 16, 0.15, 12, 40, 0.5, 0.58, 16, 30, 16),
}


@pytest.mark.parametrize("case", CASES.values(), ids=list(CASES))
@pytest.mark.parametrize("degrees", [0, 35, 70, 90])
def test_the_model_is_on_the_safe_side_of_the_search(case, degrees):
    model, search = compared(case, math.radians(degrees))
    assert model <= 1.01 * search
    assert search <= TOO_CAREFUL * model


@settings(max_examples=12, deadline=None)
@given(
    st.floats(8, 30), st.floats(0.05, 3), st.floats(0.1, 0.8), st.floats(0.15, 0.9),
    st.floats(0.4, 3), st.floats(0, 1.2), st.floats(0, 1), st.floats(0.2, 3), st.floats(0, 1),
    st.floats(0, math.pi / 2), st.tuples(*[st.sampled_from((-1, 1))] * 4),
)  # fmt: skip
def test_it_is_safe_all_over(
    radius, larger, squeeze, mu, tall, pull, arm, lever, off, angle, way
):  # fmt: skip
    """Any ring, any direction, any signs of torque and of the pull's place."""
    height = tall * radius
    case = (radius + larger, radius, squeeze, radius / 3, height, mu, pull, arm * radius,
            lever * height, off * radius)  # fmt: skip
    model, search = compared(case, angle, way)
    assert model <= 1.02 * search


FORCES = {
    "friction": 0.5, "side_force": 5.0, "pull": 3.0, "torque": 80.0, "lever": 30.0,
    "radius": 16.0, "half_angle": 0.4, "height": 40.0, "pull_arm": 16.0,
}  # fmt: skip


@given(st.floats(0.1, 0.9), st.floats(0.01, 100), st.floats(1e-3, 1e3))
def test_in_proportion_to_the_cut(mu, pull, scale):
    """Homogeneous of degree 1 in (F, Z, T), with levers left alone."""
    one = FORCES | {"friction": mu, "pull": pull}
    more = one | {name: scale * one[name] for name in ("side_force", "pull", "torque")}
    assert round_grip.least_closing(**more) == pytest.approx(
        scale * round_grip.least_closing(**one), rel=1e-7
    )
    tips = [
        round_grip.least_closing_against_tipping(f["side_force"], 30, 40, 1, f["pull"], 16)
        for f in (one, more)
    ]
    assert tips[1] == pytest.approx(scale * tips[0], rel=1e-12)


@given(st.floats(0.1, 0.9), st.floats(0, 20), st.floats(0, 900), st.floats(0, 90),
       st.floats(0, 1.4), st.floats(8, 90))  # fmt: skip
@settings(max_examples=40)
def test_every_direction_is_covered(mu, pull, torque, lever, half, height):
    """Second witness: every quarter degree, one by one; and no less than tipping asks for."""
    case = FORCES | {
        "friction": mu, "pull": pull, "torque": torque, "lever": lever, "half_angle": half,
        "height": height,
    }  # fmt: skip
    all_round = round_grip.least_closing(**case)
    one_by_one = max(
        round_grip.least_closing_at(math.radians(i / 4), **case) for i in range(0, 361, 3)
    )
    assert one_by_one <= all_round * (1 + 1e-6)
    assert all_round <= one_by_one * 1.001
    tips = round_grip.least_closing_against_tipping(5.0, lever, height, 1, pull, 16.0)
    assert all_round >= tips * (1 - 1e-9)


def test_by_hand_with_friction_alone():
    """No arc, no lever, no torque, straight along: F <= 2 mu' N, mu' = 0.5 / sqrt(1.25)."""
    least = round_grip.least_closing_at(math.pi / 2, 0.5, 10, 0, 0, 0, 16, 0.0, 40)
    assert least == pytest.approx(10 / (2 * 0.4472136), rel=1e-6)


def test_by_hand_straight_across():
    """F 10 at 30 over a ring 40 high: the weak half's N - 10 must stand 300 N mm on b / 2 = 20; and
    nothing else is asked of friction."""
    least = round_grip.least_closing_at(0.0, 0.5, 10, 0, 0, 30, 16, 0.4, 40)
    assert least == pytest.approx(25, rel=1e-6)


@pytest.mark.parametrize(("locked", "most"), [(1, 25.0), (2, 12.5)])
def test_tipping_by_hand(locked, most):
    """(N - 10) 20 = 300; both halves locked: (2 N - 10) 20 = 300."""
    assert round_grip.least_closing_against_tipping(10, 30, 40, locked) == pytest.approx(most)


def test_nothing_is_asked_of_a_ring_that_nobody_pushes():
    assert round_grip.least_closing(0.5, 0, 0, 0, 30, 16, 0.4, 40) == 0


# Pressure of the seat


@pytest.mark.parametrize("lever", [0, 8, 20, 40, 70])
@pytest.mark.parametrize("share", [0.02, 0.1, 0.25])
def test_pressure_under_a_push_across(lever, share):
    """Second witness: a bed of 20 000 strips, its plane found by bisection, no pull."""
    height, closing, force = 40.0, 500.0, 500 * share
    z = ((np.arange(20_000) + 0.5) / 20_000 - 0.5) * height

    def plane(slope):
        low, high = -1e4, 1e4
        for _ in range(80):
            middle = (low + high) / 2
            total = np.maximum(middle + slope * z, 0).mean()
            low, high = (middle, high) if total < 1 + share else (low, middle)
        return np.maximum(middle + slope * z, 0)

    steepness = [0.0, 100.0]
    for _ in range(60):
        middle = sum(steepness) / 2
        turned = (plane(middle) * z).mean() * closing
        steepness[int(turned > force * lever)] = middle
    top = plane(steepness[0]).max()
    found = round_grip.greatest_pressure(2.0, closing, force, lever, 0.6, height, lip_angle=9)
    assert found == pytest.approx(2.0 * top, rel=2e-3)


def test_a_contact_at_the_lips_presses_harder_on_one_edge():
    """Even pressure that leans by a third of B ends at 0 on one edge and at twice on the other."""
    free = round_grip.greatest_pressure(2.0, 500, 100, 0, 0.3, 40, lip_angle=1.4)
    capped = round_grip.greatest_pressure(2.0, 500, 100, 0, 0.3, 40, lip_angle=0.3)
    assert free == pytest.approx(2.0 * 1.2)
    assert 2.0 * 2 <= capped <= 2.0 * 2 * 1.2


def test_where_it_tips_the_pressure_has_no_end():
    assert round_grip.greatest_pressure(2.0, 100, 100, 50, 0.4, 40) == math.inf


@pytest.mark.parametrize("half", [0.05, 0.3, 0.8, 1.4])
def test_shear_of_the_lining_by_summing_strips(half):
    """Second witness: each strip resists the part of a shift that runs along it, G / t of it."""
    psi = (np.arange(20_000) + 0.5) / 20_000 * 2 * half - half
    strip = 16 * (2 * half / 20_000) * 40
    summed = float((2.4 / 3 / 3 * strip * np.cos(psi) ** 2).sum())
    assert round_grip.shear_stiffness(2.4, 16, half, 3, 40) == pytest.approx(summed, rel=1e-6)


@pytest.mark.parametrize(
    "wrong", [{"friction": 0}, {"friction": -0.5}, {"radius": 0}, {"height": 0}, {"pull": -1},
              {"side_force": math.nan}, {"torque": math.inf}, {"lever": -1}, {"half_angle": 1.6},
              {"half_angle": -0.1}, {"pull_arm": -1}],
)  # fmt: skip
def test_nonsense_is_refused(wrong):
    with pytest.raises(ValueError, match=r"must be|no more than a quarter"):
        round_grip.least_closing(**FORCES | wrong)


@pytest.mark.parametrize("locked", [0, 3])
def test_one_or_both_are_locked(locked):
    with pytest.raises(ValueError, match="one or both"):
        round_grip.least_closing_against_tipping(5, 30, 40, locked)


def test_an_angle_is_a_number():
    with pytest.raises(ValueError, match="angle"):
        round_grip.least_closing_at(math.nan, **FORCES)


def test_public_functions_say_what_they_are():
    for name, function in inspect.getmembers(round_grip, inspect.isfunction):
        if name.startswith("_") or function.__module__ != round_grip.__name__:
            continue
        assert "Source:" in (function.__doc__ or "") or "source" in (function.__doc__ or ""), name
        assert "in proportion" in function.__doc__.lower() or "arameters" in function.__doc__, name


# Splitting a batch over linings in one bore


def squeeze_of(thick):
    return 0.15 * (thick - 0.2)


@pytest.mark.parametrize(("thinnest", "gap"), [(31.5, 8.1), (24, 16), (18, 22), (16, 20), (10, 25)])
@pytest.mark.parametrize("degrees", [20, 28, 35])
def test_a_batch_is_split_over_the_fewest_linings(thinnest, gap, degrees):
    """Second witness: diameters on a grid of 0.25 mm, each with every lining of whole 0.1 mm that
    keeps the clearance, contact found by scanning the piece's outline; then the fewest groups by
    dynamic programming."""
    groups = liner.split_over_linings(
        21.5, 0.5, gap, thinnest, 36, math.radians(degrees), squeeze_of, 0.1
    )
    sizes = np.arange(round(thinnest / 0.25), 145) * 0.25
    psi = np.radians(np.arange(0, 91, 0.05))

    def touches(diameter, thick):
        lined, r = 21.5 - thick, diameter / 2
        e = lined - r + squeeze_of(thick)
        x, y = r * np.sin(psi), r * np.cos(psi) + e
        pressed = (np.hypot(x, y) > lined) & (y > gap / 2)
        ends = psi[-1] if pressed.all() else psi[np.argmin(pressed)]
        return math.degrees(ends) >= degrees - 0.1

    fewest = {len(sizes): 0}
    for low in range(len(sizes) - 1, -1, -1):
        best = math.inf
        for high in range(low, len(sizes)):
            thick = math.floor((21.5 - 0.5 - sizes[high] / 2) / 0.1 + 1e-9) * 0.1
            if not touches(sizes[low], thick) or not touches(sizes[high], thick):
                continue
            best = min(best, 1 + fewest[high + 1])
        fewest[low] = best
    if not groups:
        assert fewest[0] == math.inf
        return
    assert abs(len(groups) - fewest[0]) <= (1 if len(groups) > 2 else 0)
    assert groups[0][0] == thinnest
    assert groups[-1][1] == 36
    for (_, top, _), (bottom, _, _) in itertools.pairwise(groups):
        assert top == bottom
    for bottom, top, thick in groups:
        assert 21.5 - thick - top / 2 >= 0.5 - 1e-9
        assert touches(bottom, thick)


def test_lean_and_parabola_are_on_the_safe_side_of_the_lining():
    """Resultant of 1 + psi / B over +-B, by the sum, leans by B / 3; and no pressure of the lining
    is more gathered than a parabola: mean angle from the force that spreads a half."""
    half = 0.5
    psi = (np.arange(50_000) + 0.5) / 50_000 * 2 * half - half
    even = 1 + psi / half
    lean = math.atan((even @ np.sin(psi)) / (even @ np.cos(psi)))
    assert lean == pytest.approx(half * round_grip.LEANS, rel=0.02)
    place = (18.5, 16, 0.4, 8, 3, 40)
    spread = liner_force.spreading_force(*place, 1.0) / liner_force.closing_force(*place, 1.0)
    contact = liner.contact_half_angle(18.5, 16, 0.4, 8)
    assert 2 * spread >= round_grip.PARABOLA * contact
