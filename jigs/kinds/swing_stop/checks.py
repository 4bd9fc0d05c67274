"""What must hold of the swing stop's numbers for the whole batch."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from jigs import tables
from jigs.errors import TableError
from jigs.kinds import _front
from jigs.kinds._strength import ON_STRENGTH, TIGHTENED, cut_acts, cut_push, cut_reads
from jigs.kinds.swing_stop.boarding import STOP_SCREW
from jigs.kinds.swing_stop.clamping import bars_at
from jigs.kinds.swing_stop.shimming import WITHIN
from jigs.kinds.swing_stop.sizing import BELOW_TABLE, OVER_TABLE, THROUGH
from jigs.kinds.swing_stop.standing import tilt_of
from jigs.kinds.swing_stop.words import COMMON
from jigs.model.finding import Finding, at_least, at_most, not_judged
from jigs.model.number import Book, Standing

__all__ = ["all_checks", "top_error"]

TOP_ERROR = 0.2
"""mm that rounded shims may put the end aside. Common practice, no source."""


def all_checks(n: Book) -> Sequence[Finding]:
    """Place, fit and strength; of one bar the shims, of two the board."""
    return [
        *_through_cuts(n), *_studs(n), *_bars(n), *_strength(n),
        *(_shims(n) if n.bars == 1 else _board(n)),
    ]  # fmt: skip


def _through_cuts(n: Book) -> list[Finding]:
    if not n.finds("cut_does") or n.cut_does not in THROUGH:
        return []
    return [
        at_least(n.end_height, n.cut_depth + OVER_TABLE, group="place", source=COMMON,
                 check="through cuts pass above the table", levers=("+hold_end_height",),
                 why="the cutter runs out of the piece over the table; depth and 5 mm",
                 reads=("cut_depth",)),
    ]  # fmt: skip


def _studs(n: Book) -> list[Finding]:
    """In the face far enough and no further; through the knobs when the bar is backed off."""
    past = n.stud_length - n.stud_below - n.stud_reach - _front.beyond(n.stud_size, n.knob_made)
    found = [
        at_least(past, 0.0, group="fit", check="studs take the knob when the bar is backed off",
                 source="derived", governs="thickest piece", levers=("+stud_length", "-back_off"),
                 why="washer, knob and two threads beyond the bar"),
        _ends_of_face(n),
    ]  # fmt: skip
    if n.stud_head:
        _, wide, high = n.stud_head
        found += [
            at_least(n.front_slot_profile[3] - high, 0.5, group="place", source=COMMON,
                     check="studs end above the slot's floor", why="or they jack the slot open"),
            at_least(wide, n.front_slot_mouth + 3, group="place", source=COMMON,
                     check="T-slot head wider than the mouth"),
        ]  # fmt: skip
    if n.stud_by == _front.INSERT:
        found.append(
            at_least(n.front_board_depth - n.stud_below, 0.0, group="place", source="derived",
                     check="inserts end in the front face's board")
        )  # fmt: skip
    if n.stud_by == _front.THREADED:
        found.append(_meets_the_grid(n))
    return found


def _meets_the_grid(n: Book) -> Finding:
    row = tables.clearance_hole(n.stud_size)
    play = (row.hole_fine - tables.thread(n.stud_size).major_diameter) / 2
    off = max(
        min(abs(n.axis_x + side * n.stud_x - column) for column in n.front_hole_columns)
        for side in (-1, 1)
    )
    return at_most(off, play, group="place", check="studs meet the grid", source="ISO 273",
                   why="the piece's x puts them beside the holes")  # fmt: skip


def _ends_of_face(n: Book) -> Finding:
    half = n.back_width / 2 if n.bars == 2 else n.stud_x + n.stud_washer / 2
    return at_least(
        min(n.axis_x - half - n.stop_width - n.front_left, n.front_right - n.axis_x - half), 0.0,
        group="place", check="studs, board and stop block lie on the front face", source="derived",
        reads=("stud_x",),
    )  # fmt: skip


def _bars(n: Book) -> list[Finding]:
    upper = bars_at(n)[0][1] + n.end_height
    over = max(n.bar_height, n.knob_diameter) / 2
    found = [
        at_most(upper + over, -BELOW_TABLE if n.bars == 2 else 0.0, group="place", source=COMMON,
                check="bars and knobs stay below the table",
                why="the cutter runs over them", levers=("-bar_height",)),
        at_least(2 * n.stud_x - n.knob_diameter, 10.0, group="fit", source=COMMON,
                 check="fingers between two knobs", levers=("+stud_x",)),
        at_most(n.pad_squeeze, 0.15 * n.liner_thickness, group="fit", check="squeeze of the pads",
                source='"average design limits are 15 % compression" (Designing with rubber)',
                levers=("-bar_torque",)),
    ]  # fmt: skip
    nut = tables.washer(n.stud_size, "large").thickness + tables.hex_nut(n.stud_size).height
    if n.bars == 2:
        found.append(
            at_least(n.depth_least - n.pad_squeeze + n.liner_thickness, nut + 1, group="fit",
                     check="bars clear the lock nuts", source="derived", governs="thinnest piece")
        )  # fmt: skip
    else:
        found.append(
            at_least(n.face_at - n.surface_at, nut, group="fit", source="derived",
                     check="the lock nuts stay behind packer and shims",
                     why="they hang on the studs before the ring's back board: a thicker sheet")
        )  # fmt: skip
    return found


def top_error(n: Book, rest: float) -> float:
    """How far a rest behind the body puts the end aside, mm: it turns about the ring's middle."""
    return float(tilt_of(n, rest) * -(n.ring_top - n.ring_height / 2))


