"""A structured mesh of quadrilaterals over the skin: rings up the limb, a square cap at the end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d
from scipy.sparse import coo_array, csr_array

from limbwright.core.mesh import Mesh, Scalars, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.core.slicing import slice_moments

_LEVEL_MM = 4.0
_FINE_BELOW_U_MM = 40.0
_COARSE_ABOVE_U_MM = 65.0
_COARSER = 1.8
"""Rings stand this much farther apart above a usual trim line than below it."""
_EVENING = 40
"""Passes that even the quadrilaterals out along the skin."""
_COVERS_MM = (4.0, 30.0)
_EVEN_MM = 16.0
"""Points stand apart in proportion to the cover, held between the two, plus this."""


@dataclass(frozen=True, slots=True, eq=False)
class SkinQuads:
    """Quadrilaterals over the skin below the upper cut plane.

    Parameters
    ----------
    points_mm : (n, 3) float64, mm
        On the skin.
    quads : (k, 4) int32
        Counter-clockwise seen from outside.
    top : (n,) bool
        Points on the upper cut plane.
    """

    points_mm: Vertices
    quads: NDArray[np.int32]
    top: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class _Middle:
    """Line through the limb's sections."""

    levels: Scalars
    centres: NDArray[np.float64]
    radius: Scalars
    turn_u: float

    def at(self, u: Scalars) -> Vertices:
        o, f = (np.interp(u, self.levels, column) for column in self.centres.T)
        return np.column_stack([o, f, u])


def skin_quads(skin: DistanceTree, cover_mm: Scalars, top_u_mm: float, wanted: int) -> SkinQuads:
    """Lay at least a wanted number of points over the skin, closer where the cover is thin.

    Parameters
    ----------
    skin : DistanceTree
        Of the limb's surface, open at the top.
    cover_mm : (vertices,) float64, mm
        Tissue over the bones at each vertex of the surface.
    top_u_mm : float
        Upper cut plane; every section below it closes.
    wanted : int
    """
    middle = _middle(skin.mesh, top_u_mm)
    around, heights = _numbers(middle, top_u_mm, wanted)
    origins, rays, quads = _rays(middle, around, heights)
    points = _hits(skin, origins, rays)
    top = np.arange(len(points)) >= len(points) - around
    points = _evened(skin, _closeness(skin.mesh, cover_mm), points, quads, top, top_u_mm)
    return SkinQuads(points, quads, top)


def _hits(skin: DistanceTree, origins: Vertices, rays: Vertices) -> Vertices:
    """Where rays meet the skin; one that slips through comes back to the closest point."""
    distance, _ = skin.ray_hits(origins, rays)
    missed = ~np.isfinite(distance)
    if missed.any():
        distance[missed] = float(np.median(distance[~missed]))
    points = origins + distance[:, None] * rays
    if missed.any():
        points[missed] = skin.closest(points[missed])[2]
    return np.asarray(points)


def _middle(skin: Mesh, top_u_mm: float) -> _Middle:
    low = float(skin.vertices[:, 2].min())
    levels = np.arange(low + 0.5 * _LEVEL_MM, top_u_mm, _LEVEL_MM)
    sections = slice_moments(skin, levels)
    centres = gaussian_filter1d(sections.centroid_mm, 3.0, axis=0, mode="nearest")
    radius = np.sqrt(np.abs(sections.area_mm2) / np.pi)
    wide = np.flatnonzero(radius <= levels - low)
    turn = levels[wide[0]] if len(wide) else 0.5 * (low + top_u_mm)
    return _Middle(levels, centres, radius, float(turn))


def _numbers(middle: _Middle, top_u_mm: float, wanted: int) -> tuple[int, Scalars]:
    """Points around and heights of the rings, so that quads are about square."""
    fine = np.linspace(middle.turn_u, top_u_mm, 400)
    sparse = np.clip((fine - _FINE_BELOW_U_MM) / (_COARSE_ABOVE_U_MM - _FINE_BELOW_U_MM), 0.0, 1.0)
    density = 1.0 / (1.0 + (_COARSER - 1.0) * sparse)
    gone = np.concatenate([[0.0], np.cumsum(0.5 * (density[1:] + density[:-1]) * np.diff(fine))])
    girth = 2.0 * np.pi * float(np.interp(fine, middle.levels, middle.radius).mean())
    around = 16
    while True:
        rings = max(4, round(gone[-1] / (girth / around)))
        side = around // 4
        if (side + 1) ** 2 + around * (_belt(side) + rings) >= wanted:
            break
        around += 4
    return around, np.interp(np.arange(1, rings + 1) / rings * gone[-1], gone, fine)


def _belt(side: int) -> int:
    """Rings between the square cap and the level where the end begins to turn."""
    return max(2, round(0.5 * side))


