"""A jig taken apart for the exploded view: parts shifted out, numbered as in its parts list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from jigs.checks.dry_fit import fitted, moves_of
from jigs.model.move import Move
from jigs.model.state import SHOWN
from jigs.outputs.cad.explode import exploded
from jigs.outputs.cad.look import colour_of
from jigs.outputs.cad.painting import Solid
from jigs.outputs.report import parts_list
from jigs.sizing import Jig, Setup
from jigs.solids.scene import Scene, Standing


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


def assembly_order(scene: Scene, setup: Setup, jig: Jig) -> list[Move]:
    """Moves in the order of putting together, as the dry fit finds it on the solids.

    What it cannot order comes last, as declared.
    """
    declared = [move for move in jig.moves if move.when == "gluing"]
    declared += [m for m in moves_of(jig) if m.when in ("assembly", "at the machine")]
    found = list(fitted(setup, jig, scene.rehearsal).assembly)
    return found + [move for move in declared if move.name not in {m.name for m in found}]


def standing_apart(scene: Scene, setup: Setup, jig: Jig) -> list[Standing]:
    """A jig's placed parts, each shifted out, in the work frame."""
    mine = [s for s in scene.standing(setup, SHOWN) if s.jig == jig.name]
    boxes = {s.name: scene.box_of(s) for s in mine}
    shifts = exploded(assembly_order(scene, setup, jig), boxes, jig.frame)
    return [replace(s, pose=s.pose.shifted(*shifts[s.name])) for s in mine]


def apart(scene: Scene, setup: Setup, jig: Jig) -> Apart:
    """A jig drawn apart, in the work frame."""
    moved = standing_apart(scene, setup, jig)
    table = parts_list(jig)
    numbers = {row["part"]: number for number, row in enumerate(table, 1)}
    part_of = {placed.name: placed.part for placed in jig.poses(SHOWN)}
    rows = {numbers[row["part"]]: _told(row, row["part"] in part_of.values()) for row in table}
    return Apart(
        f"{jig.name}: {jig.kind.title}",
        tuple(s.name for s in moved),
        tuple(Solid(s.shape, s.pose, colour_of(s.material)) for s in moved),
        tuple(numbers[part_of[s.name]] for s in moved),
        rows,
    )


def _told(row: Mapping[str, object], drawn: bool) -> str:
    times = f"{row['quantity']} × " if row["quantity"] != 1 else ""
    return f"{times}{row['title']}" + ("" if drawn else " (not drawn)")
