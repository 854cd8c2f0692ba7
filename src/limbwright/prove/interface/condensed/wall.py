"""The socket's wall as a distance field that follows an edit within milliseconds.

A rectified shape is the limb's surface moved along its normals, so its field need not be measured
anew: it is the limb's own signed distance, known once per limb, less the displacement of the
surface at the foot of each point of the grid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import zoom
from scipy.spatial import cKDTree

from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices, barycentric
from limbwright.core.proximity import DistanceTree
from limbwright.prove.interface.socket_field import (
    MARGIN_MM,
    SPACING_MM,
    SocketField,
    raised,
)
from limbwright.shape.result import SocketShape

NEAR_MM = 16.0
"""Where the limb's distance is known exactly; farther off it is interpolated."""
_COARSE = 4


@dataclass(frozen=True, slots=True, eq=False)
class WallBasis:
    """A limb's own distance on a grid, and where on its surface each point of the grid looks.

    Parameters
    ----------
    origin_mm : (3,) float64, mm, limb frame
    spacing_mm : float
    counts : (3,) int32
    distance_mm : (g,) float32
        Signed distance to the limb's surface, positive outside.
    corners : (g, 3) int32
        Vertices of `Limb.surface` around the closest point.
    weights : (g, 3) float32
        Their shares, adding up to one.
    """

    origin_mm: Vector
    spacing_mm: float
    counts: NDArray[np.int32]
    distance_mm: NDArray[np.float32]
    corners: NDArray[np.int32]
    weights: NDArray[np.float32]


def wall_basis(surface: Mesh, room_mm: float) -> WallBasis:
    """Measure a limb's surface once for all its sockets.

    Parameters
    ----------
    surface : Mesh
        `Limb.surface`, open at the top, wound outward.
    room_mm : float
        How far a socket's wall may stand off it: liner and reliefs.

    Raises
    ------
    DesignRefused
        When the surface is closed at the top.
    """
    tree = DistanceTree(raised(surface))
    low = surface.vertices.min(axis=0) - MARGIN_MM
    high = surface.vertices.max(axis=0) + MARGIN_MM
    cells = np.ceil((high - low) / (_COARSE * SPACING_MM)).astype(np.int64)
    rough = np.indices(tuple(cells + 1)).reshape(3, -1).T
    distance = tree.signed(low + _COARSE * SPACING_MM * rough).reshape(tuple(cells + 1))
    counts = _COARSE * cells + 1
    values = zoom(distance, counts / np.array(distance.shape), order=1)
    points = np.indices(tuple(counts)).reshape(3, -1).T
    owner = np.ravel_multi_index(tuple(((points + _COARSE // 2) // _COARSE).T), distance.shape)
    corners, weights = (part[owner] for part in _feet(surface, tree, low, _COARSE, rough))
    near = np.flatnonzero(np.abs(values.ravel() - 0.5 * room_mm) < NEAR_MM + 0.5 * room_mm)
    corners[near], weights[near] = _feet(surface, tree, low, 1, points[near])
    values.ravel()[near] = tree.signed(low + SPACING_MM * points[near])
    return WallBasis(
        reals(low),
        SPACING_MM,
        indices(counts),
        values.ravel().astype(np.float32),
        indices(corners),
        weights.astype(np.float32),
    )


def wall_of(basis: WallBasis, shape: SocketShape) -> SocketField:
    """The field of a rectified shape with the roll of its brim."""
    values = np.empty(tuple(basis.counts))
    _less(
        basis.distance_mm,
        indices(basis.corners),
        basis.weights,
        reals(shape.displacement_mm + shape.flare_mm),
        values.ravel(),
    )
    coefficients = np.empty_like(values)
    _sharpen(values, coefficients)
    return SocketField(basis.origin_mm, basis.spacing_mm, reals(coefficients))


def slope_of(basis: WallBasis, field: SocketField, along: Scalars) -> SocketField:
    """How a wall's field changes when its surface moves outward, (v,) mm per unit."""
    values = np.empty(field.coefficients.shape)
    _less(
        np.zeros_like(basis.distance_mm),
        indices(basis.corners),
        basis.weights,
        reals(along),
        values.ravel(),
    )
    coefficients = np.empty_like(values)
    _sharpen(values, coefficients)
    return SocketField(basis.origin_mm, basis.spacing_mm, reals(coefficients))


def _feet(
    surface: Mesh, tree: DistanceTree, low: Vector, step: int, at: NDArray[np.int64]
) -> tuple[NDArray[np.int32], NDArray[np.float64]]:
    """Vertices around the closest point of the surface and their weights, (n, 3) each."""
    _, face, foot = tree.closest(low + step * SPACING_MM * at)
    own = face < len(surface.faces)
    corners = np.empty((len(at), 3), dtype=np.int32)
    weights = np.tile([1.0, 0.0, 0.0], (len(at), 1))
    corners[own] = surface.faces[face[own]]
    weights[own] = barycentric(surface.vertices[corners[own]], foot[own])
    corners[~own] = _rim_under(surface, foot[~own])[:, None]
    return corners, weights


def _rim_under(surface: Mesh, foot: Vertices) -> NDArray[np.int64]:
    """Vertex of the rim below each point of the wall that was raised on it."""
    top = np.flatnonzero(surface.vertices[:, 2] > surface.vertices[:, 2].max() - MARGIN_MM)
    return np.asarray(top[cKDTree(surface.vertices[top, :2]).query(foot[:, :2])[1]])


@kernel
def _less(
    distance: NDArray[np.float32],
    corners: NDArray[np.int32],
    weights: NDArray[np.float32],
    moved: Scalars,
    out: Scalars,
) -> None:
    for i in range(distance.shape[0]):
        out[i] = distance[i] - (
            weights[i, 0] * moved[corners[i, 0]]
            + weights[i, 1] * moved[corners[i, 1]]
            + weights[i, 2] * moved[corners[i, 2]]
        )


@kernel
def _sharpen(values: NDArray[np.float64], out: NDArray[np.float64]) -> None:
    """Coefficients of a cubic B-spline through a smooth field, to fourth order in the spacing.

    c = v - Σ (second difference)/6 along the axes (Schoenberg's quasi-interpolant).
    """
    a, b, c = values.shape
    for i in range(a):
        for j in range(b):
            for k in range(c):
                here = values[i, j, k]
                bend = 0.0
                if 0 < i < a - 1:
                    bend += values[i - 1, j, k] - 2.0 * here + values[i + 1, j, k]
                if 0 < j < b - 1:
                    bend += values[i, j - 1, k] - 2.0 * here + values[i, j + 1, k]
                if 0 < k < c - 1:
                    bend += values[i, j, k - 1] - 2.0 * here + values[i, j, k + 1]
                out[i, j, k] = here - bend / 6.0
