"""What a slot's lips, a threaded hole and an insert in a board take: one figure for every kind."""

from __future__ import annotations

from jigs import tables
from jigs.mechanics import bolt

Positions = tuple[float, ...]

SHEAR_OF_YIELD = 0.577
"""Yield in shear over yield in tension: distortion energy, Shigley 5-21."""


def lip_limit(profile: Positions, head: float, yields: float) -> float:
    """Pull at which a slot's lips give, N: shear, or bending over no more than the head's length.

    Towards its root a lip bends over more than that; how much more is not known, so not counted.
    Parameters: profile = mouth, lip, wide, room [mm]; head = width of head or foot [mm]; yields =
    yield strength of the slotted metal [MPa]. Source: `bolt.slot_lip_shear`,
    `bolt.slot_lip_bending`.
    """
    mouth, lip, wide, _ = profile
    arm = wide / 2 - (mouth + head) / 4
    return min(
        SHEAR_OF_YIELD * yields / bolt.slot_lip_shear(1.0, head, lip),
        yields / bolt.slot_lip_bending(1.0, head, lip, arm),
    )


def thread_limit(size: str, engaged: float, yields: float) -> float:
    """Pull at which a threaded hole strips, N. Source: FED-STD-H28/2B, by `bolt`."""
    thread = tables.thread(size)
    area = bolt.internal_thread_shear_area(
        thread.major_diameter, thread.pitch_diameter, thread.pitch, engaged
    )
    return bolt.stripping_load(SHEAR_OF_YIELD * yields, area)


def insert_limit(size: str, shear: float) -> float:
    """Pull at which an insert comes out of a board, N; shear strength in MPa. Assumed, no source.

    A board has no grain along which half the cylinder would be the weaker.
    """
    row = tables.wood_insert(size)
    return bolt.insert_pull_out(shear, row.outer_diameter, row.length, 1.0)


__all__ = ["SHEAR_OF_YIELD", "insert_limit", "lip_limit", "thread_limit"]
