"""Distances to skin and bone on a grid, the potential between them, and its lines.

The potential is 0 on the bone and 1 on the skin and (nearly) harmonic between, so its lines
lead from every point of the skin to the bone without ever crossing: a map from skin to bone for
any limb, however knobbly. On the grid's top plane its normal derivative is zero, so that lines
that start there stay there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.distance_field import voted_sides
from limbwright.core.kernels import kernel, reals
from limbwright.core.mesh import Vector, Vertices

Grid = NDArray[np.float64]
Distance = Callable[[Vertices], NDArray[np.float64]]

GRID_MM = 3.0
"""Spacing of the grid; the lines only steer the mesh, its surfaces are placed exactly."""
_NEAR = 2.5
"""Distance in spacings within which values are exact and not interpolated."""
_SWEEPS = 60
_OVER_RELAXATION = 1.7
_STEP = 0.4
"""Step along a line, in spacings."""
_LONGEST = 400
"""Steps after which a line counts as lost."""


@dataclass(frozen=True, slots=True, eq=False)
class Potential:
    """The potential between bone and skin on a grid.

    Parameters
    ----------
    origin_mm : (3,) float64, mm
    spacing_mm : float
    to_bone_mm : (i, j, k) float64, mm
        Distance to the rigid body, negative inside it.
    gradient : (i, j, k, 3) float64
        Of the potential, per mm.
    """

    origin_mm: Vector
    spacing_mm: float
    to_bone_mm: Grid
    gradient: NDArray[np.float64]


def potential_between(
    to_bone: Distance, in_skin: Distance, low_mm: Vector, high_mm: Vector
) -> Potential:
    """Solve the potential in a box whose top face is the mesh's upper cut plane.

    Parameters
    ----------
    to_bone, in_skin : distance of (n, 3) points in mm
        Outside the rigid body positive; inside the skin positive.
    low_mm, high_mm : (3,) float64, mm
        Corners of the box; the grid is laid from the top down.
    """
    shape, origin = _laid_out(low_mm, high_mm)
    bone = _sampled(to_bone, origin, shape)
    skin = _sampled(in_skin, origin, shape)
    start = bone / np.maximum(bone + skin, 0.5)
    values = _relaxed(start, (bone > 0.0) & (skin > 0.0))
    gradient = np.stack(list(np.gradient(values, GRID_MM)), axis=-1)
    gradient[:, :, -1, 2] = 0.0
    return Potential(origin, GRID_MM, bone, gradient)


def lines_to_bone(
    field: Potential, starts: Vertices
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Follow the potential's lines from points on the skin until they meet the bone.

    Returns
    -------
    ways : (n, steps, 3) float64, mm
        Points of each line, the start first.
    counts : (n,) int
        Points of each line; 0 for a line that found no bone.
    """
    ways, counts = _trace(
        reals(field.gradient.reshape(-1, 3)),
        reals(field.to_bone_mm.ravel()),
        np.array(field.to_bone_mm.shape),
        reals(field.origin_mm),
        field.spacing_mm,
        reals(starts),
        _STEP * field.spacing_mm,
        _LONGEST,
    )
    return ways[:, : max(int(counts.max()), 2)], counts


def _laid_out(low_mm: Vector, high_mm: Vector) -> tuple[NDArray[np.int64], Vector]:
    """An odd number of points each way, so that every second one is a coarser grid."""
    cells = np.ceil((high_mm - low_mm) / (2.0 * GRID_MM)).astype(np.int64)
    shape = 2 * cells + 1
    return shape, high_mm - GRID_MM * (shape - 1)


