"""The cut itself: within the piece's end, and within what the cutter can do."""

from __future__ import annotations

from jigs.model.finding import Finding, at_least, at_most
from jigs.sizing import Design, Setup

COMMON = "common practice, no source"


def check_cut(design: Design) -> list[Finding]:
    """Findings on each setup's cut; none for a setup without one."""
    return [f for setup in design.setups if setup.model.cut for f in _of_setup(setup)]


def _of_setup(setup: Setup) -> list[Finding]:
    n = setup.n
    found = [
        at_least(n.flute_length if n.shank > n.cutter_diameter - 0.2 else n.cutter_length,
                 n.cut_depth, group="cut", of=setup.name, check="cutter reaches the depth",
                 source="derived; a shank 0.2 mm thinner than the cutter does not rub "
                 "(common practice, no source)", why="or its shank rubs")
    ]  # fmt: skip
    across = n.cut_width or n.cutter_diameter
    end = n.end_diameter if n.finds("end_diameter") else min(n.width_least, n.depth_least)
    found.append(
        at_most(across, end, group="cut", of=setup.name, check="cut lies within the piece's end",
                source="derived", why="on the thinnest piece")
    )  # fmt: skip
    assumed = () if n.stick_out else (f"stick-out {n.tip_to_nut:g} mm: set it so",)
    low = n.tip_to_nut - max(0.0, n.dust_hood_below if n.dust_hood_diameter else 0.0)
    found.append(
        at_least(low, n.cut_depth + 2, group="reach", of=setup.name, assumes=assumed,
                 check="collet nut and hood stay above the piece", source=COMMON,
                 why="at full depth")
    )  # fmt: skip
    if n.stick_out:
        found.append(
            at_most(n.stick_out, n.cutter_length - 2 * n.shank, group="cut", of=setup.name,
                    check="enough shank in the collet", source="common practice, no source",
                    why="at least twice its diameter is held")
        )  # fmt: skip
    return found
