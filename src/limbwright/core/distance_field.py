"""Signed distance on a grid near a surface, and surfaces at a given distance from it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from skimage.measure import marching_cubes

from limbwright.core.mesh import Mesh, Vector
from limbwright.core.proximity import DistanceTree
from limbwright.core.topology import edge_table, is_closed_manifold, weld

_COARSE = 8


@dataclass(frozen=True, slots=True, eq=False)
class DistanceGrid:
    """Signed distance to a surface at the points of a regular grid.

    Parameters
    ----------
    origin_mm : (3,) float64, mm
        Place of values[0, 0, 0].
    spacing_mm : float
    values : (i, j, k) float32, mm
        Negative inside, exact where it differs from `level_mm` by at most `band_mm`, held at
        `level_mm` plus or minus `band_mm` beyond.
    level_mm : float
    band_mm : float
    """

    origin_mm: Vector
    spacing_mm: float
    values: NDArray[np.float32]
    level_mm: float
    band_mm: float


def narrow_band(
    mesh: Mesh,
    spacing_mm: float,
    band_mm: float,
    bounds_mm: NDArray[np.float64] | None = None,
    level_mm: float = 0.0,
) -> DistanceGrid:
    """Sample the signed distance to a surface close to it, or close to a level of it.

    Parameters
    ----------
    mesh : Mesh
        Wound outward. An open one gives signs that hold near the surface only.
    spacing_mm : float
    band_mm : float
        Half width of the exact zone; at least twice the spacing if a surface is to be drawn.
    bounds_mm : (2, 3) float64, mm, optional
        Lowest and highest corner of the grid; by default the mesh with level and band around.
    level_mm : float
        Middle of the exact zone: for a wall, its thickness.

    Raises
    ------
    ValueError
        When the mesh has no face, or spacing or band is not positive.
    """
    if not spacing_mm > 0.0 or not band_mm > 0.0:
        raise ValueError(f"spacing and band must be positive, got {spacing_mm} and {band_mm} mm")
    tree = DistanceTree(mesh)
    if bounds_mm is None:
        margin = max(level_mm, 0.0) + band_mm + spacing_mm
        bounds_mm = np.stack(
            [mesh.vertices.min(axis=0) - margin, mesh.vertices.max(axis=0) + margin]
        )
    low, high = np.asarray(bounds_mm, dtype=np.float64)
    shape = np.ceil((high - low) / spacing_mm).astype(np.int64) + 1
    closed = edge_table(mesh.faces, len(mesh.vertices)).boundary_count == 0
    values = _refine(tree, low, spacing_mm, shape, level_mm, band_mm, closed)
    held = np.clip(values, level_mm - band_mm, level_mm + band_mm, out=values)
    return DistanceGrid(low, float(spacing_mm), held, float(level_mm), float(band_mm))


def iso_surface(grid: DistanceGrid, level_mm: float) -> Mesh:
    """The closed surface at a signed distance, wound outward.

    Raises
    ------
    ValueError
        When the level lies outside the grid's exact zone, is nowhere met, or runs into the
        grid's border, so that the surface would be open.
    """
    if abs(level_mm - grid.level_mm) >= grid.band_mm:
        raise ValueError(
            f"level {level_mm} mm lies outside the sampled zone "
            f"{grid.level_mm} +- {grid.band_mm} mm"
        )
    above = grid.values > level_mm
    if above.all() or not above.any():
        raise ValueError(f"no point of the grid lies on either side of {level_mm} mm")
    vertices, faces, _, _ = marching_cubes(
        grid.values,
        level=level_mm,
        spacing=(grid.spacing_mm,) * 3,
        gradient_direction="descent",
        allow_degenerate=False,
    )
    mesh = weld(Mesh(vertices.astype(np.float64) + grid.origin_mm, faces))
    if not is_closed_manifold(mesh):
        raise ValueError(
            f"the surface at {level_mm} mm is not closed: "
            "it runs into the grid's border or pinches; widen the bounds or refine the grid"
        )
    return mesh


def _refine(
    tree: DistanceTree,
    low: Vector,
    spacing_mm: float,
    shape: NDArray[np.int64],
    level_mm: float,
    band_mm: float,
    closed: bool,
) -> NDArray[np.float32]:
    """Distances at the middles of ever smaller cells, halved only where the level may pass."""
    blocks = -(-shape // _COARSE)
    values = np.zeros(tuple(blocks), dtype=np.float32)
    cells = np.argwhere(np.ones(tuple(blocks), dtype=np.bool_))
    stride = _COARSE
    while True:
        middle = low + spacing_mm * (cells * stride + 0.5 * (stride - 1))
        distance = tree.signed(middle)
        values[tuple(cells.T)] = distance
        if stride == 1:
            return np.ascontiguousarray(values[: shape[0], : shape[1], : shape[2]])
        # the distance changes by at most the way to the cell's corner
        reach = band_mm + 0.5 * np.sqrt(3.0) * spacing_mm * (stride - 1)
        off = distance - level_mm if closed else np.abs(distance) - abs(level_mm)
        cells = cells[np.abs(off) <= reach]
        cells = (2 * cells[:, None, :] + np.array(list(np.ndindex(2, 2, 2)))).reshape(-1, 3)
        for axis in range(3):
            values = np.repeat(values, 2, axis=axis)
        stride //= 2
