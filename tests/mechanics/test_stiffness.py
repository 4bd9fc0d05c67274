"""Springs: published forms, matrices of springs solved by a linear algebra library, elements."""

import inspect
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jigs.mechanics import liner_force, plate, ring_wall
from jigs.mechanics import stiffness as sf

from .finite_elements import ASH_ALONG, ISOTROPIC, PlaneStress, bar, edge

SPRINGS = st.lists(st.floats(1, 1e6), min_size=1, max_size=6)


@given(SPRINGS)
def test_series_against_a_chain_of_springs(springs):
    """Second witness: stiffness matrix of the chain, 1 N at its end, solved."""
    matrix = np.zeros((len(springs), len(springs)))
    for i, k in enumerate(springs):
        matrix[i, i] += k
        if i:
            matrix[i - 1, i - 1] += k
            matrix[i, i - 1] = matrix[i - 1, i] = -k
    load = np.zeros(len(springs))
    load[-1] = 1.0
    assert sf.series(*springs) == pytest.approx(1 / np.linalg.solve(matrix, load)[-1], rel=1e-6)


def test_members_of_a_bolted_joint():
    """Shigley 9th ed., eq. 8-18: 1/k_m = 1/k_1 + 1/k_2 + 1/k_3; by hand for 2, 3 and 6: 1."""
    assert sf.series(2, 3, 6) == pytest.approx(1.0)
    assert sf.parallel(2, 3, 6) == pytest.approx(11.0)
    assert sf.series(math.inf) == math.inf
    assert sf.series(5, math.inf) == pytest.approx(5)
    assert sf.deflection(10, 5) == 2


@pytest.mark.parametrize(
    ("length", "material"),
    [(150, ISOTROPIC), (45, ISOTROPIC), (45, ASH_ALONG), (80, ASH_ALONG)],
)
def test_stick_out_against_plane_stress(length, material):
    """38 deep, clamped in its jaw; ash by ratios from memory. The clamp stops the warp of shear, so
    the elements are up to 7 % stiffer: the beam is the safe one."""
    deep = 38.0
    body = PlaneStress(bar(length, deep, along=60, across=24), material)
    end = edge(body.mesh, lambda x, y: x > length - 1e-6)
    body.push(end, lambda x, y: (0 * x, 1 + 0 * y), 1.0)
    body.solve(body.basis.get_dofs(edge(body.mesh, lambda x, y: x < 1e-6)).all())
    tip = np.argmin(np.hypot(body.mesh.p[0] - length, body.mesh.p[1] - deep / 2))
    found = sf.cantilever(length, material.along, deep**3 / 12, material.shear, deep)
    share = found * body.displacement[body.basis.nodal_dofs[1, tip]]
    assert 0.93 < share < 1.02


def test_shear_is_most_of_a_short_stick_out_of_wood():
    """45 of 38 ash: bending alone would be more than three times too stiff."""
    whole = sf.cantilever(45, 12000, 38**4 / 12, 924, 38**2)
    bending = 3 * 12000 * 38**4 / 12 / 45**3
    assert bending > 3 * whole


def test_nothing_sticks_out_nothing_gives():
    assert sf.cantilever(0, 12000, 100, 900, 100) == math.inf


def test_rod_and_beam_by_hand():
    """M8 (36.6 mm2, ISO 898-1) of steel over 100 mm; 48 E I / l^3 of 20 x 10 over 200 mm."""
    assert sf.rod(205000, 36.6, 100) == pytest.approx(75030)
    assert sf.beam_in_middle(200, 10000, 20 * 10**3 / 12) == pytest.approx(100.0)


@given(st.floats(10, 1e5), st.floats(5, 80), st.floats(0, 200))
def test_bed_that_shifts_and_tilts(stiffness, height, lever):
    """Second witness: 400 small springs over the height, pushed at a lever, solved as 2 x 2."""
    at = (np.arange(400) + 0.5) / 400 * height - height / 2
    each = stiffness / 400
    matrix = np.array([[400 * each, each * at.sum()], [each * at.sum(), each * (at**2).sum()]])
    shift, tilt = np.linalg.solve(matrix, [1.0, lever])
    found = sf.at_lever(stiffness, sf.tilting(stiffness, height), lever)
    assert found == pytest.approx(1 / (shift + tilt * lever), rel=1e-4)
    assert sf.through_ring(stiffness, height, lever) == pytest.approx(found)
    assert sf.through_ring(stiffness, height, lever, 50.0) == pytest.approx(1 / (1 / found + 0.02))


@given(st.floats(1, 1e5), st.floats(10, 100), st.floats(10, 200))
def test_spring_felt_at_another_height(stiffness, at, point):
    """Second witness: force at z makes F z / a in the spring; the lever turns by its give / a."""
    give = (1.0 * point / at) / stiffness
    assert 1 / sf.seen_from(stiffness, at, point) == pytest.approx(give / at * point)


@given(st.floats(10, 1e5), st.floats(10, 1e5), st.floats(10, 1e5), st.floats(20, 150))
def test_piece_in_a_jaw(piece, face, bolts, jaw):
    """Second witness: three coordinates (face, bolts' end, tilt and bend of the piece) solved.

    Unknowns: jaw's face u1, drawbolts' end u2, cutter w; the piece bends by w - u1 z / a.
    """
    lever = 180.0 / jaw
    matrix = np.array(
        [
            [piece * lever**2 + face, -face, -piece * lever],
            [-face, face + bolts, 0.0],
            [-piece * lever, 0.0, piece],
        ]
    )
    give = np.linalg.solve(matrix, [0.0, 0.0, 1.0])[2]
    assert sf.through_jaw(piece, jaw, 180.0, face, bolts) == pytest.approx(1 / give, rel=1e-6)


