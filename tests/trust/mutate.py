"""Faults put into the library one at a time: a test must notice each.

    python tests/trust/mutate.py                       all of jigs/mechanics, each with its tests
    python tests/trust/mutate.py bolt friction         some of it
    python tests/trust/mutate.py --each 30 --seed 1    thirty faults of each module, drawn
    python tests/trust/mutate.py --rules 60 --seed 1   a sample of the sizing rules of the kinds
    python tests/trust/mutate.py --kind riser --each 40 --seed 1          rules and checks of one
    python tests/trust/mutate.py --kind split_ring closing loading --quick    some of its modules

Of a kind those modules are taken that hold rules or checks, or those that are named; "shared" are
the modules of all kinds. Its quick tests (`test_<kind>_rules*.py`) come first, the others only for
what these let live; `--quick` leaves it at them.

Works in a copy; the package itself is never touched. A fault is one change to the syntax tree: a
sign, an operator, a comparison, a constant, min for max, a term dropped, a condition turned round.
Messages, annotations and decorators are left alone. What survives is printed; `survivors.md` says
of each why no test can tell it. The last line goes to `long_run.txt`.
"""

from __future__ import annotations

import argparse
import ast
import copy
import importlib.util
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent

OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
}  # fmt: skip
COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.Gt), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt), ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,),
}  # fmt: skip
NAMES = {"min": "max", "max": "min", "sin": "cos", "cos": "sin", "floor": "ceil", "ceil": "floor",
         "any": "all", "all": "any"}  # fmt: skip
TESTS_OF = {
    "limits": ("test_friction.py", "test_tipping.py", "test_bolt.py", "test_cutting.py"),
}
"""Tests of a module of mechanics where they are not in the file of its name."""


@dataclass(frozen=True)
class Fault:
    """One change: where, what was there, what is there now, and the whole module so changed."""

    module: str
    line: int
    was: str
    now: str
    source: str

    def __str__(self) -> str:
        return f"{self.module}:{self.line}: {self.was} -> {self.now}"


def faults_of(path: Path, name: str) -> list[Fault]:
    """Every fault that can be put into a module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = []
    for at, node in enumerate(ast.walk(tree)):
        if not _is_code(tree, node):
            continue
        for changed in _changes(node):
            other = copy.deepcopy(tree)
            target = list(ast.walk(other))[at]
            _replace(other, target, changed)
            source = ast.unparse(ast.fix_missing_locations(other))
            line = getattr(node, "lineno", 0)
            found.append(Fault(name, line, _short(node), _short(changed), source))
    return found


def _short(node: ast.AST) -> str:
    return ast.unparse(node)[:60]


_SKIPPED: dict[int, set[int]] = {}


def _is_code(tree: ast.Module, node: ast.AST) -> bool:
    """Not a message, annotation, decorator, docstring, import or export list."""
    if id(tree) not in _SKIPPED:
        _SKIPPED[id(tree)] = {id(below) for top in _aside(tree) for below in ast.walk(top)}
    return id(node) not in _SKIPPED[id(tree)]


def _aside(tree: ast.Module) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Raise | ast.JoinedStr | ast.Import | ast.ImportFrom | ast.Assert):
            yield node
        if isinstance(node, ast.FunctionDef):
            yield from node.decorator_list
            yield from (arg.annotation for arg in ast.walk(node.args)
                        if isinstance(arg, ast.arg) and arg.annotation)  # fmt: skip
            if node.returns:
                yield node.returns
        if isinstance(node, ast.AnnAssign):
            yield node.annotation
        if isinstance(node, ast.ClassDef):
            yield from node.decorator_list
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node


def _changes(node: ast.AST) -> Iterator[ast.AST]:
    """What may stand in a node's place."""
    if isinstance(node, ast.BinOp) and type(node.op) in OPERATORS:
        yield ast.BinOp(node.left, OPERATORS[type(node.op)](), node.right)
        yield node.left
        if isinstance(node.op, ast.Add | ast.Mult):
            yield node.right
    elif isinstance(node, ast.Compare) and len(node.ops) == 1:
        for other in COMPARISONS.get(type(node.ops[0]), ()):
            yield ast.Compare(node.left, [other()], node.comparators)
    elif isinstance(node, ast.Compare):
        for i, op in enumerate(node.ops):
            for other in COMPARISONS.get(type(op), ())[:1]:
                ops = [*node.ops[:i], other(), *node.ops[i + 1 :]]
                yield ast.Compare(node.left, ops, node.comparators)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not):
        yield node.operand
    elif isinstance(node, ast.BoolOp):
        yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
    elif isinstance(node, ast.IfExp):
        yield ast.IfExp(node.test, node.orelse, node.body)
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        yield from _numbers(node.value)
    elif isinstance(node, ast.Name) and node.id in NAMES:
        yield ast.Name(NAMES[node.id], node.ctx)
    elif isinstance(node, ast.Attribute) and node.attr in NAMES:
        yield ast.Attribute(node.value, NAMES[node.attr], node.ctx)


