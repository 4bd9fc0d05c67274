"""Where a thing stands: a turn and a shift, exact for the quarter turns that jigs need."""

from __future__ import annotations

import math
from dataclasses import dataclass

Vec = tuple[float, float, float]
Rows = tuple[Vec, Vec, Vec]

_IDENTITY: Rows = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
_QUARTER = {0: (1.0, 0.0), 90: (0.0, 1.0), 180: (-1.0, 0.0), 270: (0.0, -1.0)}


@dataclass(frozen=True, slots=True)
class Pose:
    """A rigid placing. A point p of the thing lands at `turn @ p + at`, mm."""

    at: Vec = (0.0, 0.0, 0.0)
    turn: Rows = _IDENTITY

    @classmethod
    def to(cls, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Pose:
        """A plain shift, mm."""
        return cls((x, y, z))

    @classmethod
    def turned(cls, axis: str, degrees: float) -> Pose:
        """A turn about the x, y or z axis through the origin, right-hand rule, degrees.

        Quarter turns use exact ones and zeros, so that faces stay exactly parallel.
        """
        whole = degrees % 360
        cos, sin = _QUARTER.get(
            int(whole) if whole == int(whole) else -1,
            (math.cos(math.radians(degrees)), math.sin(math.radians(degrees))),
        )
        match axis:
            case "x":
                rows: Rows = ((1.0, 0.0, 0.0), (0.0, cos, -sin), (0.0, sin, cos))
            case "y":
                rows = ((cos, 0.0, sin), (0.0, 1.0, 0.0), (-sin, 0.0, cos))
            case "z":
                rows = ((cos, -sin, 0.0), (sin, cos, 0.0), (0.0, 0.0, 1.0))
            case _:
                raise ValueError(f"axis is x, y or z, not {axis!r}")
        return cls((0.0, 0.0, 0.0), rows)

    def rotate(self, v: Vec) -> Vec:
        """Turn a direction."""
        a, b, c = self.turn
        return (
            a[0] * v[0] + a[1] * v[1] + a[2] * v[2],
            b[0] * v[0] + b[1] * v[1] + b[2] * v[2],
            c[0] * v[0] + c[1] * v[1] + c[2] * v[2],
        )

    def apply(self, p: Vec) -> Vec:
        """Place a point, mm."""
        x, y, z = self.rotate(p)
        return (x + self.at[0], y + self.at[1], z + self.at[2])

    def __matmul__(self, inner: Pose) -> Pose:
        """`outer @ inner`: place by inner first, then by outer."""
        columns = [self.rotate((r[0], r[1], r[2])) for r in zip(*inner.turn, strict=True)]
        rows = tuple(zip(*columns, strict=True))
        return Pose(self.apply(inner.at), rows)  # type: ignore[arg-type]

    def inverse(self) -> Pose:
        """The placing that undoes this one."""
        rows: Rows = tuple(zip(*self.turn, strict=True))  # type: ignore[assignment]
        back = Pose((0.0, 0.0, 0.0), rows).rotate(self.at)
        return Pose((-back[0], -back[1], -back[2]), rows)

    def shifted(self, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Pose:
        """The same placing, moved further in the outer frame, mm."""
        return Pose((self.at[0] + x, self.at[1] + y, self.at[2] + z), self.turn)

    def rounded(self, digits: int = 9) -> Pose:
        """For comparing and for keys: tiny differences of summation removed."""
        at = tuple(round(v, digits) + 0.0 for v in self.at)
        turn = tuple(tuple(round(v, digits) + 0.0 for v in row) for row in self.turn)
        return Pose(at, turn)  # type: ignore[arg-type]

    def matrix(self) -> list[list[float]]:
        """4 x 4, row by row, for reports and other programs."""
        return [[*row, shift] for row, shift in zip(self.turn, self.at, strict=True)] + [
            [0.0, 0.0, 0.0, 1.0]
        ]
