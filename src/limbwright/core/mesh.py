"""Triangle meshes as frozen arrays, and what follows from one mesh alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

_Kind = TypeVar("_Kind", np.float64, np.int32)

Vertices = NDArray[np.float64]
"""(n, 3) float64, mm."""
Faces = NDArray[np.int32]
"""(m, 3) int32, counter-clockwise seen from outside."""
Scalars = NDArray[np.float64]
"""(n,) float64."""
Vector = NDArray[np.float64]
"""(3,) float64."""


def _frozen(array: NDArray[_Kind], dtype: type[_Kind]) -> NDArray[_Kind]:
    out: NDArray[_Kind] = np.ascontiguousarray(array, dtype=dtype)
    if out is array and out.flags.writeable:
        out = out.copy()
    out.setflags(write=False)
    return out


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """A triangle mesh that nobody can change.

    Parameters
    ----------
    vertices : (n, 3) float64, mm
    faces : (m, 3) int32, indices into vertices, counter-clockwise seen from outside

    Raises
    ------
    ValueError
        When shapes are not (n, 3) and (m, 3), or an index is out of range.
    """

    vertices: Vertices
    faces: Faces

    def __post_init__(self) -> None:
        vertices = _frozen(self.vertices, np.float64)
        faces = _frozen(self.faces, np.int32)
        if vertices.ndim != 2 or vertices.shape[1] != 3:
            raise ValueError(f"vertices must be (n, 3), got {vertices.shape}")
        if faces.ndim != 2 or faces.shape[1] != 3:
            raise ValueError(f"faces must be (m, 3), got {faces.shape}")
        if len(faces) and (int(faces.min()) < 0 or int(faces.max()) >= len(vertices)):
            raise ValueError("faces name a vertex that does not exist")
        object.__setattr__(self, "vertices", vertices)
        object.__setattr__(self, "faces", faces)


def corners(mesh: Mesh) -> NDArray[np.float64]:
    """Triangle corners.

    Returns
    -------
    (m, 3, 3) float64, mm
    """
    return mesh.vertices[mesh.faces]


def face_cross(mesh: Mesh) -> NDArray[np.float64]:
    """Face normals times twice the face area, (m, 3) float64, mm²."""
    tri = corners(mesh)
    return np.asarray(np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0]), dtype=np.float64)


def face_areas(mesh: Mesh) -> Scalars:
    """Area of each face, (m,) float64, mm²."""
    return np.asarray(0.5 * np.linalg.norm(face_cross(mesh), axis=1), dtype=np.float64)


def face_normals(mesh: Mesh) -> Vertices:
    """Unit outward normal of each face, (m, 3) float64; zero for a degenerate face."""
    cross = face_cross(mesh)
    length = np.linalg.norm(cross, axis=1, keepdims=True)
    return _over(cross, length)


def vertex_normals(mesh: Mesh) -> Vertices:
    """Unit outward normal of each vertex, area-weighted, (n, 3) float64."""
    cross = face_cross(mesh)
    total = np.zeros_like(mesh.vertices)
    for axis in range(3):
        for corner in range(3):
            total[:, axis] += np.bincount(
                mesh.faces[:, corner], cross[:, axis], minlength=len(mesh.vertices)
            )
    length = np.linalg.norm(total, axis=1, keepdims=True)
    return _over(total, length)


def _over(vectors: Vertices, length: NDArray[np.float64]) -> Vertices:
    out: Vertices = np.divide(vectors, length, out=np.zeros_like(vectors), where=length > 0)
    return out


def vertex_areas(mesh: Mesh) -> Scalars:
    """A third of the adjacent face areas at each vertex, (n,) float64, mm²."""
    third = face_areas(mesh) / 3.0
    return np.asarray(
        np.bincount(mesh.faces.ravel(), np.repeat(third, 3), minlength=len(mesh.vertices)),
        dtype=np.float64,
    )


def volume_mm3(mesh: Mesh) -> float:
    """Signed volume enclosed by a closed mesh, mm³ (divergence theorem)."""
    tri = corners(mesh)
    return float(np.einsum("ij,ij->i", tri[:, 0], np.cross(tri[:, 1], tri[:, 2])).sum() / 6.0)


def flipped(mesh: Mesh) -> Mesh:
    """The same surface with the opposite winding."""
    return Mesh(mesh.vertices, mesh.faces[:, ::-1])


def with_vertices(mesh: Mesh, vertices: Vertices) -> Mesh:
    """The same faces over moved vertices, (n, 3) mm."""
    return Mesh(vertices, mesh.faces)


def merged(meshes: tuple[Mesh, ...]) -> Mesh:
    """Several meshes as one, nothing welded."""
    offsets = np.cumsum([0] + [len(mesh.vertices) for mesh in meshes[:-1]])
    return Mesh(
        np.concatenate([mesh.vertices for mesh in meshes]),
        np.concatenate(
            [mesh.faces + np.int32(offset) for mesh, offset in zip(meshes, offsets, strict=True)]
        ),
    )


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
