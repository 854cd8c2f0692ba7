"""Distance from points to a surface, which side they are on, and rays."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from limbwright.core import bvh
from limbwright.core.edges import edge_table
from limbwright.core.kernels import reals
from limbwright.core.mesh import Faces, Mesh, Scalars, Vertices, face_normals

_CHUNK = 8192


class _Outward(NamedTuple):
    """Which way is out at every face, vertex and half-edge: (m, 3), (n, 3), (3m, 3)."""

    faces: Vertices
    vertices: Vertices
    edges: Vertices


class DistanceTree:
    """A surface made ready for many distance questions.

    Parameters
    ----------
    mesh : Mesh
        Wound outward when signs are asked for; it may be open.

    Raises
    ------
    ValueError
        When the mesh has no face or a coordinate is not a finite number.
    """

    def __init__(self, mesh: Mesh) -> None:
        self.mesh = mesh
        self._tree = bvh.box_tree(mesh)

    @cached_property
    def _outward(self) -> _Outward:
        """Only what is asked for a side needs them."""
        faces = face_normals(self.mesh)
        return _Outward(faces, _angle_normals(self.mesh, faces), _edge_normals(self.mesh, faces))

    def closest(
        self, points: Vertices, max_distance_mm: float = np.inf
    ) -> tuple[Scalars, NDArray[np.int32], Vertices]:
        """Distance to the surface, the face there and the closest point on it.

        Parameters
        ----------
        points : (n, 3) float64, mm
        max_distance_mm : float
            Points farther away get distance infinity, face -1 and NaN.

        Returns
        -------
        distance : (n,) float64, mm
        face : (n,) int32
        point : (n, 3) float64, mm
        """
        points = _points(points)
        distance, foot = np.empty(len(points)), np.empty((len(points), 3))
        face = np.empty(len(points), dtype=np.int32)
        bound2 = _bound2(max_distance_mm)

        def work(rows: NDArray[np.int64]) -> None:
            found = bvh.closest(self._tree, reals(points[rows]), bound2)
            distance[rows], face[rows], _, foot[rows] = found

        _in_threads(work, _space_order(points))
        return distance, face, foot

    def signed(self, points: Vertices, max_distance_mm: float = np.inf) -> Scalars:
        """Distance to the surface, negative inside, (n,) mm.

        The side is that of the normal at the closest point: of the face, of the two faces of
        an edge, or of a corner weighted by angle (Baerentzen and Aanaes 2005). It holds for a
        closed surface everywhere and for an open one near the surface. Points farther away
        than `max_distance_mm` get +infinity.
        """
        points = _points(points)
        distance = np.empty(len(points))
        bound2, outward = _bound2(max_distance_mm), self._outward

        def work(rows: NDArray[np.int64]) -> None:
            own = reals(points[rows])
            found, face, part, foot = bvh.closest(self._tree, own, bound2)
            inside = _inside(self.mesh.faces, outward, own - foot, face, part)
            distance[rows] = np.where(inside, -found, found)

        _in_threads(work, _space_order(points))
        return distance

    def ray_hits(
        self, origins: Vertices, directions: Vertices
    ) -> tuple[Scalars, NDArray[np.int32]]:
        """First hit of each ray with either side of the surface.

        Parameters
        ----------
        origins, directions : (n, 3) float64, mm; directions of any length but zero

        Returns
        -------
        distance : (n,) float64, mm; infinity for a miss
        face : (n,) int32; -1 for a miss

        Raises
        ------
        ValueError
            When shapes differ or a direction has no length.
        """
        origins, directions = _points(origins), _points(directions)
        if origins.shape != directions.shape:
            raise ValueError("each ray needs one origin and one direction")
        length = np.linalg.norm(directions, axis=1, keepdims=True)
        if not (length > 0).all():
            raise ValueError("a ray has a direction of zero length")
        rays = directions / length
        distance = np.empty(len(rays))
        face = np.empty(len(rays), dtype=np.int32)

        def work(rows: NDArray[np.int64]) -> None:
            own, along = reals(origins[rows]), reals(rays[rows])
            distance[rows], face[rows] = bvh.first_hits(self._tree, own, along)

        _in_threads(work, np.arange(len(rays)))
        return distance, face


def _inside(
    faces: Faces,
    outward: _Outward,
    away: Vertices,
    face: NDArray[np.int32],
    part: NDArray[np.int32],
) -> NDArray[np.bool_]:
    """True where the way from the closest point leads behind the normal there."""
    normal = outward.faces[face]
    at_vertex, at_edge = (part >= 1) & (part <= 3), part >= 4
    normal[at_vertex] = outward.vertices[faces[face[at_vertex], part[at_vertex] - 1]]
    normal[at_edge] = outward.edges[3 * face[at_edge] + part[at_edge] - 4]
    return np.asarray(np.einsum("ij,ij->i", away, normal) < 0.0)


def _in_threads(work: Callable[[NDArray[np.int64]], None], rows: NDArray[np.int64]) -> None:
    """Do work on runs of rows, in threads when there is more than one run.

    Kernels release the interpreter's lock, so this needs no second compiled version.
    """
    runs = [rows[i : i + _CHUNK] for i in range(0, len(rows), _CHUNK)]
    if len(runs) <= 1:
        for run in runs:
            work(run)
        return
    with ThreadPoolExecutor(min(len(runs), os.cpu_count() or 1)) as pool:
        for done in [pool.submit(work, run) for run in runs]:
            done.result()


def _bound2(max_distance_mm: float) -> float:
    """Square of the distance, a trifle more: the walk takes what is nearer than its bound."""
    return float(np.nextafter(float(max_distance_mm) ** 2, np.inf))


def _points(points: Vertices) -> Vertices:
    points = reals(points)
    if points.ndim != 2 or points.shape[1] != 3:
        raise ValueError(f"points must be (n, 3), got {points.shape}")
    if not np.isfinite(points).all():
        raise ValueError("a point has a coordinate that is not a finite number")
    return points


def _space_order(points: Vertices) -> NDArray[np.int64]:
    """Points sorted along a space-filling curve, so that each starts from a close neighbour."""
    if len(points) < 1000:
        return np.arange(len(points))
    low = points.min(axis=0)
    size = max(float((points - low).max()), 1e-300)
    cells = ((points - low) / size * 1023).astype(np.uint64)
    code = np.zeros(len(points), dtype=np.uint64)
    for axis in range(3):
        # spread ten bits to every third place (Morton order)
        x = cells[:, axis]
        for shift, mask in (
            (16, 0x030000FF),
            (8, 0x0300F00F),
            (4, 0x030C30C3),
            (2, 0x09249249),
        ):
            x = (x | (x << np.uint64(shift))) & np.uint64(mask)
        code |= x << np.uint64(axis)
    return np.argsort(code, kind="stable").astype(np.int64)


def _angle_normals(mesh: Mesh, normals: Vertices) -> Vertices:
    """Normal of each vertex, faces weighted by their angle there (length not one)."""
    tri = mesh.vertices[mesh.faces]
    sides = np.roll(tri, -1, axis=1) - tri
    length = np.linalg.norm(sides, axis=2, keepdims=True)
    sides = np.divide(sides, length, out=np.zeros_like(sides), where=length > 0)
    cosine = -np.einsum("ijk,ijk->ij", sides, np.roll(sides, 1, axis=1))
    angle = np.arccos(np.clip(cosine, -1.0, 1.0)).ravel()
    corner = mesh.faces.ravel()
    spread = np.repeat(normals, 3, axis=0) * angle[:, None]
    return np.stack(
        [np.bincount(corner, x, minlength=len(mesh.vertices)) for x in spread.T], axis=1
    )


def _edge_normals(mesh: Mesh, normals: Vertices) -> Vertices:
    """Sum of the normals on both sides of each half-edge, (3m, 3)."""
    twin = edge_table(mesh.faces, len(mesh.vertices)).twin
    own = np.repeat(normals, 3, axis=0)
    across = np.where((twin >= 0)[:, None], normals[np.maximum(twin, 0) // 3], 0.0)
    return np.asarray(own + across, dtype=np.float64)
