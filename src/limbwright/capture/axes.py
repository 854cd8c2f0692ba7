"""The directions outward, forward and up of a limb, from landmark lines and shape.

Two steps, repeated a few times. The long axis is the direction that best explains the tibial
crest, the fibula and the limb's outer and front contour, each with its usual lean. The turn
about it is the one that best explains where tubercle, tendon, fibular head, medial flare and
lateral tubercle stand around the limb. Everything here treats the limb as a right one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.leg_table import (
    BEARINGS,
    CONTOUR_LEAN,
    CREST_LEAN,
    FIBULA_LEAN,
    LANDMARK_SPREAD_MM,
    Lean,
)
from limbwright.core.errors import InvalidLandmarks, InvalidScan
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices
from limbwright.core.slicing import slice_moments

FORWARD_NAMES = ("mid_patellar_tendon", "tibial_tubercle")
_CREST_NAMES = ("tibial_tubercle", "crest_upper", "crest_lower")
_SHIN_NAMES = ("tibial_tubercle", "crest_upper", "distal_tibia")
_FIBULA_NAMES = ("fibular_head", "distal_fibula")
_DISTAL_NAMES = ("limb_end", "distal_tibia", "distal_fibula", "crest_lower", "crest_upper")
_LEAST_LINE_MM = 15.0
_ROUND_END_MM = 48.0
"""The last part of a limb, where its sections draw in whatever the axis does."""
_PASSES = 4
"""The steps settle to under 0.01 degree in three."""

Axes = NDArray[np.float64]
"""(3, 3) float64, rows o, f, u as unit vectors."""
Points = Mapping[str, Vector]


def first_axes(skin: Mesh, points: Points) -> Axes:
    """Rough axes: long axis of the scan away from its end, forward through tendon or tubercle.

    Parameters
    ----------
    skin : Mesh
        mm, any orientation, the datum landmark at the origin, a left limb mirrored.
    points : mapping of landmark name to (3,) float64, the same frame
    """
    axes = _stood_up(skin.vertices, points)
    for _ in range(_PASSES):
        axes = _spun(axes, _turn_asked(skin, points, axes, FORWARD_NAMES))
    return axes


def refined_axes(skin: Mesh, points: Points, axes: Axes) -> Axes:
    """Axes that best explain all landmarks given; arguments as of `first_axes`.

    Raises
    ------
    InvalidLandmarks
        When neither landmarks nor shape give a long axis.
    InvalidScan
        When the scan does not reach the landmarks' levels.
    """
    for _ in range(_PASSES):
        axes = _tilted(axes, _lean_asked(skin, points, axes))
        axes = _spun(axes, _turn_asked(skin, points, axes, tuple(BEARINGS.value)))
    return axes


def section_middles(skin: Mesh, levels_u_mm: Scalars) -> NDArray[np.float64]:
    """Middle of the area at each level (k,) of u; where a section gapes, of its extent, (k, 2).

    Raises
    ------
    InvalidScan
        When the scan does not reach a level.
    """
    found = slice_moments(skin, levels_u_mm)
    extent = 0.5 * (found.low_mm + found.high_mm)
    whole = (found.gap_mm == 0.0) & (found.area_mm2 > 0.0)
    middles = np.where(whole[:, None], found.centroid_mm, extent)
    if not np.isfinite(middles).all():
        raise InvalidScan(
            "The scan does not reach the mid-patellar-tendon level; check the landmarks' unit"
            " and that the scan covers the knee.",
            where="scan",
        )
    return np.asarray(middles)


def turned(mesh: Mesh, axes: Axes) -> Mesh:
    """A mesh in the given axes, the origin kept."""
    return Mesh(mesh.vertices @ axes.T, mesh.faces)


def _stood_up(vertices: Vertices, points: Points) -> Axes:
    middle = vertices.mean(axis=0)
    spread = vertices - middle
    along = np.linalg.eigh(spread.T @ spread)[1][:, 2]
    distal = [points[name] for name in _DISTAL_NAMES if name in points]
    if distal:
        away = -np.mean(distal, axis=0)
        up = _unit(away) + along * np.sign(along @ away)
    else:
        # the datum stands in the upper half of every scan that reaches below the tubercle
        up = along * -np.sign(along @ middle)
    up = _unit(up)
    near = np.abs(vertices @ up) < _LEAST_LINE_MM
    return _orthonormal(-vertices[near].mean(axis=0) if near.any() else -middle, up)


def _orthonormal(forward: Vector, up: Vector) -> Axes:
    up = _unit(up)
    forward = _unit(forward - (forward @ up) * up)
    return np.stack([np.cross(forward, up), forward, up])


def _unit(direction: Vector) -> Vector:
    length = float(np.linalg.norm(direction))
    if length == 0.0:
        raise InvalidLandmarks(
            "The landmarks stand so that they give no long axis or no front; pick them again.",
            where="landmarks",
        )
    return np.asarray(direction / length)


def _tilted(axes: Axes, lean: NDArray[np.float64]) -> Axes:
    """Axes whose long axis leans on by (outward, forward) per unit of length, upwards."""
    return _orthonormal(axes[1], axes[2] + lean[0] * axes[0] + lean[1] * axes[1])


def _spun(axes: Axes, angle_rad: float) -> Axes:
    forward = np.cos(angle_rad) * axes[1] - np.sin(angle_rad) * axes[0]
    return _orthonormal(forward, axes[2])


def _lean_asked(skin: Mesh, points: Points, axes: Axes) -> NDArray[np.float64]:
    """Lean of the long axis, upwards, that crest, fibula and contour ask for together."""
    local = {name: axes @ p for name, p in points.items()}
    lines = [
        (_crest(local), CREST_LEAN.value),
        (_line(local, _FIBULA_NAMES), FIBULA_LEAN.value),
        (_contour(turned(skin, axes)), CONTOUR_LEAN.value),
    ]
    asked = [_lean(line, usual) for line, usual in lines if line is not None]
    if not asked:
        raise InvalidLandmarks(
            "The limb is too short to find its long axis from its outline; give the landmarks"
            " tibial_tubercle with crest_lower, or fibular_head with distal_fibula.",
            where="landmarks",
            fields={"given": sorted(points)},
        )
    leans, weights = np.array([lean for lean, _ in asked]), np.array([w for _, w in asked])
    return np.asarray((weights * leans).sum(axis=0) / weights.sum(axis=0))


def _lean(line: Vertices, usual: Lean) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Lean (o, f) beyond the usual one, upwards, and the weights that its length earns it."""
    along = line[:, 2] - line[:, 2].mean()
    square = float(along @ along)
    slope = along @ (line[:, :2] - line[:, :2].mean(axis=0)) / square
    expected = -np.tan(np.radians([usual.outward_deg, usual.forward_deg]))
    spread = np.radians([usual.outward_sd_deg, usual.forward_sd_deg]) ** 2
    return slope - expected, 1.0 / (spread + LANDMARK_SPREAD_MM.value**2 / square)


