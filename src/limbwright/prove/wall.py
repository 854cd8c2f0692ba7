"""Stress in the socket's wall at every level, closed below the trim line and open above it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.iso_10328 import Condition
from limbwright.core.mesh import Mesh, Scalars, Vector, Vertices
from limbwright.core.slicing import Outline, slice_loops, slice_moments
from limbwright.couple.result import Seat
from limbwright.prove.reference_loads import ReferenceLoad
from limbwright.prove.sections import Keep, Ring, stress_mpa, wall_ring
from limbwright.prove.shear import twist_stress
from limbwright.prove.strength_tables import Failure
from limbwright.shape.result import SocketShape

STEP_MM = 8.0
"""Greatest distance between the levels looked at; the lowest and the highest are always there."""
FINE_STEP_MM = 2.0
"""Distance between levels where the end of the wall is sought."""
BELOW_TRIM_MM = 5.0
"""The first closed level stands this far below the lowest point of the trim line."""
UNDER_EDGE_MM = 1.0
"""The open levels stand at least this far from the lowest and the highest point of that line."""
TURN = 2.0 * math.pi


@dataclass(frozen=True, slots=True, eq=False)
class Bore:
    """A round hole through the wall, from a point outward.

    Parameters
    ----------
    start_mm : (3,) float64
    direction : (3,) float64, unit
    diameter_mm : float
    """

    start_mm: Vector
    direction: Vector
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class WallStress:
    """The greatest stress in the wall at one level under one loading condition.

    Parameters
    ----------
    condition : Condition
    level_mm : float
        Below the datum.
    stress_mpa : float
        √(σ² + 4·τ²), twice the greatest shear stress: σ along the limb, τ across and round.
    tension : bool
        Whether σ there pulls.
    angle_deg : float
        Where round the wall about the limb's axis, from outward, anti-clockwise.
    point_mm : tuple of 3 floats
        Where, limb frame.
    along_mpa, shear_mpa : float
        σ, tension positive, and τ there.
    closed : bool
        Whether the wall goes all the way round at this level.
    """

    condition: Condition
    level_mm: float
    stress_mpa: float
    tension: bool
    angle_deg: float
    point_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)
    along_mpa: float = 0.0
    shear_mpa: float = 0.0
    closed: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class WallRing:
    """A ring of the wall and its height in the limb frame.

    Parameters
    ----------
    u_mm : float
    ring : Ring
    share : float
        Part of the load that is still in the wall there.
    free_mm : float
        Of an open ring: length over which a moment that twists it has built up its warping.
    """

    u_mm: float
    ring: Ring
    share: float = 1.0
    free_mm: float = 0.0


def closed_rings(
    shape: SocketShape, seat: Seat, wall_mm: float, bore: Bore | None = None
) -> tuple[WallRing, ...]:
    """The wall's rings from below the trim line down to where the coupling's boss begins.

    Above, the wall is open behind; below, or where it has closed in to the boss's width, it is
    the distal attachment. Slopes of the wall are not credited with the greater thickness that
    they show in a level cut.

    Parameters
    ----------
    shape : SocketShape
    seat : Seat
    wall_mm : float
    bore : Bore, optional
        A hole through the wall, whose levels are looked at too.
    """
    top = float(shape.trim.points_mm[:, 2].min()) - BELOW_TRIM_MM
    boss = seat.face_mm - (seat.mouth_mm + wall_mm) * seat.axis
    bottom = _lowest_wide(shape.surface, top, float(boss[2]), 0.5 * seat.body_diameter_mm)
    if bottom is None:
        return ()
    levels = np.linspace(top, bottom, max(2, math.ceil((top - bottom) / STEP_MM) + 1))
    if bore is not None:
        levels = np.unique(np.append(levels, _levels_of(bore, bottom, top)))[::-1]
    keep = None if bore is None else [beside(bore, float(u)) for u in levels]
    half = 0.0 if bore is None else 0.5 * bore.diameter_mm
    ones = np.ones(len(levels))
    return _rings(shape.surface, levels, wall_mm, keep, ones, half * ones)


def open_rings(shape: SocketShape, wall_mm: float) -> tuple[WallRing, ...]:
    """The wall above the lowest point of the trim line, where part of it is cut away.

    The limb takes the load on its way up, and at the brim's edge nothing is left in the wall: the
    share falls evenly from the lowest to the highest point of the trim line.

    Parameters
    ----------
    shape : SocketShape
    wall_mm : float
    """
    heights = shape.trim.points_mm[:, 2]
    low, high = float(heights.min()), float(heights.max())
    if high - low < 4.0 * UNDER_EDGE_MM:
        return ()
    count = max(2, math.ceil((high - low) / STEP_MM) + 1)
    levels = np.linspace(high - UNDER_EDGE_MM, low + UNDER_EDGE_MM, count)
    keep = [_under(shape.trim.points_mm, float(u)) for u in levels]
    left = high - levels
    # what twists falls evenly to the edge, so that half of the length counts
    return _rings(shape.surface, levels, wall_mm, keep, left / (high - low), 0.5 * left)


def stresses(
    rings: Iterable[WallRing], load: ReferenceLoad, failure: Failure
) -> tuple[WallStress, ...]:
    """The greatest stress at each level of one condition at the failure type's ultimate force."""
    force_n = load.force_n(failure)
    return tuple(_worst_of(place, load, force_n) for place in rings)


