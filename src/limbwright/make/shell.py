"""The socket's wall: everything within the wall's thickness outside the model, cut at the brim."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from limbwright.core.distance_field import DistanceGrid, iso_surface, narrow_band
from limbwright.core.errors import DesignRefused
from limbwright.core.mesh import Mesh, Vertices, vertex_normals
from limbwright.core.topology import boundary_loops

BRIM_STEP_MM = 0.5
"""Spacing of points along the brim from which the cut is measured."""
BRIM_ROUNDING = 0.4
"""Radius of the brim's edges as a share of the wall: project choice, no sharp edge on skin."""
_MARGIN = 2.5


def shell_surface(model: Mesh, wall_mm: float, spacing_mm: float) -> Mesh:
    """The closed skin of a socket of even wall around the rectified model.

    The wall is the zone between distance 0 and `wall_mm` outside the model, intersected with what
    lies below the surface that stands on the brim at right angles to the model; both rims are
    rounded. Level zero of that combined distance is drawn.

    Parameters
    ----------
    model : Mesh
        Inside of the socket, open at the brim (one loop), wound outward, mm.
    wall_mm : float
    spacing_mm : float
        Sampling of the distance field.

    Returns
    -------
    Mesh
        Closed manifold, wound outward.

    Raises
    ------
    DesignRefused
        When the model has no single brim, or the wall cannot be closed.
    """
    loops = boundary_loops(model)
    if len(loops) != 1:
        raise DesignRefused(
            f"The model has {len(loops)} open rims where one brim is needed; check the trim line."
        )
    middle = 0.5 * wall_mm
    grid = narrow_band(model, spacing_mm, middle + _MARGIN * spacing_mm, level_mm=middle)
    wall = np.abs(grid.values - np.float32(middle)) - np.float32(middle)
    above = _above_brim(grid, model, loops[0], wall_mm)
    values = _rounded_intersection(wall, above, np.float32(BRIM_ROUNDING * wall_mm))
    try:
        return iso_surface(
            DistanceGrid(grid.origin_mm, spacing_mm, values, 0.0, _MARGIN * spacing_mm), 0.0
        )
    except ValueError as error:
        raise DesignRefused(
            f"A wall of {wall_mm:g} mm cannot be closed around this model ({error});"
            " choose a thinner wall or a smoother shape."
        ) from error


def _rounded_intersection(
    first: NDArray[np.float32], second: NDArray[np.float32], radius: np.float32
) -> NDArray[np.float32]:
    """Distance to the part common to two solids, its edge rounded by a radius."""
    a, b = first + radius, second + radius
    corner = np.hypot(np.maximum(a, 0), np.maximum(b, 0))
    return np.asarray(np.minimum(np.maximum(a, b), 0) + corner - radius, dtype=np.float32)


def _above_brim(
    grid: DistanceGrid, model: Mesh, loop: NDArray[np.int32], wall_mm: float
) -> NDArray[np.float32]:
    """How far each grid point near the brim lies beyond it, along the model's surface."""
    points, outward = _brim(model, loop)
    reach = wall_mm + 4 * grid.spacing_mm
    near = np.argwhere(grid.values < grid.level_mm + grid.band_mm)
    place = grid.origin_mm + near * grid.spacing_mm
    box = (place >= points.min(axis=0) - reach) & (place <= points.max(axis=0) + reach)
    near, place = near[box.all(axis=1)], place[box.all(axis=1)]
    found = cKDTree(points).query(place, distance_upper_bound=reach)
    distance, which = np.asarray(found[0]), np.asarray(found[1])
    hit = np.isfinite(distance)
    beyond = np.einsum("ij,ij->i", place[hit] - points[which[hit]], outward[which[hit]])
    values = np.full(grid.values.shape, -reach, dtype=np.float32)
    values[tuple(near[hit].T)] = beyond
    return values


def _brim(model: Mesh, loop: NDArray[np.int32]) -> tuple[Vertices, Vertices]:
    """Points along the brim and, at each, the direction in the surface that leads off it.

    Returns
    -------
    (k, 3) float64, mm, and (k, 3) float64, unit
    """
    corner = model.vertices[loop]
    normal = vertex_normals(model)[loop]
    ahead = np.roll(corner, -1, axis=0)
    length = np.linalg.norm(ahead - corner, axis=1)
    count = np.maximum(1, np.ceil(length / BRIM_STEP_MM)).astype(int)
    which = np.repeat(np.arange(len(loop)), count)
    share = np.concatenate([np.arange(n) / n for n in count])[:, None]
    after = (which + 1) % len(loop)
    points = corner[which] * (1 - share) + corner[after] * share
    along = np.roll(points, -3, axis=0) - np.roll(points, 3, axis=0)
    outward = np.cross(along, normal[which] * (1 - share) + normal[after] * share)
    outward /= np.linalg.norm(outward, axis=1, keepdims=True)
    inside = model.vertices.mean(axis=0) - points
    if np.einsum("ij,ij->i", outward, inside).mean() > 0:
        outward = -outward
    return points, _smoothed(outward, 8)


def _smoothed(directions: Vertices, half_width: int) -> Vertices:
    """Directions averaged along a closed line."""
    total = sum(np.roll(directions, shift, axis=0) for shift in range(-half_width, half_width + 1))
    return np.asarray(total / np.linalg.norm(total, axis=1, keepdims=True), dtype=np.float64)
