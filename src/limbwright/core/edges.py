"""Which face lies across each edge: the table that all surface work stands on.

Half-edge h = 3 * face + corner runs from that corner to the next one of the face.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import indices, kernel
from limbwright.core.mesh import Faces, Mesh

BOUNDARY = -1
NON_MANIFOLD = -2


@dataclass(frozen=True, slots=True, eq=False)
class EdgeTable:
    """Opposite half-edges of a triangle mesh.

    Parameters
    ----------
    twin : (3m,) int32
        Half-edge across each half-edge; -1 on a rim, -2 where three or more faces meet.
    edge_count : int
        Edges, each counted once.
    boundary_count : int
        Edges with one face.
    non_manifold_count : int
        Edges with three or more faces.
    inconsistent_count : int
        Edges whose two faces run along it the same way.
    """

    twin: NDArray[np.int32]
    edge_count: int
    boundary_count: int
    non_manifold_count: int
    inconsistent_count: int


def edge_table(faces: Faces, vertex_count: int) -> EdgeTable:
    """Pair the half-edges of faces (m, 3) int32; the cost is linear in the faces."""
    twin, counts = _pair(indices(faces), vertex_count)
    twin.setflags(write=False)
    return EdgeTable(twin, *(int(count) for count in counts))


def edge_vertices(faces: Faces) -> NDArray[np.int32]:
    """Start and end vertex of every half-edge, (3m, 2) int32."""
    return np.stack([faces.ravel(), np.roll(faces, -1, axis=1).ravel()], axis=1)


def split_fans(mesh: Mesh) -> tuple[Mesh, NDArray[np.int32]]:
    """Give every fan of faces around a vertex a vertex of its own.

    Where two parts of a surface touch in a single vertex (a bow tie) or along an edge with
    three or more faces, they part; nothing moves.

    Returns
    -------
    mesh : Mesh
        New vertices stand behind the old ones.
    origin : (n',) int32
        The old vertex of each vertex.
    """
    table = edge_table(mesh.faces, len(mesh.vertices))
    faces, origin = _split(mesh.faces, table.twin, len(mesh.vertices))
    return Mesh(mesh.vertices[origin], faces), origin


@kernel
def _pair(faces: Faces, vertex_count: int) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
    start, half, larger = _buckets(faces, vertex_count)
    twin = np.full(half.shape[0], -1, np.int32)
    counts = np.zeros(4, np.int64)
    for v in range(vertex_count):
        i = start[v]
        while i < start[v + 1]:
            j = i + 1
            while j < start[v + 1] and larger[j] == larger[i]:
                j += 1
            counts[0] += 1
            if j - i == 1:
                counts[1] += 1
            elif j - i == 2:
                g, h = half[i], half[i + 1]
                twin[g] = h
                twin[h] = g
                if faces[g // 3, g % 3] == faces[h // 3, h % 3]:
                    counts[3] += 1
            else:
                counts[2] += 1
                for p in range(i, j):
                    twin[half[p]] = -2
            i = j
    return twin, counts


@kernel
def _buckets(
    faces: Faces, vertex_count: int
) -> tuple[NDArray[np.int64], NDArray[np.int32], NDArray[np.int32]]:
    """Half-edges by their smaller vertex, sorted by the larger one within a bucket."""
    start = np.zeros(vertex_count + 1, np.int64)
    for f in range(faces.shape[0]):
        for k in range(3):
            start[min(faces[f, k], faces[f, (k + 1) % 3]) + 1] += 1
    for v in range(vertex_count):
        start[v + 1] += start[v]
    place = start.copy()
    half = np.empty(3 * faces.shape[0], np.int32)
    larger = np.empty(3 * faces.shape[0], np.int32)
    for f in range(faces.shape[0]):
        for k in range(3):
            small = min(faces[f, k], faces[f, (k + 1) % 3])
            large = max(faces[f, k], faces[f, (k + 1) % 3])
            p = place[small]
            while p > start[small] and larger[p - 1] > large:
                larger[p] = larger[p - 1]
                half[p] = half[p - 1]
                p -= 1
            larger[p] = large
            half[p] = 3 * f + k
            place[small] += 1
    return start, half, larger


@kernel
def _root(parent: NDArray[np.int32], corner: int) -> int:
    while parent[corner] != corner:
        parent[corner] = parent[parent[corner]]
        corner = parent[corner]
    return corner


@kernel
def _fans(faces: Faces, twin: NDArray[np.int32]) -> NDArray[np.int32]:
    """Union of the corners that meet across paired edges, as parent links."""
    parent = np.arange(3 * faces.shape[0]).astype(np.int32)
    for h in range(parent.shape[0]):
        t = twin[h]
        if t < h:
            continue
        f, k, g, j = h // 3, h % 3, t // 3, t % 3
        for side in range(2):
            mine = (k + side) % 3
            other = j if faces[g, j] == faces[f, mine] else (j + 1) % 3
            a = _root(parent, 3 * f + mine)
            b = _root(parent, 3 * g + other)
            if a < b:
                parent[b] = a
            else:
                parent[a] = b
    return parent


@kernel
def _split(
    faces: Faces, twin: NDArray[np.int32], vertex_count: int
) -> tuple[Faces, NDArray[np.int32]]:
    parent = _fans(faces, twin)
    out = np.empty((faces.shape[0], 3), np.int32)
    name = np.full(parent.shape[0], -1, np.int32)
    taken = np.zeros(vertex_count, np.bool_)
    origin = np.empty(vertex_count + parent.shape[0], np.int32)
    count = vertex_count
    for v in range(vertex_count):
        origin[v] = v
    for c in range(parent.shape[0]):
        root = _root(parent, c)
        v = faces[c // 3, c % 3]
        if name[root] < 0 and not taken[v]:
            taken[v] = True
            name[root] = v
        elif name[root] < 0:
            name[root] = count
            origin[count] = v
            count += 1
        out[c // 3, c % 3] = name[root]
    return out, origin[:count].copy()
