"""Cutting a surface along a line given by a value at each vertex."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.edges import split_fans
from limbwright.core.holes import boundary_loops
from limbwright.core.mesh import Faces, Mesh, Scalars, Vertices, face_cross

_SNAP = 0.25
"""A vertex moves onto the cut when the cut is nearer than this part of an edge."""


@dataclass(frozen=True, slots=True, eq=False)
class ClippedMesh:
    """A cut surface and where its vertices come from.

    Parameters
    ----------
    mesh : Mesh
    parents : (k, 2) int32
        Two vertices of the uncut mesh for each vertex.
    weight : (k,) float64, 0 to 1
        A vertex stands at (1 - weight) * first parent + weight * second parent.
    on_cut : (k,) bool
        True on the cut line.
    cut_loops : tuple of (p,) int32
        Rims that run along the cut, ordered, longest first.
    """

    mesh: Mesh
    parents: NDArray[np.int32]
    weight: Scalars
    on_cut: NDArray[np.bool_]
    cut_loops: tuple[NDArray[np.int32], ...]


def interpolate(clipped: ClippedMesh, values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Values (n,) or (n, c) of the uncut mesh at the vertices of the cut one."""
    values = np.asarray(values, dtype=np.float64)
    weight = clipped.weight.reshape(-1, *[1] * (values.ndim - 1))
    first, second = values[clipped.parents[:, 0]], values[clipped.parents[:, 1]]
    return np.asarray((1.0 - weight) * first + weight * second, dtype=np.float64)


def clip_by_scalar(mesh: Mesh, values: Scalars, level: float = 0.0) -> ClippedMesh:
    """Keep the surface where the value is at most the level, with a clean edge.

    Vertices close to the cut move onto it along an edge before the faces are cut, so the rim
    has no slivers and stands exactly on the level (linear along each edge).

    Parameters
    ----------
    mesh : Mesh
    values : (n,) float64
    level : float

    Returns
    -------
    ClippedMesh
        Without faces when nothing is at or below the level.

    Raises
    ------
    ValueError
        When the mesh has no face, or there is not one finite value for each vertex.
    """
    height = np.asarray(values, dtype=np.float64) - level
    if len(mesh.faces) == 0:
        raise ValueError("a mesh without faces cannot be cut")
    if height.shape != (len(mesh.vertices),):
        raise ValueError(f"{height.shape} values for {len(mesh.vertices)} vertices")
    if not np.isfinite(height).all():
        raise ValueError("a value is not a finite number")
    parents, weight, snapped = _snap(mesh, height)
    side = np.where(snapped, 0, np.sign(height)).astype(np.int8)
    whole, cut, new, edges = _sorted_faces(mesh.faces, side, height)
    parents = np.concatenate([parents, edges])
    start, end = height[edges[:, 0]], height[edges[:, 1]]
    weight = np.concatenate([weight, start / (start - end)])
    points = _blend(mesh.vertices, parents, weight)
    faces = np.concatenate([whole, _split_faces(cut, side[cut], new, points)])
    on_cut = np.concatenate([side == 0, np.ones(len(edges), dtype=np.bool_)])
    return _assemble(Mesh(points, faces), parents, weight, on_cut)


def _snap(mesh: Mesh, height: Scalars) -> tuple[NDArray[np.int32], Scalars, NDArray[np.bool_]]:
    """Parents and weight of each vertex after those close to the cut have moved onto it."""
    count = len(height)
    own = np.arange(count, dtype=np.int32)
    other, part = _nearest_crossing(mesh.faces, height)
    allowed = part <= _SNAP
    while True:
        parents = np.stack([own, np.where(allowed, other, own)], axis=1)
        weight = np.where(allowed, part, 0.0)
        moved = _blend(mesh.vertices, parents, weight)
        # a move that folds a face is given up; its edge is then cut where it is
        folded = np.zeros(count, dtype=np.bool_)
        folded[_turned(mesh, moved, weight > 0.0)] = True
        if not (folded & allowed & (part > 0.0)).any():
            return parents, weight, allowed
        allowed &= ~(folded & (part > 0.0))


def _nearest_crossing(faces: Faces, height: Scalars) -> tuple[NDArray[np.int32], Scalars]:
    """For each vertex the neighbour towards the nearest crossing, and how far that is (0 to 1)."""
    count = len(height)
    a, b = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    cross = height[a] * height[b] < 0.0
    a, b = np.concatenate([a[cross], b[cross]]), np.concatenate([b[cross], a[cross]])
    part = height[a] / (height[a] - height[b])
    order = np.lexsort((b, part, a))
    a, b, part = a[order], b[order], part[order]
    first = np.flatnonzero(np.diff(a, prepend=-1))
    other = np.arange(count, dtype=np.int32)
    nearest = np.where(height == 0.0, 0.0, np.inf)
    other[a[first]] = b[first]
    nearest[a[first]] = part[first]
    return other, nearest


