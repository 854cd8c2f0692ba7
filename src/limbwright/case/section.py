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

DIRECTIONS: Mapping[str, tuple[float, float]] = {
    "anterior": (0.0, 1.0),
    "anterolateral": (np.sqrt(0.5), np.sqrt(0.5)),
    "lateral": (1.0, 0.0),
    "posterolateral": (np.sqrt(0.5), -np.sqrt(0.5)),
    "posterior": (0.0, -1.0),
    "posteromedial": (-np.sqrt(0.5), -np.sqrt(0.5)),
    "medial": (-1.0, 0.0),
    "anteromedial": (-np.sqrt(0.5), np.sqrt(0.5)),
}
"""Ways from the section's middle, (o, f)."""
HALF_EIGHTH = float(np.cos(np.pi / 8))
"""Cosine of the angle on both sides of a way within which its cover is read."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What lies along one way from the middle of the section; None where there is no socket.

    Parameters
    ----------
    direction : str
        Key of DIRECTIONS.
    space_mm : float or None
        From the liner's outside, as worn and unloaded, to the socket; negative where the socket
        presses in.
    wall_mm : float or None
        Of the socket along this way: more than its thickness where the wall leans.
    cover_mm : float or None
        Least tissue between the skin of this eighth of the section and the nearer of the bones, in
        the plane of the section; None where it meets no bone.
    """

    direction: str
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
    readings : tuple of Reading
    """

    level_mm: float
    outlines: Mapping[str, tuple[Outline, ...]]
    middle_mm: NDArray[np.float64]
    readings: tuple[Reading, ...]


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
    readings = tuple(
        _read(outlines, cut_open, middle, name, np.array(way)) for name, way in DIRECTIONS.items()
    )
    return Section(level_mm, outlines, middle, readings)


def _is_open(wall: Mesh, u_mm: float) -> bool:
    """Whether the trim line cuts a wall away somewhere at a level."""
    return float(slice_moments(wall, np.array([u_mm])).gap_mm[0]) > 0.0


def _read(
    outlines: Mapping[str, tuple[Outline, ...]],
    cut_open: frozenset[str],
    middle: NDArray[np.float64],
    name: str,
    way: NDArray[np.float64],
) -> Reading:
    reach = {
        key: _reach(loops, middle, way, closes=key not in cut_open)
        for key, loops in outlines.items()
    }
    return Reading(
        name,
        _between(reach["liner"], reach["inside"]),
        _between(reach["inside"], reach["outside"]),
        _cover(outlines, middle, way),
    )


def _cover(
    outlines: Mapping[str, tuple[Outline, ...]],
    middle: NDArray[np.float64],
    way: NDArray[np.float64],
) -> float | None:
    """Least distance from the skin within half an eighth of a way to a bone's outline."""
    bones = (*outlines["tibia"], *outlines["fibula"])
    skin = np.concatenate(outlines["skin"]) - middle
    near = skin[skin @ way >= HALF_EIGHTH * np.linalg.norm(skin, axis=1)] + middle
    if not bones or not len(near):
        return None
    return min(float(_to_outline(near, bone).min()) for bone in bones)


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
