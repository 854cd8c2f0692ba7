"""Level cuts of a socket's wall, closed or open, and the stress along the limb in them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Scalars, Vector
from limbwright.core.slicing import Outline

FIBRES = 360
"""Points round the wall: a circle's area is then met within 0.005 %."""

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """A level cut of the wall, square to the limb's axis: closed, or with gaps.

    Between one point round the wall and the next lies a segment; where the trim line or a hole
    takes the wall away, the segment is not there.

    Parameters
    ----------
    area_mm2 : float
    centroid_mm : (2,) float64, (o, f)
    second_mm4 : (2, 2) float64
        ∫ x xᵀ dA about the centroid, x = (o, f).
    fibres_mm : (2p, 2) float64
        Points of the outer and of the inner face about the centroid.
    there : (p,) bool
        Whether the segment from each point to the next is wall.
    wall_mm : float
    """

    area_mm2: float
    centroid_mm: Vector
    second_mm4: Matrix
    fibres_mm: Outline
    there: NDArray[np.bool_]
    wall_mm: float

    @property
    def closed(self) -> bool:
        """Whether the wall goes all the way round."""
        return bool(self.there.all())

    @property
    def middle_mm(self) -> Outline:
        """Middle of the wall at each point about the centroid, (p, 2)."""
        outer, inner = np.split(self.fibres_mm, 2)
        return np.asarray(0.5 * (outer + inner))

    @property
    def halves_mm(self) -> Outline:
        """Middle of each segment about the centroid, (p, 2)."""
        middle = self.middle_mm
        return np.asarray(0.5 * (middle + np.roll(middle, -1, axis=0)))

    @property
    def in_wall(self) -> NDArray[np.bool_]:
        """Whether each fibre bounds a segment that is there, (2p,) bool."""
        return np.tile(self.there | np.roll(self.there, 1), 2)


Keep = Callable[[Outline], NDArray[np.bool_]]
"""Which places (k, 2) of a level cut are wall."""


def wall_ring(inside: Outline, wall_mm: float, keep: Keep | None = None) -> Ring:
    """The wall round an inside outline, of even thickness.

    Exact for the polygon between the outline and its parallel, so that thin, thick, open and
    non-circular walls are all right.

    Parameters
    ----------
    inside : (p, 2) float64, mm, (o, f)
        Inner face, counter-clockwise.
    wall_mm : float
    keep : callable, optional
        Which places of the wall's middle are there; all when not given.

    Raises
    ------
    ValueError
        When the outline encloses nothing, the wall is not positive, or none of it is kept.
    """
    if wall_mm <= 0.0:
        raise ValueError(f"a wall must be thicker than {wall_mm:g} mm")
    inner = _evenly(inside)
    outer = inner + wall_mm * _outward(inner)
    middle = inner.mean(axis=0)
    if polygon_moments(inner - middle)[0] <= 0.0:
        raise ValueError("the outline encloses no area, or runs clockwise")
    halves = 0.25 * (inner + outer + np.roll(inner, -1, axis=0) + np.roll(outer, -1, axis=0))
    there = np.ones(FIBRES, dtype=bool) if keep is None else keep(halves)
    return _ring_of(inner - middle, outer - middle, there, wall_mm, middle)


def part_of(ring: Ring, there: NDArray[np.bool_]) -> Ring:
    """Some segments of a ring by themselves.

    Parameters
    ----------
    ring : Ring
    there : (p,) bool
        Which; at least one.
    """
    outer, inner = np.split(ring.fibres_mm, 2)
    return _ring_of(inner, outer, there, ring.wall_mm, ring.centroid_mm)


def _ring_of(
    inner: Outline, outer: Outline, there: NDArray[np.bool_], wall_mm: float, about: Vector
) -> Ring:
    """The segments that are there between two faces, both told about a point."""
    area, first, second = _strip_moments(inner, outer, there)
    if area <= 0.0:
        raise ValueError("no wall is left at this level")
    centroid = first / area
    second = second - area * np.outer(centroid, centroid)
    fibres = np.concatenate([outer, inner]) - centroid
    return Ring(area, about + centroid, second, fibres, there, wall_mm)


