"""A rectangular contact that is pressed off its centre and cannot pull.

Pressure is a plane cut off at zero (rigid faces on an even elastic bed, no tension), as for a rigid
footing. Sides L along x and W along y; the force N stands at (e_x, e_y) from the centre. Lengths in
mm, forces in N, moments in N mm, pressures in MPa.

Unsourced: that a wooden face presses as a plane. A soft end of grain or a bowed face spreads the
pressure otherwise; the limits `tipping_limit` (pressure at the edge alone) need no such assumption.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from jigs.mechanics import limits

Point = tuple[float, float]
Plane = tuple[float, float, float]

_STEPS = 200
_CLOSE = 1e-13
_SMALLEST_STEP = 1e-9


def greatest_pressure(force: float, length: float, width: float, eccentricity: float) -> float:
    """Greatest pressure of a rectangle pressed off its centre in one direction, MPa.

    N / (L W) (1 + 6 e / L) within the middle third, else 2 N / (3 W (L / 2 - e)). Parameters: force
    [N], length L along the eccentricity, width W, eccentricity e [mm], either sign. Raises
    ValueError where e reaches L / 2: it tips. Source: footing formulas (middle third, triangle of
    pressure), any soil mechanics text.
    """
    limits.need_positive(length=length, width=width)
    limits.need_not_negative(force=force)
    e = _within(length, eccentricity)
    if e <= length / 6:
        return force / (length * width) * (1 + 6 * e / length)
    return 2 * force / (3 * width * (length / 2 - e))


def lifted_share(length: float, eccentricity: float) -> float:
    """Part of a contact that lifts, pressed off its centre in one direction: 0 to 1.

    1 - 3 (1/2 - e / L) beyond the middle third. Parameters: mm. Raises ValueError where it tips.
    Source: as for `greatest_pressure`.
    """
    limits.need_positive(length=length)
    e = _within(length, eccentricity)
    return max(0.0, 1 - 3 * (0.5 - e / length))


def moment_at_strength(force: float, length: float, width: float, strength: float) -> float:
    """Moment at which the pressure at an edge reaches a strength, N mm.

    e = L/6 (f L W / N - 1) while the whole face bears (N >= f L W / 2), else e = L/2 - 2 N / (3 W
    f); M = N e. Parameters: force [N], length L in the plane of the moment, width W [mm], strength
    f [MPa]. Raises ValueError where even a centred force crushes. Source: `greatest_pressure`,
    solved for e.
    """
    limits.need_positive(length=length, width=width, strength=strength)
    limits.need_not_negative(force=force)
    full = strength * length * width
    if force > full:
        raise ValueError(f"{force:g} N crushes {length:g} x {width:g} mm without any moment")
    if force >= full / 2:
        return length / 6 * (full - force)
    return force * (length / 2 - 2 * force / (3 * width * strength))


def tipping_limit(force: float, length: float, faces_locked: int) -> float:
    """Moment at which a piece between two faces tips, with no limit of strength, N mm.

    N h with both jaw sets locked, N h / 2 with one slack (it turns with the piece). Parameters:
    force N of each face [N], length h of the contact in the plane of the moment [mm], faces_locked
    1 or 2. Raises ValueError otherwise. Source: derived: each locked face carries N at its edge.
    """
    limits.need_positive(length=length)
    limits.need_not_negative(force=force)
    if faces_locked not in (1, 2):
        raise ValueError("one or both of two faces are locked")
    return faces_locked * force * length / 2


def tipping_capacity(
    force: float, length: float, width: float, strength: float, faces_locked: int
) -> float:
    """Moment that locked faces carry until an edge reaches a strength, N mm.

    One or two times `moment_at_strength`; it never exceeds `tipping_limit`. Parameters: N, mm, MPa,
    faces_locked 1 or 2. Where the side force unloads one face, add the two faces' own
    `moment_at_strength` instead. Source: derived.
    """
    if faces_locked not in (1, 2):
        raise ValueError("one or both of two faces are locked")
    return faces_locked * moment_at_strength(force, length, width, strength)


def greatest_pressure_two_ways(
    force: float, length: float, width: float, eccentricity_x: float, eccentricity_y: float
) -> float:
    """Greatest pressure of a rectangle pressed off its centre in both directions, MPa.

    Whole face: N/A (1 + 6 e_x/L + 6 e_y/W). A corner alone (both e beyond a quarter): 3 N / (8 c_x
    c_y), c the distances of the force from the edges. A band on one edge: closed form too. Only
    where one corner lifts is the plane found by Newton's method, on a convex energy with exact
    integrals over the part that bears. Parameters: force [N], length L, width W, eccentricities
    [mm]. Raises ValueError where it tips. Source: derived; rigid footing without tension.
    """
    limits.need_positive(length=length, width=width)
    limits.need_not_negative(force=force)
    x, y = _within(length, eccentricity_x) / length, _within(width, eccentricity_y) / width
    pressure, _ = _unit_contact(x, y)
    return force / (length * width) * pressure


def lifted_share_two_ways(
    length: float, width: float, eccentricity_x: float, eccentricity_y: float
) -> float:
    """Part of the area that lifts, pressed off its centre in both directions: 0 to 1.

    Parameters: mm. Raises ValueError where it tips. Source: as `greatest_pressure_two_ways`.
    """
    limits.need_positive(length=length, width=width)
    x, y = _within(length, eccentricity_x) / length, _within(width, eccentricity_y) / width
    _, bearing = _unit_contact(x, y)
    return 1 - bearing


def _unit_contact(x: float, y: float) -> tuple[float, float]:
    """Greatest pressure and bearing part of the unit square for a unit force at x, y >= 0."""
    if x + y <= 1 / 6:
        return 1 + 6 * x + 6 * y, 1.0
    if min(x, y) >= 0.25:
        return 3 / (8 * (0.5 - x) * (0.5 - y)), 8 * (0.5 - x) * (0.5 - y)
    band = _band(min(x, y), 0.5 - max(x, y))
    if band is not None:
        return band
    plane = _pressure_plane(x, y)
    area, *_ = _moments(_bearing_part(plane))
    return plane[0] + plane[1] / 2 + plane[2] / 2, area


def _band(along: float, from_edge: float) -> tuple[float, float] | None:
    """The contact as a band on one edge, of depth h (1 + k x); None where it outgrows the square.

    Strips across the band carry triangles: e = (k/6) / (1 + k^2/12) and c = h/3 (1 + k^2/4) /
    (1 + k^2/12), solved for k and h.
    """
    k = 12 * along / (1 + math.sqrt(1 - 12 * along * along))
    load, lever = 1 + k * k / 12, 1 + k * k / 4
    depth = 3 * from_edge * load / lever
    if depth * (1 + k / 2) > 1:
        return None
    return 2 * (1 + k / 2) / (depth * load), depth


def _pressure_plane(x: float, y: float) -> Plane:
    """Plane a + b x + c y whose positive part has resultant 1 at (x, y) on the unit square.

    Minimises 1/2 int max(p, 0)^2 - (a + b x + c y): convex, its gradient is equilibrium, and the
    Newton step solves the plane for the part that bears now; shortened until the energy falls.
    """
    plane = (1.0, 12 * x, 12 * y)
    target = (1.0, x, y)
    energy = _energy(plane, target)
    for _ in range(_STEPS):
        aim = _solve(_moments(_bearing_part(plane)), target)
        step = 1.0
        trial = aim
        while (lower := _energy(trial, target)) > energy and step > _SMALLEST_STEP:
            step /= 2
            trial = _between(plane, aim, step)
        moved = max(abs(new - old) for new, old in zip(trial, plane, strict=True))
        plane, energy = trial, lower
        if moved <= _CLOSE * max(map(abs, plane)):
            break
    return plane


def _between(start: Plane, end: Plane, share: float) -> Plane:
    a, b, c = (s + share * (e - s) for s, e in zip(start, end, strict=True))
    return a, b, c


def _energy(plane: Plane, target: Plane) -> float:
    a, b, c = plane
    area, sx, sy, xx, yy, xy = _moments(_bearing_part(plane))
    squared = a * a * area + b * b * xx + c * c * yy + 2 * (a * b * sx + a * c * sy + b * c * xy)
    return squared / 2 - math.fsum(p * t for p, t in zip(plane, target, strict=True))


def _bearing_part(plane: Plane) -> list[Point]:
    """The unit square cut to where the plane is above zero (Sutherland and Hodgman)."""
    a, b, c = plane
    square = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)]
    kept: list[Point] = []
    for (x0, y0), (x1, y1) in zip(square, square[1:] + square[:1], strict=True):
        here, there = a + b * x0 + c * y0, a + b * x1 + c * y1
        if here > 0:
            kept.append((x0, y0))
        if (here > 0) != (there > 0):
            share = here / (here - there)
            kept.append((x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
    return kept


def _moments(polygon: Sequence[Point]) -> tuple[float, float, float, float, float, float]:
    """Area, first moments (x, y) and second moments (xx, yy, xy) of a polygon (Green)."""
    sums = [0.0] * 6
    for (x0, y0), (x1, y1) in zip(polygon, [*polygon[1:], *polygon[:1]], strict=True):
        cross = x0 * y1 - x1 * y0
        sums[0] += cross / 2
        sums[1] += (x0 + x1) * cross / 6
        sums[2] += (y0 + y1) * cross / 6
        sums[3] += (x0 * x0 + x0 * x1 + x1 * x1) * cross / 12
        sums[4] += (y0 * y0 + y0 * y1 + y1 * y1) * cross / 12
        sums[5] += (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0) * cross / 24
    area, sx, sy, xx, yy, xy = sums
    return area, sx, sy, xx, yy, xy


def _solve(moments: tuple[float, float, float, float, float, float], target: Plane) -> Plane:
    """The plane over a part whose area and moments are known that has the wanted resultant."""
    area, sx, sy, xx, yy, xy = moments
    one, x, y = target
    minor_a, minor_b, minor_c = xx * yy - xy * xy, sx * yy - sy * xy, sx * xy - sy * xx
    determinant = area * minor_a - sx * minor_b + sy * minor_c
    a = one * minor_a - sx * (x * yy - xy * y) + sy * (x * xy - xx * y)
    b = area * (x * yy - xy * y) - one * minor_b + sy * (sx * y - sy * x)
    c = area * (xx * y - xy * x) - sx * (sx * y - sy * x) + one * minor_c
    return a / determinant, b / determinant, c / determinant


def _within(side: float, eccentricity: float) -> float:
    e = abs(eccentricity)
    if not e < side / 2:
        raise ValueError(f"a force {e:g} mm off the centre of {side:g} mm tips the piece")
    return e
