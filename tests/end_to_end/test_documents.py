"""What README says to type and to write works."""

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from jigs.cli import main

ROOT = Path(__file__).parent.parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_two_commands_stand_as_the_owner_wants_them():
    commands = re.findall(r"^    (python3 -m venv .*)$", README, re.M)
    assert commands == [
        "python3 -m venv .venv && .venv/bin/pip install -e . "
        "&& .venv/bin/jigs build configs/allotment.yaml",
        "python3 -m venv .venv && .venv/bin/pip install -e '.[dev]' && .venv/bin/pytest",
    ]


def test_the_job_stands_in_one_paragraph_at_the_top():
    title, first = README.split("\n\n")[:2]
    assert title == "# jigs"
    assert "ends" in first
    assert "CNC router" in first


def test_the_lines_of_python_run(monkeypatch, capsys):
    block = re.search(r"## In Python\n\n```python\n(.*?)```", README, re.S)[1]
    assert len([line for line in block.splitlines() if line]) == 6
    monkeypatch.chdir(ROOT)
    names = {}
    exec(compile(block, "README.md", "exec"), names)
    assert capsys.readouterr().out == "21.5\n"
    assert {str(f.verdict) for f in names["findings"]} == {"met"}
    assert names["tree"].name == "marking"


@pytest.mark.parametrize("name", ["build", "check", "explain", "pack", "view"])
def test_every_command_in_the_table_exists(name):
    assert f"`jigs {name} " in README
    assert CliRunner().invoke(main, [name, "--help"]).exit_code == 0


def test_pictures_named_in_readme_are_there():
    for path in re.findall(r"!\[[^]]*\]\(([^)]+)\)", README):
        assert (ROOT / path).stat().st_size < 400_000


def test_explain_says_rule_inputs_and_source(monkeypatch):
    monkeypatch.chdir(ROOT)
    out = CliRunner().invoke(main, shlex.split("explain configs/allotment.yaml ring.gap")).output
    assert out.startswith("ring.gap = 8.1 mm")
    assert "by rule; source: derived" in out
    assert "grip_diameter_least" in out
    given = CliRunner().invoke(
        main, shlex.split("explain configs/allotment.yaml grip_diameter_least")
    )
    assert "given in allotment.yaml:17" in given.output


def test_explain_of_an_unknown_number_names_the_nearest(monkeypatch):
    monkeypatch.chdir(ROOT)
    done = CliRunner().invoke(main, ["explain", "configs/allotment.yaml", "bore_radios"])
    assert done.exit_code == 2
    assert "bore_radius" in done.output
