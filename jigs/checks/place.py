"""Place: the spindle can get to the work zero of every piece of the batch."""

from __future__ import annotations

from jigs.model.finding import Finding, at_least, at_most
from jigs.model.state import Limit, Phase, State
from jigs.sizing import Design, Setup

CLEAR_OVER = 2.0
"""mm of the cutter's tip over the piece between cuts. Common practice, no source."""


def check_place(design: Design) -> list[Finding]:
    """Margin between each setup's pieces and the ends of the travel, along x and y."""
    return [f for setup in design.setups for f in _within_travel(design, setup)]


def _within_travel(design: Design, setup: Setup) -> list[Finding]:
    travel = design.job.machine.travel
    zero = setup.work_zero.at
    places = [setup.piece_pose(State(Phase.CLOSED, limit)).at for limit in Limit]
    found = []
    for axis, interval, at, along in (
        ("x", travel.x, zero[0], [p[0] for p in places]),
        ("y", travel.y, zero[1], [p[1] for p in places]),
    ):
        margins = [m for d in along for m in (at + d - interval.least, interval.most - at - d)]
        found.append(
            at_least(
                min(margins),
                0.0,
                group="place",
                check=f"piece's axis within travel in {axis}",
                of=setup.name,
                source="derived from the machine's travel",
                why="the spindle's axis must reach the piece's",
                governs="the piece furthest out",
            )
        )
    return found + (_within_height(setup) if setup.model.cut else [])


def _within_height(setup: Setup) -> list[Finding]:
    """The collet nut comes low enough for the cut and high enough to clear the piece."""
    n = setup.n
    nuts = []
    for limit in Limit:
        top = n.end_height + setup.piece_pose(State(Phase.CLOSED, limit)).at[2]
        nuts += [top - n.cut_depth + n.tip_to_nut, top + CLEAR_OVER + n.tip_to_nut]
    about = {"group": "reach", "of": setup.name, "source": "derived from the machine's travel"}
    return [
        at_most(max(nuts), n.travel_z_most, check="collet nut within travel in z, raised",
                why=f"the cutter's tip {CLEAR_OVER:g} mm over the longest piece", **about),
        at_least(min(nuts), n.travel_z_least, check="collet nut within travel in z, lowered",
                 why="at full depth on the shortest piece", **about),
    ]  # fmt: skip
