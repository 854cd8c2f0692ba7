"""Stress in the socket's wall at every level, closed below the trim line and open above it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.iso_10328 import Condition
from limbwright.core.mesh import Mesh, Scalars, Vector
from limbwright.core.slicing import Outline, slice_loops, slice_moments
from limbwright.couple.result import Seat
from limbwright.prove.handover import Handed
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
class Piece:
    """Wall in one piece at a level, all of it or between two gaps, and the load that it carries.

    Parameters
    ----------
    ring : Ring
    free_mm : float
        Of an open one: length over which a moment that twists it has built up its warping.
    handed : Handed or None
        What the limb hands to this piece above the level; None for all of the load.
    """

    ring: Ring
    free_mm: float = 0.0
    handed: Handed | None = None

    def carried(self, load: ReferenceLoad, force_n: float, u_mm: float) -> tuple[Vector, Vector]:
        """Force (3,) N and moment (3,) N·mm about the centroid, of a force on the load line."""
        return carried_at(self.handed, load, force_n, np.append(self.ring.centroid_mm, u_mm))


@dataclass(frozen=True, slots=True, eq=False)
class WallRing:
    """A ring of the wall and its height in the limb frame.

    Parameters
    ----------
    u_mm : float
    ring : Ring
        All of the wall at that level.
    pieces : tuple of Piece
        What of it hangs together, each by itself.
    handed : Handed or None
        What the limb hands to the wall above the level; None for all of the load.
    """

    u_mm: float
    ring: Ring
    pieces: tuple[Piece, ...]
    handed: Handed | None = None


def whole_ring(u_mm: float, ring: Ring, free_mm: float = 0.0) -> WallRing:
    """A ring that carries all of the load as one piece, cut by a hole or not."""
    return WallRing(u_mm, ring, (Piece(ring, free_mm),))


def carried_at(
    handed: Handed | None, load: ReferenceLoad, force_n: float, point_mm: Vector
) -> tuple[Vector, Vector]:
    """Force (3,) N and moment about a point (3,) N·mm, of what is handed over or of all."""
    if handed is not None:
        return handed.at(load, force_n, point_mm)
    return force_n * load.direction, load.moment_about(point_mm, force_n)


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
    found = []
    for number, outline in outlines_of(shape.surface, levels):
        wanted = None if keep is None else keep[number]
        if wanted is None or wanted(outline).any():
            ring = wall_ring(outline, wall_mm, wanted)
            found.append(whole_ring(float(levels[number]), ring, half))
    return tuple(found)


def outlines_of(surface: Mesh, levels: Scalars) -> Iterator[tuple[int, Outline]]:
    """Numbers of the levels at which the surface is a closed loop, and that loop."""
    whole = slice_moments(surface, levels).gap_mm == 0.0
    for number in np.flatnonzero(whole):
        loops = slice_loops(surface, float(levels[number]))
        if loops:
            yield int(number), loops[0]


@dataclass(frozen=True, slots=True, eq=False)
class StressRound:
    """Stress at each fibre of a ring under one loading condition.

    Fibres beside a gap take the segment that is there.

    Parameters
    ----------
    place : WallRing
    load : ReferenceLoad
    along_mpa, shear_mpa : (2p,) float64
        σ along the limb, tension positive, and size of τ.
    """

    place: WallRing
    load: ReferenceLoad
    along_mpa: Scalars
    shear_mpa: Scalars

    @property
    def equivalent_mpa(self) -> Scalars:
        """Twice the greatest shear stress at each fibre, (2p,)."""
        return equivalent_mpa(self.along_mpa, self.shear_mpa)

    @property
    def worst(self) -> WallStress:
        """The fibre that is stressed most."""
        ring = self.place.ring
        size = np.where(ring.in_wall, self.equivalent_mpa, 0.0)
        most = int(size.argmax())
        o_mm, f_mm = (float(x) for x in ring.fibres_mm[most] + ring.centroid_mm)
        return WallStress(
            self.load.condition,
            -self.place.u_mm,
            float(size[most]),
            bool(self.along_mpa[most] > 0.0),
            math.degrees(math.atan2(f_mm, o_mm)) % 360.0,
            (o_mm, f_mm, self.place.u_mm),
            float(self.along_mpa[most]),
            float(self.shear_mpa[most]),
            ring.closed,
        )


def stress_rounds(
    rings: Iterable[WallRing], load: ReferenceLoad, failure: Failure
) -> tuple[StressRound, ...]:
    """Each level of one condition at the failure type's ultimate force."""
    force_n = load.force_n(failure)
    return tuple(_stress_round(place, load, force_n) for place in rings)


def stresses(
    rings: Iterable[WallRing], load: ReferenceLoad, failure: Failure
) -> tuple[WallStress, ...]:
    """The greatest stress at each level, as in `stress_rounds`."""
    return tuple(found.worst for found in stress_rounds(rings, load, failure))


def worst_stress(
    rings: tuple[WallRing, ...], load: ReferenceLoad, failure: Failure
) -> WallStress | None:
    """The governing level of one condition at the ultimate force of the failure type.

    None when there is no ring.
    """
    found = stresses(rings, load, failure)
    return max(found, key=lambda stress: stress.stress_mpa) if found else None


def equivalent_mpa(along: Scalars, shear: Scalars) -> Scalars:
    """Twice the greatest shear stress, √(σ² + 4·τ²) (Tresca)."""
    return np.sqrt(along**2 + 4.0 * shear**2)


def _stress_round(place: WallRing, load: ReferenceLoad, force_n: float) -> StressRound:
    along, shear = _stress_of(place.pieces[0], load, force_n, place.u_mm)
    for piece in place.pieces[1:]:
        more_along, more_shear = _stress_of(piece, load, force_n, place.u_mm)
        # two pieces may meet at one point, where the more stressed one counts
        more = equivalent_mpa(more_along, more_shear) > equivalent_mpa(along, shear)
        along = np.where(more, more_along, along)
        shear = np.where(more, more_shear, shear)
    return StressRound(place, load, along, shear)


def _stress_of(
    piece: Piece, load: ReferenceLoad, force_n: float, u_mm: float
) -> tuple[Scalars, Scalars]:
    """σ and size of τ at each fibre, 0 where the piece is not."""
    ring = piece.ring
    force, moment = piece.carried(load, force_n, u_mm)
    twisted = twist_stress(ring, force[:2], float(moment[2]), piece.free_mm)
    along = stress_mpa(ring, float(force[2]), moment[:2])
    along = along + np.tile(_at_points(twisted.warping_mpa, ring.there), 2)
    shear = np.tile(np.maximum(twisted.shear_mpa, np.roll(twisted.shear_mpa, 1)), 2)
    return np.where(ring.in_wall, along, 0.0), np.where(ring.in_wall, shear, 0.0)


def _at_points(segments: Scalars, there: NDArray[np.bool_]) -> Scalars:
    """Mean of the segments on both sides of each point, of those that are there."""
    count = there.astype(float) + np.roll(there, 1)
    total = segments + np.roll(segments, 1)
    return np.asarray(np.divide(total, count, out=np.zeros(len(total)), where=count > 0))


def _lowest_wide(surface: Mesh, top: float, boss: float, radius_mm: float) -> float | None:
    """The lowest level above the boss where the socket is still wider than the boss's body."""
    if boss > top:
        return None
    levels = np.linspace(top, boss, max(2, math.ceil((top - boss) / FINE_STEP_MM) + 1))
    wide = slice_moments(surface, levels).area_mm2 > math.pi * radius_mm**2
    return float(levels[wide].min()) if wide.any() else None


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
