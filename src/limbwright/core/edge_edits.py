"""Splitting, merging and turning edges of a manifold surface in place.

Half-edge h = 3 * face + corner runs from that corner to the next one of its face.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import kernel

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Reals = NDArray[np.float64]

_MOST_FACES = 64
"""A vertex with more faces is left alone."""
LEAST_COSINE = 0.2
"""No edit turns the normal of a face farther than this."""
_RIM_SHIFT = 0.25
"""A rim vertex stays when dropping it moves the rim by more than this part of the length."""


class Surface(NamedTuple):
    """A surface under work, with room at the end of each array.

    Parameters
    ----------
    vertices : (n, 3) float64, mm
    faces : (m, 3) int64
        -1 in the first corner where no face stands.
    twin : (3m,) int64
        Opposite half-edge, -1 on a rim.
    half : (n,) int64
        One outgoing half-edge of each vertex, -1 when no face uses it.
    rim : (n,) bool
        Vertices on a rim.
    used : (2,) int64
        Places taken in vertices and in faces.
    """

    vertices: Reals
    faces: Ints
    twin: Ints
    half: Ints
    rim: Flags
    used: Ints


class Star(NamedTuple):
    """Outgoing half-edges of a vertex, its ring of neighbours, and how many there are of each."""

    out: Ints
    ring: Ints
    size: Ints


@kernel
def _after(h: int) -> int:
    return h - 2 if h % 3 == 2 else h + 1


@kernel
def _before(h: int) -> int:
    return h + 2 if h % 3 == 0 else h - 1


@kernel
def _start(s: Surface, h: int) -> int:
    return int(s.faces[h // 3, h % 3])


@kernel
def _join(s: Surface, g: int, h: int) -> None:
    if g >= 0:
        s.twin[g] = h
    if h >= 0:
        s.twin[h] = g


@kernel
def _new_star() -> Star:
    return Star(
        np.empty(_MOST_FACES, np.int64), np.empty(_MOST_FACES + 1, np.int64), np.zeros(2, np.int64)
    )


@kernel
def _gather(s: Surface, v: int, star: Star) -> bool:
    """Collect the star of a vertex, from rim to rim if on one; False when it is too large."""
    first = s.half[v]
    while s.twin[first] >= 0:
        first = _after(s.twin[first])
        if first == s.half[v]:
            break
    h, count = first, 0
    while count < _MOST_FACES:
        star.out[count] = h
        star.ring[count] = _start(s, _after(h))
        count += 1
        last = _before(h)
        h = s.twin[last]
        if h < 0 or h == first:
            star.ring[count] = _start(s, last)
            star.size[0] = count
            star.size[1] = count + 1 if h < 0 else count
            return True
    return False


@kernel
def _length2(s: Surface, a: int, b: int) -> float:
    x = s.vertices[a, 0] - s.vertices[b, 0]
    y = s.vertices[a, 1] - s.vertices[b, 1]
    z = s.vertices[a, 2] - s.vertices[b, 2]
    return float(x * x + y * y + z * z)


@kernel
def _normal(s: Surface, a: int, b: int, c: int) -> tuple[float, float, float]:
    ux = s.vertices[b, 0] - s.vertices[a, 0]
    uy = s.vertices[b, 1] - s.vertices[a, 1]
    uz = s.vertices[b, 2] - s.vertices[a, 2]
    vx = s.vertices[c, 0] - s.vertices[a, 0]
    vy = s.vertices[c, 1] - s.vertices[a, 1]
    vz = s.vertices[c, 2] - s.vertices[a, 2]
    return uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx


@kernel
def _cosine(m: tuple[float, float, float], n: tuple[float, float, float]) -> float:
    """Cosine between two normals; 1 where the first has no length, since any is as good."""
    mm = m[0] * m[0] + m[1] * m[1] + m[2] * m[2]
    nn = n[0] * n[0] + n[1] * n[1] + n[2] * n[2]
    if mm == 0.0:
        return 1.0
    if nn == 0.0:
        return -1.0
    return float((m[0] * n[0] + m[1] * n[1] + m[2] * n[2]) / np.sqrt(mm * nn))


@kernel
def _turns(s: Surface, v: int, star: Star, other: int, place: Reals) -> bool:
    """True when moving v to a place turns a face around it too far; faces with other go."""
    old = (s.vertices[v, 0], s.vertices[v, 1], s.vertices[v, 2])
    for i in range(star.size[0]):
        f = star.out[i] // 3
        a, b, c = s.faces[f, 0], s.faces[f, 1], s.faces[f, 2]
        if other in (a, b, c):
            continue
        was = _normal(s, a, b, c)
        for d in range(3):
            s.vertices[v, d] = place[d]
        now = _normal(s, a, b, c)
        for d in range(3):
            s.vertices[v, d] = old[d]
        if _cosine(was, now) < LEAST_COSINE:
            return True
    return False


@kernel
def split_long(s: Surface, longest: float) -> bool:
    """Halve edges longer than a length; False when the arrays are full before it is done."""
    pending = True
    while pending:
        pending = False
        for h in range(3 * s.used[1]):
            a, b = _start(s, h), _start(s, _after(h))
            size2 = _length2(s, a, b)
            if s.twin[h] > h or size2 <= longest * longest:
                continue
            pending = True
            # long edges first: halving short sides of slim faces would never end
            if size2 < 0.8 * _longest2(s, h):
                continue
            if s.used[0] + 1 > s.vertices.shape[0] or s.used[1] + 2 > s.faces.shape[0]:
                return False
            _halve(s, h)
    return True


@kernel
def _longest2(s: Surface, h: int) -> float:
    """Square of the longest edge of the faces on either side."""
    best = 0.0
    for side in range(2):
        g = h if side == 0 else s.twin[h]
        for _ in range(3):
            if g >= 0:
                best = max(best, _length2(s, _start(s, g), _start(s, _after(g))))
                g = _after(g)
    return best


@kernel
def _halve(s: Surface, h: int) -> None:
    t = s.twin[h]
    a, b = _start(s, h), _start(s, _after(h))
    m = s.used[0]
    s.used[0] += 1
    s.rim[m] = t < 0
    for d in range(3):
        s.vertices[m, d] = 0.5 * (s.vertices[a, d] + s.vertices[b, d])
    new = _halve_face(s, h, m)
    if t >= 0:
        other = _halve_face(s, t, m)
        _join(s, h, other)
        _join(s, t, new)
    s.half[m] = new


@kernel
def _halve_face(s: Surface, h: int, m: int) -> int:
    """Cut the face of h = a to b from m on it to the far corner; h becomes a to m.

    Returns the half-edge m to b of the new face; it and h have no twin yet.
    """
    n = _after(h)
    b, c = _start(s, n), _start(s, _after(n))
    f = s.used[1]
    s.used[1] += 1
    s.faces[f, 0], s.faces[f, 1], s.faces[f, 2] = m, b, c
    _join(s, 3 * f + 1, s.twin[n])
    _join(s, 3 * f + 2, n)
    s.faces[n // 3, n % 3] = m
    s.twin[h] = -1
    s.twin[3 * f] = -1
    if s.half[b] == n:
        s.half[b] = 3 * f + 1
    return int(3 * f)


@kernel
def collapse_short(s: Surface, shortest: float, longest: float) -> None:
    """Merge the ends of edges shorter than a length where the surface allows it.

    No edge longer than `longest` comes of it.
    """
    near, far = _new_star(), _new_star()
    place = np.empty(3)
    for h in range(s.twin.shape[0]):
        if s.faces[h // 3, 0] < 0 or s.twin[h] > h:
            continue
        a, b = _start(s, h), _start(s, _after(h))
        if (
            _length2(s, a, b) < shortest * shortest
            and _gather(s, a, near)
            and _gather(s, b, far)
            and _links_allow(s, h, near, far)
            and _choose_place(s, h, near, far, _RIM_SHIFT * shortest, place)
            and not _reaches(s, near, place, longest)
            and not _reaches(s, far, place, longest)
            and not _turns(s, a, near, b, place)
            and not _turns(s, b, far, a, place)
        ):
            for d in range(3):
                s.vertices[a, d] = place[d]
            _merge(s, h, far)


@kernel
def _links_allow(s: Surface, h: int, near: Star, far: Star) -> bool:
    """The ends may share no neighbour but the corners across the edge (link condition)."""
    t = s.twin[h]
    for g in (h, t):
        # a face that hangs on by this edge alone would leave nothing behind
        if g >= 0 and s.twin[_after(g)] < 0 and s.twin[_before(g)] < 0:
            return False
    c = _start(s, _before(h))
    d = _start(s, _before(t)) if t >= 0 else -1
    if c == d:
        return False
    for i in range(near.size[1]):
        x = near.ring[i]
        for j in range(far.size[1]):
            if x == far.ring[j] and x != c and x != d:
                return False
    return True


@kernel
def _choose_place(
    s: Surface, h: int, near: Star, far: Star, most_shift: float, place: Reals
) -> bool:
    """Where the merged vertex goes: the middle, or a rim end that leaves the rim in place."""
    a, b = _start(s, h), _start(s, _after(h))
    keep = -1
    if s.rim[a] and s.rim[b]:
        shift_a, shift_b = _rim_shift(s, a, b, near), _rim_shift(s, b, a, far)
        keep = b if shift_a < shift_b else a
        # an edge from rim to rim through the surface holds two rims apart
        if s.twin[h] >= 0 or min(shift_a, shift_b) > most_shift:
            return False
    elif s.rim[a]:
        keep = a
    elif s.rim[b]:
        keep = b
    for d in range(3):
        place[d] = s.vertices[keep, d]
        if keep < 0:
            place[d] = 0.5 * (s.vertices[a, d] + s.vertices[b, d])
    return True


@kernel
def _rim_shift(s: Surface, v: int, w: int, star: Star) -> float:
    """Distance of rim vertex v from the line between its rim neighbours, w and another."""
    x = star.ring[0]
    if x == w:
        x = star.ring[star.size[1] - 1]
    n = _normal(s, v, w, x)
    area2 = n[0] * n[0] + n[1] * n[1] + n[2] * n[2]
    return float(np.sqrt(area2 / max(_length2(s, w, x), 1e-300)))


@kernel
def _reaches(s: Surface, star: Star, place: Reals, longest: float) -> bool:
    for i in range(star.size[1]):
        gap = 0.0
        for d in range(3):
            gap += (s.vertices[star.ring[i], d] - place[d]) ** 2
        if gap > longest * longest:
            return True
    return False


@kernel
def _merge(s: Surface, h: int, far: Star) -> None:
    """Give the faces of b to a and take out the one or two faces on the edge h = a to b."""
    t = s.twin[h]
    a, b = _start(s, h), _start(s, _after(h))
    for i in range(far.size[0]):
        s.faces[far.out[i] // 3, far.out[i] % 3] = a
    for g in (h, t):
        if g < 0:
            continue
        c = _start(s, _before(g))
        ahead, behind = s.twin[_after(g)], s.twin[_before(g)]
        _join(s, ahead, behind)
        # whichever of the two outer half-edges exists gives both ends a way out
        if ahead >= 0:
            s.half[c], s.half[a] = ahead, _after(ahead)
        else:
            s.half[a], s.half[c] = behind, _after(behind)
    for g in (h, t):
        if g >= 0:
            for k in range(3):
                s.twin[3 * (g // 3) + k] = -1
            s.faces[g // 3, 0] = -1
    s.half[b] = -1
    s.rim[a] = s.rim[a] or s.rim[b]


@kernel
def flip_edges(s: Surface) -> None:
    """Turn edges so that vertices come closer to six neighbours, four on a rim."""
    excess = np.zeros(s.half.shape[0], np.int64)
    for v in range(s.half.shape[0]):
        excess[v] = -3 if s.rim[v] else -6
    for f in range(s.faces.shape[0]):
        if s.faces[f, 0] >= 0:
            for k in range(3):
                excess[s.faces[f, k]] += 1
    star = _new_star()
    for h in range(s.twin.shape[0]):
        t = s.twin[h]
        if s.faces[h // 3, 0] < 0 or t < h:
            continue
        a, b = _start(s, h), _start(s, t)
        c, d = _start(s, _before(h)), _start(s, _before(t))
        x, y, z, w = excess[a], excess[b], excess[c], excess[d]
        gain = x * x + y * y + z * z + w * w
        gain -= (x - 1) ** 2 + (y - 1) ** 2 + (z + 1) ** 2 + (w + 1) ** 2
        if gain <= 0 or not _may_flip(s, star, a, b, c, d):
            continue
        _flip(s, h)
        excess[a] -= 1
        excess[b] -= 1
        excess[c] += 1
        excess[d] += 1


@kernel
def _may_flip(s: Surface, star: Star, a: int, b: int, c: int, d: int) -> bool:
    """The new edge c to d must not exist yet, and no face may fold."""
    if c == d or not _gather(s, c, star):
        return False
    for i in range(star.size[1]):
        if star.ring[i] == d:
            return False
    first, second = _normal(s, a, b, c), _normal(s, b, a, d)
    for new in (_normal(s, d, b, c), _normal(s, c, a, d)):
        if _cosine(first, new) < LEAST_COSINE or _cosine(second, new) < LEAST_COSINE:
            return False
    return True


@kernel
def _flip(s: Surface, h: int) -> None:
    t = s.twin[h]
    f, g = h // 3, t // 3
    a, b = _start(s, h), _start(s, t)
    c, d = _start(s, _before(h)), _start(s, _before(t))
    bc, ca = s.twin[_after(h)], s.twin[_before(h)]
    ad, db = s.twin[_after(t)], s.twin[_before(t)]
    s.faces[f, 0], s.faces[f, 1], s.faces[f, 2] = d, b, c
    s.faces[g, 0], s.faces[g, 1], s.faces[g, 2] = c, a, d
    _join(s, 3 * f, db)
    _join(s, 3 * f + 1, bc)
    _join(s, 3 * g, ca)
    _join(s, 3 * g + 1, ad)
    _join(s, 3 * f + 2, 3 * g + 2)
    s.half[a], s.half[b], s.half[c], s.half[d] = 3 * g + 1, 3 * f + 1, 3 * g, 3 * f
