"""Global take-up: how much narrower than the limb the socket is, by level, in percent of girth.

Girth and radius fall by the same percent; the section's area falls by 1 - (1 - p)^2. Moving a
convex upright wall inward by d shortens its outline by 2 pi d, whatever its shape (Steiner),
so a girth C falls by p when the wall moves p C / (2 pi) at constant level.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from limbwright.core.errors import InvalidCase, InvalidScan
from limbwright.core.mesh import Mesh, Scalars, with_vertices
from limbwright.core.slicing import slice_moments
from limbwright.shape.basis import ShapeBasis
from limbwright.shape.plan import TakeUpPoint

LEVEL_STEP_MM = 4.0
UPRIGHT = 0.8
"""Share of level motion in the normal below which a section is the end's cap, not a girth."""


def take_up_percent(points: tuple[TakeUpPoint, ...], levels_mm: Scalars) -> Scalars:
    """Take-up at levels, (k,) percent of girth: smooth and monotone between the points.

    Beyond the first and last point it stays constant; without points it is 0.

    Raises
    ------
    InvalidCase
        When a level stands twice.
    """
    levels = np.asarray(levels_mm, dtype=np.float64)
    ordered = sorted(points, key=lambda point: point.level_mm)
    at = np.array([point.level_mm for point in ordered])
    percent = np.array([point.girth_percent for point in ordered])
    if len(at) > 1 and (np.diff(at) == 0).any():
        twice = at[:-1][np.diff(at) == 0][0]
        raise InvalidCase([("shape.take_up", f"level {twice:g} mm stands twice; keep one")])
    if len(at) == 0:
        return np.zeros_like(levels)
    if len(at) == 1:
        return np.full_like(levels, percent[0])
    curve = PchipInterpolator(at, percent)
    return np.asarray(curve(np.clip(levels, at[0], at[-1])), dtype=np.float64)


def inward_mm(girth_mm: Scalars, percent: Scalars) -> Scalars:
    """How far the wall moves in at constant level for a girth to fall by a percent, mm."""
    return np.asarray(girth_mm * percent / 100.0 / (2.0 * np.pi), dtype=np.float64)


def section_loss_percent(percent: float) -> float:
    """How much section area a fall in girth takes with it, percent."""
    return 100.0 * (1.0 - (1.0 - percent / 100.0) ** 2)


def take_up_offset(
    basis: ShapeBasis, lined: Mesh, points: tuple[TakeUpPoint, ...]
) -> NDArray[np.float64]:
    """Offset along the normals that takes the girths up, (n,) mm, negative inward.

    Offset = inward motion at constant level times the normal's level share, so that it dies
    away on the end face by itself: the length of the socket is not taken up. The motion by
    level is then corrected once by what the girths of the moved surface miss.

    Parameters
    ----------
    basis : ShapeBasis
    lined : Mesh
        The limb with its liner on, over the topology of the limb's surface.
    points : tuple of TakeUpPoint
    """
    if not any(point.girth_percent for point in points):
        return np.zeros(len(lined.vertices))
    levels_u = whole_levels(lined)
    percent = take_up_percent(points, -levels_u)
    girth = slice_moments(lined, levels_u).perimeter_mm
    own_level = lined.vertices[:, 2]
    share = np.interp(levels_u, *_mean_by_level(own_level, basis.level_share))
    trusted = np.clip((share - UPRIGHT) / (1.0 - UPRIGHT) * 2.0, 0.0, 1.0)
    motion = inward_mm(girth, percent)
    offset = -np.interp(own_level, levels_u, motion) * basis.level_share
    moved = with_vertices(lined, lined.vertices + offset[:, None] * basis.normals)
    now = slice_moments(moved, levels_u).perimeter_mm
    missing = (now - girth * (1.0 - percent / 100.0)) / (2.0 * np.pi)
    motion = motion + trusted * missing
    return np.asarray(-np.interp(own_level, levels_u, motion) * basis.level_share, dtype=np.float64)


def whole_levels(surface: Mesh) -> Scalars:
    """Values of u, rising, from the end up to the last section that closes, mm.

    Raises
    ------
    InvalidScan
        When not even the lowest section closes.
    """
    low, high = surface.vertices[:, 2].min(), surface.vertices[:, 2].max()
    levels = np.arange(low + 0.5 * LEVEL_STEP_MM, high, LEVEL_STEP_MM)
    gaps = slice_moments(surface, levels).gap_mm
    broken = np.flatnonzero(gaps > 0.0)
    whole = levels[: broken[0]] if len(broken) else levels
    if len(whole) == 0:
        raise InvalidScan("The limb's surface is open at its end; close the hole in the scan.")
    return whole


def _mean_by_level(own_level: Scalars, values: Scalars) -> tuple[Scalars, Scalars]:
    """Mean of values in bands of one level step: band middles and means, rising."""
    band = np.floor((own_level - own_level.min()) / LEVEL_STEP_MM).astype(np.int64)
    count = np.bincount(band)
    filled = count > 0
    mean = np.bincount(band, values)[filled] / count[filled]
    middle = own_level.min() + (np.flatnonzero(filled) + 0.5) * LEVEL_STEP_MM
    return middle, mean


def girths_at(surface: Mesh, levels_mm: Scalars) -> Scalars:
    """Girths of a surface at levels below the mid-patellar tendon, (k,) mm."""
    return slice_moments(surface, -np.asarray(levels_mm, dtype=np.float64)).perimeter_mm
