"""Outlines to kernel solids: swept along z, or turned about z."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import cadquery as cq
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
from OCP.gp import gp_Ax2, gp_Circ, gp_Trsf

from jigs.model.outline import Outline, Point
from jigs.model.pose import Pose

Lift = Callable[[float, float], tuple[float, float, float]]
"""Where a point of the outline lies in space."""


_UNMOVED = Pose()


def flat(z: float) -> Lift:
    """The outline lies in x, y at height z."""
    return lambda x, y: (x, y, z)


def upright_x(y: float) -> Lift:
    """The outline lies in x, z at depth y."""
    return lambda x, z: (x, y, z)


def upright_y(x: float) -> Lift:
    """The outline lies in y, z at x."""
    return lambda y, z: (x, y, z)


def wire(outline: Outline, lift: Lift) -> cq.Wire:
    """The outline as a closed wire with true arcs; a circle stays one edge."""
    if outline.is_circle:
        return cq.Wire.assembleEdges([_circle(outline, lift)])
    edges = []
    for side in outline.sides:
        start, end = _vector(lift, side.start), _vector(lift, side.end)
        if side.bulge == 0:
            edges.append(cq.Edge.makeLine(start, end))
        else:
            edges.append(cq.Edge.makeThreePointArc(start, _vector(lift, side.middle), end))
    return cq.Wire.assembleEdges(edges)


def swept(
    outline: Outline,
    lift: Lift,
    along: tuple[float, float, float],
    holes: Sequence[Outline] = (),
) -> cq.Solid:
    """The outline's area, less its holes, swept along a straight line, mm."""
    inner = [wire(hole, lift) for hole in holes]
    return cq.Solid.extrudeLinear(wire(outline, lift), inner, cq.Vector(*along))


def turned(outline: Outline) -> cq.Solid:
    """The outline (radius, z) turned once round the z axis; it may touch the axis."""
    return cq.Solid.revolve(
        wire(outline, upright_x(0.0)), [], 360.0, cq.Vector(0, 0, 0), cq.Vector(0, 0, 1)
    )


def cylinder(diameter: float, z0: float, z1: float) -> cq.Solid:
    """A round rod on the z axis from z0 to z1, mm."""
    return cq.Solid.makeCylinder(diameter / 2, z1 - z0, cq.Vector(0, 0, z0), cq.Vector(0, 0, 1))


def location(pose: Pose) -> cq.Location:
    """Return the kernel's form of a pose; quarter turns and shifts stay exact."""
    if pose == _UNMOVED:
        return cq.Location()
    placing = gp_Trsf()
    placing.SetValues(*(value for row in pose.matrix()[:3] for value in row))
    return cq.Location(placing)


def _circle(outline: Outline, lift: Lift) -> cq.Edge:
    (x, y), radius = outline.centre, outline.sides[0].chord / 2
    centre, start, up = (_vector(lift, p) for p in ((x, y), (x + radius, y), (x, y + radius)))
    along = (start - centre).normalized()
    plane = gp_Ax2(centre.toPnt(), along.cross(up - centre).toDir(), along.toDir())
    return cq.Edge(BRepBuilderAPI_MakeEdge(gp_Circ(plane, radius)).Edge())


def _vector(lift: Lift, point: Point) -> cq.Vector:
    return cq.Vector(*lift(*point))