def _numbers(value: float) -> Iterator[ast.AST]:
    if isinstance(value, bool):
        yield ast.Constant(not value)
    elif isinstance(value, int):
        yield ast.Constant(value + 1)
    elif abs(value) > 1e-6:  # a tolerance that is a tenth larger is none the less one
        yield ast.Constant(value * 1.1)
    elif value == 0:
        yield ast.Constant(1.0)


def _replace(tree: ast.AST, target: ast.AST, by: ast.AST) -> None:
    for node in ast.walk(tree):
        for field, value in ast.iter_fields(node):
            if value is target:
                setattr(node, field, by)
                return
            if isinstance(value, list):
                for i, item in enumerate(value):
                    if item is target:
                        value[i] = by
                        return
    raise LookupError("the node is not in its tree")


class Bench:
    """A copy of package and tests in which faults are put, and tests run in forked processes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.limits: dict[str, float] = {}
        for part in ("jigs", "tests", "configs"):
            shutil.copytree(ROOT / part, folder / part,
                            ignore=shutil.ignore_patterns("__pycache__", "trust"))  # fmt: skip
        for file in ("pyproject.toml", "README.md"):
            shutil.copy(ROOT / file, folder / file)
        sys.path[:0] = [str(folder)]

    def make_ready_for(self, path: Path) -> None:
        """Load the library but for this module and all that reads it: the children load those."""
        for name in LOADED:
            importlib.import_module(name)
        module = ".".join(path.relative_to(self.folder).with_suffix("").parts)
        for name in _readers_of(module.removesuffix(".__init__")):
            sys.modules.pop(name, None)
            # `from jigs.mechanics import bolt` would find the one that is loaded as a name there.
            package, _, last = name.rpartition(".")
            if hasattr(sys.modules.get(package), last):
                delattr(sys.modules[package], last)

    def passes(self, tests: Sequence[str], limit: float, keep_bytecode: bool = False) -> bool:
        """Do these tests pass? What takes longer than `limit` seconds does not."""
        child = os.fork()
        if child == 0:
            sys.dont_write_bytecode = not keep_bytecode
            self._become_pytest(tests)
        end = time.monotonic() + limit
        while time.monotonic() < end:
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                return os.waitstatus_to_exitcode(status) == 0
            time.sleep(0.02)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return False

    def _become_pytest(self, tests: Sequence[str]) -> None:
        import pytest

        code = 99
        try:
            os.chdir(self.folder)
            null = os.open(os.devnull, os.O_WRONLY)
            os.dup2(null, 1)
            os.dup2(null, 2)
            words = ["-x", "-q", "-o", "addopts=", "--import-mode=importlib", "-m", "not slow",
                     "-p", "no:xdist", "-p", "no:cacheprovider", "--hypothesis-seed=0",
                     *tests]  # fmt: skip
            code = int(pytest.main(words))
        finally:
            os._exit(code)

    def limit_of(self, test: str) -> float:
        """Seconds after which a file of tests is given up: it passes where there is no fault."""
        if test not in self.limits:
            start = time.monotonic()
            if not self.passes([test], 900, keep_bytecode=True):
                raise SystemExit(f"fails without a fault: {test}")
            self.limits[test] = 10 + 4 * (time.monotonic() - start)
        return self.limits[test]

    def survivors(self, path: Path, faults: Sequence[Fault], *rounds: Sequence[str]) -> list[Fault]:
        """The faults that no test notices; later rounds of tests see only what is left.

        File by file, the one that noticed the last fault first: most often it is the one.
        """
        own = path.read_text(encoding="utf-8")
        self.make_ready_for(path)
        order = [list(tests) for tests in rounds]
        for test in [test for tests in order for test in tests]:
            self.limit_of(test)
        # A file as large as it was, in the same second, would be taken for the one compiled.
        Path(importlib.util.cache_from_source(path)).unlink(missing_ok=True)
        left = []
        for fault in faults:
            path.write_text(fault.source, encoding="utf-8")
            if not any(self._notice(tests) for tests in order):
                left.append(fault)
                say(f"  survives: {fault}")
        path.write_text(own, encoding="utf-8")
        return left

    def _notice(self, tests: list[str]) -> bool:
        """Does one of these files fail? It is put in front."""
        for test in tests:
            if not self.passes([test], self.limit_of(test)):
                tests.remove(test)
                tests.insert(0, test)
                return True
        return False


LOADED = ("jigs.reading.job", "jigs.sizing", "jigs.checks.numbers", "jigs.batch", "jigs.tables",
          "jigs.kept", "jigs.ahead", "jigs.provenance",
          *(f"jigs.kinds.{path.name}" for path in (ROOT / "jigs/kinds").glob("[a-z]*/")),
          *(f"jigs.mechanics.{path.stem}" for path in (ROOT / "jigs/mechanics").glob("[a-z]*.py")),
          )  # fmt: skip
"""Modules that tests load, without the kernel."""


def _readers_of(module: str) -> set[str]:
    """This module and every loaded one that reads it; of a kind all, for its rules are one list."""
    reads = {name: _read_by(name) for name in sys.modules if name.split(".")[0] == "jigs"}
    found, more = set[str](), {module}
    while more:
        found |= more
        kinds = {name for name in found if name.startswith("jigs.kinds.") and "._" not in name}
        folders = tuple(".".join(name.split(".")[:3]) for name in kinds)
        more = {
            name for name in reads
            if reads[name] & found or name in folders
            or name.startswith(tuple(f"{folder}." for folder in folders))
        } - found  # fmt: skip
    return found


def _read_by(name: str) -> set[str]:
    """Modules that a loaded module imports."""
    file = sys.modules[name].__file__
    found = set[str]()
    for node in ast.walk(ast.parse(Path(file).read_text(encoding="utf-8"))) if file else ():
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def say(text: str) -> None:
    """One line, at once."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def mechanics(bench: Bench, only: Sequence[str], each: int, seed: str) -> tuple[int, list[Fault]]:
    """Put faults into the modules of mechanics, all or so many of each, drawn.

    Returns how many, and the survivors.
    """
    count, left = 0, list[Fault]()
    for path in sorted((bench.folder / "jigs/mechanics").glob("[a-z]*.py")):
        if only and path.stem not in only:
            continue
        names = TESTS_OF.get(path.stem, (f"test_{path.stem}.py",))
        tests = [f"tests/mechanics/{name}" for name in (*names, "test_edges.py")]
        faults = faults_of(path, f"mechanics/{path.name}")
        if each:
            faults = random.Random(seed).sample(faults, min(each, len(faults)))
        start = time.monotonic()
        lived = bench.survivors(path, faults, tests)
        took = time.monotonic() - start
        say(f"{path.stem}: {len(faults)} faults, {len(lived)} survive, {took:.0f} s")
        count, left = count + len(faults), left + lived
    return count, left