def worst_stress(
    rings: tuple[WallRing, ...], load: ReferenceLoad, failure: Failure
) -> WallStress | None:
    """The governing level of one condition at the ultimate force of the failure type.

    None when there is no ring.
    """
    found = stresses(rings, load, failure)
    return max(found, key=lambda stress: stress.stress_mpa) if found else None


def stress_round(place: WallRing, load: ReferenceLoad, force_n: float) -> tuple[Scalars, Scalars]:
    """σ along the limb, tension positive, and size of τ at each fibre of a ring, (2p,) MPa.

    Fibres beside a gap take the segment that is there.
    """
    ring = place.ring
    centre = np.array([ring.centroid_mm[0], ring.centroid_mm[1], place.u_mm])
    force = force_n * load.direction
    moment = load.moment_about(centre, force_n)
    along = stress_mpa(ring, float(force[2]), moment[:2])
    twisted = twist_stress(ring, force[:2], float(moment[2]), place.free_mm)
    before = np.roll(twisted.shear_mpa, 1)
    shear = np.tile(np.maximum(twisted.shear_mpa, before), 2)
    along = along + np.tile(_at_points(twisted.warping_mpa, ring.there), 2)
    return place.share * along, place.share * shear


def _at_points(segments: Scalars, there: NDArray[np.bool_]) -> Scalars:
    """Mean of the segments on both sides of each point, of those that are there."""
    count = there.astype(float) + np.roll(there, 1)
    total = segments + np.roll(segments, 1)
    return np.asarray(np.divide(total, count, out=np.zeros(len(total)), where=count > 0))


def equivalent_mpa(along: Scalars, shear: Scalars) -> Scalars:
    """Twice the greatest shear stress, √(σ² + 4·τ²) (Tresca)."""
    return np.sqrt(along**2 + 4.0 * shear**2)


def _worst_of(place: WallRing, load: ReferenceLoad, force_n: float) -> WallStress:
    ring = place.ring
    along, shear = stress_round(place, load, force_n)
    size = np.where(ring.in_wall, equivalent_mpa(along, shear), 0.0)
    worst = int(size.argmax())
    o_mm, f_mm = (float(x) for x in ring.fibres_mm[worst] + ring.centroid_mm)
    return WallStress(
        load.condition,
        -place.u_mm,
        float(size[worst]),
        bool(along[worst] > 0.0),
        math.degrees(math.atan2(f_mm, o_mm)) % 360.0,
        (o_mm, f_mm, place.u_mm),
        float(along[worst]),
        float(shear[worst]),
        ring.closed,
    )


def _lowest_wide(surface: Mesh, top: float, boss: float, radius_mm: float) -> float | None:
    """The lowest level above the boss where the socket is still wider than the boss's body."""
    if boss > top:
        return None
    levels = np.linspace(top, boss, max(2, math.ceil((top - boss) / FINE_STEP_MM) + 1))
    wide = slice_moments(surface, levels).area_mm2 > math.pi * radius_mm**2
    return float(levels[wide].min()) if wide.any() else None


def _rings(
    surface: Mesh,
    levels: Scalars,
    wall_mm: float,
    keep: list[Keep] | None,
    share: Scalars,
    free_mm: Scalars,
) -> tuple[WallRing, ...]:
    """Rings of the levels at which the surface is a closed loop and some wall is there."""
    whole = slice_moments(surface, levels).gap_mm == 0.0
    found = []
    for number in np.flatnonzero(whole):
        u_mm = float(levels[number])
        loops = slice_loops(surface, u_mm)
        wanted = keep[number] if keep is not None else None
        if not loops or (wanted is not None and not wanted(loops[0]).any()):
            continue
        ring = wall_ring(loops[0], wall_mm, wanted)
        found.append(WallRing(u_mm, ring, float(share[number]), float(free_mm[number])))
    return tuple(found)


def _under(trim_mm: Vertices, u_mm: float) -> Keep:
    """Places of a level that lie under the trim line."""
    angle = np.mod(np.arctan2(trim_mm[:, 1], trim_mm[:, 0]), TURN)
    order = np.argsort(angle)

    def keep(points: Outline) -> NDArray[np.bool_]:
        at = np.mod(np.arctan2(points[:, 1], points[:, 0]), TURN)
        height = np.interp(at, angle[order], trim_mm[order, 2], period=TURN)
        return np.asarray(height > u_mm)

    return keep


def beside(bore: Bore, u_mm: float) -> Keep:
    """Places of a level that a bore leaves."""

    def keep(points: Outline) -> NDArray[np.bool_]:
        from_start = np.column_stack([points, np.full(len(points), u_mm)]) - bore.start_mm
        along = from_start @ bore.direction
        aside = np.linalg.norm(from_start - along[:, None] * bore.direction, axis=1)
        return np.asarray((along <= 0.0) | (aside >= 0.5 * bore.diameter_mm))

    return keep


def _levels_of(bore: Bore, bottom: float, top: float) -> Scalars:
    """Levels through a bore's middle and both flanks, where they lie between two levels."""
    middle = float(bore.start_mm[2])
    flank = 0.35 * bore.diameter_mm
    levels = np.array([middle - flank, middle, middle + flank])
    return levels[(levels > bottom) & (levels < top)]