def _rays(
    middle: _Middle, around: int, heights: Scalars
) -> tuple[Vertices, Vertices, NDArray[np.int32]]:
    """Where each point's ray starts and goes, and which points make a quadrilateral."""
    side = around // 4
    cap = _cap_rays(side)
    loop = _cap_rim(side)
    angle = np.arctan2(cap[loop, 1], cap[loop, 0])
    level = np.column_stack([np.cos(angle), np.sin(angle), np.zeros(around)])
    belt = _belt(side)
    share = np.arange(1, belt + 1) / belt
    # turn from the cap's rim to the level by equal angles
    turned = (1.0 - share)[:, None, None] * cap[loop] + share[:, None, None] * level
    turned /= np.linalg.norm(turned, axis=2, keepdims=True)
    centre = middle.at(np.array([middle.turn_u]))
    origins = np.concatenate(
        [
            np.broadcast_to(centre, (len(cap) + belt * around, 3)),
            np.repeat(middle.at(heights), around, axis=0),
        ]
    )
    rays = np.concatenate([cap, turned.reshape(-1, 3), np.tile(level, (len(heights), 1))])
    return origins, rays, _quads(side, loop, belt + len(heights))


def _cap_rays(side: int) -> Vertices:
    """Directions through a square under the limb, equal angles between them."""
    even = np.tan(np.linspace(-np.pi / 4, np.pi / 4, side + 1))
    a, b = np.meshgrid(even, even, indexing="ij")
    rays = np.stack([a, b, -np.ones_like(a)], axis=-1).reshape(-1, 3)
    return np.asarray(rays / np.linalg.norm(rays, axis=1, keepdims=True))


def _cap_rim(side: int) -> NDArray[np.intp]:
    """Points of the square's rim, counter-clockwise seen from above."""
    grid = np.arange((side + 1) ** 2).reshape(side + 1, side + 1)
    return np.concatenate([grid[:-1, 0], grid[-1, :-1], grid[:0:-1, -1], grid[0, :0:-1]])


def _quads(side: int, loop: NDArray[np.intp], rings: int) -> NDArray[np.int32]:
    grid = np.arange((side + 1) ** 2).reshape(side + 1, side + 1)
    cap = np.stack([grid[:-1, :-1], grid[:-1, 1:], grid[1:, 1:], grid[1:, :-1]], axis=-1)
    around = len(loop)
    ring = (side + 1) ** 2 + around * np.arange(rings)[:, None] + np.arange(around)
    lower = np.concatenate([loop[None], ring[:-1]])
    wall = np.stack([lower, np.roll(lower, -1, axis=1), np.roll(ring, -1, axis=1), ring], axis=-1)
    return np.concatenate([cap.reshape(-1, 4), wall.reshape(-1, 4)]).astype(np.int32)


def _evened(
    skin: DistanceTree,
    closeness: Scalars,
    points: Vertices,
    quads: NDArray[np.int32],
    top: NDArray[np.bool_],
    top_u_mm: float,
) -> Vertices:
    """Move points towards their neighbours' mean and back onto the skin."""
    pairs = _pairs(quads, top)
    closest = skin.closest(points)[1]
    for _ in range(_EVENING):
        pull = closeness[closest[pairs[:, 1]]]
        weight = csr_array(
            coo_array((pull, (pairs[:, 0], pairs[:, 1])), shape=(len(points), len(points)))
        )
        mean = np.asarray(weight @ points) / np.bincount(pairs[:, 0], pull)[:, None]
        moved = points + 0.5 * (mean - points)
        _, closest, points = skin.closest(moved)
        points[top] = _in_plane(skin, points[top], top_u_mm)
    return points


def _in_plane(skin: DistanceTree, placed: Vertices, top_u_mm: float) -> Vertices:
    """The closest points of the section: back to the plane and onto the skin in turn."""
    for _ in range(3):
        placed[:, 2] = top_u_mm
        placed = skin.closest(placed)[2]
    placed[:, 2] = top_u_mm
    return placed


def _pairs(quads: NDArray[np.int32], top: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Each point with each of its neighbours along edges; the top sees its own ring alone."""
    ends = np.stack([quads, np.roll(quads, -1, axis=1)], axis=-1).reshape(-1, 2)
    ends = np.concatenate([ends, ends[:, ::-1]])
    return np.unique(ends[~top[ends[:, 0]] | top[ends[:, 1]]], axis=0)


def _closeness(skin: Mesh, cover_mm: Scalars) -> Scalars:
    """How close points shall stand on each face, one over millimetres."""
    cover = cover_mm[skin.faces].mean(axis=1)
    return np.asarray(1.0 / (np.clip(cover, *_COVERS_MM) + _EVEN_MM))