SHARED = "shared"

RULE_TESTS = {
    "split_ring": ("split_ring_numbers", "split_ring_opening", "split_ring_hanging",
                   "split_ring_hold"),
    "height_gauge": ("height_gauge_numbers", "height_gauge_hold", "height_gauge_printed"),
    "end_grain_clamp": ("end_grain_clamp_numbers", "anchoring", "end_grain_clamp_hold"),
    "swing_stop": ("swing_stop_one_bar", "swing_stop_two_bars", "swing_stop_shims",
                   "swing_stop_with_ring"),
    "riser": ("riser",),
    SHARED: ("anchoring", "knob"),
}  # fmt: skip
"""Tests in `tests/kinds` that work the rules of a kind, beside its quick ones."""


def rules(bench: Bench, sample: int, seed: str) -> tuple[int, list[Fault]]:
    """Put a sample of faults into the rules of the kinds. Returns how many, and the survivors."""
    known = [
        (kind, path, fault)
        for kind in RULE_TESTS
        for path in sorted((bench.folder / "jigs/kinds" / kind).glob("*.py"))
        if "@rule(" in path.read_text(encoding="utf-8")
        for fault in faults_of(path, f"{kind}/{path.name}")
    ]
    say(f"{len(known)} faults in all; {sample} drawn")
    drawn = random.Random(seed).sample(known, min(sample, len(known)))
    left = []
    for kind in RULE_TESTS:
        mine = [(path, fault) for other, path, fault in drawn if other == kind]
        for path in sorted({path for path, _ in mine}):
            faults = [fault for at, fault in mine if at == path]
            left += bench.survivors(path, faults, *_tests_of(bench, kind))
    return len(drawn), left


