"""Shear stress in a level cut of the wall, from a force across it and from twisting.

Thin-walled theory: shear flow along the wall's middle (Bredt and Batho), and for an open wall
twisting between its own stiffness and its warping, which the closed wall below holds back
(Vlasov 1961, Thin-walled elastic beams).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Scalars, Vector
from limbwright.core.slicing import Outline
from limbwright.prove.sections import Ring
from limbwright.prove.strength_tables import SHEAR_OF_MODULUS


@dataclass(frozen=True, slots=True, eq=False)
class TwistStress:
    """What shear and twisting raise in a section.

    Parameters
    ----------
    shear_mpa : (p,) float64
        Size, in each segment; 0 where there is no wall.
    warping_mpa : (p,) float64
        Along the limb, tension positive, in each segment: an open wall warps as it twists, and
        the closed wall below holds that back. 0 in a closed wall.
    """

    shear_mpa: Scalars
    warping_mpa: Scalars


_STRAIGHT = 1e-9
"""Of a section's area to the third power: a warping constant of less is rounding."""


def shear_stress_mpa(
    ring: Ring, force_n: Vector, torsion_n_mm: float, free_mm: float = math.inf
) -> Scalars:
    """Size of the shear stress in each segment, as in `twist_stress`."""
    return twist_stress(ring, force_n, torsion_n_mm, free_mm).shear_mpa


def twist_stress(
    ring: Ring, force_n: Vector, torsion_n_mm: float, free_mm: float = math.inf
) -> TwistStress:
    """Shear and warping stress in a section.

    The flow q = −S(s)·κ of a force across the section, κ = (∫ x xᵀ dA)⁻¹ V, begins at zero at a
    free edge. In a closed wall a constant flow is added that makes up the moment. In an open one
    what is left is the moment T about the shear centre. Where the wall is open over a length l
    from the closed one, 1 − 1/cosh(λ·l) of it twists the wall as a strip, τ = T·t/J, and the rest
    is borne by warping: a flow along S_ω and, from the bimoment T·tanh(λ·l)/λ, a stress along the
    limb that goes with ω; λ² = G·J/(E·I_ω).

    Parameters
    ----------
    ring : Ring
    force_n : (2,) float64
        Force across the section, (o, f).
    torsion_n_mm : float
        Moment about the limb's axis at the section's centroid.
    free_mm : float
        Length l of an open wall; without end all of the moment twists it as a strip.
    """
    start, end = _segments(ring)
    flow = _open_flow(ring, force_n)
    twist = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    left = torsion_n_mm - float(flow @ twist)
    nothing = np.zeros(len(flow))
    if ring.closed:
        stress = np.abs(flow + left / float(twist.sum())) / ring.wall_mm
        return TwistStress(np.asarray(stress), nothing)
    strip = torsion_constant_mm4(ring)
    sector, moment, constant = _warping(ring)
    if constant <= _STRAIGHT * ring.area_mm2**3:
        # a straight strip does not warp
        shear = np.abs(flow) / ring.wall_mm + abs(left) * ring.wall_mm / strip
        return TwistStress(np.where(ring.there, shear, 0.0), nothing)
    rate = math.sqrt(SHEAR_OF_MODULUS.value * strip / constant)
    as_strip = 1.0 - 1.0 / math.cosh(min(rate * free_mm, 700.0))
    warped = moment * (left * (1.0 - as_strip) / float(moment @ twist))
    shear = np.abs(flow + warped) / ring.wall_mm + abs(left) * as_strip * ring.wall_mm / strip
    bimoment = left * math.tanh(rate * free_mm) / rate if math.isfinite(free_mm) else 0.0
    return TwistStress(
        np.where(ring.there, shear, 0.0), np.where(ring.there, bimoment * sector / constant, 0.0)
    )


def torsion_constant_mm4(ring: Ring) -> float:
    """Stiffness of the section against twisting: 4·A²·t/s closed (Bredt), Σ s·t³/3 open."""
    start, end = _segments(ring)
    around = float(np.linalg.norm(end - start, axis=1)[ring.there].sum())
    if not ring.closed:
        return around * ring.wall_mm**3 / 3.0
    enclosed = 0.5 * float((start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]).sum())
    return 4.0 * enclosed**2 * ring.wall_mm / around


def warping_constant_mm6(ring: Ring) -> float:
    """∫ ω² dA of an open wall, ω about its shear centre."""
    return _warping(ring)[2]


def shear_centre_mm(ring: Ring) -> Vector:
    """Shear centre of an open wall about its centroid, (2,) mm."""
    start, end = _segments(ring)
    twist = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    aside = float(_open_flow(ring, np.array([0.0, 1.0])) @ twist)
    ahead = -float(_open_flow(ring, np.array([1.0, 0.0])) @ twist)
    return np.array([aside, ahead])


def stretches(there: NDArray[np.bool_]) -> list[NDArray[np.intp]]:
    """Segments of each stretch of wall, in order round it."""
    if there.all():
        return [np.arange(len(there))]
    count = len(there)
    edges = [int(edge) + 1 for edge in np.flatnonzero(there[1:] != there[:-1])]
    if there[0] and there[-1]:
        edges = [*edges[1:], edges[0] + count]
    elif there[0]:
        edges = [0, *edges]
    elif there[-1]:
        edges = [*edges, count]
    spans = zip(edges[::2], edges[1::2], strict=True)
    return [np.arange(start, end) % count for start, end in spans]


def _segments(ring: Ring) -> tuple[Outline, Outline]:
    middle = ring.middle_mm
    return middle, np.roll(middle, -1, axis=0)


def _areas(ring: Ring) -> Scalars:
    start, end = _segments(ring)
    lengths = np.linalg.norm(end - start, axis=1)
    return np.where(ring.there, lengths * ring.wall_mm, 0.0)


def _open_flow(ring: Ring, force_n: Vector) -> Scalars:
    """Shear flow of a force across, N/mm, from a free edge on; the mean over each segment."""
    start, end = _segments(ring)
    slope = np.linalg.solve(ring.second_mm4, force_n)
    return -_summed(ring.there, _areas(ring) * (0.5 * (start + end) @ slope))


def _warping(ring: Ring) -> tuple[Scalars, Scalars, float]:
    """ω of each segment, mm²; its sum from the free edge ∫ ω dA, mm⁴; and ∫ ω² dA, mm⁶."""
    start, end = _segments(ring)
    pole = shear_centre_mm(ring)
    first, second = start - pole, end - pole
    swept = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    sector = _summed(ring.there, swept)
    areas = _areas(ring)
    for stretch in stretches(ring.there):
        sector[stretch] -= sector[stretch] @ areas[stretch] / areas[stretch].sum()
    return sector, _summed(ring.there, sector * areas), float(sector**2 @ areas)


def _summed(there: NDArray[np.bool_], share: Scalars) -> Scalars:
    """Running sum along each stretch from its free edge, at the middle of each segment."""
    total = np.zeros(len(there))
    for stretch in stretches(there):
        part = share[stretch]
        total[stretch] = np.cumsum(part) - 0.5 * part
    return total
