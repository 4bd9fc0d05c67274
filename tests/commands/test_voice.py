"""One voice: JSON alone on stdout, help with examples that are understood, styles on terminals."""

from __future__ import annotations

import io
import json
import re
import shlex
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from jigs.checking import check
from jigs.cli import COMMANDS, main
from jigs.commands.voice import Command, Voice, console

ROOT = Path(__file__).parents[2]
JOB = "configs/allotment.yaml"


@pytest.fixture(autouse=True)
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


def jigs(*words: str):
    return CliRunner().invoke(main, list(words))


def commands() -> list[tuple[str, Command]]:
    found = [(name, main.get_command(click.Context(main), name)) for name in COMMANDS]
    return [(name, command) for name, command in found if isinstance(command, Command)]


def test_every_command_is_listed_in_the_order_of_the_work():
    assert [name for name, _ in commands()] == list(COMMANDS)
    shown = jigs("--help").output
    assert [line.split()[0] for line in shown.split("Commands:\n")[1].splitlines()] == [*COMMANDS]
    assert "..." not in shown.split("Commands:\n")[1]
    wrong = jigs("bild")
    assert wrong.exit_code == 2
    assert "did you mean 'build'?" in wrong.stderr


@pytest.mark.parametrize("name", COMMANDS)
def test_the_help_of_each_ends_with_examples_that_it_understands(name: str):
    command = dict(commands())[name]
    shown = jigs(name, "--help").output
    assert command.examples
    for example in command.examples:
        assert f"  {example}\n" in shown
        _, called, *words = shlex.split(example.partition(" > ")[0])
        assert called == name
        with command.make_context(name, words) as parsed:
            assert parsed.params
    told = [p.name for p in command.params if not getattr(p, "help", "")]
    assert set(told) <= {"config", "name", "jig", "before", "after", "target"}


def test_json_stands_alone_on_stdout():
    check = jigs("check", JOB, "--json")
    assert {"job", "revision", "verdict", "counts", "findings", "numbers"} <= set(
        json.loads(check.stdout)
    )
    explain = json.loads(jigs("explain", JOB, "ring.gap", "--json").stdout)
    assert list(explain) == ["numbers"]
    assert explain["numbers"]["ring.gap"]["value"] == pytest.approx(8.1)
    assert explain["numbers"]["ring.gap"]["standing"] == "by rule"
    built = json.loads(jigs("built", JOB, "gauge", "--json").stdout)
    assert "built" in json.dumps(built)


def test_json_and_refusal_do_not_mix():
    refused = jigs("check", "configs/allotmant.yaml", "--json")
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "did you mean 'allotment.yaml'?" in refused.stderr


def test_quiet_says_nothing_where_all_is_met_and_verbose_says_more():
    quiet, plain, verbose = (jigs("check", JOB, *w) for w in (["-q"], [], ["-v"]))
    assert (quiet.exit_code, quiet.output) == (0, "")
    assert "needs the solids" not in plain.output
    assert "not judged" not in plain.output.split("\n", 1)[1].split(" met, ")[0]
    assert len(verbose.output.splitlines()) > len(plain.output.splitlines())
    assert "nothing overlaps unmeant" in verbose.output


def test_what_is_not_met_is_said_also_quietly_and_with_its_grounds_if_wanted(monkeypatch):
    d, found = check(Path("tests/jobs/gap_too_small.yaml"))
    monkeypatch.setattr("jigs.checking.check", lambda _: (d, found))
    quiet, verbose = jigs("check", "job.yaml", "-q"), jigs("check", "job.yaml", "-v")
    assert quiet.exit_code == verbose.exit_code == 1
    assert quiet.output.startswith("NOT MET: ring: gap left when closed.")
    assert "source: " in verbose.output


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("stream", "variable", "styled", "coloured"),
    [
        (Terminal, "", True, True),
        (Terminal, "NO_COLOR", True, False),
        (io.StringIO, "", False, False),
        (io.StringIO, "FORCE_COLOR", False, False),
    ],
)
def test_styles_are_for_a_terminal_and_colours_for_one_that_wants_them(
    monkeypatch: pytest.MonkeyPatch, stream: type, variable: str, styled: bool, coloured: bool
):
    for name in ("NO_COLOR", "FORCE_COLOR", "TERM", "COLORTERM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    if variable:
        monkeypatch.setenv(variable, "1")
    out = stream()
    monkeypatch.setattr(sys, "stdout", out)
    console().print("NOT MET", style="bold red")
    assert ("\x1b[" in out.getvalue()) == styled
    assert ("31m" in out.getvalue()) == coloured
    assert "NOT MET" in out.getvalue()


def test_an_output_that_takes_no_more_than_ascii_gets_escapes(monkeypatch: pytest.MonkeyPatch):
    out = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr(sys, "stdout", out)
    Voice(as_json=True).data({"limits": "230 ± 1"})
    out.flush()
    text = out.buffer.getvalue().decode("ascii")
    assert json.loads(text) == {"limits": "230 ± 1"}


def test_only_the_command_line_prints_asks_and_exits():
    """The library raises; it knows neither the terminal nor an exit code."""
    voices = [ROOT / "jigs/cli.py", *(ROOT / "jigs/commands").glob("*.py")]
    for path in (ROOT / "jigs").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        if path not in voices and path.name != "__main__.py":
            assert not re.search(
                r"^ *(import click|from click|from jigs\.c(li|ommands))", text, re.M
            )
            assert "sys.exit(" not in text or "__main__" in text, path
