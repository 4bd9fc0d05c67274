"""Place: the spindle can get to the work zero of every piece, where no cut says more.

Setups with a cut are judged over the whole cut, in `checks/reach.py`.
"""

from __future__ import annotations

from jigs.model.finding import Finding, at_least
from jigs.model.state import Limit, Phase, State
from jigs.sizing import Design, Setup


def check_place(design: Design) -> list[Finding]:
    """Margin between each setup's pieces and the ends of the travel, along x and y."""
    return [f for setup in design.setups if not setup.cuts for f in _within_travel(setup)]


def _within_travel(setup: Setup) -> list[Finding]:
    n, zero = setup.n, setup.work_zero.at
    places = [setup.piece_pose(State(Phase.CLOSED, limit)).at for limit in Limit]
    found = []
    for axis, i, least, most in (
        ("x", 0, n.travel_x_least, n.travel_x_most), ("y", 1, n.travel_y_least, n.travel_y_most)
    ):  # fmt: skip
        margins = [m for p in places for m in (zero[i] + p[i] - least, most - zero[i] - p[i])]
        found.append(
            at_least(
                min(margins), 0.0, group="place", check=f"piece's axis within travel in {axis}",
                of=setup.name, source="derived from the machine's travel",
                why="the spindle's axis must reach the piece's", governs="the piece furthest out",
                equation="lesser of: axis less least of the travel; most of it less axis",
                reads=(f"axis_{axis}", f"travel_{axis}_least", f"travel_{axis}_most"),
            )
        )  # fmt: skip
    return found
