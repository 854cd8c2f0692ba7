"""The socket's wall as a grid of bricks, from where the boss begins up to the trim line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Mesh, Scalars, Vertices
from limbwright.core.slicing import slice_loops, slice_moments
from limbwright.prove.wall import BELOW_TRIM_MM, WallRing
from limbwright.shape.result import SocketShape
from limbwright.shape.trim import TURN, height_at, radius_at

BRIM_ROWS = 6
"""Bricks from below the trim line's lowest point up to the trim line."""
ROW_MM = 8.0


@dataclass(frozen=True, slots=True, eq=False)
class WallMesh:
    """Bricks of the wall, one through the thickness.

    Parameters
    ----------
    nodes_mm : (n, 3) float64, limb frame
    index : (2, rows, columns) int
        Numbers of the nodes by face (inner, outer), row from the lowest up, and column from
        outward, anti-clockwise.
    hexahedra : (m, 8) int32
        Row by row from the lowest.
    held : (n, 3) bool
        The lowest row, where the boss begins.
    """

    nodes_mm: Vertices
    index: NDArray[np.intp]
    hexahedra: NDArray[np.int32]
    held: NDArray[np.bool_]


def wall_mesh(
    shape: SocketShape, below: tuple[WallRing, ...], wall_mm: float, columns: int
) -> WallMesh:
    """Bricks of even thickness on the socket's inside; the highest row follows the trim line.

    Parameters
    ----------
    shape : SocketShape
    below : tuple of WallRing
        Closed rings of the wall; the lowest is the lowest row.
    wall_mm : float
    columns : int
        Bricks round the wall.
    """
    inner = _inner_face(shape, min(place.u_mm for place in below), columns)
    nodes, index = _both_faces(inner, wall_mm)
    held = np.zeros(nodes.shape, dtype=bool)
    held[index[:, 0].ravel()] = True
    return WallMesh(nodes, index, _bricks(index), held)


def _inner_face(shape: SocketShape, bottom_mm: float, columns: int) -> Vertices:
    """Inside of the wall as rows from the lowest ring up to the trim line, (rows, columns, 3)."""
    trim = shape.trim.points_mm
    angles = np.arange(columns) * TURN / columns
    top = height_at(trim, angles)
    join = float(trim[:, 2].min()) - BELOW_TRIM_MM
    count = max(2, math.ceil((join - bottom_mm) / ROW_MM) + 1)
    low = np.repeat(np.linspace(bottom_mm, join, count)[:, None], columns, axis=1)
    part = np.linspace(0.0, 1.0, BRIM_ROWS + 1)[1:, None]
    heights = np.concatenate([low, join + part * (top - join)])
    levels, radius = _radii(shape.surface, angles, bottom_mm, float(top.max()))
    across = np.empty_like(heights)
    for column in range(columns):
        across[:, column] = np.interp(heights[:, column], levels, radius[:, column])
    return np.stack([across * np.cos(angles), across * np.sin(angles), heights], axis=-1)


def _radii(surface: Mesh, angles: Scalars, low: float, high: float) -> tuple[Scalars, Vertices]:
    """Levels and the distance of the surface from the limb's axis at angles, (levels, angles)."""
    levels = np.linspace(low, high, max(3, math.ceil((high - low) / 4.0) + 1))
    whole = slice_moments(surface, levels).gap_mm == 0.0
    kept, rows = [], []
    for u_mm in levels[whole]:
        loops = slice_loops(surface, float(u_mm))
        if loops:
            rows.append(radius_at(loops[0], angles))
            kept.append(float(u_mm))
    return np.array(kept), np.array(rows)


def _both_faces(inner: Vertices, wall_mm: float) -> tuple[Vertices, NDArray[np.intp]]:
    """Nodes of both faces, and their numbers by face, row and column."""
    around = np.roll(inner, -1, axis=1) - np.roll(inner, 1, axis=1)
    normal = np.cross(around, np.gradient(inner, axis=0))
    normal = normal / np.linalg.norm(normal, axis=-1, keepdims=True)
    nodes = np.concatenate([inner.reshape(-1, 3), (inner + wall_mm * normal).reshape(-1, 3)])
    return nodes, np.arange(len(nodes)).reshape(2, *inner.shape[:2])


def _bricks(index: NDArray[np.intp]) -> NDArray[np.int32]:
    after = np.roll(index, -1, axis=2)
    faces = [index[:, :-1], after[:, :-1], after[:, 1:], index[:, 1:]]
    corners = np.stack([face[k] for k in (0, 1) for face in faces], axis=-1)
    return corners.reshape(-1, 8).astype(np.int32)
