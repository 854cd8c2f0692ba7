"""Even triangles over a limb, and fewer of them."""

from __future__ import annotations

import fast_simplification
import numpy as np

from limbwright.core.edge_edits import (
    LEAST_COSINE,
    Surface,
    collapse_short,
    flip_edges,
    split_long,
)
from limbwright.core.edges import edge_table, edge_vertices
from limbwright.core.holes import boundary_loops, fill_hole
from limbwright.core.mesh import (
    Mesh,
    Vertices,
    face_areas,
    face_cross,
    vertex_normals,
    with_vertices,
)
from limbwright.core.proximity import DistanceTree
from limbwright.core.smoothing import rim_vertices
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


def _surface(mesh: Mesh, spare_faces: int) -> Surface:
    """The mesh as the edits take it, with room for more faces."""
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
    rim[:n] = rim_vertices(mesh)
    return Surface(vertices, faces, twin, half, rim, np.array([n, m], dtype=np.int64))


def _edited(mesh: Mesh, edge_mm: float) -> Mesh:
    """Split, merge and turn edges once each."""
    longest, shortest = 4.0 / 3.0 * edge_mm, 0.8 * edge_mm
    spare = 1000 + len(mesh.faces)
    work = _surface(mesh, spare)
    while not split_long(work, longest):
        spare *= 2
        work = _surface(mesh, spare)
    collapse_short(work, shortest, longest)
    flip_edges(work)
    kept = work.faces[work.faces[:, 0] >= 0].astype(np.int32)
    return compact(Mesh(work.vertices, kept))


def _evened(mesh: Mesh, surface: DistanceTree) -> Mesh:
    """Move vertices along the surface to the middle of their neighbours, rims excepted."""
    normal = vertex_normals(mesh)
    step = _neighbour_means(mesh) - mesh.vertices
    step -= normal * np.einsum("ij,ij->i", step, normal)[:, None]
    free = np.flatnonzero(~rim_vertices(mesh))
    targets = mesh.vertices.copy()
    targets[free] = surface.closest(mesh.vertices[free] + step[free])[2]
    return _moved_unless_folded(mesh, targets)


def _moved_unless_folded(mesh: Mesh, targets: Vertices) -> Mesh:
    """Each vertex at its target, but for those of faces that this would turn too far."""
    normal, size = face_cross(mesh), np.linalg.norm(face_cross(mesh), axis=1)
    moved = targets.copy()
    while True:
        new = face_cross(with_vertices(mesh, moved))
        cosine = np.einsum("ij,ij->i", normal, new)
        turned = cosine < LEAST_COSINE * size * np.linalg.norm(new, axis=1)
        back = np.zeros(len(moved), dtype=np.bool_)
        back[mesh.faces[turned].ravel()] = True
        back &= (moved != mesh.vertices).any(axis=1)
        if not back.any():
            return with_vertices(mesh, moved)
        moved[back] = mesh.vertices[back]


def _neighbour_means(mesh: Mesh) -> Vertices:
    """Mean of the neighbours of each vertex, right off a rim."""
    start, end = edge_vertices(mesh.faces).T
    n = len(mesh.vertices)
    count = np.bincount(start, minlength=n)[:, None]
    total = [np.bincount(start, x, minlength=n) for x in mesh.vertices[end].T]
    return np.stack(total, axis=1) / np.maximum(count, 1)


def _mended(mesh: Mesh) -> Mesh:
    """Cut out pinched spots and close the holes that this leaves."""
    before = {frozenset(map(tuple, mesh.vertices[loop])) for loop in boundary_loops(mesh)}
    out, _ = without_non_manifold(mesh)
    for loop in boundary_loops(out):
        if frozenset(map(tuple, out.vertices[loop])) not in before:
            out = fill_hole(out, loop)
    return out
