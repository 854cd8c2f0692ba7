"""Rims and holes of an open surface, and how a small hole is closed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.core.edges import edge_table, edge_vertices
from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Mesh, Vertices

_LONGEST_RIM = 1000
"""The cost of the least area grows with the third power: about 1 s for this many vertices."""


def boundary_loops(mesh: Mesh) -> list[NDArray[np.int32]]:
    """Rims and holes as ordered vertices, longest first.

    A loop follows the winding of its faces. A rim that passes a vertex twice is split there,
    so that no loop names a vertex twice.

    Returns
    -------
    list of (k,) int32
    """
    table = edge_table(mesh.faces, len(mesh.vertices))
    walked, ends = _walk(mesh.faces, indices(table.twin))
    loops: list[NDArray[np.int32]] = []
    begin = 0
    for end in ends:
        loops.extend(_simple_loops(walked[begin:end]))
        begin = end
    return sorted(loops, key=len, reverse=True)


def fill_hole(mesh: Mesh, loop: NDArray[np.int32]) -> Mesh:
    """Close a hole, straight across, by the triangulation of least area over its rim.

    A flat hole is closed without overlap, whatever its outline. The new faces stand behind
    the old ones. A rim of more than 1000 vertices, or one that no triangulation suits, gets a
    fan around a new vertex in its middle.

    Parameters
    ----------
    mesh : Mesh
    loop : (k,) int32
        One of `boundary_loops`.

    Raises
    ------
    ValueError
        When the loop has fewer than three vertices or does not run along a rim.
    """
    _check_loop(mesh, loop)
    if len(loop) > _LONGEST_RIM:
        return _fan(mesh, loop)
    patch = _least_area(reals(mesh.vertices[loop]), _taken_chords(mesh, loop))
    if len(patch) == 0:
        return _fan(mesh, loop)
    # the patch runs along the rim against the faces on the other side
    return Mesh(mesh.vertices, np.concatenate([mesh.faces, loop[patch[:, ::-1]]]))


def _simple_loops(walk: NDArray[np.int32]) -> list[NDArray[np.int32]]:
    """Cut a closed walk where it returns to a vertex."""
    loops: list[NDArray[np.int32]] = []
    path: list[int] = []
    place: dict[int, int] = {}
    for vertex in walk.tolist():
        if vertex in place:
            begin = place[vertex]
            loops.append(np.array(path[begin:], dtype=np.int32))
            for gone in path[begin:]:
                del place[gone]
            del path[begin:]
        place[vertex] = len(path)
        path.append(vertex)
    loops.append(np.array(path, dtype=np.int32))
    return [loop for loop in loops if len(loop) >= 3]


def _check_loop(mesh: Mesh, loop: NDArray[np.int32]) -> None:
    if len(loop) < 3:
        raise ValueError(f"a hole needs at least three vertices, got {len(loop)}")
    n = len(mesh.vertices)
    table = edge_table(mesh.faces, n)
    start, end = edge_vertices(mesh.faces)[table.twin == -1].astype(np.int64).T
    wanted = loop.astype(np.int64) * n + np.roll(loop, -1)
    if not np.isin(wanted, start * n + end).all():
        raise ValueError("the loop does not follow a rim of the mesh in its winding")


def _taken_chords(mesh: Mesh, loop: NDArray[np.int32]) -> NDArray[np.bool_]:
    """(k, k) True where an edge of the mesh already joins two rim vertices."""
    place = np.full(len(mesh.vertices), -1, dtype=np.int32)
    place[loop] = np.arange(len(loop), dtype=np.int32)
    a, b = place[edge_vertices(mesh.faces)].T
    both = (a >= 0) & (b >= 0)
    taken = np.zeros((len(loop), len(loop)), dtype=np.bool_)
    taken[a[both], b[both]] = True
    taken[b[both], a[both]] = True
    ring = np.arange(len(loop))
    taken[ring, np.roll(ring, -1)] = False
    taken[np.roll(ring, -1), ring] = False
    return taken


def _fan(mesh: Mesh, loop: NDArray[np.int32]) -> Mesh:
    centre = mesh.vertices[loop].mean(axis=0)
    new = np.full(len(loop), len(mesh.vertices), dtype=np.int32)
    faces = np.stack([np.roll(loop, -1), loop, new], axis=1)
    return Mesh(
        np.concatenate([mesh.vertices, centre[None]]),
        np.concatenate([mesh.faces, faces]),
    )


@kernel
def _walk(
    faces: NDArray[np.int32], twin: NDArray[np.int32]
) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
    """Start vertices of rim half-edges in walking order, and where each walk ends."""
    done = np.zeros(twin.shape[0], np.bool_)
    walked = np.empty(twin.shape[0], np.int32)
    ends = np.empty(twin.shape[0], np.int64)
    count = 0
    loops = 0
    for seed in range(twin.shape[0]):
        if twin[seed] >= 0 or done[seed]:
            continue
        h = seed
        while not done[h]:
            done[h] = True
            walked[count] = faces[h // 3, h % 3]
            count += 1
            # turn about the end vertex through its fan to the next rim half-edge
            n = 3 * (h // 3) + (h + 1) % 3
            h = 3 * (h // 3) + (h % 3 + 1) % 3
            while twin[h] >= 0:
                n = twin[h]
                h = 3 * (n // 3) + (n % 3 + 1) % 3
        ends[loops] = count
        loops += 1
    return walked[:count].copy(), ends[:loops].copy()


@kernel
def _least_area(points: Vertices, taken: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Triangles (k - 2, 3) over a closed polygon with the least total area.

    Dynamic programming over chords (Barequet and Sharir 1995); chords that the mesh already
    holds as edges are not used. No row when that leaves no triangulation.
    """
    n = points.shape[0]
    cost = np.zeros((n, n))
    middle = np.full((n, n), -1, np.int32)
    for gap in range(2, n):
        for i in range(n - gap):
            j = i + gap
            best = np.inf
            if not taken[i, j] or gap == n - 1:
                for k in range(i + 1, j):
                    total = cost[i, k] + cost[j, k] + _triangle_cost(points, i, k, j)
                    if total < best:
                        best = total
                        middle[i, j] = k
            cost[i, j] = best
            cost[j, i] = best  # so that both reads above run along a row
    if cost[0, n - 1] == np.inf:
        return np.empty((0, 3), np.int32)
    return _chosen(middle)


