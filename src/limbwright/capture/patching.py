"""Closing the holes of a scan so that the patch carries on the curve of the skin around it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RBFInterpolator
from scipy.spatial import cKDTree

from limbwright.core.edges import edge_table, edge_vertices
from limbwright.core.mesh import Faces, Mesh, Vertices, vertex_normals
from limbwright.core.topology import fill_hole

Loop = NDArray[np.int32]

_PATCH_EDGE_MM = 4.0
"""Longest edge inside a patch: over a limb's curve its middle stands 0.1 mm off at most."""
_BAND_MM = 8.0
"""Width of the skin around a hole that tells its curve."""
_BAND_SAMPLE = 300
_FLATTEST_COSINE = 0.3
"""Around a hole that bends farther than this the patch stays as straight as its rim."""
_PLAIN_RIM_POINTS = 8
"""Holes of so few points need no curve."""


def rim_length_mm(mesh: Mesh, loop: Loop) -> float:
    """Length of a rim, mm."""
    points = mesh.vertices[loop]
    return float(np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1).sum())


def close_holes(mesh: Mesh, loops: list[Loop]) -> Mesh:
    """Close holes, each with a patch that follows the curve of the skin around it.

    Parameters
    ----------
    mesh : Mesh
        Noise already taken off.
    loops : list of (k,) int32
        Among `boundary_loops(mesh)`.
    """
    if not loops:
        return mesh
    patches = _straight_patches(mesh, loops)
    vertices, faces = [mesh.vertices], [mesh.faces]
    moved: list[tuple[Loop, Vertices]] = []
    count = len(mesh.vertices)
    normals = vertex_normals(mesh)
    on_rim = np.zeros(count, dtype=np.bool_)
    on_rim[np.concatenate(loops)] = True
    for loop, patch in zip(loops, patches, strict=True):
        points, inner = _subdivided(mesh.vertices[loop], patch)
        if len(loop) > _PLAIN_RIM_POINTS:
            band = _band(mesh.vertices, loop)
            points = _curved(points, mesh.vertices, normals, band[~on_rim[band]])
        numbers = np.concatenate([loop, count + np.arange(len(points) - len(loop))])
        moved.append((loop, points[: len(loop)]))
        vertices.append(points[len(loop) :])
        faces.append(numbers[inner].astype(np.int32))
        count += len(points) - len(loop)
    placed = np.concatenate(vertices)
    for loop, points in moved:
        placed[loop] = points
    return Mesh(placed, np.concatenate(faces))


def _band(vertices: Vertices, loop: Loop) -> NDArray[np.intp]:
    """Vertices within the band around a rim."""
    rim = vertices[loop]
    low, high = rim.min(axis=0) - _BAND_MM, rim.max(axis=0) + _BAND_MM
    boxed = np.flatnonzero(((vertices >= low) & (vertices <= high)).all(axis=1))
    near = cKDTree(rim).query(vertices[boxed], distance_upper_bound=_BAND_MM)[0]
    return boxed[np.isfinite(near)]


def _straight_patches(mesh: Mesh, loops: list[Loop]) -> list[Faces]:
    """Triangles over each hole, in places on its rim; found on the faces beside it only."""
    # faces by vertex: a vertex may stand on the rims of several holes
    corners = np.argsort(mesh.faces.ravel(), kind="stable")
    starts = np.concatenate([[0], np.cumsum(np.bincount(mesh.faces.ravel()))])
    patches = []
    for loop in loops:
        runs = [corners[starts[vertex] : starts[vertex + 1]] for vertex in loop]
        beside = mesh.faces[np.unique(np.concatenate(runs) // 3)]
        names, local = np.unique(beside, return_inverse=True)
        near = Mesh(mesh.vertices[names], local.reshape(-1, 3).astype(np.int32))
        rim = np.searchsorted(names, loop).astype(np.int32)
        filled = fill_hole(near, rim)
        patches.append(_on_rim(filled.faces[len(beside) :], rim))
    return patches


def _on_rim(faces: Faces, rim: Loop) -> Faces:
    """Faces by place on the rim; a point added inside it comes behind the rim."""
    place = {int(vertex): number for number, vertex in enumerate(rim)}
    return np.array([[place.get(int(v), len(rim)) for v in face] for face in faces], dtype=np.int32)


def _subdivided(rim: Vertices, patch: Faces) -> tuple[Vertices, Faces]:
    """The patch with its inner edges halved until none is long; the rim stays as it is."""
    extra = rim.mean(axis=0, keepdims=True) if patch.max() >= len(rim) else np.empty((0, 3))
    points, faces = np.concatenate([rim, extra]), patch
    for _ in range(12):
        table = edge_table(faces, len(points))
        ends = edge_vertices(faces)
        length = np.linalg.norm(points[ends[:, 0]] - points[ends[:, 1]], axis=1)
        long = (table.twin >= 0) & (length > _PATCH_EDGE_MM)
        if not long.any():
            break
        first = long & (np.arange(len(long)) < table.twin)
        middle = np.full(len(long), -1, dtype=np.int64)
        middle[first] = len(points) + np.arange(int(first.sum()))
        second = long & ~first
        middle[second] = middle[table.twin[second]]
        points = np.concatenate([points, points[ends[first]].mean(axis=1)])
        faces = _split(faces, middle.reshape(-1, 3))
    return points, faces


def _split(faces: Faces, middle: NDArray[np.int64]) -> Faces:
    """Each face cut at the middles of its marked edges; middle[f, k] lies on corner k to k+1."""
    parts = []
    for face, cut in zip(faces.tolist(), middle.tolist(), strict=True):
        marks = [k for k in range(3) if cut[k] >= 0]
        # turn the face so that its unmarked or its only marked edge comes first
        k = {0: 0, 3: 0}.get(len(marks), marks[0] if len(marks) == 1 else 3 - sum(marks))
        a, b, c = (face[(k + i) % 3] for i in range(3))
        ab, bc, ca = (cut[(k + i) % 3] for i in range(3))
        if not marks:
            parts += [(a, b, c)]
        elif len(marks) == 1:
            parts += [(a, ab, c), (ab, b, c)]
        elif len(marks) == 2:
            parts += [(a, b, bc), (a, bc, ca), (ca, bc, c)]
        else:
            parts += [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
    return np.array(parts, dtype=np.int32)


def _curved(
    points: Vertices, vertices: Vertices, normals: Vertices, band: NDArray[np.int64]
) -> Vertices:
    """Patch points moved along the hole's own normal onto the curve of the skin around it."""
    if len(band) < 12:
        return points
    middle = points.mean(axis=0)
    up = normals[band].mean(axis=0)
    length = float(np.linalg.norm(up))
    if length == 0.0 or (normals[band] @ (up / length)).min() < _FLATTEST_COSINE:
        return points
    up = up / length
    plane = np.linalg.svd(up[None])[2][1:]
    band = band[:: max(1, len(band) // _BAND_SAMPLE)]
    skin = vertices[band] - middle
    curve = RBFInterpolator(
        skin @ plane.T, skin @ up, kernel="thin_plate_spline", smoothing=1.0, degree=1
    )
    away = points - middle
    height = curve(away @ plane.T)
    return np.asarray(points + np.outer(height - away @ up, up))
