"""Splitting, collapsing and flipping edges of a manifold surface in place.

The kernels share five arrays: `faces` (a removed face has -1 in its first corner), `twin`
(opposite half-edge, -1 on a rim), `half` (one outgoing half-edge of each vertex, -1 when no
face uses it), `rim` (vertex on a rim) and `vertices`. Half-edge h = 3 * face + corner.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import kernel

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Reals = NDArray[np.float64]

_MOST_FACES = 64
"""A vertex with more faces is left alone."""
_LEAST_COSINE = 0.2
"""No edit turns the normal of a face farther than this."""
_RIM_SHIFT = 0.25
"""A rim vertex stays when dropping it moves the rim by more than this part of the length."""


@kernel
def _after(h: int) -> int:
    return h - 2 if h % 3 == 2 else h + 1


@kernel
def _before(h: int) -> int:
    return h + 2 if h % 3 == 0 else h - 1


@kernel
def _start(faces: Ints, h: int) -> int:
    return int(faces[h // 3, h % 3])


@kernel
def _join(twin: Ints, g: int, h: int) -> None:
    if g >= 0:
        twin[g] = h
    if h >= 0:
        twin[h] = g


@kernel
def _fan(twin: Ints, first: int, fan: Ints) -> int:
    """Put a vertex's outgoing half-edges, one a face, into fan; -1 when they are too many."""
    fan[0] = first
    count = 1
    h = twin[_before(first)]
    while h >= 0 and h != first:
        if count == fan.shape[0]:
            return -1
        fan[count] = h
        count += 1
        h = twin[_before(h)]
    if h == first:
        return count
    h = twin[first]
    while h >= 0:
        if count == fan.shape[0]:
            return -1
        fan[count] = _after(h)
        count += 1
        h = twin[_after(h)]
    return count


@kernel
def _length2(vertices: Reals, a: int, b: int) -> float:
    x = vertices[a, 0] - vertices[b, 0]
    y = vertices[a, 1] - vertices[b, 1]
    z = vertices[a, 2] - vertices[b, 2]
    return float(x * x + y * y + z * z)


@kernel
def _normal(vertices: Reals, a: int, b: int, c: int) -> tuple[float, float, float]:
    ux = vertices[b, 0] - vertices[a, 0]
    uy = vertices[b, 1] - vertices[a, 1]
    uz = vertices[b, 2] - vertices[a, 2]
    vx = vertices[c, 0] - vertices[a, 0]
    vy = vertices[c, 1] - vertices[a, 1]
    vz = vertices[c, 2] - vertices[a, 2]
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
def _fan_turns(
    vertices: Reals,
    faces: Ints,
    fan: Ints,
    count: int,
    v: int,
    other: int,
    place: Reals,
) -> bool:
    """True when moving v to a place turns a face around it too far; faces with other go."""
    old = (vertices[v, 0], vertices[v, 1], vertices[v, 2])
    for i in range(count):
        f = fan[i] // 3
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        if other in (a, b, c):
            continue
        was = _normal(vertices, a, b, c)
        for d in range(3):
            vertices[v, d] = place[d]
        now = _normal(vertices, a, b, c)
        for d in range(3):
            vertices[v, d] = old[d]
        if _cosine(was, now) < _LEAST_COSINE:
            return True
    return False


@kernel
def split_long(
    vertices: Reals,
    faces: Ints,
    twin: Ints,
    half: Ints,
    rim: Flags,
    used: NDArray[np.int64],
    longest: float,
) -> bool:
    """Halve edges longer than a length; False when the arrays are full before it is done.

    `used` holds how many vertices and faces stand in the arrays.
    """
    pending = True
    while pending:
        pending = False
        for h in range(3 * used[1]):
            a, b = _start(faces, h), _start(faces, _after(h))
            size2 = _length2(vertices, a, b)
            if twin[h] > h or size2 <= longest * longest:
                continue
            pending = True
            # long edges first: halving short sides of slim faces would never end
            if size2 < 0.8 * _longest2(vertices, faces, twin, h):
                continue
            if used[0] + 1 > vertices.shape[0] or used[1] + 2 > faces.shape[0]:
                return False
            _halve(vertices, faces, twin, half, rim, used, h)
    return True


