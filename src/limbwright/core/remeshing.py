"""Even triangles over a limb, and fewer of them."""

from __future__ import annotations

import fast_simplification
import numpy as np
from gpytoolbox import remesh_botsch

from limbwright.core.mesh import Mesh
from limbwright.core.topology import manifold_errors, split_fans, without_non_manifold


def remesh_uniform(mesh: Mesh, edge_mm: float) -> Mesh:
    """Cover the surface with triangles of about one edge length."""
    if len(mesh.faces) == 0:
        raise ValueError("a mesh without faces cannot be remeshed")
    if not edge_mm > 0.0:
        raise ValueError(f"the edge length must be positive, got {edge_mm} mm")
    vertices, faces = remesh_botsch(mesh.vertices.copy(), mesh.faces.copy(), 6, edge_mm, True)
    out = Mesh(vertices, faces.astype(np.int32))
    if not manifold_errors(out).is_manifold:
        raise ValueError("remeshing gave a surface that is not manifold")
    return out


def decimate(mesh: Mesh, target_faces: int) -> Mesh:
    """Represent the surface by about `target_faces` faces where it is flattest.

    Raises
    ------
    ValueError
        When the mesh has no face or the target is not positive.
    """
    if len(mesh.faces) == 0:
        raise ValueError("a mesh without faces cannot be decimated")
    if target_faces < 1:
        raise ValueError(f"the target must be at least one face, got {target_faces}")
    if target_faces >= len(mesh.faces):
        return mesh
    vertices, faces = fast_simplification.simplify(
        mesh.vertices.copy(), mesh.faces.copy(), target_count=int(target_faces)
    )[:2]
    out = Mesh(vertices.astype(np.float64), faces.astype(np.int32))
    if manifold_errors(out).is_manifold:
        return out
    return split_fans(without_non_manifold(out)[0])[0]
