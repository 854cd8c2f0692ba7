"""The socket's inside as a smooth signed distance: how deep a point stands in the wall."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import spline_filter, zoom

from limbwright.core.errors import DesignRefused
from limbwright.core.kernels import kernel, reals
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices, merged, vertex_normals
from limbwright.core.proximity import DistanceTree
from limbwright.core.topology import edge_table, edge_vertices
from limbwright.shape.result import SocketShape

SPACING_MM = 2.5
"""Of the grid: finer than an area's slope, coarser than the facets of the surface."""
MARGIN_MM = 20.0
"""How far the grid reaches beyond the socket; beyond it the distance goes on linearly."""
NEAR_MM = 14.0
"""Within this distance of the surface the grid's values are exact."""
DistanceFunction = Callable[[Vertices], Scalars]

_COARSE = 4
_RAISED_MM = 120.0
"""How far the rim is raised: more than the margin, so that no point of the grid sees its edge."""


@dataclass(frozen=True, slots=True, eq=False)
class SocketField:
    """Signed distance to the socket's inside, twice continuously differentiable.

    A cubic B-spline through distances on a regular grid. Positive outside the inside surface: a
    point of the limb there penetrates the wall by so much. The socket has no lid.

    Parameters
    ----------
    origin_mm : (3,) float64, mm, limb frame
        Place of the grid's first point.
    spacing_mm : float
    coefficients : (i, j, k) float64, mm
        Of the spline.
    """

    origin_mm: Vector
    spacing_mm: float
    coefficients: NDArray[np.float64]


def field_of_shape(shape: SocketShape, spacing_mm: float = SPACING_MM) -> SocketField:
    """The field of a rectified shape with the roll of its brim.

    Raises
    ------
    DesignRefused
        When the shape is not open at the top.
    """
    surface = shape.surface
    inside = surface.vertices + shape.flare_mm[:, None] * vertex_normals(surface)
    return field_of_surface(Mesh(inside, surface.faces), spacing_mm)


def field_of_surface(inside: Mesh, spacing_mm: float = SPACING_MM) -> SocketField:
    """The field of an inside surface that is open at the top and wound outward.

    Raises
    ------
    DesignRefused
        When the surface has no rim at its top.
    """
    tree = DistanceTree(raised(inside))
    low = inside.vertices.min(axis=0) - MARGIN_MM
    high = inside.vertices.max(axis=0) + MARGIN_MM
    return field_of_function(tree.signed, np.stack([low, high]), spacing_mm)


def field_of_function(
    distance: DistanceFunction, bounds_mm: NDArray[np.float64], spacing_mm: float = SPACING_MM
) -> SocketField:
    """The field of a signed distance given as a function.

    It is asked on a grid of four times the spacing, and on the grid itself near the surface
    alone; what lies far from it is interpolated.

    Parameters
    ----------
    distance : callable
        Points (n, 3) mm to signed distances (n,) mm, positive outside.
    bounds_mm : (2, 3) float64, mm
        Lowest and highest corner of the grid.
    spacing_mm : float
    """
    low, high = np.asarray(bounds_mm, dtype=np.float64)
    cells = np.maximum(np.ceil((high - low) / (_COARSE * spacing_mm)).astype(np.int64), 1)
    coarse = np.zeros(tuple(cells + 1))
    corners = low + _COARSE * spacing_mm * np.indices(coarse.shape).reshape(3, -1).T
    coarse[:] = distance(corners).reshape(coarse.shape)
    fine = [_COARSE * (count - 1) + 1 for count in coarse.shape]
    values = zoom(coarse, [n / m for n, m in zip(fine, coarse.shape, strict=True)], order=1)
    near = np.argwhere(np.abs(values) < NEAR_MM)
    values[tuple(near.T)] = distance(low + spacing_mm * near)
    coefficients = spline_filter(values, order=3, output=np.float64, mode="mirror")
    return SocketField(reals(low), float(spacing_mm), reals(coefficients))


def depth_at(field: SocketField, points_mm: Vertices) -> Scalars:
    """How deep points stand in the wall, (n,) mm; negative = gap."""
    return penetration(field, points_mm)[0]


def penetration(
    field: SocketField, points_mm: Vertices
) -> tuple[Scalars, Vertices, NDArray[np.float64]]:
    """Depth of points in the wall with its first and second derivatives.

    Parameters
    ----------
    field : SocketField
    points_mm : (n, 3) float64, mm, frame of the socket as designed

    Returns
    -------
    depth : (n,) float64, mm
        Positive in the wall, negative = gap.
    gradient : (n, 3) float64
        Of length close to one, pointing out through the wall.
    hessian : (n, 3, 3) float64, 1/mm
    """
    points = reals(points_mm)
    depth = np.empty(len(points))
    gradient = np.empty((len(points), 3))
    hessian = np.empty((len(points), 3, 3))
    _spline(
        reals(field.coefficients),
        reals(field.origin_mm),
        float(field.spacing_mm),
        points,
        depth,
        gradient,
        hessian,
    )
    return depth, gradient, hessian


