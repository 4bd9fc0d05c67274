"""The piece and the machine as solids."""

from __future__ import annotations

from collections.abc import Callable

import cadquery as cq

from jigs.model.kind import BoardHole
from jigs.model.outline import Outline, arc_bulge
from jigs.model.part import Cut, Does, Face, Fixed, Part
from jigs.model.pose import Pose
from jigs.shop.form import Round, Square
from jigs.shop.machine import (
    Anchors,
    Holes,
    Machine,
    Slots,
    Spoilboard,
    Table,
    face_width,
)
from jigs.solids.shapes import flat, swept, turned
from jigs.tables import thread

BEHIND_SLOT = 10.0
"""mm of metal drawn behind the slots of a front face; only for looks."""


def piece_solid(form: Round | Square) -> cq.Shape:
    """The piece, its machined end at z = 0."""
    if isinstance(form, Square):
        w, d, h = form.width, form.depth, form.length
        return swept(Outline.rectangle(-w / 2, -d / 2, w / 2, d / 2), flat(-h), (0, 0, h))
    rim_z, rim_r = form.profile[0]
    bulge = arc_bulge((0.0, 0.0), (rim_r, rim_z), (0.0, -form.dome_radius), left=False)
    points: list[tuple[float, ...]] = [(0.0, 0.0, bulge)]
    points += [(r, z) for z, r in form.profile] + [(0.0, form.profile[-1][0])]
    solid: cq.Shape = turned(Outline.of(points))
    if form.body:
        b = form.body
        block = swept(
            Outline.rectangle(
                b.offset_x - b.width / 2, b.offset_y - b.depth / 2,
                b.offset_x + b.width / 2, b.offset_y + b.depth / 2,
            ),
            flat(-b.below - b.length), (0, 0, b.length),
        )  # fmt: skip
        solid = solid.fuse(block).Solids()[0]
    return solid


def bore(hole: BoardHole, frame: Pose) -> cq.Solid:
    """What a hole in a board of the machine takes away; `frame` = the work frame in the board's."""
    inwards = (0.0, 0.0, -1.0) if hole.into == "table" else (0.0, 1.0, 0.0)
    start, along = frame.apply(hole.at), frame.rotate(inwards)
    out = cq.Vector(*along) * -1.0
    return cq.Solid.makeCylinder(
        hole.diameter / 2, hole.depth + 1.0, cq.Vector(*start) + out, cq.Vector(*along)
    )


def machine_parts(machine: Machine) -> list[tuple[str, Part, Pose]]:
    """Table and front face with their slots, as parts in the machine frame."""
    table = machine.table
    slots = table.fixing if isinstance(table.fixing, Slots) else None
    along_x = slots is not None and slots.along == "x"
    across, length = (table.depth, table.width) if along_x else (table.width, table.depth)
    outline = _slotted(0.0, across, -table.thickness, 0.0, slots)
    pose = _along_x() if along_x else Pose.to(0, table.depth, 0) @ Pose.turned("x", 90)
    parts = [("table", Part("table", "table", _stuff(table.fixing), outline, length,
                            _grid_holes(table)), pose)]  # fmt: skip
    face = machine.front_face
    if face is not None:
        width = face_width(machine)
        slots = face.fixing if isinstance(face.fixing, Slots) else None
        deep = BEHIND_SLOT + (slots.profile.lip + slots.profile.room if slots else 10.0)
        # Drawn lying down (slots upwards), then stood up: the sheet's y becomes the depth.
        flat_outline = _slotted(face.z.least, face.z.most, -deep, 0.0, slots)
        # local x -> z up, local y -> -y (the slots' mouths to the operator), local z -> x or y
        stand = Pose(
            (width.least, face.y, 0.0), ((0.0, 0.0, 1.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
        )
        parts.append(
            (
                "front face",
                Part(
                    "front_face",
                    "front face",
                    _stuff(face.fixing),
                    flat_outline,
                    width.most - width.least,
                    _face_holes(face.fixing, width.least),
                ),
                stand,
            )
        )
    return parts


def _stuff(fixing: Anchors) -> Fixed:
    return Fixed(
        "medium-density fibreboard (MDF)" if isinstance(fixing, Spoilboard) else "aluminium"
    )


def _grid_holes(table: Table) -> tuple[Cut, ...]:
    """The table's threaded holes, drawn with the thread's diameter, through and through.

    A table without slots is drawn standing, its thickness along y: local x, z are x and depth - y.
    """
    return _grid_holes_at(table.fixing, lambda x, y: (x, table.depth - y))


def _face_holes(fixing: Anchors, left: float) -> tuple[Cut, ...]:
    """The front face's threaded holes: lying down, local x is its z, local z its x."""
    return _grid_holes_at(fixing, lambda x, z: (z, x - left))


def _grid_holes_at(
    fixing: Anchors, local: Callable[[float, float], tuple[float, float]]
) -> tuple[Cut, ...]:
    if not isinstance(fixing, Holes):
        return ()
    diameter, (x, y) = thread(fixing.thread).major_diameter, fixing.first
    return tuple(
        Cut(f"hole {i + 1}, {j + 1}", Face.BACK,
            Outline.circle(*local(x + i * fixing.pitch, y + j * fixing.pitch), diameter),
            Does.HOLE)
        for i in range(fixing.columns) for j in range(fixing.rows)
    )  # fmt: skip


def _along_x() -> Pose:
    """Local x -> y, local y -> z, local z -> x."""
    return Pose.turned("y", 90) @ Pose.turned("z", 90)


def _slotted(x0: float, x1: float, low: float, top: float, slots: Slots | None) -> Outline:
    """A slab seen along its slots: T-slots open at the top."""
    points: list[tuple[float, float]] = [(x0, low), (x1, low), (x1, top)]
    for at in sorted(slots.at, reverse=True) if slots else ():
        assert slots is not None
        p = slots.profile
        m, w = p.mouth / 2, p.wide / 2
        lip, floor = top - p.lip, top - p.lip - p.room
        points += [(at + m, top), (at + m, lip), (at + w, lip), (at + w, floor)]
        points += [(at - w, floor), (at - w, lip), (at - m, lip), (at - m, top)]
    return Outline.of([*points, (x0, top)])
