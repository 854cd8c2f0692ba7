"""A rigid socket twice: as a distance for our contact, as a layer of bricks for CalculiX."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Vertices
from limbwright.prove.interface.socket_field import SocketField, penetration

THICK_MM = 0.3


@dataclass(frozen=True)
class RigidSocket:
    """Nodes (n, 3) mm, inside ones first; bricks (m, 8); inside faces (k, 4), seen from within."""

    nodes_mm: Vertices
    bricks: NDArray[np.int32]
    inside: NDArray[np.int32]


def socket_of(points_mm: Vertices, outward: Vertices, quads: NDArray[np.int32]) -> RigidSocket:
    """A layer of bricks on a surface.

    Parameters
    ----------
    points_mm, outward : (n, 3) float64
        Points of the inside surface and unit vectors out of it.
    quads : (k, 4) int32, wound outward
    """
    count = len(points_mm)
    nodes = np.concatenate([points_mm, points_mm + THICK_MM * outward])
    bricks = np.concatenate([quads, quads + count], axis=1).astype(np.int32)
    return RigidSocket(nodes, bricks, quads.astype(np.int32))


def on_the_wall(field: SocketField, points_mm: Vertices) -> Vertices:
    """Points moved onto the field's zero, along its slope."""
    points = points_mm.copy()
    for _ in range(20):
        depth, slope, _ = penetration(field, points)
        points -= depth[:, None] * slope / (slope**2).sum(axis=1)[:, None]
    return points


def used_alone(nodes_mm: Vertices, quads: NDArray[np.int32]) -> tuple[Vertices, NDArray[np.int32]]:
    """The nodes that quads use, and the quads numbered by them."""
    used, number = np.unique(quads, return_inverse=True)
    return nodes_mm[used], number.reshape(quads.shape).astype(np.int32)
