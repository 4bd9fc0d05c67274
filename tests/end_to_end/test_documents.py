"""What README and DEVELOPERS.md say to type and to write works."""

import doctest
import inspect
import json
import re
import shlex
import shutil
import textwrap
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

import jigs
from jigs.cli import COMMANDS, main

ROOT = Path(__file__).parent.parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


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


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_in_the_table_exists(name):
    assert f"| `jigs {name} " in README
    assert CliRunner().invoke(main, [name, "--help"]).exit_code == 0


# Every command that the two files show, and how it is run here. What only this suite or its CI can
# run by being run, and what installs things of other people, is listed with the reason.

BY_BEING_RUN = {
    "python3 -m venv .venv && .venv/bin/pip install -e '.[dev]' && .venv/bin/pytest": ".ci/run",
    "python3 -m venv .venv && .venv/bin/pip install -e . "
    "&& .venv/bin/jigs build configs/allotment.yaml": "installed by .ci/run; built by `built`",
    "pytest": "this is it",
    ".ci/run": "this is run by it",
    "pytest -m slow": "run before a stop",
    "ruff format --check": ".ci/run",
    "ruff check": ".ci/run",
    "mypy --strict": ".ci/run; strict stands in pyproject.toml",
    "pip install .": "tests/test_wheel.py installs the wheel of this tree",
    "pip install": "the same with a name",
    "apt-get install libgl1 libegl1 libegl-mesa0 libgl1-mesa-dri": "Debian's; .ci/run",
    "apt-get install chromium": "Debian's",
}
FORMS = {
    "jigs new [FOLDER or FILE]": "new folder --yes --pieces bars",
    "jigs check JOB": "check {job}",
    "jigs explain JOB [NAME]": "explain {job} ring.gap",
    "jigs explain JOB riser.layers": "explain {riser} riser.layers",
    "jigs diff A B": "diff {job} {job}",
    "jigs measure JOB": "measure {job}",
    "jigs batch JOB --csv dibber=FILE": "batch {job} --csv dibber={csv}",
    "jigs built JOB RING": "built {job} ring",
    "jigs build JOB": "build {job}",
    "jigs pack JOB": "pack {job}",
    "jigs view JOB": "view {job} --exploded --section x --state closed --piece least",
    "jigs view --watch": "view {job} --watch",
    "jigs COMMAND --help": "check --help",
    "jigs new --example": "new third --example skittles",
}
"""What stands for a command in a table or in the text -> the command that it stands for."""
NAMES_ONLY = {"jigs", *(f"jigs {name}" for name in COMMANDS)}
"""`jigs diff`, where the text speaks of the command and shows none."""
MODULES = {
    "python -m jigs.reading.schema configs": "jigs.reading.schema",
    "python -m jigs.outputs.cad.renders": "jigs.outputs.cad.renders",
    "python tests/bench/bench.py": "tests/bench/bench.py",
    "python tests/trust/long_run.py --numbers 10000 --kernel 500 --files 5000 --kills 50 "
    "--seed 1 --keep FOLDER": "tests/trust/long_run.py",
    "python tests/trust/mutate.py [MODULE ...] [--each N | --rules N | --kind NAME [--quick]] "
    "--seed S": "tests/trust/mutate.py",
}


def commands_shown() -> list[str]:
    """Indented lines and code in the text that begin as a command does."""
    first = r"(?:jigs|python3?|pip|pytest|ruff|mypy|apt-get|\.ci/run)"
    shown = []
    for text in (README, DEVELOPERS):
        text = re.sub(r"```.*?```", "", text, flags=re.S)
        shown += re.findall(rf"^    ({first}(?: .*)?)$", text, re.M)
        shown += re.findall(rf"`({first}(?: [^`]*)?)`", text)
    return list(dict.fromkeys(shown))


@pytest.fixture
def desk(tmp_path, monkeypatch, allotment):
    """An empty folder. What takes long is only reached: its own tests run it."""
    from jigs import building
    from jigs.checks.numbers import number_findings
    from jigs.outputs.report import report

    data = report(allotment, number_findings(allotment))
    done = building.Built(
        Path("exports/allotment"), jigs.Verdict.MET, data, ("report.json",), False
    )
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(building, "build", lambda *_, **__: done)
    monkeypatch.setattr("jigs.outputs.pack.write_pack", lambda _, path: path)
    monkeypatch.setattr("jigs.outputs.cad.watching.watch", lambda *_: None)
    monkeypatch.setattr("jigs.outputs.cad.watching.show_once", lambda *_: None)
    return tmp_path


def test_every_command_that_is_shown_runs(desk):
    places = {"job": ROOT / "configs/allotment.yaml", "csv": ROOT / "configs/dibbers.csv",
              "riser": ROOT / "tests/shops/clamp_on_a_riser.yaml"}  # fmt: skip
    there = {name: path.as_posix() for name, path in places.items()}
    ran = 0
    for command in commands_shown():
        if command in BY_BEING_RUN or command in NAMES_ONLY or command in MODULES:
            continue
        words = shlex.split(FORMS.get(command, command.removeprefix("jigs ")).format(**there))
        if words == ["new", "my_shop"]:
            words.append("--yes")  # as one who presses Enter; the questions have tests of their own
        if words[0] == "diff" and "look/my_edit.yaml" in words:
            shutil.copy("look/allotment.yaml", "look/my_edit.yaml")
        done = CliRunner().invoke(main, words)
        assert done.exit_code == 0, f"{command}: {done.output}{done.exception!r}"
        ran += 1
    assert ran >= len(FORMS) + 5
    assert not set(FORMS) - set(commands_shown())
    assert not set(BY_BEING_RUN) - set(commands_shown())


