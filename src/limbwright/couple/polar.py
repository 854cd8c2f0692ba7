"""A surface seen from a line: its outermost radius at each height and angle."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Faces, Mesh, Scalars, Vector, Vertices
from limbwright.core.topology import compact
from limbwright.couple.axis import Line, seat_frame

_TOUCH = 1e-9
"""Share of a step by which a triangle is taken to reach farther, so that none slips through."""


@dataclass(frozen=True, slots=True, eq=False)
class PolarRadii:
    """Radius of a surface seen from an axis.

    Parameters
    ----------
    line : Line
        Heights count from its point, against its direction.
    heights_mm : (h,) float64
        Descending: the brim first.
    radii_mm : (h, a) float64
        Outermost radius at each height and angle from outward, anti-clockwise; NaN where the
        surface is not met.
    """

    line: Line
    heights_mm: Scalars
    radii_mm: NDArray[np.float64]

    def place(self, row: int, column: int, radius_mm: float) -> Vector:
        """The point of the grid at a radius, (3,) mm, limb frame."""
        frame = seat_frame(self.line.direction)
        angle = 2.0 * math.pi * column / self.radii_mm.shape[1]
        aside = radius_mm * (math.cos(angle) * frame[:, 0] + math.sin(angle) * frame[:, 1])
        up = self.heights_mm[row] * frame[:, 2]
        return np.asarray(self.line.point_mm + up + aside, dtype=np.float64)


def whole_height(mesh: Mesh, line: Line, step_mm: float) -> Scalars:
    """Heights of a whole surface along a line, evenly spaced, its top first."""
    along = (mesh.vertices - line.point_mm) @ -line.direction
    return np.arange(float(along.max()), float(along.min()), -step_mm)


def polar_radii(mesh: Mesh, line: Line, heights_mm: Scalars, angles: int) -> PolarRadii:
    """Outermost radius of a surface around an axis.

    Every triangle is cut by the planes of the heights and its cuts by the half-planes of the
    angles: what rays cast inward would hit, without casting any.

    Parameters
    ----------
    mesh : Mesh
    line : Line
        Axis; heights count from its point, against its direction.
    heights_mm : (h,) float64
        Evenly spaced, descending, at least one.
    angles : int
    """
    local = (mesh.vertices - line.point_mm) @ seat_frame(line.direction)
    step = float(heights_mm[0] - heights_mm[1]) if len(heights_mm) > 1 else 1.0
    turn = 2.0 * math.pi * np.arange(angles) / angles
    radii = _outermost(
        reals(local),
        indices(mesh.faces),
        float(heights_mm[0]),
        step,
        len(heights_mm),
        reals(np.column_stack([np.cos(turn), np.sin(turn)])),
    )
    return PolarRadii(line, heights_mm, radii)


def polar_net(seen: PolarRadii) -> Mesh:
    """The surface that a look saw, as a net over its heights and angles, mm, limb frame.

    Places that it did not meet are left open.
    """
    rows, angles = seen.radii_mm.shape
    frame = seat_frame(seen.line.direction)
    turn = 2.0 * math.pi * np.arange(angles) / angles
    around = np.cos(turn)[:, None] * frame[:, 0] + np.sin(turn)[:, None] * frame[:, 1]
    up = seen.heights_mm[:, None, None] * frame[:, 2]
    met = ~np.isnan(seen.radii_mm)
    points = seen.line.point_mm + up + np.where(met, seen.radii_mm, 0.0)[:, :, None] * around
    number = np.arange(rows * angles).reshape(rows, angles)
    upper, lower = number[:-1], number[1:]
    corners = np.stack(
        [upper, lower, np.roll(lower, -1, axis=1), np.roll(upper, -1, axis=1)], axis=-1
    ).reshape(-1, 4)
    corners = corners[met.ravel()[corners].all(axis=1)]
    faces = np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]])
    return compact(Mesh(points.reshape(-1, 3), faces.astype(np.int32)))


@kernel
def _outermost(
    points: Vertices, faces: Faces, top: float, step: float, rows: int, around: Vertices
) -> NDArray[np.float64]:
    """Outermost radius by row from the top and angle; NaN where no triangle is cut."""
    radii = np.full((rows, around.shape[0]), np.nan)
    x, y = np.empty(6), np.empty(6)
    for t in range(faces.shape[0]):
        a, b, c = faces[t, 0], faces[t, 1], faces[t, 2]
        high = max(points[a, 2], points[b, 2], points[c, 2])
        low = min(points[a, 2], points[b, 2], points[c, 2])
        first = max(math.ceil((top - high) / step - _TOUCH), 0)
        last = min(math.floor((top - low) / step + _TOUCH), rows - 1)
        for row in range(first, last + 1):
            height = min(max(top - row * step, low), high)
            count = _cut_edge(points, a, b, height, x, y, 0)
            count = _cut_edge(points, b, c, height, x, y, count)
            count = _cut_edge(points, c, a, height, x, y, count)
            for i in range(count - 1):
                for j in range(i + 1, count):
                    _sweep(x[i], y[i], x[j], y[j], radii, row, around)
    return radii


@kernel
def _cut_edge(
    points: Vertices, a: int, b: int, height: float, x: Scalars, y: Scalars, count: int
) -> int:
    """Add where an edge meets a height; both its ends when it lies in it."""
    ua, ub = points[a, 2], points[b, 2]
    if ua == ub:
        if ua != height:
            return count
        x[count], y[count] = points[a, 0], points[a, 1]
        x[count + 1], y[count + 1] = points[b, 0], points[b, 1]
        return count + 2
    share = (height - ua) / (ub - ua)
    if share < 0.0 or share > 1.0:
        return count
    x[count] = points[a, 0] + share * (points[b, 0] - points[a, 0])
    y[count] = points[a, 1] + share * (points[b, 1] - points[a, 1])
    return count + 1


@kernel
def _sweep(
    px: float,
    py: float,
    qx: float,
    qy: float,
    radii: NDArray[np.float64],
    row: int,
    around: Vertices,
) -> None:
    """Enter the radius of a segment at every angle that it spans."""
    angles = around.shape[0]
    step = 2.0 * math.pi / angles
    start = math.atan2(py, px)
    span = math.atan2(px * qy - py * qx, px * qx + py * qy)
    if span < 0.0:
        start, span = start + span, -span
    first = math.ceil(start / step - _TOUCH)
    last = math.floor((start + span) / step + _TOUCH)
    for number in range(first, last + 1):
        column = number % angles
        c, s = around[column, 0], around[column, 1]
        beside_p, beside_q = c * py - s * px, c * qy - s * qx
        along_p, along_q = c * px + s * py, c * qx + s * qy
        across = beside_p - beside_q
        if across == 0.0:
            radius = max(along_p, along_q)
        else:
            share = min(max(beside_p / across, 0.0), 1.0)
            radius = along_p + share * (along_q - along_p)
        if radius > 0.0 and not radius <= radii[row, column]:
            radii[row, column] = radius
