"""Clean surfaces: welding, winding, parts, rims and what keeps a surface from being a solid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from limbwright.core.edges import (
    NON_MANIFOLD,
    EdgeTable,
    edge_table,
    edge_vertices,
    split_fans,
)
from limbwright.core.holes import boundary_loops, fill_hole
from limbwright.core.kernels import indices, kernel
from limbwright.core.mesh import Faces, Mesh, Scalars, Vertices, face_areas

__all__ = [
    "EdgeTable",
    "ManifoldErrors",
    "adjacency",
    "boundary_loops",
    "compact",
    "components",
    "edge_table",
    "edge_vertices",
    "fill_hole",
    "is_closed_manifold",
    "largest_component",
    "manifold_errors",
    "oriented",
    "split_fans",
    "weld",
    "without_crowded_edges",
    "without_non_manifold",
]


@dataclass(frozen=True, slots=True)
class ManifoldErrors:
    """What keeps a surface from being the skin of a solid.

    Parameters
    ----------
    boundary_edges : int
        Edges with one face: rims and holes.
    non_manifold_edges : int
        Edges with three or more faces.
    inconsistent_edges : int
        Edges whose two faces are wound against each other.
    bow_tie_vertices : int
        Extra fans of faces at vertices where parts of the surface touch in a point.
    """

    boundary_edges: int
    non_manifold_edges: int
    inconsistent_edges: int
    bow_tie_vertices: int

    @property
    def is_manifold(self) -> bool:
        """True when a rim is the only thing that may be missing from a solid."""
        return not (self.non_manifold_edges or self.inconsistent_edges or self.bow_tie_vertices)


def manifold_errors(mesh: Mesh) -> ManifoldErrors:
    """Count rims, edges with too many faces, opposed windings and bow ties."""
    table = edge_table(mesh.faces, len(mesh.vertices))
    split, _ = split_fans(mesh)
    return ManifoldErrors(
        table.boundary_count,
        table.non_manifold_count,
        table.inconsistent_count,
        len(split.vertices) - len(mesh.vertices),
    )


def is_closed_manifold(mesh: Mesh) -> bool:
    """True when the surface encloses a solid: no rim, no edge or vertex shared wrongly."""
    errors = manifold_errors(mesh)
    return len(mesh.faces) > 0 and errors.boundary_edges == 0 and errors.is_manifold


def weld(mesh: Mesh, tolerance_mm: float = 0.0) -> Mesh:
    """Join vertices that stand in the same place, and drop faces that lose their area so.

    Faces with a repeated vertex and all but the first of faces over the same three vertices
    go, and vertices that no face uses.

    Parameters
    ----------
    mesh : Mesh
    tolerance_mm : float
        0 joins equal coordinates only; otherwise every vertex joins the first earlier one
        that is kept and at most this far away.

    Raises
    ------
    ValueError
        When a coordinate is not a finite number or the tolerance is negative.
    """
    if not np.isfinite(mesh.vertices).all():
        raise ValueError("a vertex has a coordinate that is not a finite number")
    if not tolerance_mm >= 0.0:
        raise ValueError(f"tolerance must not be negative, got {tolerance_mm} mm")
    if tolerance_mm > 0.0:
        joined = _first_near(mesh.vertices, float(tolerance_mm))
    else:
        # adding zero turns -0.0 into 0.0, so that the bits of equal numbers agree
        joined = _first_equal(np.ascontiguousarray(mesh.vertices + 0.0).view(np.int64))
    faces = joined[mesh.faces]
    nxt = np.roll(faces, -1, axis=1)
    faces = faces[(faces != nxt).all(axis=1)]
    same = _first_equal(np.sort(faces, axis=1).astype(np.int64))
    return compact(Mesh(mesh.vertices, faces[same == np.arange(len(faces))]))


def compact(mesh: Mesh) -> Mesh:
    """Drop vertices that no face uses; the rest keep their order."""
    used = np.zeros(len(mesh.vertices), dtype=np.bool_)
    used[mesh.faces.ravel()] = True
    if used.all():
        return mesh
    renumber = np.cumsum(used, dtype=np.int32) - np.int32(1)
    return Mesh(mesh.vertices[used], renumber[mesh.faces])


def components(faces: Faces, table: EdgeTable) -> NDArray[np.int32]:
    """Part of the surface each face belongs to, (m,) int32 from 0, joined across paired edges."""
    return _spread(indices(faces), indices(table.twin))[0]


def largest_component(mesh: Mesh) -> Mesh:
    """The part of the surface with the greatest area; specks and strays go.

    Raises
    ------
    ValueError
        When the mesh has no face.
    """
    _need_faces(mesh)
    labels = components(mesh.faces, edge_table(mesh.faces, len(mesh.vertices)))
    areas = np.bincount(labels, face_areas(mesh))
    return compact(Mesh(mesh.vertices, mesh.faces[labels == int(areas.argmax())]))


def oriented(mesh: Mesh) -> tuple[Mesh, int]:
    """Wind every part of the surface consistently and outward, a limb open at the top too.

    Each part is judged by the volume that it encloses when its rims are closed by cones to
    the middle of its rims, so an open limb counts as a solid cut off at the top.

    Returns
    -------
    mesh : Mesh
    flipped : int
        Faces whose winding changed.

    Raises
    ------
    ValueError
        When the mesh has no face.
    """
    _need_faces(mesh)
    table = edge_table(mesh.faces, len(mesh.vertices))
    labels, flip = _spread(mesh.faces, indices(table.twin))
    faces = np.where(flip[:, None], mesh.faces[:, ::-1], mesh.faces)
    middles = _rim_middles(mesh, table, labels)
    inward = _part_volumes(Mesh(mesh.vertices, faces), labels, middles) < 0.0
    flip = flip ^ inward[labels]
    faces = np.where(flip[:, None], mesh.faces[:, ::-1], mesh.faces)
    return Mesh(mesh.vertices, faces), int(flip.sum())


def adjacency(faces: Faces, vertex_count: int) -> sp.csr_array:
    """Vertices joined by an edge, as a symmetric (n, n) matrix of ones."""
    a, b = edge_vertices(faces).T
    pairs = (np.concatenate([a, b]), np.concatenate([b, a]))
    matrix = sp.coo_array(
        (np.ones(len(pairs[0])), pairs), shape=(vertex_count, vertex_count)
    ).tocsr()
    matrix.data[:] = 1.0
    return matrix


def without_non_manifold(mesh: Mesh) -> tuple[Mesh, int]:
    """Remove the faces at edges that three or more faces share, and part bow ties.

    Returns
    -------
    mesh : Mesh
        A surface that is manifold but for its rims.
    removed : int
        Faces removed.
    """
    kept, removed = without_crowded_edges(mesh)
    return split_fans(kept)[0], removed


def without_crowded_edges(mesh: Mesh) -> tuple[Mesh, int]:
    """Remove the faces at edges that three or more faces share; bow ties stay.

    Returns
    -------
    mesh : Mesh
    removed : int
        Faces removed.
    """
    bad = edge_table(mesh.faces, len(mesh.vertices)).twin == NON_MANIFOLD
    keep = ~bad.reshape(-1, 3).any(axis=1)
    return compact(Mesh(mesh.vertices, mesh.faces[keep])), int((~keep).sum())


def _need_faces(mesh: Mesh) -> None:
    if len(mesh.faces) == 0:
        raise ValueError("the mesh has no face")


def _rim_middles(mesh: Mesh, table: EdgeTable, labels: NDArray[np.int32]) -> Vertices:
    """Middle of all rims of each part, by length; zero for a closed part."""
    count = int(labels.max()) + 1
    rim = np.flatnonzero(table.twin < 0)
    start, end = mesh.vertices[edge_vertices(mesh.faces)[rim]].transpose(1, 0, 2)
    length = np.linalg.norm(end - start, axis=1)
    part = labels[rim // 3]
    moments = np.zeros((count, 3))
    total = np.zeros(count)
    np.add.at(total, part, length)
    np.add.at(moments, part, length[:, None] * 0.5 * (start + end))
    return moments / np.where(total > 0.0, total, 1.0)[:, None]


def _part_volumes(mesh: Mesh, labels: NDArray[np.int32], middles: Vertices) -> Scalars:
    """Volume of each part seen from its middle, where cones over its rims count zero."""
    tri = mesh.vertices[mesh.faces] - middles[labels][:, None, :]
    cones = np.einsum("ij,ij->i", tri[:, 0], np.cross(tri[:, 1], tri[:, 2])) / 6.0
    return np.asarray(np.bincount(labels, cones, minlength=len(middles)), dtype=np.float64)


@kernel
def _spread(faces: Faces, twin: NDArray[np.int32]) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
    """Part of each face, and whether it must flip to agree with the first face of its part."""
    labels = np.full(faces.shape[0], -1, np.int32)
    flip = np.zeros(faces.shape[0], np.bool_)
    stack = np.empty(faces.shape[0], np.int32)
    count = 0
    for seed in range(faces.shape[0]):
        if labels[seed] >= 0:
            continue
        labels[seed] = count
        stack[0] = seed
        top = 1
        while top > 0:
            top -= 1
            f = stack[top]
            for k in range(3):
                t = twin[3 * f + k]
                if t < 0 or labels[t // 3] >= 0:
                    continue
                same_way = faces[f, k] == faces[t // 3, t % 3]
                labels[t // 3] = count
                flip[t // 3] = flip[f] != same_way
                stack[top] = t // 3
                top += 1
        count += 1
    return labels, flip


@kernel
def _slot(x: int | np.int64, y: int | np.int64, z: int | np.int64, mask: int) -> np.int64:
    """Place of three integers in a table of mask + 1 places (multiply, shift, fold)."""
    h = np.uint64(x) * np.uint64(0x9E3779B97F4A7C15)
    h = (h ^ (h >> np.uint64(29))) + np.uint64(y)
    h = h * np.uint64(0xBF58476D1CE4E5B9)
    h = (h ^ (h >> np.uint64(32))) + np.uint64(z)
    h = h * np.uint64(0x94D049BB133111EB)
    return np.int64((h ^ (h >> np.uint64(31))) & np.uint64(mask))


@kernel
def _first_equal(keys: NDArray[np.int64]) -> NDArray[np.int32]:
    """First row equal to each row of keys (n, 3)."""
    mask = 1
    while mask < 2 * keys.shape[0]:
        mask *= 2
    mask -= 1
    table = np.full(mask + 1, -1, np.int32)
    first = np.empty(keys.shape[0], np.int32)
    for i in range(keys.shape[0]):
        x, y, z = keys[i, 0], keys[i, 1], keys[i, 2]
        slot = _slot(x, y, z, mask)
        while True:
            j = table[slot]
            if j < 0:
                table[slot] = i
                first[i] = i
                break
            if keys[j, 0] == x and keys[j, 1] == y and keys[j, 2] == z:
                first[i] = j
                break
            slot = (slot + 1) & mask
    return first


@kernel
def _first_near(points: Vertices, tolerance: float) -> NDArray[np.int32]:
    """First kept row within the tolerance of each row.

    Kept rows are chained by cells of eight tolerances, so that a ball mostly lies in one cell.
    """
    mask = 1
    while mask < 2 * points.shape[0]:
        mask *= 2
    mask -= 1
    head = np.full(mask + 1, -1, np.int32)
    chain = np.full(points.shape[0], -1, np.int32)
    first = np.empty(points.shape[0], np.int32)
    low, high = np.empty(3, np.int64), np.empty(3, np.int64)
    cell = 8.0 * tolerance
    for i in range(points.shape[0]):
        for d in range(3):
            low[d] = np.floor((points[i, d] - tolerance) / cell)
            high[d] = np.floor((points[i, d] + tolerance) / cell)
        found = points.shape[0]
        for x in range(low[0], high[0] + 1):
            for y in range(low[1], high[1] + 1):
                for z in range(low[2], high[2] + 1):
                    j = head[_slot(x, y, z, mask)]
                    while j >= 0:
                        gap = 0.0
                        for d in range(3):
                            gap += (points[j, d] - points[i, d]) ** 2
                        if gap <= tolerance * tolerance:
                            found = min(found, j)
                        j = chain[j]
        first[i] = i
        if found < points.shape[0]:
            first[i] = found
        else:
            for d in range(3):
                low[d] = np.floor(points[i, d] / cell)
            slot = _slot(low[0], low[1], low[2], mask)
            chain[i] = head[slot]
            head[slot] = i
    return first
