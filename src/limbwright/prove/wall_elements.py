"""The socket's wall as a shell of bricks: stiffness and stress by finite elements.

Eight-node bricks with incompatible modes (Wilson et al. 1973; Taylor, Beresford and Wilson 1976,
International Journal for Numerical Methods in Engineering 10:1211): one through the thickness
bends as a plate does, and any linear field is met exactly whatever the shape.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.linalg import splu

from limbwright.core.errors import NotConverged
from limbwright.core.mesh import Scalars, Vertices

Hexahedra = NDArray[np.int32]
"""(m, 8) int32: corners of the inner face, counter-clockwise, then of the outer one."""
Matrix = NDArray[np.float64]

_CORNERS = np.array(
    [(o, f, u) for u in (-1, 1) for o, f in ((-1, -1), (1, -1), (1, 1), (-1, 1))],
    dtype=np.float64,
)
_GAUSS = _CORNERS / np.sqrt(3.0)
_ROWS = ((0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0))
"""Strains: three along the axes, then the shears of each pair."""


@dataclass(frozen=True, slots=True, eq=False)
class Elements:
    """Bricks ready to be put together.

    Parameters
    ----------
    nodes_mm : (n, 3) float64
    hexahedra : (m, 8) int32
    stiffness : (m, 24, 24) float64, N/mm
        With the incompatible modes left out of the unknowns.
    modes : (m, 9, 24) float64
        Size of the incompatible modes by the corners' displacements.
    law : (6, 6) float64, MPa
    """

    nodes_mm: Vertices
    hexahedra: Hexahedra
    stiffness: Matrix
    modes: Matrix
    law: Matrix


def elements_of(
    nodes_mm: Vertices, hexahedra: Hexahedra, young_mpa: float, poisson: float
) -> Elements:
    """Stiffness of each brick.

    Parameters
    ----------
    nodes_mm : (n, 3) float64
    hexahedra : (m, 8) int32
    young_mpa, poisson : float

    Raises
    ------
    NotConverged
        When a brick is turned inside out.
    """
    corners = nodes_mm[hexahedra]
    law = _law(young_mpa, poisson)
    middle = _jacobian(corners, np.zeros(3))
    count = len(hexahedra)
    uu, ua, aa = (np.zeros((count, *size)) for size in ((24, 24), (24, 9), (9, 9)))
    for point in _GAUSS:
        jacobian = _jacobian(corners, point)
        volume = np.linalg.det(jacobian)
        if volume.min(initial=1.0) <= 0.0:
            raise NotConverged("the wall folds over itself, so that its stiffness is not known")
        b = _strain(_solved(jacobian, _gradients(point)[None]))
        g = _strain(_mode_gradients(middle, volume, point))
        weighed = law[None] * volume[:, None, None]
        lb, lg = weighed @ b, weighed @ g
        bt, gt = b.transpose(0, 2, 1), g.transpose(0, 2, 1)
        uu += bt @ lb
        ua += bt @ lg
        aa += gt @ lg
    modes = -_solved(aa, ua.transpose(0, 2, 1))
    return Elements(nodes_mm, hexahedra, uu + ua @ modes, modes, law)


def displaced(elements: Elements, force_n: Vertices, held: NDArray[np.bool_]) -> Vertices:
    """Displacement of every node under forces at the nodes, (n, 3) mm.

    Parameters
    ----------
    elements : Elements
    force_n : (n, 3) float64
    held : (n, 3) bool
        Which components of which nodes do not move.

    Raises
    ------
    NotConverged
        When what is held does not keep the body in place.
    """
    free = np.flatnonzero(~held.ravel())
    matrix = _assembled(elements)[free][:, free]
    moved = np.zeros(force_n.size)
    try:
        factors = splu(
            csc_matrix(matrix),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        moved[free] = factors.solve(force_n.ravel()[free])
    except RuntimeError as error:
        raise NotConverged("nothing keeps the wall in place, so that it has no shape") from error
    return moved.reshape(-1, 3)


def face_stress_mpa(elements: Elements, displacement_mm: Vertices, outer: bool) -> Matrix:
    """Stress in the middle of each brick's inner or outer face, (m, 6) MPa.

    Along the axes, then the shears of (o, f), (f, u) and (u, o).
    """
    corners = elements.nodes_mm[elements.hexahedra]
    moved = displacement_mm[elements.hexahedra].reshape(len(corners), 24, 1)
    point = np.array([0.0, 0.0, 1.0 if outer else -1.0])
    jacobian = _jacobian(corners, point)
    b = _strain(_solved(jacobian, _gradients(point)[None]))
    g = _strain(_mode_gradients(_jacobian(corners, np.zeros(3)), np.linalg.det(jacobian), point))
    strain = b @ moved + g @ (elements.modes @ moved)
    return np.asarray((elements.law @ strain)[:, :, 0])


def principal_mpa(stress_mpa: Matrix) -> Matrix:
    """Principal stresses of (m, 6) stresses, (m, 3), the greatest last."""
    tensor = np.empty((len(stress_mpa), 3, 3))
    for k, (i, j) in enumerate(_ROWS):
        tensor[:, i, j] = tensor[:, j, i] = stress_mpa[:, k]
    return np.asarray(np.linalg.eigvalsh(tensor))


def _solved(matrices: Matrix, right: Matrix) -> Matrix:
    return np.asarray(np.linalg.solve(matrices, right), dtype=np.float64)


def _law(young: float, poisson: float) -> Matrix:
    shear = young / (2.0 * (1.0 + poisson))
    lame = young * poisson / ((1.0 + poisson) * (1.0 - 2.0 * poisson))
    law = np.zeros((6, 6))
    law[:3, :3] = lame
    law[range(3), range(3)] += 2.0 * shear
    law[range(3, 6), range(3, 6)] = shear
    return law


def _gradients(point: Scalars) -> Matrix:
    """Derivatives of the corner functions by the reference axes, (3, 8)."""
    parts = 1.0 + _CORNERS * point
    rows = [_CORNERS[:, k] * parts[:, (k + 1) % 3] * parts[:, (k + 2) % 3] / 8.0 for k in range(3)]
    return np.array(rows)


def _jacobian(corners: Matrix, point: Scalars) -> Matrix:
    """Rows: derivative of the place by each reference axis, (m, 3, 3)."""
    return np.asarray(_gradients(point) @ corners)


def _mode_gradients(middle: Matrix, volume: Scalars, point: Scalars) -> Matrix:
    """Derivatives of the modes 1 − ξ², (m, 3, 3), by the middle's Jacobian so that they cancel."""
    by_reference = np.diag(-2.0 * point)[None]
    scale = (np.linalg.det(middle) / volume)[:, None, None]
    return np.asarray(scale * _solved(middle, by_reference))


def _strain(gradients: Matrix) -> Matrix:
    """Strain of displacements, (m, 6, 3k), from derivatives (m, 3, k)."""
    count, _, functions = gradients.shape
    b = np.zeros((count, 6, functions, 3))
    for row, (i, j) in enumerate(_ROWS):
        b[:, row, :, i] += gradients[:, j]
        if i != j:
            b[:, row, :, j] += gradients[:, i]
    return b.reshape(count, 6, 3 * functions)


def _assembled(elements: Elements) -> csc_matrix:
    places = (3 * elements.hexahedra[:, :, None] + np.arange(3)).reshape(-1, 24)
    rows = np.repeat(places, 24, axis=1).ravel()
    columns = np.tile(places, (1, 24)).ravel()
    size = 3 * len(elements.nodes_mm)
    return csc_matrix(coo_matrix((elements.stiffness.ravel(), (rows, columns)), (size, size)))