def _shims(n: Book) -> list[Finding]:
    reads = ("shim_rest", "packer", "behind_least", "behind_most")
    return [
        at_least(n.behind_least, 0.0, group="fit", check="the body clears the back board",
                 source="derived", governs="thinnest piece", reads=("stand_off",)),
        at_most(n.shim_rest, WITHIN, group="fit", check="shims come within a quarter millimetre",
                source=COMMON, governs="every diameter of the batch", reads=reads,
                why="a finer set of shims, or a packer of another thickness",
                levers=("-packer", "+packer")),
        at_most(top_error(n, n.shim_rest), TOP_ERROR, group="fit", source=COMMON, reads=reads,
                check="the end stands where it should, in spite of rounded shims",
                governs="every diameter of the batch", levers=("-packer", "+packer"),
                equation="rest / lever times the end's height over the ring's middle",
                why="the rest tilts the piece about the ring; hardly changes its height"),
        at_most(n.pad_width, n.body_width, group="fit", check="the pad lies on the body",
                source="derived", levers=("-pad_width",)),
    ]  # fmt: skip


def _board(n: Book) -> list[Finding]:
    foot = n.end_stop_at - n.end_stop_tall + n.end_height
    bench = -n.front_free_below + 5 if n.front_free_below else n.front_bottom
    bite = n.side_screw - n.sheet_most + n.dado_depth
    return [
        at_most(n.side_stop_proud, n.depth_least - n.pad_squeeze - 2, group="fit", source=COMMON,
                check="the side stop is thinner than the piece", why="or the pads press on it",
                levers=("-side_stop_proud",)),
        at_least(n.side_stop_proud, 8.0, group="fit", source=COMMON,
                 check="enough of side stop and end stop stands proud",
                 levers=("+side_stop_proud",)),
        at_least(foot, bench, group="place", source=COMMON,
                 check="the end stop ends above the bench" if n.front_free_below
                 else "the end stop ends above the face's foot",
                 levers=("-end_stop_tall",), why="" if n.front_free_below else
                 "what lies below the face is not said: front_face.free_below"),
        at_least(bite, 2 * STOP_SCREW, group="fit", check="the side stop's screws bite",
                 source=COMMON, levers=("+side_screw",)),
        at_most(n.side_screw, n.sheet_least + n.side_stop_proud - 1, group="fit", source=COMMON,
                check="the side stop's screws stay in it", levers=("-side_screw",)),
        at_least(n.end_screw - n.side_stop_width, 2 * STOP_SCREW, group="fit", source=COMMON,
                 check="the end stop's screws bite", levers=("+end_screw",)),
    ]  # fmt: skip


# Strength


def _tight(n: Book) -> str:
    return (f"{n.bar_torque / 1000:.1f} N m on each knob, at most {100 * n.torque_by_feel:.0f} % "
            f"over, nut factor {n.nut_factor_tight:g}")  # fmt: skip


