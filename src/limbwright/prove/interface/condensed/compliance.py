"""What a body's surface yields to forces on it: the inside eliminated, the rest inverted."""

from __future__ import annotations

import ctypes

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dpotrf, dpotri
from scipy.sparse import csr_matrix, triu
from scipy.sparse.linalg import splu

from limbwright.core.kernels import kernel
from limbwright.prove.interface.finite_elements.linear_solver import (
    THREADS,
    new_pardiso,
    pardiso_present,
)

_BLOCK = 64
_COLUMNS = 512


def surface_compliance(upper: csr_matrix, surface: NDArray[np.int32]) -> NDArray[np.float64]:
    """Displacements of some unknowns by unit forces on them, the others free.

    C = (K_ss - K_si K_ii⁻¹ K_is)⁻¹, the inverse of Guyan's condensed stiffness (Guyan 1965, AIAA J
    3:380).

    Parameters
    ----------
    upper : (u, u) csr_matrix, N/mm
        Upper triangle of a positive definite stiffness.
    surface : (s,) int32
        Unknowns that are kept; the result is in their order.

    Returns
    -------
    (s, s) float64, mm/N, symmetric
    """
    rising = np.sort(surface)
    if len(rising) == upper.shape[0]:
        stiffness = upper.toarray()
    else:
        stiffness = (_by_pardiso if pardiso_present() else _by_superlu)(upper, rising)
    # the upper triangle by rows is the lower one by columns, as LAPACK counts them
    root, failed = dpotrf(stiffness.T, lower=1, overwrite_a=1, clean=0)
    if failed:
        raise ArithmeticError("the condensed stiffness is not positive definite")
    inverse = dpotri(root, lower=1, overwrite_c=1)[0].T
    _mirror(inverse)
    if np.array_equal(rising, surface):
        return np.asarray(inverse)
    place = np.searchsorted(rising, surface)
    return np.asarray(inverse[np.ix_(place, place)])


def _by_pardiso(upper: csr_matrix, kept: NDArray[np.int32]) -> NDArray[np.float64]:
    """Upper triangle of the condensed stiffness by PARDISO's partial elimination."""
    solver = new_pardiso(2)
    # Threads of the whole library: left as they are, bytes would differ by what ran before.
    solver.libmkl.MKL_Set_Num_Threads(ctypes.c_int(THREADS))
    for number, value in ((1, 1), (2, 2), (10, 8), (24, 1), (34, THREADS), (36, 1)):
        solver.iparm[number - 1] = value
    solver.perm = np.zeros(upper.shape[0], dtype=np.int32)
    solver.perm[kept] = 1
    solver.set_phase(12)
    room = np.zeros(max(len(kept) ** 2, upper.shape[0]))
    found = solver._call_pardiso(upper, room)[: len(kept) ** 2].reshape(len(kept), len(kept))
    solver.free_memory(everything=True)
    return np.asarray(found)


def _by_superlu(upper: csr_matrix, kept: NDArray[np.int32]) -> NDArray[np.float64]:
    """The same by SciPy alone: slower, and everywhere."""
    whole = (upper + triu(upper, k=1).T).tocsc()
    inside = np.setdiff1d(np.arange(whole.shape[0]), kept)
    rows = whole[kept]
    condensed = rows[:, kept].toarray()
    coupling = rows[:, inside].tocsr()
    factors = splu(
        whole[inside][:, inside].tocsc(),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.01,
        options={"SymmetricMode": True},
    )
    for start in range(0, len(kept), _COLUMNS):
        end = min(start + _COLUMNS, len(kept))
        right = coupling[start:end].T.toarray()
        condensed[:, start:end] -= coupling @ factors.solve(right)
    return np.asarray(0.5 * (condensed + condensed.T))


@kernel
def _mirror(matrix: NDArray[np.float64]) -> None:
    """Copy the upper triangle on the lower one."""
    for i in range(0, len(matrix), _BLOCK):
        for j in range(i, len(matrix), _BLOCK):
            for a in range(i, min(i + _BLOCK, len(matrix))):
                for b in range(max(j, a + 1), min(j + _BLOCK, len(matrix))):
                    matrix[b, a] = matrix[a, b]
