"""The setup's own rules: where the piece stands as long as no jig of the setup decides it."""

from __future__ import annotations

from jigs.model.number import Rules

setup_rule = Rules()


@setup_rule(source="common practice, no source: just above the table")
def end_height() -> float:
    """Height of the piece's end above the table, where no gauge sets it."""
    return 5.0


@setup_rule(source="common practice, no source: the middle of the table")
def axis_x(table_width: float) -> float:
    """The piece's axis along x, where nothing else decides it."""
    return table_width / 2


@setup_rule(unit="deg", source="common practice, no source: as drawn")
def turn() -> int:
    """Turn of the jigs' frame about z against the machine's, where no jig decides it."""
    return 0


@setup_rule(source="the table itself, where no riser lies on it")
def rise() -> float:
    """How far the piece's foot stands above the table."""
    return 0.0


@setup_rule(source="the table itself, where no riser reaches further than the piece")
def under_fences() -> float:
    """Thickness of what lies on the table beside the piece, under the fences."""
    return 0.0


@setup_rule(unit="N", source="no cut is made in this setup", settable=False)
def cut_force_most() -> float:
    """Greatest force in plan of any cut, where the setup has none."""
    return 0.0


@setup_rule(unit="N", source="no cut is made in this setup", settable=False)
def cut_pull_most() -> float:
    """Greatest pull of any cut along its cutter, where the setup has none."""
    return 0.0


@setup_rule(source="no cut is made in this setup", settable=False)
def cut_acts_highest() -> float:
    """Highest place at which a cut pushes, from the piece's end, where the setup has none."""
    return 0.0
