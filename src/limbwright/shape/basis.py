"""What shaping needs to know of a limb's surface whatever the plan says."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from limbwright.capture.result import Limb
from limbwright.core.mesh import (
    Mesh,
    Scalars,
    Vertices,
    vertex_areas,
    vertex_normals,
    with_vertices,
)
from limbwright.core.proximity import DistanceTree
from limbwright.core.smoothing import smooth_field
from limbwright.shape.geodesics import SurfaceDistance, surface_distance

NORMAL_PASSES = 12
"""Averaging passes over the normals: a groove narrower than about 10 mm no longer turns them."""
STEP_MM = 2.0
UP = np.array([0.0, 0.0, 1.0])


class Heading(Enum):
    """A direction on the limb's surface."""

    DISTAL = "distal"
    AROUND = "around"
    """Anti-clockwise seen from above: outward, forward, medial."""


@dataclass(frozen=True, slots=True, eq=False)
class ShapeBasis:
    """A limb's surface made ready for shaping; costly, and free of any plan.

    Parameters
    ----------
    limb : Limb
    normals : (n, 3) float64
        Unit outward directions in which vertices move: vertex normals, evened out.
    level_share : (n,) float64
        Length of the normal's part at constant level: 1 on an upright wall, 0 on the end face.
    areas_mm2 : (n,) float64
        Surface that belongs to each vertex.
    distance : SurfaceDistance
    tree : DistanceTree
    """

    limb: Limb
    normals: Vertices
    level_share: Scalars
    areas_mm2: Scalars
    distance: SurfaceDistance
    tree: DistanceTree

    @property
    def surface(self) -> Mesh:
        """The limb's surface, limb frame."""
        return self.limb.surface


def prepare_areas(limb: Limb) -> ShapeBasis:
    """Make a limb ready for shaping; one basis serves every plan on this limb."""
    surface = limb.surface
    normals = _unit(smooth_field(surface, vertex_normals(surface), NORMAL_PASSES))
    normals.setflags(write=False)
    return ShapeBasis(
        limb,
        normals,
        np.hypot(normals[:, 0], normals[:, 1]),
        vertex_areas(surface),
        surface_distance(surface),
        DistanceTree(surface),
    )


def offset_surface(basis: ShapeBasis, offset_mm: Scalars) -> Mesh:
    """The limb's surface moved along the even normals by (n,) mm, outward positive."""
    surface = basis.surface
    return with_vertices(surface, surface.vertices + offset_mm[:, None] * basis.normals)


def on_surface(basis: ShapeBasis, points: Vertices) -> Vertices:
    """The closest points of the limb's surface, (k, 3) mm."""
    return basis.tree.closest(np.atleast_2d(points))[2]


def way_along(
    basis: ShapeBasis, points: Vertices, heading: Heading, distance_mm: float
) -> NDArray[np.float64]:
    """Walk along the surface from points, all the same way and as far.

    Parameters
    ----------
    basis : ShapeBasis
    points : (k, 3) float64, mm, on the surface
    heading : Heading
    distance_mm : float
        Length along the surface; negative walks the opposite way.

    Returns
    -------
    (steps + 1, k, 3) float64, mm
        The whole way, start included.
    """
    points = np.atleast_2d(points)
    steps = int(np.ceil(abs(distance_mm) / STEP_MM))
    way = [points]
    ahead: Vertices | None = None
    for _ in range(steps):
        _, face, foot = basis.tree.closest(way[-1])
        ahead = _ahead(basis, face, foot, heading, ahead)
        way.append(on_surface(basis, foot + distance_mm / steps * ahead))
    return np.stack(way)


def moved_along(
    basis: ShapeBasis, points: Vertices, heading: Heading, distance_mm: float
) -> NDArray[np.float64]:
    """Where a walk along the surface from points (k, 3) mm ends; see `way_along`."""
    end: NDArray[np.float64] = way_along(basis, points, heading, distance_mm)[-1]
    return end


def _ahead(
    basis: ShapeBasis,
    face: NDArray[np.int32],
    foot: Vertices,
    heading: Heading,
    before: Vertices | None,
) -> Vertices:
    """Unit tangents in a heading; over the end, where it would turn back, the way goes on."""
    normal = _normal_at(basis, face, foot)
    wish = np.broadcast_to(-UP, normal.shape) if heading is Heading.DISTAL else np.cross(UP, normal)
    tangent = wish - np.einsum("ij,ij->i", wish, normal)[:, None] * normal
    if before is None:
        return _unit(tangent)
    straight = before - np.einsum("ij,ij->i", before, normal)[:, None] * normal
    lost = np.linalg.norm(tangent, axis=1) < 0.3
    back = np.einsum("ij,ij->i", tangent, straight) <= 0.0
    return _unit(np.where((lost | back)[:, None], straight, tangent))


def _normal_at(basis: ShapeBasis, face: NDArray[np.int32], foot: Vertices) -> Vertices:
    """Even normals between the vertices of a face."""
    corner = basis.surface.vertices[basis.surface.faces[face]]
    total = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    size = np.einsum("ij,ij->i", total, total)
    share = np.stack(
        [
            np.einsum(
                "ij,ij->i",
                np.cross(corner[:, (k + 1) % 3] - foot, corner[:, (k + 2) % 3] - foot),
                total,
            )
            / size
            for k in range(3)
        ],
        axis=1,
    )
    return _unit(np.einsum("ij,ijk->ik", share, basis.normals[basis.surface.faces[face]]))


def _unit(vectors: Vertices) -> Vertices:
    length = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.asarray(np.divide(vectors, length, out=np.zeros_like(vectors), where=length > 0))
