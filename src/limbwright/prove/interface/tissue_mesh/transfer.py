"""Values carried between the vertices of `Limb.surface` and the mesh's outer nodes.

Both directions interpolate: a constant field stays constant, a linear one stays linear up to the
distance between the two surfaces (`MeshQuality.skin_largest_mm`). Tractions on the outside of a
liner act on a larger surface than the skin: `traction_to_surface` keeps force, not traction.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array, diags_array

from limbwright.capture.plan import ScannedOver
from limbwright.core.mesh import Mesh, Scalars, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.prove.interface.tissue_mesh.mesh import TissueMesh
from limbwright.prove.interface.tissue_mesh.weights import split, surface_weights

_NEWTON_STEPS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Transfer:
    """Sparse matrices between `Limb.surface` and the outer nodes.

    Parameters
    ----------
    outer_nodes : (k,) int32
        The mesh's nodes that the columns and rows named "outer" stand for, rising.
    to_surface : (surface vertices, outer nodes)
        Bilinear interpolation; rows of vertices above the mesh are empty.
    traction_to_surface : (surface vertices, outer nodes)
        The same times the outer surface's area over the skin's, so that force is kept.
    to_outer : (outer nodes, surface vertices)
        Linear interpolation within the triangles of `Limb.surface`.
    """

    outer_nodes: NDArray[np.int32]
    to_surface: csr_array
    traction_to_surface: csr_array
    to_outer: csr_array


def transfer(surface: Mesh, mesh: TissueMesh, scanned_over: ScannedOver) -> Transfer:
    """Matrices between a scanned surface and the surface that meets the socket.

    Parameters
    ----------
    surface : Mesh
        `Limb.surface`.
    mesh : TissueMesh
    scanned_over : ScannedOver
        Over the liner, the scan is its outside; over skin, it is what lies under the liner.
    """
    used, quads = np.unique(mesh.outer, return_inverse=True)
    quads = quads.reshape(mesh.outer.shape)
    outside = mesh.nodes_mm[used]
    under = mesh.nodes_mm[mesh.skin_node[used]]
    scanned = outside if scanned_over is ScannedOver.LINER else under
    to_surface = _bilinear(scanned, quads, surface.vertices)
    areas = [_node_areas(points, quads) for points in (outside, scanned)]
    ratio = areas[0] / areas[1]
    return Transfer(
        used.astype(np.int32),
        to_surface,
        csr_array(to_surface @ diags_array(ratio)),
        surface_weights(DistanceTree(surface), scanned),
    )


def _bilinear(points: Vertices, quads: NDArray[np.int64], targets: Vertices) -> csr_array:
    """Bilinear weights of quad corners at the places closest to targets."""
    tree = DistanceTree(Mesh(points, split(quads.astype(np.int32))))
    top = points[:, 2].max()
    inside = np.flatnonzero(targets[:, 2] <= top)
    _, face, foot = tree.closest(targets[inside])
    quad = quads[face // 2]
    weights = _shape(*_local(points[quad], foot))
    entries = (weights.ravel(), (np.repeat(inside, 4), quad.ravel()))
    return csr_array(coo_array(entries, shape=(len(targets), len(points))))


def _local(corner: NDArray[np.float64], foot: Vertices) -> tuple[Scalars, Scalars]:
    """Place in each quad, 0 to 1 both ways, by Gauss-Newton on the distance."""
    u = np.full(len(foot), 0.5)
    v = np.full(len(foot), 0.5)
    for _ in range(_NEWTON_STEPS):
        miss = foot - np.einsum("nk,nkd->nd", _shape(u, v), corner)
        along_u = (corner[:, 1] - corner[:, 0]) * (1 - v)[:, None]
        along_u = along_u + (corner[:, 2] - corner[:, 3]) * v[:, None]
        along_v = (corner[:, 3] - corner[:, 0]) * (1 - u)[:, None]
        along_v = along_v + (corner[:, 2] - corner[:, 1]) * u[:, None]
        a, b, c = (
            np.einsum("nd,nd->n", x, y)
            for x, y in ((along_u, along_u), (along_u, along_v), (along_v, along_v))
        )
        p, q = (np.einsum("nd,nd->n", x, miss) for x in (along_u, along_v))
        det = np.maximum(a * c - b * b, 1e-300)
        u = np.clip(u + (c * p - b * q) / det, 0.0, 1.0)
        v = np.clip(v + (a * q - b * p) / det, 0.0, 1.0)
    return u, v


def _shape(u: Scalars, v: Scalars) -> NDArray[np.float64]:
    return np.stack([(1 - u) * (1 - v), u * (1 - v), u * v, (1 - u) * v], axis=1)


def _node_areas(points: Vertices, quads: NDArray[np.int64]) -> Scalars:
    """A quarter of the adjacent quads' areas at each point, mm²."""
    corner = points[quads]
    cross = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    quarter = 0.125 * np.linalg.norm(cross, axis=1)
    return np.asarray(
        np.bincount(quads.ravel(), np.repeat(quarter, 4), minlength=len(points)), dtype=np.float64
    )
