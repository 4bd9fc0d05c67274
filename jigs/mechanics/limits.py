"""What an argument may be: the bounds that several of the equations here share."""

from __future__ import annotations

import math


def need_positive(**values: float) -> None:
    """Raise ValueError, with the argument's name, unless all are finite and above 0."""
    for name, value in values.items():
        if not 0 < value < math.inf:
            raise ValueError(f"{name.replace('_', ' ')} must be above 0, not {value:g}")


def need_not_negative(**values: float) -> None:
    """Raise ValueError, with the argument's name, unless all are finite and 0 or more."""
    for name, value in values.items():
        if not 0 <= value < math.inf:
            raise ValueError(f"{name.replace('_', ' ')} must be 0 or more, not {value:g}")
