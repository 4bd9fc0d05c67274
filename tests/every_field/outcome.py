"""What follows from a job, as far as numbers tell: all that a build writes or asks of its solids.

In stages, the cheap ones first. What merely repeats a field to the user counts for nothing: a
number that is written down as it was read, with its place, is left out.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from jigs.batch.running import run_batch
from jigs.checks.clearance import check_clearance
from jigs.checks.dry_fit import check_dry_fit
from jigs.checks.fit import check_fit
from jigs.checks.geometry import Near, Overlap
from jigs.checks.moves import moves, parked_sweeps
from jigs.checks.numbers import number_findings
from jigs.checks.rehearsing import Stop
from jigs.model.finding import Finding
from jigs.model.state import Limit, State, all_states
from jigs.outputs.batch_files import batch_data, write_batch
from jigs.outputs.report import report, told
from jigs.outputs.workshop import write_papers, write_workshop
from jigs.shop.piece import Turned
from jigs.sizing import Design, Setup
from jigs.solids.things import machine_parts

_DATES = re.compile(rb"(?:/CreationDate|/ModDate)[^\n]*")


class Asked:
    """Stands for the solids, and for what moves among them: keeps every question."""

    def __init__(self) -> None:
        self.questions: list[str] = []

    def _note(self, *said: object) -> None:
        self.questions.append(repr([s.name if isinstance(s, Setup) else s for s in said]))

    @property
    def rehearsal(self) -> Asked:
        return self

    def overlaps(self, setup: Setup, state: State) -> list[Overlap]:
        return []

    def touching_gap(self, *pair: object) -> float:
        self._note("touching", *pair)
        return 0.0

    def distance(self, *pair: object) -> float:
        self._note("distance", *pair)
        return 10.0

    def clearance(
        self, setup: Setup, state: State, sweeps: Sequence[Any],
        skip: frozenset[str] = frozenset(), within: float = float("inf"),
    ) -> Near | None:  # fmt: skip
        self._note("clearance", setup, state, sweeps, sorted(skip), within)
        return Near(sweeps[0].body, "thing", 100.0, (0.0, 0.0, 0.0)) if within > 100.0 else None

    def highest_under(self, setup: Setup, state: State, sweep: Any, beside: float) -> None:
        self._note("under", setup, state, sweep, beside)

    def stops(self, setup: Setup, jig: Any, *move: object) -> list[Stop]:
        self._note("stops", setup, jig.name, *move)
        return []

    def swing(self, setup: Setup, jig: Any, tool: object) -> float:
        self._note("swing", setup, jig.name, tool)
        return 360.0

    def driver_room(self, setup: Setup, jig: Any, tool: object) -> list[Stop]:
        self._note("driver", setup, jig.name, tool)
        return []

    def hand_room(self, setup: Setup, jig: Any, tool: object) -> list[Stop]:
        self._note("hand", setup, jig.name, tool)
        return []


class Gathered:
    """Stands for the folder of a build: keeps what is written."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self.data: dict[str, bytes] = {}

    def write_bytes(self, name: str, data: bytes) -> None:
        self.data[name] = data

    def write_text(self, name: str, text: str) -> None:
        self.data[name] = text.encode()

    def path(self, name: str) -> Path:
        target = self._folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        return target

    def all(self) -> dict[str, bytes]:
        found = {p.as_posix(): p.read_bytes() for p in self._folder.rglob("*") if p.is_file()}
        return {name: _DATES.sub(b"", data) for name, data in {**self.data, **found}.items()}


class Outcome:
    """All that follows from a job, worked out as far as it is asked for."""

    def __init__(self, d: Design) -> None:
        self.d = d
        self._known: dict[str, Any] = {}

    def at(self, stage: str) -> Any:
        """What follows in one stage."""
        if stage not in self._known:
            self._known[stage] = STAGES[stage](self)
        return self._known[stage]

    def differs(self, other: Outcome, last: str = "papers") -> str:
        """The first stage in which two outcomes differ; empty where none does, up to the last."""
        upto = list(STAGES)[: list(STAGES).index(last) + 1]
        return next((stage for stage in upto if self._is_other(stage, other)), "")

    def _is_other(self, stage: str, other: Outcome) -> bool:
        mine, theirs = self.at(stage), other.at(stage)
        if stage != "numbers":
            return bool(mine != theirs)
        return any(mine[name] != theirs[name] for name in mine.keys() & theirs.keys())

    # stages

    def numbers(self) -> dict[str, Any]:
        """Those that were worked out."""
        known = self.d.numbers()
        return {name: n.value for name, n in known.items() if n.inputs and not n.where}

    def parts(self) -> str:
        """As they are described to the kernel."""
        return repr([jig.parts for _, jig in self.d.jigs()])

    def placed(self) -> str:
        """Piece and machine as they are described to the kernel, where all stands, and what moves
        past it."""
        said: list[object] = list(machine_parts(self.d.job.machine))
        for setup in self.d.setups:
            piece = setup.piece
            for limit in Limit:
                if isinstance(piece, Turned):
                    said.append((piece.profile(limit), piece.dome.sphere_radius, piece.body))
                else:
                    said += [getattr(x, limit.value) for x in _sides(piece)]
            said.append(setup.work_zero)
            said += [setup.piece_pose(state) for state in all_states()]
            said += [(move.sweeps(), parked_sweeps(move)) for move in moves(setup)]
        for _, jig in self.d.jigs():
            said += [[jig.poses(state) for state in all_states()], jig.board_holes]
        return repr(said)

    def asked(self) -> tuple[list[str], list[Finding]]:
        """What the checks ask of solids, and what they make of the answers."""
        asked: Any = Asked()
        findings = check_fit(self.d, asked) + check_clearance(self.d, asked)
        return asked.questions, findings + check_dry_fit(self.d, asked)

    def findings(self) -> list[Finding]:
        """What numbers tell."""
        return number_findings(self.d)

    def report(self) -> dict[str, Any]:
        """The report without the numbers."""
        return {k: v for k, v in self.whole_report().items() if k != "numbers"}

    def whole_report(self) -> dict[str, Any]:
        """As it is written, but for what only solids tell."""
        runs = run_batch(self.d) if self.d.job.measured.of else []
        batch = batch_data(self.d, runs) if runs else None
        return report(self.d, self.at("findings"), batch=batch)

    def workshop(self) -> dict[str, bytes]:
        """Cut files, sheets, lists; the batch."""

        def write(out: Any) -> None:
            write_workshop(self.d, out, told(self.at("findings")))
            if self.d.job.measured.of:
                write_batch(run_batch(self.d), out)

        return _gathered(write)

    def papers(self) -> dict[str, bytes]:
        """Drawings and setup sheet."""
        findings = self.at("findings")
        return _gathered(lambda out: write_papers(self.d, findings, self.whole_report(), out, {}))


STAGES: dict[str, Callable[[Outcome], Any]] = {
    "numbers": Outcome.numbers, "parts": Outcome.parts, "placed": Outcome.placed,
    "asked": Outcome.asked, "findings": Outcome.findings, "report": Outcome.report,
    "workshop": Outcome.workshop, "papers": Outcome.papers,
}  # fmt: skip


def _sides(piece: Any) -> tuple[Any, ...]:
    return (piece.width, piece.depth, piece.length)


def _gathered(write: Callable[[Any], None]) -> dict[str, bytes]:
    with tempfile.TemporaryDirectory() as name:
        out = Gathered(Path(name))
        write(out)
        return {k.removeprefix(name): v for k, v in out.all().items()}
