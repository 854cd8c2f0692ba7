"""The bed's answer to a motion of the limb: resultant and its exact derivative.

Motion is (shift, turn × length) in mm about a reference point; points are scaled by the same
length, so that resultants are (force, moment / length) in N and one figure measures both.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import kernel

Reals = NDArray[np.float64]


@kernel
def _moved(motion: Reals, x: float, y: float, z: float) -> tuple[float, float, float]:
    """Displacement of a point under a small motion: shift + turn × point."""
    return (
        motion[0] + motion[4] * z - motion[5] * y,
        motion[1] + motion[5] * x - motion[3] * z,
        motion[2] + motion[3] * y - motion[4] * x,
    )


@kernel
def _pressed(
    i: int,
    points: Reals,
    normals: Reals,
    press_mm: Reals,
    along: Reals,
    shear: Reals,
    start: Reals,
    motion: Reals,
) -> tuple[float, float, float, float, float, float, float, float, float]:
    """One spring: depth of pressing, share of the way in contact, shear if nothing slid.

    A spring that was open at the start is sheared only from where it touched: on the straight
    way from start to now that is the share depth / (depth - depth at start).
    Returns depth, share, its derivative by depth, tangential way (3), elastic shear (3).
    """
    x, y, z = points[i, 0], points[i, 1], points[i, 2]
    a, b, c = normals[i, 0], normals[i, 1], normals[i, 2]
    u, v, w = _moved(motion, x, y, z)
    u0, v0, w0 = _moved(start, x, y, z)
    depth = press_mm[i] + u * a + v * b + w * c
    before = press_mm[i] + u0 * a + v0 * b + w0 * c
    share = 1.0
    slope = 0.0
    if before < 0.0 < depth:
        share = depth / (depth - before)
        slope = -before / (depth - before) ** 2
    u, v, w = u - u0, v - v0, w - w0
    out = u * a + v * b + w * c
    u, v, w = u - out * a, v - out * b, w - out * c
    k = along[i] * share
    return (
        depth,
        share,
        slope,
        u,
        v,
        w,
        shear[i, 0] + k * u,
        shear[i, 1] + k * v,
        shear[i, 2] + k * w,
    )


@kernel
def tractions(
    points: Reals,
    normals: Reals,
    press_mm: Reals,
    normal: Reals,
    along: Reals,
    friction: float,
    shear: Reals,
    start: Reals,
    motion: Reals,
) -> tuple[Reals, Reals]:
    """Pressure (n,) and spring shear (n, 3), MPa; the limb feels the shear's opposite."""
    count = points.shape[0]
    pressure = np.zeros(count)
    held = np.zeros((count, 3))
    for i in range(count):
        depth, _, _, _, _, _, sx, sy, sz = _pressed(
            i, points, normals, press_mm, along, shear, start, motion
        )
        if depth <= 0.0:
            continue
        pressure[i] = normal[i] * depth
        most = friction * pressure[i]
        size = np.sqrt(sx * sx + sy * sy + sz * sz)
        scale = 1.0 if size <= most else most / size
        held[i, 0] = scale * sx
        held[i, 1] = scale * sy
        held[i, 2] = scale * sz
    return pressure, held


@kernel
def resultant(
    points: Reals,
    normals: Reals,
    areas: Reals,
    press_mm: Reals,
    normal: Reals,
    along: Reals,
    friction: float,
    shear: Reals,
    start: Reals,
    motion: Reals,
) -> tuple[Reals, Reals, float]:
    """Contact's resultant on the limb, its stiffness and the sum of normal forces.

    Returns
    -------
    resultant : (6,) N
    stiffness : (6, 6) N/mm
        Minus the exact derivative of the resultant by the motion.
    gross : float, N
    """
    total = np.zeros(6)
    stiff = np.zeros((6, 6))
    gross = 0.0
    local = np.empty((3, 3))
    rows = np.empty((3, 6))
    held = np.empty(3)
    for i in range(points.shape[0]):
        depth, share, slope, u, v, w, sx, sy, sz = _pressed(
            i, points, normals, press_mm, along, shear, start, motion
        )
        if depth <= 0.0:
            continue
        n = (normals[i, 0], normals[i, 1], normals[i, 2])
        held[0], held[1], held[2] = sx, sy, sz
        _elastic(n, along[i] * share, along[i] * slope, (u, v, w), local)
        pressure = normal[i] * depth
        _slide(n, friction, pressure, normal[i], held, local)
        for r in range(3):
            for c in range(3):
                local[r, c] += normal[i] * n[r] * n[c]
        _add_force(points[i], n, areas[i], pressure, held, total)
        _add_stiffness(points[i], areas[i], local, rows, stiff)
        gross += areas[i] * pressure
    return total, stiff, gross


