"""Stress in the socket's wall at every level where the wall is a closed ring."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from limbwright.assess.iso_10328 import Condition
from limbwright.core.mesh import Mesh
from limbwright.core.slicing import slice_loops, slice_moments
from limbwright.couple.result import Seat
from limbwright.prove.reference_loads import ReferenceLoad
from limbwright.prove.sections import Ring, stress_mpa, wall_ring
from limbwright.prove.strength_tables import Failure
from limbwright.shape.result import SocketShape

STEP_MM = 20.0
"""Greatest distance between the levels looked at; the lowest and the highest are always there."""
FINE_STEP_MM = 2.0
"""Distance between levels where the end of the wall is sought."""
BELOW_TRIM_MM = 5.0
"""The first level stands this far below the lowest point of the trim line."""


@dataclass(frozen=True, slots=True)
class WallStress:
    """The greatest stress in the wall under one loading condition.

    Parameters
    ----------
    condition : Condition
    level_mm : float
        Below the datum.
    stress_mpa : float
        Largest size, tension or compression.
    tension : bool
    angle_deg : float
        Where round the wall, from outward, anti-clockwise.
    """

    condition: Condition
    level_mm: float
    stress_mpa: float
    tension: bool
    angle_deg: float


@dataclass(frozen=True, slots=True, eq=False)
class WallRing:
    """A ring of the wall and its height in the limb frame."""

    u_mm: float
    ring: Ring


def closed_rings(shape: SocketShape, seat: Seat, wall_mm: float) -> tuple[WallRing, ...]:
    """The wall's rings from below the trim line down to where the coupling's boss begins.

    Above, the wall is open behind; below, or where it has closed in to the boss's width, it is
    the distal attachment. Slopes of the wall are not credited with the greater thickness that
    they show in a level cut.

    Parameters
    ----------
    shape : SocketShape
    seat : Seat
    wall_mm : float
    """
    top = float(shape.trim.points_mm[:, 2].min()) - BELOW_TRIM_MM
    boss = seat.face_mm - (seat.mouth_mm + wall_mm) * seat.axis
    bottom = _lowest_wide(shape.surface, top, float(boss[2]), 0.5 * seat.body_diameter_mm)
    if bottom is None:
        return ()
    levels = np.linspace(top, bottom, max(2, math.ceil((top - bottom) / STEP_MM) + 1))
    closed = slice_moments(shape.surface, levels).gap_mm == 0.0
    rings = [_ring(shape.surface, float(u), wall_mm) for u in levels[closed]]
    return tuple(ring for ring in rings if ring is not None)


def worst_stress(
    rings: tuple[WallRing, ...], load: ReferenceLoad, failure: Failure
) -> WallStress | None:
    """The governing level of one condition at the ultimate force of the failure type.

    None when there is no closed ring.
    """
    found = [_stress(ring, load, load.force_n(failure)) for ring in rings]
    return max(found, key=lambda stress: stress.stress_mpa) if found else None


def _lowest_wide(surface: Mesh, top: float, boss: float, radius_mm: float) -> float | None:
    """The lowest level above the boss where the socket is still wider than the boss's body."""
    if boss > top:
        return None
    levels = np.linspace(top, boss, max(2, math.ceil((top - boss) / FINE_STEP_MM) + 1))
    wide = slice_moments(surface, levels).area_mm2 > math.pi * radius_mm**2
    return float(levels[wide].min()) if wide.any() else None


def _ring(surface: Mesh, u_mm: float, wall_mm: float) -> WallRing | None:
    loops = slice_loops(surface, u_mm)
    return WallRing(u_mm, wall_ring(loops[0], wall_mm)) if loops else None


def _stress(place: WallRing, load: ReferenceLoad, force_n: float) -> WallStress:
    ring = place.ring
    centre = np.array([ring.centroid_mm[0], ring.centroid_mm[1], place.u_mm])
    moment = load.moment_about(centre, force_n)
    stress = stress_mpa(ring, force_n * float(load.direction[2]), moment[:2])
    worst = int(np.abs(stress).argmax())
    o_mm, f_mm = ring.fibres_mm[worst]
    return WallStress(
        load.condition,
        -place.u_mm,
        abs(float(stress[worst])),
        bool(stress[worst] > 0.0),
        math.degrees(math.atan2(f_mm, o_mm)) % 360.0,
    )
