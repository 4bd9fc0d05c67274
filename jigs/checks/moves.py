"""Where the tip, the head and the pieces of a setup go, in its work frame."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from jigs.model.number import Book, Standing
from jigs.model.outline import Point
from jigs.model.pose import Vec
from jigs.model.state import Limit, Phase, State
from jigs.shop.head import GANTRY, HeadBody, Sweep, Tips, gantry_sweeps, head_bodies, swept
from jigs.shop.path import Area, Path, cut_path
from jigs.shop.piece import Bar
from jigs.sizing import Setup

Box = tuple[float, float, float, float, float, float]
"""Three least, three most, mm."""


@dataclass(frozen=True)
class Move:
    """One cut on one piece of a setup: from where the spindle parks, over the cut, and back."""

    setup: Setup
    cut: Book
    state: State
    path: Path
    nut: float
    """From the cutter's tip to the collet nut's face, mm."""

    @property
    def governs(self) -> str:
        """Cut and piece, as findings name them."""
        return f"{self.cut.owner}, {self.state.piece} piece"

    @property
    def end(self) -> float:
        """Height of the piece's end in the work frame, mm."""
        return self.setup.piece_pose(self.state).at[2]

    @property
    def top(self) -> float:
        """Height of the tip with the spindle at its highest, where it goes to and from, mm."""
        n = self.setup.n
        return float(n.travel_z_most - n.end_height - self.nut)

    def areas(self) -> list[Area]:
        """Where the tip cuts, in plan."""
        pose = self.setup.piece_pose(self.state)
        return [area.placed(pose) for area in self.path.areas]

    def over(self) -> list[Tips]:
        """Over the cut, at any height: it may be lifted out anywhere."""
        low = self.end - self.path.deepest
        return [Tips(area, low, max(low, self.top)) for area in self.areas()]

    def tips(self) -> list[Tips]:
        """Over the cut, and to the park and back with the spindle as high as it goes.

        The way begins and ends wherever the program does, so any place of the cut counts.
        """
        over = self.over()
        corners = [p for tips in over for p in tips.area.corners]
        way = Area.hull([parked(self.setup), *corners], max(t.area.rounding for t in over))
        return [*over, Tips(way, over[0].high, over[0].high)]

    def bodies(self) -> list[HeadBody]:
        """What is on the spindle."""
        return head_bodies(self.setup.n, self.cut, self.nut)

    def sweeps(self) -> dict[str, list[Sweep]]:
        """What each body covers, by its name; the gantry's too."""
        tips = self.tips()
        found: dict[str, list[Sweep]] = {}
        for body in self.bodies():
            found.setdefault(body.name, []).extend(swept(body, t) for t in tips)
        for sweep in gantry_sweeps(self.setup.n, self.setup.work_zero.at, tips):
            found.setdefault(sweep.body, []).append(sweep)
        return found

    def at_point(self, at: Vec) -> dict[str, list[Sweep]]:
        """What each body on the spindle covers while the tip goes down to a place."""
        tips = Tips(Area(((at[0], at[1]),)), at[2], max(at[2], self.top))
        found: dict[str, list[Sweep]] = {}
        for body in self.bodies():
            found.setdefault(body.name, []).append(swept(body, tips))
        return found


def moves(setup: Setup) -> Iterator[Move]:
    """Every cut of a setup on the least, the nominal and the largest piece."""
    for cut in setup.cuts:
        for limit in Limit:
            path = cut_path(cut, setup.piece, limit)
            yield Move(setup, cut, State(Phase.CLOSED, limit), path, stick_out_of(setup, cut, path))


def stick_out_of(setup: Setup, cut: Book, path: Path) -> float:
    """From tip to nut, mm; where no stick-out is given, the least that clears the piece's end."""
    if cut["stick_out"].standing is not Standing.ASSUMED:
        return float(cut.stick_out)
    return float(max(cut.stick_out, path.deepest + setup.n.head_clear))


def assumed_stick_out(move: Move) -> tuple[str, ...]:
    """What is assumed of the stick-out, in a few words; nothing where it is given."""
    given = move.cut["stick_out"].standing is not Standing.ASSUMED
    return () if given else (f"stick-out {move.nut:g} mm: set it so",)


def parked(setup: Setup) -> Point:
    """Where the spindle waits, in the work frame, mm.

    Left out in the machine: at the back, in the corner of the travel furthest from the work.
    """
    n, (x, y, _) = setup.n, setup.work_zero.at
    if n.park:
        return (n.park[0] - x, n.park[1] - y)
    far_left = x - n.travel_x_least > n.travel_x_most - x
    return ((n.travel_x_least if far_left else n.travel_x_most) - x, n.travel_y_most - y)


def parked_sweeps(move: Move) -> list[Sweep]:
    """The head as high as it goes where it waits, and the gantry there."""
    tips = Tips(Area((parked(move.setup),)), move.top, move.top)
    head = [swept(body, tips) for body in move.bodies()]
    return head + gantry_sweeps(move.setup.n, move.setup.work_zero.at, [tips])


def piece_box(setup: Setup, state: State) -> Box:
    """Bounds of the piece in a state, in the work frame, mm."""
    piece, limit = setup.piece, state.piece
    length = float(getattr(piece.length, limit.value))
    if isinstance(piece, Bar):
        x, y = (getattr(side, limit.value) / 2 for side in (piece.width, piece.depth))
        plan = [(-x, -y), (x, y), (-x, y), (x, -y)]
    else:
        r = max(radius for _, radius in piece.profile(limit))
        plan = [(-r, -r), (r, r), (-r, r), (r, -r)]
        if body := piece.body:
            plan += [
                (body.offset_x + i * body.width / 2, body.offset_y + j * body.depth / 2)
                for i in (-1, 1) for j in (-1, 1)
            ]  # fmt: skip
    pose = setup.piece_pose(state)
    corners = [pose.apply((x, y, 0.0)) for x, y in plan]
    xs, ys, top = [c[0] for c in corners], [c[1] for c in corners], pose.at[2]
    return (min(xs), min(ys), top - length, max(xs), max(ys), top)


def sacrificial(setup: Setup, state: State) -> frozenset[str]:
    """Names of the placed parts that are meant to be cut into."""
    return frozenset(
        f"{jig.name}/{placed.name}"
        for jig in setup.jigs
        for placed in jig.poses(state)
        if jig.parts[placed.part].sacrificial
    )


def in_machine(setup: Setup, at: Vec) -> str:
    """A place of the work frame in words: machine frame, mm."""
    x, y, z = setup.work_zero.apply(at)
    return f"x {x:.1f}, y {y:.1f}, z {z:.1f}"


def gap_of_boxes(a: Box, b: Box) -> float:
    """Distance of two bounds, mm; 0 where they overlap."""
    beyond = (max(0.0, a[i] - b[i + 3], b[i] - a[i + 3]) for i in range(3))
    return float(sum(d * d for d in beyond) ** 0.5)


def only_assumed(setup: Setup, body: str) -> str:
    """What to measure of a gantry that was not given; empty where it was, and for the head."""
    asks: Mapping[str, tuple[str, str]] = {
        GANTRY[0]: ("beam_y", "gantry: {beam_y: ...}"), GANTRY[1]: ("legs_x", "gantry: {legs: ...}")
    }  # fmt: skip
    if body not in asks:
        return ""
    name, remedy = asks[body]
    return "" if setup.n[name].where else remedy
