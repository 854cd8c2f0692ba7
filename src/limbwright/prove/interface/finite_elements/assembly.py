"""Unknowns of a body and the sparse matrix that couples them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Vertices
from limbwright.prove.interface.finite_elements.hexahedra import Hexahedra


@dataclass(frozen=True, slots=True, eq=False)
class Pattern:
    """Where each element's stiffness goes in the body's symmetric matrix.

    Parameters
    ----------
    unknown : (n, 3) int32
        Number of the unknown of each node and axis; -1 where it is held.
    element_unknowns : (m, 24) int32
        The same by element, (corner, axis) flattened.
    starts : (u + 1,) int32
    columns : (z,) int32
        Upper triangle with diagonal, by rows (CSR), columns ascending.
    """

    unknown: NDArray[np.int32]
    element_unknowns: NDArray[np.int32]
    starts: NDArray[np.int32]
    columns: NDArray[np.int32]

    @property
    def unknowns(self) -> int:
        """How many there are."""
        return len(self.starts) - 1


def pattern_of(hexahedra: Hexahedra, held: NDArray[np.bool_]) -> Pattern:
    """Number the unknowns and find which are coupled.

    Parameters
    ----------
    hexahedra : (m, 8) int32
    held : (n, 3) bool
        True where a node may not move along an axis. Nodes of no element are held as well.
    """
    free = np.zeros(held.shape, dtype=bool)
    free[np.unique(hexahedra)] = True
    free &= ~held
    unknown = np.full(held.shape, -1, dtype=np.int32)
    unknown[free] = np.arange(int(free.sum()), dtype=np.int32)
    by_element = unknown[hexahedra].reshape(len(hexahedra), 24)
    count = int(free.sum())
    rows, columns = np.repeat(by_element, 24, axis=1), np.tile(by_element, (1, 24))
    used = (rows >= 0) & (columns >= rows)
    entries = np.ones(int(used.sum()), dtype=np.int8)
    matrix = csr_matrix((entries, (rows[used], columns[used])), shape=(count, count))
    matrix.sum_duplicates()
    matrix.sort_indices()
    return Pattern(
        indices(unknown), indices(by_element), indices(matrix.indptr), indices(matrix.indices)
    )


def assemble(pattern: Pattern, tangent: NDArray[np.float64]) -> NDArray[np.float64]:
    """Entries of the body's matrix from its elements' stiffness.

    Parameters
    ----------
    pattern : Pattern
    tangent : (m, 24, 24) float64, N/mm, symmetric

    Returns
    -------
    (z,) float64, N/mm, in the order of `pattern.columns`
    """
    entries = np.zeros(len(pattern.columns))
    add(pattern, pattern.element_unknowns, tangent, entries)
    return entries


def add(
    pattern: Pattern,
    unknowns: NDArray[np.int32],
    blocks: NDArray[np.float64],
    entries: NDArray[np.float64],
) -> None:
    """Add symmetric blocks to a matrix of this pattern, in place.

    Parameters
    ----------
    pattern : Pattern
    unknowns : (k, d) int32
        Of each block; its couplings must be in the pattern. -1 = held.
    blocks : (k, d, d) float64
    entries : (z,) float64
    """
    _scatter(
        indices(pattern.starts), indices(pattern.columns), indices(unknowns), reals(blocks), entries
    )


def summed(
    pattern: Pattern, unknowns: NDArray[np.int32], parts: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Add up parts of a vector by unknown.

    Parameters
    ----------
    pattern : Pattern
    unknowns : (k, d) int32, -1 = held
    parts : (k, d) float64

    Returns
    -------
    (u,) float64
    """
    whole = np.bincount(unknowns.ravel() + 1, parts.ravel(), pattern.unknowns + 1)
    return np.asarray(whole[1:], dtype=np.float64)


def spread(pattern: Pattern, values: NDArray[np.float64]) -> Vertices:
    """Unknowns as a displacement of all nodes, (n, 3) mm; zero where held."""
    return np.asarray(np.append(values, 0.0)[pattern.unknown], dtype=np.float64)


def matrix_of(pattern: Pattern, entries: NDArray[np.float64]) -> csr_matrix:
    """The upper triangle as a sparse matrix, (u, u)."""
    count = pattern.unknowns
    return csr_matrix((entries, pattern.columns, pattern.starts), shape=(count, count))


def times(
    pattern: Pattern, entries: NDArray[np.float64], vector: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Product of the symmetric matrix with a vector, (u,)."""
    out = np.zeros(pattern.unknowns)
    _symmetric_product(
        indices(pattern.starts), indices(pattern.columns), reals(entries), reals(vector), out
    )
    return out


@kernel
def _scatter(
    starts: NDArray[np.int32],
    columns: NDArray[np.int32],
    unknowns: NDArray[np.int32],
    blocks: NDArray[np.float64],
    entries: NDArray[np.float64],
) -> None:
    """Columns of a row ascend, and so do the sorted unknowns of a block: one walk finds all."""
    size = unknowns.shape[1]
    for e in range(unknowns.shape[0]):
        order = np.argsort(unknowns[e])
        for i in range(size):
            row = unknowns[e, order[i]]
            if row < 0:
                continue
            at = starts[row]
            for j in range(i, size):
                column = unknowns[e, order[j]]
                while columns[at] < column:
                    at += 1
                entries[at] += blocks[e, order[i], order[j]]


@kernel
def _symmetric_product(
    starts: NDArray[np.int32],
    columns: NDArray[np.int32],
    entries: NDArray[np.float64],
    vector: NDArray[np.float64],
    out: NDArray[np.float64],
) -> None:
    for row in range(starts.shape[0] - 1):
        own = 0.0
        x = vector[row]
        for at in range(starts[row], starts[row + 1]):
            column = columns[at]
            own += entries[at] * vector[column]
            if column != row:
                out[column] += entries[at] * x
        out[row] += own
