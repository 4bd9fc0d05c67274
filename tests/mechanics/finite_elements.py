"""Finite elements with scikit-fem, as a second witness: plane stress, and thin plates.

Nothing here calls the library. Lengths in mm, forces in N, moduli in MPa.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import skfem
from skfem.helpers import dd


@dataclass(frozen=True)
class Sheet:
    """Elastic constants in the plane: x along the grain, y across it."""

    along: float = 10000.0
    across: float = 10000.0
    shear: float = 10000.0 / 2.6
    poisson: float = 0.3

    @property
    def stiffness(self) -> np.ndarray:
        """Plane-stress matrix of (exx, eyy, gxy)."""
        small = self.poisson * self.across / self.along
        scale = 1 / (1 - self.poisson * small)
        return np.array(
            [
                [self.along * scale, self.poisson * self.across * scale, 0],
                [self.poisson * self.across * scale, self.across * scale, 0],
                [0, 0, self.shear],
            ]
        )


ISOTROPIC = Sheet()
ASH_ALONG = Sheet(12000, 0.08 * 12000, 0.077 * 12000, 0.44)
"""White ash, grain along x; ratios of the Wood Handbook, Tables 5-1 and 5-2, from memory."""
ASH_ACROSS = Sheet(0.08 * 12000, 12000, 0.077 * 12000, 0.44 * 0.08)
"""The same with its grain along y."""


def _stress(stiffness: np.ndarray, grad: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    strain = (grad[0, 0], grad[1, 1], grad[0, 1] + grad[1, 0])
    return tuple(sum(stiffness[i, j] * strain[j] for j in range(3)) for i in range(3))


class PlaneStress:
    """A plane body of thickness 1 on a mesh of quadrilaterals, loads added edge by edge."""

    def __init__(self, mesh: skfem.MeshQuad, material: Sheet = ISOTROPIC) -> None:
        self.mesh, self.material = mesh, material
        self.element = skfem.ElementVector(skfem.ElementQuad2())
        self.basis = skfem.Basis(mesh, self.element, intorder=4)
        stiffness = material.stiffness

        @skfem.BilinearForm
        def energy(u, v, w):
            xx, yy, xy = _stress(stiffness, u.grad)
            return xx * v.grad[0, 0] + yy * v.grad[1, 1] + xy * (v.grad[0, 1] + v.grad[1, 0])

        self.matrix = energy.assemble(self.basis)
        self.load = np.zeros(self.matrix.shape[0])

    def push(self, facets: np.ndarray, traction, total: float | None = None) -> None:
        """Add traction(x, y) -> (tx, ty), on those edges, N/mm2; scaled to that total along y."""
        basis = skfem.FacetBasis(self.mesh, self.element, facets=facets, intorder=8)

        @skfem.LinearForm
        def work(v, w):
            tx, ty = traction(w.x[0], w.x[1])
            return tx * v[0] + ty * v[1]

        added = work.assemble(basis)
        if total is not None:
            added = added * (total / added[self.dofs_along(1)].sum())
        self.load = self.load + added

    def dofs_along(self, axis: int) -> np.ndarray:
        """Degrees of freedom along x (0) or y (1)."""
        basis = self.basis
        parts = (basis.nodal_dofs[axis], basis.facet_dofs[axis], basis.interior_dofs[axis])
        return np.concatenate([part.ravel() for part in parts])

    def solve(self, fixed: np.ndarray) -> np.ndarray:
        """Displacements, with those degrees of freedom held at zero."""
        self.displacement = skfem.solve(*skfem.condense(self.matrix, self.load, D=fixed))
        return self.displacement

    def stress_xx(self, facets: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """x, y and stress along x at the integration points of those edges."""
        basis = skfem.FacetBasis(self.mesh, self.element, facets=facets, intorder=4)
        grad = basis.interpolate(self.displacement).grad
        x = np.asarray(basis.global_coordinates())
        return x[0].ravel(), x[1].ravel(), _stress(self.material.stiffness, grad)[0].ravel()


def half_ring_mesh(bore: float, wall: float, half_width: float, gap: float, fine: int = 1):
    """Half of a half ring: bore's arc to the block's outline, from x = 0 to the split face.

    The bore's centre is the origin, the back lies at y = bore + wall, the split face at gap / 2.
    """
    back, split = bore + wall, gap / 2
    end = math.acos(split / bore)
    across, deep = 40 * fine, 14 * fine
    corner = math.atan2(half_width, back)
    corner_at = max(4, min(across - 4, round(across * corner / end)))
    mesh = skfem.MeshQuad.init_tensor(np.linspace(0, 1, across + 1), np.linspace(0, 1, deep + 1))
    s, t = mesh.p
    theta = end * s
    share = corner_at / across
    on_back = s <= share + 1e-9
    outer_x = np.where(on_back, half_width * s / share, half_width)
    down = np.where(on_back, 0, (s - share) / (1 - share))
    outer_y = back - down * (back - split)
    graded = t**1.3
    x = (1 - graded) * bore * np.sin(theta) + graded * outer_x
    y = (1 - graded) * bore * np.cos(theta) + graded * outer_y
    return skfem.MeshQuad(np.vstack([x, y]), mesh.t)


def bar(length: float, depth: float, along: int = 60, across: int = 12) -> skfem.MeshQuad:
    """A bar along x from 0 to length, y from 0 to depth."""
    return skfem.MeshQuad.init_tensor(
        np.linspace(0, length, along + 1), np.linspace(0, depth, across + 1)
    )


def edge(mesh: skfem.MeshQuad, where) -> np.ndarray:
    """Outer edges whose middles satisfy where(x, y)."""
    facets = mesh.boundary_facets()
    middle = mesh.p[:, mesh.facets[:, facets]].mean(axis=1)
    return facets[where(*middle)]


@dataclass(frozen=True)
class SeatStress:
    """Stress along the span at the seat, for a ring 1 mm high that is closed with 1 N."""

    back: float
    bore: float


def half_ring(
    bore: float,
    wall: float,
    bolt_x: float,
    gap: float,
    pressure,
    *,
    reach: float,
    washer: float = 24.0,
    margin: float = 3.0,
    material: Sheet = ISOTROPIC,
    drag: float = 0.0,
    fine: int = 1,
) -> SeatStress:
    """Half ring under pressure(theta) (any scale) for |theta| <= reach, washers on its back.

    drag: friction that pulls the bore's flanks towards the seat, as a share of the pressure.
    """
    mesh = half_ring_mesh(bore, wall, bolt_x + washer / 2 + margin, gap, fine)
    body = PlaneStress(mesh, material)
    on_bore = edge(mesh, lambda x, y: np.hypot(x, y) < bore + 1e-6)
    on_back = edge(mesh, lambda x, y: y > bore + wall - 1e-6)
    on_axis = edge(mesh, lambda x, y: x < 1e-6)

    def seat(x, y):
        theta = np.arctan2(x, y)
        press = np.where(theta <= reach, pressure(np.minimum(theta, reach)), 0.0)
        sine, cosine = np.sin(theta), np.cos(theta)
        return press * (sine - drag * cosine), press * (cosine + drag * sine)

    def washer_load(x, y):
        return 0 * x, np.where(np.abs(x - bolt_x) <= washer / 2, -1.0, 0.0)

    body.push(on_bore, seat, total=0.5)
    body.push(on_back, washer_load, total=-0.5)
    axis = body.basis.get_dofs(on_axis).all(["u^1"])
    corner = np.argmin(np.hypot(mesh.p[0] - bolt_x, mesh.p[1] - gap / 2))
    body.solve(np.concatenate([axis, [body.basis.nodal_dofs[1, corner]]]))
    _, y, xx = body.stress_xx(on_axis)
    order = np.argsort(y)
    y, xx = y[order], xx[order]
    return SeatStress(
        back=_end_value(y[-6:], xx[-6:], bore + wall), bore=_end_value(y[:6], xx[:6], bore)
    )


def _end_value(y: np.ndarray, values: np.ndarray, at: float) -> float:
    return float(np.polyval(np.polyfit(y - at, values, 2), 0.0))


class ThinPlate:
    """A thin rectangular plate without Poisson's effect (Morley triangles).

    Bending stiffnesses along x and y; twisting as for an affine plate, sqrt(D_x D_y).
    """

    def __init__(self, xs: np.ndarray, ys: np.ndarray, stiff_x: float = 1.0, stiff_y: float = 1.0):
        self.mesh = skfem.MeshTri.init_tensor(xs, ys)
        self.basis = skfem.Basis(self.mesh, skfem.ElementTriMorley(), intorder=4)
        self.stiff_x = stiff_x
        mixed = math.sqrt(stiff_x * stiff_y)

        @skfem.BilinearForm
        def energy(u, v, w):
            a, b = dd(u), dd(v)
            return (
                stiff_x * a[0, 0] * b[0, 0]
                + stiff_y * a[1, 1] * b[1, 1]
                + 2 * mixed * a[0, 1] * b[0, 1]
            )

        self.matrix = energy.assemble(self.basis)
        self.load = np.zeros(self.matrix.shape[0])

    def point(self, x: float, y: float, force: float) -> None:
        """Add a force at the node there."""
        node = np.argmin(np.hypot(self.mesh.p[0] - x, self.mesh.p[1] - y))
        self.load[self.basis.nodal_dofs[0, node]] += force

    def press(self, pressure) -> None:
        """Add pressure(x, y)."""

        @skfem.LinearForm
        def work(v, w):
            return pressure(w.x[0], w.x[1]) * v

        self.load = self.load + work.assemble(self.basis)

    def nodes(self, where) -> np.ndarray:
        """Deflections of the nodes that satisfy where(x, y)."""
        return self.basis.nodal_dofs[0, where(*self.mesh.p)]

    def slopes(self, where) -> np.ndarray:
        """Slopes square to the edges whose middles satisfy where(x, y)."""
        middle = self.mesh.p[:, self.mesh.facets].mean(axis=1)
        return self.basis.facet_dofs[0, where(*middle)]

    def moments_beside(self, x: float, width: float) -> np.ndarray:
        """Mean moment per mm along x, row by row, over the triangles within width of x."""
        curved = dd(self.basis.interpolate(self.deflection))
        middle = self.mesh.p[:, self.mesh.t].mean(axis=1)
        near = np.abs(middle[0] - x) < width
        moment = self.stiff_x * curved[0, 0].mean(axis=1)
        rows = np.searchsorted(np.unique(self.mesh.p[1]), middle[1][near])
        return np.array([moment[near][rows == row].mean() for row in np.unique(rows)])

    def solve(self, fixed: np.ndarray) -> np.ndarray:
        """Deflections, with those degrees of freedom held at zero."""
        self.deflection = skfem.solve(*skfem.condense(self.matrix, self.load, D=fixed))
        return self.deflection
