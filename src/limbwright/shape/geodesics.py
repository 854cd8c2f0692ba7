"""Distance along the limb's surface from a curve drawn on it.

Within a few edges of the curve the straight distance is the distance along the skin; from
there a front marches over the triangles, each vertex taking its value from the plane wave
that crosses a triangle to it (Kimmel and Sethian 1998). The exact start takes away the error
that marching makes near its source.
"""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import (
    Mesh,
    Scalars,
    Vector,
    Vertices,
    barycentric,
    face_cross,
    vertex_normals,
)
from limbwright.core.proximity import DistanceTree

START_EDGES = 4.0
"""Edges around the curve within which the straight distance stands."""
_WAY_STEP = 0.4
"""Step of a way down the distance, as a share of an edge."""
_LEAST_DESCENT = 0.3
"""A step that comes nearer by less than this share of it has left the way, as over a fold."""


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceDistance:
    """A surface made ready for many distance questions.

    Parameters
    ----------
    mesh : Mesh
    normals : (n, 3) float64
        Vertex normals: the straight start stays on one side of a fold of skin.
    first : (n + 1,) int32
        Where each vertex's pairs begin in `pairs`.
    pairs : (3m, 2) int64
        The two other corners of each face around a vertex.
    start_mm : float
        Distance within which the straight distance stands.
    """

    mesh: Mesh
    normals: Vertices
    first: NDArray[np.int32]
    pairs: NDArray[np.int64]
    start_mm: float

    def from_curve(self, curve: Vertices, limit_mm: float = np.inf) -> Scalars:
        """Distance along the surface from a curve, (n,) mm; infinity beyond the limit.

        Parameters
        ----------
        curve : (k, 3) float64, mm, on the surface; one point counts as a spot
        limit_mm : float
        """
        curve = np.atleast_2d(curve)
        out = _straight(reals(self.mesh.vertices), reals(self.normals), reals(curve), self.start_mm)
        _march(reals(self.mesh.vertices), self.first, self.pairs, out, float(limit_mm))
        out[out > limit_mm] = np.inf
        return out


def surface_distance(mesh: Mesh) -> SurfaceDistance:
    """Make a surface ready for distances along it."""
    count = len(mesh.vertices)
    corner = mesh.faces.T.ravel()
    others = np.concatenate([mesh.faces[:, [1, 2]], mesh.faces[:, [2, 0]], mesh.faces[:, [0, 1]]])
    first = np.concatenate([[0], np.cumsum(np.bincount(corner, minlength=count))])
    ends = mesh.vertices[np.roll(mesh.faces, -1, axis=1)] - mesh.vertices[mesh.faces]
    edge_mm = float(np.median(np.linalg.norm(ends, axis=2)))
    return SurfaceDistance(
        mesh,
        vertex_normals(mesh),
        indices(first),
        others[np.argsort(corner, kind="stable")].astype(np.int64),
        START_EDGES * edge_mm,
    )


def way_back(
    along: SurfaceDistance, tree: DistanceTree, distance: Scalars, end: Vector, start: Vector
) -> Vertices | None:
    """The shortest way on a surface from a spot to another point, (k, 3) mm; None if lost.

    Steepest descent of the distance from `end`, laid onto the surface at every step.

    Parameters
    ----------
    along : SurfaceDistance
    tree : DistanceTree
        Of the same mesh.
    distance : (n,) float64, mm
        From the spot, see `SurfaceDistance.from_curve`.
    end, start : (3,) float64, mm, on the surface
        `start` is the spot.
    """
    mesh, step_mm = along.mesh, _WAY_STEP * along.start_mm / START_EDGES
    if np.linalg.norm(end - start) <= along.start_mm:
        return np.vstack([_laid(tree, start, end, step_mm), end])
    slopes = _slopes(mesh, distance)
    way = [end]
    face = tree.closest(end[None])[1]
    left_mm, slope = _here(mesh, distance, slopes, face, end)
    for _ in range(int(left_mm / (_LEAST_DESCENT * step_mm)) + 1):
        if np.linalg.norm(way[-1] - start) <= along.start_mm:
            return np.vstack([_laid(tree, start, way[-1], step_mm), way[::-1]])
        steep = float(np.linalg.norm(slope))
        if not steep > 0.0:
            return None
        _, face, feet = tree.closest((way[-1] - step_mm * slope / steep)[None])
        ahead, before_mm = feet[0], left_mm
        left_mm, slope = _here(mesh, distance, slopes, face, ahead)
        if not before_mm - left_mm > _LEAST_DESCENT * step_mm:
            return None
        way.append(ahead)
    return None


def _laid(tree: DistanceTree, start: Vector, end: Vector, step_mm: float) -> Vertices:
    """A straight way laid onto the surface in steps, without its end."""
    count = max(1, int(np.linalg.norm(end - start) / step_mm))
    shares = np.linspace(0.0, 1.0, count, endpoint=False)[:, None]
    return np.asarray(tree.closest(start + shares * (end - start))[2])


def _here(
    mesh: Mesh, distance: Scalars, slopes: Vertices, face: NDArray[np.int32], point: Vector
) -> tuple[float, Vector]:
    """Distance and its slope at a point of a face, (1,)."""
    corners = mesh.faces[face]
    shares = barycentric(mesh.vertices[corners], point[None])[0]
    return float(shares @ distance[corners[0]]), shares @ slopes[corners[0]]


