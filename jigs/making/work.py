"""What is done to each part on the router: which face is up, in which order, how deep, with what.

A part worked on one face has that face up. One worked on both is turned over about a line along x
on two dowels: first the face with fewer works, then the other one, and there the outline last, so
that the waste holds it as long as possible. What goes right through is cut together with the
outline, so that it needs no turning, but for a hole whose counterbore or recess is on the first
face: both are made in one clamping, so that they are about one axis.

Coordinates of a face are those of its file: the part's own x, y with the top up; with the bottom up
y is mirrored about the line `axis_y`, which is where turning it over puts everything.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache

from jigs.making.clamping import clampings_of, goes_through, partners_of, slices_of
from jigs.making.drilling import Drilled, drilled_holes
from jigs.making.holding import NOT_ON_THE_ROUTER, Clamped, Tab, held, how_made
from jigs.model.outline import Outline
from jigs.model.part import Board, Bought, Cut, Does, Face, Fixed, Part, Sheet, Stack
from jigs.model.state import SHOWN
from jigs.shop.machine import Cutter
from jigs.shop.making import USUAL, Making, routing_cutter
from jigs.sizing import Design, Jig
from jigs.units import Limits

DOWEL = 6.0
"""mm, diameter of the dowels that a part is turned over on."""
DOWEL_OUT = 12.0
"""mm from the outline to a dowel's middle; more for a cutter whose path would reach it."""
DOWEL_IN = 8.0
"""mm that the dowels stand in the spoilboard. Common practice, no source."""
BEYOND_FLUTES = 5.0
"""mm that a board may be thicker than the flutes are long and still be planned for the router: a
shank that is thinner follows in the kerf, and a check asks for longer flutes where it is not. What
is thicker still is sawn and bored. Common practice, no source."""
THINNER_SHANK = 0.2
"""mm by which a shank is thinner than its cutter, so that it does not rub in the kerf. Common
practice, no source."""
ASSUMED_FLUTES = 25.0
"""mm, of a 6 mm cutter that is still to be bought. Assumed."""
_SAME = 1e-6


class Layer(StrEnum):
    """Layers of a cut file, in working order."""

    REGISTRATION = "0 registration"
    HOLES = "1 holes"
    GROOVES = "2 grooves and recesses"
    INSIDE = "3 inside shapes"
    OUTLINE = "4 outline"
    SCALE = "5 scale check do not cut"
    MARKS = "0 marks to engrave"


@dataclass(frozen=True, slots=True)
class RoutingCutter:
    """The cutter that follows the outlines, mm."""

    name: str
    diameter: float
    flute_length: float


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to cut; depth from the face that is up, mm, as cut. `number` counts in a layer."""

    layer: Layer
    number: int
    name: str
    does: str
    outline: Outline
    depth: float
    through: bool
    tool: str
    meets: str = ""


@dataclass(frozen=True, slots=True)
class FaceWork:
    """All that is cut in one clamping, in working order."""

    up: Face
    steps: tuple[Step, ...]
    tabs: tuple[Tab, ...] = ()

    @property
    def mirrored(self) -> bool:
        """Seen from below: y is mirrored about the line `axis_y` of the work."""
        return self.up is Face.BOTTOM


@dataclass(frozen=True, slots=True)
class Work:
    """How one piece is made. A stack is cut as its slices; `slices` of this one make a part.

    `registration` = (x, y, diameter) of the two dowels, none where nothing is turned over; `drill`
    = holes in its edges; `hold` and `how` are plain words, a line each.
    """

    jig: str
    name: str
    part: Part
    made: str
    made_by: str
    material: str
    stock: str
    pieces: int
    slices: int
    thickness: Limits
    cutter: RoutingCutter
    axis_y: float
    registration: tuple[tuple[float, float, float], ...]
    faces: tuple[FaceWork, ...]
    drill: tuple[Drilled, ...]
    hold: tuple[str, ...]
    how: tuple[str, ...]

    def file(self, face: FaceWork) -> str:
        """Name of the cut file of a face, without a folder."""
        turned = " turned over" if face is not self.faces[0] else ""
        return f"{self.name}{turned}.dxf"


def made_parts(d: Design) -> list[tuple[str, Part]]:
    """Every part that is made rather than bought, with its jig's name."""
    return [
        (jig.name, part)
        for _, jig in d.jigs()
        for part in jig.parts.values()
        if not isinstance(part.made, Bought | Fixed)
    ]


def pieces_of(jig: Jig, part: Part) -> int:
    """How many of a part the jig needs: those that are placed, or what the part itself says."""
    return sum(placed.part == part.id for placed in jig.poses(SHOWN)) or part.quantity


def thickness_of(d: Design, part: Part) -> Limits:
    """Of what the part is cut from, mm: the sheet as measured, or the board as planed."""
    sheet = d.job.model.sheets.get(getattr(part.made, "stock", ""))
    if isinstance(part.made, Sheet | Stack) and sheet is not None and sheet.measured is not None:
        return sheet.measured
    nominal = part.thickness / (part.made.slices if isinstance(part.made, Stack) else 1)
    return Limits(nominal, nominal, nominal)