def one_kind(
    bench: Bench, kind: str, only: Sequence[str], each: int, seed: str, quick: bool
) -> tuple[int, list[Fault]]:
    """Put faults into rules and checks of one kind, all or so many of each module, drawn.

    Returns how many, and the survivors.
    """
    count, left = 0, list[Fault]()
    rounds = _tests_of(bench, kind)[: 1 if quick else None]
    for path in _modules_of(bench, kind):
        if path.stem not in only if only else not _rules_or_checks(path):
            continue
        faults = faults_of(path, f"{kind}/{path.name}")
        if each:
            faults = random.Random(seed).sample(faults, min(each, len(faults)))
        start = time.monotonic()
        lived = bench.survivors(path, faults, *rounds)
        took = time.monotonic() - start
        say(f"{path.stem}: {len(faults)} faults, {len(lived)} survive, {took:.0f} s")
        count, left = count + len(faults), left + lived
    return count, left


def _tests_of(bench: Bench, kind: str) -> list[list[str]]:
    """The quick tests of a kind, then the others; one round where there are no quick ones."""
    folder = bench.folder / "tests/kinds"
    quick = sorted(path.name for path in folder.glob(f"test_{kind}_rules*.py"))
    others = [f"test_{name}.py" for name in RULE_TESTS[kind]]
    return [[f"tests/kinds/{name}" for name in names] for names in (quick, others) if names]


def _modules_of(bench: Bench, kind: str) -> list[Path]:
    folder = bench.folder / "jigs/kinds"
    return sorted(folder.glob("_[a-z]*.py") if kind == SHARED else (folder / kind).glob("*.py"))


def _rules_or_checks(path: Path) -> bool:
    text = path.read_text(encoding="utf-8")
    marks = ("@rule(", "at_least(", "at_most(")
    return path.parent.name == "kinds" or any(mark in text for mark in marks)


def main() -> int:
    """Run what is asked for; the last line is added to long_run.txt."""
    ask = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    ask.add_argument("only", nargs="*", help="modules of mechanics, or of the kind")
    ask.add_argument("--rules", type=int, default=0, help="so many faults in the rules instead")
    ask.add_argument("--kind", choices=RULE_TESTS, help="faults in rules and checks of that kind")
    ask.add_argument("--quick", action="store_true", help="of a kind only the quick tests")
    ask.add_argument("--each", type=int, default=0, help="so many faults of each module, drawn")
    ask.add_argument("--seed", default="1", help="of what is drawn")
    ask.add_argument("--no-line", action="store_true", help="leave long_run.txt as it is")
    asked = ask.parse_args()
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    _load_once()
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder))
        if asked.rules:
            what = f"{asked.rules} faults drawn in the rules, seed {asked.seed}"
            count, left = rules(bench, asked.rules, asked.seed)
        else:
            where, names = asked.kind or "mechanics", " ".join(asked.only)
            what = f"faults in {where} {names or ('(rules, checks)' if asked.kind else '(all)')}"
            what += ", quick tests alone" if asked.quick else ""
            what += f", {asked.each} drawn of each, seed {asked.seed}" if asked.each else ""
            how = (asked.only, asked.each, asked.seed)
            count, left = (
                one_kind(bench, asked.kind, *how, asked.quick) if asked.kind
                else mechanics(bench, *how)
            )  # fmt: skip
    today = datetime.now(UTC).strftime("%Y-%m-%d %H:%M")
    line = f"{today} UTC, {what}: {count - len(left)} of {count} noticed, {len(left)} survive"
    line += f", {time.monotonic() - start:.0f} s"
    say(line)
    if not asked.no_line:
        with (HERE / "long_run.txt").open("a", encoding="utf-8") as book:
            book.write(f"{line}\n")
    return 0


def _load_once() -> None:
    """Load what tests load, once for all forks; nothing of the library itself."""
    import hypothesis
    import numpy
    import pytest
    import scipy.integrate
    import scipy.optimize
    import scipy.sparse.linalg
    import skfem

    assert all((hypothesis, numpy, pytest, scipy, skfem))


if __name__ == "__main__":
    sys.exit(main())
