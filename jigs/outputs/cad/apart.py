"""A jig taken apart for the exploded view: parts shifted out, numbered as in its parts list."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from jigs.checks.dry_fit import fitted, moves_of
from jigs.model.move import Move
from jigs.model.pose import Pose
from jigs.model.state import SHOWN, Limit, Role, State
from jigs.outputs.cad.cast import said, solid
from jigs.outputs.cad.explode import Array, Box, exploded
from jigs.outputs.cad.seeing import Solid
from jigs.outputs.report import parts_list
from jigs.sizing import Jig, Setup
from jigs.solids.scene import Scene, Standing

_SAME_WAY = 0.999
"""Cosine of two ways that count as one."""


@dataclass(frozen=True)
class Apart:
    """A jig's parts, each shifted out. All but `rows` are one for each placed part, in one order.

    `numbers` = of the parts list; `rows` = the parts list: number and words.
    """

    title: str
    names: tuple[str, ...]
    solids: tuple[Solid, ...]
    numbers: tuple[int, ...]
    rows: Mapping[int, str]


@dataclass(frozen=True)
class Together:
    """A jig as it stands, and all that decides how it is taken apart.

    `moves` = in the order of putting together where that was `tried`, else as they are declared;
    `threads` = names of two that are screwed together; `sunk` = of what bites into something.
    """

    jig: Jig
    standing: tuple[Standing, ...]
    moves: tuple[Move, ...]
    tried: bool
    threads: tuple[tuple[str, str], ...]
    sunk: frozenset[str]

    @property
    def shows(self) -> object:
        """All that decides the drawing."""
        table = [(row["part"], row["title"], row["quantity"]) for row in parts_list(self.jig)]
        return (
            f"{self.jig.name}: {self.jig.kind.title}", said(self.standing), self.moves, self.tried,
            self.threads, sorted(self.sunk), self.jig.frame,
            [placed.part for placed in self.jig.poses(SHOWN)], table,
        )  # fmt: skip

    def order(self, boxes: Mapping[str, Box]) -> list[Move]:
        """Moves in the order of putting together; boxes = bounds of every part by its name, mm."""
        moves = self.moves if self.tried else benched(self.moves, self.threads, self.sunk, boxes)
        return outer_ones_last(moves, self.threads, boxes, self.jig.frame)


def together(scene: Scene, setup: Setup, jig: Jig, *, tried: bool = True) -> Together:
    """A jig as it stands. `tried`: ordered by what the dry fit finds, else by rules of thumb."""
    return Together(
        jig,
        tuple(s for s in scene.standing(setup, SHOWN) if s.jig == jig.name),
        tuple(assembly_order(scene, setup, jig) if tried else declared(jig)),
        tried,
        tuple(_touching(jig, Role.THREADS)),
        frozenset(name for name, _ in _touching(jig, Role.BITES)),
    )


def _touching(jig: Jig, role: Role) -> list[tuple[str, str]]:
    """Names of what touches in that way while the jig is put together, once each."""
    states = [State(phase, Limit.NOMINAL) for phase in dict.fromkeys(m.at for m in jig.moves)]
    contacts = (c for state in states for c in jig.kind.contacts(jig.n, state) if c.role is role)
    return list(dict.fromkeys((contact.a, contact.b) for contact in contacts))


def declared(jig: Jig) -> list[Move]:
    """Moves of putting together as they are declared, what is glued up first."""
    glued = [move for move in jig.moves if move.when == "gluing"]
    return glued + [m for m in moves_of(jig) if m.when in ("assembly", "at the machine")]


def benched(
    moves: Sequence[Move],
    threads: Sequence[tuple[str, str]],
    sunk: frozenset[str],
    boxes: Mapping[str, Box],
) -> list[Move]:
    """Moves by rules of thumb, where nobody tried what bars what; else as they come.

    First what is put together on the bench, then bolts that stay on the machine, then the jig over
    them, then what holds it down. Of two that are screwed together the longer one is the bolt.
    """
    on_machine = {name for move in moves if move.when == "at the machine" for name in move.unit}
    pairs = [
        sorted(p, key=lambda name: _size(boxes[name])) for p in threads if set(p) <= set(boxes)
    ]
    nuts, bolts = {nut for nut, _ in pairs}, {bolt for _, bolt in pairs}

    def turn(move: Move) -> int:
        unit = set(move.unit)
        if move.when == "at the machine":
            return 2
        if not on_machine or move.when == "gluing" or unit & (on_machine | sunk):
            return 0
        return 1 if unit & bolts else 4 if unit & nuts else 3

    return sorted(moves, key=turn)


def _size(box: Box) -> float:
    return math.dist(box[:3], box[3:])


def assembly_order(scene: Scene, setup: Setup, jig: Jig) -> list[Move]:
    """Moves in the order of putting together, as the dry fit finds it on the solids.

    What it cannot order comes last, as declared.
    """
    found = list(fitted(setup, jig, scene.rehearsal).assembly)
    names = {move.name for move in found}
    return found + [move for move in declared(jig) if move.name not in names]


def outer_ones_last(
    moves: Sequence[Move], threads: Sequence[tuple[str, str]], boxes: Mapping[str, Box], frame: Pose
) -> list[Move]:
    """The moves, but of two things screwed together that go one way the one ahead goes on last.

    A knob comes off its stud before the stud comes out: the dry fit sweeps straight ways, on which
    a stud slips through its knob.
    Parameters: threads = names of what is screwed onto what; boxes, frame = as of `exploded`.
    """
    found = list(moves)
    for names in threads:
        if not boxes.keys() >= set(names):
            continue
        one, other = _parting(found, *names), _parting(found, *names[::-1])
        if one is None or other is None:
            continue
        way, same = (_direction(found[index], frame) for index in (one, other))
        if way @ same < _SAME_WAY:
            continue
        off = np.reshape(np.subtract(boxes[names[0]], boxes[names[1]]), (2, 3)).mean(axis=0)
        outer, inner = (one, other) if off @ way > 0 else (other, one)
        if outer < inner:
            found.insert(inner, found.pop(outer))
    return found


def _parting(moves: Sequence[Move], name: str, other: str) -> int | None:
    """The last move that takes one thing without the other; None where none does."""
    places = [i for i, m in enumerate(moves) if name in m.unit and other not in m.unit and m.legs]
    return places[-1] if places else None


def _direction(move: Move, frame: Pose) -> Array:
    """The way of its last leg, of length 1; zero where it goes nowhere."""
    way = np.array(frame.rotate(move.legs[-1]))
    return np.asarray(way / (np.linalg.norm(way) or 1.0))


def standing_apart(scene: Scene, whole: Together) -> list[Standing]:
    """A jig's placed parts, each shifted out, in the work frame."""
    boxes = {s.name: scene.box_of(s) for s in whole.standing}
    shifts = exploded(whole.order(boxes), boxes, whole.jig.frame)
    return [replace(s, pose=s.pose.shifted(*shifts[s.name])) for s in whole.standing]


def apart(scene: Scene, whole: Together) -> Apart:
    """A jig drawn apart, in the work frame."""
    jig, moved = whole.jig, standing_apart(scene, whole)
    table = parts_list(jig)
    numbers = {row["part"]: number for number, row in enumerate(table, 1)}
    part_of = {placed.name: placed.part for placed in jig.poses(SHOWN)}
    rows = {numbers[row["part"]]: _told(row, row["part"] in part_of.values()) for row in table}
    return Apart(
        f"{jig.name}: {jig.kind.title}",
        tuple(s.name for s in moved),
        tuple(solid(s) for s in moved),
        tuple(numbers[part_of[s.name]] for s in moved),
        rows,
    )


def _told(row: Mapping[str, object], drawn: bool) -> str:
    times = f"{row['quantity']} × " if row["quantity"] != 1 else ""
    return f"{times}{row['title']}" + ("" if drawn else " (not drawn)")
