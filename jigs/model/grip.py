"""How a jig grips the piece: what the checks of holding read, whatever the jig."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.model.pose import Vec


@dataclass(frozen=True, slots=True)
class Band:
    """A quantity that is only known to lie between two ends, and its middle."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class FaceGrip:
    """Two opposite upright faces that press the piece.

    Parameters: force = of each face on the piece [N]; friction; apart = distance of the faces [mm];
    along = length of the contact along a face [mm]; low, high = its ends below the piece's end
    [mm, negative]; normal = direction from one face to the other, jig's frame; locked = faces that
    cannot turn with the piece (1 or 2); assumes = what the figures rest on.
    """

    name: str
    force: Band
    friction: Band
    apart: float
    along: float
    low: float
    high: float
    normal: Vec
    locked: int
    assumes: tuple[str, ...]
    levers: tuple[str, ...] = ()

    @property
    def tall(self) -> float:
        """Height of the contact, mm."""
        return self.high - self.low

    @property
    def middle(self) -> float:
        """Middle of the contact below the piece's end, mm, negative."""
        return (self.high + self.low) / 2