@kernel
def _triangle_cost(points: Vertices, i: int, k: int, j: int) -> float:
    """Area, and a little for long sides: in a flat hole all triangulations have one area."""
    ux, uy, uz = (
        points[k, 0] - points[i, 0],
        points[k, 1] - points[i, 1],
        points[k, 2] - points[i, 2],
    )
    vx, vy, vz = (
        points[j, 0] - points[i, 0],
        points[j, 1] - points[i, 1],
        points[j, 2] - points[i, 2],
    )
    cx, cy, cz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    sides = ux * ux + uy * uy + uz * uz + vx * vx + vy * vy + vz * vz
    return float(0.5 * np.sqrt(cx * cx + cy * cy + cz * cz) + 1e-3 * sides)


@kernel
def _chosen(middle: NDArray[np.int32]) -> NDArray[np.int32]:
    """Triangles of the best triangulation from the best middle over each chord."""
    n = middle.shape[0]
    out = np.empty((n - 2, 3), np.int32)
    stack = np.empty((n, 2), np.int32)
    stack[0, 0] = 0
    stack[0, 1] = n - 1
    top = 1
    count = 0
    while top > 0:
        top -= 1
        i, j = stack[top, 0], stack[top, 1]
        if j - i < 2:
            continue
        k = middle[i, j]
        out[count, 0] = i
        out[count, 1] = k
        out[count, 2] = j
        count += 1
        stack[top, 0], stack[top, 1] = i, k
        stack[top + 1, 0], stack[top + 1, 1] = k, j
        top += 2
    return out