@kernel
def _elastic(
    n: tuple[float, float, float],
    along: float,
    bend: float,
    way: tuple[float, float, float],
    local: Reals,
) -> None:
    """Derivative of elastic shear by displacement: k (I − n nᵀ) + bend · way nᵀ, into `local`."""
    for r in range(3):
        for c in range(3):
            local[r, c] = (bend * way[r] - along * n[r]) * n[c]
        local[r, r] += along


@kernel
def _slide(
    n: tuple[float, float, float],
    friction: float,
    pressure: float,
    normal: float,
    held: Reals,
    local: Reals,
) -> None:
    """Return shear to Coulomb's cone where it lies outside, and its derivative with it.

    τ = μ p s/|s|, so dτ = μ dp s/|s| + (μ p/|s|)(I − e eᵀ) ds with e = s/|s|.
    """
    size = np.sqrt(held[0] ** 2 + held[1] ** 2 + held[2] ** 2)
    most = friction * pressure
    if size <= most:
        return
    e = (held[0] / size, held[1] / size, held[2] / size)
    scale = most / size
    for c in range(3):
        lead = e[0] * local[0, c] + e[1] * local[1, c] + e[2] * local[2, c]
        for r in range(3):
            local[r, c] = scale * (local[r, c] - e[r] * lead) + friction * normal * e[r] * n[c]
    for r in range(3):
        held[r] = most * e[r]


@kernel
def _add_force(
    point: Reals,
    n: tuple[float, float, float],
    area: float,
    pressure: float,
    held: Reals,
    total: Reals,
) -> None:
    """One spring's force on the limb and its moment, added to the resultant."""
    x, y, z = point[0], point[1], point[2]
    fx = -area * (pressure * n[0] + held[0])
    fy = -area * (pressure * n[1] + held[1])
    fz = -area * (pressure * n[2] + held[2])
    total[0] += fx
    total[1] += fy
    total[2] += fz
    total[3] += y * fz - z * fy
    total[4] += z * fx - x * fz
    total[5] += x * fy - y * fx


@kernel
def _add_stiffness(point: Reals, area: float, local: Reals, rows: Reals, stiff: Reals) -> None:
    """Add a Bᵀ local B with B = [I, −[point]×] to the stiffness; `rows` is scratch for local B."""
    x, y, z = point[0], point[1], point[2]
    for r in range(3):
        for c in range(3):
            rows[r, c] = area * local[r, c]
        rows[r, 3] = y * rows[r, 2] - z * rows[r, 1]
        rows[r, 4] = z * rows[r, 0] - x * rows[r, 2]
        rows[r, 5] = x * rows[r, 1] - y * rows[r, 0]
    for c in range(6):
        stiff[0, c] += rows[0, c]
        stiff[1, c] += rows[1, c]
        stiff[2, c] += rows[2, c]
        stiff[3, c] += y * rows[2, c] - z * rows[1, c]
        stiff[4, c] += z * rows[0, c] - x * rows[2, c]
        stiff[5, c] += x * rows[1, c] - y * rows[0, c]


@kernel
def way_to_contact(
    points: Reals, normals: Reals, press_mm: Reals, motion: Reals, direction: Reals
) -> float:
    """Length along a motion until the first open spring touches; infinite when none ever does."""
    nearest = np.inf
    for i in range(points.shape[0]):
        x, y, z = points[i, 0], points[i, 1], points[i, 2]
        u, v, w = _moved(direction, x, y, z)
        closing = u * normals[i, 0] + v * normals[i, 1] + w * normals[i, 2]
        if closing <= 1e-9:
            continue
        u, v, w = _moved(motion, x, y, z)
        depth = press_mm[i] + u * normals[i, 0] + v * normals[i, 1] + w * normals[i, 2]
        nearest = min(nearest, max(0.0, -depth / closing))
    return nearest
