"""Sparse symmetric systems: factored once, solved for many right-hand sides.

PARDISO of the oneAPI Math Kernel Library where it is installed, SuperLU of SciPy elsewhere.
"""

from __future__ import annotations

import contextlib
import ctypes
import importlib
import importlib.metadata
import importlib.util
import os
from pathlib import Path
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, triu
from scipy.sparse.linalg import splu

THREADS = 2
"""Fixed, so that sums are taken in the same order on every run."""


class Factors(Protocol):
    """A symmetric matrix of fixed pattern that can be factored again and again."""

    def factor(self, entries: NDArray[np.float64]) -> None:
        """Take new entries, (z,), in the order of the pattern.

        Raises
        ------
        ArithmeticError
            When the matrix is singular.
        """

    def solve(self, right: NDArray[np.float64]) -> NDArray[np.float64]:
        """Solve for one, (u,), or several right-hand sides, (u, r)."""

    def close(self) -> None:
        """Give back the memory of the factors."""


def analyse(starts: NDArray[np.int32], columns: NDArray[np.int32]) -> Factors:
    """Prepare a symmetric, possibly indefinite matrix for factoring.

    Parameters
    ----------
    starts : (u + 1,) int32
    columns : (z,) int32
        Upper triangle with its whole diagonal, by rows (CSR), columns ascending.
    """
    return Pardiso(starts, columns) if pardiso_present() else SuperLu(starts, columns)


def pardiso_present() -> bool:
    """Whether PARDISO is installed on this machine."""
    return importlib.util.find_spec("pypardiso") is not None


def new_pardiso(kind: int) -> Any:
    """PARDISO for one kind of matrix, as its maker numbers them.

    The wrapper would search every installed file for the library at each call (over a second);
    told where it is, it does not.
    """
    if "PYPARDISO_MKL_RT" not in os.environ:
        with contextlib.suppress(importlib.metadata.PackageNotFoundError):
            for file in importlib.metadata.files("mkl") or ():
                if file.name.startswith(("libmkl_rt", "mkl_rt")):
                    os.environ["PYPARDISO_MKL_RT"] = str(Path(str(file.locate())).resolve())
    return importlib.import_module("pypardiso").PyPardisoSolver(mtype=kind)


class Pardiso:
    """Factors by PARDISO (Schenk and Gärtner 2004, Future Gener Comput Syst 20:475)."""

    def __init__(self, starts: NDArray[np.int32], columns: NDArray[np.int32]) -> None:
        self._starts, self._columns = starts, columns
        self._solver = _pardiso_solver()
        self._analysed = False

    def factor(self, entries: NDArray[np.float64]) -> None:
        """Take new entries, (z,), in the order of the pattern."""
        count = len(self._starts) - 1
        self._matrix = csr_matrix((entries, self._columns, self._starts), shape=(count, count))
        self._call(22 if self._analysed else 12, np.zeros((count, 1), order="F"))
        self._analysed = True

    def solve(self, right: NDArray[np.float64]) -> NDArray[np.float64]:
        """Solve for one, (u,), or several right-hand sides, (u, r)."""
        columns = np.asfortranarray(right.reshape(len(right), -1))
        return self._call(33, columns).reshape(right.shape)

    def close(self) -> None:
        """Give back the memory of the factors."""
        if self._analysed:
            self._call(-1, np.zeros((len(self._starts) - 1, 1), order="F"))
        self._analysed = False

    def _call(self, phase: int, right: NDArray[np.float64]) -> NDArray[np.float64]:
        self._solver.set_phase(phase)
        try:
            found = self._solver._call_pardiso(self._matrix, right)
        except importlib.import_module("pypardiso").pardiso_wrapper.PyPardisoError as error:
            raise ArithmeticError(f"the stiffness cannot be factored: {error}") from error
        return np.asarray(found, dtype=np.float64)


def _pardiso_solver() -> Any:
    """A solver for symmetric indefinite matrices, set to give the same bytes on every run."""
    solver = new_pardiso(-2)
    library = solver.libmkl
    library.MKL_Set_Num_Threads(ctypes.c_int(THREADS))
    for number, value in (
        (1, 1),  # the values below instead of the library's own
        (2, 2),  # nested dissection, one thread: the same order on every run
        (8, 0),  # refined only where pivots were perturbed
        (10, 8),  # pivots below 1e-8 are perturbed
        (24, 1),  # two-level factoring, which number 34 asks for
        (34, THREADS),  # sums in a fixed order for this number of threads
    ):
        solver.set_iparm(number, value)
    return solver


class SuperLu:
    """Factors by SuperLU (Demmel et al. 1999, SIAM J Matrix Anal Appl 20:720)."""

    def __init__(self, starts: NDArray[np.int32], columns: NDArray[np.int32]) -> None:
        self._starts, self._columns = starts, columns

    def factor(self, entries: NDArray[np.float64]) -> None:
        """Take new entries, (z,), in the order of the pattern."""
        count = len(self._starts) - 1
        upper = csr_matrix((entries, self._columns, self._starts), shape=(count, count))
        whole = upper + triu(upper, k=1).T
        try:
            self._factors = splu(
                whole.tocsc(),
                permc_spec="MMD_AT_PLUS_A",
                diag_pivot_thresh=0.01,
                options={"SymmetricMode": True},
            )
        except RuntimeError as error:
            raise ArithmeticError(f"the stiffness cannot be factored: {error}") from error

    def solve(self, right: NDArray[np.float64]) -> NDArray[np.float64]:
        """Solve for one, (u,), or several right-hand sides, (u, r)."""
        return np.asarray(self._factors.solve(np.asfortranarray(right)), dtype=np.float64)

    def close(self) -> None:
        """Give back the memory of the factors."""
        del self._factors
