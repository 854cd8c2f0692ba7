"""Box tree over triangles, and the compiled walks through it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Mesh, Scalars, Vertices

_NO_AREA = 1e-14
"""Squared sine between two sides below which rounding decides about the area."""
Ints = NDArray[np.int32]
Reals = NDArray[np.float64]


class BoxTree(NamedTuple):
    """Boxes around ever smaller groups of triangles.

    Parameters
    ----------
    left : (b,) int32
        First child of a box, the second follows it; -1 for a leaf.
    start, size : (b,) int32
        Triangles of a box, as a run in tree order.
    boxes : (b, 6) float64, mm
        Lows and highs.
    faces : (m,) int32
        Face of each triangle in tree order.
    triangles : (m, 9) float64, mm
        First corner and the two edges from it, in tree order.
    """

    left: Ints
    start: Ints
    size: Ints
    boxes: Reals
    faces: Ints
    triangles: Reals


def box_tree(mesh: Mesh) -> BoxTree:
    """Build the tree by halving along the longest side; the cost is m log m.

    Raises
    ------
    ValueError
        When the mesh has no face or a coordinate is not a finite number.
    """
    if len(mesh.faces) == 0:
        raise ValueError("a mesh without faces has no surface to search")
    tri = mesh.vertices[mesh.faces]
    if not np.isfinite(tri).all():
        raise ValueError("a vertex has a coordinate that is not a finite number")
    a, b, c = tri[:, 0], tri[:, 1], tri[:, 2]
    lows, highs = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
    left, start, size, boxes, order = _build(reals(lows), reals(highs))
    tri = tri[order]
    edges = (tri[:, 0], tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0])
    return BoxTree(
        indices(left),
        indices(start),
        indices(size),
        reals(boxes),
        indices(order),
        reals(np.concatenate(edges, axis=1)),
    )


@kernel
def _select(key: Reals, axis: int, order: Ints, low: int, high: int, k: int) -> None:
    """Put the k-th of order[low:high + 1] by key in place, smaller ones before it."""
    while low < high:
        pivot = key[order[(low + high) // 2], axis]
        i, j = low, high
        while i <= j:
            while key[order[i], axis] < pivot:
                i += 1
            while key[order[j], axis] > pivot:
                j -= 1
            if i <= j:
                order[i], order[j] = order[j], order[i]
                i += 1
                j -= 1
        if k <= j:
            high = j
        elif k >= i:
            low = i
        else:
            return


@kernel
def _build(lows: Reals, highs: Reals) -> tuple[Ints, Ints, Ints, Reals, Ints]:
    m = lows.shape[0]
    leaf = 4
    capacity = 2 * (m // (leaf // 2) + 2)
    order = np.arange(m).astype(np.int32)
    middles = np.empty((m, 3))
    for i in range(m):
        for d in range(3):
            middles[i, d] = lows[i, d] + highs[i, d]
    left = np.full(capacity, -1, np.int32)
    start = np.zeros(capacity, np.int32)
    size = np.zeros(capacity, np.int32)
    boxes = np.empty((capacity, 6))
    size[0] = m
    used = 1
    node = 0
    while node < used:
        s, c = start[node], size[node]
        axis, widest = 0, -1.0
        for d in range(3):
            lo, hi, near, far = np.inf, -np.inf, np.inf, -np.inf
            for i in range(s, s + c):
                p = order[i]
                lo = min(lo, lows[p, d])
                hi = max(hi, highs[p, d])
                near = min(near, middles[p, d])
                far = max(far, middles[p, d])
            boxes[node, d] = lo
            boxes[node, d + 3] = hi
            if far - near > widest:
                axis, widest = d, far - near
        if c > leaf:
            half = c // 2
            _select(middles, axis, order, s, s + c - 1, s + half)
            left[node] = used
            start[used] = s
            size[used] = half
            start[used + 1] = s + half
            size[used + 1] = c - half
            used += 2
        node += 1
    return left[:used], start[:used], size[:used], boxes[:used], order


@kernel
def _box_distance2(boxes: Reals, node: int, x: float, y: float, z: float) -> float:
    dx = max(0.0, max(boxes[node, 0] - x, x - boxes[node, 3]))
    dy = max(0.0, max(boxes[node, 1] - y, y - boxes[node, 4]))
    dz = max(0.0, max(boxes[node, 2] - z, z - boxes[node, 5]))
    return float(dx * dx + dy * dy + dz * dz)


@kernel
def _triangle_distance2(
    tri: Reals, t: int, x: float, y: float, z: float
) -> tuple[float, int, float, float]:
    """Squared distance, part hit, and weights of the two edges of the closest point.

    Parts: 0 inside, 1 to 3 corners, 4 to 6 edges from those corners. Regions by the signs of
    edge products (Ericson 2005, Real-Time Collision Detection, section 5.1.5).
    """
    bx, by, bz = tri[t, 3], tri[t, 4], tri[t, 5]
    cx, cy, cz = tri[t, 6], tri[t, 7], tri[t, 8]
    px, py, pz = x - tri[t, 0], y - tri[t, 1], z - tri[t, 2]
    bp = bx * px + by * py + bz * pz
    cp = cx * px + cy * py + cz * pz
    bb = bx * bx + by * by + bz * bz
    cc = cx * cx + cy * cy + cz * cz
    bc = bx * cx + by * cy + bz * cz
    v, w, part = 0.0, 0.0, 0
    if bb * cc - bc * bc <= _NO_AREA * bb * cc:
        return _needle_distance2(tri, t, px, py, pz)
    va = (bp - bb) * (cp - cc) - (bp - bc) * (cp - bc)
    vb = (bp - bc) * cp - bp * (cp - cc)
    vc = bp * (cp - bc) - (bp - bb) * cp
    if bp <= 0.0 and cp <= 0.0:
        part = 1
    elif bp >= bb and cp - bc <= bp - bb:
        part, v = 2, 1.0
    elif vc <= 0.0 and bp >= 0.0 and bp <= bb:
        part, v = 4, bp / bb
    elif cp >= cc and bp - bc <= cp - cc:
        part, w = 3, 1.0
    elif vb <= 0.0 and cp >= 0.0 and cp <= cc:
        part, w = 6, cp / cc
    elif va <= 0.0 and cp - bc >= bp - bb and bp - bc >= cp - cc:
        w = ((cp - bc) - (bp - bb)) / (bb + cc - 2.0 * bc)
        part, v = 5, 1.0 - w
    else:
        total = va + vb + vc
        v, w = vb / total, vc / total
    dx = px - v * bx - w * cx
    dy = py - v * by - w * cy
    dz = pz - v * bz - w * cz
    return dx * dx + dy * dy + dz * dz, part, v, w


@kernel
def _needle_distance2(
    tri: Reals, t: int, px: float, py: float, pz: float
) -> tuple[float, int, float, float]:
    """As `_triangle_distance2` for a triangle without area: its longest side, or its point."""
    best, part, v, w = px * px + py * py + pz * pz, 1, 0.0, 0.0
    for side in range(3):
        # weights of the two edges at the side's ends: a to b, b to c, c to a
        fv, fw = 1.0 if side == 1 else 0.0, 1.0 if side == 2 else 0.0
        gv, gw = 1.0 if side == 0 else 0.0, 1.0 if side == 1 else 0.0
        dx = (gv - fv) * tri[t, 3] + (gw - fw) * tri[t, 6]
        dy = (gv - fv) * tri[t, 4] + (gw - fw) * tri[t, 7]
        dz = (gv - fv) * tri[t, 5] + (gw - fw) * tri[t, 8]
        length2 = dx * dx + dy * dy + dz * dz
        if length2 == 0.0:
            continue
        fx = px - fv * tri[t, 3] - fw * tri[t, 6]
        fy = py - fv * tri[t, 4] - fw * tri[t, 7]
        fz = pz - fv * tri[t, 5] - fw * tri[t, 8]
        share = min(1.0, max(0.0, (fx * dx + fy * dy + fz * dz) / length2))
        away2 = (fx - share * dx) ** 2 + (fy - share * dy) ** 2 + (fz - share * dz) ** 2
        if away2 < best:
            best, part = away2, 4 + side
            v, w = fv + share * (gv - fv), fw + share * (gw - fw)
            if share == 0.0:
                part = 1 + side
            elif share == 1.0:
                part = 1 + (side + 1) % 3
    return best, part, v, w


@kernel
def nearest(
    tree: BoxTree,
    stack: Ints,
    x: float,
    y: float,
    z: float,
    bound2: float,
    guess: int,
) -> tuple[float, int, int, float, float]:
    """Nearest triangle in tree order within the bound, -1 if none; a good guess saves time."""
    best, found, part, v, w = bound2, -1, 0, 0.0, 0.0
    if guess >= 0:
        d2, p, a, b = _triangle_distance2(tree.triangles, guess, x, y, z)
        if d2 < best:
            best, found, part, v, w = d2, guess, p, a, b
    stack[0] = 0
    top = 1
    while top > 0:
        top -= 1
        node = stack[top]
        if _box_distance2(tree.boxes, node, x, y, z) >= best:
            continue
        while tree.left[node] >= 0:
            near, far = tree.left[node], tree.left[node] + 1
            near2 = _box_distance2(tree.boxes, near, x, y, z)
            far2 = _box_distance2(tree.boxes, far, x, y, z)
            if far2 < near2:
                near, far, near2, far2 = far, near, far2, near2
            if far2 < best:
                stack[top] = far
                top += 1
            node = near
            if near2 >= best:
                break
        if tree.left[node] >= 0:
            continue
        for t in range(tree.start[node], tree.start[node] + tree.size[node]):
            d2, p, a, b = _triangle_distance2(tree.triangles, t, x, y, z)
            if d2 < best:
                best, found, part, v, w = d2, t, p, a, b
    return best, found, part, v, w


@kernel
def closest(tree: BoxTree, points: Vertices, bound2: float) -> tuple[Scalars, Ints, Ints, Vertices]:
    """Distance, face, part hit and closest point of each point; infinity, -1, 0, NaN for none."""
    tri = tree.triangles
    count = points.shape[0]
    distance = np.full(count, np.inf)
    face = np.full(count, -1, np.int32)
    part = np.zeros(count, np.int32)
    foot = np.full((count, 3), np.nan)
    stack = np.empty(128, np.int32)
    guess = -1
    for i in range(count):
        x, y, z = points[i, 0], points[i, 1], points[i, 2]
        d2, t, p, v, w = nearest(tree, stack, x, y, z, bound2, guess)
        if t < 0:
            continue
        guess = t
        distance[i] = np.sqrt(d2)
        face[i] = tree.faces[t]
        part[i] = p
        for d in range(3):
            foot[i, d] = tri[t, d] + v * tri[t, d + 3] + w * tri[t, d + 6]
    return distance, face, part, foot


@kernel
def first_hits(tree: BoxTree, origins: Vertices, rays: Vertices) -> tuple[Scalars, Ints]:
    """Distance and face of the first hit of unit rays; infinity and -1 for a miss."""
    distance = np.full(origins.shape[0], np.inf)
    face = np.full(origins.shape[0], -1, np.int32)
    stack = np.empty(128, np.int32)
    for i in range(origins.shape[0]):
        stack[0] = 0
        top = 1
        while top > 0:
            top -= 1
            node = stack[top]
            if _box_entry(tree.boxes, node, origins, rays, i) >= distance[i]:
                continue
            if tree.left[node] >= 0:
                stack[top] = tree.left[node]
                stack[top + 1] = tree.left[node] + 1
                top += 2
                continue
            for t in range(tree.start[node], tree.start[node] + tree.size[node]):
                hit = _ray_triangle(tree.triangles, t, origins, rays, i)
                if hit < distance[i]:
                    distance[i] = hit
                    face[i] = tree.faces[t]
    return distance, face


@kernel
def _box_entry(boxes: Reals, node: int, origins: Vertices, rays: Vertices, i: int) -> float:
    """Where the ray enters the box, infinity when it passes by."""
    near, far = 0.0, np.inf
    for d in range(3):
        lo = boxes[node, d] - origins[i, d]
        hi = boxes[node, d + 3] - origins[i, d]
        if rays[i, d] == 0.0:
            if lo > 0.0 or hi < 0.0:
                return np.inf
            continue
        a, b = lo / rays[i, d], hi / rays[i, d]
        near = max(near, min(a, b))
        far = min(far, max(a, b))
    return near if near <= far * (1.0 + 1e-12) + 1e-12 else np.inf


@kernel
def _ray_triangle(tri: Reals, t: int, origins: Vertices, rays: Vertices, i: int) -> float:
    """Distance along the ray, infinity for a miss (Moeller and Trumbore 1997)."""
    bx, by, bz = tri[t, 3], tri[t, 4], tri[t, 5]
    cx, cy, cz = tri[t, 6], tri[t, 7], tri[t, 8]
    rx, ry, rz = rays[i, 0], rays[i, 1], rays[i, 2]
    hx, hy, hz = ry * cz - rz * cy, rz * cx - rx * cz, rx * cy - ry * cx
    det = bx * hx + by * hy + bz * hz
    if det == 0.0:
        return np.inf
    sx = origins[i, 0] - tri[t, 0]
    sy = origins[i, 1] - tri[t, 1]
    sz = origins[i, 2] - tri[t, 2]
    u = (sx * hx + sy * hy + sz * hz) / det
    qx, qy, qz = sy * bz - sz * by, sz * bx - sx * bz, sx * by - sy * bx
    v = (rx * qx + ry * qy + rz * qz) / det
    # a little slack, so that no ray slips through between two faces
    if u < -1e-9 or v < -1e-9 or u + v > 1.0 + 1e-9:
        return np.inf
    along = (cx * qx + cy * qy + cz * qz) / det
    return along if along >= 0.0 else np.inf
