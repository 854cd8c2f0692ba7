"""The cross-section of limb and socket at one level: outlines; gap, wall and cover around it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.result import Limb
from limbwright.core.errors import BadInput
from limbwright.core.mesh import Mesh, vertex_normals, with_vertices
from limbwright.core.slicing import slice_loops, slice_moments
from limbwright.shape.result import SocketShape

Outline = NDArray[np.float64]
"""(p, 2) float64, mm, (o, f)."""

DIRECTIONS: Mapping[str, float] = {
    "anterior": 90.0,
    "anterolateral": 45.0,
    "lateral": 0.0,
    "posterolateral": 315.0,
    "posterior": 270.0,
    "posteromedial": 225.0,
    "medial": 180.0,
    "anteromedial": 135.0,
}
"""Ways from the section's middle: their angle from lateral towards anterior, degrees."""
HALF_EIGHTH = float(np.cos(np.pi / 8))
"""Cosine of the angle on both sides of a way within which its cover is read."""
AROUND_DEG = 5.0
"""Step between the ways that are read all around."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What lies along one way from the middle of the section; None where there is no socket.

    Parameters
    ----------
    angle_deg : float
        Of the way, from lateral towards anterior.
    space_mm : float or None
        From the liner's outside, as worn and unloaded, to the socket; negative where the socket
        presses in.
    wall_mm : float or None
        Of the socket along this way: more than its thickness where the wall leans.
    cover_mm : float or None
        Least tissue between the skin of this eighth of the section and the nearer of the bones, in
        the plane of the section; None where it meets no bone.
    """

    angle_deg: float
    space_mm: float | None
    wall_mm: float | None
    cover_mm: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Section:
    """A cross-section of limb and socket, limb frame.

    Parameters
    ----------
    level_mm : float
        Below the mid-patellar tendon.
    outlines : mapping of name to tuple of Outline
        "skin", "liner", "inside" and "outside" of the socket, "tibia", "fibula"; closed but
        for the socket's where the trim line crosses the level.
    middle_mm : (2,) float64
        Middle of the skin's outline, from which the readings count.
    readings : mapping of direction to Reading
        In the DIRECTIONS.
    around : tuple of Reading
        All around, AROUND_DEG apart.
    """

    level_mm: float
    outlines: Mapping[str, tuple[Outline, ...]]
    middle_mm: NDArray[np.float64]
    readings: Mapping[str, Reading]
    around: tuple[Reading, ...]


def section_at(limb: Limb, shape: SocketShape, wall_mm: float, level_mm: float) -> Section:
    """Cut limb and socket at a level.

    Parameters
    ----------
    limb : Limb
    shape : SocketShape
    wall_mm : float
        Thickness of the socket's wall.
    level_mm : float
        Below the mid-patellar tendon.

    Raises
    ------
    BadInput
        When the level misses the limb.
    """
    surface, u_mm = limb.surface, -level_mm
    skin = tuple(slice_loops(surface, u_mm))
    if not skin:
        low, high = surface.vertices[:, 2].min(), surface.vertices[:, 2].max()
        raise BadInput(
            f"There is no limb {level_mm:.0f} mm below the mid-patellar tendon; choose a level"
            f" from {-high:.0f} to {-low:.0f} mm.",
            where="level_mm",
        )
    normals = vertex_normals(surface)
    lined = with_vertices(surface, surface.vertices + shape.liner_mm[:, None] * normals)
    covered = shape.below_trim[surface.faces].all(axis=1)
    rolled = shape.surface.vertices + shape.flare_mm[:, None] * normals
    inside = Mesh(rolled, surface.faces[covered])
    outside = with_vertices(inside, rolled + wall_mm * vertex_normals(inside))
    outlines = {
        "skin": skin,
        "liner": tuple(slice_loops(lined, u_mm)),
        "inside": tuple(slice_loops(inside, u_mm)) if covered.any() else (),
        "outside": tuple(slice_loops(outside, u_mm)) if covered.any() else (),
        "tibia": tuple(slice_loops(limb.bones.tibia, u_mm)),
        "fibula": tuple(slice_loops(limb.bones.fibula, u_mm)),
    }
    middle = 0.5 * (skin[0].min(axis=0) + skin[0].max(axis=0))
    walls = (("inside", inside), ("outside", outside))
    cut_open = frozenset(name for name, wall in walls if outlines[name] and _is_open(wall, u_mm))
    rim = np.concatenate(skin)
    cover_mm = _covers(rim, (*outlines["tibia"], *outlines["fibula"]))

    def read(angle_deg: float) -> Reading:
        angle = np.radians(angle_deg)
        way = np.array([np.cos(angle), np.sin(angle)])
        reach = {
            key: _reach(loops, middle, way, closes=key not in cut_open)
            for key, loops in outlines.items()
        }
        return Reading(
            angle_deg,
            _between(reach["liner"], reach["inside"]),
            _between(reach["inside"], reach["outside"]),
            _cover(rim - middle, cover_mm, way),
        )

    around = tuple(read(float(angle_deg)) for angle_deg in np.arange(0.0, 360.0, AROUND_DEG))
    readings = {name: around[round(angle / AROUND_DEG)] for name, angle in DIRECTIONS.items()}
    return Section(level_mm, outlines, middle, readings, around)


