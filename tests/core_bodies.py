"""Bodies of known measures for the tests of the geometry that all stages share."""

from __future__ import annotations

import numpy as np
import trimesh
from numpy.typing import NDArray

from limbwright.core.mesh import Mesh, with_vertices


def sphere(radius_mm: float = 50.0, fineness: int = 4) -> Mesh:
    body = trimesh.creation.icosphere(fineness, radius_mm)
    return Mesh(body.vertices, body.faces)


def box(size_mm: float = 10.0) -> Mesh:
    body = trimesh.creation.box((size_mm,) * 3)
    return Mesh(body.vertices, body.faces)


def torus(major_mm: float = 40.0, minor_mm: float = 12.0) -> Mesh:
    body = trimesh.creation.torus(major_mm, minor_mm, 96, 48)
    return Mesh(body.vertices, body.faces)


def cup(
    top_radius_mm: float = 60.0,
    end_radius_mm: float = 40.0,
    height_mm: float = 200.0,
    around: int = 96,
    rings: int = 60,
    depth_to_width: float = 1.0,
) -> Mesh:
    """A frustum with elliptic sections from u = 0 down to -height, open at the top, flat below."""
    u = np.linspace(0.0, -height_mm, rings)
    radius = np.linspace(top_radius_mm, end_radius_mm, rings)
    turn = 2.0 * np.pi * np.arange(around) / around
    wall = np.stack(
        [
            radius[:, None] * np.cos(turn),
            depth_to_width * radius[:, None] * np.sin(turn),
            np.repeat(u[:, None], around, axis=1),
        ],
        axis=-1,
    ).reshape(-1, 3)
    vertices = np.concatenate([wall, [[0.0, 0.0, -height_mm]]])
    here = np.arange(around)
    there = np.roll(here, -1)
    rows = around * np.arange(rings - 1)[:, None]
    i, j = (rows + here).ravel(), (rows + there).ravel()
    last = around * (rings - 1)
    faces = np.concatenate(
        [
            np.stack([i, i + around, j + around], axis=1),
            np.stack([i, j + around, j], axis=1),
            np.stack([last + here, np.full(around, len(wall)), last + there], axis=1),
        ]
    )
    return Mesh(vertices, faces.astype(np.int32))


def sheet(side: int = 12, step_mm: float = 1.0) -> Mesh:
    """A flat square of side x side squares in the plane u = 0, seen from above."""
    x = step_mm * np.arange(side + 1)
    points = np.stack(np.meshgrid(x, x, indexing="ij"), axis=-1).reshape(-1, 2)
    corner = (np.arange(side)[:, None] * (side + 1) + np.arange(side)).ravel()
    faces = np.concatenate(
        [
            np.stack([corner, corner + side + 1, corner + side + 2], axis=1),
            np.stack([corner, corner + side + 2, corner + 1], axis=1),
        ]
    )
    return Mesh(np.column_stack([points, np.zeros(len(points))]), faces.astype(np.int32))


def soup(mesh: Mesh) -> Mesh:
    """The same faces, each with three vertices of its own."""
    count = 3 * len(mesh.faces)
    return Mesh(
        mesh.vertices[mesh.faces].reshape(-1, 3), np.arange(count, dtype=np.int32).reshape(-1, 3)
    )


def moved(mesh: Mesh, by_mm: list[float]) -> Mesh:
    return with_vertices(mesh, mesh.vertices + np.array(by_mm))


def turned(mesh: Mesh, rotation: NDArray[np.float64], shift: NDArray[np.float64]) -> Mesh:
    return Mesh(mesh.vertices @ rotation.T + shift, mesh.faces)


def about_u(angle_rad: float) -> NDArray[np.float64]:
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def any_rotation(seed: int) -> NDArray[np.float64]:
    q, r = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q * np.sign(np.linalg.det(q))


def smallest_angle_deg(mesh: Mesh) -> float:
    tri = mesh.vertices[mesh.faces]
    side = np.roll(tri, -1, axis=1) - tri
    side = side / np.linalg.norm(side, axis=2, keepdims=True)
    cosine = -np.einsum("ijk,ijk->ij", side, np.roll(side, 1, axis=1))
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))).min())


def edge_lengths_mm(mesh: Mesh) -> NDArray[np.float64]:
    tri = mesh.vertices[mesh.faces]
    return np.linalg.norm(np.roll(tri, -1, axis=1) - tri, axis=2).ravel()