def _slopes(mesh: Mesh, field: Scalars) -> Vertices:
    """Gradient of a field along the surface at each vertex, (n, 3); the mean of its faces."""
    normal2 = face_cross(mesh)
    corner = mesh.vertices[mesh.faces]
    across = np.roll(corner, 1, axis=1) - np.roll(corner, -1, axis=1)
    values = field[mesh.faces]
    known: NDArray[np.bool_] = np.asarray(np.isfinite(values).all(axis=1))
    # Twice the area times the gradient, so that the sum over faces weighs by area.
    rises = np.cross(normal2[:, None], across)
    rises = np.einsum("fk,fkd->fd", np.where(known[:, None], values, 0.0), rises)
    size = np.linalg.norm(normal2, axis=1)
    rises /= np.where(size > 0.0, size, 1.0)[:, None]
    total, weight = np.zeros_like(mesh.vertices), np.zeros(len(mesh.vertices))
    for k in range(3):
        np.add.at(total, mesh.faces[:, k], rises)
        np.add.at(weight, mesh.faces[:, k], np.where(known, size, 0.0))
    return total / np.where(weight > 0.0, weight, 1.0)[:, None]


def distance_along(mesh: Mesh, curve: Vertices) -> Scalars:
    """Distance along a surface from one curve on it, (n,) mm."""
    return surface_distance(mesh).from_curve(curve)


@kernel
def _straight(vertices: Vertices, normals: Vertices, curve: Vertices, reach: float) -> Scalars:
    """Straight distance to the polyline within reach, infinity elsewhere."""
    out = np.full(vertices.shape[0], np.inf)
    low, high = np.empty(3), np.empty(3)
    for d in range(3):
        low[d] = curve[:, d].min() - reach
        high[d] = curve[:, d].max() + reach
    # each point of the curve faces the way of its nearest vertex
    facing = np.zeros(curve.shape)
    for k in range(curve.shape[0]):
        best = np.inf
        for i in range(vertices.shape[0]):
            gap = 0.0
            for d in range(3):
                gap += (vertices[i, d] - curve[k, d]) ** 2
            if gap < best:
                best = gap
                facing[k] = normals[i]
    for i in range(vertices.shape[0]):
        inside = True
        for d in range(3):
            inside = inside and low[d] <= vertices[i, d] <= high[d]
        if not inside:
            continue
        best = reach * reach
        for k in range(max(1, curve.shape[0] - 1)):
            end = min(k + 1, curve.shape[0] - 1)
            length2, along, away2, side = 0.0, 0.0, 0.0, 0.0
            for d in range(3):
                step = curve[end, d] - curve[k, d]
                gap = vertices[i, d] - curve[k, d]
                length2 += step * step
                along += step * gap
                away2 += gap * gap
                side += normals[i, d] * facing[k, d]
            part = 0.0 if length2 == 0.0 else min(1.0, max(0.0, along / length2))
            away2 += part * part * length2 - 2.0 * part * along
            if side > 0.0 and away2 < best:
                best = max(away2, 0.0)
        if best < reach * reach:
            out[i] = np.sqrt(best)
    return out


@kernel
def _wave(vertices: Vertices, a: int, b: int, c: int, at_a: float, at_b: float) -> float:
    """Value at c of the wave over face a b c: through the face, or along an edge."""
    base2, along, to_a2, to_b2 = 0.0, 0.0, 0.0, 0.0
    for d in range(3):
        e = vertices[b, d] - vertices[a, d]
        g = vertices[c, d] - vertices[a, d]
        h = vertices[c, d] - vertices[b, d]
        base2 += e * e
        along += e * g
        to_a2 += g * g
        to_b2 += h * h
    best: float = min(at_a + np.sqrt(to_a2), at_b + np.sqrt(to_b2))
    base = np.sqrt(base2)
    if base == 0.0:
        return best
    x = along / base
    y = np.sqrt(max(0.0, to_a2 - x * x))
    sine = (at_b - at_a) / base
    if abs(sine) < 1.0 and y > 0.0:
        cosine = np.sqrt(1.0 - sine * sine)
        foot = x - y * sine / cosine
        if 0.0 <= foot <= base:
            best = min(best, at_a + x * sine + y * cosine)
    return best


@kernel
def _march(
    vertices: Vertices,
    first: NDArray[np.int32],
    pairs: NDArray[np.int64],
    value: Scalars,
    limit: float,
) -> None:
    """Carry the values at the start outward in place, nearest first, up to the limit."""
    done = np.zeros(value.shape[0], np.bool_)
    front = [(0.0, 0)]
    front.pop()
    for v in range(value.shape[0]):
        if value[v] < np.inf:
            heappush(front, (value[v], v))
    while len(front) > 0:
        reached, i = heappop(front)
        if done[i] or reached > value[i]:
            continue
        if reached > limit:
            break
        done[i] = True
        for p in range(first[i], first[i + 1]):
            for turn in range(2):
                c, other = int(pairs[p, turn]), int(pairs[p, 1 - turn])
                if done[c]:
                    continue
                if done[other]:
                    new = _wave(vertices, i, other, c, value[i], value[other])
                else:
                    gap = 0.0
                    for d in range(3):
                        gap += (vertices[c, d] - vertices[i, d]) ** 2
                    new = value[i] + np.sqrt(gap)
                if new < value[c]:
                    value[c] = new
                    heappush(front, (new, c))
