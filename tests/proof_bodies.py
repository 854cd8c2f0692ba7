"""A straight leg with a round socket, on which strength and suspension are known in closed form."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from interface_bodies import capped, revolved
from limbwright.core.mesh import Mesh
from limbwright.couple.plan import CouplingKind

DATUM_MM = 450.0
"""Datum over the floor: the socket's base, 150 mm below it, stands 300 mm high."""
BASE_MM = 150.0
RADIUS_MM = 50.0
AROUND = 180


def round_socket(radius_mm: float = RADIUS_MM, end_mm: float = 107.0) -> Mesh:
    """A tube closed below, from 40 mm above the datum down."""
    heights = np.arange(-end_mm, 41.0, 5.0)
    return capped(revolved(lambda u: np.full_like(u, radius_mm), heights, AROUND), AROUND)


def shape_of(surface: Mesh, trim_u_mm: float = 20.0) -> Any:
    """What the strength and suspension checks read of a socket's shape: a level trim line."""
    ring = np.array([[60.0, 0.0, trim_u_mm], [0.0, 60.0, trim_u_mm], [-60.0, 0.0, trim_u_mm]])
    return SimpleNamespace(surface=surface, model=surface, trim=SimpleNamespace(points_mm=ring))


def seat_at(base_mm: float = BASE_MM, square_mm: float = 36.0, body_mm: float = 60.0) -> Any:
    """A coupling on the limb's axis, its screws square to forward and outward."""
    half = 0.5 * square_mm
    corners = [(half, half), (-half, half), (-half, -half), (half, -half)]
    return SimpleNamespace(
        kind=CouplingKind.MAGNET,
        axis=np.array([0.0, 0.0, -1.0]),
        face_mm=np.array([0.0, 0.0, -base_mm + 42.5]),
        base_mm=np.array([0.0, 0.0, -base_mm]),
        screws_mm=np.array([(o, f, -base_mm) for o, f in corners]),
        body_diameter_mm=body_mm,
        body_height_mm=32.5,
        exit_direction=np.array([-1.0, 0.0, 0.0]),
        mouth_mm=0.0,
    )


def straight_leg(shift_mm: tuple[float, float] = (0.0, 0.0)) -> Any:
    """A leg upright on its ankle; `shift_mm` moves the foot outward and forward."""
    o, f = shift_mm

    def at(height_mm: float, ahead_mm: float = 0.0) -> Any:
        return np.array([o, f + ahead_mm, height_mm - DATUM_MM])

    return SimpleNamespace(
        points_mm={
            "datum": np.zeros(3),
            "ankle": at(80.0),
            "sole_centre": at(0.0, 60.0),
            "pylon_top": at(250.0),
            "pylon_bottom": at(80.0),
        },
        up=np.array([0.0, 0.0, 1.0]),
        forward=np.array([0.0, 1.0, 0.0]),
    )
