"""The skin of the demo body as a mesh: rings of rays from inside, each cut at the skin."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.core.errors import NotConverged
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices
from limbwright.demo.body import LIMB_END_U_MM, TOP_U_MM, skin_distance

_FAN_U_MM = -95.0
"""Above it rays leave the axis level by level; below it they fan out from one point."""
_AXIS_MM = (8.0, -7.0)
_ON_SKIN_MM = 1e-6
_MOST_STEPS = 60
_REACH_MM = 130.0
"""Farther from the axis than any skin."""


def cut(origins: Vertices, directions: Vertices) -> Vertices:
    """Points where rays from inside leave the body.

    Parameters
    ----------
    origins, directions : (n, 3) float64; directions of unit length

    Returns
    -------
    (n, 3) float64, mm

    Raises
    ------
    NotConverged
        When a ray does not start inside or not end outside.
    """
    near, far = np.zeros(len(origins)), np.full(len(origins), _REACH_MM)
    low, high = skin_distance(origins), skin_distance(origins + _REACH_MM * directions)
    if not ((low < 0.0) & (high > 0.0)).all():
        raise NotConverged("a ray of the demo body does not cross its skin")
    at = far.copy()
    todo = np.arange(len(origins))
    for _ in range(_MOST_STEPS):
        # false position; the end that stays counts half, so that both ends close in (Illinois)
        n, f, a, b = near[todo], far[todo], low[todo], high[todo]
        new = f - b * (f - n) / (b - a)
        value = skin_distance(origins[todo] + new[:, None] * directions[todo])
        inside = value < 0.0
        at[todo] = new
        near[todo], far[todo] = np.where(inside, new, n), np.where(inside, f, new)
        low[todo] = np.where(inside, value, 0.5 * a)
        high[todo] = np.where(inside, 0.5 * b, value)
        todo = todo[np.abs(value) > _ON_SKIN_MM]
        if len(todo) == 0:
            return np.asarray(origins + at[:, None] * directions)
    raise NotConverged("the skin of the demo body was not found to the accuracy asked for")


def skin_mesh(spacing_mm: float, around: int) -> Mesh:
    """Skin of the demo body, open at the top, wound outward.

    Parameters
    ----------
    spacing_mm : float
        Between rings.
    around : int
        Vertices in a ring.
    """
    vertices = cut(*_rays(spacing_mm, around))
    return Mesh(vertices, _ring_faces((len(vertices) - 1) // around, around))


def _rays(spacing_mm: float, around: int) -> tuple[Vertices, Vertices]:
    """Rays level by level down the axis, then fanning out from its lowest point, then the pole."""
    levels = round((TOP_U_MM - _FAN_U_MM) / spacing_mm)
    fan = round(0.25 * np.pi * (_FAN_U_MM - LIMB_END_U_MM + 45.0) / spacing_mm)
    ring = np.repeat(np.arange(float(levels + fan)), around)
    angle = np.tile(np.arange(around) * (2.0 * np.pi / around), levels + fan)
    height = np.maximum(TOP_U_MM - ring * (TOP_U_MM - _FAN_U_MM) / levels, _FAN_U_MM)
    dip = np.clip((ring - levels) / fan, 0.0, None) * (0.5 * np.pi)
    origins = np.column_stack([np.tile(_AXIS_MM, (ring.size, 1)), height])
    pole = np.array([[*_AXIS_MM, _FAN_U_MM]])
    return (
        np.concatenate([origins, pole]),
        np.concatenate([_directions(angle, dip), [[0.0, 0.0, -1.0]]]),
    )


def _directions(angle: Scalars, dip: Scalars) -> Vertices:
    return np.column_stack([np.cos(dip) * np.cos(angle), np.cos(dip) * np.sin(angle), -np.sin(dip)])


def _ring_faces(count: int, around: int) -> NDArray[np.int32]:
    """Faces between rings, and a fan from the last ring to the pole."""
    here = np.arange(around)
    after = np.roll(here, -1)
    base = around * np.arange(count - 1)[:, None]
    lower = base + around
    last = around * (count - 1)
    parts = [
        np.stack([base + here, lower + here, lower + after], axis=2).reshape(-1, 3),
        np.stack([base + here, lower + after, base + after], axis=2).reshape(-1, 3),
        np.stack([last + here, np.full(around, around * count), last + after], axis=1),
    ]
    return np.concatenate(parts).astype(np.int32)


def skin_point(inside: Vector, direction: Vector) -> Vector:
    """Point of the skin from a point inside along a direction, (3,) mm."""
    way = np.asarray(direction, dtype=np.float64)
    way = way / np.linalg.norm(way)
    return np.array(cut(np.asarray(inside, dtype=np.float64)[None], way[None])[0])
