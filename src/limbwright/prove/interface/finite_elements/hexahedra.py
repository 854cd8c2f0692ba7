"""Eight-node bricks of nearly incompressible neo-Hooke tissue that do not lock.

Displacement is trilinear, pressure constant in each element: it follows from the element's mean
change of volume (mean dilatation; Nagtegaal, Parks and Rice 1974, Comput Methods Appl Mech Eng
4:153; Simo, Taylor and Pister 1985, ibid. 51:177). With J the change of volume at a place, J̄ its
mean over the element and b̄ = J^(-2/3) F Fᵀ,

    energy = V (κ/2) (J̄ - 1)² + ∫ (μ/2) (tr b̄ - 3) dV.

At zero displacement the tangent is the stiffness of linear elasticity with shear modulus μ and
bulk modulus κ.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Scalars, Vertices

Hexahedra = NDArray[np.int32]
"""(m, 8) int32: corners, the lower face counter-clockwise seen from above, then the upper."""

CORNERS = np.array(
    [
        [-1, -1, -1],
        [1, -1, -1],
        [1, 1, -1],
        [-1, 1, -1],
        [-1, -1, 1],
        [1, -1, 1],
        [1, 1, 1],
        [-1, 1, 1],
    ],
    dtype=np.float64,
)
"""Of the reference cube, in the order of `Hexahedra`."""
_THREADS = 2
_CHUNK = 512
"""Elements to a piece of work: the result does not depend on how pieces fall to threads."""


@dataclass(frozen=True, slots=True, eq=False)
class Bricks:
    """A body of bricks, ready to answer displacements.

    Parameters
    ----------
    hexahedra : (m, 8) int32
    gradients : (m, 8, 8, 3) float64, 1/mm
        Of the corner functions (third axis) at the quadrature points (second axis), undeformed.
    weights_mm3 : (m, 8) float64
        Volume that each quadrature point stands for.
    shear_mpa, bulk_mpa : (m,) float64
    """

    hexahedra: Hexahedra
    gradients: NDArray[np.float64]
    weights_mm3: NDArray[np.float64]
    shear_mpa: Scalars
    bulk_mpa: Scalars


class Response(NamedTuple):
    """How bricks answer a displacement.

    Parameters
    ----------
    force_n : (m, 24) float64, N
        Internal force of each element on its corners, (corner, axis) flattened.
    tangent : (m, 24, 24) float64, N/mm, or (0, 24, 24) when not asked for
    pressure_mpa : (m,) float64
        κ (1 - J̄), positive when compressed.
    smallest_change : (m,) float64
        Smallest J of each element; not positive = turned inside out.
    """

    force_n: NDArray[np.float64]
    tangent: NDArray[np.float64]
    pressure_mpa: Scalars
    smallest_change: Scalars


def moduli_mpa(young_mpa: float, poisson: float) -> tuple[float, float]:
    """Shear and bulk modulus, μ = E / 2(1 + ν) and κ = E / 3(1 - 2ν).

    Examples
    --------
    >>> shear, bulk = moduli_mpa(0.2, 0.45)
    >>> round(shear, 5), round(bulk, 5)
    (0.06897, 0.66667)
    """
    return young_mpa / (2 * (1 + poisson)), young_mpa / (3 * (1 - 2 * poisson))


def bricks_of(
    nodes_mm: Vertices, hexahedra: Hexahedra, shear_mpa: Scalars, bulk_mpa: Scalars
) -> Bricks:
    """Prepare a body of bricks.

    Parameters
    ----------
    nodes_mm : (n, 3) float64, mm
    hexahedra : (m, 8) int32
    shear_mpa, bulk_mpa : (m,) float64, or one number for all

    Raises
    ------
    ValueError
        When an element is turned inside out at a quadrature point: names the first.
    """
    count = len(hexahedra)
    corners = reals(nodes_mm[hexahedra])
    gradients = np.empty((count, 8, 8, 3))
    weights = np.empty((count, 8))
    _shape_gradients(corners, reals(_reference_gradients()), gradients, weights)
    bad = np.flatnonzero(weights.min(axis=1) <= 0.0) if count else np.zeros(0, np.intp)
    if len(bad):
        place = corners[bad[0]].mean(axis=0)
        raise ValueError(f"element {bad[0]} is turned inside out at {np.round(place, 1)} mm")
    return Bricks(
        indices(hexahedra),
        reals(gradients),
        reals(weights),
        reals(np.broadcast_to(shear_mpa, (count,))),
        reals(np.broadcast_to(bulk_mpa, (count,))),
    )


def respond(bricks: Bricks, displacement_mm: Vertices, *, tangent: bool = True) -> Response:
    """Internal forces, tangent stiffness and pressure at a displacement.

    Parameters
    ----------
    bricks : Bricks
    displacement_mm : (n, 3) float64, mm
    tangent : bool
        Whether the stiffness is wanted.
    """
    count = len(bricks.hexahedra)
    moved = reals(displacement_mm)
    force = np.zeros((count, 24))
    stiffness = np.zeros((count if tangent else 0, 24, 24))
    pressure, smallest = np.zeros(count), np.zeros(count)

    def work(start: int) -> None:
        end = min(start + _CHUNK, count)
        _respond(
            reals(bricks.gradients[start:end]),
            reals(bricks.weights_mm3[start:end]),
            indices(bricks.hexahedra[start:end]),
            reals(bricks.shear_mpa[start:end]),
            reals(bricks.bulk_mpa[start:end]),
            moved,
            force[start:end],
            stiffness[start:end],
            pressure[start:end],
            smallest[start:end],
        )

    with ThreadPoolExecutor(_THREADS) as pool:
        for done in [pool.submit(work, start) for start in range(0, count, _CHUNK)]:
            done.result()
    return Response(force, stiffness, pressure, smallest)


def stored_energy_n_mm(bricks: Bricks, displacement_mm: Vertices) -> float:
    """Energy stored at a displacement, N·mm."""
    moved = displacement_mm[bricks.hexahedra]
    stretch = np.eye(3) + np.einsum("mai,mqaj->mqij", moved, bricks.gradients)
    change = np.linalg.det(stretch)
    volume = bricks.weights_mm3.sum(axis=1)
    mean = (bricks.weights_mm3 * change).sum(axis=1) / volume
    trace = change ** (-2 / 3) * np.einsum("mqij,mqij->mq", stretch, stretch)
    shape = 0.5 * bricks.shear_mpa * (bricks.weights_mm3 * (trace - 3.0)).sum(axis=1)
    return float((shape + 0.5 * bricks.bulk_mpa * volume * (mean - 1.0) ** 2).sum())


def _reference_gradients() -> NDArray[np.float64]:
    """Gradients of the corner functions at the 2 × 2 × 2 Gauss points, (8, 8, 3)."""
    points = CORNERS / np.sqrt(3.0)
    lines = 1.0 + CORNERS * points[:, None, :]
    return np.stack(
        [
            CORNERS[:, axis] * lines[..., (axis + 1) % 3] * lines[..., (axis + 2) % 3] / 8
            for axis in range(3)
        ],
        axis=-1,
    )


@kernel
def _shape_gradients(
    corners: NDArray[np.float64],
    reference: NDArray[np.float64],
    gradients: NDArray[np.float64],
    weights: NDArray[np.float64],
) -> None:
    jacobian = np.empty((3, 3))
    inverse = np.empty((3, 3))
    for e in range(corners.shape[0]):
        for q in range(8):
            jacobian[:] = 0.0
            for a in range(8):
                for i in range(3):
                    for k in range(3):
                        jacobian[i, k] += corners[e, a, i] * reference[q, a, k]
            determinant = _invert(jacobian, inverse)
            weights[e, q] = determinant
            for a in range(8):
                for i in range(3):
                    gradients[e, q, a, i] = (
                        reference[q, a, 0] * inverse[0, i]
                        + reference[q, a, 1] * inverse[1, i]
                        + reference[q, a, 2] * inverse[2, i]
                    )


@kernel
def _invert(a: NDArray[np.float64], out: NDArray[np.float64]) -> float:
    """Inverse of a 3 × 3 matrix; returns its determinant."""
    c0 = a[1, 1] * a[2, 2] - a[1, 2] * a[2, 1]
    c1 = a[1, 2] * a[2, 0] - a[1, 0] * a[2, 2]
    c2 = a[1, 0] * a[2, 1] - a[1, 1] * a[2, 0]
    determinant = a[0, 0] * c0 + a[0, 1] * c1 + a[0, 2] * c2
    # an element without volume is told by its determinant, not by a division
    over = 1.0 / determinant if determinant != 0.0 else 0.0
    out[0, 0], out[1, 0], out[2, 0] = c0 * over, c1 * over, c2 * over
    out[0, 1] = (a[0, 2] * a[2, 1] - a[0, 1] * a[2, 2]) * over
    out[1, 1] = (a[0, 0] * a[2, 2] - a[0, 2] * a[2, 0]) * over
    out[2, 1] = (a[0, 1] * a[2, 0] - a[0, 0] * a[2, 1]) * over
    out[0, 2] = (a[0, 1] * a[1, 2] - a[0, 2] * a[1, 1]) * over
    out[1, 2] = (a[0, 2] * a[1, 0] - a[0, 0] * a[1, 2]) * over
    out[2, 2] = (a[0, 0] * a[1, 1] - a[0, 1] * a[1, 0]) * over
    return float(determinant)


@kernel
def _respond(
    gradients: NDArray[np.float64],
    weights: NDArray[np.float64],
    hexahedra: NDArray[np.int32],
    shear: NDArray[np.float64],
    bulk: NDArray[np.float64],
    displacement: NDArray[np.float64],
    force: NDArray[np.float64],
    stiffness: NDArray[np.float64],
    pressure: NDArray[np.float64],
    smallest: NDArray[np.float64],
) -> None:
    """Force and tangent element by element.

    With g the gradients of the corner functions in the deformed body, τ' the deviatoric Kirchhoff
    stress and p = κ (J̄ - 1): force = Σ w (τ' + p J) g. The tangent's terms are rank-two updates
    of 24 × 24 but for two: g_c ⊗ g_a, and the geometric one on the diagonal of each block.
    """
    f = np.empty((8, 3, 3))
    change = np.empty(8)
    g = np.empty((8, 24))
    inverse = np.empty((3, 3))
    stress = np.empty((3, 3))
    h = np.empty(24)
    across = np.empty((8, 3))
    mean = np.empty(24)
    for e in range(weights.shape[0]):
        volume = 0.0
        swollen = 0.0
        least = np.inf
        for q in range(8):
            for i in range(3):
                for k in range(3):
                    s = 1.0 if i == k else 0.0
                    for a in range(8):
                        s += displacement[hexahedra[e, a], i] * gradients[e, q, a, k]
                    f[q, i, k] = s
            change[q] = _invert(f[q], inverse)
            least = min(least, change[q])
            volume += weights[e, q]
            swollen += weights[e, q] * change[q]
            for a in range(8):
                for i in range(3):
                    g[q, 3 * a + i] = (
                        gradients[e, q, a, 0] * inverse[0, i]
                        + gradients[e, q, a, 1] * inverse[1, i]
                        + gradients[e, q, a, 2] * inverse[2, i]
                    )
        smallest[e] = least
        p = bulk[e] * (swollen / volume - 1.0)
        pressure[e] = -p
        if least <= 0.0:
            continue
        mean[:] = 0.0
        for q in range(8):
            w = weights[e, q]
            j = change[q]
            m = shear[e] * j ** (-2.0 / 3.0)
            trace = 0.0
            for i in range(3):
                for k in range(3):
                    stress[i, k] = m * (
                        f[q, i, 0] * f[q, k, 0] + f[q, i, 1] * f[q, k, 1] + f[q, i, 2] * f[q, k, 2]
                    )
                trace += stress[i, i]
            for i in range(3):
                stress[i, i] -= trace / 3.0
            pj = p * j
            c_transposed = (trace / 1.5 - 2.0 * pj) / 2.0
            c_plain = pj - 2.0 * trace / 9.0
            for a in range(8):
                for i in range(3):
                    s = (
                        stress[i, 0] * g[q, 3 * a]
                        + stress[i, 1] * g[q, 3 * a + 1]
                        + stress[i, 2] * g[q, 3 * a + 2]
                    )
                    r = 3 * a + i
                    h[r] = w * (0.5 * c_plain * g[q, r] - s / 1.5)
                    across[a, i] = s + pj * g[q, r]
                    force[e, r] += w * across[a, i]
                    mean[r] += w * j * g[q, r]
            if stiffness.shape[0] == 0:
                continue
            for r in range(24):
                gr, hr = g[q, r], h[r]
                for c in range(24):
                    stiffness[e, r, c] += gr * h[c] + hr * g[q, c]
            for a in range(8):
                x, y, z = g[q, 3 * a], g[q, 3 * a + 1], g[q, 3 * a + 2]
                wt = w * c_transposed
                for c in range(8):
                    u, v, t = g[q, 3 * c], g[q, 3 * c + 1], g[q, 3 * c + 2]
                    along = wt * (x * u + y * v + z * t) + w * (
                        x * across[c, 0] + y * across[c, 1] + z * across[c, 2]
                    )
                    stiffness[e, 3 * a, 3 * c] += wt * u * x + along
                    stiffness[e, 3 * a, 3 * c + 1] += wt * u * y
                    stiffness[e, 3 * a, 3 * c + 2] += wt * u * z
                    stiffness[e, 3 * a + 1, 3 * c] += wt * v * x
                    stiffness[e, 3 * a + 1, 3 * c + 1] += wt * v * y + along
                    stiffness[e, 3 * a + 1, 3 * c + 2] += wt * v * z
                    stiffness[e, 3 * a + 2, 3 * c] += wt * t * x
                    stiffness[e, 3 * a + 2, 3 * c + 1] += wt * t * y
                    stiffness[e, 3 * a + 2, 3 * c + 2] += wt * t * z + along
        if stiffness.shape[0] == 0:
            continue
        for r in range(24):
            s = bulk[e] / volume * mean[r]
            for c in range(24):
                stiffness[e, r, c] += s * mean[c]
