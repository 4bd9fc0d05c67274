"""Tongues in grooves: a sheet's edge in a dado, a key in its groove, as thick as they come."""

from __future__ import annotations

from collections.abc import Iterator

from jigs.making.as_cut import clear_between
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.part import Cut, Does, Face, Part, Sheet, Strip
from jigs.model.pose import Pose, Vec
from jigs.model.state import SHOWN
from jigs.sizing import Design, Jig

LOOSE = 0.7
"""mm of play of a tongue in its groove above which glue no longer fills it. Common practice, no
source."""
ROOM = 0.1
"""mm that a dado is wider than the thickest sheet, so that it goes in. Common practice, no
source."""
FLAT = (Face.TOP, Face.BOTTOM)
COMMON = "common practice, no source"
DERIVED = "derived from the outlines"


def check_tongues(design: Design, jig: Jig) -> Iterator[Finding]:
    """Play of what goes into a groove by its thickness, at both ends of that thickness.

    No finding for a jig in which nothing does.
    """
    plays = list(_plays(design, jig))
    if not plays:
        return
    levers = tuple(name for name in jig.n if name.endswith("dado_width"))
    tightest = min(plays, key=lambda p: p[0])
    loosest = max(plays, key=lambda p: p[1])
    spread = loosest[1] - loosest[0]
    yield at_least(
        tightest[0], 0.0, group="make", check="tongues go into their grooves", governs=tightest[2],
        source=DERIVED, why="play at the thickest", levers=tuple(f"+{name}" for name in levers),
    )  # fmt: skip
    why, narrower = "play at the thinnest, what glue still fills", levers
    if spread > LOOSE - ROOM + 1e-9:
        # A groove narrower by a remedy's steps of 0.1 mm would keep the thick end out.
        narrower = ()
        why = (f"its thickness varies by {spread:.2f} mm (± {spread / 2:.2f}), and no groove "
               f"with {ROOM:g} of room serves more than {LOOSE - ROOM:.2f}: "
               f"± {(LOOSE - ROOM) / 2:.2f} would do, or shoulder the "
               "tongues to one thickness")  # fmt: skip
    yield at_most(
        loosest[1], LOOSE, group="make", check="tongues fill their grooves", governs=loosest[2],
        source=COMMON, why=why, levers=tuple(f"-{name}" for name in narrower),
    )  # fmt: skip


def _plays(design: Design, jig: Jig) -> Iterator[tuple[float, float, str]]:
    """(least, most, what in what) of every tongue and groove as they stand in the jig."""
    placed = jig.poses(SHOWN)
    for into in placed:
        part = jig.parts[into.part]
        for cut in part.cuts:
            if cut.does is not Does.GROOVE or not cut.meets or cut.face not in FLAT:
                continue
            for goes in placed:
                if goes is into or not f" {_kind(goes.name)}".endswith(f" {_kind(cut.meets)}"):
                    continue
                other = jig.parts[goes.part]
                if _is_open_across(part, cut):
                    continue
                play = _play(design, part, cut, other, into.pose.inverse() @ goes.pose)
                if play is not None:
                    yield (*play, f"{other.title} in {cut.name} of {part.title}")


def _kind(name: str) -> str:
    """A name without its number: parts that are alike are counted by where they stand."""
    return name.rstrip(" 0123456789")


def _play(
    design: Design, part: Part, cut: Cut, other: Part, pose: Pose
) -> tuple[float, float] | None:
    """Groove's width less the thickness of what lies across it; None where none lies in it."""
    groove = clear_between(cut.outline)
    if other.outline is None or groove is None:
        return None
    width, across = groove.high - groove.low, groove.across
    low, high = _bounds_in(other, pose)
    sunk = (cut.depth or part.thickness) / 2
    middle = (*cut.outline.centre, sunk if cut.face is Face.BOTTOM else part.thickness - sunk)
    if not all(a - 1e-6 <= m <= b + 1e-6 for a, m, b in zip(low, middle, high, strict=True)):
        return None  # its namesake elsewhere
    axis = 0 if abs(across[0]) > abs(across[1]) else 1
    thin = pose.inverse().rotate((across[0], across[1], 0.0))
    if isinstance(other.made, Strip):
        return (width - (high[axis] - low[axis]),) * 2
    if abs(thin[2]) < 0.9 or not isinstance(other.made, Sheet):
        return None
    sheet = design.job.model.sheets.get(other.made.stock)
    measured = sheet.measured if sheet is not None else None
    least, most = (
        (measured.least, measured.most) if measured else (other.thickness, other.thickness)
    )
    return (width - most, width - least)


def _is_open_across(part: Part, cut: Cut) -> bool:
    """Is it a rebate: one of its two long sides beyond the part's edge?"""
    assert part.outline is not None
    groove, edge = clear_between(cut.outline), part.outline.bounds
    if groove is None:
        return False
    axis = 0 if abs(groove.across[0]) > abs(groove.across[1]) else 1
    return groove.low <= edge[axis] or groove.high >= edge[axis + 2]


def _bounds_in(part: Part, pose: Pose) -> tuple[Vec, Vec]:
    """The blank's bounds in another part's frame, mm."""
    assert part.outline is not None
    x0, y0, x1, y1 = part.outline.bounds
    corners: list[Vec] = [
        pose.apply((x, y, z)) for x in (x0, x1) for y in (y0, y1) for z in (0.0, part.thickness)
    ]
    columns = list(zip(*corners, strict=True))
    low, high = [min(c) for c in columns], [max(c) for c in columns]
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
