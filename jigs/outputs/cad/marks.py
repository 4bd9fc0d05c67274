"""What is not met, in place: the two parts that clash, or a ball where something comes too near.

Checks tell what decides in words. They are run here on a geometry that writes down what it was
asked, and the measurement whose words stand in a finding is the one to show.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import cadquery as cq

from jigs.checks.clearance import check_clearance
from jigs.checks.fit import check_fit
from jigs.checks.geometry import Near, Overlap
from jigs.checks.moves import in_machine
from jigs.checks.numbers import number_findings
from jigs.checks.rehearsing import Rehearsing
from jigs.model.finding import Finding, Verdict
from jigs.model.pose import Pose, Vec
from jigs.model.state import State
from jigs.outputs.cad.look import MEETS, STOPPED
from jigs.outputs.cad.tree import Group, Leaf
from jigs.shop.head import Sweep
from jigs.sizing import Setup
from jigs.solids.scene import Scene

BALL = 5.0
"""mm, radius of the mark at a place."""

NOT_MET = "not met"


@dataclass(frozen=True)
class Measured:
    """One measurement in a setup: between what, in which state, in the words of findings."""

    setup: str
    state: State
    things: tuple[str, str]
    words: tuple[str, ...]
    at: Vec | None = None


@dataclass
class Witness:
    """The geometry of a scene that writes down what it measured. `turn` is called each time."""

    scene: Scene
    turn: Callable[[], None] = lambda: None
    seen: list[Measured] = field(default_factory=list)

    @property
    def rehearsal(self) -> Rehearsing:
        """As the scene's."""
        return self.scene.rehearsal

    def overlaps(self, setup: Setup, state: State) -> list[Overlap]:
        """As the scene's."""
        self.turn()
        found = self.scene.overlaps(setup, state)
        for o in found:
            self._note(setup, state, o.a, o.b, (f"{o.a} in {o.b}, {state}",))
        return found

    def touching_gap(self, setup: Setup, state: State, a: str, b: str) -> float | None:
        """As the scene's."""
        self.turn()
        self._note(setup, state, a, b, (f"{a} from {b}, {state}",))
        return self.scene.touching_gap(setup, state, a, b)

    def distance(self, setup: Setup, state: State, a: str, b: str) -> float | None:
        """As the scene's."""
        self.turn()
        names = f"between {a.split('/')[-1]} and {b.split('/')[-1]},"
        self._note(setup, state, a, b, (names, str(state)))
        return self.scene.distance(setup, state, a, b)

    def clearance(
        self,
        setup: Setup,
        state: State,
        sweeps: Sequence[Sweep],
        skip: frozenset[str] = frozenset(),
        within: float = float("inf"),
    ) -> Near | None:
        """As the scene's."""
        self.turn()
        near = self.scene.clearance(setup, state, sweeps, skip, within)
        if near is not None:
            words = f"{near.body} to {near.thing} at {in_machine(setup, near.at)}"
            self.seen.append(
                Measured(setup.name, state, (near.body, near.thing), (words,), near.at)
            )
        return near

    def highest_under(
        self, setup: Setup, state: State, sweep: Sweep, beside: float
    ) -> tuple[float, str] | None:
        """As the scene's."""
        self.turn()
        return self.scene.highest_under(setup, state, sweep, beside)

    def behind(self, finding: Finding) -> Measured | None:
        """The measurement that decided a finding, if it was one."""
        words = f"{finding.check}; {finding.governs}"
        return next((m for m in self.seen if all(w in words for w in m.words)), None)

    def _note(self, setup: Setup, state: State, a: str, b: str, words: tuple[str, ...]) -> None:
        self.seen.append(Measured(setup.name, state, (a, b), words))


def not_met(
    scene: Scene, setup: Setup, turn: Callable[[], None] = lambda: None
) -> tuple[list[Finding], Group | None]:
    """What is not met of numbers, fit and reach, and marks in one setup for what has a place.

    Parameters: turn = called before each measurement, and may raise to end the checks.
    Returns: the findings of the whole design; the marks in the work frame, None where there are
    none. The dry fit takes too long for this.
    """
    witness = Witness(scene, turn)
    design = scene.design
    every = [
        *number_findings(design), *check_fit(design, witness), *check_clearance(design, witness)
    ]  # fmt: skip
    open_ = [f for f in every if f.verdict is Verdict.NOT_MET]
    marks = [
        (finding, measured)
        for finding in open_
        if (measured := witness.behind(finding)) is not None and measured.setup == setup.name
    ]
    members = [
        Group(f"{number} {finding.check}", tuple(_leaves(scene, setup, measured)))
        for number, (finding, measured) in enumerate(marks, 1)
    ]
    shown = tuple(group for group in members if group.members)
    return open_, Group(NOT_MET, shown) if shown else None


def _leaves(scene: Scene, setup: Setup, measured: Measured) -> Iterator[Leaf]:
    if measured.at is not None:
        ball = cq.Solid.makeSphere(BALL)
        name = f"{measured.things[0]} near {measured.things[1]}"
        yield Leaf(name, "mark", ball, Pose.to(*measured.at), STOPPED)
        return
    there = {s.key: s for s in scene.standing(setup, measured.state)}
    for key, colour in zip(measured.things, (STOPPED, MEETS), strict=True):
        if key in there:
            thing = there[key]
            yield Leaf(f"{key}, {measured.state}", thing.product, thing.shape, thing.pose, colour)


def marked(tree: Group, setup: Setup, marks: Group | None) -> Group:
    """A tree of a setup on the machine with the marks as a group of its own."""
    if marks is None:
        return tree
    return replace(tree, members=(*tree.members, replace(marks, pose=setup.work_zero)))
