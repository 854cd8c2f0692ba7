"""Uniting and cutting closed solids, through a general-purpose library made for it."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d
import numpy as np

from limbwright.core.errors import DesignRefused
from limbwright.core.mesh import Mesh

SIMPLIFY_MM = 0.01
"""Largest change of a surface when needless triangles are dropped; far below any making error."""


def solid(mesh: Mesh, name: str) -> manifold3d.Manifold:
    """A closed mesh as a solid.

    Parameters
    ----------
    mesh : Mesh
        Closed, wound outward, mm.
    name : str
        What it is, for the message.

    Raises
    ------
    DesignRefused
        When the mesh is not the skin of a solid.
    """
    out = manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=mesh.vertices.copy(),
            tri_verts=mesh.faces.astype(np.uint64),
        )
    )
    if out.status() != manifold3d.Error.NoError or out.is_empty():
        raise DesignRefused(
            f"The {name} is not a closed solid ({out.status().name}); it cannot be made as it is."
        )
    return out


def united(first: manifold3d.Manifold, others: Sequence[Mesh], name: str) -> manifold3d.Manifold:
    """A solid with others added."""
    for other in others:
        first = first + solid(other, name)
    return first


def cut(first: manifold3d.Manifold, others: Sequence[Mesh], name: str) -> manifold3d.Manifold:
    """A solid with others cut away."""
    for other in others:
        first = first - solid(other, name)
    return first


def largest_body(whole: manifold3d.Manifold) -> tuple[manifold3d.Manifold, int]:
    """The body of largest volume and how many smaller ones were left out."""
    bodies = whole.decompose()
    return max(bodies, key=lambda body: body.volume()), len(bodies) - 1


def skin(body: manifold3d.Manifold, simplify_mm: float = SIMPLIFY_MM) -> Mesh:
    """The surface of a solid, needless triangles dropped; 0 keeps them all."""
    out = (body.simplify(simplify_mm) if simplify_mm > 0.0 else body).to_mesh64()
    return Mesh(
        np.asarray(out.vert_properties[:, :3], dtype=np.float64),
        np.asarray(out.tri_verts, dtype=np.int32),
    )
