"""What the sheet of the end-grain clamp bears: numbers from the table of boards, or the user's own.

A board that no table knows is sized as the weakest that there is; what rests on that is not judged.
"""

from __future__ import annotations

from jigs import tables
from jigs.errors import TableError
from jigs.kinds._strength import above_zero
from jigs.kinds._strength import of_board as _weakest
from jigs.kinds.end_grain_clamp.placing import rule
from jigs.model.number import Book, Standing

__all__ = ["above_zero", "known", "rule"]

BY_HAND = (Standing.GIVEN, Standing.MEASURED, Standing.BUILT)


def known(n: Book, name: str, sheet: str = "sheet", own: str = "") -> str:
    """Why a strength cannot be judged, with the remedy; empty where it can.

    Parameters: name of the number; sheet = option that names the sheet; own = fact of the sheet
    that says it, if there is one.
    """
    if n[name].standing in BY_HAND or (own and n[own].value):
        return ""
    try:
        tables.board(str(n[f"{sheet}_material"].value))
    except TableError as unknown:
        more = (
            f"sheets: {{{n[f'{sheet}_name'].value}: {{bending_strength: ...}}}} or " if own else ""
        )
        return f"{unknown}; {more}set: {{{name}: ...}}"
    return ""


BENDS = ("bending_strength_along", "bending_strength_across")
GIVES = ("modulus_of_elasticity_along", "modulus_of_elasticity_across")
TABLE = "table of boards, the weaker way; the weakest board where the table does not know it"


@rule(unit="MPa", source=f"as you know it, else {TABLE}", standing=Standing.TABLE)
def face_strength(sheet_material: str, sheet_bending_strength: float) -> float:
    """Bending strength of the sheet of bases, faces and ribs."""
    return sheet_bending_strength or _weakest(sheet_material, *BENDS)


@rule(unit="MPa", source=f"as you know it, else {TABLE}", standing=Standing.TABLE)
def fence_strength(fence_sheet_material: str, fence_sheet_bending_strength: float) -> float:
    """Bending strength of the fences' sheet."""
    return fence_sheet_bending_strength or _weakest(fence_sheet_material, *BENDS)


@rule(unit="MPa", source=f"as you know it, else {TABLE}", standing=Standing.TABLE)
def sheet_young(sheet_material: str, sheet_stiffness: float) -> float:
    """Young's modulus of that sheet."""
    return sheet_stiffness or _weakest(sheet_material, *GIVES)


@rule(unit="MPa", source="a sixteenth of Young's modulus, as of birch plywood (620 to 9860, "
      "Handbook of Finnish Plywood, from memory)", standing=Standing.ASSUMED)  # fmt: skip
def sheet_shear_modulus(sheet_young: float) -> float:
    """Shear modulus of that sheet in its plane."""
    above_zero(3000.0, sheet_young=sheet_young)
    return sheet_young / 16


@rule(unit="MPa", source=f"{TABLE}; none is firm", standing=Standing.ASSUMED)
def sheet_crushing(sheet_material: str) -> float:
    """What that sheet bears under a washer."""
    return _weakest(sheet_material, "compression_flat")


@rule(unit="MPa", source=f"{TABLE}; none is firm", standing=Standing.ASSUMED)
def sheet_shear(sheet_material: str) -> float:
    """Shear strength of that sheet in its plane."""
    return _weakest(sheet_material, "panel_shear")


@rule(unit="MPa", source="rolling shear: the layers under the glue part before the glue does; "
      f"{TABLE}", standing=Standing.ASSUMED)  # fmt: skip
def glue_strength(sheet_material: str) -> float:
    """Shear strength of a tongue glued into a dado."""
    return _weakest(sheet_material, "rolling_shear")


@rule(unit="kg/m3", source=TABLE, standing=Standing.TABLE)
def sheet_density(sheet_material: str) -> float:
    """Density of that sheet."""
    return _weakest(sheet_material, "density")
