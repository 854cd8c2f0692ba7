"""The wall above the trim line's lowest point: level cuts of what is left, piece by piece."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Scalars, Vector, Vertices
from limbwright.core.slicing import Outline
from limbwright.prove.handover import (
    Handed,
    Inside,
    Taken,
    by_angle,
    handed_from_mm,
    inside_of,
    taken,
)
from limbwright.prove.sections import Ring, part_of, wall_ring
from limbwright.prove.shear import stretches
from limbwright.prove.wall import Piece, WallRing, outlines_of
from limbwright.shape.result import SocketShape

STEP_MM = 4.0
"""Greatest distance between the levels looked at: the wall changes fast from one to the next."""
UNDER_EDGE_MM = 1.0
"""The levels stand at least this far from the lowest and the highest point of the trim line."""


@dataclass(frozen=True, slots=True, eq=False)
class _Whole:
    """All of the inside that the limb hands its load to."""

    inside: Inside
    middle_mm: Vector
    taken: Taken

    def handed(self, points_mm: Vertices, areas_mm2: Scalars) -> Handed:
        """The load that enters through some of it."""
        return Handed(self.middle_mm, self.taken, taken(points_mm, areas_mm2, self.middle_mm))


def open_rings(shape: SocketShape, wall_mm: float) -> tuple[WallRing, ...]:
    """The wall above the lowest point of the trim line, where part of it is cut away.

    Each piece of wall carries what the limb hands to it above the level. What stands apart up to
    the trim line bends apart: two tabs are no joint section.

    Parameters
    ----------
    shape : SocketShape
    wall_mm : float

    Returns
    -------
    tuple of WallRing, from the brim down
    """
    trim = shape.trim.points_mm
    if float(np.ptp(trim[:, 2])) < 4.0 * UNDER_EDGE_MM:
        return ()
    levels = _levels(trim)
    cut = list(outlines_of(shape.surface, levels))
    if len(cut) < 2:
        return ()
    rings = [(float(levels[number]), wall_ring(outline, wall_mm)) for number, outline in cut]
    heights = np.array([u_mm for u_mm, _ in rings])
    inside = inside_of(heights[::-1], [outline for _, outline in reversed(cut)], trim)
    whole = _whole(inside, rings[-1][1], handed_from_mm(trim))
    found = (_open_ring(whole, ring, u_mm) for u_mm, ring in rings)
    return tuple(place for place in found if place is not None)


def _levels(trim_mm: Vertices) -> Scalars:
    """Levels from the brim down, no further apart than a step, and one close over each dip.

    In a dip two tabs part: close over it each of them carries its load alone.
    """
    _, heights = by_angle(trim_mm)
    marks = np.unique([*_over_dips(heights), heights.max() - UNDER_EDGE_MM])
    filled = [
        np.linspace(low, high, math.ceil((high - low) / STEP_MM), endpoint=False)
        for low, high in pairwise(marks)
    ]
    return np.append(np.concatenate(filled), marks[-1])[::-1]


def _over_dips(heights: Scalars) -> list[float]:
    """Levels close over each place of a closed line that is the lowest of the gap it lies in."""
    lowest = (heights < np.roll(heights, 1)) & (heights <= np.roll(heights, -1))
    levels = []
    for number in np.flatnonzero(lowest):
        level = float(heights[number]) + UNDER_EDGE_MM
        round_it = np.roll(heights, -number)
        wall = np.flatnonzero(round_it >= level)
        gap = np.delete(round_it, slice(wall[0], wall[-1] + 1)) if len(wall) else round_it
        if len(wall) and gap.min() >= heights[number]:
            levels.append(level)
    return levels


def _whole(inside: Inside, ring: Ring, from_mm: float) -> _Whole:
    """The inside from where the limb hands over its load up to the trim line."""
    points, areas = _strips(inside, ring, from_mm)
    middle = np.einsum("sg,sgi->i", areas, points) / areas.sum()
    return _Whole(inside, middle, taken(points, areas, middle))


def _strips(inside: Inside, ring: Ring, u_mm: float) -> tuple[Vertices, Scalars]:
    """The inside above a level over each segment of a ring, as `Inside.above`."""
    inner = np.split(ring.fibres_mm, 2)[1] + ring.centroid_mm
    after = np.roll(inner, -1, axis=0)
    away = np.linalg.norm(0.5 * (inner + after), axis=1)
    width = np.linalg.norm(after - inner, axis=1) / away
    return inside.above(_angles(ring), width, u_mm)


def _angles(ring: Ring) -> Scalars:
    """Direction of each segment's middle from the limb's axis."""
    middle: Outline = ring.halves_mm + ring.centroid_mm
    return np.arctan2(middle[:, 1], middle[:, 0])


def _open_ring(whole: _Whole, ring: Ring, u_mm: float) -> WallRing | None:
    """What is left of a ring under the trim line; None where nothing is."""
    tops = whole.inside.top_mm(_angles(ring))
    there = tops > u_mm
    if not there.any():
        return None
    points, areas = _strips(whole.inside, ring, u_mm)
    pieces = []
    for segments in stretches(there):
        alone = part_of(ring, _only(segments, len(there)))
        # what twists falls to the edge, so that half of the length counts
        free_mm = 0.5 * float(tops[segments].max() - u_mm)
        pieces.append(Piece(alone, free_mm, whole.handed(points[segments], areas[segments])))
    return WallRing(u_mm, part_of(ring, there), tuple(pieces), whole.handed(points, areas))


def _only(segments: NDArray[np.intp], count: int) -> NDArray[np.bool_]:
    there = np.zeros(count, dtype=bool)
    there[segments] = True
    return there