def _is_open(wall: Mesh, u_mm: float) -> bool:
    """Whether the trim line cuts a wall away somewhere at a level."""
    return float(slice_moments(wall, np.array([u_mm])).gap_mm[0]) > 0.0


def _covers(rim: Outline, bones: tuple[Outline, ...]) -> NDArray[np.float64] | None:
    """Distance of each point of the skin from the nearest bone's outline; None without a bone."""
    return np.min([_to_outline(rim, bone) for bone in bones], axis=0) if bones else None


def _cover(
    arms: Outline, cover_mm: NDArray[np.float64] | None, way: NDArray[np.float64]
) -> float | None:
    """Least cover of the skin within half an eighth of a way."""
    near = arms @ way >= HALF_EIGHTH * np.linalg.norm(arms, axis=1)
    return None if cover_mm is None or not near.any() else float(cover_mm[near].min())


def _to_outline(points: NDArray[np.float64], outline: Outline) -> NDArray[np.float64]:
    """Distance of each point from a closed outline's sides."""
    side = np.roll(outline, -1, axis=0) - outline
    gap = points[:, None] - outline
    length2 = np.maximum(np.einsum("ij,ij->i", side, side), 1e-12)
    share = np.clip(np.einsum("kij,ij->ki", gap, side) / length2, 0.0, 1.0)
    away = np.linalg.norm(gap - share[..., None] * side, axis=2)
    return np.asarray(away.min(axis=1), dtype=np.float64)


def _between(near: float | None, far: float | None) -> float | None:
    return None if near is None or far is None else far - near


def _reach(
    loops: tuple[Outline, ...],
    middle: NDArray[np.float64],
    way: NDArray[np.float64],
    *,
    closes: bool,
) -> float | None:
    """How far along a way the last of the outlines is met; None when none is."""
    aside = np.array([-way[1], way[0]])
    farthest: float | None = None
    for loop in loops:
        start, end = loop - middle, np.roll(loop, -1, axis=0) - middle
        if not closes:
            # Straight across from the last point to the first there is no wall.
            start, end = start[:-1], end[:-1]
        left, right = start @ aside, end @ aside
        crossed = (left < 0.0) != (right < 0.0)
        share = left[crossed] / (left[crossed] - right[crossed])
        along = (start[crossed] + share[:, None] * (end[crossed] - start[crossed])) @ way
        if (along > 0.0).any():
            farthest = max(float(along.max()), farthest or 0.0)
    return farthest