def raised(inside: Mesh) -> Mesh:
    """The surface with a wall standing straight up from its rim."""
    table = edge_table(inside.faces, len(inside.vertices))
    rim = edge_vertices(inside.faces)[table.twin < 0]
    middle = 0.5 * (inside.vertices[:, 2].min() + inside.vertices[:, 2].max())
    rim = rim[(inside.vertices[rim][:, :, 2] > middle).all(axis=1)]
    if len(rim) == 0:
        raise DesignRefused(
            "the socket is closed at the top, so no limb can be put into it; "
            "cut the scan above the knee.",
            where="shape",
        )
    low = inside.vertices[rim]
    high = low + np.array([0.0, 0.0, _RAISED_MM])
    # a rim edge (a, b) of the surface is (b, a) of the wall
    corners = np.concatenate(
        [
            np.stack([low[:, 1], low[:, 0], high[:, 0]], axis=1),
            np.stack([low[:, 1], high[:, 0], high[:, 1]], axis=1),
        ]
    )
    numbers = np.arange(3 * len(corners), dtype=np.int32)
    return merged((inside, Mesh(corners.reshape(-1, 3), numbers.reshape(-1, 3))))


@kernel
def _spline(
    coefficients: NDArray[np.float64],
    origin: NDArray[np.float64],
    spacing: float,
    points: NDArray[np.float64],
    depth: NDArray[np.float64],
    gradient: NDArray[np.float64],
    hessian: NDArray[np.float64],
) -> None:
    weight = np.empty((3, 3, 4))
    first = np.empty(3, np.int64)
    beyond = np.empty(3)
    for n in range(points.shape[0]):
        for axis in range(3):
            # beyond the outermost cells that have all four neighbours: linear
            last = coefficients.shape[axis] - 2.0
            at = (points[n, axis] - origin[axis]) / spacing
            held = min(max(at, 1.0), last)
            beyond[axis] = (at - held) * spacing
            cell = min(int(held), coefficients.shape[axis] - 3)
            first[axis] = cell - 1
            t = held - cell
            s = 1.0 - t
            weight[0, axis, 0] = s * s * s / 6.0
            weight[0, axis, 1] = (4.0 + 3.0 * t * t * (t - 2.0)) / 6.0
            weight[0, axis, 2] = (4.0 + 3.0 * s * s * (s - 2.0)) / 6.0
            weight[0, axis, 3] = t * t * t / 6.0
            weight[1, axis, 0] = -0.5 * s * s / spacing
            weight[1, axis, 1] = (1.5 * t * t - 2.0 * t) / spacing
            weight[1, axis, 2] = (2.0 * s - 1.5 * s * s) / spacing
            weight[1, axis, 3] = 0.5 * t * t / spacing
            weight[2, axis, 0] = s / spacing**2
            weight[2, axis, 1] = (3.0 * t - 2.0) / spacing**2
            weight[2, axis, 2] = (3.0 * s - 2.0) / spacing**2
            weight[2, axis, 3] = t / spacing**2
        d = gx = gy = gz = xx = yy = zz = xy = xz = yz = 0.0
        for i in range(4):
            for j in range(4):
                v0 = v1 = v2 = 0.0
                for k in range(4):
                    c = coefficients[first[0] + i, first[1] + j, first[2] + k]
                    v0 += weight[0, 2, k] * c
                    v1 += weight[1, 2, k] * c
                    v2 += weight[2, 2, k] * c
                a0, a1, a2 = weight[0, 0, i], weight[1, 0, i], weight[2, 0, i]
                b0, b1, b2 = weight[0, 1, j], weight[1, 1, j], weight[2, 1, j]
                d += a0 * b0 * v0
                gx += a1 * b0 * v0
                gy += a0 * b1 * v0
                gz += a0 * b0 * v1
                xx += a2 * b0 * v0
                yy += a0 * b2 * v0
                zz += a0 * b0 * v2
                xy += a1 * b1 * v0
                xz += a1 * b0 * v1
                yz += a0 * b1 * v1
        depth[n] = d + gx * beyond[0] + gy * beyond[1] + gz * beyond[2]
        gradient[n, 0], gradient[n, 1], gradient[n, 2] = gx, gy, gz
        hessian[n, 0, 0], hessian[n, 1, 1], hessian[n, 2, 2] = xx, yy, zz
        hessian[n, 0, 1] = hessian[n, 1, 0] = xy
        hessian[n, 0, 2] = hessian[n, 2, 0] = xz
        hessian[n, 1, 2] = hessian[n, 2, 1] = yz
        if beyond[0] != 0.0 or beyond[1] != 0.0 or beyond[2] != 0.0:
            for i in range(3):
                for j in range(3):
                    if beyond[i] == 0.0:
                        gradient[n, i] += hessian[n, i, j] * beyond[j]
                    elif beyond[j] != 0.0:
                        hessian[n, i, j] = 0.0
