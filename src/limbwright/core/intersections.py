"""Where a surface passes through itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.bvh import BoxTree, box_tree
from limbwright.core.kernels import kernel
from limbwright.core.mesh import Faces, Mesh, Vertices

Ints = NDArray[np.int32]
Reals = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class SelfIntersections:
    """Pairs of faces that pass through each other.

    Parameters
    ----------
    faces : (k, 2) int32
    points_mm : (k, 3) float64, mm
        A point of each crossing.
    """

    faces: NDArray[np.int32]
    points_mm: Vertices

    def __len__(self) -> int:
        return len(self.faces)


def self_intersections(mesh: Mesh, limit: int = 1000) -> SelfIntersections:
    """Faces that cross although they share no vertex, at most `limit` pairs.

    Faces that only touch, or lie in one plane and overlap, count too. Weld the mesh first, so
    that neighbours share their vertices.

    Raises
    ------
    ValueError
        When the mesh has no face, a coordinate is not finite, or the limit is not positive.
    """
    if limit < 1:
        raise ValueError(f"the limit must be at least 1, got {limit}")
    tree = box_tree(mesh)
    pairs, points = _crossing_pairs(tree, mesh.vertices, mesh.faces, limit)
    order = np.lexsort((pairs[:, 1], pairs[:, 0]))
    return SelfIntersections(pairs[order], points[order])


@kernel
def _crossing_pairs(
    tree: BoxTree,
    vertices: Vertices,
    faces: Faces,
    limit: int,
) -> tuple[Ints, Vertices]:
    pairs = np.empty((limit, 2), np.int32)
    points = np.empty((limit, 3))
    spot = np.empty(3)
    bounds = _bounds(tree.faces, vertices, faces)
    # groups of triangles whose boxes meet, a group with itself first; each pair is met once
    ones, others = np.zeros(256, np.int32), np.zeros(256, np.int32)
    top, found = 1, 0
    while top > 0:
        top -= 1
        one, other = ones[top], others[top]
        if one != other and not _overlap(tree.boxes, one, tree.boxes, other):
            continue
        left, right = tree.left[one], tree.left[other]
        if one == other and left >= 0:
            ones[top], others[top] = left, left
            ones[top + 1], others[top + 1] = left + 1, left + 1
            ones[top + 2], others[top + 2] = left, left + 1
            top += 3
        elif left >= 0 and (right < 0 or tree.size[one] >= tree.size[other]):
            ones[top], others[top] = left, other
            ones[top + 1], others[top + 1] = left + 1, other
            top += 2
        elif right >= 0:
            ones[top], others[top] = one, right
            ones[top + 1], others[top + 1] = one, right + 1
            top += 2
        else:
            for i in range(tree.start[one], tree.start[one] + tree.size[one]):
                first = i + 1 if one == other else tree.start[other]
                for j in range(first, tree.start[other] + tree.size[other]):
                    if not _overlap(bounds, i, bounds, j):
                        continue
                    f, g = tree.faces[i], tree.faces[j]
                    if _share(faces, f, g) or not _cross(vertices, faces, f, g, spot):
                        continue
                    pairs[found, 0] = min(f, g)
                    pairs[found, 1] = max(f, g)
                    for d in range(3):
                        points[found, d] = spot[d]
                    found += 1
                    if found == limit:
                        return pairs, points
    return pairs[:found], points[:found]


@kernel
def _bounds(order: Ints, vertices: Vertices, faces: Faces) -> Reals:
    """Lows and highs of each triangle, in tree order."""
    bounds = np.empty((len(order), 6))
    for i in range(len(order)):
        p, q, r = faces[order[i], 0], faces[order[i], 1], faces[order[i], 2]
        for d in range(3):
            a, b, c = vertices[p, d], vertices[q, d], vertices[r, d]
            bounds[i, d] = min(a, min(b, c))
            bounds[i, d + 3] = max(a, max(b, c))
    return bounds


@kernel
def _overlap(boxes: Reals, one: int, others: Reals, other: int) -> bool:
    apart = False
    for d in range(3):
        apart |= boxes[one, d] > others[other, d + 3] or boxes[one, d + 3] < others[other, d]
    return not apart


@kernel
def _share(faces: Faces, f: int, g: int) -> bool:
    for k in range(3):
        for m in range(3):
            if faces[f, k] == faces[g, m]:
                return True
    return False


@kernel
def _side(vertices: Vertices, p: int, q: int, r: int, s: int) -> float:
    """Six times the volume of the tetrahedron p q r s, positive when s is above p q r."""
    ax = vertices[q, 0] - vertices[p, 0]
    ay = vertices[q, 1] - vertices[p, 1]
    az = vertices[q, 2] - vertices[p, 2]
    bx = vertices[r, 0] - vertices[p, 0]
    by = vertices[r, 1] - vertices[p, 1]
    bz = vertices[r, 2] - vertices[p, 2]
    cx = vertices[s, 0] - vertices[p, 0]
    cy = vertices[s, 1] - vertices[p, 1]
    cz = vertices[s, 2] - vertices[p, 2]
    return float((ay * bz - az * by) * cx + (az * bx - ax * bz) * cy + (ax * by - ay * bx) * cz)


@kernel
def _cross(vertices: Vertices, faces: Faces, f: int, g: int, spot: Reals) -> bool:
    """True when an edge of one face pierces the other; the piercing point goes to spot."""
    level = 0
    size = 0.0
    for k in range(3):
        for d in range(3):
            size = max(size, abs(vertices[faces[f, k], d] - vertices[faces[g, 0], d]))
            size = max(size, abs(vertices[faces[g, k], d] - vertices[faces[g, 0], d]))
    # rounding puts corners that lie in the other face's plane on either side of it
    tiny = 1e-7 * size**3
    for turn in range(2):
        a, b = (f, g) if turn == 0 else (g, f)
        p, q, r = faces[a, 0], faces[a, 1], faces[a, 2]
        for k in range(3):
            s, t = faces[b, k], faces[b, (k + 1) % 3]
            above = _side(vertices, p, q, r, s)
            below = _side(vertices, p, q, r, t)
            above = 0.0 if abs(above) <= tiny else above
            below = 0.0 if abs(below) <= tiny else below
            if above == 0.0 and below == 0.0:
                level += 1
                continue
            if (above > 0.0 and below > 0.0) or (above < 0.0 and below < 0.0):
                continue
            x = _side(vertices, s, t, p, q)
            y = _side(vertices, s, t, q, r)
            z = _side(vertices, s, t, r, p)
            if (x >= 0.0 and y >= 0.0 and z >= 0.0) or (x <= 0.0 and y <= 0.0 and z <= 0.0):
                part = above / (above - below)
                for d in range(3):
                    spot[d] = vertices[s, d] + part * (vertices[t, d] - vertices[s, d])
                if _in_box(vertices, p, q, r, spot, 1e-9 * size):
                    return True
    return level == 6 and _cross_flat(vertices, faces, f, g, spot)


@kernel
def _in_box(vertices: Vertices, p: int, q: int, r: int, spot: Reals, slack: float) -> bool:
    """Signs of volumes that are only rounding may agree anywhere in the plane."""
    for d in range(3):
        a, b, c = vertices[p, d], vertices[q, d], vertices[r, d]
        if spot[d] < min(a, min(b, c)) - slack or spot[d] > max(a, max(b, c)) + slack:
            return False
    return True


@kernel
def _cross_flat(vertices: Vertices, faces: Faces, f: int, g: int, spot: Reals) -> bool:
    """Overlap of two faces in one plane: no edge of either has the other wholly outside."""
    p, q, r = faces[f, 0], faces[f, 1], faces[f, 2]
    normal = np.empty(3)
    for d in range(3):
        e, h = (d + 1) % 3, (d + 2) % 3
        normal[d] = (vertices[q, e] - vertices[p, e]) * (vertices[r, h] - vertices[p, h]) - (
            vertices[q, h] - vertices[p, h]
        ) * (vertices[r, e] - vertices[p, e])
    drop = 0
    for d in range(1, 3):
        if abs(normal[d]) > abs(normal[drop]):
            drop = d
    e, h = (drop + 1) % 3, (drop + 2) % 3
    for turn in range(2):
        a, b = (f, g) if turn == 0 else (g, f)
        for k in range(3):
            s, t, o = faces[a, k], faces[a, (k + 1) % 3], faces[a, (k + 2) % 3]
            dx = vertices[t, e] - vertices[s, e]
            dy = vertices[t, h] - vertices[s, h]
            inner = dx * (vertices[o, h] - vertices[s, h]) - dy * (vertices[o, e] - vertices[s, e])
            outside = True
            for m in range(3):
                v = faces[b, m]
                side = dx * (vertices[v, h] - vertices[s, h]) - dy * (
                    vertices[v, e] - vertices[s, e]
                )
                if side * inner > 0.0:
                    outside = False
            if outside:
                return False
    for d in range(3):
        spot[d] = 0.0
        for m in range(3):
            spot[d] += (vertices[faces[f, m], d] + vertices[faces[g, m], d]) / 6.0
    return True
