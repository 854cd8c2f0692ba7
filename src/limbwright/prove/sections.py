"""Cross-sections of a socket's wall as rings, and the stress that a load raises in them."""

from __future__ import annotations

import math
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
    """A closed ring of wall, cut square to the limb's axis.

    Parameters
    ----------
    area_mm2 : float
    centroid_mm : (2,) float64, (o, f)
    second_mm4 : (2, 2) float64
        ∫ x xᵀ dA about the centroid, x = (o, f).
    fibres_mm : (2p, 2) float64
        Points of the outer and of the inner face about the centroid.
    """

    area_mm2: float
    centroid_mm: Vector
    second_mm4: Matrix
    fibres_mm: Outline


def wall_ring(inside: Outline, wall_mm: float) -> Ring:
    """The wall round an inside outline, of even thickness.

    Exact for the polygon between the outline and its parallel, so that thin, thick and
    non-circular walls are all right.

    Parameters
    ----------
    inside : (p, 2) float64, mm, (o, f)
        Inner face, counter-clockwise.
    wall_mm : float

    Raises
    ------
    ValueError
        When the outline encloses nothing or the wall is not positive.
    """
    if wall_mm <= 0.0:
        raise ValueError(f"a wall must be thicker than {wall_mm:g} mm")
    inner = _evenly(inside)
    outer = inner + wall_mm * _outward(inner)
    middle = inner.mean(axis=0)
    big, small = polygon_moments(outer - middle), polygon_moments(inner - middle)
    area = big[0] - small[0]
    if small[0] <= 0.0 or area <= 0.0:
        raise ValueError("the outline encloses no area, or runs clockwise")
    centroid = (big[1] - small[1]) / area
    second = big[2] - small[2] - area * np.outer(centroid, centroid)
    fibres = np.concatenate([outer, inner]) - middle - centroid
    return Ring(area, middle + centroid, second, fibres)


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
    after = np.roll(outline, -1, axis=0)
    cross = outline[:, 0] * after[:, 1] - outline[:, 1] * after[:, 0]
    total = outline + after
    area = 0.5 * float(cross.sum())
    first = (cross @ total) / 6.0
    weighted = outline.T * cross @ outline + after.T * cross @ after + total.T * cross @ total
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
