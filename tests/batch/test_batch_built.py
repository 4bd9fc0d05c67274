"""`jigs built`: the dimensions of a jig, pasted into another job, are the same jig again."""

from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from jigs.batch.freezing import dimensions, frozen, made_numbers
from jigs.cli import main
from jigs.reading.job import read_job
from jigs.sizing import design

ROOT = Path(__file__).parents[2]
JIGS = [("allotment", "ring"), ("allotment", "gauge"), ("allotment", "clamp"),
        ("stool", "clamp"), ("stool", "ring"), ("skittles", "gauge")]  # fmt: skip


def section(name, jig):
    result = CliRunner().invoke(main, ["built", str(ROOT / f"configs/{name}.yaml"), jig])
    assert result.exit_code == 0, result.output
    return result.output


def pasted(name, jig, text, tmp_path):
    """The shipped job with the section below the jig."""
    job = (ROOT / f"configs/{name}.yaml").read_text(encoding="utf-8")
    folder = (ROOT / "configs/machines").as_posix()
    job = job.replace("machine: machines/", f"machine: {folder}/")
    head = f"  {jig}:\n"
    assert job.count(head) == 1
    indented = "".join(f"    {line}\n" for line in text.splitlines())
    path = tmp_path / "job.yaml"
    path.write_text(job.replace(head, head + indented), encoding="utf-8")
    return path


@pytest.mark.parametrize(("name", "jig"), JIGS)
def test_pasted_in_it_is_the_same_jig(name, jig, tmp_path, designs):
    d = design(read_job(pasted(name, jig, section(name, jig), tmp_path)))
    now = next(j for _, j in d.jigs() if j.name == jig)
    was = next(j for _, j in designs(name).jigs() if j.name == jig)
    assert now.parts.keys() == was.parts.keys()
    for part in was.parts:
        a, b = now.parts[part], was.parts[part]
        assert (a.quantity, [c.name for c in a.cuts]) == (b.quantity, [c.name for c in b.cuts])
        assert all(
            x.outline.bounds == pytest.approx(y.outline.bounds, abs=1e-3)
            for x, y in zip(a.cuts, b.cuts, strict=True)
        )


@pytest.mark.parametrize(("name", "jig"), JIGS)
def test_every_line_says_what_it_is(name, jig):
    text = section(name, jig)
    assert yaml.safe_load(text)["built"]
    assert all("  # " in line for line in text.splitlines()[1:])


def test_lengths_of_a_job_in_inches_carry_their_unit():
    built = yaml.safe_load(section("stool", "ring"))["built"]
    assert built["bore_radius"].endswith(" mm")
    assert built["liner_thickness"] == "3.175 mm"


def test_the_lining_is_asked_for_and_the_bare_rest_is_not(allotment):
    built = yaml.safe_load(section("allotment", "ring"))["built"]
    assert (built["bore_radius"], built["gap"], built["liner_thickness"]) == (21.5, 8.1, 3)
    assert "lined_radius" not in built  # bore less lining
    assert "least_gap_left" not in built  # no dimension, a consequence


def test_a_built_lining_stands_as_measured_on_the_jig(tmp_path):
    text = "built: {bore_radius: 21.4, gap: 7.2, liner_thickness: 2.9}"
    d = design(read_job(pasted("allotment", "ring", text, tmp_path)))
    n = d.numbers()["ring.liner_thickness"]
    assert (n.value, n.standing, n.instead_of) == (2.9, "built", 3.0)
    assert n.where.startswith("job.yaml:")
    assert d.numbers()["ring.lined_radius"].value == pytest.approx(18.5)


def test_an_unknown_jig_or_number_is_said(tmp_path):
    result = CliRunner().invoke(main, ["built", str(ROOT / "configs/allotment.yaml"), "rign"])
    assert result.exit_code == 2
    assert "did you mean 'ring'" in result.output
    path = pasted("allotment", "gauge", "built: {liner_thickness: 2.9}", tmp_path)
    result = CliRunner().invoke(main, ["check", str(path)])
    assert result.exit_code == 2
    assert "unknown key 'liner_thickness'" in result.output


def test_frozen_jigs_have_the_same_parts_for_any_piece(allotment):
    """The piece half a millimetre thicker, 2 mm longer, the jigs as they are: the same parts."""
    from dataclasses import replace

    from jigs.batch.serving import nominal_sizes, piece_between

    setup = allotment.setups[0]
    kept = {**frozen(setup), "dibber.grip_diameter_nominal": 33.75, "dibber.length_nominal": 230.0}
    sizes = {**nominal_sizes(setup.piece), "grip_diameter": 34.25, "length": 232.0}
    piece = piece_between(setup.piece, sizes, sizes)
    model = allotment.job.model.model_copy(
        update={"pieces": {**allotment.job.model.pieces, "dibber": piece}}
    )
    other = design(replace(allotment.job, model=model), kept)
    for was, now in zip(setup.jigs, other.setups[0].jigs, strict=True):
        for name in dimensions(was):
            a, b = was.n[name].value, now.n[name].value
            assert b == (pytest.approx(a) if isinstance(a, float | tuple) else a), name


def test_dimensions_are_made_numbers(allotment):
    for _, jig in allotment.jigs():
        assert set(dimensions(jig)) <= set(made_numbers(jig)) <= set(jig.kind.rules.cards)
