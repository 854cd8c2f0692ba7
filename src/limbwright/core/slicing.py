"""Cross-sections of a limb at constant u: girth, area, outline and volume below."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull, QhullError

from limbwright.core.kernels import kernel, reals
from limbwright.core.mesh import Faces, Mesh, Scalars, Vertices

Outline = NDArray[np.float64]
"""(p, 2) float64, mm, (o, f); the last point joins the first."""


@dataclass(frozen=True, slots=True, eq=False)
class SliceMoments:
    """Size and place of cross-sections, one entry for each level asked for.

    Parameters
    ----------
    levels_u_mm : (k,) float64, mm, limb frame
    perimeter_mm : (k,) float64
        Length of the outline, concavities followed; 0 where the level misses the mesh.
    area_mm2 : (k,) float64
        Positive for a surface wound outward; inner loops count negative.
    centroid_mm : (k, 2) float64
        Centroid of the area in (o, f); NaN where there is no area.
    low_mm, high_mm : (k, 2) float64
        Least and greatest o and f; NaN where the level misses the mesh.
    gap_mm : (k,) float64
        0 when every outline closes; else the section runs through a hole, and area and
        centroid are not to be trusted.
    """

    levels_u_mm: Scalars
    perimeter_mm: Scalars
    area_mm2: Scalars
    centroid_mm: NDArray[np.float64]
    low_mm: NDArray[np.float64]
    high_mm: NDArray[np.float64]
    gap_mm: Scalars


def slice_moments(mesh: Mesh, levels_u_mm: Scalars) -> SliceMoments:
    """Perimeter, area, centroid and extent of the sections at levels (k,) of u, mm.

    Cost: the faces once plus the crossings.

    Raises
    ------
    ValueError
        When the mesh has no face or a level is not a finite number.
    """
    levels, order = _sorted_levels(mesh, levels_u_mm)
    centre = 0.5 * (mesh.vertices.min(axis=0) + mesh.vertices.max(axis=0))
    rows = np.empty((len(levels), 10))
    rows[order] = _moments(mesh.vertices, mesh.faces, levels, centre[0], centre[1])
    perimeter, area = rows[:, 0], rows[:, 1]
    has_area = np.abs(area) > 1e-12 * np.maximum(perimeter, 1e-300) ** 2
    first = np.divide(
        rows[:, 2:4],
        area[:, None],
        out=np.full((len(rows), 2), np.nan),
        where=has_area[:, None],
    )
    gap = np.hypot(rows[:, 8], rows[:, 9])
    gap[gap <= 1e-9 * perimeter] = 0.0
    return SliceMoments(
        np.asarray(levels_u_mm, dtype=np.float64),
        perimeter.copy(),
        area.copy(),
        first + centre[:2],
        np.where(perimeter[:, None] > 0, rows[:, 4:6], np.nan),
        np.where(perimeter[:, None] > 0, rows[:, 6:8], np.nan),
        gap,
    )


def slice_loops(mesh: Mesh, u_mm: float) -> list[Outline]:
    """Outlines of the section at u, longest first, counter-clockwise seen from above.

    An outline that a hole of the surface interrupts comes as the piece it is; its last point
    joins the first straight across (`SliceMoments.gap_mm` tells).

    Returns
    -------
    list of (p, 2) float64, mm, (o, f)

    Raises
    ------
    ValueError
        When the mesh has no face or the level is not a finite number.
    """
    _sorted_levels(mesh, np.array([u_mm]))
    entry, leave, start, end = _crossings(mesh, float(u_mm))
    loops = [
        np.concatenate([start[path], end[path[-1:]]])
        if entry[path[0]] != leave[path[-1]]
        else start[path]
        for path in _chains(entry, leave)
    ]
    return sorted(loops, key=_length, reverse=True)


def convex_perimeter(points: NDArray[np.float64]) -> float:
    """Girth as a taut tape reads it: perimeter of the convex hull of points (p, 2), mm.

    Raises
    ------
    ValueError
        When there is no point.
    """
    points = np.asarray(points, dtype=np.float64)
    if points.ndim != 2 or points.shape[1:] != (2,) or len(points) == 0:
        raise ValueError(f"points must be (p, 2) and not empty, got {points.shape}")
    try:
        return float(ConvexHull(points).area)  # scipy calls a perimeter area in 2-D
    except (QhullError, ValueError):
        # all in one line: the tape runs there and back
        spread = points - points.mean(axis=0)
        along = spread @ np.linalg.svd(spread, full_matrices=False)[2][0]
        return 2.0 * float(np.ptp(along))


def volumes_below(mesh: Mesh, levels_u_mm: Scalars) -> Scalars:
    """Volume of the solid below each level (k,) of u, exact for the polyhedron.

    The surface may be open above the levels; below them it must be closed and wound outward.

    Returns
    -------
    (k,) float64, mm³

    Raises
    ------
    ValueError
        When the mesh has no face or a level is not a finite number.
    """
    levels, order = _sorted_levels(mesh, levels_u_mm)
    # the field (0, 0, z - level) has unit divergence and no flux through the cut
    low = mesh.vertices.min(axis=0)
    volumes = np.empty(len(levels))
    volumes[order] = _below(reals(mesh.vertices - low), mesh.faces, reals(levels - low[2]))
    return volumes


def _sorted_levels(mesh: Mesh, levels_u_mm: Scalars) -> tuple[Scalars, NDArray[np.intp]]:
    if len(mesh.faces) == 0:
        raise ValueError("a mesh without faces has no section")
    levels = np.atleast_1d(np.asarray(levels_u_mm, dtype=np.float64))
    if not np.isfinite(levels).all():
        raise ValueError("a level is not a finite number")
    order = np.argsort(levels, kind="stable")
    return reals(levels[order]), order


def _length(outline: Outline) -> float:
    steps = np.roll(outline, -1, axis=0) - outline
    return float(np.hypot(steps[:, 0], steps[:, 1]).sum())


def _crossings(
    mesh: Mesh, u_mm: float
) -> tuple[NDArray[np.int64], NDArray[np.int64], Outline, Outline]:
    """Keys of the edges where the outline enters and leaves each crossed face, and where."""
    faces = mesh.faces[_crossed(mesh.vertices, mesh.faces, u_mm)]
    up = mesh.vertices[faces, 2] >= u_mm
    row = np.arange(len(faces))
    # seen from above, an outward face runs from its falling edge's end to its rising one
    down = (up & ~np.roll(up, -1, axis=1)).argmax(axis=1)
    rise = (~up & np.roll(up, -1, axis=1)).argmax(axis=1)
    n = len(mesh.vertices)
    keys, points = [], []
    for corner in (down, rise):
        a, b = faces[row, corner], faces[row, (corner + 1) % 3]
        a, b = np.minimum(a, b), np.maximum(a, b)
        p, q = mesh.vertices[a], mesh.vertices[b]
        part = ((u_mm - p[:, 2]) / (q[:, 2] - p[:, 2]))[:, None]
        keys.append(a.astype(np.int64) * n + b)
        points.append(p[:, :2] + part * (q[:, :2] - p[:, :2]))
    return keys[0], keys[1], points[0], points[1]


def _chains(entry: NDArray[np.int64], leave: NDArray[np.int64]) -> list[NDArray[np.intp]]:
    """Rows in walking order, one list for each outline; interrupted ones from their start."""
    follower = dict(zip(entry.tolist(), range(len(entry)), strict=True))
    after = [follower.get(key, -1) for key in leave.tolist()]
    open_starts = np.flatnonzero(~np.isin(entry, leave)).tolist()
    seen = [False] * len(after)
    chains = []
    for row in [*open_starts, *range(len(after))]:
        path = []
        while row >= 0 and not seen[row]:
            seen[row] = True
            path.append(row)
            row = after[row]
        if path:
            chains.append(np.array(path))
    return chains


@kernel
def _crossed(vertices: Vertices, faces: Faces, level: float) -> NDArray[np.int32]:
    """Faces with corners on both sides of the level."""
    found = np.empty(faces.shape[0], np.int32)
    count = 0
    for t in range(faces.shape[0]):
        first = vertices[faces[t, 0], 2] >= level
        if first != (vertices[faces[t, 1], 2] >= level) or first != (
            vertices[faces[t, 2], 2] >= level
        ):
            found[count] = t
            count += 1
    return found[:count].copy()


@kernel
def _first_above(levels: Scalars, value: float) -> int:
    """First index with levels[index] > value."""
    low, high = 0, levels.shape[0]
    while low < high:
        mid = (low + high) // 2
        if levels[mid] > value:
            high = mid
        else:
            low = mid + 1
    return low


@kernel
def _moments(
    vertices: Vertices, faces: Faces, levels: Scalars, o: float, f: float
) -> NDArray[np.float64]:
    """Rows: perimeter, area, two first moments about (o, f), lows, highs, closing vector."""
    rows = np.zeros((levels.shape[0], 10))
    for i in range(levels.shape[0]):
        rows[i, 4] = rows[i, 5] = np.inf
        rows[i, 6] = rows[i, 7] = -np.inf
    for t in range(faces.shape[0]):
        z0 = vertices[faces[t, 0], 2]
        z1 = vertices[faces[t, 1], 2]
        z2 = vertices[faces[t, 2], 2]
        high = max(z0, max(z1, z2))
        i = _first_above(levels, min(z0, min(z1, z2)))
        while i < levels.shape[0] and levels[i] <= high:
            px, py, qx, qy = 0.0, 0.0, 0.0, 0.0
            for k in range(3):
                a, b = faces[t, k], faces[t, (k + 1) % 3]
                falls = vertices[a, 2] >= levels[i]
                if falls == (vertices[b, 2] >= levels[i]):
                    continue
                lo, hi = min(a, b), max(a, b)  # the same number from both faces
                s = (levels[i] - vertices[lo, 2]) / (vertices[hi, 2] - vertices[lo, 2])
                x = vertices[lo, 0] + s * (vertices[hi, 0] - vertices[lo, 0])
                y = vertices[lo, 1] + s * (vertices[hi, 1] - vertices[lo, 1])
                if falls:
                    px, py = x, y
                else:
                    qx, qy = x, y
            cross = 0.5 * ((px - o) * (qy - f) - (py - f) * (qx - o))
            rows[i, 0] += np.sqrt((qx - px) ** 2 + (qy - py) ** 2)
            rows[i, 1] += cross
            rows[i, 2] += cross * (px + qx - 2.0 * o) / 3.0
            rows[i, 3] += cross * (py + qy - 2.0 * f) / 3.0
            rows[i, 4] = min(rows[i, 4], min(px, qx))
            rows[i, 5] = min(rows[i, 5], min(py, qy))
            rows[i, 6] = max(rows[i, 6], max(px, qx))
            rows[i, 7] = max(rows[i, 7], max(py, qy))
            rows[i, 8] += qx - px
            rows[i, 9] += qy - py
            i += 1
    return rows


@kernel
def _below(vertices: Vertices, faces: Faces, levels: Scalars) -> Scalars:
    count = levels.shape[0]
    # whole faces below: sum of area_z * z and of area_z, gathered once and summed upward
    whole = np.zeros((count + 1, 2))
    volume = np.zeros(count)
    poly = np.empty((4, 3))
    for t in range(faces.shape[0]):
        p, q, r = faces[t, 0], faces[t, 1], faces[t, 2]
        low = min(vertices[p, 2], min(vertices[q, 2], vertices[r, 2]))
        high = max(vertices[p, 2], max(vertices[q, 2], vertices[r, 2]))
        i = _first_above(levels, low)
        while i < count and levels[i] < high:
            volume[i] += _cut_flux(vertices, faces, t, levels[i], poly)
            i += 1
        area = 0.5 * (
            (vertices[q, 0] - vertices[p, 0]) * (vertices[r, 1] - vertices[p, 1])
            - (vertices[q, 1] - vertices[p, 1]) * (vertices[r, 0] - vertices[p, 0])
        )
        z = (vertices[p, 2] + vertices[q, 2] + vertices[r, 2]) / 3.0
        whole[i, 0] += area * z
        whole[i, 1] += area
    first, second = 0.0, 0.0
    for i in range(count):
        first += whole[i, 0]
        second += whole[i, 1]
        volume[i] += first - levels[i] * second
    return volume


@kernel
def _cut_flux(
    vertices: Vertices, faces: Faces, t: int, level: float, poly: NDArray[np.float64]
) -> float:
    """Flux of (0, 0, z - level) through the part of a face below the level."""
    m = 0
    for k in range(3):
        a, b = faces[t, k], faces[t, (k + 1) % 3]
        if vertices[a, 2] < level:
            for d in range(3):
                poly[m, d] = vertices[a, d]
            m += 1
        if (vertices[a, 2] < level) != (vertices[b, 2] < level):
            s = (level - vertices[a, 2]) / (vertices[b, 2] - vertices[a, 2])
            for d in range(3):
                poly[m, d] = vertices[a, d] + s * (vertices[b, d] - vertices[a, d])
            m += 1
    flux = 0.0
    for k in range(1, m - 1):
        area = 0.5 * (
            (poly[k, 0] - poly[0, 0]) * (poly[k + 1, 1] - poly[0, 1])
            - (poly[k, 1] - poly[0, 1]) * (poly[k + 1, 0] - poly[0, 0])
        )
        flux += area * ((poly[0, 2] + poly[k, 2] + poly[k + 1, 2]) / 3.0 - level)
    return flux