def test_everything_in_series_is_softer_than_its_softest():
    piece = sf.cantilever(45, 12000, 38**4 / 12, 924, 38**2)
    bolts = sf.parallel(sf.rod(205000, 36.6, 100), sf.rod(205000, 36.6, 100))
    rib = sf.seen_from(4000, 60, 110)
    assert sf.series(piece, bolts, rib) < min(piece, bolts, rib)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: sf.series(), "no springs"),
        (lambda: sf.parallel(), "no springs"),
        (lambda: sf.series(3, 0), "above 0"),
        (lambda: sf.parallel(3, -1), "above 0"),
        (lambda: sf.series(math.nan), "above 0"),
        (lambda: sf.deflection(1, 0), "above 0"),
        (lambda: sf.rod(205000, 0, 100), "above 0"),
        (lambda: sf.cantilever(-1, 1, 1, 1, 1), "above 0"),
        (lambda: sf.deflection(math.nan, 1), "not a number"),
        (lambda: sf.at_lever(1, 1, math.nan), "not a number"),
        (lambda: sf.seen_from(1, 0, 1), "pivot"),
        (lambda: sf.seen_from(1, 1, 0), "pivot"),
    ],
)
def test_bad_input_names_the_limit(call, says):
    with pytest.raises(ValueError, match=says):
        call()


SAMPLES = {
    "hardness": 50, "length": 50, "width": 90, "thickness": 10, "young": 3, "shape": 1,
    "lined_radius": 18, "piece_radius": 17, "compression": 0.4, "gap": 7, "liner": 3,
    "height": 40, "modulus": 4, "least_young": 2, "most_young": 4, "friction": 0.4, "force": 100,
    "torque": 1, "axial": 1, "torque_capacity_there": 5, "stiffness": 100, "bolt_x": 30,
    "spreading": 5, "centroid_radius": 20, "bore_radius": 20, "wall": 15, "moment": 10, "pull": 1,
    "inner_radius": 5, "outer_radius": 8, "pressure": 1, "along_edge": 1, "into_edge": 2,
    "along_span": 1, "across_span": 2, "outer_diameter": 20, "hole": 8, "depth": 30,
    "arch_width": 40, "arch_radius": 45, "bolt_y": 60, "rib_y": 10, "contact_half": 10,
    "arm": 50, "above": 40, "below": 40, "across_to_along": 1, "strength": 20, "lever": 50,
    "dado": 6, "overhang": 50, "back": 50, "at": 20, "lower": 10, "upper": 30, "shear": 900,
    "area": 100, "span": 50, "tilting_stiffness": 5, "point": 30, "ring_height": 40, "piece": 50,
    "jaw_height": 20, "cutter_height": 40,
}  # fmt: skip
COUNTS = {"sheets": 2, "ribs": 2, "tongues": 2, "grain_along_span": True, "stiff_bolts": True}


def functions():
    """Every public function of the modules that this group of tests covers."""
    for module in (liner_force, ring_wall, plate, sf):
        for name, function in inspect.getmembers(module, inspect.isfunction):
            own = function.__module__ == module.__name__ and not name.startswith("_")
            if own and name not in ("series", "parallel"):
                yield pytest.param(function, id=f"{module.__name__.split('.')[-1]}.{name}")


@pytest.mark.parametrize("function", list(functions()))
def test_not_a_number_never_gets_through(function):
    """Each input in turn is nan: refused, never passed on. Each docstring names its source."""
    parameters = inspect.signature(function).parameters.values()
    names = [p.name for p in parameters if p.kind is not inspect.Parameter.VAR_POSITIONAL]
    sample = {name: COUNTS.get(name, SAMPLES.get(name)) for name in names}
    more = (75.0,) if function in (sf.through_jaw, sf.through_ring) else ()

    def call(**inputs):
        return function(*inputs.values(), *more) if more else function(**inputs)

    assert not np.isnan(call(**sample)).any()
    for name in names:
        if name not in COUNTS:
            with pytest.raises(ValueError, match=r"[a-z]{3}"):
                call(**{**sample, name: math.nan})
    assert "ource:" in function.__doc__ or "and source: as" in function.__doc__


@pytest.mark.parametrize("span", [20.0, 117.0, 400.0])
@pytest.mark.parametrize(("wide", "thick"), [(240, 17.4), (60, 30), (15, 3)])
def test_turned_end_against_a_chain_of_beam_elements(span, wide, thick):
    """Second witness: Hermite elements between two supports, 1 N mm at the first one, solved."""
    young, moment, parts = 7640.0, wide * thick**3 / 12, 8
    length = span / parts
    ei = young * moment / length**3
    a, b, c = 6 * length, 4 * length**2, 2 * length**2
    one = ei * np.array([[12, a, -12, a], [a, b, -a, c], [-12, -a, 12, -a], [a, c, -a, b]])
    whole = np.zeros((2 * parts + 2, 2 * parts + 2))
    for i in range(parts):
        whole[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += one
    free = [i for i in range(2 * parts + 2) if i not in (0, 2 * parts)]
    load = np.zeros(len(free))
    load[0] = 1.0
    turned = np.linalg.solve(whole[np.ix_(free, free)], load)[0]
    assert sf.turned_at_end(span, young, moment) == pytest.approx(1 / turned, rel=1e-6)


@pytest.mark.parametrize("bad", [(0, 1, 1), (1, -1, 1), (1, 1, math.nan)])
def test_turned_end_refuses_nonsense(bad):
    with pytest.raises(ValueError, match="above 0"):
        sf.turned_at_end(*bad)
