"""Advice is tried before it is given: applied, it makes the check met and says what it breaks."""

import random

import pytest

from jigs.checks.advice import least_change, met_checks
from jigs.checks.numbers import number_findings
from jigs.checks.run import check_all
from jigs.errors import JigsError
from jigs.model.finding import Verdict
from jigs.sizing import design

SEED = 20261125
SHIPPED = ("allotment", "stool", "skittles")


def movable(d):
    """Numbers of the jigs that a user may set, by qualified name."""
    return [
        (f"{jig.name}.{name}", jig.n[name].value)
        for _, jig in d.jigs()
        for name, card in jig.kind.rules.cards.items()
        if card.settable and isinstance(jig.n[name].value, float) and jig.n[name].value > 0
    ]


def failing_jobs(jobs, count):
    """Shipped jobs with one to three numbers moved by up to half or double, that then fail."""
    rng = random.Random(SEED)
    made = 0
    while made < count:
        job = rng.choice(jobs)
        picked = rng.sample(movable(job), rng.randint(1, 3))
        changes = {name: round(value * 2 ** rng.uniform(-1, 1), 2) for name, value in picked}
        try:
            d = design(job.job, changes)
            found = check_all(d)
        except JigsError:
            continue
        if any(f.verdict is Verdict.NOT_MET for f in found):
            made += 1
            yield d, found


def proves(d, found):
    """Every remedy of a design, applied; how many there were."""
    before = met_checks(number_findings(d))
    tried = 0
    for finding in found:
        if finding.verdict is not Verdict.NOT_MET:
            assert not finding.remedies
            continue
        for remedy in finding.remedies:
            value = int(remedy.value) if isinstance(d.numbers()[remedy.number].value, int) else None
            again = design(d.job, {**d.changes, remedy.number: value or remedy.value})
            findings = number_findings(again)
            same = [f for f in findings if (f.of, f.check) == (finding.of, finding.check)]
            assert [f.verdict for f in same] == [Verdict.MET], (finding.check, remedy)
            broken = before - met_checks(findings)
            assert sorted(remedy.breaks) == sorted(f"{of}: {check}" for of, check in broken)
            tried += 1
    return tried


def test_advice_on_random_failing_jobs(designs):
    told = [proves(d, found) for d, found in failing_jobs([designs(n) for n in SHIPPED], 8)]
    assert sum(told) >= 6


@pytest.mark.slow
def test_advice_on_two_hundred_random_failing_jobs(designs):
    told = [proves(d, found) for d, found in failing_jobs([designs(n) for n in SHIPPED], 200)]
    assert len(told) == 200
    assert sum(told) >= 200


@pytest.mark.parametrize("aim", [3.25, 17.0, 29.96])
def test_the_least_change_is_the_nearest_step(aim):
    """By walking every step instead of halving."""
    now, step = 3.1, 0.1
    walked = next(v for i in range(1, 1000) if (v := round(now + i * step, 9)) >= aim)
    found = least_change(now, step, lambda value: value >= aim)
    if aim > 3 * now:
        assert found is None or found == pytest.approx(walked)
    else:
        assert found == pytest.approx(walked)


def test_no_change_is_made_up_where_none_helps():
    assert least_change(5.0, -0.1, lambda value: False) is None
    assert least_change(5.0, -0.1, lambda value: value <= 0) is None
    assert least_change(0.3, -0.1, lambda value: value <= 0) is None


def test_a_lighter_pass_is_advised_where_the_piece_gives_too_much(designs):
    """Deflection goes with the force, and the force with the depth of a pass."""
    d = design(designs("allotment").job, {"mark.pass_depth": 1.2})
    (gives,) = (f for f in check_all(d) if f.check.endswith("give little under the cut")
                and f.verdict is Verdict.NOT_MET)  # fmt: skip
    lighter = next(r for r in gives.remedies if r.number == "mark.pass_depth")
    assert 0 < lighter.value < 1.2
    again = design(d.job, {**d.changes, lighter.number: lighter.value})
    assert [f.verdict for f in check_all(again) if f.check == gives.check] == [Verdict.MET]