def works(d: Design) -> Iterator[Work]:
    """Every work of a job, jig by jig, in the parts' order."""
    making = d.job.model.making
    cutter = routing_cutter(d.job.machine, making)
    for _, jig in d.jigs():
        parts = list(jig.parts.values())
        for part in parts:
            thickness = thickness_of(d, part)
            pieces = pieces_of(jig, part)
            yield from works_of(jig.name, part, pieces, making, cutter, thickness, parts)


def work_of(
    jig_name: str, part: Part, pieces: int, making: Making, cutter: tuple[str, Cutter] | None,
    thickness: Limits, others: Sequence[Part] = (),
) -> Work | None:  # fmt: skip
    """The only work of a part; None where the router makes nothing of it. See `works_of`.

    Raises: ValueError for a stack whose slices differ.
    """
    found = works_of(jig_name, part, pieces, making, cutter, thickness, others)
    if len(found) > 1:
        raise ValueError(f"{part.id}: its slices differ, so it has {len(found)} works")
    return found[0] if found else None


def works_of(
    jig_name: str, part: Part, pieces: int, making: Making, cutter: tuple[str, Cutter] | None,
    thickness: Limits, others: Sequence[Part] = (),
) -> tuple[Work, ...]:  # fmt: skip
    """How a part of sheet or board is made; for a stack one work for each different slice.

    Parameters: cutter = what `routing_cutter` finds, None = a 6 mm one is bought; thickness = of
    the sheet or board that is cut, mm; others = parts of the same jig, among which one may be made
    of the same block. Returns nothing for parts that are sawn to a section, printed or bought.
    """
    return _works_of(jig_name, part, pieces, making, cutter, thickness, tuple(others))


@lru_cache(512)
def _works_of(
    jig_name: str, part: Part, pieces: int, making: Making, cutter: tuple[str, Cutter] | None,
    thickness: Limits, others: tuple[Part, ...],
) -> tuple[Work, ...]:  # fmt: skip
    """As `works_of`, worked out once for each different part."""
    if part.outline is None or not isinstance(part.made, Sheet | Stack | Board):
        return ()
    if cutter is None:
        used = RoutingCutter(f"a straight cutter of {USUAL:g} mm, bought for it", USUAL,
                             ASSUMED_FLUTES)  # fmt: skip
    else:
        used = RoutingCutter(cutter[0], cutter[1].diameter, cutter[1].flute_length)
    blanks = slices_of(part) if isinstance(part.made, Stack) else [(part.id, part, 1)]
    drill = drilled_holes(part)
    return tuple(
        _work(jig_name, name, blank, count, pieces, making, used, thickness,
              drill if i == 0 else (), others)
        for i, (name, blank, count) in enumerate(blanks)
    )  # fmt: skip


def _work(
    jig: str, name: str, part: Part, count: int, pieces: int, making: Making,
    cutter: RoutingCutter, thickness: Limits, drill: tuple[Drilled, ...], others: Sequence[Part],
) -> Work:  # fmt: skip
    """One blank's work. `part` is the blank: of a stack the slice."""
    assert part.outline is not None
    assert isinstance(part.made, Sheet | Stack | Board)
    routed = not is_sawn(part, thickness, cutter.flute_length)
    clampings = clampings_of(part)
    turned = len(clampings) > 1
    axis = (part.outline.bounds[1] + part.outline.bounds[3]) / 2 if turned else 0.0
    dowels = _dowels(part.outline, axis, cutter) if turned else ()
    through = thickness.most + (making.over_cut if routed else 0.0)
    faces = [
        FaceWork(
            up,
            _numbered(
                [
                    *_dowel_steps(dowels, thickness, again=i > 0),
                    *_steps(part, up, cuts, cutter, axis, through),
                    *([_outline_step(part.outline, up, axis, through)] if i == turned else []),
                ]
            ),
        )
        for i, (up, cuts) in enumerate(clampings)
    ]
    tabs: tuple[Tab, ...] = ()
    hold: tuple[str, ...] = (NOT_ON_THE_ROUTER,)
    if routed:
        clamped = _clamped(part, faces[-1], axis, thickness, making)
        tabs, hold = held(clamped, making, cutter.diameter, thickness, turned)
        faces[-1] = replace(faces[-1], tabs=tabs)
    stock = getattr(part.made, "stock", "")
    return Work(
        jig, name, part, type(part.made).__name__.lower(),
        "router" if routed else "bandsaw and router with a flush trim, pillar drill for the bore",
        part.made.wood if isinstance(part.made, Board) else part.made.material,
        stock, pieces, count, thickness, cutter, axis, dowels, tuple(faces), drill, hold,
        how_made(part, count, routed, thickness, (cutter.diameter, cutter.flute_length),
                 others, [face.up for face in faces]) + _drill_words(drill),
    )  # fmt: skip


def is_sawn(part: Part, thickness: Limits, flute_length: float) -> bool:
    """Is it a board too thick to be routed? Lengths in mm."""
    beyond = thickness.most > flute_length + BEYOND_FLUTES + _SAME
    return isinstance(part.made, Board) and beyond