@kernel
def _longest2(vertices: Reals, faces: Ints, twin: Ints, h: int) -> float:
    """Square of the longest edge of the faces on either side."""
    best = 0.0
    for side in range(2):
        g = h if side == 0 else twin[h]
        for _ in range(3):
            if g >= 0:
                best = max(best, _length2(vertices, _start(faces, g), _start(faces, _after(g))))
                g = _after(g)
    return best


@kernel
def _halve(
    vertices: Reals,
    faces: Ints,
    twin: Ints,
    half: Ints,
    rim: Flags,
    used: NDArray[np.int64],
    h: int,
) -> None:
    t = twin[h]
    a, b = _start(faces, h), _start(faces, _after(h))
    m = used[0]
    used[0] += 1
    rim[m] = t < 0
    for d in range(3):
        vertices[m, d] = 0.5 * (vertices[a, d] + vertices[b, d])
    new = _halve_face(faces, twin, half, h, m, used)
    if t >= 0:
        other = _halve_face(faces, twin, half, t, m, used)
        _join(twin, h, other)
        _join(twin, t, new)
    half[m] = new


@kernel
def _halve_face(
    faces: Ints, twin: Ints, half: Ints, h: int, m: int, used: NDArray[np.int64]
) -> int:
    """Cut the face of h = a to b from m on it to the far corner; h becomes a to m.

    Returns the half-edge m to b of the new face; it and h have no twin yet.
    """
    n = _after(h)
    b, c = _start(faces, n), _start(faces, _after(n))
    f = used[1]
    used[1] += 1
    faces[f, 0], faces[f, 1], faces[f, 2] = m, b, c
    _join(twin, 3 * f + 1, twin[n])
    _join(twin, 3 * f + 2, n)
    faces[n // 3, n % 3] = m
    twin[h] = -1
    twin[3 * f] = -1
    if half[b] == n:
        half[b] = 3 * f + 1
    return int(3 * f)


@kernel
def collapse_short(
    vertices: Reals,
    faces: Ints,
    twin: Ints,
    half: Ints,
    rim: Flags,
    shortest: float,
    longest: float,
) -> int:
    """Merge the ends of edges shorter than a length where the surface allows it."""
    fan_a, fan_b = np.empty(_MOST_FACES, np.int64), np.empty(_MOST_FACES, np.int64)
    place = np.empty(3)
    done = 0
    for h in range(twin.shape[0]):
        if faces[h // 3, 0] < 0 or twin[h] > h:
            continue
        a, b = _start(faces, h), _start(faces, _after(h))
        if _length2(vertices, a, b) >= shortest * shortest:
            continue
        if rim[a] and rim[b] and twin[h] >= 0:
            continue
        count_a = _fan(twin, half[a], fan_a)
        count_b = _fan(twin, half[b], fan_b)
        if count_a < 0 or count_b < 0:
            continue
        if not _links_allow(faces, twin, h, a, b, fan_a, count_a, fan_b, count_b):
            continue
        if not _choose_place(
            vertices,
            faces,
            twin,
            rim,
            a,
            b,
            fan_a,
            count_a,
            fan_b,
            count_b,
            _RIM_SHIFT * shortest,
            place,
        ):
            continue
        if (
            _reaches(vertices, faces, fan_a, count_a, place, longest)
            or _reaches(vertices, faces, fan_b, count_b, place, longest)
            or _fan_turns(vertices, faces, fan_a, count_a, a, b, place)
            or _fan_turns(vertices, faces, fan_b, count_b, b, a, place)
        ):
            continue
        for d in range(3):
            vertices[a, d] = place[d]
        _merge(faces, twin, half, rim, h, a, b, fan_b, count_b)
        done += 1
    return done


@kernel
def _links_allow(
    faces: Ints,
    twin: Ints,
    h: int,
    a: int,
    b: int,
    fan_a: Ints,
    count_a: int,
    fan_b: Ints,
    count_b: int,
) -> bool:
    """The ends may share no neighbour but the corners across the edge (link condition)."""
    t = twin[h]
    for g in (h, t):
        # a face that hangs on by this edge alone would leave nothing behind
        if g >= 0 and twin[_after(g)] < 0 and twin[_before(g)] < 0:
            return False
    c = _start(faces, _before(h))
    d = _start(faces, _before(t)) if t >= 0 else -1
    if c == d:
        return False
    for i in range(count_a):
        for side in range(2):
            x = _start(faces, _after(fan_a[i]) if side == 0 else _before(fan_a[i]))
            if x in (b, c, d):
                continue
            for j in range(count_b):
                if x == _start(faces, _after(fan_b[j])) or x == _start(faces, _before(fan_b[j])):
                    return False
    return True


@kernel
def _choose_place(
    vertices: Reals,
    faces: Ints,
    twin: Ints,
    rim: Flags,
    a: int,
    b: int,
    fan_a: Ints,
    count_a: int,
    fan_b: Ints,
    count_b: int,
    most_shift: float,
    place: Reals,
) -> bool:
    """Where the merged vertex goes: the middle, or a rim end that leaves the rim in place."""
    keep = -1
    if rim[a] and rim[b]:
        shift_a = _rim_shift(vertices, faces, twin, a, b, fan_a, count_a)
        shift_b = _rim_shift(vertices, faces, twin, b, a, fan_b, count_b)
        keep = b if shift_a < shift_b else a
        if min(shift_a, shift_b) > most_shift:
            return False
    elif rim[a]:
        keep = a
    elif rim[b]:
        keep = b
    for d in range(3):
        place[d] = 0.5 * (vertices[a, d] + vertices[b, d]) if keep < 0 else vertices[keep, d]
    return True


@kernel
def _rim_shift(
    vertices: Reals, faces: Ints, twin: Ints, v: int, w: int, fan: Ints, count: int
) -> float:
    """Distance of rim vertex v from the straight line between its two rim neighbours."""
    x = -1
    for i in range(count):
        if twin[fan[i]] < 0 and _start(faces, _after(fan[i])) != w:
            x = _start(faces, _after(fan[i]))
        if twin[_before(fan[i])] < 0 and _start(faces, _before(fan[i])) != w:
            x = _start(faces, _before(fan[i]))
    if x < 0:
        return np.inf
    n = _normal(vertices, v, w, x)
    area2 = n[0] * n[0] + n[1] * n[1] + n[2] * n[2]
    return float(np.sqrt(area2 / max(_length2(vertices, w, x), 1e-300)))


@kernel
def _reaches(
    vertices: Reals, faces: Ints, fan: Ints, count: int, place: Reals, longest: float
) -> bool:
    for i in range(count):
        for side in range(2):
            x = _start(faces, _after(fan[i]) if side == 0 else _before(fan[i]))
            gap = 0.0
            for d in range(3):
                gap += (vertices[x, d] - place[d]) ** 2
            if gap > longest * longest:
                return True
    return False


@kernel
def _merge(
    faces: Ints,
    twin: Ints,
    half: Ints,
    rim: Flags,
    h: int,
    a: int,
    b: int,
    fan_b: Ints,
    count_b: int,
) -> None:
    """Give the faces of b to a and take out the one or two faces on the edge h = a to b."""
    t = twin[h]
    for i in range(count_b):
        faces[fan_b[i] // 3, fan_b[i] % 3] = a
    for g in (h, t):
        if g < 0:
            continue
        c = _start(faces, _before(g))
        near, far = twin[_after(g)], twin[_before(g)]
        _join(twin, near, far)
        # whichever of the two outer half-edges exists gives both ends a way out
        if near >= 0:
            half[c] = _after(near) if _start(faces, near) != c else near
            half[a] = near if _start(faces, near) == a else _after(near)
        else:
            half[c] = _after(far) if _start(faces, far) != c else far
            half[a] = far if _start(faces, far) == a else _after(far)
    for g in (h, t):
        if g >= 0:
            for k in range(3):
                twin[3 * (g // 3) + k] = -1
            faces[g // 3, 0] = -1
    half[b] = -1
    rim[a] = rim[a] or rim[b]


@kernel
def flip_edges(vertices: Reals, faces: Ints, twin: Ints, half: Ints, rim: Flags) -> int:
    """Turn edges so that vertices come closer to six neighbours, four on a rim."""
    excess = np.zeros(half.shape[0], np.int64)
    for v in range(half.shape[0]):
        excess[v] = -3 if rim[v] else -6
    for f in range(faces.shape[0]):
        if faces[f, 0] >= 0:
            for k in range(3):
                excess[faces[f, k]] += 1
    fan = np.empty(_MOST_FACES, np.int64)
    done = 0
    for h in range(twin.shape[0]):
        t = twin[h]
        if faces[h // 3, 0] < 0 or t < h:
            continue
        a, b = _start(faces, h), _start(faces, t)
        c, d = _start(faces, _before(h)), _start(faces, _before(t))
        x, y, z, w = excess[a], excess[b], excess[c], excess[d]
        gain = x * x + y * y + z * z + w * w
        gain -= (x - 1) ** 2 + (y - 1) ** 2 + (z + 1) ** 2 + (w + 1) ** 2
        if gain <= 0 or not _may_flip(vertices, faces, twin, half, fan, a, b, c, d):
            continue
        _flip(faces, twin, half, h)
        excess[a] -= 1
        excess[b] -= 1
        excess[c] += 1
        excess[d] += 1
        done += 1
    return done


@kernel
def _may_flip(
    vertices: Reals,
    faces: Ints,
    twin: Ints,
    half: Ints,
    fan: Ints,
    a: int,
    b: int,
    c: int,
    d: int,
) -> bool:
    """The new edge c to d must not exist yet, and no face may fold."""
    count = _fan(twin, half[c], fan)
    if count < 0 or c == d:
        return False
    for i in range(count):
        if d == _start(faces, _after(fan[i])) or d == _start(faces, _before(fan[i])):
            return False
    first, second = _normal(vertices, a, b, c), _normal(vertices, b, a, d)
    for new in (_normal(vertices, d, b, c), _normal(vertices, c, a, d)):
        if _cosine(first, new) < _LEAST_COSINE or _cosine(second, new) < _LEAST_COSINE:
            return False
    return True


@kernel
def _flip(faces: Ints, twin: Ints, half: Ints, h: int) -> None:
    t = twin[h]
    f, g = h // 3, t // 3
    a, b = _start(faces, h), _start(faces, t)
    c, d = _start(faces, _before(h)), _start(faces, _before(t))
    bc, ca = twin[_after(h)], twin[_before(h)]
    ad, db = twin[_after(t)], twin[_before(t)]
    faces[f, 0], faces[f, 1], faces[f, 2] = d, b, c
    faces[g, 0], faces[g, 1], faces[g, 2] = c, a, d
    twin[3 * f], twin[3 * f + 1], twin[3 * g], twin[3 * g + 1] = -1, -1, -1, -1
    _join(twin, 3 * f, db)
    _join(twin, 3 * f + 1, bc)
    _join(twin, 3 * g, ca)
    _join(twin, 3 * g + 1, ad)
    _join(twin, 3 * f + 2, 3 * g + 2)
    half[a], half[b], half[c], half[d] = 3 * g + 1, 3 * f + 1, 3 * g, 3 * f


@kernel
def move_unless_folded(vertices: Reals, faces: Ints, twin: Ints, half: Ints, targets: Reals) -> int:
    """Move each vertex to its target unless that turns a face too far; counts those that stay."""
    fan = np.empty(_MOST_FACES, np.int64)
    stay = 0
    for v in range(vertices.shape[0]):
        count = _fan(twin, half[v], fan)
        if count < 0 or _fan_turns(vertices, faces, fan, count, v, -1, targets[v]):
            stay += 1
            continue
        for d in range(3):
            vertices[v, d] = targets[v, d]
    return stay