def _sampled(distance: Distance, origin: Vector, shape: NDArray[np.int64]) -> Grid:
    """Exact on every second point and close to the surface, linear between elsewhere."""
    coarse = _points(origin, (shape + 1) // 2, 2.0 * GRID_MM)
    known = distance(coarse.reshape(-1, 3)).reshape(coarse.shape[:3])
    values = _between(voted_sides(known, GRID_MM))
    near = np.abs(values) < _NEAR * GRID_MM
    near[::2, ::2, ::2] = False
    at = np.argwhere(near)
    values[near] = distance(origin + GRID_MM * at)
    return voted_sides(values, 0.5 * GRID_MM)


def _between(known: Grid) -> Grid:
    """Twice as fine, linear between."""
    for axis in range(3):
        known = np.moveaxis(known, axis, 0)
        fine = np.empty((2 * known.shape[0] - 1, *known.shape[1:]))
        fine[::2] = known
        fine[1::2] = 0.5 * (known[1:] + known[:-1])
        known = np.moveaxis(fine, 0, axis)
    return np.ascontiguousarray(known)


def _points(origin: Vector, shape: NDArray[np.int64], spacing: float) -> NDArray[np.float64]:
    axes = [origin[axis] + spacing * np.arange(shape[axis]) for axis in range(3)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)


def _relaxed(start: Grid, tissue: NDArray[np.bool_]) -> Grid:
    values = np.array(start)
    tissue = np.array(tissue)
    tissue[[0, -1]] = tissue[:, [0, -1]] = False
    tissue[:, :, 0] = False
    _relax(values, tissue, _SWEEPS, _OVER_RELAXATION)
    return values


@kernel
def _relax(values: Grid, tissue: NDArray[np.bool_], sweeps: int, factor: float) -> None:
    """Gauss-Seidel with over-relaxation; the topmost plane mirrors the one below it."""
    ni, nj, nk = values.shape
    for _ in range(sweeps):
        for i in range(1, ni - 1):
            for j in range(1, nj - 1):
                for k in range(1, nk):
                    if tissue[i, j, k]:
                        above = values[i, j, k + 1] if k + 1 < nk else values[i, j, k - 1]
                        mean = (
                            values[i - 1, j, k]
                            + values[i + 1, j, k]
                            + values[i, j - 1, k]
                            + values[i, j + 1, k]
                            + values[i, j, k - 1]
                            + above
                        ) / 6.0
                        values[i, j, k] += factor * (mean - values[i, j, k])


@kernel
def _cell(
    shape: NDArray[np.int64], origin: Vector, spacing: float, x: float, y: float, z: float
) -> tuple[int, float, float, float]:
    """Place of the cell's lowest corner in the flat grid, and where in the cell, 0 to 1."""
    u = min(max((x - origin[0]) / spacing, 0.0), shape[0] - 1.000001)
    v = min(max((y - origin[1]) / spacing, 0.0), shape[1] - 1.000001)
    w = min(max((z - origin[2]) / spacing, 0.0), shape[2] - 1.000001)
    i, j, k = int(u), int(v), int(w)
    return (i * shape[1] + j) * shape[2] + k, u - i, v - j, w - k


@kernel
def _read(values: Grid, shape: NDArray[np.int64], base: int, u: float, v: float, w: float) -> float:
    """Trilinear value in a cell."""
    line, plane = shape[2], shape[1] * shape[2]
    total = 0.0
    for a in range(2):
        for b in range(2):
            for c in range(2):
                weight = (u if a else 1 - u) * (v if b else 1 - v) * (w if c else 1 - w)
                total += weight * values[base + a * plane + b * line + c]
    return total


@kernel
def _inward(
    gradient: NDArray[np.float64],
    shape: NDArray[np.int64],
    origin: Vector,
    spacing: float,
    x: float,
    y: float,
    z: float,
) -> tuple[float, float, float]:
    """Unit direction against the gradient."""
    base, u, v, w = _cell(shape, origin, spacing, x, y, z)
    line, plane = shape[2], shape[1] * shape[2]
    p = q = r = 0.0
    for a in range(2):
        for b in range(2):
            for c in range(2):
                weight = (u if a else 1 - u) * (v if b else 1 - v) * (w if c else 1 - w)
                at = base + a * plane + b * line + c
                p += weight * gradient[at, 0]
                q += weight * gradient[at, 1]
                r += weight * gradient[at, 2]
    size = np.sqrt(p * p + q * q + r * r) + 1e-300
    return -p / size, -q / size, -r / size


@kernel
def _trace(
    gradient: NDArray[np.float64],
    to_bone: NDArray[np.float64],
    shape: NDArray[np.int64],
    origin: Vector,
    spacing: float,
    starts: Vertices,
    step: float,
    longest: int,
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Midpoint rule along the lines; the last point lies on the bone of the grid."""
    ways = np.zeros((len(starts), longest, 3))
    counts = np.zeros(len(starts), np.intp)
    for n in range(len(starts)):
        x, y, z = starts[n, 0], starts[n, 1], starts[n, 2]
        ways[n, 0] = starts[n]
        base, u, v, w = _cell(shape, origin, spacing, x, y, z)
        before = _read(to_bone, shape, base, u, v, w)
        for count in range(1, longest):
            p, q, r = _inward(gradient, shape, origin, spacing, x, y, z)
            half = 0.5 * step
            p, q, r = _inward(
                gradient, shape, origin, spacing, x + half * p, y + half * q, z + half * r
            )
            base, u, v, w = _cell(shape, origin, spacing, x + step * p, y + step * q, z + step * r)
            now = _read(to_bone, shape, base, u, v, w)
            share = 1.0
            if now <= 0.0:
                share = min(1.0, max(before, 0.0) / max(before - now, 1e-12))
            x, y, z = x + share * step * p, y + share * step * q, z + share * step * r
            ways[n, count, 0], ways[n, count, 1], ways[n, count, 2] = x, y, z
            if now <= 0.0:
                counts[n] = count + 1
                break
            before = now
    return ways, counts