def _blend(vertices: Vertices, parents: NDArray[np.int32], weight: Scalars) -> Vertices:
    first, second = vertices[parents[:, 0]], vertices[parents[:, 1]]
    return np.asarray(first + weight[:, None] * (second - first), dtype=np.float64)


def _turned(mesh: Mesh, moved: Vertices, is_moved: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Vertices of faces that the move folds over or flattens."""
    faces = mesh.faces[is_moved[mesh.faces].any(axis=1)]
    before, after = face_cross(Mesh(mesh.vertices, faces)), face_cross(Mesh(moved, faces))
    size = np.einsum("ij,ij->i", before, before)
    turned = (np.einsum("ij,ij->i", before, after) <= 0.05 * size) & (size > 0)
    return np.asarray(faces[turned].ravel())


def _sorted_faces(
    faces: Faces, side: NDArray[np.int8], height: Scalars
) -> tuple[Faces, Faces, NDArray[np.int32], NDArray[np.int32]]:
    """Faces kept whole, faces to cut, the new vertex on each of their edges, and those edges."""
    sides = side[faces]
    above, below = (sides > 0).any(axis=1), (sides < 0).any(axis=1)
    # a face wholly on the cut goes to the side where it lay before its corners moved
    inner = height[faces].sum(axis=1) <= 0.0
    whole = faces[~above & (below | inner)]
    cut, sides = faces[above & below], sides[above & below]
    a, b = cut, np.roll(cut, -1, axis=1)
    crossed = sides * np.roll(sides, -1, axis=1) < 0
    count = np.int64(len(side))
    keys = np.minimum(a, b).astype(np.int64) * count + np.maximum(a, b)
    unique, place = np.unique(keys[crossed], return_inverse=True)
    new = np.full(cut.shape, -1, dtype=np.int32)
    new[crossed] = len(side) + place.astype(np.int32)
    edges = np.stack([unique // count, unique % count], axis=1).astype(np.int32)
    return whole, cut, new, edges


def _split_faces(
    cut: Faces, sides: NDArray[np.int8], new: NDArray[np.int32], points: Vertices
) -> Faces:
    """The parts of cut faces at or below the level; new holds the vertex on each edge, or -1."""
    # turn each face so that the corner that is alone on its side comes first
    lone_above = (sides > 0).sum(axis=1) == 1
    lone = np.where(lone_above, (sides > 0).argmax(axis=1), (sides < 0).argmax(axis=1))
    turn = (lone[:, None] + np.arange(3)) % 3
    row = np.arange(len(cut))[:, None]
    (a, b, c), (ab, _, ca) = cut[row, turn].T, new[row, turn].T
    p, q = np.where(ab >= 0, ab, b), np.where(ca >= 0, ca, c)
    tip = np.stack([a, p, q], axis=1)[~lone_above]
    # below a lone corner stands p b c q, with p on b or q on c when the cut runs through them
    short = np.linalg.norm(points[p] - points[c], axis=1) <= np.linalg.norm(
        points[b] - points[q], axis=1
    )
    first = np.where(short[:, None], np.stack([p, b, c], 1), np.stack([p, b, q], 1))
    second = np.where(short[:, None], np.stack([p, c, q], 1), np.stack([b, c, q], 1))
    parts = np.concatenate([first[lone_above], second[lone_above]])
    return np.concatenate([tip, parts[(parts != np.roll(parts, 1, axis=1)).all(axis=1)]])


def _assemble(
    mesh: Mesh, parents: NDArray[np.int32], weight: Scalars, on_cut: NDArray[np.bool_]
) -> ClippedMesh:
    # where the line crosses itself in a vertex, the two sides part
    split, origin = split_fans(mesh)
    used = np.zeros(len(origin), dtype=np.bool_)
    used[split.faces.ravel()] = True
    renumber = np.cumsum(used, dtype=np.int32) - np.int32(1)
    out, origin = Mesh(split.vertices[used], renumber[split.faces]), origin[used]
    cut = on_cut[origin]
    loops = tuple(loop for loop in boundary_loops(out) if (cut[loop] & cut[np.roll(loop, 1)]).any())
    return ClippedMesh(out, parents[origin], weight[origin], cut, loops)
