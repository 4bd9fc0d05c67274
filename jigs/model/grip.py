"""How a jig holds the piece and stands on the machine: what the checks of holding read.

A kind declares; the checks know no jig. Places are in the jig's frame: origin at the work zero,
z up, the machined end of the nominal piece at z = 0.
"""

from __future__ import annotations

from dataclasses import dataclass

from jigs.model.pose import Vec

ON_THE_CUT = 1.5
"""Factor on the force of the cut, wherever something must bear it. VDI 3106 style."""


@dataclass(frozen=True, slots=True)
class Band:
    """A quantity that is only known to lie between two ends, and its middle."""

    low: float
    middle: float
    high: float

    def __mul__(self, factor: float) -> Band:
        return Band(self.low * factor, self.middle * factor, self.high * factor)


@dataclass(frozen=True, slots=True)
class _Patch:
    """What both ways of gripping share.

    Parameters: name; force = of each side on the piece [N]; friction; low, high = ends of the
    contact below the piece's end [mm, negative]; locked = sides that cannot turn with the piece
    (1 or 2); assumes = what the figures rest on; reads = names of the jig's numbers behind them;
    levers = numbers whose change could make it hold.
    """

    name: str
    force: Band
    friction: Band
    low: float
    high: float
    locked: int
    assumes: tuple[str, ...]
    reads: tuple[str, ...]
    levers: tuple[str, ...]

    @property
    def tall(self) -> float:
        """Height of the contact, mm."""
        return self.high - self.low

    @property
    def middle(self) -> float:
        """Middle of the contact below the piece's end, mm, negative."""
        return (self.high + self.low) / 2


@dataclass(frozen=True, slots=True)
class FaceGrip(_Patch):
    """Two opposite upright flat faces that press the piece.

    Further parameters: apart = distance of the faces [mm]; along = length of the contact along a
    face [mm]; normal = direction from one face to the other.
    """

    apart: float
    along: float
    normal: Vec


@dataclass(frozen=True, slots=True)
class RoundGrip(_Patch):
    """Two opposite lined hollows that press a round piece; the split lies along x.

    Further parameters: radius = of the piece [mm]; half_angle = of real contact, at the piece's
    centre [rad]; lip_angle = where the lining ends, at the piece's centre [rad]; pressure =
    deepest in the seat, with no force of the cut [MPa].
    """

    radius: float
    half_angle: float
    lip_angle: float
    pressure: Band


Grip = FaceGrip | RoundGrip


@dataclass(frozen=True, slots=True)
class Anchor:
    """One fastening of a base to the machine: its place on the surface (u, v), mm."""

    u: float
    v: float


@dataclass(frozen=True, slots=True)
class Footing:
    """A base that is held down on a plane of the machine, by screws that press it on.

    `plane` "table": u = x, v = y of the jig, `level` its z. `plane` "front face": u = x, v = z of
    the jig, `level` its y; the base stands in front. `reach` = u from, u to, v from, v to of what
    bears. `pull` of each anchor as tightened [N]; `most` = what one anchor takes before something
    gives [N], `gives` says what. `weight` [N] acts at the middle of `reach`. `share` = part of the
    cut that this base must carry. `friction` of base on plane.
    """

    name: str
    plane: str
    level: float
    reach: tuple[float, float, float, float]
    anchors: tuple[Anchor, ...]
    pull: Band
    most: float
    gives: str
    friction: Band
    assumes: tuple[str, ...]
    reads: tuple[str, ...]
    levers: tuple[str, ...]
    weight: float = 0.0
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Give:
    """One spring between the cutter and the machine: stiffness as seen **at the cutter** [N/mm]."""

    name: str
    stiffness: float
    reads: tuple[str, ...] = ()


__all__ = ["Anchor", "Band", "FaceGrip", "Footing", "Give", "Grip", "RoundGrip"]
