"""Means over 1 cm²: so that a peak says what a small place carries, not how fine the mesh is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.spatial import cKDTree

from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Scalars, Vertices

PATCH_MM2 = 100.0
"""One square centimetre: the size of a pressure cell, and of the probe in indentation."""
_SEARCH_MM = float(np.sqrt(2.5 * PATCH_MM2 / np.pi))
"""A place at the socket's edge has its square centimetre on one side only."""


@dataclass(frozen=True, slots=True, eq=False)
class Neighbours:
    """Places near each place, nearest first.

    Parameters
    ----------
    start : (n + 1,) int32
        Where each place's neighbours begin in `index`.
    index : (k,) int32
    """

    start: NDArray[np.int32]
    index: NDArray[np.int32]


def find_neighbours(points_mm: Vertices, normals: Vertices) -> Neighbours:
    """Neighbours of every vertex that face the same way, itself first; once per limb.

    Parameters
    ----------
    points_mm : (n, 3) float64, mm
    normals : (n, 3) float64, unit, outward
    """
    pairs = cKDTree(points_mm).query_pairs(_SEARCH_MM, output_type="ndarray")
    itself = np.arange(len(points_mm))
    owner = np.concatenate([itself, pairs[:, 0], pairs[:, 1]])
    index = np.concatenate([itself, pairs[:, 1], pairs[:, 0]])
    distance = np.linalg.norm(points_mm[index] - points_mm[owner], axis=1)
    same = np.einsum("ij,ij->i", normals[index], normals[owner]) > 0
    same |= index == owner
    owner, index, distance = owner[same], index[same], distance[same]
    order = np.lexsort((index, distance, owner))
    start = np.concatenate([[0], np.cumsum(np.bincount(owner, minlength=len(points_mm)))])
    return Neighbours(indices(start), indices(index[order]))


def patch_operator(
    neighbours: Neighbours, areas_mm2: Scalars, covered: NDArray[np.bool_]
) -> csr_matrix:
    """Matrix that takes a field to its mean over the nearest 1 cm² inside the socket.

    Parameters
    ----------
    neighbours : Neighbours
    areas_mm2 : (n,) float64
        Share of the surface that each vertex stands for.
    covered : (n,) bool
        Vertices that count; rows of the others are empty.

    Returns
    -------
    (n, n) csr_matrix
        Rows sum to one. The last neighbour counts with the part of its area that fills the patch.
    """
    count = len(areas_mm2)
    start, index, weight = _patches(
        indices(neighbours.start),
        indices(neighbours.index),
        reals(areas_mm2),
        indices(covered),
        PATCH_MM2,
    )
    return csr_matrix((weight, index, start), shape=(count, count))


@kernel
def _patches(
    start: NDArray[np.int32],
    index: NDArray[np.int32],
    areas: Scalars,
    covered: NDArray[np.int32],
    wanted: float,
) -> tuple[NDArray[np.int32], NDArray[np.int32], Scalars]:
    count = areas.shape[0]
    rows = np.zeros(count + 1, np.int32)
    columns = np.empty(index.shape[0], np.int32)
    weights = np.empty(index.shape[0])
    used = 0
    for i in range(count):
        first = used
        have = 0.0
        if covered[i]:
            for k in range(start[i], start[i + 1]):
                j = index[k]
                if not covered[j] or areas[j] <= 0.0:
                    continue
                take = min(areas[j], wanted - have)
                columns[used] = j
                weights[used] = take
                used += 1
                have += take
                if have >= wanted:
                    break
        for k in range(first, used):
            weights[k] /= have
        rows[i + 1] = used
    return rows, columns[:used].copy(), weights[:used].copy()