def test_the_modules_that_are_run_by_name_are_there(tmp_path):
    """Schemas and pictures are written anew elsewhere in these tests, by the same functions."""
    from jigs.reading.schema import write

    assert [path.name for path in write(tmp_path)] == ["job.schema.json", "machine.schema.json"]
    for command, module in MODULES.items():
        assert command in DEVELOPERS
        path = ROOT / (module if module.endswith(".py") else f"{module.replace('.', '/')}.py")
        text = path.read_text(encoding="utf-8")
        assert 'if __name__ == "__main__":' in text
        compile(text, module, "exec")


def test_the_examples_of_the_public_names_run(monkeypatch):
    monkeypatch.chdir(ROOT)
    done = doctest.testmod(jigs, extraglobs={"jigs": jigs})
    assert (done.failed, done.attempted > 8) == (0, True)


def test_every_public_name_is_typed_and_told():
    assert set(jigs.__all__) <= set(dir(jigs))
    for name in jigs.__all__:
        public = getattr(jigs, name)
        if inspect.isfunction(public):
            assert "return" in public.__annotations__, name
            assert "Raises" in public.__doc__, name
        elif inspect.isclass(public):
            assert issubclass(public, jigs.JigsError)
            assert public.__doc__
    assert jigs.Verdict.NOT_MET == "not met"
    with pytest.raises(AttributeError, match="no attribute 'desing'"):
        _ = jigs.desing


def test_a_wrong_name_of_setup_or_jig_is_told(allotment):
    with pytest.raises(jigs.DesignError, match="did you mean 'marking'"):
        jigs.assembly(allotment, "markin")
    with pytest.raises(jigs.DesignError, match="did you mean 'clamp'"):
        jigs.parts(allotment, "clam")


# The worked example


def worked_example() -> str:
    start = DEVELOPERS.index("## A jig added, step by step")
    return DEVELOPERS[start : DEVELOPERS.index("\n## ", start + 3)]


def test_the_code_of_the_worked_example_is_that_of_the_riser():
    sources = [*(ROOT / "jigs/kinds/riser").glob("*.py"), ROOT / "jigs/setup_rules.py"]
    code = [" ".join(path.read_text(encoding="utf-8").split()) for path in sources]
    blocks = re.findall(r"```python\n(.*?)```", worked_example(), re.S)
    assert len(blocks) == 6
    for block in blocks:
        shown = " ".join(textwrap.dedent(block).split()).replace("@setup_rule", "@setup_rule")
        assert any(shown in text for text in code), block


def test_the_diff_of_the_worked_example_makes_the_job(tmp_path):
    """Taking its plus lines for its minus lines is all that the job with the riser differs by."""
    (block,) = re.findall(r"```diff\n(.*?)```", worked_example(), re.S)
    shop = ROOT / "tests/shops/clamp_on_a_riser.yaml"
    text = shop.read_text(encoding="utf-8")
    came = [line[1:] for line in block.splitlines() if line.startswith("+")]
    gone = [line[1:] for line in block.splitlines() if line.startswith("-")]
    for line in came:
        assert text.count(f"{line}\n") == 1
    before = text.replace(f"{came[0]}\n", "").replace(came[1], gone[0])
    (tmp_path / "before.yaml").write_text(before, encoding="utf-8")
    words = ["diff", str(tmp_path / "before.yaml"), str(shop)]
    (told,) = re.findall(r"```\n(newly met .*)\n```", worked_example())
    assert CliRunner().invoke(main, words).stdout.splitlines()[0] == told


def test_methods_that_the_worked_example_asks_for_are_those_without_a_body():
    from jigs.kinds import kinds
    from jigs.model.kind import Kind

    asked = re.search(r"the methods (.*?);", worked_example())[1]
    bare = {
        name for name, method in vars(Kind).items()
        if inspect.isfunction(method) and not name.startswith("_")
        and inspect.getsource(method).rstrip().endswith("...")
    }  # fmt: skip
    assert set(re.findall(r"`(\w+)`", asked)) == bare
    assert type(kinds()["riser"]).moves is not Kind.moves


def test_the_history_begins_with_the_version_of_pyproject():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    history = DEVELOPERS[DEVELOPERS.index("## Versions") :]
    versions = re.findall(r"^\* \*\*(\d+\.\d+\.\d+)\*\*", history, re.M)
    assert versions[0] == project["version"]
    numbers = [tuple(map(int, version.split("."))) for version in versions]
    assert numbers == sorted(numbers, reverse=True)


def test_the_keys_of_json_in_readme_are_those_that_are_printed(monkeypatch):
    monkeypatch.chdir(ROOT)
    table = README[README.index("These keys stay:") :]
    row = next(line for line in table.splitlines() if line.startswith("| `check`"))
    printed = json.loads(CliRunner().invoke(main, ["check", "configs/skittles.yaml",
                                                   "--json"]).stdout)  # fmt: skip
    keys = re.findall(r"`(\w+)`", row.split("|")[2])
    inner = {*printed["findings"][0], *next(iter(printed["numbers"].values()))}
    inner |= {key for finding in printed["findings"] for key in finding}
    inner |= {key for number in printed["numbers"].values() for key in number}
    unknown = set(keys) - set(printed) - inner - {"remedies", "build", "new", "report", "json"}
    assert unknown == set()


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
