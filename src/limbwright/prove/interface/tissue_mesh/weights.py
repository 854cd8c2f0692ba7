"""Linear interpolation on triangles, and quadrilaterals as triangles."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array

from limbwright.core.mesh import Vertices
from limbwright.core.proximity import DistanceTree


def surface_weights(tree: DistanceTree, points: Vertices) -> csr_array:
    """Weights of the vertices of a surface at its points closest to (n, 3), (n, vertices)."""
    _, face, foot = tree.closest(points)
    corner = tree.mesh.vertices[tree.mesh.faces[face]]
    weights = barycentric(corner, foot)
    rows = np.repeat(np.arange(len(points)), 3)
    entries = (weights.ravel(), (rows, tree.mesh.faces[face].ravel()))
    return csr_array(coo_array(entries, shape=(len(points), len(tree.mesh.vertices))))


def split(quads: NDArray[np.int32]) -> NDArray[np.int32]:
    """Two triangles for each quadrilateral, those of one quadrilateral side by side."""
    return np.stack([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]], axis=1).reshape(-1, 3)


def barycentric(corner: NDArray[np.float64], foot: Vertices) -> NDArray[np.float64]:
    """Weights (n, 3) of the corners (n, 3, 3) of triangles at points on them, adding up to one."""
    normal = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    size = np.maximum(np.einsum("ij,ij->i", normal, normal), 1e-300)
    parts = [
        np.cross(corner[:, (k + 1) % 3] - foot, corner[:, (k + 2) % 3] - foot) for k in range(3)
    ]
    weights = np.stack([np.einsum("ij,ij->i", part, normal) / size for part in parts], axis=1)
    weights = np.clip(weights, 0.0, None)
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))
