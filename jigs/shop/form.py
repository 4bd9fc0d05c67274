"""What a piece looks like at one limit of its sizes, and nothing else: what its solid is made from.

How many there are, of what wood and how they were measured changes no solid.
"""

from __future__ import annotations

from dataclasses import dataclass

from jigs.model.state import Limit
from jigs.shop.piece import Bar, Body, Turned


@dataclass(frozen=True, slots=True)
class Square:
    """A bar, mm."""

    width: float
    depth: float
    length: float


@dataclass(frozen=True, slots=True)
class Round:
    """A turned piece, mm: see `Turned.profile`."""

    profile: tuple[tuple[float, float], ...]
    dome_radius: float
    body: Body | None = None


def form_of(piece: Turned | Bar, limit: Limit) -> Square | Round:
    """The form of a piece at one limit."""
    if isinstance(piece, Turned):
        return Round(piece.profile(limit), piece.dome.sphere_radius, piece.body)
    sizes = (piece.width, piece.depth, piece.length)
    return Square(*(getattr(size, limit.value) for size in sizes))
