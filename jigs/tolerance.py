"""Every numeric tolerance of the library, in one place."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tolerances:
    """Lengths in mm, angles in rad, ratios without unit."""

    overlap: float = 0.02
    """Overlap of two solids deeper than declared by more than this is a clash."""
    mesh: float = 0.05
    """Chord height of the STL mesh."""
    mesh_angle: float = 0.2
    """Angle between neighbouring facets."""

    slip: float = 0.02
    """What slides along another may scrape it no deeper; what passes keeps at least as far off."""
    sweep_mesh: float = 0.008
    """Chord height of the meshes that moves are tried on."""


TOLERANCE = Tolerances()