def _strength(n: Book) -> list[Finding]:
    cut = _cut_on_upper(n)
    pull, word = n.bar_tight + cut / 2, "only" if n.bars == 1 else "upper"
    about: dict[str, Any] = {
        "group": "strength", "unit": "", "levers": ("-bar_torque",),
        "assumes": (_tight(n), f"the cut adds {cut:.0f} N to the {word} bar at most"),
    }  # fmt: skip
    reads = ("bar_torque", *TIGHTENED, "bar_tight", *cut_reads(n))
    handbook = "Wood Handbook, compression across the grain: what 19 pieces in 20 reach"
    return [
        _judged(
            _unknown(n, "bar_strength", n.wood), n.bar_bends / pull, ON_STRENGTH,
            check="bars bend under their studs", **_more(about, "+bar_thick"),
            equation="sigma (b t^2 / 6) / (F (x_stud - w / 4))",
            source="beam on two supports; Wood Handbook; VDI 3106 style factor 1.5",
            reads=(*reads, "bar_bends", "bar_strength"),
        ),
        _judged(
            _unknown(n, "piece_crushing", n.piece_wood), n.pad_dent / pull, 1.0,
            check="pads leave no dent in the piece", **_more(about, "+bar_height"),
            equation="sigma w h / (2 F)", source=handbook, why="above 1 it leaves no dent",
            reads=(*reads, "pad_dent", "piece_crushing"),
        ),
        _judged(
            _unknown(n, "bar_crushing", n.wood), n.washer_dent / n.bar_tight, 1.0,
            check="the knobs' washers leave no dent", **about, source=handbook,
            equation="sigma A / F, A under the washer less the open slot",
            why="above 1 it leaves no dent", reads=(*reads, "washer_dent", "bar_crushing"),
        ),
        at_least(n.stud_limit / (n.lock_tight + pull), ON_STRENGTH, source=n["stud_limit"].source,
                 check="studs hold in the front face", **_more(about, "-lock_torque"),
                 equation="least strength over lock nut, knob and cut together",
                 reads=(*reads, "lock_torque", "lock_tight", "stud_limit")),
        at_most(n.bar_torque, n.hand_torque_most, group="hold", unit="N mm", source=COMMON,
                check="a hand gives the torque", levers=("-bar_torque",),
                assumes=("hand torque by knob size",), equation="T at most c min(D, 63)^2",
                reads=("bar_torque", "hand_torque_most")),
        *([_lock(n)] if n.bars == 2 else []),
    ]  # fmt: skip


def _judged(unknown: str, factor: float, asked: float, **about: Any) -> Finding:
    """At least so much; not judged where the strength behind it is another wood's."""
    if unknown:
        return not_judged(**{**about, "why": unknown})
    return at_least(factor, asked, **about)


def _unknown(n: Book, strength: str, species: str) -> str:
    """Why a strength cannot be judged, with the remedy; empty where it can."""
    if n[strength].standing in (Standing.GIVEN, Standing.MEASURED, Standing.BUILT):
        return ""
    try:
        tables.wood(species, n.own_woods)
    except TableError as unknown:
        return f"{unknown}; woods: {{{species}: {{like: ...}}}}"
    return ""


def _unknown_sheet(n: Book) -> str:
    if n["sheet_crushing"].standing in (Standing.GIVEN, Standing.MEASURED, Standing.BUILT):
        return ""
    try:
        tables.board(n.sheet_material)
    except TableError as unknown:
        return f"{unknown}; set: {{sheet_crushing: ...}}"
    return ""


def _more(about: dict[str, Any], lever: str) -> dict[str, Any]:
    return {**about, "levers": (*about["levers"], lever)}


def _cut_on_upper(n: Book) -> float:
    """What a cut towards the operator adds to the upper or only bar, N: levers.

    Two bars: over the lower one. One bar: over the middle of the ring, which takes the rest.
    """
    force = cut_push(n)
    if not force:
        return 0.0
    heights = [z for _, z in bars_at(n)]
    pivot = n.ring_top - n.ring_height / 2 if n.bars == 1 else heights[1]
    return float(force * abs((cut_acts(n) - pivot) / (heights[0] - pivot)))


def _lock(n: Book) -> Finding:
    return _judged(
        _unknown_sheet(n), n.lock_dent / n.lock_tight, 1.0, group="strength", unit="",
        check="the lock nuts' washers leave no dent in the back board", levers=("-lock_torque",),
        equation="sigma pi/4 (D^2 - d^2) / F", source=n["lock_dent"].source,
        assumes=(f"{n.lock_torque / 1000:.1f} N m on each lock nut",),
        why="above 1 it leaves no dent", reads=("lock_torque", "lock_dent", "lock_tight",
                                                "sheet_crushing"),
    )  # fmt: skip
