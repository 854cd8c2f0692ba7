"""How well formed hexahedra are, and words for a mesh's quality."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Scalars, Vertices

Hexahedra = NDArray[np.int32]


EDGES = np.array(
    [
        (1, 3, 4),
        (2, 0, 5),
        (3, 1, 6),
        (0, 2, 7),
        (7, 5, 0),
        (4, 6, 1),
        (5, 7, 2),
        (6, 4, 3),
    ]
)
"""Neighbours of each corner along its three edges, so that a cube gives +1 (VTK's order)."""


@dataclass(frozen=True, slots=True)
class MeshQuality:
    """What a mesh is worth, measured on itself.

    Parameters
    ----------
    elements, nodes : int
    unknowns : int
        Displacements that are not held.
    smallest_scaled_jacobian, percentile_1_scaled_jacobian : float
        Of the elements' worst corners; 1 is a brick, 0 or less has no volume there.
    thinnest_cover_mm : float
        Between bone and skin along the mesh, below the knee that is drawn above the plateau.
    skin_mean_mm, skin_largest_mm : float
        Distance of the scanned surface's vertices from the mesh.
    bone_mean_mm, bone_largest_mm : float
        Distance of held nodes from the bones, where neither membrane nor thin cover moves them.
    membrane_share : float
        Held nodes that stand on the membrane between the bones and its rounded edges.
    thinned : int
        Nodes of the bone moved in, so that the least cover is kept.
    liner_thinned : int
        Places where the liner leaves less room than the least cover and is taken thinner.
    text : str
        The same in words, with the places.
    """

    elements: int
    nodes: int
    unknowns: int
    smallest_scaled_jacobian: float
    percentile_1_scaled_jacobian: float
    thinnest_cover_mm: float
    skin_mean_mm: float
    skin_largest_mm: float
    bone_mean_mm: float
    bone_largest_mm: float
    membrane_share: float
    thinned: int
    liner_thinned: int
    text: str


def scaled_jacobians(nodes_mm: Vertices, hexahedra: Hexahedra) -> Scalars:
    """Smallest over an element's corners of the volume of its three unit edges, (m,)."""
    corners = nodes_mm[hexahedra]
    worst = np.full(len(hexahedra), np.inf)
    for corner, ends in enumerate(EDGES):
        a, b, c = (corners[:, end] - corners[:, corner] for end in ends)
        volume = np.einsum("ij,ij->i", np.cross(a, b), c)
        size = np.sqrt(
            np.einsum("ij,ij->i", a, a) * np.einsum("ij,ij->i", b, b) * np.einsum("ij,ij->i", c, c)
        )
        np.minimum(worst, volume / np.maximum(size, 1e-300), out=worst)
    return worst
