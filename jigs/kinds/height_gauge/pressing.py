"""The jack pushes the gauge up, the hand keeps it down, the overhang bends: sizing rules.

Slices stand side by side along the bar and are glued face to face. What bends the bar along y
pulls the glue lines open, and the layers of each sheet with them: the sheet counts with its
modulus and strength square to its plane, a printed bar with its strength across its layers. The
dowels run through all slices: the second path, should a glue line fail.
"""

from __future__ import annotations

import math

from jigs import tables
from jigs.errors import DesignError, TableError
from jigs.kinds.height_gauge.sizing import COMMON, radius_as_drawn, rule
from jigs.mechanics import overhang as bar
from jigs.mechanics import plate
from jigs.model.number import Standing
from jigs.tables.woods import OwnWoods

__all__ = ["rule"]

WEIGHS = 9.81e-9
"""N for each mm3 of 1 kg/m3: standard gravity, ISO 80000-3, rounded."""

LIGHT_BOARD, LIGHT_PLASTIC, HEAVY_WOOD = 500.0, 1000.0, 1000.0
"""kg/m3 where the tables have no row, on the safe side: a light gauge, a heavy piece. Assumed."""

HALF_A_PALM = 45.0
"""mm. From memory: a palm is 80 to 95 wide."""

E_OVER_G_OF_PLASTIC = 2.8
"""2 (1 + nu), nu 0.4. From memory."""


# What it weighs and what pushes


@rule(unit="mm2", source="derived: rectangle less the arch's segment and the key's groove")
def bar_area(
    bar_width: float, bar_height: float, arch_width: float, crown_height: float,
    keyed: bool, groove_width: float, key_groove: float,
) -> float:  # fmt: skip
    """Area of the bar's section."""
    radius = radius_as_drawn(arch_width, crown_height)
    phi = math.asin(min(1.0, arch_width / (2 * radius)))
    segment = radius**2 * (phi - math.sin(phi) * math.cos(phi))
    return bar_width * bar_height - segment - (groove_width * key_groove if keyed else 0.0)


@rule(unit="", source="assumed: some walls and a third to a half of infill",
      standing=Standing.ASSUMED)  # fmt: skip
def print_fill() -> float:
    """Share of a printed bar that is plastic: it weighs, stiffens and holds with that share."""
    return 0.5


@rule(unit="kg/m3", source="table of boards or of plastics; the light side where it has no row",
      standing=Standing.TABLE)  # fmt: skip
def bar_density(made: str, sheet_material: str, print_material: str, print_fill: float) -> float:
    """Density of the bar as it is made."""
    if made == "stack":
        return _of_board(sheet_material, "density") or LIGHT_BOARD
    share = _a_share("print_fill", print_fill)
    return share * (_of_plastic(print_material, "density") or LIGHT_PLASTIC)


@rule(unit="N", source="derived: section, length and density; the key not counted")
def gauge_weight(bar_area: float, bar_length: float, bar_density: float) -> float:
    """Weight of the bar."""
    return WEIGHS * bar_area * bar_length * _above_0("bar_density", bar_density)


@rule(unit="N", source="derived: as if it were as wide all along as at its widest: too much")
def piece_weight(
    widest: float, body_half_depth: float, length_most: float, piece_wood: str, own_woods: OwnWoods
) -> float:
    """Weight of the heaviest piece, at most."""
    try:
        density = tables.wood(piece_wood, own_woods).density
    except TableError:
        density = HEAVY_WOOD
    section = max(math.pi / 4 * widest**2, (2 * body_half_depth) ** 2)
    return WEIGHS * density * section * length_most


@rule(unit="N", source="assumed: by feel the jack has doubled its load, and 10 N more",
      standing=Standing.ASSUMED)  # fmt: skip
def push(piece_weight: float) -> float:
    """Push of the piece on the crown when the hand at the jack feels that it touches."""
    return 10.0 + piece_weight


@rule(source="derived: from the table's front edge")
def push_reach(axis_y: float) -> float:
    """How far in front of the table the piece pushes."""
    return max(0.0, -axis_y)


# The hand that keeps it down


@rule(source=f"{COMMON}: half a palm, so that nothing presses on the overhang")
def hand_at(bearing: float) -> float:
    """Middle of the hand behind the table's front edge."""
    return min(HALF_A_PALM, bearing / 2)


@rule(unit="N", source="P = W c / l about the back edge; statics")
def rocking_push(
    gauge_weight: float, bar_length: float, bearing: float, push_reach: float
) -> float:
    """Push on the crown that lifts the gauge if no hand holds it."""
    return bar.greatest_push(gauge_weight, bar_length / 2, bearing + push_reach)


@rule(unit="N", source="(P l - W c) / h about the back edge; statics")
def hand_needed(
    push: float, push_reach: float, bearing: float, gauge_weight: float, bar_length: float,
    hand_at: float,
) -> float:  # fmt: skip
    """What the hand must press at least, so that the gauge stays down."""
    pushed = _above_0("push", push)
    arm = bearing - hand_at
    if not arm > 0:
        raise DesignError(
            "hand_at", f"{hand_at:g} mm: hand_at is behind the bar, which bears on {bearing:g} mm",
            f"hand_at less than {bearing:g}",
        )  # fmt: skip
    return bar.hand_to_hold(pushed, bearing + push_reach, gauge_weight, bar_length / 2, arm)


