"""What the hand must press and what the overhang gives; worked by hand from the shipped jobs."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from jigs.errors import DesignError
from jigs.model.finding import Finding, Verdict
from jigs.model.number import Standing
from jigs.reading.job import read_job
from jigs.sizing import Design, Jig, design

ROOT = Path(__file__).parents[2]
JOBS = ("allotment", "stool", "skittles")
HAND = "one hand keeps the gauge down"
GLUE = "slices stay together at the overhang"
LAYERS = "layers stay together at the overhang"
DOWELS = "dowels alone carry the overhang"
BENDING = "height error from bending"


def gauge_of(d: Design) -> Jig:
    return next(jig for _, jig in d.jigs() if jig.kind.name == "height_gauge")


def findings(jig: Jig) -> dict[str, Finding]:
    return {f.check: f for f in jig.kind.own_checks(jig.n)}


def changed(d: Design, **values: float) -> Jig:
    name = gauge_of(d).name
    return gauge_of(design(d.job, {f"{name}.{key}": value for key, value in values.items()}))


def other(job: str, old: str, new: str, tmp_path: Path) -> Jig:
    """The gauge of a shipped job with one text in its file changed."""
    text = (ROOT / f"configs/{job}.yaml").read_text()
    assert old in text
    text = text.replace("machine: machines/", f"machine: {ROOT}/configs/machines/")
    path = tmp_path / "job.yaml"
    path.write_text(text.replace(old, new))
    return gauge_of(design(read_job(path)))


# The allotment's gauge by hand: section 95 x 45 mm with an arch of 35 mm chord on 61 mm radius and
# a groove of 10 x 8 mm, 13 slices of 17.6 mm, 73 mm over the edge; axis 52.555 mm before the table.

AREA = 95 * 45 - (61**2 * math.asin(17.5 / 61) - 17.5 * math.sqrt(61**2 - 17.5**2)) - 10 * 8
LENGTH, BEARING, REACH, HAND_AT = 228.8, 155.8, 52.555, 45.0
WEIGHT = AREA * LENGTH * 680e-9 * 9.81
PUSH = 10 + math.pi / 4 * 36**2 * 231 * 0.60 * 1.12e-6 * 9.81  # ash, 36 mm thick, 231 mm long
HAND_NEEDED = (PUSH * (BEARING + REACH) - WEIGHT * LENGTH / 2) / (BEARING - HAND_AT)


def test_weight_and_push_of_the_allotment(allotment):
    n = gauge_of(allotment).n
    assert n.gauge_weight == pytest.approx(WEIGHT, rel=1e-6)
    assert n.push == pytest.approx(PUSH, rel=1e-6)
    assert n.push_reach == pytest.approx(REACH, abs=1e-6)
    assert 0.5 < n.gauge_weight / 9.81 < 0.8, "a bar of plywood as long as a hand weighs a pound"


def test_a_few_newtons_lift_it_and_a_hand_holds_it(allotment):
    n = gauge_of(allotment).n
    assert n.rocking_push == pytest.approx(WEIGHT * LENGTH / 2 / (BEARING + REACH), rel=1e-6)
    assert n.hand_needed == pytest.approx(HAND_NEEDED, rel=1e-6)
    assert 3 < n.rocking_push < 4
    assert 15 < n.hand_needed < 16


def test_bending_of_the_allotment_by_strips(allotment):
    """The section by strips; birch plywood has 600 and 180 MPa square to the sheet."""
    strips = 20_000
    moment = first = area = 0.0
    for i in range(strips):
        z = (i + 0.5) * 45 / strips
        centre = math.sqrt(61**2 - 17.5**2)  # of the arch, below the flats
        half = math.sqrt(max(0.0, 61**2 - (z + centre) ** 2))
        width = 85 - 2 * min(half, 17.5)  # the groove counts as cut right through
        area += width * 45 / strips
        first += width * z * 45 / strips
        moment += width * z * z * 45 / strips
    moment -= first**2 / area
    arm, back = REACH + HAND_AT, BEARING - HAND_AT
    bends = PUSH * arm**2 * (arm + back) / (3 * 600 * moment)
    shears = PUSH * arm * (1 + arm / back) / (5 / 6 * 180 * AREA)
    assert gauge_of(allotment).n.bending_rise == pytest.approx(bends + shears, rel=1e-4)
    assert 0.15 < shears / bends < 0.2, "a short thick arm: shear counts"

    n = gauge_of(allotment).n
    low = first / area
    stress = PUSH * arm * max(low, 45 - low) / moment
    found = findings(gauge_of(allotment))[GLUE]
    assert found.value == pytest.approx(1.0 / stress, rel=1e-4)
    assert n.bar_strength == 1.0, "the glue line, not the 1.5 MPa of the sheet"


def test_dowels_alone_would_do(allotment):
    """Two of 10 mm, beech: 14 900 psi on average, 16 % scatter, one piece in twenty."""
    sure = 14_900 * 6.894757e-3 * (1 - 1.645 * 0.16)
    stress = PUSH * (REACH + HAND_AT) / (2 * math.pi * 10**3 / 32)
    assert findings(gauge_of(allotment))[DOWELS].value == pytest.approx(sure / stress, rel=1e-4)


@pytest.mark.parametrize("job", JOBS)
def test_shipped_gauges_hold(designs, job):
    gauge = gauge_of(designs(job))
    found = findings(gauge)
    wanted = {HAND, BENDING, LAYERS} if job == "skittles" else {HAND, BENDING, GLUE, DOWELS}
    assert wanted <= set(found)
    assert {DOWELS, GLUE, LAYERS} & set(found) == wanted - {HAND, BENDING}
    for check in wanted:
        assert found[check].verdict is Verdict.MET, check
        assert found[check].equation
        assert found[check].assumes
        for name in found[check].reads:
            assert gauge.n[name].unit or gauge.n[name].meaning


def test_printed_bar_by_hand(skittles):
    """75 x 45 mm of PETG, half filled: 2 GPa and 25 MPa across the layers, halved; 1270 kg/m3."""
    n = gauge_of(skittles).n
    assert n.bar_stiffness == 1000
    assert n.bar_strength == 12.5
    assert n.gauge_weight == pytest.approx(
        gauge_of(skittles).parts["bar"].outline.area * 175 * 635e-9 * 9.81, rel=1e-6
    )
    assert any("creeps" in line for line in findings(gauge_of(skittles))[BENDING].assumes)
    assert any("creeps" in line for line in findings(gauge_of(skittles))[LAYERS].assumes)


@pytest.fixture
def skittles(designs):
    return designs("skittles")


@pytest.mark.parametrize("name", ["push", "hand_force", "glue_tension", "bar_stiffness",
                                  "bar_strength", "rise_allowed", "print_fill"])  # fmt: skip
def test_what_is_assumed_says_so_and_can_be_set(allotment, name):
    n = gauge_of(allotment).n
    assert n[name].standing is Standing.ASSUMED
    assert n[name].source
    assert changed(allotment, **{name: 0.9}).n[name].value == 0.9


@pytest.mark.parametrize(
    ("values", "fails"),
    [
        ({"push": 22.0}, HAND),
        ({"hand_force": 15.0}, HAND),
        ({"glue_tension": 0.05}, GLUE),
        ({"bar_strength": 0.05}, GLUE),
        ({"dowel_diameter": 4.0}, DOWELS),
        ({"bar_stiffness": 200.0}, BENDING),
        ({"bar_shear_stiffness": 20.0}, BENDING),
        ({"rise_allowed": 0.02}, BENDING),
    ],
)
def test_each_check_can_fail(allotment, values, fails):
    found = findings(changed(allotment, **values))
    asked = (HAND, GLUE, DOWELS, BENDING)
    assert [check for check in asked if found[check].verdict is Verdict.NOT_MET] == [fails]


@pytest.mark.parametrize(
    ("bad", "lever"),
    [
        ({"push": 22.0}, {"slices": 18}),
        ({"push": 22.0}, {"bar_height": 90.0}),
        ({"glue_tension": 0.05}, {"bar_height": 60.0}),
        ({"dowel_diameter": 4.0}, {"dowel_diameter": 6.0}),
        ({"bar_stiffness": 200.0}, {"bar_height": 55.0}),
    ],
)
def test_the_levers_cure_it(allotment, bad, lever):
    (fails,) = [f for f in findings(changed(allotment, **bad)).values()
                if f.verdict is Verdict.NOT_MET]  # fmt: skip
    assert f"+{next(iter(lever))}" in fails.levers
    cured = findings(changed(allotment, **{**bad, **lever}))[fails.check]
    assert cured.verdict is Verdict.MET


def test_a_heavy_piece_pushes_harder(tmp_path):
    plain = other("allotment", "wood: ash", "wood: ash", tmp_path).n
    heavy = other("allotment", "wood: ash", "wood: lignum vitae", tmp_path).n
    assert heavy.piece_weight == pytest.approx(plain.piece_weight * 1000 / (0.60 * 1120))
    assert heavy.push > plain.push


def test_soft_board_bends_too_far_and_says_so(tmp_path):
    gauge = other("allotment", "material: birch plywood", "material: MDF", tmp_path)
    found = findings(gauge)
    assert gauge.n.bar_strength == 0.55, "MDF comes apart before the glue does"
    assert found[BENDING].verdict is Verdict.NOT_MET
    assert found[GLUE].verdict is Verdict.MET


@pytest.mark.parametrize(
    ("job", "old", "new", "checks", "told"),
    [
        ("allotment", "material: birch plywood", "material: bamboo board", (BENDING, GLUE),
         "no bamboo board"),
        ("skittles", "    made: print\n  c", "    made: print\n    print_material: TPU\n  c",
         (BENDING, LAYERS), "no TPU"),
    ],
)  # fmt: skip
def test_what_the_tables_do_not_have_is_not_judged(job, old, new, checks, told, tmp_path):
    gauge = other(job, old, new, tmp_path)
    found = findings(gauge)
    for check in checks:
        assert found[check].verdict is Verdict.NOT_JUDGED
        assert told in found[check].why
    assert found[HAND].value == pytest.approx(gauge.n.hand_needed), "a light bar is taken"
    assert found[HAND].value > 10


def test_known_stiffness_and_strength_are_judged_for_an_unknown_board(tmp_path):
    setting = ("    kind: height_gauge\n    set: {bar_stiffness: 700, bar_shear_stiffness: 150, "
               "bar_strength: 1.2}\n")  # fmt: skip
    text = (ROOT / "configs/allotment.yaml").read_text()
    text = text.replace("machine: machines/", f"machine: {ROOT}/configs/machines/")
    text = text.replace("material: birch plywood", "material: bamboo board")
    path = tmp_path / "job.yaml"
    path.write_text(text.replace("    kind: height_gauge\n", setting))
    found = findings(gauge_of(design(read_job(path))))
    assert found[BENDING].verdict is Verdict.MET
    assert found[GLUE].verdict is Verdict.MET


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"push": 0.0}, "push is 0 and must be above 0"),
        ({"push": -3.0}, "push is -3"),
        ({"glue_tension": -1.0}, "glue_tension is -1"),
        ({"bar_density": 0.0}, "bar_density is 0"),
        ({"bar_stiffness": -600.0}, "bar_stiffness is -600"),
        ({"bar_shear_stiffness": -1.0}, "bar_shear_stiffness is -1"),
        ({"hand_at": 160.0}, "hand_at is behind the bar"),
    ],
)
def test_nonsense_is_refused_with_its_name(allotment, values, told):
    with pytest.raises(DesignError, match=told) as refused:
        changed(allotment, **values)
    assert refused.value.remedy


@pytest.mark.parametrize("fill", [0.0, -0.5, 1.2])
def test_a_share_filled_is_a_share(skittles, fill):
    with pytest.raises(DesignError, match="a share of 1"):
        changed(skittles, print_fill=fill)