def _strip_moments(
    inner: Outline, outer: Outline, there: NDArray[np.bool_]
) -> tuple[float, Vector, Matrix]:
    """Moments of the segments that are there, each the quadrilateral between both faces."""
    corners = [inner, outer, np.roll(outer, -1, axis=0), np.roll(inner, -1, axis=0)]
    sums = [edge_moments(corners[k][there], corners[(k + 1) % 4][there]) for k in range(4)]
    area, first, second = (sum(part[k] for part in sums) for k in range(3))
    return float(area), np.asarray(first), np.asarray(second)


def polygon_moments(outline: Outline) -> tuple[float, Vector, Matrix]:
    """Area, first and second moments of a polygon about the origin (Green's theorem).

    Parameters
    ----------
    outline : (p, 2) float64, mm
        Counter-clockwise; the last point joins the first.

    Returns
    -------
    area_mm2 : float
    first_mm3 : (2,) float64
        ∫ x dA.
    second_mm4 : (2, 2) float64
        ∫ x xᵀ dA.
    """
    return edge_moments(outline, np.roll(outline, -1, axis=0))


def edge_moments(start: Outline, end: Outline) -> tuple[float, Vector, Matrix]:
    """Parts of a polygon's moments that its edges (k, 2) give, as in `polygon_moments`."""
    cross = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    total = start + end
    area = 0.5 * float(cross.sum())
    first = (cross @ total) / 6.0
    weighted = start.T * cross @ start + end.T * cross @ end + total.T * cross @ total
    return area, first, weighted / 24.0


def stress_mpa(ring: Ring, force_u_n: float, moment_n_mm: Vector) -> Scalars:
    """Stress along the limb's axis at each fibre, tension positive, (2p,) MPa.

    σ = N/A + x·κ with ∫ x xᵀ dA κ = the moment about each axis: bending about any axis of a
    section without symmetry (Euler and Bernoulli).

    Parameters
    ----------
    ring : Ring
    force_u_n : float
        Force that the part below exerts on the part above, along u: pushing up is positive.
    moment_n_mm : (2,) float64
        Its moment about o and f at the ring's centroid.
    """
    # the lower part pulls the cut face down by σ: r × (−σ û) = σ·(−f, o)
    bending = np.array([moment_n_mm[1], -moment_n_mm[0]])
    slope = np.linalg.solve(ring.second_mm4, bending)
    return np.asarray(ring.fibres_mm @ slope - force_u_n / ring.area_mm2, dtype=np.float64)


def tube_section(outside_mm: float, wall_mm: float) -> tuple[float, float]:
    """Area, mm², and section modulus, mm³, of a round tube.

    Raises
    ------
    ValueError
        When the wall fills the tube.
    """
    inside_mm = outside_mm - 2.0 * wall_mm
    if inside_mm < 0.0:
        raise ValueError(f"a tube of {outside_mm:g} mm has no wall of {wall_mm:g} mm")
    second = math.pi / 64.0 * (outside_mm**4 - inside_mm**4)
    return math.pi / 4.0 * (outside_mm**2 - inside_mm**2), second / (0.5 * outside_mm)


def _evenly(outline: Outline) -> Outline:
    """The outline with its points spaced evenly along it, (FIBRES, 2)."""
    closed = np.concatenate([outline, outline[:1]])
    steps = np.hypot(*np.diff(closed, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0.0, along[-1], FIBRES, endpoint=False)
    return np.column_stack([np.interp(at, along, closed[:, axis]) for axis in (0, 1)])


def _outward(outline: Outline) -> Outline:
    """Unit normals of a counter-clockwise outline."""
    ahead = np.roll(outline, -1, axis=0) - np.roll(outline, 1, axis=0)
    normal = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    unit = np.divide(normal, length, out=np.zeros_like(normal), where=length > 0)
    return np.asarray(unit, dtype=np.float64)
