"""Even triangles over a limb, and fewer of them."""

from __future__ import annotations

from dataclasses import dataclass

import fast_simplification
import numpy as np
from numpy.typing import NDArray

from limbwright.core.edge_edits import (
    collapse_short,
    flip_edges,
    move_unless_folded,
    split_long,
)
from limbwright.core.edges import edge_table, edge_vertices
from limbwright.core.holes import boundary_loops, fill_hole
from limbwright.core.mesh import Mesh, Scalars, Vertices, face_areas, vertex_normals
from limbwright.core.proximity import DistanceTree
from limbwright.core.topology import compact, manifold_errors, without_non_manifold

_PASSES = 6


def remesh_uniform(mesh: Mesh, edge_mm: float) -> Mesh:
    """Cover a limb with triangles of about one edge length, on the surface as it was.

    Edges longer than 4/3 of the length are halved, shorter than 4/5 merged, turned towards
    six neighbours a vertex, vertices evened out along the surface and put back on it, some
    times over (Botsch and Kobbelt 2004). A rim keeps its course; its vertices thin out.

    Parameters
    ----------
    mesh : Mesh
        Manifold, wound consistently; it may be open.
    edge_mm : float
        Wanted edge length.

    Raises
    ------
    ValueError
        When the mesh has no face, is not manifold, or the edge length is not positive or so
        small that more than 20 million faces would come of it.
    """
    _check(mesh, edge_mm)
    surface = DistanceTree(mesh)
    out = compact(mesh)
    for _ in range(_PASSES):
        out = _edited(out, edge_mm)
        out = _evened(out, surface)
    if not manifold_errors(out).is_manifold:
        raise ValueError("remeshing gave a surface that is not manifold; repair it first")
    return out


def decimate(mesh: Mesh, target_faces: int) -> Mesh:
    """Represent the surface by about `target_faces` faces, more of them where it bends.

    The result is manifold when the mesh is: spots where simplification pinched the surface
    are cut out and closed again.

    Raises
    ------
    ValueError
        When the mesh has no face or the target is not positive.
    """
    if len(mesh.faces) == 0:
        raise ValueError("a mesh without faces cannot be decimated")
    if target_faces < 1:
        raise ValueError(f"the target must be at least one face, got {target_faces}")
    if target_faces >= len(mesh.faces):
        return mesh
    vertices, faces = fast_simplification.simplify(
        mesh.vertices.copy(), mesh.faces.copy(), target_count=int(target_faces)
    )
    out = compact(Mesh(vertices.astype(np.float64), faces.astype(np.int32)))
    return out if manifold_errors(out).is_manifold else _mended(out)


@dataclass(slots=True)
class _Arrays:
    """Room for edits: the kernels write into these."""

    vertices: Vertices
    faces: NDArray[np.int64]
    twin: NDArray[np.int64]
    half: NDArray[np.int64]
    rim: NDArray[np.bool_]
    used: NDArray[np.int64]


def _check(mesh: Mesh, edge_mm: float) -> None:
    if len(mesh.faces) == 0:
        raise ValueError("a mesh without faces cannot be remeshed")
    if not edge_mm > 0.0:
        raise ValueError(f"the edge length must be positive, got {edge_mm} mm")
    if face_areas(mesh).sum() / (0.43 * edge_mm**2) > 2e7:
        raise ValueError(f"an edge of {edge_mm} mm would give more than 20 million faces")
    errors = manifold_errors(mesh)
    if not errors.is_manifold:
        raise ValueError(
            f"the surface is not manifold ({errors.non_manifold_edges} edges with three or "
            f"more faces, {errors.inconsistent_edges} edges wound against each other, "
            f"{errors.bow_tie_vertices} touching vertices); repair it first"
        )


def _arrays(mesh: Mesh, spare_faces: int) -> _Arrays:
    n, m = len(mesh.vertices), len(mesh.faces)
    room, face_room = n + spare_faces, m + spare_faces
    vertices = np.zeros((room, 3))
    vertices[:n] = mesh.vertices
    faces = np.full((face_room, 3), -1, dtype=np.int64)
    faces[:m] = mesh.faces
    twin = np.full(3 * face_room, -1, dtype=np.int64)
    twin[: 3 * m] = edge_table(mesh.faces, n).twin
    half = np.full(room, -1, dtype=np.int64)
    half[mesh.faces.ravel()] = np.arange(3 * m)
    rim = np.zeros(room, dtype=np.bool_)
    rim[edge_vertices(mesh.faces)[twin[: 3 * m] < 0].ravel()] = True
    return _Arrays(vertices, faces, twin, half, rim, np.array([n, m], dtype=np.int64))


def _edited(mesh: Mesh, edge_mm: float) -> Mesh:
    """Split, collapse and flip once each."""
    longest, shortest = 4.0 / 3.0 * edge_mm, 0.8 * edge_mm
    spare = 1000 + len(mesh.faces)
    while True:
        a = _arrays(mesh, spare)
        if split_long(a.vertices, a.faces, a.twin, a.half, a.rim, a.used, longest):
            break
        spare *= 2
    collapse_short(a.vertices, a.faces, a.twin, a.half, a.rim, shortest, longest)
    flip_edges(a.vertices, a.faces, a.twin, a.half, a.rim)
    return compact(Mesh(a.vertices, a.faces[a.faces[:, 0] >= 0].astype(np.int32)))


def _evened(mesh: Mesh, surface: DistanceTree) -> Mesh:
    """Move vertices along the surface to the middle of their neighbours, rims excepted."""
    a = _arrays(mesh, 0)
    near, count = _neighbour_means(mesh)
    normal = vertex_normals(mesh)
    step = near - mesh.vertices
    step -= normal * np.einsum("ij,ij->i", step, normal)[:, None]
    free = np.flatnonzero(~a.rim & (count > 0))
    targets = mesh.vertices.copy()
    targets[free] = surface.closest(mesh.vertices[free] + step[free])[2]
    move_unless_folded(a.vertices, a.faces, a.twin, a.half, targets)
    return Mesh(a.vertices, mesh.faces)


def _neighbour_means(mesh: Mesh) -> tuple[Vertices, Scalars]:
    """Mean of the neighbours of each vertex off a rim, and their number."""
    start, end = edge_vertices(mesh.faces).T
    n = len(mesh.vertices)
    count = np.bincount(start, minlength=n)
    total = np.stack([np.bincount(start, x, minlength=n) for x in mesh.vertices[end].T], axis=1)
    return total / np.maximum(count, 1)[:, None], count.astype(np.float64)


def _mended(mesh: Mesh) -> Mesh:
    """Cut out pinched spots and close the holes that this leaves."""
    before = {frozenset(map(tuple, mesh.vertices[loop])) for loop in boundary_loops(mesh)}
    out, _ = without_non_manifold(mesh)
    for loop in boundary_loops(out):
        if frozenset(map(tuple, out.vertices[loop])) not in before:
            out = fill_hole(out, loop)
    return out
