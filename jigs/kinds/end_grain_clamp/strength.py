"""What may break in the end-grain clamp: jaws, drawbolts, hold-downs and fences, at their tightest.

The fences hold nothing that counts, but a piece that works loose leans on one: it must bear the
whole side force of the cut by itself. They bear it many times over, since they are made as thick as
it takes to steady a piece, not to carry so little.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from jigs import tables
from jigs.kinds._slots import SHEAR_OF_YIELD
from jigs.kinds._strength import ON_STRENGTH, TIGHTENED, above_zero, cut_push
from jigs.kinds.end_grain_clamp.boarding import known
from jigs.kinds.end_grain_clamp.sizing import COMMON
from jigs.mechanics import hand, plate
from jigs.model.finding import Finding, at_least, at_most, not_judged
from jigs.model.number import Book

__all__ = ["strength_checks"]

BENDING = "sheet_bending_strength"


def strength_checks(n: Book) -> Sequence[Finding]:
    """What the tightest bolts do to jaws, rods and hold-downs, and the cut to a fence."""
    return [*_jaws(n), *_rods(n), *_dents(n), *_hands(n), *_fences(n)]


def _tight(n: Book, what: str = "drawbolt") -> str:
    torque = getattr(n, f"{what}_torque") / 1000
    return (
        f"{torque:.1f} N m on each {what.replace('hold', 'hold-down')}'s knob, at most "
        f"{100 * n.torque_by_feel:.0f} % over, nut factor {n.nut_factor_tight:g}"
    )


def _breaks(
    n: Book, limit: str, *strengths: str, check: str, equation: str, **more: Any
) -> Finding:
    """A limit of one drawbolt's pull over the tightest and the cut; not judged where guessed."""
    about: dict[str, Any] = {
        "group": "strength", "unit": "", "check": check, "equation": equation,
        "source": f"{n[limit].source}; VDI 3106 style factor 1.5",
        "governs": "the tightest drawbolts",
        "assumes": (_tight(n), _cut_adds(n), *(_bears(n, strength) for strength in strengths)),
        "reads": (limit, *strengths, "drawbolt_torque", *TIGHTENED, "drawbolt_tight",
                  "drawbolt_cut"), **more,
    }  # fmt: skip
    for strength in strengths:
        own = BENDING if strength == "face_strength" else ""
        if guessed := known(n, strength, own=own):
            return not_judged(guessed, **about)
    factor = getattr(n, limit) / (n.drawbolt_tight + n.drawbolt_cut)
    why = "strength over what the tightest and the cut ask together"
    return at_least(factor, ON_STRENGTH, why=why, **about)


def _cut_adds(n: Book) -> str:
    return f"the cut adds {n.drawbolt_cut:.0f} N to a drawbolt at most, a soft clamp taken"


def _bears(n: Book, strength: str) -> str:
    """`bending strength of the sheet 35 MPa (from a table)`, for what a finding assumes."""
    number = n[strength]
    return f"{number.meaning.rstrip('.').lower()} {number.value:g} MPa ({number.standing})"


def _jaws(n: Book) -> list[Finding]:
    softer = "-drawbolt_torque"
    return [
        _breaks(n, "face_limit", "face_strength", check="faces bend between drawbolt and rib",
                equation="sigma (b t^2 / 6) / (F (y_bolt - y_rib))",
                levers=(softer, "-dado_depth")),
        _breaks(n, "rib_limit", "face_strength", "sheet_shear",
                check="ribs stand up to the drawbolts", levers=(softer, "+rib_depth"),
                equation="the lesser of sigma n t d^2 / 6 over 2 F z and tau 2 n t d / 3 over 2 F"),
        _breaks(n, "glue_limit", "glue_strength", check="ribs stay glued in base and face",
                equation="tau J / (M hypot(L, d / 2)), J = 2 n L d (L^2 / 3 + d^2 / 12), "
                "M = 2 F off_centre",
                levers=(softer, "+rib_depth", "+dado_depth")),
        _breaks(n, "edge_limit", "glue_strength", check="bases stay in the faces' rebates",
                equation="tau 2 L d over 2 F off_centre / rib depth",
                levers=(softer, "+rib_depth", "+dado_depth")),
    ]  # fmt: skip


def _rods(n: Book) -> list[Finding]:
    return [
        at_most(n.drawbolt_tight + n.drawbolt_cut, n.rod_limit, group="strength", unit="N",
                check="drawbolts below proof load", source="ISO 898-1 or SAE J429",
                equation="T / (K d) and the cut's share at most S_p A_s",
                levers=("-drawbolt_torque",), governs="the tightest drawbolts",
                assumes=(_tight(n), _cut_adds(n), f"class {n.bolt_class}"),
                reads=("drawbolt_torque", *TIGHTENED, "drawbolt_tight", "drawbolt_cut",
                       "rod_limit")),
    ]  # fmt: skip


