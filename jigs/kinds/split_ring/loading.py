"""What closing and cut together put on the ring's own wood."""

from __future__ import annotations

from jigs.mechanics import ring_wall

ACROSS_OVER_ALONG = 0.05
"""Least Young's modulus across the grain over along it: yellow birch .050, Wood Handbook, Table
5-1, from memory."""

AT_THE_BORE = 2.0
"""Factor: friction that pulls both flanks to the seat doubles the stress (`ring_wall`)."""


def lever_to(acts: float, ring_top: float, ring_height: float) -> float:
    """From the ring's middle up to where a cut pushes, mm."""
    return acts - ring_top + ring_height / 2


def cut_share(push: float, lever: float, height: float) -> float:
    """What a cut adds to the closing force of the half that it loads, N: F (1 + 6 L / b).

    The upper edge's load as if it lay on all of the height. Source: derived; all of the force into
    one half, N + F at e = F L / (N + F) presses its edge as N + F + 6 F L / b would evenly.
    """
    return push * (1 + 6 * lever / height)


def bore_compression(
    force: float, pressure: float, bolt_x: float, bore_radius: float, wall: float, height: float
) -> float:
    """Compression along the grain in the bore at the seat, MPa: `ring_wall.bore_stress`."""
    return -ring_wall.bore_stress(
        force, bolt_x, bore_radius, wall, height, pressure, along_span=1.0,
        across_span=ACROSS_OVER_ALONG,
    )  # fmt: skip


__all__ = ["AT_THE_BORE", "bore_compression", "cut_share", "lever_to"]
