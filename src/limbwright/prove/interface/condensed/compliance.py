"""What a body's surface yields to forces on it: the inside eliminated, the rest inverted."""

from __future__ import annotations

import ctypes
import importlib
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cholesky, solve_triangular
from scipy.sparse import csr_matrix, triu
from scipy.sparse.linalg import splu

from limbwright.prove.interface.finite_elements.linear_solver import THREADS, pardiso_present

_BLOCK = 256
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
        above = upper.toarray()
        stiffness = above + np.triu(above, 1).T
    else:
        stiffness = (_by_pardiso if pardiso_present() else _by_superlu)(upper, rising)
    root = cholesky(stiffness, lower=True, overwrite_a=True, check_finite=False)
    inverse = _inverse_of_lower(root)
    compliance = inverse.T @ inverse
    place = np.searchsorted(rising, surface)
    return np.asarray(compliance[np.ix_(place, place)], dtype=np.float64)


def _by_pardiso(upper: csr_matrix, kept: NDArray[np.int32]) -> NDArray[np.float64]:
    """Condensed stiffness by PARDISO's partial elimination."""
    solver: Any = importlib.import_module("pypardiso").PyPardisoSolver(mtype=2)
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
    above = np.triu(found)
    return np.asarray(above + np.triu(above, 1).T)


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


def _inverse_of_lower(root: NDArray[np.float64]) -> NDArray[np.float64]:
    """Inverse of a lower triangular matrix, by halves: nearly all of it matrix products."""
    count = len(root)
    if count <= _BLOCK:
        return np.asarray(solve_triangular(root, np.eye(count), lower=True, check_finite=False))
    half = count // 2
    out = np.zeros_like(root)
    out[:half, :half] = _inverse_of_lower(root[:half, :half])
    out[half:, half:] = _inverse_of_lower(root[half:, half:])
    out[half:, :half] = -out[half:, half:] @ (root[half:, :half] @ out[:half, :half])
    return out
