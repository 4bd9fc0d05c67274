"""The solids of a design: each different part once, and everything placed in a state.

Implements `jigs.checks.geometry.Geometry`. Pairs are measured once for each different relative
placing: most parts of a jig do not move against each other from state to state.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import cadquery as cq

from jigs.checks.geometry import Near, Overlap
from jigs.errors import SolidError
from jigs.model.part import Bought, Part
from jigs.model.pose import Pose
from jigs.model.state import Limit, State
from jigs.shop.head import FAR, Sweep
from jigs.sizing import Design, Setup
from jigs.solids.depth import meeting, overlap_depth
from jigs.solids.described import described
from jigs.solids.envelope import Thing, box_gap, nearest, sweep_solid
from jigs.solids.rehearse import Rehearsal
from jigs.solids.shapes import location
from jigs.solids.skin import Body, Box, distance, skin_gap
from jigs.solids.store import Form, Solids
from jigs.solids.things import machine_parts
from jigs.solids.voids import Described, stays_out
from jigs.tolerance import TOLERANCE

MEASURES = {"depth": overlap_depth, "touching": skin_gap, "distance": distance}
PIECE = "piece"
HAIR = 1e-3
"""mm: far below the limit of overlap, far above summation noise."""
MACHINE = "machine"
_DECIMALS = 9
"""Of a mm: a measure is the same wherever the pair stands when it is taken."""


@dataclass(frozen=True)
class Standing:
    """One solid in its place in the work frame. `product` names what it is one of."""

    name: str
    product: str
    jig: str
    group: str
    form: Form
    pose: Pose
    material: str

    @property
    def shape(self) -> cq.Shape:
        """The solid in its own frame."""
        return self.form.shape

    @property
    def said(self) -> tuple[str, Pose]:
        """What it is made from and where it stands, for what is kept about it."""
        return self.form.mark, self.pose

    @property
    def key(self) -> str:
        """Name that is unique in the setup: `ring/pad`; bare for the piece and the machine."""
        return self.name if self.jig in ("", MACHINE) else f"{self.jig}/{self.name}"

    @cached_property
    def placed(self) -> cq.Shape:
        """The solid moved to its place."""
        return self.shape.moved(location(self.pose))


class Scene:
    """All solids of one design, built when asked for."""

    def __init__(self, design: Design, solids: Solids | None = None) -> None:
        """`solids`: built before, for designs that share parts; left out, all are built anew."""
        self.design = design
        self.solids = solids or Solids()
        self.kept = self.solids.kept
        self._machine_for: dict[str, list[tuple[str, Part, Pose, Form]]] = {}
        self._measured: dict[object, float] = {}
        self._standing: dict[tuple[str, State], list[Standing]] = {}
        self._by_name: dict[tuple[str, State], dict[str, Standing]] = {}
        self._bodies: dict[tuple[str, Pose], Body] = {}
        self._descriptions: dict[str, Described | None] = {}
        self._boxes: dict[tuple[str, object], Box] = {}
        self._sweeps: dict[Sweep, Body] = {}
        self._near: dict[tuple[str, State], list[Thing]] = {}

    def part(self, jig: str, part: Part) -> cq.Shape | None:
        """The solid of a part; None for one that is listed but not drawn."""
        return self.solids.part(part)

    def piece(self, setup: Setup, limit: Limit) -> cq.Shape:
        """The piece at one limit of its size."""
        return self.solids.piece_form(setup.piece, limit).shape

    def machine_for(self, setup: Setup) -> list[tuple[str, Part, Pose, Form]]:
        """Table and front face in the machine frame, with the holes that this setup's jigs need."""
        if setup.name not in self._machine_for:
            found = []
            for name, part, pose in machine_parts(self.design.job.machine):
                holes = [h for jig in setup.jigs for h in jig.board_holes if h.into == name]
                frame = pose.inverse() @ setup.work_zero
                found.append((name, part, pose, self.solids.bored_form(part, holes, frame)))
            self._machine_for[setup.name] = found
        return self._machine_for[setup.name]

    def standing(self, setup: Setup, state: State) -> list[Standing]:
        """Everything that stands in the setup in this state, in the work frame."""
        key = (setup.name, state)
        if key not in self._standing:
            self._standing[key] = [
                *self._jig_parts(setup, state), self._piece(setup, state), *self._machine_in(setup)
            ]  # fmt: skip
        return self._standing[key]

    def _jig_parts(self, setup: Setup, state: State) -> list[Standing]:
        found = []
        for jig in setup.jigs:
            parts = jig.parts
            for placed in jig.poses(state):
                part = parts[placed.part]
                form = self.solids.part_form(part)
                if form is None:
                    raise SolidError(part.id, "placing", "it is placed but has no solid")
                found.append(
                    Standing(placed.name, part.title, jig.name, placed.group, form,
                             placed.pose, material_of(part))
                )  # fmt: skip
        return found

    def _piece(self, setup: Setup, state: State) -> Standing:
        form = self.solids.piece_form(setup.piece, state.piece)
        pose = setup.piece_pose(state)
        return Standing(PIECE, setup.model.piece, "", "", form, pose, setup.piece.wood)

    def _machine_in(self, setup: Setup) -> list[Standing]:
        to_work = setup.work_zero.inverse()
        return [
            Standing(name, part.title, MACHINE, "", form, to_work @ pose, material_of(part))
            for name, part, pose, form in self.machine_for(setup)
        ]

    # Geometry

    def overlaps(self, setup: Setup, state: State) -> list[Overlap]:
        """Depth of every overlapping pair.

        The overlap of two boxes along an axis bounds the depth of what is in them: where it is
        less than a hair there is nothing to measure.
        """
        found = []
        standing = self.standing(setup, state)
        for i, j in meeting([self._box(s) for s in standing], HAIR):
            a, b = standing[i], standing[j]
            depth = self._measure("depth", a, b)
            if depth > 0:
                found.append(Overlap(a.key, b.key, depth))
        return found

    def touching_gap(self, setup: Setup, state: State, a: str, b: str) -> float | None:
        """Distance of the skins of two things that are meant to touch; None without one of them."""
        return self._between("touching", setup, state, a, b)

    def distance(self, setup: Setup, state: State, a: str, b: str) -> float | None:
        """Least distance of two named things; None where one of them is not there."""
        return self._between("distance", setup, state, a, b)

    def clearance(
        self,
        setup: Setup,
        state: State,
        sweeps: Sequence[Sweep],
        skip: frozenset[str] = frozenset(),
        within: float = float("inf"),
    ) -> Near | None:
        """The nearest approach of any sweep to what stands; None where none is within reach."""
        pairs = [(sweep, self._sweep(sweep)) for sweep in sweeps]
        return nearest(pairs, self._things(setup, state, skip), within, self.kept)

    def highest_under(
        self, setup: Setup, state: State, sweep: Sweep, beside: float
    ) -> tuple[float, str] | None:
        """Height and name of the highest thing under a sweep or that near beside it, by bounds."""
        x0, y0, _, x1, y1, _ = sweep.box
        column = (x0 - beside, y0 - beside, -FAR, x1 + beside, y1 + beside, FAR)
        there = [t for t in self._things(setup, state, frozenset()) if box_gap(column, t.box) == 0]
        return max(((t.box[5], t.key) for t in there), default=None)

    def _things(self, setup: Setup, state: State, skip: frozenset[str]) -> list[Thing]:
        key = (setup.name, state)
        if key not in self._near:
            self._near[key] = [
                Thing(s.key, self._box(s), self._body(s), s.said)
                for s in self.standing(setup, state)
            ]
        return [thing for thing in self._near[key] if thing.key not in skip]

    def _sweep(self, sweep: Sweep) -> Body:
        if sweep not in self._sweeps:
            self._sweeps[sweep] = Body(lambda: sweep_solid(sweep))
        return self._sweeps[sweep]

    def depth_between(self, a: Standing, b: Standing) -> float:
        """How deep two things overlap where they stand, mm."""
        return self._measure("depth", a, b)

    def gap_between(self, a: Standing, b: Standing) -> float:
        """How far apart the skins of two things are where they stand, mm."""
        return self._measure("touching", a, b)

    def box_of(self, standing: Standing) -> Box:
        """Bounds of a thing in its place."""
        return self._box(standing)

    @cached_property
    def rehearsal(self) -> Rehearsal:
        """Moves and tools tried on these solids."""
        return Rehearsal(self)

    def _between(self, what: str, setup: Setup, state: State, a: str, b: str) -> float | None:
        key = (setup.name, state)
        if key not in self._by_name:
            self._by_name[key] = {s.key: s for s in self.standing(setup, state)}
        by_name = self._by_name[key]
        if a not in by_name or b not in by_name:
            return None
        return self._measure(what, by_name[a], by_name[b])

    def _measure(self, what: str, a: Standing, b: Standing) -> float:
        here = (what, a.said, b.said)
        if here not in self._measured:
            self._measured[here] = self._measured_somewhere(what, a, b)
        return self._measured[here]

    def _measured_somewhere(self, what: str, a: Standing, b: Standing) -> float:
        """The measure of two things, wherever in the setup they stood so to each other."""
        relative = (a.pose.inverse() @ b.pose).rounded(7)
        key = (what, a.form.mark, b.form.mark, relative)
        back = (what, b.form.mark, a.form.mark, (b.pose.inverse() @ a.pose).rounded(7))
        if back in self._measured:
            return self._measured[back]
        if key not in self._measured:
            self._measured[key] = self.kept.answer(
                "measure", key, lambda: round(self._worked_out(what, a, b), _DECIMALS)
            )
        return self._measured[key]

    def _worked_out(self, what: str, a: Standing, b: Standing) -> float:
        if what == "depth" and (self._stays_out(a, b) or self._stays_out(b, a)):
            return 0.0
        return MEASURES[what](self._body(a), self._body(b))

    def _stays_out(self, thing: Standing, other: Standing) -> bool:
        """A cheap proof, for bolts in their holes and the like, that two things do not overlap."""
        one, two = self._described(thing), self._described(other)
        if one is None or two is None:
            return False
        return stays_out(one, two, other.pose.inverse() @ thing.pose, TOLERANCE.overlap / 4)

    def _described(self, standing: Standing) -> Described | None:
        if standing.form.mark not in self._descriptions:
            self._descriptions[standing.form.mark] = described(standing.form.of)
        return self._descriptions[standing.form.mark]

    def _body(self, standing: Standing) -> Body:
        """A thing in its place; what does not move is the same body in every state."""
        if standing.said not in self._bodies:
            self._bodies[standing.said] = Body(lambda: standing.placed)
        return self._bodies[standing.said]

    def _box(self, standing: Standing) -> Box:
        """Bounds of a thing in its place: measured once for each turn of each solid."""
        key = (standing.form.mark, standing.pose.turn)
        if key not in self._boxes:
            turn = Pose((0.0, 0.0, 0.0), standing.pose.turn)
            self._boxes[key] = self.kept.answer(
                "box", key, lambda: Body(lambda: standing.shape.moved(location(turn))).box
            )
        x0, y0, z0, x1, y1, z1 = self._boxes[key]
        x, y, z = standing.pose.at
        return (x0 + x, y0 + y, z0 + z, x1 + x, y1 + y, z1 + z)


def material_of(part: Part) -> str:
    """The word for what a part is made of, for colours and lists."""
    made = part.made
    if isinstance(made, Bought):
        return made.material
    return str(getattr(made, "material", "") or getattr(made, "wood", ""))
