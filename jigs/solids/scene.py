"""The solids of a design: each different part once, and everything placed in a state.

Implements `jigs.checks.geometry.Geometry`. Pairs are measured once for each different relative
placing: most parts of a jig do not move against each other from state to state.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import cadquery as cq

from jigs.checks.geometry import Overlap
from jigs.errors import SolidError
from jigs.model.part import Bought, Part
from jigs.model.pose import Pose
from jigs.model.state import Limit, State
from jigs.sizing import Design, Setup
from jigs.solids.build import part_solid
from jigs.solids.depth import meeting, overlap_depth
from jigs.solids.hardware import Envelope, envelope
from jigs.solids.shapes import location
from jigs.solids.skin import Body, Box, clears_axis, distance, skin_gap
from jigs.solids.things import bore, machine_parts, piece_solid
from jigs.tolerance import TOLERANCE

MEASURES = {"depth": overlap_depth, "touching": skin_gap, "distance": distance}
PIECE = "piece"
HAIR = 1e-3
"""mm: far below the limit of overlap, far above summation noise."""
MACHINE = "machine"


@dataclass(frozen=True)
class Standing:
    """One solid in its place in the work frame. `product` names what it is one of."""

    name: str
    product: str
    jig: str
    group: str
    shape: cq.Shape
    pose: Pose
    material: str
    envelope: Envelope = ()
    """Of a bought part: cylinders about its z axis that hold it."""

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

    def __init__(self, design: Design) -> None:
        self.design = design
        self._parts: dict[tuple[str, str], cq.Shape | None] = {}
        self._pieces: dict[tuple[str, Limit], cq.Shape] = {}
        self._machine: list[tuple[str, Part, Pose, cq.Shape]] | None = None
        self._machine_for: dict[str, list[tuple[str, Part, Pose, cq.Shape]]] = {}
        self._measured: dict[object, float] = {}
        self._standing: dict[tuple[str, State], list[Standing]] = {}
        self._bodies: dict[tuple[int, Pose], Body] = {}
        self._boxes: dict[tuple[int, object], Box] = {}

    def part(self, jig: str, part: Part) -> cq.Shape | None:
        """The solid of a part; None for one that is listed but not drawn."""
        key = (jig, part.id)
        if key not in self._parts:
            self._parts[key] = part_solid(part)
        return self._parts[key]

    def piece(self, setup: Setup, limit: Limit) -> cq.Shape:
        """The piece at one limit of its size."""
        key = (setup.model.piece, limit)
        if key not in self._pieces:
            self._pieces[key] = piece_solid(setup.piece, limit)
        return self._pieces[key]

    def machine_for(self, setup: Setup) -> list[tuple[str, Part, Pose, cq.Shape]]:
        """Table and front face in the machine frame, with the holes that this setup's jigs need."""
        if setup.name not in self._machine_for:
            found = []
            for name, part, pose, shape in self.machine():
                holes = [h for jig in setup.jigs for h in jig.board_holes if h.into == name]
                frame = pose.inverse() @ setup.work_zero
                bored = shape.cut(*(bore(h, frame) for h in holes)).Solids()[0] if holes else shape
                found.append((name, part, pose, bored))
            self._machine_for[setup.name] = found
        return self._machine_for[setup.name]

    def machine(self) -> list[tuple[str, Part, Pose, cq.Shape]]:
        """Table and front face, in the machine frame."""
        if self._machine is None:
            self._machine = [
                (name, part, pose, shape)
                for name, part, pose in machine_parts(self.design.job.machine)
                if (shape := part_solid(part)) is not None
            ]
        return self._machine

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
                shape = self.part(jig.name, part)
                if shape is None:
                    raise SolidError(part.id, "placing", "it is placed but has no solid")
                found.append(
                    Standing(placed.name, part.title, jig.name, placed.group, shape,
                             placed.pose, material_of(part),
                             envelope(part.made) if isinstance(part.made, Bought) else ())
                )  # fmt: skip
        return found

    def _piece(self, setup: Setup, state: State) -> Standing:
        shape, pose = self.piece(setup, state.piece), setup.piece_pose(state)
        return Standing(PIECE, setup.model.piece, "", "", shape, pose, setup.piece.wood)

    def _machine_in(self, setup: Setup) -> list[Standing]:
        to_work = setup.work_zero.inverse()
        return [
            Standing(name, part.title, MACHINE, "", shape, to_work @ pose, material_of(part))
            for name, part, pose, shape in self.machine_for(setup)
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

    def _between(self, what: str, setup: Setup, state: State, a: str, b: str) -> float | None:
        by_name = {s.key: s for s in self.standing(setup, state)}
        if a not in by_name or b not in by_name:
            return None
        return self._measure(what, by_name[a], by_name[b])

    def _measure(self, what: str, a: Standing, b: Standing) -> float:
        relative = (a.pose.inverse() @ b.pose).rounded(7)
        key = (what, id(a.shape), id(b.shape), relative)
        if key not in self._measured:
            clear = what == "depth" and (self._stays_out(a, b) or self._stays_out(b, a))
            self._measured[key] = 0.0 if clear else MEASURES[what](self._body(a), self._body(b))
        return self._measured[key]

    def _stays_out(self, thing: Standing, other: Standing) -> bool:
        """A cheap proof, for bolts in their holes and the like, that two things do not overlap."""
        within = TOLERANCE.overlap / 4
        return bool(other.envelope) and clears_axis(
            self._body(thing), other.pose, other.envelope, within
        )

    def _body(self, standing: Standing) -> Body:
        """A thing in its place; what does not move is the same body in every state."""
        key = (id(standing.shape), standing.pose)
        if key not in self._bodies:
            self._bodies[key] = Body(standing.placed)
        return self._bodies[key]

    def _box(self, standing: Standing) -> Box:
        """Bounds of a thing in its place: measured once for each turn of each solid."""
        key = (id(standing.shape), standing.pose.turn)
        if key not in self._boxes:
            turned = standing.shape.moved(location(Pose((0.0, 0.0, 0.0), standing.pose.turn)))
            self._boxes[key] = Body(turned).box
        x0, y0, z0, x1, y1, z1 = self._boxes[key]
        x, y, z = standing.pose.at
        return (x0 + x, y0 + y, z0 + z, x1 + x, y1 + y, z1 + z)


def material_of(part: Part) -> str:
    """The word for what a part is made of, for colours and lists."""
    made = part.made
    if isinstance(made, Bought):
        return made.material
    return str(getattr(made, "material", "") or getattr(made, "wood", ""))
