"""Tissue and liner of one limb as a linear body, condensed to the surface that meets the socket."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from limbwright.core.kernels import indices, reals
from limbwright.core.mesh import Scalars, Vertices
from limbwright.prove.interface.condensed.compliance import surface_compliance
from limbwright.prove.interface.condensed.compressed import Compressed, broad_ways, compress
from limbwright.prove.interface.finite_elements.assembly import assemble, matrix_of, pattern_of
from limbwright.prove.interface.finite_elements.hexahedra import bricks_of, moduli_mpa, respond
from limbwright.prove.interface.stiffness import Assumptions
from limbwright.prove.interface.tissue_mesh.mesh import LINER, TissueMesh


@dataclass(frozen=True, slots=True, eq=False)
class Sparse:
    """A sparse matrix as plain arrays, by rows."""

    rows: int
    columns: int
    starts: NDArray[np.int32]
    index: NDArray[np.int32]
    entries: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class CondensedBody:
    """What the surface that meets the socket yields to forces on it; the bones held.

    Parameters
    ----------
    nodes : (n,) int32
        Of the mesh, distal first.
    points_mm : (n, 3) float64, limb frame
    normals : (n, 3) float64
        Outward, unit.
    areas_mm2 : (n,) float64
        Surface that each node stands for.
    compliance : Compressed, mm/N
        Displacement (node, axis) from force (node, axis).
    broad : (3 n, k) float32
        Its broad ways, see `compressed.broad_ways`.
    """

    nodes: NDArray[np.int32]
    points_mm: Vertices
    normals: Vertices
    areas_mm2: Scalars
    compliance: Compressed
    broad: NDArray[np.float32]


def condense(mesh: TissueMesh, assumed: Assumptions) -> CondensedBody:
    """Condense a mesh of tissue and liner to its outer surface.

    Parameters
    ----------
    mesh : TissueMesh
    assumed : Assumptions
        Moduli and Poisson's ratios of tissue and liner.
    """
    (tissue_shear, tissue_bulk), (liner_shear, liner_bulk) = (
        moduli_mpa(layer.modulus_mpa, layer.poisson) for layer in (assumed.tissue, assumed.liner)
    )
    is_liner = mesh.layer == LINER
    bricks = bricks_of(
        mesh.nodes_mm,
        mesh.hexahedra,
        np.where(is_liner, liner_shear, tissue_shear),
        np.where(is_liner, liner_bulk, tissue_bulk),
    )
    held = np.repeat(mesh.held[:, None], 3, axis=1)
    held[mesh.top, 2] = True
    pattern = pattern_of(mesh.hexahedra, held)
    stiffness = assemble(pattern, respond(bricks, np.zeros_like(mesh.nodes_mm)).tangent)
    nodes = np.unique(mesh.outer)
    nodes = nodes[np.argsort(mesh.nodes_mm[nodes, 2], kind="stable")]
    unknown = pattern.unknown[nodes].ravel()
    free = np.flatnonzero(unknown >= 0)
    compliance = np.zeros((len(unknown), len(unknown)), dtype=np.float32)
    compliance[np.ix_(free, free)] = surface_compliance(
        matrix_of(pattern, stiffness), unknown[free]
    )
    compressed = compress(compliance, mesh.nodes_mm[nodes])
    vectors = _node_vectors(mesh.nodes_mm, mesh.outer)[nodes]
    areas = np.linalg.norm(vectors, axis=1)
    return CondensedBody(
        indices(nodes),
        reals(mesh.nodes_mm[nodes]),
        reals(vectors / areas[:, None]),
        reals(areas),
        compressed,
        broad_ways(compressed),
    )


def sparse_of(matrix: csr_array) -> Sparse:
    """Plain arrays of a sparse matrix."""
    rows, columns = matrix.shape
    return Sparse(
        int(rows),
        int(columns),
        indices(matrix.indptr),
        indices(matrix.indices),
        reals(matrix.data),
    )


def matrix_from(plain: Sparse) -> csr_array:
    """The sparse matrix again."""
    return csr_array((plain.entries, plain.index, plain.starts), shape=(plain.rows, plain.columns))


def _node_vectors(nodes_mm: Vertices, quads: NDArray[np.int32]) -> Vertices:
    """A quarter of the adjacent quads' areas at each node, along their normals, (n, 3) mm²."""
    corner = nodes_mm[quads]
    cross = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    quarter = np.repeat(0.125 * cross, 4, axis=0)
    return np.stack(
        [np.bincount(quads.ravel(), part, minlength=len(nodes_mm)) for part in quarter.T], axis=1
    )
