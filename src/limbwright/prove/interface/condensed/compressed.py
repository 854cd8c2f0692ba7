"""A compliance in few numbers: what lies far apart acts on each other in few ways.

The surface is divided into patches. The block of two patches is kept as a sum of few outer products
of its own columns and rows, as adaptive cross approximation finds them (Bebendorf 2000, Numerische
Mathematik 86:565, with the largest entry as pivot); a block that needs too many is kept as it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import indices, kernel, summing_kernel
from limbwright.core.mesh import Vertices

_PATCH = 64
"""Most nodes of a patch."""
_LEFT = 1e-4
"""Largest entry that a block may leave out, as a share of the mean yield of a node to itself."""

_BROAD = 32
"""Ways of yielding that the preconditioner solves together."""
_ROUNDS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Compressed:
    """A symmetric matrix over nodes with three components each, in blocks of patches.

    Parameters
    ----------
    order : (n,) int32
        Nodes, patch by patch.
    starts : (c + 1,) int32
        Where each patch starts in `order`.
    rows, columns : (b,) int32
        Patches of each block; those below the diagonal are left out.
    ranks : (b,) int32
        Outer products of each block; -1 = kept as it is.
    firsts : (b,) int32
        Where each block starts in `entries`.
    entries : (e,) float32
    """

    order: NDArray[np.int32]
    starts: NDArray[np.int32]
    rows: NDArray[np.int32]
    columns: NDArray[np.int32]
    ranks: NDArray[np.int32]
    firsts: NDArray[np.int32]
    entries: NDArray[np.float32]


def compress(
    compliance: NDArray[np.float32], points_mm: Vertices, leave_out: float = _LEFT
) -> Compressed:
    """Divide a compliance into patches of neighbours and compress their blocks.

    Parameters
    ----------
    compliance : (3 n, 3 n) float32, mm/N, symmetric
    points_mm : (n, 3) float64
    leave_out : float
        Largest entry that a block may leave out, as a share of the mean diagonal.
    """
    patches = _patches(points_mm, np.arange(len(points_mm)))
    order = np.concatenate(patches)
    starts = np.concatenate([[0], np.cumsum([len(patch) for patch in patches])])
    unknowns = (3 * order[:, None] + np.arange(3)).ravel()
    sorted_by_patch = compliance[np.ix_(unknowns, unknowns)]
    left = np.float32(leave_out * np.diag(compliance).mean())
    rows, columns = (indices(part) for part in np.triu_indices(len(patches)))
    ranks, firsts, entries = [], [], []
    first = 0
    for i, j in zip(rows, columns, strict=True):
        block = sorted_by_patch[
            3 * starts[i] : 3 * starts[i + 1], 3 * starts[j] : 3 * starts[j + 1]
        ]
        most = block.size // (2 * sum(block.shape)) if i != j else 0
        kept = np.empty((most, sum(block.shape)), dtype=np.float32)
        rank = _crosses(np.ascontiguousarray(block), left, kept)
        numbers = block if rank < 0 else kept[:rank]
        ranks.append(rank)
        firsts.append(first)
        entries.append(numbers.ravel())
        first += numbers.size
    return Compressed(
        indices(order),
        indices(starts),
        rows,
        columns,
        indices(np.array(ranks)),
        indices(np.array(firsts)),
        np.concatenate(entries),
    )


def multiply(matrix: Compressed, vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    """The leading rows of the product with a vector that is nothing behind them.

    Parameters
    ----------
    matrix : Compressed
    vectors : (m, 3) float64
        For the first m of the n nodes.
    """
    out = np.zeros(vectors.shape)
    _multiply(
        matrix.order,
        matrix.starts,
        matrix.rows,
        matrix.columns,
        matrix.ranks,
        matrix.firsts,
        matrix.entries,
        vectors,
        out,
    )
    return out


def diagonal_of(matrix: Compressed) -> NDArray[np.float64]:
    """What each node yields to forces on itself, (n, 3, 3)."""
    out = np.empty((len(matrix.order), 3, 3))
    for block in np.flatnonzero(matrix.rows == matrix.columns):
        patch = matrix.rows[block]
        nodes = matrix.order[matrix.starts[patch] : matrix.starts[patch + 1]]
        count, first = len(nodes), matrix.firsts[block]
        own = matrix.entries[first : first + 9 * count**2].reshape(count, 3, count, 3)
        each = np.arange(count)
        out[nodes] = own[each, :, each]
    return out


def broad_ways(matrix: Compressed) -> NDArray[np.float32]:
    """Columns b of which Σ b bᵀ is the part that yields most, (3 n, k).

    Leading eigenvectors by subspace iteration (Halko, Martinsson and Tropp 2011, SIAM Rev 53:217),
    each times the root of its eigenvalue.
    """
    count = len(matrix.order)
    most = min(_BROAD, count)
    tried = np.random.default_rng(0).normal(size=(most, count, 3))
    for _ in range(_ROUNDS):
        found = np.array([multiply(matrix, way) for way in tried]).reshape(most, 3 * count)
        basis = np.linalg.qr(found.T)[0]
        tried = np.ascontiguousarray(basis.T).reshape(most, count, 3)
    found = np.array([multiply(matrix, way) for way in tried]).reshape(most, 3 * count)
    inner = found @ basis
    size, turned = np.linalg.eigh(0.5 * (inner + inner.T))
    return np.asarray((basis @ turned) * np.sqrt(np.maximum(size, 0.0)), dtype=np.float32)


def _patches(points_mm: Vertices, nodes: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """Nodes halved along their longest extent until each part is small."""
    if len(nodes) <= _PATCH:
        return [nodes]
    axis = int(np.ptp(points_mm[nodes], axis=0).argmax())
    rising = nodes[np.argsort(points_mm[nodes, axis], kind="stable")]
    half = len(rising) // 2
    return _patches(points_mm, rising[:half]) + _patches(points_mm, rising[half:])


@kernel
def _crosses(block: NDArray[np.float32], left: np.float32, kept: NDArray[np.float32]) -> int:
    """Outer products of a block, column then row in each line of `kept`; -1 = too many needed."""
    rest = block.copy()
    m, n = rest.shape
    for rank in range(kept.shape[0] + 1):
        largest, a, b = np.float32(0.0), 0, 0
        for i in range(m):
            for j in range(n):
                size = abs(rest[i, j])
                if size > largest:
                    largest, a, b = size, i, j
        if largest <= left:
            return rank
        if rank == kept.shape[0]:
            break
        share = np.float32(1.0) / rest[a, b]
        for i in range(m):
            kept[rank, i] = rest[i, b] * share
        for j in range(n):
            kept[rank, m + j] = rest[a, j]
        for i in range(m):
            for j in range(n):
                rest[i, j] -= kept[rank, i] * kept[rank, m + j]
    return -1


@summing_kernel
def _multiply(
    order: NDArray[np.int32],
    starts: NDArray[np.int32],
    rows: NDArray[np.int32],
    columns: NDArray[np.int32],
    ranks: NDArray[np.int32],
    firsts: NDArray[np.int32],
    entries: NDArray[np.float32],
    vectors: NDArray[np.float64],
    out: NDArray[np.float64],
) -> None:
    count, patches = vectors.shape[0], len(starts) - 1
    x = np.zeros(3 * len(order), np.float32)
    y = np.zeros(3 * len(order), np.float32)
    reached = np.zeros(patches, np.bool_)
    for c in range(patches):
        for k in range(starts[c], starts[c + 1]):
            if order[k] < count:
                reached[c] = True
                for a in range(3):
                    x[3 * k + a] = vectors[order[k], a]
    for block in range(len(rows)):
        i, j = rows[block], columns[block]
        if not (reached[i] and reached[j]):
            continue
        xi, yi = x[3 * starts[i] : 3 * starts[i + 1]], y[3 * starts[i] : 3 * starts[i + 1]]
        xj, yj = x[3 * starts[j] : 3 * starts[j + 1]], y[3 * starts[j] : 3 * starts[j + 1]]
        m, n, at = len(xi), len(xj), firsts[block]
        if ranks[block] < 0 and i == j:
            for a in range(m):
                line = entries[at + a * n : at + (a + 1) * n]
                total = np.float32(0.0)
                for b in range(n):
                    total += line[b] * xj[b]
                yi[a] += total
        elif ranks[block] < 0:
            for a in range(m):
                line = entries[at + a * n : at + (a + 1) * n]
                total, here = np.float32(0.0), xi[a]
                for b in range(n):
                    total += line[b] * xj[b]
                    yj[b] += line[b] * here
                yi[a] += total
        else:
            for rank in range(ranks[block]):
                start = at + rank * (m + n)
                column = entries[start : start + m]
                row = entries[start + m : start + m + n]
                of_i, of_j = np.float32(0.0), np.float32(0.0)
                for a in range(m):
                    of_i += column[a] * xi[a]
                for b in range(n):
                    of_j += row[b] * xj[b]
                for a in range(m):
                    yi[a] += column[a] * of_j
                for b in range(n):
                    yj[b] += row[b] * of_i
    for k in range(len(order)):
        if order[k] < count:
            for a in range(3):
                out[order[k], a] = y[3 * k + a]
