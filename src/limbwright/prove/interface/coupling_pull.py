"""How a coupling's pull is spread over the limb's outer surface: one rule for every fine engine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.couple.plan import CouplingKind
from limbwright.couple.result import Seat

BY_AIR = (CouplingKind.SUCTION, CouplingKind.VACUUM)
"""Couplings that draw on the whole distal surface and not on the liner's cap."""
_DISTAL_FACING = float(np.cos(np.deg2rad(45.0)))
"""As the distal end is read."""


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """Pieces of the outer surface of tissue and liner.

    Parameters
    ----------
    points_mm : (n, 3) float64, limb frame
    normals : (n, 3) float64, unit, outward
    areas_mm2 : (n,) float64
        What of each piece the socket covers.
    lowest_mm : (3,) float64, limb frame
        Lowest point of the surface, which pieces' middles miss.
    """

    points_mm: Vertices
    normals: Vertices
    areas_mm2: Scalars
    lowest_mm: Vector


def pull_of_one_newton(surface: Surface, seat: Seat | None, cap_radius_mm: float) -> Vertices:
    """Forces on the pieces when the coupling pulls with 1 N along its axis, (n, 3).

    Suction and vacuum draw evenly on the covered surface of the distal half that faces within 45
    degrees of the axis, along its normals. Any other coupling holds the liner's cap: what of that
    surface lies within the cap's radius of the axis is drawn along it, by its area across. Where
    nothing does, the nearest piece takes it all. Without a seat the limb's lowest place is the
    cap's middle and the pull is straight down.

    Parameters
    ----------
    surface : Surface
    seat : Seat or None
    cap_radius_mm : float
    """
    points = surface.points_mm
    down = np.array([0.0, 0.0, -1.0]) if seat is None else seat.axis
    at = surface.lowest_mm if seat is None else seat.cap_mm
    across = surface.normals @ down
    distal = _distal_half(surface, down) & (across > _DISTAL_FACING)
    if seat is not None and seat.kind in BY_AIR:
        force = (surface.areas_mm2 * distal)[:, None] * surface.normals
    else:
        away = np.linalg.norm(np.cross(points - at, down), axis=1)
        held = surface.areas_mm2 * across * (distal & (away <= cap_radius_mm))
        force = np.outer(held, down)
    along = float((force @ down).sum())
    if along > 0.0:
        return force / along
    return _all_on_the_nearest(points, at, down)


def _distal_half(surface: Surface, down: Vector) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    height = surface.points_mm @ down
    middle = float(surface.areas_mm2 @ height) / max(float(surface.areas_mm2.sum()), 1e-12)
    return np.asarray(height > middle)


def _all_on_the_nearest(points: Vertices, at: Vector, down: Vector) -> Vertices:
    force = np.zeros_like(points)
    force[np.linalg.norm(points - at, axis=1).argmin()] = down
    return force