@rule(
    unit="N",
    source="common practice, no source; a guideline for steady work has 107 N for both hands "
    "(24 lb, ergoweb.com/force-guidelines), and one of them turns the jack",
    standing=Standing.ASSUMED,
)
def hand_force() -> float:
    """What one hand presses down with ease while the other turns the jack."""
    return 30.0


# What the overhang gives and bears


@rule(unit="mm4", source="Roark, rectangle less segment; the key's groove taken out all the way up")
def bar_second_moment(
    bar_width: float, bar_height: float, arch_width: float, crown_height: float,
    keyed: bool, groove_width: float,
) -> float:  # fmt: skip
    """Second moment of the bar's section."""
    width = bar_width - groove_width * keyed
    radius = radius_as_drawn(arch_width, crown_height)
    return plate.arched_section(width, bar_height, arch_width, radius)[0]


@rule(unit="mm3", source="Roark, as the second moment; on the side that is further off")
def bar_section_modulus(
    bar_width: float, bar_height: float, arch_width: float, crown_height: float,
    keyed: bool, groove_width: float,
) -> float:  # fmt: skip
    """Section modulus of the bar."""
    width = bar_width - groove_width * keyed
    radius = radius_as_drawn(arch_width, crown_height)
    return plate.arched_section(width, bar_height, arch_width, radius)[1]


@rule(unit="MPa", source="table of boards, square to the sheet; of plastics, with the share filled",
      standing=Standing.ASSUMED)  # fmt: skip
def bar_stiffness(made: str, sheet_material: str, print_material: str, print_fill: float) -> float:
    """Young's modulus of the bar along its length; 0 = not known."""
    if made == "stack":
        return _of_board(sheet_material, "modulus_flat")
    share = _a_share("print_fill", print_fill)
    return share * _of_plastic(print_material, "modulus_of_elasticity")


@rule(unit="MPa", source="table of boards, layers sliding on each other; of plastics, E / 2.8",
      standing=Standing.ASSUMED)  # fmt: skip
def bar_shear_stiffness(made: str, sheet_material: str, bar_stiffness: float) -> float:
    """Shear modulus of the bar in bending; 0 = not known."""
    if made == "stack":
        return _of_board(sheet_material, "rolling_modulus")
    return bar_stiffness / E_OVER_G_OF_PLASTIC


@rule(unit="MPa", source="assumed: white glue spread on both faces and cramped; less where starved",
      standing=Standing.ASSUMED)  # fmt: skip
def glue_tension() -> float:
    """Strength of a glue line between two slices that are pulled apart."""
    return 1.0


@rule(unit="MPa", source="glue line or sheet, whichever gives first; print: across its layers",
      standing=Standing.ASSUMED)  # fmt: skip
def bar_strength(
    made: str, sheet_material: str, print_material: str, print_fill: float, glue_tension: float
) -> float:
    """Strength of the bar in bending, pulled along its length; 0 = not known."""
    if made == "stack":
        return min(
            _above_0("glue_tension", glue_tension), _of_board(sheet_material, "tension_flat")
        )
    return _a_share("print_fill", print_fill) * _of_plastic(print_material, "strength_across")


@rule(unit="N mm", source="statics: the whole push on its arm to the middle of the hand")
def overhang_moment(push: float, push_reach: float, hand_at: float) -> float:
    """Greatest bending moment in the bar."""
    return _above_0("push", push) * (push_reach + hand_at)


@rule(source="P a^2 (a + l) / (3 E I) (Machinery's Handbook) and shear (Timoshenko); 0 = not known")
def bending_rise(
    push: float, push_reach: float, hand_at: float, bearing: float, bar_area: float,
    bar_second_moment: float, bar_stiffness: float, bar_shear_stiffness: float,
) -> float:  # fmt: skip
    """How much higher the piece is set because the overhang bends under its push."""
    if not (bar_stiffness and bar_shear_stiffness):
        return 0.0
    force = _above_0("push", push)
    young = _above_0("bar_stiffness", bar_stiffness)
    shear = _above_0("bar_shear_stiffness", bar_shear_stiffness)
    arm, back = push_reach + hand_at, bearing - hand_at
    bends = plate.overhang_deflection(force, arm, back, young, bar_second_moment)
    return bends + bar.shear_deflection(force, arm, back, shear, bar_area)


@rule(source="common practice, no source: half of the 0.1 mm that standing aside may cost",
      standing=Standing.ASSUMED)  # fmt: skip
def rise_allowed() -> float:
    """How far bending may lift the piece's end."""
    return 0.05


def _of_board(material: str, field: str) -> float:
    try:
        return float(getattr(tables.board(material), field))
    except TableError:
        return 0.0


def _of_plastic(material: str, field: str) -> float:
    try:
        return float(getattr(tables.plastic(material), field))
    except TableError:
        return 0.0


def _above_0(name: str, value: float) -> float:
    if not value > 0:
        raise DesignError(name, f"{name} is {value:g} and must be above 0", f"leave {name} out")
    return value


def _a_share(name: str, value: float) -> float:
    if not 0 < value <= 1:
        raise DesignError(name, f"{name} is {value:g}, a share of 1", f"{name}: 0.5")
    return value
