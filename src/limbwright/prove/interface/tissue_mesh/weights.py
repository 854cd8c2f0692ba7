"""Linear interpolation on triangles, and quadrilaterals as triangles."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array

from limbwright.core.mesh import Vertices, barycentric
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