def _dents(n: Book) -> list[Finding]:
    """Washers of drawbolts and hold-downs on the board. A dent breaks nothing: no factor."""
    return [
        _dent(n, "drawbolt", "the drawbolts' washers leave no dent in the faces"),
        _dent(n, "hold", "the hold-downs' washers leave no dent in the bases"),
    ]


def _dent(n: Book, what: str, check: str) -> Finding:
    about: dict[str, Any] = {
        "group": "strength", "unit": "", "check": check, "source": n[f"{what}_dent"].source,
        "equation": "sigma A / F, A under the washer less hole or slot",
        "governs": f"the tightest {what}",
        "assumes": (_tight(n, what), _bears(n, "sheet_crushing")),
        "levers": (f"-{what}_torque", f"+{what}_washer"),
        "reads": (f"{what}_dent", "sheet_crushing", f"{what}_torque", *TIGHTENED, f"{what}_tight"),
    }  # fmt: skip
    if guessed := known(n, "sheet_crushing"):
        return not_judged(guessed, **about)
    factor = getattr(n, f"{what}_dent") / getattr(n, f"{what}_tight")
    return at_least(factor, 1.0, why="above 1 it leaves no dent", **about)


def _hands(n: Book) -> list[Finding]:
    """No check rests on a torque that no hand gives."""
    return [
        at_most(n.drawbolt_torque, n.hand_torque_most, group="hold", unit="N mm", source=COMMON,
                check="a hand gives the torque", levers=("-drawbolt_torque",),
                governs="a hand on the knob", assumes=("hand torque by knob size",),
                equation="T at most c min(D, 63)^2",
                reads=("drawbolt_torque", "hand_torque_most")),
        at_most(n.hold_torque, hand.HIGH / hand.MIDDLE * n.hold_hand_torque, group="hold",
                unit="N mm", source=COMMON, check="a hand gives the hold-downs' torque",
                levers=("-hold_torque",), governs="a hand on the knob",
                assumes=("hand torque by knob size",),
                reads=("hold_torque", "hold_hand_torque"), equation="T at most c min(D, 63)^2"),
    ]  # fmt: skip


def _fences(n: Book) -> list[Finding]:
    """One fence and its two bolts under the whole side force, at the fence's very top."""
    force, (low, high) = cut_push(n), n.fence_bolts_z
    loads = plate.fence_reactions(force, n.fence_top, low, high)
    about: dict[str, Any] = {
        "group": "strength", "unit": "", "check": "a fence bears the whole side force of the cut",
        "equation": "least of: bolt in shear over R, board beside the bolt over R / (d t), fence "
        "at its slots over M (b^3 - s^3) / (6 b) t; R, M from levers over two bolts",
        "source": "statics; Shigley 5-21 (shear); VDI 3106 style factors 1.5 and 1.5",
        "governs": "the heaviest cut",
        "assumes": (f"{force:.0f} N at the fence's top: the heaviest cut, factor 1.5",
                    "no friction under the fence; the other fence does not help"),
        "reads": ("cut_force_most", "fence_top", "fence_bolts_z", "fence_strength",
                  "sheet_crushing", "fence_thick", "fence_width", "bolt_class"),
        "levers": ("+fence_layers", "+fence_width"),
    }  # fmt: skip
    if guessed := known(
        n, "fence_strength", "fence_sheet", "fence_sheet_bending_strength"
    ) or known(n, "sheet_crushing"):
        return [not_judged(guessed, **about)]
    above_zero(20.0, fence_strength=n.fence_strength)
    factors = _fence_factors(n, max(map(abs, loads)), force)
    first = min(factors, key=lambda name: factors[name])
    return [at_least(factors[first], ON_STRENGTH, why=f"first to give: {first}; the fences hold "
                     "nothing, so they need not be stronger", **about)]  # fmt: skip


def _fence_factors(n: Book, load: float, force: float) -> dict[str, float]:
    """Strength over what is asked, by what would give; load = of the harder loaded bolt, N."""
    thread = tables.thread(n.fence_bolt_size)
    bolt_class = tables.property_class(n.bolt_class, thread.major_diameter)
    shank = math.pi / 4 * thread.core_diameter**2
    low, high = n.fence_bolts_z
    moment = plate.fence_moment(force, n.fence_top, low, high)
    thick = n.fence_layers * n.fence_sheet_least - n.fence_recess_depth
    slot = n.fence_travel + n.fence_slot
    wide = n.fence_width
    section = thick * (wide**3 - slot**3) / (6 * wide)
    pressed = min(thick, n.sheet_least) * thread.major_diameter
    # A bolt presses edgewise on plies that stand on end: never weaker than the sheet laid flat.
    return {
        "a fence bolt": SHEAR_OF_YIELD * bolt_class.yield_strength * shank / load,
        "the board beside a fence bolt": n.sheet_crushing * pressed / load,
        "the fence at its slots": n.fence_strength * section / moment,
    }