def reach_of(cutter: Cutter) -> float:
    """How deep a cutter goes into its own kerf, mm: its flutes, or a thin shank held two deep."""
    if cutter.shank > cutter.diameter - THINNER_SHANK + _SAME:
        return cutter.flute_length
    return max(cutter.flute_length, cutter.length - 2 * cutter.shank)


def _dowels(
    outline: Outline, axis: float, cutter: RoutingCutter
) -> tuple[tuple[float, float, float], ...]:
    """Left and right in the waste; the cutter's path leaves 2 mm of wood beside them."""
    x0, _, x1, _ = outline.bounds
    out = max(DOWEL_OUT, cutter.diameter + DOWEL / 2 + 2.0)
    return ((x0 - out, axis, DOWEL), (x1 + out, axis, DOWEL))


def _dowel_steps(
    dowels: Sequence[tuple[float, float, float]], thickness: Limits, again: bool
) -> list[Step]:
    """Both dowel holes; in the second clamping they are there already and depth is 0.

    They are drilled with any cutter: a dowel must fit, and they are deeper than flutes reach.
    """
    found = []
    for side, (x, y, diameter) in zip(("left", "right"), dowels, strict=False):
        hole = Outline.circle(x, y, diameter)
        name = f"dowel {side}, already drilled: put it in" if again else f"dowel {side}"
        deep = 0.0 if again else thickness.most + DOWEL_IN
        found.append(Step(Layer.REGISTRATION, 0, name, "registration", hole, deep, not again,
                          "drill"))  # fmt: skip
    return found


def _steps(
    part: Part, up: Face, cuts: Sequence[Cut], cutter: RoutingCutter, axis: float, through: float
) -> list[Step]:
    found = []
    for cut in cuts:
        right_through = goes_through(cut, part)
        depth = through if right_through or cut.depth is None else cut.depth
        found.append(Step(_layer(cut, right_through), 0, cut.name, cut.does.value,
                          seen(cut.outline, up, axis), depth, right_through,
                          _tool(cut.outline, cutter), cut.meets))  # fmt: skip
    return found


def _outline_step(outline: Outline, up: Face, axis: float, through: float) -> Step:
    return Step(Layer.OUTLINE, 0, "outline", "outline", seen(outline, up, axis), through, True,
                "cutter")  # fmt: skip


def _layer(cut: Cut, through: bool) -> Layer:
    if cut.does is Does.HOLE and cut.outline.is_circle:
        return Layer.HOLES
    if cut.does is Does.INSIDE or through:
        return Layer.INSIDE
    return Layer.GROOVES


def _tool(outline: Outline, cutter: RoutingCutter) -> str:
    """A round hole no wider than the cutter cannot be routed: the cutter would only plunge."""
    small = outline.is_circle and 2 * outline.sides[0].radius <= cutter.diameter + _SAME
    return "drill" if small else "cutter"


def seen(outline: Outline, up: Face, axis: float) -> Outline:
    """An outline in the coordinates of the file of the face that is up; its own inverse."""
    if up is Face.TOP:
        return outline
    return Outline.of([(x, 2 * axis - y, -bulge) for x, y, bulge in outline.vertices])


def _numbered(steps: Sequence[Step]) -> tuple[Step, ...]:
    """In working order: by layer; of holes the drilled ones first, drill by drill."""
    count: dict[Layer, int] = {}
    found = []
    for step in sorted(steps, key=_order):
        count[step.layer] = count.get(step.layer, 0) + 1
        found.append(replace(step, number=count[step.layer]))
    return tuple(found)


def _order(step: Step) -> tuple[str, bool, float]:
    if step.layer is not Layer.HOLES:
        return (step.layer, False, 0.0)
    drilled = step.tool == "drill"
    return (step.layer, not drilled, round(step.outline.sides[0].radius, 6) if drilled else 0.0)


def _clamped(part: Part, face: FaceWork, axis: float, thickness: Limits, making: Making) -> Clamped:
    """What holding the part has to know of it, as its last face lies."""
    assert part.outline is not None
    flat = [c for c in part.cuts
            if c.face in (Face.TOP, Face.BOTTOM) and c.does is not Does.PRESSED]  # fmt: skip
    blind = [c for c in flat if not goes_through(c, part)]
    left = thickness.least - making.tab_height
    hollow = [c for c in flat
              if c not in blind or c.face is not face.up or (c.depth or 0.0) > left]  # fmt: skip
    plain = {c.name for c in flat if c not in blind and not partners_of(c, blind)}
    holes = [(s.name, s.outline) for s in face.steps
             if s.layer is Layer.HOLES and s.through and s.name in plain]  # fmt: skip
    return Clamped(
        seen(part.outline, face.up, axis),
        tuple(seen(c.outline, face.up, axis) for c in hollow),
        tuple(holes),
        tuple(seen(c.outline, face.up, axis) for c in flat),
    )


def _drill_words(drill: Sequence[Drilled]) -> tuple[str, ...]:
    if not drill:
        return ()
    return (f"{len(drill)} cuts in its edges are drilled, not routed: see the drill list",)
