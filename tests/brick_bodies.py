"""Small bodies of bricks for the finite-element tests: block, annulus, cone, rounded stump."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Vertices


@dataclass(frozen=True)
class BrickBody:
    """Nodes (n, 3) mm, bricks (m, 8), and the outer quads (k, 4), wound outward."""

    nodes_mm: Vertices
    hexahedra: NDArray[np.int32]
    outer: NDArray[np.int32]


def block(size_mm: tuple[float, float, float], counts: tuple[int, int, int]) -> BrickBody:
    """A block from the origin up; its outer quads are those of the top."""
    axes = [np.linspace(0.0, size, count + 1) for size, count in zip(size_mm, counts, strict=True)]
    return graded_block(axes)


def graded_block(axes: list[NDArray[np.float64]]) -> BrickBody:
    """A block with planes of nodes at given places along each axis."""
    nodes = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    number = np.arange(len(nodes)).reshape([len(axis) for axis in axes])
    hexahedra = _cells(number)
    top = number[:, :, -1]
    outer = np.stack([top[:-1, :-1], top[1:, :-1], top[1:, 1:], top[:-1, 1:]], axis=-1)
    return BrickBody(nodes, hexahedra, outer.reshape(-1, 4).astype(np.int32))


def skewed(body: BrickBody, share: float, seed: int = 3) -> BrickBody:
    """The same body with inner nodes moved by up to a share of the smallest edge."""
    nodes = body.nodes_mm
    low, high = nodes.min(axis=0), nodes.max(axis=0)
    inner = ((nodes > low + 1e-9) & (nodes < high - 1e-9)).all(axis=1)
    edges = nodes[body.hexahedra[:, 1]] - nodes[body.hexahedra[:, 0]]
    size = float(np.linalg.norm(edges, axis=1).min())
    moved = nodes.copy()
    chance = np.random.default_rng(seed).uniform(-1.0, 1.0, nodes.shape)
    moved[inner] += share * size * chance[inner]
    return BrickBody(moved, body.hexahedra, body.outer)


def tube(
    inner_mm: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    outer_mm: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    heights_mm: NDArray[np.float64],
    around: int,
    layers: int,
) -> BrickBody:
    """A tube about u between two radii that depend on the height."""
    angle = np.linspace(0.0, 2 * np.pi, around, endpoint=False)
    share = np.linspace(0.0, 1.0, layers + 1)
    inner, outer = inner_mm(heights_mm), outer_mm(heights_mm)
    radius = inner[:, None] + (outer - inner)[:, None] * share
    rings = np.broadcast_to(heights_mm[:, None, None], (len(heights_mm), around, layers + 1))
    nodes = np.stack(
        [
            radius[:, None, :] * np.cos(angle)[:, None],
            radius[:, None, :] * np.sin(angle)[:, None],
            rings,
        ],
        axis=-1,
    ).reshape(-1, 3)
    number = np.arange(len(nodes)).reshape(len(heights_mm), around, layers + 1)
    closed = np.concatenate([number, number[:, :1]], axis=1)
    # axes in the order radius, angle, height: a right-handed cell
    hexahedra = _cells(closed.transpose(2, 1, 0))
    skin = closed[:, :, -1]
    outer_quads = np.stack([skin[:-1, :-1], skin[:-1, 1:], skin[1:, 1:], skin[1:, :-1]], axis=-1)
    return BrickBody(nodes, hexahedra, outer_quads.reshape(-1, 4).astype(np.int32))


def stump(
    bone_mm: float, skin_mm: float, length_mm: float, across: int, along: int, layers: int
) -> BrickBody:
    """A round-ended limb about u: a rod of bone in tissue, both ending in half-balls.

    The end is five faces of a cube blown up to a ball (four of them by half), so no brick is
    degenerate. Centre of both half-balls at the origin, cut plane at `length_mm`.
    """
    rays, quads = _dome(across)
    around = rays[:, 2] > -1e-9
    # the equator's rays are drawn up along u
    order = np.flatnonzero(around)
    share = np.linspace(0.0, 1.0, layers + 1)
    radius = bone_mm + (skin_mm - bone_mm) * share
    levels = np.linspace(0.0, length_mm, along + 1)
    dome = rays[:, None, :] * radius[:, None]
    wall = dome[order][None] + levels[1:, None, None, None] * np.array([0.0, 0.0, 1.0])
    nodes = np.concatenate([dome.reshape(-1, 3), wall.reshape(-1, 3)])
    step = layers + 1
    base = len(rays) * step
    columns = [np.arange(len(rays)) * step]
    for level in range(along):
        column = np.full(len(rays), -1)
        column[order] = base + (level * len(order) + np.arange(len(order))) * step
        columns.append(column)
    sides = _equator(rays, quads)
    faces = [columns[0][quads]]
    for low, high in pairwise(columns):
        a, b = sides[:, 0], sides[:, 1]
        faces.append(np.stack([low[a], low[b], high[b], high[a]], axis=1))
    columns_of_quads = np.concatenate(faces)
    hexahedra = np.concatenate(
        [
            np.concatenate([columns_of_quads + layer, columns_of_quads + layer + 1], axis=1)
            for layer in range(layers)
        ]
    )
    return BrickBody(
        nodes, hexahedra.astype(np.int32), (columns_of_quads + layers).astype(np.int32)
    )


def _dome(across: int) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Rays and quads, wound outward, of the lower half of a cube blown up to a ball."""
    half = across // 2
    if across % 2:
        raise ValueError("an even number of bricks across is needed")
    lines = np.tan(np.linspace(-1.0, 1.0, across + 1) * np.pi / 4)
    u, v = np.meshgrid(lines, lines, indexing="ij")
    points = [np.stack([u, v, -np.ones_like(u)], axis=-1)]
    w, z = np.meshgrid(lines, lines[: half + 1], indexing="ij")
    one = np.ones_like(w)
    points += [
        np.stack([one, w, z], axis=-1),
        np.stack([-one, w, z], axis=-1),
        np.stack([w, one, z], axis=-1),
        np.stack([w, -one, z], axis=-1),
    ]
    quads, rays, first = [], [], 0
    for patch in points:
        number = first + np.arange(patch.shape[0] * patch.shape[1]).reshape(patch.shape[:2])
        quads.append(
            np.stack(
                [number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]], axis=-1
            ).reshape(-1, 4)
        )
        rays.append(patch.reshape(-1, 3))
        first += number.size
    all_rays, all_quads = np.concatenate(rays), np.concatenate(quads)
    all_rays = all_rays / np.linalg.norm(all_rays, axis=1, keepdims=True)
    _, index, inverse = np.unique(
        np.round(all_rays, 9), axis=0, return_index=True, return_inverse=True
    )
    merged, faces = all_rays[index], inverse.reshape(-1)[all_quads]
    corners = merged[faces]
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    inward = (normal * corners.mean(axis=1)).sum(axis=1) < 0
    faces[inward] = faces[inward][:, ::-1]
    return merged, faces


def _equator(rays: NDArray[np.float64], quads: NDArray[np.int64]) -> NDArray[np.int64]:
    """Edges of the dome's rim, each as the quad above it would take it."""
    edges = np.concatenate([quads[:, [i, (i + 1) % 4]] for i in range(4)])
    high = (rays[edges][:, :, 2] > -1e-9).all(axis=1)
    return edges[high][:, ::-1]


def _cells(number: NDArray[np.int64]) -> NDArray[np.int32]:
    """Bricks between the nodes of a grid, (i, j, k) right-handed."""
    low, high = number[:, :, :-1], number[:, :, 1:]
    lower = [low[:-1, :-1], low[1:, :-1], low[1:, 1:], low[:-1, 1:]]
    upper = [high[:-1, :-1], high[1:, :-1], high[1:, 1:], high[:-1, 1:]]
    return np.stack(lower + upper, axis=-1).reshape(-1, 8).astype(np.int32)