def _line(local: Points, names: Sequence[str]) -> Vertices | None:
    """Landmarks of one line, or None when they span too little to give a direction."""
    found = [local[name] for name in names if name in local]
    if len(found) < 2 or np.ptp(np.array(found)[:, 2]) < _LEAST_LINE_MM:
        return None
    return np.array(found)


def _crest(local: Points) -> Vertices | None:
    """The crest; with too few points on it, the distal tibia stands in, though it rounds off."""
    crest = _line(local, _CREST_NAMES)
    return _line(local, _SHIN_NAMES) if crest is None else crest


def _contour(skin: Mesh) -> Vertices | None:
    """Outermost and foremost line of the limb from below the datum to where its end rounds off."""
    lowest = -float(skin.vertices[:, 2].min()) - _ROUND_END_MM
    if lowest < 10.0 + _LEAST_LINE_MM:
        return None
    levels = -np.linspace(10.0, lowest, 15)
    high = slice_moments(skin, levels).high_mm
    return np.column_stack([high, levels])[np.isfinite(high).all(axis=1)]


def _turn_asked(skin: Mesh, points: Points, axes: Axes, names: Sequence[str]) -> float:
    """Turn about the long axis, rad, that the bearings of the named landmarks ask for."""
    names = [name for name in names if name in points]
    local = np.array([axes @ points[name] for name in names])
    out = local[:, :2] - section_middles(turned(skin, axes), local[:, 2])
    radius = np.hypot(out[:, 0], out[:, 1])
    usual = np.radians([BEARINGS.value[name].angle_deg for name in names])
    spread = np.radians([BEARINGS.value[name].sd_deg for name in names])
    excess = np.arctan2(out[:, 1], out[:, 0]) - usual
    excess = (excess + np.pi) % (2.0 * np.pi) - np.pi
    weight = 1.0 / (spread**2 + (LANDMARK_SPREAD_MM.value / np.maximum(radius, 1.0)) ** 2)
    return float(weight @ excess / weight.sum())
