"""What must hold of the gauge's numbers: crown, place, the hand that presses, the overhang."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jigs.kinds.height_gauge.sizing import COMMON, radius_as_drawn
from jigs.mechanics import plate
from jigs.model.finding import Finding, at_least, at_most, not_judged
from jigs.model.number import Book
from jigs.tables import wood

DOWEL_WOOD = "beech"
BREAKS = 1.5
"""Factor where something breaks. VDI 3106 style."""


def number_checks(n: Book) -> Sequence[Finding]:
    """The crown before the rim, enough bearing, and the error it may make."""
    # Rounder than by rule where a crown is set or was built higher.
    arch = min(n.arch_radius, radius_as_drawn(n.arch_width, n.crown_height))
    rim = math.asin(min(1.0, n.end_diameter / (2 * n.dome_radius)))
    lean = math.asin(min(1.0, n.aside / max(1e-9, arch - n.dome_radius)))
    stack = n.made == "stack"
    return [
        at_least(arch - n.dome_radius, 5.0, group="fit",
                 check="arch flatter than dome", source=COMMON, levers=("+arch_radius",),
                 why="or the dome's rim touches before its crown"),
        at_most(math.degrees(lean), math.degrees(rim), group="fit", unit="deg",
                check="crown touches before the rim", source="derived",
                why="with the piece standing aside", levers=("+arch_radius",)),
        at_least(n.arch_width - n.end_diameter, 2.0, group="fit",
                 check="arch wider than the end", source=COMMON, levers=("+arch_width",),
                 why="or a flat comes down on the dome"),
        at_least(n.bearing / n.overhang, 2.0, group="fit", check="bearing to overhang",
                 unit="", why="a bar that tips sets the wrong height", source=COMMON,
                 levers=("+slices" if stack else "+bar_length",)),
        at_most(n.bearing, n.table_depth, group="place", check="bar fits on the table",
                source="derived", levers=("-slices" if stack else "-bar_length",)),
        at_most(n.height_error, 0.1, group="budget",
                check="height error from standing aside",
                source="error derived; 0.1 mm is common practice, no source",
                assumes=(f"{n.aside:g} mm aside", *_creeps(n)),
                levers=("+arch_radius", "-aside")),
        *_key_check(n),
        _hand(n), _strength(n), *_dowels(n), _bending(n),
    ]  # fmt: skip


def _key_check(n: Book) -> list[Finding]:
    """Where the user fixed the piece's x, the key must still find a slot."""
    if not n.keyed:
        return []
    off = min(abs(n.axis_x + n.key_x - slot) for slot in n.table_slots_at)
    return [
        at_most(off, 0.05, group="place", check="key meets a slot of the table",
                source="derived", why="the piece's x, fixed by the job or by what it hangs "
                "on, puts the key beside the slot")
    ]  # fmt: skip


def _hand(n: Book) -> Finding:
    """The gauge rocks about its back edge unless a hand keeps it down."""
    return at_most(
        n.hand_needed, n.hand_force, unit="N", group="hold",
        check="one hand keeps the gauge down",
        equation="(push l - weight c) / h about the back edge",
        source="statics; what a hand gives is common practice, no source",
        why=f"pressed {n.hand_at:.0f} mm behind the table's front edge; without a hand "
        f"{n.rocking_push:.1f} N on the crown lift it. If it is too much, screw the gauge down",
        governs="the jack's push", assumes=(
            f"the piece pushes with {n.push:.1f} N when it is felt to touch",
            f"one hand gives {n.hand_force:g} N with ease", f"gauge of {n.gauge_weight:.1f} N",
        ),
        reads=("hand_needed", "hand_force", "push", "gauge_weight", "hand_at", "push_reach"),
        levers=("+slices" if n.made == "stack" else "+bar_length", "+bar_height"),
    )  # fmt: skip


def _strength(n: Book) -> Finding:
    """The push bends the overhang about the hand: glue lines or layers are pulled open."""
    stack = n.made == "stack"
    about = {
        "group": "strength", "unit": "", "reads": ("overhang_moment", "bar_section_modulus",
                                                   "bar_strength", "push"),
        "check": "slices stay together at the overhang" if stack
        else "layers stay together at the overhang",
        "source": "bending of a beam; strengths as in the tables; factor 1.5, VDI 3106 style",
    }  # fmt: skip
    if not n.bar_strength:
        return not_judged(_unknown(n, "bar_strength"), **about)
    stress = plate.bending_stress(n.overhang_moment, n.bar_section_modulus)
    where = f"glue line {n.glue_tension:g} MPa at most" if stack else f"{n.print_fill:g} filled"
    return at_least(
        n.bar_strength / stress, BREAKS, **about,
        equation="strength W / (push (reach + hand_at))",
        why="strength over stress, where the hand presses",
        governs="the jack's push",
        assumes=(f"{n.bar_strength:g} MPa pull it open ({where})", *_pushed(n), *_creeps(n)),
        levers=("+bar_height",),
    )  # fmt: skip


def _dowels(n: Book) -> list[Finding]:
    """Two dowels through all slices carry the overhang should the glue let go."""
    if n.made != "stack":
        return []
    each = math.pi * n.dowel_diameter**3 / 32
    stress = plate.bending_stress(n.overhang_moment, 2 * each)
    return [
        at_least(
            wood(DOWEL_WOOD).sure("modulus_of_rupture") / stress, BREAKS, group="strength", unit="",
            check="dowels alone carry the overhang", equation="strength 2 pi d^3 / 32 / moment",
            source="bending of a beam; Wood Handbook, one piece in twenty; factor 1.5",
            why="should a glue line let go", reads=("overhang_moment", "dowel_diameter", "push"),
            governs="the jack's push",
            assumes=(f"dowels of {DOWEL_WOOD}", *_pushed(n)), levers=("+dowel_diameter",),
        )
    ]  # fmt: skip


def _bending(n: Book) -> Finding:
    """The overhang bends up, and the piece with it."""
    about = {
        "group": "budget", "check": "height error from bending",
        "source": "Machinery's Handbook, Beams; shear by Timoshenko",
        "reads": ("bending_rise", "rise_allowed", "push", "bar_stiffness", "bar_shear_stiffness",
                  "hand_at", "push_reach"),
    }  # fmt: skip
    if not n.bending_rise:
        return not_judged(_unknown(n, "bar_stiffness and bar_shear_stiffness"), **about)
    dowels = ", dowels not counted" if n.made == "stack" else ""
    return at_most(
        n.bending_rise, n.rise_allowed, **about,
        equation="P a^2 (a + l) / (3 E I) + P a (1 + a / l) / (5/6 G A)",
        why="the piece is set that much too high",
        assumes=(f"{n.bar_stiffness:g} MPa along the bar{dowels}", *_pushed(n), *_creeps(n)),
        levers=("+bar_height",),
    )  # fmt: skip


def _pushed(n: Book) -> tuple[str, ...]:
    return (f"{n.push:.1f} N on the crown, {n.push_reach + n.hand_at:.0f} mm before the hand",)


def _unknown(n: Book, names: str) -> str:
    material = n.sheet_material if n.made == "stack" else n.print_material
    return f"the tables have no {material}: give {names} of the gauge under set"


def _creeps(n: Book) -> tuple[str, ...]:
    """A caution that belongs to a printed bar."""
    if n.made != "print":
        return ()
    return (f"printed in {n.print_material}; plastic creeps: check the crown before each batch",)
